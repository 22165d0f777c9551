"""What is wished, what an option would bring, and what is to go: marks over a storey's plan.

None of it is there. A wish is a pennant, a new cable a line of dashes in the colour of what is being thought of, what
is to go is crossed out; each has its word beside it, so that nothing is told by colour alone.
"""

import itertools
import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Final, Protocol

from circuitmap.drawing.marks import Glyph, Ink, Line, Mark, PointMm, Words
from circuitmap.drawing.roomful import CODE_PX
from circuitmap.drawing.routes import at_length, length
from circuitmap.drawing.standing import Stand
from circuitmap.drawing.symbols import symbol_name
from circuitmap.home import Home
from circuitmap.home.change import Change
from circuitmap.home.records import Device, Place, Point, Run, Storey, Wish

Marks = tuple[Mark, ...]
WISH_PX: Final = 30.0
_GO_PX: Final = 26.0
_WORDS_PX: Final = 14.0  # from the tip of a pennant to the middle of the words beside it
NEW: Final = "new"
_NEW_PX: Final = 22.0
_ROUTE_PX: Final = 3.0
# Lanes beside the wall, between it and those in which the runs of the map are drawn.
_FIRST_MM: Final = 40.0
_LANE_MM: Final = 45.0
_LANES: Final = 5
_FROM_ZOOM: Final = 0.02
# Where a route lies, as its dash says it: in a wall, in a floor, in a loft, out of doors.
ROUTE_DASHES: Final[Mapping[str, tuple[float, ...]]] = {
    "wall": (), "end": (), "floor": (10.0, 5.0), "loft": (3.0, 4.0), "outside": (14.0, 4.0, 3.0, 4.0),
}  # fmt: skip


class RouteSpot(Protocol):
    """A spot of a route: on which storey, where, and what it lies in."""

    @property
    def storey(self) -> str:
        """Its storey."""

    @property
    def x_mm(self) -> float:
        """Across the plan, in mm."""

    @property
    def y_mm(self) -> float:
        """Down the plan, in mm."""

    @property
    def surface(self) -> str:
        """What it lies in: wall, floor, loft, outside or end."""

    @property
    def on(self) -> str:
        """The id of the face of a wall, or of the void, that it lies in."""


def wish_marks(
    storey: str, wishes: Sequence[Wish], stands: Mapping[str, Stand], chosen: int = -1,
    without: Collection[int] = (),
) -> Marks:  # fmt: skip
    """Give the marks of an extension's wishes on a storey, numbered from 1.

    Parameters
    ----------
    stands
        Where the points of the storey are drawn, for those that are to move or to go.
    chosen
        The number, from 0, of the wish that is chosen.
    without
        Numbers of wishes that are shown otherwise: as the points of an option.
    """
    found: list[Mark] = []
    for n, wish in enumerate(wishes):
        if n in without:
            continue
        role = "select" if n == chosen else "accent"
        stand = stands.get(wish.point) if wish.point is not None else None
        if wish.act == "remove" and stand is not None:
            found += _going(stand, f"to go, req. {n + 1}", role)
        place = wish.place if wish.act != "remove" else None
        if place is None or place.storey != storey:
            continue
        at = (float(place.x_mm), float(place.y_mm))
        if wish.act == "move" and stand is not None:
            found.append(Line("overlay", (stand.at, at), Ink(role, 1.4, (2.0, 4.0))))
            found += _going(stand, "to move", role)
        found += wish_flag(place, f"req. {n + 1}", role, is_moved=wish.act == "move")
    return tuple(found)


def wish_flag(place: Place, words: str, role: str, *, is_moved: bool = False) -> Marks:
    """Give the pennant of one wish, with words beside it."""
    at, faces = (float(place.x_mm), float(place.y_mm)), place.faces_deg
    if faces is None:
        glyph = Glyph("overlay", "wish on ceiling", at, role=role, size_px=WISH_PX)
        away = (0.0, WISH_PX / 2 + 6.0)
    else:
        # A symbol's body stands towards -y unturned, which is a wall that faces 270 degrees.
        glyph = Glyph("overlay", "wish to move" if is_moved else "wish", at, (faces + 90) % 360, role=role,
                      size_px=WISH_PX)  # fmt: skip
        far = WISH_PX + _WORDS_PX + abs(math.cos(math.radians(faces))) * 14
        away = math.cos(math.radians(faces)) * far, math.sin(math.radians(faces)) * (WISH_PX + _WORDS_PX)
    offset = round(away[0], 1), round(away[1], 1)
    return glyph, Words("overlay", words, at, role, CODE_PX, "middle", offset, _FROM_ZOOM, bold=True, plate=True)


def going_marks(ids: Iterable[str], stands: Mapping[str, Stand], drawn: Mapping[str, Sequence[Mark]]) -> Marks:
    """Give the marks of what is to go on a storey.

    Parameters
    ----------
    ids
        The ids of points and runs.
    stands, drawn
        Where points are drawn, and the marks of the storey's plan, by id.
    """
    found: list[Mark] = []
    for record in sorted(ids):
        if record in stands:
            found += _going(stands[record], "to go", "break")
            continue
        path = max((m.pts for m in drawn.get(record, ()) if isinstance(m, Line)), key=length, default=())
        if len(path) > 1:
            spot, _ = at_length(path, length(path) / 2)
            found.append(Line("overlay", tuple(path), Ink("break", 1.2, (2.0, 5.0))))
            found.append(Glyph("overlay", "to go", spot, role="break", size_px=_GO_PX * 0.7))
            found.append(_beside(spot, "to go", "break", (0.0, _GO_PX * 0.7)))
    return tuple(found)


def option_marks(
    home: Home, storey: str, change: Change, paths: Iterable[Sequence[RouteSpot]], stands: Mapping[str, Stand],
    drawn: Mapping[str, Sequence[Mark]], faces: Mapping[str, PointMm], called: Mapping[str, str],
    role: str = "select",
) -> Marks:  # fmt: skip
    """Give the marks of an option on a storey: its cables, what it brings, what it would take out.

    Parameters
    ----------
    change
        What it would do to the home.
    paths
        The routes of its cables.
    stands, drawn
        Where points are drawn, and the marks of the storey's plan, by id.
    faces
        Which way each face of a wall looks, as a unit vector, by its id: routes are drawn beside it, in lanes.
    called
        What new points go by, by their ids; the others are "new".
    role
        The colour of what is being thought of.
    """
    found: list[Mark] = []
    for n, path in enumerate(paths):
        found += _route(home, storey, path, role, faces, _FIRST_MM + _LANE_MM * (n % _LANES))
    goes = [before.id for before, after in change.pairs if before is not None and _is_gone(after)]
    found += going_marks([i for i in goes if home.peek(i) is not None], stands, drawn)
    for before, after in change.pairs:
        place = after.place if before is None and isinstance(after, Point) else None
        # What nobody named (a joint, a blank plate) would only hide what is there.
        if isinstance(after, Point) and place is not None and place.storey == storey and after.id in called:
            found += new_point(after, place, role, called[after.id])
    return tuple(found)


def new_point(point: Point, place: Place, role: str, words: str = NEW) -> Marks:
    """Give a point that would come, on paper of its own, with a word beside it."""
    name = symbol_name(point.kind, gangs=point.gangs, on_wall=place.faces_deg is not None)
    turn = (place.faces_deg + 90) % 360 if place.faces_deg is not None else 0.0
    at = (float(place.x_mm), float(place.y_mm))
    along = math.radians(place.faces_deg if place.faces_deg is not None else 90.0)
    # What an option brings beside the wishes stands between their words: its own go behind the wall.
    far = _NEW_PX + _WORDS_PX if words != NEW else -_WORDS_PX
    offset = (round(math.cos(along) * (far + math.copysign(14.0, far)), 1), round(math.sin(along) * far, 1))
    glyph = Glyph("overlay", name, at, turn, role=role, size_px=_NEW_PX)
    return glyph, Words("overlay", words, at, role, CODE_PX, "middle", offset, _FROM_ZOOM, bold=True, plate=True)


def _route(
    home: Home, storey: str, path: Sequence[RouteSpot], role: str, faces: Mapping[str, PointMm], inset_mm: float
) -> Iterator[Mark]:
    stretch: list[PointMm] = []
    surface = ""
    for a, b in itertools.pairwise(path):
        if a.storey != b.storey:
            if storey in (a.storey, b.storey):
                here, there = (a, b) if a.storey == storey else (b, a)
                yield _to_storey(home, here, there.storey, role)
            continue
        if a.storey != storey:
            continue
        lies = _lies(a, b)
        off = faces.get(a.on if a.on == b.on or a.surface == "wall" else b.on, (0.0, 0.0)) if lies == "wall" else (0, 0)
        start, stop = ((p.x_mm + off[0] * inset_mm, p.y_mm + off[1] * inset_mm) for p in (a, b))
        if stretch and lies != surface:
            yield from _line([*stretch, start], surface, role)
            stretch = [stretch[-1]]
        surface = lies
        for spot in (start, stop):
            if not stretch or math.dist(spot, stretch[-1]) > 1.0:
                stretch.append(spot)
    yield from _line(stretch, surface, role)


def _lies(a: RouteSpot, b: RouteSpot) -> str:
    return a.surface if a.surface != "end" else b.surface


def _line(stretch: Sequence[PointMm], surface: str, role: str) -> Iterator[Mark]:
    if len(stretch) > 1:
        yield Line("overlay", tuple(stretch), Ink("paper", _ROUTE_PX + 2.5))  # an edge, where it lies on others
        yield Line("overlay", tuple(stretch), Ink(role, _ROUTE_PX, ROUTE_DASHES.get(surface, ())))


def _to_storey(home: Home, here: RouteSpot, there: str, role: str) -> Mark:
    levels = {each.id: each.level for each in home.table(Storey).values()}
    name = "goes up" if levels.get(there, 0) > levels.get(here.storey, 0) else "goes down"
    return Glyph("overlay", name, (here.x_mm, here.y_mm), role=role, size_px=22.0)


def _going(stand: Stand, words: str, role: str) -> Iterator[Mark]:
    x, y = stand.centre_px
    away = stand.faces or (0.0, 1.0)
    name = "to go from wall" if stand.faces is not None else "to go"
    yield Glyph("overlay", name, stand.at, stand.turn_deg, role=role, size_px=_GO_PX)
    far = _GO_PX / 2 + 8.0 + (len(words) * 2.6 if abs(away[0]) > abs(away[1]) else 0.0)
    yield _beside(stand.at, words, role, (round(x + away[0] * far, 1), round(y + away[1] * far, 1)))


def _beside(at: PointMm, words: str, role: str, offset: tuple[float, float]) -> Words:
    return Words("overlay", words, at, role, CODE_PX, "middle", offset, _FROM_ZOOM, bold=True, plate=True)


def _is_gone(record: object) -> bool:
    return record is None or (isinstance(record, Point | Run | Device) and record.phase == "removed")
