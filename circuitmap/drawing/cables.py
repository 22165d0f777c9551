"""Marks of one circuit's cables on one storey: a path per run, and what is to be said of it.

Solid is seen, long dashes tested or inferred, dots assumed, dash and dot planned. A closed ring tints its inside; spurs
are thinner and leave with a T; a break is a gap with two ticks; what leaves the storey ends in an arrow, what was seen
loose or not followed in its own mark.
"""

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from msgspec import Struct

from circuitmap.circuits.views import CircuitView
from circuitmap.drawing.dress import CircuitDress, dash_of
from circuitmap.drawing.legend import PLANNED
from circuitmap.drawing.marks import Area, Glyph, Ink, Line, Mark, PointMm, Words
from circuitmap.drawing.routes import Lanes, at_length, cut, length, stub
from circuitmap.drawing.standing import BOARD_SYMBOLS, WAY_STEP_MM, Frame, Stand
from circuitmap.home.records import End, Run
from circuitmap.wiring.shape import Shape
from circuitmap.words import CARRYING

RUN_PX: Final = 2.4
SPUR_PX: Final = 1.4
DROP_PX: Final = 1.1
SMALL_PX: Final = 18.0
_STUB_MM: Final = 420.0
_FAN_STEP_MM: Final = 150.0
_FAN_MM: Final = WAY_STEP_MM * 6
_GAP_MM: Final = 260.0
_TEE_MM: Final = 330.0
_LEAST_FOR_FUSE_MM: Final = 900.0
_TINT: Final = 0.75
_CORES: Final = frozenset("LNE")
CORE_WORDS: Final[dict[str, str]] = {"L": "line", "N": "neutral", "E": "cpc"}


class Ground(Struct, frozen=True):
    """What a storey's cables are drawn on: stands, rooms, and where everything else is."""

    storey: str
    stands: Mapping[str, Stand]
    frames: Mapping[str, Frame]
    ports: Mapping[str, tuple[str, float]]  # device: its board and how far along the wall its way lies
    storeys: Mapping[str, str]  # of everything placed on another storey
    levels: Mapping[str, int]

    def end(self, at: str | None) -> tuple[Stand | None, float]:
        """Give the stand of a run's end on this storey, and its shift along the wall."""
        if at is None:
            return None, 0.0
        board, shift = self.ports.get(at, (at, 0.0))
        return self.stands.get(board), shift

    def goes_to(self, at: str) -> str:
        """Give the storey that something stands on, empty when it isn't placed."""
        return self.storeys.get(self.ports.get(at, (at, 0.0))[0], "")


def circuit_marks(view: CircuitView, dress: CircuitDress, ground: Ground) -> dict[str, tuple[Mark, ...]]:
    """Give the marks of a circuit by the id of the run; tint and gap of a ring stand under its device's id."""
    shape = view.shape
    spurs = frozenset(run for spur in shape.spurs for run in spur.runs) if shape else frozenset()
    draw = _Circuit(dress, ground, spurs)
    for run in (*view.runs, *view.drops):
        draw.run(run)
    if shape is not None:
        draw.spurs(shape, {run.id: run for run in view.runs})
        draw.untraced(view.device.id, shape, view.runs)
        draw.ring(view.device.id, shape)
    return {record: tuple(marks) for record, marks in draw.marks.items() if marks}


def loose_marks(runs: Iterable[Run], ground: Ground) -> dict[str, tuple[Mark, ...]]:
    """Give the marks of runs that no circuit has: earths, strappers, cables fed by nothing."""
    draw = _Circuit(None, ground, frozenset())
    for run in runs:
        draw.run(run)
    return {record: tuple(marks) for record, marks in draw.marks.items() if marks}


class _Circuit:
    """Draws one circuit and is thrown away."""

    def __init__(self, dress: CircuitDress | None, ground: Ground, spurs: frozenset[str]) -> None:
        self._dress, self._ground, self._spurs = dress, ground, spurs
        self._lanes = Lanes(dress.number if dress else 2)
        self._role = dress.role if dress else "faint"
        self._stubs_at: dict[PointMm, int] = {}
        self.marks: dict[str, list[Mark]] = {}
        self.paths: dict[str, list[PointMm]] = {}

    def run(self, run: Run) -> None:
        if run.phase == "removed":
            return
        ground, marks = self._ground, self.marks.setdefault(run.id, [])
        (a, shift_a), (b, shift_b) = ground.end(run.a.at), ground.end(run.b.at)
        drawn = [stretch for stretch in _stretches(run, ground.storey) if len(stretch) > 1]
        if drawn:
            for stretch in drawn:
                self._line(run, stretch, marks)
            self.paths[run.id] = drawn[0]
            if len({storey for storey, *_ in run.path_mm}) > 1:
                self._leave(run, drawn[-1], marks)
        elif a is not None and b is not None:
            frame = ground.frames.get(a.room) if a.room and a.room == b.room else None
            path = self._lanes.route(a, b, frame, (shift_a, shift_b))
            self.paths[run.id] = path
            self._line(run, path, marks)
        elif a is not None:
            self._stub(run, a, shift_a, run.b, marks)
        elif b is not None:
            self._stub(run, b, shift_b, run.a, marks)

    def spurs(self, shape: Shape, runs: Mapping[str, Run]) -> None:
        """Put a T where each spur leaves, and a fuse on a fused one."""
        for spur in shape.spurs:
            first = next((r for r in spur.runs if r in runs and spur.leaves in (runs[r].a.at, runs[r].b.at)), None)
            path = self.paths.get(first) if first else None
            if first is None or path is None:
                continue
            if runs[first].a.at != spur.leaves:
                path = path[::-1]
            long = length(path)
            spot, turn = at_length(path, min(_TEE_MM, long / 2))
            tee = Glyph("run", "spur leaves", spot, (turn - 90) % 360, role=self._role, size_px=SMALL_PX)
            self.marks[first].append(tee)
            if spur.fuse is not None and long > _LEAST_FOR_FUSE_MM:
                spot, turn = at_length(path, long / 2)
                self.marks[first].append(Glyph("run", "fuse", spot, turn, role=self._role, size_px=SMALL_PX))

    def untraced(self, device: str, shape: Shape, runs: Sequence[Run]) -> None:
        """Show the cables that were counted at a point with runs but that nobody has followed."""
        shown = {end.at for run in runs for end, far in ((run.a, run.b), (run.b, run.a)) if far.state != "joined"}
        at_hand = {end.at for run in runs for end in (run.a, run.b)}
        for cable in shape.untraced:
            stand, shift = self._ground.end(cable.at)
            counted = cable.cables is not None  # where nobody counted, nothing says that there is one more
            if stand is None or not counted or cable.at in shown or cable.at not in at_hand:
                continue
            marks = self.marks.setdefault(device, [])
            self._end_mark("unknown end", stand, shift, Ink(self._role, SPUR_PX, dash_of("assumed")), marks)

    def ring(self, device: str, shape: Shape) -> None:
        """Tint the inside of a closed ring; mark where an open one has its gap."""
        marks = self.marks.setdefault(device, [])
        # A ring that climbs has no inside on any one storey.
        whole = bool(shape.loop_runs) and all(run in self.paths for run in shape.loop_runs)
        if whole and {"L", "N"} <= set(shape.closed):
            outline = _joined([self.paths[run] for run in shape.loop_runs])
            marks.append(Area("area", (tuple(outline),), f"{self._role}/tint", opacity=_TINT))
        if shape.gap is None or any(run in self.paths for run in shape.open_runs):
            return  # an open core is marked on its own run
        (a, shift_a), (b, shift_b) = self._ground.end(shape.gap[0]), self._ground.end(shape.gap[1])
        if a is None or b is None:
            return
        frame = self._ground.frames.get(a.room) if a.room and a.room == b.room else None
        path = self._lanes.route(a, b, frame, (shift_a, shift_b))
        self._broken(path, length(path) / 2, Ink("break", 1.2, (2.0, 5.0)), marks)

    def _line(self, run: Run, path: list[PointMm], marks: list[Mark]) -> None:
        ink, stripe = self._ink(run)
        fault = next((fault for fault in run.faults if fault.kind == "open"), None)
        if fault is None:
            marks.append(Line("run", tuple(path), ink, stripe=stripe))
            return
        long = length(path)
        share = fault.from_a_mm / run.length_mm if fault.from_a_mm is not None and run.length_mm else 0.5
        middle = min(max(long * share, _GAP_MM / 2), max(long - _GAP_MM / 2, _GAP_MM / 2))
        spot, turn = at_length(path, middle)
        if set(fault.cores) == {"E"}:  # whole in line and neutral
            marks.append(Line("run", tuple(path), ink, stripe=stripe))
            marks.append(Glyph("run", "break", spot, turn, role="break", size_px=SMALL_PX))
        else:
            self._broken(path, middle, ink, marks, stripe)
        if fault.cores and set(fault.cores) != _CORES:
            words = ", ".join(CORE_WORDS[core] for core in fault.cores) + " open"
            marks.append(Words("label", words, spot, "warn", 11, "start", (10, -11), 0.05, plate=True))

    def _broken(
        self, path: list[PointMm], middle: float, ink: Ink, marks: list[Mark], stripe: Ink | None = None
    ) -> None:
        gap = min(_GAP_MM, length(path) * 0.6)
        for half in cut(path, middle - gap / 2, middle + gap / 2):
            if len(half) > 1:
                marks.append(Line("run", tuple(half), ink, stripe=stripe))
        spot, turn = at_length(path, middle)
        for side in (-1, 1):
            marks.append(Line("run", _tick(spot, turn, side * gap / 2), Ink("break", 2.2)))

    def _stub(self, run: Run, stand: Stand, shift: float, far: End, marks: list[Mark]) -> None:
        ink, _ = self._ink(run)
        if far.at is None:
            name = "loose end" if far.state == "loose" else "unknown end"
            self._end_mark(name, stand, shift, ink, marks, "break" if far.state == "loose" else "")
            return
        storey = self._ground.goes_to(far.at)
        if storey:
            up = self._ground.levels.get(storey, 0) > self._ground.levels.get(self._ground.storey, 0)
            tip = self._end_mark("goes up" if up else "goes down", stand, shift, ink, marks, upright=True)
            self._code(tip, marks)
        else:
            tip = self._end_mark("", stand, shift, ink, marks)
            words = Words("label", f"to {far.at}, not placed", tip, "faint", 11, "middle", from_zoom=0.08, plate=True)
            marks.append(words)

    def _leave(self, run: Run, path: list[PointMm], marks: list[Mark]) -> None:
        storeys = [storey for storey, *_ in run.path_mm]
        here = self._ground.levels.get(self._ground.storey, 0)
        up = any(self._ground.levels.get(storey, 0) > here for storey in storeys)
        tip = path[-1] if storeys[-1] != self._ground.storey else path[0]
        name = "goes up" if up else "goes down"
        marks.append(Glyph("run", name, tip, role=self._role, size_px=SMALL_PX))
        self._code(tip, marks)

    def _code(self, tip: PointMm, marks: list[Mark]) -> None:
        if self._dress is not None:
            role = f"{self._role}/text"
            marks.append(Words("label", self._dress.code, tip, role, 11, "start", (9, 0), 0.04, bold=True, plate=True))

    def _end_mark(
        self,
        name: str,
        stand: Stand,
        shift: float,
        ink: Ink,
        marks: list[Mark],
        role: str = "",
        *,
        upright: bool = False,
    ) -> PointMm:
        moved = Stand(stand.inset(0, shift), stand.storey, stand.symbol, faces=stand.faces)
        if stand.symbol in BOARD_SYMBOLS:  # risers of many ways leave here: each a little longer than the last
            path = stub(moved, _STUB_MM + (shift % _FAN_MM) / WAY_STEP_MM * _FAN_STEP_MM)
        else:
            lane = self._stubs_at.get(stand.at, 0)
            self._stubs_at[stand.at] = lane + 1
            path = stub(moved, _STUB_MM, lane)
        marks.append(Line("run", tuple(path), ink))
        if name:
            turn = 0.0 if upright else (at_length(path, 0)[1] + 90) % 360
            turn = 0.0 if name == "unknown end" else turn
            marks.append(Glyph("run", name, path[-1], turn, role=role or self._role, size_px=SMALL_PX))
        return path[-1]

    def _ink(self, run: Run) -> tuple[Ink, Ink | None]:
        if run.phase == "planned":
            return Ink("accent", RUN_PX, PLANNED), None
        if self._dress is None or run.role not in CARRYING:
            return Ink(self._role, DROP_PX, dash_of(run.evidence)), None
        width = SPUR_PX if run.id in self._spurs else RUN_PX
        return self._dress.ink(run.evidence, width), self._dress.stripe(width)


def _tick(spot: PointMm, turn_deg: float, along_mm: float) -> tuple[PointMm, PointMm]:
    turn = math.radians(turn_deg)
    dx, dy = math.cos(turn), math.sin(turn)
    x, y = spot[0] + dx * along_mm, spot[1] + dy * along_mm
    lean, half = 30.0, 95.0  # both ticks lean the same way, like the strokes of the symbol in the legend
    return (
        (x + dx * lean + dy * half, y + dy * lean - dx * half),
        (x - dx * lean - dy * half, y - dy * lean + dx * half),
    )


def _stretches(run: Run, storey: str) -> list[list[PointMm]]:
    grouped = itertools.groupby(run.path_mm, key=lambda spot: spot[0])
    return [[(float(x), float(y)) for _, x, y, _ in spots] for on, spots in grouped if on == storey]


def _joined(paths: Iterable[list[PointMm]]) -> list[PointMm]:
    """Give paths that follow each other as one, each turned so that it starts where the last one stopped."""
    whole: list[PointMm] = []
    rows = list(paths)
    for n, path in enumerate(rows):
        if not whole and len(rows) > 1:
            ahead = rows[n + 1]
            first = min(math.dist(path[-1], ahead[0]), math.dist(path[-1], ahead[-1]))
            other = min(math.dist(path[0], ahead[0]), math.dist(path[0], ahead[-1]))
            whole += path if first <= other else path[::-1]
        elif whole and math.dist(whole[-1], path[0]) > math.dist(whole[-1], path[-1]):
            whole += path[::-1]
        else:
            whole += path
    return whole
