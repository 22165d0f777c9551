"""Rooms from typed sizes: read, placed beside one another a wall apart, and made to stick where they are put."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from circuitmap.errors import HomeError, PersonError
from circuitmap.home.records import Room
from circuitmap.plan.outlines import Corner, Outline, check_outline, polygon_of
from circuitmap.plan.rooms import has_outline
from circuitmap.plan.sides import Face, faces_of
from circuitmap.quantities import parse_room_size_mm
from circuitmap.quantities.show import show_length

Edge = Literal["right", "below", "left", "above"]
EDGES: Final[tuple[Edge, ...]] = ("right", "below", "left", "above")

_OUT: Final[dict[Edge, tuple[int, int]]] = {"right": (1, 0), "below": (0, 1), "left": (-1, 0), "above": (0, -1)}
# A cupboard for meters is 0.3 m; a barn 50 m.
_LEAST_MM: Final = 300
_MOST_MM: Final = 50_000
# So much of a side must be shared for rooms to be called beside one another; a doorway fits.
_SHARED_MM: Final = 600
_STRAIGHT: Final = 0.999
_WHERE: Final = re.compile(
    r"[\s,]*\b(?P<edge>right|left|below|under|above|over)\b(?:\s+(?:of|the))*(?:\s+(?P<room>.*))?$", re.IGNORECASE
)
_WORDS: Final[dict[str, Edge]] = {
    "right": "right", "left": "left", "below": "below", "under": "below", "above": "above", "over": "above",
}  # fmt: skip
_SIGNS: Final = ("½", "¼", "¾", ".", ",")
_DANGLING: Final = re.compile(r"(?:^|[\s\d])(?:x|by|[×✕*])$", re.IGNORECASE)
EXAMPLE: Final = "Kitchen 3.6 × 4.2"


@dataclass(frozen=True)
class Sized:
    """A room as typed: its name ("" when none was), its size, and where it should go, as far as that was said."""

    name: str
    width_mm: int
    depth_mm: int
    edge: Edge | None = None
    beside: str = ""


@dataclass(frozen=True)
class Stick:
    """Where an outline comes to lie after sticking, and to what in words ("" when nothing was near)."""

    outline: Outline
    why: str


def read_sized(typed: str) -> Sized:
    """Read a room as one types it: ``Kitchen 3.6 × 4.2``, ``Hall 12' by 5' 6"``, ``Bath 2 x 2.2 below Hall``.

    The first length is how far it goes across the plan, the second how far down.

    Raises
    ------
    HomeError
        When it has no size, or none that a room has.
    QuantityError
        When what looks like the size is none.
    """
    text = " ".join(typed.split())
    try:
        return _sized(text, None, "")
    except PersonError:
        where = _WHERE.search(text)
        if where is None or not where.start():
            raise
    edge = _WORDS[where["edge"].casefold()]
    return _sized(text[: where.start()], edge, (where["room"] or "").strip(" “”\"'"))


def read_list(typed: str) -> list[str]:
    """Part what was typed or pasted into the rooms it names: one a line, or parted by semicolons."""
    return [line.strip() for line in re.split(r"[;\n\r\u2028\u2029]+", typed) if line.strip()]


def room_by_size(width_mm: int, depth_mm: int, at_mm: Corner = (0, 0)) -> Outline:
    """Give a rectangle of a size, from its top left corner on."""
    x, y = at_mm
    return ((x, y), (x + width_mm, y), (x + width_mm, y + depth_mm), (x, y + depth_mm))


def room_beside(
    width_mm: int, depth_mm: int, room: Room, edge: Edge, others: Iterable[Room], *, gap_mm: float
) -> Outline:
    """Give a rectangle on one side of a room, a wall apart: at the side's beginning, or where it is free first.

    Raises
    ------
    HomeError
        When that side has no place left for it.
    """
    out_x, out_y = _OUT[edge]
    start, from_, to = _side_towards(room, edge)
    gap = round(gap_mm)
    run = depth_mm if out_x else width_mm
    rest = [other for other in others if other.id != room.id and has_outline(other)]
    boxes = [polygon_of(other.outline_mm).bounds for other in rest]
    ends = sorted({round(box[3 if out_x else 2]) + gap for box in boxes})
    before = sorted({round(box[1 if out_x else 0]) - gap - run for box in boxes}, reverse=True)
    solids = [polygon_of(other.outline_mm) for other in (*rest, room)]
    for at in (start, *(end for end in ends if end > start), to - run, *before):
        if min(at + run, to) - max(at, from_) < min(_SHARED_MM, run, to - from_):
            continue
        if out_x:
            x = _edge_of(room, edge) + gap if out_x > 0 else _edge_of(room, edge) - gap - width_mm
            outline = room_by_size(width_mm, depth_mm, (x, at))
        else:
            y = _edge_of(room, edge) + gap if out_y > 0 else _edge_of(room, edge) - gap - depth_mm
            outline = room_by_size(width_mm, depth_mm, (at, y))
        if _is_free(outline, solids, gap):
            return outline
    where = {"right": "right of", "left": "left of", "below": "below", "above": "above"}[edge]
    raise HomeError(f"There is no place left {where} “{room.name}”; choose another side or another room.")


def room_next(
    width_mm: int, depth_mm: int, room: Room, others: Sequence[Room], *, gap_mm: float, edge: Edge = "right"
) -> tuple[Outline, Edge]:
    """Give a rectangle beside a room on the side that was asked for, or else on the next that is free."""
    for tried in (edge, *(other for other in EDGES if other != edge)):
        try:
            return room_beside(width_mm, depth_mm, room, tried, others, gap_mm=gap_mm), tried
        except HomeError:
            continue
    raise HomeError(f"There is no place left beside “{room.name}”; choose another room, or click where it goes.")


def stick(outline_mm: Sequence[Corner], others: Iterable[Room], *, gap_mm: float, reach_mm: float) -> Stick:
    """Shift a new or moved room so that its sides lie a wall off its neighbours', or in line with theirs.

    Its size stays. It shifts in at most two directions that cross, each by no more than the reach.
    """
    own = faces_of("", outline_mm)
    near = [(face, room) for room in others for face in faces_of(room.id, room.outline_mm)]
    found: list[tuple[float, float, Face, str]] = []
    for face in own:
        for other, room in near:
            turned = face.turned(other)
            if abs(turned) < _STRAIGHT:
                continue
            shift = face.away(other) - (gap_mm if turned < 0 else 0.0)
            if abs(shift) > reach_mm:
                continue
            start, end = face.span(other)
            shared = min(face.length, end) - max(0.0, start)
            if turned < 0 and shared < -reach_mm:
                continue
            # A wall counts for more than a line, and a line for more the nearer the rooms are.
            rank = 0.0 if turned < 0 else reach_mm + max(0.0, -shared)
            found.append((rank + abs(shift), shift, face, room.name if turned < 0 else ""))
    x, y = 0.0, 0.0
    first: Face | None = None
    said: list[str] = []
    for _, shift, face, name in sorted(found, key=lambda each: each[0]):
        if first is not None and abs(first.out[0] * face.out[0] + first.out[1] * face.out[1]) > 0.05:
            continue
        x, y = x + shift * face.out[0], y + shift * face.out[1]
        said.append(f"a wall off {name}" if name else "in line")
        if first is not None:
            break
        first = face
    moved = tuple((round(ax + x), round(ay + y)) for ax, ay in outline_mm)
    return Stick(moved, ", ".join(dict.fromkeys(said)))


def named_room(rooms: Iterable[Room], name: str) -> Room:
    """Give the room that goes by a name, however it is written large or small.

    Raises
    ------
    HomeError
        When none does, or it is not drawn.
    """
    wanted = " ".join(name.split()).casefold()
    found = [room for room in rooms if has_outline(room) and " ".join(room.name.split()).casefold() == wanted]
    if not found:
        raise HomeError(f"No room on this storey is called “{name}”; choose the room that it goes beside.")
    return found[-1]


def size_of(outline_mm: Sequence[Corner]) -> tuple[int, int]:
    """Give how far an outline goes across the plan and down it."""
    xs, ys = [x for x, _ in outline_mm], [y for _, y in outline_mm]
    return max(xs) - min(xs), max(ys) - min(ys)


def show_size(outline_mm: Sequence[Corner]) -> str:
    """Give the size of an outline as people write it: ``3.60 × 4.20 m``."""
    width, depth = size_of(outline_mm)
    return f"{width / 1000:.2f} × {depth / 1000:.2f} m"


def _sized(text: str, edge: Edge | None, beside: str) -> Sized:
    """Part a text into name and size: the size is the longest ending, or else beginning, that reads as one."""
    words = text.split(" ")
    numbers = [n for n, word in enumerate(words) if word[:1].isdigit() or word.startswith(_SIGNS)]
    if not numbers:
        raise HomeError(f"“{_short(text)}” has no size; write a name and two lengths, like {EXAMPLE}.")
    refused: PersonError | None = None
    for n in numbers:
        try:
            width, depth = parse_room_size_mm(" ".join(words[n:]))
        except PersonError as error:
            refused = refused or error
            continue
        if _DANGLING.search(" ".join(words[:n])):
            raise HomeError(f"“{_short(text)}” has more than two lengths; write a name and two, like {EXAMPLE}.")
        return _checked(" ".join(words[:n]), width, depth, edge, beside)
    if numbers[0] == 0:
        for n in range(len(words) - 1, 0, -1):
            try:
                width, depth = parse_room_size_mm(" ".join(words[:n]))
            except PersonError:
                continue
            return _checked(" ".join(words[n:]), width, depth, edge, beside)
    assert refused is not None
    raise refused


def _checked(name: str, width_mm: float, depth_mm: float, edge: Edge | None, beside: str) -> Sized:
    for length in (width_mm, depth_mm):
        if not _LEAST_MM <= length <= _MOST_MM:
            much = "more than 50 m" if length > _MOST_MM else "less than 0.3 m"
            raise HomeError(f"No room is {show_length(length)} long ({much}); check the size and its unit.")
    return Sized(name.strip(" ,:;-–—="), round(width_mm), round(depth_mm), edge, beside)


def _side_towards(room: Room, edge: Edge) -> tuple[int, int, int]:
    """Give where to begin along a side of a room, and from where to where that side runs."""
    out = _OUT[edge]
    at = _edge_of(room, edge)
    sides = [face for face in faces_of(room.id, room.outline_mm)
             if face.out[0] * out[0] + face.out[1] * out[1] > _STRAIGHT
             and abs((face.x if out[0] else face.y) - at) < 1]  # fmt: skip
    if sides:
        face = max(sides, key=lambda each: each.length)
        ends = sorted((face.y, face.far[1]) if out[0] else (face.x, face.far[0]))
    else:
        left, top, right, bottom = polygon_of(room.outline_mm).bounds
        ends = [top, bottom] if out[0] else [left, right]
    return round(ends[0]), round(ends[0]), round(ends[1])


def _edge_of(room: Room, edge: Edge) -> int:
    left, top, right, bottom = polygon_of(room.outline_mm).bounds
    at: float = {"right": right, "below": bottom, "left": left, "above": top}[edge]
    return round(at)


def _is_free(outline: Outline, solids: Iterable[object], gap: int) -> bool:
    """Whether an outline keeps a wall away from everything that is there."""
    import shapely

    grown = shapely.box(*polygon_of(check_outline(outline)).bounds).buffer(gap - 1, join_style="mitre")
    return not any(shapely.area(shapely.intersection(grown, solid)) > 1 for solid in solids)


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:39] + "…"
