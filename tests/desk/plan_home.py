"""A window with a drawn plan of known rooms under it, to scale, for whoever traces it."""

import io
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely
from PIL import Image
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

from circuitmap.desk.window import Window
from circuitmap.home import verbs
from circuitmap.home.records import Room, Sheet
from circuitmap.plan.sheet import Transform, to_plan
from tests.desk.driving import px, settle
from tests.plans.drawn import Drawn, draw_plan

STYLE = {
    "difficulty": "easy", "walls": "black", "longer side px": 1000, "slant": "none", "texts": "names",
    "furniture": 0.4, "kind": "corridor",
}  # fmt: skip
SEED = 12


@dataclass(frozen=True)
class Laid:
    """A drawing under the plan, and how it lies."""

    drawn: Drawn
    matrix: Transform

    def truth_mm(self, number: int) -> shapely.Polygon:
        """A room as it is, on the plan: the drawing's pixels count from the middle of the first."""
        corners = self.drawn.rooms[number].corners_px
        return shapely.Polygon([to_plan(self.matrix, x + 0.5, y + 0.5) for x, y in corners])

    def middle(self, number: int) -> tuple[float, float]:
        spot = self.truth_mm(number).representative_point()
        return spot.x, spot.y

    def wall(self) -> tuple[float, float]:
        """A spot in the wall at the left of the room furthest left."""
        left = min(range(len(self.drawn.rooms)), key=lambda n: self.truth_mm(n).bounds[0])
        x0, y0, _, y1 = self.truth_mm(left).bounds
        return x0 - 110, y0 + (y1 - y0) * 0.04


def png(grey: "np.ndarray[tuple[int, int], np.dtype[np.uint8]]") -> bytes:
    out = io.BytesIO()
    Image.fromarray(grey).save(out, "PNG")
    return out.getvalue()


def lay_drawing(window: Window, folder: Path, *, seed: int = SEED, scale: float = 1.0, turned: bool = False) -> Laid:
    """Bring a drawing in and set its scale (``scale`` times too large); ``turned`` lays it askew, in perspective."""
    drawn = draw_plan(seed, STYLE)
    path = folder / "plan.png"
    path.write_bytes(png(drawn.grey))
    assert window.draw_stage.bring(path)
    settle()
    mm = 1000 / drawn.px_per_m * scale
    matrix: Transform = (mm, 0, 0, 0, mm, 0, 0, 0, 1)
    if turned:
        matrix = (mm * 0.996, -mm * 0.08, 900, mm * 0.08, mm * 0.996, -400, 2e-6, 1e-6, 1)
    sheet = window.adapter.home.sorted(Sheet)[-1]
    window.adapter.do(verbs.set_scale(window.adapter.home, sheet.id, matrix, "3 m between two points"))
    window.adapter.set_tool("select")
    window.fit()
    settle()
    return Laid(drawn, matrix)


def point_at(window: Window, spot_mm: tuple[float, float]) -> None:
    """A real move of the pointer with no button down."""
    viewport = window.view.viewport()
    spot = QPointF(px(window, *spot_mm))
    QApplication.sendEvent(viewport, QMouseEvent(
        QEvent.Type.MouseMove, spot, QPointF(viewport.mapToGlobal(spot.toPoint())), Qt.MouseButton.NoButton,
        Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier,
    ))  # fmt: skip
    QApplication.processEvents()


def iou(room: Room, truth: shapely.Polygon) -> float:
    shape = shapely.Polygon(room.outline_mm)
    return float(shape.intersection(truth).area / shape.union(truth).area)


def rooms(window: Window) -> list[Room]:
    return window.adapter.home.sorted(Room)
