"""What is planned is never taken for a fact: whatever is promised, all that speaks of the home says the same."""

import random

import msgspec
import pytest

from circuitmap.circuits import orphans, unmapped, views
from circuitmap.errors import HomeError
from circuitmap.extension.asked import Asked
from circuitmap.extension.checks import check_home
from circuitmap.findings.run import run as findings
from circuitmap.home import Home, verbs
from circuitmap.home.change import Change
from circuitmap.home.phases import is_there, not_there
from circuitmap.home.records import Board, Device, End, Point, Run, Tag
from circuitmap.memo import Memo
from circuitmap.survey.cautions import cautions
from circuitmap.survey.isolate import plan_isolation
from circuitmap.survey.lines import askable
from circuitmap.survey.paper import sheet_text
from circuitmap.survey.planner import propose
from circuitmap.survey.progress import counts, next_step
from circuitmap.survey.settle import settle
from circuitmap.trade import Trade, load
from circuitmap.wiring.pieces import pieces
from circuitmap.wiring.supply import feeders, under
from tests.build import Builder
from tests.homes import PLANS, Plan, healthy


@pytest.fixture(scope="module")
def trade() -> Trade:
    return load()


def promised(home: Home, phase: str, seed: int = 1) -> Home:
    """A home with much promised in it: points of its own kinds on plates and in rooms, a way, runs and tags to all."""
    draw = random.Random(seed)
    for board in home.sorted(Board):
        change = verbs.add_device(home, board.id, "MCB", verbs.next_way(home, board.id), 32, label="new kitchen")
        home = home.apply(change)
        (new_way,) = change.added(Device)
        home = home.apply(verbs.edit(home, new_way, phase=phase))
    ways = [device.id for device in home.sorted(Device)]
    for point in draw.sample(home.sorted(Point), min(12, len(home.table(Point)))):
        again = msgspec.structs.replace(
            point, id=home.next_id(Point), phase=phase, controls=(point.id,) if point.kind == "switch" else (), loads=()
        )
        home = home.apply(_added(again))
        for a, b in ((point.id, again.id), (again.id, draw.choice(ways))):
            record = Run(id=home.next_id(Run), a=End(at=a), b=End(at=b), cable="T&E 2.5/1.5", phase=phase)
            home = home.apply(_added(record))
        home = home.apply(verbs.tag(home, again.id, draw.choice(ways)))
    first, last = home.sorted(Point)[0], home.sorted(Point)[5]
    home = home.apply(_added(Run(id=home.next_id(Run), a=End(at=first.id), b=End(at=last.id), phase=phase)))
    return home.apply(verbs.tag(home, first.id, new_way))


def _added(record: Point | Run) -> Change:
    return Change("Promise", ((None, record),))


def said(home: Home, trade: Trade) -> dict[str, object]:
    """All that the floors say of a home."""
    memo = Memo()
    circuits = views(home, trade, memo)
    there = [point.id for point in home.sorted(Point) if is_there(point)]
    ways = [device.id for device in home.sorted(Device) if is_there(device)]
    return {
        "findings": findings(home, trade, memo),
        "pieces": pieces(home),
        "views": [(v.code, v.names, v.runs, v.drops, v.shape, v.missing, v.boards_fed) for v in circuits],
        "orphans": orphans(home, trade, memo),
        "unmapped": unmapped(home, circuits),
        "settled": {i: found for i, found in settle(home, memo, trade).items() if i in there},
        "progress": (counts(home, memo, trade), next_step(home, memo, trade)),
        "proposal": propose(home, memo, trade),
        "feeders": feeders(home, memo),
        "under": under(home, ways[:1], memo),
        "cautions": cautions(home, ways[1:3], memo, trade),
        "asked": askable(home, memo, trade),
        "paper": sheet_text(home, None, memo, trade),
        "isolation": plan_isolation(home, tuple(there[:1]), memo, trade=trade),
        "checks": check_home(Asked(home, circuits, trade, memo)),
    }


@pytest.mark.parametrize("phase", ["planned", "removed"])
@pytest.mark.parametrize("plan", PLANS[5:12:2], ids=lambda plan: plan.name)
def test_nothing_that_is_promised_or_gone_is_said_as_a_fact(trade: Trade, plan: Plan, phase: str) -> None:
    home = healthy(plan)
    before, after = said(home, trade), said(promised(home, phase), trade)
    for what, words in before.items():
        assert after[what] == words, what


def test_the_same_things_do_count_when_they_are_there(trade: Trade) -> None:
    """So that the test above can fail."""
    home = healthy(PLANS[6])
    before, after = said(home, trade), said(promised(home, "existing"), trade)
    assert {what for what, words in before.items() if after[what] != words} >= {"findings", "views", "pieces", "asked"}


def test_existing_is_the_home_itself_while_nothing_is_promised() -> None:
    home = healthy(PLANS[0])
    assert home.existing() is home


@pytest.mark.parametrize("phase", ["planned", "removed"])
def test_existing_leaves_out_what_is_not_there_and_all_that_hangs_on_it(phase: str) -> None:
    home = healthy(PLANS[6])
    more = promised(home, phase)
    there = more.existing()
    assert there == home
    assert there is more.existing()
    assert not not_there(there)
    assert not there.problems()
    assert len(more.table(Tag)) > len(there.table(Tag))


def test_a_planned_device_may_come_into_the_way_of_one_that_goes() -> None:
    b = Builder()
    board = b.board()
    old = b.device(board, "1")
    b.do(_added(msgspec.structs.replace(b.home.take(Device, old), id=b.home.next_id(Device), phase="planned")))
    with pytest.raises(HomeError, match="already has a way 1"):
        b.device(board, "1")
    b.do(verbs.edit(b.home, old, phase="removed"))
    b.device(board, "1")
