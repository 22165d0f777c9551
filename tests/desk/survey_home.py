"""A small home to survey, a clock that moves, and the stage on a screen that nobody sees."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMainWindow, QScrollArea, QWidget

from circuitmap.desk.actions import Actions
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.stages.survey import SurveyStage
from circuitmap.desk.theme import Look
from circuitmap.desk.visit import SurveyCursor
from circuitmap.desk.visit_plan import Planner
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.records import Load, Supply
from circuitmap.home.verbs import edit
from circuitmap.trade import load
from tests.build import Builder


def clock() -> Iterator[str]:
    """Instants ten seconds apart, so that no answer shares its second with an event."""
    at = datetime(2026, 1, 5, 9, 0, 0, tzinfo=UTC)
    while True:
        yield at.strftime("%Y-%m-%dT%H:%M:%SZ")
        at += timedelta(seconds=10)


class SmallHome(Builder):
    """One board: main switch, an RCD over A1 (sockets) and A2 (kitchen), and A3 (lights) beside it."""

    def __init__(self) -> None:
        super().__init__("Small home")
        ground = self.storey()
        self.kitchen = self.room("Kitchen", ground, (0, 0, 4000, 3000))
        self.living = self.room("Living room", ground, (4000, 0, 9000, 3000))
        board = self.board("A")
        self.main = self.device(board, "", "main switch", 100)
        self.rcd = self.device(board, "", "RCD", 63, upstream=self.main, label="RCD")
        self.sockets = self.device(board, "1", "MCB", 32, upstream=self.rcd, label="Sockets")
        self.kitchen_way = self.device(board, "2", "MCB", 32, upstream=self.rcd, label="Kitchen")
        self.lights = self.device(board, "3", "MCB", 6, upstream=self.main, label="Lights")
        self.k1 = self.point("socket", (ground, 500, 100), gangs=2, name="Worktop left")
        self.k2 = self.point("socket", (ground, 2500, 100), gangs=2, where="right of the window")
        self.l1 = self.point("socket", (ground, 4500, 100))
        self.l2 = self.point("socket", (ground, 8000, 100), gangs=2)
        self.lamp = self.point("light", (ground, 6000, 1500))
        self.lamp2 = self.point("light", (ground, 7000, 1500))
        self.switch = self.point("switch", (ground, 4100, 2000))
        self.do(edit(self.home, self.switch, controls=(self.lamp, self.lamp2)))
        self.feeds = {
            self.k1: self.kitchen_way, self.k2: self.kitchen_way, self.l1: self.sockets, self.l2: self.sockets,
            self.lamp: self.lights, self.lamp2: self.lights,
        }  # fmt: skip

    def sensitive(self) -> None:
        """Put loads that matter on the sockets, and an alarm in the living room."""
        self.do(edit(self.home, self.k2, loads=(Load(what="freezer", if_off="spoils"),)))
        self.do(edit(self.home, self.l1, loads=(Load(what="router", if_off="phone"),)))
        self.do(edit(self.home, self.l2, loads=(Load(what="oxygen concentrator", if_off="medical"),)))

    def asked(self) -> None:
        """Record the supply as single-phase with no other source."""
        self.do(verbs.set_supply(self.home, phases=1, sources=(), sources_asked=True))

    def is_live(self, point: str, off: tuple[str, ...]) -> bool:
        """Whether a point has supply while some devices are off: the truth that a walk finds."""
        way = self.feeds[point]
        over = {self.sockets: self.rcd, self.kitchen_way: self.rcd}.get(way, "")
        return not {way, over, self.main} & set(off)


class Survey:
    """The stage, its cursor and the document under it."""

    def __init__(
        self, home: Home, path: Path | None = None, look: Look | None = None, planner: Planner | None = None
    ) -> None:
        self.planner = planner
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        self.document = Document.create(path, home) if path is not None else Document.memory(home)
        self.start(look or Look(app))

    def start(self, look: Look) -> None:
        self.look = look
        self.adapter = Adapter(self.document, load())
        self.adapter.set_stage("survey")
        self.cursor = SurveyCursor(self.adapter, self.adapter, self.planner)
        self.said: list[str] = []
        self.adapter.said.connect(self._on_said)
        self.window = QMainWindow()
        self.stage = SurveyStage(self.adapter, look, self.cursor)
        area = QScrollArea(self.window)
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(self.stage)
        self.window.setCentralWidget(area)
        self.window.resize(356, 700)
        self.actions = Actions(self.window)
        self.actions.add(self.stage.acts(), self.stage.key_owners())
        self.cursor.changed.connect(self.actions.refresh)

    def show(self) -> None:
        self.window.show()
        self.window.activateWindow()
        assert QTest.qWaitForWindowActive(self.window)

    def restart(self, path: Path) -> None:
        """Close everything and open the file again, as after the app was closed."""
        self.close()
        self.document = Document.open(path)
        self.start(self.look)

    def press(self, key: Qt.Key) -> None:
        """Press a key where the focus is."""
        focus = QApplication.focusWidget()
        assert focus is not None
        QTest.keyClick(focus, key)

    def _on_said(self, sentence: str, _refused: bool) -> None:
        self.said.append(sentence)

    @property
    def home(self) -> Home:
        return self.adapter.home

    @property
    def supply(self) -> Supply | None:
        return verbs.supply_of(self.home)

    def click(self, widget: QWidget) -> None:
        QApplication.processEvents()  # what was just put into a layout shows itself then
        assert widget.isVisibleTo(self.stage), widget
        assert widget.isEnabled(), widget
        QTest.mouseClick(widget, Qt.MouseButton.LeftButton)

    def agree(self) -> None:
        """Name who agreed and open the switch-off that is chosen."""
        self.click(self.stage.consent.who.thumbs()[0])
        self.click(self.stage.consent.open_button)

    def walk(self, small: SmallHome) -> None:
        """Answer every point with its button, as the wiring has it."""
        going = self.cursor.round
        assert going is not None
        for _ in self.cursor.left:
            if not self.cursor.point:
                return  # lights of one switch are answered together
            live = small.is_live(self.cursor.point, self.cursor.off)
            self.click(self.stage.panel.on if live else self.stage.panel.off)

    def close(self) -> None:
        self.window.close()
        self.window.deleteLater()
        self.adapter.close()
