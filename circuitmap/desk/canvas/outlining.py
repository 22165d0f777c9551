"""Drawing rooms and measuring a length on the plan."""

from circuitmap.desk.canvas.gestures import Gesture, Outcome, Surface, Touch, dot_at, rooms_here
from circuitmap.drawing.marks import Area, Ink, Line, Mark, Words
from circuitmap.home import Change, Home, verbs
from circuitmap.home.records import Corner, Room
from circuitmap.plan import Snapper
from circuitmap.quantities.show import show_length


class OutlineRoom(Gesture):
    """Outlining a room corner by corner, snapped to right angles, to what is there and to 10 mm."""

    hint = "Click the corners of a room; click the first again, or press Enter, to close. Backspace takes one back."

    def __init__(self, surface: Surface) -> None:
        super().__init__(surface)
        self._drawn: list[Corner] = []

    def hover(self, touch: Touch) -> None:
        snapped = self._snap(touch)
        spot = (float(snapped[0]), float(snapped[1]))
        marks: list[Mark] = []
        trail = [(float(x), float(y)) for x, y in self._drawn]
        if trail:
            marks.append(Line("overlay", (*trail, spot), Ink("select", 2.0)))
            length = ((spot[0] - trail[-1][0]) ** 2 + (spot[1] - trail[-1][1]) ** 2) ** 0.5
            words = show_length(length) if length else ""
            label = ", ".join(part for part in (words, snapped[2]) if part)
            if label:
                marks.append(Words("overlay", label, spot, role="select", offset_px=(14, -16), plate=True))
        marks += [Area("overlay", (dot_at(x, y, 4 * touch.mm_per_px),), "select") for x, y in (*trail, spot)]
        self.preview = tuple(marks)

    def move(self, touch: Touch) -> None:
        self.hover(touch)

    def press(self, touch: Touch) -> Outcome | None:
        x, y, why = self._snap(touch)
        if why.startswith("close") and len(self._drawn) >= 3:
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

    def _snap(self, touch: Touch) -> tuple[int, int, str]:
        snapper = self.surface.memo.get("canvas snapper", self.surface.storey, rooms_here(self.surface),
                                        lambda: Snapper(rooms_here(self.surface)))  # fmt: skip
        snapped = snapper.snap(
            touch.x_mm, touch.y_mm, self._drawn, tolerance_mm=10 * touch.mm_per_px, square=not touch.shift
        )
        return snapped.x_mm, snapped.y_mm, snapped.why


class Measure(Gesture):
    """Two clicks whose distance is known: the scale of a sheet."""

    hint = "Click both ends of a length that you know, far apart."

    def __init__(self, surface: Surface) -> None:
        super().__init__(surface)
        self._first: tuple[float, float] | None = None

    def hover(self, touch: Touch) -> None:
        if self._first is not None:
            self.preview = (
                Line("overlay", (self._first, touch.spot), Ink("select", 2.0)),
                *(
                    Area("overlay", (dot_at(*spot, 4 * touch.mm_per_px),), "select")
                    for spot in (self._first, touch.spot)
                ),
            )

    def press(self, touch: Touch) -> Outcome | None:
        if self._first is None:
            self._first = touch.spot
            self.hover(touch)
            return None
        first, self._first = self._first, None
        return Outcome(picked=(first, touch.spot), over=True)

    def cancel(self) -> bool:
        had = self._first is not None
        self._first = None
        self.preview = ()
        return had
