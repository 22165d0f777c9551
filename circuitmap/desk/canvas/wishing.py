"""Wishes on the plan: planted on a wall by a click, dragged along it, and points that are wished elsewhere or gone.

In the Extend stage nothing that exists is changed by hand: dragging a point wishes it to be moved.
"""

import math
from typing import Protocol

import msgspec

from circuitmap.desk.canvas.choosing import Choose
from circuitmap.desk.canvas.gestures import Gesture, Outcome, Surface, Touch
from circuitmap.desk.extend_state import ExtendState
from circuitmap.drawing.marks import Mark
from circuitmap.drawing.promise_marks import WISH_PX, wish_flag
from circuitmap.extension.wish_place import in_the_way, kind_of, moved_by, place_near, put_wish, usual_height_mm
from circuitmap.extension.wish_words import said_what
from circuitmap.extension.wishes import say_wish
from circuitmap.home import Home, verbs_extend
from circuitmap.home.records import Place, Point, Wish
from circuitmap.plan import place_of
from circuitmap.trade import Trade

_DRAG_PX = 5.0
_REACH_PX = 26.0
_LEAST_REACH_MM = 250.0


class Hand(Protocol):
    """What is in hand: the wish that the next click plants, without its place, and how high it is to sit."""

    @property
    def state(self) -> ExtendState:
        """What the stage looks at."""

    @property
    def trade(self) -> Trade:
        """The tables."""

    @property
    def draft(self) -> Wish:
        """The wish, without a place."""

    @property
    def draft_height_mm(self) -> int:
        """How high its middle is over the floor."""


class PlantWish(Gesture):
    """A click on a wall plants the wish in hand, a click on a ceiling a light; the tool stays in hand for the next."""

    def __init__(self, surface: Surface, hand: Hand) -> None:
        super().__init__(surface)
        self._hand = hand
        self._put = 0
        moves = hand.draft.act == "move"
        what = f"where {hand.draft.point} is to go" if moves else f"where the {_what(hand, surface.home)} is to go"
        self.hint = f"Click on the wall {what}; Esc when done."

    def hover(self, touch: Touch) -> None:
        wish = self._wish(touch)
        self.preview = _flag(self.surface, self._hand, wish, -1) if wish.place is not None else ()

    def move(self, touch: Touch) -> None:
        self.hover(touch)

    def press(self, touch: Touch) -> Outcome | None:
        if not self.surface.storey:
            return Outcome(refuse="There is no storey to place anything on yet; add one first.")
        wish, hand = self._wish(touch), self._hand
        if wish.place is None:
            return Outcome(refuse=in_mid_air(hand, self.surface.home, wish))
        self._put = len(hand.state.wishes) + 1
        return planted(self.surface, hand, wish, over=wish.act == "move")

    def after(self) -> None:
        if self._put and len(self._hand.state.wishes) == self._put:
            self._hand.state.choose_wish(self._put - 1)
        self._put = 0
        self.preview = ()

    def _wish(self, touch: Touch) -> Wish:
        hand = self._hand
        return msgspec.structs.replace(
            hand.draft, place=_spot(self.surface, hand, hand.draft, touch, hand.draft_height_mm)
        )


class ChooseWish(Choose):
    """Choosing in the Extend stage: wishes are dragged and nudged; a point that is dragged is wished to be moved."""

    hint = "Click to choose; drag a requirement to move it; drag a point to have it moved."

    def __init__(self, surface: Surface, hand: Hand) -> None:
        super().__init__(surface)
        self._hand = hand
        self._begun: Touch | None = None
        self._pulled = -1  # a wish under the button
        self._point = ""  # an existing point under the button
        self._is_pulled = False
        self._put = 0

    def press(self, touch: Touch) -> Outcome | None:
        self._begun, self._pulled, self._point, self._is_pulled = touch, self._at(touch), "", False
        state = self._hand.state
        state.choose_wish(self._pulled)
        if self._pulled >= 0:
            return Outcome(select=()) if self.surface.selection else None
        hits = self.surface.hits(touch)
        point = self.surface.home.find(Point, hits[0]) if hits else None
        if point is not None and not (touch.shift or touch.ctrl):
            self._point = point.id
            return Outcome(select=(point.id,)) if self.surface.selection != (point.id,) else None
        outcome = super().press(touch)
        self._moving, self._corner = (), None  # nothing on the map is changed by hand here
        return outcome

    def move(self, touch: Touch) -> None:
        start = self._begun
        if start is None or (self._pulled < 0 and not self._point):
            super().move(touch)
            return
        away = max(abs(touch.x_mm - start.x_mm), abs(touch.y_mm - start.y_mm)) / touch.mm_per_px
        if not self._is_pulled and away < _DRAG_PX:
            return
        self._is_pulled = True
        wish = self._carried(touch)
        self.preview = _flag(self.surface, self._hand, wish, self._pulled) if wish.place is not None else ()

    def release(self, touch: Touch) -> Outcome | None:
        pulled, point, was_pulled = self._pulled, self._point, self._is_pulled
        begun, self._begun = self._begun, None
        if begun is None or (pulled < 0 and not point):
            return super().release(touch)
        self.preview, self._is_pulled = (), False
        if not was_pulled:
            return None
        wish = self._carried(touch)
        self._pulled, self._point = -1, ""
        if wish.place is None:
            return Outcome(refuse=in_mid_air(self._hand, self.surface.home, wish))
        if pulled < 0:
            self._put = len(self._hand.state.wishes) + 1
        return planted(self.surface, self._hand, wish, pulled)

    def nudge(self, across_mm: int, down_mm: int) -> Outcome | None:
        state = self._hand.state
        if state.wish < 0:
            return None
        wish = state.wishes[state.wish]
        place = moved_by(self.surface.home, self.surface.memo, self._hand.trade, wish, across_mm, down_mm)
        if place is None:
            return None
        return planted(self.surface, self._hand, msgspec.structs.replace(wish, place=place), state.wish)

    def key(self, name: str) -> Outcome | None:
        if name != "Delete":
            return super().key(name)
        state, chosen = self._hand.state, self.surface.selection
        if state.wish >= 0 and state.extension is not None:
            extension, number = state.extension.id, state.wish
            return Outcome(make=lambda home: verbs_extend.drop_wish(home, extension, number))
        if len(chosen) == 1 and self.surface.home.find(Point, chosen[0]) is not None:
            return planted(self.surface, self._hand, Wish(act="remove", point=chosen[0]))
        return None

    def after(self) -> None:
        super().after()
        if self._put and len(self._hand.state.wishes) == self._put:
            self._hand.state.choose_wish(self._put - 1)
        self._put = 0

    def cancel(self) -> bool:
        had = self._is_pulled or self._hand.state.wish >= 0
        self._begun, self._pulled, self._point, self._is_pulled = None, -1, "", False
        self._hand.state.choose_wish(-1)
        return super().cancel() or had

    # -- inside -------------------------------------------------------------------------------------------------

    def _at(self, touch: Touch) -> int:
        """Give the number of the wish whose pennant lies under a touch, -1 for none."""
        state = self._hand.state
        if not state.is_open:
            return -1
        best: tuple[float, int] | None = None
        for n, wish in enumerate(state.wishes):
            place = wish.place if wish.act != "remove" else None
            if place is None or place.storey != self.surface.storey:
                continue
            away = _from_flag(place, touch)
            if away <= WISH_PX * 0.6 and (best is None or away < best[0]):
                best = away, n
        return best[1] if best is not None else -1

    def _carried(self, touch: Touch) -> Wish:
        assert self._begun is not None or self._pulled >= 0 or self._point
        state, home = self._hand.state, self.surface.home
        if self._pulled >= 0:
            wish = state.wishes[self._pulled]
            height = wish.place.height_mm if wish.place is not None else None
        else:
            wish, height = move_wish(home, self._point)
        known = height if height is not None else usual_height_mm(self._hand.trade, kind_of(home, wish))
        return msgspec.structs.replace(wish, place=_spot(self.surface, self._hand, wish, touch, known))


def move_wish(home: Home, point_id: str) -> tuple[Wish, int | None]:
    """Give the wish to move a point, without a place yet, and how high the point sits now."""
    point = home.take(Point, point_id)
    place = place_of(home, point)
    wish = Wish(act="move", kind=point.kind, gangs=point.gangs, point=point.id, loads=point.loads)
    return wish, place.height_mm if place is not None else None


def planted(surface: Surface, hand: Hand, wish: Wish, number: int = -1, *, over: bool = False) -> Outcome:
    """Give the outcome that puts a wish into the extension, and warns of what may be in its way."""
    extension = hand.state.extension
    name = extension.id if extension is not None else ""
    memo, trade = surface.memo, hand.trade
    _, warn = in_the_way(surface.home, memo, trade, name, wish, number)
    return Outcome(make=lambda home: put_wish(home, memo, trade, name, wish, number), say=warn, over=over)


def in_mid_air(hand: Hand, home: Home, wish: Wish) -> str:
    """Say that nothing holds a wish where it was meant."""
    what = said_what(kind_of(home, wish), wish.gangs, hand.trade)
    row = hand.trade.point(kind_of(home, wish))
    if row.is_light and not row.outdoor:
        return f"The {what} would be in mid-air: click inside a room that is drawn."
    return f"The {what} would be in mid-air: click on a wall, or nearer to one."


def _spot(surface: Surface, hand: Hand, wish: Wish, touch: Touch, height_mm: int) -> Place | None:
    reach = max(_LEAST_REACH_MM, _REACH_PX * touch.mm_per_px)
    return place_near(
        surface.home, surface.memo, hand.trade, wish, surface.storey, touch.spot, height_mm, reach
    )  # fmt: skip


def _flag(surface: Surface, hand: Hand, wish: Wish, number: int) -> tuple[Mark, ...]:
    assert wish.place is not None
    state = hand.state
    extension = state.extension.id if state.extension is not None else ""
    refuse, _ = in_the_way(surface.home, surface.memo, hand.trade, extension, wish, number)
    said = say_wish(surface.home, surface.memo, hand.trade, msgspec.structs.replace(wish, loads=(), behind=""))
    where = ", ".join(said.split(", ")[2:4])
    words = "taken" if refuse else where
    return wish_flag(wish.place, words, "warn" if refuse else "select", is_moved=wish.act == "move")


def _from_flag(place: Place, touch: Touch) -> float:
    """Give how many px a touch is from the middle of a pennant."""
    half = WISH_PX / 2 if place.faces_deg is not None else 0.0
    turn = math.radians(place.faces_deg or 0.0)
    x = (touch.x_mm - place.x_mm) / touch.mm_per_px - math.cos(turn) * half
    y = (touch.y_mm - place.y_mm) / touch.mm_per_px - math.sin(turn) * half
    return math.hypot(x, y)


def _what(hand: Hand, home: Home) -> str:
    return said_what(kind_of(home, hand.draft), hand.draft.gangs, hand.trade)
