"""What a circuit on the map is to be loaded with when its currents and losses are reckoned, by its use.

A ring takes the On-Site Guide's load (20 A at the furthest point, the rest evenly); so does a radial of sockets above
20 A, a smaller one all of its rating at the end. Lights take their lamps, fixed loads what is recorded or customary,
second boards what they are reckoned to draw; nothing takes more than its fuse and a way no more than its device.
"""

from collections.abc import Collection, Mapping, Sequence

from msgspec import Struct

from circuitmap.circuits import CircuitView, Member
from circuitmap.design.demand import SMALL, current_a, point_power_w
from circuitmap.design.ring_currents import furthest, spread_load
from circuitmap.readings.network import Network
from circuitmap.trade import Choices, Trade

_SPREAD_SOURCE = "On-Site Guide 7.2.2, as quoted: 20 A at the furthest point, the rest evenly"
_FAR_SOURCE = "all of the device's rating at the furthest point: common practice, no source"
_OWN_SOURCE = "loads as recorded or customary"


class Loading(Struct, frozen=True, kw_only=True):
    """Amperes at places, which of them are lights, and whose model that is."""

    loads_a: dict[str, float]
    lights: frozenset[str]
    source: str


def design_loads(
    view: CircuitView,
    network: Network,
    trade: Trade,
    edition: str,
    choices: Choices = (),
    boards_a: Mapping[str, float] | None = None,
    supply_v: float = 230.0,
    far_among: Collection[str] | None = None,
) -> Loading | None:
    """Give the load a circuit is designed for, or None where nothing says what that is.

    Parameters
    ----------
    network
        The circuit's; points that no run leads to take nothing.
    boards_a
        What the boards that it feeds are reckoned to draw, by their id.
    far_among
        The points of which one may be the furthest: those in a ring itself where its legs are asked; None for all.
    """
    chosen = tuple(choices)
    rating = view.device.rating_a
    members = _reached(view, network, trade)
    lights = frozenset(m.point.id for m in members if trade.point(m.point.kind).is_light)
    sockets = [m.point.id for m in members if trade.point(m.point.kind).is_socket_outlet and m.after_fuse is None]
    boards = [board.id for board in view.boards_fed if network.legs_to.get(board.id)]
    if sockets and rating is not None:
        taking = [m.point.id for m in members if m.after_fuse is None]
        end_a = trade.limit("socket circuit end load A", edition, chosen).value
        if rating <= end_a:
            return Loading(loads_a={furthest(network, taking): rating}, lights=lights, source=_FAR_SOURCE)
        ends = [place for place in taking if far_among is None or place in far_among]
        loads_a = spread_load(network, taking, rating, end_a, ends or taking)
        return Loading(loads_a=loads_a, lights=lights, source=_SPREAD_SOURCE)
    loads = _own(members, trade, edition, chosen, supply_v)
    known = {place: load for place, load in loads.items() if load is not None}
    known |= {board: (boards_a or {}).get(board, rating or 0.0) for board in boards}
    unknown = [place for place, load in loads.items() if load is None]
    if unknown:
        if rating is None:
            return None
        left = max(rating - sum(known.values()), 0.0) / len(unknown)
        known |= dict.fromkeys(unknown, left)
    if not any(known.values()):
        return None
    return Loading(loads_a=_capped(known, rating), lights=lights, source=_OWN_SOURCE)


def recorded_loads(
    view: CircuitView, network: Network, trade: Trade, supply_v: float = 230.0, *, only_fixed: bool = False
) -> Loading | None:
    """Give what is recorded of the loads on a circuit, all of it on at once; None where nothing is.

    Parameters
    ----------
    only_fixed
        Whether what is plugged in is left out.
    """
    members = _reached(view, network, trade)
    asked = [m for m in members if not (only_fixed and trade.point(m.point.kind).is_socket_outlet)]
    loads = {
        m.point.id: current_a(sum(load.power_w or 0.0 for load in m.point.loads), supply_v)
        for m in asked
        if any(load.power_w for load in m.point.loads)
    }
    lights = frozenset(m.point.id for m in asked if trade.point(m.point.kind).is_light)
    if not loads:
        return None
    fused = _behind_fuses(members, loads)
    source = "fixed loads recorded, at once" if only_fixed else "all loads recorded, at once"
    return Loading(loads_a=_capped(fused, view.device.rating_a), lights=lights, source=source)


def _own(
    members: Sequence[Member], trade: Trade, edition: str, choices: Choices, supply_v: float
) -> dict[str, float | None]:
    lamp_w = trade.limit("lamp W", edition, choices).value
    small_w = trade.limit("small load W", edition, choices).value
    found: dict[str, float | None] = {}
    for member in members:
        point = member.point
        powers = point_power_w(trade, point.kind, [load.power_w for load in point.loads])
        known = [power for power in powers if power is not None]
        if known:
            found[point.id] = current_a(sum(known), supply_v)
        elif trade.point(point.kind).is_light:
            found[point.id] = current_a(lamp_w, supply_v)
        elif point.kind in SMALL:
            found[point.id] = current_a(small_w, supply_v)
        elif trade.point(point.kind).through_fuse and point.fuse_a is not None:
            found[point.id] = point.fuse_a
        else:
            found[point.id] = None
    known_a = {place: load for place, load in found.items() if load is not None}
    return {**found, **_behind_fuses(members, known_a)}


def _behind_fuses(members: Sequence[Member], loads: Mapping[str, float]) -> dict[str, float]:
    """Give the loads with all that hangs on one fuse drawing no more than that."""
    found = dict(loads)
    fuses = {m.after_fuse.id: m.after_fuse.fuse_a or 13.0 for m in members if m.after_fuse is not None}
    for fuse, fuse_a in fuses.items():
        behind = [m.point.id for m in members if m.after_fuse is not None and m.after_fuse.id == fuse]
        held = [place for place in (fuse, *behind) if place in found]
        total = sum(found[place] for place in held)
        if total > fuse_a:
            found |= {place: found[place] * fuse_a / total for place in held}
    return found


def _capped(loads: Mapping[str, float], most_a: float | None) -> dict[str, float]:
    total = sum(loads.values())
    share = 1.0 if most_a is None or total <= most_a else most_a / total
    return {place: load * share for place, load in loads.items()}


def _reached(view: CircuitView, network: Network, trade: Trade) -> list[Member]:
    """Give the points that draw something and that runs lead to from the board, by line and neutral."""
    return [
        member
        for member in view.members
        if trade.point(member.point.kind).counts_as_point
        and not trade.point(member.point.kind).can_feed_back
        and network.legs_to.get(member.point.id)
    ]
