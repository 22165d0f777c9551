"""Which verdicts on a circuit's readings are for which rule; what none of them takes is worth a look at most."""

from dataclasses import dataclass, fields
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.findings.rule import ReadingsCase
from circuitmap.readings.judged_case import Judged
from circuitmap.words import Severity

POLARITY: Final[dict[str, Severity]] = {
    "line and earth reversed": "C1",
    "line and neutral reversed": "C2",
    "neutral and earth reversed": "C2",
    "switched in the neutral": "C2",
    "no earth": "C2",
    "no neutral": "FI",
    "no line": "FI",
    "no pattern of one fault": "FI",
}
_RING: Final = frozenset({"legs", "step 2", "step 3"})
_OPEN_POINT: Final = frozenset({"open point", "open at a point", "open everywhere", "open line", "open neutral"})


@dataclass(frozen=True, slots=True)
class Picked:
    """The verdicts of one circuit, each for the one rule that speaks of it."""

    broken: tuple[Judged, ...]
    legs: tuple[Judged, ...]
    no_cpc: tuple[Judged, ...]
    open_points: tuple[Judged, ...]
    low: tuple[Judged, ...]
    ask: tuple[Judged, ...]
    polarity: tuple[Judged, ...]
    high: tuple[Judged, ...]
    warm: tuple[Judged, ...]
    slow: tuple[Judged, ...]
    touchy: tuple[Judged, ...]
    neutrals: tuple[Judged, ...]

    def rest(self, case: ReadingsCase) -> tuple[Judged, ...]:
        """Give what deserves a look and is for none of them."""
        taken = {id(each) for field in fields(self) for each in getattr(self, field.name)}
        bad = (each for each in case.judged if each.verdict.level in ("look", "query", "fails"))
        return tuple(each for each in bad if id(each) not in taken)


def pick(case: ReadingsCase) -> Picked:
    """Sort the verdicts of a circuit by the rule that they are for.

    A break that the map has already is a finding of the map; what the readings say of it is only noted.
    """
    failing = tuple(each for each in case.judged if each.verdict.level == "fails")
    knows = case.view is not None and _knows_break(case.view)
    broken = tuple(e for e in failing if e.subject in _RING and _is_break(e.verdict.kind) and not knows)
    open_ends = any(each.verdict.kind == "open ends" for each in broken)
    low = _of(failing, "too low")
    high = _of(failing, "Zs too high", "Zs too high for RCD")
    warm = (*_of(failing, "Zs too high warm"), *_of(case.judged, "Zs on RCD alone"))
    asked = tuple(each for each in _of(case.judged, "low, ask") if low or set(each.readings) & case.apart)
    return Picked(
        broken=broken,
        legs=_of(failing, "legs differ"),
        no_cpc=tuple(each for each in _of(failing, "no cpc") if each.subject.startswith("R2 ")),
        # Without a whole ring every step is open as well: said once.
        open_points=tuple(
            each for each in _of(failing, *_OPEN_POINT) if each not in broken and not _is_said(each, open_ends, knows)
        ),
        low=low,
        ask=asked,
        polarity=tuple(e for e in _of(failing, *POLARITY) if e.subject.startswith(("polarity", "indicator"))),
        high=high,
        warm=() if high else warm,
        slow=_of(failing, "too slow"),
        touchy=_of(failing, "too quick for delayed", "trips at half"),
        neutrals=_of(failing, "neutrals joined"),
    )


def _of(judged: tuple[Judged, ...], *kinds: str) -> tuple[Judged, ...]:
    return tuple(each for each in judged if each.verdict.kind in kinds)


def _is_break(kind: str) -> bool:
    words = kind.split()
    return kind == "open ends" or (words[0] == "open" and bool({"line", "neutral", "cpc"} & set(words)))


def _is_said(each: Judged, open_ends: bool, knows: bool) -> bool:
    return (each.verdict.kind == "open everywhere" and (open_ends or knows)) or (
        each.subject in _RING and _is_break(each.verdict.kind)
    )


def _knows_break(view: CircuitView) -> bool:
    shape = view.shape
    return shape is not None and (shape.kind == "open ring" or 0 < len(shape.closed) < 3)
