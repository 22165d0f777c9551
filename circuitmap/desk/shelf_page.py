"""The start page: a folder of homes over the whole window, filled while they are read; Enter opens one."""

import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Final

from PySide6.QtCore import QEvent, QModelIndex, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFileDialog,
    QHBoxLayout,
    QLineEdit,
    QListView,
    QProgressBar,
    QVBoxLayout,
    QWidget,
)

from circuitmap.desk.parts import Label, button
from circuitmap.desk.shelf_list import ShelfDelegate, ShelfModel, Shown
from circuitmap.desk.theme import GAP_PX, TARGET_PX, Look
from circuitmap.desk.work import Work
from circuitmap.errors import PersonError
from circuitmap.jobs import Ticket
from circuitmap.shelf.due import dues
from circuitmap.shelf.index import Index, cache_folder, version_now
from circuitmap.shelf.listing import listed
from circuitmap.trade import Trade

_EVERY_S: Final = 0.15
_APART_FROM: Final = 8  # so many, read in this process, would be felt in the window
_EDGE_PX: Final = 24
_YIELD_S: Final = 0.01
_EMPTY: Final = "No property is here yet. Begin a new home, look round a sample home, or choose the folder they are in."
_WALKS: Final = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)


class Scan(QObject):
    """Reads a folder of homes off the window's thread and hands them on in handfuls."""

    arrived = Signal(int, object)  # the number of the scan, a list of rows
    over = Signal(int, str)  # the number of the scan, what went wrong

    def __init__(self, trade: Trade, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._trade = trade
        self._work: Work | None = None
        self.number = 0

    def start(self, folder: Path, ticked: Callable[[int, int, str], None]) -> None:
        """Begin to read a folder; an earlier scan is stopped."""
        self.stop()
        self.number += 1
        self._work = Work(partial(_scanned, folder, self._trade, partial(self.arrived.emit, self.number)), self)
        self._work.ticked.connect(ticked)
        self._work.done.connect(partial(self.over.emit, self.number))
        self._work.failed.connect(partial(self.over.emit, self.number))
        self._work.start()

    def stop(self) -> None:
        """End the scan at its next home."""
        if self._work is not None:
            self._work.stop()
            self._work = None


class ShelfPage(QWidget):
    """Folder, search, the list, and how far the reading has got."""

    opened = Signal(object)  # the path of a home
    new_wanted = Signal()
    sample_wanted = Signal()
    back_wanted = Signal()
    folder_chosen = Signal(object)

    def __init__(self, trade: Trade, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self.folder = Path()
        self._told = 0.0
        self.setAccessibleName("Properties in a folder")
        self.model = ShelfModel(self)
        self._scan = Scan(trade, self)
        self._scan.arrived.connect(self._on_arrived)
        self._scan.over.connect(self._on_over)
        self._where = Label("", self, role="faint")
        self.search = QLineEdit(self)
        self.search.setObjectName("shelf-find")
        self.search.setAccessibleName("Find a point or a label in any of the properties")
        self.search.setPlaceholderText("Find a point or label in any property…")
        self.search.setMaxLength(400)
        self.search.setMinimumHeight(TARGET_PX)
        self.search.setClearButtonEnabled(True)
        self.search.textChanged.connect(self._on_typed)
        self.search.returnPressed.connect(self._on_return)
        self.search.installEventFilter(self)
        self.list = QListView(self)
        self.list.setObjectName("shelf")
        self.list.setAccessibleName("Properties")
        self.list.setModel(self.model)
        self.list.setItemDelegate(ShelfDelegate(look, self.list))
        self.list.setUniformItemSizes(True)
        self.list.setResizeMode(QListView.ResizeMode.Adjust)
        self.list.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setMouseTracking(False)
        self.list.activated.connect(self._on_activated)
        self._empty = Label(_EMPTY, self.list.viewport())
        self._empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._empty.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self._empty.hide()
        over_list = QVBoxLayout(self.list.viewport())
        over_list.addWidget(self._empty)
        self.says = Label("", self, role="faint")
        self._bar = QProgressBar(self)
        self._bar.setTextVisible(False)
        self._bar.setFixedHeight(6)
        self._bar.hide()
        self.stop_button = button("Stop", self)
        self.stop_button.clicked.connect(self.stop)
        self.stop_button.hide()
        self.calendar = button("Days due as a calendar…", self)
        self.calendar.clicked.connect(self.choose_calendar)
        self.back = button("Back to this home", self)
        self.back.clicked.connect(self.back_wanted)
        self._lay_out()
        look.changed.connect(self.update)

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.setSpacing(GAP_PX)
        head.addWidget(Label("Properties", self, role="title"), 1)
        for text, wanted in (
            ("New home…", self.new_wanted),
            ("Open a sample home", self.sample_wanted),
        ):
            made = button(text, self)
            made.clicked.connect(wanted)
            head.addWidget(made)
        head.addWidget(self.back)
        place = QHBoxLayout()
        place.setSpacing(GAP_PX)
        choose = button("Choose a folder…", self)
        choose.clicked.connect(self.choose)
        place.addWidget(choose)
        place.addWidget(self._where, 1)
        self.search.setMinimumWidth(330)
        place.addWidget(self.search)
        foot = QHBoxLayout()
        foot.setSpacing(GAP_PX)
        foot.addWidget(self.says, 1)
        foot.addWidget(self.stop_button)
        foot.addWidget(self.calendar)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(_EDGE_PX, 16, _EDGE_PX, 12)
        layout.setSpacing(GAP_PX)
        layout.addLayout(head)
        layout.addLayout(place)
        layout.addWidget(self.list, 1)
        layout.addWidget(self._bar)
        layout.addLayout(foot)

    # -- reading --------------------------------------------------------------------------------------------------

    def read(self, folder: Path) -> None:
        """List the homes of a folder."""
        self.folder = folder
        self._where.setText(str(folder))
        self.model.clear()
        self._empty.hide()
        self._bar.setRange(0, 0)
        self._bar.show()
        self.stop_button.show()
        self.says.setText("Looking for properties…")
        self._scan.start(folder, self._on_ticked)

    def read_nothing(self, folder: Path) -> None:
        """Show a folder that isn't made before there is something to keep in it."""
        self._scan.stop()
        self._scan.number += 1
        self.folder = folder
        self._where.setText(str(folder))
        self.model.clear()
        self._end(f"{self._counted()}.")

    def stop(self) -> None:
        """Stop reading; what has been read stays."""
        self._scan.stop()
        self._end(f"Stopped: {self._counted()}.")

    def choose(self) -> None:
        """Ask for a folder and list it."""
        name = QFileDialog.getExistingDirectory(self, "Choose a folder of properties", str(self.folder))
        if name:
            self.folder_chosen.emit(Path(name))
            self.read(Path(name))

    def choose_calendar(self) -> None:
        """Ask where, and write the days that are due at the homes read so far."""
        name, _ = QFileDialog.getSaveFileName(self, "Days due as a calendar", "due.ics", "Calendars (*.ics)")
        if name:
            self.write_calendar(Path(name).with_suffix(".ics"))

    def write_calendar(self, path: Path) -> None:
        """Write the days that are due as an iCalendar file."""
        from circuitmap.drawing.saved import write_whole
        from circuitmap.shelf.calendar import calendar_of

        data, count = calendar_of((shown.entry, shown.items) for shown in self.model.every)
        if not count:
            self.says.setText("Nothing here is due on a day that is known, so there is no calendar to write.")
            return
        try:
            write_whole(path, data, "calendar")
        except PersonError as error:
            self.says.setText(str(error))
            return
        self.says.setText(f"{count} day{'' if count == 1 else 's'} that are due are in {path.name}.")

    def _on_ticked(self, done: int, total: int, words: str) -> None:
        if time.monotonic() - self._told < _EVERY_S:
            return  # hundreds a second come out of the index
        self._told = time.monotonic()
        if not total:
            self.says.setText(f"Looking for properties in {words[:80]}")
            return
        self._bar.setRange(0, total)
        self._bar.setValue(done)
        self.says.setText(f"Reading {done + 1} of {total}: {words[:80]}")

    def _on_arrived(self, number: int, rows: list[Shown]) -> None:
        if number != self._scan.number:
            return
        had_none = self.model.rowCount() == 0
        self.model.add(rows)
        if had_none and self.model.rowCount() and not self.list.currentIndex().isValid():
            self.list.setCurrentIndex(self.model.index(0, 0))

    def _on_over(self, number: int, problem: str) -> None:
        if number == self._scan.number:
            self._end(problem or f"{self._counted()}.")

    def _end(self, words: str) -> None:
        self._bar.hide()
        self.stop_button.hide()
        self.says.setText(words)
        self._empty.setVisible(not self.model.every)

    def _counted(self) -> str:
        every = self.model.every
        broken = sum(1 for shown in every if shown.entry.problem)
        homes = len(every) - broken
        if not every:
            return "There is no property in this folder"
        counted = f"{homes} {'property' if homes == 1 else 'properties'}"
        return f"{counted}, and {broken} that can't be read" if broken else counted

    # -- looking and opening ------------------------------------------------------------------------------------

    def _on_typed(self, words: str) -> None:
        self.model.look_for(words)
        if self.model.rowCount():
            self.list.setCurrentIndex(self.model.index(0, 0))
        found = self.model.rowCount()
        if self._bar.isHidden():
            is_part = words.strip() and self.model.every
            self.says.setText(f"{found} of {self._counted()}." if is_part else f"{self._counted()}.")

    def _on_return(self) -> None:
        self._on_activated(self.list.currentIndex())

    def _on_activated(self, index: QModelIndex) -> None:
        if not index.isValid():
            return
        entry = self.model.row(index).entry
        if entry.problem:
            self.says.setText(f"{entry.path} can't be opened: {entry.problem}")
            return
        path = self.folder / entry.path
        self.opened.emit(self.folder if not path.exists() and self.folder.name == entry.path else path)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Let the arrow keys walk the list while somebody types."""
        is_walk = event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and event.key() in _WALKS
        if is_walk and watched is self.search and isinstance(event, QKeyEvent):
            self.list.keyPressEvent(event)
            return True
        return super().eventFilter(watched, event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Clear the search with Esc, then go back to the home."""
        if event.key() == Qt.Key.Key_Escape:
            if self.search.text():
                self.search.clear()
            elif not self.back.isHidden():
                self.back_wanted.emit()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Cover what is beneath."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), self._look.colour("paper"))


def _scanned(folder: Path, trade: Trade, arrived: Callable[[list[Shown]], None], ticket: Ticket) -> str:
    held: list[Shown] = []
    last = 0.0
    with Index(cache_folder(), version_now()) as index:
        for entry in listed(folder, trade, index, ticket, _APART_FROM):
            held.append(Shown(entry, () if entry.problem else dues(entry, trade), ()))
            if time.monotonic() - last > _EVERY_S:
                arrived(held)
                held, last = [], time.monotonic()
                time.sleep(_YIELD_S)  # the window's own thread comes first
    arrived(held)
    return ""
