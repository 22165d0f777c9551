"""The chart and the loop view of readings as a person uses them: keys, pointer, themes, and work beside the window."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.reading_chart import ReadingSight
from circuitmap.desk.theme import TARGET_PX, Look
from circuitmap.drawing.reading_chart_data import SweepKey
from circuitmap.home import verbs
from circuitmap.home.document import Document
from circuitmap.home.records import Link
from circuitmap.readings.causes import Cause, Compared
from tests.desk.driving import press, settle, show
from tests.drawing.swept import Swept

LN = SweepKey("cross", ("L", "N"))
LE = SweepKey("cross", ("L", "E"))


@pytest.fixture
def swept() -> Swept:
    made = Swept(6, named=True)
    made.sweep(off={made.sockets[3]: "0.62"})
    return made


@pytest.fixture
def readings(swept: Swept) -> Iterator[Adapter]:
    made = Adapter(Document.memory(swept.home), trade.load())
    yield made
    made.close()


@pytest.fixture
def sight(qtbot: QtBot, readings: Adapter, look: Look, swept: Swept) -> ReadingSight:
    made = ReadingSight(readings, look)
    qtbot.addWidget(made)
    made.resize(420, 800)
    show(made)
    made.show_view(readings.view_of(swept.way_id))
    settle()
    return made


def test_the_chart_comes_for_the_sweep_that_was_read(sight: ReadingSight) -> None:
    chart = sight.view.chart
    assert chart is not None
    assert chart.key == LN
    assert len(chart.dots) == 8
    assert sight.loop.isVisible()
    assert not sight.says.isVisible()


def test_keys_go_along_the_circuit_and_enter_chooses(sight: ReadingSight, swept: Swept, qtbot: QtBot) -> None:
    chosen: list[str] = []
    sight.place_chosen.connect(chosen.append)
    press(sight.view, Qt.Key.Key_Right)
    assert sight.view.place == swept.way_id
    for _ in range(3):
        press(sight.view, Qt.Key.Key_Right)
    assert sight.view.place == swept.sockets[2]
    press(sight.view, Qt.Key.Key_Left)
    press(sight.view, Qt.Key.Key_Return)
    assert chosen == [swept.sockets[1]]
    assert swept.sockets[1] in sight.view.accessibleDescription()
    press(sight.view, Qt.Key.Key_Home)
    press(sight.view, Qt.Key.Key_Left)
    assert sight.view.place == swept.way_id


def test_a_click_on_the_chart_chooses_the_nearest_place(sight: ReadingSight, swept: Swept) -> None:
    chosen: list[str] = []
    sight.place_chosen.connect(chosen.append)
    spot = next(spot for spot in sight.view.spots if spot.record == swept.sockets[3])
    at = QPoint(round(spot.at[0]) + 3, 200)
    QTest.mouseClick(sight.view, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, at)
    assert chosen == [swept.sockets[3]]
    assert "read 0.62 Ω" in sight.view.accessibleDescription()


def test_another_sweep_is_chosen_by_hand_or_shown_when_asked(sight: ReadingSight) -> None:
    told: list[SweepKey] = []
    sight.sweep_chosen.connect(told.append)
    assert sight.sweeps.accessibleName() == "Sweep in the chart"
    press(sight.sweeps, Qt.Key.Key_Down)
    press(sight.sweeps, Qt.Key.Key_Return)
    settle()
    assert told == [LE]
    assert sight.view.chart is not None
    assert sight.view.chart.key == LE
    sight.show_sweep("cross", ("L", "N"))
    settle()
    assert sight.view.chart.key == LN
    sight.show_sweep("end to end", ("L", "L"))  # no sweep: nothing to draw along the circuit
    settle()
    assert sight.view.chart.key == LN
    assert told == [LE]


def test_a_reading_recorded_shows_without_being_asked_for(sight: ReadingSight, readings: Adapter, swept: Swept) -> None:
    before = sight.view.chart
    change = verbs.record_reading(
        readings.home, swept.today, "linked", "0.31", device=swept.way_id, at=swept.sockets[0], cores=("L", "N"),
        link=Link(kind="cross"), instrument=swept.meter,
    )  # fmt: skip
    readings.do(change)
    settle()
    chart = sight.view.chart
    assert chart is not None
    assert chart is not before
    assert [dot.ohm for dot in chart.dots_at(swept.sockets[0])] == [0.31]


def test_while_nobody_looks_no_chart_is_worked_out(sight: ReadingSight, readings: Adapter, swept: Swept) -> None:
    before = sight.view.chart
    sight.hide()
    readings.do(verbs.edit(readings.home, swept.loop_runs[0], "length", length_mm=20_000))
    settle()
    assert sight.view.chart is before
    sight.show()
    settle()
    assert sight.view.chart is not before


def test_the_place_stays_when_the_chart_comes_anew_and_goes_with_the_circuit(
    sight: ReadingSight, readings: Adapter, swept: Swept
) -> None:
    sight.show_place(swept.sockets[2])
    readings.do(verbs.edit(readings.home, swept.sockets[0], "name", name="By the door"))
    settle()
    assert sight.view.place == swept.sockets[2]
    sight.show_view(None)
    assert sight.view.place == ""
    assert "Choose a circuit" in sight.says.text()
    assert not sight.view.isVisible()


def test_a_cause_lights_its_place_in_both_and_none_puts_it_out(sight: ReadingSight, swept: Swept) -> None:
    compared = tuple(Compared("Q1", "linked", "cross", ("L", "N"), p, 0.3, 0.4, 0.01, 1.0) for p in swept.sockets)
    cause = Cause("open core", 0.9, "Line open.", at=(swept.sockets[1],), runs=(swept.loop_runs[2],), compared=compared)
    bare = (sight.view.grab().toImage(), sight.loop.grab().toImage())
    sight.show_cause(cause)
    assert (sight.view.grab().toImage(), sight.loop.grab().toImage()) != bare
    assert sight.loop._lit == {swept.sockets[1], swept.loop_runs[2]}
    sight.show_cause(None)
    assert sight.view.grab().toImage() == bare[0]
    assert sight.loop.grab().toImage() == bare[1]


def test_a_circuit_without_anything_says_what_to_do(qtbot: QtBot, look: Look) -> None:
    empty = Swept(0, spur_m=0)
    adapter = Adapter(Document.memory(empty.home), trade.load())
    made = ReadingSight(adapter, look)
    qtbot.addWidget(made)
    made.show_view(adapter.view_of(empty.way_id))
    assert made.says.text() == "Nothing is known on A1 yet: place its points and draw its runs."
    adapter.close()


def test_what_can_be_hit_is_large_enough_and_has_a_name(sight: ReadingSight) -> None:
    assert sight.sweeps.height() >= TARGET_PX
    for widget in (sight.sweeps, sight.view, sight.loop):
        assert widget.accessibleName()


def test_the_theme_is_followed(sight: ReadingSight, look: Look) -> None:
    light = sight.view.grab().toImage()
    look.choose("dark")
    try:
        assert sight.view.grab().toImage() != light
        assert sight.view.grab().toImage().pixelColor(6, 280).lightness() < 60
    finally:
        look.choose("paper")
