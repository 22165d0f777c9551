"""A circuit and the tests made on it as arrays: what many suspicions at once would make every meter read.

All suspicions share nodes and edges; each says where an edge of its own ends, what ohms it has and which are cut. They
are solved in batches by nodal analysis (LAPACK); for one network after another ``solve`` is the better tool.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

from circuitmap.readings.links import Linked
from circuitmap.readings.network import Network
from circuitmap.readings.solve import Floats, Ints
from circuitmap.words import CORES, Core

Bools = NDArray[np.bool_]

# Every node leaks a little to a node of its own, so that what hangs nowhere has a potential too.
_LEAK_S: Final = 1e-9
# From so many ohms on nothing joins two nodes but leaks.
_OPEN_OHM: Final = 1e5
# What is merged or cut has no conductance; what has next to no ohms, no more than this.
_MOST_S: Final = 1e6
# Slots for what the map doesn't show: one edge a core, and a node a core where it may leave.
EXTRA: Final = len(CORES)
# What every suspicion can alter besides lengths: copper as made, cpc against it, and how big it is itself.
MADE, CPC_MADE, OWN = -3, -2, -1


@dataclass(frozen=True, eq=False)
class Base:
    """The circuit as the map has it, and room for what the map doesn't show.

    ``runs`` are the rows of lengths; ``run`` gives the row of every edge, ``core`` the number of its core. The last
    ``EXTRA`` edges and nodes are spare. ``spread`` is how far each run's length may be out: the standard deviation of
    its logarithm.
    """

    network: Network
    runs: tuple[str, ...]
    a: Ints
    b: Ints
    ohm: Floats
    run: Ints
    core: Ints
    spread: Floats

    @property
    def nodes(self) -> int:
        """How many nodes there are with the spare ones."""
        return len(self.network.nodes) + EXTRA

    def spare_edge(self, core: Core) -> int:
        """Give the spare edge of a core."""
        return len(self.ohm) - EXTRA + CORES.index(core)

    def spare_node(self, core: Core) -> int:
        """Give the spare node of a core."""
        return len(self.network.nodes) + CORES.index(core)


@dataclass(frozen=True, eq=False)
class Suspicions:
    """Many suspicions, a row for each: edges' ends, ohms that go with length, ohms that go with its own size, cuts.

    ``spread`` is each suspicion's own belief in lengths. ``own_mean`` and ``own_sd`` are of the logarithm of its size;
    ``touched`` is the number of the one reading that a bad contact adds to, or -1.
    """

    a: Ints
    b: Ints
    ohm: Floats
    own_ohm: Floats
    cut: Bools
    spread: Floats
    own_mean: Floats
    own_sd: Floats
    touched: Ints

    def __len__(self) -> int:
        return len(self.own_mean)

    def take(self, rows: Ints) -> "Suspicions":
        """Give some of them."""
        return Suspicions(*(getattr(self, name)[rows] for name in _FIELDS))


_FIELDS: Final = ("a", "b", "ohm", "own_ohm", "cut", "spread", "own_mean", "own_sd", "touched")


@dataclass(frozen=True, eq=False)
class Setting:
    """One way in which conductors were linked, and between which nodes the meter was held: a column for each reading.

    ``group`` gives the node that each node is one with.
    """

    group: Ints
    i: Ints
    j: Ints
    cores: frozenset[int]


def setting_of(base: Base, linked: Linked, pairs: Sequence[tuple[int, int]]) -> Setting:
    """Give a linked network's joins, and the readings between some of its nodes."""
    group = np.arange(base.nodes)
    joined: set[int] = set()
    for edge in linked.network.edges:
        if edge.ohm == 0:
            a, b = group[edge.a], group[edge.b]
            group[group == max(a, b)] = min(a, b)
            if not edge.run and edge.core is None:
                joined |= {CORES.index(linked.network.nodes[end].core) for end in (edge.a, edge.b)}
    ends = np.array(pairs, dtype=np.intp).reshape(-1, 2)
    nodes = linked.network.nodes
    held = {CORES.index(nodes[end].core) for pair in pairs for end in pair}
    return Setting(group, ends[:, 0].copy(), ends[:, 1].copy(), frozenset(joined | held))


def base_of(network: Network, unknown_ohm_per_m: Mapping[Core, float], unknown_spread: float) -> Base:
    """Give a network as arrays; runs of unknown length get a usual one, and a wide spread.

    Parameters
    ----------
    unknown_ohm_per_m
        Ohms that a core of a run gets where the map can't say, by core; of a usual length already.
    unknown_spread
        The standard deviation of the logarithm of those.
    """
    runs = tuple(dict.fromkeys(edge.run for edge in network.edges if edge.run))
    row = {run: place for place, run in enumerate(runs)}
    spread = np.full(len(runs), 1e-6)
    count = len(network.edges) + EXTRA
    a, b, run, core = (np.zeros(count, dtype=np.intp) for _ in range(4))
    ohm = np.zeros(count)
    for place, edge in enumerate(network.edges):
        a[place], b[place] = edge.a, edge.b
        run[place] = row.get(edge.run, 0)
        core[place] = CORES.index(edge.core) if edge.core is not None else 0
        if edge.run:
            known = edge.is_known
            ohm[place] = edge.ohm if known else unknown_ohm_per_m[edge.core or "L"]
            spread[run[place]] = max(spread[run[place]], edge.spread if known else unknown_spread)
    for place, name in enumerate(CORES):
        core[count - EXTRA + place] = CORES.index(name)
    return Base(network, runs, a, b, ohm, run, core, spread)


def shared(base: Base, count: int) -> Suspicions:
    """Give so many suspicions that all are the map as it stands, to be altered row by row."""
    edges = len(base.ohm)
    cut = np.zeros((count, edges), dtype=bool)
    cut[:, edges - EXTRA :] = True
    return Suspicions(
        a=np.tile(base.a, (count, 1)),
        b=np.tile(base.b, (count, 1)),
        ohm=np.tile(base.ohm, (count, 1)),
        own_ohm=np.zeros((count, edges)),
        cut=cut,
        spread=np.tile(base.spread, (count, 1)),
        own_mean=np.zeros(count),
        own_sd=np.full(count, 1e-6),
        touched=np.full(count, -1, dtype=np.intp),
    )


def joined(parts: Sequence[Suspicions]) -> Suspicions:
    """Give several lots of suspicions as one."""
    return Suspicions(*(np.concatenate([getattr(part, name) for part in parts]) for name in _FIELDS))


@dataclass(frozen=True, eq=False)
class Answers:
    """What every suspicion (rows) makes every meter (columns) read: ohms, infinite where open; and its slopes.

    ``slopes`` has shape (suspicions, unknowns, readings): by the logarithm of each run's length, of copper as made, of
    the cpc against it, and of the suspicion's own size.
    """

    ohm: Floats
    slopes: Floats


def read(base: Base, suspicions: Suspicions, settings: Sequence[Setting], at: Floats) -> Answers:
    """Solve all suspicions at given values of their unknowns (rows × unknowns), setting by setting.

    G v = i at every node; ∂R/∂r = i² for every edge (from memory: Tellegen's theorem).
    """
    rows = np.arange(len(base.runs))
    scale = np.exp(
        at[:, base.run] + at[:, MADE, None] + np.where(base.core == CORES.index("E"), at[:, CPC_MADE, None], 0)
    )
    by_length = suspicions.ohm * scale
    own = suspicions.own_ohm * np.exp(at[:, OWN, None])
    ohm = by_length + own
    siemens = np.where(suspicions.cut | (ohm <= 0), 0.0, np.minimum(1 / np.maximum(ohm, 1e-300), _MOST_S))
    weights = np.concatenate(
        (
            (base.run[None, :] == rows[:, None])[None] * by_length[:, None, :],
            by_length[:, None, :],
            (by_length * (base.core == CORES.index("E")))[:, None, :],
            own[:, None, :],
        ),
        axis=1,
    )
    parts = [_solved(base, suspicions, setting, siemens, weights) for setting in settings]
    ohms = np.concatenate([part[0] for part in parts], axis=1)
    slopes = np.concatenate([part[1] for part in parts], axis=2)
    touching = np.flatnonzero(suspicions.touched >= 0)
    if len(touching):
        extra = np.exp(at[touching, OWN])
        ohms[touching, suspicions.touched[touching]] += extra
        slopes[touching, OWN, suspicions.touched[touching]] = extra
    return Answers(ohms, slopes)


def _solved(
    base: Base, suspicions: Suspicions, setting: Setting, siemens: Floats, weights: Floats
) -> tuple[Floats, Floats]:
    """Give ohms and slopes of one setting; nodes of cores that nothing there can reach are left out."""
    count = len(siemens)
    node_core = np.array([CORES.index(node.core) for node in base.network.nodes] + list(range(EXTRA)), dtype=np.intp)
    mixes = bool(np.any((node_core[suspicions.a] != node_core[suspicions.b]) & ~suspicions.cut))
    kept = np.ones(base.nodes, dtype=bool) if mixes else np.isin(node_core, list(setting.cores))
    kept &= setting.group == np.arange(base.nodes)
    number = np.full(base.nodes, -1, dtype=np.intp)
    size = int(kept.sum())
    number[kept] = np.arange(size)
    number = number[setting.group]
    a, b = number[suspicions.a], number[suspicions.b]
    useful = np.flatnonzero(np.any((a >= 0) & (b >= 0) & (siemens > 0), axis=0))
    a, b = a[:, useful], b[:, useful]
    used = np.where((a >= 0) & (b >= 0) & (a != b), siemens[:, useful], 0.0)
    a, b = np.maximum(a, 0), np.maximum(b, 0)
    matrix = _laplacian(a, b, used, size)
    i, j = number[setting.i], number[setting.j]
    columns = np.arange(len(i))
    amps = np.zeros((size, len(i)))
    np.add.at(amps, (i, columns), 1.0)
    np.add.at(amps, (j, columns), -1.0)
    amps = np.broadcast_to(amps, (count, *amps.shape))
    volts = np.asarray(np.linalg.solve(matrix, amps), dtype=np.float64)
    ohm = np.asarray(volts[:, i, columns] - volts[:, j, columns], dtype=np.float64)
    every = np.arange(count)[:, None]
    through = (volts[every, a] - volts[every, b]) * used[:, :, None]
    slopes: Floats = np.matmul(weights[:, :, useful], through**2)
    is_open = ohm > _OPEN_OHM
    shown: Floats = np.where(is_open, inf, np.maximum(ohm, 0.0))
    return shown, np.where(is_open[:, None, :], 0.0, slopes)


def _laplacian(a: Ints, b: Ints, siemens: Floats, size: int) -> Floats:
    count = len(siemens)
    first = np.arange(count)[:, None] * size * size
    places = np.concatenate(
        (first + a * size + a, first + b * size + b, first + a * size + b, first + b * size + a), axis=1
    )
    values = np.concatenate((siemens, siemens, -siemens, -siemens), axis=1)
    flat = np.bincount(places.ravel(), weights=values.ravel(), minlength=count * size * size).astype(np.float64)
    matrix: Floats = flat.reshape(count, size, size)
    matrix[:, np.arange(size), np.arange(size)] += _LEAK_S
    return matrix
