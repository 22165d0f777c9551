"""Walls made of the drawing's own lines: chosen by layer, shown first, made in one step, refused in words."""

import io
from pathlib import Path

import ezdxf
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from circuitmap.desk.lines_card import LinesCard
from circuitmap.desk.theme import TARGET_PX
from circuitmap.desk.window import Window
from circuitmap.drawing.marks import Area
from circuitmap.home import verbs
from circuitmap.home.records import Sheet, Wall
from tests.build import Builder
from tests.desk.conftest import Opened
from tests.desk.driving import click, press, settle
from tests.desk.lined_home import lay_lines, on_plan
from tests.desk.plan_home import lay_drawing
from tests.pictures import pdfs


@pytest.fixture
def window(opened: Opened, tmp_path: Path) -> Window:
    made = opened(Builder().home)
    lay_lines(made, tmp_path)
    return made


def card(window: Window) -> LinesCard:
    return window.draw_stage.building.lines


def wait(window: Window) -> None:
    """Let what was chosen be looked at: a moment later, in the background."""
    QTest.qWait(200)
    settle()


def opened_card(window: Window) -> LinesCard:
    click(window, card(window).open_button)
    settle()
    wait(window)
    return card(window)


def rows(window: Window) -> list[tuple[str, bool]]:
    listed = card(window).list
    items = [listed.item(n) for n in range(listed.count())]
    return [(item.text(), item.checkState() == Qt.CheckState.Checked) for item in items]


def tick(window: Window, words: str) -> None:
    """A real click into the box of a row."""
    listed = card(window).list
    item = next(listed.item(n) for n in range(listed.count()) if listed.item(n).text().startswith(words))
    listed.scrollToItem(item)
    area = listed.visualItemRect(item)
    QTest.mouseClick(
        listed.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier,
        QPoint(area.left() + 12, area.center().y()),
    )  # fmt: skip
    wait(window)


def type_thickness(window: Window, text: str) -> None:
    field = card(window).single
    field.setFocus()
    field.selectAll()
    QTest.keyClick(field, Qt.Key.Key_Delete)
    QTest.keyClicks(field, text)
    wait(window)


def walls(window: Window) -> list[Wall]:
    return window.adapter.home.sorted(Wall)


def ghosts(window: Window) -> list[Area]:
    return [mark for mark in window.view._ghost if isinstance(mark, Area)]


def test_layers_are_offered_and_those_called_walls_are_chosen(window: Window) -> None:
    opened_card(window)
    assert rows(window) == [("WALLS · 16", True), ("STAIRS · 9", False), ("FURNITURE · 4", False), ("GRID · 2", False)]
    assert card(window).says.startswith("5 walls, 1 door in them.")


def test_the_walls_are_shown_before_they_are_made_with_the_door_left_open(window: Window) -> None:
    before = window.adapter.home
    opened_card(window)
    assert len(ghosts(window)) == 6  # five walls, one in two parts beside its door
    assert window.adapter.home == before
    click(window, card(window).end_button)
    assert ghosts(window) == []
    assert not card(window).is_open
    assert not card(window).open_button.isChecked()


def test_they_are_made_to_size_in_one_step_and_one_undo_takes_them_back(window: Window) -> None:
    sheet = window.adapter.home.sorted(Sheet)[-1]
    before = window.adapter.home
    opened_card(window)
    click(window, card(window).make_button)
    made = walls(window)
    assert sorted(wall.thickness_mm or 0 for wall in made) == [100, 300, 300, 300, 300]
    (inner,) = [wall for wall in made if wall.thickness_mm == 100]
    x, _ = on_plan(sheet, 3150, 0)
    assert {inner.a_mm[0], inner.b_mm[0]} == {round(x)}
    (door,) = inner.openings
    assert (door.kind, door.width_mm) == ("door", 800)
    assert all(wall.thickness_from == "drawn" and not wall.from_rooms for wall in made)
    assert window.message.startswith("5 walls made with 1 door.")
    assert not card(window).is_open
    assert ghosts(window) == []
    assert window.focusWidget() is card(window).open_button
    QTest.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.adapter.home == before


def test_lines_that_are_no_walls_are_said_to_be_none(window: Window) -> None:
    opened_card(window)
    tick(window, "WALLS")
    assert card(window).says == "Choose at least one group of lines."
    assert not card(window).make_button.isEnabled()
    tick(window, "STAIRS")
    assert card(window).says.startswith("None of these lines could be a wall")
    assert not card(window).make_button.isEnabled()
    assert ghosts(window) == []


def test_walls_of_one_line_take_the_thickness_that_is_typed(window: Window) -> None:
    opened_card(window)
    tick(window, "WALLS")
    tick(window, "FURNITURE")
    assert "Say how thick walls drawn as one line are." in card(window).says
    type_thickness(window, "80 mm")
    assert card(window).says.startswith("4 walls")
    QTest.keyClick(card(window).single, Qt.Key.Key_Return)
    assert {(wall.thickness_mm, wall.thickness_from) for wall in walls(window)} == {(80, "assumed")}


@pytest.mark.parametrize("typed", ["thick", "4 m", "1 mm", "-100"])
def test_a_thickness_that_is_none_is_said_and_nothing_is_made(window: Window, typed: str) -> None:
    opened_card(window)
    type_thickness(window, typed)
    assert card(window).says
    assert not card(window).make_button.isEnabled()
    QTest.keyClick(card(window).single, Qt.Key.Key_Return)
    assert window.message == card(window).says
    assert walls(window) == []


def test_without_a_scale_the_scale_is_asked_for_first(opened: Opened, tmp_path: Path) -> None:
    window = opened(Builder().home)
    document = ezdxf.new()
    document.units = 0
    for y in (0, 100):
        document.modelspace().add_line((0, y), (4000, y))
    stream = io.StringIO()
    document.write(stream)
    lay_lines(window, tmp_path, stream.getvalue().encode())
    window.adapter.set_tool("select")
    click(window, card(window).open_button)
    assert window.message == "This plan has no scale yet; set it first, so that the walls come to size."
    assert not card(window).is_open
    assert not card(window).open_button.isChecked()


def test_under_a_picture_there_is_no_such_button(opened: Opened, tmp_path: Path) -> None:
    window = opened(Builder().home)
    lay_drawing(window, tmp_path)
    assert not card(window).isVisibleTo(window)
    assert not window.actions_["walls-from-lines"].isEnabled()


def test_a_pdf_is_offered_by_its_strokes(opened: Opened, tmp_path: Path) -> None:
    window = opened(Builder().home)
    path = tmp_path / "plan.pdf"
    # Two faces 100 apart and a thin red line, in points.
    path.write_bytes(pdfs.pdf(b"2 w 100 100 m 500 100 l S 100 110 m 500 110 l S 0.3 w 1 0 0 RG 50 300 m 700 300 l S"))
    assert window.draw_stage.bring(path)
    settle()
    sheet = window.adapter.home.sorted(Sheet)[-1]
    mm = 10 / (200 / 72)  # ten millimetres a point
    window.adapter.do(verbs.set_scale(window.adapter.home, sheet.id, (mm, 0, 0, 0, mm, 0, 0, 0, 1), "1:28"))
    window.adapter.set_tool("select")
    window.fit()
    settle()
    opened_card(window)
    assert [words for words, _ in rows(window)] == ["Black lines, 5.6 px · 2", "Red lines, 0.8 px · 1"]
    click(window, card(window).make_button)
    (wall,) = walls(window)
    assert wall.thickness_mm == 100
    assert abs(wall.b_mm[0] - wall.a_mm[0]) == 4000


def test_walls_that_are_there_are_left_alone(window: Window) -> None:
    opened_card(window)
    click(window, card(window).make_button)
    opened_card(window)
    click(window, card(window).make_button)
    assert window.message == "All of these walls are there already."
    assert len(walls(window)) == 5


def test_the_search_and_the_menu_know_it_and_leaving_the_stage_puts_it_away(window: Window) -> None:
    assert window.actions_["walls-from-lines"].isEnabled()
    window.actions_["walls-from-lines"].trigger()
    settle()
    assert card(window).is_open
    window.adapter.set_stage("survey")
    assert not card(window).is_open


def test_space_chooses_a_group_from_the_keys_and_targets_are_large_enough(window: Window) -> None:
    opened_card(window)
    listed = card(window).list
    listed.setFocus()
    listed.setCurrentRow(1)
    press(listed, Qt.Key.Key_Space)
    wait(window)
    assert rows(window)[1][1]
    for part in (card(window).open_button, card(window).make_button, card(window).end_button, card(window).single):
        assert part.height() >= TARGET_PX
        assert part.accessibleName() or part.text()


def test_the_sheet_going_puts_the_choice_away(window: Window) -> None:
    opened_card(window)
    sheet = window.adapter.home.sorted(Sheet)[-1]
    window.adapter.do(lambda home: verbs.remove(home, sheet.id))
    settle()
    assert not card(window).is_open
    assert ghosts(window) == []


def test_a_read_only_home_gets_no_walls(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(type(window.adapter.document), "read_only", True)
    window.adapter.changed.emit(None)
    assert not card(window).open_button.isEnabled()
    assert not window.actions_["walls-from-lines"].isEnabled()
