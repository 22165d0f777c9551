"""One reading in the book of a circuit: where it belongs, what is left without the leads, which of a place counts."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

import msgspec

from circuitmap.circuits import CircuitView
from circuitmap.home.records import Instrument, Reading, Visit, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_readings import THROUGH_LEADS, place_of_reading
from circuitmap.quantities.measured import NULL_DRIFT_OHM, Measured, show_measured
from circuitmap.readings.agree import USUAL_ACCURACY, USUAL_RESOLUTION_OHM, Shown
from circuitmap.words import LinkKind, ReadingTest

Side = Literal["before", "after"]

# Taken at the board unless somebody says otherwise.
_AT_BOARD: frozenset[ReadingTest] = frozenset({"ring end to end", "insulation"})


@dataclass(frozen=True, slots=True)
class Entry:
    """One reading in the book of a circuit.

    ``value_si`` has ``leads_ohm`` taken off already. ``place`` is the same for readings of the same thing. ``at`` is
    where the leads were held: the way itself for a reading at the board, None when nobody said. ``counts`` is whether
    it is the one to go by among all of its place on its side.
    """

    reading: Reading
    visit: Visit
    side: Side
    at: str | None
    place: tuple[object, ...]
    value_si: float | None
    leads_ohm: float
    on_circuit: bool
    counts: bool
    accuracy_fraction: float
    resolution_ohm: float

    @property
    def test(self) -> ReadingTest:
        """The test that it is of."""
        return self.reading.test

    @property
    def link(self) -> LinkKind | None:
        """How conductors were linked at the board."""
        return self.reading.link.kind if self.reading.link is not None else None

    @property
    def is_number(self) -> bool:
        """Whether it may be reckoned with; a bound is no number."""
        return self.value_si is not None and self.reading.bound == "="

    @property
    def says_something(self) -> bool:
        """Whether anything was found out: a value, a bound, or an answer in words."""
        return self.value_si is not None or bool(self.reading.indicated)

    @property
    def shown(self) -> str:
        """The reading in the trade's manner, with what was taken off it for the leads."""
        reading = self.reading
        words = show_measured(
            Measured(self.value_si, reading.bound, reading.not_possible, reading.remark, indicated=reading.indicated),
            reading.test,
        )
        return f"{words}, {self.leads_ohm:.2f} Ω of leads taken off" if self.leads_ohm else words

    @property
    def is_of_part(self) -> bool:
        """Whether insulation was read of a part only: some run was out, or it was read at a point with others out.

        With only points out it is the whole circuit without what is connected there, unless it couldn't be read so.
        """
        apart = self.reading.apart
        if self.test != "insulation" or not apart:
            return False
        return (
            not self.says_something
            or any(each[0] == "R" for each in apart)
            or (self.at is not None and self.at[0] == "P")
        )

    @property
    def is_less_than_leads(self) -> bool:
        """Whether the meter showed clearly less than its leads were said to add."""
        shown_ohm = self.reading.value_si
        return shown_ohm is not None and self.leads_ohm - shown_ohm > NULL_DRIFT_OHM + 1e-9

    @property
    def lacks_place(self) -> bool:
        """Whether it says nothing without its place: with conductors linked each point of a ring reads its own."""
        return self.at is None and self.test == "linked" and self.link != "radial"

    def compared(self) -> Shown | None:
        """Give it as it is compared with others; None when it has no value."""
        if self.value_si is None:
            return None
        return Shown(self.value_si, self.reading.bound, self.accuracy_fraction, self.resolution_ohm)


def entry_of(home: Home, reading: Reading, view: CircuitView | None) -> Entry:
    """Give a reading as it stands in the book of a circuit, or of none; which of a place counts isn't settled yet."""
    at, on_circuit = reading.at, True
    if view is not None:
        if at in (view.device.id, view.board.id) or (at is None and reading.test in _AT_BOARD):
            at = view.device.id
        fed = {board.id for board in view.boards_fed}
        on_circuit = at is None or at == view.device.id or at in view.names or at in fed
        if reading.test == "neutral to neutral" and at is not None and at[0] == "D":
            on_circuit = True  # the one lead is on its neutral, the other on that of another way
        reading_here = msgspec.structs.replace(reading, device=view.device.id, at=at)
    else:
        reading_here = reading
    meter = home.find(Instrument, reading.instrument)
    accuracy = meter.accuracy_fraction if meter is not None else None
    resolution = meter.resolution_ohm if meter is not None else None
    leads_ohm = (reading.leads_ohm or 0.0) if reading.test in THROUGH_LEADS and reading.value_si is not None else 0.0
    value_si = reading.value_si
    if value_si is not None and leads_ohm:
        value_si = max(0.0, round(value_si - leads_ohm, 9))
    return Entry(
        reading=reading,
        visit=home.take(Visit, reading.visit),
        side="before",
        at=at,
        place=place_of_reading(reading_here),
        value_si=value_si,
        leads_ohm=leads_ohm,
        on_circuit=on_circuit,
        counts=False,
        accuracy_fraction=USUAL_ACCURACY if accuracy is None else accuracy,
        resolution_ohm=USUAL_RESOLUTION_OHM if resolution is None else resolution,
    )


def in_order(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Put entries in order, tell after from before, and settle which of each place counts.

    After is what the last visits say if they came after work; a later visit of another kind begins a new story, in
    which all that went before is before. The later of two readings counts, but "not possible" never over a reading.
    """
    ordered = sorted(entries, key=order_of)
    visits = list(dict.fromkeys((entry.visit.day, natural_key(entry.visit.id), entry.visit) for entry in ordered))
    after: set[str] = set()
    for *_, visit in reversed(visits):
        if visit.purpose != "after work":
            break
        after.add(visit.id)
    sided = [replace(entry, side="after") if entry.visit.id in after else entry for entry in ordered]
    last: dict[tuple[Side, tuple[object, ...]], Entry] = {}
    for entry in sided:
        known = last.get((entry.side, entry.place))
        fits = entry.on_circuit and not entry.lacks_place
        if fits and (known is None or entry.says_something or not known.says_something):
            last[entry.side, entry.place] = entry
    counting = {entry.reading.id for entry in last.values()}
    return tuple(replace(entry, counts=entry.reading.id in counting) for entry in sided)


def order_of(entry: Entry) -> tuple[object, ...]:
    """Give the sort key of entries: by the day of the visit, then in the order they were recorded."""
    return (entry.visit.day, natural_key(entry.visit.id), natural_key(entry.reading.id))
