"""The shapes of an SVG as lines through spots, in sheet px."""

from collections.abc import Mapping
from typing import Final

from circuitmap.pictures.flatten import Matrix, Spot, cubic, moved, quadratic
from circuitmap.pictures.svg_values import length, numbers

Lines = list[list[Spot]]
SHAPES: Final = frozenset({"path", "line", "polyline", "polygon", "rect", "circle", "ellipse"})
# How far the arms of the cubic reach that comes nearest to a quarter of a circle: 4/3 · (√2 - 1).
_ARM: Final = 0.5522847498307936


def lines_of(name: str, given: Mapping[str, str], matrix: Matrix, view: Spot) -> Lines:
    """Give the outlines of a shape; ``view`` is what percentages are of."""
    wide, high = view
    match name:
        case "line":
            ends = [(length(given.get(x), wide), length(given.get(y), high)) for x, y in (("x1", "y1"), ("x2", "y2"))]
            return [[moved(matrix, *end) for end in ends]]
        case "polyline" | "polygon":
            flat = numbers(given.get("points", ""))
            spots = [moved(matrix, x, y) for x, y in zip(flat[::2], flat[1::2], strict=False)]
            return [[*spots, spots[0]] if name == "polygon" and spots else spots]
        case "rect":
            x, y = length(given.get("x"), wide), length(given.get("y"), high)
            across, down = length(given.get("width"), wide), length(given.get("height"), high)
            if across <= 0 or down <= 0:
                return []
            corners = ((x, y), (x + across, y), (x + across, y + down), (x, y + down), (x, y))
            return [[moved(matrix, *corner) for corner in corners]]
        case "circle" | "ellipse":
            r = length(given.get("r"), wide)
            rx = r if name == "circle" else length(given.get("rx"), wide)
            ry = r if name == "circle" else length(given.get("ry"), high)
            centre = length(given.get("cx"), wide), length(given.get("cy"), high)
            return [_round(centre, rx, ry, matrix)] if rx > 0 and ry > 0 else []
        case _:
            return _path(given.get("d", ""), matrix)


def _round(centre: Spot, rx: float, ry: float, matrix: Matrix) -> list[Spot]:
    x, y = centre
    k = _ARM
    arms = (
        ((1, 0), (1, k), (k, 1), (0, 1)), ((0, 1), (-k, 1), (-1, k), (-1, 0)),
        ((-1, 0), (-1, -k), (-k, -1), (0, -1)), ((0, -1), (k, -1), (1, -k), (1, 0)),
    )  # fmt: skip
    spots = [moved(matrix, x + rx, y)]
    for arm in arms:
        p, q, r, s = (moved(matrix, x + rx * u, y + ry * v) for u, v in arm)
        spots += cubic(p, q, r, s)
    return spots


class _PathPen:
    """Takes a path as the parser reads it, and keeps what came before a mistake."""

    def __init__(self, matrix: Matrix) -> None:
        self.lines: Lines = []
        self._matrix = matrix

    def moveTo(self, spot: Spot) -> None:  # noqa: N802 (the parser's own name)
        self.lines.append([moved(self._matrix, *spot)])

    def lineTo(self, spot: Spot) -> None:  # noqa: N802
        self.lines[-1].append(moved(self._matrix, *spot))

    def curveTo(self, *spots: Spot) -> None:  # noqa: N802
        q, r, s = (moved(self._matrix, *spot) for spot in spots)
        self.lines[-1] += cubic(self.lines[-1][-1], q, r, s)

    def qCurveTo(self, *spots: Spot) -> None:  # noqa: N802
        q, r = (moved(self._matrix, *spot) for spot in spots)
        self.lines[-1] += quadratic(self.lines[-1][-1], q, r)

    def closePath(self) -> None:  # noqa: N802
        self.lines[-1].append(self.lines[-1][0])

    def endPath(self) -> None:  # noqa: N802
        pass


def _path(d: str, matrix: Matrix) -> Lines:
    from fontTools.svgLib.path import parse_path

    pen = _PathPen(matrix)
    try:
        parse_path(d, pen)
    except (ValueError, IndexError, TypeError, AssertionError, ZeroDivisionError, OverflowError, AttributeError):
        # A path with a mistake in it is drawn up to the mistake (SVG 1.1, F.2).
        return pen.lines
    return pen.lines
