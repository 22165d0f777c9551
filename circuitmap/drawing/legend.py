"""The legend: what each symbol, state, line and code on a drawing means, and only of those that are on it."""

from collections.abc import Iterable, Sequence
from typing import Final

from msgspec import Struct

from circuitmap.drawing.building import UNKNOWN_WALL
from circuitmap.drawing.marks import STATES, Area, Glyph, Ink, Line, Mark
from circuitmap.drawing.outlines import CODES
from circuitmap.drawing.states import STATE_TITLES
from circuitmap.drawing.symbols import NAMES, symbol

# How well a run is known, as its dash says it.
SEEN: Final[tuple[float, ...]] = ()
INFERRED: Final[tuple[float, ...]] = (11.0, 5.0)
ASSUMED: Final[tuple[float, ...]] = (0.5, 5.0)
# A run that isn't there yet is no fact, however well it is planned.
PLANNED: Final[tuple[float, ...]] = (12.0, 4.0, 3.0, 4.0)
_DASH_TITLES: Final[dict[tuple[float, ...], str]] = {
    SEEN: "run seen",
    INFERRED: "run tested or inferred",
    ASSUMED: "run assumed",
    PLANNED: "run planned, not there yet",
}


class Entry(Struct, frozen=True):
    """One row of a legend: a sample (a glyph, or a stroke of a line) and what it means."""

    words: str
    glyph: Glyph | None = None
    ink: Ink | None = None
    stripe: Ink | None = None


class Group(Struct, frozen=True):
    """A headed block of a legend."""

    heading: str
    entries: tuple[Entry, ...]


# Walls by how their pieces are filled, and whether they have an edge.
_WALLS: Final[dict[tuple[str, bool], Entry]] = {
    ("wall", False): Entry("Wall of brick, block or concrete", ink=Ink("wall", 9.0)),
    ("paper", True): Entry("Stud wall; with a solid core, a dry-lined one", None, Ink("wall", 9.0), Ink("paper", 6.0)),
    (UNKNOWN_WALL, True): Entry("Wall, not known of what", ink=Ink(UNKNOWN_WALL, 9.0)),
}


class CircuitWords(Struct, frozen=True):
    """What the legend says of one circuit: the code, the words beside it and the role of its colour."""

    code: str
    words: str
    role: str
    stripe: tuple[float, ...] = ()


def legend_of(marks: Iterable[Mark], circuits: Sequence[CircuitWords] = ()) -> tuple[Group, ...]:
    """Give the legend of what is drawn, in a fixed order: circuits, symbols, states, runs, suggested codes."""
    drawn = tuple(marks)
    glyphs = [mark for mark in drawn if isinstance(mark, Glyph)]
    used = sorted({glyph.symbol for glyph in glyphs} - CODES.keys(), key=_order)
    states = {glyph.state for glyph in glyphs}
    dashes = {mark.ink.dash for mark in drawn if isinstance(mark, Line) and mark.layer == "run"}
    codes = {glyph.symbol for glyph in glyphs} & CODES.keys()
    groups = (
        Group("Circuits", tuple(_circuit(circuit) for circuit in circuits)),
        Group("Symbols", tuple(Entry(_sentence(symbol(name).title), Glyph("label", name, (0, 0))) for name in used)),
        Group(
            "Switch-off survey",
            tuple(
                Entry(_sentence(STATE_TITLES[state]), _state_sample(state, circuits))
                for state in STATES
                if state and state in states
            ),
        ),
        Group(
            "Runs",
            tuple(Entry(_sentence(words), ink=Ink("ink", 2.0, d)) for d, words in _DASH_TITLES.items() if d in dashes),
        ),
        Group("Walls", _walls(drawn)),
        Group(
            "Suggested codes, for the inspector",
            tuple(
                Entry(_sentence(symbol(code).title), Glyph("label", code, (0, 0), role=code))
                for code in CODES
                if code in codes
            ),
        ),
    )
    return tuple(group for group in groups if group.entries)


def _walls(drawn: Sequence[Mark]) -> tuple[Entry, ...]:
    """Give what the walls are built of, where they are not all drawn alike."""
    used = {(mark.fill, mark.edge is not None) for mark in drawn if isinstance(mark, Area) and mark.layer == "wall"}
    return tuple(entry for look, entry in _WALLS.items() if look in used) if len(used) > 1 else ()


def _circuit(circuit: CircuitWords) -> Entry:
    stripe = Ink("paper", 1.5, circuit.stripe) if circuit.stripe else None
    return Entry(f"{circuit.code}  {circuit.words}".strip(), ink=Ink(circuit.role, 5.0), stripe=stripe)


def _state_sample(state: str, circuits: Sequence[CircuitWords]) -> Glyph:
    roles = [circuit.role for circuit in circuits[:2]] or ["circuit:0"]
    also = roles[1] if len(roles) > 1 else "circuit:3"
    known = next(s for s in STATES if s == state)
    return Glyph("label", "socket", (0, 0), state=known, role=roles[0], also=also)


def _order(name: str) -> tuple[int, str]:
    base = name.partition(" ×")[0]
    return NAMES.index(name if name in NAMES else base), name


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]
