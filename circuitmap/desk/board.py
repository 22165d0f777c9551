"""The board strip: drawn like the thing on the wall, a button per device; in Survey its toggles are the controls."""

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QEnterEvent, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.parts import Label, elided
from circuitmap.desk.theme import BODY_PX, HEAD_PX, SMALL_PX, Look, font
from circuitmap.drawing.boardstrip import WayCell, board_cells
from circuitmap.drawing.dress import circuit_dresses
from circuitmap.drawing.palette import colour
from circuitmap.home.records import Board, Device

_CELL_W, _CELL_H = 68, 126
_WIDE_W = 84
_STRIP_H = 176
_BRACKET_H = 18.0


class WayButton(QAbstractButton):
    """One device: its toggle or carrier, rating, code, label, and its circuit's colour as a band."""

    pointed = Signal(str)
    stepped = Signal(str, int)

    def __init__(self, device: str, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.device = device
        self._look = look
        self._cell: WayCell | None = None
        self._off = self._pending = self._lit = self._chosen = False
        self.setObjectName(f"way-{device}")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def show_cell(self, cell: WayCell, *, off: bool, pending: bool) -> None:
        """Show a device as it is now."""
        if (cell, off, pending) != (self._cell, self._off, self._pending):
            self._cell, self._off, self._pending = cell, off, pending
            state = "to go off" if pending and not off else "off" if off else "on"
            name = " ".join(part for part in (cell.code, cell.label) if part) or cell.kind
            self.setAccessibleName(f"{name}, {cell.kind} {cell.rating}, {state}".replace(" ,", ","))
            self.setToolTip(f"{cell.code} {cell.label}\n{cell.kind} {cell.rating}".strip()[:2000])
            self.setFixedSize(_WIDE_W if not cell.code else _CELL_W, _CELL_H)
            self.update()

    def set_marked(self, *, lit: bool, chosen: bool) -> None:
        """Mark the device as feeding what is lit, or as selected."""
        if (lit, chosen) != (self._lit, self._chosen):
            self._lit, self._chosen = lit, chosen
            self.update()

    @property
    def over(self) -> str:
        """The device that this one is bracketed under, empty when none."""
        return self._cell.over if self._cell is not None else ""

    @property
    def is_down(self) -> bool:
        """Whether its toggle is shown down (or its carrier out)."""
        return self._off or self._pending

    def sizeHint(self) -> QSize:
        """Give the size of a device on the strip."""
        return QSize(_CELL_W, _CELL_H)

    def enterEvent(self, event: QEnterEvent) -> None:
        """Light up what the device feeds."""
        self.pointed.emit(self.device)
        super().enterEvent(event)

    def leaveEvent(self, event: QEvent) -> None:
        """Put the light out."""
        self.pointed.emit("")
        super().leaveEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Walk along the board with the arrows; Enter does what a click does."""
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        if step is not None:
            self.stepped.emit(self.device, step)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the device."""
        cell = self._cell
        if cell is None:
            return
        look = self._look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        body = QRectF(3, 3, self.width() - 6, 74)
        painter.setPen(QPen(look.colour("select" if self._chosen else "faint"), 2.5 if self._chosen else 1))
        painter.setBrush(look.colour("accent/tint") if self._lit else look.colour("room"))
        painter.drawRoundedRect(body, 4, 4)
        if cell.role:
            band = QRectF(body.left() + 1, body.bottom() - 8, body.width() - 2, 7)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(colour(cell.role, look.theme)))
            painter.drawRect(band)
            if cell.stripe:
                pen = QPen(look.colour("paper"), 2.5, Qt.PenStyle.CustomDashLine)
                pen.setDashPattern([part / 2.5 for part in cell.stripe])
                painter.setPen(pen)
                painter.drawLine(QPointF(band.left(), band.center().y()), QPointF(band.right(), band.center().y()))
        if cell.carrier:
            self._paint_carrier(painter, body)
        elif cell.toggle:
            self._paint_toggle(painter, body)
        painter.setPen(look.colour("ink"))
        painter.setFont(font(BODY_PX, bold=True))
        centred = int(Qt.AlignmentFlag.AlignCenter)
        rating = cell.rating or _short(cell.kind)
        painter.setFont(font(SMALL_PX if len(rating) > 7 else BODY_PX, bold=True))
        painter.drawText(QRectF(body.left(), body.bottom() - 26, body.width(), 17), centred, rating)
        painter.setFont(font(HEAD_PX, bold=True))
        painter.drawText(QRectF(0, body.bottom() + 2, self.width(), 18), centred, cell.code or _short(cell.kind))
        painter.setFont(font(SMALL_PX))
        painter.setPen(look.colour("faint"))
        label = elided(cell.label, painter.fontMetrics(), 2 * (self.width() - 6))
        box = QRectF(2, body.bottom() + 20, self.width() - 4, 29)
        wrap = int(Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWrapAnywhere)
        painter.drawText(box, wrap, label)
        if self.hasFocus():
            painter.setPen(QPen(look.colour("accent"), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(1, 1, self.width() - 2, self.height() - 2), 5, 5)
        painter.end()

    def _paint_toggle(self, painter: QPainter, body: QRectF) -> None:
        look, down = self._look, self.is_down
        slot = QRectF(body.center().x() - 11, body.top() + 6, 22, 40)
        painter.setPen(QPen(look.colour("faint"), 1))
        painter.setBrush(look.colour("paper"))
        painter.drawRoundedRect(slot, 3, 3)
        handle = QRectF(slot.left() + 3, slot.top() + (21 if down else 3), 16, 16)
        waiting = self._pending and not self._off
        painter.setPen(QPen(look.colour("ink"), 1.5, Qt.PenStyle.DashLine if waiting else Qt.PenStyle.SolidLine))
        painter.setBrush(look.colour("paper") if down else look.colour("ink"))
        painter.drawRoundedRect(handle, 3, 3)
        painter.setFont(font(SMALL_PX))
        painter.setPen(look.colour("ink" if down else "faint"))
        words = "off?" if waiting else "off" if down else "on"
        side = QRectF(slot.right() + 1, slot.top() + (20 if down else 2), body.right() - slot.right() - 1, 18)
        painter.drawText(side, int(Qt.AlignmentFlag.AlignCenter), words)

    def _paint_carrier(self, painter: QPainter, body: QRectF) -> None:
        look, out = self._look, self.is_down
        holder = QRectF(body.left() + 12, body.top() + 8, body.width() - 24, 36)
        painter.setPen(QPen(look.colour("faint"), 1))
        painter.setBrush(look.colour("paper"))
        painter.drawRoundedRect(holder, 3, 3)
        if out:
            painter.setPen(QPen(look.colour("ink"), 1, Qt.PenStyle.DashLine))
            painter.drawRect(holder.adjusted(6, 6, -6, -6))
            words = "out?" if self._pending and not self._off else "out"
        else:
            painter.setPen(QPen(look.colour("ink"), 1.5))
            painter.setBrush(look.colour("ink"))
            painter.drawRoundedRect(holder.adjusted(6, 6, -6, -6), 3, 3)
            words = "in"
        painter.setFont(font(SMALL_PX))
        painter.setPen(look.colour("ink" if out else "paper"))
        painter.drawText(holder, int(Qt.AlignmentFlag.AlignCenter), words)


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
        self._name.setFixedSize(86, _CELL_H)
        self._name.clicked.connect(self._on_name)
        self._cells = QHBoxLayout()
        self._cells.setSpacing(2)
        self._add = QPushButton("+", self)
        self._add.setFixedSize(40, _CELL_H)
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
        self._name.setToolTip(words[:300])
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
        painter.setPen(QPen(self._look.colour("faint"), 1.5))
        painter.setFont(font(SMALL_PX))
        for over, buttons in groups.items():
            head = self.buttons.get(over)
            members = [*buttons, head] if head is not None else buttons
            left = min(b.geometry().left() for b in members) + 4
            right = max(b.geometry().right() for b in members) - 4
            y = _BRACKET_H - 6
            painter.drawLine(QPointF(left, y), QPointF(right, y))
            for button in members:
                x = button.geometry().center().x()
                painter.drawLine(QPointF(x, y), QPointF(x, y + 6))
        painter.end()

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
        self.setObjectName("board-strip")
        self.setAccessibleName("The board")
        self.setFixedHeight(_STRIP_H)
        self._inner = QWidget(self)
        self._line = QHBoxLayout(self._inner)
        self._line.setContentsMargins(4, 0, 4, 0)
        self._line.setSpacing(10)
        self._none = Label("No board yet. Add the board as found, way by way.", self._inner, role="faint")
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
        """Give the focus to the first way."""
        first = next(iter(self._buttons.values()), None)
        (first or self._first).setFocus()

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
                    button = self._make(cell.device, row)
                button.show_cell(cell, off=cell.device in self._off, pending=cell.device in self._pending)
                order.append(button)
            row.show_board(board, order, editable=editable)
        for device in self._buttons.keys() - alive:
            self._buttons.pop(device).deleteLater()
        for board_id in self._rows.keys() - {board.id for board in boards}:
            row = self._rows.pop(board_id)
            self._line.removeWidget(row)
            row.deleteLater()
        for widget in (self._none, self._first):
            widget.setVisible(not boards)
        self._first.setEnabled(editable)
        self._mark()

    def _make(self, device: str, row: BoardRow) -> WayButton:
        button = WayButton(device, self._look, row)
        button.clicked.connect(self._on_clicked)
        button.pointed.connect(self._on_pointed)
        button.stepped.connect(self._on_stepped)
        self._buttons[device] = button
        return button

    def _on_clicked(self) -> None:
        sender = self.sender()
        if isinstance(sender, WayButton):
            self.toggled.emit(sender.device)

    def _on_pointed(self, device: str) -> None:
        self._adapter.light(self._adapter.area_served(device) if device else frozenset())

    def _on_stepped(self, device: str, step: int) -> None:
        home = self._adapter.home
        order = [b for row in self._rows.values() for b in row.buttons]
        if device in order and home.find(Device, device) is not None:
            there = order[(order.index(device) + step) % len(order)]
            self._buttons[there].setFocus()
            self._scroll.ensureWidgetVisible(self._buttons[there])

    def _mark(self, *_: object) -> None:
        chosen = set(self._adapter.selection)
        points = [i for i in chosen if i[0] in "PR"]
        feeding = {view.device.id for point in points[:20] for view in self._adapter.views_of(point)}
        lit = self._adapter.lit_ids
        for device, button in self._buttons.items():
            button.set_marked(lit=device in lit or device in feeding, chosen=device in chosen)

    def _on_look_changed(self) -> None:
        for row in self._rows.values():
            row.update()
        for button in self._buttons.values():
            button.update()


def _short(kind: str) -> str:
    return {"main switch": "main", "changeover switch": "change", "connector block": "block"}.get(kind, kind)[:9]
