"""What holds for all rules: order, the cap on guesses, rulings, sources, and asking only what an edit touched."""

from dataclasses import fields

import pytest

from circuitmap import trade
from circuitmap.findings import RULES, Finding, is_at_least, run
from circuitmap.home import Home, verbs
from circuitmap.home.records import Run, natural_key
from circuitmap.memo import Memo
from circuitmap.words import SEVERITIES
from tests.findings.ask import Wired, one, only, said
from tests.homes import PLANS, healthy


def mixed() -> Wired:
    """A home with something of every severity, and facts."""
    b = Wired()
    _, points, runs = b.ring(6)
    first, second = b.twins(2)
    b.line(points[2], first, second)
    b.line(b.way(15), *b.twins(2), cable="VIR 7/.029")
    b.say(points[0], metal=True)
    b.see(points[0], "live part touchable")
    b.see(points[1], "loose accessory")
    b.open_core(runs[1], "E")
    return b


def test_gravest_first_then_by_subject_and_facts_last() -> None:
    found = said(mixed().home)
    assert {f.code for f in found if not f.aside} == set(SEVERITIES)
    keys = [(f.aside, SEVERITIES.index(f.code), natural_key(f.subjects[0]) if f.subjects else ("", 0)) for f in found]
    assert keys == sorted(keys)


def test_the_same_home_gives_the_same_findings_whatever_the_memo_knows() -> None:
    b = mixed()
    memo = Memo()
    once = run(b.home, trade.load(), memo)
    assert run(b.home, trade.load(), memo) is once
    assert run(b.home, trade.load(), Memo()) == once


def test_an_edit_and_its_undoing_leave_no_trace_in_a_memo() -> None:
    b = mixed()
    memo, book = Memo(), trade.load()
    before = run(b.home, book, memo)
    for record in b.home.sorted(Run):
        gone = b.home.apply(verbs.remove(b.home, record.id))
        assert run(gone, book, memo) == run(gone, book, Memo())
    assert run(b.home, book, memo) == before


def test_an_edit_asks_again_only_what_it_touched() -> None:
    b = Wired()
    ways = []
    for _ in range(5):
        way, points, _ = b.ring(5)
        first, second = b.twins(2)
        b.line(points[2], first, second)
        ways.append(way)
    memo, book = Memo(), trade.load()
    before = {f.key: f for f in run(b.home, book, memo) if f.rule == "spur-off-spur"}
    b.say(b.home.sorted(Run)[0].id, length_mm=4321)
    after = {f.key: f for f in run(b.home, book, memo) if f.rule == "spur-off-spur"}
    assert len(after) == 5
    assert after == before
    assert sum(after[key] is before[key] for key in after) == 4


def test_an_edit_elsewhere_hands_back_the_same_findings_of_every_family() -> None:
    b = mixed()
    other, _, runs = b.ring(5)
    b.say(other, label="Elsewhere")
    memo, book = Memo(), trade.load()
    before = {f.key: f for f in run(b.home, book, memo)}
    b.say(runs[2], length_mm=4321)
    after = {f.key: f for f in run(b.home, book, memo)}
    assert after == before
    steady = {"circuit", "spurs", "shape", "condition"}
    families = {rule.code: rule.family for rule in RULES}
    kept = {families[f.rule] for key, f in after.items() if f is before[key]}
    anew = {families[f.rule] for key, f in after.items() if f is not before[key] and other not in f.subjects}
    assert steady <= kept
    assert not anew & steady


@pytest.mark.parametrize("evidence", ["assumed", "inferred"])
def test_what_is_guessed_never_rises_above_further_investigation(evidence: str) -> None:
    b = Wired()
    _, points, _ = b.ring(6, evidence=evidence)
    first, second = b.twins(2)
    b.line(points[2], first, second, evidence=evidence)  # type: ignore[arg-type]
    b.cable(points[0], points[4], evidence=evidence)
    b.cable(b.way(), points[5], evidence=evidence)
    found = said(b.home)
    assert {"spur-off-spur", "ways-joined"} <= {f.rule for f in found}
    assert not [f for f in found if f.code in ("C1", "C2")]


def test_not_so_moves_a_finding_out_and_keeps_it() -> None:
    b = mixed()
    finding = one(b.home, "live-part")
    b.do(verbs.rule_on(b.home, finding.key, "not so", why="a blanking plate was behind it"))
    after = one(b.home, "live-part")
    assert (after.code, after.ruling) == ("note", "not so")
    assert not [f for f in said(b.home) if f.code == "C1"]


def test_an_inspector_may_agree_or_change_the_code() -> None:
    b = mixed()
    finding = one(b.home, "loose-accessory")
    b.do(verbs.rule_on(b.home, finding.key, "changed", code="C2"))
    assert (one(b.home, "loose-accessory").code, one(b.home, "loose-accessory").ruling) == ("C2", "changed")
    b.do(verbs.rule_on(b.home, finding.key, "agree"))
    assert (one(b.home, "loose-accessory").code, one(b.home, "loose-accessory").ruling) == ("C3", "agree")


def test_every_rule_says_why_by_which_source_and_of_which_edition() -> None:
    codes = [rule.code for rule in RULES]
    assert len(codes) == len(set(codes))
    for rule in RULES:
        for field in fields(rule):
            value = getattr(rule, field.name)
            assert value or field.name == "aside", (rule.code, field.name)
        assert set(rule.severity.split("/")) <= set(SEVERITIES), rule.code
    families = [rule.family for rule in RULES]
    assert families == sorted(families, key=families.index)


def test_a_finding_suggests_only_codes_that_its_rule_lists_and_says_all_of_itself() -> None:
    rules = {rule.code: rule for rule in RULES}
    everything: list[Finding] = [*said(mixed().home)]
    for plan in PLANS:
        everything += said(healthy(plan))
    for finding in everything:
        rule = rules[finding.rule]
        assert finding.code in rule.severity.split("/")
        assert finding.aside == rule.aside
        for words in (finding.says, finding.why, finding.settle):
            assert words[0] == words[0].upper()
            assert words.rstrip("”")[-1] in ".:", (finding.rule, words)
        assert all(home_id[0].isalpha() for home_id in finding.subjects)


def test_subjects_are_records_of_the_home() -> None:
    home = mixed().home
    for finding in said(home):
        assert all(home.peek(subject) is not None for subject in finding.subjects)


def test_as_grave_or_graver() -> None:
    assert is_at_least("C1", "C3")
    assert is_at_least("FI", "C3")
    assert not is_at_least("C3", "FI")
    assert not is_at_least("note", "C3")


def test_an_empty_home_has_nothing_to_find() -> None:
    assert not [f for f in said(Home.blank("Empty")) if f.code != "note"]


def test_labels_with_markup_and_thousands_of_letters_stay_short_plain_text() -> None:
    b = Wired()
    for _ in range(2):
        way = b.way(label="<b>" + "x" * 5000)
        points = b.twins(2)
        b.line(way, *points, way)
    finding = one(b.home, "same-label")
    assert "<b>" in finding.says
    assert len(finding.says) < 400
    assert only(b.home, "same-label")
