"""A typed room put where one clicks, and a box cut out of a chosen room."""

from typing import Protocol

from circuitmap.desk.canvas.gestures import Gesture, Outcome, Surface, Touch, rooms_here, to_grid
from circuitmap.desk.canvas.line_snapping import REACH_PX, snap_marks
from circuitmap.desk.canvas.shaping_marks import refused_mark, room_marks
from circuitmap.drawing.marks import Area, Ink, Mark, Words
from circuitmap.errors import PersonError
from circuitmap.home import Change, Home, verbs
from circuitmap.home.records import Room
from circuitmap.plan.corners import cut_out
from circuitmap.plan.line_snap import LineSnap, lay_on_lines
from circuitmap.plan.outlines import Outline
from circuitmap.plan.reshape import reshape_rooms
from circuitmap.plan.sides import check_apart
from circuitmap.plan.sketch import Sized, Stick, room_by_size, stick
from circuitmap.trade import Trade

_STICK_PX = 18.0


class Typed(Protocol):
    """Where the typed room comes from."""

    def in_hand(self) -> tuple[Sized, str]:
        """Give the room that was typed, and what it will be called."""


class PlaceSized(Gesture):
    """A room of a typed size under the pointer, sticking a wall off what is near; a click puts it there."""

    hint = "Click where the room goes; it sticks to its neighbours, a wall apart (not with Shift). Esc gives it up."

    def __init__(self, surface: Surface, typed: Typed, trade: Trade) -> None:
        super().__init__(surface)
        self._typed, self._gap_mm = typed, trade.size_mm("inner wall")

    def hover(self, touch: Touch) -> None:
        try:
            sized, name = self._typed.in_hand()
        except PersonError as error:
            self.preview = (refused_mark(str(error), touch.spot),)
            return
        put, on = self._put(sized, touch)
        (left, top), (right, _) = put.outline[0], put.outline[1]
        middle = (left + right) / 2, top
        says = Words("overlay", put.why, middle, role="select", anchor="middle", offset_px=(0, -34), plate=True)
        marks = (*room_marks(put.outline, touch.mm_per_px, name=name), *snap_marks(on, touch.mm_per_px))
        self.preview = (*marks, says) if put.why else marks

    def move(self, touch: Touch) -> None:
        self.hover(touch)

    def press(self, touch: Touch) -> Outcome | None:
        try:
            sized, name = self._typed.in_hand()
        except PersonError as error:
            return Outcome(refuse=str(error))
        outline, storey = self._put(sized, touch)[0].outline, self.surface.storey
        self.preview = ()

        def make(home: Home) -> Change:
            change = verbs.add_room(home, name, outline, storey)
            undrawn = Room(id=change.added(Room)[0], name=name, storey=storey)
            there = [room for room in home.table(Room).values() if room.storey == storey]
            check_apart([*there, undrawn], {undrawn.id: outline})
            return change

        return Outcome(make=make, select_added=True)

    def cancel(self) -> bool:
        self.preview = ()
        return False

    def _put(self, sized: Sized, touch: Touch) -> tuple[Stick, LineSnap | None]:
        corner = to_grid(touch.x_mm - sized.width_mm / 2), to_grid(touch.y_mm - sized.depth_mm / 2)
        outline = room_by_size(sized.width_mm, sized.depth_mm, corner)
        if touch.shift:
            return Stick(outline, ""), None
        put = stick(outline, rooms_here(self.surface), gap_mm=self._gap_mm, reach_mm=_STICK_PX * touch.mm_per_px)
        sheet = self.surface.lines.under(self.surface.storey)
        if put.why or sheet is None:
            return put, None
        laid, on = lay_on_lines(outline, sheet, REACH_PX * touch.mm_per_px)
        return Stick(laid, on.why if on is not None else ""), on


class CutOut(Gesture):
    """A box drawn over a chosen room, which is then without it."""

    hint = "Drag a box over the part of the room that is to go, from outside the room; Shift holds whole steps off."

    def __init__(self, surface: Surface, trade: Trade) -> None:
        super().__init__(surface)
        self._trade = trade
        self._start: Touch | None = None

    def press(self, touch: Touch) -> Outcome | None:
        if self._room() is None:
            return Outcome(refuse="Choose one drawn room first, then cut from it.", over=True)
        self._start = touch
        return None

    def move(self, touch: Touch) -> None:
        room = self._room()
        if self._start is None or room is None:
            return
        x0, y0, x1, y1 = self._box(touch)
        box = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        marks: list[Mark] = [Area("overlay", (box,), "", Ink("select", 1.5, (4, 3)))]
        try:
            left = cut_out(room.outline_mm, (x0, y0, x1, y1), room.name)
            marks += room_marks(left, touch.mm_per_px, before=room.outline_mm)
        except PersonError as error:
            marks.append(refused_mark(str(error), touch.spot))
        self.preview = tuple(marks)

    def release(self, touch: Touch) -> Outcome | None:
        room, started = self._room(), self._start is not None
        if room is None or not started:
            return None
        box = self._box(touch)
        self._start, self.preview = None, ()
        try:
            outline = cut_out(room.outline_mm, box, room.name)
        except PersonError as error:
            return Outcome(refuse=str(error))
        outlines: dict[str, Outline] = {room.id: outline}
        title = f"Cut from room “{room.name[:30]}”"

        def make(home: Home) -> Change:
            return reshape_rooms(home, outlines, self._trade, title)

        return Outcome(make=make, over=True)

    def cancel(self) -> bool:
        had = self._start is not None
        self._start, self.preview = None, ()
        return had

    def _room(self) -> Room | None:
        chosen = self.surface.selection
        room = self.surface.home.find(Room, chosen[0]) if len(chosen) == 1 and chosen[0][:1] == "M" else None
        return room if room is not None and room.storey == self.surface.storey and room.outline_mm else None

    def _box(self, touch: Touch) -> tuple[int, int, int, int]:
        assert self._start is not None
        to = round if touch.shift else to_grid
        xs = sorted((to(self._start.x_mm), to(touch.x_mm)))
        ys = sorted((to(self._start.y_mm), to(touch.y_mm)))
        return xs[0], ys[0], xs[1], ys[1]
