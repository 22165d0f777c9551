"""What is asked beside the window for a ring's order: what is missing, what is drawn already, what is kept."""

from collections.abc import Callable

import pytest

from circuitmap.circuits import views
from circuitmap.desk.order_said import head_words
from circuitmap.desk.order_work import CROSS, ENDS, ONE_LEG, Ordering, Told, accept_all, missing_tests
from circuitmap.errors import HomeError
from circuitmap.jobs import StoppedError, Ticket
from circuitmap.memo import Memo
from circuitmap.readings.book import readings_of
from circuitmap.readings.entries import Side
from circuitmap.readings.sweeps import sweeps_of
from circuitmap.trade import load
from tests.desk.order_home import OrderHome

SOME = ("P1", "P2", "P3")
OTHERS = ("P4", "P5", "P6")


def ordering(home: OrderHome, side: Side | None = None, before: Told | None = None) -> Ordering:
    view = next(view for view in views(home.home, load(), Memo()) if view.device.id == home.ring)
    return Ordering(home.home, view, load(), Memo(), side, before)


def told(home: OrderHome, side: Side | None = None, before: Told | None = None) -> Told:
    return ordering(home, side, before)(Ticket())


def near(home: OrderHome, *only: str) -> None:
    home.sweep("one leg", ("L", "E"), only)


def across(home: OrderHome, *only: str) -> None:
    home.sweep("cross", ("L", "N"), only)


@pytest.mark.parametrize(
    ("read", "missing"),
    [
        ((), (ENDS, ONE_LEG, CROSS)),
        (("ends",), (ONE_LEG, CROSS)),
        (("ends", "near"), (CROSS,)),
        (("ends", "across"), (ONE_LEG,)),
        (("near", "across"), (ENDS,)),
        (("ends", "near some", "across others"), (ONE_LEG, CROSS)),
        (("ends", "near some", "across"), ()),
    ],
)
def test_what_is_missing_is_named_in_the_order_in_which_it_is_read(
    read: tuple[str, ...], missing: tuple[str, ...]
) -> None:
    home = OrderHome()
    does: dict[str, Callable[[], None]] = {
        "ends": home.ends,
        "near": lambda: near(home),
        "across": lambda: across(home),
        "near some": lambda: near(home, *SOME),
        "across others": lambda: across(home, *OTHERS),
    }
    for each in read:
        does[each]()
    found = told(home)
    assert found.missing == missing
    assert bool(found.order.problem) == bool(missing)
    assert head_words(found)


def test_only_the_side_that_is_asked_for_counts() -> None:
    home = OrderHome()
    home.read_all()
    assert not told(home, "before").order.problem
    after = told(home, "after")
    assert after.missing == (ENDS, ONE_LEG, CROSS)
    view = next(view for view in views(home.home, load(), Memo()) if view.device.id == home.ring)
    book = readings_of(home.home, view, Memo())
    assert missing_tests(book, sweeps_of(home.home, view, book, load(), side="after"), "after") == after.missing


def test_with_the_same_sweeps_the_order_is_not_worked_out_again() -> None:
    home = OrderHome()
    home.read_all()
    first = told(home)
    home.do(accept_all(home.home, [first.choices[0].offer], "A1"))
    again = told(home, before=first)
    assert again.order is first.order
    assert len(again.choices) == len(first.choices) - 1
    home.sweep("one leg", ("L", "E"), ("P5",), P5="0.20")
    assert told(home, before=again).order is not first.order


def test_several_parts_of_which_one_is_drawn_by_now_are_refused_together() -> None:
    home = OrderHome()
    home.read_all()
    offers = [choice.offer for choice in told(home).choices[1:4]]
    home.run("P2", "P7")
    with pytest.raises(HomeError, match="already joins"):
        accept_all(home.home, offers, "A1")


def test_a_spur_drawn_from_the_other_point_where_it_may_leave_is_not_offered() -> None:
    home = OrderHome(legs_m=(6, 9, 7, 11, 0.4, 8, 10, 12))
    home.read_all()
    assert [(c.offer.b, [o.a for o in c.others]) for c in told(home).choices if c.offer.part == "spur"] == [
        ("P4", ["P8"])
    ]
    home.run("P8", "P4")
    found = told(home)
    assert not [choice for choice in found.choices if choice.offer.part == "spur"]
    assert found.on_map == 1


def test_an_order_that_nobody_waits_for_any_longer_stops() -> None:
    home = OrderHome()
    home.read_all()
    ticket = Ticket()
    ticket.stop()
    with pytest.raises(StoppedError):
        ordering(home)(ticket)
