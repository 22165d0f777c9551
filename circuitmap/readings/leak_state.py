"""The records of a hunt for low insulation: the state, the next step, what a result makes of it.

Every result gives a new state; an older one stays as it was, so that a step may be taken back.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import inf
from typing import Final, Literal

from circuitmap.readings.insulation import MEGA, Pair
from circuitmap.readings.leak import Layout, PartRead
from circuitmap.readings.leak_odds import ACCURACY, LEAST_MOHM
from circuitmap.readings.leak_split import By
from circuitmap.readings.leak_told import shown, title_of
from circuitmap.readings.network import ReadingError
from circuitmap.readings.verdict import Shown, Span, span_of

StepKind = Literal[
    "read whole",
    "unplug",
    "switch off",
    "connect back",
    "read parts",
    "open",
    "take off",
    "read alone",
    "read again",
    "rejoin",
    "found",
    "spread",
    "gone",
    "nothing low",
    "stuck",
]
ENDS: Final[frozenset[StepKind]] = frozenset({"found", "spread", "gone", "nothing low", "stuck"})


@dataclass(frozen=True, slots=True)
class Asked:
    """A part to be read: its sections, and the open place where the meter goes on ("" for the board)."""

    title: str
    sections: frozenset[str]
    where: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """What to do next, and the readings to be taken then; at an end there are none.

    ``at`` is the place to open or join again, ``off`` what is off from then on. ``minutes`` is for this step, ``left``
    what is still to be expected with it. ``test_v`` is the test voltage, ``pair`` what it is put between;
    ``cautions`` come with their sources.
    """

    kind: StepKind
    says: str
    why: str = ""
    asked: tuple[Asked, ...] = ()
    at: str = ""
    off: frozenset[str] = frozenset()
    minutes: float = 0.0
    left: float = 0.0
    test_v: float | None = None
    pair: Pair = "L+N-E"
    cautions: tuple[tuple[str, str], ...] = ()

    @property
    def is_end(self) -> bool:
        """Whether the hunt ends here."""
        return self.kind in ENDS


@dataclass(frozen=True, slots=True)
class Hunt:
    """How far a hunt has come.

    ``open_at``: the places opened, in order. ``off``: equipment and units that are off, ``kept``: what can't be taken
    off. ``shut``: places that can't be opened. ``unread``: parts that nobody could read. ``reads``: what counts,
    ``notes``: what no longer does, and why. ``rejoined``: a place that was joined again, and whether it read low again
    then. ``enough_mohm``: from there on nothing reads low. ``openings`` and ``minutes``: what it took so far.
    """

    layout: Layout
    accuracy: float = ACCURACY
    enough_mohm: float = 200.0
    by: By = "minutes"
    test_v: tuple[float, float] = (500.0, 250.0)
    open_at: tuple[str, ...] = ()
    off: frozenset[str] = frozenset()
    shut: frozenset[str] = frozenset()
    unread: frozenset[frozenset[str]] = frozenset()
    kept: frozenset[str] = frozenset()
    reads: tuple[PartRead, ...] = ()
    notes: tuple[str, ...] = ()
    rejoined: tuple[str, bool] | None = None
    openings: int = 0
    minutes: float = field(default=0.0, compare=False)

    def read_of(self, sections: frozenset[str]) -> PartRead | None:
        """Give the reading of just these sections, None where there is none."""
        return next((read for read in self.reads if read.sections == sections), None)

    def is_low(self, span: Span) -> bool:
        """Whether a reading is low, as far as a bound says it."""
        return span.most < self.enough_mohm


def take(hunt: Hunt, step: Step, readings: Sequence[Shown]) -> Hunt:
    """Give the hunt after a step was done and its parts were read.

    Parameters
    ----------
    readings
        One for each of the step's ``asked``, in that order, in ohms as readings are kept; a bound stays one. None, or
        one that wasn't possible, where a part couldn't be read.

    Raises
    ------
    ReadingError
        When there are more or fewer readings than were asked for, or one is below zero.
    """
    if len(readings) != len(step.asked):
        raise ReadingError(f"{len(step.asked)} readings belong to this step, not {len(readings)}; give one for each.")
    spans = [_megohms(asked, reading) for asked, reading in zip(step.asked, readings, strict=True)]
    after = replace(hunt, minutes=hunt.minutes + step.minutes)
    if step.kind not in ("connect back", "read again", "rejoin", "read alone", "read parts"):
        after = replace(after, off=step.off)
    if step.kind == "open":
        after = replace(after, open_at=(*after.open_at, step.at), openings=after.openings + 1)
    if step.kind == "rejoin" and spans[0] is not None:
        after = replace(
            after,
            open_at=tuple(place for place in after.open_at if place != step.at),
            rejoined=(step.at, spans[0].most < hunt.enough_mohm and _is_as_low(hunt, step, spans[0])),
        )
    for asked, span in zip(step.asked, spans, strict=True):
        if span is None:
            after = replace(after, unread=after.unread | {asked.sections})
        else:
            after = _with(after, asked.sections, span)
    return _without_stale(after) if step.kind != "rejoin" else after


def cannot(hunt: Hunt, step: Step) -> Hunt:
    """Give the hunt when a step can't be done: the place stays shut, or its parts can't be read."""
    if step.at and step.kind == "open":
        return replace(hunt, shut=hunt.shut | {step.at})
    if step.kind in ("unplug", "switch off", "take off"):
        return replace(hunt, kept=hunt.kept | (step.off - hunt.off))
    return replace(hunt, unread=hunt.unread | {asked.sections for asked in step.asked})


def conflict(hunt: Hunt) -> tuple[PartRead, PartRead] | None:
    """Give two readings that can't both be right, the older first.

    What hangs together is below each of its parts: a part that reads lower than the whole contradicts it.
    """
    wide = (1 + hunt.accuracy) / (1 - hunt.accuracy)
    for later, newer in enumerate(hunt.reads):
        for older in hunt.reads[:later]:
            if newer.sections < older.sections and _is_below(newer.span, older.span, wide):
                return older, newer
            if older.sections < newer.sections and _is_below(older.span, newer.span, wide):
                return older, newer
    return None


def vanished(hunt: Hunt) -> PartRead | None:
    """Give a low reading whose leak is in none of the parts read since, though they take in all that it took in."""
    for place, read in enumerate(hunt.reads):
        if not hunt.is_low(read.span):
            continue
        missing, flow = set(read.sections), 0.0
        for later in sorted(hunt.reads[place + 1 :], key=_highest):
            if missing & later.sections:
                missing -= later.sections
                flow += 1 / later.span.least if later.span.least > 0 else inf
        if not missing and flow < 0.5 / max(read.span.most, LEAST_MOHM) / (1 + hunt.accuracy):
            return read
    return None


def _highest(read: PartRead) -> float:
    return -read.span.least


def _is_below(low: Span, high: Span, wide: float) -> bool:
    return low.most < inf and max(low.most, LEAST_MOHM) * wide * (1 + 1e-9) < high.least


def _is_as_low(hunt: Hunt, step: Step, span: Span) -> bool:
    before = hunt.read_of(step.asked[0].sections)
    return before is None or span.most < 3 * max(before.span.most, LEAST_MOHM)


def _with(hunt: Hunt, sections: frozenset[str], span: Span) -> Hunt:
    before = hunt.read_of(sections)
    times = before.times + 1 if before is not None else 1
    kept = tuple(read for read in hunt.reads if read.sections != sections)
    return replace(hunt, reads=(*kept, PartRead(sections, span, times)))


def _without_stale(hunt: Hunt) -> Hunt:
    """Leave out what a newer reading contradicts that was taken twice."""
    pair = conflict(hunt)
    while pair is not None and pair[1].times > 1:
        older, newer = pair
        says = (
            f"{shown(older.span)} for {title_of(hunt.layout, older.sections)} no longer counts: "
            f"{shown(newer.span)} was read twice since. Damp or a loose contact may have moved."
        )
        kept = tuple(read for read in hunt.reads if read is not older)
        hunt = replace(hunt, reads=kept, notes=(*(note for note in hunt.notes if note != says), says))
        pair = conflict(hunt)
    return hunt


def _megohms(asked: Asked, reading: Shown) -> Span | None:
    span = span_of(reading)
    if span is None:
        return None
    if span.least < 0:
        raise ReadingError(f"Insulation of {asked.title} can't be less than nothing; read it again.")
    if span.most / MEGA < LEAST_MOHM:
        return Span(0.0, LEAST_MOHM)  # a reading of nothing is as small as the meter shows, not nothing
    return Span(span.least / MEGA, span.most / MEGA)
