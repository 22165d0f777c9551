"""Where the points of a circuit stand along it: the line of a chart of readings, in ring order from the board.

A ring goes from the board round to the board; a radial along its longest way. What hangs off that line stands beside
its take-off, on no distance of its own. Distances are the map's; where one is missing all points stand evenly.
"""

from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from circuitmap.circuits.views import CircuitView
from circuitmap.drawing.loop_rows import Web, web_of, words_of
from circuitmap.home import Home
from circuitmap.home.records import Run
from circuitmap.readings.conductors import length_of


@dataclass(frozen=True, slots=True)
class Stop:
    """One thing along the line: how far along (m, or places where lengths are missing), and what it is called.

    ``leaves`` names the thing on the line that a spur's point hangs off, ``nth`` which of those there it is, ``before``
    the thing next to it on the way there; all empty for what stands on the line itself.
    """

    record: str
    code: str
    name: str
    along: float
    leaves: str = ""
    nth: int = 0
    before: str = ""


@dataclass(frozen=True, slots=True)
class Stretch:
    """One run of the line, from a stop to the next (by their places in ``Axis.line``); no run where none is drawn."""

    run: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Axis:
    """The line of a circuit and what hangs off it.

    ``is_measured``: distances are metres by the map, not even steps. ``is_closed``: the line comes back to the board.
    ``is_drawn``: the order is that of runs on the map, not just that of a list.
    """

    line: tuple[Stop, ...]
    spurs: tuple[Stop, ...]
    stretches: tuple[Stretch, ...]
    is_measured: bool
    is_closed: bool
    is_drawn: bool

    @property
    def length(self) -> float:
        """How far the line goes, in metres or even steps."""
        return self.line[-1].along if self.line else 0.0

    @property
    def places(self) -> dict[str, Stop]:
        """Every stop by its record; the board by where the line begins."""
        found: dict[str, Stop] = {}
        for stop in (*self.line, *self.spurs):
            found.setdefault(stop.record, stop)
        return found


def axis_of(view: CircuitView, home: Home) -> Axis:
    """Give the line of a circuit; of one without drawn runs its points one after the other, as they are listed."""
    web = web_of(view)
    rooms = {m.point.id: m.room.name for m in view.members if m.room is not None}
    nodes, runs = _loop(view, web)
    is_closed = bool(nodes)
    if not nodes:
        nodes, runs = _longest(view.device.id, web)
    is_drawn = len(nodes) > 1
    if not is_drawn:
        nodes = [view.device.id, *view.names]
        runs = [None] * len(view.names)
    steps = _steps(runs, home)
    along, spots = 0.0, [0.0]
    for step in steps or [1.0] * len(runs):
        along += step
        spots.append(along)
    line = [_stop(record, spot, home, rooms) for record, spot in zip(nodes, spots, strict=True)]
    spurs = _spurs(line, web, home, rooms) if is_drawn else []
    stretches = [Stretch(run.id if run is not None else "", n, n + 1) for n, run in enumerate(runs)]
    return Axis(tuple(line), tuple(spurs), tuple(stretches), bool(steps), is_closed, is_drawn)


def _stop(
    record: str,
    along: float,
    home: Home,
    rooms: dict[str, str],
    leaves: str = "",
    nth: int = 0,
    before: str = "",
) -> Stop:
    name, where = words_of(record, home, rooms)
    code = home.code(record) if record.startswith("D") else record
    if record.startswith("D"):
        return Stop(record, code, "board", along, leaves, nth, before)
    return Stop(record, code, ", ".join(filter(None, (name, where))), along, leaves, nth, before)


def _loop(view: CircuitView, web: Web) -> tuple[list[str], list[Run | None]]:
    """Give the things round a ring from the board back to it, the stalk before it, and the runs between them."""
    shape = view.shape
    if shape is None or len(shape.loop) < 3:
        return [], []
    taken: set[str] = set()
    nodes = list(shape.loop)
    if nodes[-1] not in shape.devices or nodes[-1] == nodes[0]:
        nodes.append(nodes[0])
    runs = [_between(a, b, web, taken, shape.loop_runs) for a, b in pairwise(nodes)]
    if nodes[0] not in shape.devices:
        stalk_nodes, stalk_runs = _stalk(view.device.id, nodes[0], web, shape.stalk)
        return [*stalk_nodes, *nodes], [*stalk_runs, *runs]
    return nodes, runs


def _between(a: str, b: str, web: Web, taken: set[str], among: Iterable[str]) -> Run | None:
    kept = set(among)
    for run, far in web.around.get(a, ()):
        if far == b and run.id in kept and run.id not in taken:
            taken.add(run.id)
            return run
    return None


def _stalk(device: str, head: str, web: Web, among: Iterable[str]) -> tuple[list[str], list[Run | None]]:
    kept, parents = set(among), _parents(device, web)
    nodes: list[str] = []
    runs: list[Run | None] = []
    here = head
    while here != device and here in parents:
        above, run = parents[here]
        if run.id not in kept:
            break
        nodes.insert(0, above)
        runs.insert(0, run)
        here = above
    return nodes, runs


def _longest(device: str, web: Web) -> tuple[list[str], list[Run | None]]:
    """Give the way from the board to what lies the most points away."""
    parents = _parents(device, web)
    depth = {device: 0}
    for node, (above, _) in parents.items():  # parents come before what hangs on them
        depth[node] = depth[above] + 1
    here = max(depth, key=depth.__getitem__)
    nodes, runs = [here], list[Run | None]()
    while here != device:
        above, run = parents[here]
        nodes.insert(0, above)
        runs.insert(0, run)
        here = above
    return nodes, runs


def _parents(device: str, web: Web) -> dict[str, tuple[str, Run]]:
    found: dict[str, tuple[str, Run]] = {}
    queue = deque([device])
    while queue:
        node = queue.popleft()
        for run, far in web.around.get(node, ()):
            if far != device and far not in found:
                found[far] = (node, run)
                queue.append(far)
    return found


def _steps(runs: Sequence[Run | None], home: Home) -> list[float]:
    """Give how long each run is in metres; nothing as soon as one of them isn't known."""
    found: list[float] = []
    for run in runs:
        length = length_of(run, home) if run is not None else None
        if length is None:
            return []
        found.append(length.length_m)
    return found


def _spurs(line: Sequence[Stop], web: Web, home: Home, rooms: dict[str, str]) -> list[Stop]:
    """Give what hangs off the line, nearest first under each take-off."""
    seen = {stop.record for stop in line}
    found: list[Stop] = []
    for stop in {stop.record: stop for stop in reversed(line)}.values():
        count = 0
        queue = deque([stop.record])
        while queue:
            node = queue.popleft()
            for _, far in web.around.get(node, ()):
                if far not in seen:
                    seen.add(far)
                    found.append(_stop(far, stop.along, home, rooms, stop.record, count, node))
                    count += 1
                    queue.append(far)
    return sorted(found, key=_by_place)


def _by_place(stop: Stop) -> tuple[float, int]:
    return stop.along, stop.nth
