"""What a chart of readings says: the figures of a place, the sentence over the chart, and where labels may stand."""

from collections.abc import Iterable
from typing import Final

from circuitmap.drawing.marks import PointMm, Words
from circuitmap.drawing.reading_chart_axis import Stop
from circuitmap.drawing.reading_chart_data import BAND_SD, FAR_OFF_SD, Dot, Piece, ReadingChart

SMALL_PX: Final = 11.0
_MOST_SPOTS: Final = 40


def figures_of(chart: ReadingChart, record: str) -> str:
    """Say what should be read at a place and what was, in one line."""
    stop = chart.axis.places.get(record)
    if stop is None:
        return ""
    parts = [f"{dot.side} {dot.shown}" if is_both(chart) else f"read {dot.shown}" for dot in chart.dots_at(record)]
    expected = chart.expected.get(record)
    if expected is None or expected.ohm is None:
        parts.append("no prediction")
    elif expected.is_open:
        parts.append("predicted open")
    else:
        parts.append(f"predicted {expected.ohm:.2f} ± {BAND_SD * expected.sd_ohm:.2f} Ω")
    return f"{stop.code}: {', '.join(parts)}"


def is_both(chart: ReadingChart) -> bool:
    """Whether readings before the work stand beside those after it."""
    return len({dot.side for dot in chart.dots}) > 1


def head_of(chart: ReadingChart) -> str:
    """Say in one sentence how what counts now lies against the map, or what to do while nothing was read."""
    if not chart.dots:
        return "Nothing read yet. Link as above, then read at each point."
    latest = {dot.record: dot for dot in chart.dots if dot.off_sd is not None}
    worst = max(latest.values(), key=off_by, default=None)
    if worst is None:
        return ""
    if off_by(worst) >= FAR_OFF_SD:
        return f"Furthest off: {figures_of(chart, worst.record)}"
    when = "Now no" if is_both(chart) else "No"
    return f"{when} reading lies far from what the map predicts."


class InOrder:
    """The order in which codes are printed: those that matter now, then as they stand."""

    def __init__(self, first: Iterable[str]) -> None:
        self._first = frozenset(first)

    def __call__(self, stop: Stop) -> tuple[bool, bool, float]:
        """Give the sort key of a stop."""
        return stop.record not in self._first, bool(stop.leaves), stop.along


def joined(pieces: Iterable[Piece]) -> list[list[Piece]]:
    """Put together the pieces that go on where the one before ends, so that no seam shows."""
    found: list[list[Piece]] = []
    for piece in pieces:
        if found and found[-1][-1].along[-1] == piece.along[0]:
            found[-1].append(piece)
        else:
            found.append([piece])
    return found


class SpursFirst:
    """Dots on spurs first: labels look for room from the last."""

    def __init__(self, spurs: Iterable[str]) -> None:
        self._spurs = frozenset(spurs)

    def __call__(self, each: tuple[Dot, PointMm]) -> bool:
        """Give the sort key of a dot."""
        return each[0].record not in self._spurs


def near_spots(spots: list[PointMm], text: str, role: str, away: float) -> Iterable[Words]:
    """Give places for a label near some spots, from the right-hand end on: over and under each."""
    spots = spots[:: -(-len(spots) // _MOST_SPOTS) or 1]
    for x, y in reversed(spots):
        for dy in (-away, away):
            yield Words("label", text, (x, y + dy), role, SMALL_PX, "middle", plate=True)
    for x, y in spots:
        yield Words("label", text, (x + 10, y), role, SMALL_PX, "start", plate=True)
        yield Words("label", text, (x - 10, y), role, SMALL_PX, "end", plate=True)


def off_by(dot: Dot) -> float:
    """Give how far off a reading lies, nothing where nothing was predicted."""
    return dot.off_sd if dot.off_sd is not None else 0.0


def off_of(each: tuple[Dot, PointMm]) -> float:
    """Give how far off a reading and its spot lie."""
    return off_by(each[0])
