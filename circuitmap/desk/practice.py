"""Practising a survey: a home without its wiring in a window of its own, where the house answers; nothing is kept."""

from importlib import import_module
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication, QObject, Qt
from PySide6.QtWidgets import QWidget
from shiboken6 import isValid

from circuitmap.desk.actions import Act
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.practice_card import StartCard, column_of
from circuitmap.desk.practice_wanted import Wanted
from circuitmap.desk.sight import show_top
from circuitmap.desk.theme import Look
from circuitmap.desk.visit import STAGE
from circuitmap.desk.work import Work
from circuitmap.errors import PersonError
from circuitmap.home.document import Document
from circuitmap.jobs import Ticket
from circuitmap.trade import Trade

if TYPE_CHECKING:
    from circuitmap.desk.practice_desk import PracticeDesk
    from circuitmap.desk.window import Window


class Practising(QObject):
    """The way into practice from any window: asks on which home, and opens it in a window of its own."""

    def __init__(self, window: "Window") -> None:
        super().__init__(window)
        self._window = window
        self.card: StartCard | None = None

    def act(self) -> Act:
        """Give the action that begins it."""
        return Act(
            "practise", "&Practise a survey…", "Home", self.ask, "", "Practise on a home whose wiring is known",
            also=("practice", "train", "learn", "apprentice", "exercise", "rehearse"),
        )  # fmt: skip

    def ask(self) -> None:
        """Ask on which home."""
        stage = self._window.survey_stage
        if self.card is None:
            self.card = StartCard(stage)
            self.card.begun.connect(self._on_begun)
            self.card.closed.connect(self.card.hide)
            column_of(stage).insertWidget(0, self.card)
            Work(_warm_up, self).start()
        self._window.adapter.set_stage(STAGE)
        self.card.show()
        show_top(stage)
        self.card.begin.setFocus()

    def _on_begun(self, wanted: object) -> None:
        assert isinstance(wanted, Wanted)
        if self.card is not None:
            self.card.hide()
        try:
            open_practice(wanted, self._window.adapter.trade, self._window.look)
        except PersonError as error:
            self._window.adapter.refuse(str(error))


def open_practice(wanted: Wanted, trade: Trade, look: Look) -> "PracticeDesk":
    """Open a window to practise in, on a copy in memory that can't touch any file.

    Raises
    ------
    FileError, HomeError
        When the home to practise on can't be read.
    """
    from circuitmap.desk.practice_desk import PracticeDesk
    from circuitmap.desk.practice_house import get_ready
    from circuitmap.desk.window import Window

    ready = get_ready(wanted, trade)
    window = Window(Adapter(Document.memory(ready.home, ready.assets), trade), look)
    window.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    desk = PracticeDesk(window, ready)
    _keeper().keep(window)
    window.show()
    window.activateWindow()
    return desk


def _warm_up(_ticket: Ticket) -> object:
    """Load what practising needs, so that the button that begins it needn't wait."""
    return import_module("circuitmap.survey.rehearsal.many")


class _Keeper(QObject):
    """Keeps the windows of practice alive until they are closed: nobody else holds them."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.setObjectName("keeper-of-practice")
        self._open: list[QWidget] = []

    def keep(self, window: QWidget) -> None:
        """Keep a window, and let go of those that were closed meanwhile."""
        self._open = [*(each for each in self._open if isValid(each)), window]


def _keeper() -> _Keeper:
    app = QCoreApplication.instance()
    assert app is not None
    found = app.findChild(_Keeper, "keeper-of-practice")
    return found if isinstance(found, _Keeper) else _Keeper(app)
