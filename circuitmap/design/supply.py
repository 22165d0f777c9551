"""The most a home is reckoned to draw, with diversity, and what its supply is good for; before and after a change.

Diversity is guidance and no rule: every part shows its working, and the designer may set another figure for a way. A
supply fuse is only as sure as who said so: what stands on its carrier needn't be what is inside.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Literal

from msgspec import Struct, structs

from circuitmap.circuits import CircuitView, Member
from circuitmap.design.capacity import Verdict
from circuitmap.design.demand import SMALL, current_a, point_power_w
from circuitmap.home.records import Supply
from circuitmap.trade import Choices, Trade

Use = Literal[
    "lighting",
    "heating and power",
    "cooking",
    "motors",
    "instantaneous water heaters",
    "water heaters",
    "floor warming",
    "storage heating",
    "standard circuits",
    "in full",
]
_SOURCE = "The Electrician's Guide, 5th ed., Table 6.2 (= On-Site Guide Table A2); guidance, not regulation"
_WHOLLY = frozenset({"EV charging point", "heat pump", "hot tub"})
_ASKS = {
    "EV charging point": "vehicle charging",
    "heat pump": "a heat pump",
    "PV inverter": "photovoltaics",
    "battery": "a battery",
}


class Load(Struct, frozen=True, kw_only=True):
    """One load or circuit to be reckoned with: its use, its current in full, sockets of a control unit beside it.

    ``why`` says where its current comes from; ``is_assumed`` that not all of it is on record or customary.
    """

    name: str
    use: Use
    amps: float
    sockets: int = 0
    why: str = ""
    is_assumed: bool = False


class Part(Struct, frozen=True, kw_only=True):
    """All loads of one use: in full, with diversity, and by which rule."""

    use: Use
    loads: tuple[Load, ...]
    full_a: float
    with_diversity_a: float
    working: str


class HomeDemand(Struct, frozen=True, kw_only=True):
    """The demand of a home by uses, in amperes of one phase; ``unknown`` are ways of which nothing can be said.

    ``asks_distributor`` names what the distributor has to be asked or told about, whatever the figures.
    """

    parts: tuple[Part, ...]
    unknown: tuple[str, ...] = ()
    asks_distributor: tuple[str, ...] = ()

    @property
    def total_a(self) -> float:
        """Give the sum of all parts with diversity, in amperes."""
        return sum(part.with_diversity_a for part in self.parts)


class Changed(Struct, frozen=True, kw_only=True):
    """The demand before and after a change, and what the supply is good for."""

    before: HomeDemand
    after: HomeDemand
    verdict: Verdict

    @property
    def more_a(self) -> float:
        """Give by how many amperes the demand rises."""
        return self.after.total_a - self.before.total_a


def diversified_a(trade: Trade, use: Use, amps: Sequence[float], sockets: int = 0) -> float:
    """Give what loads of one use are reckoned with at once, in amperes.

    Either shares by size, the largest first and the last share for all the rest; or the first so many amperes of the
    sum in full and a share of the rest, with 5 A more where a cooker's control unit has a socket.

    **Source:** The Electrician's Guide, 5th ed., Table 6.2 (= On-Site Guide Table A2).

    Parameters
    ----------
    amps
        The loads in full, in any order.
    sockets
        How many control units have a socket.
    """
    row = trade.diversity_rows[use]
    if row.full_a:
        total = sum(amps)
        return min(total, row.full_a) + max(total - row.full_a, 0.0) * row.shares[0] + row.socket_a * sockets
    ordered = sorted(amps, reverse=True)
    shares = [*row.shares, *[row.shares[-1]] * len(ordered)]
    return sum(load * share for load, share in zip(ordered, shares, strict=False)) + row.socket_a * sockets


def reckoned(trade: Trade, loads: Iterable[Load], unknown: Iterable[str] = (), asks: Iterable[str] = ()) -> HomeDemand:
    """Give the demand of some loads, use by use in the order of the table."""
    held = tuple(loads)
    parts = []
    for use in trade.diversity_rows:
        mine = tuple(load for load in held if load.use == use)
        if mine:
            full = sum(load.amps for load in mine)
            sockets = sum(load.sockets for load in mine)
            after = diversified_a(trade, mine[0].use, [load.amps for load in mine], sockets)
            parts.append(Part(use=mine[0].use, loads=mine, full_a=full, with_diversity_a=after,
                              working=_working(trade, mine[0].use, full, after, sockets)))  # fmt: skip
    return HomeDemand(parts=tuple(parts), unknown=tuple(unknown), asks_distributor=tuple(dict.fromkeys(asks)))


def loads_of(
    trade: Trade, view: CircuitView, edition: str, choices: Choices = (), supply_v: float = 230.0
) -> tuple[Load, ...]:
    """Give what one way is reckoned with; nothing where not even its rating is known.

    Sockets count as a standard circuit at the rating of their device; a light with at least the watts of the table;
    what is fixed by its recorded or customary power, else by the rating. A way that only feeds boards counts in those.
    """
    found = _wanted(trade, view, edition, tuple(choices), supply_v)
    rating = view.device.rating_a
    total = sum(load.amps for load in found)
    if rating is None or total <= rating:
        return found
    # A way never draws more than its device lets through for long.
    share = rating / total
    return tuple(structs.replace(x, amps=x.amps * share, why=f"{x.why}; no more than its device") for x in found)


def judge_load(
    trade: Trade, view: CircuitView, edition: str, choices: Choices = (), supply_v: float = 230.0
) -> Verdict | None:
    """Say whether a way's device stands what its fixed loads draw together, with diversity: Ib ≤ In.

    None where there is nothing to ask: sockets may always be loaded up to their device, and a way without loads or
    rating has no answer.

    **Source:** BS 7671 433.1.1, from memory; diversity as tabled.
    """
    rating = view.device.rating_a
    loads = _wanted(trade, view, edition, tuple(choices), supply_v)
    if rating is None or not loads or any(load.use == "standard circuits" for load in loads):
        return None
    drawn = sum(diversified_a(trade, load.use, [load.amps], load.sockets) for load in loads)
    source = "BS 7671 433.1.1, from memory; " + _SOURCE
    says = f"{view.code} is reckoned to draw {drawn:.1f} A; its device is {rating:g} A."
    have = (rating, rating)
    if drawn <= rating * (1 + 1e-9):
        return Verdict(answer="yes", says=says, source=source, have_a=have, need_a=drawn)
    if any(load.is_assumed for load in loads):
        says += " Not all of its loads are on record."
        return Verdict(answer="can't judge", says=says, source=source, have_a=have, need_a=drawn)
    return Verdict(answer="no", says=says, source=source, have_a=have, need_a=drawn)


def _wanted(
    trade: Trade, view: CircuitView, edition: str, choices: tuple[tuple[str, str], ...], supply_v: float
) -> tuple[Load, ...]:
    rating = view.device.rating_a
    members = [m for m in view.members if trade.point(m.point.kind).counts_as_point]
    if view.boards_fed and not members:
        return ()
    by_use: dict[Use, list[Member]] = {}
    for member in members:
        by_use.setdefault(_use(trade, member), []).append(member)
    sockets = by_use.get("standard circuits", [])
    beside_cooker = 1 if "cooking" in by_use and len(sockets) == 1 else 0
    if beside_cooker:
        del by_use["standard circuits"]  # the socket of the cooker's control unit
    if "standard circuits" in by_use or not members:
        # What else hangs on a socket circuit is behind the same device, and within its rating.
        if rating is None or not members:
            return ()
        return (Load(name=view.code, use="standard circuits", amps=rating, why="rating of its device"),)
    found = []
    for use, here in by_use.items():
        load = _load(trade, view, use, here, edition, choices, supply_v)
        if load is not None:
            found.append(structs.replace(load, sockets=beside_cooker) if use == "cooking" else load)
    return tuple(found)


def demand_of(
    trade: Trade,
    views: Iterable[CircuitView],
    edition: str,
    choices: Choices = (),
    *,
    supply_v: float = 230.0,
    said_a: Mapping[str, float] | None = None,
) -> HomeDemand:
    """Give the demand of a home from its circuits.

    Parameters
    ----------
    said_a
        The designer's own figure, in amperes, for ways by the id of their device; taken in full.
    """
    own = said_a or {}
    loads: list[Load] = []
    unknown: list[str] = []
    asks: list[str] = []
    for view in views:
        asks += [_ASKS[m.point.kind] for m in view.members if m.point.kind in _ASKS]
        if view.device.id in own:
            loads.append(Load(name=view.code, use="in full", amps=own[view.device.id], why="the designer's figure"))
            continue
        mine = loads_of(trade, view, edition, choices, supply_v)
        loads += mine
        counted = any(trade.point(m.point.kind).counts_as_point and not _gives(m) for m in view.members)
        if not mine and counted:
            unknown.append(view.code)
    return reckoned(trade, loads, unknown, asks)


def judge_supply(demand: HomeDemand, supply: Supply | None) -> Verdict:
    """Hold a home's demand against its supply fuse, as recorded and by whom, and its main switch.

    **Source:** diversity as tabled; that a label on the carrier needn't be the fuse inside is common practice.
    """
    drawn = demand.total_a
    need = f"The home is reckoned to draw {drawn:.0f} A with diversity"
    if supply is not None and supply.phases is not None and supply.phases > 1:
        says = f"{need}; it has {supply.phases} phases, and how its ways lie on them isn't on the map."
        return Verdict(answer="can't judge", says=says, source=_SOURCE, need_a=drawn)
    ratings = [] if supply is None else [a for a in (supply.fuse_a, supply.main_switch_a) if a is not None]
    least = min(ratings, default=None)
    if least is not None and drawn > least:
        what = "supply fuse" if supply is not None and supply.fuse_a == least else "main switch"
        says = f"{need}, more than the {least:g} A of its {what}: ask the distributor, or shed load."
        return Verdict(answer="no", says=says, source=_SOURCE, have_a=(least, least), need_a=drawn)
    if supply is None or supply.fuse_a is None:
        says = f"{need}; the rating of the supply fuse isn't recorded. Ask the distributor."
        return Verdict(answer="can't judge", says=says, source=_SOURCE, need_a=drawn)
    have = (supply.fuse_a, supply.fuse_a)
    if demand.unknown:
        ways = ", ".join(demand.unknown)
        says = f"{need} without {ways}, of which nothing is known; the supply fuse is {supply.fuse_a:g} A."
        return Verdict(answer="can't judge", says=says, source=_SOURCE, have_a=have, need_a=drawn)
    said = "by whom isn't recorded"
    if "distributor" in supply.fuse_from:
        said = "by the distributor"
    elif supply.fuse_from:
        said = "as labelled; what is inside the carrier may be another"
    says = f"{need}; the supply fuse is {supply.fuse_a:g} A ({said})."
    if demand.asks_distributor:
        says += f" The distributor must be asked or told about {', '.join(demand.asks_distributor)}."
    return Verdict(answer="yes", says=says, source=_SOURCE, have_a=have, need_a=drawn)


def compare(before: HomeDemand, after: HomeDemand, supply: Supply | None) -> Changed:
    """Give the demand before and after a change, judged as it is after.

    A home that was over its fuse already and draws no more afterwards isn't failed for the change: the verdict says so.
    """
    verdict = judge_supply(after, supply)
    if verdict.answer == "no" and judge_supply(before, supply).answer == "no":
        is_no_more = after.total_a <= before.total_a + 1e-9
        less = " and draws no more with the change" if is_no_more else ""
        says = f"{verdict.says} It was over that before{less}."
        verdict = structs.replace(verdict, says=says, answer="can't judge" if is_no_more else "no")
    return Changed(before=before, after=after, verdict=verdict)


def _use(trade: Trade, member: Member) -> Use:
    kind, row = member.point.kind, trade.point(member.point.kind)
    if kind in _WHOLLY or kind == "outbuilding feed":
        return "in full"
    if row.is_socket_outlet:
        return "standard circuits"
    if row.is_light:
        return "lighting"
    if row.cooking:
        return "cooking"
    if kind == "shower":
        return "instantaneous water heaters"
    if kind == "immersion heater":
        return "water heaters"
    if kind == "underfloor heating":
        return "floor warming"
    if kind == "storage heater":
        return "storage heating"
    if kind in ("stairlift", "sump pump", "gate"):
        return "motors"
    return "heating and power"


def _load(
    trade: Trade,
    view: CircuitView,
    use: Use,
    members: Sequence[Member],
    edition: str,
    choices: Choices,
    supply_v: float,
) -> Load | None:
    if all(_gives(member) for member in members):
        return None
    lamp_w = trade.limit("lamp W", edition, choices).value
    small_w = trade.limit("small load W", edition, choices).value
    watts, is_known, is_assumed = 0.0, True, False
    for member in (m for m in members if not _gives(m)):
        point = member.point
        powers = point_power_w(trade, point.kind, [load.power_w for load in point.loads])
        known = [power for power in powers if power is not None]
        if use == "lighting":
            watts += max(sum(known), lamp_w * point.gangs)
            is_assumed = is_assumed or sum(known) < lamp_w * point.gangs
        elif point.kind in SMALL and not known:
            watts += small_w
            is_assumed = True
        else:
            watts += sum(known)
            is_known = is_known and bool(known) and len(known) == len(powers)
    rating = view.device.rating_a
    if use != "lighting" and not is_known:
        if rating is None:
            return None
        amps, why, is_assumed = rating, "rating of its device; its loads aren't all recorded", True
    else:
        amps, why = current_a(watts, supply_v), "loads recorded or customary"
    return Load(name=view.code, use=use, amps=amps, why=why, is_assumed=is_assumed)


def _gives(member: Member) -> bool:
    """Whether a point feeds the home rather than drawing from it."""
    return member.point.kind in ("PV inverter", "battery")


def _working(trade: Trade, use: Use, full_a: float, after_a: float, sockets: int) -> str:
    row = trade.diversity_rows[use]
    if row.full_a:
        extra = f" + {row.socket_a:g} A for a socket" if sockets and row.socket_a else ""
        how = f"{row.full_a:g} A in full, {row.shares[0]:.0%} of the rest{extra}"
    elif row.shares == (1.0,):
        how = "in full"
    else:
        how = ", ".join(f"{share:.0%}" for share in row.shares)
        how += " by size" if len(row.shares) > 1 else ""
    return f"{full_a:.1f} A {row.title}: {how} = {after_a:.1f} A"
