"""Ask every rule about every case, cap what rests on guesses, apply rulings, and put the answers in order."""

from functools import partial

from msgspec.structs import replace

from circuitmap.circuits import views
from circuitmap.findings.cases import cases_of
from circuitmap.findings.catalogue import BY_SCOPE
from circuitmap.findings.finding import Finding
from circuitmap.findings.rule import Case, Scope
from circuitmap.home.records import Ruling, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.trade import Trade
from circuitmap.words import SEVERITIES, rank


def run(home: Home, trade: Trade, memo: Memo) -> tuple[Finding, ...]:
    """Give all findings of a home: gravest first, then by what they are about; facts of what is where come last."""
    found: list[Finding] = []
    for scope, name, case in cases_of(home, trade, memo, views(home, trade, memo)):
        found += memo.get(f"findings.of {scope}", name, (case, trade), partial(_ask, scope, case, trade))
    rulings = {ruling.finding: ruling for ruling in home.table(Ruling).values()}
    if rulings:
        found = [_ruled(finding, rulings.get(finding.key)) for finding in found]
    found.sort(key=_order)
    return memo.get("findings.all", "", tuple(found), lambda: tuple(found))


def _ask(scope: Scope, case: Case, trade: Trade) -> tuple[Finding, ...]:
    return tuple(_capped(finding) for rule in BY_SCOPE[scope] for finding in rule.find(case, trade))


def _capped(finding: Finding) -> Finding:
    """Inferred or assumed facts can't rise above "further investigation"."""
    if finding.code in ("C1", "C2") and rank(finding.evidence) < rank("seen"):
        return replace(finding, code="FI")
    return finding


def _ruled(finding: Finding, ruling: Ruling | None) -> Finding:
    if ruling is None:
        return finding
    if ruling.decision == "not so":
        return replace(finding, code="note", ruling="not so")
    return replace(finding, code=ruling.code or finding.code, ruling=ruling.decision)


def _order(finding: Finding) -> tuple[bool, int, tuple[tuple[str, int], ...], str]:
    subjects = tuple(natural_key(i) for i in finding.subjects[:3])
    return finding.aside, SEVERITIES.index(finding.code), subjects, finding.rule
