"""A plan small enough for a list: outlines of one storey and its points, in a thousand steps along the longer side."""

from typing import Final

from circuitmap.circuits import views
from circuitmap.home.phases import is_there
from circuitmap.home.records import Board, Point, Room, Storey
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.where import place_of
from circuitmap.shelf.entry import SmallPlan
from circuitmap.trade import Trade

STEPS: Final = 1000
NO_WAY: Final = -1
_MOST_ROOMS: Final = 60
_MOST_DOTS: Final = 150


def small_plan(home: Home, trade: Trade, memo: Memo) -> SmallPlan | None:
    """Give the storey with most rooms drawn, the lowest of several; None for a home that is only listed."""
    drawn: dict[str, list[Room]] = {}
    for room in home.sorted(Room):
        if room.storey is not None and len(room.outline_mm) > 2:
            drawn.setdefault(room.storey, []).append(room)
    if not drawn:
        return None
    levels = {storey.id: storey.level for storey in home.table(Storey).values()}
    chosen = max(drawn, key=lambda i: (len(drawn[i]), levels.get(i) == 0, -levels.get(i, 0)))
    rooms = drawn[chosen][:_MOST_ROOMS]
    corners = [corner for room in rooms for corner in room.outline_mm]
    left, top = min(x for x, _ in corners), min(y for _, y in corners)
    wide, high = max(x for x, _ in corners) - left, max(y for _, y in corners) - top
    scale = STEPS / max(wide, high, 1)

    def at(x_mm: int, y_mm: int) -> tuple[int, int]:
        return round((x_mm - left) * scale), round((y_mm - top) * scale)

    number: dict[str, int] = {}
    for n, view in enumerate(views(home, trade, memo)):
        for point in view.names:
            number[point] = n if point not in number else NO_WAY
    dots: list[tuple[int, int, int]] = []
    for each in home.sorted(Point):
        place = place_of(home, each) if is_there(each) else None
        if place is not None and place.storey == chosen and len(dots) < _MOST_DOTS:
            dots.append((*at(place.x_mm, place.y_mm), number.get(each.id, NO_WAY)))
    boards = [at(b.place.x_mm, b.place.y_mm) for b in home.sorted(Board) if b.place and b.place.storey == chosen]
    return SmallPlan(
        round(wide * scale),
        round(high * scale),
        tuple(tuple(step for corner in room.outline_mm for step in at(*corner)) for room in rooms),
        tuple(dots),
        tuple(boards),
    )
