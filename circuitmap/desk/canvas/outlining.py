"""Drawing rooms and measuring a length on the plan."""

from circuitmap.desk.canvas.gestures import Gesture, Outcome, Surface, Touch, dot_at, rooms_here
from circuitmap.desk.canvas.line_snapping import REACH_PX, line_near, snap_marks
from circuitmap.drawing.marks import Area, Ink, Line, Mark, Words
from circuitmap.home import Change, Home, verbs
from circuitmap.home.records import Corner, Room
from circuitmap.plan import Snapped, Snapper
from circuitmap.quantities.show import show_length


class OutlineRoom(Gesture):
    """Outlining a room corner by corner, snapped to right angles, to what is there and to 10 mm."""

    hint = (
        "Click the corners of a room; click the first again, or press Enter, to close. Backspace takes one back, Shift "
        "holds right angles and the lines of the plan off."
    )

    def __init__(self, surface: Surface) -> None:
        super().__init__(surface)
        self._drawn: list[Corner] = []

    def hover(self, touch: Touch) -> None:
        snapped = self._snap(touch)
        spot = (float(snapped.x_mm), float(snapped.y_mm))
        marks: list[Mark] = []
        trail = [(float(x), float(y)) for x, y in self._drawn]
        if trail:
            marks.append(Line("overlay", (*trail, spot), Ink("select", 2.0)))
            length = ((spot[0] - trail[-1][0]) ** 2 + (spot[1] - trail[-1][1]) ** 2) ** 0.5
            words = show_length(length) if length else ""
            label = ", ".join(part for part in (words, snapped.why) if part)
            if label:
                marks.append(Words("overlay", label, spot, role="select", offset_px=(14, -16), plate=True))
        marks += [Area("overlay", (dot_at(x, y, 4 * touch.mm_per_px),), "select") for x, y in (*trail, spot)]
        self.preview = (*marks, *snap_marks(snapped.on, touch.mm_per_px, spot))

    def move(self, touch: Touch) -> None:
        self.hover(touch)

    def press(self, touch: Touch) -> Outcome | None:
        snapped = self._snap(touch)
        x, y = snapped.x_mm, snapped.y_mm
        if snapped.why.startswith("close") and len(self._drawn) >= 3:
            return self._close()
        if self._drawn and (x, y) == self._drawn[-1]:
            return None
        self._drawn.append((x, y))
        self.hover(touch)
        return None

    def key(self, name: str) -> Outcome | None:
        if name == "Backspace" and self._drawn:
            self._drawn.pop()
            self.preview = self.preview[:1] if self._drawn else ()
            return None
        if name == "Return":
            if len(self._drawn) < 3:
                return Outcome(refuse="A room needs at least three corners; click the next one.")
            return self._close()
        return None

    def cancel(self) -> bool:
        had = bool(self._drawn)
        self._drawn = []
        self.preview = ()
        return had

    def _close(self) -> Outcome:
        outline, storey = tuple(self._drawn), self.surface.storey
        self._drawn = []
        self.preview = ()

        def make(home: Home) -> Change:
            count = 1 + len(home.table(Room))
            taken = {room.name for room in home.table(Room).values()}
            while f"Room {count}" in taken:
                count += 1
            return verbs.add_room(home, f"Room {count}", outline, storey)

        return Outcome(make=make, select_added=True)

    def _snap(self, touch: Touch) -> Snapped:
        snapper = self.surface.memo.get("canvas snapper", self.surface.storey, rooms_here(self.surface),
                                        lambda: Snapper(rooms_here(self.surface)))  # fmt: skip
        sheet = None if touch.shift else self.surface.lines.under(self.surface.storey)
        return snapper.snap(
            touch.x_mm, touch.y_mm, self._drawn, tolerance_mm=REACH_PX * touch.mm_per_px, square=not touch.shift,
            sheet=sheet,
        )  # fmt: skip


class Measure(Gesture):
    """Two clicks whose distance is known: the scale of a sheet."""

    hint = "Click both ends of a length that you know, far apart; Shift lets go of the lines of the plan."

    def __init__(self, surface: Surface) -> None:
        super().__init__(surface)
        self._first: tuple[float, float] | None = None

    def hover(self, touch: Touch) -> None:
        on = line_near(self.surface.lines, self.surface.storey, touch)
        marks = snap_marks(on, touch.mm_per_px)
        if self._first is not None:
            here = (on.x_mm, on.y_mm) if on is not None else touch.spot
            dots = (Area("overlay", (dot_at(*spot, 4 * touch.mm_per_px),), "select") for spot in (self._first, here))
            marks = (Line("overlay", (self._first, here), Ink("select", 2.0)), *dots, *marks)
        self.preview = marks

    def press(self, touch: Touch) -> Outcome | None:
        on = line_near(self.surface.lines, self.surface.storey, touch)
        here = (on.x_mm, on.y_mm) if on is not None else touch.spot
        if self._first is None:
            self._first = here
            self.hover(touch)
            return None
        first, self._first = self._first, None
        return Outcome(picked=(first, here), over=True)

    def cancel(self) -> bool:
        had = self._first is not None
        self._first = None
        self.preview = ()
        return had
