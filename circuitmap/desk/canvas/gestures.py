"""What a press, a drag and a release on the plan mean: objects without Qt that preview and end in one Change.

A gesture takes its snapshot at the press; each move is that snapshot and the total way gone; nothing is changed
before the release, and giving up leaves no trace.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from circuitmap.drawing.marks import Area, Glyph, Ink, Line, Mark, Words
from circuitmap.home import Change, Home, combine, verbs
from circuitmap.home.records import Board, Corner, Device, Place, Point, Room, Run
from circuitmap.memo import Memo
from circuitmap.plan import Snapper, place_of, to_wall
from circuitmap.quantities.show import show_length
from circuitmap.words import Evidence, PointKind

_GRID_MM = 10
_DRAG_PX = 5.0


@dataclass(frozen=True, slots=True)
class Touch:
    """Where the pointer is, on the plan, and what is held down."""

    x_mm: float
    y_mm: float
    mm_per_px: float
    shift: bool = False
    ctrl: bool = False

    @property
    def spot(self) -> tuple[float, float]:
        """The place itself."""
        return self.x_mm, self.y_mm


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a gesture asks for: a change to make, what to select then, a place that was picked, something to say."""

    make: Callable[[Home], Change] | None = None
    select: tuple[str, ...] | None = None
    select_added: bool = False
    picked: tuple[tuple[float, float], ...] = ()
    say: str = ""
    refuse: str = ""
    over: bool = False  # the tool is done and goes back to choosing


class Surface(Protocol):
    """What a gesture may ask of the canvas it works on."""

    @property
    def home(self) -> Home: ...
    @property
    def memo(self) -> Memo: ...
    @property
    def storey(self) -> str: ...
    @property
    def selection(self) -> tuple[str, ...]: ...
    def hits(self, touch: Touch, within_px: float = 8.0) -> list[str]: ...
    def within(self, box: tuple[float, float, float, float]) -> list[str]: ...


class Gesture:
    """The base: does nothing, previews nothing."""

    hint = ""

    def __init__(self, surface: Surface) -> None:
        self.surface = surface
        self.preview: tuple[Mark, ...] = ()

    def hover(self, touch: Touch) -> None:
        """Follow the pointer while no button is down."""

    def press(self, touch: Touch) -> Outcome | None:
        """Take a press."""

    def move(self, touch: Touch) -> None:
        """Take a move while the button is down."""

    def release(self, touch: Touch) -> Outcome | None:
        """Take the release."""

    def key(self, name: str) -> Outcome | None:
        """Take "Return" or "Backspace"."""

    def taken(self, record_id: str) -> Outcome | None:
        """Take a record chosen elsewhere (a way on the board strip)."""

    def cancel(self) -> bool:
        """Give up what was begun; give whether there was anything to give up."""
        had = bool(self.preview)
        self.preview = ()
        return had


class Choose(Gesture):
    """Choosing, moving points and boards, dragging the corners of a chosen room, a box round several things."""

    hint = "Click to choose; drag a point to move it; drag on empty plan to choose several."

    def __init__(self, surface: Surface) -> None:
        super().__init__(surface)
        self._start: Touch | None = None
        self._home: Home | None = None
        self._moving: tuple[str, ...] = ()
        self._corner: tuple[str, int] | None = None
        self._dragged = False
        self._hit = ""

    def press(self, touch: Touch) -> Outcome | None:
        self._start, self._home, self._dragged = touch, self.surface.home, False
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
            outline = self._reshaped(touch)
            self.preview = (Line("overlay", outline, Ink("select", 2.0), closed=True),)
        elif self._moving:
            marks: list[Mark] = []
            for record_id in self._moving:
                record = home.peek(record_id)
                place = self._moved(record_id, touch) if record is not None else None
                if place is not None:
                    marks.append(Glyph("overlay", "socket" if isinstance(record, Point) else "board",
                                       (place.x_mm, place.y_mm), role="select"))  # fmt: skip
            self.preview = tuple(marks)
        else:
            self.preview = (Area("overlay", (_box(start.spot, touch.spot),), "", Ink("select", 1.5, (4, 3))),)

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
            room, outline = self._corner[0], self._reshaped(touch)
            return Outcome(make=lambda home: verbs.reshape_room(home, room, outline))
        if self._moving:
            moves = {i: place for i in self._moving if (place := self._moved(i, touch)) is not None}
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

    def _reshaped(self, touch: Touch) -> tuple[Corner, ...]:
        assert self._corner is not None
        room_id, n = self._corner
        room = self.surface.home.take(Room, room_id)
        others = [r for r in _rooms(self.surface) if r.id != room_id]
        before = room.outline_mm[n - 1]
        after = room.outline_mm[(n + 1) % len(room.outline_mm)]
        guides = [((before[0] - 50_000, before[1]), (before[0] + 50_000, before[1])),
                  ((before[0], before[1] - 50_000), (before[0], before[1] + 50_000)),
                  ((after[0] - 50_000, after[1]), (after[0] + 50_000, after[1])),
                  ((after[0], after[1] - 50_000), (after[0], after[1] + 50_000))]  # fmt: skip
        snapped = Snapper(others, guides).snap(touch.x_mm, touch.y_mm, tolerance_mm=8 * touch.mm_per_px)
        corners = list(room.outline_mm)
        corners[n] = (snapped.x_mm, snapped.y_mm)
        return tuple(corners)

    def _moved(self, record_id: str, touch: Touch) -> Place | None:
        assert self._start is not None
        record = self.surface.home.peek(record_id)
        place = place_of(self.surface.home, record) if record is not None else None
        if place is None:
            return None
        x = _grid(place.x_mm + touch.x_mm - self._start.x_mm)
        y = _grid(place.y_mm + touch.y_mm - self._start.y_mm)
        moved = Place(storey=place.storey, x_mm=x, y_mm=y, height_mm=place.height_mm)
        if isinstance(record, Point) and not stands_free(record.kind):
            return to_wall(self.surface.home, self.surface.memo, moved)
        return moved


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
        marks += [Area("overlay", (_dot(x, y, 4 * touch.mm_per_px),), "select") for x, y in (*trail, spot)]
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
        snapper = self.surface.memo.get("canvas snapper", self.surface.storey, _rooms(self.surface),
                                        lambda: Snapper(_rooms(self.surface)))  # fmt: skip
        snapped = snapper.snap(
            touch.x_mm, touch.y_mm, self._drawn, tolerance_mm=10 * touch.mm_per_px, square=not touch.shift
        )
        return snapped.x_mm, snapped.y_mm, snapped.why


class PlacePoint(Gesture):
    """Putting down a point of the kind in hand; near a wall it goes onto it."""

    def __init__(self, surface: Surface, kind: PointKind, gangs: int = 1) -> None:
        super().__init__(surface)
        self.kind, self.gangs = kind, gangs
        self.hint = f"Click where the {kind} is; Esc when done."

    def hover(self, touch: Touch) -> None:
        place = self._place(touch)
        self.preview = (Glyph("overlay", _symbol(self.kind, self.gangs, place), (place.x_mm, place.y_mm),
                              _turn(place), role="select"),)  # fmt: skip

    def move(self, touch: Touch) -> None:
        self.hover(touch)

    def press(self, touch: Touch) -> Outcome | None:
        place = self._place(touch)
        if not place.storey:
            return Outcome(refuse="There is no storey to put a point on yet; add one first.")
        kind, gangs = self.kind, self.gangs
        return Outcome(make=lambda home: verbs.add_point(home, kind, place, gangs=gangs), select_added=True)

    def _place(self, touch: Touch) -> Place:
        return _placed(self.surface, touch, self.kind)


class PlaceBoard(Gesture):
    """Putting down a board, or placing one that is only listed so far."""

    hint = "Click where the board is."

    def hover(self, touch: Touch) -> None:
        self.preview = (Glyph("overlay", "board", touch.spot, role="select"),)

    def press(self, touch: Touch) -> Outcome | None:
        if not self.surface.storey:
            return Outcome(refuse="There is no storey to put a board on yet; add one first.")
        place = _placed(self.surface, touch, "other")
        unplaced = [b for b in self.surface.home.sorted(Board) if b.place is None and b.source != "elsewhere"]
        if unplaced:
            board = unplaced[0].id
            return Outcome(make=lambda home: verbs.move(home, board, place), select=(board,), over=True)
        source = "run" if self.surface.home.table(Board) else "supply"
        return Outcome(
            make=lambda home: verbs.add_board(home, place=place, source="run" if source == "run" else "supply"),
            select_added=True,
            over=True,
        )


class DrawRun(Gesture):
    """A run from one thing to another by two clicks; the second is the first of the next, until Esc."""

    hint = "Click a way or a point, then the next point; go on from there, Esc when done."

    def __init__(self, surface: Surface, cable: str = "", evidence: Evidence = "seen") -> None:
        super().__init__(surface)
        self.cable, self.evidence = cable, evidence
        self._from = ""

    @property
    def begun_at(self) -> str:
        """The id of what the next run starts from, empty before the first click."""
        return self._from

    def hover(self, touch: Touch) -> None:
        start = self._spot(self._from)
        if start is None:
            self.preview = ()
            return
        self.preview = (Line("overlay", (start, touch.spot), Ink("select", 2.0, (6, 4))),)

    def press(self, touch: Touch) -> Outcome | None:
        hits = [i for i in self.surface.hits(touch, 14) if i[0] in "PB"]
        if not hits:
            return Outcome(refuse="Nothing here to join; click a point, a board or a way.")
        return self.taken(hits[0])

    def taken(self, record_id: str) -> Outcome | None:
        record = self.surface.home.peek(record_id)
        if not isinstance(record, Point | Board | Device):
            return None
        if not self._from:
            if isinstance(record, Board):
                return Outcome(refuse=f"Click a way on the strip of board {record.letter_on_map} to start from it.")
            self._from = record_id
            return Outcome(select=(record_id,))
        if record_id == self._from:
            return None
        start, self._from = self._from, "" if isinstance(record, Device | Board) else record_id
        self.preview = ()
        cable, evidence = self.cable, self.evidence
        return Outcome(
            make=lambda home: verbs.join(home, start, record_id, cable=cable, evidence=evidence), select=(record_id,)
        )

    def cancel(self) -> bool:
        had = bool(self._from)
        self._from = ""
        self.preview = ()
        return had

    def _spot(self, record_id: str) -> tuple[float, float] | None:
        record = self.surface.home.peek(record_id) if record_id else None
        if isinstance(record, Device):
            record = self.surface.home.peek(record.board)
        place = place_of(self.surface.home, record) if record is not None else None
        return (float(place.x_mm), float(place.y_mm)) if place and place.storey == self.surface.storey else None


class InsertPoint(Gesture):
    """Splitting a run by putting a point into it: one click on the run."""

    def __init__(self, surface: Surface, kind: PointKind, gangs: int = 1) -> None:
        super().__init__(surface)
        self.kind, self.gangs = kind, gangs
        self.hint = f"Click on a run to put a {kind} into it."

    def hover(self, touch: Touch) -> None:
        self.preview = (Glyph("overlay", "spur leaves", touch.spot, role="select"),) if self._run(touch) else ()

    def press(self, touch: Touch) -> Outcome | None:
        run = self._run(touch)
        if not run:
            return Outcome(refuse="There is no run here; click on one.")
        place = _placed(self.surface, touch, self.kind)
        kind, gangs = self.kind, self.gangs

        def make(home: Home) -> Change:
            added = verbs.add_point(home, kind, place, gangs=gangs)
            point = added.added()[0]
            return combine(f"Insert a {kind} into {run}", [added, verbs.split(home.apply(added), run, point)])

        return Outcome(make=make, select_added=True)

    def _run(self, touch: Touch) -> str:
        return next((i for i in self.surface.hits(touch, 8) if isinstance(self.surface.home.peek(i), Run)), "")


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
                *(Area("overlay", (_dot(x, y, 4 * touch.mm_per_px),), "select") for x, y in (self._first, touch.spot)),
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


_FREE: frozenset[str] = frozenset(
    {"light", "downlight", "ceiling rose", "smoke alarm", "heat alarm", "CO alarm", "junction box", "emergency light"}
)


def stands_free(kind: str) -> bool:
    """Whether points of a kind hang from the ceiling or lie in a void, and so don't go onto a wall."""
    return kind in _FREE


def _placed(surface: Surface, touch: Touch, kind: str) -> Place:
    place = Place(storey=surface.storey, x_mm=_grid(touch.x_mm), y_mm=_grid(touch.y_mm)) if surface.storey else None
    if place is None:
        return Place(storey="", x_mm=_grid(touch.x_mm), y_mm=_grid(touch.y_mm))
    if stands_free(kind):
        return place
    outdoors = kind in ("outdoor socket", "outdoor light")
    return to_wall(surface.home, surface.memo, place, reach_mm=max(150.0, 18 * touch.mm_per_px), outdoors=outdoors)


def _symbol(kind: PointKind, gangs: int, place: Place) -> str:
    from circuitmap.drawing.symbols import symbol_name

    return symbol_name(kind, gangs=gangs, on_wall=place.faces_deg is not None)


def _turn(place: Place) -> float:
    # A symbol's body stands towards -y unturned, which is a wall that faces 270 degrees.
    return (place.faces_deg + 90) % 360 if place.faces_deg is not None else 0.0


def _rooms(surface: Surface) -> tuple[Room, ...]:
    return tuple(r for r in surface.home.table(Room).values() if r.storey == surface.storey and r.outline_mm)


def _move_all(home: Home, moves: dict[str, Place]) -> Change:
    changes: list[Change] = []
    for record_id, place in moves.items():
        change = verbs.move(home, record_id, place)
        home = home.apply(change)
        changes.append(change)
    return changes[0] if len(changes) == 1 else combine(f"Move {len(changes)} things", changes)


def _grid(value_mm: float) -> int:
    return round(value_mm / _GRID_MM) * _GRID_MM


def _box(a: tuple[float, float], b: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    return (a, (b[0], a[1]), b, (a[0], b[1]))


def _dot(x: float, y: float, r: float) -> tuple[tuple[float, float], ...]:
    return ((x - r, y), (x, y - r), (x + r, y), (x, y + r))
