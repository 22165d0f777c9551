"""Notes and photographs of what is selected: by typing, by file, pasted, or dropped here or on the plan."""

from pathlib import Path
from typing import Final

from PySide6.QtCore import QEvent, QMimeData, QObject, Qt, QTimer
from PySide6.QtGui import QDragEnterEvent, QDragMoveEvent, QDropEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QApplication, QFileDialog, QHBoxLayout, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.note_box import NoteBox, PathField
from circuitmap.desk.parts import Heading, Label, answers, button
from circuitmap.desk.photo_view import PhotoView
from circuitmap.desk.photo_work import PATTERNS, Bringing, Brought, PhotoPixels, Source, has_photos, sources_of
from circuitmap.desk.theme import GAP_PX, TARGET_PX, Look
from circuitmap.desk.visit_state import visit_now
from circuitmap.home import Change, Home, combine, verbs
from circuitmap.home.records import (
    Board,
    Details,
    Device,
    Fixture,
    Note,
    Plate,
    Point,
    Record,
    Room,
    Run,
    Supply,
    Visit,
    Wall,
    natural_key,
)

TAKES_NOTES: Final[tuple[type[Record], ...]] = (
    Point, Board, Device, Room, Plate, Run, Wall, Fixture, Supply, Details,
)  # fmt: skip
_HOW: Final = "Drop photographs here or on the plan, paste them with Ctrl+V, or type the path of a file."


class NotesCard(QWidget):
    """The card under the page of what is selected."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.adapter, self._look = adapter, look
        self.subject = ""
        self.boxes: dict[str, NoteBox] = {}
        self.pixels = PhotoPixels(adapter, self)
        self.bringing = Bringing(self)
        self._view: PhotoView | None = None
        self.setObjectName("notes")
        self.setAccessibleName("Notes and photographs")
        self.setAcceptDrops(True)
        self.heading = Heading("Notes and photographs", self)
        self._list = QVBoxLayout()
        self._list.setSpacing(6)
        self.path = PathField(self)
        self.path.setAccessibleName("Path of a photograph")
        self.path.setPlaceholderText("path of a photograph")
        self.path.setMaxLength(4000)
        self.path.setMinimumHeight(TARGET_PX)
        self.path.returnPressed.connect(self._on_path)
        self.path.pictured.connect(self._on_pictured)
        self.choose_button = button("Choose…", self)
        self.choose_button.setAccessibleName("Choose photographs")
        self.choose_button.clicked.connect(self._on_choose)
        self.write_button = button("Write a note", self)
        self.write_button.clicked.connect(self.write)
        self.how = Label(_HOW, self, role="faint")
        self.busy = Label("", self)
        self.stop_button = button("Stop", self)
        self.stop_button.setAccessibleName("Stop bringing photographs in")
        self.stop_button.clicked.connect(self.bringing.stop)
        line = QHBoxLayout()
        line.setSpacing(GAP_PX)
        line.addWidget(self.path, 1)
        line.addWidget(self.choose_button)
        wait = QHBoxLayout()
        wait.addWidget(self.busy, 1)
        wait.addWidget(self.stop_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 10, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.heading)
        column.addLayout(self._list)
        column.addLayout(line)
        column.addLayout(answers(self.write_button))
        column.addLayout(wait)
        column.addWidget(self.how)
        self.bringing.brought.connect(self._on_brought)
        self.bringing.changed.connect(self._show_busy)
        look.changed.connect(self.update)
        self._show_busy()

    def paste_owner(self, owner: QWidget) -> None:
        """Let a widget, and all in it that doesn't paste by itself, paste photographs."""
        paste = QShortcut(QKeySequence(QKeySequence.StandardKey.Paste), owner)
        paste.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        paste.activated.connect(self.paste)
        owner.setAcceptDrops(True)
        owner.installEventFilter(self)

    # -- showing ------------------------------------------------------------------------------------------------

    def show_subject(self, subject: str) -> None:
        """Show the notes about something; what was typed about another is saved first."""
        if subject != self.subject:
            self.subject, typed_in = subject, tuple(self.boxes.values())
            for box in typed_in:
                box.settle()
        self.setVisible(bool(subject))
        if subject:
            self._fill()

    def _fill(self) -> None:
        home, editable = self.adapter.home, not self.adapter.document.read_only
        # What was put right stands last.
        notes = sorted(
            verbs.all_notes_of(home, self.subject), key=lambda note: (note.cleared is not None, natural_key(note.id))
        )
        for note_id in [each for each in self.boxes if each not in {note.id for note in notes}]:
            gone = self.boxes.pop(note_id)
            self._list.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        for place, note in enumerate(notes):
            box = self.boxes.get(note.id)
            if box is None:
                box = self.boxes[note.id] = NoteBox(self, note, self.pixels, self._look)
                self._list.insertWidget(place, box)
            elif self._list.indexOf(box) != place:
                self._list.removeWidget(box)
                self._list.insertWidget(place, box)
            box.show_note(note, editable=editable)
        for each in (self.path, self.choose_button, self.write_button):
            each.setEnabled(editable)
        photos = sum(len(note.photos) for note in notes)
        self.heading.setText("Notes and photographs" + (f" ({len(notes)}, {photos})" if notes else ""))

    def _show_busy(self) -> None:
        count = self.bringing.waiting
        self.busy.setText(f"Bringing {count} photograph{'' if count == 1 else 's'} in…" if count else "")
        self.busy.setVisible(bool(count))
        self.stop_button.setVisible(bool(count))

    # -- photographs coming in ----------------------------------------------------------------------------------

    def paste(self) -> None:
        """Take what is in the clipboard."""
        mime = QApplication.clipboard().mimeData()
        if mime is None or not has_photos(mime):
            self.adapter.refuse("There is no photograph in the clipboard; copy one first.")
            return
        self.take(mime, self._note_in_hand())

    def take(self, mime: QMimeData, note: str = "") -> None:
        """Bring in what was pasted or dropped."""
        self.bring(sources_of(mime), self.subject, note)

    def choose(self, note: str = "") -> None:
        """Ask which files, and bring them in."""
        names, _ = QFileDialog.getOpenFileNames(self, "Photographs", "", f"Photographs ({PATTERNS});;All files (*)")
        self.bring([Path(name) for name in names], self.subject, note)

    def bring(self, sources: list[Source], subject: str, note: str = "") -> None:
        """Bring photographs in for something, onto one of its notes or onto the latest of this visit."""
        record = self.adapter.home.peek(subject)
        if record is None or not isinstance(record, TAKES_NOTES):
            self.adapter.refuse("Select what the photograph shows first: a point, a way, a board or a room.")
        elif self.adapter.document.read_only:
            self.adapter.refuse(self.adapter.document.read_only_why)
        elif sources:
            self.bringing.begin(sources, subject, note)

    def _note_in_hand(self) -> str:
        return self._note_of(QApplication.focusWidget())

    def _note_of(self, widget: QWidget | None) -> str:
        boxes = self.boxes.items()
        return next((i for i, box in boxes if widget is not None and (box is widget or box.isAncestorOf(widget))), "")

    def _on_brought(self, brought: Brought, subject: str, note: str) -> None:
        if brought.photos:
            assets = {photo.sha256: (photo.media, photo.data) for photo in brought.photos}
            self.adapter.do_with(lambda home: _with_photos(home, subject, note, tuple(assets)), assets)
            box = next((each for each in self.boxes.values() if assets.keys() & set(each.note.photos)), None)
            if box is not None:
                QTimer.singleShot(0, box.come_into_sight)
        if brought.refused:
            more = len(brought.refused) - 1
            others = f" {more} more could not be used either." if more else ""
            self.adapter.refuse(f"{brought.refused[0]}{others}")

    # -- what the card's buttons do -----------------------------------------------------------------------------

    def write(self) -> None:
        """Begin a note and put the cursor into it."""
        subject = self.subject
        visit = visit_now(self.adapter.home)
        added = self.adapter.do(lambda home: verbs.note(home, subject, visit=visit.id if visit else None))
        box = self.boxes.get(added[0]) if added else None
        if box is not None:
            box.text.setFocus()
            QTimer.singleShot(0, box.come_into_sight)

    def turn_right(self, note: Note) -> None:
        """Say that a note was put right on this visit (one is begun if there is none), or that it wasn't."""
        if note.cleared is not None:
            self.adapter.do(lambda home: verbs.reopen(home, note.id))
        else:
            self.adapter.do(lambda home: _put_right(home, note.id))

    def open_photo(self, note: Note, photo: str) -> None:
        """Show a photograph large."""
        window = self.window()
        if self._view is None or self._view.parentWidget() is not window:
            self._view = PhotoView(self.pixels, self._look, window)
        about = verbs.note_said(self.adapter.home, note)
        at = note.photos.index(photo) if photo in note.photos else 0
        self._view.show_photos(note.photos, at, f"{note.subject}: {about[:200]}", QApplication.focusWidget())

    @property
    def large(self) -> PhotoView | None:
        """The view of a photograph shown large, once there was one."""
        return self._view

    # -- slots --------------------------------------------------------------------------------------------------

    def _on_path(self) -> None:
        typed = self.path.text().strip().strip("\"'")
        if typed:
            self.path.clear()
            self.bring([Path(typed).expanduser()], self.subject)

    def _on_choose(self) -> None:
        self.choose()

    def _on_pictured(self, mime: QMimeData) -> None:
        self.take(mime)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Take photographs dropped on the card."""
        self._consider(event)

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        """Take photographs dropped on the card."""
        self._consider(event)

    def dropEvent(self, event: QDropEvent) -> None:
        """Bring in what was dropped on the card, onto the note under it."""
        child = self.childAt(event.position().toPoint())
        note = next(
            (i for i, b in self.boxes.items() if child is not None and (b is child or b.isAncestorOf(child))), ""
        )
        self._drop(event, note)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take photographs dropped anywhere on the inspector."""
        if event.type() not in (QEvent.Type.DragEnter, QEvent.Type.DragMove, QEvent.Type.Drop):
            return False
        if isinstance(event, QDropEvent) and event.type() == QEvent.Type.Drop:
            self._drop(event, "")
            return True
        if isinstance(event, QDragMoveEvent):
            self._consider(event)
            return True
        return False

    def _consider(self, event: QDragMoveEvent) -> None:
        if self.subject and has_photos(event.mimeData()):
            event.acceptProposedAction()

    def _drop(self, event: QDropEvent, note: str) -> None:
        if self.subject and has_photos(event.mimeData()):
            event.acceptProposedAction()
            self.take(event.mimeData(), note)


def _with_photos(home: Home, subject: str, note_id: str, photos: tuple[str, ...]) -> Change:
    """Put photographs on a note: the one named, else the latest open one of this visit, else a new one."""
    visit = visit_now(home)
    note = home.find(Note, note_id or None)
    if note is None or note.subject != subject:
        today = visit.id if visit is not None else None
        open_ones = [each for each in verbs.notes_of(home, subject) if each.visit == today]
        note = open_ones[-1] if open_ones else None
    if note is None:
        return verbs.note(home, subject, visit=visit.id if visit is not None else None, photos=photos)
    return verbs.add_photos(home, note.id, photos)


def _put_right(home: Home, note_id: str) -> Change:
    changes: list[Change] = []
    visit = visit_now(home)
    if visit is None:
        changes.append(verbs.start_visit(home, purpose="after work"))
        home = home.apply(changes[-1])
    visit_id = visit.id if visit is not None else changes[0].added(Visit)[0]
    changes.append(verbs.clear(home, note_id, visit_id))
    return combine("Mark as put right", changes)
