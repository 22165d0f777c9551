"""What is selected: every fact of it that matters, changed in place, saved at once, undoable."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.inspect_building import FixturePage, WallPage
from circuitmap.desk.inspect_page import Page
from circuitmap.desk.inspect_places import BoardPage, RoomPage, SupplyPage
from circuitmap.desk.inspect_points import PlatePage, PointPage
from circuitmap.desk.inspect_runs import RunPage, SeveralPage
from circuitmap.desk.inspect_ways import DevicePage
from circuitmap.desk.notes_card import TAKES_NOTES, NotesCard
from circuitmap.desk.parts import Label
from circuitmap.desk.theme import Look
from circuitmap.home.records import Board, Details, Device, Fixture, Plate, Point, Record, Room, Run, Supply, Wall


class Inspector(QWidget):
    """One page per kind of record; the page of what is selected is on show."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self.setObjectName("inspector")
        self.setAccessibleName("What is selected")
        self._none = Label(
            "Nothing is selected. Click something on the plan, a way on the strip below, or a finding.",
            self,
            role="faint",
        )
        self._pages: dict[type[Record], Page] = {
            Point: PointPage(adapter, look, self),
            Device: DevicePage(adapter, look, self),
            Run: RunPage(adapter, look, self),
            Room: RoomPage(adapter, look, self),
            Board: BoardPage(adapter, look, self),
            Wall: WallPage(adapter, look, self),
            Fixture: FixturePage(adapter, look, self),
            Plate: PlatePage(adapter, look, self),
        }
        self._several = SeveralPage(adapter, look, self)
        self._supply = SupplyPage(adapter, look, self)
        self._pages |= {Details: self._supply, Supply: self._supply}
        self._all: tuple[Page, ...] = (*dict.fromkeys(self._pages.values()), self._several)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(10, 8, 10, 8)
        layout.addWidget(self._none)
        for page in self._all:
            page.hide()
            layout.addWidget(page)
        self.notes = NotesCard(adapter, look, self)
        self.notes.paste_owner(self)
        layout.addWidget(self.notes)
        layout.addStretch(1)
        adapter.selected.connect(self._on_anything)
        adapter.changed.connect(self._on_anything)
        self._refresh()

    @property
    def page(self) -> Page | None:
        """The page on show."""
        return self._page_for(self._adapter.selection)

    def _page_for(self, ids: tuple[str, ...]) -> Page | None:
        if not ids:
            return self._supply if self._adapter.home.table(Board) else None
        if len(ids) > 1:
            return self._several
        record = self._adapter.home.peek(ids[0])
        return self._pages.get(type(record)) if record is not None else None

    def _on_anything(self, _news: object) -> None:
        self._refresh()

    def _refresh(self) -> None:
        ids = self._adapter.selection
        shown = self._page_for(ids)
        self._none.setVisible(shown is None)
        for page in self._all:
            if page is not shown and page.isVisible():
                page.settle()  # hiding it takes the focus elsewhere, and a field then saves whatever it holds
            page.setVisible(page is shown)
        if shown is not None:
            shown.show_ids(ids)
            if shown.first is not None:
                self.setFocusProxy(shown.first)
        self.notes.show_subject(self._noted(ids))

    def _noted(self, ids: tuple[str, ...]) -> str:
        """Give what the notes on show are about: what is selected, the home while nothing is."""
        if not ids:
            return "home" if self._page_for(ids) is not None else ""
        return ids[0] if len(ids) == 1 and isinstance(self._adapter.home.peek(ids[0]), TAKES_NOTES) else ""
