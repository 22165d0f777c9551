"""Choosing in the Draw stage, where a chosen room is moved, and reshaped by its sides and corners.

A side takes its whole wall along (with Ctrl only its own face), and sticks to what is near (not with Shift). A size
may be typed while a side is held or chosen.
"""

from collections.abc import Callable

from circuitmap.desk.canvas.choosing import Choose
from circuitmap.desk.canvas.gestures import Outcome, Surface, Touch, rooms_here, to_grid
from circuitmap.desk.canvas.line_snapping import snap_marks
from circuitmap.desk.canvas.shaping_marks import Part, held_marks, part_at, refused_mark, room_marks
from circuitmap.drawing.marks import Mark, Words
from circuitmap.errors import PersonError
from circuitmap.home import Change, Home
from circuitmap.home.records import Room
from circuitmap.plan import tidy_outline
from circuitmap.plan.corners import StuckCorner, add_corner, move_corner, remove_corner, stick_corner
from circuitmap.plan.outlines import Outline
from circuitmap.plan.reshape import reshape_rooms
from circuitmap.plan.sides import check_apart, depth_of, faces_of, move_side, stick_side
from circuitmap.plan.sketch import stick
from circuitmap.quantities import parse_room_length_mm
from circuitmap.trade import Trade

_DRAG_PX = 5.0
_STICK_PX = 10.0
_LENGTH_SIGNS = "0123456789.,'\"/½¼¾"
_UNIT_SIGNS = "mcftin"


class Shape(Choose):
    """Choosing, and with one room chosen: dragging it, its sides and its corners."""

    hint = (
        "Click a room, then drag it, a side or a corner; double-click a side for a new corner, Delete takes a chosen "
        "one out; type a size while a side is held."
    )

    def __init__(self, surface: Surface, trade: Trade) -> None:
        super().__init__(surface)
        self._trade = trade
        self._gap_mm = trade.size_mm("inner wall")
        self._held: Part | None = None  # under the button now
        self._chosen: Part | None = None  # clicked or stepped to, for keys
        self._from: Touch | None = None
        self._last: Touch | None = None
        self._is_dragged = False
        self._typed = ""
        self._stuck: StuckCorner | None = None  # where the dragged corner is now

    # -- the pointer --------------------------------------------------------------------------------------------

    def hover(self, touch: Touch) -> None:
        room = self._room()
        part = part_at(room, touch, self._hits_first(touch)) if room else None
        self._show(part if part is not None and part.kind != "room" else self._part(), touch.mm_per_px)

    def press(self, touch: Touch) -> Outcome | None:
        self._last = touch
        room = self._room()
        part = part_at(room, touch, self._hits_first(touch)) if room else None
        if part is None or (part.kind == "room" and (touch.shift or touch.ctrl)):
            self._drop()
            return super().press(touch)
        if self._part() != part:
            self._typed = ""
        self._held, self._from, self._is_dragged = part, touch, False
        return None

    def move(self, touch: Touch) -> None:
        start = self._from
        if self._held is None or start is None:
            super().move(touch)
            return
        self._last = touch
        away = max(abs(touch.x_mm - start.x_mm), abs(touch.y_mm - start.y_mm)) / touch.mm_per_px
        if not self._is_dragged and away < _DRAG_PX:
            return
        self._is_dragged = True
        self._preview(touch)

    def release(self, touch: Touch) -> Outcome | None:
        part = self._held
        if part is None or self._from is None:
            return super().release(touch)
        dragged, self._held = self._is_dragged, None
        if not dragged:
            if part.kind == "room":
                self._drop()
                return Outcome(select=(part.room,))
            self._chosen = part
            self._show(part, touch.mm_per_px)
            return None
        return self._end(part, touch)

    def twice(self, touch: Touch) -> Outcome | None:
        room = self._room()
        part = part_at(room, touch, self._hits_first(touch)) if room else None
        if room is None or part is None or part.kind != "side":
            return None
        return self._with_corner(room, part.number, touch.spot)

    # -- keys ---------------------------------------------------------------------------------------------------

    def typed(self, text: str) -> bool:
        part = self._held if self._is_dragged else self._part()
        signs = _LENGTH_SIGNS + (_UNIT_SIGNS if self._typed else "")
        if part is None or part.kind != "side" or not text or text not in signs:
            return False
        self._typed += text
        self._preview(self._last, part)
        return True

    def key(self, name: str) -> Outcome | None:
        room, part = self._room(), self._held if self._is_dragged else self._part()
        if room is None or part is None:
            return super().key(name)
        if name == "Backspace" and self._typed:
            self._typed = self._typed[:-1]
            self._preview(self._last, part)
        elif name == "Return" and self._typed:
            return self._end(part, self._last)
        elif name == "Delete" and part.kind == "corner":
            return self._without_corner(room, part.number)
        elif name == "Delete" and part.kind == "side":
            return Outcome(refuse="A side can't be removed; choose a corner, or press Esc and then Delete the room.")
        elif name == "Insert" and part.kind == "side":
            face = faces_of(room.id, room.outline_mm)[part.number]
            middle = (face.x + face.far[0]) / 2, (face.y + face.far[1]) / 2
            return self._with_corner(room, part.number, middle)
        return None

    def step(self, by: int) -> bool:
        """Go on to the next corner or side of the chosen room, round it; give whether there is one."""
        room = self._room()
        if room is None:
            return False
        parts = [Part(room.id, kind, n) for n in range(len(tidy_outline(room.outline_mm)))
                 for kind in ("corner", "side")]  # fmt: skip
        now = self._part()
        at = parts.index(now) + by if now in parts else (0 if by > 0 else len(parts) - 1)
        self._typed = ""
        self._chosen = parts[at % len(parts)]
        self._show(self._chosen, self._mm_per_px())
        return True

    def nudge(self, across_mm: int, down_mm: int) -> Outcome | None:
        room, part = self._room(), self._part()
        if room is None or part is None:
            return None
        if part.kind == "corner":
            x, y = tidy_outline(room.outline_mm)[part.number]
            to = (x + across_mm, y + down_mm)
            return self._changed(lambda: {room.id: move_corner(room.outline_mm, part.number, to, room.name)})
        out = faces_of(room.id, room.outline_mm)[part.number].out
        delta = round(across_mm * out[0] + down_mm * out[1])
        if not delta:
            return Outcome()
        return self._changed(lambda: move_side(rooms_here(self.surface), room.id, part.number, delta))

    def after(self) -> None:
        self._show(self._part(), self._mm_per_px())

    def cancel(self) -> bool:
        had = self._is_dragged or bool(self._typed) or self._part() is not None
        self._drop()
        return super().cancel() or had

    # -- inside -------------------------------------------------------------------------------------------------

    def _room(self) -> Room | None:
        chosen = self.surface.selection
        room = self.surface.home.find(Room, chosen[0]) if len(chosen) == 1 and chosen[0][:1] == "M" else None
        return room if room is not None and room.storey == self.surface.storey and room.outline_mm else None

    def _part(self) -> Part | None:
        """Give the chosen part, as long as its room is the one that is chosen and still has it."""
        room, part = self._room(), self._chosen
        if room is None or part is None or part.room != room.id or part.number >= len(tidy_outline(room.outline_mm)):
            return None
        return part

    def _hits_first(self, touch: Touch) -> str:
        hits = self.surface.hits(touch)
        return hits[0] if hits else ""

    def _drop(self) -> None:
        self._held = self._chosen = self._from = None
        self._is_dragged, self._typed = False, ""
        self.preview = ()

    def _mm_per_px(self) -> float:
        return self._last.mm_per_px if self._last is not None else 10.0

    def _show(self, part: Part | None, mm_per_px: float) -> None:
        room = self._room()
        self.preview = held_marks(room, part, mm_per_px) if room is not None and part is not None else ()

    def _end(self, part: Part, touch: Touch | None) -> Outcome:
        try:
            outlines, _ = self._outlines(part, touch)
            check_apart(rooms_here(self.surface), outlines)
        except PersonError as error:
            self._typed = ""
            self._drop()
            return Outcome(refuse=str(error))
        self._drop()
        self._chosen = part if part.kind != "room" else None
        return self._outcome(outlines, part.room, moved=part.kind == "room")

    def _changed(self, make: Callable[[], dict[str, Outline]]) -> Outcome:
        try:
            outlines = make()
        except PersonError as error:
            return Outcome(refuse=str(error))
        self.preview = ()
        room = self._room()
        return self._outcome(outlines, room.id if room is not None else "")

    def _outcome(self, outlines: dict[str, Outline], room_id: str, *, moved: bool = False) -> Outcome:
        name = self.surface.home.take(Room, room_id).name
        title = f"Move room “{name[:30]}”" if moved else f"Reshape room “{name[:30]}”"

        def make(home: Home) -> Change:
            return reshape_rooms(home, outlines, self._trade, title)

        return Outcome(make=make)

    def _with_corner(self, room: Room, side: int, spot: tuple[float, float]) -> Outcome:
        outcome = self._changed(lambda: {room.id: add_corner(room.outline_mm, side, spot)})
        if outcome.make is not None:
            self._chosen = Part(room.id, "corner", side + 1)
        return outcome

    def _without_corner(self, room: Room, number: int) -> Outcome:
        outcome = self._changed(lambda: {room.id: remove_corner(room.outline_mm, number, room.name)})
        if outcome.make is not None:
            # The next press of the key is about a corner too, never about the whole room.
            self._chosen = Part(room.id, "corner", max(0, number - 1))
        return outcome

    def _outlines(self, part: Part, touch: Touch | None) -> tuple[dict[str, Outline], str]:
        """Give what the drag, or the typed size, makes of the rooms, and what it stuck to."""
        rooms = rooms_here(self.surface)
        room = self.surface.home.take(Room, part.room)
        start = self._from or touch
        if part.kind == "side":
            alone = touch is not None and touch.ctrl
            if self._typed:
                delta = parse_room_length_mm(self._typed) - depth_of(rooms, room.id, part.number)
                return move_side(rooms, room.id, part.number, delta, alone=alone), ""
            assert touch is not None
            assert start is not None
            out = faces_of(room.id, room.outline_mm)[part.number].out
            delta = (touch.x_mm - start.x_mm) * out[0] + (touch.y_mm - start.y_mm) * out[1]
            reach = 0.0 if touch.shift else _STICK_PX * touch.mm_per_px
            stuck = stick_side(rooms, room.id, part.number, delta, gap_mm=self._gap_mm, reach_mm=reach, alone=alone)
            return move_side(rooms, room.id, part.number, stuck.delta_mm, alone=alone), stuck.why
        assert touch is not None
        assert start is not None
        if part.kind == "corner":
            to, why = self._corner_to(room, part.number, touch)
            return {room.id: move_corner(room.outline_mm, part.number, to, room.name)}, why
        by = to_grid(touch.x_mm - start.x_mm), to_grid(touch.y_mm - start.y_mm)
        outline = tuple((x + by[0], y + by[1]) for x, y in room.outline_mm)
        if touch.shift:
            return {room.id: outline}, ""
        others = [other for other in rooms if other.id != room.id]
        put = stick(outline, others, gap_mm=self._gap_mm, reach_mm=_STICK_PX * touch.mm_per_px)
        return {room.id: put.outline}, put.why

    def _corner_to(self, room: Room, number: int, touch: Touch) -> tuple[tuple[int, int], str]:
        if touch.shift:
            self._stuck = None
            return (to_grid(touch.x_mm), to_grid(touch.y_mm)), ""
        others = [other for other in rooms_here(self.surface) if other.id != room.id]
        reach = _STICK_PX * touch.mm_per_px
        sheet = self.surface.lines.under(self.surface.storey)
        stuck = stick_corner(
            room.outline_mm, number, touch.spot, others, gap_mm=self._gap_mm, reach_mm=reach, sheet=sheet
        )
        self._stuck = stuck
        return stuck.corner, stuck.why

    def _preview(self, touch: Touch | None, part: Part | None = None) -> None:
        part = part or self._held
        room = self._room()
        if part is None or room is None:
            return
        mm_per_px = touch.mm_per_px if touch is not None else self._mm_per_px()
        says: Mark | None = None
        try:
            outlines, why = self._outlines(part, touch)
            check_apart(rooms_here(self.surface), outlines)
        except PersonError as error:
            at = touch.spot if touch is not None else (float(room.outline_mm[0][0]), float(room.outline_mm[0][1]))
            self.preview = (*held_marks(room, part, mm_per_px), refused_mark(str(error), at, self._typed))
            return
        words = f"{self._typed} ⏎" if self._typed else why
        if words and touch is not None:
            says = Words("overlay", words, touch.spot, role="select", offset_px=(18, 24), plate=True, bold=True)
        marks: list[Mark] = []
        for room_id, outline in outlines.items():
            before = () if part.kind == "room" else self.surface.home.take(Room, room_id).outline_mm
            marks += room_marks(outline, mm_per_px, is_whole=room_id == part.room, before=before)
        if part.kind == "corner" and self._stuck is not None:
            marks += snap_marks(self._stuck.on, mm_per_px, self._stuck.corner)
        self.preview = (*marks, *((says,) if says is not None else ()))
