"""Bringing a plan in and giving it a scale: what the Draw stage does with a picture file and two picked points."""

from dataclasses import dataclass
from pathlib import Path

from circuitmap.errors import HomeError
from circuitmap.home import Change, Home, combine, verbs
from circuitmap.home.records import Room, Sheet, Storey
from circuitmap.home.verbs_plan import Matrix
from circuitmap.pictures import PictureInfo, is_line_drawing, look
from circuitmap.plan import implausible_scale, scale_from_two_points, second_length, to_px
from circuitmap.quantities import parse_length_mm, show_length

Spot = tuple[float, float]
# Until two points and a length say better, a picture lies as if its longer side were 12 m.
_GUESS_MM = 12_000.0
_QUICK_BYTES = 3_000_000
PATTERNS = "*.png *.jpg *.jpeg *.webp *.tif *.tiff *.heic *.heif *.pdf *.svg *.dxf"
"""What files are called that can be brought in; what they are is judged by their content."""


@dataclass(frozen=True, slots=True)
class Brought:
    """A picture read and checked, and the change that lays it under a storey."""

    picture: PictureInfo
    change: Change


def reads_quickly(path: Path) -> bool:
    """Whether a file is a small picture, read in no time; anything else is read while the window goes on."""
    try:
        with path.open("rb") as file:
            head = file.read(4_096)
        return path.stat().st_size <= _QUICK_BYTES and not is_line_drawing(head)
    except (OSError, ValueError):
        return True  # reading it says at once what is wrong


def bring_in(home: Home, path: Path, storey: str, page: int = 1) -> Brought:
    """Read a picture and make the change that lays it under a storey (a ground storey comes along if there is none).

    Raises
    ------
    PictureError
        When the file can't be used as a plan.
    """
    return lay(home, look(path, page=page), storey)


def lay(home: Home, picture: PictureInfo, storey: str) -> Brought:
    """Make the change that lays a picture under a storey, to scale where the file itself says it."""
    changes: list[Change] = []
    if not storey:
        added = verbs.add_storey(home, "Ground")
        changes.append(added)
        home, storey = home.apply(added), added.added(Storey)[0]
    laid = verbs.add_sheet(
        home, storey, picture.sha256, picture.media, picture.width_px, picture.height_px, picture.page
    )
    changes.append(laid)
    sheet = laid.added(Sheet)[0]
    home = home.apply(laid)
    mm_per_px = picture.mm_per_px or _GUESS_MM / max(picture.width_px, picture.height_px)
    note = f"as drawn in the {picture.kind}" if picture.mm_per_px else ""
    changes.append(verbs.set_scale(home, sheet, (mm_per_px, 0, 0, 0, mm_per_px, 0, 0, 0, 1), note))
    return Brought(picture, combine("Bring in a plan", changes))


def sheet_of(home: Home, storey: str) -> Sheet | None:
    """Give the sheet under a storey that came last."""
    return next((s for s in reversed(home.sorted(Sheet)) if s.storey == storey), None)


def has_scale(sheet: Sheet) -> bool:
    """Whether somebody gave a sheet its scale."""
    return bool(sheet.scale_note)


def scale_change(home: Home, sheet_id: str, a_mm: Spot, b_mm: Spot, typed: str) -> tuple[Change, str]:
    """Make the change that gives a sheet its scale, and a sentence of doubt about it (empty when there is none).

    Parameters
    ----------
    a_mm, b_mm
        The two picked points, on the plan as the sheet lies now.
    typed
        The length between them as the person wrote it ("3.2 m", "12 ft 6 in").

    Raises
    ------
    QuantityError
        When what was typed is no length.
    HomeError
        When the two points are one.
    """
    sheet = home.take(Sheet, sheet_id)
    length_mm = parse_length_mm(typed)
    if sheet.px_to_plan_mm is None or sheet.width_px is None or sheet.height_px is None:
        raise HomeError("This sheet was brought in without its size; bring the plan in again.", sheet_id)
    a_px, b_px = to_px(sheet.px_to_plan_mm, *a_mm), to_px(sheet.px_to_plan_mm, *b_mm)
    matrix = scale_from_two_points(a_px, b_px, length_mm)
    doubt = implausible_scale(matrix, sheet.width_px, sheet.height_px)
    if any(room.storey == sheet.storey and room.outline_mm for room in home.table(Room).values()):
        doubt = " ".join(
            part for part in (doubt, "Rooms drawn before keep their size; check that they still fit the plan.") if part
        )
    change = verbs.set_scale(home, sheet_id, matrix, f"{show_length(length_mm)} between two points")
    return change, doubt


def second_check(sheet: Sheet, a_mm: Spot, b_mm: Spot, typed: str) -> str:
    """Say how far a second known length disagrees with a sheet's scale.

    Raises
    ------
    QuantityError
        When what was typed is no length.
    """
    matrix: Matrix | None = sheet.px_to_plan_mm
    if matrix is None:
        raise HomeError("Set the scale first, then check it with a second length.", sheet.id)
    a_px, b_px = to_px(matrix, *a_mm), to_px(matrix, *b_mm)
    return second_length(matrix, a_px, b_px, parse_length_mm(typed)).says
