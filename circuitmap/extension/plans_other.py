"""Plans without a ring: on from a radial or branched off it, a new way from the board, points taken out."""

from collections.abc import Iterator
from math import isinf

from msgspec import structs

from circuitmap.circuits import CircuitView
from circuitmap.design.capacity import Case, Protection, judge
from circuitmap.extension.chains import best_chain
from circuitmap.extension.grounds import Ground, Leg, Lot, Plan, counted, moved_end
from circuitmap.extension.plans_lights import has_lasting_feed
from circuitmap.extension.plans_ring import legs_between
from circuitmap.extension.takeoff import Fitting
from circuitmap.home import verbs
from circuitmap.home.change import Pair
from circuitmap.home.records import Board, Device, End, Point, Rcd, Run
from circuitmap.home.snapshot import Home
from circuitmap.plan.where import place_of
from circuitmap.trade import Cable, PointRow
from circuitmap.words import CARRYING


def radial_plans(ground: Ground, view: CircuitView, lot: Lot, cable: str) -> Iterator[Plan]:
    """Go on from the end of a radial, or branch off it, from the point where that costs least."""
    found: dict[bool, tuple[float, str, tuple[int, ...]]] = {}
    for member in view.members:
        point = member.point.id
        at = ground.at.get(point)
        if at is None or not _may_pass_on(ground, member.point) or member.after_fuse is not None:
            continue
        cables = sum(point in (run.a.at, run.b.at) for run in view.runs)
        if not cables or (lot.family == "lights" and not has_lasting_feed(view, point)):
            continue
        is_end = cables == 1
        cost, order = best_chain(ground.worths, at, [ground.at[i] for i in lot.ids])
        if not isinf(cost) and (is_end not in found or cost < found[is_end][0]):
            found[is_end] = cost, point, order
    by_index = {ground.at[i]: i for i in lot.ids}
    for is_end, (_, point, order) in found.items():
        pair = counted(ground.asked.home.take(Point, point), 1)
        yield Plan(
            kind="radial extended" if is_end else "radial branched",
            key=f"{view.code} from {point}",
            view=view,
            lot=lot,
            placed=ground.placed,
            cable=cable,
            legs=legs_between(ground, [End(at=point), *(End(at=by_index[n]) for n in order)]),
            pairs=(pair,) if pair else (),
            joined=(point,),
        )


def _may_pass_on(ground: Ground, point: Point) -> bool:
    row = ground.asked.trade.point(point.kind)
    return row.is_socket_outlet or row.is_light or row.family in ("lights", "alarms") or point.kind == "junction box"


def new_way_plans(ground: Ground, lot: Lot, cable: str) -> Iterator[Plan]:
    """Give the wishes a device and a cable of their own at the nearest board."""
    boards = [board for board in ground.asked.home.sorted(Board) if board.id in ground.at]
    if not boards:
        says = "No board has a place that a cable could come from; put it on its wall."
        yield Plan("new way", "no board", None, lot, ground.placed, cable, failed=(says,))
        return
    through = [ground.at[i] for i in lot.ids]
    chains = {board.id: best_chain(ground.worths, ground.at[board.id], through) for board in boards}
    board = min(boards, key=lambda each: chains[each.id][0])
    cost, order = chains[board.id]
    if isinf(cost):
        return
    rating, chosen, failed = _sized(ground, lot)
    failed += _full(ground, board)
    main = [d for d in ground.asked.home.devices_on(board.id) if d.kind == "main switch" and d.phase == "existing"]
    row = ground.asked.trade.rcd("sockets", ground.asked.rules.edition)
    home = ground.asked.home
    module = max(((d.module or 0) + d.modules for d in home.devices_on(board.id)), default=0)
    device = Device(
        id=home.next_id(Device, lot.number), board=board.id, way=verbs.next_way(home, board.id), module=module,
        kind="RCBO", rating_a=rating, curve="B", upstream=main[0].id if main else None, phase="planned",
        rcd=Rcd(trips_ma=row.trips_ma if row is not None else None, type="A"), cables_seen=1, label=_label(lot),
    )  # fmt: skip
    by_index = {ground.at[i]: i for i in lot.ids}
    legs = [
        Leg(End(at=device.id, leg=1), End(at=by_index[order[0]]), (ground.at[board.id], order[0])),
        *legs_between(ground, [End(at=by_index[n]) for n in order]),
    ]
    unsure = [] if board.modules is not None else [f"How many modules board {board.letter_on_map} has isn't recorded."]
    unsure.append(
        f"Whether the maker of board {board.letter_on_map} allows such a device in it, and its busbar reaches there, "
        "was not seen."
    )
    yield Plan(
        kind="new way",
        key=f"board {board.letter_on_map} {rating:g} A",
        view=None,
        lot=lot,
        placed=ground.placed,
        cable=chosen,
        legs=tuple(legs),
        pairs=((None, device),),
        new_device=device.id,
        failed=failed,
        unsure=tuple(unsure),
    )


def _sized(ground: Ground, lot: Lot) -> tuple[float, str, tuple[str, ...]]:
    """Give rating and cable of a new way: what is usual for sockets and lights, else by the load of what is fixed."""
    trade, rules = ground.asked.trade, ground.asked.rules
    ratings = sorted({a for row in trade.usual_cables(kind="flat") for a in row.usual_in_a})
    if lot.family == "lights":
        wanted = min(ratings, key=lambda a: abs(a - rules.value("new way for lights A")))
    elif lot.family == "sockets":
        wanted = min(ratings, key=lambda a: abs(a - rules.value("new way for sockets A")))
    else:
        powers = [each.power_w for each in lot.wishes]
        if any(power is None for power in powers):
            says = "What it draws isn't said, so neither device nor cable can be chosen; say its power."
            return rules.value("new way for sockets A"), "T&E 2.5/1.5", (says,)
        draws = sum(power or 0.0 for power in powers) / rules.value("supply voltage V")
        fitting = [a for a in ratings if a >= draws - 1e-9]
        if not fitting:
            says = f"It draws {draws:.1f} A, more than any usual way of a board in flat cable."
            return ratings[-1], "T&E 16/6", (says,)
        wanted = fitting[0]
    for row in sorted(trade.usual_cables(kind="flat"), key=_live_mm2):
        case = Case(cable=row, protection=Protection(in_a=wanted, kind="RCBO"), method="100")
        is_priced = ground.book.priced(f"cable {row.code}") is not None
        is_thick = row.code != "T&E 1.0/1.0" or lot.family == "lights"
        if is_priced and is_thick and judge(trade, case, rules.edition, rules.choices).answer == "yes":
            return wanted, row.code, ()
    return wanted, "T&E 16/6", (f"No cable with a price carries {wanted:g} A under insulation.",)


def thicker(ground: Ground, code: str) -> str | None:
    """Give the next thicker flat cable that has a price, None when there is none."""
    trade = ground.asked.trade
    now = trade.cable(code)
    rows = [row for row in trade.usual_cables(kind="flat") if ground.book.priced(f"cable {row.code}") is not None]
    more = [row for row in rows if now is not None and row.live_mm2 > now.live_mm2]
    return min(more, key=_live_mm2).code if more else None


def _live_mm2(row: Cable) -> float:
    return row.live_mm2


def _full(ground: Ground, board: Board) -> tuple[str, ...]:
    """Say why a board takes no new way: it is full, or of a kind that none is added to."""
    devices = [d for d in ground.asked.home.devices_on(board.id) if d.phase != "removed"]
    used = sum(d.modules for d in devices)
    said = []
    if board.modules is not None and used >= board.modules:
        said.append(f"Board {board.letter_on_map} has no spare way: {used} of {board.modules} modules are taken.")
    ways = [d for d in devices if ground.asked.trade.device(d.kind).feeds_circuit]
    if ways and all(d.kind.startswith("fuse BS 3036") or d.kind in ("fuse BS 1361", "MCB BS 3871") for d in ways):
        said.append(
            f"Devices for board {board.letter_on_map} are no longer made: it is replaced before a way is added."
        )
    return tuple(said)


def _label(lot: Lot) -> str:
    if lot.family == "lights":
        return "Lights, new"
    if lot.family == "sockets":
        return "Sockets, new"
    return lot.wishes[0].row.title.capitalize()


def taken_out(ground: Ground, lot: Lot) -> Plan:
    """Take a point out: its cables are joined behind a blank plate, or the last one ends where it came from."""
    (each,) = lot.wishes
    assert each.was is not None
    pairs, joined, fittings, failed = gone(ground.asked.home, each.was, each.row, ground.spare_id(lot))
    view = next((v for v in ground.asked.views if each.was.id in v.names), None)
    return Plan(
        kind="taken out",
        key=each.was.id,
        view=view,
        lot=lot,
        placed=ground.placed,
        cable="",
        pairs=pairs,
        joined=joined,
        fittings=fittings,
        failed=failed,
    )


def gone(
    home: Home, was: Point, row: PointRow, blank_id: str
) -> tuple[tuple[Pair, ...], tuple[str, ...], tuple[Fitting, ...], tuple[str, ...]]:
    """Give what taking a point out alters, where something is joined, what it takes, and what speaks against it."""
    runs = [run for run in home.sorted(Run) if was.id in (run.a.at, run.b.at) and run.phase == "existing"]
    if any(run.role not in CARRYING for run in runs):
        says = f"{was.id} has cables that work other points; taking it out is planned by hand."
        return (), (), (), (says,)
    pairs: list[Pair] = [(was, structs.replace(was, phase="removed"))]
    fittings = [Fitting(what=was.kind, name=f"{row.title} {was.id}", act="remove", box=False)]
    if len(runs) == 1:
        (run,) = runs
        pairs.append((run, structs.replace(run, phase="removed")))
        other = run.b.at if run.a.at == was.id else run.a.at
        left = home.find(Point, other)
        pair = counted(left, -1) if left is not None else None
        return (*pairs, *([pair] if pair else [])), (other,) if left and other else (), tuple(fittings), ()
    if runs:
        place = place_of(home, was)
        blank = Point(
            id=blank_id, kind="blank plate", place=place, room=was.room if place is None else None,
            name=f"where {was.id} was", gangs=min(was.gangs, 2), phase="planned", cables_seen=len(runs),
        )  # fmt: skip
        pairs.append((None, blank))
        pairs += [(run, moved_end(run, was.id, blank.id)) for run in runs]
        fittings.append(Fitting(what="blank plate", name="blank plate", gangs=min(was.gangs, 2), box=False))
    return tuple(pairs), (), tuple(fittings), ()
