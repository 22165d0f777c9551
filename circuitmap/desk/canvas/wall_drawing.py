"""Drawing walls by hand on the plan: click where one begins and where it ends, or type its length."""

import math
from dataclasses import dataclass
from typing import Final, Protocol

from circuitmap.desk.canvas.gestures import Gesture, Outcome, Surface, Touch, dot_at, rooms_here
from circuitmap.desk.canvas.line_snapping import REACH_PX, snap_marks
from circuitmap.desk.canvas.shaping_marks import refused_mark
from circuitmap.drawing.marks import Area, Ink, Line, Mark, Words
from circuitmap.errors import PersonError
from circuitmap.home.records import Corner, Wall
from circuitmap.plan import Snapped, Snapper
from circuitmap.plan.walls_drawn import draw_wall
from circuitmap.quantities import parse_room_length_mm
from circuitmap.quantities.show import show_length
from circuitmap.words import Build

_OF_A_LENGTH: Final = frozenset("0123456789.,'\" mcftin")
_USUAL_MM: Final = 100.0
_LONGEST: Final = 20


@dataclass(frozen=True)
class WallInHand:
    """What is drawn: what it is built of, and how thick it was measured to be."""

    build: Build = "unknown"
    thickness_mm: int | None = None


class WallSource(Protocol):
    """Where thickness and build come from; raises a sentence where what is typed is no thickness."""

    def wall(self) -> WallInHand: ...


class DrawWall(Gesture):
    """Walls drawn by their middle, one after the other, each from where the last one ended."""

    hint = (
        "Click where the wall begins and ends, along its middle, or type its length and press Enter; Shift holds right "
        "angles off."
    )

    def __init__(self, surface: Surface, in_hand: WallSource) -> None:
        super().__init__(surface)
        self._in_hand = in_hand
        self._start: Corner | None = None
        self._ahead: Corner | None = None
        self._typed = ""

    def hover(self, touch: Touch) -> None:
        snapped = self._snap(touch)
        self._ahead = snapped.x_mm, snapped.y_mm
        self._show(touch.mm_per_px, snapped)

    def move(self, touch: Touch) -> None:
        self.hover(touch)

    def press(self, touch: Touch) -> Outcome | None:
        snapped = self._snap(touch)
        spot = snapped.x_mm, snapped.y_mm
        if self._start is None:
            self._start, self._typed = spot, ""
            self.hover(touch)
            return None
        return self._drawn(spot)

    def typed(self, text: str) -> bool:
        if self._start is None or not text or not set(text) <= _OF_A_LENGTH:
            return False
        if not self._typed and not text.strip():
            return False
        self._typed = (self._typed + text)[:_LONGEST]
        self._show_typed()
        return True

    def key(self, name: str) -> Outcome | None:
        if name == "Backspace":
            if self._typed:
                self._typed = self._typed[:-1]
                self._show_typed()
            else:
                self.cancel()
            return None
        if name != "Return" or self._start is None:
            return None
        if not self._typed:
            self.cancel()
            return None
        try:
            long = parse_room_length_mm(self._typed)
        except PersonError as error:
            return Outcome(refuse=str(error))
        return self._drawn(self._so_far(long))

    def cancel(self) -> bool:
        had = self._start is not None
        self._start, self._typed = None, ""
        self.preview = ()
        return had

    # -- inside -------------------------------------------------------------------------------------------------

    def _drawn(self, end: Corner) -> Outcome | None:
        start, storey = self._start, self.surface.storey
        assert start is not None
        try:
            wall = self._in_hand.wall()
            draw_wall(self.surface.home, storey, start, end, wall.thickness_mm, wall.build)
        except PersonError as error:
            return Outcome(refuse=str(error))
        self._start, self._typed = end, ""
        self.preview = ()
        return Outcome(
            make=lambda home: draw_wall(home, storey, start, end, wall.thickness_mm, wall.build), select_added=True
        )

    def _so_far(self, long: float) -> Corner:
        """Give the end of a wall of a length, the way that the pointer points; to the right while it points nowhere."""
        assert self._start is not None
        ahead = self._ahead if self._ahead not in (None, self._start) else (self._start[0] + 1, self._start[1])
        assert ahead is not None
        share = long / math.dist(self._start, ahead)
        return (
            round(self._start[0] + share * (ahead[0] - self._start[0])),
            round(self._start[1] + share * (ahead[1] - self._start[1])),
        )

    def _show_typed(self) -> None:
        self._show(1.0, None)

    def _show(self, mm_per_px: float, snapped: Snapped | None) -> None:
        spot = self._ahead
        if spot is None:
            return
        try:
            thick = self._in_hand.wall().thickness_mm or _USUAL_MM
        except PersonError as error:
            self.preview = (refused_mark(str(error), (float(spot[0]), float(spot[1]))),)
            return
        marks: list[Mark] = []
        end = float(spot[0]), float(spot[1])
        if self._start is not None:
            start = float(self._start[0]), float(self._start[1])
            says = f"{self._typed}…" if self._typed else show_length(math.dist(start, end)) if start != end else ""
            label = ", ".join(part for part in (says, snapped.why if snapped is not None else "") if part)
            if start != end:
                marks.append(Area("overlay", (_box(start, end, thick),), "select", Ink("select", 1.5), 0.3))
                marks.append(Line("overlay", (start, end), Ink("select", 1.2, (6.0, 4.0))))
            if label:
                marks.append(Words("overlay", label, end, role="select", offset_px=(14, -16), plate=True))
        if snapped is not None:
            marks.append(Area("overlay", (dot_at(*end, 4 * mm_per_px),), "select"))
            marks += snap_marks(snapped.on, mm_per_px, end)
        self.preview = tuple(marks)

    def _snap(self, touch: Touch) -> Snapped:
        surface = self.surface
        rooms = rooms_here(surface)
        walls = tuple(wall for wall in surface.home.table(Wall).values() if wall.storey == surface.storey)
        snapper = surface.memo.get("canvas wall snapper", surface.storey, (*rooms, *walls),
                                   lambda: Snapper(rooms, [(wall.a_mm, wall.b_mm) for wall in walls]))  # fmt: skip
        sheet = None if touch.shift else surface.lines.under(surface.storey)
        drawn = [self._start] if self._start is not None else []
        return snapper.snap(
            touch.x_mm, touch.y_mm, drawn, tolerance_mm=REACH_PX * touch.mm_per_px, square=not touch.shift, sheet=sheet
        )


def _box(a: tuple[float, float], b: tuple[float, float], thick: float) -> tuple[tuple[float, float], ...]:
    long = math.dist(a, b)
    x, y = -(b[1] - a[1]) / long * thick / 2, (b[0] - a[0]) / long * thick / 2
    return (a[0] + x, a[1] + y), (b[0] + x, b[1] + y), (b[0] - x, b[1] - y), (a[0] - x, a[1] - y)
