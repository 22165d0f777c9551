"""Verbs of drawing: storeys, sheets and their scale, rooms, walls, fixtures."""

from collections.abc import Sequence

from circuitmap.home.change import Change
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Corner, Fixture, Place, Room, Sheet, Storey, Wall
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_common import edit
from circuitmap.words import Build, FixtureKind

Matrix = tuple[float, float, float, float, float, float, float, float, float]


def add_storey(home: Home, name: str, level: int = 0, height_mm: int | None = None) -> Change:
    """Add a storey; level 0 is the ground storey, 1 the one above it."""
    record = Storey(id=home.next_id(Storey), name=name, level=level, height_mm=height_mm)
    return Change(f"Add storey “{shorten(name, 30)}”", ((None, record),))


def add_sheet(home: Home, storey: str, asset: str, media: str, width_px: int, height_px: int, page: int = 1) -> Change:
    """Lay a picture under a storey's drawing; it has no scale until two points and a length give it one."""
    record = Sheet(
        id=home.next_id(Sheet), storey=storey, asset=asset, media=media, page=page, width_px=width_px,
        height_px=height_px,
    )  # fmt: skip
    return Change("Bring in a plan", ((None, record),))


def set_scale(home: Home, sheet: str, px_to_plan_mm: Matrix, note: str = "") -> Change:
    """Set how a sheet's pixels lie in plan millimetres."""
    return edit(home, sheet, "Set the plan's scale", px_to_plan_mm=px_to_plan_mm, scale_note=note)


def add_room(
    home: Home, name: str, outline_mm: Sequence[Corner] = (), storey: str | None = None, use: str = ""
) -> Change:
    """Add a room, drawn or (with no outline) only named."""
    record = Room(id=home.next_id(Room), name=name, storey=storey, use=use, outline_mm=tuple(outline_mm))
    return Change(f"Add room “{shorten(name, 30)}”", ((None, record),))


def reshape_room(home: Home, room: str, outline_mm: Sequence[Corner]) -> Change:
    """Give a room another outline."""
    return edit(home, room, f"Reshape room “{shorten(home.take(Room, room).name, 30)}”", outline_mm=tuple(outline_mm))


def add_wall(
    home: Home, storey: str, a_mm: Corner, b_mm: Corner, thickness_mm: int | None = None, build: Build = "unknown"
) -> Change:
    """Add a straight wall by its centre line."""
    record = Wall(id=home.next_id(Wall), storey=storey, a_mm=a_mm, b_mm=b_mm, thickness_mm=thickness_mm, build=build)
    return Change("Add wall", ((None, record),))


def add_fixture(home: Home, kind: FixtureKind, place: Place, outline_mm: Sequence[Corner] = ()) -> Change:
    """Add a bath, sink, stair or the like."""
    record = Fixture(id=home.next_id(Fixture), kind=kind, place=place, outline_mm=tuple(outline_mm))
    return Change(f"Add {kind}", ((None, record),))
