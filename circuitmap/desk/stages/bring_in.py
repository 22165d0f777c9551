"""Bringing a plan in and giving it a scale: what the Draw stage does with a picture file and two picked points."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from circuitmap.errors import HomeError
from circuitmap.home import Change, Home, combine, verbs
from circuitmap.home.records import Sheet, Storey
from circuitmap.pictures import PictureInfo, is_line_drawing, look
from circuitmap.plan import to_px

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


def sheets_of(home: Home, storey: str) -> list[Sheet]:
    """Give the sheets under a storey, the one that came last at the end."""
    return [sheet for sheet in home.sorted(Sheet) if sheet.storey == storey]


def sheet_of(home: Home, storey: str, chosen: str = "") -> Sheet | None:
    """Give the sheet under a storey that was chosen, else the one that came last."""
    sheets = sheets_of(home, storey)
    return next((sheet for sheet in sheets if sheet.id == chosen), sheets[-1] if sheets else None)


def only_sheet_under(sheets: Iterable[Sheet], spots_mm: Iterable[Spot]) -> Sheet | None:
    """Give the one sheet whose picture lies under all of some spots of the plan; None when it is none or several."""
    spots = list(spots_mm)
    found = [sheet for sheet in sheets if all(_is_under(sheet, spot) for spot in spots)]
    return found[0] if len(found) == 1 else None


def _is_under(sheet: Sheet, spot_mm: Spot) -> bool:
    if sheet.px_to_plan_mm is None or sheet.width_px is None or sheet.height_px is None:
        return False
    try:
        x, y = to_px(sheet.px_to_plan_mm, *spot_mm)
    except HomeError:
        return False
    return 0 <= x <= sheet.width_px and 0 <= y <= sheet.height_px


def has_scale(sheet: Sheet) -> bool:
    """Whether somebody gave a sheet its scale."""
    return bool(sheet.scale_note)
