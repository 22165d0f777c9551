"""Where the leak of a circuit may sit: its sections, how they hang together, and into what parts opening it splits it.

A section is a cable, an accessory (its terminals, the cable ends in its box) or what is connected there. Insulation of
what hangs together adds up as conductance, 1/R = Σ 1/Ri, so one reading tells of all the sections of its part at once.
Nothing here says that anything is dead or safe to touch.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from circuitmap.readings.insulation import Pair
from circuitmap.readings.verdict import Span

SectionKind = Literal["cable", "accessory", "equipment", "undrawn"]
ComesOff = Literal["", "unplug", "switch off", "wired in"]


@dataclass(frozen=True, slots=True)
class Section:
    """One thing that could leak.

    ``record`` is the run, point or board it belongs to. ``weight`` is how suspicious it is, ``why`` by what.
    ``minutes`` is what it takes to take equipment off that needs no opening. ``is_adrift``: nobody knows on which part
    of the circuit it hangs. ``is_built_in``: electronics or a neon that can't be told from its accessory.
    """

    key: str
    kind: SectionKind
    record: str
    title: str
    weight: float
    why: tuple[str, ...] = ()
    comes_off: ComesOff = ""
    minutes: float = 0.0
    is_adrift: bool = False
    is_built_in: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """A point where the cables can be taken out, and how many minutes that takes."""

    point: str
    title: str
    minutes: float
    why: str = ""


@dataclass(frozen=True, slots=True)
class Cable:
    """A section of cable and the places its ends are at; "" is an end at the board or one that is loose."""

    key: str
    a: str
    b: str
    at_board: bool = False
    a_load: bool = False
    b_load: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """Sections that hang together; ``ends`` are where a meter reaches them: the board "", or places that are open."""

    sections: frozenset[str]
    ends: tuple[str, ...]

    @property
    def is_readable(self) -> bool:
        """Whether a meter reaches it without opening anything more."""
        return bool(self.ends)


@dataclass(frozen=True, slots=True)
class PartRead:
    """One reading of what was joined together at the time, in megohms; ``times`` counts readings of the same part."""

    sections: frozenset[str]
    span: Span
    times: int = 1


@dataclass(frozen=True, eq=False)
class Layout:
    """A circuit as sections that could leak and places that can be opened.

    ``units`` are the points whose switch parts what hangs on their load side from the rest; switched off they stand
    among what is off as ``switch_of`` names them.
    """

    device: str
    code: str
    pair: Pair
    sections: tuple[Section, ...]
    places: tuple[Place, ...]
    cables: tuple[Cable, ...]
    units: frozenset[str] = frozenset()
    notes: tuple[str, ...] = ()
    read_minutes: float = 1.0
    take_off_minutes: float = 2.0
    rejoin_minutes: float = 4.0

    @cached_property
    def by_key(self) -> dict[str, Section]:
        """Sections by their keys."""
        return {section.key: section for section in self.sections}

    @cached_property
    def place(self) -> dict[str, Place]:
        """Places by their points."""
        return {place.point: place for place in self.places}

    @cached_property
    def equipment(self) -> frozenset[str]:
        """The keys of all that is connected."""
        return frozenset(section.key for section in self.sections if section.kind == "equipment")

    @cached_property
    def wiring(self) -> tuple[Section, ...]:
        """What is left when all equipment is off."""
        return tuple(section for section in self.sections if section.key not in self.equipment)

    def weight(self, keys: Iterable[str]) -> float:
        """Give how suspicious some sections are together."""
        return sum(self.by_key[key].weight for key in keys)

    def parts(self, open_at: Collection[str] = (), off: Collection[str] = ()) -> tuple[Part, ...]:
        """Give what hangs together when some places are open and some equipment or units are off.

        Line and neutral are out of the board, so legs that nothing else joins are parts of their own.

        Parameters
        ----------
        open_at
            Points whose cables are out.
        off
            Keys of equipment taken off, and switches of ``units``.
        """
        joined = _Joined()
        ends: dict[str, set[str]] = {}
        for cable in self.cables:
            joined.add(cable.key)
            if cable.at_board:
                ends.setdefault(cable.key, set()).add("")
            for at, load in ((cable.a, cable.a_load), (cable.b, cable.b_load)):
                if not at:
                    continue
                if at in open_at:
                    ends.setdefault(cable.key, set()).add(at)
                elif load and at in self.units:
                    joined.join(cable.key, f"{at} load")
                else:
                    joined.join(cable.key, at)
        for unit in self.units:
            if switch_of(unit) not in off and unit not in open_at:
                joined.join(unit, f"{unit} load")
        for section in self.sections:
            if section.kind == "cable" or section.is_adrift:
                continue
            joined.add(section.key)
            if section.kind == "equipment":
                if section.key not in off:
                    joined.join(section.key, section.record)
            elif section.kind == "undrawn":
                ends.setdefault(section.key, set()).add("")
            elif section.record in open_at:
                ends.setdefault(section.key, set()).add(section.record)
        found: list[Part] = []
        for group in joined.groups():
            sections = frozenset(key for key in group if key in self.by_key)
            if sections and not sections <= set(off):
                reached = sorted(set().union(*(ends.get(key, ()) for key in sections)))
                found.append(Part(sections, tuple(reached)))
        return tuple(found)

    def whole(self, off: Collection[str] = ()) -> frozenset[str]:
        """Give the sections that one reading at the board takes in while nothing is open, its legs held together."""
        adrift = frozenset(section.key for section in self.sections if section.is_adrift and section.key not in off)
        return adrift.union(*(part.sections for part in self.parts((), off) if "" in part.ends))


def switch_of(unit: str) -> str:
    """Give what the switch of a unit is called among what is off."""
    return f"{unit} switch"


class _Joined:
    """Names that belong together."""

    def __init__(self) -> None:
        self._above: dict[str, str] = {}

    def add(self, name: str) -> str:
        above = self._above.setdefault(name, name)
        while above != self._above[above]:
            self._above[above] = self._above[self._above[above]]
            above = self._above[above]
        return above

    def join(self, a: str, b: str) -> None:
        self._above[self.add(b)] = self.add(a)

    def groups(self) -> list[list[str]]:
        found: dict[str, list[str]] = {}
        for name in self._above:
            found.setdefault(self.add(name), []).append(name)
        return list(found.values())
