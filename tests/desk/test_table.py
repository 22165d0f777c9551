"""The table of points: reads like the home, is edited in place, and follows the selection both ways."""

import pytest
from PySide6.QtCore import QAbstractItemModel, QPoint, Qt
from PySide6.QtTest import QAbstractItemModelTester, QSignalSpy, QTest
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.table import PointTable
from circuitmap.desk.table_rows import CABLES, COLUMNS, FED, FOUND, KIND, NAME, ROOM, SEEN, WHERE
from circuitmap.desk.theme import Look
from circuitmap.home import verbs
from circuitmap.home.document import Document
from circuitmap.home.records import Point
from tests.build import Builder


@pytest.fixture
def table(adapter: Adapter, look: Look, qtbot: QtBot) -> PointTable:
    made = PointTable(adapter, look)
    qtbot.addWidget(made)
    made.resize(900, 400)
    made.show()
    made.activateWindow()
    QApplication.processEvents()
    return made


def cell(table: PointTable, point: str, column: int) -> str:
    return str(table.model.index(table.model.row_of(point), column).data())


def order(table: PointTable) -> list[str]:
    return [table.model.id_at(row) for row in range(table.model.rowCount())]


def click(
    table: PointTable, point: str, column: int = NAME, with_key: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
) -> None:
    spot = table.view.visualRect(table.model.index(table.model.row_of(point), column)).center()
    QTest.mouseClick(table.view.viewport(), Qt.MouseButton.LeftButton, with_key, spot)


def type_into_cell(table: PointTable, point: str, column: int, text: str) -> None:
    """Ctrl+Enter, the text, Enter, as a person without a mouse does it."""
    table.view.setFocus()
    table.view.setCurrentIndex(table.model.index(table.model.row_of(point), column))
    QTest.keyClick(table.view, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    editor = table.view.viewport().findChild(QLineEdit)
    assert editor is not None
    editor.selectAll()
    if text:
        QTest.keyClicks(editor, text)
    else:
        QTest.keyClick(editor, Qt.Key.Key_Backspace)
    QTest.keyClick(editor, Qt.Key.Key_Return)
    QApplication.processEvents()


def test_a_row_says_what_is_known_of_its_point(table: PointTable, adapter: Adapter) -> None:
    assert order(table) == ["P1", "P2", "P3", "P4", "P5", "P6"]
    assert cell(table, "P1", NAME) == "P1"
    assert cell(table, "P1", ROOM) == "Kitchen"
    assert cell(table, "P1", FED) == "A1"
    assert cell(table, "P5", FED) == "A3"
    assert cell(table, "P1", CABLES) == "2"
    assert cell(table, "P6", FED) == "A3"  # a switch goes with its light
    adapter.do(lambda home: verbs.add_point(home, "socket"))
    assert cell(table, "P7", FED) == "not checked"


def test_what_is_planned_or_gone_is_told_apart_and_fed_by_nothing(table: PointTable, adapter: Adapter) -> None:
    adapter.do(lambda home: verbs.add_point(home, "socket", gangs=2))
    adapter.do(lambda home: verbs.edit(home, "P7", phase="planned"))
    assert (cell(table, "P7", KIND), cell(table, "P7", FED)) == ("planned: socket ×2", "")
    adapter.do(lambda home: verbs.edit(home, "P7", phase="removed"))
    assert cell(table, "P7", KIND) == "taken out: socket ×2"


def test_the_count_of_findings_is_the_list_of_findings(table: PointTable, adapter: Adapter) -> None:
    adapter.do(verbs.note(adapter.home, "P2", ("scorched",)))
    for point in order(table):
        about = [f for f in adapter.findings if point in f.subjects and not f.aside and f.code != "note"]
        assert cell(table, point, FOUND) == (str(len(about)) if about else "")
    assert cell(table, "P2", FOUND)
    assert not cell(table, "P3", FOUND)


def test_the_latest_outcome_is_shown_whatever_order_it_was_written_in(look: Look, qtbot: QtBot) -> None:
    b = Builder()
    way = b.device(b.board("A"), "1")
    point = b.point(room=b.room("Hall"))
    visit = b.visit()
    round_id = b.round(visit, way)
    for at, outcome in (("2026-01-05T09:30:00Z", "still on"), ("2026-01-05T09:20:00Z", "off")):
        b.do(verbs.record_check(b.home, round_id, point, outcome, at=at))  # type: ignore[arg-type]  # literal outcomes
    made = PointTable(Adapter(Document.memory(b.home), trade.load()), look)
    qtbot.addWidget(made)
    assert cell(made, point, SEEN) == "still on"


def test_a_survey_names_the_ways_still_possible(look: Look, qtbot: QtBot) -> None:
    b = Builder()
    board = b.board("A")
    first, second, _third = (b.device(board, str(n)) for n in (1, 2, 3))
    point = b.point(room=b.room("Hall"))
    visit = b.visit()
    b.check(b.round(visit), point, "still on")
    b.check(b.round(visit, first, second), point, "off")
    adapter = Adapter(Document.memory(b.home), trade.load())
    assert adapter.deduced[point].verdict == "in doubt"
    made = PointTable(adapter, look)
    qtbot.addWidget(made)
    assert cell(made, point, FED) == "A1 or A2? (in doubt)"
    assert cell(made, point, SEEN) == "went off"


def test_clicks_select_in_the_home_and_ctrl_adds(table: PointTable, adapter: Adapter) -> None:
    click(table, "P2")
    assert adapter.selection == ("P2",)
    click(table, "P4", with_key=Qt.KeyboardModifier.ControlModifier)
    assert set(adapter.selection) == {"P2", "P4"}


def test_a_selection_from_elsewhere_shows_and_is_not_sent_back(table: PointTable, adapter: Adapter) -> None:
    spy = QSignalSpy(adapter.selected)
    adapter.select("P3", "P5", "D3")
    assert spy.count() == 1
    assert adapter.selection == ("P3", "P5", "D3")
    rows = {index.row() for index in table.view.selectionModel().selectedRows()}
    assert {table.model.id_at(row) for row in rows} == {"P3", "P5"}
    adapter.select()
    assert not table.view.selectionModel().hasSelection()


def test_enter_goes_to_the_page_of_the_point(table: PointTable, qtbot: QtBot) -> None:
    click(table, "P2")
    with qtbot.waitSignal(table.inspect, timeout=1000):
        QTest.keyClick(table.view, Qt.Key.Key_Return)


def test_a_name_is_edited_in_place_and_its_enter_goes_nowhere_else(table: PointTable, adapter: Adapter) -> None:
    spy = QSignalSpy(table.inspect)
    type_into_cell(table, "P2", NAME, "by the <b>window</b>")
    assert adapter.home.take(Point, "P2").name == "by the <b>window</b>"
    assert cell(table, "P2", NAME) == "P2 by the <b>window</b>"
    assert spy.count() == 0
    adapter.undo()
    assert cell(table, "P2", NAME) == "P2"


def test_a_double_click_edits_too(table: PointTable, adapter: Adapter) -> None:
    spot: QPoint = table.view.visualRect(table.model.index(1, WHERE)).center()
    QTest.mouseClick(table.view.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    QTest.mouseDClick(table.view.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    editor = table.view.viewport().findChild(QLineEdit)
    assert editor is not None
    QTest.keyClicks(editor, "left of the door")
    QTest.keyClick(editor, Qt.Key.Key_Return)
    QApplication.processEvents()
    assert adapter.home.take(Point, "P2").where == "left of the door"


@pytest.mark.parametrize(("typed", "count"), [("3", 3), ("", None), (" 4 ", 4), ("0", 0)])
def test_cables_are_counted_in_place_and_nothing_means_nobody_counted(
    table: PointTable, adapter: Adapter, typed: str, count: int | None
) -> None:
    type_into_cell(table, "P1", CABLES, typed)
    assert adapter.home.take(Point, "P1").cables_seen == count


@pytest.mark.parametrize("typed", ["two", "-1", "1.5", "100", "9" * 400])
def test_a_count_that_is_none_is_refused_in_words(table: PointTable, adapter: Adapter, typed: str) -> None:
    spy = QSignalSpy(adapter.said)
    before = adapter.home
    type_into_cell(table, "P1", CABLES, typed)
    assert adapter.home == before
    assert spy.count() == 1
    assert "no count of cables" in spy.at(0)[0]
    assert spy.at(0)[1] is True
    assert cell(table, "P1", CABLES) == "2"


def test_a_cell_left_as_it_was_is_no_change(table: PointTable, adapter: Adapter) -> None:
    before = adapter.document.undo_title
    type_into_cell(table, "P1", CABLES, "2")
    assert adapter.document.undo_title == before


def test_kind_room_and_feed_are_not_typed_over(table: PointTable) -> None:
    editable = {
        n for n in range(len(COLUMNS)) if table.model.flags(table.model.index(0, n)) & Qt.ItemFlag.ItemIsEditable
    }
    assert editable == {NAME, WHERE, CABLES}


@pytest.mark.parametrize("name", ["<b>fett</b>", "x" * 10_000, "מטבח 3", "🔌🏠", "a\nb\tc"])
def test_whatever_people_typed_stays_plain_text(table: PointTable, adapter: Adapter, name: str) -> None:
    adapter.do(verbs.edit(adapter.home, "P1", name=name))
    shown = cell(table, "P1", NAME)
    assert len(shown) <= 300
    assert "\n" not in shown
    tip = str(table.model.index(0, NAME).data(Qt.ItemDataRole.ToolTipRole))
    assert "<b>" not in tip
    assert not table.grab().isNull()


def test_words_narrow_the_list_down_and_all_must_be_there(table: PointTable, adapter: Adapter) -> None:
    adapter.select("P1")
    QTest.keyClicks(table.filter, "SOCKET hall")
    assert {cell(table, point, ROOM) for point in order(table)} == {"Hall"}
    assert "P5" not in order(table)
    assert adapter.selection == ("P1",)  # what is out of sight stays chosen
    table.filter.clear()
    assert len(order(table)) == 6
    assert table.view.selectionModel().isRowSelected(0)
    QTest.keyClicks(table.filter, "no such thing")
    assert order(table) == []


def test_points_sort_by_their_number_and_a_click_on_a_heading_sorts(look: Look, qtbot: QtBot) -> None:
    b = Builder()
    room = b.room("Hall")
    for n in range(12):
        b.point(room=room, where=f"spot {12 - n}", cables=n)
    made = PointTable(Adapter(Document.memory(b.home), trade.load()), look)
    qtbot.addWidget(made)
    made.resize(900, 400)
    made.show()
    assert order(made)[8:] == ["P9", "P10", "P11", "P12"]
    header = made.view.horizontalHeader()
    spot = QPoint(header.sectionViewportPosition(WHERE) + 20, header.height() // 2)
    QTest.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    assert order(made)[0] == "P12"  # spot 1; then spot 2, not spot 10
    assert order(made)[1] == "P11"
    QTest.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    assert order(made)[0] == "P1"


def test_an_edit_touches_its_row_and_no_other(table: PointTable, adapter: Adapter) -> None:
    changed, reset = QSignalSpy(table.model.dataChanged), QSignalSpy(table.model.modelReset)
    adapter.do(verbs.edit(adapter.home, "P2", where="by the door"))
    assert [changed.at(n)[0].row() for n in range(changed.count())] == [1]
    assert reset.count() == 0


def test_points_come_and_go_row_by_row_and_the_selection_stays(table: PointTable, adapter: Adapter) -> None:
    reset, put_in = QSignalSpy(table.model.modelReset), QSignalSpy(table.model.rowsInserted)
    adapter.select("P4")
    adapter.do(lambda home: verbs.remove(home, "P2"))
    adapter.do(lambda home: verbs.add_point(home, "socket"))
    assert order(table) == ["P1", "P3", "P4", "P5", "P6", "P7"]
    assert put_in.count() == 1
    assert reset.count() == 0
    assert adapter.selection == ("P4",)
    assert table.view.selectionModel().isRowSelected(2)
    adapter.undo()
    adapter.undo()
    assert order(table) == ["P1", "P2", "P3", "P4", "P5", "P6"]


def test_the_model_keeps_qt_s_rules_through_all_of_it(table: PointTable, adapter: Adapter) -> None:
    model: QAbstractItemModel = table.model
    tester = QAbstractItemModelTester(model, QAbstractItemModelTester.FailureReportingMode.Fatal)
    table.view.horizontalHeader().setSortIndicator(WHERE, Qt.SortOrder.DescendingOrder)
    adapter.do(verbs.edit(adapter.home, "P3", where="zenith"))
    assert order(table)[0] == "P3"
    adapter.do(lambda home: verbs.remove(home, "P3", "P5"))
    table.filter.setText("socket")
    adapter.undo()
    assert "P3" in order(table)
    assert "P5" not in order(table)
    assert tester.model() is model
