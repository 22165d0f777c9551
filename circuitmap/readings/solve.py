"""Resistances between nodes of a network of resistors, by one sparse factorisation; small edits without another.

Nodes and edges are numbers here; what they stand for is the network's business. An edge of no resistance makes its two
ends one node, exactly. What isn't joined has an infinite resistance between it.
"""

from copy import copy
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from scipy.sparse.linalg import SuperLU

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

# Where taking edges away (nearly) parts the network, an update would lose more digits than this leaves.
LEAST_LEFT: Final = 1e-5
# Beyond so many changed edges a new factorisation is no dearer.
MOST_CHANGES: Final = 12


@dataclass(frozen=True, eq=False)
class Ties:
    """A network's edges as arrays: the numbers of their ends and their ohms (0 joins, infinite parts)."""

    nodes: int
    a: Ints
    b: Ints
    ohm: Floats


@dataclass(frozen=True, eq=False)
class Changes:
    """Edges that are no longer there (by number) and edges that are there instead; how many nodes there are then."""

    nodes: int
    less: Ints
    a: Ints
    b: Ints
    ohm: Floats


class Solved:
    """A network factorised: G v = i with one node of every joined part held at zero.

    G is the weighted Laplacian of the conductances. **Source:** Kirchhoff's laws; as resistance distance, D. J. Klein
    and M. Randić, 1993 (from memory).
    """

    def __init__(self, ties: Ties) -> None:
        from scipy.sparse import coo_array
        from scipy.sparse.csgraph import connected_components
        from scipy.sparse.linalg import splu

        self.ties = ties
        self.group = _merged(ties)  # the node that each node is one with
        a, b = self.group[ties.a], self.group[ties.b]
        counts = (ties.ohm > 0) & np.isfinite(ties.ohm) & (a != b)
        a, b, siemens = a[counts], b[counts], 1 / ties.ohm[counts]
        n = ties.nodes
        joined = coo_array((siemens, (a, b)), shape=(n, n))
        _, self.part = connected_components(joined, directed=False)
        # A held node's equation says that it is at zero, so that nodes keep their numbers.
        self._free = np.ones(n, dtype=bool)
        self._free[np.unique(self.part, return_index=True)[1]] = False
        both = self._free[a] & self._free[b]
        shared = -siemens[both]
        diagonal = np.where(self._free, np.bincount(a, siemens, n) + np.bincount(b, siemens, n), 1.0)
        every = np.arange(n)
        rows, columns = np.concatenate((a[both], b[both], every)), np.concatenate((b[both], a[both], every))
        laplacian = coo_array((np.concatenate((shared, shared, diagonal)), (rows, columns)), shape=(n, n))
        self._lu: SuperLU = splu(
            laplacian.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
        )
        self._twins = np.flatnonzero(self.group != every)

    def is_joined(self, a: Ints, b: Ints) -> NDArray[np.bool_]:
        """Say pair by pair whether current can flow."""
        joined: NDArray[np.bool_] = self.part[self.group[a]] == self.part[self.group[b]]
        return joined

    def potentials(self, a: Ints, b: Ints) -> Floats:
        """Give the volts at all nodes (rows) while 1 A goes in at a and out at b, a column for each pair.

        A pair that isn't joined gives zeros. Volts are against a node of the same joined part.
        """
        joined = self.is_joined(a, b)
        amps = np.zeros((self.ties.nodes, len(a)), order="F")
        for ends, sign in ((self.group[a], 1.0), (self.group[b], -1.0)):
            mine = np.flatnonzero(joined & self._free[ends])
            amps[ends[mine], mine] += sign
        volts: Floats = self._lu.solve(amps) if len(a) else amps
        volts[self._twins] = volts[self.group[self._twins]]
        return volts


class Sweep:
    """The readings between many pairs of nodes, and what they were read on: kept, a small edit costs next to nothing.

    ``volts`` are those of ``potentials``, a column for each pair; ``ohm`` what a meter between the pair reads.
    """

    def __init__(self, solved: Solved, a: Ints, b: Ints) -> None:
        self.solved, self.ties, self.a, self.b = solved, solved.ties, a, b
        self.volts = solved.potentials(a, b)
        at = np.arange(len(a))
        self.ohm: Floats = self.volts[a, at] - self.volts[b, at]
        self.ohm[~solved.is_joined(a, b)] = np.inf

    def watts(self) -> Floats:
        """Give what every edge (rows) takes of the power while 1 A flows between each pair: they add up to its ohms.

        It is also how much of a reading hangs on that edge: ∂R/∂r · r = i² r (from memory: Tellegen's theorem).
        """
        across = self.volts[self.ties.a] - self.volts[self.ties.b]
        siemens = np.divide(1.0, self.ties.ohm, out=np.zeros_like(self.ties.ohm), where=self.ties.ohm > 0)
        found: Floats = across * across * siemens[:, None]
        return found

    def after(self, changes: Changes) -> "Sweep":
        """Give the same readings after an edit, without another factorisation where that can be."""
        update = self._update(changes)
        ties = changed(self.ties, changes)
        if update is None:
            return Sweep(Solved(ties), self.a, self.b)
        columns, across, through = update
        sweep = copy(self)
        sweep.ties = ties
        sweep.volts = self.volts - columns @ through
        sweep.ohm = self.ohm - np.einsum("kp,kp->p", across, through)
        return sweep

    def ohm_after(self, changes: Changes) -> Floats:
        """Give the ohms of all pairs after an edit.

        Woodbury: R′ = R − yᵀ (D + AᵀG⁻¹A)⁻¹ y, y = Aᵀ·volts of the pair, A the changed edges, D their ohms: −r for an
        edge of r taken away, r for one added, 1/(1/r′ − 1/r) for one changed. With one edge it is Sherman–Morrison.

        **Source:** M. A. Woodbury, 1950; J. Sherman and W. J. Morrison, 1950 (from memory).
        """
        update = self._update(changes)
        if update is None:
            return Sweep(Solved(changed(self.ties, changes)), self.a, self.b).ohm
        _, across, through = update
        after: Floats = self.ohm - np.einsum("kp,kp->p", across, through)
        return after

    def _update(self, changes: Changes) -> tuple[Floats, Floats, Floats] | None:
        if self.ties is not self.solved.ties:
            return None  # what was factorised is no longer what these readings stand for
        differing = _differences(self.solved, changes)
        if differing is None:
            return None
        a, b, ohm = differing
        if not np.all(self.solved.is_joined(a, b)):
            return None
        columns = self.solved.potentials(a, b)
        own = columns[a] - columns[b]
        middle = own + np.diag(ohm)
        size = np.sqrt(np.abs(ohm) + np.diagonal(own))
        if len(ohm) and np.linalg.svd(middle / np.outer(size, size), compute_uv=False)[-1] < LEAST_LEFT:
            return None
        across = self.volts[a] - self.volts[b]
        through = np.asarray(np.linalg.solve(middle, across), dtype=np.float64)
        return columns, across, through


def changed(ties: Ties, changes: Changes) -> Ties:
    """Give the edges after an edit: those that stay, in their order, then the new ones."""
    stays = np.ones(len(ties.ohm), dtype=bool)
    stays[changes.less] = False
    return Ties(
        max(ties.nodes, changes.nodes),
        np.concatenate((ties.a[stays], changes.a)),
        np.concatenate((ties.b[stays], changes.b)),
        np.concatenate((ties.ohm[stays], changes.ohm)),
    )


def _merged(ties: Ties) -> Ints:
    group = np.arange(ties.nodes)
    for edge in np.flatnonzero(ties.ohm == 0):
        a, b = group[ties.a[edge]], group[ties.b[edge]]
        if a != b:
            group[group == max(a, b)] = min(a, b)
    return group


def _differences(solved: Solved, changes: Changes) -> tuple[Ints, Ints, Floats] | None:
    """Give the edges that differ, each once, with the ohms that make the difference; None for no mere update."""
    ties = solved.ties
    if changes.nodes > ties.nodes or len(changes.less) + len(changes.ohm) > MOST_CHANGES:
        return None
    siemens: dict[tuple[int, int], float] = {}
    shorted: set[tuple[int, int]] = set()
    gone = [(int(ties.a[i]), int(ties.b[i]), float(ties.ohm[i]), -1.0) for i in changes.less]
    new = zip(changes.a.tolist(), changes.b.tolist(), changes.ohm.tolist(), [1.0] * len(changes.ohm), strict=True)
    for a, b, ohm, sign in (*gone, *new):
        i, j = sorted((int(solved.group[a]), int(solved.group[b])))
        if ohm == 0:
            if sign < 0:
                return None
            shorted.add((i, j))
        elif i != j:
            siemens[i, j] = siemens.get((i, j), 0.0) + sign / ohm
    differing = {pair: 0.0 for pair in shorted if pair[0] != pair[1]}
    differing |= {pair: 1 / g for pair, g in siemens.items() if g and pair not in shorted}
    return (
        np.array([i for i, _ in differing], dtype=np.intp),
        np.array([j for _, j in differing], dtype=np.intp),
        np.array(list(differing.values()), dtype=np.float64),
    )
