"""Which page of a file is the plan: a card with the pages in small, each to be clicked."""

from pathlib import Path
from typing import Final

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QIcon, QImage, QPixmap
from PySide6.QtWidgets import QListView, QListWidget, QListWidgetItem, QWidget

from circuitmap.desk.parts import Card, Label, button
from circuitmap.desk.work import Work
from circuitmap.jobs import Ticket
from circuitmap.pictures import Level, thumbnail

_SMALL_PX: Final = 120
# Further pages are there to be chosen by their number; drawing hundreds in small would take minutes.
_MOST_DRAWN: Final = 40


class PageCard(Card):
    """Asks for a page: ``chosen`` brings its number."""

    chosen = Signal(object, int)  # the file and the page

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("page-card")
        self._path = Path()
        self._job: Work | None = None
        self._next = 0
        self._words = Label("", self)
        self._pages = QListWidget(self)
        self._pages.setObjectName("pages")
        self._pages.setAccessibleName("Page to bring in")
        self._pages.setViewMode(QListView.ViewMode.IconMode)
        self._pages.setMovement(QListView.Movement.Static)
        self._pages.setResizeMode(QListView.ResizeMode.Adjust)
        self._pages.setIconSize(QSize(_SMALL_PX, _SMALL_PX))
        self._pages.setMinimumHeight(2 * _SMALL_PX)
        self._pages.itemClicked.connect(self._on_item)
        self._pages.itemActivated.connect(self._on_item)
        self._not_now = button("Not now", self)
        self._not_now.clicked.connect(self.put_away)
        self.body.addWidget(self._words)
        self.body.addWidget(self._pages)
        self.body.addWidget(self._not_now)
        self.hide()

    def ask(self, path: Path, pages: int) -> None:
        """Ask which page of a file it should be."""
        self._path, self._next = path, 0
        self._words.setText(f"{path.name} has {pages} pages. Which one is the plan?")
        self._pages.clear()
        blank = QPixmap(_SMALL_PX, _SMALL_PX)
        blank.fill(Qt.GlobalColor.transparent)
        for page in range(1, pages + 1):
            item = QListWidgetItem(QIcon(blank), f"{page}")
            item.setData(Qt.ItemDataRole.UserRole, page)
            self._pages.addItem(item)
        self.show()
        self._pages.setFocus()
        self._draw_next()

    def put_away(self) -> None:
        """Ask no longer."""
        self._next = self._pages.count()
        self.hide()

    def _on_item(self, item: QListWidgetItem) -> None:
        if self.isHidden():
            return  # a double click says the same twice
        self.put_away()
        self.chosen.emit(self._path, item.data(Qt.ItemDataRole.UserRole))

    def _draw_next(self) -> None:
        if self._job is not None or self._next >= min(self._pages.count(), _MOST_DRAWN):
            return
        self._next += 1
        path, page = self._path, self._next

        def work(_ticket: Ticket) -> object:
            return path, page, thumbnail(path.read_bytes(), _SMALL_PX, path.name, page)

        self._job = Work(work, self)
        self._job.done.connect(self._on_drawn)
        self._job.failed.connect(self._on_failed)
        self._job.start()

    def _on_drawn(self, drawn: tuple[Path, int, Level]) -> None:
        path, page, level = drawn
        if path == self._path and page <= self._pages.count():
            size = level.width_px, level.height_px
            image = QImage(level.greys, *size, size[0], QImage.Format.Format_Grayscale8)
            self._pages.item(page - 1).setIcon(QIcon(QPixmap.fromImage(image)))
        self._job = None
        self._draw_next()

    def _on_failed(self, _sentence: str) -> None:
        # The page keeps its number; choosing it says what is wrong with it.
        self._job = None
        self._draw_next()
