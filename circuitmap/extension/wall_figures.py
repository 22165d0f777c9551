"""Where something stands on a wall, from typed figures: "1.4 m from the left, 1100 mm up"."""

import re
from typing import Final

from circuitmap.errors import QuantityError
from circuitmap.extension.wishes import WishError
from circuitmap.home.invariants import shorten
from circuitmap.plan.elevation import Face
from circuitmap.quantities import parse_room_length_mm
from circuitmap.quantities.show import show_length

FORMS: Final = (
    "1.4 m from the left, 1100 mm up",
    "1400, 1100",
    "600 mm from the right",
    "450 mm up",
    "75 mm down",
    "3 ft from the left, 18 in up",
)
"""Every form, each with an example; bare numbers are how far from the left and how high, mm where large."""

_LONGEST: Final = 120
# A comma with no digit before it or a blank behind it parts two figures; otherwise it is a decimal comma.
_NEXT: Final = re.compile(r"\s*[,;]\s+|\s+and\s+|\s*(?<!\d),|\s*;\s*")
_TIGHT: Final = re.compile(r"^(\d{3,5}),(\d{2,5})$")
_FIGURE: Final = re.compile(
    r"(?i)^(?P<length>.*?[\d.,'\"′″½¼¾]\s*(?:mm|cm|m|ft|in|feet|foot|inch|inches|'|\")?)\s*"
    r"(?:(?P<side>(?:from|off|to)\s+(?:the\s+)?(?P<which>left|right)(?:\s+(?:corner|end))?|left|right)"
    r"|(?P<up>up|high|over\s+the\s+floor|from\s+the\s+floor|above\s+the\s+floor)"
    r"|(?P<down>down|(?:below|under|from)\s+the\s+ceiling))?$"
)


def read_figures(typed: str, face: Face, now: tuple[float, float | None]) -> tuple[float, float | None]:
    """Read where something is to stand on a wall; what isn't said stays as it is.

    Parameters
    ----------
    typed
        What stands in the entry; ``FORMS`` lists how it can go.
    face
        The wall.
    now
        Where the thing stands now: mm from the left end, and over the floor (None where that isn't known).

    Returns
    -------
    tuple of float
        How far from the left end of the wall, and how high over the floor, in mm.

    Raises
    ------
    WishError
        When it is none of these, or off the wall; in one sentence.
    """
    said = " ".join(typed.split())
    if not said or len(said) > _LONGEST:
        raise WishError(f"Type where it stands, like “{FORMS[0]}”.")
    tight = _TIGHT.match(said)
    parts = [tight[1], tight[2]] if tight else [part for part in _NEXT.split(said) if part]
    if len(parts) > 2:
        raise WishError(f"There are more than two figures in “{shorten(said, 40)}”; type “{FORMS[0]}”.")
    u: float | None = None
    v: float | None = None
    for n, part in enumerate(parts):
        found = _FIGURE.match(part)
        if found is None:
            raise WishError(f"“{shorten(part, 40)}” is no place on a wall; type “{FORMS[0]}”.")
        length = _length(found["length"])
        side = (found["which"] or found["side"] or "").casefold()
        if found["up"] or (not side and not found["down"] and n == 1):
            u, v = u, _once(v, length, "height")
        elif found["down"]:
            v = _once(v, face.height_mm - length, "height")
        elif side or len(parts) == 2:
            u = _once(u, face.length_mm - length if side == "right" else length, "distance along the wall")
        else:
            raise WishError(f"Say what “{shorten(part, 40)}” is: “{part} from the left”, or “{part} up”.")
    if u is not None and not 0 <= u <= face.length_mm:
        raise WishError(f"This wall is {show_length(face.length_mm)} long; that would be off it.")
    if v is not None and not 0 <= v <= face.height_mm:
        raise WishError(f"This wall is {show_length(face.height_mm)} high; that would be off it.")
    return (now[0] if u is None else u), (now[1] if v is None else v)


def _once(held: float | None, value: float, what: str) -> float:
    if held is not None:
        raise WishError(f"The {what} is said twice; type “{FORMS[0]}”.")
    return value


def _length(typed: str) -> float:
    if re.fullmatch(r"0+(?:[.,]0+)?\s*(?:mm|cm|m)?", typed.strip()):
        return 0.0
    try:
        return parse_room_length_mm(typed.strip())
    except QuantityError as error:
        raise WishError(str(error)) from None
