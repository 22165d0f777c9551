"""What parts are called, and how bounds and shares are said."""

from math import inf

import pytest

from circuitmap.readings.leak import Layout
from circuitmap.readings.leak_layout import layout_of
from circuitmap.readings.leak_told import FULL_TEST, LOW_TEST, cautions, narrowed, percent, shown, title_of
from circuitmap.readings.verdict import Span
from circuitmap.trade import load
from tests.readings.wired import Wired


def layout() -> Layout:
    wired = Wired()
    sockets = wired.ring(5, 5, 5, 5)
    wired.spur(sockets[1], 3)
    return layout_of(wired.on_way, load())


@pytest.mark.parametrize(
    ("span", "said"),
    [(Span(0.8, 0.8), "0.8 MΩ"), (Span(1234, 1234), "1234 MΩ"), (Span(200, inf), "over 200 MΩ"),
     (Span(0, 0.5), "under 0.5 MΩ")],
)  # fmt: skip
def test_a_bound_is_said_as_a_bound(span: Span, said: str) -> None:
    assert shown(span) == said


@pytest.mark.parametrize(
    ("share", "said"),
    [(Span(0.3, 0.6), "30 to 60 %"), (Span(0.74, 1), "at least 74 %"), (Span(0, 0.1), "at most 10 %"),
     (Span(0, 1), "an unknown share"), (Span(0.5, 0.5), "50 %")],
)  # fmt: skip
def test_a_share_is_a_range_and_never_more_certain_than_the_meter(share: Span, said: str) -> None:
    assert percent(share) == said


def test_a_part_is_called_by_the_cable_a_meter_is_put_on_and_how_far_it_goes() -> None:
    found = layout()
    titles = [title_of(found, part.sections, "P2") for part in found.parts(["P2"], found.equipment)]
    assert "R2 back to the board with 1 more cable and 1 point" in titles
    assert "R5 with P4" in titles
    assert "socket P2 or its terminals" in titles
    assert title_of(found, found.whole()) == "the whole circuit"


def test_what_was_not_read_alone_may_be_the_terminals_at_its_ends() -> None:
    found = layout()
    assert narrowed(found, {"R2"}) == "R2 between P1 and P2, or the terminals at its ends"
    assert narrowed(found, {"P1", "R1"}) == "R1 between the board and P1 or socket P1 or its terminals"
    assert narrowed(found, {"P3 equipment"}) == "what is plugged in at socket P3"


def test_equipment_on_the_circuit_changes_what_must_be_heeded() -> None:
    assert LOW_TEST in cautions(has_equipment=True)
    assert FULL_TEST not in cautions(has_equipment=True)
    assert FULL_TEST in cautions(has_equipment=False)
