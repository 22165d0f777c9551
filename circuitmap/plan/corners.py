"""Rooms reshaped by their corners, and by cutting boxes out of them; what can't be is refused in a sentence."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from circuitmap.errors import HomeError
from circuitmap.home.records import Room
from circuitmap.plan.line_snap import LineSnap, SheetLines
from circuitmap.plan.outlines import Corner, Outline, check_outline, polygon_of, tidy_outline
from circuitmap.plan.sides import GRID_MM, faces_of

_SLANT: Final = 0.05
_NEAR_END_MM: Final = 50.0
_OVERLAP_MM2: Final = 5_000.0


@dataclass(frozen=True)
class StuckCorner:
    """Where a dragged corner goes, what it stuck to in words, and the line of the sheet that it is on, if any."""

    corner: Corner
    why: str
    on: LineSnap | None = None


def add_corner(outline_mm: Sequence[Corner], side: int, at_mm: tuple[float, float]) -> Outline:
    """Put a corner into a side, where a spot lies nearest."""
    outline = tidy_outline(outline_mm)
    face = faces_of("", outline)[side]
    along = face.on(*at_mm)
    if not _NEAR_END_MM <= along <= face.length - _NEAR_END_MM:
        raise HomeError("There is a corner here already; double-click further along the side.")
    new = (round(face.x + along * face.along[0]), round(face.y + along * face.along[1]))
    return (*outline[: side + 1], new, *outline[side + 1 :])


def move_corner(outline_mm: Sequence[Corner], corner: int, to_mm: Corner, name: str = "") -> Outline:
    """Move one corner of an outline."""
    outline = list(tidy_outline(outline_mm))
    outline[corner] = to_mm
    return check_outline(outline, name)


def remove_corner(outline_mm: Sequence[Corner], corner: int, name: str = "") -> Outline:
    """Take one corner out of an outline."""
    outline = tidy_outline(outline_mm)
    if len(outline) <= 3:
        raise HomeError("A room keeps at least three corners; to be rid of the room, choose it and press Delete.")
    return check_outline((*outline[:corner], *outline[corner + 1 :]), name)


def cut_out(outline_mm: Sequence[Corner], box_mm: tuple[float, float, float, float], name: str = "") -> Outline:
    """Cut a box (its x and y from, then to) off an outline, so that a rectangle becomes an L.

    Raises
    ------
    HomeError
        When the box misses the room, would part it, leaves a hole, or leaves nothing.
    """
    import shapely

    outline = tidy_outline(outline_mm)
    called = f"“{name}”" if name else "the room"
    whole = polygon_of(outline)
    left = whole.difference(shapely.box(*box_mm))
    if left.area > whole.area - _OVERLAP_MM2:
        raise HomeError(f"Nothing of {called} lies in that box; draw it over a corner or a side of the room.")
    if not isinstance(left, shapely.Polygon) or left.is_empty:
        raise HomeError(f"That would leave {called} in pieces or nothing of it; cut less.")
    if left.interiors:
        raise HomeError(f"That would leave a hole in {called}; begin the box outside the room.")
    corners = [(round(x), round(y)) for x, y in shapely.remove_repeated_points(left.simplify(0.5)).exterior.coords]
    return check_outline(corners, name)


def stick_corner(
    outline_mm: Sequence[Corner],
    corner: int,
    to_mm: tuple[float, float],
    others: Iterable[Room],
    *,
    gap_mm: float,
    reach_mm: float,
    sheet: SheetLines | None = None,
) -> StuckCorner:
    """Give where a dragged corner should go: level with its neighbours, a wall off other rooms, or on whole steps.

    An end or a crossing in the sheet's line work comes first; a line of it counts like the others.
    """
    outline = tidy_outline(outline_mm)
    x, y = to_mm
    lines: list[tuple[float, float, float, float, str]] = []
    for ax, ay in (outline[corner - 1], outline[(corner + 1) % len(outline)]):
        lines += [(ax, ay, 1.0, 0.0, "level"), (ax, ay, 0.0, 1.0, "level")]
    for room in others:
        for face in faces_of(room.id, room.outline_mm):
            if -gap_mm - reach_mm <= face.on(x, y) <= face.length + gap_mm + reach_mm:
                at = face.x + gap_mm * face.out[0], face.y + gap_mm * face.out[1]
                lines.append((*at, *face.along, f"a wall off {room.name}"))
    on = sheet.snap(x, y, reach_mm) if sheet is not None else None
    if on is not None and on.kind != "line":
        return StuckCorner((round(on.x_mm), round(on.y_mm)), on.why, on)
    if on is not None:
        lines.append((on.x_mm, on.y_mm, *on.along, on.why))
    off = sorted((abs((x - lx) * uy - (y - ly) * ux), n) for n, (lx, ly, ux, uy, _) in enumerate(lines))
    near = [lines[n] for away, n in off if away <= reach_mm]
    if not near:
        return StuckCorner((round(x / GRID_MM) * GRID_MM, round(y / GRID_MM) * GRID_MM), "")
    lx, ly, ux, uy, why = near[0]
    for ox, oy, vx, vy, also in near[1:]:
        turn = ux * vy - uy * vx
        if abs(turn) >= _SLANT:
            along = ((ox - lx) * vy - (oy - ly) * vx) / turn
            said = why if also == why else f"{why}, {also}"
            used = on if on is not None and on.why in (why, also) else None
            return StuckCorner((round(lx + along * ux), round(ly + along * uy)), said, used)
    along = round(((x - lx) * ux + (y - ly) * uy) / GRID_MM) * GRID_MM
    used = on if on is not None and on.why == why else None
    return StuckCorner((round(lx + along * ux), round(ly + along * uy)), why, used)
