"""Choosing on the plan: what is clicked, moved, reshaped or boxed."""

from circuitmap.desk.canvas.gestures import (
    Gesture,
    Outcome,
    Surface,
    Touch,
    box_round,
    rooms_here,
    stands_free,
    to_grid,
)
from circuitmap.desk.canvas.line_snapping import snap_marks
from circuitmap.drawing.marks import Area, Glyph, Ink, Line, Mark
from circuitmap.home import Change, Home, combine, verbs
from circuitmap.home.records import Board, Corner, Place, Point, Room
from circuitmap.plan import Snapped, Snapper, place_of, to_wall

_DRAG_PX = 5.0


class Choose(Gesture):
    """Choosing, moving points and boards, dragging the corners of a chosen room, a box round several things."""

    hint = "Click to choose; drag a point to move it; drag on empty plan to choose several."

    def __init__(self, surface: Surface) -> None:
        super().__init__(surface)
        self._start: Touch | None = None
        self._moving: tuple[str, ...] = ()
        self._corner: tuple[str, int] | None = None
        self._dragged = False
        self._hit = ""

    def press(self, touch: Touch) -> Outcome | None:
        self._start, self._dragged = touch, False
        self._corner = self._corner_at(touch)
        hits = self.surface.hits(touch)
        self._hit = hits[0] if hits else ""
        chosen = self.surface.selection
        self._moving = ()
        if self._corner is None and self._hit:
            group = chosen if self._hit in chosen else (self._hit,)
            self._moving = tuple(i for i in group if isinstance(self.surface.home.peek(i), Point | Board))
        if self._hit and self._hit not in chosen and self._corner is None:
            return Outcome(select=(*chosen, self._hit) if touch.shift or touch.ctrl else (self._hit,))
        return None

    def move(self, touch: Touch) -> None:
        start = self._start
        if start is None:
            return
        away = max(abs(touch.x_mm - start.x_mm), abs(touch.y_mm - start.y_mm)) / touch.mm_per_px
        if not self._dragged and away < _DRAG_PX:
            return
        self._dragged = True
        home = self.surface.home
        if self._corner is not None:
            outline, snapped = self._reshaped(touch)
            marks = snap_marks(snapped.on, touch.mm_per_px, (snapped.x_mm, snapped.y_mm))
            self.preview = (Line("overlay", outline, Ink("select", 2.0), closed=True), *marks)
        elif self._moving:
            ghosts: list[Mark] = []
            for record_id in self._moving:
                record = home.peek(record_id)
                place = self._moved(record_id, start, touch) if record is not None else None
                if place is not None:
                    ghosts.append(Glyph("overlay", "socket" if isinstance(record, Point) else "board",
                                        (place.x_mm, place.y_mm), role="select"))  # fmt: skip
            self.preview = tuple(ghosts)
        else:
            self.preview = (Area("overlay", (box_round(start.spot, touch.spot),), "", Ink("select", 1.5, (4, 3))),)

    def release(self, touch: Touch) -> Outcome | None:
        start, dragged = self._start, self._dragged
        self._start = None
        self.preview = ()
        if start is None:
            return None
        if not dragged:
            if self._hit and (touch.shift or touch.ctrl):
                return None
            return Outcome(select=(self._hit,) if self._hit else ())
        if self._corner is not None:
            room, outline = self._corner[0], self._reshaped(touch)[0]
            return Outcome(make=lambda home: verbs.reshape_room(home, room, outline))
        if self._moving:
            moves = {i: place for i in self._moving if (place := self._moved(i, start, touch)) is not None}
            return Outcome(make=lambda home: _move_all(home, moves))
        (x0, y0), (x1, y1) = start.spot, touch.spot
        found = self.surface.within((min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)))
        points = [i for i in found if i[0] in "PB"]
        return Outcome(select=tuple(points or found))

    def cancel(self) -> bool:
        had = self._start is not None and self._dragged
        self._start = None
        self.preview = ()
        return had

    def _corner_at(self, touch: Touch) -> tuple[str, int] | None:
        if len(self.surface.selection) != 1:
            return None
        room = self.surface.home.find(Room, self.surface.selection[0])
        if room is None or room.storey != self.surface.storey:
            return None
        for n, (x, y) in enumerate(room.outline_mm):
            if max(abs(x - touch.x_mm), abs(y - touch.y_mm)) <= 9 * touch.mm_per_px:
                return room.id, n
        return None

    def _reshaped(self, touch: Touch) -> tuple[tuple[Corner, ...], Snapped]:
        assert self._corner is not None
        room_id, n = self._corner
        room = self.surface.home.take(Room, room_id)
        others = [r for r in rooms_here(self.surface) if r.id != room_id]
        before = room.outline_mm[n - 1]
        after = room.outline_mm[(n + 1) % len(room.outline_mm)]
        guides = [((before[0] - 50_000, before[1]), (before[0] + 50_000, before[1])),
                  ((before[0], before[1] - 50_000), (before[0], before[1] + 50_000)),
                  ((after[0] - 50_000, after[1]), (after[0] + 50_000, after[1])),
                  ((after[0], after[1] - 50_000), (after[0], after[1] + 50_000))]  # fmt: skip
        sheet = None if touch.shift else self.surface.lines.under(self.surface.storey)
        reach = 8 * touch.mm_per_px
        snapped = Snapper(others, guides).snap(touch.x_mm, touch.y_mm, tolerance_mm=reach, sheet=sheet)
        corners = list(room.outline_mm)
        corners[n] = (snapped.x_mm, snapped.y_mm)
        return tuple(corners), snapped

    def _moved(self, record_id: str, start: Touch, touch: Touch) -> Place | None:
        record = self.surface.home.peek(record_id)
        place = place_of(self.surface.home, record) if record is not None else None
        if place is None:
            return None
        x = to_grid(place.x_mm + touch.x_mm - start.x_mm)
        y = to_grid(place.y_mm + touch.y_mm - start.y_mm)
        moved = Place(storey=place.storey, x_mm=x, y_mm=y, height_mm=place.height_mm)
        if isinstance(record, Point) and not stands_free(record.kind):
            return to_wall(self.surface.home, self.surface.memo, moved)
        return moved


def _move_all(home: Home, moves: dict[str, Place]) -> Change:
    changes: list[Change] = []
    for record_id, place in moves.items():
        change = verbs.move(home, record_id, place)
        home = home.apply(change)
        changes.append(change)
    return changes[0] if len(changes) == 1 else combine(f"Move {len(changes)} things", changes)
