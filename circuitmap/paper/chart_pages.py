"""How the plans of a home are put on pages: the paper's turn, the scale, and windows where a storey is too much.

All storeys on one page where they fit at a scale that can be read; else a page each; else a storey in several windows,
cut where the fewest rooms are cut through. A scale is good when everything has found a place (``chart_layout``).
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil
from typing import Final, Literal

from circuitmap.drawing.symbols import symbol
from circuitmap.drawing.typed import width_px
from circuitmap.jobs import Ticket
from circuitmap.paper.chart_draw import (
    MM,
    BoundsMm,
    Ground,
    Window,
    busy_in,
    rooms_in,
    things_in,
    used_facts,
    window_svg,
)
from circuitmap.paper.chart_facts import Facts
from circuitmap.paper.chart_layout import CrowdedError, Layout, Style, Thing, lay_out
from circuitmap.paper.chart_words import NO_CALL, NOT_PROOF, main_words, short_words, use_main

Turned = Literal["portrait", "landscape"]
_TURNS: Final[tuple[Turned, ...]] = ("portrait", "landscape")
SHEETS_MM: Final = {"A4": (210.0, 297.0), "A3": (297.0, 420.0)}  # ISO 216
MARGIN_MM: Final = (12.0, 11.0, 16.0)  # beside, above, below (with the foot)
SCALES: Final = (20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 125, 150, 200, 250, 300)
NORMAL: Final = Style(disc=2.25 * MM, code=10.4, name=11.5, around=4.5 * MM)
LARGE: Final = Style(disc=3.3 * MM, code=16.0, name=18.0, around=6.0 * MM)
_ON_A3: Final = 1.25
_TOGETHER: Final = 100  # all storeys on one page at this scale or larger
_WHOLE: Final = 150
_NAME_PX: Final = 16.0  # of whose home, 12 pt
_SAID_PX: Final = 12.7  # of the sentence below, 9.5 pt
_HEAD_MM: Final = 31.0  # title, whose home, date, the sentence that must not be missed
_STOREY_MM: Final = 8.0
_GAP_MM: Final = 2.0
_MOST_TOGETHER: Final = 4
_FEW: Final = 1000
_BESIDE_MM: Final = 350.0  # of a wall and what hangs on it, that a window shows beyond a room
_LEAST_MM: Final = 900.0  # no window is cut smaller than this


@dataclass(frozen=True, slots=True)
class Drawn:
    """A window drawn: its title, the SVG with its size in mm, its scale, what its legend has to name, where all is."""

    title: str
    svg: str
    wide_mm: float
    high_mm: float
    scale: int
    ways: tuple[str, ...]
    symbols: tuple[str, ...]
    numbered: tuple[tuple[int, str], ...]
    left_out: tuple[str, ...]
    things: tuple[Thing, ...]
    layout: Layout
    size_px: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Pages:
    """The plans page by page, and the paper that they are for; ``across`` when a page's plans stand side by side."""

    size: str
    turned: Turned
    pages: tuple[tuple[Drawn, ...], ...]
    across: bool = False


@dataclass(frozen=True, slots=True)
class _Fit:
    """A window that everything has a place in but what is left out, and what it is called."""

    title: str
    window: Window
    things: list[Thing]
    layout: Layout
    scale: int
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Plan:
    """A way of putting the storeys on pages."""

    paper: "_Paper"
    pages: tuple[tuple[_Fit, ...], ...]
    across: bool = False

    @property
    def rank(self) -> tuple[int, int]:
        """Give what makes one plan better than another: fewer pages, then larger scales."""
        return len(self.pages), sum(fit.scale for page in self.pages for fit in page)


class _Paper:
    """A sheet of paper turned one way, and what room it has for plans."""

    def __init__(self, facts: Facts, size: str, turned: Turned, style: Style, *, alone: bool) -> None:
        wide, high = SHEETS_MM[size]
        self.size, self.turned, self.style = size, turned, style
        wide, high = (high, wide) if turned == "landscape" else (wide, high)
        self.wide = wide - 2 * MARGIN_MM[0]
        self.high = high - MARGIN_MM[1] - MARGIN_MM[2]
        self._facts, self._alone = facts, alone

    def room_mm(self, grounds: Sequence[Ground], *, first: bool) -> tuple[float, float]:
        """Give width and height for the drawings of some storeys, their heads and the legend taken off."""
        head = 0.0 if self._alone else self._head_mm() if first else _STOREY_MM
        ways, symbols = _used(self._facts, grounds)
        legend = legend_mm(self._facts, ways, symbols, self.wide, LARGE if self._alone else NORMAL)
        return self.wide, self.high - head - legend - 2 * _GAP_MM

    def _head_mm(self) -> float:
        """Estimate how high the head is: it grows with what has to be said of main switches and who is called."""
        details = self._facts.home.details
        called = width_px(f"{details.name} {details.address}", _NAME_PX) * 1.1 / (self.wide * 0.7 * MM)
        said = f"{NOT_PROOF} In doubt: {use_main(self._facts)}. {' '.join(main_words(self._facts))} Call: "
        warned = width_px(said + (details.call or f"{NO_CALL}{'_' * 30}"), _SAID_PX) * 1.1 / ((self.wide - 6) * MM)
        return _HEAD_MM + 5.2 * (max(1, ceil(called)) - 1) + 4.6 * max(0, ceil(warned) - 2)


def choose(
    facts: Facts, grounds: Sequence[Ground], size: str, turned: str, style: Style, ticket: Ticket, *, alone: bool
) -> Pages:
    """Put the storeys on pages.

    Parameters
    ----------
    size, turned
        The paper; empty lets the plans choose: A4, or A3 where that spares cutting a storey; turned for fewer pages,
        then for the larger scale.
    alone
        Whether no head stands over the first plan.
    """
    turns: tuple[Turned, ...] = tuple(turn for turn in _TURNS if turned in ("", turn))
    best = _best(facts, grounds, [(name, turn) for name in ((size,) if size else ("A4", "A3")) for turn in turns],
                 style, ticket, alone=alone)  # fmt: skip
    if best is None:
        # A block takes too long to be cut twice over.
        few = sum(len(ground.stands) for ground in grounds) <= _FEW
        tried = turns if few or len(turns) == 1 else (_lies(grounds),)
        papers = [_Paper(facts, size or "A4", turn, style, alone=alone) for turn in tried]
        best = min((_cut(facts, grounds, paper, ticket) for paper in papers), key=lambda plan: plan.rank)
    pages = tuple(tuple(_drawn(facts, fit) for fit in page) for page in best.pages)
    return Pages(best.paper.size, best.paper.turned, pages, best.across)


def _best(
    facts: Facts, grounds: Sequence[Ground], papers: Sequence[tuple[str, Turned]], style: Style, ticket: Ticket, *,
    alone: bool,
) -> _Plan | None:  # fmt: skip
    """Give the best plan with whole storeys on the first size of paper that takes them, None where none does."""
    for size in dict.fromkeys(size for size, _ in papers):
        # On a larger sheet that hangs on a wall, everything may be larger, if there is room.
        for sized in (_larger(style), style) if size == "A3" else (style,):
            found = [
                plan
                for name, turn in papers
                if name == size
                for plan in _uncut(facts, grounds, _Paper(facts, name, turn, sized, alone=alone), ticket)
            ]
            if found:
                return min(found, key=lambda plan: plan.rank)
    return None


def _larger(style: Style) -> Style:
    return Style(*(number * _ON_A3 for number in (style.disc, style.code, style.name, style.around)))


def _lies(grounds: Sequence[Ground]) -> Turned:
    """Give the turn of the paper that suits the shape of the storeys."""
    wide = sum(ground.bounds[2] - ground.bounds[0] for ground in grounds)
    high = sum(ground.bounds[3] - ground.bounds[1] for ground in grounds)
    return "landscape" if wide > 1.6 * high else "portrait"


def _uncut(facts: Facts, grounds: Sequence[Ground], paper: _Paper, ticket: Ticket) -> Iterator[_Plan]:
    """Give the ways of putting whole storeys on pages: all on one, and one on each."""
    if 1 < len(grounds) <= _MOST_TOGETHER:
        for across in (False, True):
            ticket.tick(0, 0, "Putting the storeys on one page")
            together = _together(facts, grounds, paper, across=across)
            if together is not None:
                yield _Plan(paper, (together,), across)
    pages: list[tuple[_Fit, ...]] = []
    for n, ground in enumerate(grounds):
        ticket.tick(n, len(grounds), f"Laying out {ground.storey.name}")
        room = paper.room_mm((ground,), first=n == 0)
        fit = _largest(facts, ground, ground.bounds, room, paper.style, whole=True, most=_WHOLE)
        if fit is None:
            return
        pages.append((fit,))
    yield _Plan(paper, tuple(pages))


def _together(facts: Facts, grounds: Sequence[Ground], paper: _Paper, *, across: bool) -> tuple[_Fit, ...] | None:
    wide, high = paper.room_mm(grounds, first=True)
    around = 2 * paper.style.around / MM
    for scale in SCALES:
        if scale > _TOGETHER:
            return None
        sizes = [((g.bounds[2] - g.bounds[0]) / scale + around, (g.bounds[3] - g.bounds[1]) / scale + around)
                 for g in grounds]  # fmt: skip
        used_w = sum(w for w, _ in sizes) + 4 * (len(grounds) - 1) if across else max(w for w, _ in sizes)
        heads = _STOREY_MM * (1 if across else len(grounds))
        used_h = (max(h for _, h in sizes) if across else sum(h for _, h in sizes)) + heads
        if used_w > wide or used_h > high:
            continue
        fits: list[_Fit] = []
        number = 1
        for ground in grounds:
            fit = _fit(facts, Window(ground, ground.bounds, MM / scale, paper.style, True), scale, number)
            if fit is None:
                return None
            number += len(fit.layout.numbered)
            fits.append(fit)
        return tuple(fits)
    return None


def _cut(facts: Facts, grounds: Sequence[Ground], paper: _Paper, ticket: Ticket) -> _Plan:
    pages: list[tuple[_Fit, ...]] = []
    for n, ground in enumerate(grounds):
        ticket.tick(n, len(grounds), f"Laying out {ground.storey.name}")
        fits = list(_windows(facts, ground, ground.bounds, paper, ticket, first=not pages, whole=True))
        for part, fit in enumerate(fits, 1):
            title = ground.storey.name if len(fits) == 1 else f"{ground.storey.name}, part {part} of {len(fits)}"
            pages.append((replace(fit, title=title),))
    return _Plan(paper, tuple(pages))


def _windows(
    facts: Facts, ground: Ground, bounds: BoundsMm, paper: _Paper, ticket: Ticket, *, first: bool, whole: bool
) -> Iterator[_Fit]:
    """Lay a part of a storey out, in halves of halves until everything has a place."""
    ticket.tick(0, 0, f"Laying out {ground.storey.name}")
    here = _part_of(ground, bounds)
    if not whole:
        drawn_in = _drawn_in(here, bounds)
        if drawn_in is None:
            return
        bounds = drawn_in
    small = max(bounds[2] - bounds[0], bounds[3] - bounds[1]) < 2 * _LEAST_MM
    room = paper.room_mm((here,), first=first)
    fit = _largest(facts, ground, bounds, room, paper.style, whole=whole, most=SCALES[-1] if small else _WHOLE)
    if fit is None and small:
        fit = _what_fits(facts, Window(ground, bounds, MM / SCALES[0], paper.style, whole))
    if fit is not None:
        yield fit
        return
    for half in _halves(ground, bounds):
        yield from _windows(facts, ground, half, paper, ticket, first=first, whole=False)


def _drawn_in(ground: Ground, bounds: BoundsMm) -> BoundsMm | None:
    """Give the part of a window in which anything is, None for an empty one."""
    left, top, right, bottom = bounds
    boxes = [(s.at[0] - _BESIDE_MM, s.at[1] - _BESIDE_MM, s.at[0] + _BESIDE_MM, s.at[1] + _BESIDE_MM)
             for s in ground.stands.values()]  # fmt: skip
    for room in ground.rooms:
        xs, ys = [x for x, _ in room.outline_mm], [y for _, y in room.outline_mm]
        if xs and min(xs) < right and max(xs) > left and min(ys) < bottom and max(ys) > top:
            boxes.append((min(xs) - _BESIDE_MM, min(ys) - _BESIDE_MM, max(xs) + _BESIDE_MM, max(ys) + _BESIDE_MM))
    if not boxes:
        return None
    return (
        max(left, min(box[0] for box in boxes)), max(top, min(box[1] for box in boxes)),
        min(right, max(box[2] for box in boxes)), min(bottom, max(box[3] for box in boxes)),
    )  # fmt: skip


def _halves(ground: Ground, bounds: BoundsMm) -> tuple[BoundsMm, BoundsMm]:
    """Cut a window across its longer side, near the middle, where the fewest rooms are cut through."""
    left, top, right, bottom = bounds
    axis = 0 if right - left >= bottom - top else 1
    start, stop = bounds[axis], bounds[axis + 2]
    spans = []
    for room in ground.rooms:
        along = [corner[axis] for corner in room.outline_mm]
        other = [corner[1 - axis] for corner in room.outline_mm]
        if along and max(other) > bounds[1 - axis] and min(other) < bounds[3 - axis]:
            spans.append((min(along), max(along)))
    middle, reach = (start + stop) / 2, (stop - start) * 0.22
    edges = [edge for span in spans for edge in span if abs(edge - middle) <= reach]
    # A little beyond the edge of a room, in its wall.
    places = sorted({middle, *(edge + 60.0 for edge in edges), *(edge - 60.0 for edge in edges)})
    cut = min(places, key=lambda at: (sum(1 for a, b in spans if a < at < b), abs(at - middle), at))
    if axis == 0:
        return (left, top, cut, bottom), (cut, top, right, bottom)
    return (left, top, right, cut), (left, cut, right, bottom)


def _part_of(ground: Ground, bounds: BoundsMm) -> Ground:
    left, top, right, bottom = bounds
    inside = {i: s for i, s in ground.stands.items() if left <= s.at[0] <= right and top <= s.at[1] <= bottom}
    return ground._replace(stands=inside)


def _largest(
    facts: Facts, ground: Ground, bounds: BoundsMm, room: tuple[float, float], style: Style, *, whole: bool, most: int
) -> _Fit | None:
    """Give a window at the largest scale that it fits the room in; None when something then has no place."""
    around = 2 * style.around / MM
    for scale in SCALES:
        if scale > most:
            return None
        if (bounds[2] - bounds[0]) / scale + around <= room[0] and (bounds[3] - bounds[1]) / scale + around <= room[1]:
            return _fit(facts, Window(ground, bounds, MM / scale, style, whole), scale, 1)
    return None


def _fit(facts: Facts, window: Window, scale: int, number: int) -> _Fit | None:
    things = things_in(facts, window)
    try:
        layout = lay_out(things, rooms_in(window), window.size, window.style, number, busy_in(window))
    except CrowdedError:
        return None
    return _Fit(window.ground.storey.name, window, things, layout, scale)


def _what_fits(facts: Facts, window: Window) -> _Fit:
    """Lay out as much as fits of what stands on one spot; the rest is left out, to be named beside the drawing."""
    things = things_in(facts, window)
    count = len(things)
    while True:
        try:
            layout = lay_out(things[:count], rooms_in(window) if count else (), window.size, window.style)
            break
        except CrowdedError:
            count //= 2
    left_out = tuple(thing.record for thing in things[count:])
    return _Fit(window.ground.storey.name, window, things[:count], layout, SCALES[0], left_out)


def _drawn(facts: Facts, fit: _Fit) -> Drawn:
    wide, high = fit.window.size
    ground = fit.window.ground
    rooms = {room.id: room.name for room in ground.rooms}
    svg = window_svg(facts, fit.window, fit.layout, fit.things, f"Plan of {ground.storey.name}")
    ways = dict.fromkeys(i for fact in used_facts(facts, fit.things) for i in fact.devices)
    numbered = tuple(sorted((number, rooms[i]) for i, number in fit.layout.numbered.items()))
    return Drawn(
        fit.title, svg, wide / MM, high / MM, fit.scale, _in_order(facts, ways),
        tuple(sorted({ground.stands[thing.record].symbol for thing in fit.things}, key=_title)), numbered,
        fit.left_out, tuple(fit.things), fit.layout, fit.window.size,
    )  # fmt: skip


def legend_words(facts: Facts, device: str) -> str:
    """Give what the legend says of a way beside its code."""
    way = next(each for each in facts.ways if each.view.device.id == device)
    words = short_words(facts, way)
    return f"{words}; joined with {', '.join(i for i in way.joined if i != way.code)}" if way.joined else words


def legend_columns(wide_mm: float, style: Style, *, symbols: bool) -> int:
    """Give how many columns a legend has."""
    per = (40.0 if symbols else 62.0) * (style.code / NORMAL.code)
    return max(1, int((wide_mm + 3) // per))


def legend_mm(facts: Facts, ways: Sequence[str], symbols: Sequence[str], wide_mm: float, style: Style) -> float:
    """Estimate how high the legend is, generously."""
    share = style.code / NORMAL.code
    letter = 10.7 * share  # 8 pt in px
    line = letter * 1.35 / MM
    total = 0.0
    for texts, is_symbols, mark in (
        ([legend_words(facts, way) for way in ways], False, 15.0),
        ([symbol(name).title for name in symbols], True, 8.0),
    ):
        columns = legend_columns(wide_mm, style, symbols=is_symbols)
        room = (wide_mm / columns - mark * share - 2) * MM
        lines = [max(1, ceil(width_px(text, letter) * 1.1 / room)) for text in texts]
        rows = [max(lines[n : n + columns]) for n in range(0, len(lines), columns)]
        total += sum(max(4.6 * share, row * line + 1.4) for row in rows) + (2.0 if rows else 0.0)
    return total + 10.0 * share  # what rings and discs say


def _used(facts: Facts, grounds: Iterable[Ground]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    ways: dict[str, None] = {}
    symbols: set[str] = set()
    for ground in grounds:
        for record, stand in ground.stands.items():
            symbols.add(stand.symbol)
            if record in facts.points:
                ways.update(dict.fromkeys(facts.points[record].devices))
    return _in_order(facts, ways), tuple(sorted(symbols, key=_title))


def _in_order(facts: Facts, devices: Iterable[str]) -> tuple[str, ...]:
    wanted = frozenset(devices)
    return tuple(way.view.device.id for way in facts.ways if way.view.device.id in wanted)


def _title(name: str) -> str:
    return symbol(name).title
