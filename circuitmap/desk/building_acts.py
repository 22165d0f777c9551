"""Actions of the building: walls, openings, fixtures, zones, register, north; and what ties its cards to the window."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from circuitmap.desk.actions import Act
from circuitmap.desk.building_card import FIXTURE_TOOL, OPENING_TOOL, WALL_TOOL
from circuitmap.desk.canvas.fixing import QUARTER_DEG
from circuitmap.desk.storey_card import LAY_TOOL
from circuitmap.home.records import Fixture

if TYPE_CHECKING:
    from circuitmap.desk.window import Window


class Building(QObject):
    """What can be done to the building from anywhere in the window."""

    def __init__(self, window: "Window") -> None:
        super().__init__(window)
        self._window = window
        card, lie = window.draw_stage.building, window.draw_stage.lie
        window.view.lines = card.lines.work
        card.tool_wanted.connect(window.take_tool)
        card.zones_wanted.connect(window.content.turn_zones)
        lie.tool_wanted.connect(window.take_tool)
        lie.below_wanted.connect(window.content.turn_below)
        window.content.below_turned.connect(lie.show_below)
        window.content.zones_turned.connect(card.show_zones)
        window.content.below_turned.connect(window.actions_.refresh)
        window.content.zones_turned.connect(window.actions_.refresh)
        lie.ghosted.connect(window.view.set_ghost)
        card.lines.ghosted.connect(window.view.set_ghost)

    def acts(self) -> list[Act]:
        """Give the actions."""
        window = self._window
        adapter, card, content = window.adapter, window.draw_stage.building, window.content

        def is_free() -> bool:
            return not adapter.document.read_only

        return [
            Act("walls-from-rooms", "&Walls from rooms", "Plan", card.lay_walls, "Ctrl+Shift+W",
                "Lay walls between the rooms and round the house", card.can_lay_walls, also=("lay walls",)),
            Act("walls-from-lines", "Walls from the plan's l&ines", "Plan", self.walls_from_lines, "",
                "Choose lines of the drawing and make walls of them", card.lines.can_open,
                lambda: card.lines.is_open, also=("layers", "line work", "DXF", "SVG", "PDF")),
            Act("draw-wall", "Draw a wa&ll by hand", "Plan", self.draw_wall, "Ctrl+Alt+W",
                "Click where a wall begins and where it ends, along its middle", is_free,
                lambda: adapter.tool == WALL_TOOL, also=("partition", "line", "add wall")),
            Act("let-in", "Let in a &door or window", "Plan", self.let_in, "Ctrl+D",
                "Click on a wall where a door, window or archway goes", is_free,
                lambda: adapter.tool == OPENING_TOOL, also=("opening", "gap")),
            Act("place-fixture", "Place a fi&xture", "Plan", self.place_fixture, "Ctrl+Shift+F",
                "Place a bath, basin, sink, hob, unit or stair", is_free, lambda: adapter.tool == FIXTURE_TOOL,
                also=("bath", "shower", "sink", "hob", "stair", "furniture")),
            Act("turn-fixture", "Turn the fixture", "Plan", self.turn, "Q", "Turn it a quarter to the right",
                self.can_turn, scope="canvas", also=("rotate",)),
            Act("turn-fixture-back", "Turn the fixture back", "Plan", self.turn_back, "Shift+Q",
                "Turn it a quarter to the left", self.can_turn, scope="canvas"),
            Act("show-zones", "Bathroom &zones", "Plan", content.turn_zones, "Z", "Show zones 0, 1 and 2",
                checked=lambda: content.shows_zones, scope="canvas", also=("bath", "shower", "0 1 2")),
            Act("lay-over", "Lay the storey over the one belo&w", "Plan", self.lay_over, "",
                "Click spots that run through both storeys", window.draw_stage.lie.can_lay,
                lambda: adapter.tool == LAY_TOOL, also=("register", "align", "storeys")),
            Act("north", "&North and front of the house", "Plan", self.north, "", "Turn the small compass",
                is_free, also=("compass", "front")),
        ]  # fmt: skip

    def walls_from_lines(self) -> None:
        """Choose lines of the drawing to make walls of, or put the choice away."""
        self._window.adapter.set_stage("draw")
        self._window.close_page()
        self._window.draw_stage.building.lines.turn()

    def draw_wall(self) -> None:
        """Take the pen for walls in hand."""
        self._take(WALL_TOOL)

    def let_in(self) -> None:
        """Take a door or window in hand."""
        self._take(OPENING_TOOL)

    def place_fixture(self) -> None:
        """Take a fixture in hand."""
        self._take(FIXTURE_TOOL)

    def lay_over(self) -> None:
        """Take the common points in hand."""
        self._take(LAY_TOOL)

    def can_turn(self) -> bool:
        """Whether a fixture is in hand or chosen in the Draw stage."""
        adapter = self._window.adapter
        if adapter.stage != "draw" or adapter.document.read_only:
            return False
        ids = adapter.selection
        chosen = len(ids) == 1 and ids[0][:1] == "F" and adapter.home.find(Fixture, ids[0]) is not None
        return adapter.tool == FIXTURE_TOOL or (adapter.tool == "select" and chosen)

    def turn(self) -> None:
        """Turn it a quarter to the right."""
        view = self._window.view
        view.carry_out(view.gesture.turned(QUARTER_DEG))

    def turn_back(self) -> None:
        """Turn it a quarter to the left."""
        view = self._window.view
        view.carry_out(view.gesture.turned(-QUARTER_DEG))

    def north(self) -> None:
        """Put the keys on the compass."""
        window = self._window
        window.adapter.set_stage("draw")
        window.close_page()
        window.draw_stage.lie.compass.setFocus()

    def _take(self, tool: str) -> None:
        window = self._window
        window.adapter.set_stage("draw")
        window.take_tool("select" if window.adapter.tool == tool else tool)
