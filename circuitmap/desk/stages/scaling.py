"""Ways to say how large a plan is, and what becomes of what was drawn on it when that changes; without Qt."""

import cmath
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from circuitmap.errors import HomeError, QuantityError
from circuitmap.home import Change, Home, combine, verbs
from circuitmap.home.records import Board, Fixture, Place, Plate, Point, Room, Sheet, Wall
from circuitmap.plan import implausible_scale, to_plan, to_px
from circuitmap.plan.rectify import compose
from circuitmap.plan.register import Fit, move_storey
from circuitmap.plan.scale import (
    door_check,
    mm_per_px_of_paper,
    parse_printed_scale,
    scale_from_print,
    scale_from_room,
    scaled_to,
)
from circuitmap.plan.sheet import Spot, Transform, inverse
from circuitmap.quantities import parse_room_length_mm, show_length
from circuitmap.trade import Trade

TITLE: Final = "Set the plan's scale"
_KEPT: Final = 1e-9


@dataclass(frozen=True)
class Proposal:
    """How a sheet would lie: its transform, what its scale goes by, and what must be said of it.

    ``carries`` is set where what was drawn is what the scale was taken from, so that it goes along unasked.
    """

    sheet: str
    px_to_plan_mm: Transform
    note: str
    says: str = ""
    title: str = TITLE
    carries: bool = False


def is_slanted(transform: Transform) -> bool:
    """Whether a transform straightens in perspective."""
    return abs(transform[6]) > 0 or abs(transform[7]) > 0


def by_two_points(sheet: Sheet, a_px: Spot, b_px: Spot, length_mm: float) -> Proposal:
    """Scale a sheet so that two of its pixels come to lie a measured length apart; what straightens it is kept.

    Raises
    ------
    HomeError
        When the two pixels are one, or the length is not more than zero.
    """
    before = matrix_of(sheet)
    matrix = scaled_to(before, a_px, b_px, length_mm, keep_px=_kept_px(before, a_px))
    return _plausible(sheet, matrix, f"{show_length(length_mm)} between two points")


def by_room(sheet: Sheet, room: Room, across: str, down: str) -> Proposal:
    """Scale a sheet by a room drawn on it whose width, depth or both were typed; the room goes along.

    Raises
    ------
    QuantityError
        When what was typed is no length.
    HomeError
        When nothing was typed, or the room has no outline.
    """
    across_mm = parse_room_length_mm(across) if across.strip() else None
    down_mm = parse_room_length_mm(down) if down.strip() else None
    # The room was drawn on the plan as it lies now, so a millimetre of that plan does as a pixel.
    found = scale_from_room([(float(x), float(y)) for x, y in room.outline_mm], across_mm, down_mm)
    before = matrix_of(sheet)
    times = found.px_to_plan_mm[0]
    x, y = to_plan(before, *_kept_px(before, to_px(before, *map(float, room.outline_mm[0]))))
    matrix = compose((times, 0, x * (1 - times), 0, times, y * (1 - times), 0, 0, 1), before)
    size = " × ".join(show_length(value) for value in (across_mm, down_mm) if value is not None)
    proposal = _plausible(sheet, matrix, f"{room.name[:40]}, {size}")
    return Proposal(sheet.id, matrix, proposal.note, _joined(found.says, proposal.says), carries=True)


def by_print(sheet: Sheet, typed: str, paper: str, paper_mm_per_px: float | None) -> Proposal:
    """Scale a sheet by the scale printed on it.

    Parameters
    ----------
    typed
        The scale, like 1:50 or 1:50 at A3.
    paper
        The paper chosen, for when the typed scale names none.
    paper_mm_per_px
        Where the file tells how large its page is.

    Raises
    ------
    QuantityError
        When what was typed is no scale.
    HomeError
        When the sheet has not the paper's shape, was straightened, or its size can't be told.
    """
    before = matrix_of(sheet)
    if is_slanted(before):
        raise HomeError(
            "This plan was straightened from a photograph: type its printed scale while straightening it, or set the "
            "scale from two points and a length."
        )
    scale = parse_printed_scale(typed if not paper or _names_paper(typed) else f"{typed} at {paper}")
    width, height = _size_px(sheet)
    page_mm: tuple[float, float] | None = None
    if paper_mm_per_px is not None:
        mm_per_px, page_mm = paper_mm_per_px, (width * paper_mm_per_px, height * paper_mm_per_px)
    elif scale.paper:
        mm_per_px = mm_per_px_of_paper(width, height, scale.paper)
    else:
        raise HomeError("Say which paper the scale is printed for, like 1:50 at A3; a picture doesn't tell its size.")
    found = scale_from_print(scale, mm_per_px, page_mm)
    matrix = _resized(before, found.px_to_plan_mm[0])
    at = f" at {scale.paper}" if scale.paper else ""
    proposal = _plausible(sheet, matrix, f"1:{scale.ratio:g}{at}, as printed")
    return Proposal(sheet.id, matrix, proposal.note, _joined(found.says, proposal.says))


def by_file(sheet: Sheet, mm_per_px: float, kind: str) -> Proposal:
    """Scale a sheet by the unit that its file is drawn in."""
    return _plausible(sheet, _resized(matrix_of(sheet), mm_per_px), f"as drawn in the {kind}")


def rescaled(home: Home, proposal: Proposal, *, along: bool) -> Change:
    """Make the change that gives a sheet its scale, with what was drawn on its storey or without."""
    sheet = home.take(Sheet, proposal.sheet)
    change = verbs.set_scale(home, sheet.id, proposal.px_to_plan_mm, proposal.note)
    if not along:
        return Change(proposal.title, change.pairs)
    by = compose(proposal.px_to_plan_mm, inverse(matrix_of(sheet)))
    moved = move_storey(home, sheet.storey, _fit_of(home, sheet.storey, by))
    rest = tuple(pair for pair in moved.pairs if not isinstance(pair[0], Sheet))
    return combine(proposal.title, (change, Change(proposal.title, rest)))


def drawn_here(home: Home, storey: str) -> str:
    """Say what was drawn on a storey that a plan of another size would no longer fit, "" when nothing was."""
    rooms = sum(1 for room in home.table(Room).values() if room.storey == storey and room.outline_mm)
    walls = sum(1 for wall in home.table(Wall).values() if wall.storey == storey and not wall.from_rooms)
    points = 0
    for kind in (Point, Plate, Board, Fixture):
        for record in home.table(kind).values():
            place: Place | None = record.place  # type: ignore[attr-defined]  # each of the four has one
            points += place is not None and place.storey == storey
    counts = ((rooms, "room", "rooms"), (walls, "wall", "walls"), (points, "thing placed", "things placed"))
    said = [f"{count} {one if count == 1 else many}" for count, one, many in counts if count]
    return " and ".join((", ".join(said[:-1]), said[-1])) if len(said) > 1 else "".join(said)


def is_same_place(home: Home, proposal: Proposal) -> bool:
    """Whether a proposal leaves everything where it is."""
    before = matrix_of(home.take(Sheet, proposal.sheet))
    return all(abs(a - b) <= _KEPT * max(1.0, abs(a)) for a, b in zip(before, proposal.px_to_plan_mm, strict=True))


def doors_said(home: Home, storey: str, trade: Trade) -> str:
    """Say when the doors in a storey's walls come out wider or narrower than doors are; "" when nothing is known."""
    widths = door_widths_mm(home, storey)
    return door_check(widths, trade)


def door_widths_mm(home: Home, storey: str) -> list[float]:
    """Give the widths of the doors in a storey's walls."""
    return [
        float(opening.width_mm)
        for wall in home.table(Wall).values()
        if wall.storey == storey
        for opening in wall.openings
        if "door" in opening.kind
    ]


def widths_on_plan_mm(transform: Transform, ends_px: Sequence[tuple[Spot, Spot]]) -> list[float]:
    """Give how wide gaps of a sheet come out on the plan, from their ends on the sheet."""
    widths = []
    for a_px, b_px in ends_px:
        a, b = to_plan(transform, *a_px), to_plan(transform, *b_px)
        widths.append(abs(complex(*a) - complex(*b)))
    return widths


def matrix_of(sheet: Sheet) -> Transform:
    """Give how a sheet lies.

    Raises
    ------
    HomeError
        When it was brought in without its size.
    """
    if sheet.px_to_plan_mm is None or sheet.width_px is None or sheet.height_px is None:
        raise HomeError("This sheet was brought in without its size; bring the plan in again.", sheet.id)
    return sheet.px_to_plan_mm


def local_fit(by: Transform, at: Spot) -> Fit:
    """Give a transform with what it does to size and direction at one spot of the plan."""
    step = 100.0
    here = complex(*to_plan(by, *at))
    right = (complex(*to_plan(by, at[0] + step, at[1])) - here) / step
    down = (complex(*to_plan(by, at[0], at[1] + step)) - here) / step
    area = abs(right.real * down.imag - right.imag * down.real)
    if area == 0:
        raise HomeError("What was drawn would come to lie on one line; check the scale.")
    return Fit(by, area**0.5, cmath.phase(right) * 180 / cmath.pi, 0.0, 0.0, 0, "")


def _fit_of(home: Home, storey: str, by: Transform) -> Fit:
    spots = [spot for room in home.table(Room).values() if room.storey == storey for spot in room.outline_mm]
    if not spots:
        spots = [
            (record.place.x_mm, record.place.y_mm)
            for record in home.table(Point).values()
            if record.place is not None and record.place.storey == storey
        ] or [(0, 0)]
    middle = sum(x for x, _ in spots) / len(spots), sum(y for _, y in spots) / len(spots)
    return local_fit(by, middle)


def _resized(before: Transform, mm_per_px: float) -> Transform:
    """Give a transform with another scale, the sheet's first pixel where it was and turned as it was."""
    times = mm_per_px / abs(complex(before[0], before[3])) * abs(complex(before[8], 0))
    x, y = to_plan(before, 0, 0)
    return compose((times, 0, x * (1 - times), 0, times, y * (1 - times), 0, 0, 1), before)


def _kept_px(before: Transform, near_px: Spot) -> Spot:
    """Give the pixel that stays where it is: the picture's first, or on a straightened photograph a near one."""
    return near_px if is_slanted(before) else (0.0, 0.0)


def _plausible(sheet: Sheet, matrix: Transform, note: str) -> Proposal:
    doubt = "" if is_slanted(matrix) else implausible_scale(matrix, *_size_px(sheet))
    return Proposal(sheet.id, matrix, note, doubt)


def _size_px(sheet: Sheet) -> tuple[int, int]:
    matrix_of(sheet)
    assert sheet.width_px is not None
    assert sheet.height_px is not None
    return sheet.width_px, sheet.height_px


def _names_paper(typed: str) -> bool:
    try:
        return bool(parse_printed_scale(typed).paper)
    except QuantityError:
        return False


def _joined(*parts: str) -> str:
    return " ".join(part for part in parts if part)
