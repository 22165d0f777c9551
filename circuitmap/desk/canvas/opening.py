"""Doors and windows let into walls: which wall is meant, where in it, and what is shown before the click."""

import math
from dataclasses import dataclass
from typing import Final, Protocol

from circuitmap.desk.canvas.gestures import Gesture, Outcome, Surface, Touch, to_grid
from circuitmap.desk.canvas.shaping_marks import refused_mark
from circuitmap.drawing.marks import Area, Ink, Mark, Words
from circuitmap.errors import PersonError
from circuitmap.home import verbs
from circuitmap.home.records import Wall
from circuitmap.quantities.show import show_length

OPENING_KINDS: Final = ("door", "window", "archway")

_NEAR_PX: Final = 16.0
_HALF_UNKNOWN_MM: Final = 50.0


@dataclass(frozen=True)
class OpeningInHand:
    """What is to be let into a wall."""

    kind: str
    width_mm: int


class OpeningSource(Protocol):
    """Where the kind and width of what is let in come from; raises a sentence where what is typed is no width."""

    def opening(self) -> OpeningInHand: ...


class LetIn(Gesture):
    """A door or window let into the wall under the pointer."""

    hint = "Click on a wall where the middle of it goes; Esc when done."

    def __init__(self, surface: Surface, in_hand: OpeningSource) -> None:
        super().__init__(surface)
        self._in_hand = in_hand

    def hover(self, touch: Touch) -> None:
        wall = wall_near(self.surface, touch)
        if wall is None:
            self.preview = ()
            return
        try:
            opening = self._in_hand.opening()
        except PersonError as error:
            self.preview = (refused_mark(str(error), touch.spot),)
            return
        along = _start(wall, touch, opening.width_mm)
        self.preview = gap_marks(wall, along, opening.width_mm, f"{opening.kind} {show_length(opening.width_mm)}")

    def move(self, touch: Touch) -> None:
        self.hover(touch)

    def press(self, touch: Touch) -> Outcome | None:
        wall = wall_near(self.surface, touch)
        if wall is None:
            drawn = any(w.storey == self.surface.storey for w in self.surface.home.table(Wall).values())
            if drawn:
                return Outcome(refuse="There is no wall here; click on the wall that the door or window is in.")
            return Outcome(refuse="This storey has no walls yet; lay them from the rooms first, then click on one.")
        try:
            opening = self._in_hand.opening()
        except PersonError as error:
            return Outcome(refuse=str(error))
        along, kind, width = _start(wall, touch, opening.width_mm), opening.kind, opening.width_mm
        self.preview = ()
        return Outcome(make=lambda home: verbs.add_opening(home, wall.id, kind, along, width), select=(wall.id,))


def wall_near(surface: Surface, touch: Touch) -> Wall | None:
    """Give the wall under a touch, the nearest one where several meet."""
    found: list[tuple[float, str, Wall]] = []
    for wall in surface.home.table(Wall).values():
        if wall.storey != surface.storey or wall.a_mm == wall.b_mm:
            continue
        along, off = measured(wall, touch.spot)
        half = wall.thickness_mm / 2 if wall.thickness_mm is not None else _HALF_UNKNOWN_MM
        if 0 <= along <= math.dist(wall.a_mm, wall.b_mm) and abs(off) <= half + _NEAR_PX * touch.mm_per_px:
            found.append((abs(off), wall.id, wall))
    return min(found, key=lambda each: each[:2])[2] if found else None


def measured(wall: Wall, spot: tuple[float, float]) -> tuple[float, float]:
    """Give where a spot lies along a wall from its first end, and how far off its centre line."""
    long = math.dist(wall.a_mm, wall.b_mm) or 1.0
    ux, uy = (wall.b_mm[0] - wall.a_mm[0]) / long, (wall.b_mm[1] - wall.a_mm[1]) / long
    dx, dy = spot[0] - wall.a_mm[0], spot[1] - wall.a_mm[1]
    return dx * ux + dy * uy, dx * uy - dy * ux


def gap_marks(wall: Wall, along: float, width: float, words: str = "") -> tuple[Mark, ...]:
    """Mark a stretch of a wall, with words beside it."""
    long = math.dist(wall.a_mm, wall.b_mm) or 1.0
    ux, uy = (wall.b_mm[0] - wall.a_mm[0]) / long, (wall.b_mm[1] - wall.a_mm[1]) / long
    half = wall.thickness_mm / 2 if wall.thickness_mm is not None else _HALF_UNKNOWN_MM

    def at(x: float, out: float) -> tuple[float, float]:
        return wall.a_mm[0] + ux * x - uy * out, wall.a_mm[1] + uy * x + ux * out

    box = at(along, half), at(along + width, half), at(along + width, -half), at(along, -half)
    marks: tuple[Mark, ...] = (Area("overlay", (box,), "select", Ink("select", 2.0), 0.35),)
    if words:
        middle = at(along + width / 2, 0)
        # Beside the wall, not along it: words are level.
        is_level = abs(ux) > abs(uy)
        says = (
            Words("overlay", words, middle, role="select", anchor="middle", offset_px=(0, -24), plate=True)
            if is_level
            else Words("overlay", words, middle, role="select", offset_px=(20, 0), plate=True)
        )
        marks = (*marks, says)
    return marks


def _start(wall: Wall, touch: Touch, width_mm: int) -> int:
    along, _ = measured(wall, touch.spot)
    long = math.dist(wall.a_mm, wall.b_mm)
    return to_grid(min(max(along - width_mm / 2, 0.0), max(long - width_mm, 0.0)))


def opening_at(wall: Wall, touch: Touch) -> int | None:
    """Give the number of the opening of a wall that lies under a touch."""
    along, off = measured(wall, touch.spot)
    half = wall.thickness_mm / 2 if wall.thickness_mm is not None else _HALF_UNKNOWN_MM
    if abs(off) > half + _NEAR_PX * touch.mm_per_px:
        return None
    return next((n for n, o in enumerate(wall.openings) if o.along_mm <= along <= o.along_mm + o.width_mm), None)
