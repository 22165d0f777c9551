"""Which way of an invented home feeds which of its points: rooms shared out between rings, and what nobody expects."""

from collections import Counter
from collections.abc import Callable, Collection, Sequence
from itertools import islice, pairwise
from random import Random
from typing import Final

from circuitmap.survey.rehearsal.contents import Family, Wish, make, more_wishes, wishes_for
from circuitmap.survey.rehearsal.floorplan import Drawn, RoomWish
from circuitmap.survey.rehearsal.ways import LIGHTS, Way

_FIRST: Final = -2.0  # what a dedicated way is there for
_MUST: Final = -1.0  # the one point without which a way would feed nothing


def choose_points(
    rng: Random, rooms: Sequence[RoomWish], ways: Sequence[Way], count: int | None, spare: int, is_old: bool
) -> list[Wish]:
    """Choose the points of a home: one for every way, then what is wanted most, ``count`` in all.

    Points of dedicated ways and of ways for one use of rooms know their way; the others wait to be shared out.
    Without a count it is as many as such a home has, and never fewer than the ways and ``spare`` more.
    """
    wishes = wishes_for(rng, rooms, ways, is_old)
    has_alarms = False
    seen: Counter[str] = Counter()
    single = {way.kind.feeds[0] for way in ways if way.kind.takes == "own"}
    for number, way in enumerate(ways):
        if way.kind.takes == "own":
            wishes += _own(rng, rooms, way, number, seen, single)
        elif way.kind.takes == "alarms":
            has_alarms = True
            _claim(rng, rooms, wishes, number, lambda wish: wish.family == "alarms", "smoke alarm", "hall")
        elif way.kind.use:
            use, takes = way.kind.use, way.kind.takes
            families = ("sockets", "lights") if takes == "both" else (takes,)
            kind = "outdoor socket" if use == "outdoors" else "socket"

            def is_its(wish: Wish, use: str = use, families: tuple[str, ...] = families) -> bool:
                return rooms[wish.room].use == use and wish.family in families

            _claim(rng, rooms, wishes, number, is_its, kind, use)
    for wish in wishes:
        if wish.family == "alarms" and not has_alarms:
            wish.family = "lights"
    _for_general(rng, rooms, ways, wishes)
    if count is None:
        taste = rng.uniform(2.4, 3.8)
        count = max(sum(wish.rank <= taste for wish in wishes), len(ways) + spare)
    missing = count - len(wishes)
    if missing > 0:
        wishes += islice(more_wishes(rng, rooms, "sockets"), missing - missing // 3)
        wishes += islice(more_wishes(rng, rooms, "lights"), missing // 3)
        _to_its_way(rooms, ways, wishes[-missing:])
    return sorted(wishes, key=lambda wish: wish.rank)[:count]


def share_out(rng: Random, drawn: Sequence[Drawn], ways: Sequence[Way], wishes: Sequence[Wish]) -> None:
    """Give every point that has no way yet one of the general ways, each a part of the home that hangs together."""
    order = {number: _where(room) for number, room in enumerate(drawn)}
    for family in ("sockets", "lights"):
        general = [number for number, way in enumerate(ways) if way.kind.takes == family and not way.kind.use]
        left = sorted((w for w in wishes if w.way < 0 and w.family == family), key=lambda w: (order[w.room], w.rank))
        if not general or not left:
            continue
        parts = min(len(general), len(left))
        cuts = _cuts(left, parts, lambda a, b: _seam(drawn[a.room], drawn[b.room]))
        for number, (start, stop) in zip(general, pairwise(cuts), strict=False):
            for wish in left[start:stop]:
                wish.way = number
    for number, way in enumerate(ways):
        mine = [wish for wish in wishes if wish.way == number]
        rooms = list(dict.fromkeys(wish.room for wish in mine))
        way.storeys = {name for room in rooms if (name := _storey_name(drawn[room])) is not None}
        if way.kind.takes in ("sockets", "lights") and not way.kind.use and rooms:
            way.title = f"{way.kind.name} {_part_of_home(drawn, rooms, way.storeys)}"
    _tell_apart(ways)


def surprise(
    rng: Random, drawn: Sequence[Drawn], ways: Sequence[Way], wishes: Sequence[Wish], kept: frozenset[int]
) -> list[tuple[Wish, int, str]]:
    """Move a few points to ways that nobody would expect; give each with its earlier way and how it came about.

    No way loses its last point; ways in ``kept`` are left alone.
    """
    fed = Counter(wish.way for wish in wishes)
    found: list[tuple[Wish, int, str]] = []
    order = [wish for wish in wishes if wish.way >= 0 and wish.family in ("sockets", "lights")]
    rng.shuffle(order)
    for wish in order:
        if len(found) >= 1 + len(ways) // 8:
            break
        move = _unexpected(rng, drawn, ways, wishes, wish)
        if move is None or fed[wish.way] < 3 or {wish.way, move[0]} & kept:
            continue
        fed[wish.way] -= 1
        found.append((wish, wish.way, move[1]))
        wish.way = move[0]
    return found


def _unexpected(
    rng: Random, drawn: Sequence[Drawn], ways: Sequence[Way], wishes: Sequence[Wish], wish: Wish
) -> tuple[int, str] | None:
    here = drawn[wish.room]
    if wish.kind == "outdoor light":
        rings = [n for n, way in enumerate(ways) if way.kind.takes == "sockets"]
        return (rng.choice(rings), "taken off a socket through a fused connection unit") if rings else None
    if wish.kind in ("light", "downlight"):
        if here.wish.use not in ("landing", "hall", "garage", "bathroom"):
            return None
        others = sorted(
            {w.way for w in wishes if w.way not in (wish.way, -1) and ways[w.way].kind is LIGHTS
             and _is_near(here, drawn[w.room])}
        )  # fmt: skip
        return (rng.choice(others), "taken from the nearest lighting cable") if others else None
    if wish.kind not in ("socket", "usb socket", "fused unit", "appliance outlet", "outdoor socket"):
        return None
    near = [
        other
        for other in wishes
        if other.way not in (wish.way, -1)
        and ways[other.way].kind.takes in ("sockets", "both")
        and other.family == "sockets"
        and _is_near(here, drawn[other.room])
    ]
    if not near:
        return None
    source = rng.choice(near)
    there = drawn[source.room].wish.storey
    level = here.wish.storey
    if level is None or there is None or level == there:
        return source.way, "added as a spur through the wall"
    return source.way, f"added as a spur from {'below' if there < level else 'above'}"


def _is_near(one: Drawn, other: Drawn) -> bool:
    """Whether two rooms lie side by side or one over the other; what isn't drawn is near to nothing in particular."""
    if one.box is None or other.box is None:
        return one.box is not other.box
    storeys = abs((one.wish.storey or 0) - (other.wish.storey or 0))
    has_garage = "garage" in (one.wish.use, other.wish.use)
    if storeys > (0 if has_garage else 1):
        return False
    reach = 3200 if has_garage else 400
    (a, b, c, d), (e, f, g, h) = one.box, other.box
    return a - reach < g and e - reach < c and b - reach < h and f - reach < d


def _own(
    rng: Random, rooms: Sequence[RoomWish], way: Way, number: int, seen: Counter[str], elsewhere: Collection[str]
) -> list[Wish]:
    use = way.kind.use
    uses = ("hall", "landing") if use == "passage" else (use,)
    if way.kind.feeds[0] == "immersion heater" and any(room.use == "landing" for room in rooms):
        uses = ("landing",)
    places = [n for n, room in enumerate(rooms) if room.use in uses] or [0]
    place = places[seen[use] % len(places)] if use in ("bathroom", "bedroom") else rng.choice(places)
    seen[use] += 1
    found = []
    for turn, kind in enumerate(way.kind.feeds):
        if turn and kind in elsewhere:
            continue
        wish = make(rng, place, kind, _FIRST if turn == 0 else 2.5 + rng.random(), "")
        wish.family, wish.way = "own", number
        wish.what = "fridge-freezer" if kind == "appliance outlet" else ""
        found.append(wish)
    return found


def _claim(
    rng: Random,
    rooms: Sequence[RoomWish],
    wishes: list[Wish],
    number: int,
    is_its: Callable[[Wish], bool],
    kind: str,
    use: str,
) -> None:
    """Give a way the points that are its, and make sure that it has one."""
    mine = [wish for wish in wishes if is_its(wish)]
    if not mine:
        place = next((n for n, room in enumerate(rooms) if room.use == use), 0)
        mine = [make(rng, place, kind, 0.0, "")]  # type: ignore[arg-type]  # a word of the trade, chosen above
        wishes += mine
    for wish in mine:
        wish.way = number
    min(mine, key=lambda wish: wish.rank).rank = _MUST


def _for_general(rng: Random, rooms: Sequence[RoomWish], ways: Sequence[Way], wishes: list[Wish]) -> None:
    """Make sure of a point for every way that is for no use of rooms in particular."""
    families: tuple[Family, ...] = ("sockets", "lights")
    for family in families:
        wanted = sum(way.kind.takes == family and not way.kind.use for way in ways)
        general = sorted((w for w in wishes if w.way < 0 and w.family == family), key=lambda w: w.rank)
        if wanted > len(general):
            more = more_wishes(rng, rooms, family)
            while wanted > len(general):
                wish = next(more)
                _to_its_way(rooms, ways, [wish])
                wishes.append(wish)
                general += [wish] if wish.way < 0 else []
        for wish in general[:wanted]:
            wish.rank = _MUST


def _to_its_way(rooms: Sequence[RoomWish], ways: Sequence[Way], wishes: Sequence[Wish]) -> None:
    by_use = {(way.kind.use, way.kind.takes): n for n, way in enumerate(ways) if way.kind.use}
    for wish in wishes:
        use = rooms[wish.room].use
        if use != "passage":
            wish.way = by_use.get((use, "both"), by_use.get((use, "sockets"), -1) if wish.family == "sockets" else -1)


def _where(room: Drawn) -> tuple[int, int, int]:
    """Give where a room comes on the way through the home: storey by storey, back row to the right, front row back."""
    if room.box is None:
        return (0, 9, 0) if room.wish.use == "outdoors" else (9, 0, 0)
    x0, y0, _, _ = room.box
    level = room.wish.storey or 0
    if room.wish.use == "garage":
        return level, 8, 0
    return (level, 0, x0) if y0 == 0 else (level, 1, -x0)


def _seam(one: Drawn, other: Drawn) -> float:
    """Give how gladly a circuit ends between two points: between storeys most, inside a room least."""
    if one.storey != other.storey:
        return 4.0
    return 0.0 if one is other else 2.0


def _cuts(items: Sequence[Wish], parts: int, seam: Callable[[Wish, Wish], float]) -> list[int]:
    """Cut a list into so many parts of about the same size, gladly at a seam; every part has at least one."""
    cuts = [0]
    size = len(items) / parts
    for number in range(1, parts):
        low, high = cuts[-1] + 1, len(items) - (parts - number)
        ideal = size * number
        reach = max(1.0, size / 2.2)
        near = range(max(low, round(ideal - reach)), min(high, round(ideal + reach)) + 1) or range(low, high + 1)
        gain = {at: seam(items[at - 1], items[at]) * max(1.0, size / 6) - abs(at - ideal) for at in near}
        cuts.append(max(near, key=lambda at: (gain[at], -at)))
    return [*cuts, len(items)]


def _storey_name(room: Drawn) -> str | None:
    names = ("Ground floor", "First floor", "Second floor")
    return names[min(room.wish.storey, 2)] if room.wish.storey is not None else None


def _part_of_home(drawn: Sequence[Drawn], rooms: Sequence[int], storeys: set[str]) -> str:
    """Give a few words for some rooms, as a careful electrician writes them beside a way."""
    indoors = [n for n in rooms if drawn[n].box is not None]
    names = [drawn[n].wish.name.lower() for n in indoors or rooms]
    if len(names) <= 2:
        return " and ".join(names)
    in_storey = {name: sum(_storey_name(room) == name for room in drawn) for name in storeys}
    if len(storeys) == 1 and len(indoors) * 2 > next(iter(in_storey.values())):
        return next(iter(storeys)).lower()
    if len(storeys) > 1 and len(indoors) * 3 > len(drawn) * 2:
        return "whole home"
    return f"{names[0]} to {names[-1]}"


def _tell_apart(ways: Sequence[Way]) -> None:
    seen: Counter[str] = Counter()
    for way in ways:
        seen[way.title] += 1
        if seen[way.title] > 1:
            way.title += f" {seen[way.title]}"
