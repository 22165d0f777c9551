"""Choosing in the Draw stage with the building in mind: fixtures are dragged and turned, openings moved along walls."""

import math
from collections.abc import Callable

import msgspec

from circuitmap.desk.canvas.fixing import ghost_marks, nudged
from circuitmap.desk.canvas.gestures import Outcome, Surface, Touch, to_grid
from circuitmap.desk.canvas.line_snapping import line_near, snap_marks
from circuitmap.desk.canvas.opening import gap_marks, measured, opening_at
from circuitmap.desk.canvas.shaping import Shape
from circuitmap.desk.canvas.shaping_marks import part_at
from circuitmap.home import Change, Home, verbs
from circuitmap.home.records import Fixture, Wall
from circuitmap.plan import move_fixture, turn_fixture
from circuitmap.plan.fixtures import Put
from circuitmap.plan.line_snap import LineSnap
from circuitmap.quantities.show import show_length
from circuitmap.trade import Trade

_DRAG_PX = 5.0


class Fit(Shape):
    """Choosing in the Draw stage, where fixtures are dragged along walls and openings along the chosen wall."""

    def __init__(self, surface: Surface, trade: Trade) -> None:
        super().__init__(surface, trade)
        self._catalogue = trade
        self._pulled: str = ""  # a fixture under the button
        self._opening: tuple[str, int] | None = None  # chosen: the wall, and its opening's number
        self._at_opening = False  # under the button
        self._begun: Touch | None = None
        self._is_pulled = False

    def hover(self, touch: Touch) -> None:
        super().hover(touch)
        self._show_opening()

    def press(self, touch: Touch) -> Outcome | None:
        self._pulled, self._at_opening, self._begun, self._is_pulled = "", False, touch, False
        room = self._room()
        hits = self.surface.hits(touch)
        hit = hits[0] if hits else ""
        part = part_at(room, touch, hit) if room else None
        if part is not None and part.kind != "room":
            self._opening = None
            return super().press(touch)
        wall = self._wall()
        number = opening_at(wall, touch) if wall is not None and hit[:1] not in ("P", "B", "R") else None
        if wall is not None and number is not None:
            self._opening, self._at_opening = (wall.id, number), True
            self._show_opening()
            return None
        self._opening = None
        if hit[:1] == "F" and not (touch.shift or touch.ctrl):
            self._drop()
            self._pulled = hit
            return Outcome(select=(hit,)) if self.surface.selection != (hit,) else None
        return super().press(touch)

    def move(self, touch: Touch) -> None:
        start = self._begun
        if start is None or not (self._pulled or self._at_opening):
            super().move(touch)
            return
        away = max(abs(touch.x_mm - start.x_mm), abs(touch.y_mm - start.y_mm)) / touch.mm_per_px
        if not self._is_pulled and away < _DRAG_PX:
            return
        self._is_pulled = True
        if self._at_opening:
            self._show_opening(self._along(touch))
            return
        change = self._carried(touch)(self.surface.home)
        fixture = self.surface.home.take(Fixture, self._pulled)
        after = next((new for _, new in change.pairs if isinstance(new, Fixture)), fixture)
        put = Put(after.place, after.outline_mm)
        on = self._on(touch) if after.place.wall is None else None
        self.preview = (
            *ghost_marks(self.surface.home, after.place.storey, after.kind, put, self._catalogue, after.id),
            *snap_marks(on, touch.mm_per_px),
        )

    def release(self, touch: Touch) -> Outcome | None:
        pulled, opening = self._pulled, self._opening if self._at_opening else None
        dragged, self._pulled, self._at_opening, self._is_pulled = self._is_pulled, "", False, False
        if not pulled and opening is None:
            return super().release(touch)
        if not dragged:
            return None
        self.preview = ()
        if opening is not None:
            along = self._along(touch)
            return Outcome(make=lambda home: verbs.move_opening(home, *opening, along))
        self._pulled = pulled
        make = self._carried(touch)
        self._pulled = ""
        return Outcome(make=make)

    def turned(self, by_deg: float) -> Outcome | None:
        fixture = self._fixture()
        if fixture is None:
            return None
        return Outcome(make=lambda home: turn_fixture(home, fixture.id, by_deg))

    def nudge(self, across_mm: int, down_mm: int) -> Outcome | None:
        fixture, opening = self._fixture(), self._chosen_opening()
        if opening is not None:
            wall = self.surface.home.take(Wall, opening[0])
            long = math.dist(wall.a_mm, wall.b_mm)
            by = (across_mm * (wall.b_mm[0] - wall.a_mm[0]) + down_mm * (wall.b_mm[1] - wall.a_mm[1])) / long
            along = wall.openings[opening[1]].along_mm + round(by)
            return Outcome(make=lambda home: verbs.move_opening(home, *opening, along))
        if fixture is None:
            return super().nudge(across_mm, down_mm)
        return Outcome(make=lambda home: nudged(home, fixture.id, across_mm, down_mm))

    def key(self, name: str) -> Outcome | None:
        opening = self._chosen_opening()
        if name == "Delete" and opening is not None:
            self._opening, self.preview = None, ()
            return Outcome(make=lambda home: verbs.remove_opening(home, *opening))
        return super().key(name)

    def after(self) -> None:
        super().after()
        self._show_opening()

    def cancel(self) -> bool:
        had = self._is_pulled or self._opening is not None
        self._pulled, self._opening, self._at_opening, self._is_pulled = "", None, False, False
        return super().cancel() or had

    # -- inside -------------------------------------------------------------------------------------------------

    def _wall(self) -> Wall | None:
        chosen = self.surface.selection
        wall = self.surface.home.find(Wall, chosen[0]) if len(chosen) == 1 and chosen[0][:1] == "W" else None
        return wall if wall is not None and wall.storey == self.surface.storey else None

    def _fixture(self) -> Fixture | None:
        chosen = self.surface.selection
        return self.surface.home.find(Fixture, chosen[0]) if len(chosen) == 1 and chosen[0][:1] == "F" else None

    def _chosen_opening(self) -> tuple[str, int] | None:
        wall, opening = self._wall(), self._opening
        if wall is None or opening is None or opening[0] != wall.id or opening[1] >= len(wall.openings):
            return None
        return opening

    def _along(self, touch: Touch) -> int:
        assert self._opening is not None
        assert self._begun is not None
        wall = self.surface.home.take(Wall, self._opening[0])
        held = wall.openings[self._opening[1]]
        by = measured(wall, touch.spot)[0] - measured(wall, self._begun.spot)[0]
        end = max(0.0, math.dist(wall.a_mm, wall.b_mm) - held.width_mm)
        return int(min(max(to_grid(held.along_mm + by), 0), end))

    def _show_opening(self, along: int | None = None) -> None:
        opening = self._chosen_opening()
        if opening is None:
            return
        wall = self.surface.home.take(Wall, opening[0])
        held = wall.openings[opening[1]]
        start = held.along_mm if along is None else along
        rest = math.dist(wall.a_mm, wall.b_mm) - start - held.width_mm
        words = f"{show_length(start)} · {held.kind} {show_length(held.width_mm)} · {show_length(max(rest, 0.0))}"
        self.preview = gap_marks(wall, start, held.width_mm, words)

    def _on(self, touch: Touch) -> LineSnap | None:
        """Give what of the sheet's lines the place of the dragged fixture snaps to."""
        start, fixture = self._begun, self.surface.home.take(Fixture, self._pulled)
        assert start is not None
        spot = fixture.place.x_mm + touch.x_mm - start.x_mm, fixture.place.y_mm + touch.y_mm - start.y_mm
        return line_near(self.surface.lines, self.surface.storey, touch, spot=spot)

    def _carried(self, touch: Touch) -> Callable[[Home], Change]:
        start, fixture = self._begun, self.surface.home.take(Fixture, self._pulled)
        assert start is not None
        memo, trade, on = self.surface.memo, self._catalogue, self._on(touch)
        x, y = fixture.place.x_mm + touch.x_mm - start.x_mm, fixture.place.y_mm + touch.y_mm - start.y_mm
        spot = (to_grid(x), to_grid(y)) if on is None else (round(on.x_mm), round(on.y_mm))
        place = msgspec.structs.replace(fixture.place, x_mm=spot[0], y_mm=spot[1], wall=None)
        return lambda home: move_fixture(home, memo, trade, fixture.id, place)
