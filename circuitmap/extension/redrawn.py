"""An option with cables drawn by hand: what changes by that in metres, minutes, joists, price, checks and readings.

What a cable takes is counted where it differs from the route that was searched for, by the same rules: metres in each
wall and void, studs, noggins, joists, bends. What both have in common (where it comes from, holes, boards at its ends)
stays as the search counted it.
"""

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from msgspec import structs

from circuitmap.circuits import views
from circuitmap.extension.afterwards import end_to_end, expected_at
from circuitmap.extension.asked import Asked
from circuitmap.extension.by_hand import as_drawn, judged, path_length_mm
from circuitmap.extension.checks import check_way
from circuitmap.extension.costs import BOARDS_A_METRE, BY_METRE, Item, is_chased
from circuitmap.extension.kinds import Option
from circuitmap.extension.option_work import parts_of
from circuitmap.extension.pathing import Route, RoutePart, RoutePoint
from circuitmap.extension.price import price
from circuitmap.extension.pricebook import Book
from circuitmap.extension.space import floors_of, names_of
from circuitmap.extension.stray import Spot, is_along
from circuitmap.extension.takeoff import takeoff
from circuitmap.extension.trunking import on_the_face
from circuitmap.extension.void_net import Region, joists_met
from circuitmap.extension.wall_net import Timber, through, worked_behind
from circuitmap.extension.worked import as_built, judged_by
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, hidden_on
from circuitmap.trade import Trade

_STRAIGHT_MM: Final = 1.0
_TURN: Final = math.sin(math.radians(5))
_IN_REGION_MM: Final = 60.0


@dataclass(frozen=True, eq=False)
class _Known:
    """Faces and voids of a home, their names, and what stud walls have inside."""

    home: Home
    trade: Trade
    faces: dict[str, Face]
    regions: dict[str, Region]
    where: dict[str, str]
    timber: Timber
    is_seen: bool


class _Stretch(NamedTuple):
    a: Spot
    b: Spot
    face: Face | None
    region: Region | None

    @property
    def on(self) -> str:
        return self.face.id if self.face is not None else self.region.id if self.region is not None else ""

    def where(self, known: _Known) -> str:
        if self.face is not None:
            return known.where[self.face.id]
        return self.region.where if self.region is not None else ""


def redrawn(
    home: Home, option: Option, paths: Mapping[str, Sequence[Spot]], trade: Trade, book: Book, memo: Memo | None = None
) -> Option:
    """Give an option with some of its cables laid as they were drawn, priced and checked anew.

    Parameters
    ----------
    home
        The home that the option was laid out for.
    paths
        By the ids of the runs they are to be; others are left alone.
    book
        The prices.
    """
    mine = {run: path for run, path in paths.items() if run in option.runs}
    if not mine or option.taken is None:
        return option
    memo, home = memo or Memo(), home.existing()
    known = _known(home, memo, trade, is_seen=option.job.on_surface)
    routes = tuple(
        _laid(known, route, mine[run]) if run in mine else route
        for run, route in zip(option.runs, option.routes, strict=True)
    )
    lengths = tuple(
        structs.replace(length, metres=route.length_mm / 1000) if run in mine else length
        for run, route, length in zip(option.runs, routes, option.work.lengths, strict=True)
    )
    work = structs.replace(option.work, parts=tuple(parts_of(known, routes)), lengths=lengths)
    taken = takeoff(work, book, option.job)
    priced = price(taken, book, option.job, draws=0)
    now = structs.replace(
        option, routes=routes, work=work, taken=taken, priced=priced, minutes=priced.minutes_mean,
        change=as_drawn(home, trade, option.change, mine), by_hand=tuple(run for run in option.runs if run in mine),
        length_mm=sum(route.length_mm for route in routes),
    )  # fmt: skip
    now = _checked(home, option, now, trade, memo)
    said = [*_strays(home, memo, trade, now, mine), *now.unsure]
    return structs.replace(now, unsure=tuple(dict.fromkeys(said)))


def _known(home: Home, memo: Memo, trade: Trade, *, is_seen: bool) -> _Known:
    floors = floors_of(home, memo, trade)
    timber = Timber(trade.size_mm("stud spacing"), trade.size_mm("noggin height"))
    return _Known(home, trade, floors.faces, floors.regions, names_of(home, floors.faces), timber, is_seen)


def _checked(home: Home, option: Option, now: Option, trade: Trade, memo: Memo) -> Option:
    """Give an option with checks and readings of the home as it would be with these lengths."""
    home_after = home.apply(as_built(now.change))
    after = Asked(home_after, views(home_after, trade, memo), trade, memo)
    mine = next((v for v in after.views if set(option.points) & set(v.names)), None) or next(
        (v for v in after.views if set(option.runs) & {run.id for run in v.runs}), None
    )
    if mine is None:
        return now
    before = Asked(home, views(home, trade, memo), trade, memo)
    was = next((check_way(before, v) for v in before.views if v.device.id == mine.device.id), ())
    new = {after.id for old, after in now.change.pairs if old is None and after is not None}
    checks = check_way(after, mine)
    old_failed, old_unsure = judged_by(option.checks, was, new)
    failed, unsure = judged_by(checks, was, new)
    return structs.replace(
        now,
        checks=checks,
        ring=end_to_end(after, mine),
        expected=expected_at(after, mine, [each.point for each in option.expected]),
        failed=(*(says for says in option.failed if says not in old_failed), *failed),
        unsure=(*(says for says in option.unsure if says not in old_unsure), *unsure),
    )


def _strays(home: Home, memo: Memo, trade: Trade, now: Option, paths: Mapping[str, Sequence[Spot]]) -> Iterator[str]:
    """Say how much of what was drawn is where no cable may be hidden, on the home with its new points."""
    there = home.apply(as_built(now.change))
    for number, run in enumerate(now.runs, 1):
        if run in paths:
            found = judged(there, memo, trade, paths[run], is_seen=now.job.on_surface)
            if found.strays or found.joists:
                yield f"Cable {number}, drawn by hand: {found.says()}"


def _laid(known: _Known, route: Route, path: Sequence[Spot]) -> Route:
    """Give a route along a drawn path: its own parts, and what the path takes more or less of each."""
    was, drawn = _stretches(known, [spot[:4] for spot in route.path]), _stretches(known, path)
    old, new = _amounts(known, was), _amounts(known, drawn)
    parts: dict[tuple[str, str, str], RoutePart] = {(p.where, p.kind, p.build): p for p in route.parts}
    for key in dict.fromkeys((*old, *new)):
        where, kind, build = key
        part = parts.get(key) or RoutePart(kind, build, 0.0, 0, where)
        if kind in BY_METRE:
            metres = max(0.0, part.metres + new.get(key, 0.0) - old.get(key, 0.0))
            part = structs.replace(part, metres=round(metres, 3))
        else:
            part = structs.replace(part, count=max(0, part.count + _whole(new, key) - _whole(old, key)))
        parts[key] = part
    return structs.replace(
        route,
        path=_points(route, drawn, path),
        length_mm=round(path_length_mm(known.home, known.trade, path), 1),
        parts=tuple(part for part in parts.values() if part.metres > 0 or part.count > 0),
    )


def _whole(amounts: Mapping[tuple[str, str, str], float], key: tuple[str, str, str]) -> int:
    return math.ceil(amounts.get(key, 0.0) - 1e-6)


def _stretches(known: _Known, path: Sequence[Spot]) -> list[_Stretch]:
    """Give the stretches of a path with what each lies on; those between two things lie on neither."""
    return [_placed(known, a, b) for a, b in itertools.pairwise(path)]


def _placed(known: _Known, a: Spot, b: Spot) -> _Stretch:
    if a[0] != b[0] or math.dist(a[1:], b[1:]) < _STRAIGHT_MM:
        return _Stretch(a, b, None, None)
    near: list[tuple[float, str, Face]] = []
    for face in known.faces.values():
        if face.storey == a[0] and max(a[3], b[3]) > 0 and min(a[3], b[3]) < face.height_mm and is_along(face, a, b):
            near.append((sum(abs(face.at(spot[1], spot[2])[1]) for spot in (a, b)), face.id, face))
    if near:
        return _Stretch(a, b, min(near, key=lambda each: each[:2])[2], None)
    return _Stretch(a, b, None, _region_at(known, a, b))


def _region_at(known: _Known, a: Spot, b: Spot) -> Region | None:
    import shapely

    middle = shapely.Point((a[1] + b[1]) / 2, (a[2] + b[2]) / 2)
    for region in known.regions.values():
        if (
            region.storey == a[0]
            and all(abs(spot[3] - region.z_mm) <= _IN_REGION_MM for spot in (a, b))
            and region.area.distance(middle) <= _IN_REGION_MM
        ):
            return region
    return None


def _amounts(known: _Known, stretches: Sequence[_Stretch]) -> dict[tuple[str, str, str], float]:
    """Give what stretches take, by where it is, its kind and its build: metres, or how many."""
    found: dict[tuple[str, str, str], float] = {}
    for n, stretch in enumerate(stretches):
        items = [*_items(known, stretch), *(_bends(stretches[n - 1], stretch) if n else ())]
        for item in items:
            key = (item.where or stretch.where(known), item.kind, item.build)
            found[key] = found.get(key, 0.0) + item.amount
    return found


def _items(known: _Known, stretch: _Stretch) -> Iterator[Item]:
    a, b, face, region = stretch
    if face is not None:
        yield from _on_face(known, face, a, b)
    elif region is not None:
        metres = math.dist(a[1:3], b[1:3]) / 1000
        yield Item("loft" if region.kind == "loft" else "void", "", metres)
        across = abs(region.inner(*b[1:3])[1] - region.inner(*a[1:3])[1])
        if region.kind == "floor" and across > _STRAIGHT_MM:
            yield Item("board", "", across / 1000 * BOARDS_A_METRE)
            yield Item("joist", "", float(len(joists_met(region, a[1:3], b[1:3]))))


def _on_face(known: _Known, face: Face, a: Spot, b: Spot) -> Iterator[Item]:
    (u_a, u_b), (v_a, v_b) = (face.at(*spot[1:3])[0] for spot in (a, b)), (a[3], b[3])
    upright, level = abs(u_b - u_a) < _STRAIGHT_MM, abs(v_b - v_a) < _STRAIGHT_MM
    if upright or level:
        at, ends = (u_a, (v_a, v_b)) if upright else (v_a, (u_a, u_b))
        at = min(max(at, 0.0), face.length_mm) if upright else at
        low, high = sorted(ends)
        inside = through(face, upright, at, low, high, known.timber)
        yield from on_the_face(tuple(inside)) if known.is_seen else inside
        yield from worked_behind(hidden_on(known.home, known.trade, face), upright, at, low, high)
        return
    build = face.backed((u_a + u_b) / 2).build
    slant = Item("chase" if is_chased(build) else "stud", build, math.hypot(u_b - u_a, v_b - v_a) / 1000)
    yield from on_the_face((slant,)) if known.is_seen else (slant,)


def _bends(before: _Stretch, after: _Stretch) -> Iterator[Item]:
    if not before.on or before.on != after.on:
        return
    one, two = (tuple(q - p for p, q in zip(s.a[1:], s.b[1:], strict=True)) for s in (before, after))
    turned = math.dist((0, 0, 0), _cross(one, two)) / (math.hypot(*one) * math.hypot(*two))
    if turned > _TURN:
        yield Item("bend", "", 1.0)
        if after.region is not None and after.region.kind == "floor":
            yield Item("board", "", 1.0)


def _cross(a: Sequence[float], b: Sequence[float]) -> tuple[float, float, float]:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def _points(route: Route, stretches: Sequence[_Stretch], path: Sequence[Spot]) -> tuple[RoutePoint, ...]:
    """Give a drawn path as the spots of a route: its own where they stayed, else on what the stretch there lies on."""
    found: list[RoutePoint] = []
    own = 0  # spots of the route that were passed
    for n, (storey, x, y, z) in enumerate(path):
        same = next((m for m in range(own, len(route.path)) if route.path[m][:4] == (storey, x, y, z)), None)
        if same is not None:
            found.append(route.path[same])
            own = same + 1
            continue
        stretch = stretches[max(n - 1, 0)]
        surface = "wall" if stretch.face is not None else stretch.region.kind if stretch.region is not None else "end"
        found.append(RoutePoint(storey, x, y, z, surface, stretch.on))
    return tuple(found)
