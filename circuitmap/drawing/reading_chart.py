"""A chart of one sweep: what should be read along the circuit as a band, what was read as dots with error bars.

It has a space of its own, one unit to the pixel, the origin at the top left, so that a window, a paper or a drawing can
hold it. Readings before the work are hollow, those after it filled; an open circuit stands at the top edge.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import ceil, isfinite
from typing import Final

from circuitmap.drawing.marks import Anchor, Area, Ink, Line, Mark, PointMm, Words
from circuitmap.drawing.reading_chart_axis import Stop
from circuitmap.drawing.reading_chart_data import BAND_SD, FAR_OFF_SD, Dot, ReadingChart, is_open
from circuitmap.drawing.reading_chart_dots import dot_marks, lozenge
from circuitmap.drawing.reading_chart_labels import (
    SMALL_PX,
    InOrder,
    SpursFirst,
    figures_of,
    head_of,
    is_both,
    joined,
    near_spots,
    off_by,
    off_of,
)  # fmt: skip
from circuitmap.drawing.reading_chart_scale import Box, Room, Scale, lines_of, metre_ticks, scale_of
from circuitmap.drawing.typed import fitted
from circuitmap.quantities.show import show_ohm

TITLE_PX: Final = 13.0
LEAST_WIDTH_PX: Final = 260.0
LEAST_HEIGHT_PX: Final = 240.0

_LEFT: Final = 46.0
_RIGHT: Final = 18.0
_EDGE: Final = 10.0
_HEAD: Final = 54.0
_STRIP: Final = 28.0
_LINE_PX: Final = 15.0
_ROW_PX: Final = 14.0
_ASIDE_PX: Final = 11.0
_BOTH_PX: Final = 4.5
_MOST_FIGURES: Final = 5  # where more lie off, only the furthest have their figures: the dots say enough
_FEW_FIGURES: Final = 3
_BAR_PX: Final = 5.0
_MOST_CODES: Final = 150
_BESIDE: Final[tuple[tuple[float, float, Anchor], ...]] = (
    (10, 0, "start"), (-10, 0, "end"), (0, 15, "middle"), (0, -15, "middle"), (10, 13, "start"), (-10, 13, "end"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Second:
    """Another line beside the map's: what one likely cause predicts, by place, and the places and runs it is about."""

    ohm: Mapping[str, float] = field(default_factory=dict)
    words: str = ""
    at: tuple[str, ...] = ()
    runs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Spot:
    """Where one place of the circuit stands in the chart."""

    record: str
    at: PointMm


def chart_marks(
    chart: ReadingChart, width_px: float, height_px: float, *, chosen: str = "", second: Second | None = None
) -> list[Mark]:
    """Give the marks of a chart, in a space of its own (1 unit = 1 px).

    Parameters
    ----------
    width_px, height_px
        The room there is; never drawn smaller than can be read.
    chosen
        The place whose figures are printed over the chart.
    second
        What a likely cause predicts.
    """
    return chart_drawing(chart, width_px, height_px, chosen=chosen, second=second)[0]


def chart_drawing(
    chart: ReadingChart, width_px: float, height_px: float, *, chosen: str = "", second: Second | None = None
) -> tuple[list[Mark], tuple[Spot, ...]]:
    """Give the marks of ``chart_marks`` and where each place stands, along the line."""
    drawn = _Chart(chart, max(width_px, LEAST_WIDTH_PX), max(height_px, LEAST_HEIGHT_PX), chosen, second or Second())
    drawn.draw()
    return drawn.marks, tuple(drawn.spots)


class _Chart:
    """Draws one chart and is thrown away."""

    def __init__(self, chart: ReadingChart, width: float, height: float, chosen: str, second: Second) -> None:
        self._chart, self._width, self._height, self._chosen, self._second = chart, width, height, chosen, second
        self.marks: list[Mark] = []
        self.spots: list[Spot] = []
        self._notes = [line for note in chart.notes[:2] for line in lines_of(note, width - 2 * _EDGE, SMALL_PX, 3)]
        self._is_both = is_both(chart)
        self._top = _HEAD + _STRIP
        metres = _ROW_PX if chart.axis.is_measured else 0.0
        self._low = height - 12 - 12 - _ROW_PX - metres - len(self._notes) * _LINE_PX
        self._scale: Scale = scale_of(chart, second.ohm.values(), max(3, int((self._low - self._top) / 32)))
        self._room = Room((_LEFT + 1, self._top - _STRIP, width - 2, self._low - 2))
        self._band_boxes: list[Box] = []
        self._x_of = self._columns()

    # -- where things stand -------------------------------------------------------------------------------------

    def _columns(self) -> dict[str, float]:
        """Give where each place stands across: spurs a little beside their take-off."""
        line, found = self._chart.axis.line, dict[str, float]()
        for stop in line:
            found.setdefault(stop.record, self._x(stop.along))
        if self._chart.key.link == "one leg" and self._chart.axis.is_closed:
            found[line[-1].record] = self._x(line[-1].along)  # read at the far end of the leg that isn't linked
        for stop in self._chart.axis.spurs:
            found[stop.record] = min(self._x(stop.along) + _ASIDE_PX * (1 + stop.nth), self._width - 6)
        return found

    def _x(self, along: float) -> float:
        length = self._chart.axis.length
        return _LEFT + 10 + (self._width - _RIGHT - _LEFT - 10) * (along / length if length else 0.5)

    def _y(self, ohm: float) -> float:
        return self._low - (self._low - self._top) * self._scale.share(ohm)

    @property
    def _open_y(self) -> float:
        return _HEAD + _STRIP / 2

    # -- the parts ----------------------------------------------------------------------------------------------

    def draw(self) -> None:
        """Draw everything, what lies below first."""
        self._head()
        self._grid()
        self._lit()
        self._band()
        self._codes()
        dots = [(dot, self._spot(dot)) for dot in self._chart.dots if dot.record in self._x_of]
        for dot, (x, y) in dots:
            self._room.take((x - 6, y - (20 if self._is_far(dot) else 6), x + 6, y + 6))
        self._second_line()
        self._predicted_spurs()
        for dot, spot in dots:
            self._dot(dot, spot)
        self._figures(dots)
        self._labels(dots)
        self._foot()

    def _say(
        self,
        text: str,
        x: float,
        y: float,
        role: str = "faint",
        anchor: Anchor = "start",
        size: float = SMALL_PX,
        bold: bool = False,
    ) -> None:
        self.marks.append(Words("label", text, (x, y), role, size, anchor, bold=bold))

    def _head(self) -> None:
        chart = self._chart
        room = self._width - 2 * _EDGE
        title = " · ".join(filter(None, (chart.code, chart.key.words)))
        self._say(fitted(title, room, TITLE_PX * 1.06), _EDGE, 13, "ink", size=TITLE_PX, bold=True)
        said = (figures_of(chart, self._chosen) if self._chosen else "") or head_of(chart)
        for n, line in enumerate(lines_of(said, room, SMALL_PX, 2)):
            self._say(line, _EDGE, 30 + n * _ROW_PX, "ink" if self._chosen else "faint")

    def _grid(self) -> None:
        right = self._width - _RIGHT + 8
        for n, tick in enumerate(self._scale.ticks):
            y = self._y(tick)
            self.marks.append(Line("grid", ((_LEFT, y), (right, y)), Ink("grid", 1.0)))
            unit = " Ω" if n == len(self._scale.ticks) - 1 else ""
            self._say(self._scale.says(tick) + unit, _LEFT - 6, y, anchor="end")
        if self._has_open():
            across = ((_LEFT, self._open_y), (right, self._open_y))
            self.marks.append(Line("grid", across, Ink("faint", 1.0, (2.0, 4.0))))
            self._say("open", _LEFT - 6, self._open_y, anchor="end")

    def _has_open(self) -> bool:
        predicted = any(each.is_open for each in self._chart.expected.values())
        return predicted or any(map(is_open, self._chart.dots)) or not all(map(isfinite, self._second.ohm.values()))

    def _lit(self) -> None:
        """Mark where a likely cause lies, behind everything."""
        line = self._chart.axis.line
        for stretch in self._chart.axis.stretches:
            if stretch.run and stretch.run in self._second.runs:
                a, b = self._x(line[stretch.start].along), self._x(line[stretch.end].along)
                self._wash(a, b)
        if not self._second.runs:
            for record in self._second.at:
                if record in self._x_of:
                    self._wash(self._x_of[record] - 6, self._x_of[record] + 6)
        if self._chosen in self._x_of:
            x = self._x_of[self._chosen]
            self.marks.append(Line("route", ((x, _HEAD), (x, self._low + 4)), Ink("accent", 1.5)))

    def _wash(self, a: float, b: float) -> None:
        ring = ((a, _HEAD), (b, _HEAD), (b, self._low), (a, self._low))
        self.marks.append(Area("room", (ring,), "select/tint", opacity=0.8))
        self.marks.append(Line("run", ((a, self._low), (b, self._low)), Ink("select", 4.0)))

    def _band(self) -> None:
        for part in joined(self._chart.pieces):
            rows = [row for piece in part for row in zip(piece.along, piece.ohm, piece.sd_ohm, strict=True)]
            upper = [(self._x(along), self._inside(ohm + BAND_SD * sd)) for along, ohm, sd in rows]
            lower = [(self._x(along), self._inside(ohm - BAND_SD * sd)) for along, ohm, sd in rows]
            self.marks.append(Area("area", ((*upper, *reversed(lower)),), "accent/tint"))
            for (x, top), (far, low) in zip(upper, lower[1:], strict=False):
                self._band_boxes.append((x, min(top, low), far, max(top, low)))
            middle = tuple((self._x(along), self._inside(ohm)) for along, ohm, _ in rows)
            self.marks.append(Line("route", middle, Ink("accent", 1.8)))

    def _inside(self, ohm: float) -> float:
        return min(max(self._y(ohm), self._top), self._low)

    def _predicted_spurs(self) -> None:
        """Draw what spurs should read: a T from what their take-off should, and a bar as high as the band."""
        expected = self._chart.expected
        for stop in self._chart.axis.spurs:
            each, leaves = expected.get(stop.record), expected.get(stop.before)
            if each is None or each.ohm is None or not isfinite(each.ohm):
                continue
            x, y = self._x_of[stop.record], self._inside(each.ohm)
            if leaves is not None and leaves.ohm is not None and isfinite(leaves.ohm):
                x0, y0 = self._x_of[stop.before], self._inside(leaves.ohm)
                self.marks.append(Line("route", ((x0, y0), (x, y0), (x, y)), Ink("accent", 1.0, (3.0, 2.0))))
            high, low = (self._inside(each.ohm + way * BAND_SD * each.sd_ohm) for way in (1, -1))
            bar = ((x - _BAR_PX, high), (x + _BAR_PX, high), (x + _BAR_PX, low), (x - _BAR_PX, low))
            self.marks.append(Area("area", (bar,), "accent/tint"))
            self._room.take((x - _BAR_PX, high, x + _BAR_PX, low))
            self.marks.append(Line("route", ((x - _BAR_PX, y), (x + _BAR_PX, y)), Ink("accent", 1.8)))
        for record, each in expected.items():
            if each.is_open and record in self._x_of:
                x, y = self._x_of[record], self._open_y
                self.marks.append(Line("route", ((x - 5, y + 5), (x, y - 3), (x + 5, y + 5)), Ink("accent", 1.8)))

    def _second_line(self) -> None:
        """Draw what a likely cause predicts: dashes from place to place along the line, a lozenge at each."""
        spots = [
            (stop, self._second.ohm[stop.record]) for stop in self._stops_read() if stop.record in self._second.ohm
        ]
        pieces: list[list[PointMm]] = [[]]
        for stop, ohm in spots:
            x = self._x_of[stop.record]
            y = self._open_y if not isfinite(ohm) else max(self._y(ohm), self._top - 4)
            self.marks.append(lozenge(x, y))
            self._room.take((x - 5, y - 5, x + 5, y + 5))
            if stop.leaves:
                continue
            if isfinite(ohm):
                pieces[-1].append((x, y))
            else:
                pieces.append([])
        for piece in pieces:
            if len(piece) > 1:
                self.marks.append(Line("route", tuple(piece), Ink("select", 1.8, (6.0, 3.0))))

    def _stops_read(self) -> list[Stop]:
        stops = {stop.record: stop for stop in (*self._chart.axis.line, *self._chart.axis.spurs)}
        return sorted(stops.values(), key=self._across)

    def _across(self, stop: Stop) -> float:
        return self._x_of[stop.record]

    # -- what was read ------------------------------------------------------------------------------------------

    def _spot(self, dot: Dot) -> PointMm:
        x = self._x_of[dot.record]
        if len(self._chart.dots_at(dot.record)) > 1:
            x += _BOTH_PX if dot.side == "after" else -_BOTH_PX
        if is_open(dot):
            return x, self._open_y
        return x, max(self._y(dot.ohm), self._top - 4)

    def _is_far(self, dot: Dot) -> bool:
        """Whether a reading stands at the top edge, beyond the scale."""
        return is_open(dot) or dot.ohm > self._scale.high

    def _dot(self, dot: Dot, spot: PointMm) -> None:
        is_far = self._is_far(dot)
        error = abs(self._y(dot.ohm) - self._y(dot.ohm + dot.error_ohm)) if not is_far and dot.bound == "=" else 0.0
        way = 0 if dot.bound == "=" and not is_far else 1 if dot.bound == "<" else -1
        is_filled = dot.side == "after" or not self._is_both
        self.marks += dot_marks(spot, error, way, is_filled=is_filled, is_off=off_by(dot) >= FAR_OFF_SD)

    def _figures(self, dots: list[tuple[Dot, PointMm]]) -> None:
        """Print the figures of what lies off, the furthest first, and the word at what is open."""
        off = sorted((each for each in dots if off_by(each[0]) >= FAR_OFF_SD), key=off_of, reverse=True)
        for dot, (x, y) in off if len(off) <= _MOST_FIGURES else off[:_FEW_FIGURES]:
            text = "open" if is_open(dot) else ("" if dot.bound == "=" else dot.bound) + show_ohm(dot.ohm)
            self._place(self._beside(text, x, y, "warn"))
        for dot, (x, y) in dots:
            if is_open(dot) and off_by(dot) < FAR_OFF_SD:
                self._place(self._beside("open", x, y, "ink"))

    def _beside(self, text: str, x: float, y: float, role: str) -> Iterable[Words]:
        for dx, dy, anchor in _BESIDE:
            yield Words("label", text, (x + dx, y + dy), role, SMALL_PX, anchor, plate=True)

    def _place(self, candidates: Iterable[Words]) -> None:
        placed = self._room.place(candidates)
        if placed is not None:
            self.marks.append(placed)

    def _labels(self, dots: list[tuple[Dot, PointMm]]) -> None:
        """Say beside them what the dots, the band and the second line are."""
        if self._second.words and self._second.ohm:
            spots = [
                (self._x_of[r], self._y(o)) for r, o in self._second.ohm.items() if isfinite(o) and r in self._x_of
            ]
            self._place(near_spots(spots, fitted(self._second.words.rstrip("."), 190, SMALL_PX), "select", 16))
        spurs = {stop.record for stop in self._chart.axis.spurs}
        for side in ("before", "after"):
            mine = [(dot, spot) for dot, spot in dots if dot.side == side and not self._is_far(dot)]
            mine.sort(key=SpursFirst(spurs))
            self._place(near_spots([spot for _, spot in mine], side if self._is_both else "read", "ink", 15))
        self._label_band()

    def _label_band(self) -> None:
        """Say what the band is: beside it if there is room, else on it, in fewer words where there is little."""
        beside = Room(self._room.bounds, [*self._room.taken, *self._band_boxes])
        spots: list[PointMm] = []
        for piece in self._chart.pieces:
            n = len(piece.ohm) // 2
            spots.append((self._x(piece.along[n]), self._y(piece.ohm[n])))
        half = max((BAND_SD * sd for piece in self._chart.pieces for sd in piece.sd_ohm), default=0.0)
        away = min(abs(self._y(half) - self._y(0.0)) + 9, 60)
        for room in (beside, self._room):
            for text in ("predicted from the map, 95 in 100 inside", "predicted from the map", "predicted"):
                placed = room.place(near_spots(spots, text, "accent", away))
                if placed is not None:
                    self.marks.append(placed)
                    return

    # -- under the chart ----------------------------------------------------------------------------------------

    def _codes(self) -> None:
        """Print what stands where under the line, in two rows where one doesn't hold them; a tick for each."""
        rows = [Room((0, self._low, self._width, self._height)) for _ in range(2)]
        seen: set[float] = set()
        stops = [*self._chart.axis.line, *self._chart.axis.spurs]
        first = {self._chosen, *self._second.at, *(dot.record for dot in self._chart.dots if off_by(dot) >= FAR_OFF_SD)}
        every = ceil(len(stops) / _MOST_CODES)
        for n, stop in enumerate(sorted(stops, key=InOrder(first))):
            x = self._x(stop.along) if not stop.leaves else self._x_of[stop.record]
            if x in seen:
                continue
            seen.add(x)
            if abs(x - self._x_of[stop.record]) < 0.5:  # the board once, though a ring comes back to it
                self.spots.append(Spot(stop.record, (x, self._stands_at(stop))))
            self.marks.append(Line("grid", ((x, self._low), (x, self._low + 4)), Ink("faint", 1.0)))
            if n % every and stop.record not in first:
                continue  # among so many most would find no room anyway
            for place, row in enumerate(rows):
                y = self._low + 12 + place * _ROW_PX
                words = Words("label", stop.code, (x, y), "ink" if not stop.leaves else "faint", SMALL_PX, "middle")
                if row.place([words]) is not None:
                    self.marks.append(words)
                    break
        self.spots.sort(key=_spot_across)

    def _stands_at(self, stop: Stop) -> float:
        dots = self._chart.dots_at(stop.record)
        if dots:
            return self._spot(dots[-1])[1]
        expected = self._chart.expected.get(stop.record)
        if expected is None or expected.ohm is None:
            return self._low
        return self._inside(expected.ohm) if isfinite(expected.ohm) else self._open_y

    def _foot(self) -> None:
        y = self._low + 12 + 2 * _ROW_PX
        if self._chart.axis.is_measured and self._chart.axis.length:
            ticks = metre_ticks(self._chart.axis.length, max(2, int((self._width - _LEFT) / 64)))
            for tick in ticks:
                self._say(f"{tick:g} m", self._x(tick), y, anchor="middle")
            y += _ROW_PX
        for line in self._notes:
            self._say(line, _EDGE, y)
            y += _LINE_PX


def _spot_across(spot: Spot) -> float:
    return spot.at[0]
