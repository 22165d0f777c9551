"""Fixtures put down against walls, turned and sized, with the bathroom zones that they would make."""

from dataclasses import dataclass
from typing import Final, Protocol

import msgspec

from circuitmap.desk.canvas.gestures import Gesture, Outcome, Surface, Touch, to_grid
from circuitmap.desk.canvas.line_snapping import line_near, snap_marks
from circuitmap.desk.canvas.shaping_marks import refused_mark
from circuitmap.drawing.fixtures import fixture_shape
from circuitmap.drawing.marks import Area, Mark
from circuitmap.drawing.zones import zone_marks
from circuitmap.errors import PersonError
from circuitmap.home import Change, Home, verbs
from circuitmap.home.records import Fixture, Place, Room
from circuitmap.plan import put_at, put_fixture, room_at
from circuitmap.plan.fixtures import Put, outline_at, size_of
from circuitmap.plan.line_snap import LineSnap
from circuitmap.plan.zones import WET, figures_of, zones_in
from circuitmap.trade import Trade
from circuitmap.words import FixtureKind

QUARTER_DEG: Final = 90.0


@dataclass(frozen=True)
class FixtureInHand:
    """What is to be put down: its kind and, where one was typed, its size along the wall and out from it."""

    kind: FixtureKind
    size_mm: tuple[float, float] | None = None


class FixtureSource(Protocol):
    """Where the kind and size of what is put down come from; raises a sentence where what is typed is no size."""

    def fixture(self) -> FixtureInHand: ...


class PlaceFixture(Gesture):
    """A fixture under the pointer, standing against the wall nearby, turned by Q or the wheel with Shift held."""

    hint = "Click where it stands; it goes against the wall nearby. Q, or Shift and the wheel, turn it; Esc when done."

    def __init__(self, surface: Surface, in_hand: FixtureSource, trade: Trade) -> None:
        super().__init__(surface)
        self._in_hand, self._trade = in_hand, trade
        self._faces_deg = QUARTER_DEG
        self._last: Touch | None = None

    def hover(self, touch: Touch) -> None:
        self._last = touch
        if not self.surface.storey:
            return
        try:
            kind, put = self._put(touch)
        except PersonError as error:
            self.preview = (refused_mark(str(error), touch.spot),)
            return
        self.preview = (
            *ghost_marks(self.surface.home, self.surface.storey, kind, put, self._trade),
            *snap_marks(self._on(touch) if put.place.wall is None else None, touch.mm_per_px),
        )

    def move(self, touch: Touch) -> None:
        self.hover(touch)

    def press(self, touch: Touch) -> Outcome | None:
        if not self.surface.storey:
            return Outcome(refuse="There is no storey to put it on yet; add one first.")
        try:
            kind, put = self._put(touch)
            size = self._in_hand.fixture().size_mm or (None, None)
        except PersonError as error:
            return Outcome(refuse=str(error))
        memo, trade, place = self.surface.memo, self._trade, put.place

        def make(home: Home) -> Change:
            return put_fixture(home, memo, trade, kind, place, wide_mm=size[0], deep_mm=size[1])

        return Outcome(make=make, select_added=True)

    def turned(self, by_deg: float) -> Outcome | None:
        self._faces_deg = (self._faces_deg + by_deg) % 360
        if self._last is not None:
            self.hover(self._last)
        return Outcome()

    def _put(self, touch: Touch) -> tuple[FixtureKind, Put]:
        held, on = self._in_hand.fixture(), self._on(touch)
        x, y = (round(on.x_mm), round(on.y_mm)) if on is not None else (to_grid(touch.x_mm), to_grid(touch.y_mm))
        place = Place(storey=self.surface.storey, x_mm=x, y_mm=y, faces_deg=self._faces_deg)
        if held.kind == "shower head":
            place = msgspec.structs.replace(place, faces_deg=None)
        wide, deep = held.size_mm or (None, None)
        reach = max(300.0, 30 * touch.mm_per_px)
        put = put_at(
            self.surface.home, self.surface.memo, self._trade, held.kind, place, wide_mm=wide, deep_mm=deep,
            reach_mm=0.0 if touch.shift else reach,
        )  # fmt: skip
        return held.kind, put

    def _on(self, touch: Touch) -> LineSnap | None:
        return line_near(self.surface.lines, self.surface.storey, touch)


def ghost_marks(home: Home, storey: str, kind: FixtureKind, put: Put, trade: Trade, but: str = "") -> tuple[Mark, ...]:
    """Mark where a fixture would come to stand, with the zones that it would make."""
    marks: list[Mark] = []
    if kind in WET:
        stands = Fixture(id="F999999", kind=kind, place=put.place, outline_mm=put.outline_mm)
        rooms = [room for room in home.table(Room).values() if room.storey == storey and room.outline_mm]
        room = room_at(rooms, put.place.x_mm, put.place.y_mm)
        others = [
            f for f in home.table(Fixture).values()
            if f.kind in WET and f.id != but and f.place.storey == storey
            and room is not None and room_at(rooms, f.place.x_mm, f.place.y_mm) == room
        ]  # fmt: skip
        marks += zone_marks(zones_in(room, [*others, stands], trade, figures_of(trade, home.details)))
    marks += [Area("overlay", (tuple((float(x), float(y)) for x, y in put.outline_mm),), "select", opacity=0.12)]
    marks += fixture_shape(kind, put.place, put.outline_mm, layer="overlay", role="select")
    return tuple(marks)


def resized(home: Home, fixture_id: str, size_mm: tuple[float, float], trade: Trade) -> Change:
    """Give a fixture another size, its place and the way it faces kept."""
    fixture = home.take(Fixture, fixture_id)
    outline = outline_at(fixture.place, *size_mm)
    if size_of(fixture, trade) == size_mm and fixture.outline_mm:
        return Change("", ())
    return verbs.edit(home, fixture_id, f"Set size of {trade.fixture(fixture.kind).title}", outline_mm=outline)


def nudged(home: Home, fixture_id: str, across_mm: int, down_mm: int) -> Change:
    """Move a fixture by a little, off its wall too if that is what is wanted."""
    fixture = home.take(Fixture, fixture_id)
    place = msgspec.structs.replace(
        fixture.place, x_mm=fixture.place.x_mm + across_mm, y_mm=fixture.place.y_mm + down_mm
    )
    outline = tuple((x + across_mm, y + down_mm) for x, y in fixture.outline_mm)
    return verbs.edit(home, fixture_id, f"Move {fixture.kind}", place=place, outline_mm=outline)
