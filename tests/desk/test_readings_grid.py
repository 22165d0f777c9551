"""Typing what the meter shows, by keys alone: in ring order, as a person writes it, nothing lost, nothing made up."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from circuitmap.desk.readings_model import AFTER, BEFORE, SAYS, SHOULD
from circuitmap.desk.window import Window
from circuitmap.home import Home, verbs
from circuitmap.home.records import Link, Point, Visit
from tests.desk.conftest import Opened
from tests.desk.driving import click, settle
from tests.desk.meter_home import MeterHome, enter, key, keys, read_way, readings


@pytest.fixture
def home() -> MeterHome:
    made = MeterHome()
    made.with_meter()
    return made


def proved(window: Window) -> None:
    """Prove the meter as one does: type, short the leads, type what it shows."""
    enter("0")
    enter("0.00")
    key(Qt.Key.Key_Escape)
    settle()


def shown(window: Window, row: int, column: int) -> str:
    model = window.readings_stage.model
    return str(model.data(model.index(row, column)))


def test_a_whole_sweep_is_typed_in_ring_order_by_keys_alone(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    proved(window)
    stage = window.readings_stage
    typed = ["0.20", ".21", "0.21 ohm", "210 mΩ", "0.27", "0.22", "0.21", "0.20"]
    for text in typed:
        enter(text)
    settle()
    taken = readings(window)
    order = [home.ring, *home.sockets[:3], home.spur, *home.sockets[3:]]
    assert [each.at for each in taken] == order
    assert [each.value_si for each in taken] == pytest.approx([0.20, 0.21, 0.21, 0.21, 0.27, 0.22, 0.21, 0.20])
    assert [each.typed for each in taken] == typed
    assert {(each.cores, each.link.kind if each.link else None) for each in taken} == {(("L", "N"), "cross")}
    assert {each.instrument for each in taken} == {stage.recorder.meter.id}  # type: ignore[union-attr]  # there is one
    assert "That was the last one" in stage.told
    assert "Step 3" in stage.told
    assert "8 of 8 read" in stage.choice.button_of("cross-N").accessibleName()


def test_the_expected_value_stands_beside_and_the_word_says_how_they_compare(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    proved(window)
    for text in ("0.21", "0.48", "0.02", ">99.9"):
        enter(text)
    settle()
    assert [shown(window, row, SHOULD) for row in range(4)] == ["0.21"] * 4  # (r1 + rn)/4 of 56 m of 2.5 mm²
    assert [shown(window, row, SAYS) for row in range(4)] == ["fits", "high", "low", "open"]
    stage = window.readings_stage
    stage.grid.go_to(1)
    assert "more than the map expects (0.21 ± " in stage.told


def test_a_bad_value_is_one_sentence_and_the_text_stays(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    proved(window)
    enter("3 bananas")
    stage = window.readings_stage
    assert "bananas is no unit" in stage.told
    assert stage.told.count("“") == 1
    assert stage.grid.editor is not None
    assert stage.grid.editor.text() == "3 bananas"
    assert readings(window) == []
    for _ in range(9):
        key(Qt.Key.Key_Backspace)
    enter(".3")
    settle()
    assert [each.value_si for each in readings(window)] == [0.3]
    assert stage.grid.row == 1


def test_a_bad_value_left_by_the_mouse_waits_in_its_cell(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    proved(window)
    stage = window.readings_stage
    keys("0.3.3")
    window.find_field.setFocus()
    settle()
    assert shown(window, 0, BEFORE) == "0.3.3"
    assert readings(window) == []
    stage.grid.setFocus()
    stage.grid.go_to(0, edits=True)
    assert stage.grid.editor is not None
    assert stage.grid.editor.text() == "0.3.3"
    key(Qt.Key.Key_Escape)
    settle()
    assert shown(window, 0, BEFORE) == ""


def test_over_range_is_a_bound_and_not_possible_keeps_its_reason(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    proved(window)
    for text in (">200", "99.9+", "OL", "not possible: boiler connected"):
        enter(text)
    settle()
    first, second, third, fourth = readings(window)
    assert [(each.value_si, each.bound) for each in (first, second, third)] == [(200, ">"), (99.9, ">"), (99.9, ">")]
    assert (fourth.value_si, fourth.not_possible) == (None, "boiler connected")
    assert shown(window, 3, BEFORE) == "not read"
    assert shown(window, 2, BEFORE) == ">99.9"


def test_overtyping_records_a_later_reading_beside_the_earlier(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    proved(window)
    enter("0.30")
    window.readings_stage.grid.go_to(0)
    enter("0.21")
    settle()
    assert [each.typed for each in readings(window)] == ["0.30", "0.21"]
    assert shown(window, 0, BEFORE) == "0.21"
    stage = window.readings_stage
    assert stage.model.data(stage.model.index(0, BEFORE), Qt.ItemDataRole.UserRole) == "1 earlier"


def test_enter_on_what_was_read_goes_on_without_recording_it_again(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    proved(window)
    enter("0.30")
    window.readings_stage.grid.go_to(0)
    key(Qt.Key.Key_Return)  # opens the cell
    key(Qt.Key.Key_Return)  # and goes on
    assert len(readings(window)) == 1
    assert window.readings_stage.grid.row == 1


def test_one_undo_takes_one_reading_back(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    proved(window)
    enter("0.21")
    enter("0.22")
    window.actions_["undo"].trigger()
    settle()
    assert [each.typed for each in readings(window)] == ["0.21"]
    assert shown(window, 1, BEFORE) == ""
    window.actions_["redo"].trigger()
    settle()
    assert shown(window, 1, BEFORE) == "0.22"


def test_another_test_begins_where_it_was_left(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    proved(window)
    enter("0.21")
    enter("0.22")
    stage = window.readings_stage
    window.actions_["readings-next-test"].trigger()
    assert stage.grid.row == 0
    assert stage.told == "Board: not read yet."
    window.actions_["readings-last-test"].trigger()
    settle()
    assert stage.grid.row == 2
    assert window.adapter.selection == (home.sockets[1],)
    assert stage.told == f"{home.sockets[1]}: not read yet."


def test_delete_in_the_grid_removes_nothing(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    window.readings_stage.grid.go_to(1)
    assert window.adapter.selection == (home.sockets[0],)
    key(Qt.Key.Key_Delete)
    assert home.sockets[0] in window.adapter.home.table(Point)
    assert "never removed" in window.readings_stage.told


def test_the_row_one_is_at_is_the_point_selected_on_the_plan_and_the_other_way_round(
    opened: Opened, home: MeterHome
) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    stage = window.readings_stage
    stage.grid.go_to(2)
    assert window.adapter.selection == (home.sockets[1],)
    window.adapter.select(home.spur)
    assert stage.grid.row == 4
    key(Qt.Key.Key_Up)
    assert window.adapter.selection == (home.sockets[2],)
    assert stage.view is not None
    assert stage.view.device.id == home.ring


def test_before_and_after_stand_beside_each_other_with_their_word(opened: Opened, home: MeterHome) -> None:
    visit = home.do(verbs.start_visit(home.home, "2026-01-05", "before work"))
    meter = home.with_meter()
    home.do(verbs.prove_meter(home.home, visit, meter, "0.00"))
    for place, typed in ((home.ring, "0.21"), (home.sockets[0], "0.80"), (home.sockets[1], "0.21")):
        home.do(verbs.record_reading(home.home, visit, "linked", typed, device=home.ring, at=place, cores=("L", "N"),
                                     link=Link(kind="cross", cores=("L", "N")), instrument=meter))  # fmt: skip
    window = opened(home.home)
    read_way(window, home.ring, "cross-N")
    stage = window.readings_stage
    assert not stage.model.has_after
    click(window, stage.after)
    stage.grid.go_to(0)
    proved(window)
    for text in ("0.21", "0.22", "0.60"):
        enter(text)
    settle()
    visits = [each.purpose for each in window.adapter.home.sorted(Visit)]
    assert visits == ["before work", "after work"]
    assert [shown(window, row, BEFORE) for row in range(3)] == ["0.21", "0.80", "0.21"]
    assert [shown(window, row, AFTER) for row in range(3)] == ["0.21", "0.22", "0.60"]
    below = [stage.model.data(stage.model.index(row, AFTER), Qt.ItemDataRole.UserRole) for row in range(3)]
    assert below == ["same", "lower", "higher"]
    stage.grid.go_to(1)
    assert "before 0.80 Ω, after 0.22 Ω" in stage.told


def test_a_reading_before_new_work_says_that_it_begins_a_new_story(opened: Opened, home: MeterHome) -> None:
    home.do(verbs.start_visit(home.home, "2026-01-05", "after work"))
    window = opened(home.home)
    read_way(window, home.ring)
    assert "new story" in window.readings_stage.note


def test_with_no_way_selected_it_says_what_to_click(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    window.adapter.set_stage("readings")
    settle()
    assert "Choose a way here" in window.readings_stage.words
    assert not window.readings_stage.grid.isVisible()
    assert not window.actions_["readings-go-on"].isEnabled()


def test_a_way_is_chosen_from_the_list_by_keys(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    window.adapter.set_stage("readings")
    settle()
    ways = window.readings_stage.ways
    assert ways.isVisible()
    assert ways.item(0).text() == "A1  Sockets\nring with spurs, nothing read yet"
    ways.setFocus()
    key(Qt.Key.Key_Down)
    key(Qt.Key.Key_Return)
    settle()
    assert window.adapter.selection == (home.lights,)
    assert not ways.isVisible()
    assert "A2 Lights" in window.readings_stage.words


def test_a_reading_that_fits_is_not_blamed_for_what_is_said_of_several(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "ends")
    proved(window)
    for text in ("0.41", "0.41", ">99.9"):
        enter(text)
    settle()
    stage = window.readings_stage
    assert [row.level for row in map(stage.model.row, range(3)) if row is not None] == ["fine", "fine", "fails"]
    assert stage.said.sentences[0].startswith("Fails: The ring is broken: cpc is open end to end.")


def test_a_home_without_ways_or_points_says_what_comes_first(opened: Opened) -> None:
    window = opened(Home.blank())
    window.adapter.set_stage("readings")
    settle()
    assert "No way on the board yet" in window.readings_stage.words


def test_a_way_without_runs_takes_the_tests_of_its_board_end(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.bare, "insulation")
    stage = window.readings_stage
    assert "No point is known on it yet" in stage.words
    proved(window)
    stage.grid.go_to(0)
    for text in (">999", "150", "20", "9.5"):
        enter(text)
    settle()
    taken = readings(window)
    assert [each.cores for each in taken] == [("L", "E"), ("N", "E"), ("L", "N"), ("L+N", "E")]
    assert [each.value_si for each in taken] == pytest.approx([999e6, 150e6, 20e6, 9.5e6])
    assert [each.test_v for each in taken] == [500, 500, 500, 250]
    stage.page.voltage_changed.emit(250.0)
    stage.grid.go_to(2)
    enter("5")
    settle()
    assert (readings(window)[-1].cores, readings(window)[-1].test_v) == (("L", "N"), 250)
    assert shown(window, 2, 0) == "L–N, 250 V"
    stage.show_group("radial")
    assert stage.model.rowCount() == 0
    assert not stage.page.voltage.isVisible()


def test_a_read_only_home_is_shown_and_not_typed_into(
    opened: Opened, home: MeterHome, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = opened(home.home)
    monkeypatch.setattr(type(window.adapter.document), "read_only", property(_yes))
    read_way(window, home.ring, "cross-N")
    enter("0.2")
    assert window.readings_stage.grid.editor is None
    assert readings(window) == []


def test_live_tests_and_words_are_typed_too(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    read_way(window, home.ring, "supply")
    enter("0.35")
    enter("1.2")
    enter("238")
    stage = window.readings_stage
    stage.show_group("Zs")
    stage.grid.go_to(0)
    enter("0.85")
    stage.show_group("polarity")
    stage.grid.go_to(0)
    enter("ok")
    stage.show_group("rcd")
    stage.grid.go_to(0)
    for text in (">300", "28", "24 ms"):
        enter(text)
    settle()
    taken = readings(window)
    tests = [each.test for each in taken]
    assert tests == ["Ze", "PFC", "supply voltage", "Zs", "polarity", "RCD trip", "RCD trip", "RCD trip"]
    assert [(each.test_a, each.phase_deg) for each in taken[5:]] == [(0.015, 0), (0.03, 0), (0.03, 180)]
    assert [each.value_si for each in taken] == pytest.approx([0.35, 1200, 238, 0.85, None, 0.3, 0.028, 0.024])
    assert taken[4].indicated == "correct"
    assert not stage.meter.is_asking, "a loop tester allows for its own leads"


def test_the_stage_has_a_key_and_its_acts_are_found(opened: Opened, home: MeterHome) -> None:
    window = opened(home.home)
    window.view.setFocus()
    key(Qt.Key.Key_F5)
    settle()
    assert window.adapter.stage == "readings"
    window.adapter.select(home.ring)
    settle()
    window.actions_["readings-go-on"].trigger()
    assert QApplication.focusWidget() is window.readings_stage.grid.editor
    key(Qt.Key.Key_Escape)
    window.actions_["readings-next-test"].trigger()
    assert window.readings_stage.group is not None
    assert window.readings_stage.group.id == "cross-N"


def _yes(_document: object) -> bool:
    return True
