"""What every page of the inspector has: a title, a form, and fields that save through verbs."""

from collections.abc import Callable

from PySide6.QtWidgets import QFormLayout, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.fields import Save
from circuitmap.desk.parts import Heading, Label, add_row, form
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
        self.says = Label("", self, role="faint")
        self.form: QFormLayout = form()
        self.box = QVBoxLayout(self)
        self.box.setContentsMargins(0, 0, 0, 0)
        self.box.setSpacing(6)
        self.box.addWidget(self.title)
        self.box.addWidget(self.says)
        self.box.addLayout(self.form)

    def show_ids(self, ids: tuple[str, ...]) -> None:
        """Show some records."""
        self.ids = ids
        self.says.hide()
        self.fill()
        editable = not self.adapter.document.read_only
        for n in range(self.form.rowCount()):
            item = self.form.itemAt(n, QFormLayout.ItemRole.FieldRole)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.setEnabled(editable)

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
