"""The scales of a chart of readings: what part of the ohms is shown, where ticks stand, and room for words."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from math import ceil, floor, isfinite, log10
from statistics import median
from typing import Final

from circuitmap.drawing.marks import Words
from circuitmap.drawing.reading_chart_data import BAND_SD, ReadingChart, is_open
from circuitmap.drawing.typed import width_px

Box = tuple[float, float, float, float]

_FAR: Final = 3.0  # what reads so many times more than all that is predicted stands at the top edge, with its figure
_FROM_ZERO: Final = 0.4  # the axis begins at zero unless all that it shows lies above this share of its top
_PARTS: Final = 4  # the ends of the axis lie on a quarter of a step
_LEAST_SPAN: Final = 0.04  # ohms: less would blow up the meter's last digit


@dataclass(frozen=True, slots=True)
class Scale:
    """Ohms from bottom to top, and the ticks between."""

    low: float
    high: float
    ticks: tuple[float, ...]
    decimals: int

    def share(self, ohm: float) -> float:
        """Give how far up a value stands, 0 at the bottom and 1 at the top."""
        return (ohm - self.low) / (self.high - self.low)

    def says(self, ohm: float) -> str:
        """Give a tick's figure."""
        return f"{ohm:.{self.decimals}f}"


def scale_of(chart: ReadingChart, others: Iterable[float] = (), most_ticks: int = 6) -> Scale:
    """Give the ohms that a chart shows: all that is predicted, and what was read unless it is far above that."""
    predicted = [
        each.ohm + way * BAND_SD * each.sd_ohm
        for each in chart.expected.values()
        if each.ohm is not None and isfinite(each.ohm)
        for way in (-1, 1)
    ]
    predicted += [
        ohm + way * BAND_SD * sd
        for piece in chart.pieces
        for ohm, sd in zip(piece.ohm, piece.sd_ohm, strict=True)
        for way in (-1, 1)
    ]
    read = [dot.ohm + way * dot.error_ohm for dot in chart.dots if not is_open(dot) for way in (-1, 1)]
    read += [ohm for ohm in others if isfinite(ohm)]
    usual = max(predicted) if predicted else 2 * median(read) if read else 1.0
    values = [*predicted, *(ohm for ohm in read if ohm <= _FAR * max(usual, _LEAST_SPAN))] or [0.0, 1.0]
    low, high = max(0.0, min(values)), max(values)
    if low < _FROM_ZERO * high:
        low = 0.0
    span = max(high - low, _LEAST_SPAN)
    step = _step(span * 1.08, most_ticks)
    low = floor(low / step * _PARTS + 1e-9) * step / _PARTS
    high = max(ceil((high + 0.02 * span) / step * _PARTS - 1e-9) * step / _PARTS, low + step)
    first = ceil(low / step - 1e-9)
    ticks = tuple(n * step for n in range(first, floor(high / step + 1e-9) + 1))
    return Scale(low, high, ticks, max(0, -floor(log10(step) + 1e-9)))


def _step(span: float, most: int) -> float:
    """Give a step of 1, 2 or 5 times a power of ten that takes at most so many ticks."""
    rough = span / max(most - 1, 1)
    ten = 10.0 ** floor(log10(rough))
    return next(times * ten for times in (1.0, 2.0, 5.0, 10.0) if times * ten >= rough * (1 - 1e-9))


def metre_ticks(length: float, most: int) -> tuple[float, ...]:
    """Give the distances to print along the line."""
    if length <= 0 or most < 2:
        return (0.0,)
    step = max(1.0, _step(length, most))
    return tuple(n * step for n in range(floor(length / step + 1e-9) + 1))


def words_box(words: Words) -> Box:
    """Give where a line of words lies: left, top, right, bottom."""
    wide = width_px(words.text, words.size_px)
    x, y = words.at_mm[0] + words.offset_px[0], words.at_mm[1] + words.offset_px[1]
    left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[words.anchor]
    return left, y - words.size_px * 0.6, left + wide, y + words.size_px * 0.6


@dataclass(slots=True)
class Room:
    """What of a drawing is taken already; words go only where nothing is."""

    bounds: Box
    taken: list[Box] = field(default_factory=list)

    def take(self, box: Box) -> None:
        """Say that something lies there."""
        self.taken.append(box)

    def is_free(self, box: Box, gap: float = 2.0) -> bool:
        """Whether a box lies inside and on nothing else."""
        left, top, right, bottom = self.bounds
        if box[0] < left or box[1] < top or box[2] > right or box[3] > bottom:
            return False
        return not any(
            box[0] - gap < other[2] and other[0] < box[2] + gap and box[1] < other[3] and other[1] < box[3]
            for other in self.taken
        )

    def place(self, candidates: Iterable[Words]) -> Words | None:
        """Give the first of some words that lies free, and take its room; None where none does."""
        for words in candidates:
            box = words_box(words)
            if self.is_free(box):
                self.take(box)
                return words
        return None


def lines_of(text: str, room_px: float, size_px: float, most: int, limit: int = 58) -> list[str]:
    """Break a sentence between words into lines that fit; what is too long ends in an ellipsis."""
    found: list[str] = []
    for word in text.split():
        longer = f"{found[-1]} {word}" if found else word
        if found and (len(longer) <= limit and width_px(longer, size_px) <= room_px):
            found[-1] = longer
        else:
            found.append(word)
    if len(found) > most:
        found = found[:most]
        last = found[-1]
        while last and (width_px(last + "…", size_px) > room_px or len(last) >= limit):
            last = last[:-1]
        found[-1] = last.rstrip(" ,;:") + "…"
    return found
