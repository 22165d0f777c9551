"""The shelf in the window: shown when the program starts without a home, and by its action whenever it is wanted."""

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QWidget

from circuitmap.desk import prefs as prefs_
from circuitmap.desk.actions import Act
from circuitmap.desk.files import fresh_path
from circuitmap.errors import PersonError
from circuitmap.home.document import Document
from circuitmap.home.verbs import today_text
from circuitmap.places import sample_homes, user_data

if TYPE_CHECKING:
    from circuitmap.desk.shelf_page import ShelfPage
    from circuitmap.desk.window import Window


class Shelving(QObject):
    """Lays the shelf over the window and takes it away; a home begun behind it gets a file of its own."""

    def __init__(self, window: "Window") -> None:
        super().__init__(window)
        window.setProperty("shelving", self)
        self._window = window
        self.page: ShelfPage | None = None
        self._is_start = False
        adapter = window.adapter
        adapter.changed.connect(self._on_changed)
        adapter.stage_changed.connect(self._on_moved_on)
        adapter.tool_changed.connect(self._on_moved_on)

    def acts(self) -> list[Act]:
        """Give the action."""
        return [
            Act("shelf", "Properties in a &folder…", "Home", self.show, "Ctrl+Shift+O",
                "List the properties in a folder: last visit, open findings, what is due",
                also=("start", "folder", "homes", "due", "landlord", "search all")),
        ]  # fmt: skip

    def start(self) -> None:
        """Show the shelf as the start page: the home behind it is a blank one that has no file yet."""
        self._is_start = True
        self.show()

    @property
    def is_shown(self) -> bool:
        """Whether the shelf is over the window."""
        return self.page is not None and not self.page.isHidden()

    def show(self) -> None:
        """Lay the shelf over the window and read its folder again."""
        page = self.page or self._made()
        page.back.setVisible(not self._is_start)
        page.setGeometry(self._over().rect())
        page.show()
        page.raise_()
        page.search.setFocus()
        folder = _folder()
        if folder.is_dir():
            page.read(folder)
        else:
            page.read_nothing(folder)

    def leave(self) -> None:
        """Take the shelf away; a blank home behind a start page gets its file now."""
        if self.page is not None:
            self.page.stop()
            self.page.hide()
        self._settle_start()
        self._window.view.setFocus()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Keep the shelf as large as the window."""
        if event.type() == QEvent.Type.Resize and self.page is not None and isinstance(watched, QWidget):
            self.page.setGeometry(watched.rect())
        return super().eventFilter(watched, event)

    # -- what the page asks for ---------------------------------------------------------------------------------

    def _on_opened(self, path: Path) -> None:
        is_file_of_its_own = path.is_file()
        if is_file_of_its_own and path == self._window.adapter.document.path:
            self.leave()
            return
        if self._window.files.open_this(path):
            self._is_start = False
            self.leave()
        elif self.page is not None:
            self.page.says.setText(self._window.message or f"{path.name} can't be opened.")

    def _on_new(self) -> None:
        self._window.files.new()

    def _on_sample(self) -> None:
        self._on_opened(sample_homes() / "older-terrace")

    def _on_folder_chosen(self, folder: Path) -> None:
        kept = prefs_.load()
        kept.shelf = str(folder)
        prefs_.save(kept)

    # -- what happens behind it ---------------------------------------------------------------------------------

    def _on_changed(self, change: object) -> None:
        if change is None:
            # Another home has come, or something was done to the blank one that is no change of it, such as a mark.
            self._is_start = self._is_start and self._window.adapter.document.path is None
            if self.is_shown:
                self.leave()
        elif self._is_start:
            self._settle_start()

    def _on_find(self) -> None:
        if self.is_shown and self.page is not None:
            self.page.search.setFocus()
            self.page.search.selectAll()

    def _on_moved_on(self, _to: object = None) -> None:
        if self.is_shown:
            self.leave()

    def _settle_start(self) -> None:
        if not self._is_start:
            return
        self._is_start = False
        adapter = self._window.adapter
        try:
            held = adapter.document
            path = fresh_path(f"Home {today_text()}")
            document = Document.create(path, held.home, held.assets(), held.marked())
        except PersonError as error:
            adapter.refuse(str(error))
            return
        adapter.switch(document)

    def _made(self) -> "ShelfPage":
        from circuitmap.desk.shelf_page import ShelfPage

        over = self._over()
        page = self.page = ShelfPage(self._window.adapter.trade, self._window.look, over)
        page.opened.connect(self._on_opened)
        page.new_wanted.connect(self._on_new)
        page.sample_wanted.connect(self._on_sample)
        page.back_wanted.connect(self.leave)
        page.folder_chosen.connect(self._on_folder_chosen)
        over.installEventFilter(self)
        for act, action in self._window.actions_.all():  # what they go to would stay beneath
            if act.menu == "Go":
                action.triggered.connect(self._on_moved_on)
        self._window.actions_["find"].triggered.connect(self._on_find)
        return page

    def _over(self) -> QWidget:
        over = self._window.centralWidget()
        assert over is not None
        return over


def shelving_of(window: "Window") -> Shelving:
    """Give the shelf of a window."""
    found = window.property("shelving")
    assert isinstance(found, Shelving)
    return found


def _folder() -> Path:
    kept = prefs_.load().shelf
    if kept and Path(kept).is_dir():
        return Path(kept)
    return user_data() / "homes"
