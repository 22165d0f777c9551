"""What is shown while a room is reshaped: which part is under the pointer, live sizes along the sides, the area."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from circuitmap.desk.canvas.gestures import Touch
from circuitmap.desk.theme import TARGET_PX
from circuitmap.drawing.marks import Area, Ink, Line, Mark, Words
from circuitmap.home.records import Corner, Room
from circuitmap.plan import tidy_outline
from circuitmap.plan.outlines import area_m2, check_outline, polygon_of
from circuitmap.plan.sides import Face, faces_of
from circuitmap.plan.sketch import show_size
from circuitmap.quantities.show import show_area, show_length

PartKind = Literal["corner", "side", "room"]

_REACH_PX = TARGET_PX / 2
_HANDLE_PX = 6.0
_SHORT_PX = 46.0  # a side shorter than this on the screen has no room for its length
_IN_PX = 15.0
_NARROW_PX = 110.0
_AREA_DOWN_PX = 12.0
_SHARES = (0.5, 0.35, 0.65, 0.22, 0.78)


@dataclass(frozen=True)
class Part:
    """A part of a room that can be taken hold of."""

    room: str
    kind: PartKind
    number: int = 0


def part_at(room: Room | None, touch: Touch, hit: str) -> Part | None:
    """Give the part of a chosen room under a touch: its corner before its side before the room itself.

    Points and boards (``hit`` is the topmost thing there) go before sides, for they stand on walls; inside the room
    whatever else lies there goes before it.
    """
    if room is None:
        return None
    faces = faces_of(room.id, room.outline_mm)
    # In a room that is small on the screen, its middle stays free to take hold of the room itself.
    shortest = min(face.length for face in faces) / touch.mm_per_px
    reach = max(6.0, min(_REACH_PX, shortest / 4)) * touch.mm_per_px
    for face in faces:
        if max(abs(face.x - touch.x_mm), abs(face.y - touch.y_mm)) <= reach:
            return Part(room.id, "corner", face.number)
    if hit[:1] in ("P", "B"):
        return None
    near = [(abs(face.off(*touch.spot)), face.number) for face in faces if 0 <= face.on(*touch.spot) <= face.length]
    if near and min(near)[0] <= reach:
        return Part(room.id, "side", min(near)[1])
    return Part(room.id, "room") if hit == room.id else None


def held_marks(room: Room, part: Part, mm_per_px: float) -> tuple[Mark, ...]:
    """Mark the part under the pointer, or chosen for the keys, with the size that it decides."""
    faces = faces_of(room.id, room.outline_mm)
    if part.kind == "corner":
        x, y = tidy_outline(room.outline_mm)[part.number]
        r = (_HANDLE_PX + 2) * mm_per_px
        box = ((x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r))
        sides = (faces[part.number - 1], faces[part.number])
        return (Area("overlay", (box,), "select"), *(_length(face, mm_per_px) for face in sides))
    if part.kind == "side":
        face = faces[part.number]
        ends = (faces[part.number - 1], faces[(part.number + 1) % len(faces)])
        return (
            Line("overlay", ((face.x, face.y), face.far), Ink("select", 6.0)),
            *(_length(each, mm_per_px) for each in (face, *ends)),
        )
    return ()


def room_marks(
    outline: Sequence[Corner], mm_per_px: float, *, is_whole: bool = True, before: Sequence[Corner] = (), name: str = ""
) -> tuple[Mark, ...]:
    """Show an outline as it would be, with its sizes and its area.

    Parameters
    ----------
    outline
        The corners.
    mm_per_px
        How large a pixel of the screen is.
    is_whole
        False for a neighbour that goes along: less strong.
    before
        The outline that is drawn on the plan, whose area is covered by the new one.
    name
        What the room is called, where it isn't drawn yet.
    """
    outline = check_outline(outline)
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    marks: list[Mark] = [Line("overlay", outline, Ink("select", 2.5 if is_whole else 1.5), closed=True)]
    area = show_area(area_m2(outline))
    if min(max(xs) - min(xs), max(ys) - min(ys)) / mm_per_px < _NARROW_PX:
        # No space inside: one line says all, above a new room and below one whose name stands in it.
        said = f"{name} {show_size(outline)}, {area}".strip()
        at, off = ((min(xs) + max(xs)) / 2, min(ys) if name else max(ys)), (0, -14 if name else 16)
        marks.append(
            Words("overlay", said, at, role="select", anchor="middle", plate=True, bold=is_whole, offset_px=off)
        )
        return tuple(marks)
    faces = faces_of("", outline)
    # Opposite sides of a rectangle say the same.
    shown = (
        faces[:2]
        if len(faces) == 4 and abs(_cross(faces[0], faces[2])) + abs(_cross(faces[1], faces[3])) < 1e-3
        else faces
    )
    spot = _middle(before or outline)
    x, y = spot[0] / mm_per_px, spot[1] / mm_per_px
    taken = [(x - 40, y - 14, x + 40, y + 24)]
    for face in sorted(shown, key=lambda each: -each.length):
        if face.length / mm_per_px >= _SHORT_PX:
            marks += _clear_length(face, mm_per_px, taken)
    said = f"{name} {area}".strip()
    marks.append(
        Words("overlay", said, spot, role="select", size_px=14.0, anchor="middle", plate=True,
              offset_px=(0, _AREA_DOWN_PX if before else 0), bold=is_whole)
    )  # fmt: skip
    return tuple(marks)


def refused_mark(sentence: str, at_mm: tuple[float, float], typed: str = "") -> Mark:
    """Say beside the pointer why it can't be so."""
    words = f"{typed}: {sentence}" if typed else sentence.split(";")[0]
    return Words("overlay", words, at_mm, role="warn", offset_px=(16, -18), plate=True, bold=True)


def _length(face: Face, mm_per_px: float, share: float = 0.5) -> Words:
    x, y = face.x + share * face.length * face.along[0], face.y + share * face.length * face.along[1]
    inward = _IN_PX * mm_per_px
    aside = 1.9 if abs(face.out[0]) > 0.7 else 1.0  # words are wider than high
    spot = (x - aside * inward * face.out[0], y - inward * face.out[1])
    return Words("overlay", show_length(face.length), spot, role="select", anchor="middle", plate=True, bold=True)


def _clear_length(face: Face, mm_per_px: float, taken: list[tuple[float, float, float, float]]) -> list[Mark]:
    """Give a side's length where it lies over nothing that is said already; nothing where there is no such place."""
    for share in _SHARES:
        said = _length(face, mm_per_px, share)
        x, y = said.at_mm[0] / mm_per_px, said.at_mm[1] / mm_per_px
        box = (x - 26, y - 11, x + 26, y + 11)
        if not any(box[0] < x1 and x0 < box[2] and box[1] < y1 and y0 < box[3] for x0, y0, x1, y1 in taken):
            taken.append(box)
            return [said]
    return []


def _middle(outline: Sequence[Corner]) -> tuple[float, float]:
    """Give where a room's name stands."""
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    if len(outline) == 4:
        return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    spot = polygon_of(outline).representative_point()
    return float(spot.x), float(spot.y)


def _cross(face: Face, other: Face) -> float:
    return face.along[0] * other.along[1] - face.along[1] * other.along[0]
