"""One step of the hunt for low insulation: cautions, what to do and why, the fields, and what is known of each part."""

from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from circuitmap.desk.causes_list import RowList
from circuitmap.desk.leak_fields import PartFields
from circuitmap.desk.leak_said import (
    head_words,
    left_words,
    part_row,
    places_of,
    so_far_words,
    suspected,
    work_words,
)
from circuitmap.desk.parts import Card, Heading, Label, button
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import SHEET
from circuitmap.readings.leak_book import Trail
from circuitmap.readings.leak_known import Explained
from circuitmap.readings.leak_told import CAUTIONS

KNOWN: Final = "What is known"
UNCERTAIN: Final = "Nothing is certain before it was read alone."


class LeakStep(QWidget):
    """Shows a trail: its next step, or how it ended."""

    pointed = Signal()  # another part is looked at, or all again
    shown = Signal()  # a part is to be brought into view

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setStyleSheet(SHEET)
        self._trail: Trail | None = None
        self._parts: tuple[Explained, ...] = ()
        self._places: frozenset[str] = frozenset()
        self._build_step()
        self._build_known(look)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(GAP_PX)
        for widget in (self._caution, self._card, self._known_head, self.says, self.parts, self.notes, self.so_far):
            layout.addWidget(widget)

    def _build_step(self) -> None:
        self._caution = Card(self, warn=True)
        self._caution_words = Label("", self._caution)
        self._shows_all = True
        self.all_cautions = button("", self._caution)
        self.all_cautions.clicked.connect(self._on_all)
        self._caution.body.addWidget(self._caution_words)
        self._caution.body.addWidget(self.all_cautions)
        self._card = Card(self)
        self.head = Heading("", self._card)
        self.what = Label("", self._card)
        self.why = Label("", self._card, role="faint")
        self.work = Label("", self._card, role="faint")
        self.fields = PartFields(self._card)
        self.cannot = button("Can’t get at it", self._card)
        self.back = button("Back one step", self._card)
        self.stop = button("Stop here", self._card)
        self.cannot.setAccessibleName("Can’t get at it: look for another way")
        self.back.setAccessibleName("Take the last step back")
        self.stop.setAccessibleName("Stop the hunt here; what was read stays on record")
        row = QHBoxLayout()
        row.setSpacing(6)
        for each in (self.cannot, self.back, self.stop):
            each.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            row.addWidget(each)
        for widget in (self.head, self.what, self.why, self.work, self.fields):
            self._card.body.addWidget(widget)
        self._card.body.addLayout(row)

    def _build_known(self, look: Look) -> None:
        self._known_head = Heading(KNOWN, self)
        self.says = Label("", self)
        self.parts = RowList(look, "Parts of the circuit, the likeliest to leak first", self)
        self.parts.setObjectName("leak-parts")
        self.parts.pointed.connect(self._on_pointed)
        self.parts.taken.connect(self._on_taken)
        self.notes = Label("", self, role="faint")
        self.so_far = Label("", self, role="faint")

    @property
    def places(self) -> frozenset[str]:
        """The records of what is suspected, or of the part that is looked at."""
        return self._places

    @property
    def caution(self) -> str:
        """The cautions on show."""
        return self._caution_words.text()

    def show_trail(self, trail: Trail | None) -> None:
        """Show how far a hunt has come."""
        before, self._trail = self._trail, trail
        if trail is None:
            self._parts, self._places = (), frozenset()
            self.fields.show_parts((), ())
            return
        step = trail.step
        is_same = before is not None and before.step == step and before.number == trail.number
        self.head.setText(head_words(trail))
        for label, words in ((self.what, step.says), (self.why, step.why), (self.work, work_words(step))):
            label.setText(words)
            label.setVisible(bool(words))
        if is_same and before is not None and before.start == trail.start:
            self.fields.show_given(trail.given)
        else:
            self.fields.show_parts(step.asked, trail.given)
            self._shows_all = not trail.done
        self._show_cautions()
        self.cannot.setVisible(not step.is_end)
        self.back.setEnabled(bool(trail.readings))
        self.stop.setText("Done" if step.is_end else "Stop here")
        self._show_known(trail)

    def focus_first(self) -> None:
        """Go to the first part to be read; at the end to what is known of the parts."""
        if not self.fields.focus_first():
            (self.parts if self.parts.count() else self.stop).setFocus()

    def _show_cautions(self) -> None:
        if self._trail is None:
            return
        cautions = self._trail.step.cautions or CAUTIONS[:1]  # what was found is mended with the circuit dead as well
        shown = cautions if self._shows_all else tuple(dict.fromkeys((cautions[0], cautions[-1])))
        self._caution_words.setText("\n".join(f"• {sentence}" for sentence, _ in shown))
        self._caution_words.setToolTip("\n".join(f"{sentence} ({source})" for sentence, source in shown))
        self.all_cautions.setText("Fewer cautions" if self._shows_all else "All cautions")
        self.all_cautions.setVisible(len(cautions) > 2)

    def _on_all(self) -> None:
        self._shows_all = not self._shows_all
        self._show_cautions()

    def _show_known(self, trail: Trail) -> None:
        known = trail.known
        has_read = bool(trail.hunt.reads)
        self._parts = tuple(sorted(known.parts, key=_rank)) if has_read else ()
        self.says.setText(f"{known.says} {UNCERTAIN}" if has_read and not known.found else known.says)
        self.says.setVisible(known.says != trail.step.says)
        rows = [part_row(trail.hunt, each, is_found=each in known.found) for each in self._parts]
        self.parts.show_rows(rows)
        notes = "\n".join(
            filter(None, (*(each for each in known.notes if each not in trail.step.why), left_words(trail.left)))
        )
        so_far = so_far_words(trail.hunt, len(trail.done))
        for label, words in ((self.notes, notes), (self.so_far, so_far)):
            label.setText(words)
            label.setVisible(bool(words))
        self._places = places_of(trail.hunt, suspected(trail))

    def _on_pointed(self, row: int) -> None:
        if self._trail is None:
            return
        chosen = (self._parts[row],) if 0 <= row < len(self._parts) else suspected(self._trail)
        self._places = places_of(self._trail.hunt, chosen)
        self.pointed.emit()

    def _on_taken(self, row: int) -> None:
        self._on_pointed(row)
        self.shown.emit()


def _rank(each: Explained) -> tuple[float, str]:
    return -each.odds, each.title
