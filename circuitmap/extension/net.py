"""A network of stretches with costs, as arrays: cheapest paths through it, and others that differ.

It knows nothing of walls: a node is any key, an edge a stretch between two with its length and what it takes.
"""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Final, NamedTuple

from circuitmap.extension.costs import Costs, Item

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from scipy.sparse import csr_array

Key = tuple[str, float, float, int]

# So much is added to each stretch, in pence: of two equal paths the one with fewer stretches is taken, and no stretch
# is for nothing (the search takes a zero for a missing edge).
STRETCH_PENCE: Final = 0.01
# Another path is looked for with the stretches of those found made dearer by this much.
_DEARER: Final = 1.7
# A path is another one when no more than this share of its length is on one that was found before.
_SAME_SHARE: Final = 0.75
_TREES: Final = 64  # searches of a network that are kept
_TRIES: Final = 4


class Edge(NamedTuple):
    """A stretch between two nodes, the same both ways; ``where`` says in plain words where it is."""

    a: Key
    b: Key
    mm: float
    items: tuple[Item, ...]
    where: str = ""


@dataclass(frozen=True)
class Net:
    """Edges as arrays, by the numbers of their nodes; ``piece`` are the numbers of what their nodes belong to."""

    keys: tuple[Key, ...]
    number: dict[Key, int]
    edges: tuple[Edge, ...]
    a: "NDArray[np.int64]"
    b: "NDArray[np.int64]"
    cost: "NDArray[np.float64]"
    mm: "NDArray[np.float64]"

    @cached_property
    def laid(self) -> "tuple[csr_array, NDArray[np.int64], NDArray[np.int64]]":
        """The network at its own costs as a sparse array; made once for all searches."""
        return _matrix(self, self.cost)

    @cached_property
    def trees(self) -> "dict[int, tuple[NDArray[np.float64], NDArray[np.int32]]]":
        """What was searched from some nodes already, at the network's own costs."""
        return {}


def net_of(edges: Iterable[Edge], costs: Costs, below: Net | None = None, gone: Iterable[str] = ()) -> Net:
    """Lay edges out as a network.

    Parameters
    ----------
    edges
        The edges, each once.
    costs
        What they are weighed by.
    below, gone
        A network that these come on top of, and the pieces of it that they replace.
    """
    import numpy as np

    listed = tuple(edges)
    keys: list[Key] = list(below.keys) if below is not None else []
    number = dict(below.number) if below is not None else {}
    ends = []
    for edge in listed:
        for key in (edge.a, edge.b):
            if key not in number:
                number[key] = len(keys)
                keys.append(key)
        ends.append((number[edge.a], number[edge.b]))
    found = np.array(ends, dtype=np.int64).reshape(-1, 2)
    cost = np.array([costs.worth(edge.items, edge.mm) + STRETCH_PENCE for edge in listed], dtype=float)
    mm = np.array([edge.mm for edge in listed], dtype=float)
    if below is None:
        return Net(tuple(keys), number, listed, found[:, 0], found[:, 1], cost, mm)
    left = set(gone)
    stays = np.array([key[0] not in left for key in below.keys], dtype=bool)
    kept = stays[below.a] & stays[below.b]
    return Net(
        tuple(keys),
        number,
        (*(below.edges[n] for n in np.flatnonzero(kept).tolist()), *listed),
        np.concatenate([below.a[kept], found[:, 0]]),
        np.concatenate([below.b[kept], found[:, 1]]),
        np.concatenate([below.cost[kept], cost]),
        np.concatenate([below.mm[kept], mm]),
    )


def cheapest(net: Net, start: Key, end: Key, alternatives: int = 1) -> list[tuple[Edge, ...]]:
    """Give the cheapest path between two nodes, then others that really differ, the cheaper first.

    The first is the cheapest there is (Dijkstra's search). The others are the cheapest when what was found before is
    made dearer; they may not be the next best.

    Parameters
    ----------
    net
        The network.
    start, end
        Two of its nodes.
    alternatives
        How many paths are wanted at most.

    Returns
    -------
    list
        Paths as their edges in order, each edge turned the way it is gone; none when the nodes don't hang together.
    """
    if start not in net.number or end not in net.number:
        return []
    if start == end:
        return [()]
    first = _search(net, net.cost, start, end)
    if first is None:
        return []
    found = [first]
    dear, last = net.cost.copy(), first
    for _ in range(_TRIES * (alternatives - 1)):
        if len(found) >= alternatives:
            break
        dear[last] *= _DEARER
        other = _search(net, dear, start, end)
        if other is None:
            break
        last = other
        if all(_shared(net, other, each) <= _SAME_SHARE for each in found):
            found.append(other)
    rest = sorted(found[1:], key=lambda path: float(net.cost[path].sum()))
    return [_turned(net, path, start) for path in (first, *rest)]


def distances(net: Net, keys: Sequence[Key], only: Sequence[int] | None = None) -> "NDArray[np.float64]":
    """Give what the cheapest path between each two of some nodes costs, in pence; infinite where there is none.

    Parameters
    ----------
    only
        The places of those nodes from and to which costs are wanted; infinite between two others. All when None.
    """
    import numpy as np
    from scipy.sparse.csgraph import dijkstra

    matrix, _, _ = net.laid
    found = np.full((len(keys), len(keys)), np.inf)
    known = [n for n, key in enumerate(keys) if key in net.number]
    asked = known if only is None else [n for n in known if n in set(only)]
    if asked:
        numbers = [net.number[keys[n]] for n in known]
        starts = [net.number[keys[n]] for n in asked]
        found[np.ix_(asked, known)] = dijkstra(matrix, directed=False, indices=starts)[:, numbers]
    np.fill_diagonal(found, 0.0)
    # Sums taken from either end may differ in their last digit.
    both: NDArray[np.float64] = np.minimum(found, found.T)
    return both


def _matrix(net: Net, cost: "NDArray[np.float64]") -> "tuple[csr_array, NDArray[np.int64], NDArray[np.int64]]":
    """Give a network as a sparse array, with its edges' numbers and what they join, as one number, in order."""
    import numpy as np
    from scipy.sparse import csr_array

    count = len(net.keys)
    low, high = np.minimum(net.a, net.b), np.maximum(net.a, net.b)
    order = np.lexsort((cost, high, low))
    # Of several edges between two nodes the cheapest; the array would add them up.
    pair = low[order] * count + high[order]
    first = np.r_[True, pair[1:] != pair[:-1]] if len(order) else np.zeros(0, dtype=bool)
    kept = order[first]
    return csr_array((cost[kept], (low[kept], high[kept])), shape=(count, count)), kept, pair[first]


def _search(net: Net, cost: "NDArray[np.float64]", start: Key, end: Key) -> list[int] | None:
    import numpy as np
    from scipy.sparse.csgraph import dijkstra

    is_own = cost is net.cost
    matrix, kept, pairs = net.laid if is_own else _matrix(net, cost)
    goal, count = net.number[end], len(net.keys)
    tree = net.trees.get(net.number[start]) if is_own else None
    if tree is None:
        tree = dijkstra(matrix, directed=False, indices=net.number[start], return_predecessors=True)
        if is_own:
            if len(net.trees) >= _TREES:
                net.trees.clear()
            net.trees[net.number[start]] = tree
    distance, before = tree
    if not np.isfinite(distance[goal]):
        return None
    steps: list[int] = []
    here = goal
    while here != net.number[start]:
        last = int(before[here])
        steps.append(min(last, here) * count + max(last, here))
        here = last
    return [int(n) for n in kept[np.searchsorted(pairs, steps[::-1])]]


def _shared(net: Net, one: Sequence[int], other: Sequence[int]) -> float:
    length = float(net.mm[list(one)].sum())
    both = list(set(one) & set(other))
    return float(net.mm[both].sum()) / length if length > 0 else 1.0


def _turned(net: Net, path: Iterable[int], start: Hashable) -> tuple[Edge, ...]:
    found = []
    here = start
    for n in path:
        edge = net.edges[n]
        turned = edge if edge.a == here else edge._replace(a=edge.b, b=edge.a)
        found.append(turned)
        here = turned.b
    return tuple(found)
