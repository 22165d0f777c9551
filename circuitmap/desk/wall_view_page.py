"""The page in the middle of the window that holds a wall: which one is in view, the wall, and the usual cautions."""

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.parts import Label
from circuitmap.desk.theme import GAP_PX, TARGET_PX, Look
from circuitmap.desk.wall_view import WallView
from circuitmap.desk.wall_view_state import WallState
from circuitmap.desk.wall_view_words import caution_in_short
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Storey
from circuitmap.quantities.show import show_length

_NAME = 28


class WallViewPage(QWidget):
    """A row to choose a wall by its room and number, and the wall itself."""

    left = Signal()

    def __init__(self, adapter: Adapter, state: WallState, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._state = adapter, state
        self.setObjectName("wall-page")
        self.view = WallView(state, look, self)
        self.view.left.connect(self.left)
        self.rooms = _combo("Room that the wall is seen from", self)
        self.walls = _combo("Wall of the room, by its number", self)
        self.before = _tool("Wall before", "The wall before it in the room (,)", self)
        self.after = _tool("Next wall", "The next wall of the room, to the right (.)", self)
        self.plan = _tool("Back to the plan", "Back to the plan (Esc, Ctrl+1)", self)
        self.rooms.activated.connect(self._on_room)
        self.walls.activated.connect(self._on_wall)
        self.before.clicked.connect(self._on_before)
        self.after.clicked.connect(self._on_after)
        self.plan.clicked.connect(self.left)
        self._caution = Label("", self, role="faint")
        self._caution.setContentsMargins(GAP_PX, 2, GAP_PX, 2)
        row = QHBoxLayout()
        row.setContentsMargins(GAP_PX, 4, GAP_PX, 4)
        row.setSpacing(GAP_PX)
        row.addWidget(self.rooms, 3)
        row.addWidget(self.walls, 4)
        for each in (self.before, self.after):
            row.addWidget(each)
        row.addStretch(1)
        row.addWidget(self.plan)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addLayout(row)
        layout.addWidget(self.view, 1)
        layout.addWidget(self._caution)
        self.setFocusProxy(self.view)
        state.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show which wall is in view, and among which others."""
        state = self._state
        wall = state.wall
        if wall is None:
            return
        several = len(state.home.table(Storey)) > 1
        rooms = []
        for room in state.rooms():
            storey = state.home.find(Storey, room.storey)
            where = f" · {shorten(storey.name, 14)}" if several and storey is not None else ""
            rooms.append((f"{shorten(room.name, _NAME) or room.id}{where}", room.id))
        _offer(self.rooms, rooms, wall.room)
        self.rooms.setVisible(bool(rooms))
        row = state.row()
        named = [
            (f"Wall {n}, {show_length(face.length_mm)}" if face.room is not None else f"Wall {face.id}", face.id)
            for n, face in enumerate(row, 1)
        ]
        _offer(self.walls, named, wall.id)
        self.before.setEnabled(len(row) > 1)
        self.after.setEnabled(len(row) > 1)
        self._caution.setText(caution_in_short(state))

    def _on_room(self, index: int) -> None:
        from circuitmap.plan.wall_numbers import walls_of_room

        state = self._state
        walls = walls_of_room(state.home, state.memo, state.trade, str(self.rooms.itemData(index)))
        if walls:
            state.look_at(walls[0].id)

    def _on_wall(self, index: int) -> None:
        self._state.look_at(str(self.walls.itemData(index)))

    def _on_before(self) -> None:
        self._state.step(-1)

    def _on_after(self) -> None:
        self._state.step(1)


def _combo(name: str, parent: QWidget) -> QComboBox:
    made = QComboBox(parent)
    made.setAccessibleName(name)
    made.setToolTip(name)
    made.setMinimumHeight(TARGET_PX)
    made.setMinimumContentsLength(8)
    made.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    made.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
    return made


def _tool(words: str, tip: str, parent: QWidget) -> QToolButton:
    made = QToolButton(parent)
    made.setText(words)
    made.setToolTip(tip)
    made.setAccessibleName(tip)
    made.setMinimumHeight(TARGET_PX)
    made.setFocusPolicy(Qt.FocusPolicy.TabFocus)
    return made


def _offer(combo: QComboBox, choices: list[tuple[str, str]], chosen: str | None) -> None:
    with QSignalBlocker(combo):
        if [(combo.itemText(n), combo.itemData(n)) for n in range(combo.count())] != choices:
            combo.clear()
            for words, value in choices:
                combo.addItem(words, value)
        combo.setCurrentIndex(next((n for n, (_, value) in enumerate(choices) if value == chosen), -1))
