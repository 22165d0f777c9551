"""A home to read: a ring of six sockets with a spur, a radial of lights, a way without a run; and hands that type."""

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from circuitmap.desk.window import Window
from circuitmap.home import verbs
from circuitmap.home.records import Rcd, Reading
from tests.build import Builder
from tests.desk.driving import settle


class MeterHome(Builder):
    """Way A1 is a ring of six sockets and a spur behind the third, A2 lights, A3 has nothing drawn."""

    def __init__(self, count: int = 6) -> None:
        super().__init__("Home to read")
        ground = self.storey()
        self.room("Kitchen", ground, (0, 0, 5000, 4000), use="kitchen")
        self.room("Hall", ground, (5200, 0, 10000, 4000), use="hall")
        self.board_id = self.board("A")
        self.do(verbs.move(self.home, self.board_id, self.place(ground, 9900, 400)))
        main = self.device(self.board_id, "", "main switch", 100)
        rcd = self.device(self.board_id, "", "RCD", 63, upstream=main, rcd=Rcd(trips_ma=30.0, type="A"))
        self.ring = self.device(self.board_id, "1", "MCB", 32, curve="B", label="Sockets", upstream=rcd, cables_seen=2)
        self.lights = self.device(self.board_id, "2", "MCB", 6, curve="B", label="Lights", upstream=rcd, cables_seen=1)
        self.bare = self.device(self.board_id, "3", "MCB", 16, curve="B", label="Boiler", upstream=rcd)
        self.sockets = [
            self.point("socket", (ground, 500 + (n * 9000) // count, 0), cables=2, gangs=2) for n in range(count)
        ]
        self.chain(self.ring, *self.sockets, self.ring, length_mm=8000)
        self.do(verbs.count_cables(self.home, self.sockets[2], 3))
        self.spur = self.point("socket", (ground, 4000, 3900), cables=1)
        self.run(self.sockets[2], self.spur, length_mm=5000)
        self.lamps = [self.point("light", (ground, 2500 + 5000 * n, 2000), cables=2 - n) for n in range(2)]
        self.chain(self.lights, *self.lamps, cable="T&E 1.5/1.0", length_mm=6000)

    def with_meter(self, **facts: float | None) -> str:
        """Put a meter on record whose leads are nulled."""
        facts = {"resolution_ohm": 0.01, "leads_ohm": 0.0, "most_ohm": 99.9, "most_insulation_ohm": 999e6} | facts
        return self.do(verbs.add_meter(self.home, "MF tester", **facts))


def keys(text: str) -> None:
    """Type, each letter to where the focus is by then."""
    for letter in text:
        focus = QApplication.focusWidget()
        assert focus is not None
        if letter.isascii():
            QTest.keyClicks(focus, letter)
        else:  # no key of QTest's own gives an Ω
            for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
                QApplication.sendEvent(focus, QKeyEvent(kind, 0, Qt.KeyboardModifier.NoModifier, letter))
    QApplication.processEvents()


def key(which: Qt.Key, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    """Press a key where the focus is."""
    focus = QApplication.focusWidget()
    assert focus is not None
    QTest.keyClick(focus, which, modifiers)
    QApplication.processEvents()


def enter(text: str) -> None:
    """Type a reading and press Enter."""
    keys(text)
    key(Qt.Key.Key_Return)


def read_way(window: Window, way: str, group: str = "") -> None:
    """Go to the readings of a way, and to one of its tests, with the focus in the grid."""
    window.adapter.set_stage("readings")
    window.adapter.select(way)
    settle()
    stage = window.readings_stage
    if group:
        stage.show_group(group)
    stage.grid.setFocus()
    settle()


def readings(window: Window) -> list[Reading]:
    """All readings but lead checks, in the order they were taken."""
    return [each for each in window.adapter.home.sorted(Reading) if each.test != "lead check"]
