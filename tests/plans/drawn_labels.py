"""What is written on a plan: room names and sizes, dimension lines, a north arrow."""

import itertools
import math
from dataclasses import dataclass
from random import Random
from typing import Final

from tests.plans.drawn_ink import Pen
from tests.plans.drawn_layout import Layout, Point, Space

NAMES: Final = {
    "living": ("LIVING ROOM", "Living", "Lounge"),
    "kitchen": ("KITCHEN", "Kitchen"),
    "bedroom": ("BEDROOM", "Bedroom 1", "Bed 2"),
    "hall": ("HALL", "Hall", "Corridor"),
    "bath": ("BATH", "Bathroom"),
    "shower": ("SHOWER", "En suite"),
    "wc": ("WC", "W.C."),
    "store": ("ST", "Cpd"),
    "utility": ("UTILITY", "Utility"),
    "study": ("STUDY", "Office"),
    "dining": ("DINING", "Dining room"),
    "stairs": ("UP", "up"),
}
Style = dict[str, object]


@dataclass(frozen=True, slots=True)
class Text:
    """Words on the sheet and the middle of where they stand, in px."""

    words: str
    x_px: float
    y_px: float


def _write(pen: Pen, words: str, at: Point, height_px: int, ink: int = 0, turn_deg: float = 0.0) -> Text:
    pen.words(words, at, height_px, ink, turn_deg)
    ((x, y),) = pen.frame.px([at])
    return Text(words, float(x), float(y))


def _height(pen: Pen, size_m: float) -> int:
    return max(9, round(size_m * pen.frame.px_per_m))


def label(rng: Random, pen: Pen, layout: Layout, style: Style) -> tuple[Text, ...]:
    """The name of each room about its middle, with its size or area under it."""
    if style["texts"] == "none":
        return ()
    texts = []
    size_m = rng.uniform(0.18, 0.27)
    manner = rng.choice(["m2", "sides", "feet"])
    for space in layout.spaces:
        at = space.floor.representative_point()
        x, y = at.x + rng.uniform(-0.15, 0.15), at.y + rng.uniform(-0.15, 0.15)
        height = _height(pen, size_m if space.floor.area > 3 else size_m * 0.75)
        texts.append(_write(pen, rng.choice(NAMES[space.use]), (x, y), height))
        if style["texts"] == "names and sizes" and space.floor.area > 3:
            below = (x, y + 1.25 * height / pen.frame.px_per_m)
            texts.append(_write(pen, _size(space, manner), below, max(8, round(height * 0.75))))
    return tuple(texts)


def _size(space: Space, manner: str) -> str:
    x0, y0, x1, y1 = space.floor.bounds
    if manner == "m2":
        return f"{space.floor.area:.1f} m²"
    if manner == "sides":
        return f"{x1 - x0:.2f} × {y1 - y0:.2f}"
    feet = [divmod(round(side / 0.0254), 12) for side in (x1 - x0, y1 - y0)]
    return " x ".join(f"{foot}'{inch}\"" for foot, inch in feet)


def draw_dimensions(rng: Random, pen: Pen, layout: Layout, style: Style) -> tuple[Text, ...]:
    """Chains of dimensions outside the walls, and single ones through rooms."""
    texts: list[Text] = []
    x0, y0, x1, y1 = layout.outside.bounds
    ends = rng.choice(["tick", "arrow", "dot"])
    if style["dims outside"]:
        floors = [space.floor.bounds for space in layout.spaces]
        xs = sorted({x0, x1, *(b[0] for b in floors if b[1] < y0 + 0.8)})
        ys = sorted({y0, y1, *(b[1] for b in floors if b[0] < x0 + 0.8)})
        for stops, off in ((xs, 0.7), ([x0, x1], 1.25)):
            texts += _chain(pen, [(x, y0 - off) for x in stops], ends, witness=(0.0, off - 0.15))
        for stops, off in ((ys, 0.7), ([y0, y1], 1.25)):
            texts += _chain(pen, [(x0 - off, y) for y in stops], ends, witness=(off - 0.15, 0.0))
    if style["dims inside"]:
        for space in layout.spaces:
            a0, b0, a1, b1 = space.floor.bounds
            if space.floor.area > 5 and abs(space.floor.area - (a1 - a0) * (b1 - b0)) < 0.01 and rng.random() < 0.7:
                at = b0 + (b1 - b0) * rng.choice([0.2, 0.35, 0.8])
                texts += _chain(pen, [(a0, at), (a1, at)], ends, witness=(0.0, 0.0))
    return tuple(texts)


def _chain(pen: Pen, stops: list[Point], ends: str, witness: Point) -> list[Text]:
    pen.line([stops[0], stops[-1]])
    across = stops[0][0] == stops[-1][0]
    for x, y in stops:
        if witness != (0.0, 0.0):
            pen.line([(x - witness[0] * 0.1, y - witness[1] * 0.1), (x + witness[0], y + witness[1])], 60)
        if ends == "dot":
            pen.oval((x, y), 0.06, 0.06)
        elif ends == "tick":
            pen.line([(x - 0.07, y + 0.07), (x + 0.07, y - 0.07)], 0, pen.thin_px + 1)
        else:
            for side in (-0.05, 0.05):
                pen.line([(x, y), (x + side, y + 0.12) if across else (x + 0.12, y + side)])
    texts = []
    for (ax, ay), (bx, by) in itertools.pairwise(stops):
        length = math.dist((ax, ay), (bx, by))
        if length > 0.55:
            middle = ((ax + bx) / 2 - (0.16 if across else 0), (ay + by) / 2 - (0 if across else 0.16))
            texts.append(_write(pen, f"{length:.2f}", middle, _height(pen, 0.17), 20, -90.0 if across else 0.0))
    return texts


def draw_north(rng: Random, pen: Pen, layout: Layout, style: Style) -> tuple[Text, ...]:
    """A ring with a needle beside the home."""
    if not style["north"]:
        return ()
    _x0, _y0, x1, y1 = layout.outside.bounds
    x, y = x1 - 0.2, y1 + 0.35
    turn = rng.uniform(0, 2 * math.pi)
    tip = (x + 0.3 * math.sin(turn), y - 0.3 * math.cos(turn))
    pen.oval((x, y), 0.4, 0.4)
    pen.line([(x - 0.3 * math.sin(turn), y + 0.3 * math.cos(turn)), tip], 0, pen.thin_px + 1)
    return (_write(pen, "N", (x - 0.45, y), _height(pen, 0.2)),)


def draw_sheet_frame(pen: Pen, layout: Layout, style: Style) -> tuple[Text, ...]:
    """A line, or two, round the whole sheet, and a title block where the home leaves room for one."""
    if not style["sheet frame"]:
        return ()
    x0, y0, x1, y1 = layout.outside.bounds
    high, wide = pen.sheet.shape
    corners = pen.frame.px([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    clear_px = min(
        corners.min(), wide - corners[:, 0].max(), high - corners[:, 1].max()
    )  # between home and sheet's edge
    inset = 0.25 * float(clear_px)
    for off in (inset, inset * 1.35):
        ring = [(off, off), (wide - off, off), (wide - off, high - off), (off, high - off)]
        pen.line(pen.frame.m(ring), 0, pen.thin_px + 1, is_closed=True)
    height = max(9, round(0.3 * float(clear_px) * 0.6))
    (at,) = pen.frame.m([(wide - inset * 2 - 4.5 * height, high - inset * 1.5 - height)])
    return (_write(pen, "PLAN 1:100", at, height),)
