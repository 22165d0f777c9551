"""Where readings can't tell the order of a ring: what is to be looked at, and the field in which cables are counted."""

from functools import partial

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.fields import CountField
from circuitmap.desk.order_parts import ShortList
from circuitmap.desk.order_said import counting_row
from circuitmap.desk.order_work import Counting, Told
from circuitmap.desk.parts import Heading, Label
from circuitmap.desk.theme import GAP_PX, TARGET_PX, Look
from circuitmap.home import verbs


class OrderCounts(QWidget):
    """The sentences of what can't be told, and the points whose cables would tell; Enter goes to the field of one."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._countings: tuple[Counting, ...] = ()
        self._at = ""
        self.head = Heading("Where it can’t tell", self)
        self.notes = Label("", self)
        self.list = ShortList(look, "Points to count the cables at. Enter goes to the count", self)
        self.list.setObjectName("order-counts")
        self.list.pointed.connect(self._on_pointed)
        self.list.taken.connect(self._on_taken)
        self.row = QWidget(self)
        self._words = Label("", self.row)
        self.field = CountField("Cables counted", "not counted", self._save, parent=self.row)
        self.field.setMinimumHeight(TARGET_PX)
        self._words.setBuddy(self.field)
        row = QHBoxLayout(self.row)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self._words, 1)
        row.addWidget(self.field)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(GAP_PX)
        for widget in (self.head, self.notes, self.list, self.row):
            layout.addWidget(widget)

    @property
    def at(self) -> str:
        """The point whose count is in the field, empty while none is chosen."""
        return self._at

    @property
    def countings(self) -> tuple[Counting, ...]:
        """The points on show."""
        return self._countings

    def forget(self) -> None:
        """Stand on no point: another circuit comes."""
        self._at = ""

    def show_told(self, told: Told | None) -> None:
        """Show what can't be told; the point that was chosen stays chosen while it is asked for."""
        self._countings = told.countings if told is not None else ()
        order = told.order if told is not None else None
        notes = [*(aside.says for aside in order.aside), *order.notes] if order is not None else []
        self.notes.setText("\n\n".join(notes))
        self.notes.setVisible(bool(notes))
        self.setVisible(bool(notes or self._countings))
        places = [each.at for each in self._countings]
        had_field = self.field.hasFocus()
        row = places.index(self._at) if self._at in places else -1
        self.list.show_rows([counting_row(each) for each in self._countings], row)
        self._show(self._countings[row] if row >= 0 else None)
        if had_field and row < 0 and places:
            self.list.setFocus()  # told by its count now: on to the next point

    def _show(self, counting: Counting | None) -> None:
        self._at = counting.at if counting is not None else ""
        self.row.setVisible(counting is not None)
        if counting is not None:
            self._words.setText(f"Cables at {counting.at}")
            self.field.setAccessibleName(f"Cables counted at {counting.at}")
            self.field.show_value(counting.counted)

    def _on_pointed(self, row: int) -> None:
        self._show(self._countings[row] if 0 <= row < len(self._countings) else None)

    def _on_taken(self, row: int) -> None:
        """Show the point on the plan, and go to its field."""
        self._on_pointed(row)
        if self._at:
            self._adapter.show(self._at)
            self.field.setFocus()
            self.field.selectAll()

    def _save(self, value: object) -> bool:
        count = value if isinstance(value, int) else None
        return self._adapter.do(partial(verbs.count_cables, record_id=self._at, count=count)) is not None
