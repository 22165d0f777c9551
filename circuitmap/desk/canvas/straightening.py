"""Straightening a photograph on the plan: four corners dragged by the mouse or stepped to and moved by keys."""

from collections.abc import Callable
from typing import Final

from circuitmap.desk.canvas.gestures import Gesture, Outcome, Surface, Touch, box_round
from circuitmap.desk.canvas.line_snapping import line_near, snap_marks
from circuitmap.drawing.marks import Area, Ink, Line, Mark, Words
from circuitmap.errors import PersonError
from circuitmap.plan import to_plan, to_px
from circuitmap.plan.line_snap import LineSnap
from circuitmap.plan.near_side import depth_at, near_side
from circuitmap.plan.rectify import Corners
from circuitmap.plan.sheet import Spot, Transform

TOOL: Final = "straighten"
NAMES: Final = ("top left", "top right", "bottom right", "bottom left")
_REACH_PX: Final = 20.0
_HANDLE_PX: Final = 7.0
_STEP_MM: Final = 10.0  # what one press of an arrow moves on the plan elsewhere; here it is one pixel of the picture
_INSETS: Final = (0.08, 0.2, 0.35)


class Straighten(Gesture):
    """Dragging the corners of a sheet, or of a room, on its photograph."""

    hint = (
        "Drag the four corners onto those of the sheet, or of a room; or Tab to a corner, arrows move it 1 px of the "
        "picture, with Shift 10. Enter lays it flat, Esc gives up."
    )

    def __init__(
        self,
        surface: Surface,
        transform: Transform,
        size_px: tuple[int, int],
        corners_px: Corners,
        moved: Callable[[Corners, int], None],
        take: Callable[[], None],
    ) -> None:
        super().__init__(surface)
        self._transform, self._size_px = transform, size_px
        self._corners = list(corners_px)
        self._moved, self._take = moved, take
        self._held = -1
        self._chosen = -1
        self._from: tuple[Spot, Spot] | None = None  # the press and the corner, on the plan
        self._on: LineSnap | None = None  # what the dragged corner lies on, in a drawing made of lines
        self._mm_per_px = 0.0  # not known before the view has said how near it is
        self._show()

    @property
    def corners_px(self) -> Corners:
        """The corners on the picture, from its top left."""
        a, b, c, d = self._corners
        return a, b, c, d

    @property
    def chosen(self) -> int:
        """Which corner keys move, −1 for none."""
        return self._chosen

    def corner_mm(self, number: int) -> Spot:
        """Give where a corner is seen on the plan as the sheet lies now."""
        return to_plan(self._transform, *self._corners[number])

    def seen_at(self, mm_per_px: float) -> None:
        """Draw the handles for another zoom."""
        self._mm_per_px = mm_per_px
        self._show()

    # -- the pointer --------------------------------------------------------------------------------------------

    def hover(self, touch: Touch) -> None:
        self._mm_per_px = touch.mm_per_px
        self._show(self._near(touch))

    def press(self, touch: Touch) -> Outcome | None:
        self._held = self._near(touch)
        if self._held < 0:
            return None
        self._chosen = self._held
        self._from = touch.spot, self.corner_mm(self._held)
        self._tell()
        return None

    def move(self, touch: Touch) -> None:
        if self._held < 0 or self._from is None:
            return
        (x0, y0), (x, y) = self._from
        spot = x + touch.x_mm - x0, y + touch.y_mm - y0
        self._on = line_near(self.surface.lines, self.surface.storey, touch, spot=spot)
        self._set(self._held, (self._on.x_mm, self._on.y_mm) if self._on is not None else spot)
        self._tell()

    def release(self, touch: Touch) -> Outcome | None:
        self.move(touch)
        self._held, self._from, self._on = -1, None, None
        return None

    # -- keys ---------------------------------------------------------------------------------------------------

    def step(self, by: int) -> bool:
        """Choose the next corner, or the one before; give whether there was one."""
        following = self._chosen + by if self._chosen >= 0 or by > 0 else len(self._corners) - 1
        if not 0 <= following < len(self._corners):
            self.choose(-1)
            return False
        self.choose(following)
        return True

    def choose(self, number: int) -> None:
        """Choose a corner for keys, −1 for none."""
        self._chosen = number
        self._tell()

    def nudge(self, across_mm: int, down_mm: int) -> Outcome | None:
        if self._chosen < 0:
            return None
        x, y = self.corner_mm(self._chosen)
        a_px = self._corners[self._chosen]
        try:
            b_px = to_px(self._transform, x + across_mm, y + down_mm)
        except PersonError:
            return None
        way = complex(*b_px) - complex(*a_px)
        if way == 0:
            return None
        by = way / abs(way) * max(abs(across_mm), abs(down_mm)) / _STEP_MM
        self._set_px(self._chosen, (a_px[0] + by.real, a_px[1] + by.imag))
        self._tell()
        return Outcome()

    def key(self, name: str) -> Outcome | None:
        if name == "Return":
            self._take()
        return None

    def cancel(self) -> bool:
        self._held, self._from, self._on = -1, None, None
        self.preview = ()
        return False

    # -- inside -------------------------------------------------------------------------------------------------

    def after(self) -> None:
        self._show()

    def _near(self, touch: Touch) -> int:
        away = [abs(complex(*self.corner_mm(n)) - complex(*touch.spot)) for n in range(4)]
        # Of two corners on one spot the one dragged there is meant, or it could not be taken away again.
        nearest = min(range(4), key=away.__getitem__)
        if self._chosen >= 0 and away[self._chosen] <= away[nearest] + _HANDLE_PX * touch.mm_per_px:
            nearest = self._chosen
        return nearest if away[nearest] <= _REACH_PX * touch.mm_per_px else -1

    def _set(self, number: int, spot_mm: Spot) -> None:
        try:
            self._set_px(number, to_px(self._transform, *spot_mm))
        except PersonError:
            return  # beyond the picture's horizon: the corner stays at the last place there was

    def _set_px(self, number: int, spot_px: Spot) -> None:
        width, height = self._size_px
        self._corners[number] = min(max(spot_px[0], 0.0), float(width)), min(max(spot_px[1], 0.0), float(height))

    def _tell(self) -> None:
        self._show()
        self._moved(self.corners_px, self._held if self._held >= 0 else self._chosen)

    def _show(self, under: int = -1) -> None:
        spots = [self.corner_mm(n) for n in range(4)]
        marks: list[Mark] = [Line("overlay", tuple(spots), Ink("select", 2.0), closed=True)]
        for n, (x, y) in enumerate(spots):
            strong = n in (self._held, self._chosen, under)
            r = (_HANDLE_PX + (2 if strong else 0)) * self._mm_per_px
            if r > 0:
                box = box_round((x - r, y - r), (x + r, y + r))
                marks.append(Area("overlay", (box,), "select" if strong else "paper", Ink("select", 2.5)))
            if n == self._chosen and self._held < 0:
                words = f"{NAMES[n]}: arrows move it"
                marks.append(Words("overlay", words, (x, y), role="select", offset_px=(16, -18), plate=True))
        self.preview = (*marks, *snap_marks(self._on, self._mm_per_px))


def first_corners(transform: Transform, size_px: tuple[int, int]) -> Corners:
    """Give four corners to begin with, as far out on the picture as can be seen on the plan."""
    width, height = size_px
    for inset in _INSETS:
        x, y = inset * width, inset * height
        found: Corners = ((x, y), (width - x, y), (width - x, height - y), (x, height - y))
        depths = [depth_at(transform, corner) for corner in found]
        if min(depths) > 0 and max(depths) < 4 * min(depths):
            return found
    near = near_side(transform, (float(width), float(height)))
    x, y = sum(x for x, _ in near) / len(near), sum(y for _, y in near) / len(near)
    across, down = _INSETS[0] * width, _INSETS[0] * height
    return (x - across, y - down), (x + across, y - down), (x + across, y + down), (x - across, y + down)
