"""The board strip: drawn in the board's order, walked with keys, toggled by click, lit up both ways."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtTest import QSignalSpy, QTest
from PySide6.QtWidgets import QApplication, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.board import BoardStrip
from circuitmap.desk.theme import Look
from circuitmap.desk.way import CELL_W, WayButton
from circuitmap.drawing.dress import circuit_dresses
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.records import Board, Device, Rcd
from tests.build import Builder
from tests.desk.driving import settle


@pytest.fixture
def strip(adapter: Adapter, look: Look, qtbot: QtBot) -> Iterator[BoardStrip]:
    made = BoardStrip(adapter, look)
    qtbot.addWidget(made)
    made.resize(1100, made.height())
    made.show()
    made.activateWindow()
    settle()
    yield made
    look.choose("paper")


def device(adapter: Adapter, way: str) -> str:
    return next(d.id for d in adapter.home.sorted(Device) if d.way == way)


def in_sight(strip: BoardStrip) -> list[WayButton]:
    """The devices on show, from left to right."""
    shown = [b for b in strip.findChildren(WayButton) if b.isVisibleTo(strip)]
    return sorted(shown, key=lambda b: b.mapTo(strip, QPoint()).x())


def in_focus() -> QWidget:
    widget = QApplication.focusWidget()
    assert widget is not None
    return widget


def picture(button: WayButton) -> QImage:
    return button.grab().toImage()


def has_colour(image: QImage, colour: QColor) -> bool:
    return any(image.pixelColor(x, y) == colour for x in range(image.width()) for y in range(image.height()))


def test_devices_stand_in_the_order_of_the_board(strip: BoardStrip, adapter: Adapter) -> None:
    board = next(iter(adapter.home.table(Board)))
    assert [b.device for b in in_sight(strip)] == [d.id for d in adapter.home.devices_on(board)]


def test_each_device_tells_a_screen_reader_what_it_is_and_how_it_stands(strip: BoardStrip, adapter: Adapter) -> None:
    names = [b.accessibleName() for b in in_sight(strip)]
    assert names[0] == "main switch, main switch 100 A, on"
    assert names[1] == "RCD, RCD 63 A 30 mA, on"
    assert names[2] == "A1 Sockets, MCB B32, on"
    assert names[4] == "A3 Lights, fuse BS 3036 5 A, on"
    strip.set_off(frozenset({device(adapter, "1")}), frozenset({device(adapter, "2")}))
    names = [b.accessibleName() for b in in_sight(strip)]
    assert names[2].endswith(", off")
    assert names[3].endswith(", to go off")


def test_on_off_and_to_go_off_look_different_for_toggles_and_carriers(strip: BoardStrip, adapter: Adapter) -> None:
    for way in ("1", "3"):
        that = device(adapter, way)
        looks = []
        for off, pending in (((), ()), ((that,), ()), ((), (that,))):
            strip.set_off(frozenset(off), frozenset(pending))
            looks.append(picture(strip.button_of(that)))
        assert looks[0] != looks[1]
        assert looks[1] != looks[2]
        assert looks[0] != looks[2]


def test_a_fuse_is_drawn_as_a_carrier_and_not_as_a_toggle(look: Look, qtbot: QtBot) -> None:
    b = Builder()
    board = b.board("A")
    for n, kind in enumerate(("MCB", "fuse BS 3036")):
        b.device(board, str(n + 1), kind, 30, curve="")  # type: ignore[arg-type]  # literal kinds
    made = BoardStrip(Adapter(Document.memory(b.home), trade.load()), look)
    qtbot.addWidget(made)
    made.show()
    toggle, carrier = (picture(button).copy(0, 0, 68, 50) for button in in_sight(made))
    assert toggle != carrier


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_a_way_carries_its_circuit_s_colour_in_both_themes(
    strip: BoardStrip, adapter: Adapter, look: Look, theme: str
) -> None:
    look.choose(theme)  # type: ignore[arg-type]  # one of the two themes
    settle()
    role = circuit_dresses(adapter.views, adapter.memo)[device(adapter, "1")].role
    assert has_colour(picture(strip.button_of(device(adapter, "1"))), look.colour(role))
    assert not has_colour(picture(in_sight(strip)[0]), look.colour(role))  # the main switch feeds no circuit itself


def test_a_click_and_the_keys_ask_for_a_toggle(strip: BoardStrip, adapter: Adapter) -> None:
    spy = QSignalSpy(strip.toggled)
    that = strip.button_of(device(adapter, "1"))
    QTest.mouseClick(that, Qt.MouseButton.LeftButton)
    for key in (Qt.Key.Key_Space, Qt.Key.Key_Return, Qt.Key.Key_Enter):
        QTest.keyClick(that, key)
    assert [spy.at(n)[0] for n in range(spy.count())] == [that.device] * 4
    assert not that.is_down  # what is off is said from outside, never guessed here


def test_the_ways_are_one_stop_for_tab_and_are_walked_with_arrows(strip: BoardStrip) -> None:
    strip.setFocus()
    ways = in_sight(strip)
    stops = set()
    for _ in range(12):
        focus = in_focus()
        if isinstance(focus, WayButton):
            stops.add(focus)
        QTest.keyClick(focus, Qt.Key.Key_Tab)
    assert stops == {ways[0]}
    strip.setFocus()
    QTest.keyClick(ways[0], Qt.Key.Key_Right)
    assert ways[1].hasFocus()
    QTest.keyClick(ways[1], Qt.Key.Key_End)
    assert ways[-1].hasFocus()
    QTest.keyClick(ways[-1], Qt.Key.Key_Right)
    assert ways[-1].hasFocus()
    QTest.keyClick(ways[-1], Qt.Key.Key_Left)
    QTest.keyClick(ways[-2], Qt.Key.Key_Home)
    assert ways[0].hasFocus()
    QTest.mouseClick(ways[2], Qt.MouseButton.LeftButton)
    assert ways[2].hasFocus()
    strip.setFocus()
    assert ways[2].hasFocus()  # Tab comes back to where one was


def test_pointing_at_a_way_lights_up_what_it_feeds_and_leaving_puts_it_out(strip: BoardStrip, adapter: Adapter) -> None:
    that = strip.button_of(device(adapter, "1"))
    QTest.mouseMove(strip, QPoint(2, 2))
    QTest.mouseMove(that)
    settle()
    assert adapter.lit_ids == adapter.area_served(that.device)
    assert {"P1", "P2", "P3", "P4"} < adapter.lit_ids
    QTest.mouseMove(strip, QPoint(2, 2))
    settle()
    assert adapter.lit_ids == frozenset()


def test_the_ways_that_feed_a_chosen_or_a_pointed_point_are_marked(strip: BoardStrip, adapter: Adapter) -> None:
    that, other = strip.button_of(device(adapter, "1")), strip.button_of(device(adapter, "3"))
    plain, plain_other = picture(that), picture(other)
    adapter.select("P2")
    assert picture(that) != plain
    assert picture(other) == plain_other
    adapter.select()
    assert picture(that) == plain
    adapter.light(frozenset({"P2"}))
    assert picture(that) != plain
    adapter.light(frozenset())
    assert picture(that) == plain


def test_a_chosen_way_is_framed(strip: BoardStrip, adapter: Adapter, look: Look) -> None:
    that = strip.button_of(device(adapter, "1"))
    assert not has_colour(picture(that), look.colour("select"))
    adapter.select(that.device)
    assert has_colour(picture(that), look.colour("select"))


def test_an_edit_keeps_every_button_and_its_focus(strip: BoardStrip, adapter: Adapter) -> None:
    before = in_sight(strip)
    before[2].setFocus()
    adapter.do(verbs.edit(adapter.home, before[2].device, label="Sockets, rear", rating_a=20.0))
    assert in_sight(strip) == before
    assert before[2].hasFocus()
    assert before[2].accessibleName() == "A1 Sockets, rear, MCB B20, on"


def test_ways_come_and_go_with_the_home(strip: BoardStrip, adapter: Adapter) -> None:
    board = next(iter(adapter.home.table(Board)))
    added = adapter.do(lambda home: verbs.add_device(home, board, "MCB", "4", 6, curve="B"))
    assert added is not None
    settle()
    assert in_sight(strip)[-1].accessibleName() == "A4, MCB B6, on"
    adapter.undo()
    settle()
    assert added[0] not in [b.device for b in in_sight(strip)]
    assert len(in_sight(strip)) == 5


def test_a_device_put_on_another_board_leaves_nothing_behind(strip: BoardStrip, adapter: Adapter) -> None:
    added = adapter.do(lambda home: verbs.add_board(home, "B"))
    assert added is not None
    lights = device(adapter, "3")
    assert adapter.do(lambda home: verbs.edit(home, lights, board=added[0], way="1", upstream=None)) is not None
    settle()
    assert [b.device for b in in_sight(strip)].count(lights) == 1
    assert in_sight(strip)[-1].device == lights
    assert in_sight(strip)[-1].accessibleName().startswith("B1 Lights")


def test_plus_adds_a_way_to_its_board(strip: BoardStrip, adapter: Adapter) -> None:
    spy = QSignalSpy(strip.add_way)
    plus = next(b for b in strip.findChildren(QPushButton) if b.accessibleName() == "Add a way to board A")
    QTest.mouseClick(plus, Qt.MouseButton.LeftButton)
    assert spy.at(0)[0] == next(iter(adapter.home.table(Board)))


def test_without_a_board_a_sentence_and_a_button_stand_there(look: Look, qtbot: QtBot) -> None:
    adapter = Adapter(Document.memory(Home.blank("New")), trade.load())
    made = BoardStrip(adapter, look)
    qtbot.addWidget(made)
    made.show()
    first = next(b for b in made.findChildren(QPushButton) if b.text() == "Add a board")
    assert first.isVisibleTo(made)
    spy = QSignalSpy(made.add_board)
    QTest.mouseClick(first, Qt.MouseButton.LeftButton)
    assert spy.count() == 1
    adapter.do(lambda home: verbs.add_board(home))
    assert not first.isVisibleTo(made)


@pytest.mark.parametrize("label", ["<b>fett</b> <img src=x>", "x" * 10_000, "مقابس المطبخ", "🔥 oven 🔌", "a\nb & c"])
def test_a_label_stays_plain_text_and_in_its_cell(strip: BoardStrip, adapter: Adapter, label: str) -> None:
    that = strip.button_of(device(adapter, "1"))
    size, plain = that.size(), picture(that)
    assert adapter.do(verbs.edit(adapter.home, that.device, label=label)) is not None
    assert that.size() == size
    assert picture(that) != plain
    assert "<b>" not in that.toolTip()
    assert "<img" not in that.toolTip()


def test_a_bracket_reaches_over_the_devices_under_one_rcd_and_over_no_others(look: Look, qtbot: QtBot) -> None:
    made, cells = [], []
    for under in (True, False):
        b = Builder()
        board = b.board("A")
        rcd = b.device(board, "", "RCD", 63, rcd=Rcd(trips_ma=30.0, type="A"))
        ways = [b.device(board, str(n), upstream=rcd if under and n < 3 else None) for n in (1, 2, 3)]
        strip = BoardStrip(Adapter(Document.memory(b.home), trade.load()), look)
        qtbot.addWidget(strip)
        strip.resize(700, strip.height())
        strip.show()
        settle()
        made.append(strip.grab().toImage())
        cells.append([strip.button_of(way).mapTo(strip, QPoint(0, -4)) for way in ways])
    changed = [
        made[0].copy(spot.x(), spot.y(), CELL_W, 3) != made[1].copy(spot.x(), spot.y(), CELL_W, 3) for spot in cells[0]
    ]
    assert changed == [True, True, False]


def test_many_ways_scroll_sideways_and_the_one_in_hand_is_in_sight(look: Look, qtbot: QtBot) -> None:
    b = Builder()
    for letter in ("A", "B"):
        board = b.board(letter)
        for n in range(1, 13):
            b.device(board, str(n))
    strip = BoardStrip(Adapter(Document.memory(b.home), trade.load()), look)
    qtbot.addWidget(strip)
    strip.resize(600, strip.height())
    strip.show()
    strip.activateWindow()
    settle()
    strip.setFocus()
    QTest.keyClick(in_focus(), Qt.Key.Key_End)
    last = in_focus()
    assert last.accessibleName().startswith("B12")
    assert strip.rect().contains(last.mapTo(strip, last.rect().center()))
