"""What a press, a drag and a key on a wall seen from its room mean: objects without Qt, as on the plan.

Each move is worked out from what was there at the press, so that nothing changes before the button is let go and
giving up leaves no trace. What letting go would do is a ``Trial``, which the view shows meanwhile.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, Protocol

import msgspec

from circuitmap.errors import PersonError
from circuitmap.extension.by_hand import (
    bends_on,
    drop_bend,
    kept_on,
    lay_by_hand,
    let_in_bend,
    move_bend,
    move_stretch,
    snapped,
    spot_on,
    stretches_on,
)
from circuitmap.extension.on_wall import kept_whole, move_accessory, move_wish, spot_for, usual_heights
from circuitmap.extension.stray import is_along
from circuitmap.home import Change, Home, verbs
from circuitmap.home.cable_paths import Path, tidied
from circuitmap.home.records import Extension, Place
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, Stood
from circuitmap.trade import Trade

_DRAG_PX: Final = 4.0
_BEND_PX: Final = 9.0
_LINE_PX: Final = 7.0
_THING_PX: Final = 5.0
_SNAP_PX: Final = 7.0
_AT_THING_PX: Final = 12.0
DRAWN: Final = "drawn"  # the id of a cable drawn by hand that is not on the map


@dataclass(frozen=True, slots=True)
class WallTouch:
    """Where the pointer is on the wall: along it and over the floor, in mm; and what is held down."""

    u: float
    v: float
    mm_per_px: float
    shift: bool = False


@dataclass(frozen=True, slots=True)
class WallThing:
    """An accessory or a board on the wall: its name here, its record on the home shown, the number of its wish."""

    id: str
    record: str
    stood: Stood
    wish: int = -1
    is_fixed: bool = False  # what an option would bring goes where the option puts it


@dataclass(frozen=True, slots=True)
class WallCable:
    """A cable of which some lies on the wall: a run, a route of an option, or one drawn by hand."""

    id: str
    path: Path


@dataclass(frozen=True, slots=True)
class Trial:
    """What letting go now would do: a thing moved, or a cable laid otherwise."""

    make: Callable[[Home], Change] | None = None
    thing: WallThing | None = None
    place: Place | None = None
    path: tuple[str, Path] | None = None
    bend: int = -1


@dataclass(frozen=True, slots=True)
class WallOutcome:
    """What a gesture asks for: a change, a path kept beside the map, what to choose, something to refuse."""

    make: Callable[[Home], Change] | None = None
    hand: tuple[str, Path] | None = None
    choose: str | None = None
    bend: int = -1
    finished: Path | None = None  # a cable that was drawn to its end
    refuse: str = ""
    over: bool = False


class WallSurface(Protocol):
    """What a gesture may ask of the wall it works on."""

    @property
    def home(self) -> Home: ...
    @property
    def memo(self) -> Memo: ...
    @property
    def trade(self) -> Trade: ...
    @property
    def face(self) -> Face: ...
    @property
    def extension(self) -> str: ...
    @property
    def things(self) -> Sequence[WallThing]: ...
    @property
    def cables(self) -> Sequence[WallCable]: ...
    @property
    def chosen(self) -> str: ...
    @property
    def bend(self) -> int: ...


class WallGesture:
    """The base: does nothing."""

    hint = ""
    trial: Trial | None = None
    pans = False  # whether a press took hold of nothing, so that dragging moves the wall

    def __init__(self, surface: WallSurface) -> None:
        self.surface = surface

    def hover(self, touch: WallTouch) -> None:
        """Follow the pointer while no button is down."""

    def press(self, touch: WallTouch) -> WallOutcome | None:
        """Take a press."""

    def move(self, touch: WallTouch) -> None:
        """Take a move while the button is down."""

    def release(self, touch: WallTouch) -> WallOutcome | None:
        """Take the release."""

    def twice(self, touch: WallTouch) -> WallOutcome | None:
        """Take the second press of a double click."""

    def key(self, name: str) -> WallOutcome | None:
        """Take "Return" or "Backspace"."""

    def cancel(self) -> bool:
        """Give up what was begun; give whether there was anything."""
        return False


class Handle(WallGesture):
    """Choosing things and cables on the wall, and dragging them and their bends."""

    hint = (
        "Drag an accessory, a stretch of cable or a bend; double-click a cable for a new bend; drag the empty wall to "
        "move it, Esc goes back to the plan."
    )

    def __init__(self, surface: WallSurface) -> None:
        super().__init__(surface)
        self._held: tuple[str, str, int] | None = None  # "thing", "bend" or "stretch"; whose; its number
        self._begun: WallTouch | None = None
        self._path: Path = ()
        self._stood: Stood | None = None
        self._is_dragged = False

    def press(self, touch: WallTouch) -> WallOutcome | None:
        self.cancel()
        self._begun = touch
        surface = self.surface
        held = self._held = held_at(surface, touch)
        self.pans = held is None
        if held is None:
            return None
        kind, whose, number = held
        if kind == "thing":
            self._stood = next(each.stood for each in surface.things if each.id == whose)
        else:
            self._path = next(each.path for each in surface.cables if each.id == whose)
        bend = number if kind == "bend" else -1
        return WallOutcome(choose=whose, bend=bend) if (surface.chosen, surface.bend) != (whose, bend) else None

    def move(self, touch: WallTouch) -> None:
        start, held = self._begun, self._held
        if start is None or held is None:
            return
        away = max(abs(touch.u - start.u), abs(touch.v - start.v)) / touch.mm_per_px
        if not self._is_dragged and away < _DRAG_PX:
            return
        self._is_dragged = True
        self.trial = self._tried(touch, start, held)

    def release(self, touch: WallTouch) -> WallOutcome | None:
        was_empty = self._held is None and self._begun is not None and not self._is_dragged
        if self._is_dragged:
            self.move(touch)
        trial, is_dragged = self.trial, self._is_dragged
        self.cancel()
        if trial is not None and is_dragged:
            return outcome_of(self.surface, trial)
        return WallOutcome(choose="") if was_empty and self.surface.chosen else None

    def twice(self, touch: WallTouch) -> WallOutcome | None:
        held = held_at(self.surface, touch)
        if held is None or held[0] != "stretch":
            return None
        path = next(each.path for each in self.surface.cables if each.id == held[1])
        made, bend = let_in_bend(self.surface.face, path, held[2], touch.u, touch.v)
        return outcome_of(self.surface, Trial(path=(held[1], made), bend=bend))

    def cancel(self) -> bool:
        had = self._is_dragged
        self._held, self._begun, self.trial, self._is_dragged = None, None, None, False
        self.pans = False
        return had

    def _tried(self, touch: WallTouch, start: WallTouch, held: tuple[str, str, int]) -> Trial:
        surface = self.surface
        kind, whose, number = held
        reach = 0.0 if touch.shift else _SNAP_PX * touch.mm_per_px
        if kind == "thing":
            assert self._stood is not None
            thing = next((each for each in surface.things if each.id == whose), None)
            if thing is None or thing.is_fixed:
                return Trial()
            u = self._stood.u + touch.u - start.u
            v = self._stood.v + touch.v - start.v if self._stood.v is not None else touch.v
            others = [each.stood for each in surface.things if each.id != whose]
            heights = (*usual_heights(surface.trade), *(each.v for each in others if each.v is not None))
            u, v = snapped((u, v), [each.u for each in others], heights, reach)
            return moved_to(surface, thing, u, v)
        us, vs = lines_to_snap_to(surface)
        if kind == "bend":
            before, after = self._path[number - 1], self._path[number + 1]
            ends = [(surface.face.at(s[1], s[2])[0], s[3]) for s in (before, after)]
            u, v = snapped(kept_on(surface.face, touch.u, touch.v), [*us, *(e[0] for e in ends)],
                           [*vs, *(e[1] for e in ends)], reach)  # fmt: skip
            return Trial(path=(whose, move_bend(surface.face, self._path, number, u, v)), bend=number)
        stretch = next(each for each in stretches_on(surface.face, self._path) if each.number == number)
        by = (touch.u - start.u, touch.v - start.v)
        at = kept_on(surface.face, stretch.a[0] + by[0], stretch.a[1] + by[1])
        u, v = snapped(at, us, vs, reach)
        return Trial(path=(whose, move_stretch(surface.face, self._path, number, u, v)))


class DrawCable(WallGesture):
    """Draws a cable corner after corner; it goes on when the next wall comes into view."""

    hint = (
        "Click the cable's corners; Enter ends it, Backspace takes one back, Esc gives up; . and , go on to the next "
        "wall."
    )

    def __init__(self, surface: WallSurface) -> None:
        super().__init__(surface)
        self.path: Path = ()
        self.ahead: tuple[float, float] | None = None

    def hover(self, touch: WallTouch) -> None:
        self.ahead = self._spot(touch)

    def move(self, touch: WallTouch) -> None:
        self.ahead = self._spot(touch)

    def press(self, touch: WallTouch) -> WallOutcome | None:
        self.ahead = self._spot(touch)
        self._add(*self.ahead)
        return None

    def twice(self, touch: WallTouch) -> WallOutcome | None:
        return self.key("Return") if len(self.path) > 1 else None

    def nudge(self, across_mm: float, up_mm: float) -> None:
        """Move where the next corner goes by keys."""
        u, v = self.ahead if self.ahead is not None else self._start()
        self.ahead = kept_on(self.surface.face, u + across_mm, v + up_mm)

    def key(self, name: str) -> WallOutcome | None:
        if name == "Space":
            self.ahead = self.ahead if self.ahead is not None else self._start()
            self._add(*self.ahead)
        elif name == "Backspace":
            self.path = self.path[:-1]
        elif name == "Return":
            path = self.path
            if len(path) < 2:
                return WallOutcome(
                    refuse="Click where the cable begins and at least one more corner, then press Enter."
                )
            self.cancel()
            return WallOutcome(finished=path, over=True)
        return None

    def cancel(self) -> bool:
        had = bool(self.path)
        self.path, self.ahead = (), None
        return had

    def _start(self) -> tuple[float, float]:
        """Give where keys begin: at the last corner, else at what is chosen, else in the middle of the wall."""
        face = self.surface.face
        if self.path and is_along(face, self.path[-1], self.path[-1]):
            return kept_on(face, face.at(self.path[-1][1], self.path[-1][2])[0], self.path[-1][3])
        thing = next((each.stood for each in self.surface.things if each.id == self.surface.chosen), None)
        middle = face.height_mm / 2
        if thing is not None:
            return thing.u, thing.v if thing.v is not None else middle
        return face.length_mm / 2, middle

    def _add(self, u: float, v: float) -> None:
        """Add a corner; from another wall the cable comes round the nearer corner of the room, as high as it ran."""
        face = self.surface.face
        spots = list(self.path)
        if spots and not is_along(face, spots[-1], spots[-1]):
            ends = [spot_on(face, end, spots[-1][3]) for end in (0.0, face.length_mm)]
            spots.append(min(ends, key=lambda end: math.dist(end[1:3], spots[-1][1:3])))
        self.path = tidied((*spots, spot_on(face, u, v)))

    def _spot(self, touch: WallTouch) -> tuple[float, float]:
        surface, face = self.surface, self.surface.face
        at = kept_on(face, touch.u, touch.v)
        if touch.shift:
            return snapped(at, (), (), 0.0)
        near = [
            (math.dist((each.stood.u, each.stood.v), at), each.stood.u, each.stood.v)
            for each in surface.things
            if each.stood.v is not None
        ]
        best = min(near, default=None)
        if best is not None and best[0] <= _AT_THING_PX * touch.mm_per_px:
            return best[1], best[2]
        us, vs = lines_to_snap_to(surface)
        if self.path and self.path[-1][0] == face.storey:
            us.append(face.at(self.path[-1][1], self.path[-1][2])[0])
            vs.append(self.path[-1][3])
        return snapped(at, us, vs, _SNAP_PX * touch.mm_per_px)


def held_at(surface: WallSurface, touch: WallTouch) -> tuple[str, str, int] | None:
    """Give what is under the pointer: a bend of the chosen cable, an accessory, a stretch of a cable."""
    px = touch.mm_per_px
    cables = sorted(surface.cables, key=lambda each: each.id != surface.chosen)
    for cable in cables:
        if cable.id == surface.chosen:
            for number, (u, v) in bends_on(surface.face, cable.path):
                if math.hypot(u - touch.u, v - touch.v) <= _BEND_PX * px:
                    return "bend", cable.id, number
    best: tuple[float, WallThing] | None = None
    for thing in surface.things:
        stood = thing.stood
        half = stood.high_mm / 2 if stood.v is not None else surface.face.height_mm
        across = abs(stood.u - touch.u) - (stood.wide_mm / 2 if stood.v is not None else 0.0)
        away = max(across, abs((stood.v or 0.0) - touch.v) - half)
        if away <= _THING_PX * px and (best is None or away < best[0]):
            best = away, thing
    if best is not None and best[1].stood.v is not None:
        return "thing", best[1].id, -1
    for cable in cables:
        for number, a, b in stretches_on(surface.face, cable.path):
            if _off((touch.u, touch.v), a, b) <= _LINE_PX * px:
                return "stretch", cable.id, number
    return ("thing", best[1].id, -1) if best is not None else None


def moved_to(surface: WallSurface, thing: WallThing, u: float, v: float | None) -> Trial:
    """Give what moving a thing to a spot of the wall would do; it is kept on the wall with the whole of its plate."""
    if thing.is_fixed:
        return Trial()
    place = spot_for(surface.face, *kept_whole(surface.face, thing.stood, u, v))
    memo, trade, extension = surface.memo, surface.trade, surface.extension
    make: Callable[[Home], Change]
    if thing.wish >= 0:

        def make(home: Home) -> Change:
            return move_wish(home, memo, trade, extension, thing.wish, place)
    else:

        def make(home: Home) -> Change:
            return move_accessory(home, memo, trade, thing.record, place)

    return Trial(make=make, thing=thing, place=place)


def shown_moved(home: Home, surface: WallSurface, thing: WallThing, place: Place) -> Change:
    """Give what shows a thing at a place, whether it may stand there or not."""
    if thing.wish >= 0:
        record = home.take(Extension, surface.extension)
        wishes = list(record.wishes)
        wishes[thing.wish] = msgspec.structs.replace(wishes[thing.wish], place=place)
        return verbs.edit(home, record.id, "Move a requirement", wishes=tuple(wishes))
    return verbs.move(home, thing.record, place)


def outcome_of(surface: WallSurface, trial: Trial) -> WallOutcome | None:
    """Give the outcome of letting go: one change, or a path kept beside the map."""
    if trial.make is not None:
        return WallOutcome(make=trial.make)
    if trial.path is None:
        return None
    whose, path = trial.path
    if whose.startswith("R"):
        trade = surface.trade
        return WallOutcome(make=lambda home: lay_by_hand(home, trade, whose, path), choose=whose, bend=trial.bend)
    return WallOutcome(hand=(whose, path), choose=whose, bend=trial.bend)


def nudged(surface: WallSurface, across_mm: float, up_mm: float) -> WallOutcome | None:
    """Move what is chosen a little: a thing, a bend, or a whole cable's stretch; None where nothing can be moved."""
    thing = next((each for each in surface.things if each.id == surface.chosen), None)
    if thing is not None:
        v = thing.stood.v + up_mm if thing.stood.v is not None else None
        return outcome_of(surface, moved_to(surface, thing, thing.stood.u + across_mm, v))
    cable = next((each for each in surface.cables if each.id == surface.chosen), None)
    if cable is None:
        return None
    bend = next((at for number, at in bends_on(surface.face, cable.path) if number == surface.bend), None)
    if bend is None:
        return None
    return set_bend(surface, cable, surface.bend, bend[0] + across_mm, bend[1] + up_mm)


def set_bend(surface: WallSurface, cable: WallCable, number: int, u: float, v: float) -> WallOutcome | None:
    """Put a bend at a spot of the wall."""
    made = move_bend(surface.face, cable.path, number, *kept_on(surface.face, u, v))
    return outcome_of(surface, Trial(path=(cable.id, made), bend=number))


def without_bend(surface: WallSurface) -> WallOutcome | None:
    """Take the chosen bend out, None where none is chosen."""
    cable = next((each for each in surface.cables if each.id == surface.chosen), None)
    if cable is None or all(number != surface.bend for number, _ in bends_on(surface.face, cable.path)):
        return None
    return outcome_of(surface, Trial(path=(cable.id, drop_bend(cable.path, surface.bend))))


def with_new_bend(surface: WallSurface) -> WallOutcome | None:
    """Let a bend into the middle of the chosen cable's longest stretch, or of the one after the chosen bend."""
    cable = next((each for each in surface.cables if each.id == surface.chosen), None)
    if cable is None:
        return None
    stretches = stretches_on(surface.face, cable.path)
    if not stretches:
        return None
    longest = max(stretches, key=lambda each: math.dist(each.a, each.b))
    stretch = next((each for each in stretches if each.number == surface.bend), longest)
    middle = (stretch.a[0] + stretch.b[0]) / 2, (stretch.a[1] + stretch.b[1]) / 2
    made, bend = let_in_bend(surface.face, cable.path, stretch.number, *middle)
    return outcome_of(surface, Trial(path=(cable.id, made), bend=bend))


def lines_to_snap_to(surface: WallSurface) -> tuple[list[float], list[float]]:
    """Give the uprights and levels to draw a cable along: through accessories, and amid the strips of the wall."""
    face, trade = surface.face, surface.trade
    details = surface.home.details
    corner = trade.limit("zone beside corner mm", details.edition, details.choices).value / 2
    ceiling = trade.limit("zone below ceiling mm", details.edition, details.choices).value / 2
    us = [each.stood.u for each in surface.things]
    vs = [each.stood.v for each in surface.things if each.stood.v is not None]
    if face.room is not None:
        us += [0.0, corner, face.length_mm - corner, face.length_mm]
    return us, [*vs, face.height_mm - ceiling, face.height_mm]


def tried(surface: WallSurface, trial: Trial) -> str:
    """Give why what a trial would do is refused, "" where it isn't."""
    if trial.make is None:
        return ""
    try:
        trial.make(surface.home)
    except PersonError as error:
        return str(error)
    return ""


def _off(spot: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    way = (b[0] - a[0], b[1] - a[1])
    square = way[0] ** 2 + way[1] ** 2
    share = 0.0 if not square else ((spot[0] - a[0]) * way[0] + (spot[1] - a[1]) * way[1]) / square
    share = min(max(share, 0.0), 1.0)
    return math.hypot(spot[0] - a[0] - share * way[0], spot[1] - a[1] - share * way[1])
