"""What can be done to outline the rooms of a plan, by key, menu and search; it joins card, plan and tool."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPointF

from circuitmap.desk.actions import Act
from circuitmap.desk.canvas.tracing import REVIEW_TOOL, TRACE_TOOL, ReviewRooms, TraceRoom
from circuitmap.desk.name_in_place import NameInPlace
from circuitmap.desk.trace_card import TraceCard
from circuitmap.plan.outlines import polygon_of
from circuitmap.plan.traced import Traced, name_apart

if TYPE_CHECKING:
    from circuitmap.desk.window import Window


class Tracing(QObject):
    """The calls behind the actions."""

    def __init__(self, window: "Window") -> None:
        super().__init__(window)
        self.setObjectName("tracing")
        self._window = window
        self._card: TraceCard = window.draw_stage.trace
        self.name = NameInPlace(window.view.viewport())
        self.name.named.connect(self._on_named)
        tracer = self._card.tracer
        tracer.ready.connect(self._on_ready)
        tracer.changed.connect(self._on_tracer)
        tracer.look_again.connect(self._on_look_again)
        self._card.take_wanted.connect(self._on_take)
        self._card.sure_wanted.connect(self._on_sure)
        self._card.moved.connect(self._on_moved)
        window.adapter.tool_changed.connect(self._on_tool)
        window.adapter.storey_changed.connect(self._on_tool)
        window.view.zoomed.connect(self._on_zoomed)

    def acts(self) -> list[Act]:
        """Give the actions."""
        card, adapter = self._card, self._window.adapter
        return [
            Act("trace-room", "Outline a r&oom by a click", "Plan", self.room, "Ctrl+L",
                "Click in a room of the plan and its outline appears",
                checked=lambda: adapter.tool == TRACE_TOOL, also=("trace", "detect", "plan")),
            Act("trace-all", "Outline &all rooms of the plan", "Plan", self.all_rooms, "Ctrl+Alt+L",
                "Find every room of the plan and take them one by one",
                checked=lambda: adapter.tool == REVIEW_TOOL, also=("trace", "detect")),
            Act("trace-sure", "Take all rooms that are s&ure", "Plan", self._on_sure, "",
                enabled=lambda: adapter.tool == REVIEW_TOOL and bool(card.review.sure)),
            Act("trace-stop", "Stop readin&g the plan", "Plan", card.stop_button.click, "",
                enabled=lambda: card.tracer.is_busy),
        ]  # fmt: skip

    def gesture(self, tool: str) -> TraceRoom | ReviewRooms:
        """Give the gesture of one of the two tools."""
        window = self._window
        if tool == REVIEW_TOOL:
            return ReviewRooms(
                window.view, self._card.tracer, window.adapter.trade, self._card.review, self._card.show_review
            )
        return TraceRoom(window.view, self._card.tracer, window.adapter.trade, self._ask)

    def room(self) -> None:
        """Take the click in a room in hand."""
        self._go()
        self._card.begin_room()

    def all_rooms(self) -> None:
        """Find every room."""
        self._go()
        self._card.begin_all()

    # -- inside -------------------------------------------------------------------------------------------------

    def _go(self) -> None:
        self._window.adapter.set_stage("draw")
        self._window.close_page()

    def _ask(self, traced: Traced) -> None:
        proposed = name_apart(self._window.adapter.home, traced.said.name)
        middle = polygon_of(traced.outline_mm).representative_point()
        at = self._window.view.to_px((middle.x, middle.y))
        self.name.ask(proposed, QPointF(at).toPoint())

    def _on_named(self, name: str) -> None:
        view = self._window.view
        if isinstance(view.gesture, TraceRoom):
            view.carry_out(view.gesture.take(name))
        view.setFocus()

    def _on_ready(self) -> None:
        view = self._window.view
        if isinstance(view.gesture, TraceRoom):
            view.carry_out(view.gesture.answer())
        self._window.actions_.refresh()

    def _on_tracer(self) -> None:
        view, tracer = self._window.view, self._card.tracer
        if isinstance(view.gesture, TraceRoom) and not tracer.is_busy and not tracer.is_ready:
            view.gesture.forget()
            view.carry_out(None)

    def _on_look_again(self) -> None:
        view = self._window.view
        if isinstance(view.gesture, TraceRoom):
            view.gesture.look()
            view.carry_out(None)

    def _on_take(self) -> None:
        view = self._window.view
        if isinstance(view.gesture, ReviewRooms):
            view.carry_out(view.gesture.take())

    def _on_sure(self) -> None:
        view = self._window.view
        if isinstance(view.gesture, ReviewRooms):
            view.carry_out(view.gesture.take_sure())

    def _on_moved(self) -> None:
        view = self._window.view
        if isinstance(view.gesture, ReviewRooms):
            view.gesture.show()
            view.carry_out(None)

    def _on_tool(self, _what: str) -> None:
        self.name.finish()

    def _on_zoomed(self, _zoom: float) -> None:
        gesture = self._window.view.gesture
        if self.name.is_asking and isinstance(gesture, TraceRoom) and gesture.asked is not None:
            middle = polygon_of(gesture.asked.outline_mm).representative_point()
            self.name.stand_at(self._window.view.to_px((middle.x, middle.y)).toPoint())
