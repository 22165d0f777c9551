"""A circuit as a network of resistors: a node for every core at every place, an edge for every core of every run.

At the board every run ends at terminals of its own, as they are with the legs out. How a network comes from the map is
``drawn``, how it is linked for a test ``links``, what may be wrong with it ``faults``.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from circuitmap.errors import PersonError
from circuitmap.readings.solve import Changes, Solved, Sweep, Ties
from circuitmap.words import CORES, Core

Spot = tuple[str, str]


class ReadingError(PersonError):
    """Something asked of a reading or a circuit that can't be; said as one sentence."""

    def __init__(self, says: str) -> None:
        super().__init__(says)
        self.says = says

    def __str__(self) -> str:
        return self.says


class Node(NamedTuple):
    """One core at one place.

    ``side`` is "through", or "supply" or "load" at a unit with a fuse or switch inside; at a device it is the run whose
    end is there; at a place along a run (``place`` is the run) how far along, as a fraction from its end a.
    """

    place: str
    side: str
    core: Core


@dataclass(frozen=True, slots=True)
class Edge:
    """One core between two nodes (by number): its ohms, and its run; no run: a link, a leak, or inside a unit.

    ``part`` is the stretch of the run that it stands for, ``spread`` the relative standard deviation of the run's
    length. Where ``is_known`` is false the ohms only stand in: whatever hangs on this edge can't be told.
    """

    a: int
    b: int
    ohm: float
    run: str = ""
    core: Core | None = None
    part: tuple[float, float] = (0.0, 1.0)
    spread: float = 0.0
    is_known: bool = True


@dataclass(frozen=True, slots=True)
class Edit:
    """Edges taken out of a network (by number), edges put in, and nodes put in, numbered on from those it has."""

    less: tuple[int, ...] = ()
    more: tuple[Edge, ...] = ()
    nodes: tuple[Node, ...] = ()


@dataclass(frozen=True, eq=False)
class Network:
    """A circuit's nodes and edges.

    ``legs``: the runs at its device in the order of their legs; ``leg_at`` gives the device of every run that ends at
    one, this or another. ``why`` says of a run what isn't known of it.
    ``no_core``: cores that a run was made without. ``legs_to``: the legs from which drawn runs lead to every place,
    whatever is wrong with their cores. ``code`` is the way's name.
    """

    nodes: tuple[Node, ...]
    edges: tuple[Edge, ...]
    device: str = ""
    code: str = ""
    legs: tuple[str, ...] = ()
    leg_at: Mapping[str, str] = field(default_factory=dict)
    why: Mapping[str, str] = field(default_factory=dict)
    no_core: frozenset[tuple[str, Core]] = frozenset()
    legs_to: Mapping[str, frozenset[str]] = field(default_factory=dict)

    @cached_property
    def number(self) -> dict[Node, int]:
        """The number of every node."""
        return {node: place for place, node in enumerate(self.nodes)}

    @cached_property
    def ties(self) -> Ties:
        """The edges as the solver takes them."""
        count = len(self.edges)
        return Ties(
            len(self.nodes),
            np.fromiter((edge.a for edge in self.edges), np.intp, count),
            np.fromiter((edge.b for edge in self.edges), np.intp, count),
            np.fromiter((edge.ohm for edge in self.edges), np.float64, count),
        )

    @cached_property
    def solved(self) -> Solved:
        """The network factorised, once."""
        return Solved(self.ties)

    @cached_property
    def at(self) -> dict[tuple[str, Core], int]:
        """The node at which a meter touches a core of a place: a unit's supply side, the first leg at a device."""
        found: dict[tuple[str, Core], int] = {}
        for place, node in enumerate(self.nodes):
            if node.side != "load":
                found.setdefault((node.place, node.core), place)
        for leg in reversed(self.legs):
            for core in CORES:
                terminal = self.number.get(Node(self.device, leg, core))
                if terminal is not None:
                    found[self.device, core] = terminal
        return found

    @cached_property
    def by_core(self) -> dict[tuple[str, Core], tuple[int, ...]]:
        """The edges of every core of every run, in order along it."""
        found: dict[tuple[str, Core], list[int]] = {}
        for place, edge in enumerate(self.edges):
            if edge.run and edge.core is not None:
                found.setdefault((edge.run, edge.core), []).append(place)
        return {key: tuple(sorted(places, key=self._along)) for key, places in found.items()}

    def _along(self, edge: int) -> tuple[float, float]:
        return self.edges[edge].part

    def terminal(self, place: str, core: Core, side: str = "") -> int:
        """Give the number of a core's node at a place; a device's side is the run that ends there.

        Raises
        ------
        ReadingError
            When the place isn't on this circuit.
        """
        found = self.number.get(Node(place, side, core)) if side else self.at.get((place, core))
        if found is None:
            raise ReadingError(f"{place} isn't on {self.code or 'this circuit'}: no run drawn there ends at it.")
        return found

    def edited(self, edit: Edit) -> "Network":
        """Give the network after an edit; edges that stay keep their order, new ones follow."""
        gone = set(edit.less)
        stay = tuple(edge for place, edge in enumerate(self.edges) if place not in gone) if gone else self.edges
        return replace(self, nodes=self.nodes + edit.nodes, edges=stay + edit.more)

    def changes(self, edit: Edit) -> Changes:
        """Give an edit as the solver takes it."""
        count = len(edit.more)
        return Changes(
            len(self.nodes) + len(edit.nodes),
            np.array(edit.less, dtype=np.intp),
            np.fromiter((edge.a for edge in edit.more), np.intp, count),
            np.fromiter((edge.b for edge in edit.more), np.intp, count),
            np.fromiter((edge.ohm for edge in edit.more), np.float64, count),
        )

    def sweep(self, pairs: Sequence[tuple[int, int]]) -> Sweep:
        """Give the readings between pairs of nodes, all from one factorisation."""
        ends = np.array(pairs, dtype=np.intp).reshape(-1, 2)
        return Sweep(self.solved, ends[:, 0].copy(), ends[:, 1].copy())

    def resistance_ohm(self, a: int, b: int) -> float:
        """Give the ohms between two nodes, infinite where nothing joins them."""
        return float(self.sweep([(a, b)]).ohm[0])
