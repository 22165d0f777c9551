"""The loop view: one circuit straightened out, a ring as a ring and everything else as a tree.

It has a space of its own, one unit to the pixel, the origin at the top left. A ring starts and ends at its way, at the
top; its points go down the left side and come back up the right, spurs stand outward under their take-off. A drawing
with many points is higher than what was asked for, never smaller than can be read.
"""

import math
from collections.abc import Collection, Mapping, Sequence
from typing import Final

from circuitmap.circuits.views import CircuitView
from circuitmap.drawing.cables import CORE_WORDS
from circuitmap.drawing.dress import CircuitDress
from circuitmap.drawing.loop_lines import half_way, halves, way_round
from circuitmap.drawing.loop_readings import Beside, lit_run, lit_thing
from circuitmap.drawing.loop_rows import Row, Web, hanging_rows, tree_rows, web_of, words_of
from circuitmap.drawing.marks import Anchor, Area, Glyph, Ink, Line, Mark, PointMm, Words
from circuitmap.drawing.symbols import symbol, symbol_name
from circuitmap.drawing.typed import fitted, width_px
from circuitmap.home import Home
from circuitmap.home.records import Board, Point, Run
from circuitmap.quantities.show import show_length
from circuitmap.wiring.shape import SHAPE_WORDS

_TOP: Final = 64.0
_EDGE: Final = 14.0
_LEAST_ROW: Final = 24.0
_MOST_ROW: Final = 46.0
_TWO_LINES: Final = 34.0
_INDENT: Final = 30.0
_GLYPH: Final = 15.0
_NAME_PX: Final = 13.0
_SMALL_PX: Final = 11.0
_RUN_PX: Final = 2.6
_SPUR_PX: Final = 1.5
_GAP: Final = 12.0
_BESIDE: Final = 18.0
_BRANCH: Final = 8.0
_NOTHING: Final[Mapping[str, Beside]] = {}


def loop_marks(view: CircuitView, home: Home, width_px: float, height_px: float, *, number: int = 0) -> list[Mark]:
    """Give the marks of a circuit straightened out, in a space of its own (1 unit = 1 px).

    Parameters
    ----------
    width_px, height_px
        The room there is; more height is taken where the points need it.
    number
        The number of the circuit's colour.
    """
    return loop_drawing(view, home, width_px, height_px, number=number)[0]


def loop_drawing(
    view: CircuitView,
    home: Home,
    width_px: float,
    height_px: float,
    *,
    number: int = 0,
    beside: Mapping[str, Beside] = _NOTHING,
    lit: Collection[str] = (),
) -> tuple[list[Mark], dict[str, PointMm]]:
    """Give the marks of ``loop_marks``, and where each thing stands among them, by record id.

    Parameters
    ----------
    beside
        What is printed beside things, by record id: readings. With any, every row has room for two lines.
    lit
        Things and runs lit up: where a likely cause lies.
    """
    draw = _Loop(view, home, width_px, height_px, number, beside, frozenset(lit))
    shape = view.shape
    ring = [record for record in shape.loop if home.peek(record) is not None] if shape is not None else []
    if shape is not None and len(ring) > 2:
        draw.ring(ring)
    else:
        draw.tree()
    return draw.marks, draw.places


class _Loop:
    """Draws one circuit and is thrown away."""

    def __init__(
        self,
        view: CircuitView,
        home: Home,
        width: float,
        height: float,
        number: int,
        beside: Mapping[str, Beside],
        lit: frozenset[str],
    ) -> None:
        self._view, self._home, self._width, self._height = view, home, width, height
        self._beside, self._lit = beside, lit
        self._dress = CircuitDress(view.code, number)
        self._rooms = {m.point.id: m.room.name for m in view.members if m.room is not None}
        self._web: Web = web_of(view)
        self.marks: list[Mark] = []
        self.places: dict[str, PointMm] = {}

    # -- a ring -------------------------------------------------------------------------------------------------

    def ring(self, loop: Sequence[str]) -> None:
        """Draw what goes round, and what hangs off it."""
        devices = {self._view.device.id, *(self._view.shape.devices if self._view.shape else ())}
        web, kept = self._web, set(loop)
        between = [self._between(a, b) for a, b in zip(loop, (*loop[1:], loop[0]), strict=True)]
        web.used.update(run.id for run in between if run is not None)
        web.used.update(self._view.shape.bridges if self._view.shape else ())
        head = loop[0]
        web.drawn.add(head)
        two_ways = len(loop) > 2 and loop[-1] in devices and loop[-1] != head
        stops = list(loop[1:-1]) if two_ways else list(loop[1:])
        stalk = self._stalk_rows(head, kept) if head not in devices else []
        groups = [hanging_rows(web, stop, self._home, kept) for stop in stops]
        left, right = halves(groups)
        top = _TOP + len(stalk) * _MOST_ROW
        rows = max(sum(map(len, left)), sum(map(len, right)), 1)
        step = self._step(rows, top)
        # Labels stand outside, so the ring is narrow, yet wide enough for lengths and a word inside.
        longest = max((width_px(_length(run), _SMALL_PX) for run in between if run is not None), default=0.0)
        inside = min(max(self._width * 0.22, 92.0, 2 * longest + 26), 200.0)
        x_left, x_right = (self._width - inside) / 2, (self._width + inside) / 2
        at: dict[str, PointMm] = {}
        self._column(left, x_left, -1, top + step, step, at)
        self._column(list(reversed(right)), x_right, 1, top + step, step, at)
        middle = self._width / 2
        if two_ways:
            at[head], at[loop[-1]] = (x_left, top), (x_right, top)
        else:
            at[head] = (middle, top)
        low = top + step * (rows + 0.35)
        self._go_round(loop, between, at, low, two_ways)
        self._stalk(stalk, middle)
        for record in (head, loop[-1]) if two_ways else (head,):
            self._thing(record, at[record], _GLYPH + (5 if record in devices else 0))
            if stalk:
                self._label(record, (middle, top - 13), 1, _LEAST_ROW)
            else:
                self._label(record, at[record], 0 if not two_ways else (-1 if record == head else 1), step)
        self._bridges(at)
        self._say()
        self._unattached(low + 28)

    def _between(self, a: str, b: str) -> Run | None:
        runs = self._view.shape.loop_runs if self._view.shape else ()
        found = [run for run, far in self._web.around.get(a, ()) if far == b and run.id in runs]
        taken = self._web.drawn
        run = next((each for each in found if each.id not in taken), None)
        if run is not None:
            taken.add(run.id)  # two runs side by side between the same two ends are two sides of the ring
        return run

    def _go_round(
        self, loop: Sequence[str], between: Sequence[Run | None], at: Mapping[str, PointMm], low: float, two_ways: bool
    ) -> None:
        gap = set(self._view.shape.gap) if self._view.shape and self._view.shape.gap else set()
        steps = list(zip(loop, (*loop[1:], loop[0]), between, strict=True))
        outline: list[PointMm] = []
        for a, b, run in steps[:-1] if two_ways else steps:
            path = way_round(at[a], at[b], low, at[loop[0]], first=a == loop[0], last=b == loop[0] and not two_ways)
            outline += path
            if run is not None:
                self._line(run, path, inward=self._width / 2)
            elif {a, b} == gap or gap:
                self._gap(path)
        closed = self._view.shape.closed if self._view.shape else ()
        if {"L", "N"} <= set(closed) and not two_ways:
            self.marks.insert(0, Area("area", (tuple(outline),), f"{self._dress.role}/tint", opacity=0.75))

    def _bridges(self, at: Mapping[str, PointMm]) -> None:
        for number, bridge in enumerate(self._view.shape.bridges if self._view.shape else ()):
            run = self._web.runs.get(bridge)
            named = (run.a.at, run.b.at) if run is not None else ()
            ends = [at[name] for name in named if name is not None and name in at]
            if run is not None and len(ends) == 2:
                (ax, ay), (bx, by) = sorted(ends)
                bend = (
                    self._width / 2 + (number % 3 - 1) * 10
                    if ax != bx
                    else ax + 26 * (1 if ax < self._width / 2 else -1)
                )
                path = [(ax, ay), (bend, ay), (bend, by), (bx, by)]
                self.marks.append(Line("run", tuple(path), Ink("warn", _RUN_PX, self._dress.ink(run.evidence, 1).dash)))
                words = Words("label", "bridge", (bend, (ay + by) / 2), "warn", _SMALL_PX, "middle", plate=True)
                self.marks.append(words)

    def _stalk_rows(self, head: str, kept: set[str]) -> list[tuple[str, Run]]:
        """Give the things from the way to where the ring begins, each with the run that follows it."""
        shape = self._view.shape
        runs = [self._web.runs[name] for name in (shape.stalk if shape else ()) if name in self._web.runs]
        here, found = head, list[tuple[str, Run]]()
        left = list(runs)
        while left:
            run = next((each for each in left if here in (each.a.at, each.b.at)), None)
            if run is None:
                break
            left.remove(run)
            far = run.b.at if run.a.at == here else run.a.at
            if far is None:
                break
            self._web.used.add(run.id)
            self._web.drawn.add(far)
            kept.add(far)
            found.insert(0, (far, run))
            here = far
        return found

    def _stalk(self, stalk: Sequence[tuple[str, Run]], middle: float) -> None:
        for n, (record, run) in enumerate(stalk):
            y = _TOP + n * _MOST_ROW
            self._line(run, [(middle, y), (middle, y + _MOST_ROW)], inward=self._width)
            self._thing(record, (middle, y), _GLYPH + 3)
            self._label(record, (middle, y), 1, _MOST_ROW)

    # -- a tree -------------------------------------------------------------------------------------------------

    def tree(self) -> None:
        """Draw the circuit as a tree under its way; pieces that no cable joins to it stand below."""
        parts = [m.point.id for m in self._view.members if m.point.id in self._web.around]
        rows = tree_rows(self._web, (self._view.device.id, *parts), self._home)
        step = self._step(len(rows), _TOP - 16)
        self._column([rows], _EDGE + 16, 1, _TOP - 8, step, {})
        self._say()
        self._unattached(_TOP + step * len(rows))

    # -- rows ---------------------------------------------------------------------------------------------------

    def _step(self, rows: int, top: float) -> float:
        room = (self._height - top - _EDGE * 3) / max(rows + 1, 1)
        return min(max(room, _TWO_LINES if self._beside else _LEAST_ROW), _MOST_ROW)

    def _column(
        self, groups: Sequence[list[Row]], x: float, side: int, top: float, step: float, at: dict[str, PointMm]
    ) -> None:
        y = top
        for group in groups:
            spots: list[PointMm] = []
            for row in group:
                spots.append((x + side * row.indent * _INDENT, y))
                y += step
            for row, spot in zip(group, spots, strict=True):
                if row.above is not None:
                    self._branch(row, spots[row.above], spot)
            for row, spot in zip(group, spots, strict=True):
                if row.kind == "thing":
                    at.setdefault(row.record, spot)
                    self._thing(row.record, spot, _GLYPH)
                    self._label(row.record, spot, side, step)
                else:
                    self._end(row, spot, side)

    def _branch(self, row: Row, above: PointMm, spot: PointMm) -> None:
        side = 1 if spot[0] >= above[0] else -1
        path = [above, spot]
        if above[0] != spot[0]:  # beside the way on, from the foot of what it leaves
            foot = (above[0] + side * _BRANCH, above[1] + _BRANCH)
            path = [foot, (foot[0], spot[1]), spot]
        if row.run is None:
            self.marks.append(Line("run", tuple(path), self._dress.ink("assumed", _SPUR_PX)))
            return
        self._line(row.run, path, inward=0.0, spur=self._is_spur(row))
        if row.leaves:
            tee = (path[0][0], path[0][1] + 7)
            self.marks.append(Glyph("run", "spur leaves", tee, role=self._dress.role, size_px=13))

    def _is_spur(self, row: Row) -> bool:
        shape = self._view.shape
        return shape is not None and row.run is not None and any(row.run.id in spur.runs for spur in shape.spurs)

    def _end(self, row: Row, spot: PointMm, side: int) -> None:
        name = {"loose": "loose end", "joined": "board", "closes": "junction box"}.get(row.kind, "unknown end")
        role = {"loose": "break", "joined": "warn", "closes": "warn"}.get(row.kind, self._dress.role)
        turn = 90.0 * side % 360 if name == "loose end" else 0.0
        self.marks.append(Glyph("symbol", name, spot, turn, role=role, size_px=_GLYPH))
        words = row.words
        if row.kind == "closes":
            words = f"on to {words_of(row.record, self._home, self._rooms)[0]}"
        role = "warn" if row.kind in ("loose", "joined", "closes") else "faint"
        self._text(words, spot, side, role, _SMALL_PX, 0.0)

    def _thing(self, record: str, spot: PointMm, size: float) -> None:
        thing = self._home.peek(record)
        self.places[record] = spot
        if record in self._lit:
            self.marks.append(lit_thing(spot))
        if isinstance(thing, Point):
            name = symbol_name(thing.kind, gangs=thing.gangs, switching=thing.switching, switched=bool(thing.switched))
            self.marks.append(_centred(Glyph("symbol", name, spot, 0.0, "settled", self._dress.role, size)))
        else:
            name = "sub-board" if isinstance(thing, Board) else "board"
            self.marks.append(Glyph("symbol", name, spot, role="ink", size_px=size * 1.3))

    def _label(self, record: str, spot: PointMm, side: int, step: float) -> None:
        name, where = words_of(record, self._home, self._rooms)
        beside = self._beside.get(record)
        if beside is not None and record.startswith("P"):
            name = f"{record} {name}"  # by its code, for causes and charts speak of it by that
        if side == 0:
            if beside is not None:
                where = " · ".join(filter(None, (where, beside.fitting(self._width / 2, _NAME_PX))))
            self._text(" · ".join(filter(None, (name, where))), (spot[0], spot[1] - 24), 0, "ink", _NAME_PX, 0.0, True)
            return
        fused = self._home.find(Point, record)
        if fused is not None and fused.fuse_a is not None:
            name = f"{name} {fused.fuse_a:g} A"
        if beside is not None:
            self._text(" · ".join(filter(None, (name, where))), spot, side, "ink", _NAME_PX, -8.0)
            shown = beside.fitting(self._room(spot, side), _SMALL_PX)
            self._text(shown, spot, side, beside.role, _SMALL_PX, 8.0)
        elif step >= _TWO_LINES and where:
            self._text(name, spot, side, "ink", _NAME_PX, -7.0)
            self._text(where, spot, side, "faint", _SMALL_PX, 8.0)
        else:
            self._text(" · ".join(filter(None, (name, where))), spot, side, "ink", _NAME_PX, 0.0)

    def _text(self, text: str, spot: PointMm, side: int, role: str, size: float, dy: float, bold: bool = False) -> None:
        x = spot[0] + side * _BESIDE
        anchor: Anchor = "start" if side > 0 else "end" if side < 0 else "middle"
        shown = fitted(text, self._room(spot, side), size)
        self.marks.append(Words("label", shown, (x, spot[1] + dy), role, size, anchor, bold=bold))

    def _room(self, spot: PointMm, side: int) -> float:
        """Give how wide words beside a spot may be."""
        x = spot[0] + side * _BESIDE
        room = self._width - _EDGE - x if side > 0 else x - _EDGE if side < 0 else self._width - 2 * _EDGE
        return max(room, 24.0)

    # -- lines --------------------------------------------------------------------------------------------------

    def _line(self, run: Run, path: Sequence[PointMm], *, inward: float, spur: bool = False) -> None:
        width = _SPUR_PX if spur else _RUN_PX
        ink, stripe = self._dress.ink(run.evidence, width), self._dress.stripe(width)
        fault = next((each for each in run.faults if each.kind == "open"), None)
        spot, turn = half_way(path)
        cpc_only = fault is not None and set(fault.cores) == {"E"}
        if run.id in self._lit:
            self.marks.append(lit_run(path))
        if fault is None or cpc_only:
            self.marks.append(Line("run", tuple(path), ink, stripe=stripe))
        if fault is not None and not cpc_only:
            self._gap(path, ink)
        if cpc_only:
            self.marks.append(Glyph("run", "break", spot, turn, role="break", size_px=15))
        words = _length(run)
        if fault is not None and fault.cores:
            words = ", ".join(CORE_WORDS[core] for core in fault.cores) + " open"
        if words and inward and math.dist(path[0], path[-1]) > 16:
            role = "warn" if fault is not None else "faint"
            if turn % 180 < 45 or turn % 180 > 135:
                below = (spot[0], spot[1] + 14)
                self.marks.append(Words("label", words, below, role, _SMALL_PX, "middle", plate=True))
            else:
                side = 1 if spot[0] < inward else -1
                beside = (spot[0] + side * 10, spot[1])
                anchor: Anchor = "start" if side > 0 else "end"
                self.marks.append(Words("label", words, beside, role, _SMALL_PX, anchor, plate=True))

    def _gap(self, path: Sequence[PointMm], ink: Ink | None = None) -> None:
        """Draw a path with a gap in its longest stretch and a tick at either side of it."""
        thin = ink or Ink("break", 1.2, (2.0, 5.0))
        n = max(range(len(path) - 1), key=lambda k: math.dist(path[k], path[k + 1]))
        (ax, ay), (bx, by) = path[n], path[n + 1]
        long = math.dist((ax, ay), (bx, by)) or 1.0
        dx, dy = (bx - ax) / long, (by - ay) / long
        half = min(_GAP, long * 0.5) / 2
        mx, my = (ax + bx) / 2, (ay + by) / 2
        self.marks.append(Line("run", (*path[: n + 1], (mx - dx * half, my - dy * half)), thin))
        self.marks.append(Line("run", ((mx + dx * half, my + dy * half), *path[n + 1 :]), thin))
        for end in (-half, half):
            x, y = mx + dx * end, my + dy * end
            tick = ((x + dx * 2.5 + dy * 7, y + dy * 2.5 - dx * 7), (x - dx * 2.5 - dy * 7, y - dy * 2.5 + dx * 7))
            self.marks.append(Line("run", tick, Ink("break", 2.2)))

    # -- words --------------------------------------------------------------------------------------------------

    def _say(self) -> None:
        """Say what shape it is, how well that is known, and which conductors go all the way round."""
        shape = self._view.shape
        said = "no cables drawn" if shape is None else f"{SHAPE_WORDS[shape.kind]}, {shape.evidence}"
        if shape is not None and shape.closed and len(shape.closed) < 3:
            said += f"; only {' and '.join(CORE_WORDS[core] for core in shape.closed)} closed"
        said = fitted(said[0].upper() + said[1:], self._width - 2 * _EDGE, _SMALL_PX)
        self.marks.append(Words("label", said, (_EDGE, _EDGE), "faint", _SMALL_PX))

    def _unattached(self, top: float) -> None:
        """List what is known to be fed but to which no cable is drawn."""
        placed = self._web.drawn
        rest = [
            m.point.id
            for m in self._view.members
            if m.point.id not in placed and (m.by != ("run",) or m.point.id in self._web.around)
        ]
        if not rest:
            return
        self.marks.append(Words("label", "Fed by it, cables not drawn:", (_EDGE, top + 8), "faint", _SMALL_PX))
        for n, record in enumerate(rest):
            spot = (_EDGE + 16, top + 30 + n * (_LEAST_ROW + 2))
            self._thing(record, spot, _GLYPH)
            self._label(record, spot, 1, _LEAST_ROW)


def _length(run: Run) -> str:
    return show_length(run.length_mm) if run.length_mm else ""


def _centred(glyph: Glyph) -> Glyph:
    """Give a glyph moved so that the middle of its symbol, not its foot, lies on its spot."""
    x, y = symbol(glyph.symbol).centre
    size = glyph.size_px / 100
    at = (glyph.at_mm[0] - x * size, glyph.at_mm[1] - y * size)
    return Glyph(glyph.layer, glyph.symbol, at, 0.0, glyph.state, glyph.role, glyph.size_px, glyph.also)
