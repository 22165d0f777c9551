"""What every page of the inspector has: a title, a form, and fields that save through verbs."""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFormLayout, QLabel, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.fields import ChoiceField, Save, TextField
from circuitmap.desk.parts import Card, Heading, Label, add_row, button, form
from circuitmap.desk.promise_words import promise_words
from circuitmap.desk.theme import Look
from circuitmap.errors import PersonError
from circuitmap.home import Change, Home, verbs
from circuitmap.quantities import parse_current_a, parse_length_mm


class Page(QWidget):
    """One page; subclasses add fields and show a record in them."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.adapter, self.look = adapter, look
        self.ids: tuple[str, ...] = ()
        self.first: QWidget | None = None
        self.title = Heading("", self)
        self.promise = Label("", self, role="warn")
        self.promise.setAccessibleName("Whether it is there")
        self.urgent = Card(self, warn=True)
        self.urgent_words = Label("", self.urgent)
        self.urgent.body.addWidget(self.urgent_words)
        self.says = Label("", self, role="faint")
        self.form: QFormLayout = form()
        self.box = QVBoxLayout(self)
        self.box.setContentsMargins(0, 0, 0, 0)
        self.box.setSpacing(6)
        head = QVBoxLayout()
        head.setSpacing(2)
        head.addWidget(self.title)
        head.addWidget(self.promise)
        self.box.addLayout(head)
        self.box.addWidget(self.urgent)
        self.box.addWidget(self.says)
        self.box.addLayout(self.form)

    def show_ids(self, ids: tuple[str, ...]) -> None:
        """Show some records; what was typed about others is saved first."""
        if ids != self.ids:
            self.settle()
        self.ids = ids
        self.says.hide()
        self.fill()
        self._show_urgent()
        promise = promise_words(self.adapter.home, ids)
        self.promise.setText(promise)
        self.promise.setVisible(bool(promise))
        editable = not self.adapter.document.read_only
        for child in self.findChildren(QWidget, options=Qt.FindChildOption.FindDirectChildrenOnly):
            if not isinstance(child, QLabel) and not child.property("goes"):
                child.setEnabled(editable)

    def settle(self) -> None:
        """Save what was typed and not saved yet; what was typed about a thing that is gone is let go."""
        # A field may keep the focus while something else is selected; what it holds is about the record before.
        is_there = all(self.adapter.home.peek(record_id) is not None for record_id in self.ids)
        fields: list[TextField | ChoiceField] = [*self.findChildren(TextField), *self.findChildren(ChoiceField)]
        for field in fields:
            if is_there:
                field.settle()
            else:
                field.drop()

    def _show_urgent(self) -> None:
        ids = set(self.ids)
        now = [each.says for each in self.adapter.findings if each.code == "C1" and not ids.isdisjoint(each.subjects)]
        self.urgent_words.setText("\n".join(now[:3]))
        self.urgent.setVisible(bool(now))

    def fill(self) -> None:
        """Show the records in the fields."""

    def say(self, words: str) -> None:
        """Say something under the title, or nothing."""
        self.says.setText(words)
        self.says.setVisible(bool(words))

    @property
    def id(self) -> str:
        """The id of the record on show."""
        return self.ids[0] if self.ids else ""

    def row(self, label: str, field: QWidget) -> None:
        """Add a field with its label."""
        add_row(self.form, label, field)
        if self.first is None:
            self.first = field

    def end_with_remove(self, words: str) -> None:
        """End the page with a button that removes what it shows; undo brings it back."""
        self.gone = button(words, self)
        self.gone.clicked.connect(self._on_remove)
        self.box.addWidget(self.gone)

    def _on_remove(self) -> None:
        self.make(lambda home: verbs.remove(home, *self.ids))

    # -- saving -------------------------------------------------------------------------------------------------

    def make(self, make: Callable[[Home], Change]) -> bool:
        """Make a change; give whether it was taken."""
        return self.adapter.do(make) is not None

    def saver(self, field: str, read: Callable[[object], object] | None = None) -> Save:
        """Give what a field calls to save into a record's field; ``read`` turns what was typed into a value."""

        def save(value: object) -> bool:
            try:
                wanted = read(value) if read is not None else value
            except PersonError as error:
                self.adapter.refuse(str(error))
                return False
            return self.make(lambda home: verbs.edit(home, self.id, "", **{field: wanted}))

        return save


def read_current(value: object) -> float | None:
    """Read a typed current; nothing typed is unknown."""
    text = str(value).strip()
    return parse_current_a(text) if text else None


def read_length(value: object) -> int | None:
    """Read a typed length as whole millimetres; a bare number is metres, nothing typed is unknown."""
    text = str(value).strip()
    return round(parse_length_mm(text, default_unit="m")) if text else None


def read_depth(value: object) -> int | None:
    """Read a typed depth as whole millimetres; a bare number is millimetres, nothing typed is unknown."""
    text = str(value).strip()
    return round(parse_length_mm(text, default_unit="mm")) if text else None


def figure(value: float | None, unit: str = "") -> str:
    """Show a number as it would be typed, or nothing when it is unknown."""
    return "" if value is None else f"{value:g}{' ' + unit if unit else ''}"
