"""The wishes of an extension: the list, the fields of one, words to type, and what is wished of a point on the map."""

from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.causes_list import Row, RowList
from circuitmap.desk.extend_asking import STAGE
from circuitmap.desk.extend_state import ExtendState
from circuitmap.desk.parts import Card, Heading, Label, button, entry_field
from circuitmap.desk.theme import Look
from circuitmap.desk.wish_card import WishCard
from circuitmap.extension.wish_place import put_wish
from circuitmap.extension.wishes import FORMS, read_wish, say_wish
from circuitmap.home import Change, Home, verbs_extend
from circuitmap.home.records import Point, Wish

HINT: Final = "Say what is required, then click where on the plan; or type it. To have a point moved, drag it."
LOCKED: Final = "On the map as planned: take the plan back before requirements are changed."
DONE: Final = "Done: begin another extension for what is required now."


class _Wishes(RowList):
    """The list; Delete takes the wish away that the keys stand on."""

    dropped = Signal(int)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Take a wish away with Delete."""
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and self.currentRow() >= 0:
            self.dropped.emit(self.currentRow())
        else:
            super().keyPressEvent(event)


class WishesPage(QWidget):
    """The page of wishes."""

    tool_wanted = Signal(str)

    def __init__(self, adapter: Adapter, state: ExtendState, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("extend-wishes")
        self._adapter, self._state = adapter, state
        self._is_busy = False
        self.hint = Label(HINT, self, role="faint")
        self.card = WishCard(adapter, state, self)
        self.card.plant_wanted.connect(self._on_plant)
        self.card.drop_wanted.connect(self.drop)
        self.card.draft_changed.connect(self._on_draft)
        self.typed = entry_field("wish-words", "A requirement in words", self, FORMS[0])
        self.typed.setMaxLength(600)
        self.typed.returnPressed.connect(self.add_typed)
        self.typed_button = button("Add", self)
        self.typed_button.setAccessibleName("Add the requirement that is typed")
        self.typed_button.clicked.connect(self.add_typed)
        line = QHBoxLayout()
        line.addWidget(self.typed, 1)
        line.addWidget(self.typed_button)
        self.list = _Wishes(look, "Requirements", self)
        self.list.setObjectName("wishes")
        self.list.pointed.connect(self._on_row)
        self.list.taken.connect(self._on_taken)
        self.list.dropped.connect(self._on_dropped)
        self._point = self._build_point()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 8, 0, 8)
        layout.setSpacing(8)
        layout.addWidget(self.hint)
        layout.addWidget(self._point)
        layout.addWidget(self.card)
        layout.addLayout(line)
        self._head = Heading("Requirements", self)
        layout.addWidget(self._head)
        layout.addWidget(self.list)
        layout.addStretch(1)
        adapter.changed.connect(self.refresh)
        adapter.selected.connect(self.refresh)
        adapter.stage_changed.connect(self.refresh)
        adapter.tool_changed.connect(self._on_tool)
        state.changed.connect(self.refresh)
        self.refresh()

    def _build_point(self) -> Card:
        card = Card(self)
        card.setObjectName("wish-of-point")
        self._point_words = Label("", card)
        self.move_button = button("Have it moved…", card)
        self.move_button.clicked.connect(self.move_point)
        self.remove_button = button("Have it removed", card)
        self.remove_button.clicked.connect(self.remove_point)
        row = QHBoxLayout()
        for each in (self.move_button, self.remove_button):
            each.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            row.addWidget(each)
        card.body.addWidget(self._point_words)
        card.body.addLayout(row)
        return card

    # -- what actions call --------------------------------------------------------------------------------------

    @property
    def point(self) -> Point | None:
        """The point on the map that is selected, if it is one that is there."""
        chosen = self._adapter.selection
        found = self._adapter.home.find(Point, chosen[0]) if len(chosen) == 1 else None
        return found if found is not None and found.phase == "existing" else None

    def add_typed(self) -> None:
        """Read the words that were typed as a wish and add it; what can't be read stays in the field."""
        adapter, words = self._adapter, self.typed.text()
        if not words.strip():
            adapter.refuse(f"Nothing is typed; write a requirement like “{FORMS[0]}”.")
            return

        def add(home: Home) -> Change:
            wish = read_wish(home, adapter.memo, adapter.trade, words)
            return put_wish(home, adapter.memo, adapter.trade, self._extension_id, wish)

        if adapter.do(add) is not None:
            self.typed.clear()
            self._state.choose_wish(len(self._state.wishes) - 1)

    def focus_typed(self) -> None:
        """Put the keys into the field for words."""
        self.typed.setFocus()
        self.typed.selectAll()

    def move_point(self) -> None:
        """Take the point that is selected in hand: the next click says where it is to go."""
        point = self.point
        if point is None:
            self._adapter.refuse("Choose the point on the plan first that is to move.")
            return
        wish = Wish(act="move", kind=point.kind, gangs=point.gangs, point=point.id, loads=point.loads)
        self.card.take_draft(wish)
        self.tool_wanted.emit("wish")

    def remove_point(self) -> None:
        """Wish that the point that is selected be taken out."""
        point = self.point
        if point is None:
            self._adapter.refuse("Choose the point on the plan first that is to go.")
            return
        adapter, wish = self._adapter, Wish(act="remove", point=point.id)
        done = adapter.do(lambda home: put_wish(home, adapter.memo, adapter.trade, self._extension_id, wish))
        if done is not None:
            self._state.choose_wish(len(self._state.wishes) - 1)

    def drop(self) -> None:
        """Take the wish that is chosen away."""
        extension, number = self._state.extension, self._state.wish
        if extension is None or number < 0:
            self._adapter.refuse("Choose a requirement first, in the list or on the plan.")
            return
        self._adapter.do(lambda home: verbs_extend.drop_wish(home, extension.id, number))

    def plant(self) -> None:
        """Take the next wish in hand, to be planted on the plan."""
        if self.card.draft.act != "add":
            self.card.take_draft(Wish(act="add", kind="socket", gangs=2))
        else:
            self._state.choose_wish(-1)
        self.tool_wanted.emit("wish")

    # -- showing ------------------------------------------------------------------------------------------------

    def refresh(self, *_: object) -> None:
        """Show the wishes as they are, as far as the stage is on show."""
        state, adapter = self._state, self._adapter
        if adapter.stage != STAGE:
            return
        self.hint.setText(HINT if state.is_open else LOCKED if state.is_planned else DONE)
        rows = [
            Row(str(n), None, say_wish(adapter.home, adapter.memo, adapter.trade, wish))
            for n, wish in enumerate(state.wishes, 1)
        ]
        self._head.setVisible(bool(rows))
        self.list.setVisible(bool(rows))
        self._is_busy = True
        if [self.list.row_at(n) for n in range(self.list.count())] != rows:
            self.list.show_rows(rows, state.wish)
        elif self.list.currentRow() != state.wish:
            self.list.setCurrentRow(state.wish)
        self._is_busy = False
        point = self.point
        self._point.setVisible(point is not None and state.is_open)
        if point is not None:
            self._point_words.setText(f"{adapter.trade.point(point.kind).title} {point.id} is chosen on the plan.")
        for each in (self.typed, self.typed_button):
            each.setEnabled(state.is_open)

    def settle(self) -> None:
        """Save what is being typed."""
        self.card.settle()

    @property
    def _extension_id(self) -> str:
        extension = self._state.extension
        return extension.id if extension is not None else ""

    def _on_plant(self) -> None:
        if self._adapter.tool == "wish":
            self._adapter.set_tool("select")
        else:
            self.plant()

    def _on_draft(self) -> None:
        """Let the tool in hand be made anew for what is now to be planted."""
        if self._adapter.tool == "wish":
            self._adapter.tool_changed.emit("wish")

    def _on_tool(self, tool: str) -> None:
        self.card.plant_button.setChecked(tool == "wish")
        if tool != "wish" and self.card.draft.act != "add":
            self.card.draft = Wish(act="add", kind="socket", gangs=2)
            self.card.refresh()

    def _on_row(self, row: int) -> None:
        if not self._is_busy:
            self._state.choose_wish(row)

    def _on_taken(self, row: int) -> None:
        """Go to where it is wished."""
        self._on_row(row)
        place = self._state.wishes[row].place if row < len(self._state.wishes) else None
        if place is not None:
            self._adapter.set_storey(place.storey)

    def _on_dropped(self, row: int) -> None:
        self._state.choose_wish(row)
        self.drop()
