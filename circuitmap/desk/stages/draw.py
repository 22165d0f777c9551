"""The Draw stage: bring in a plan, set its scale, outline rooms, place the board and the points."""

from pathlib import Path

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QIcon, QPainter, QPixmap
from PySide6.QtWidgets import (
    QComboBox,
    QFileDialog,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QWidget,
)

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.building_card import BuildingCard
from circuitmap.desk.canvas.pen import Pen
from circuitmap.desk.parts import Heading, Label, button, column
from circuitmap.desk.scale_card import ScaleCard
from circuitmap.desk.sheet_choice import SheetChoice
from circuitmap.desk.sketch_card import SketchCard
from circuitmap.desk.stages.bring_in import (
    PATTERNS,
    Spot,
    has_scale,
    lay,
    reads_quickly,
)
from circuitmap.desk.stages.pages import PageCard
from circuitmap.desk.storey_card import StoreyCard
from circuitmap.desk.straighten_card import StraightenCard
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.trace_card import TraceCard
from circuitmap.desk.work import Work
from circuitmap.drawing.marks import Glyph
from circuitmap.drawing.symbols import symbol, symbol_name
from circuitmap.errors import PersonError
from circuitmap.home import verbs
from circuitmap.home.records import Board, Point, Room, Storey
from circuitmap.jobs import Ticket
from circuitmap.pictures import PictureInfo
from circuitmap.pictures import look as look_at
from circuitmap.words import POINT_KINDS, PointKind

_USUAL: tuple[PointKind, ...] = (
    "socket", "fused unit", "light", "switch", "cooker connection unit", "smoke alarm", "boiler", "shower",
    "extractor fan", "junction box", "outbuilding feed",
)  # fmt: skip


class DrawStage(QWidget):
    """What to do next, and the tools that do it."""

    tool_wanted = Signal(str)
    picture_brought = Signal(str)  # the id of the new sheet

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._look = adapter, look
        self.setObjectName("draw-stage")

        self._next = Label("", self)
        self._next.setObjectName("next-step")

        self._plan_button = button("Bring in a plan…", self)
        self._plan_button.clicked.connect(self.choose_picture)
        self._scale_button = button("Set the scale", self, checkable=True)
        self._scale_button.clicked.connect(self._on_scale_clicked)
        self._check_button = button("Check with a second length", self)
        self._check_button.clicked.connect(self.check_scale)
        self._scale_words = Label("", self, role="faint")

        self.sheets = SheetChoice(adapter, self)
        self.scale = ScaleCard(adapter, self)
        self.scale.tool_wanted.connect(self.tool_wanted)
        self.straighten = StraightenCard(adapter, self.scale.along, self)
        self.straighten.tool_wanted.connect(self.tool_wanted)

        self._page_card = PageCard(self)
        self._page_card.chosen.connect(self._read)

        self.trace = TraceCard(adapter, self)
        self.trace.tool_wanted.connect(self.tool_wanted)
        self._room_button = button("Outline it by its corners", self, checkable=True)
        self._room_button.clicked.connect(self._on_room_clicked)
        self.sketch = SketchCard(adapter, self)
        self.sketch.tool_wanted.connect(self.tool_wanted)
        self._room_name = QLineEdit(self)
        self._room_name.setObjectName("room-by-name")
        self._room_name.setPlaceholderText("Or only name a room, then Enter")
        self._room_name.setAccessibleName("Name of a room to list without drawing it")
        self._room_name.returnPressed.connect(self._on_room_named)

        self.building = BuildingCard(adapter, self)
        self.lie = StoreyCard(adapter, look, self)

        self._board_button = button("Place the board", self, checkable=True)
        self._board_button.clicked.connect(self._on_board_clicked)

        self._kinds = QListWidget(self)
        self._kinds.setObjectName("point-kinds")
        self._kinds.setAccessibleName("Kind of point to place")
        self._kinds.setMinimumHeight(190)
        self._kinds.setIconSize(QSize(30, 30))
        self._kinds.currentRowChanged.connect(self._on_kind_changed)
        self._kinds.itemActivated.connect(self._on_point_clicked)
        self._gangs = QComboBox(self)
        self._gangs.addItems(["1 gang", "2 gang", "3 gang", "4 gang"])
        self._gangs.setCurrentIndex(1)
        self._gangs.setAccessibleName("Gangs of the point to place")
        self._gangs.currentIndexChanged.connect(self._on_kind_changed)
        self._point_button = button("Place points", self, checkable=True)
        self._point_button.clicked.connect(self._on_point_clicked)
        self._insert_button = button("Insert into a run", self, checkable=True)
        self._insert_button.clicked.connect(self._on_insert_clicked)
        self._list_room = QComboBox(self)
        self._list_room.setAccessibleName("Room to list a point in without placing it")
        self._list_button = button("List here", self)
        self._list_button.setToolTip("Add a point to this room without placing it on the plan")
        self._list_button.clicked.connect(self._on_list_clicked)

        layout = column(self)
        layout.addWidget(self._next)
        layout.addWidget(Heading("Plan", self))
        layout.addLayout(_row(self._plan_button, self._scale_button))
        layout.addWidget(self._page_card)
        layout.addWidget(self.sheets)
        layout.addWidget(self._scale_words)
        layout.addWidget(self.scale)
        layout.addWidget(self._check_button)
        layout.addWidget(self.straighten)
        layout.addWidget(Heading("Rooms", self))
        layout.addWidget(self.trace)
        layout.addWidget(self._room_button)
        layout.addWidget(self.sketch)
        layout.addWidget(self._room_name)
        layout.addWidget(Heading("Walls and fixtures", self))
        layout.addWidget(self.building)
        layout.addWidget(Heading("Board", self))
        layout.addWidget(self._board_button)
        layout.addWidget(Heading("Points", self))
        layout.addWidget(self._kinds)
        layout.addLayout(_row(self._gangs, self._point_button))
        layout.addWidget(self._insert_button)
        layout.addLayout(_row(self._list_room, self._list_button))
        layout.addWidget(Heading("Storey, north and front", self))
        layout.addWidget(self.lie)
        layout.addStretch(1)

        self._fill_kinds()
        look.changed.connect(self._on_look_changed)
        adapter.changed.connect(self._on_changed)
        adapter.storey_changed.connect(self._on_changed)
        adapter.sheet_changed.connect(self._on_changed)
        adapter.tool_changed.connect(self.show_tool)
        self._on_changed(None)

    # -- what the window asks -----------------------------------------------------------------------------------

    @property
    def kind(self) -> PointKind:
        """The kind of point in hand."""
        item = self._kinds.currentItem()
        return item.data(Qt.ItemDataRole.UserRole) if item is not None else "socket"  # type: ignore[no-any-return]

    @property
    def gangs(self) -> int:
        """The gangs of the point in hand."""
        return self._gangs.currentIndex() + 1 if self._gangs.isEnabled() else 1

    def choose_kind(self, kind: PointKind) -> None:
        """Take a kind of point in hand."""
        for row in range(self._kinds.count()):
            if self._kinds.item(row).data(Qt.ItemDataRole.UserRole) == kind:
                self._kinds.setCurrentRow(row)

    def choose_picture(self) -> None:
        """Ask for a picture file and bring it in."""
        name, _ = QFileDialog.getOpenFileName(self, "Bring in a plan", "", f"Plans ({PATTERNS})")
        if name:
            self.bring(Path(name))

    def bring(self, path: Path) -> bool:
        """Bring a picture in; give whether it could be used, or is being read."""
        self._page_card.put_away()
        if not reads_quickly(path):
            self._read(path, 0)
            return True
        try:
            return self._take(path, look_at(path), 0)
        except PersonError as error:
            self._adapter.refuse(str(error))
            return False

    def _read(self, path: Path, page: int) -> None:
        """Read a file while the window goes on; page 0 is the first, and others are asked for."""

        def work(_ticket: Ticket) -> object:
            return path, look_at(path, page=page or 1), page

        self._adapter.say(f"Reading {path.name}…")
        job = Work(work, self)
        job.done.connect(self._on_read)
        job.failed.connect(self._adapter.refuse)
        job.start()

    def _on_read(self, read: tuple[Path, PictureInfo, int]) -> None:
        self._take(*read)

    def _take(self, path: Path, picture: PictureInfo, page: int) -> bool:
        if picture.pages > 1 and not page:
            self._page_card.ask(path, picture.pages)
            self._adapter.say(f"{path.name} has {picture.pages} pages; choose the plan at the right.")
            return True
        try:
            brought = lay(self._adapter.home, picture, self._adapter.storey)
        except PersonError as error:
            self._adapter.refuse(str(error))
            return False
        added = self._adapter.do_with(lambda _home: brought.change, {picture.sha256: (picture.media, picture.data)})
        if added is None:
            return False
        sheet = next(i for i in added if i.startswith("H"))
        self._adapter.choose_sheet(sheet)
        self.picture_brought.emit(sheet)
        self._adapter.say(" ".join((f"Brought in {path.name}.", *picture.said)))
        return True

    def take_picked(self, picked: tuple[Spot, ...]) -> None:
        """Ask how long the distance between two picked points is."""
        self.scale.take_picked(picked[0], picked[1])

    def drop_scale(self) -> None:
        """Put the card for the length away."""
        self.scale.drop()

    def check_scale(self) -> None:
        """Ask for a second length that the scale is checked by."""
        self.scale.check()

    # -- inside -------------------------------------------------------------------------------------------------

    def _on_scale_clicked(self) -> None:
        self.scale.begin()
        self.tool_wanted.emit("scale")

    def _on_room_clicked(self) -> None:
        self.tool_wanted.emit("room")

    def _on_board_clicked(self) -> None:
        self.tool_wanted.emit("board")

    def _on_point_clicked(self) -> None:
        self.tool_wanted.emit("point")

    def _on_insert_clicked(self) -> None:
        self.tool_wanted.emit("insert")

    def _on_room_named(self) -> None:
        name = self._room_name.text().strip()
        if not name:
            return
        added = self._adapter.do(lambda home: verbs.add_room(home, name))
        if added:
            self._room_name.clear()
            self._adapter.select(*added)

    def _on_list_clicked(self) -> None:
        room = self._list_room.currentData()
        if not room:
            self._adapter.refuse("Name a room first, then list points in it.")
            return
        kind, gangs = self.kind, self.gangs
        added = self._adapter.do(lambda home: verbs.add_point(home, kind, room=room, gangs=gangs))
        if added:
            self._adapter.select(*added)

    def _on_kind_changed(self, *_: object) -> None:
        row = self._adapter.trade.point(self.kind)
        self._gangs.setEnabled(row.is_socket_outlet or row.is_control)
        if self._adapter.tool in ("point", "insert"):
            self.tool_wanted.emit(self._adapter.tool)

    def show_tool(self, tool: str) -> None:
        """Show which tool is in hand."""
        for name, tool_button in (
            ("scale", self._scale_button),
            ("room", self._room_button),
            ("board", self._board_button),
            ("point", self._point_button),
            ("insert", self._insert_button),
        ):
            tool_button.setChecked(tool == name)
        self.scale.show_tool(tool)
        self.straighten.show_tool(tool)

    def _on_changed(self, _change: object) -> None:
        home = self._adapter.home
        sheet = self._adapter.sheet
        self._scale_button.setEnabled(sheet is not None)
        self._check_button.setVisible(sheet is not None and has_scale(sheet))
        self._scale_words.setText(
            "" if sheet is None else (f"Scale: {sheet.scale_note}." if has_scale(sheet) else "Not to scale yet.")
        )
        self._scale_words.setVisible(sheet is not None)
        self._next.setText(next_step(self._adapter))
        rooms = [(room.name, room.id) for room in home.sorted(Room)]
        if rooms != [
            (self._list_room.itemText(n), self._list_room.itemData(n)) for n in range(self._list_room.count())
        ]:
            chosen = self._list_room.currentData()
            self._list_room.clear()
            for name, room_id in rooms:
                self._list_room.addItem(name, room_id)
            self._list_room.setCurrentIndex(max(0, self._list_room.findData(chosen)))
        self._list_button.setEnabled(bool(rooms))

    def _fill_kinds(self) -> None:
        chosen = self.kind
        self._kinds.blockSignals(True)  # Qt's own signature
        self._kinds.clear()
        pen = Pen(self._look.theme, self.devicePixelRatioF())
        for kind in (*_USUAL, *(k for k in POINT_KINDS if k not in _USUAL)):
            item = QListWidgetItem(_icon(pen, kind), self._adapter.trade.point(kind).title)
            item.setData(Qt.ItemDataRole.UserRole, kind)
            self._kinds.addItem(item)
        self._kinds.blockSignals(False)  # Qt's own signature
        self.choose_kind(chosen)

    def _on_look_changed(self) -> None:
        self._fill_kinds()


def next_step(adapter: Adapter) -> str:
    """Say in one sentence what drawing wants next."""
    home, sheet = adapter.home, adapter.sheet
    if not home.table(Storey) and not home.table(Room):
        return "Bring in a picture of the floor plan, or type the rooms with their sizes, or only name them."
    if sheet is not None and not has_scale(sheet):
        return "Set the scale: click both ends of a length that you know, then type it."
    if not home.table(Room) and sheet is not None:
        return "Outline the rooms: click in one and its outline appears, or let all be found; or click their corners."
    if not home.table(Room):
        return "Outline the rooms: click their corners, right angles come by themselves; or type their sizes."
    if not home.table(Board):
        return "Place the board, then add its ways on the strip below."
    if not home.table(Point):
        return "Place the points: choose a kind, then click where each one is."
    return "Go on placing points, or go to Survey when everything that is fed is on the plan."


def _icon(pen: Pen, kind: PointKind) -> QIcon:
    name = symbol_name(kind, on_wall=False)
    x, y = symbol(name).centre
    sprite = pen.sprite(Glyph("symbol", name, (0, 0), size_px=22))
    canvas = QPixmap(round(30 * pen.ratio), round(30 * pen.ratio))
    canvas.setDevicePixelRatio(pen.ratio)
    canvas.fill(pen.colour("paper"))
    painter = QPainter(canvas)
    painter.drawPixmap(QPointF(15 - x * 0.22, 15 - y * 0.22) + sprite.offset, sprite.pixmap)
    painter.end()
    return QIcon(canvas)


def _row(*widgets: QWidget) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(GAP_PX)
    for widget in widgets:
        row.addWidget(widget, 1)
    return row
