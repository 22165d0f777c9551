"""Repairs offered apart: each priced by the kind of finding; which repair goes with which rule is common practice.

The minutes and prices behind them are invented for the demo; only their order and their parts are held to anything.
"""

import pytest

from circuitmap.circuits import views
from circuitmap.errors import PersonError
from circuitmap.extension.asked import Asked
from circuitmap.extension.fit import fit_to_extend
from circuitmap.extension.price import price
from circuitmap.extension.remedies import LIKE_FOR_LIKE, UNKNOWN, repair_of
from circuitmap.extension.services import entry_m
from circuitmap.extension.takeoff import Remedy, Work, takeoff
from circuitmap.findings import Finding
from circuitmap.findings import run as find
from circuitmap.findings.catalogue import RULES
from circuitmap.home import Home, verbs
from circuitmap.home.change import Change
from circuitmap.home.records import Place, Point, Run
from circuitmap.memo import Memo
from tests.extension.extended import TRADE, small_home
from tests.extension.priced import EMPTY, demo

GRAVE = [rule.code for rule in RULES if {"C1", "C2"} & set(rule.severity.split("/")) and rule.code != "bonding"]


@pytest.fixture(scope="module")
def home() -> Home:
    return small_home()


def asked(home: Home) -> Asked:
    memo = Memo()
    return Asked(home, views(home, TRADE, memo), TRADE, memo)


def made(rule: str, *subjects: str, code: str = "C2") -> Finding:
    return Finding(rule=rule, code=code, subjects=subjects, says="It is so.", why="", settle="", evidence="seen")  # type: ignore[arg-type]  # a word of the vocabulary


def pence_of(remedy: Remedy) -> float:
    taken = takeoff(Work(remedies=(remedy,)), demo(), EMPTY)
    assert not taken.left_out
    priced = price(taken, demo(), EMPTY, draws=0)
    return sum(line.mean for line in (*priced.optional, *priced.lines) if line.line.why.startswith(remedy.why))


@pytest.mark.parametrize("rule", GRAVE)
def test_every_grave_rule_has_a_repair_of_its_kind_with_a_price(home: Home, rule: str) -> None:
    remedy = repair_of(asked(home), made(rule, "P1"))
    assert remedy.what != UNKNOWN.what
    assert remedy.optional
    assert pence_of(remedy) > 0


def test_a_rule_that_nobody_thought_of_is_one_ordinary_repair(home: Home) -> None:
    assert repair_of(asked(home), made("something-new", "P1")).what == UNKNOWN.what
    assert not repair_of(asked(home), made("scorched-failing", "P1", code="C1")).optional


def test_a_twin_that_is_damaged_is_renewed_as_a_twin_and_a_search_is_dearer(home: Home) -> None:
    """Common practice, no source: remaking a joint and renewing an accessory are quick, searching for a fault isn't."""
    damaged = repair_of(asked(home), made("damaged", "P1"))
    assert (damaged.what, damaged.fit, damaged.gangs) == (LIKE_FOR_LIKE, "socket", 2)
    keys = {line.key for line in takeoff(Work(remedies=(damaged,)), demo()).lines if line.why == damaged.why}
    assert {"fix socket", "functional check"} < keys
    joint = repair_of(asked(home), made("loose-terminal", "P1"))
    search = repair_of(asked(home), made("ring-open", "D2"))
    assert pence_of(joint) < pence_of(search)
    assert pence_of(damaged) < pence_of(search)
    task = demo().tasks["trace a fault"]
    assert task.unit == "hour"
    assert task.minutes.low < 60 <= task.minutes.likely < task.minutes.high


def test_what_is_seen_at_a_cable_renews_its_length(home: Home) -> None:
    """Twice the length takes twice the minutes by the metre; a length that nobody measured is assumed and said."""
    run = home.take(Run, "R1")
    remedies = [
        repair_of(
            asked(home.apply(Change("", ((run, _long(run, length_mm)),)))), made("scorched", "R1")
        )
        for length_mm in (4000, 8000, None)
    ]  # fmt: skip
    assert [remedy.what for remedy in remedies] == ["cable renewed"] * 3
    lines = [takeoff(Work(remedies=(remedy,)), demo(), EMPTY).lines for remedy in remedies]
    metres = [next(line.quantity for line in each if line.key == "renew cable") for each in lines]
    cable = [next(line.quantity for line in each if line.key == "cable T&E 2.5/1.5") for each in lines]
    assert metres == cable == [4.0, 8.0, 5.0]
    assert any("(assumed 5 m)" in line.why for line in lines[2])
    assert any("(8.0 m by the map)" in line.why for line in lines[1])


def _long(run: Run, length_mm: int | None) -> Run:
    from msgspec import structs

    return structs.replace(run, length_mm=length_mm, length_from="measured" if length_mm else "")


def test_a_rewirable_fuse_is_no_breaker_to_be_changed(home: Home) -> None:
    assert repair_of(asked(home), made("overload", "D2")).what == "device changed"
    old = home.apply(verbs.edit(home, "D2", kind="fuse BS 3036", curve="", rcd=None))
    assert repair_of(asked(old), made("overload", "D2")).what == "looked into"


def test_a_scorched_socket_of_the_map_is_offered_by_its_kind(home: Home) -> None:
    visit = home.apply(verbs.start_visit(home, "2026-01-05"))
    seen = visit.apply(verbs.note(visit, "P2", seen=("scorched",), visit="V1"))
    of = asked(seen)
    (fit,) = [each for each in fit_to_extend(of, find(seen, TRADE, of.memo)) if each.subject == "defects"]
    (remedy,) = fit.remedies
    assert remedy.fit == "socket"
    assert "Priced: renewing it like for like." in remedy.why


def test_bonding_is_as_long_as_the_map_shows(home: Home) -> None:
    """Worked by hand: the board at (600, 3500), 1800 mm up, the pipe at (3000, 0), 300 mm up: 2400 + 3500 along."""
    bare = small_home(bonded=False)
    assert entry_m(bare, "gas") is None
    meter = Point(id="P99", kind="other", name="Gas meter", place=Place(storey="G1", x_mm=3000, y_mm=0, height_mm=300))
    (unknown,) = [each for each in fit_to_extend(asked(bare), ()) if each.subject == "bonding"]
    assert "Until the map shows where the gas comes in" in unknown.says
    shown = bare.apply(Change("", ((None, meter),)))
    assert entry_m(shown, "gas") == pytest.approx((2400 + 3500 + 1800 + 300) / 1000)
    assert entry_m(shown, "water") is None
    assert entry_m(shown, "") is None
    of = asked(shown)
    (bond,) = [each for each in fit_to_extend(of, ()) if each.subject == "bonding"]
    (remedy,) = bond.remedies
    assert "Until the map shows" not in bond.says
    lines = takeoff(Work(remedies=(remedy,)), demo()).lines
    assert next(line.quantity for line in lines if line.key == "bonding 10 mm²") == pytest.approx(8.0)
    assert any("by the map)" in line.why for line in lines)


def test_a_length_below_zero_is_refused() -> None:
    with pytest.raises(PersonError, match="can't be counted"):
        takeoff(Work(remedies=(Remedy(what="main bonding", why="gas", metres=-1.0),)), demo())
