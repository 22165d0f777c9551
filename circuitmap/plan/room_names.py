"""What a plan's own words say of a room: its name and use, and its printed size as a check of the scale.

Words come with the place of their middle; those inside an outline are looked at. Sizes (``3.60 x 4.20``), areas and
bare figures are no names; a word that the trade knows as a thing (``sink``) isn't one either.
"""

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from circuitmap.errors import PersonError
from circuitmap.plan.outlines import area_m2, polygon_of
from circuitmap.quantities import parse_room_size_mm, show_area, show_length
from circuitmap.trade import Trade
from circuitmap.trade.spelling import parts_of

if TYPE_CHECKING:
    from circuitmap.pictures import PlacedText

Spot = tuple[float, float]

_LONGEST: Final = 40
_MOST_WORDS: Final = 4  # of one spelling
_LETTER_WIDTH: Final = 0.55  # of the height, where a file doesn't say how wide its words run
_LINE_APART: Final = 1.9  # of the height: two lines of one name
_NUMBER: Final = r"\d+(?:[.,]\d+)?"
_UNIT: Final = r"(?:mm|cm|metres?|m|ft|feet|in|inches|''|[\"'′″’”])"
_LENGTH: Final = rf"{_NUMBER}\s*{_UNIT}?(?:\s*-?\s*{_NUMBER}\s*(?:½|¼|¾)?\s*{_UNIT})?"
_SIZE: Final = re.compile(
    rf"(?<![\w.]){_LENGTH}\s*(?:\bx\b|x(?=\s*\d)|×|✕|\*|\bby\b)\s*{_LENGTH}(?![\w²])", re.IGNORECASE
)
_AREA: Final = re.compile(
    rf"({_NUMBER})\s*(m²|m2|sq\.?\s?m(?:etres?)?|qm|ft²|ft2|sq\.?\s?(?:ft|feet))(?!\w)\.?", re.IGNORECASE
)
_FIGURES: Final = re.compile(rf"(?<![A-Za-z]\s)(?<![\w.]){_LENGTH}(?![\w²])")
_M2_PER_FT2: Final = 0.3048**2  # the international foot is 0.3048 m exactly
_EMPTY: Final = " \t()[]{}-–—·|:;,./="
_APART: Final = 0.03  # printed sizes are rounded to 5 cm and taken at the plaster (common practice, no source)
_APART_MM: Final = 60.0
# A room by several names takes the use that has rules of its own.
_USES: Final = {
    "bathroom": "bathroom", "shower room": "bathroom", "ensuite": "bathroom", "kitchen": "kitchen",
    "utility": "utility", "living": "living room", "bedroom": "bedroom", "hall": "hall", "landing": "landing",
    "study": "office", "cupboard": "cupboard", "pantry": "cupboard", "loft": "loft", "garage": "garage",
    "outbuilding": "outbuilding", "outdoors": "outdoors",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class PlanWords:
    """Words on a plan: the middle of where they stand and their height, in whatever unit the outline has."""

    words: str
    x: float
    y: float
    size: float = 0.0


@dataclass(frozen=True)
class Said:
    """What is said of a room: its name and use ("" where nothing says it), its size and area as printed."""

    name: str = ""
    use: str = ""
    size_mm: tuple[float, float] | None = None
    area_m2: float | None = None


def words_of(texts: Iterable["PlacedText"]) -> tuple[PlanWords, ...]:
    """Give a drawing's words with the middle of where they stand, in sheet px."""
    found = []
    for text in texts:
        words = " ".join(text.words.split())
        if not words:
            continue
        width = text.width_px or _LETTER_WIDTH * text.size * len(words)
        turn = math.radians(text.turn_deg)
        along, up = width / 2, 0.35 * text.size
        x = text.x + along * math.cos(turn) + up * math.sin(turn)
        y = text.y + along * math.sin(turn) - up * math.cos(turn)
        found.append(PlanWords(words, x, y, text.size))
    return tuple(found)


def read_room(words: Iterable[PlanWords], outline: Sequence[Spot], trade: Trade) -> Said:
    """Give what the words inside an outline say of the room.

    Parameters
    ----------
    words
        The plan's words.
    outline
        The corners of the room, in the same unit as the words' places.
    trade
        For the words that rooms go by.
    """
    inside = _inside(words, outline)
    names: list[PlanWords] = []
    size, area = None, None
    for each in inside:
        rest, own_size, own_area = _parted(each.words)
        size, area = size or own_size, area or own_area
        if rest and len(rest) <= _LONGEST:
            names.append(PlanWords(rest, each.x, each.y, each.size))
    name, use = _named(names, outline, trade)
    return Said(name, use, size, area)


def use_of(name: str, trade: Trade) -> str:
    """Give the use that a room's name says, "" when it says none."""
    uses = _meant(name, trade)[0]
    return min((use for use in uses if use in _USES.values()), key=list(_USES.values()).index, default="")


def size_doubt(said: Said, outline_mm: Sequence[tuple[int, int]]) -> str:
    """Say how a printed size or area differs from the outline; an empty text when it doesn't."""
    if said.size_mm is not None:
        printed, drawn = sorted(said.size_mm), sorted(_sides_mm(outline_mm))
        gaps = [(abs(one - other) / one, one, other) for one, other in zip(printed, drawn, strict=True)]
        _, one, other = max(gaps)
        if abs(one - other) > max(_APART * one, _APART_MM):
            return f"The plan says {show_length(one)}, the outline is {show_length(other)} wide: check the scale."
        return ""
    if said.area_m2:
        drawn_m2 = area_m2(outline_mm)
        # An area differs by twice as much as its sides, and is printed for shapes that a rectangle says nothing of.
        if abs(drawn_m2 - said.area_m2) > max(2.5 * _APART * said.area_m2, 0.3):
            return (
                f"The plan says {show_area(said.area_m2)}, the outline has {show_area(drawn_m2)}: "
                "check the scale and the corners."
            )
    return ""


def _sides_mm(outline_mm: Sequence[tuple[int, int]]) -> tuple[float, float]:
    """Give the sides of the smallest rectangle about an outline, however it is turned."""
    import shapely

    box = shapely.minimum_rotated_rectangle(polygon_of(outline_mm))
    corners = list(shapely.get_coordinates(box))[:3]
    if len(corners) < 3:
        return 0.0, 0.0
    return math.dist(corners[0], corners[1]), math.dist(corners[1], corners[2])


def _inside(words: Iterable[PlanWords], outline: Sequence[Spot]) -> list[PlanWords]:
    import shapely

    shape = shapely.make_valid(shapely.Polygon(outline))
    shapely.prepare(shape)
    return [each for each in words if shapely.contains_xy(shape, each.x, each.y)]


def _parted(words: str) -> tuple[str, tuple[float, float] | None, float | None]:
    """Part words into what may be a name, a size in mm and an area in m²."""
    size, area = None, None
    found = _AREA.search(words)
    if found is not None:
        area = float(found[1].replace(",", ".")) * (_M2_PER_FT2 if "f" in found[2].casefold() else 1.0)
        words = _AREA.sub(" ", words)
    found = _SIZE.search(words)
    if found is not None:
        size = _size_mm(found[0])
        words = _SIZE.sub(" ", words)
    # "Bedroom 2" keeps its number; "2.40" or "+1200" is none's name.
    rest = " ".join(words.split()).strip(_EMPTY)
    if sum(letter.isalpha() for letter in _FIGURES.sub("", rest)) < 2:
        rest = ""
    return rest, size, area


def _size_mm(words: str) -> tuple[float, float] | None:
    tidy = words.replace("′", "'").replace("’", "'").replace("″", '"').replace("”", '"').replace("''", '"')
    try:
        return parse_room_size_mm(re.sub(r"(?<=['\"])\s*-\s*(?=\d)", " ", tidy))
    except PersonError:
        return None


def _named(names: Sequence[PlanWords], outline: Sequence[Spot], trade: Trade) -> tuple[str, str]:
    """Choose the name: first what is known as a room, then what is written largest, then what stands nearest."""
    candidates = [*names, *_stacked(names)]
    middle = sum(x for x, _ in outline) / len(outline), sum(y for _, y in outline) / len(outline)
    best: tuple[tuple[bool, float, int, float], str] | None = None
    for each in candidates:
        uses, is_thing, known = _meant(each.words, trade)
        if is_thing and not uses:
            continue
        rank = (bool(uses), round(each.size, 1), known, -math.dist((each.x, each.y), middle))
        if best is None or rank > best[0]:
            best = rank, each.words
    return (_tidy(best[1]), use_of(best[1], trade)) if best is not None else ("", "")


def _stacked(names: Sequence[PlanWords]) -> list[PlanWords]:
    """Give names written in two lines, one under the other."""
    found = []
    for upper in names:
        for lower in names:
            down = lower.y - upper.y
            size = max(upper.size, lower.size)
            alike = min(upper.size, lower.size) > 0.8 * size
            if alike and 0 < down <= _LINE_APART * size and abs(lower.x - upper.x) <= 3 * size:
                words = f"{upper.words} {lower.words}"
                found.append(PlanWords(words, (upper.x + lower.x) / 2, (upper.y + lower.y) / 2, size))
    return [each for each in found if len(each.words) <= _LONGEST]


def _meant(name: str, trade: Trade) -> tuple[list[str], bool, int]:
    """Give the uses that words say, whether they name a thing, and how many of the words are known."""
    uses: list[str] = []
    is_thing, known = False, 0
    for part in parts_of(name):
        start = 0
        while start < len(part):
            for end in range(min(len(part), start + _MOST_WORDS), start, -1):
                row = trade.synonym(" ".join(part[start:end]))
                if row is not None:
                    uses += [_USES.get(row.rooms[0], row.rooms[0])] if row.rooms else []
                    is_thing |= not row.rooms and bool(row.kinds or row.families or row.spare)
                    known += end - start
                    start = end - 1
                    break
            start += 1
    return uses, is_thing, known


def _tidy(name: str) -> str:
    """Give a name as one writes it: what is shouted in capitals is said quietly."""
    letters = sum(letter.isalpha() for letter in name)
    return name.capitalize() if name.isupper() and letters > 3 else name
