"""Where labels go so that they don't pile up: eight places about a symbol, then eight further out, scored.

Everything is in px at the reference zoom. Placing is deterministic: the same symbols in the same order get the same
labels. Boxes are kept in a coarse grid, so a label costs the same however many there are.
"""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Final, NamedTuple

Box = tuple[float, float, float, float]  # left, top, right, bottom

_CELL: Final = 48.0
_HALF_DIAGONAL: Final = 0.80
# Direction of the eight places, by how well a label reads there beside a symbol that faces up.
_EIGHT: Final = ((1, 0), (-1, 0), (0, -1), (1, -1), (-1, -1), (0, 1), (1, 1), (-1, 1))
_OUTSIDE: Final = 0.6  # of a label's area: what it costs to lie outside of its room
_ALONG: Final = 0.25
_RANK_PX2: Final = 3.0


class Spot(NamedTuple):
    """Where the middle of a label goes, and the share of it that lies on something else."""

    x: float
    y: float
    covered: float


class Placer:
    """Keeps what is taken and finds room for more."""

    def __init__(self) -> None:
        self._cells: dict[tuple[int, int], list[Box]] = {}

    def take(self, box: Box) -> None:
        """Mark a box as taken."""
        for cell in _cells(box):
            self._cells.setdefault(cell, []).append(box)

    def covered_px2(self, box: Box) -> float:
        """Give how much of a box is taken (what two boxes share counts twice)."""
        total = 0.0
        left, top, right, bottom = box
        seen: set[Box] = set()
        for cell in _cells(box):
            for other in self._cells.get(cell, ()):
                if other[0] < right and other[2] > left and other[1] < bottom and other[3] > top and other not in seen:
                    seen.add(other)
                    across = min(right, other[2]) - max(left, other[0])
                    total += across * (min(bottom, other[3]) - max(top, other[1]))
        return total

    def beside(
        self,
        x: float,
        y: float,
        clear: float,
        size: tuple[float, float],
        *,
        faces: tuple[float, float] | None = None,
        inside: Box | None = None,
    ) -> Spot:
        """Find a place for a label beside a symbol and take it.

        Parameters
        ----------
        x, y, clear
            The middle of the symbol and how far it reaches.
        size
            Width and height of the label.
        faces
            The direction off the wall: a label on the wall's far side reads as another room's.
        inside
            The room's box, out of which labels should not go.
        """
        wide, high = size
        area = wide * high
        best: tuple[float, Spot] | None = None
        for out in (1.0, 1.9):
            for share, rank, ux, uy in _places(faces):
                slant = _HALF_DIAGONAL if ux and uy else 1.0
                middle_x = x + ux * (clear * out * slant + wide / 2)
                middle_y = y + uy * (clear * out * slant + high / 2)
                box = _about(middle_x, middle_y, wide, high)
                covered = self.covered_px2(box)
                cost = covered * 3 + rank * _RANK_PX2 + (out - 1 + share) * area
                kept_in = inside is None or _within(box, inside)
                if not kept_in:
                    cost += area * _OUTSIDE
                if best is None or cost < best[0]:
                    best = (cost, Spot(middle_x, middle_y, covered / area))
                if kept_in and covered == 0:
                    break  # those that follow are worse places
            if best is not None and best[1].covered == 0:
                break
        assert best is not None
        spot = best[1]
        self.take(_about(spot.x, spot.y, wide, high))
        return spot

    def among(self, spots: Sequence[tuple[float, float]], size: tuple[float, float]) -> Spot:
        """Find the freest of some places (the first of equally free ones) and take it."""
        wide, high = size
        found = min(
            (Spot(x, y, self.covered_px2(_about(x, y, wide, high)) / (wide * high)) for x, y in spots),
            key=lambda spot: spot.covered,
        )
        self.take(_about(found.x, found.y, wide, high))
        return found


@lru_cache(maxsize=512)
def _places(faces: tuple[float, float] | None) -> tuple[tuple[float, int, int, int], ...]:
    """Give the eight places, best first: what each costs (in shares of a label's area), its rank and direction."""
    rows: list[tuple[float, int, int, int]] = []
    for rank, (ux, uy) in enumerate(_EIGHT):
        share = 0.0
        if faces is not None:  # in front first: along the wall run the cables, behind it is another room
            ahead = ux * faces[0] + uy * faces[1]
            share = _OUTSIDE if ahead < -0.3 else _ALONG * (1 - min(ahead, 1.0))
        rows.append((share, rank, ux, uy))
    return tuple(sorted(rows))


def _about(x: float, y: float, wide: float, high: float) -> Box:
    return x - wide / 2, y - high / 2, x + wide / 2, y + high / 2


def _within(box: Box, outer: Box) -> bool:
    return box[0] >= outer[0] and box[1] >= outer[1] and box[2] <= outer[2] and box[3] <= outer[3]


def _cells(box: Box) -> Iterator[tuple[int, int]]:
    for column in range(int(box[0] // _CELL), int(box[2] // _CELL) + 1):
        for row in range(int(box[1] // _CELL), int(box[3] // _CELL) + 1):
            yield column, row
