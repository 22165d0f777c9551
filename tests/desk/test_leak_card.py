"""The guided hunt on the desk: a planted leak followed to its end by keys, bad values, what can't be reached, back."""

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.leak_begin import INTRO, NO_CIRCUIT, NONE_LOW
from circuitmap.desk.leak_card import LeakCard
from circuitmap.desk.leak_fields import EMPTY
from circuitmap.desk.leak_said import share_words
from circuitmap.desk.readings_recorder import Recorder
from circuitmap.desk.stages.readings import LEAK, TABS
from circuitmap.desk.theme import TARGET_PX, THUMB_PX, Look
from circuitmap.home import verbs
from circuitmap.home.document import Document
from circuitmap.home.records import Reading, Visit
from circuitmap.readings.insulation import megohms, parallel
from circuitmap.readings.leak_book import Trail
from circuitmap.readings.leak_state import Asked
from circuitmap.readings.leak_told import CAUTIONS, FULL_TEST, LOW_TEST
from circuitmap.readings.verdict import Span
from tests.desk.conftest import Opened
from tests.desk.driving import press, settle, show
from tests.desk.meter_home import MeterHome, enter, key, keys, read_way

Made = Callable[[MeterHome], LeakCard]


@pytest.fixture
def home() -> MeterHome:
    """The home to read, its meter proved today."""
    made = MeterHome()
    visit = made.do(verbs.start_visit(made.home, purpose="before work"))
    meter = made.with_meter()
    made.do(verbs.prove_meter(made.home, visit, meter, "0.00"))
    return made


@pytest.fixture
def card(qtbot: QtBot, look: Look) -> Iterator[Made]:
    adapters: list[Adapter] = []

    def make(home: MeterHome) -> LeakCard:
        adapter = Adapter(Document.memory(home.home), trade.load())
        adapters.append(adapter)
        recorder = Recorder(adapter)
        made = LeakCard(adapter, recorder, look)
        recorder.setParent(made)
        qtbot.addWidget(made)
        made.resize(400, 1000)
        show(made)
        made.show_view(adapter.view_of(home.ring))
        settle()
        return made

    yield make
    for adapter in adapters:
        adapter.close()


def adapter_of(card: LeakCard) -> Adapter:
    return card._adapter


def insulation(card: LeakCard) -> list[Reading]:
    return [each for each in adapter_of(card).home.sorted(Reading) if each.test == "insulation"]


def trail_of(card: LeakCard) -> Trail:
    assert card.trail is not None
    return card.trail


def shows(asked: Asked, leaks: dict[str, float]) -> str:
    here = parallel(megohms(leaks.get(each, 50_000.0)) for each in asked.sections).least
    return ">500" if here > 500 else f"{here:.3g}"


def begin(card: LeakCard, typed: str = "") -> None:
    """Begin by keys in the field of the whole."""
    card.begin.typed.setFocus()
    enter(typed)
    settle()


def answer(card: LeakCard, **leaks: float) -> None:
    """Type what each part of the step reads, by keys alone: the focus goes along."""
    at_mohm = {each.replace("_", " "): value for each, value in leaks.items()}
    for asked in trail_of(card).step.asked:
        enter(shows(asked, at_mohm))
    settle()


def to_kind(card: LeakCard, kind: str, **leaks: float) -> None:
    for _ in range(40):
        step = trail_of(card).step
        if step.kind == kind:
            return
        assert not step.is_end, step
        answer(card, **leaks)
    raise AssertionError(f"no {kind}")


def part_rows(card: LeakCard) -> list[str]:
    parts = card.step.parts
    return [parts.row_at(n).sentence for n in range(parts.count())]


# a whole hunt ---------------------------------------------------------------------------------------------------------


def test_a_planted_leak_is_found_by_keys_and_every_part_is_on_record(card: Made, home: MeterHome) -> None:
    made = card(home)
    assert made.begin.says.text() == INTRO
    begin(made, "0.4")
    assert [each.typed for each in insulation(made)] == ["0.4"]
    to_kind(made, "found", R3=0.4)
    trail = trail_of(made)
    assert {key for each in trail.known.found for key in each.sections} == {"R3"}
    assert made.step.head.text() == "Found"
    assert "R3 between P2 and P3" in made.step.what.text()
    assert adapter_of(made).lit_ids == {"R3"}
    read = insulation(made)
    assert len(read) == 1 + sum(len(done.readings) for done in trail.done)
    assert all(each.remark.startswith("Hunt 1 L+N-E, step ") for each in read)
    assert all(each.visit and each.instrument and each.test_v for each in read)
    assert "Found: read alone 0.4 MΩ; explains" in part_rows(made)[0]
    assert not made.step.cannot.isVisible()


def test_each_step_says_what_why_how_long_and_comes_with_its_cautions(card: Made, home: MeterHome) -> None:
    made = card(home)
    begin(made, "0.4")
    assert made.step.head.text() == "Step 1: unplug"
    assert made.step.what.text().startswith("Unplug everything")
    assert made.step.why.text()
    assert "500 V, L+N–E" in made.step.work.text()
    assert "minute" in made.step.work.text()
    for sentence, _ in (*CAUTIONS, FULL_TEST):
        assert sentence in made.step.caution
    answer(made, R3=0.4)
    assert "prove it dead" in made.step.caution
    assert CAUTIONS[2][0] not in made.step.caution
    press(made.step.all_cautions, Qt.Key.Key_Space)
    assert CAUTIONS[2][0] in made.step.caution


def test_with_equipment_in_it_is_read_low_and_joined(card: Made, home: MeterHome) -> None:
    made = card(home)
    begin(made)
    assert trail_of(made).step.kind == "read whole"
    assert "250 V, L+N–E" in made.step.work.text()
    assert LOW_TEST[0] in made.step.caution
    enter("0.4")
    settle()
    (first,) = insulation(made)
    assert (first.test_v, first.cores, first.apart) == (250, ("L+N", "E"), ())


def test_a_hunt_begins_from_a_low_reading_on_record(card: Made, home: MeterHome) -> None:
    visit = home.home.sorted(Visit)[0].id
    for typed, other in (("0.3", "E"), (">500", "N")):
        home.do(verbs.record_reading(home.home, visit, "insulation", typed, device=home.ring, at=home.ring,
                                     cores=("L", other), test_v=500))  # fmt: skip
    made = card(home)
    low = made.begin.low
    assert [low.row_at(n).says for n in range(low.count())] == ["Begin from 0.30 MΩ, L–E, 500 V"]
    low.setFocus(Qt.FocusReason.TabFocusReason)
    key(Qt.Key.Key_Return)
    settle()
    trail = trail_of(made)
    assert (trail.start.pair, trail.step.kind) == ("L-E", "unplug")
    assert len(insulation(made)) == 2
    answer(made, R2=0.3)
    assert insulation(made)[-1].remark.startswith(f"Hunt 1 L-E from {trail.start.reading}, step 1: ")


def test_the_plan_shows_what_is_still_suspected_and_the_part_that_is_looked_at(card: Made, home: MeterHome) -> None:
    made = card(home)
    begin(made, "0.4")
    to_kind(made, "open", R3=0.4)
    answer(made, R3=0.4)
    lit = adapter_of(made).lit_ids
    assert "R3" in lit
    whole = {record for record in adapter_of(made).area_served(home.ring) if record[0] in "PR"}
    assert lit < whole
    made.step.parts.setFocus(Qt.FocusReason.TabFocusReason)
    key(Qt.Key.Key_End)
    assert adapter_of(made).lit_ids != lit
    key(Qt.Key.Key_Escape)
    assert adapter_of(made).lit_ids == lit
    adapter_of(made).light()
    settle()
    assert adapter_of(made).lit_ids == lit
    made.hide()
    assert adapter_of(made).lit_ids == frozenset()


def test_what_is_not_read_alone_is_never_called_certain(card: Made, home: MeterHome) -> None:
    made = card(home)
    begin(made, "0.4")
    to_kind(made, "open", R3=0.4)
    assert "Nothing is certain before it was read alone." in made.step.says.text()
    assert not any(row.startswith("100 %") or "Found" in row for row in part_rows(made))
    assert any("not read alone yet" in row for row in part_rows(made))


# when it goes otherwise -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("typed", ["0.3.4", "leaky", "2 volts", "OL and more"])
def test_a_bad_value_gets_a_sentence_and_nothing_is_recorded(card: Made, home: MeterHome, typed: str) -> None:
    made = card(home)
    begin(made, "0.4")
    before, step = len(insulation(made)), trail_of(made).step
    enter(typed)
    settle()
    assert len(made.step.fields.problem) > 20
    assert made.step.fields.problem.endswith(".")
    assert len(insulation(made)) == before
    assert trail_of(made).step == step
    field = made.step.fields.fields[0]
    assert field.hasFocus()
    assert field.text() == typed
    key(Qt.Key.Key_Escape)
    assert field.text() == ""
    key(Qt.Key.Key_Return)
    assert made.step.fields.problem == EMPTY
    enter("OL")
    settle()
    assert trail_of(made).step != step
    assert insulation(made)[-1].bound == ">"


def test_a_bad_whole_is_told_where_it_was_typed(card: Made, home: MeterHome) -> None:
    made = card(home)
    begin(made, "about half")
    assert made.trail is None
    assert "about half" in made.begin.problem.text()
    assert not insulation(made)
    made.begin.typed.clear()
    begin(made, "0.5")
    assert trail_of(made).start.is_of_hunt


def test_what_cant_be_reached_is_left_shut_and_stays_on_record(card: Made, home: MeterHome) -> None:
    made = card(home)
    begin(made, "0.4")
    to_kind(made, "open", R3=0.4)
    place = trail_of(made).step.at
    press(made.step.cannot, Qt.Key.Key_Space)
    settle()
    assert trail_of(made).step.at != place
    assert place in trail_of(made).hunt.shut
    assert insulation(made)[-1].not_possible == "can’t get at it"
    assert made.step.fields.fields[0].hasFocus()
    to_kind(made, "found", R3=0.4)


def test_a_part_that_cant_be_read_is_said_in_its_field(card: Made, home: MeterHome) -> None:
    made = card(home)
    begin(made, "0.4")
    to_kind(made, "open", R3=0.4)
    first, *others = trail_of(made).step.asked
    enter("not possible: behind the oven")
    for asked in others:
        enter(shows(asked, {"R3": 0.4}))
    settle()
    assert first.sections in trail_of(made).hunt.unread


def test_back_takes_the_last_step_off_the_record_and_undo_brings_it_again(card: Made, home: MeterHome) -> None:
    made = card(home)
    begin(made, "0.4")
    assert not made.step.back.isEnabled()
    first = trail_of(made).step
    answer(made, R3=0.4)
    second = trail_of(made).step
    count = len(insulation(made))
    press(made.step.back, Qt.Key.Key_Space)
    settle()
    assert trail_of(made).step == first
    assert len(insulation(made)) == count - 1
    assert made.step.fields.fields[0].hasFocus()
    adapter_of(made).undo()
    settle()
    assert trail_of(made).step == second
    assert len(insulation(made)) == count


def test_stopped_or_closed_it_is_picked_up_where_it_was(card: Made, home: MeterHome, qtbot: QtBot, look: Look) -> None:
    made = card(home)
    begin(made, "0.4")
    to_kind(made, "open", R3=0.4)
    one = trail_of(made).step.asked[0]
    enter(shows(one, {"R3": 0.4}))  # the first part of a step that isn't done yet
    settle()
    before = trail_of(made)
    press(made.step.stop, Qt.Key.Key_Space)
    settle()
    assert made.trail is None
    assert made.begin.isVisible()
    other = LeakCard(adapter_of(made), made._recorder, look)  # as another window would have it
    qtbot.addWidget(other)
    made.hide()
    show(other)
    other.show_view(adapter_of(made).view_of(home.ring))
    settle()
    assert [other.begin.hunts.row_at(0).says] == ["Go on with hunt 1, L+N–E"]
    other.begin.focus_first()
    key(Qt.Key.Key_Return)
    settle()
    after = trail_of(other)
    assert (after.step, after.given, after.number) == (before.step, before.given, before.number)
    fields = other.step.fields.fields
    assert fields[0].text() == shows(one, {"R3": 0.4})
    assert fields[1].hasFocus()


def test_a_reading_waits_for_the_proof_of_the_meter(card: Made, home: MeterHome) -> None:
    unproved = MeterHome()
    unproved.with_meter()
    made = card(unproved)
    asked: list[bool] = []
    made.proof_wanted.connect(lambda: asked.append(True))
    begin(made)
    enter("0.4")
    assert asked == [True]
    assert made.step.fields.problem.startswith("Not recorded yet.")
    assert not insulation(made)
    made._recorder.prove("0.00")
    settle()
    assert made.step.fields.fields[0].text() == "0.4"
    key(Qt.Key.Key_Return)
    settle()
    assert [each.typed for each in insulation(made)] == ["0.4"]


def test_a_way_without_runs_tries_its_equipment_and_then_asks_for_them(card: Made, home: MeterHome) -> None:
    ground = adapter_ground(home)
    for n in range(2):
        point = home.point("socket", (ground, 1000 + 500 * n, 3000))
        home.do(verbs.tag(home.home, point, home.bare))
    made = card(home)
    made.show_view(adapter_of(made).view_of(home.bare))
    settle()
    begin(made, "2")
    assert trail_of(made).step.kind == "unplug"
    enter("2")
    settle()
    assert made.step.head.text() == "No further here"
    assert "draw its runs" in made.step.why.text()
    assert not made.step.fields.fields
    press(made.step.stop, Qt.Key.Key_Space)
    assert made.begin.isVisible()


def test_a_way_with_nothing_on_it_and_no_way_at_all(card: Made, home: MeterHome) -> None:
    made = card(home)
    assert made.begin._none.text() == NONE_LOW
    made.show_view(adapter_of(made).view_of(home.bare))
    begin(made, "2")
    assert trail_of(made).step.kind == "stuck"
    made.show_view(None)
    settle()
    assert made.begin.says.text() == NO_CIRCUIT
    assert not made.begin.typed.isVisible()


def test_each_way_keeps_its_own_hunt(card: Made, home: MeterHome) -> None:
    made = card(home)
    begin(made, "0.4")
    step = trail_of(made).step
    made.show_view(adapter_of(made).view_of(home.lights))
    settle()
    assert made.trail is None
    made.show_view(adapter_of(made).view_of(home.ring))
    settle()
    assert trail_of(made).step == step


def test_undoing_all_of_it_ends_it(card: Made, home: MeterHome) -> None:
    made = card(home)
    begin(made, "0.4")
    adapter_of(made).undo()
    settle()
    assert made.trail is None
    assert made.begin.isVisible()


# in the stage ---------------------------------------------------------------------------------------------------------


def test_in_the_stage_it_stands_beside_the_causes_asks_for_the_proof_and_goes_on_typing(opened: Opened) -> None:
    unproved = MeterHome()
    unproved.with_meter()
    window = opened(unproved.home)
    read_way(window, unproved.ring)
    stage = window.readings_stage
    window.actions_["readings-leak"].trigger()
    settle()
    assert stage.tabs.currentIndex() == LEAK
    assert stage.leak.begin.typed.hasFocus()
    key(Qt.Key.Key_Return)
    settle()
    assert trail_of(stage.leak).step.kind == "read whole"
    enter("0.4")
    assert stage.meter.is_asking
    enter("0.00")
    settle()
    field = stage.leak.step.fields.fields[0]
    assert stage.tabs.currentIndex() == LEAK
    assert field.hasFocus()
    assert field.text() == "0.4"
    key(Qt.Key.Key_Return)
    settle()
    assert trail_of(stage.leak).number == 2
    field = stage.leak.step.fields.fields[0]
    assert field.hasFocus()
    shown = field.mapTo(stage.leak_page.viewport(), field.rect().center())
    assert stage.leak_page.viewport().rect().contains(shown), "what one types into is in sight"
    assert not [each for each in adapter_of(stage.leak).home.sorted(Reading) if each.test == "insulation"][1:]


def test_in_the_stage_it_follows_the_way_and_what_is_suspected_is_lit_only_while_it_is_looked_at(
    opened: Opened, home: MeterHome
) -> None:
    window = opened(home.home)
    read_way(window, home.ring)
    stage = window.readings_stage
    window.actions_["readings-leak"].trigger()
    settle()
    begin(stage.leak, "0.4")
    to_kind(stage.leak, "found", R3=0.4)
    assert window.adapter.lit_ids == {"R3"}
    window.actions_["readings-grid"].trigger()
    settle()
    assert window.adapter.lit_ids == frozenset()
    window.actions_["readings-leak"].trigger()
    settle()
    assert window.adapter.lit_ids == {"R3"}
    window.adapter.select(home.lights)
    settle()
    assert stage.leak.trail is None
    assert window.adapter.lit_ids == frozenset()


def test_all_pages_of_the_stage_fit_beside_each_other(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring)
    bar = window.readings_stage.tabs.tabBar()
    assert bar.count() == len(TABS)
    assert bar.tabRect(LEAK).right() <= window.readings_stage.tabs.width()


# keys and hands -------------------------------------------------------------------------------------------------------


def test_everything_has_a_name_is_big_enough_and_comes_by_tab(card: Made, home: MeterHome) -> None:
    made = card(home)
    for field in (made.begin.between, made.begin.typed, made.begin.begin_button):
        assert field.accessibleName()
        assert field.height() >= THUMB_PX
    begin(made, "0.4")
    to_kind(made, "open", R3=0.4)
    step = made.step
    reached: list[QWidget | None] = []
    for _ in range(12):
        reached.append(QApplication.focusWidget())
        key(Qt.Key.Key_Tab)
    for widget in (*step.fields.fields, step.cannot, step.back, step.stop):
        assert widget in reached, widget.accessibleName()
        assert widget.accessibleName()
        assert widget.height() >= THUMB_PX
    assert step.parts in reached
    assert step.all_cautions.height() >= TARGET_PX
    names = [field.accessibleName() for field in step.fields.fields]
    assert len(set(names)) == len(names)


def test_the_next_step_is_worked_out_in_another_thread_and_typing_stays(card: Made, home: MeterHome) -> None:
    made = card(home)
    begin(made, "0.4")
    to_kind(made, "open", R3=0.4)
    keys("0.9")
    adapter_of(made).do(verbs.edit(adapter_of(made).home, home.lamps[0], name="Lamp by the door"))
    settle()
    assert made.step.fields.fields[0].text() == "0.9"
    QTest.keyClick(made.step.fields.fields[0], Qt.Key.Key_Escape)
    assert made.step.fields.fields[0].text() == ""


@pytest.mark.parametrize(("share", "words"), [
    (None, "its share of the leak can’t be told yet"),
    (Span(0.0, 1.0), "its share of the leak can’t be told yet"),
    (Span(0.85, 1.0), "explains nearly all of the leak (at least 85 %)"),
    (Span(0.55, 0.9), "explains most of the leak (55 to 90 %)"),
    (Span(0.3, 0.7), "explains some of the leak (30 to 70 %)"),
    (Span(0.1, 0.4), "explains less than half of the leak (10 to 40 %)"),
    (Span(0.0, 0.04), "explains next to nothing of the leak (at most 4 %)"),
])  # fmt: skip
def test_shares_are_told_in_words_and_per_cent(share: Span | None, words: str) -> None:
    assert share_words(share) == words


def adapter_ground(home: MeterHome) -> str:
    """The storey of the home to read."""
    place = home.home.get(home.sockets[0])
    return str(getattr(getattr(place, "place", None), "storey", ""))
