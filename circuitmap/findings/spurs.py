"""Rules of spurs: what an unfused one may feed, how many there may be, their cable, fuses, and outbuildings on them."""

from collections.abc import Callable, Iterable, Iterator

from circuitmap.circuits import CircuitView
from circuitmap.design import Demand, add_up, judge_fuse, point_power_w
from circuitmap.design.spurs import count
from circuitmap.findings.finding import Finding
from circuitmap.findings.rule import CP, CircuitCase, Rule, found
from circuitmap.findings.say import agrees, capital, listed, member_of, say_member, say_point
from circuitmap.findings.size import best_iz_a, size_mm2, thinnest_mm2
from circuitmap.home.records import Point, Run
from circuitmap.trade import Trade
from circuitmap.wiring import Spur
from circuitmap.words import Severity, weakest

_OSG = "On-Site Guide 7.2.2 as quoted"
_EIW = "Electrical Installation Work, 5th ed."
_SMALL_FUSE_A = 3.0  # fuses for connection units are sold as 3, 5 and 13 A (common practice, no source)
_LAMP_W = 100.0  # the most that a lampholder is taken for (common practice, no source)


def _overfed(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view, shape = case.view, case.view.shape
    for spur in shape.spurs if shape else ():
        outlets = _outlets(view, spur, trade)
        # What is out there is judged with its outbuilding: one cable, one finding.
        if not _feeds_too_much(outlets) or _out_there(view, spur, trade):
            continue
        chain = spur.deep
        rule = "spur-off-spur" if chain else "spur-overfed"
        names = [say_member(view, point.id) for point in outlets]
        how = "one behind the other" if chain and not spur.branched else "on one unfused spur"
        says = f"{capital(listed(names))} {agrees(names, 'hangs', 'hang')} {how} from {_taken_off(view, spur)}; an unfused spur may feed one outlet."
        code, why = _judge_load(view, spur, outlets, case.details.edition, trade)
        settle = "Take the spur into the ring, or put a fused connection unit (13 A) where it leaves."
        subjects = (spur.leaves, *(point.id for point in outlets))
        yield found(rule, code, subjects, says, why, settle, spur.evidence)


def _feeds_too_much(outlets: list[Point]) -> bool:
    return len(outlets) > 1 or any(point.gangs > 2 for point in outlets)


def _judge_load(
    view: CircuitView, spur: Spur, outlets: list[Point], edition: str, trade: Trade
) -> tuple[Severity, str]:
    """Hold what the outlets of an unfused spur may draw against its cable, as far as that is recorded."""
    most_a = sum(_draw_a(point, trade, edition) for point in outlets)
    runs = [run for run in view.runs if run.id in spur.unfused_runs]
    capacities = [best_iz_a([run], trade) for run in runs]
    iz = min((each for each in capacities if each is not None), default=None)
    if iz is not None and most_a > iz:
        return "C2", (
            f"Together they may draw about {most_a:g} A and its cable is good for at most {iz:g} A; nothing but the "
            "ring's own device protects it."
        )
    if iz is None or None in capacities:
        return "FI", f"Together they may draw about {most_a:g} A; what the spur's cable can carry isn't known."
    return "C3", f"Its cable can carry the {most_a:g} A that they may draw, so it is only not as it should be."


def _only(rule: str) -> Callable[[CircuitCase, Trade], Iterator[Finding]]:
    def find(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
        return (finding for finding in _overfed(case, trade) if finding.rule == rule)

    return find


def _too_many(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view, shape = case.view, case.view.shape
    if shape is None or shape.kind != "ring with spurs":
        return
    edition, choices = case.details.edition, case.details.choices
    held = count(view, trade, edition, choices)
    if held.spurs <= held.ring_points * trade.limit("unfused spurs per ring point", edition, choices).value:
        return
    twin = trade.limit("twin socket counts as", edition, choices).value
    says = f"The ring on {view.code} has {held.spurs} unfused spurs for {held.ring_points} points in the ring itself."
    why = f"There may be no more unfused spurs than points connected in the ring (a twin socket counts as {twin:g})."
    settle = "Take some of the spurs into the ring, or fuse them."
    yield found("spurs-too-many", "C3", (view.device.id,), says, why, settle, shape.evidence)


def _thin(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view, shape = case.view, case.view.shape
    if shape is None or not shape.loop_runs:
        return
    ring = thinnest_mm2((run for run in view.runs if run.id in shape.loop_runs), trade)
    need = trade.limit("unfused spur cable Iz A", case.details.edition, case.details.choices).value
    for spur in shape.spurs:
        runs = [run for run in view.runs if run.id in spur.unfused_runs]
        thin = [run for run in runs if (each := size_mm2(run, trade)) is not None and ring is not None and each < ring]
        size = thinnest_mm2(thin, trade)
        if ring is None or size is None:
            continue
        iz = best_iz_a(thin, trade)
        of_it = "The" if len(thin) == len(runs) else "Part of the"
        says = f"{of_it} unfused spur from {_taken_off(view, spur)} is {size:g} mm², thinner than its ring of {ring:g} mm²."
        code: Severity = "C2" if iz is not None and iz < need else "note"
        if iz is None:
            why = "What it can carry is in none of the tables here."
        elif code == "C2":
            why = f"It is good for at most {iz:g} A and nothing but the ring's device protects it."
        else:
            why = f"It can carry {iz:g} A where it is laid well, so it is only worth knowing."
        settle = "Fuse the spur where it leaves, or replace its cable."
        yield found("spur-thin", code, (spur.leaves, *(run.id for run in thin)), says, why, settle, spur.evidence)


def _fuse_too_large(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view = case.view
    most = trade.limit("fused spur A", case.details.edition, case.details.choices).value
    for member in view.members:
        point = member.point
        if point.fuse_a is None or not trade.point(point.kind).through_fuse:
            continue
        behind = _load_runs(view, point)
        iz = best_iz_a(behind, trade) if behind else None
        name = say_point(point, member.room)
        if point.fuse_a > most:
            says = f"{capital(name)} holds a {point.fuse_a:g} A fuse; a fused spur takes at most {most:g} A."
            yield found("fuse-large", "C2", (point.id,), says, "The spur behind it is not protected as a fused spur.",
                        "Fit the fuse that cable and load allow.")  # fmt: skip
        elif iz is not None and point.fuse_a > iz:
            size = size_mm2(behind[0], trade)
            says = f"{capital(name)} holds a {point.fuse_a:g} A fuse over a cable of {size:g} mm² good for {iz:g} A."
            yield found("fuse-large", "C2", (point.id, *(run.id for run in behind)), says,
                        "The cable behind it can overload without the fuse blowing.",
                        f"Fit a fuse of at most {iz:g} A, or what the appliance's maker asks for.",
                        weakest(*(run.evidence for run in behind)))  # fmt: skip
        elif point.fuse_a > _SMALL_FUSE_A and _is_small(view, point, trade):
            says = f"{capital(name)} holds a {point.fuse_a:g} A fuse for a load that {_SMALL_FUSE_A:g} A would carry."
            yield found("fuse-large", "note", (point.id,), says, "A smaller fuse would go sooner in a fault.",
                        "Fit what the appliance's maker asks for.")  # fmt: skip


def _is_small(view: CircuitView, point: Point, trade: Trade) -> bool:
    """Whether all that hangs on a fuse is fixed, known by its power, and small."""
    fed = [point, *(m.point for m in view.members if m.after_fuse is not None and m.after_fuse.id == point.id)]
    rows = [trade.point(p.kind) for p in fed]
    powers = [load.power_w for p in fed for load in p.loads]
    told = all(p.loads or row.through_fuse or not row.counts_as_point for p, row in zip(fed, rows, strict=True))
    if not told or not powers or any(row.is_socket_outlet for row in rows):
        return False
    return all(power is not None for power in powers) and sum(w or 0.0 for w in powers) <= _SMALL_FUSE_A * 230.0


def _fused_load(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view = case.view
    for member in view.members:
        point = member.point
        if not trade.point(point.kind).through_fuse:
            continue
        behind = [m.point for m in view.members if m.after_fuse is not None and m.after_fuse.id == point.id]
        powers = [w for p in (point, *behind) for w in _powers(p, trade)]
        demand: Demand = add_up(powers)
        verdict = judge_fuse(demand, point.fuse_a or 13.0)
        if verdict.answer == "no":
            says = f"More hangs on {say_point(point, member.room)} than its fuse carries at once: {verdict.says}"
            yield found("fused-load", "note", (point.id,), says, "The fuse will blow before the cable suffers.",
                        "Move a load elsewhere if it blows.")  # fmt: skip


def _outbuilding(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view, shape = case.view, case.view.shape
    for spur in shape.spurs if shape else ():
        there = _out_there(view, spur, trade)
        if not there:
            continue
        outlets = _outlets(view, spur, trade)
        sockets = [point for point in outlets if trade.point(point.kind).is_socket_outlet]
        names = [say_member(view, i) for i in there]
        says = f"{capital(listed(names))} {agrees(names, 'is', 'are')} fed from an unfused spur off {_taken_off(view, spur)}."
        load, load_why = ("C3", "")
        if _feeds_too_much(outlets):
            load, load_why = _judge_load(view, spur, outlets, case.details.edition, trade)
        several = len(sockets) > 1 or not set(there).isdisjoint(spur.boards)
        code: Severity = "C2" if several or load == "C2" else "FI"
        why = "Cable, isolation, RCD and earthing out there must be looked at."
        if load != "C3":
            why = f"{load_why} {why}"
        elif several:
            why = f"More than one outlet hangs on it with nothing but the ring's device over it. {why}"
        settle = (
            "Look at the cable outdoors, what isolates it, the RCD over it and the earthing; give it a way of its own "
            "or at least a fused connection unit with an RCD."
        )
        yield found("outbuilding-on-spur", code, (spur.leaves, *there), says, why, settle, spur.evidence)


def _out_there(view: CircuitView, spur: Spur, trade: Trade) -> tuple[str, ...]:
    """Give the feeds to outbuildings and the boards that an unfused spur of a socket circuit feeds."""
    if not any(trade.point(m.point.kind).is_socket_outlet for m in view.members):
        return ()
    # A fuse further on, over the light out there say, protects nothing before it.
    feeds = [i for i in spur.unfused_points if (m := member_of(view, i)) and _is_outbuilding(m.point)]
    return (*feeds, *(spur.boards if spur.fuse is None else ()))


def _outlets(view: CircuitView, spur: Spur, trade: Trade) -> list[Point]:
    """Give what an unfused spur feeds before any fuse: what counts as a point there and isn't itself the fuse."""
    members = [m for i in spur.unfused_points if (m := member_of(view, i)) is not None]
    outlets = [m.point for m in members if trade.point(m.point.kind).counts_as_point and m.point.id != spur.fuse]
    # The feed to an outbuilding stands for what is out there only as long as none of that was found.
    return [point for point in outlets if not _is_outbuilding(point)] or outlets


def _draw_a(point: Point, trade: Trade, edition: str) -> float:
    row = trade.point(point.kind)
    if row.through_fuse:
        return point.fuse_a or 13.0
    if row.is_socket_outlet:
        return trade.limit("twin socket A", edition).value if point.gangs > 1 else 13.0
    known = [w for w in _powers(point, trade) if w is not None]
    if not known and row.is_light:
        known = [_LAMP_W]
    return round(sum(known) / 230.0, 1) if known else 13.0


def _powers(point: Point, trade: Trade) -> tuple[float | None, ...]:
    row = trade.point(point.kind)
    if row.is_socket_outlet or row.is_control:
        return tuple(load.power_w for load in point.loads if load.power_w is not None)
    if row.through_fuse and not point.loads:
        return ()
    return point_power_w(trade, point.kind, [load.power_w for load in point.loads])


def _load_runs(view: CircuitView, point: Point) -> list[Run]:
    return [
        run for run in view.runs for end in (run.a, run.b) if end.at == point.id and end.side == "load"
    ]  # fmt: skip


def _taken_off(view: CircuitView, spur: Spur) -> str:
    return say_member(view, spur.leaves)


def _is_outbuilding(point: Point) -> bool:
    return point.kind == "outbuilding feed"


def rules() -> Iterable[Rule]:
    """Give the family's rules."""
    one = f"{_OSG}; {_EIW}"
    yield Rule("spur-overfed", "spurs", "Unfused spur feeds too much", "C2/FI/C3",
               "An unfused spur may feed one single or twin socket, or one fixed appliance.", one, "18th", "circuit",
               _only("spur-overfed"))  # fmt: skip
    yield Rule("spur-off-spur", "spurs", "Spur off a spur", "C2/FI/C3",
               "An unfused spur that carries on feeds more than one outlet through one cable.", one, "18th", "circuit",
               _only("spur-off-spur"))  # fmt: skip
    yield Rule("spurs-too-many", "spurs", "More unfused spurs than points on the ring", "C3",
               "Load bunches at few points of the ring.", f"{_OSG}; {_EIW} (7 points, 5 spurs)", "18th", "circuit",
               _too_many)  # fmt: skip
    yield Rule("spur-thin", "spurs", "Spur cable thinner than its ring", "C2/note",
               "Nothing but the ring's device protects it.", "BS 7671 Appendix 15, from memory; " + CP, "18th",
               "circuit", _thin)  # fmt: skip
    yield Rule("fuse-large", "spurs", "Fuse larger than its cable or load allows", "C2/note",
               "The cable behind it can overload.", _OSG, "18th", "circuit", _fuse_too_large)  # fmt: skip
    yield Rule("fused-load", "spurs", "Load beyond the fuse of a fused spur", "note",
               "The fuse will blow first.", _OSG, "18th", "circuit", _fused_load)  # fmt: skip
    yield Rule("outbuilding-on-spur", "spurs", "Outbuilding on an unfused spur", "C2/FI",
               "Cable, isolation, RCD and earthing must be looked at.", CP, "any", "circuit",
               _outbuilding)  # fmt: skip


RULES = tuple(rules())
