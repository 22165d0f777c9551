"""Find: one field that finds actions, points, rooms, walls, ways and boards by any of their words."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import QFrame, QLineEdit, QListWidget, QListWidgetItem, QWidget

from circuitmap.desk.actions import Actions
from circuitmap.desk.adapter import Adapter
from circuitmap.home.invariants import shorten
from circuitmap.home.phases import is_there
from circuitmap.home.records import Board, Device, Point, Room
from circuitmap.plan import room_of

_MOST = 12


@dataclass(frozen=True, slots=True)
class Found:
    """One thing found: what it is called, what kind of thing it is, and what going there does."""

    text: str
    kind: str
    action: QAction | None = None
    record: str = ""
    asks: str = ""
    wall: str = ""


class Find(QLineEdit):
    """The field; its results hang below it and are walked with the arrow keys."""

    feeds_wanted = Signal(str)  # the words of which it is asked what feeds them
    wall_wanted = Signal(str)  # the wall to look at from its room

    def __init__(self, adapter: Adapter, actions: Actions, parent: QWidget) -> None:
        super().__init__(parent)
        self._adapter, self._actions = adapter, actions
        self._found: list[Found] = []
        self.walls: Callable[[], Iterable[tuple[str, str]]] = tuple  # what walls are called, and which they are
        self.setPlaceholderText("Find a point, room, way or action…")
        self.setObjectName("find")
        self.setAccessibleName("Find a point, room, way or action")
        self.setClearButtonEnabled(True)
        self._list = QListWidget(parent.window())
        self._list.setObjectName("found")
        self._list.setAccessibleName("What was found")
        self._list.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._list.setFrameShape(QFrame.Shape.StyledPanel)
        self._list.hide()
        self._list.itemClicked.connect(self._on_clicked)
        self.textChanged.connect(self._on_typed)
        self.returnPressed.connect(self._on_return)

    @property
    def results(self) -> list[Found]:
        """What the text now in the field finds."""
        return self._found

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Walk the results with the arrows; Esc puts them away."""
        step = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}.get(Qt.Key(event.key()))
        if step is not None and self._found:
            self._list.setCurrentRow((self._list.currentRow() + step) % len(self._found))
        elif event.key() == Qt.Key.Key_Escape:
            self.clear()
            self._list.hide()
            parent = self.parentWidget()
            if parent is not None:
                parent.setFocus()
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: object) -> None:
        """Put the results away when the focus goes elsewhere."""
        self._list.hide()
        super().focusOutEvent(event)  # type: ignore[arg-type]  # Qt hands a QFocusEvent

    def _on_typed(self, text: str) -> None:
        words = text.casefold().split()
        self._found = self._look(words)[:_MOST] if words else []
        if words:
            self._found.append(Found(f"What feeds “{shorten(text, 30)}”?", "answer", asks=text.strip()))
        self._list.clear()
        for found in self._found:
            item = QListWidgetItem(f"{found.text}    {found.kind}")
            item.setData(Qt.ItemDataRole.AccessibleTextRole, f"{found.kind}: {found.text}")
            self._list.addItem(item)
        if self._found:
            self._list.setCurrentRow(0)
            corner = self.mapTo(self.window(), QPoint(0, self.height() + 2))
            width = max(self.width(), 380)
            corner.setX(min(corner.x(), self.window().width() - width - 8))
            self._list.setGeometry(corner.x(), corner.y(), width, 34 * len(self._found) + 6)
            self._list.raise_()
        self._list.setVisible(bool(self._found))

    def _look(self, words: list[str]) -> list[Found]:
        found: list[Found] = []

        def offer(
            text: str, kind: str, more: str = "", action: QAction | None = None, record: str = "", wall: str = ""
        ) -> None:
            hay = f"{text} {kind} {more}".casefold()
            if all(word in hay for word in words):
                found.append(Found(text, kind, action, record, wall=wall))

        for act, action in self._actions.all():
            if action.isEnabled():
                key = act.key.split(" | ")[0]
                offer(action.text().replace("&", ""), f"action {key}".strip(), " ".join(act.also), action=action)
        home, memo = self._adapter.home, self._adapter.memo
        for board in home.sorted(Board):
            offer(f"Board {board.letter_on_map} {board.name}".strip(), "board", record=board.id)
        for device in home.sorted(Device):
            way = "way" if is_there(device) else f"{device.phase} way"
            offer(f"{home.code(device.id)} {device.label}".strip(), way, device.kind, record=device.id)
        for room in home.sorted(Room):
            offer(room.name, "room", room.use, record=room.id)
        for text, wall in self.walls():
            offer(text, "wall seen from the room", "elevation", wall=wall)
        for point in home.sorted(Point):
            if len(found) >= 60:
                break
            room_in = room_of(home, memo, point)
            where = f"{point.kind} {point.id}"
            title = " ".join(part for part in (point.name, where if not point.name else "", point.where) if part)
            inside = f"in {shorten(room_in.name)}" if room_in else "point"
            offer(title, inside if is_there(point) else f"{point.phase}, {inside}", f"{where} point", record=point.id)
        starts = words[0] if words else ""
        return sorted(found, key=lambda one: (not one.text.casefold().startswith(starts), one.action is not None))

    def _on_clicked(self, item: QListWidgetItem) -> None:
        self._go(self._found[self._list.row(item)])

    def _on_return(self) -> None:
        row = self._list.currentRow()
        if self._list.isVisible() and 0 <= row < len(self._found):
            self._go(self._found[row])

    def _go(self, found: Found) -> None:
        self._list.hide()
        self.clear()
        parent = self.parentWidget()
        if parent is not None:
            parent.setFocus()
        if found.asks:
            self.feeds_wanted.emit(found.asks)
        elif found.wall:
            self.wall_wanted.emit(found.wall)
        elif found.action is not None:
            found.action.trigger()
        else:
            self._adapter.show(found.record)
