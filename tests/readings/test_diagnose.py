"""What is said of the readings in a home: causes in words, the next reading, and honest sentences where nothing is."""

from math import inf

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import Link
from circuitmap.memo import Memo
from circuitmap.readings.causes import CAUSE_WORDS, Diagnosis
from circuitmap.readings.diagnose import MOST_POINTS, diagnose
from circuitmap.readings.suspects import LIKELY
from circuitmap.trade import load
from tests.readings.planted import CROSS, CROSS_CPC, ONE_LEG, STEP_1, Planted, Taken, plant
from tests.readings.recorded import Taken as House
from tests.readings.wired import Wired

ALL: tuple[Taken, ...] = (*STEP_1, CROSS, ONE_LEG)


def _record(planted: Planted, tests: tuple[Taken, ...], **facts: object) -> Wired:
    wired = planted.wired
    visit = wired.do(verbs.start_visit(wired.home, "2026-01-05", "survey"))
    meter = wired.do(verbs.add_meter(wired.home, "m", accuracy_fraction=0.01, resolution_ohm=0.01, most_ohm=99.9))
    plugs = (0.01, 0.05) if facts.get("by_plug") else (0.0, 0.0)
    for taken in tests:
        test, link, cores = taken
        for at in planted.places(taken):
            ohm = planted.shown_ohm(taken, at, contact_ohm=plugs)
            wired.do(
                verbs.record_reading(
                    wired.home, visit, test, "OL" if ohm == inf else f"{ohm:.2f}", device=wired.way_id, at=at,
                    cores=cores, link=Link(kind=link) if test == "linked" else None, instrument=meter,
                    **facts,  # type: ignore[arg-type]  # test shorthand
                )
            )  # fmt: skip
    return wired


def _says(wired: Wired) -> Diagnosis:
    return diagnose(wired.home, wired.on_way, load(), Memo())


def test_a_healthy_ring_is_as_drawn_and_every_reading_is_compared() -> None:
    wired = _record(plant(2, "healthy"), ALL)
    found = _says(wired)
    assert found.causes[0].kind == "healthy"
    assert found.causes[0].says == "As drawn: the readings fit the map, with any fault that is drawn on it."
    assert len(found.causes[0].compared) == 3 + 2 * (len(wired.on_way.names) + 1)
    assert all(abs(each.off_by) < 4 for each in found.causes[0].compared)
    assert sum(cause.probability for cause in found.causes) + found.others == pytest.approx(1)


def test_an_open_line_is_said_with_its_place_and_what_speaks_for_it() -> None:
    planted = next(p for seed in range(50) if (p := plant(seed, "open core")).cores == ("L",))
    cause = _says(_record(planted, ALL)).causes[0]
    assert cause.says.startswith("Line open between ")
    assert cause.says.endswith(f"({planted.runs[0]}).")
    assert "open where" in cause.why
    assert "this explains them" in cause.why
    assert cause.runs == planted.runs
    assert len(cause.at) == 2
    assert cause.probability > 0.95


def test_a_spur_is_sized_in_metres_with_its_likely_span() -> None:
    planted = plant(3, "on a spur")
    cause = _says(_record(planted, ALL)).causes[0]
    assert cause.kind == "on a spur"
    assert cause.at == planted.at
    assert cause.unit == "m"
    assert cause.low is not None
    assert cause.high is not None
    assert cause.low - 1 < planted.size < cause.high + 1
    assert f"{planted.at[0]} hangs on a spur of about" in cause.says


def test_a_joint_is_sized_in_ohms() -> None:
    planted = next(p for seed in range(50) if (p := plant(seed, "bad joint")).cores == ("L",))
    cause = _says(_record(planted, ALL)).causes[0]
    assert cause.unit == "Ω"
    assert cause.size == pytest.approx(planted.size, rel=0.25)
    assert "High-resistance joint of about" in cause.says


def test_places_that_read_alike_are_one_cause_and_the_next_reading_parts_them() -> None:
    planted = next(p for seed in range(50) if (p := plant(seed, "open core")).cores == ("N",))
    found = _says(_record(planted, ALL))
    assert "somewhere among" in found.causes[0].says
    assert set(planted.runs) <= set(found.causes[0].runs)
    assert "neutral" in found.next[0].says
    assert "narrows down" in found.next[0].why
    assert found.next[0].bits > 0.5


def test_readings_by_a_plug_in_the_front_are_not_taken_for_spurs() -> None:
    found = _says(_record(plant(2, "healthy"), ALL, by_plug=True))
    assert found.causes[0].kind == "healthy"


def test_one_reading_too_high_in_one_sweep_only_is_a_poor_contact() -> None:
    planted = plant(2, "healthy")
    at = planted.points[3]
    key = (ONE_LEG, at, 0.01, (0.0, 0.0))
    planted.drawn[key] = round(planted.shown_ohm(ONE_LEG, at) + 0.2, 2)
    cause = _says(_record(planted, ALL)).causes[0]
    assert cause.kind == "bad contact"
    assert cause.at == (at,)
    assert "read it again" in cause.says


def test_links_on_the_same_leg_in_every_cross_linked_sweep_are_one_mistake() -> None:
    planted = plant(2, "same leg")
    for at in planted.places(CROSS_CPC):
        wrong = Planted(planted.wired, "same leg", planted.site, planted.legs, planted.points, same_leg=CROSS_CPC)
        planted.drawn[CROSS_CPC, at, 0.01, (0.0, 0.0)] = round(wrong.true_ohm(CROSS_CPC, at), 2)
    cause = _says(_record(planted, (*STEP_1, CROSS, CROSS_CPC))).causes[0]
    assert cause.kind == "same leg"
    assert cause.says == "The links for all cross-linked readings were made on the same leg, not crossed."
    assert cause.probability > 0.95


def test_without_readings_step_one_is_what_to_begin_with() -> None:
    found = _says(plant(1, "healthy").wired)
    assert not found.causes
    assert [each.test for each in found.next] == ["ring end to end"] * 3
    assert "nothing to weigh yet" in found.notes[-1]


def test_a_circuit_without_runs_or_cable_says_what_is_missing() -> None:
    bare = House()
    found = diagnose(bare.home, bare.view(bare.device(bare.board_id, "9")), load(), bare.memo)
    assert "No run is drawn from A9" in found.notes[0]
    wired = Wired(cable="")
    a = wired.point()
    wired.length(wired.way_id, a, 5)
    assert "No cable of A1 is known" in _says(wired).notes[0]


def test_a_radial_tested_as_a_ring_is_left_out_with_a_sentence() -> None:
    house = House()
    house.read("ring end to end", "0.4", "L", "L", way=house.radial)
    found = diagnose(house.home, house.view(house.radial), load(), house.memo)
    assert not found.causes
    assert any("test it as a radial" in note for note in found.notes)


def test_a_map_with_no_lengths_says_so_and_stays_unsure() -> None:
    wired = Wired()
    ends = [wired.point() for _ in range(4)]
    for a, b in zip([wired.way_id, *ends], [*ends, wired.way_id], strict=True):
        wired.length(a, b, None)
    visit = wired.do(verbs.start_visit(wired.home, "2026-01-05", "survey"))
    wired.do(verbs.record_reading(wired.home, visit, "ring end to end", "0.40", device=wired.way_id, cores=("L", "L")))
    found = _says(wired)
    assert any("no length on the map" in note for note in found.notes)
    assert found.causes
    assert not found.is_settled


def test_more_points_than_can_be_weighed_are_refused_in_a_sentence() -> None:
    wired = Wired()
    wired.ring(*[3.0] * (MOST_POINTS + 2))
    found = _says(wired)
    assert not found.causes
    assert f"{MOST_POINTS + 1} points" in found.notes[0]


def test_every_kind_of_cause_has_words_and_odds() -> None:
    assert set(LIKELY) == set(CAUSE_WORDS)
    assert sum(LIKELY.values()) < 1
