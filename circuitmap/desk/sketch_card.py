"""Drawing rooms from nothing: a field for name and size, the side of the room that the next one goes to, the areas."""

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QButtonGroup, QComboBox, QHBoxLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.parts import Label, button
from circuitmap.desk.theme import TARGET_PX
from circuitmap.drawing.marks import Area, Ink, Mark, Words
from circuitmap.errors import PersonError
from circuitmap.home.records import Room
from circuitmap.plan.sketch import EDGES, EXAMPLE, Edge, Sized, read_list, read_sized, show_size
from circuitmap.plan.sketched import Laid, drawn_rooms, free_name, lay_room, say_areas, sketch_rooms

_ARROWS: dict[Edge, str] = {"right": "→", "below": "↓", "left": "←", "above": "↑"}
_SAID: dict[Edge, str] = {"right": "Right of it", "below": "Below it", "left": "Left of it", "above": "Above it"}
CLICK_TOOL = "sized room"


class SketchCard(QWidget):
    """Type a room, press Enter, and it stands beside the last one."""

    tool_wanted = Signal(str)
    ghosted = Signal(object)  # marks of where the typed room would go
    placed = Signal(str)  # the id of the last room that was drawn

    def __init__(self, adapter: Adapter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self.setObjectName("sketch")

        self.field = QLineEdit(self)
        self.field.setObjectName("sketch-room")
        self.field.setMaxLength(4000)
        self.field.setPlaceholderText(f"{EXAMPLE}, then Enter")
        self.field.setAccessibleName("Name and size of a room to draw")
        self.field.setToolTip(
            f"A name and two lengths, like {EXAMPLE} or Hall 12' × 4' 6\"; “Bath 2 × 2 below Hall” says where. "
            "Alt, Shift and an arrow key choose the side. Several rooms are parted by a semicolon."
        )
        self.field.returnPressed.connect(self.draw)
        self.field.textChanged.connect(self._on_edited)
        self.field.installEventFilter(self)

        self.beside = QComboBox(self)
        self.beside.setObjectName("sketch-beside")
        self.beside.setAccessibleName("Room that the new one goes beside")
        self.beside.currentIndexChanged.connect(self._on_edited)
        self._edges = QButtonGroup(self)
        self._edges.setExclusive(True)
        row = QHBoxLayout()
        row.setSpacing(4)
        self.edge_buttons: dict[Edge, QPushButton] = {}
        for number, edge in enumerate(EDGES):
            one = button(_ARROWS[edge], self, checkable=True)
            one.setAccessibleName(f"{_SAID[edge]}: side for the new room")
            one.setToolTip(f"{_SAID[edge]} (Alt+Shift+arrow)")
            one.setObjectName(f"sketch-{edge}")
            one.setFixedWidth(TARGET_PX + 4)
            one.setStyleSheet("padding: 5px 0px;")
            self._edges.addButton(one, number)
            self.edge_buttons[edge] = one
            row.addWidget(one)
        row.insertWidget(0, self.beside, 1)
        self.edge_buttons["right"].setChecked(True)
        self._edges.idToggled.connect(self._on_edited)

        self._says = Label("", self, role="faint")
        self._says.setObjectName("sketch-says")
        self.draw_button = button("Draw it", self)
        self.draw_button.clicked.connect(self.draw)
        self.click_button = button("Place it by a click", self, checkable=True)
        self.click_button.clicked.connect(self._on_click_wanted)
        for widget in (self.field, self.beside):
            widget.setStyleSheet(f"min-height: {TARGET_PX - 10}px;")
        self._areas = Label("", self)
        self._areas.setObjectName("sketch-areas")

        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(self.field)
        # What to do with a typed room is asked once one is typed.
        self._more = QWidget(self)
        more = QVBoxLayout(self._more)
        more.setContentsMargins(0, 0, 0, 0)
        more.setSpacing(6)
        more.addLayout(row)
        more.addWidget(self._says)
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        buttons.addWidget(self.draw_button, 1)
        buttons.addWidget(self.click_button, 1)
        more.addLayout(buttons)
        layout.addWidget(self._more)
        layout.addWidget(self._areas)

        adapter.changed.connect(self._on_changed)
        adapter.storey_changed.connect(self._on_changed)
        adapter.selected.connect(self._on_selected)
        adapter.tool_changed.connect(self._on_tool)
        adapter.stage_changed.connect(self._on_edited)
        self._on_changed(None)

    # -- what the window asks -----------------------------------------------------------------------------------

    @property
    def edge(self) -> Edge:
        """The side that the next room goes to."""
        return EDGES[max(0, self._edges.checkedId())]

    def choose_edge(self, edge: Edge) -> None:
        """Let the next room go to another side."""
        self.edge_buttons[edge].setChecked(True)

    @property
    def areas(self) -> str:
        """The areas as they are said."""
        return self._areas.text()

    @property
    def says(self) -> str:
        """What is said of the typed room."""
        return self._says.text()

    def in_hand(self) -> tuple[Sized, str]:
        """Give the first room that is typed, and what it will be called."""
        sized = read_sized(next(iter(read_list(self.field.text())), ""))
        return sized, sized.name or free_name(self._adapter.home)

    def draw(self) -> None:
        """Draw the rooms that are typed."""
        lines = read_list(self.field.text())
        home, storey = self._adapter.home, self._adapter.storey
        beside, edge, gap_mm = self._beside(), self.edge, self._gap_mm()
        where = ""
        if len(lines) == 1:
            try:
                where = self._laid(read_sized(lines[0])).where
            except PersonError as error:
                self._refuse(str(error))
                return
        try:
            change = sketch_rooms(home, storey, lines, beside=beside, edge=edge, gap_mm=gap_mm)
        except PersonError as error:
            self._refuse(str(error))
            return
        added = self._adapter.do(change)
        if not added:
            return
        rooms = [i for i in added if self._adapter.home.find(Room, i) is not None]
        self.field.clear()
        self.field.setFocus()
        last = self._adapter.home.take(Room, rooms[-1])
        if last.storey:
            self._adapter.set_storey(last.storey)
        self._adapter.select(last.id)
        said = f"{last.name}, {show_size(last.outline_mm)}, {where}" if where else f"{len(rooms)} rooms drawn"
        self._adapter.say(f"{said}.")
        self.placed.emit(last.id)

    # -- inside -------------------------------------------------------------------------------------------------

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Let Esc empty the field."""
        if (
            isinstance(event, QKeyEvent)
            and event.type() == QEvent.Type.KeyPress
            and watched is self.field
            and event.key() == Qt.Key.Key_Escape
            and self.field.text()
        ):
            self.field.clear()
            return True
        return super().eventFilter(watched, event)

    def _refuse(self, sentence: str) -> None:
        self._adapter.refuse(sentence)
        self.field.setFocus()

    def _gap_mm(self) -> float:
        return self._adapter.trade.size_mm("inner wall")

    def _beside(self) -> Room | None:
        chosen = self.beside.currentData()
        return self._adapter.home.find(Room, chosen) if chosen else None

    def _laid(self, sized: Sized) -> Laid:
        return lay_room(
            self._adapter.home, self._adapter.storey, sized, beside=self._beside(), edge=self.edge,
            gap_mm=self._gap_mm(),
        )  # fmt: skip

    def _on_edited(self, *_: object) -> None:
        lines = read_list(self.field.text())
        words, marks = "", tuple[Mark, ...]()
        if len(lines) > 1:
            words = f"{len(lines)} rooms, one beside the other."
        elif lines:
            try:
                laid = self._laid(read_sized(lines[0]))
                words, marks = f"{laid.name}, {show_size(laid.outline)}, {laid.where}.", _ghost(laid)
            except PersonError as error:
                words = str(error)
        self._says.setText(words)
        self._says.setVisible(bool(words))
        self._more.setVisible(bool(lines))
        shows = self._adapter.stage == "draw" and self._adapter.tool == "select"
        self.ghosted.emit(marks if shows else ())

    def _on_click_wanted(self) -> None:
        self.tool_wanted.emit(CLICK_TOOL if self.click_button.isChecked() else "select")

    def _on_tool(self, tool: str) -> None:
        self.click_button.setChecked(tool == CLICK_TOOL)
        self._on_edited()

    def _on_changed(self, change: object) -> None:
        adapter = self._adapter
        if adapter.tool == CLICK_TOOL and change is not None and any(i[:1] == "M" for i in getattr(change, "ids", ())):
            rest = read_list(self.field.text())[1:]
            self.field.setText("; ".join(rest))
            if not rest:
                adapter.set_tool("select")
        rooms = drawn_rooms(adapter.home, adapter.storey) if adapter.storey else []
        wanted = [(room.name, room.id) for room in rooms]
        held = [(self.beside.itemText(n), self.beside.itemData(n)) for n in range(self.beside.count())]
        if wanted != held:
            blocked = self.beside.blockSignals(True)  # Qt's own signature
            chosen = self.beside.currentData()
            self.beside.clear()
            for name, room_id in wanted:
                self.beside.addItem(name, room_id)
            found = self.beside.findData(chosen)
            self.beside.setCurrentIndex(found if found >= 0 else len(wanted) - 1)
            self.beside.blockSignals(blocked)
        self.beside.setEnabled(bool(wanted))
        self._on_selected(adapter.selection)
        self._on_edited()

    def _on_selected(self, ids: tuple[str, ...]) -> None:
        adapter = self._adapter
        room = adapter.home.find(Room, ids[0]) if len(ids) == 1 and ids[0][:1] == "M" else None
        if room is not None:
            found = self.beside.findData(room.id)
            if found >= 0:
                self.beside.setCurrentIndex(found)
        words = say_areas(adapter.home, adapter.storey, room) if adapter.storey else ""
        self._areas.setText(words)
        self._areas.setVisible(bool(words))


def _ghost(laid: Laid) -> tuple[Mark, ...]:
    xs, ys = [x for x, _ in laid.outline], [y for _, y in laid.outline]
    middle = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    return (
        Area("overlay", (laid.outline,), "select", Ink("select", 2.0, (7, 5)), 0.1),
        Words("overlay", laid.name, middle, role="select", anchor="middle", plate=True, bold=True),
    )
