"""Planning a survey: what to switch off next, whom to look at, how much is left, who tells of a tripped RCD.

The planner proposes and the person decides: every function takes what the home's records say, so that whatever was
done instead is simply where the next proposal starts. Nothing here switches anything or tells that anything is dead.
"""

from collections.abc import Iterable, Sequence

from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.method import Method
from circuitmap.survey.proposal import HuntStep, Proposal, Witness
from circuitmap.survey.walk import walk_order
from circuitmap.trade import Trade

__all__ = ["hunt", "points_to_ask", "propose", "proposed_for", "settling", "witnesses"]


def propose(
    home: Home,
    memo: Memo,
    trade: Trade,
    method: Method | None = None,
    visit: str | None = None,
    slip: float | None = None,
) -> Proposal:
    """Give the next switch-off by a method."""
    from circuitmap.survey.planner.next_off import propose as make

    return make(home, memo, trade, method, visit, slip)


def proposed_for(
    home: Home, memo: Memo, trade: Trade, off: Sequence[str], method: Method | None = None, visit: str | None = None
) -> Proposal:
    """Give what a switch-off that the person chose is good for: whom to look at, what it is likely to settle."""
    from circuitmap.survey.planner.next_off import described
    from circuitmap.survey.planner.outlook import outlook

    look = outlook(home, memo, trade, method if method is not None else Method(), visit)
    chosen = tuple(dict.fromkeys(off))
    return described(look, chosen, "group" if len(chosen) > 1 else "single", ())


def points_to_ask(home: Home, memo: Memo, trade: Trade, off: Iterable[str]) -> tuple[str, ...]:
    """Give the points whose answer still matters while some devices are off, in walk order."""
    from circuitmap.survey.planner.next_off import points_asked
    from circuitmap.survey.planner.outlook import outlook

    look = outlook(home, memo, trade, Method(), None)
    return walk_order(home, points_asked(look, off), memo)


def witnesses(home: Home, memo: Memo, trade: Trade, off: Iterable[str]) -> tuple[Witness, ...]:
    """Give the points to look at again and again while some devices are off: each tells of one RCD that stays on."""
    from circuitmap.survey.planner.outlook import outlook
    from circuitmap.survey.planner.witness import witnesses as find

    return find(outlook(home, memo, trade, Method(), None), off)


def hunt(
    home: Home,
    memo: Memo,
    trade: Trade,
    point: str,
    answers: Sequence[tuple[frozenset[str], bool]] = (),
    keep_on: frozenset[str] = frozenset(),
) -> HuntStep:
    """Give the next step of a two-person hunt for one point's way.

    ``answers`` are the steps so far: the devices off, and whether the point was still on.
    """
    from circuitmap.survey.planner.hunting import hunt_step
    from circuitmap.survey.planner.outlook import outlook

    look = outlook(home, memo, trade, Method(keep_on=keep_on), None)
    return hunt_step(look, point, answers)


def settling(home: Home, memo: Memo, trade: Trade, point: str) -> str:
    """Give the check that would settle a point in doubt, in a sentence; an empty text when it is settled."""
    from circuitmap.survey.planner.doubt import check_that_settles
    from circuitmap.survey.planner.outlook import outlook

    return check_that_settles(outlook(home, memo, trade, Method(), None), point)
