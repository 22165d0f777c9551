"""Marks of one room and all that stands in it: floor, name, symbols, and codes that don't pile up.

A room is the unit in which labels are placed, so that moving a point places the labels of its room again and no others.
"""

from collections.abc import Mapping, Sequence
from typing import Final

from msgspec import Struct

from circuitmap.drawing.dress import Dress
from circuitmap.drawing.labels import Box, Placer
from circuitmap.drawing.marks import Glyph, Mark, PointMm, Words
from circuitmap.drawing.standing import REFERENCE_ZOOM, Frame, Stand
from circuitmap.drawing.typed import one_line, width_px

CODE_PX: Final = 11.0
NAME_PX: Final = 13.0
AREA_PX: Final = 11.0
_LINE: Final = 1.24
_APART_PX: Final = 2.5  # name and area, so that neither plate lies over the other line
_CODES_FROM: Final = 0.035  # px per mm: further out, codes would cover the plan
_NAMES_FROM: Final = 0.02
_CROWDED: Final = 0.25  # of a label covered at best: shown only from twice the reference zoom on
_NAME_CROWDED: Final = 0.06
_STATE_REACH: Final = 0.78  # of a symbol's size, from its middle
_PLAIN_REACH: Final = 0.56
_NAME_LIMIT: Final = 24
RISERS_PX: Final = 90.0
_SPOTS: Final = (0.5, 0.4, 0.6, 0.3, 0.7, 0.22, 0.78)


class Standing(Struct, frozen=True):
    """One thing in a room: its id, where it stands, how it is dressed, and what is written beside it."""

    record: str
    stand: Stand
    dress: Dress
    label: str = ""
    planned: bool = False
    risers: bool = False  # cables may leave for another storey in front of it


def room_marks(
    room: str,
    name: str,
    area_m2: float | None,
    frame: Frame | None,
    middle_mm: PointMm | None,
    floor: tuple[Mark, ...],
    things: Sequence[Standing],
) -> Mapping[str, tuple[Mark, ...]]:
    """Give the marks of a room and of what stands in it, by record id.

    Parameters
    ----------
    room, name, area_m2
        Its id (empty for what stands in no room), name and floor area.
    frame, middle_mm
        Its sides, and a spot well inside; None where it isn't drawn.
    floor
        The marks under its name.
    """
    placer = Placer()
    for thing in things:
        placer.take(_reach(thing))
        if thing.risers and thing.stand.faces is not None:
            placer.take(_in_front(thing.stand))  # where its risers are drawn
    box = _to_px(frame.box) if frame is not None else None
    found: dict[str, tuple[Mark, ...]] = {}
    if room and middle_mm is not None and frame is not None:
        found[room] = (*floor, *_title(name, area_m2, frame, middle_mm, placer))
    elif room and floor:
        found[room] = floor
    for thing in things:
        found[thing.record] = _thing_marks(thing, placer, box)
    return found


def _thing_marks(thing: Standing, placer: Placer, box: Box | None) -> tuple[Mark, ...]:
    stand, dress = thing.stand, thing.dress
    role = "accent" if thing.planned else dress.role
    glyph = Glyph("symbol", stand.symbol, stand.at, stand.turn_deg, dress.state, role, stand.size_px, dress.also)
    text = one_line(thing.label or dress.code or ("planned" if thing.planned else ""), _NAME_LIMIT)
    if not text:
        return (glyph,)
    wide, high = width_px(text, CODE_PX) + CODE_PX * 0.5, CODE_PX * _LINE
    middle_x, middle_y = stand.centre_px
    x, y = stand.at[0] * REFERENCE_ZOOM + middle_x, stand.at[1] * REFERENCE_ZOOM + middle_y
    spot = placer.beside(x, y, _clear(thing), (wide, high), faces=stand.faces, inside=box)
    offset = (
        round(spot.x - stand.at[0] * REFERENCE_ZOOM, 1),
        round(spot.y - stand.at[1] * REFERENCE_ZOOM, 1),
    )
    shown_from = _CODES_FROM if spot.covered < _CROWDED else 2 * REFERENCE_ZOOM
    words_role = f"{dress.role}/text" if dress.state == "settled" else "ink"
    words = Words("label", text, stand.at, words_role, CODE_PX, "middle", offset, shown_from, bold=True, plate=True)
    return glyph, words


def _title(name: str, area_m2: float | None, frame: Frame, middle: PointMm, placer: Placer) -> tuple[Mark, ...]:
    text = one_line(name, _NAME_LIMIT)
    under = f"{area_m2:.1f} m²" if area_m2 is not None else ""
    left, top, right, bottom = _to_px(frame.box)
    wide = max(width_px(text, NAME_PX), width_px(under, AREA_PX))
    high = NAME_PX * _LINE + (AREA_PX * _LINE if under else 0)
    x, y = middle[0] * REFERENCE_ZOOM, middle[1] * REFERENCE_ZOOM
    spots = [(x, y)]
    if _rectangular(frame):
        spots += [(left + (right - left) * across, top + (bottom - top) * down)
                  for down in _SPOTS for across in _SPOTS[:5]]  # fmt: skip
    else:
        spots += [(x + dx * 30, y + dy * 24) for dy in (-1, 1, 0) for dx in (0, -1, 1) if dx or dy]
    spot = placer.among(spots, (wide, high))
    at = (spot.x / REFERENCE_ZOOM, spot.y / REFERENCE_ZOOM)
    # Names wait for the zoom at which they fit into their room, and for one at which the points leave them space.
    fits = max(wide / max(right - left, 1), high / max(bottom - top, 1)) * REFERENCE_ZOOM
    name_from = max(_NAMES_FROM, fits, REFERENCE_ZOOM * 2 if spot.covered > _NAME_CROWDED else 0)
    lines: list[Mark] = []
    if text:
        up = -(AREA_PX * _LINE) / 2 - _APART_PX if under else 0.0
        lines.append(Words("label", text, at, "ink", NAME_PX, "middle", (0, round(up, 1)), name_from, plate=True))
    if under:
        down = (NAME_PX * _LINE) / 2 + _APART_PX if text else 0.0
        lines.append(
            Words("label", under, at, "faint", AREA_PX, "middle", (0, round(down, 1)), max(name_from, 0.05), plate=True)
        )
    return tuple(lines)


def _reach(thing: Standing) -> Box:
    x, y = thing.stand.centre_px
    x, y = thing.stand.at[0] * REFERENCE_ZOOM + x, thing.stand.at[1] * REFERENCE_ZOOM + y
    clear = _clear(thing)
    return x - clear, y - clear, x + clear, y + clear


def _in_front(stand: Stand) -> Box:
    assert stand.faces is not None
    x, y = stand.at[0] * REFERENCE_ZOOM, stand.at[1] * REFERENCE_ZOOM
    far_x, far_y = x + stand.faces[0] * RISERS_PX, y + stand.faces[1] * RISERS_PX
    half = RISERS_PX / 3
    return min(x, far_x) - half, min(y, far_y) - half, max(x, far_x) + half, max(y, far_y) + half


def _clear(thing: Standing) -> float:
    return thing.stand.size_px * (_STATE_REACH if thing.dress.state else _PLAIN_REACH)


def _rectangular(frame: Frame) -> bool:
    return len(frame.sides) == 4 and all(abs(side.dx * side.dy) < 1e-6 for side in frame.sides)


def _to_px(box: Box) -> Box:
    left, top, right, bottom = (value * REFERENCE_ZOOM for value in box)
    return left, top, right, bottom
