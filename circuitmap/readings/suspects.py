"""Everything that may be behind the readings of a circuit, one suspicion for each thing at each place.

How likely each is before a reading is our own estimate; the readings of a whole sweep outweigh it by far.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import combinations
from math import log
from typing import Final

import numpy as np

from circuitmap.readings.arrays import OWN, Base, Suspicions, joined, shared
from circuitmap.readings.causes import CauseKind, Unit
from circuitmap.readings.solve import Floats, Ints
from circuitmap.words import CORES, Core

# How likely each kind of thing is, spread over all its places. Our own estimates, no source.
LIKELY: Final[dict[CauseKind, float]] = {
    "healthy": 0.3,
    "open core": 0.07,
    "bad joint": 0.06,
    "on a spur": 0.08,
    "same leg": 0.04,
    "bridge": 0.04,
    "swapped": 0.05,
    "other length": 0.12,
    "other cable": 0.02,
    "bad contact": 0.05,
    "none of these": 0.001,
}
# How big it may be: what is usual, and the standard deviation of the logarithm. Our own estimates, no source.
_JOINT_OHM, _JOINT_SD = 0.3, 1.1
_SPUR_M, _SPUR_SD = 5.0, 0.8
_BRIDGE_M, _BRIDGE_SD = 6.0, 0.8
_CONTACT_OHM, _CONTACT_SD = 0.08, 0.9
_LENGTH_SD = 1.0
_LENGTH_STARTS: Final = (0.35, 1.0, 2.5)
# A cable round a take-off is no run of the map: how far it may differ from the one drawn there.
_DETOUR_SD = 0.6
# The cables that a circuit may turn out to be wired in: line and cpc in mm².
_OTHER_MM2: Final = ((1.0, 1.0), (1.5, 1.0), (2.5, 1.0), (2.5, 1.5), (4.0, 1.5), (4.0, 2.5), (6.0, 2.5))
_SINGLE_MM2: Final = ((1.5, 1.0), (2.5, 1.0), (4.0, 1.5))
# With more places than this not every pair can be suspected of being bridged.
_MOST_BRIDGED: Final = 24


@dataclass(frozen=True, slots=True)
class Suspect:
    """One suspicion in words: what, which cores, at or between which places, in which runs, and how likely beforehand.

    ``unit`` is that of its size, empty where it has none; ``detail`` tells apart what counts as one and the same.
    """

    kind: CauseKind
    odds: float
    cores: tuple[Core, ...] = ()
    at: tuple[str, ...] = ()
    runs: tuple[str, ...] = ()
    unit: Unit = ""
    detail: str = ""

    @property
    def key(self) -> tuple[object, ...]:
        """What counts as the same cause."""
        return (self.kind, self.cores, self.at, self.runs if self.kind != "on a spur" else ())


Alter = Callable[[Suspicions, int], None]
Begin = tuple[int, float]
Made = tuple[Suspect, Alter, Begin | None]


@dataclass(frozen=True, eq=False)
class Lot:
    """Suspects beside their arrays and where to begin: one unknown of each, by its number, and its value there."""

    suspects: tuple[Suspect, ...]
    suspicions: Suspicions
    unknown: Ints
    start: Floats

    def take(self, rows: list[int]) -> "Lot":
        """Give some of them."""
        places = np.array(rows, dtype=np.intp)
        return Lot(
            tuple(self.suspects[row] for row in rows),
            self.suspicions.take(places),
            self.unknown[places],
            self.start[places],
        )


def suspects(base: Base, per_m: dict[Core, float], ratios: dict[tuple[float, float], tuple[float, float]]) -> Lot:
    """Give all suspicions about a circuit but those about its readings.

    Parameters
    ----------
    per_m
        Ohms per metre by core for cables that the map doesn't show.
    ratios
        How line and cpc of the circuit would change in other cables: two factors by (line mm², cpc mm²).
    """
    made = [
        *_healthy(), *_open(base), *_joints(base), *_spurs(base, per_m), *_bridges(base, per_m),
        *_lengths(base, ratios), *_cables(base, ratios),
    ]  # fmt: skip
    return _lot(base, made)


def swapped(base: Base) -> Lot:
    """Give the suspicions that conductors lie in each other's terminals; kept apart because they join cores."""
    return _lot(base, list(_swaps(base)))


def contacts(base: Base, places: list[str], can_be: list[bool]) -> Lot:
    """Give the suspicions that one reading was spoilt by its contact; ``places`` are those of the readings."""
    made: list[Made] = []
    count = sum(can_be)
    for number, (place, can) in enumerate(zip(places, can_be, strict=True)):
        if can:
            suspect = Suspect("bad contact", LIKELY["bad contact"] / count, at=(place,), unit="Ω", detail=str(number))
            made.append((suspect, _touched(number), None))
    return _lot(base, made)


def healthy_only(base: Base) -> Lot:
    """Give the one suspicion that the circuit is as drawn."""
    return _lot(base, list(_healthy()))


def together(lots: list[Lot]) -> Lot:
    """Give several lots as one."""
    return Lot(
        tuple(suspect for lot in lots for suspect in lot.suspects),
        joined([lot.suspicions for lot in lots]),
        np.concatenate([lot.unknown for lot in lots]),
        np.concatenate([lot.start for lot in lots]),
    )


def _lot(base: Base, made: list[Made]) -> Lot:
    suspicions = shared(base, len(made))
    unknown, start = np.full(len(made), OWN, dtype=np.intp), np.zeros(len(made))
    for row, (_, alter, begin) in enumerate(made):
        alter(suspicions, row)
        unknown[row], start[row] = begin or (OWN, suspicions.own_mean[row])
    return Lot(tuple(suspect for suspect, _, _ in made), suspicions, unknown, start)


def _healthy() -> Iterator[Made]:
    yield Suspect("healthy", LIKELY["healthy"]), _unaltered, None


def _unaltered(suspicions: Suspicions, row: int) -> None:
    return None


def _runs(base: Base) -> Iterator[tuple[str, dict[Core, int], tuple[str, str]]]:
    """Give every run, the edge of each of its cores, and the places of its ends."""
    nodes = base.network.nodes
    found: dict[str, dict[Core, int]] = {}
    for place, edge in enumerate(base.network.edges):
        if edge.run and edge.core is not None:
            found.setdefault(edge.run, {})[edge.core] = place
    for run, edges in found.items():
        one = base.network.edges[next(iter(edges.values()))]
        yield run, edges, (nodes[one.a].place, nodes[one.b].place)


def _open(base: Base) -> Iterator[Made]:
    places = list(_runs(base))
    count = sum(len(edges) + 0.5 for _, edges, _ in places)
    for run, edges, ends in places:
        for core, edge in edges.items():
            suspect = Suspect("open core", LIKELY["open core"] / count, (core,), ends, (run,))
            yield suspect, _cut((edge,)), None
        if len(edges) > 1:
            suspect = Suspect("open core", LIKELY["open core"] / count / 2, tuple(edges), ends, (run,))
            yield suspect, _cut(tuple(edges.values())), None


def _cut(edges: tuple[int, ...]) -> Alter:
    def alter(suspicions: Suspicions, row: int) -> None:
        suspicions.cut[row, list(edges)] = True

    return alter


def _joints(base: Base) -> Iterator[Made]:
    places = [(run, core, edge, ends) for run, edges, ends in _runs(base) for core, edge in edges.items()]
    for run, core, edge, ends in places:
        suspect = Suspect("bad joint", LIKELY["bad joint"] / len(places), (core,), ends, (run,), "Ω")
        for begin in (0.12, 0.8):
            yield suspect, _in_series(edge), (OWN, log(begin))


def _in_series(edge: int) -> Alter:
    def alter(suspicions: Suspicions, row: int) -> None:
        suspicions.own_ohm[row, edge] = 1.0
        suspicions.own_mean[row], suspicions.own_sd[row] = log(_JOINT_OHM), _JOINT_SD

    return alter


def _touched(number: int) -> Alter:
    def alter(suspicions: Suspicions, row: int) -> None:
        suspicions.touched[row] = number
        suspicions.own_mean[row], suspicions.own_sd[row] = log(_CONTACT_OHM), _CONTACT_SD

    return alter


def _spurs(base: Base, per_m: dict[Core, float]) -> Iterator[Made]:
    """Suspect that a point drawn between two others hangs on a cable of its own, off one of them or off a joint."""
    through: dict[str, list[tuple[str, dict[Core, int], str]]] = {}
    for run, edges, (a, b) in _runs(base):
        through.setdefault(a, []).append((run, edges, b))
        through.setdefault(b, []).append((run, edges, a))
    on_the_way = [
        (place, held)
        for place, held in through.items()
        if len(held) == 2 and place[0] == "P" and _is_plain(base, place)
    ]
    for place, ((run1, edges1, a), (run2, edges2, b)) in on_the_way:
        odds = LIKELY["on a spur"] / len(on_the_way) / 3
        suspect = Suspect("on a spur", odds, at=(place,), runs=(run1, run2), unit="m")
        yield replace(suspect, detail=f"between {a} and {b}"), _joint_before(base, place, (edges1, edges2), per_m), None
        if a[0] == "P":
            yield replace(suspect, detail=a), _off(base, place, edges1, edges2, run2), None
        if b[0] == "P":
            yield replace(suspect, detail=b), _off(base, place, edges2, edges1, run1), None


def _is_plain(base: Base, place: str) -> bool:
    return all(node.side == "through" for node in base.network.nodes if node.place == place)


def _joint_before(base: Base, place: str, both: tuple[dict[Core, int], ...], per_m: dict[Core, float]) -> Alter:
    def alter(suspicions: Suspicions, row: int) -> None:
        for core in CORES:
            if any(core in edges for edges in both):
                node = base.network.terminal(place, core)
                joint = base.spare_node(core)
                for edges in both:
                    if core in edges:
                        _replug(suspicions, row, edges[core], node, joint)
                _spare(base, suspicions, row, core, (node, joint), per_m[core])
        suspicions.own_mean[row], suspicions.own_sd[row] = log(_SPUR_M), _SPUR_SD

    return alter


def _off(base: Base, place: str, spur: dict[Core, int], ring: dict[Core, int], ring_run: str) -> Alter:
    """Let one run to a point be its spur, and the other pass it by."""

    def alter(suspicions: Suspicions, row: int) -> None:
        for core, edge in ring.items():
            if core in spur:
                node = base.network.terminal(place, core)
                ends = (int(base.a[spur[core]]), int(base.b[spur[core]]))
                _replug(suspicions, row, edge, node, ends[0] if ends[1] == node else ends[1])
        number = base.runs.index(ring_run)
        suspicions.spread[row, number] = max(suspicions.spread[row, number], _DETOUR_SD)

    return alter


def _replug(suspicions: Suspicions, row: int, edge: int, old: int, new: int) -> None:
    if suspicions.a[row, edge] == old:
        suspicions.a[row, edge] = new
    else:
        suspicions.b[row, edge] = new


def _spare(base: Base, suspicions: Suspicions, row: int, core: Core, ends: tuple[int, int], per_m: float) -> None:
    edge = base.spare_edge(core)
    suspicions.a[row, edge], suspicions.b[row, edge] = ends
    suspicions.own_ohm[row, edge] = per_m
    suspicions.cut[row, edge] = False


def _bridges(base: Base, per_m: dict[Core, float]) -> Iterator[Made]:
    neighbours = {frozenset(ends) for _, _, ends in _runs(base)}
    places = [place for place in dict.fromkeys(node.place for node in base.network.nodes) if place[0] == "P"]
    if len(places) > _MOST_BRIDGED:
        return
    pairs = [pair for pair in combinations(places, 2) if frozenset(pair) not in neighbours]
    for a, b in pairs:
        suspect = Suspect("bridge", LIKELY["bridge"] / len(pairs), at=(a, b), unit="m")
        yield suspect, _bridged(base, a, b, per_m), None


def _bridged(base: Base, a: str, b: str, per_m: dict[Core, float]) -> Alter:
    def alter(suspicions: Suspicions, row: int) -> None:
        for core in CORES:
            if (a, core) in base.network.at and (b, core) in base.network.at:
                ends = (base.network.terminal(a, core), base.network.terminal(b, core))
                _spare(base, suspicions, row, core, ends, per_m[core])
        suspicions.own_mean[row], suspicions.own_sd[row] = log(_BRIDGE_M), _BRIDGE_SD

    return alter


def _swaps(base: Base) -> Iterator[Made]:
    """Suspect crossed conductors at a point, or in one run: at which of its ends no meter can tell."""
    at: dict[str, list[dict[Core, int]]] = {}
    made: list[tuple[Suspect, Alter]] = []
    for run, edges, ends in _runs(base):
        plain = [end for end in ends if end[0] == "P" and _is_plain(base, end)]
        for place in plain:
            at.setdefault(place, []).append(edges)
        for one, other in combinations(CORES, 2) if plain else ():
            suspect = Suspect("swapped", 1.0, (one, other), ends, (run,))
            made.append((suspect, _swap(base, plain[0], (one, other), [edges])))
    for place, held in at.items():
        for one, other in combinations(CORES, 2) if len(held) > 1 else ():
            made.append((Suspect("swapped", 1.0, (one, other), (place,)), _swap(base, place, (one, other), held)))
    for suspect, alter in made:
        yield replace(suspect, odds=LIKELY["swapped"] / len(made)), alter, None


def _swap(base: Base, place: str, cores: tuple[Core, Core], held: list[dict[Core, int]]) -> Alter:
    def alter(suspicions: Suspicions, row: int) -> None:
        first, second = (base.network.terminal(place, core) for core in cores)
        for edges in held:
            for core, old, new in ((cores[0], first, second), (cores[1], second, first)):
                if core in edges:
                    _replug(suspicions, row, edges[core], old, new)

    return alter


def _lengths(base: Base, ratios: dict[tuple[float, float], tuple[float, float]]) -> Iterator[Made]:
    for number, run in enumerate(base.runs):
        ends = next(ends for name, _, ends in _runs(base) if name == run)
        suspect = Suspect("other length", LIKELY["other length"] / len(base.runs), at=ends, runs=(run,), unit="×")
        for begin in _LENGTH_STARTS:
            yield suspect, _wider(number), (number, log(begin))
        for pair in _SINGLE_MM2:
            if pair in ratios:
                other = replace(suspect, odds=suspect.odds / 12, detail=f"{pair[0]:g}/{pair[1]:g}")
                yield other, _sized(base, number, ratios[pair]), None


def _sized(base: Base, number: int, factors: tuple[float, float]) -> Alter:
    line, cpc = factors

    def alter(suspicions: Suspicions, row: int) -> None:
        mine = base.run == number
        suspicions.ohm[row, mine] *= np.where(base.core[mine] == CORES.index("E"), cpc, line)

    return alter


def _wider(number: int) -> Alter:
    def alter(suspicions: Suspicions, row: int) -> None:
        suspicions.spread[row, number] = _LENGTH_SD

    return alter


def _cables(base: Base, ratios: dict[tuple[float, float], tuple[float, float]]) -> Iterator[Made]:
    others = [pair for pair in _OTHER_MM2 if pair in ratios]
    for pair in others:
        line, cpc = ratios[pair]
        suspect = Suspect("other cable", LIKELY["other cable"] / len(others), detail=f"{pair[0]:g}/{pair[1]:g}")
        yield suspect, _in_other(base, line, cpc), None


def _in_other(base: Base, line: float, cpc: float) -> Alter:
    def alter(suspicions: Suspicions, row: int) -> None:
        suspicions.ohm[row] *= np.where(base.core == CORES.index("E"), cpc, line)

    return alter


def begun(lot: Lot, mean: Floats) -> Floats:
    """Give the unknowns to begin at: what is believed, but for the one with which each suspicion begins elsewhere."""
    at = mean.copy()
    at[np.arange(len(lot.start)), lot.unknown] = lot.start
    return at
