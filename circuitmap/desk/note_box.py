"""One note of what is selected: what was seen, words, photographs, and whether it was put right."""

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QCoreApplication, QEvent, QMimeData, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QLineEdit, QPlainTextEdit, QWidget

from circuitmap.desk.fields import ChoiceField
from circuitmap.desk.parts import Card, Label, answers, button
from circuitmap.desk.photo_thumbs import Thumbnails
from circuitmap.desk.photo_work import PhotoPixels, has_photos
from circuitmap.desk.sight import show_whole
from circuitmap.desk.theme import Look
from circuitmap.home import verbs
from circuitmap.home.records import Note, Visit
from circuitmap.words import CONDITIONS, written_day_said

if TYPE_CHECKING:
    from circuitmap.desk.notes_card import NotesCard

_TEXT_PX: Final = 62
_LONGEST: Final = 100_000


class PhotoText(QPlainTextEdit):
    """Words typed on several lines, saved when the focus goes; a pasted picture is handed on as one."""

    left = Signal()
    pictured = Signal(object)  # the QMimeData that holds photographs

    def __init__(self, name: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setTabChangesFocus(True)
        self.setFixedHeight(_TEXT_PX)

    def canInsertFromMimeData(self, source: QMimeData) -> bool:
        """Take words and photographs."""
        return has_photos(source) or super().canInsertFromMimeData(source)

    def insertFromMimeData(self, source: QMimeData) -> None:
        """Hand photographs on, put words in."""
        if has_photos(source):
            self.pictured.emit(source)
        else:
            super().insertFromMimeData(source)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Say that the person has gone on."""
        super().focusOutEvent(event)
        self.left.emit()


class PathField(QLineEdit):
    """A line for the path of a photograph; a picture in the clipboard is handed on as one."""

    pictured = Signal(object)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Paste a picture as a picture, words as words."""
        mime = QApplication.clipboard().mimeData()
        if event.matches(QKeySequence.StandardKey.Paste) and mime is not None and has_photos(mime):
            self.pictured.emit(mime)
        else:
            super().keyPressEvent(event)


class NoteBox(Card):
    """A note in the card; it lives as long as its note does."""

    def __init__(self, card: "NotesCard", note: Note, pixels: PhotoPixels, look: Look) -> None:
        super().__init__(card)
        self._card = card
        self.note = note
        self.says = Label("", self)
        self.when = Label("", self, role="faint")
        self.text = PhotoText(f"Words of note {note.id}", self)
        self.text.setPlaceholderText("What was seen, in words")
        self.text.left.connect(self.settle)
        self.text.pictured.connect(self._on_pictured)
        choices = [("add what was seen…", ""), *((each, each) for each in CONDITIONS)]
        self.seen = ChoiceField(f"What was seen, for note {note.id}", choices, self._save_seen, self)
        self.thumbs = Thumbnails(pixels, look, self)
        self.thumbs.opened.connect(self._on_opened)
        self.thumbs.removed.connect(self._on_removed)
        self.more = button("Photograph…", self)
        self.more.setAccessibleName(f"Add photographs to note {note.id}")
        self.more.clicked.connect(self._on_more)
        self.right = button("Put right", self)
        self.right.clicked.connect(self._on_right)
        self.away = button("Remove", self)
        self.away.setAccessibleName(f"Remove note {note.id}")
        self.away.clicked.connect(self._on_away)
        for each in (self.when, self.says, self.text, self.seen, self.thumbs):
            self.body.addWidget(each)
        self.body.addLayout(answers(self.more, self.right, self.away))

    def show_note(self, note: Note, *, editable: bool) -> None:
        """Show a note as it is now."""
        typed = self.text.toPlainText()
        was_typed = typed != self.note.text and self.text.hasFocus()
        self.note = note
        home = self._card.adapter.home
        visit = home.find(Visit, note.visit)
        cleared = home.find(Visit, note.cleared)
        said = f"Note {note.id}" + (f", {written_day_said(visit.day)}" if visit is not None else "")
        self.when.setText(said + (f"; put right on {written_day_said(cleared.day)}" if cleared is not None else ""))
        self.says.setText(", ".join(note.seen))
        self.says.setVisible(bool(note.seen))
        if not was_typed and self.text.toPlainText() != note.text:
            self.text.setPlainText(note.text)
        self.text.setReadOnly(not editable)
        self.seen.show_value("")
        self.right.setText("Not put right" if cleared is not None else "Put right")
        self.right.setAccessibleName(f"{self.right.text()}: note {note.id}")
        for each in (self.seen, self.more, self.right, self.away):
            each.setEnabled(editable)
        self.thumbs.show_photos(note.photos, f"note {note.id} at {note.subject}", may_remove=editable)

    def come_into_sight(self) -> None:
        """Scroll the card under it until it is in sight, its words before the rest."""
        QCoreApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest)  # a note just made has no place before
        show_whole(self)
        show_whole(self.text)

    def settle(self) -> None:
        """Save the words typed so far."""
        text = self.text.toPlainText()[:_LONGEST]
        if text != self.note.text and self._card.adapter.home.find(Note, self.note.id) is not None:
            note_id = self.note.id
            if self._card.adapter.do(lambda home: verbs.write_note(home, note_id, text)) is None:
                self.text.setPlainText(self.note.text)

    def _save_seen(self, value: object) -> bool:
        condition = str(value)
        if not condition:
            return True
        note = self.note
        wanted = (*note.seen, condition) if condition not in note.seen else tuple(
            each for each in note.seen if each != condition
        )  # fmt: skip
        return self._card.adapter.do(lambda home: verbs.set_conditions(home, note.id, wanted)) is not None  # type: ignore[arg-type]  # a word of CONDITIONS

    def _on_pictured(self, mime: QMimeData) -> None:
        self._card.take(mime, self.note.id)

    def _on_opened(self, photo: str) -> None:
        self._card.open_photo(self.note, photo)

    def _on_removed(self, photo: str) -> None:
        note_id = self.note.id
        self._card.adapter.do(lambda home: verbs.remove_photos(home, note_id, (photo,)))

    def _on_more(self) -> None:
        self._card.choose(self.note.id)

    def _on_right(self) -> None:
        self._card.turn_right(self.note)

    def _on_away(self) -> None:
        note_id = self.note.id
        self._card.adapter.do(lambda home: verbs.remove(home, note_id))
