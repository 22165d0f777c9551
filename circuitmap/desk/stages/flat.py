"""What four corners on a photograph surround, and how the sheet lies once that is flat; without Qt."""

from dataclasses import dataclass
from typing import Final, Literal

from circuitmap.desk.stages.scaling import Proposal, matrix_of
from circuitmap.errors import HomeError
from circuitmap.home.records import Sheet
from circuitmap.plan import implausible_scale, to_plan
from circuitmap.plan.rectify import Corners, aspect_of, check_corners, laid_flat
from circuitmap.plan.scale import paper_sides_mm, parse_printed_scale
from circuitmap.quantities import parse_room_length_mm, show_length

Between = Literal["paper", "room", "unknown"]
TITLE: Final = "Straighten the plan"


@dataclass(frozen=True)
class Sides:
    """What was said of the rectangle between the corners, as it was typed."""

    between: Between
    paper: str = "A4"
    printed: str = ""
    across: str = ""
    down: str = ""


@dataclass(frozen=True)
class Laid:
    """The shape between the corners, its true size on the plan where that is known, and what must be said."""

    width_over_height: float
    size_mm: tuple[float, float] | None
    note: str
    says: str


def shape_between(corners_px: Corners, size_px: tuple[int, int], sides: Sides) -> Laid:
    """Give the shape that four corners surround, from what was said of it or, failing that, from the picture.

    Raises
    ------
    HomeError
        When the corners can't be those of a flat rectangle.
    QuantityError
        When what was typed is no length or no scale.
    """
    check_corners(corners_px)
    if sides.between == "paper":
        return _paper(corners_px, sides)
    if sides.between == "room" and (sides.across.strip() or sides.down.strip()):
        if not (sides.across.strip() and sides.down.strip()):
            raise HomeError("Type both sides, width and depth, like 3.6 m and 4.2 m.")
        size = parse_room_length_mm(sides.across), parse_room_length_mm(sides.down)
        words = f"{show_length(size[0])} × {show_length(size[1])}"
        return Laid(size[0] / size[1], size, f"straightened by {words}", f"To scale by {words} between the corners.")
    guess = aspect_of(corners_px, *size_px)
    says = "Type both sides, width and depth. " if sides.between == "room" else ""
    return Laid(guess.width_over_height, None, "", says + guess.says)


def lay_flat(sheet: Sheet, corners_px: Corners, sides: Sides) -> Proposal:
    """Give how a sheet lies once what its corners surround is flat; its top left corner stays where it is.

    Raises
    ------
    HomeError
        When the corners can't be those of a flat rectangle, or a room's sides were not typed.
    QuantityError
        When what was typed is no length or no scale.
    """
    before = matrix_of(sheet)
    size_px = sheet.width_px or 1, sheet.height_px or 1
    shape = shape_between(corners_px, size_px, sides)
    if sides.between == "room" and shape.size_mm is None:
        raise HomeError("Type both sides, width and depth, like 3.6 m and 4.2 m; or say that they are unknown.")
    size = shape.size_mm or _as_large(sheet, corners_px, shape.width_over_height)
    transform = laid_flat(corners_px, *size, origin_mm=to_plan(before, *corners_px[0]))
    says = shape.says
    if shape.size_mm is not None:
        odd = laid_flat(((0, 0), (100, 0), (100, 100), (0, 100)), *size)
        says = implausible_scale(odd, 100, 100) if sides.between == "paper" else ""
    return Proposal(sheet.id, transform, shape.note, says, TITLE)


def _paper(corners_px: Corners, sides: Sides) -> Laid:
    width, height = paper_sides_mm(sides.paper, corners_px)
    lies = "lying" if width > height else "upright"
    if not sides.printed.strip():
        says = f"{sides.paper}, {lies}. Without its printed scale a length has to be given afterwards."
        return Laid(width / height, None, "", says)
    scale = parse_printed_scale(sides.printed)
    if scale.paper and scale.paper != sides.paper:
        # Printed smaller or larger than it was drawn for: its long side tells by how much.
        times = max(paper_sides_mm(scale.paper, corners_px)) / max(width, height)
        ratio = scale.ratio * times
        at = f"1:{scale.ratio:g} at {scale.paper}, so 1:{ratio:.3g} at {sides.paper}"
    else:
        ratio, at = scale.ratio, f"1:{scale.ratio:g} at {sides.paper}"
    size = width * ratio, height * ratio
    says = f"{at}, {lies}. Printers and copiers shrink sheets to fit: check one length afterwards."
    return Laid(width / height, size, f"{at}, straightened", says)


def _as_large(sheet: Sheet, corners_px: Corners, aspect: float) -> tuple[float, float]:
    """Give sides that cover as much of the plan as the corners do now, so that nothing jumps."""
    spots = [complex(*to_plan(matrix_of(sheet), *corner)) for corner in corners_px]
    area = abs(sum((a.conjugate() * b).imag for a, b in zip(spots, [*spots[1:], spots[0]], strict=True))) / 2
    if not area > 0:
        raise HomeError("The four corners surround nothing; drag them apart.")
    height: float = (area / aspect) ** 0.5
    return height * aspect, height
