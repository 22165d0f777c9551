"""What gestures ask of the sheet's own line work, and the small mark on what the pointer snapped to."""

from typing import TYPE_CHECKING, Final, Protocol

from circuitmap.drawing.marks import Area, Ink, Line, Mark

if TYPE_CHECKING:
    from circuitmap.desk.canvas.gestures import Touch
    from circuitmap.plan.line_snap import LineSnap, SheetLines

REACH_PX: Final = 10.0
_RING_PX: Final = 7.0
_INK: Final = Ink("route", 1.5)


class LineSource(Protocol):
    """Where the line work under a storey comes from; None where there is none, or it has not been read yet."""

    def under(self, storey: str) -> "SheetLines | None": ...


class NoLines:
    """A plan without line work."""

    def under(self, storey: str) -> "SheetLines | None":
        return None


def line_near(
    source: LineSource, storey: str, touch: "Touch", *, spot: tuple[float, float] | None = None
) -> "LineSnap | None":
    """Give what of the line work a touch, or a spot that it leads to, snaps to; nothing while Shift holds it off."""
    lines = None if touch.shift else source.under(storey)
    if lines is None:
        return None
    x, y = spot or touch.spot
    return lines.snap(x, y, REACH_PX * touch.mm_per_px)


def snap_marks(on: "LineSnap | None", mm_per_px: float, at: tuple[float, float] | None = None) -> tuple[Mark, ...]:
    """Mark what was snapped to: a square round an end, a cross on a crossing, two strokes beside a line."""
    if on is None:
        return ()
    x, y = at or (on.x_mm, on.y_mm)
    r = _RING_PX * mm_per_px
    if on.kind == "end":
        box = ((x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r))
        return (Area("overlay", (box,), "", _INK),)
    if on.kind == "crossing":
        return (
            Line("overlay", ((x - r, y - r), (x + r, y + r)), _INK),
            Line("overlay", ((x - r, y + r), (x + r, y - r)), _INK),
        )
    ux, uy = on.along
    strokes = []
    for side in (-1, 1):
        ox, oy = x - side * uy * r, y + side * ux * r
        strokes.append(Line("overlay", ((ox - ux * r, oy - uy * r), (ox + ux * r, oy + uy * r)), _INK))
    return tuple(strokes)
