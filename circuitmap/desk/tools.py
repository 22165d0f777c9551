"""Which gesture a tool puts into the hand on the plan."""

from typing import TYPE_CHECKING

from circuitmap.desk.canvas.choosing import Choose
from circuitmap.desk.canvas.fitting import Fit
from circuitmap.desk.canvas.fixing import PlaceFixture
from circuitmap.desk.canvas.gestures import Gesture
from circuitmap.desk.canvas.joining import DrawRun, InsertPoint, PlaceBoard, PlacePoint
from circuitmap.desk.canvas.opening import LetIn
from circuitmap.desk.canvas.outlining import Measure, OutlineRoom
from circuitmap.desk.canvas.registering import LayOver
from circuitmap.desk.canvas.sizing import CutOut, PlaceSized
from circuitmap.desk.canvas.wall_drawing import DrawWall
from circuitmap.desk.canvas.wishing import ChooseWish, PlantWish

if TYPE_CHECKING:
    from circuitmap.desk.window import Window


def gesture_for(window: "Window", tool: str) -> Gesture:
    """Give the gesture of a tool; in the Draw stage choosing reshapes rooms and moves what is in them."""
    view, draw, trade = window.view, window.draw_stage, window.adapter.trade
    match tool:
        case "room":
            return OutlineRoom(view)
        case "trace" | "trace all":
            return window.tracing.gesture(tool)
        case "sized room":
            return PlaceSized(view, draw.sketch, trade)
        case "cut":
            return CutOut(view, trade)
        case "scale":
            return Measure(view)
        case "straighten":
            return draw.straighten.gesture(view, 1 / view.zoom) or Choose(view)
        case "opening":
            return LetIn(view, draw.building)
        case "wall":
            return DrawWall(view, draw.building)
        case "fixture":
            return PlaceFixture(view, draw.building, trade)
        case "lay over":
            return LayOver(view, draw.lie)
        case "board":
            return PlaceBoard(view)
        case "point":
            return PlacePoint(view, draw.kind, draw.gangs)
        case "insert":
            return InsertPoint(view, draw.kind, draw.gangs)
        case "run":
            return DrawRun(view, window.wiring_stage.cable, window.wiring_stage.evidence)
        case "wish":
            return PlantWish(view, window.extend_stage)
        case _ if window.adapter.stage == "extend":
            return ChooseWish(view, window.extend_stage)
        case _:
            return Fit(view, trade) if window.adapter.stage == "draw" else Choose(view)
