"""Healthy homes must not be cried wolf over: no C1 or C2, at most three C3, one line per board and subject.

Acceptance bar: the trade's own (common practice, no source).
"""

from collections import Counter

import pytest

from circuitmap import trade
from circuitmap.findings import run
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
