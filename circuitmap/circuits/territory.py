"""The area that a circuit serves, how that divides the house, and the label it suggests.

Front and rear are told only where somebody has said which side of the plan is the front (a choice of the home,
"front side": bottom, top, left or right); otherwise rooms and storeys are named. None of it is ever a fault.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from circuitmap.circuits.views import CircuitView, Member
from circuitmap.home.records import Room, Storey, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.plan.where import place_of
from circuitmap.trade import Trade, load
from circuitmap.words import PointKind, kind_said

_FUSED: Final[PointKind] = "fused unit"

Divides = Literal["one room", "one storey", "several storeys", "front", "rear", "mixed", "nothing known"]
FRONT_SIDES: Final = ("bottom", "top", "left", "right")
# So much of what was placed must lie on one half for a circuit to be called front or rear (common practice, no source).
ONE_SIDED: Final = 0.9
ROOMS_NAMED: Final = 3


@dataclass(frozen=True, slots=True)
class Territory:
    """The area served: rooms and storeys (ids, lowest first), how it divides the house, words for it, a label."""

    rooms: tuple[Room, ...]
    storeys: tuple[str, ...]
    divides: Divides
    words: str
    label: str


def territory(view: CircuitView, home: Home, trade: Trade | None = None) -> Territory:
    """Give the area that a circuit serves, as far as its points are placed or listed under rooms."""
    trade = trade if trade is not None else load()
    members = [m for m in view.members if trade.point(m.point.kind).counts_as_point] or list(view.members)
    rooms = {m.room.id: m.room for m in members if m.room is not None}
    here = tuple(rooms[i] for i in sorted(rooms, key=natural_key))
    storeys = tuple(i for i in view.storeys if any(m.storey == i for m in members))
    divides = _divides(home, members, here, storeys)
    words = _words(home, divides, here, storeys)
    what = what_it_feeds(view, trade)
    return Territory(here, storeys, divides, words, f"{what} — {words}" if words else what)


def what_it_feeds(view: CircuitView, trade: Trade) -> str:
    """Give what a circuit feeds in one or two words: the family of most of its points, or its only kind of thing."""
    rows = [trade.point(member.point.kind) for member in view.members]
    rows = [row for row in rows if row.counts_as_point]
    if not rows:
        return "Sub-board" if view.boards_fed else "Nothing found"
    kinds = dict.fromkeys(row.kind for row in rows)
    if any(row.dedicated_usually for row in rows):
        first = next(row for row in rows if row.dedicated_usually)
        if len(kinds) == 1 or sum(row.family in ("sockets", "lights") for row in rows) <= 1:
            return _capital(first.kind)
    families = Counter(row.family for row in rows if row.family in ("sockets", "lights", "alarms"))
    if families:
        family, _ = min(families.items(), key=lambda each: (-each[1], ("sockets", "lights", "alarms").index(each[0])))
        return {"sockets": "Sockets", "lights": "Lights", "alarms": "Smoke alarms"}[family]
    if len(kinds) == 1:
        return _capital(kind_said(rows[0].kind) if len(rows) == 1 else rows[0].plural)
    # What a fused connection unit feeds says more than the unit does.
    named = [kind for kind in kinds if kind != _FUSED]
    return _capital(" and ".join(kind_said(kind) for kind in named[:2]))


def _divides(home: Home, members: list[Member], rooms: tuple[Room, ...], storeys: tuple[str, ...]) -> Divides:
    if not rooms and not storeys:
        return "nothing known"
    if len(rooms) == 1 and all(member.room is not None for member in members):
        return "one room"
    halves = _halves(home, members)
    if halves is not None:
        total = sum(sum(each.values()) for each in halves.values())
        front = sum(each["front"] for each in halves.values())
        if total and front >= ONE_SIDED * total:
            return "front"
        if total and total - front >= ONE_SIDED * total:
            return "rear"
        sides = {side for each in halves.values() if (side := _side(each))}
        if len(storeys) > 1 and len(sides) > 1:
            return "mixed"
    return "several storeys" if len(storeys) > 1 else "one storey"


def _side(half: Counter[str]) -> str:
    total = sum(half.values())
    return next((side for side in ("front", "rear") if total and half[side] >= ONE_SIDED * total), "")


def _halves(home: Home, members: Iterable[Member]) -> dict[str, Counter[str]] | None:
    """Count, per storey, how many points stand in the front and rear half of its outlines; None: front not known."""
    side = dict(home.details.choices).get("front side", "").strip().lower()
    if side not in FRONT_SIDES:
        return None
    axis = 0 if side in ("left", "right") else 1
    extents: dict[str, list[int]] = {}
    for room in home.table(Room).values():
        if room.storey is not None and room.outline_mm:
            extents.setdefault(room.storey, []).extend(corner[axis] for corner in room.outline_mm)
    counts: dict[str, Counter[str]] = {}
    for member in members:
        at = _along(home, member, axis)
        if at is None or member.storey is None or member.storey not in extents:
            continue
        middle = (min(extents[member.storey]) + max(extents[member.storey])) / 2
        if at == middle:
            continue
        far = at > middle
        is_front = far == (side in ("bottom", "right"))
        counts.setdefault(member.storey, Counter())["front" if is_front else "rear"] += 1
    return counts


def _along(home: Home, member: Member, axis: int) -> float | None:
    place = place_of(home, member.point)
    if place is not None:
        return place.x_mm if axis == 0 else place.y_mm
    if member.room is not None and member.room.outline_mm:
        spread = [corner[axis] for corner in member.room.outline_mm]
        return (min(spread) + max(spread)) / 2
    return None


def _words(home: Home, divides: Divides, rooms: tuple[Room, ...], storeys: tuple[str, ...]) -> str:
    if divides == "nothing known":
        return ""
    if divides == "one room":
        return rooms[0].name
    floors = _floors(home, storeys)
    if divides in ("front", "rear"):
        return f"{divides}, {floors}" if floors and len(home.table(Storey)) > 1 else divides
    if rooms and not _serves_all(home, rooms, storeys):
        named = [room.name for room in rooms[:ROOMS_NAMED]]
        if len(rooms) > ROOMS_NAMED:
            return f"{', '.join(named)} and {len(rooms) - ROOMS_NAMED} more"
        return _listed(named)
    return floors or _listed([room.name for room in rooms[:ROOMS_NAMED]])


def _serves_all(home: Home, rooms: tuple[Room, ...], storeys: tuple[str, ...]) -> bool:
    """Whether most rooms of the storeys are served, so that the storeys say more than a list of rooms."""
    there = [room for room in home.table(Room).values() if room.storey in storeys]
    return bool(there) and len(rooms) > ROOMS_NAMED and len(rooms) * 4 >= len(there) * 3


def _floors(home: Home, storeys: tuple[str, ...]) -> str:
    every = home.table(Storey)
    if len(storeys) > 1 and len(storeys) == len(every):
        return "both floors" if len(storeys) == 2 else "all floors"
    return _listed([_floor_name(every[i].name) for i in storeys])


def _floor_name(name: str) -> str:
    plain = name.strip()
    if not plain or plain[-1].isdigit() or any(word in plain.lower() for word in ("floor", "storey", "loft", "cellar")):
        return plain
    lowered = plain.lower()
    return f"{lowered} floor" if lowered in ("ground", "first", "second", "third", "top", "upper", "lower") else plain


def _listed(names: list[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else "".join(names)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
