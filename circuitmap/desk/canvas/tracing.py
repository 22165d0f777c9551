"""Clicking in a room of the plan under the storey, and going through all the rooms that were found on it."""

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final, Protocol

from circuitmap.desk.canvas.gestures import Gesture, Outcome, Surface, Touch, dot_at, rooms_here
from circuitmap.drawing.marks import Area, Ink, Mark, Words
from circuitmap.errors import PersonError
from circuitmap.home import Change, Home
from circuitmap.home.records import Corner, Room
from circuitmap.plan.traced import Traced, check_free, drawn_already, name_apart, take_traced
from circuitmap.quantities.show import show_area
from circuitmap.trade import Trade

_APART_S: Final = 0.06
TRACE_TOOL: Final = "trace"
REVIEW_TOOL: Final = "trace all"


class TracedPlan(Protocol):
    """What the gestures ask of the plan that is traced."""

    def why_not(self) -> str: ...
    @property
    def is_ready(self) -> bool: ...
    def begin(self) -> None: ...
    def room_at(self, x_mm: float, y_mm: float) -> Traced: ...
    def look_later(self) -> None: ...


class TraceRoom(Gesture):
    """One click in a room; what would be outlined shows before it."""

    hint = "Click in a room and its outline appears; Enter takes the name, Esc leaves it a number."

    def __init__(
        self, surface: Surface, plan: TracedPlan, trade: Trade, ask: Callable[[Traced], None],
        clock: Callable[[], float] = time.monotonic,
    ) -> None:  # fmt: skip
        super().__init__(surface)
        self._plan, self._trade, self._ask, self._clock = plan, trade, ask, clock
        self._last_s = -1.0
        self._over: Touch | None = None
        self._ghost: Traced | None = None
        self._waiting: Touch | None = None
        self._asked: Traced | None = None
        self._storey = surface.storey

    @property
    def asked(self) -> Traced | None:
        """The room whose name is being asked."""
        return self._asked

    @property
    def is_waiting(self) -> bool:
        """Whether a click waits for the plan to be read."""
        return self._waiting is not None

    def hover(self, touch: Touch) -> None:
        self._over = touch
        if self._asked is not None or self._waiting is not None or not self._plan.is_ready:
            return
        if self._ghost is not None and _is_in(self._ghost.outline_mm, touch):
            return
        if self._clock() - self._last_s < _APART_S:
            self._plan.look_later()
            return
        self.look()

    def look(self) -> None:
        """Look up what is under the pointer now."""
        if self._over is None or self._asked is not None or self._waiting is not None or not self._plan.is_ready:
            return
        self._last_s = self._clock()
        self._ghost, self.preview = None, ()
        if self._drawn_at(self._over) is not None:
            return
        try:
            self._ghost = self._plan.room_at(*self._over.spot)
        except PersonError:
            return  # a wall or the garden: nothing to show, the click says why
        self.preview = ghost(self._ghost, show_area(self._ghost.area_m2))

    def press(self, touch: Touch) -> Outcome | None:
        self._over = touch
        why_not = self._plan.why_not()
        if why_not:
            return Outcome(refuse=why_not)
        drawn = self._drawn_at(touch)
        if drawn is not None:
            return Outcome(select=(drawn.id,), say=f"{drawn.name} is outlined already.")
        if not self._plan.is_ready:
            self._waiting = touch
            self.preview = _waiting_at(touch)
            self._plan.begin()
            return Outcome()
        return self._found_at(touch)

    def answer(self) -> Outcome | None:
        """Answer the click that waited for the plan to be read."""
        touch, self._waiting, self.preview = self._waiting, None, ()
        if touch is None:
            self.look()
            return None
        return self._found_at(touch)

    def forget(self) -> None:
        """Let a waiting click go: reading was stopped, or failed."""
        if self._waiting is not None:
            self._waiting, self.preview = None, ()

    def take(self, name: str) -> Outcome | None:
        """Draw the room whose name was asked."""
        traced, self._asked = self._asked, None
        self._ghost, self.preview = None, ()
        if traced is None:
            return None
        return taking(self._storey, self._trade, [(traced, name)], select=True)

    def cancel(self) -> bool:
        had = self._waiting is not None
        self._waiting, self._asked, self._ghost, self._over = None, None, None, None
        self.preview = ()
        return had

    def _found_at(self, touch: Touch) -> Outcome | None:
        try:
            traced = self._plan.room_at(*touch.spot)
            check_free(self.surface.home, self.surface.storey, traced.outline_mm)
        except PersonError as error:
            return Outcome(refuse=str(error))
        self._asked, self._ghost, self._storey = traced, None, self.surface.storey
        self.preview = ghost(traced, chosen=True)
        self._ask(traced)
        return None

    def _drawn_at(self, touch: Touch) -> Room | None:
        # Not what stands nearest: a wall beside a drawn room is no part of it.
        return next((room for room in rooms_here(self.surface) if _is_in(room.outline_mm, touch)), None)


@dataclass
class Proposal:
    """A room found on the sheet, the name it would get, and whether it was put aside."""

    traced: Traced
    name: str
    skipped: bool = False

    def words(self) -> str:
        """Say name, area and how sure it is."""
        sure = "sure" if self.traced.is_sure else "look at it"
        return f"{self.name or 'Unnamed'} · {show_area(self.traced.area_m2)} · {sure}"

    def doubts(self) -> str:
        """Say what speaks against it."""
        why = self.traced.why
        parts = [why[:1].upper() + why[1:] + "." if why else "", self.traced.doubt]
        return " ".join(part for part in parts if part)


@dataclass
class Review:
    """All the rooms that were found on a sheet, those left to look at, and the one that is looked at."""

    proposals: list[Proposal] = field(default_factory=list)
    left: list[Proposal] = field(default_factory=list)
    at: int = 0

    def begin(self, rooms: Iterable[Traced], home: Home, storey: str) -> None:
        """Begin anew; names that the plan gives twice are told apart."""
        self.proposals, self.at = [], 0
        given: dict[str, int] = {}
        for traced in rooms:
            name = name_apart(home, traced.said.name) if traced.said.name else ""
            given[name] = given.get(name, 0) + 1
            self.proposals.append(Proposal(traced, f"{name} {given[name]}" if name and given[name] > 1 else name))
        self.follow(home, storey)

    def follow(self, home: Home, storey: str) -> None:
        """Leave out what is drawn by now, and take in again what was undone."""
        chosen = self.chosen
        self.left = [
            each for each in self.proposals
            if not each.skipped and drawn_already(home, storey, each.traced.outline_mm) is None
        ]  # fmt: skip
        if chosen in self.left:
            self.at = self.left.index(chosen)
        self.at = max(0, min(self.at, len(self.left) - 1))

    @property
    def chosen(self) -> Proposal | None:
        """The one that is looked at."""
        return self.left[self.at] if 0 <= self.at < len(self.left) else None

    @property
    def sure(self) -> list[Proposal]:
        """Those that can be taken without looking twice."""
        return [each for each in self.left if each.traced.is_sure]

    def step(self, by: int) -> None:
        """Go on, or back, round the list."""
        if self.left:
            self.at = (self.at + by) % len(self.left)

    def choose_at(self, touch: Touch) -> bool:
        """Choose the one under a touch; give whether there is one."""
        for number, each in enumerate(self.left):
            if _is_in(each.traced.outline_mm, touch):
                self.at = number
                return True
        return False

    def skip(self) -> None:
        """Put the chosen one aside."""
        if self.chosen is not None:
            self.chosen.skipped = True
            self.left.pop(self.at)
            self.at = max(0, min(self.at, len(self.left) - 1))


class ReviewRooms(Gesture):
    """Going through the rooms that were found: arrows, Enter, Delete, or a click on one."""

    hint = "Arrows go through the rooms, Enter takes one, Delete skips it; Esc ends."

    def __init__(
        self, surface: Surface, plan: TracedPlan, trade: Trade, review: Review, tell: Callable[[], None]
    ) -> None:
        super().__init__(surface)
        self._plan, self._trade, self._review, self._tell = plan, trade, review, tell
        self.show()

    def show(self) -> None:
        """Show the proposals as they are now."""
        chosen = self._review.chosen
        marks: list[Mark] = []
        for each in self._review.left:
            if each is not chosen:
                marks += ghost(each.traced, each.name, quiet=True)
        if chosen is not None:
            words = ", ".join(part for part in (chosen.name, show_area(chosen.traced.area_m2)) if part)
            marks += ghost(chosen.traced, words, chosen=True)
        self.preview = tuple(marks)

    def press(self, touch: Touch) -> Outcome | None:
        if self._review.choose_at(touch):
            return self._shown()
        try:
            self._plan.room_at(*touch.spot)
        except PersonError as error:
            return Outcome(refuse=str(error)) if self._plan.is_ready else None
        return None

    def key(self, name: str) -> Outcome | None:
        if name == "Return":
            return self.take()
        if name in ("Delete", "Backspace"):
            self._review.skip()
            return self._shown()
        return None

    def nudge(self, across_mm: int, down_mm: int) -> Outcome | None:
        self._review.step(1 if across_mm + down_mm > 0 else -1)
        return self._shown()

    def after(self) -> None:
        self.show()

    def take(self) -> Outcome | None:
        """Draw the room that is chosen."""
        chosen = self._review.chosen
        if chosen is None:
            return None
        return taking(self.surface.storey, self._trade, [(chosen.traced, chosen.name)])

    def take_sure(self) -> Outcome:
        """Draw all that are sure, in one step."""
        sure = self._review.sure
        if not sure:
            return Outcome(refuse="None of these is sure; look at them one by one, Enter takes each.")
        return taking(self.surface.storey, self._trade, [(each.traced, each.name) for each in sure])

    def cancel(self) -> bool:
        self.preview = ()
        return False

    def _shown(self) -> Outcome:
        self.show()
        self._tell()
        return Outcome()


def taking(storey: str, trade: Trade, rooms: Sequence[tuple[Traced, str]], *, select: bool = False) -> Outcome:
    """Give the outcome that draws traced rooms by their names, and says what speaks against one."""

    def make(home: Home) -> Change:
        return take_traced(home, storey, rooms, trade)

    said = f"{len(rooms)} rooms outlined."
    if len(rooms) == 1:
        traced, name = rooms[0]
        doubts = Proposal(traced, name).doubts()
        said = f"{name.strip() or 'A room'}, {show_area(traced.area_m2)}. {doubts}".strip()
    return Outcome(make=make, select_added=select, say=said)


def ghost(traced: Traced, words: str = "", *, chosen: bool = False, quiet: bool = False) -> tuple[Mark, ...]:
    """Give a room that is not there yet as marks."""
    outline = tuple((float(x), float(y)) for x, y in traced.outline_mm)
    dash = () if chosen else (7, 5)
    marks: list[Mark] = [
        Area("overlay", (outline,), "select", Ink("select", 1.5 if quiet else 2.5, dash), 0.22 if chosen else 0.1)
    ]
    if words:
        xs, ys = [x for x, _ in outline], [y for _, y in outline]
        middle = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
        marks.append(Words("overlay", words, middle, role="select", anchor="middle", plate=True, bold=chosen))
    return tuple(marks)


def _waiting_at(touch: Touch) -> tuple[Mark, ...]:
    return (
        Area("overlay", (dot_at(*touch.spot, 5 * touch.mm_per_px),), "select"),
        Words("overlay", "reading the plan…", touch.spot, role="select", offset_px=(14, -16), plate=True),
    )


def _is_in(corners: Sequence[Corner], touch: Touch) -> bool:
    """Whether a touch is inside an outline, by how often a ray from it crosses the sides."""
    inside = False
    for (ax, ay), (bx, by) in zip(corners, (*corners[1:], corners[0]), strict=True):
        if (ay > touch.y_mm) != (by > touch.y_mm):
            inside ^= touch.x_mm < ax + (touch.y_mm - ay) / (by - ay) * (bx - ax)
    return inside
