"""Many practised surveys: each method gets the same homes and errors, and the person may stop."""

import pytest

from circuitmap.jobs import StoppedError, Ticket
from circuitmap.survey.method import Method
from circuitmap.survey.rehearsal.many import Spread, invented, practise, spread, times_fewer
from circuitmap.survey.rehearsal.rehearse import rehearse
from circuitmap.trade import load


def test_each_method_surveys_the_same_homes_with_the_same_errors() -> None:
    trade, methods = load(), (Method("gentle"), Method("one at a time"))
    rows = practise(invented(2, 7, (5, 6)), trade, methods, 0.02)
    for row, method in zip(rows, methods, strict=True):
        alone = [rehearse(t.home, trade, t.truth, method, 0.02, t.seed) for t in invented(2, 7, (5, 6))]
        assert list(row) == alone
    assert {tally.ways for row in rows for tally in row} <= {5, 6}


def test_it_tells_how_far_it_is_and_stops_within_a_home_when_told_to() -> None:
    seen: list[tuple[int, int]] = []

    def watch(done: int, total: int, _words: str) -> None:
        seen.append((done, total))
        if done:
            ticket.stop()

    ticket = Ticket(watch)
    with pytest.raises(StoppedError):
        practise(invented(3, 1, (4, 4)), load(), (Method(),), 0.0, ticket=ticket, total=3)
    assert seen[0] == (0, 3)
    assert seen[-1] == (1, 3)


def test_median_greatest_and_how_many_times_fewer() -> None:
    assert spread([3, 9, 4, 4]) == Spread(4.0, 9.0)
    assert times_fewer([2, 4, 0], [6, 4, 5]) == 3.0
