"""The shapes in a chart of readings: a dot with its error bar or its arrow, a lozenge for what a cause predicts."""

from math import cos, pi, sin
from typing import Final

from circuitmap.drawing.marks import Area, Ink, Line, Mark, PointMm

DOT_PX: Final = 4.0
_ARROW_PX: Final = 14.0
_HEAD_PX: Final = 4.0
_CAP_PX: Final = 3.0
_RING_PX: Final = 3.5


def dot_marks(at: PointMm, error_px: float, arrow: int, *, is_filled: bool, is_off: bool) -> list[Mark]:
    """Give the marks of one reading.

    Parameters
    ----------
    error_px
        How far the error bar reaches either way; one that would hide behind the dot is left out.
    arrow
        -1 for "more than this" (up), 1 for "less" (down), 0 for a plain value.
    is_off
        Whether it lies off what was predicted: told by a ring around it too, not by colour alone.
    """
    x, y = at
    role = "warn" if is_off else "ink"
    marks: list[Mark] = []
    if error_px > DOT_PX:
        for way in (-1, 1):
            end = y + way * error_px
            marks.append(Line("run", ((x, y + way * DOT_PX), (x, end)), Ink(role, 1.2)))
            marks.append(Line("run", ((x - _CAP_PX, end), (x + _CAP_PX, end)), Ink(role, 1.2)))
    if arrow:
        tip = y + arrow * _ARROW_PX
        back = tip - arrow * _HEAD_PX
        marks.append(Line("run", ((x, y + arrow * DOT_PX), (x, tip)), Ink(role, 1.4)))
        marks.append(Line("run", ((x - _CAP_PX, back), (x, tip), (x + _CAP_PX, back)), Ink(role, 1.4)))
    marks.append(Area("symbol", (_circle(x, y, DOT_PX),), role if is_filled else "paper", Ink(role, 1.6)))
    if is_off:
        marks.append(Line("symbol", _circle(x, y, DOT_PX + _RING_PX), Ink(role, 1.2), closed=True))
    return marks


def lozenge(x: float, y: float) -> Area:
    """Give the mark of one value that a likely cause predicts."""
    half = 4.5
    return Area("symbol", (((x, y - half), (x + half, y), (x, y + half), (x - half, y)),), "paper", Ink("select", 1.6))


def _circle(x: float, y: float, radius: float) -> tuple[PointMm, ...]:
    return tuple((x + radius * cos(2 * pi * n / 20), y + radius * sin(2 * pi * n / 20)) for n in range(20))
