"""What a plan takes: its stretches, with those that two cables share counted once, boxes, joints, remedies, papers."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from msgspec import structs

from circuitmap.circuits import CircuitView
from circuitmap.extension.asked import Asked
from circuitmap.extension.grounds import Ground, Plan
from circuitmap.extension.kinds import Papers
from circuitmap.extension.papers import papers
from circuitmap.extension.pathing import Route, RoutePart, RoutePoint
from circuitmap.extension.spots import Surfaces
from circuitmap.extension.takeoff import Fitting, Length, Remedy, Work
from circuitmap.extension.trunking import KIND, METHOD, SURFACE
from circuitmap.extension.wished import Wished
from circuitmap.findings.protection import is_covered
from circuitmap.home.records import Point
from circuitmap.trade import Cable, Trade

if TYPE_CHECKING:
    import shapely

    Lines = dict[str, list[shapely.Geometry]]

# How a cable lies, by the kind of its stretch; where nobody saw, insulation is counted on (a choice on the safe side).
_METHOD_OF: Final = {"chase": "C", "surface": "C", "stud": "102", "void": "100", "loft": "100", KIND: METHOD}
_BUNCHED: Final = frozenset(("chase", "stud", KIND))
_ALONG: Final = 0.1  # from so much of a stretch in common on, two cables count as bunched (our own choice)
_SHARED: Final = 0.98  # from so much on a stretch is wholly along one that is made already
_NEAR_MM: Final = 2.0


def lies(
    trade: Trade, cable: Cable | None, route: Route, mine: "Lines", beside: Sequence["Lines"]
) -> tuple[str, int | None]:
    """Give the reference method of a route's worst stretch for a cable, and with how many others it is bunched there.

    Cables of one option in the same chase or between the same studs lie together; in floors and lofts they are laid
    apart. The worst stretch is the one on which least is carried. ``mine`` and ``beside`` are the lines of this route
    and of the others.

    **Source:** methods of BS 7671 Table 4D5, grouping of Table 4C1, from memory; what is laid apart is common practice.
    """
    if cable is None:
        return "", None
    found: list[tuple[float, str, int]] = []
    for part in route.parts:
        if part.kind not in _METHOD_OF:
            continue
        method, near = _METHOD_OF[part.kind], 0
        if part.kind in _BUNCHED:
            near = sum(_share(mine.get(part.where, []), held.get(part.where, [])) > _ALONG for held in beside)
        carries = (trade.iz(cable, method) or 0.0) * (trade.factor("Cg bunched", near + 1) or 1.0)
        found.append((carries, method, near))
    _, method, near = min(found, default=(0.0, "C", 0))
    return method, near or None


def taken_for_granted(routes: Sequence[Route]) -> Iterator[str]:
    """Say what is taken for granted of how cables lie, where nobody saw it."""
    kinds = {part.kind for route in routes for part in route.parts}
    if kinds & {"stud", "void", "loft"}:
        yield "Between studs, in floors and in lofts a cable is counted as against insulation, and not within it."
    if KIND in kinds:
        yield "Cables on walls are laid in trunking that stays in sight, and new boxes there are on the surface."
    if len(routes) > 1 and kinds & {"void", "loft"}:
        yield "In floors and lofts cables are laid apart."


def papers_of(ground: Ground, plan: Plan) -> Papers:
    """Give certificate and notification of a plan."""
    places = frozenset(place for each in plan.lot.wishes for place in each.places)
    country = ground.asked.home.details.country
    return papers(ground.asked.trade, country, is_new_circuit=bool(plan.new_device), places=places)


def rcd_of(after: Asked, plan: Plan, view: CircuitView | None) -> tuple[str, tuple[Remedy, ...]]:
    """Say whether what is added has an RCD over it, and give what it takes where it has none.

    **Source:** BS 7671 411.3.3 and 522.6.202 by the row of the tables.
    """
    row = after.trade.rcd("sockets", after.rules.edition)
    if view is None or plan.kind == "taken out" or row is None:
        return "", ()
    if is_covered(view, after.trade, row.trips_ma):
        return f"{view.code} has an RCD of {row.trips_ma:g} mA over it.", ()
    says = f"{view.code} has no RCD of {row.trips_ma:g} mA that is known; what is added has to have one."
    if view.device.kind != "MCB":
        says += " Its device can't be changed for one with an RCD: the board is replaced, or another way taken."
        return says, (Remedy(what="board change", why=f"RCD cover for {view.code}"),)
    return f"{says} It is priced with the work.", (Remedy(what="RCD cover", why=f"RCD cover for {view.code}"),)


def work_of(ground: Ground, plan: Plan, routes: Sequence[Route], remedies: Iterable[Remedy]) -> Work:
    """Give all parts of a plan for the take-off."""
    return Work(
        parts=tuple(parts_of(plan.placed.space, routes)),
        fittings=tuple(_fittings(ground, plan)),
        lengths=tuple(_lengths(plan, routes)),
        remedies=tuple(remedies),
        new_ways=1 if plan.new_device else 0,
        joints=plan.joints,
    )


def _fittings(ground: Ground, plan: Plan) -> Iterator[Fitting]:
    for each in plan.lot.wishes:
        if each.wish.act == "move" and each.was is not None:
            yield Fitting(what=each.was.kind, name=f"{each.row.title} {each.was.id}", act="remove", box=False)
        if each.wish.act != "remove":
            yield Fitting(
                what=each.point.kind, name=each.says, build=_box_in(ground, each), gangs=each.point.gangs,
                deep=each.wish.deep, where=each.where, behind=each.wish.behind,
                box=ground.asked.trade.box(each.point.kind) is not None,
            )  # fmt: skip
    yield from plan.fittings
    for record_id in plan.joined:
        point = ground.asked.home.find(Point, record_id)
        if point is not None:
            where = _where(ground, record_id)
            yield Fitting(what=point.kind, name=record_id, act="join", where=where, box=False)


def _box_in(ground: Ground, each: Wished) -> str:
    """Give what a new box goes into: the wall, or only onto it."""
    return SURFACE if ground.job.on_surface and each.spot.faces_deg is not None else each.build


def _where(ground: Ground, record_id: str) -> str:
    """Give the wall a point is on in the words of routes."""
    index = ground.at.get(record_id)
    face = ground.placed.ends[index].face if index is not None else None
    return ground.space.where[face] if face is not None else ""


def _lengths(plan: Plan, routes: Sequence[Route]) -> Iterator[Length]:
    for leg, route in zip(plan.legs, routes, strict=True):
        at_board = sum((end.at or "")[0] in "DB" for end in (leg.a, leg.b))
        yield Length(
            cable=leg.cable or plan.cable, metres=route.length_mm / 1000, name=f"cable {leg.a.at} to {leg.b.at}",
            box_ends=2 - at_board, board_ends=at_board,
        )  # fmt: skip


def parts_of(space: Surfaces, routes: Sequence[Route]) -> Iterator[RoutePart]:
    """Give the parts of all routes; what two cables have in common is cut, lifted or drilled once."""
    made: dict[str, list[shapely.Geometry]] = {}
    for route in routes:
        lines = lines_of(space, route.path)
        share = {where: _share(held, made.get(where, [])) for where, held in lines.items()}
        for part in route.parts:
            common = share.get(part.where, 0.0)
            if part.kind in _METHOD_OF:
                if common < _SHARED:
                    yield structs.replace(part, metres=round(part.metres * (1 - common), 3))
            elif common < _SHARED:
                yield part
        for where, held in lines.items():
            made.setdefault(where, []).extend(held)


def _share(lines: Sequence["shapely.Geometry"], made: Sequence["shapely.Geometry"]) -> float:
    import shapely

    whole = sum(line.length for line in lines)
    if not made or whole <= 0 or not any(_near(line, other) for line in lines for other in made):
        return 0.0
    wide = shapely.union_all([line.buffer(_NEAR_MM) for line in made])
    common = sum(float(line.intersection(wide).length) for line in lines)
    return float(min(1.0, common / whole))


def _near(line: "shapely.Geometry", other: "shapely.Geometry") -> bool:
    """Whether two lines may have something in common, by their bounds."""
    a, b = line.bounds, other.bounds
    return bool(
        a[0] <= b[2] + _NEAR_MM and b[0] <= a[2] + _NEAR_MM and a[1] <= b[3] + _NEAR_MM and b[1] <= a[3] + _NEAR_MM
    )


def lines_of(space: Surfaces, path: Sequence[RoutePoint]) -> "Lines":
    """Give the stretches of a path by the wall or void they are in: flat, along and up a wall, or on the plan."""
    import shapely

    found: dict[str, list[shapely.Geometry]] = {}
    for a, b in pairwise(path):
        on = b.on or a.on
        face = space.faces.get(on)
        if face is not None:
            ends = [(face.at(p.x_mm, p.y_mm)[0], p.z_mm) for p in (a, b)]
            where = space.where[on]
        elif on in space.regions:
            ends = [(p.x_mm, p.y_mm) for p in (a, b)]
            where = space.regions[on].where
        else:
            continue
        if ends[0] != ends[1]:
            found.setdefault(where, []).append(shapely.LineString(ends))
    return found
