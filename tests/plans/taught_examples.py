"""What the network for rooms is taught with: invented drawings at the size it sees them, spoilt in many ways."""

import math
from dataclasses import dataclass, replace
from random import Random
from typing import Final

import cv2
import numpy as np
import numpy.typing as npt

from circuitmap.plan.tracing.prepare import evened
from circuitmap.plan.tracing.seen import USUAL_PX, darkness
from tests.plans.drawn import Drawn, draw_plan
from tests.plans.drawn_ink import Grey
from tests.plans.drawn_storey import draw_storey

FIRST_SEED: Final = 100_000  # tracing is measured by seeds far below
FIRST_STOREY_SEED: Final = 300_000
SIDE: Final = 448
BETWEEN: Final = 6.0  # so much more counts what parts one room from another
_BETWEEN_M: Final = 0.45
_STOREY_PX_PER_M: Final = (60.0, 115.0)  # thin walls of 6 cm are then 4 to 7 px
_LONG_M: Final = (20.0, 34.0)
_OFTEN_LONG: Final = 0.4
_HARD_USES: Final = frozenset({"bath", "shower", "utility", "dressing", "corridor"})
_OFTEN_HARD: Final = 0.5
_LETTERS: Final = "ABCDEFGHKLMNOPRSTUVWXYZ0123456789.-"

Floats = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Example:
    """A drawing as the network sees it: darkness, the number of the room each pixel is in (0: none), its scale.

    ``hard`` are the numbers of rooms that are shown more often than chance has it.
    """

    dark: Floats
    rooms: Grey
    px_per_m: float
    hard: tuple[int, ...] = ()


def example(seed: int) -> Example:
    """Draw a plan of a home, bring it to about the size that is looked at, and turn it straight to within a hair."""
    rng = Random(seed)
    drawn = draw_plan(seed, {"longer side px": round(1000 * 6 ** rng.uniform(0, 0.72)), **_sparse(rng)})
    return _seen(drawn, math.sqrt(USUAL_PX[0] / (drawn.grey.size * 0.9)) * rng.uniform(0.8, 1.2), 1.0, rng)


def storey_example(seed: int) -> Example:
    """Draw a storey of flats, bring it to a size at which its thin walls can be told, and turn it straight."""
    rng = Random(seed)
    drawn = draw_storey(seed, {"length m": rng.uniform(*_LONG_M)} if rng.random() < _OFTEN_LONG else None)
    seen = _seen(drawn, rng.uniform(*_STOREY_PX_PER_M) / drawn.px_per_m, rng.uniform(1.0, 1.5), rng)
    numbers = enumerate(drawn.rooms, start=1)
    return replace(seen, hard=tuple(number for number, room in numbers if room.name.split()[0] in _HARD_USES))


def _seen(drawn: Drawn, scale: float, worked: float, rng: Random) -> Example:
    """Bring a drawing to a scale as the network gets it: made smaller once, and from ``worked`` times that again."""
    scale = min(scale, 2.0)
    grey = _smaller(drawn.grey, min(scale * worked, 2.0))
    if worked != 1.0:
        size = round(drawn.grey.shape[1] * scale), round(drawn.grey.shape[0] * scale)
        grey = np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), np.uint8)
    grey = evened(grey)
    high, wide = grey.shape
    turn = np.array([[1.0, 0, 0], [0, 1.0, 0]])
    angle = float(str(drawn.style["turn deg"])) + rng.gauss(0, 0.12)
    if abs(angle) > 0.05:
        turn = cv2.getRotationMatrix2D(((wide - 1) / 2, (high - 1) / 2), angle, 1.0)
        paper = int(np.bincount(grey.reshape(-1)).argmax())
        grey = np.asarray(cv2.warpAffine(grey, turn, (wide, high), flags=cv2.INTER_LINEAR, borderValue=paper), np.uint8)
    rooms = np.zeros((high, wide), np.uint8)
    for number, room in enumerate(drawn.rooms, start=1):
        corners = ((room.corners_px + 0.5) * scale - 0.5) @ turn[:, :2].T + turn[:, 2]
        cv2.fillPoly(rooms, [np.round(corners * 16).astype(np.int32)], number, cv2.LINE_8, 4)
    return Example(darkness(grey), rooms, drawn.px_per_m * scale)


def _smaller(grey: Grey, scale: float) -> Grey:
    if scale < 0.62:
        side = max(2, round(0.5 / scale))
        grey = np.asarray(cv2.erode(grey, np.ones((side, side), np.uint8), anchor=(side // 2, side // 2)), np.uint8)
    way = cv2.INTER_AREA if scale < 1 else cv2.INTER_LINEAR
    return np.asarray(cv2.resize(grey, None, fx=scale, fy=scale, interpolation=way), np.uint8)


def _sparse(rng: Random) -> dict[str, object]:
    """Rule over a third of the drawings that they be emptier, with thinner and more often hollow walls, than by lot."""
    if rng.random() < 0.65:
        return {}
    walls = rng.choice(["hollow", "hollow", "hollow", "line", "black", "grey", "hatched"])
    style: dict[str, object] = {
        "walls": walls,
        "inner walls": walls if rng.random() < 0.8 else rng.choice(["hollow", "black"]),
        "furniture": rng.choice([0.0, 0.0, 0.3, 1.0]),
        "tiles": rng.random() < 0.4,
    }
    if rng.random() < 0.3:
        style["texts"] = "none"
    if rng.random() < 0.4:
        style["turn deg"] = 0.0
    if rng.random() < 0.4:
        style["inner m"] = rng.uniform(0.06, 0.11)
    if rng.random() < 0.3:
        style["dims outside"] = False
    return style


def spoilt(whole: Example, rng: Random) -> tuple[Floats, Floats, Floats]:
    """Cut a square out of an example, at some size and turn, and spoil it; gives darkness, truth and weights."""
    dark, rooms, px_per_m = _cut(whole, rng)
    if rng.random() < 0.12:
        dark = _hollowed(dark)
    for chance, spoil in ((0.3, _axes), (0.25, _grids), (0.3, _words), (0.4, _breaks)):
        if rng.random() < chance:
            dark = spoil(dark, rng, px_per_m)
    lot = rng.random()
    if lot < 0.12:
        dark = (dark > rng.uniform(0.25, 0.5)).astype(np.float32)
    elif lot < 0.4:
        dark = np.asarray(cv2.GaussianBlur(dark, (0, 0), rng.uniform(0.3, 0.9)), np.float32)
    if rng.random() < 0.5:
        dark = np.sign(dark) * np.abs(dark) ** rng.uniform(0.7, 1.4) * rng.uniform(0.85, 1.1)
    if rng.random() < 0.5:
        grain = np.random.default_rng(rng.getrandbits(32)).normal(0, rng.uniform(0, 0.05), dark.shape)
        dark = dark + grain
    return dark.astype(np.float32), (rooms > 0).astype(np.float32), _weights(rooms, px_per_m)


def _cut(whole: Example, rng: Random) -> tuple[Floats, Grey, float]:
    zoom = rng.uniform(0.62, 1.45) if rng.random() < 0.7 else 1.0
    zoom = min(max(zoom, 34 / whole.px_per_m), 140 / whole.px_per_m)
    side = max(64, int(SIDE / zoom))
    high, wide = whole.rooms.shape
    top = rng.randint(-side // 4, max(1, high - 3 * side // 4))
    left = rng.randint(-side // 4, max(1, wide - 3 * side // 4))
    if whole.hard and rng.random() < _OFTEN_HARD:
        down, across = np.nonzero(whole.rooms == rng.choice(whole.hard))
        if len(down):
            at = rng.randrange(len(down))
            top = int(down[at]) - rng.randint(side // 4, 3 * side // 4)
            left = int(across[at]) - rng.randint(side // 4, 3 * side // 4)
    y0, x0, y1, x1 = max(0, top), max(0, left), min(high, top + side), min(wide, left + side)
    dark, rooms = np.zeros((side, side), np.float32), np.zeros((side, side), np.uint8)
    dark[y0 - top : y1 - top, x0 - left : x1 - left] = whole.dark[y0:y1, x0:x1]
    rooms[y0 - top : y1 - top, x0 - left : x1 - left] = whole.rooms[y0:y1, x0:x1]
    way = cv2.INTER_AREA if zoom < 1 else cv2.INTER_LINEAR
    dark = np.asarray(cv2.resize(dark, (SIDE, SIDE), interpolation=way), np.float32)
    rooms = np.asarray(cv2.resize(rooms, (SIDE, SIDE), interpolation=cv2.INTER_NEAREST), np.uint8)
    quarter, is_flipped = rng.randint(0, 3), rng.random() < 0.5
    dark, rooms = np.rot90(dark, quarter), np.rot90(rooms, quarter)
    if is_flipped:
        dark, rooms = dark[:, ::-1], rooms[:, ::-1]
    return np.ascontiguousarray(dark), np.ascontiguousarray(rooms), whole.px_per_m * zoom


def _weights(rooms: Grey, px_per_m: float) -> Floats:
    """What lies between two rooms counts more: a hole there makes one of them."""
    reach = int(max(3, _BETWEEN_M * px_per_m)) | 1
    around = np.ones((reach, reach), np.uint8)
    highest = cv2.dilate(rooms, around)
    lowest = 255 - cv2.dilate(np.where(rooms > 0, 255 - rooms, 0).astype(np.uint8), around)
    between = (rooms == 0) & (highest > 0) & (lowest < 255) & (lowest != highest)
    return np.where(between, BETWEEN, 1.0).astype(np.float32)


def _hollowed(dark: Floats) -> Floats:
    """Filled walls become their outlines."""
    solid = cv2.morphologyEx((dark > 0.35).astype(np.uint8), cv2.MORPH_OPEN, np.ones((4, 4), np.uint8))
    if solid.mean() <= 0.01:
        return dark
    faces = cv2.morphologyEx(solid, cv2.MORPH_GRADIENT, np.ones((2, 2), np.uint8))
    return np.where(cv2.dilate(solid, np.ones((3, 3), np.uint8)) > 0, faces, dark).astype(np.float32)


def _axes(dark: Floats, rng: Random, px_per_m: float) -> Floats:
    """Lines right across, whole, dashed or dotted, as building axes and dimensions are."""
    for _ in range(rng.randint(1, 4)):
        level, wide = rng.uniform(0.4, 1), rng.choice([1, 1, 2])
        place, start, end = rng.randint(0, SIDE - 1), rng.randint(-60, SIDE // 2), rng.randint(SIDE // 2, SIDE + 60)
        dash, space = (end - start, 1) if rng.random() < 0.3 else (rng.randint(10, 40), rng.randint(3, 10))
        is_dotted, is_upright = rng.random() < 0.5, rng.random() < 0.5
        lean = rng.choice([0.0, 0.0, 0.0, rng.uniform(-0.3, 0.3)])
        at = start
        while at < end:
            for length in (dash, 2) if is_dotted else (dash,):
                ends = [(at, int(place + lean * at)), (at + length, int(place + lean * (at + length)))]
                one, other = [(y, x) for x, y in ends] if is_upright else ends
                cv2.line(dark, one, other, level, wide)
                at += length + space
    return dark


def _grids(dark: Floats, rng: Random, px_per_m: float) -> Floats:
    """Tiles or boards, over rooms or outside."""
    for _ in range(rng.randint(1, 2)):
        left, top = rng.randint(0, SIDE - 30), rng.randint(0, SIDE - 30)
        right, bottom = left + rng.randint(30, 200), top + rng.randint(20, 160)
        step, level = rng.uniform(0.15, 0.6) * px_per_m, rng.uniform(0.4, 1)
        if rng.random() < 0.8:
            for x in np.arange(left, right, step).astype(int).tolist():
                cv2.line(dark, (x, top), (x, bottom), level, 1)
        if rng.random() < 0.7:
            for y in np.arange(top, bottom, step).astype(int).tolist():
                cv2.line(dark, (left, y), (right, y), level, 1)
    return dark


def _words(dark: Floats, rng: Random, px_per_m: float) -> Floats:
    written = np.zeros(dark.shape, np.uint8)
    for _ in range(rng.randint(1, 5)):
        text = "".join(rng.choice(_LETTERS) for _ in range(rng.randint(2, 10)))
        at = rng.randint(-20, SIDE - 30), rng.randint(0, SIDE)
        cv2.putText(written, text, at, rng.randint(0, 3), rng.uniform(0.3, 0.8), rng.randint(150, 255), 1, cv2.LINE_AA)
    return np.maximum(dark, written.astype(np.float32) / 255)


def _breaks(dark: Floats, rng: Random, px_per_m: float) -> Floats:
    """Lines broken here and there, as a bad copy has them."""
    for _ in range(rng.randint(2, 14)):
        y, x = rng.randint(0, SIDE - 1), rng.randint(0, SIDE - 1)
        dark[y : y + rng.randint(2, 9), x : x + rng.randint(2, 9)] = 0
    return dark
