"""Readings beside the map: how far off in standard deviations, in which order, and what is still to be read."""

from math import inf

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import Link
from circuitmap.memo import Memo
from circuitmap.readings.book import readings_of
from circuitmap.readings.predict import Predicted
from circuitmap.readings.residuals import Residual, awaited, off_by_sd, residuals
from circuitmap.readings.sheet import walk_order
from circuitmap.readings.simulate import Practice, as_readings, lines_to_simulate, simulate
from circuitmap.readings.told import parse_fault
from circuitmap.trade import load
from tests.readings.recorded import Taken
from tests.readings.wired import Wired, reference

TRADE = load()


def of(wired: Wired) -> tuple[Residual, ...]:
    view = wired.on_way
    return residuals(wired.home, view, TRADE, readings_of(wired.home, view, Memo()).latest)


def read(wired: Wired, *faults: str, tests: tuple[str, ...] = ("ends", "cross-N", "cross-E", "one-leg")) -> None:
    view = wired.on_way
    told = [parse_fault(fault, view, TRADE) for fault in faults]
    practice = Practice(noise=0, is_as_drawn=True)
    shown = simulate(view, TRADE, told, practice, lines=lines_to_simulate(view, tests))
    wired.do(as_readings(wired.home, view, shown, practice))


def test_a_circuit_as_drawn_is_nowhere_off() -> None:
    wired, _ = reference()
    read(wired)
    found = of(wired)
    assert len(found) == 3 + 3 * 6
    for each in found:
        assert each.off_by_sd is not None
        assert abs(each.off_by_sd) < 0.5
        assert each.fit is not None
        assert (each.fit.word, each.fit.level) == ("fits", "fine")


def test_off_is_what_was_read_less_what_was_expected_in_standard_deviations() -> None:
    wired, _ = reference()
    read(wired, "bad joint of 0.5 ohm on the line at P3 towards P4")
    ends = of(wired)[0]
    assert ends.expected is not None
    assert ends.expected.ohm == pytest.approx(0.4446)
    assert ends.off_by_sd == pytest.approx((0.94 - 0.4446) / ends.expected.sd_ohm, rel=1e-6)
    assert ends.fit is not None
    assert ends.fit.word == "high"


def test_an_open_conductor_is_infinitely_off_and_the_others_are_not() -> None:
    wired, _ = reference()
    read(wired, "open line between P2 and P3")
    first, second, third = of(wired)[:3]
    assert first.off_by_sd == inf
    assert first.fit is not None
    assert first.fit.word == "open"
    assert all(abs(each.off_by_sd or 0) < 0.5 for each in (second, third))


@pytest.mark.parametrize(
    ("expected_ohm", "typed", "off"),
    [
        (0.50, "0.60", 2.0),
        (0.50, "0.40", -2.0),
        (0.50, ">0.30", None),
        (0.50, ">100", inf),
        (0.50, "<1", None),
        (0.50, "<0.4", -2.0),
        (inf, ">100", 0.0),
        (inf, "0.40", -inf),
        (inf, "<0.4", -inf),
        (None, "0.40", None),
        (0.50, "not possible: boiler", None),
    ],
)
def test_a_bound_says_no_more_than_it_can(expected_ohm: float | None, typed: str, off: float | None) -> None:
    taken = Taken()
    taken.read("ring end to end", typed, "L", "L", at=taken.ring)
    (entry,) = taken.book().entries
    found = off_by_sd(entry, Predicted(expected_ohm, 0.05, ""))
    assert found == (pytest.approx(off) if off is not None else None)


def test_readings_come_in_the_order_of_the_tests_and_of_a_walk() -> None:
    wired, sockets = reference()
    view = wired.on_way
    lines = lines_to_simulate(view, ["ends", "cross-N", "insulation"])
    backwards = tuple(reversed(simulate(view, TRADE, (), Practice(), lines=lines)))
    wired.do(as_readings(wired.home, view, backwards))
    found = of(wired)
    assert [each.entry.test for each in found] == ["ring end to end"] * 3 + ["linked"] * 6 + ["insulation"] * 3
    assert [each.at for each in found[3:9]] == [wired.way_id, *walk_order(view)] == [wired.way_id, *sockets]


def test_what_no_length_decides_has_nothing_expected() -> None:
    wired, _ = reference()
    read(wired, tests=("insulation",))
    assert {(each.expected, each.fit, each.off_by_sd) for each in of(wired)} == {(None, None, None)}


def test_a_leg_that_the_record_names_is_the_one_that_is_expected_to_be_linked() -> None:
    wired = Wired()
    near, far = wired.ring(2, 20, 30)
    visit = wired.visit()
    legs = wired.network.legs
    for leg in legs:
        link = Link(kind="one leg", cores=("L", "E"), legs=(leg,))
        wired.do(
            verbs.record_reading(
                wired.home, visit, "linked", "0.40", device=wired.way_id, at=near, cores=("L", "E"), link=link
            )
        )
    ohms = sorted(each.expected.ohm or 0 for each in of(wired) if each.expected is not None)
    assert ohms == pytest.approx([2 * 0.01951, 50 * 0.01951])
    assert far != near


def test_what_was_apart_is_not_held_against_the_whole_circuit() -> None:
    taken = Taken()
    taken.read("ring end to end", "0.40", "L", "L", at=taken.ring, apart=(taken.sockets[0],))
    (found,) = residuals(taken.home, taken.view(), TRADE, taken.book().latest)
    assert found.expected is None


def test_awaited_is_what_was_not_read_and_what_it_should_be() -> None:
    wired, sockets = reference()
    view = wired.on_way
    read(wired, tests=("ends", "cross-N"))
    left = awaited(wired.home, view, TRADE, of(wired))
    assert {(each.line.link, each.line.cores) for each in left} == {("cross", ("L", "E")), ("one leg", ("L", "E"))}
    cross = [each for each in left if each.line.link == "cross"]
    assert [each.line.at for each in cross] == [wired.way_id, *sockets]
    # Source: CHECKS.md section 2b, healthy, step 3.
    assert [each.expected.ohm for each in cross] == pytest.approx(
        [0.2757, 0.2851, 0.2908, 0.2926, 0.2908, 0.2851], abs=1e-4
    )


def test_nothing_is_awaited_once_all_was_read() -> None:
    wired, _ = reference()
    read(wired)
    assert awaited(wired.home, wired.on_way, TRADE, of(wired)) == ()
