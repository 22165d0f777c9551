"""The storey below, shining through: its rooms as broken lines, and its stairs and chimney breasts."""

from circuitmap.drawing.fixtures import fixture_shape
from circuitmap.drawing.marks import Ink, Line, Mark, Words
from circuitmap.home import Home
from circuitmap.home.records import Fixture, Room, Storey

_THROUGH = ("stair", "chimney")
# From afar the names of the storey on show are enough.
_NAMED_FROM = 0.1
_INK = Ink("route", 1.5, (7.0, 5.0))


def storey_below(home: Home, storey: str) -> Storey | None:
    """Give the storey next below, None where there is none."""
    here = home.find(Storey, storey)
    if here is None:
        return None
    lower = [other for other in home.table(Storey).values() if other.level < here.level]
    return max(lower, key=lambda other: other.level, default=None)


def shining_marks(home: Home, storey: str) -> dict[str, tuple[Mark, ...]]:
    """Give the marks of the storey below, by keys that are no record's id, so that nothing of it can be chosen."""
    below = storey_below(home, storey)
    if below is None:
        return {}
    found: dict[str, tuple[Mark, ...]] = {}
    for room in home.table(Room).values():
        if room.storey == below.id and room.outline_mm:
            outline = tuple((float(x), float(y)) for x, y in room.outline_mm)
            found[f"below {room.id}"] = (Line("route", outline, _INK, closed=True), *_name(room))
    for fixture in home.table(Fixture).values():
        if fixture.place.storey == below.id and fixture.kind in _THROUGH and len(fixture.outline_mm) >= 3:
            shape = fixture_shape(fixture.kind, fixture.place, fixture.outline_mm, layer="route", role="route")
            found[f"below {fixture.id}"] = shape
    return found


def _name(room: Room) -> tuple[Mark, ...]:
    xs, ys = [x for x, _ in room.outline_mm], [y for _, y in room.outline_mm]
    words = f"below: {room.name}"
    # Where the room's own name never stands, near its foot, and only when it has room there.
    fits = max(len(words) * 6 / max(max(xs) - min(xs), 1), 40 / max(max(ys) - min(ys), 1))
    at = ((min(xs) + max(xs)) / 2, float(max(ys)))
    return (Words("route", words, at, "faint", 11.0, "middle", (0.0, -12.0), from_zoom=max(fits, _NAMED_FROM)),)
