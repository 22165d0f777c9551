"""Rules of readings that belong to no way: the supply's loop, fault current against devices, boards, RCDs, the meter."""

from collections.abc import Iterator
from typing import Final

from circuitmap.findings.finding import Finding
from circuitmap.findings.readings_say import EN_RCD, ODD_RCD, SLOW_RCD, made_of, over, quoted, subjects, why_of
from circuitmap.findings.rule import CP, ReadingsCase, Rule, found
from circuitmap.readings.judged_case import Judged
from circuitmap.trade import Trade
from circuitmap.words import Severity

_LOOP: Final[dict[str, Severity]] = {"electrode too high": "C2", "Ze above usual": "FI", "loops differ": "FI"}
_UNMARKED: Final = "unmarked"


def _loop(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    if case.view is not None:
        return
    bad = [each for each in case.judged if each.verdict.kind in _LOOP]
    if bad:
        is_electrode = any(_LOOP[each.verdict.kind] == "C2" for each in bad)
        says = "The earth electrode's resistance is too high." if is_electrode else "The supply's loop is odd."
        settle = "Read it again; then it is for the distributor, or the electrode for a skilled person."
        yield made_of("reading-supply", "C2" if is_electrode else "FI", case, bad, says,
                      "Fault protection rests on it.", settle)  # fmt: skip


def _breaking(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    """Devices that the fault current may be too much for; of unmarked ones only that nobody read their marking."""
    if case.view is not None:
        return
    above = [each for each in case.judged if each.verdict.kind == "current above marking"]
    marked = [each for each in above if _UNMARKED not in each.verdict.says]
    if marked:
        says = "The fault current is above what devices are marked for."
        why = "A device that can't break the current may burst."
        settle = "Read it again; look at the board's own rating and the cut-out fuse before it."
        yield made_of("reading-breaking", "FI", case, marked, says, why, settle)


def _slow(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    slow = [each for each in _failing(case) if each.verdict.kind == "too slow"]
    if case.view is None and slow:
        says = f"The RCD {over(case, slow)} is too slow or doesn't trip."
        yield made_of("reading-rcd-over", "C2", case, slow, says, "It is there to clear a shock in time.", SLOW_RCD)


def _touchy(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    touchy = [each for each in _failing(case) if each.verdict.kind in ("too quick for delayed", "trips at half")]
    if case.view is None and touchy:
        says = f"The RCD {over(case, touchy)} trips otherwise than it should."
        yield made_of("reading-rcd-over-odd", "FI", case, touchy, says, "", ODD_RCD)


def _look(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    """Note the rest, once for the home: a board's figure, a doubtful current, an unmarked device, a meter unknown."""
    if case.view is not None:
        return
    rest = [e for e in case.judged if e.verdict.level in ("look", "query", "fails") and not _is_taken(e)]
    if rest:
        says = f"Readings at the boards deserve a look: {quoted(rest)}"
        yield found("reading-look-boards", "note", subjects(case, rest), says, why_of("", rest),
                    "Read it again, circuit by circuit where it can be.", "tested")  # fmt: skip


def _is_taken(each: Judged) -> bool:
    kind = each.verdict.kind
    if kind == "current above marking":
        return _UNMARKED not in each.verdict.says
    return kind in _LOOP or (each.verdict.level == "fails" and each.subject.startswith("RCD"))


def _failing(case: ReadingsCase) -> Iterator[Judged]:
    return (each for each in case.judged if each.verdict.level == "fails")


RULES = (
    Rule("reading-supply", "readings", "Loop of the supply or electrode", "C2/FI", "Fault protection rests on it.",
         "On-Site Guide 1.1 and Table 41.5, from memory; a distribution network directive (2019)", "any", "readings",
         _loop),
    Rule("reading-breaking", "readings", "Fault current above a device's marking", "FI", "It may burst.",
         "BS 7671 434.5.1, from memory; " + CP, "any", "readings", _breaking),
    Rule("reading-rcd-over", "readings", "RCD over several ways too slow", "C2", "It is there to clear a shock in time.",
         EN_RCD, "any", "readings", _slow),
    Rule("reading-rcd-over-odd", "readings", "RCD over several ways trips otherwise than it should", "FI",
         "It will trip for nothing.", EN_RCD, "any", "readings", _touchy),
    Rule("reading-look-boards", "readings", "Readings at boards that deserve a look", "note", "One line for the home.",
         CP, "any", "readings", _look),
)  # fmt: skip
