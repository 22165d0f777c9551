"""What a press, a drag and a release on the plan mean: objects without Qt that preview and end in one Change.

A gesture takes its snapshot at the press; each move is that snapshot and the total way gone; nothing is changed
before the release, and giving up leaves no trace.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from circuitmap.desk.canvas.line_snapping import LineSource
from circuitmap.drawing.marks import Mark
from circuitmap.home import Change, Home
from circuitmap.home.records import Place, Room
from circuitmap.memo import Memo
from circuitmap.plan import to_wall

_GRID_MM = 10


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
    @property
    def lines(self) -> LineSource: ...
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

    def twice(self, touch: Touch) -> Outcome | None:
        """Take the second press of a double click."""

    def key(self, name: str) -> Outcome | None:
        """Take "Return", "Backspace", "Delete" or "Insert"."""

    def typed(self, text: str) -> bool:
        """Take what was typed on the plan; give whether it was meant for this gesture."""
        return False

    def nudge(self, across_mm: int, down_mm: int) -> Outcome | None:
        """Move what is taken hold of by a little, None where there is nothing (the arrows pan then)."""

    def turned(self, by_deg: float) -> Outcome | None:
        """Turn what is in hand or chosen, None where nothing can be turned (the wheel zooms then)."""

    def after(self) -> None:
        """Show what there is to show once an outcome has been carried out."""

    def taken(self, record_id: str) -> Outcome | None:
        """Take a record chosen elsewhere (a way on the board strip)."""

    def cancel(self) -> bool:
        """Give up what was begun; give whether there was anything to give up."""
        self.preview = ()
        return False


_FREE: frozenset[str] = frozenset(
    {"light", "downlight", "ceiling rose", "smoke alarm", "heat alarm", "CO alarm", "junction box", "emergency light"}
)


def stands_free(kind: str) -> bool:
    """Whether points of a kind hang from the ceiling or lie in a void, and so don't go onto a wall."""
    return kind in _FREE


def placed_at(surface: Surface, touch: Touch, kind: str) -> Place:
    """Give the place under a touch, on the wall nearby when things of the kind stand on walls."""
    place = Place(storey=surface.storey, x_mm=to_grid(touch.x_mm), y_mm=to_grid(touch.y_mm)) if surface.storey else None
    if place is None:
        return Place(storey="", x_mm=to_grid(touch.x_mm), y_mm=to_grid(touch.y_mm))
    if stands_free(kind):
        return place
    outdoors = kind in ("outdoor socket", "outdoor light")
    return to_wall(surface.home, surface.memo, place, reach_mm=max(150.0, 18 * touch.mm_per_px), outdoors=outdoors)


def rooms_here(surface: Surface) -> tuple[Room, ...]:
    """Give the drawn rooms of the storey on show."""
    return tuple(r for r in surface.home.table(Room).values() if r.storey == surface.storey and r.outline_mm)


def to_grid(value_mm: float) -> int:
    """Round to the drawing's 10 mm."""
    return round(value_mm / _GRID_MM) * _GRID_MM


def box_round(a: tuple[float, float], b: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    """Give the corners of the box between two spots."""
    return (a, (b[0], a[1]), b, (a[0], b[1]))


def dot_at(x: float, y: float, r: float) -> tuple[tuple[float, float], ...]:
    """Give a small lozenge about a spot."""
    return ((x - r, y), (x, y - r), (x + r, y), (x, y + r))
