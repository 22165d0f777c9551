"""What can be done to sketch and reshape rooms, by key, menu and search."""

from typing import TYPE_CHECKING

from circuitmap.desk.actions import Act
from circuitmap.desk.canvas.shaping import Shape
from circuitmap.desk.sketch_card import CLICK_TOOL
from circuitmap.home.records import Room
from circuitmap.plan.sketch import Edge

if TYPE_CHECKING:
    from circuitmap.desk.window import Window


class Sketching:
    """The calls behind the actions."""

    def __init__(self, window: "Window") -> None:
        self._window = window

    def acts(self) -> list[Act]:
        """Give the actions."""
        window = self._window
        return [
            Act("sketch-room", "&Draw a room by its size", "Plan", self.focus, "Ctrl+Shift+R",
                "Type a name and a size, like Kitchen 3.6 × 4.2", also=("sketch", "type", "dimensions")),
            Act("sketch-click", "Put the &typed room where one clicks", "Plan", self.click, "",
                "Place the room that is typed by a click", self.is_typed, lambda: window.adapter.tool == CLICK_TOOL),
            Act("sketch-to-right", "Next room to the right", "Plan", self.right, "Alt+Shift+Right", scope="canvas"),
            Act("sketch-to-below", "Next room below", "Plan", self.below, "Alt+Shift+Down", scope="canvas"),
            Act("sketch-to-left", "Next room to the left", "Plan", self.left, "Alt+Shift+Left", scope="canvas"),
            Act("sketch-to-above", "Next room above", "Plan", self.above, "Alt+Shift+Up", scope="canvas"),
            Act("part-next", "Next corner or side of the room", "Plan", self.next_part, "W",
                "Step round the chosen room; arrows move the part, a typed size sets a side", self.can_shape,
                scope="canvas", also=("reshape", "keyboard")),
            Act("part-back", "Corner or side before", "Plan", self.part_before, "Shift+W", "", self.can_shape,
                scope="canvas"),
            Act("part-corner", "Add a corner to the side", "Plan", self.add_corner, "Insert",
                "Put a corner into the middle of the chosen side", self.can_shape, scope="canvas"),
            Act("cut-room", "C&ut a piece out of the room", "Plan", self.cut, "X",
                "Drag a box over the part that is to go: a rectangle becomes an L", self.can_shape,
                lambda: window.adapter.tool == "cut", scope="canvas", also=("L-shaped",)),
        ]  # fmt: skip

    def focus(self) -> None:
        """Put the cursor into the field for rooms."""
        window = self._window
        window.adapter.set_stage("draw")
        if window.is_listing:
            window.show_plan()
        window.close_page()
        window.draw_stage.sketch.field.setFocus()
        window.draw_stage.sketch.field.selectAll()

    def click(self) -> None:
        """Take the typed room in hand."""
        self._window.take_tool(CLICK_TOOL)

    def is_typed(self) -> bool:
        """Whether a room is typed."""
        return bool(self._window.draw_stage.sketch.field.text().strip())

    def right(self) -> None:
        """Next room to the right."""
        self._edge("right")

    def below(self) -> None:
        """Next room below."""
        self._edge("below")

    def left(self) -> None:
        """Next room to the left."""
        self._edge("left")

    def above(self) -> None:
        """Next room above."""
        self._edge("above")

    def can_shape(self) -> bool:
        """Whether one drawn room is chosen in the Draw stage."""
        adapter = self._window.adapter
        ids = adapter.selection
        if adapter.stage != "draw" or len(ids) != 1 or adapter.document.read_only:
            return False
        room = adapter.home.find(Room, ids[0]) if ids[0][:1] == "M" else None
        return room is not None and bool(room.outline_mm) and room.storey == adapter.storey

    def next_part(self) -> None:
        """Choose the next corner or side."""
        self._step(1)

    def part_before(self) -> None:
        """Choose the corner or side before."""
        self._step(-1)

    def add_corner(self) -> None:
        """Add a corner to the chosen side."""
        view = self._window.view
        view.carry_out(view.gesture.key("Insert"))

    def cut(self) -> None:
        """Take the box to cut with in hand."""
        self._window.take_tool("cut")

    def _step(self, by: int) -> None:
        view = self._window.view
        if isinstance(view.gesture, Shape) and view.gesture.step(by):
            view.carry_out(None)

    def _edge(self, edge: Edge) -> None:
        self._window.draw_stage.sketch.choose_edge(edge)
