"""What lies under the pointer: symbols before cables, cables before walls, rooms last."""

from PySide6.QtCore import QRectF
from PySide6.QtWidgets import QGraphicsPixmapItem

from circuitmap.desk.canvas.gestures import Touch
from circuitmap.desk.canvas.pen import RECORD
from circuitmap.desk.canvas.scene import PlanScene


def hits(scene: PlanScene, touch: Touch, within_px: float) -> list[str]:
    """Give the ids of what lies under a touch, topmost and nearest first; rooms and sheets last."""
    reach = within_px * touch.mm_per_px
    area = QRectF(touch.x_mm - reach, touch.y_mm - reach, 2 * reach, 2 * reach)
    found: dict[str, tuple[int, float]] = {}
    for item in scene.items(area):
        record_id = item.data(RECORD)
        if not isinstance(record_id, str) or record_id[:1] not in "PBRWMF":
            continue
        if record_id[0] in "PB":
            if not isinstance(item, QGraphicsPixmapItem):
                continue
            centre = scene.glyph_centre(record_id)
            away = ((centre[0] - touch.x_mm) ** 2 + (centre[1] - touch.y_mm) ** 2) ** 0.5 if centre else reach
            if centre and away > reach + 16 * touch.mm_per_px:
                continue  # only its label lies here
            key = (0, away)
        else:
            key = ({"R": 1, "F": 2, "W": 3, "M": 4}[record_id[0]], 0.0)
            if record_id[0] == "R" and not scene.is_near_line(record_id, touch.spot, reach):
                continue
            if record_id[0] == "M" and not scene.is_inside(record_id, touch.spot):
                continue
        found[record_id] = min(found.get(record_id, key), key)
    return sorted(found, key=lambda i: (found[i], i))
