"""Verdicts on insulation readings: of one circuit, of a board as a whole, and whether the two can both be right.

Only a circuit's own reading with its equipment out says anything of its wiring; nothing on record says that equipment
was connected unless a remark does, or it shows in the readings themselves. What was read of a part alone, as in a hunt,
is no figure of the circuit.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.readings.entries import Entry
from circuitmap.readings.insulation import MEGA, Pair, Taken, judge_insulation, parallel
from circuitmap.readings.judged_case import Case, Judged, ids_of, place_of, shown
from circuitmap.readings.verdict import ARITHMETIC, Rules, Span, Verdict, cited, span_of
from circuitmap.words import PointKind

LOW: Final = frozenset({"too low", "low, ask", "low for its age"})
_ELECTRONIC: Final[frozenset[PointKind]] = frozenset(
    {
        "usb socket", "dimmer", "PIR switch", "boiler", "heating control", "timer", "smoke alarm", "heat alarm",
        "CO alarm", "alarm panel", "door bell", "aerial amplifier", "data cabinet", "EV charging point", "PV inverter",
        "battery", "heat pump", "stairlift", "gate", "emergency light",
    }
)  # fmt: skip
_WIRED_IN: Final[frozenset[PointKind]] = _ELECTRONIC | {
    "immersion heater", "storage heater", "panel heater", "underfloor heating", "towel rail", "shower", "oven", "hob",
    "cooker hood", "extractor fan", "sump pump", "hot tub", "fixed appliance", "rcd socket",
}  # fmt: skip
_CONNECTED: Final = re.compile(r"(?<!dis)\bconnected|left in\b|plugged in", re.IGNORECASE)
_NOTHING_IN: Final = re.compile(r"nothing (was |left )?(connected|plugged)|not connected", re.IGNORECASE)
_NAMES_ELECTRONICS: Final = re.compile(
    r"usb|dimmer|alarm|boiler|pir\b|led\b|surge|spd\b|electronic|router|charger|inverter|thermostat", re.IGNORECASE
)
_NOTE: Final = "insulation note below Mohm"
_ORDER: Final = {"L": 0, "N": 1, "E": 2}


@dataclass(frozen=True, slots=True)
class Figure:
    """An insulation reading as a span in megohms, between what, of which circuit, and its record."""

    code: str
    pair: Pair
    mohm: Span
    visit: str
    reading: str


def judged_insulation(case: Case) -> Iterator[Judged]:
    """Judge the insulation readings of one circuit."""
    entries = [entry for entry in case.of_test("insulation") if not entry.is_of_part]
    held = {entry.reading.id: span for entry in entries if (span := span_of(shown(entry))) is not None}
    for entry in entries:
        taken = taken_as(case.view, entry)
        at = place_of(case, entry)
        named = ids_of((entry,))
        others = [each for each in entries if pair_of(each) != "L-N" and each.reading.id in held]
        to_earth = _worst_to_earth(others, held)
        span = held.get(entry.reading.id)
        low_between = taken.pair == "L-N" and span is not None and span.most < case.rules.value(_NOTE) * MEGA
        if low_between and to_earth is not None and to_earth[1].least >= case.rules.value(_NOTE) * MEGA:
            # Line and neutral joined read high to earth: what lowers it is between the two, which is what is plugged
            # in or wired in there far more often than a cable.
            taken = replace(taken, has_equipment=True)
            named = (*named, to_earth[0])
        for verdict in judge_insulation(case.rules, shown(entry), taken):
            said = _unsaid(case.view, entry, verdict, taken)
            yield Judged(said, named, (at,), f"insulation {taken.pair} {at}")


def judged_whole_board(rules: Rules, board: str, letter: str, entries: Iterable[Entry], circuits: Sequence[Figure],
                       codes: int) -> Iterator[Judged]:  # fmt: skip
    """Judge a board's own insulation readings, and each beside the readings of its circuits of the same visit."""
    for entry in entries:
        pair = pair_of(entry)
        taken = Taken(test_v=entry.reading.test_v, pair=pair, scope="board")
        subject = f"insulation {pair} board {letter}"
        for verdict in judge_insulation(rules, shown(entry), taken):
            yield Judged(verdict, ids_of((entry,)), (board,), subject)
        span = span_of(shown(entry))
        alike = [figure for figure in circuits if figure.pair == pair and figure.visit == entry.visit.id]
        if span is not None and alike:
            whole = Span(span.least / MEGA, span.most / MEGA)
            against = judge_board_against(rules, whole, alike, codes)
            if against is not None:
                yield Judged(against, (*ids_of((entry,)), *(f.reading for f in alike)), (board,), subject)


def judge_board_against(rules: Rules, whole: Span, circuits: Sequence[Figure], ways: int) -> Verdict | None:
    """Say whether a board's figure can be that of its circuits: below the worst of them, and not far below them all.

    ``ways`` is how many circuits the board has; only with all of them read can anything be missing.

    **Source:** arithmetic, 1/R = Σ 1/Ri; common practice, no source, for how far two readings may lie apart.
    """
    share = rules.row("insulation repeat share")
    worst = min(circuits, key=lambda figure: figure.mohm.most)
    if whole.least > worst.mohm.most * (1 + share.value):
        says = f"The whole board reads {_shown(whole)}, though {worst.code} alone reads {_shown(worst.mohm)}."
        why = "All circuits together are below the worst of them: the board's reading wasn't of all of them."
        return Verdict("board above a circuit", says, why, ARITHMETIC, "query")
    together = parallel(figure.mohm for figure in circuits)
    if len({figure.code for figure in circuits}) < ways or whole.most >= together.least * (1 - share.value):
        return None
    says = f"The whole board reads {_shown(whole)}; its circuits together give {_shown(together)}."
    why = "Something else leaks: a circuit that wasn't read, the board's own wiring, an indicator or surge protection."
    return Verdict("board below its circuits", says, why, cited(share), "look")


def figures_of(code: str, entries: Iterable[Entry]) -> Iterator[Figure]:
    """Give the insulation readings of a circuit as figures that may be added up."""
    for entry in entries:
        is_whole = entry.test == "insulation" and not entry.is_of_part
        span = span_of(shown(entry)) if is_whole else None
        if span is not None and span.least >= 0:
            mohm = Span(span.least / MEGA, span.most / MEGA)
            yield Figure(code, pair_of(entry), mohm, entry.visit.id, entry.reading.id)


def pair_of(entry: Entry) -> Pair:
    """Give between what insulation was read; line to earth where nobody said."""
    sides = sorted((tuple(sorted(side.split("+"), key=_rank)) for side in entry.reading.cores), key=len, reverse=True)
    held = {core for side in sides for core in side}
    if any(len(side) > 1 for side in sides) and held == {"L", "N", "E"}:
        return "L+N-E"
    if held == {"L", "N"}:
        return "L-N"
    return "N-E" if held == {"N", "E"} else "L-E"


def taken_as(view: CircuitView, entry: Entry) -> Taken:
    """Give how a reading was taken, as far as the record says."""
    remark = entry.reading.remark
    connected = bool(_CONNECTED.search(remark)) and not _NOTHING_IN.search(remark)
    on = [m.point.kind for m in view.members if m.point.id not in entry.reading.apart]
    sensitive = connected and (bool(_NAMES_ELECTRONICS.search(remark)) or any(kind in _ELECTRONIC for kind in on))
    return Taken(
        test_v=entry.reading.test_v, pair=pair_of(entry), has_equipment=connected, has_sensitive=sensitive
    )  # fmt: skip


def left_in(view: CircuitView, entry: Entry) -> tuple[str, ...]:
    """Give the points with something wired in that nobody said was taken off for a reading."""
    return tuple(
        m.point.id for m in view.members if m.point.kind in _WIRED_IN and m.point.id not in entry.reading.apart
    )


def _unsaid(view: CircuitView, entry: Entry, verdict: Verdict, taken: Taken) -> Verdict:
    """Add to a low reading what nobody said was taken off."""
    left = left_in(view, entry)
    if verdict.kind not in LOW or taken.has_something or not left:
        return verdict
    named = ", ".join(left[:4]) + (f" and {len(left) - 4} more" if len(left) > 4 else "")
    return replace(verdict, why=f"{verdict.why} Nothing says that {named} {_was(left)} taken off for it.")


def _worst_to_earth(entries: Iterable[Entry], held: dict[str, Span]) -> tuple[str, Span] | None:
    """Give the worst of the readings to earth: how good what isn't between line and neutral is at least."""
    spans = [(entry.reading.id, held[entry.reading.id]) for entry in entries]
    return min(spans, key=lambda each: each[1].least, default=None)


def _was(things: Sequence[str]) -> str:
    return "was" if len(things) == 1 else "were"


def _rank(core: str) -> int:
    return _ORDER.get(core, 3)


def _shown(span: Span) -> str:
    if span.is_open:
        return f"over {span.least:g} MΩ"
    return f"{span.most:.3g} MΩ" if span.is_number else f"under {span.most:g} MΩ"
