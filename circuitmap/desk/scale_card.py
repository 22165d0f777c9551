"""How large a plan is: two points and a length, a room's known width, a printed scale, or the file's own unit."""

from functools import partial
from typing import Final

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QComboBox, QLineEdit, QStackedWidget, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.along_card import AlongCard
from circuitmap.desk.doors_seen import DoorsSeen
from circuitmap.desk.parts import Card, Label, add_row, answers, button, entry_field, form
from circuitmap.desk.stages.bring_in import has_scale, only_sheet_under, sheets_of
from circuitmap.desk.stages.scaling import Proposal, by_file, by_print, by_room, by_two_points, matrix_of
from circuitmap.desk.theme import GAP_PX, TARGET_PX
from circuitmap.desk.work import Work
from circuitmap.errors import PersonError
from circuitmap.home.records import Room, Sheet
from circuitmap.jobs import Ticket
from circuitmap.pictures import PictureInfo, is_line_drawing, look
from circuitmap.plan import second_length, to_px
from circuitmap.plan.scale import PAPERS_MM
from circuitmap.plan.sheet import Spot
from circuitmap.plan.sketched import drawn_rooms
from circuitmap.quantities import parse_length_mm

TOOL: Final = "scale"
WAYS: Final = ("points", "room", "print", "file")
_CALLED: Final = {
    "points": "Two points and a length", "room": "A room’s known width", "print": "The scale printed on it",
    "file": "As the file says",
}  # fmt: skip
_NEXT: Final = "Best check it with a second length, across the first."


class ScaleCard(QWidget):
    """Asks how large the plan is, and says what speaks against the answer."""

    tool_wanted = Signal(str)

    def __init__(self, adapter: Adapter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._picked: tuple[str, Spot, Spot] | None = None  # the sheet, and two of its pixels
        self._first: dict[str, tuple[Spot, Spot]] = {}
        self._checking = False
        self._info: tuple[str, PictureInfo] | None = None
        self._job: Work | None = None
        self.along = AlongCard(adapter, self)
        self.along.done.connect(self._on_done)
        self.doors = DoorsSeen(adapter, self)
        self.doors.judged.connect(self._on_doors)

        self.card = Card(self)
        self.card.setObjectName("scale-card")
        self._title = Label("", self.card)
        self.ways = QComboBox(self.card)
        self.ways.setObjectName("scale-way")
        self.ways.setAccessibleName("How the scale is known")
        for way in WAYS:
            self.ways.addItem(_CALLED[way], way)
        self.ways.currentIndexChanged.connect(self._on_way)
        self.length = entry_field("scale-length", "Length between the two points", self.card, "3.2 m, or 12 ft 6 in")
        self.room = QComboBox(self.card)
        self.room.setObjectName("scale-room")
        self.room.setAccessibleName("Room whose size is known")
        self.across = entry_field("scale-across", "Its width, from left to right", self.card, "3.6 m, or 12 ft")
        self.down = entry_field("scale-down", "Its depth, from top to bottom", self.card, "if known")
        self.printed = entry_field("scale-printed", "Scale printed on the plan", self.card, "1:50 at A3")
        self.paper = QComboBox(self.card)
        self.paper.setObjectName("scale-paper")
        self.paper.setAccessibleName("Paper that the scale is printed for")
        self.paper.addItem("Paper not said", "")
        for name in PAPERS_MM:
            self.paper.addItem(name, name)
        self.file_says = Label("", self.card)
        self._stack, self._pages = QStackedWidget(self.card), list[QWidget]()
        for rows in (
            (("", self.length),),
            (("Room", self.room), ("Width ↔", self.across), ("Depth ↕", self.down)),
            (("Scale", self.printed), ("Paper", self.paper)),
            (("", self.file_says),),
        ):
            self._pages.append(_page(rows, self._stack))
            self._stack.addWidget(self._pages[-1])
        for entry in (self.length, self.across, self.down, self.printed):
            entry.returnPressed.connect(self.use)
        for choice in (self.ways, self.room, self.paper):
            choice.setMinimumHeight(TARGET_PX)
        self.use_button = button("Use this", self.card, strong=True)
        self.use_button.clicked.connect(self.use)
        self.drop_button = button("Not now", self.card)
        self.drop_button.clicked.connect(self.drop)
        for widget in (self.ways, self._title, self._stack):
            self.card.body.addWidget(widget)
        self.card.body.addLayout(answers(self.use_button, self.drop_button))
        self.doubt = Label("", self, role="warn")
        self.doubt.setObjectName("scale-doubt")

        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(GAP_PX)
        for part in (self.card, self.along, self.doubt):
            layout.addWidget(part)
        self.card.hide()
        self.doubt.hide()
        adapter.changed.connect(self._on_changed)
        adapter.storey_changed.connect(self._on_storey)
        adapter.sheet_changed.connect(self._on_sheet)
        self._on_changed(None)

    # -- what the stage asks ------------------------------------------------------------------------------------

    @property
    def way(self) -> str:
        """How the scale is said: one of ``WAYS``."""
        return str(self.ways.currentData())

    @property
    def is_checking(self) -> bool:
        """Whether the length in hand only checks the scale."""
        return self._checking

    def begin(self, way: str = "points", *, checking: bool = False) -> None:
        """Ask for the scale in one of the ways, or for a second length to check it by."""
        self._checking, self._picked = checking, None
        self.along.put_away()
        self._ask_file()
        if self.way == way:
            self._on_way()
        else:
            self.ways.setCurrentIndex(WAYS.index(way))

    def take_picked(self, a_mm: Spot, b_mm: Spot) -> None:
        """Ask how long it is between two picked spots of the one sheet that lies under both, else of the chosen one."""
        under = only_sheet_under(sheets_of(self._adapter.home, self._adapter.storey), (a_mm, b_mm))
        if under is not None:
            self._adapter.choose_sheet(under.id)
        sheet = self._sheet()
        if sheet is None:
            return
        try:
            matrix = matrix_of(sheet)
            self._picked = sheet.id, to_px(matrix, *a_mm), to_px(matrix, *b_mm)
        except PersonError as error:
            self._adapter.refuse(str(error))
            return
        self.length.clear()
        self._show()
        self.length.setFocus()

    def show_tool(self, tool: str) -> None:
        """Open with the tool for two points, and go when it is put down without having picked any."""
        if tool == TOOL:
            if not self.card.isVisibleTo(self) or self.way != "points":
                self.begin(checking=self._checking)
            else:
                self._picked = None
                self._show()
        elif tool != "select" or (self.way == "points" and self._picked is None):
            self._picked = None
            self.card.hide()
            QTimer.singleShot(0, self._forget_check)  # two picked points put the tool down first, then they come here

    def check(self) -> None:
        """Ask for a second length."""
        self.begin(checking=True)
        self.tool_wanted.emit(TOOL)

    def drop(self) -> None:
        """Put the card away; nothing is changed."""
        self._picked, self._checking = None, False
        self.card.hide()
        if self._adapter.tool == TOOL:
            self.tool_wanted.emit("select")

    def use(self) -> None:
        """Take what was said."""
        sheet = self._sheet()
        if sheet is None:
            return
        try:
            if self.way == "points" and self._checking:
                self._check(sheet)
                return
            proposal = self._proposal(sheet)
        except PersonError as error:
            self._adapter.refuse(str(error))
            entry = self._entry()
            if entry is not None:
                entry.selectAll()
                entry.setFocus()
            return
        if proposal is None:
            return
        if self.way == "points" and self._picked is not None:
            self._first[sheet.id] = self._picked[1:]
        else:
            self._first.pop(sheet.id, None)
        self.drop()
        self.along.carry(proposal)

    # -- inside -------------------------------------------------------------------------------------------------

    def _sheet(self) -> Sheet | None:
        return self._adapter.sheet

    def _entry(self) -> QLineEdit | None:
        return {"points": self.length, "room": self.across, "print": self.printed}.get(self.way)

    def _proposal(self, sheet: Sheet) -> Proposal | None:
        info = self._info[1] if self._info is not None and self._info[0] == _key(sheet) else None
        match self.way:
            case "points":
                if self._picked is None or self._picked[0] != sheet.id:
                    self._adapter.refuse("Click both ends of a length that you know on the plan first.")
                    return None
                return by_two_points(sheet, *self._picked[1:], parse_length_mm(self.length.text()))
            case "room":
                room = self._adapter.home.find(Room, str(self.room.currentData() or ""))
                if room is None:
                    self._adapter.refuse("No room is drawn on this storey yet; outline one on the plan first.")
                    return None
                return by_room(sheet, room, self.across.text(), self.down.text())
            case "print":
                paper = str(self.paper.currentData() or "")
                return by_print(sheet, self.printed.text(), paper, info.paper_mm_per_px if info else None)
            case _:
                if info is None or info.mm_per_px is None:
                    self._adapter.refuse("This file doesn’t say in what unit it is drawn; say the scale another way.")
                    return None
                return by_file(sheet, info.mm_per_px, info.kind)

    def _check(self, sheet: Sheet) -> None:
        if self._picked is None or self._picked[0] != sheet.id or not has_scale(sheet):
            self._adapter.refuse("Click both ends of a second length that you know on the plan first.")
            return
        length_mm = parse_length_mm(self.length.text())
        spread = second_length(matrix_of(sheet), *self._picked[1:], length_mm, self._first.get(sheet.id))
        self.drop()
        self._adapter.say(spread.says)

    def _show(self) -> None:
        picked = self._picked is not None
        points = self.way == "points"
        if points and not picked:
            words = "Click both ends of a length that you know, far apart."
            if self._checking:
                words = "Click both ends of a second length, best one that runs across the first."
        elif points:
            words = "How long is it, by your tape?" if self._checking else "How long is it between the two points?"
        else:
            words = ""
        self._title.setText(words)
        self._title.setVisible(bool(words))
        self.ways.setVisible(not self._checking)
        self._stack.setCurrentIndex(WAYS.index(self.way))
        self._stack.setMaximumHeight(self._pages[self._stack.currentIndex()].sizeHint().height())
        self._stack.setVisible(picked or not points)
        self.use_button.setVisible(picked or not points)
        self._say_file()
        self.card.show()

    def _on_way(self, *_: object) -> None:
        self._picked = None
        self._show()
        if self.way == "points":
            self.tool_wanted.emit(TOOL)
            return
        self._checking = False
        if self._adapter.tool != "select":
            self.tool_wanted.emit("select")
        entry = self._entry()
        if entry is not None:
            entry.setFocus()

    def _forget_check(self) -> None:
        if self._picked is None and self._adapter.tool != TOOL:
            self._checking = False

    def _on_done(self, proposal: Proposal) -> None:
        self._set_doubt(proposal.says)
        sheet = self._adapter.home.find(Sheet, proposal.sheet)
        if sheet is None or not has_scale(sheet):
            return
        self._adapter.say(f"Scale: {sheet.scale_note}. {_NEXT}")
        self.doors.judge(sheet)

    def _on_doors(self, sheet_id: str, said: str) -> None:
        sheet = self._sheet()
        if said and sheet is not None and sheet.id == sheet_id:
            self._set_doubt(" ".join(part for part in (self.doubt.text(), said) if part))
            self._adapter.refuse(said)

    def _set_doubt(self, words: str) -> None:
        self.doubt.setText(words)
        self.doubt.setVisible(bool(words))

    def _on_changed(self, change: object) -> None:
        sheet = self._sheet()
        touched = getattr(change, "ids", ())
        if sheet is None or change is None or any(i[:1] == "H" for i in touched):
            self._set_doubt("")  # undone or set anew: what was said of the scale before is void
        if sheet is None:
            self._picked = None
            self.card.hide()
        rooms = drawn_rooms(self._adapter.home, self._adapter.storey) if self._adapter.storey else []
        wanted = [(room.name, room.id) for room in rooms]
        if wanted != [(self.room.itemText(n), self.room.itemData(n)) for n in range(self.room.count())]:
            chosen = self.room.currentData()
            self.room.clear()
            for name, room_id in wanted:
                self.room.addItem(name, room_id)
            self.room.setCurrentIndex(max(0, self.room.findData(chosen)))

    def _on_storey(self, _storey: str) -> None:
        self.drop()
        self._on_changed(None)

    def _on_sheet(self, _sheet: str) -> None:
        self._picked = None
        self._set_doubt("")
        if self.card.isVisibleTo(self):
            self._ask_file()
            self._show()

    # -- what the file says -------------------------------------------------------------------------------------

    def _ask_file(self) -> None:
        sheet = self._sheet()
        if sheet is None or (self._info is not None and self._info[0] == _key(sheet)):
            return
        try:
            data = self._adapter.document.asset(sheet.asset)
        except PersonError:
            return  # the canvas has said already that the picture is missing
        if not is_line_drawing(data):
            return
        self._job = Work(partial(_read, _key(sheet), data, sheet.page), self)
        self._job.done.connect(self._on_read)
        self._job.start()

    def _on_read(self, read: tuple[str, PictureInfo]) -> None:
        self._info, self._job = read, None
        self._say_file()

    def _say_file(self) -> None:
        sheet = self._sheet()
        info = self._info[1] if sheet is not None and self._info is not None and self._info[0] == _key(sheet) else None
        knows = info is not None and info.mm_per_px is not None
        item = self.ways.model().index(WAYS.index("file"), 0)
        flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        self.ways.model().setData(item, int(flags.value) if knows else 0, Qt.ItemDataRole.UserRole - 1)
        words = f"The {info.kind} is drawn in a unit: {info.mm_per_px:.3g} mm to a pixel." if knows and info else ""
        self.file_says.setText(words or "The file doesn’t say in what unit it is drawn.")


def _read(key: str, data: bytes, page: int, _ticket: Ticket) -> object:
    return key, look(data, page=page)


def _key(sheet: Sheet) -> str:
    return f"{sheet.asset} {sheet.page}"


def _page(rows: tuple[tuple[str, QWidget], ...], parent: QWidget) -> QWidget:
    page = QWidget(parent)
    if len(rows) == 1:
        layout = QVBoxLayout(page)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(rows[0][1])
        return page
    fields = form(page)
    for label, widget in rows:
        add_row(fields, label, widget)
    return page
