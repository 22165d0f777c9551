"""How conductors are linked at the board for a test, as joins of no resistance between the terminals there.

A ring has two legs: which of them is called the first doesn't matter, as long as both links take one end of each.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from circuitmap.circuits import CircuitView
from circuitmap.home.records import Link
from circuitmap.readings.network import Edge, Network, ReadingError
from circuitmap.words import Core, LinkKind

Pair = tuple[Core, Core]

_NUMBERS = ("no cable", "one cable", "two cables", "three cables", "four cables")


@dataclass(frozen=True, eq=False)
class Linked:
    """A network with the links of a test made.

    ``kind`` is None while the legs are open. ``at_board`` are the nodes of the reading taken at the board: between the
    two links when cross-linked, at the far leg when one leg is linked, along one core from leg to leg end to end.
    """

    network: Network
    kind: LinkKind | None
    cores: Pair
    legs: tuple[str, ...]
    at_board: tuple[int, int]


def linked(network: Network, kind: LinkKind | None, cores: Pair, legs: Sequence[str] = ()) -> Linked:
    """Link a network for a test.

    Parameters
    ----------
    kind
        None leaves the legs open. "end to end" links nothing either: the meter joins the two ends of the first core.
        "cross" joins the first core of leg 1 to the second core of leg 2 and the other way round, "same leg" (the
        usual mistake) the cores of each leg to each other, "one leg" those of leg 1 only; "radial" puts all legs
        together as they are in use, and joins the two cores.
    legs
        The runs at the board that count as leg 1 and leg 2; all of them in their order when none are given.

    Raises
    ------
    ReadingError
        When the circuit has not the legs that such a test takes.
    """
    legs = tuple(legs) or network.legs
    _check(network, kind, legs)
    first, second = cores

    def at(leg: str, core: Core) -> int:
        return network.terminal(network.leg_at[leg], core, leg)

    one, two = legs[0], legs[-1]
    board = (at(one, first), at(one, second))
    if kind == "end to end":
        joins, board = [], (at(one, first), at(two, first))
    elif kind == "cross":
        joins = [(at(one, first), at(two, second)), (at(two, first), at(one, second))]
    elif kind == "same leg":
        joins = [(at(one, first), at(one, second)), (at(two, first), at(two, second))]
    elif kind == "one leg":
        joins, board = [(at(one, first), at(one, second))], (at(two, first), at(two, second))
    elif kind == "radial":
        joins = [(at(one, core), at(leg, core)) for core in cores for leg in legs[1:]]
        joins.append((at(one, first), at(one, second)))
    else:
        joins = []
    links = tuple(Edge(a, b, 0.0) for a, b in joins if a != b)
    return Linked(replace(network, edges=network.edges + links), kind, cores, legs, board)


def linked_as(network: Network, link: Link | None, cores: Pair, legs: Sequence[str] = ()) -> Linked:
    """Link a network as a reading says it was linked; ``cores`` and ``legs`` stand where the record is silent.

    Raises
    ------
    ReadingError
        When the circuit has not the legs that such a test takes, or the record names more than two cores.
    """
    if link is None:
        return linked(network, None, cores, legs)
    if len(link.cores) > 2:
        raise ReadingError("A link joins two cores; to link three, record two readings.")
    if len(link.cores) == 1:
        cores = (link.cores[0], link.cores[0])
    elif link.cores:
        cores = (link.cores[0], link.cores[1])
    return linked(network, link.kind, cores, link.legs or legs)


def legs_of(view: CircuitView, network: Network) -> tuple[str, ...]:
    """Give the legs for the tests of a ring: where its loop leaves and comes back, else all runs at the device.

    A cable from the board that isn't part of the loop (a spur from the origin) is left out.
    """
    loop = view.shape.loop_runs if view.shape is not None else ()
    if len(loop) > 1 and loop[0] in network.leg_at and loop[-1] in network.leg_at:
        order = network.legs
        ends = (loop[0], loop[-1])
        return tuple(sorted(ends, key=order.index)) if set(ends) <= set(order) else ends
    return network.legs


def _check(network: Network, kind: LinkKind | None, legs: tuple[str, ...]) -> None:
    code = network.code or "This circuit"
    strange = next((leg for leg in legs if leg not in network.leg_at), None)
    if strange is not None:
        raise ReadingError(f"{strange} doesn't end at the board of {code}, so it can't be linked there.")
    if not legs:
        raise ReadingError(f"No run is drawn from {code}: what it should read can't be said.")
    count = len(legs)
    if kind in {"end to end", "cross", "same leg"} and count != 2:
        has = _NUMBERS[count] if count < len(_NUMBERS) else f"{count} cables"
        todo = "test it as a radial, or draw the other leg" if count < 2 else "say which two are the legs of the ring"
        raise ReadingError(f"{code} has {has} at the board on the map, and a ring's test takes two: {todo}.")
