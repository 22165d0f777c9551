"""The isolation job card of a box: every way in it, other sources, joined ways, neutrals, proving, who loses supply."""

import re
from functools import cache
from typing import Any

import pytest

from circuitmap.circuits import views
from circuitmap.drawing.palette import colour
from circuitmap.home import Home, verbs
from circuitmap.home.exchange import TextForm, read_folder
from circuitmap.home.records import Board, Device, Load, OtherSource, Plate, Point, ProvingTest
from circuitmap.home.snapshot import Home as Snapshot
from circuitmap.memo import Memo
from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.figures import Figure
from circuitmap.paper.job_card import NO_BOX, NOT_BY, PROVING, SKILLED, TAILS, made
from circuitmap.paper.spotted import spotted_plans
from circuitmap.places import sample_homes
from circuitmap.survey.impact import impact
from circuitmap.survey.isolate import PAIRS, plan_isolation
from circuitmap.trade import load
from tests.build import Builder
from tests.findings.test_compared import house
from tests.homes import PLANS, healthy
from tests.paper.handed import HOSTILE, SAMPLES, hostile, odd_homes, wanted
from tests.paper.pages import is_well_made, is_well_set, squeezed, words


@cache
def form(name: str) -> TextForm:
    return read_folder(sample_homes() / name)


def card(home: Home, box: str) -> bytes:
    (file,) = made(wanted(home, subject=box))
    return file.data


# -- what has to be on it ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SAMPLES)
def test_every_box_names_every_way_that_the_map_has_in_it_and_what_goes_off(name: str) -> None:
    home = form(name).home
    known = views(home, load(), Memo())
    plates = [plate.id for plate in home.sorted(Plate)]
    some = [point.id for point in home.sorted(Point)][::9]
    for box in [*plates, *some, *(board.id for board in home.sorted(Board))]:
        text = squeezed(words(card(home, box)))
        plan = plan_isolation(home, (box,), Memo(), trade=load())
        inside = set(plan.points)
        for view in known:
            if inside & set(view.names) or view.device.id in plan.ways:
                assert squeezed(f"{view.code} {view.device.kind}") in text, (box, view.code)
        for device in (home.take(Device, each) for each in plan.off):
            assert squeezed(f"Off: {device.kind}") in text
        for sentence in (SKILLED, TAILS, NOT_BY, *PROVING):
            assert squeezed(sentence) in text


def test_the_halls_switch_box_has_both_circuits_and_says_that_one_off_leaves_the_other() -> None:
    """The terrace's hall: one switch on the lights down, one on the lights up, in one box."""
    text = words(card(form("older-terrace").home, "P3"))
    assert "More than one circuit is in this box (A2, A3): with one off the others stay live." in text
    assert "A2 MCB B6 “Lights up” (board A, Understairs)" in text
    assert "A3 MCB B6 “Lights down” (board A, Understairs)" in text
    assert "Off: main switch 100 A “Main switch” (board A, Understairs)" in text
    assert "between A2 and A3" in text
    assert "One way alone is not enough for this box." in text
    # By its plate it is the same box.
    plate = form("older-terrace").home.take(Point, "P3").plate
    assert plate is not None
    assert "More than one circuit is in this box (A2, A3)" in words(card(form("older-terrace").home, plate))


def test_the_steps_of_proving_stand_in_their_order() -> None:
    """Prove, test L-N, L-E, N-E, prove again: Basic Electrical Installation Work, p. 39; safe isolation notes."""
    text = words(card(form("older-terrace").home, "P10"))
    order = ["Indicator proved before", "L–N", "L–E", "N–E", "Indicator proved again"]
    places = [text.index(each) for each in order]
    assert places == sorted(places)
    assert [pair.replace("-", "–") for pair in PAIRS] == order[1:4]
    steps = ["The box", "Agreed, and told", "Switch off, lock off, label", "Neutrals are not proved",
             "Prove dead at this box", "What else loses supply", "Power back on"]  # fmt: skip
    assert [text.index(step) for step in steps] == sorted(text.index(step) for step in steps)


def test_what_loses_supply_is_what_the_survey_says_gravest_first() -> None:
    home = form("bungalow-tt").home
    text = words(card(home, "P20"))
    plan = plan_isolation(home, ("P20",), Memo(), trade=load())
    matter = [loss for loss in impact(home, plan.off, Memo(), load()) if loss.word != "nothing"]
    assert matter
    at = [text.index(f"({loss.point})", text.index("What else loses supply")) for loss in matter[:20]]
    assert at == sorted(at)
    assert "the telephone, and emergency calls, go with it" in text
    assert "settle it with whoever relies on them" in text


def other_sources_home() -> Snapshot:
    build = house()
    build.do(
        verbs.set_supply(
            build.home,
            sources=(
                OtherSource(kind="PV", where="roof", isolator="beside the inverter in the loft"),
                OtherSource(kind="battery", backup_output=True),
                OtherSource(kind="landlord", where="stair light"),
            ),
            sources_asked=True,
        )
    )
    return build.home


def test_every_other_source_is_switched_off_at_its_own_isolator() -> None:
    text = words(card(other_sources_home(), "P1"))
    assert "Off: PV, roof; its isolator: beside the inverter in the loft. Its d.c. side stays live by day." in text
    assert "Off: battery; its isolator is not on record. It may keep, or make, circuits live by itself" in text
    assert "Off: landlord, stair light; its isolator is not on record." in text
    assert "Nobody asked yet whether there is another supply" not in text


def test_where_nobody_asked_for_other_sources_it_says_to_ask_first() -> None:
    assert "Nobody asked yet whether there is another supply" in words(card(house().home, "P1"))


def test_ways_that_are_joined_are_never_isolated_by_one() -> None:
    """A ring with a leg on either of two ways: with one off its own terminal stays live from the other."""
    build = Builder("Joined")
    build.storey()
    build.board()
    build.device("B1", "", "main switch", 100)
    build.device("B1", "1", upstream="D1")
    build.device("B1", "2", upstream="D1")
    for x in (500, 1500):
        build.point(at=("G1", x, 0), cables=2)
    build.chain("D2", "P1", "P2", "D3")
    text = words(card(build.home, "P1"))
    assert "A1 and A2 are joined: with one off, its own outgoing terminal and its cables stay live" in text
    assert "Treat them as one: all off, locked, then prove." in text


def test_neutrals_are_never_called_proved_and_a_reading_between_them_is_named() -> None:
    build = house()
    build.visit()
    build.do(verbs.record_reading(build.home, "V1", "neutral to neutral", "0.4", device="D2", at="D3"))
    text = words(card(build.home, "P1"))
    assert "No switch-off proves a neutral of A1." in text
    assert "Not known to switch its neutral: A1." in text
    assert "Neutral to neutral was read there: 0.4 Ω (5 January 2026)." in text
    build.do(verbs.edit(build.home, "D2", poles=2, neutral_switched=True))
    assert "Not known to switch its neutral" not in words(card(build.home, "P1"))


def test_fuses_are_pulled_and_devices_to_be_left_alone_are_not_to_be_switched() -> None:
    build = house()
    build.do(verbs.remove(build.home, "D1"))
    build.do(verbs.edit(build.home, "D2", kind="fuse BS 3036", curve=""))
    build.do(verbs.edit(build.home, "D3", how_switched="leave alone"))
    text = words(card(build.home, "P1"))
    assert "its carrier is pulled, with the main switch off, and kept with you" in text
    assert "is to be left alone. Switch off above it, or don't open the box." in text


def test_other_households_and_medical_equipment_are_told() -> None:
    build = house()
    build.do(verbs.edit(build.home, "P4", belongs_to="the flat upstairs"))
    build.do(verbs.edit(build.home, "P2", loads=(Load(what="oxygen concentrator", if_off="medical"),)))
    text = words(card(build.home, "P1"))
    assert "the flat upstairs: another household loses supply; agreed with them too." in text
    assert "Whoever relies on medical equipment: another supply proved, and until when." in text
    assert "record another supply for it that was proved, or keep its way on" in text


def test_what_was_noted_at_the_box_is_on_it_and_what_was_proved_earlier_says_nothing_of_now() -> None:
    build = house()
    build.do(verbs.note(build.home, "P1", seen=("scorched",), text="brown at the line"))
    build.visit()
    tests = tuple(ProvingTest(pair=pair, dead=True) for pair in PAIRS)
    build.do(
        verbs.record_isolation(
            build.home, "V1", ("P1",), ("D1",), tests, locked=True, proved_before=True, proved_after=True,
            at="2026-01-05T09:00:00Z", by="R. Okonjo",
        )
    )  # fmt: skip
    text = words(card(build.home, "P1"))
    assert "socket P1, Kitchen: scorched; brown at the line" in text
    assert "by R. Okonjo: proved dead then. It says nothing of now." in text
    assert "P2" not in words(card(build.home, "P1")).split("Earlier, and no proof of now")[1]


def test_the_exception_is_offered_only_where_one_settled_way_is_in_the_box() -> None:
    build = house()
    visit = build.visit()
    look = build.round(visit)
    for n in range(1, 6):
        build.check(look, f"P{n}", "still on")
    everything = build.do(verbs.open_round(build.home, visit, ("D1",), at="2026-01-05T10:00:00Z"))
    for n in range(1, 6):
        build.do(verbs.record_check(build.home, everything, f"P{n}", "off", at="2026-01-05T10:10:00Z"))
    one = build.do(verbs.open_round(build.home, visit, ("D3",), at="2026-01-05T11:00:00Z"))
    for n in range(1, 6):
        outcome = "off" if n == 5 else "still on"
        build.do(verbs.record_check(build.home, one, f"P{n}", outcome, at="2026-01-05T11:10:00Z"))  # type: ignore[arg-type]
    text = words(card(build.home, "P5"))
    assert "The exception, for the skilled person to decide: A2 alone." in text
    assert "One way alone is not enough" in words(card(build.home, "B1"))


def test_a_board_fed_by_another_names_what_is_over_its_ways() -> None:
    home = form("bungalow-tt").home
    sub = next(board for board in home.sorted(Board) if board.source == "run")
    text = words(card(home, sub.id))
    assert f"board {sub.letter_on_map}" in text
    assert "A8" in text
    assert "outgoing side of the main switch" in text
    assert "neutral bar" in text


# -- how it is set ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "box", "called"),
    [
        ("older-terrace", "P3", "switch P3, Hall"),
        ("bungalow-tt", "B1", "board A (Consumer unit)"),
        ("older-terrace", "D7", "A5 in board A (Consumer unit)"),
    ],
)
def test_it_is_well_set_and_well_made_and_the_same_each_time(name: str, box: str, called: str) -> None:
    data = card(form(name).home, box)
    is_well_set(data)
    is_well_made(data, f"Isolation job card: {called}")
    assert card(form(name).home, box) == data


@pytest.mark.parametrize("plan", PLANS[::6], ids=str)
def test_healthy_homes_of_every_age_have_a_card_for_every_sort_of_box(plan: object) -> None:
    home = healthy(plan)  # type: ignore[arg-type]  # one of PLANS
    for box in (home.sorted(Point)[0].id, home.sorted(Board)[0].id):
        is_well_set(card(home, box))


# -- bad input --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("box", "says"),
    [
        ("", NO_BOX),
        ("  ", NO_BOX),
        ("P99", "P99 is not in this home, so there is no box to open."),
        ("M1", "A room is no box to open; name a point, plate, device or board."),
        ("x" * 300, "is not in this home"),
    ],
)
def test_what_is_no_box_is_a_sentence(box: str, says: str) -> None:
    with pytest.raises(CantMakeError) as caught:
        card(house().home, box)
    assert says in str(caught.value)


def test_a_box_that_is_only_planned_is_no_box_yet() -> None:
    build = house()
    build.do(verbs.edit(build.home, "P4", phase="planned"))
    with pytest.raises(CantMakeError, match="P4 is only planned, or was taken out"):
        card(build.home, "P4")


@pytest.mark.parametrize(("what", "home"), list(odd_homes())[1:], ids=[name for name, _ in odd_homes()][1:])
def test_odd_homes_give_good_cards(what: str, home: Home) -> None:
    del what
    boxes = [*(p.id for p in home.sorted(Point)[:2]), *(b.id for b in home.sorted(Board))]
    for box in boxes:
        is_well_set(card(home, box))


@pytest.mark.parametrize("name", SAMPLES)
def test_the_box_stands_whole_in_the_part_of_the_plan_that_is_drawn(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    drawn: list[Figure] = []

    def kept(*asked: Any, **how: Any) -> list[Figure]:
        drawn.extend(figures := spotted_plans(*asked, **how)[:1])
        return figures

    monkeypatch.setattr("circuitmap.paper.job_card.spotted_plans", kept)
    monkeypatch.setattr("circuitmap.paper.job_card.typeset", lambda *_: b"")
    home = form(name).home
    for point in home.sorted(Point):
        card(home, point.id)
    assert len(drawn) > 20
    for figure in drawn:
        found = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', figure.svg)
        assert found is not None
        wide, high = (float(side) for side in found.groups())
        strokes = re.findall(rf'<path d="([^"]*)"[^>]* stroke="{colour("accent")}"', figure.svg)
        rings = [path for path in strokes if path.count("L") > 20]
        assert len(rings) >= 2, figure.title
        numbers = [float(each) for path in rings for each in re.findall(r"[-\d.]+", path)]
        assert min(numbers) > 0
        assert max(numbers[::2]) < wide
        assert max(numbers[1::2]) < high


def test_labels_of_every_sort_stay_in_their_places() -> None:
    build = Builder()
    build.home = hostile()
    for n, label in enumerate(HOSTILE):
        point = f"P{2 * n + 1}"
        loads = (Load(what=label, if_off="phone"),)
        build.do(verbs.edit(build.home, point, where=label, belongs_to=label, loads=loads))
        build.do(verbs.note(build.home, point, text=label))
    for n in range(len(HOSTILE)):
        is_well_set(card(build.home, f"P{2 * n + 1}"))
