"""The plan as geometry: scales, outlines, rooms, snapping, walls, fixtures, zones, and which room anything stands in.

Pure functions and values over records and plain millimetres; the geometry library is loaded when it is first asked
something. What only drawing needs is asked of its own module, so that reading a home stays quick: ``rectify``,
``scale``, ``register``, ``walls_of``, ``walls_keep``, ``elevation``, ``permitted``, ``facing``, ``tracing``, and for
rooms drawn by hand ``sketch``, ``sketched``, ``sides``, ``corners``, ``reshape``. Angles count from 0° (to the right)
through 90° (down the plan). Nothing here draws or knows circuits; a change is given, never made.
"""

from circuitmap.plan.fixtures import move_fixture, outline_of, put_at, put_fixture, turn_fixture
from circuitmap.plan.outlines import area_m2, check_outline, tidy_outline, union_area_m2
from circuitmap.plan.rooms import RoomIndex, adjacent, room_at, rooms_area_m2, shared_walls, touching_groups
from circuitmap.plan.sheet import (
    Spread,
    Transform,
    implausible_scale,
    inverse,
    laid_on_two_points,
    scale_from_two_points,
    second_length,
    to_plan,
    to_px,
)
from circuitmap.plan.snap import Snapped, Snapper, snap
from circuitmap.plan.walls import WallLines
from circuitmap.plan.where import neighbours, place_of, room_of, rooms_of_points, rooms_on, storey_of, to_wall
from circuitmap.plan.zones import Zone, bathroom_zones, zone_at

__all__ = [
    "RoomIndex",
    "Snapped",
    "Snapper",
    "Spread",
    "Transform",
    "WallLines",
    "Zone",
    "adjacent",
    "area_m2",
    "bathroom_zones",
    "check_outline",
    "implausible_scale",
    "inverse",
    "laid_on_two_points",
    "move_fixture",
    "neighbours",
    "outline_of",
    "place_of",
    "put_at",
    "put_fixture",
    "room_at",
    "room_of",
    "rooms_area_m2",
    "rooms_of_points",
    "rooms_on",
    "scale_from_two_points",
    "second_length",
    "shared_walls",
    "snap",
    "storey_of",
    "tidy_outline",
    "to_plan",
    "to_px",
    "to_wall",
    "touching_groups",
    "turn_fixture",
    "union_area_m2",
    "zone_at",
]
