"""Single steps of a hunt: what they ask for, how long they take, what is off after them."""

from circuitmap.readings import leak_steps as steps
from circuitmap.readings.leak_hunt import begin
from circuitmap.readings.leak_state import ENDS, Hunt
from circuitmap.readings.verdict import Rules
from circuitmap.trade import load
from tests.readings.wired import Wired

TRADE = load()


def hunt() -> Hunt:
    wired = Wired()
    a, _, _ = wired.ring(5, 5, 5, 5)
    wired.spur(a, 4)
    return begin(wired.on_way, Rules(TRADE))


def test_opening_asks_for_every_part_there_and_takes_its_minutes() -> None:
    state = hunt()
    step = steps.open_place(state, "P1", 5.0)
    assert {asked.where for asked in step.asked} == {"P1"}
    assert len(step.asked) == 4  # three cables and the socket
    assert step.minutes == TRADE.access("open").minutes + len(step.asked) * TRADE.access("read a part").minutes
    assert step.left >= step.minutes


def test_parts_of_one_opening_share_nothing_and_leave_nothing_out() -> None:
    state = hunt()
    step = steps.open_place(state, "P1", 5.0)
    every = [key for asked in step.asked for key in asked.sections]
    assert len(every) == len(set(every))
    assert set(every) == state.layout.whole()


def test_connecting_back_leaves_all_else_off() -> None:
    state = hunt()
    off = Hunt(state.layout, off=state.layout.equipment)
    step = steps.connect_back(off, ["P1 equipment"])
    assert step.off == off.off
    assert step.asked[0].sections == off.layout.whole(off.off) | {"P1 equipment"}
    assert step.test_v == 250


def test_taking_off_gives_a_minute_to_each_plug() -> None:
    state = hunt()
    step = steps.taking_off(state, "unplug", state.layout.equipment, "why")
    assert step.off == state.layout.equipment
    assert step.minutes == 4 * TRADE.access("unplug").minutes + TRADE.access("read a part").minutes
    assert step.asked[0].sections == state.layout.whole(state.layout.equipment)


def test_an_end_asks_for_no_reading() -> None:
    for step in (steps.nothing_low(hunt()), steps.after_rejoining(hunt(), "P1", is_low=True)):
        assert step.kind in ENDS
        assert step.is_end
        assert step.asked == ()
