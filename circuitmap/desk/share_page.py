"""A copy to hand on, from the desk: what is left out is ticked, then a place is chosen; the home stays as it is."""

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QKeyEvent, Qt
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from circuitmap.desk.actions import Act
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.files import fresh_path
from circuitmap.desk.parts import Heading, Label, button
from circuitmap.desk.theme import GAP_PX, TARGET_PX
from circuitmap.desk.thumb import Tick
from circuitmap.desk.work import Work
from circuitmap.errors import PersonError
from circuitmap.home.sharing import PRIVATE, Private, is_named_by_address
from circuitmap.jobs import Ticket
from circuitmap.shelf.copying import Shared, refuse_own_place, shared, write_shared

if TYPE_CHECKING:
    from circuitmap.desk.window import Window

_WORDS: Final[dict[Private, str]] = {
    "photos": "Photographs",
    "notes": "Words of notes",
    "address": "Address and who to call",
    "people": "People's names",
    "history": "Marks, such as “as found”",
}
_FILTER: Final = "Homes (*.cmap)"


class SharePage(QWidget):
    """What to leave out, what the copy is called, and where it goes."""

    done = Signal()

    def __init__(self, adapter: Adapter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._job: Work | None = None
        self.setAccessibleName("Hand on a copy")
        back = button("Back", self)
        back.clicked.connect(self.done)
        head = QHBoxLayout()
        head.addWidget(Heading("Hand on a copy", self), 1)
        head.addWidget(back)
        self.ticks: dict[Private, Tick] = {}
        layout = QVBoxLayout(self)
        layout.setContentsMargins(12, 10, 12, 12)
        layout.setSpacing(GAP_PX // 2)
        layout.addLayout(head)
        words = "A new file is made from the home as it is now; no earlier value is in it. Leave out:"
        layout.addWidget(Label(words, self))
        for what in PRIVATE:
            tick = self.ticks[what] = Tick(_WORDS[what], self)
            tick.setObjectName(f"without-{what}")
            tick.setFixedHeight(TARGET_PX + 4)
            tick.setChecked(True)
            tick.toggled.connect(self._say_name)
            layout.addWidget(tick)
        self.called = QLineEdit(self)
        self.called.setObjectName("share-name")
        self.called.setMaxLength(300)
        self.called.setMinimumHeight(TARGET_PX)
        self.called.setAccessibleName("What the copy calls the home")
        layout.addWidget(Label("The copy calls the home", self, role="faint"))
        layout.addWidget(self.called)
        self.name_says = Label("", self, role="faint")
        layout.addWidget(self.name_says)
        self.write = button("Choose where…", self, strong=True)
        self.write.clicked.connect(self.choose)
        layout.addWidget(self.write)
        self.says = Label("", self)
        layout.addWidget(self.says)
        layout.addStretch(1)
        adapter.changed.connect(self._on_changed)
        self._say_name()

    @property
    def without(self) -> tuple[Private, ...]:
        """What is left out."""
        return tuple(what for what in PRIVATE if self.ticks[what].isChecked())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go back with Esc."""
        if event.key() == Qt.Key.Key_Escape:
            self.done.emit()
        else:
            super().keyPressEvent(event)

    def choose(self) -> None:
        """Ask where, and write the copy there."""
        try:
            suggested = str(fresh_path("copy"))
        except PersonError:
            suggested = "copy.cmap"
        name, _ = QFileDialog.getSaveFileName(self, "Hand on a copy", suggested, _FILTER)
        if name:
            self.write_to(Path(name).with_suffix(".cmap"))

    def write_to(self, path: Path) -> None:
        """Write the copy while the window goes on; one that is there already is replaced, as was agreed to."""
        if self._job is not None:
            return
        document = self._adapter.document
        try:
            if document.path is not None:
                refuse_own_place(document.path, path)
            marks = document.marked() if "history" not in self.without else ()
            assets = document.assets()
        except PersonError as error:
            self._on_failed(str(error))
            return
        self.says.setText("Writing…")
        self.write.setEnabled(False)
        held = partial(shared, document.home, marks, assets.get, self.without, self.called.text().strip())
        self._job = Work(partial(_written, held, path), self)
        self._job.done.connect(self._on_written)
        self._job.failed.connect(self._on_failed)
        self._job.start()

    def _on_written(self, written: tuple[Path, Shared]) -> None:
        path, copy = written
        self._over()
        self.says.setText("\n".join((f"Written to {path}.", *copy.says)))
        self._adapter.say(f"A copy to hand on is at {path.name}.")

    def _on_failed(self, sentence: str) -> None:
        self._over()
        self.says.setText(sentence)
        self._adapter.refuse(sentence)

    def _over(self) -> None:
        self._job = None
        self.write.setEnabled(True)

    def _on_changed(self, change: object) -> None:
        if change is None:
            self.says.setText("")
        self._say_name()

    def _say_name(self) -> None:
        home = self._adapter.home
        goes = self.ticks["address"].isChecked() and is_named_by_address(home)
        self.called.setPlaceholderText("no name" if goes else home.details.name[:80] or "no name")
        self.name_says.setText(
            "The home's name gives its address away, so it is left out; write another if you like." if goes else ""
        )


class Sharing(QObject):
    """The action, and the page when it is first wanted."""

    def __init__(self, window: "Window") -> None:
        super().__init__(window)
        self._window = window
        self.page: SharePage | None = None

    def acts(self) -> list[Act]:
        """Give the action."""
        return [
            Act("share-home", "&Hand on a copy…", "Home", self.show, "Ctrl+Alt+C",
                "Make a copy to hand on, without what is private",
                also=("share", "privacy", "redact", "export", "anonymous", "send")),
        ]  # fmt: skip

    def show(self) -> None:
        """Show what can be left out."""
        if self.page is None:
            self.page = SharePage(self._window.adapter)
            self.page.done.connect(self._window.close_page)
        self._window.show_side(self.page)
        self.page.write.setFocus()


def _written(held: "partial[Shared]", path: Path, ticket: Ticket) -> tuple[Path, Shared]:
    copy = held(ticket=ticket)
    write_shared(path, copy, replace=path.exists())
    return path, copy
