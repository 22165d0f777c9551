"""Laying a photograph flat: what the four corners surround, how it comes out, and taking it."""

from typing import Final

import msgspec
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QImage, QPalette, QPixmap
from PySide6.QtWidgets import QComboBox, QLabel, QStackedWidget, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.along_card import AlongCard
from circuitmap.desk.canvas.gestures import Surface
from circuitmap.desk.canvas.straightening import TOOL, Straighten, first_corners
from circuitmap.desk.flat_preview import FlatPreview
from circuitmap.desk.parts import Card, Label, add_row, answers, button, entry_field, form
from circuitmap.desk.stages.flat import Between, Laid, Sides, lay_flat, shape_between
from circuitmap.desk.stages.scaling import Proposal, matrix_of
from circuitmap.desk.theme import GAP_PX, TARGET_PX
from circuitmap.errors import PersonError
from circuitmap.home.records import Sheet
from circuitmap.plan.rectify import Corners
from circuitmap.plan.scale import PAPERS_MM

_CALLED: Final[dict[Between, str]] = {
    "paper": "A sheet of paper", "room": "A room, both sides measured", "unknown": "Something square, sides unknown",
}  # fmt: skip
_SEEN_PX: Final = (300, 150)


class StraightenCard(QWidget):
    """The card beside the plan; the corners are on the plan."""

    tool_wanted = Signal(str)
    corner_shown = Signal(int)  # which corner a near look is wanted at, −1 for none

    def __init__(self, adapter: Adapter, along: AlongCard, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._along = adapter, along
        self._sheet: Sheet | None = None
        self._corners: Corners | None = None
        self._kept: dict[str, Corners] = {}
        self._asks_length = False
        along.done.connect(self._on_done)

        self.open_button = button("Straighten a photograph", self, checkable=True)
        self.open_button.setObjectName("straighten")
        self.open_button.setToolTip("Lay a plan that was photographed at a slant flat, by four corners")
        self.open_button.clicked.connect(self._on_open)

        self.card = Card(self)
        self.card.setObjectName("straighten-card")
        self.between = QComboBox(self.card)
        self.between.setObjectName("straighten-between")
        self.between.setAccessibleName("What the four corners surround")
        for key, words in _CALLED.items():
            self.between.addItem(words, key)
        self.paper = QComboBox(self.card)
        self.paper.setAccessibleName("Size of the paper")
        for name in PAPERS_MM:
            self.paper.addItem(name, name)
        self.paper.setCurrentText("A4")
        self.printed = entry_field("straighten-printed", "Scale printed on the sheet", self.card, "1:50, if it says so")
        self.across = entry_field(
            "straighten-across", "Width, from top left to top right", self.card, "3.6 m, or 12 ft"
        )
        self.down = entry_field("straighten-down", "Depth, from top left down", self.card, "4.2 m, or 14 ft")
        self._stack, self._pages = QStackedWidget(self.card), list[QWidget]()
        for rows in (
            (("Paper", self.paper), ("Scale", self.printed)),
            (("Width ↔", self.across), ("Depth ↕", self.down)),
            (),
        ):
            page = QWidget(self._stack)
            fields = form(page)
            for label, widget in rows:
                add_row(fields, label, widget)
            self._stack.addWidget(page)
            self._pages.append(page)
        self.says = Label("", self.card, role="faint")
        self.says.setObjectName("straighten-says")
        self.preview = QLabel(self.card)
        self.preview.setObjectName("straighten-preview")
        self.preview.setAccessibleName("How it comes out")
        self.preview.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.preview.setFixedHeight(_SEEN_PX[1])
        self.take_button = button("Lay it flat", self.card, strong=True)
        self.take_button.clicked.connect(self.take)
        self.drop_button = button("Not now", self.card)
        self.drop_button.clicked.connect(self.drop)
        for part in (self.between, self._stack, self.preview, self.says):
            self.card.body.addWidget(part)
        self.card.body.addLayout(answers(self.take_button, self.drop_button))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(GAP_PX)
        layout.addWidget(self.open_button)
        layout.addWidget(self.card)
        self.card.hide()

        self.flat = FlatPreview(adapter, self)
        self.flat.shown.connect(self._on_shown)
        for choice in (self.between, self.paper):
            choice.setMinimumHeight(TARGET_PX)
            choice.currentIndexChanged.connect(self._on_edited)
        for entry in (self.printed, self.across, self.down):
            entry.textChanged.connect(self._on_edited)
            entry.returnPressed.connect(self.take)
        adapter.changed.connect(self._on_changed)
        adapter.storey_changed.connect(self._on_changed)
        adapter.sheet_changed.connect(self._on_sheet)
        self._on_changed(None)

    # -- what the window asks -----------------------------------------------------------------------------------

    @property
    def corners_px(self) -> Corners | None:
        """The corners in hand, in pixels of the sheet."""
        return self._corners

    def gesture(self, surface: Surface, mm_per_px: float) -> Straighten | None:
        """Give the gesture that drags the corners, None where there is no sheet to straighten."""
        sheet = self._here()
        if sheet is None:
            return None
        try:
            matrix = matrix_of(sheet)
        except PersonError as error:
            self._adapter.refuse(str(error))
            return None
        size = _size(sheet)
        self._sheet = sheet
        self._corners = self._kept.get(sheet.id) or first_corners(matrix, size)
        made = Straighten(surface, matrix, size, self._corners, self._on_corners, self.take)
        made.seen_at(mm_per_px)
        return made

    def show_tool(self, tool: str) -> None:
        """Show the card while the corners are in hand."""
        is_on = tool == TOOL and self._sheet is not None
        self.open_button.setChecked(is_on)
        self.card.setVisible(is_on)
        if is_on:
            self._on_edited()
        else:
            self._sheet = self._corners = None
            self.flat.stop()
            self.corner_shown.emit(-1)

    def choose(self, between: Between) -> None:
        """Say what the corners surround."""
        self.between.setCurrentIndex(self.between.findData(between))

    def take(self) -> None:
        """Lay the sheet flat, or say why that can't be."""
        sheet = self._sheet
        if sheet is None or self._corners is None:
            return
        try:
            proposal = lay_flat(sheet, self._corners, self._sides())
        except PersonError as error:
            self._adapter.refuse(str(error))
            return
        self._kept[sheet.id] = self._corners
        self._asks_length = not proposal.note
        self.tool_wanted.emit("select")
        self._along.carry(proposal)

    def drop(self) -> None:
        """Give up; nothing is changed."""
        self.tool_wanted.emit("select")

    # -- inside -------------------------------------------------------------------------------------------------

    def _here(self) -> Sheet | None:
        return self._adapter.sheet

    def _sides(self) -> Sides:
        between: Between = self.between.currentData()
        return Sides(between, str(self.paper.currentData()), self.printed.text(), self.across.text(), self.down.text())

    def _on_open(self) -> None:
        self.tool_wanted.emit(TOOL if self.open_button.isChecked() else "select")

    def _on_corners(self, corners: Corners, held: int) -> None:
        self._corners = corners
        self._look_again()
        self.corner_shown.emit(held)

    def _on_edited(self, *_: object) -> None:
        number = max(0, self.between.currentIndex())
        self._stack.setCurrentIndex(number)
        self._stack.setVisible(number < 2)
        self._stack.setMaximumHeight(self._pages[number].sizeHint().height())
        self._look_again()

    def _look_again(self) -> None:
        sheet, corners = self._sheet, self._corners
        if sheet is None or corners is None:
            return
        try:
            shape: Laid = shape_between(corners, _size(sheet), self._sides())
        except PersonError as error:
            self.says.setText(str(error))
            self.says.setProperty("role", "warn")
            self._polish()
            self.flat.stop()
            self.preview.setEnabled(False)  # the last one that could be, greyed
            return
        self.says.setProperty("role", "faint")
        self._polish()
        self.preview.setEnabled(True)
        self.says.setText(shape.says)
        self.flat.want(sheet, corners, shape.width_over_height)

    def _polish(self) -> None:
        self.says.style().unpolish(self.says)
        self.says.style().polish(self.says)

    def _on_shown(self, picture: QImage) -> None:
        ratio = self.devicePixelRatioF()
        if self.palette().color(QPalette.ColorRole.Window).lightness() < 128:  # the plan is its negative there too
            picture.invertPixels()
        fitted = QPixmap.fromImage(picture).scaled(
            round(_SEEN_PX[0] * ratio), round(_SEEN_PX[1] * ratio), Qt.AspectRatioMode.KeepAspectRatio,
            Qt.TransformationMode.SmoothTransformation,
        )  # fmt: skip
        fitted.setDevicePixelRatio(ratio)
        self.preview.setPixmap(fitted)

    def _on_done(self, proposal: Proposal) -> None:
        if not self._asks_length or proposal.note:
            return
        self._asks_length = False
        self._adapter.say(f"{proposal.says} Now set its scale: two points and a length.".strip())
        self.tool_wanted.emit("scale")

    def _on_changed(self, change: object) -> None:
        sheet = self._here()
        self.open_button.setVisible(sheet is not None)
        if change is None:
            self._kept.clear()
        if self._sheet is not None and (sheet is None or not _same_picture(sheet, self._sheet)):
            self.tool_wanted.emit("select")

    def _on_sheet(self, _sheet: str) -> None:
        if self._sheet is not None and self._here() != self._sheet:
            self.tool_wanted.emit("select")  # its corners are another picture's


def _same_picture(one: Sheet, other: Sheet) -> bool:
    return msgspec.structs.replace(one, scale_note="") == msgspec.structs.replace(other, scale_note="")


def _size(sheet: Sheet) -> tuple[int, int]:
    return sheet.width_px or 1, sheet.height_px or 1
