"""The board strip: drawn like the thing on the wall, a button per device; in Survey its toggles are the controls."""

from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.parts import Label, elided, plain_tip
from circuitmap.desk.theme import SMALL_PX, Look, font
from circuitmap.desk.way import CELL_H, WayButton
from circuitmap.drawing.boardstrip import board_cells
from circuitmap.drawing.dress import circuit_dresses
from circuitmap.home.records import Board

_STRIP_H = 176
_BRACKET_H = 18.0
_FEW, _MANY = 3, 20


class BoardRow(QWidget):
    """One board with its devices, and brackets over what hangs under one RCD."""

    add_way = Signal(str)
    chosen = Signal(str)

    def __init__(self, board: str, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.board = board
        self._look = look
        self.buttons: dict[str, WayButton] = {}
        self._name = QPushButton(self)
        self._name.setFixedSize(86, CELL_H)
        self._name.clicked.connect(self._on_name)
        self._cells = QHBoxLayout()
        self._cells.setSpacing(2)
        self._add = QPushButton("+", self)
        self._add.setFixedSize(40, CELL_H)
        self._add.setToolTip("Add a way to this board")
        self._add.clicked.connect(self._on_add)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, round(_BRACKET_H) + 2, 8, 4)
        row.setSpacing(4)
        row.addWidget(self._name)
        row.addLayout(self._cells)
        row.addWidget(self._add)

    def show_board(self, board: Board, order: list[WayButton], *, editable: bool) -> None:
        """Show the board's devices in their order."""
        words = f"Board {board.letter_on_map}" + (f"\n{' '.join(board.name.split())}" if board.name else "")
        shown = f"Board {board.letter_on_map}\n{elided(board.name, self.fontMetrics(), 58)}".strip()
        self._name.setText(shown.replace("&", "&&"))
        self._name.setToolTip(plain_tip(words[:300]))
        self._name.setAccessibleName(words.replace("\n", " "))
        self._add.setAccessibleName(f"Add a way to board {board.letter_on_map}")
        self._add.setEnabled(editable)
        items = (self._cells.itemAt(n) for n in range(self._cells.count()))
        now = [widget for item in items if item is not None and (widget := item.widget()) is not None]
        if now != order:
            for widget in now:
                self._cells.removeWidget(widget)
            for button in order:
                self._cells.addWidget(button)
                button.show()
        self.buttons = {button.device: button for button in order}
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the brackets."""
        groups: dict[str, list[WayButton]] = {}
        for button in self.buttons.values():
            if button.over:
                groups.setdefault(button.over, []).append(button)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(font(SMALL_PX))
        ends: list[int] = []  # how far each level of brackets reaches, so that two never lie on each other
        for left, right, members, words in sorted(self._brackets(groups), key=_span):
            level = next((n for n, end in enumerate(ends) if end < left), len(ends))
            ends[level : level + 1] = [right]
            top = members[0].geometry().top()
            y = top - 5.0 - 6 * level
            painter.setPen(QPen(self._look.colour("faint"), 1.5))
            painter.drawLine(QPointF(left, y), QPointF(right, y))
            for button in members:
                x = button.geometry().center().x()
                painter.drawLine(QPointF(x, y), QPointF(x, top))
            if not level:
                painter.setPen(self._look.colour("faint"))
                room = QRectF(left, 0, right - left, y - 1)
                shown = elided(words, painter.fontMetrics(), right - left)
                painter.drawText(room, int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom), shown)
        painter.end()

    def _brackets(self, groups: dict[str, list[WayButton]]) -> list[tuple[int, int, list[WayButton], str]]:
        found = []
        for over, buttons in groups.items():
            head = self.buttons.get(over)
            members = [*buttons, head] if head is not None else buttons
            left = min(b.geometry().left() for b in members) + 4
            right = max(b.geometry().right() for b in members) - 4
            found.append((left, right, members, f"under {head.words}" if head is not None else ""))
        return found

    def _on_add(self) -> None:
        self.add_way.emit(self.board)

    def _on_name(self) -> None:
        self.chosen.emit(self.board)


class BoardStrip(QWidget):
    """All boards side by side."""

    toggled = Signal(str)
    add_way = Signal(str)
    add_board = Signal()

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._look = adapter, look
        self._off: frozenset[str] = frozenset()
        self._pending: frozenset[str] = frozenset()
        self._buttons: dict[str, WayButton] = {}
        self._rows: dict[str, BoardRow] = {}
        self._stop = ""
        self.setObjectName("board-strip")
        self.setAccessibleName("The board")
        self.setFixedHeight(_STRIP_H)
        self._inner = QWidget(self)
        self._line = QHBoxLayout(self._inner)
        self._line.setContentsMargins(4, 0, 4, 0)
        self._line.setSpacing(10)
        self._none = Label("No board yet. Add the board as found, way by way.", self._inner, role="faint")
        self._none.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
        self._none.setFixedWidth(330)
        self._first = QPushButton("Add a board", self._inner)
        self._first.clicked.connect(self.add_board)
        self._line.addWidget(self._none)
        self._line.addWidget(self._first)
        self._line.addStretch(1)
        scroll = QScrollArea(self)
        scroll.setWidgetResizable(True)
        scroll.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(self._inner)
        self._scroll = scroll
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(scroll)
        adapter.changed.connect(self._on_changed)
        adapter.selected.connect(self._mark)
        adapter.lit.connect(self._mark)
        look.changed.connect(self._on_look_changed)
        self._on_changed(None)

    def set_off(self, devices: frozenset[str], pending: frozenset[str] = frozenset()) -> None:
        """Show devices down: those that are off, and those chosen to go off."""
        if (devices, pending) != (self._off, self._pending):
            self._off, self._pending = devices, pending
            self._on_changed(None)

    def button_of(self, device: str) -> WayButton:
        """Give the button of a device."""
        return self._buttons[device]

    def setFocus(self) -> None:  # type: ignore[override]  # the strip itself has nothing to type into
        """Give the focus to the way that had it last, else to the first one."""
        (self._buttons.get(self._stop) or self._first).setFocus()

    def _on_changed(self, _change: object) -> None:
        home = self._adapter.home
        dresses = circuit_dresses(self._adapter.views, self._adapter.memo)
        boards = sorted(home.table(Board).values(), key=lambda board: board.letter_on_map)
        alive: set[str] = set()
        editable = not self._adapter.document.read_only
        for n, board in enumerate(boards):
            row = self._rows.get(board.id)
            if row is None:
                row = BoardRow(board.id, self._look, self._inner)
                row.add_way.connect(self.add_way)
                row.chosen.connect(self._adapter.select)
                self._rows[board.id] = row
            if self._line.indexOf(row) != n:
                self._line.insertWidget(n, row)
            order: list[WayButton] = []
            for cell in board_cells(home, board.id, dresses):
                alive.add(cell.device)
                button = self._buttons.get(cell.device)
                if button is None or button.parentWidget() is not row:
                    self._drop(cell.device)
                    button = self._make(cell.device, row)
                button.show_cell(cell, off=cell.device in self._off, pending=cell.device in self._pending)
                order.append(button)
            row.show_board(board, order, editable=editable)
        for device in self._buttons.keys() - alive:
            self._drop(device)
        for board_id in self._rows.keys() - {board.id for board in boards}:
            row = self._rows.pop(board_id)
            self._line.removeWidget(row)
            row.deleteLater()
        for widget in (self._none, self._first):
            widget.setVisible(not boards)
        self._first.setEnabled(editable)
        order_now = self._order()
        self._keep_stop(self._stop if self._stop in order_now else order_now[0] if order_now else "")
        self._mark()

    def _make(self, device: str, row: BoardRow) -> WayButton:
        button = WayButton(device, self._look, row)
        button.clicked.connect(self._on_clicked)
        button.pointed.connect(self._on_pointed)
        button.stepped.connect(self._on_stepped)
        button.focused.connect(self._keep_stop)
        self._buttons[device] = button
        return button

    def _drop(self, device: str) -> None:
        button = self._buttons.pop(device, None)
        if button is not None:
            if button.underMouse():
                self._on_pointed("")  # a button that goes away never hears that the mouse left it
            button.hide()
            button.deleteLater()

    def _on_clicked(self) -> None:
        sender = self.sender()
        if isinstance(sender, WayButton):
            self.toggled.emit(sender.device)

    def _on_pointed(self, device: str) -> None:
        self._adapter.light(self._adapter.area_served(device) if device else frozenset())

    def _on_stepped(self, device: str, step: int) -> None:
        order = self._order()
        if device in order:
            there = max(0, min(len(order) - 1, order.index(device) + step))
            self._buttons[order[there]].setFocus()

    def _order(self) -> list[str]:
        items = (self._line.itemAt(n) for n in range(self._line.count()))
        rows = (item.widget() for item in items if item is not None)
        return [device for row in rows if isinstance(row, BoardRow) for device in row.buttons]

    def _keep_stop(self, device: str) -> None:
        """Make a way the one that Tab comes to: the board is one stop, its ways are walked with the arrows."""
        before, now = self._buttons.get(self._stop), self._buttons.get(device)
        if before is not None and before is not now:
            before.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._stop = device
        if now is not None:
            now.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
            if now.hasFocus():
                self._scroll.ensureWidgetVisible(now)

    def _mark(self, *_: object) -> None:
        chosen, lit = set(self._adapter.selection), self._adapter.lit_ids
        # What is lit is either a few points, or all that a way feeds, and then that way is lit itself.
        of_lit = [i for i in lit if i[0] in "PR"] if len(lit) <= _FEW else []
        points = [i for i in chosen if i[0] in "PR"][:_MANY] + of_lit
        feeding = {view.device.id for point in points for view in self._adapter.views_of(point)}
        for device, button in self._buttons.items():
            button.set_marked(lit=device in lit or device in feeding, chosen=device in chosen)

    def _on_look_changed(self) -> None:
        for row in self._rows.values():
            row.update()
        for button in self._buttons.values():
            button.update()


def _span(bracket: tuple[int, int, list[WayButton], str]) -> tuple[int, int]:
    return bracket[0], -bracket[1]
