"""Laying a storey over the one below by spots that run through both: clicked in pairs, here and then below."""

from collections.abc import Sequence
from typing import Final, Protocol

from circuitmap.desk.canvas.gestures import Gesture, Outcome, Surface, Touch
from circuitmap.desk.canvas.line_snapping import line_near, snap_marks
from circuitmap.desk.canvas.shining import storey_below
from circuitmap.drawing.marks import Area, Ink, Line, Mark, Words
from circuitmap.home import Home
from circuitmap.home.records import Fixture, Room
from circuitmap.plan.line_snap import LineSnap
from circuitmap.plan.register import Common, Fit
from circuitmap.plan.sheet import Spot, to_plan

_STICK_PX: Final = 12.0
_DOT_PX: Final = 6.0


class Registry(Protocol):
    """What is told of the common points, and asked to lay the storey so."""

    def take_common(self, common: tuple[Common, ...]) -> None: ...
    def lay(self) -> None: ...


class LayOver(Gesture):
    """Clicking common points: where one lies on this storey, then where it lies on the one below."""

    hint = (
        "Click a spot that runs through both storeys, like a corner of a chimney breast, on this storey; then the same "
        "spot on the one below (broken lines). Do so twice or more; Backspace takes one back, Enter lays it."
    )

    def __init__(self, surface: Surface, registry: Registry) -> None:
        super().__init__(surface)
        self._registry = registry
        self._spots: list[Spot] = []
        self._last: Touch | None = None

    def hover(self, touch: Touch) -> None:
        self._last = touch
        self._show(touch)

    def move(self, touch: Touch) -> None:
        self.hover(touch)

    def press(self, touch: Touch) -> Outcome | None:
        below = storey_below(self.surface.home, self.surface.storey)
        if below is None:
            return Outcome(refuse="There is no storey below this one to lay it over.")
        self._spots.append(self._stuck(touch)[0])
        self._tell()
        self._show(touch)
        return None

    def key(self, name: str) -> Outcome | None:
        if name == "Backspace" and self._spots:
            self._spots.pop()
            self._tell()
            if self._last is not None:
                self._show(self._last)
        elif name == "Return":
            self._registry.lay()
        return None

    def cancel(self) -> bool:
        had = bool(self._spots)
        self._spots.clear()
        self._registry.take_common(())
        self.preview = ()
        return had

    def after(self) -> None:
        self.preview = ()

    def _tell(self) -> None:
        pairs = zip(self._spots[::2], self._spots[1::2], strict=False)
        self._registry.take_common(tuple(pairs))

    def _stuck(self, touch: Touch) -> tuple[Spot, LineSnap | None]:
        """Give where a common point goes: a drawn corner, else what the sheet's lines offer, else the touch."""
        if touch.shift:
            return touch.spot, None
        on = self.surface.storey
        if len(self._spots) % 2:
            below = storey_below(self.surface.home, self.surface.storey)
            on = below.id if below is not None else on
        reach = _STICK_PX * touch.mm_per_px
        near = [
            (max(abs(x - touch.x_mm), abs(y - touch.y_mm)), (float(x), float(y)))
            for x, y in corners_of(self.surface.home, on)
        ]
        best = min(near, default=None)
        if best is not None and best[0] <= reach:
            return best[1], None
        # The sheet of the storey below is not in sight, so its lines are none to aim at.
        line = line_near(self.surface.lines, on, touch) if on == self.surface.storey else None
        return ((line.x_mm, line.y_mm), line) if line is not None else (touch.spot, None)

    def _show(self, touch: Touch) -> None:
        r = _DOT_PX * touch.mm_per_px
        here, line = self._stuck(touch)
        spots = [*self._spots, here]
        marks: list[Mark] = [*snap_marks(line, touch.mm_per_px)]
        for n, spot in enumerate(spots):
            is_here = n % 2 == 0
            ring = tuple((spot[0] + dx * r, spot[1] + dy * r) for dx, dy in ((-1, 0), (0, -1), (1, 0), (0, 1)))
            role = "select" if is_here else "route"
            marks.append(Area("overlay", (ring,), role if n < len(self._spots) else "paper", Ink(role, 2.0)))
            if not is_here:
                marks.append(Line("overlay", (spots[n - 1], spot), Ink("select", 1.5, (5, 4))))
        ask = f"{len(self._spots) // 2 + 1}: " + (
            "where it lies here" if len(self._spots) % 2 == 0 else "the same below"
        )
        marks.append(Words("overlay", ask, touch.spot, role="select", offset_px=(16, 20), plate=True))
        self.preview = tuple(marks)


def corners_of(home: Home, storey: str) -> list[tuple[int, int]]:
    """Give the corners of what is drawn on a storey that a common point may stick to."""
    found = [c for room in home.table(Room).values() if room.storey == storey for c in room.outline_mm]
    for fixture in home.table(Fixture).values():
        if fixture.place.storey == storey:
            found += fixture.outline_mm
    return found


def moved_marks(home: Home, storey: str, by: Fit) -> tuple[Mark, ...]:
    """Give where the rooms of a storey would come to lie."""
    marks: list[Mark] = []
    for room in home.table(Room).values():
        if room.storey == storey and room.outline_mm:
            marks.append(_moved(room.outline_mm, by))
    for fixture in home.table(Fixture).values():
        if fixture.place.storey == storey and fixture.kind in ("stair", "chimney") and fixture.outline_mm:
            marks.append(_moved(fixture.outline_mm, by))
    return tuple(marks)


def _moved(outline: Sequence[tuple[int, int]], by: Fit) -> Mark:
    return Area(
        "overlay", (tuple(to_plan(by.transform, x, y) for x, y in outline),), "select", Ink("select", 2.0), 0.08
    )
