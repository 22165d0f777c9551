"""What can be done to straighten a plan and to set its scale, by key, menu and search; it joins card, plan and lens."""

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QEvent, QObject, QPointF, Qt, QTimer
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QScrollArea

from circuitmap.desk.actions import Act
from circuitmap.desk.canvas.lens import Lens
from circuitmap.desk.canvas.straightening import TOOL, Straighten
from circuitmap.desk.stages.bring_in import has_scale
from circuitmap.desk.stages.scaling import Proposal
from circuitmap.desk.theme import GAP_PX

if TYPE_CHECKING:
    from circuitmap.desk.window import Window

_LAID_OUT_MS: Final = 40  # the panel knows by then how high the card came out
_HALF_PX: Final = 18  # pixels of the picture to each side of the corner


class Straightening(QObject):
    """The calls behind the actions."""

    def __init__(self, window: "Window") -> None:
        super().__init__(window)
        self._window = window
        self._card = window.draw_stage.straighten
        self.lens = Lens(window.look, window.view.viewport())
        self._held = -1
        self._card.corner_shown.connect(self._on_corner)
        self._card.flat.loaded.connect(self._on_loaded)
        window.draw_stage.scale.along.done.connect(self._on_laid)
        window.view.zoomed.connect(self._on_zoomed)
        window.adapter.tool_changed.connect(self._on_tool)
        window.view.installEventFilter(self)
        for bar in (window.view.horizontalScrollBar(), window.view.verticalScrollBar()):
            bar.valueChanged.connect(self._on_loaded)

    def acts(self) -> list[Act]:
        """Give the actions."""
        adapter = self._window.adapter
        return [
            Act("straighten", "Strai&ghten a photograph", "Plan", self.begin, "Ctrl+Shift+G",
                "Lay a plan that was photographed at a slant flat, by four corners", self.has_sheet,
                lambda: adapter.tool == TOOL, also=("rectify", "perspective", "skew", "warp", "flatten")),
            Act("scale-by-room", "Scale by a &known room", "Plan", self.by_room, "",
                "Choose a room drawn on the plan and type its width", self.has_sheet, also=("scale", "width")),
            Act("scale-by-print", "Scale as &printed on the plan", "Plan", self.by_print, "",
                "Type the scale and the paper, like 1:50 at A3", self.has_sheet, also=("scale", "paper", "1:50")),
            Act("check-scale", "Check with a second &length", "Plan", self.check, "",
                "A second known length, across the first, shows how far the plan can be trusted", self.is_scaled,
                also=("scale", "stretched")),
        ]  # fmt: skip

    def has_sheet(self) -> bool:
        """Whether there is a plan under the storey that may be changed."""
        adapter = self._window.adapter
        return not adapter.document.read_only and adapter.sheet is not None

    def is_scaled(self) -> bool:
        """Whether that plan has a scale."""
        adapter = self._window.adapter
        sheet = adapter.sheet
        return sheet is not None and has_scale(sheet)

    def begin(self) -> None:
        """Take the corners in hand."""
        self._go()
        self._window.take_tool(TOOL)

    def by_room(self) -> None:
        """Ask for a room's size."""
        self._go()
        self._window.draw_stage.scale.begin("room")

    def by_print(self) -> None:
        """Ask for the printed scale."""
        self._go()
        self._window.draw_stage.scale.begin("print")

    def check(self) -> None:
        """Ask for a second length."""
        self._go()
        self._window.draw_stage.check_scale()

    # -- inside -------------------------------------------------------------------------------------------------

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Let Tab step through the corners, and out of the plan after the last."""
        # Only keys are looked at: what comes while a window is taken down finds it without its parts.
        if event.type() != QEvent.Type.KeyPress or not isinstance(event, QKeyEvent):
            return False
        gesture = self._gesture() if event.key() in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab) else None
        if gesture is None:
            return False
        stepped = gesture.step(1 if event.key() == Qt.Key.Key_Tab else -1)
        self._window.view.carry_out(None)
        return stepped

    def _go(self) -> None:
        window = self._window
        window.adapter.set_stage("draw")
        window.close_page()
        if window.is_listing:
            window.show_plan()

    def _gesture(self) -> Straighten | None:
        gesture = self._window.view.gesture
        return gesture if isinstance(gesture, Straighten) else None

    def _on_laid(self, proposal: Proposal) -> None:
        # Whatever was in sight lies elsewhere now.
        self._window.view.fit((proposal.sheet,))

    def _on_tool(self, tool: str) -> None:
        if tool == TOOL:
            QTimer.singleShot(0, self._bring_into_sight)
            QTimer.singleShot(_LAID_OUT_MS, self._scroll_to_card)

    def _scroll_to_card(self) -> None:
        card = self._card.card
        area = card.parentWidget()
        while area is not None and not isinstance(area, QScrollArea):
            area = area.parentWidget()
        if area is not None and card.isVisible():
            area.ensureWidgetVisible(self._card.drop_button, 0, GAP_PX)
            area.ensureWidgetVisible(self._card.between, 0, GAP_PX)

    def _bring_into_sight(self) -> None:
        gesture, view = self._gesture(), self._window.view
        sheet = self._window.adapter.sheet
        if gesture is None or sheet is None:
            return
        seen = view.viewport().rect()
        if not all(seen.contains(view.to_px(gesture.corner_mm(n)).toPoint()) for n in range(4)):
            view.fit((sheet.id,))

    def _on_corner(self, number: int) -> None:
        self._held = number
        self._look()

    def _on_loaded(self, *_: object) -> None:
        self._look()

    def _on_zoomed(self, zoom: float) -> None:
        gesture = self._gesture()
        if gesture is not None and zoom > 0:
            gesture.seen_at(1 / zoom)
            self._look()

    def _look(self) -> None:
        gesture, view = self._gesture(), self._window.view
        sheet = self._window.adapter.sheet
        if gesture is None or self._held < 0 or sheet is None:
            self.lens.hide()
            return
        image = self._card.flat.near(sheet, *gesture.corners_px[self._held], _HALF_PX)
        if image is None:
            self.lens.hide()
            return
        self.lens.show_near(image, QPointF(view.to_px(gesture.corner_mm(self._held))).toPoint())
