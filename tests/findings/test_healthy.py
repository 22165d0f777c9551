"""Healthy homes must not be cried wolf over: no C1 or C2, at most three C3, one line per board and subject.

Acceptance bar: the trade's own (common practice, no source).
"""

from collections import Counter

import pytest

from circuitmap import trade
from circuitmap.circuits import views
from circuitmap.findings import run
from circuitmap.home import verbs
from circuitmap.home.records import Check, Device, Point, Run
from circuitmap.memo import Memo
from circuitmap.survey import deduce
from tests.homes import PLANS, Plan, healthy


def test_there_are_at_least_twenty_of_them() -> None:
    assert len({plan.name for plan in PLANS}) >= 20
    assert max(plan.year for plan in PLANS) - min(plan.year for plan in PLANS) > 60


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: f"{plan.year} {plan.name}")
def test_a_healthy_home_gets_notes_and_few_improvements(plan: Plan) -> None:
    home = healthy(plan)
    found = [f for f in run(home, trade.load(), Memo()) if not f.aside]
    grave = [f"{f.code} {f.rule}: {f.says}" for f in found if f.code in ("C1", "C2", "FI")]
    assert not grave
    improvements = [f for f in found if f.code == "C3"]
    assert len(improvements) <= 3, [f.says for f in improvements]
    repeated = [pair for pair, n in Counter((f.rule, f.subjects[:1]) for f in improvements).items() if n > 1]
    assert not repeated
    notes = [f"{f.rule}: {f.says}" for f in found if f.code == "note"]
    assert not any(note.startswith(("not-checked", "not-traced")) for note in notes), notes
    assert len(notes) <= 3, notes


@pytest.mark.parametrize("plan", PLANS[:6], ids=lambda plan: plan.name)
def test_switching_off_settles_every_point_of_a_healthy_home(plan: Plan) -> None:
    home = healthy(plan)
    verdicts = Counter(d.verdict for d in deduce(home, Memo()).values())
    assert set(verdicts) <= {"settled", "unchecked"}
    assert verdicts["settled"] > verdicts["unchecked"]


RINGS = [plan for plan in PLANS if plan.sockets in ("ring", "two rings")]


@pytest.mark.parametrize("plan", RINGS, ids=lambda plan: f"{plan.year} {plan.name}")
def test_the_same_home_with_one_run_of_its_ring_gone_is_no_longer_healthy(plan: Plan) -> None:
    """What is said of healthy homes would mean little if nothing were ever said."""
    home = healthy(plan)
    view = next(v for v in views(home, trade.load(), Memo()) if v.shape is not None and v.shape.kind.startswith("ring"))
    assert view.shape is not None
    middle = home.take(Run, view.shape.loop_runs[4])  # between two sockets, past the fused unit
    home = home.apply(verbs.remove(home, middle.id))
    for end in (middle.a.at, middle.b.at):
        assert end is not None
        home = home.apply(verbs.count_cables(home, end, len(verbs.runs_at(home, end))))
    found = [f for f in run(home, trade.load(), Memo()) if f.code in ("C1", "C2", "FI")]
    assert [(f.rule, f.code) for f in found] == [("ring-open", "C2")]
    # Where a spur hangs at the cut, its end looks like the end of that half: only the other end is sure.
    assert {middle.a.at, middle.b.at} & set(found[0].subjects)


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: f"{plan.year} {plan.name}")
def test_a_healthy_home_stays_so_before_its_survey_is_finished(plan: Plan) -> None:
    home = healthy(plan)
    for check in home.sorted(Check):
        if int(check.id[1:]) % 3:
            home = home.apply(verbs.remove(home, check.id))
    found = [f for f in run(home, trade.load(), Memo()) if not f.aside]
    assert not [f"{f.code} {f.rule}: {f.says}" for f in found if f.code in ("C1", "C2", "FI")]
    assert len([f for f in found if f.rule == "not-checked"]) == 1


@pytest.mark.parametrize("plan", PLANS, ids=lambda plan: f"{plan.year} {plan.name}")
def test_a_healthy_home_stays_so_while_its_cables_are_still_being_followed(plan: Plan) -> None:
    """Half the runs not drawn yet, nothing counted: gaps of the map, never of the wiring."""
    home = healthy(plan)
    for kind in (Point, Device):
        for record in home.sorted(kind):
            home = home.apply(verbs.count_cables(home, record.id, None))
    for record in home.sorted(Run)[::2]:
        home = home.apply(verbs.remove(home, record.id))
    found = [f for f in run(home, trade.load(), Memo()) if not f.aside]
    assert not [f"{f.code} {f.rule}: {f.says}" for f in found if f.code in ("C1", "C2", "FI")]
