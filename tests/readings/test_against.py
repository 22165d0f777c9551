"""How a reading compares with the map: a word, a level and a sentence, and never a fault made of a length."""

from math import inf

import pytest

from circuitmap.home.records import Reading, Visit
from circuitmap.readings.against import expected_of, fit_of, worst_of
from circuitmap.readings.entries import Entry
from circuitmap.readings.predict import Predicted
from circuitmap.readings.sheet import groups_of
from circuitmap.trade import load
from circuitmap.words import Bound
from tests.readings.wired import Wired, reference


def entry(value_si: float | None, bound: Bound = "=", why: str = "") -> Entry:
    reading = Reading(id="Q1", visit="V1", test="linked", value_si=value_si, bound=bound, not_possible=why)
    visit = Visit(id="V1", day="2026-01-05")
    return Entry(reading, visit, "before", "P1", (), value_si, 0.0, True, True, 0.01, 0.01)


WANTED = Predicted(0.50, 0.03, "From the lengths on the map.")


@pytest.mark.parametrize(
    ("taken", "word", "level"),
    [
        (entry(0.52), "fits", "fine"),
        (entry(0.60), "high", "look"),
        (entry(0.58), "fits", "fine"),
        (entry(0.40), "low", "look"),
        (entry(0.75), "high", "look"),
        (entry(99.9, ">"), "open", "look"),
        (entry(0.1, ">"), "", "can't tell"),
        (entry(0.8, "<"), "", "can't tell"),
        (entry(0.1, "<"), "low", "look"),
        (entry(None, why="boiler connected"), "not read", "can't tell"),
    ],
)
def test_each_reading_gets_a_word_and_a_level(taken: Entry, word: str, level: str) -> None:
    found = fit_of(taken, WANTED)
    assert found is not None
    assert (found.word, found.level) == (word, level)
    assert found.says.endswith(".")


def test_open_where_the_map_has_it_open_fits_and_a_number_there_does_not() -> None:
    open_ = Predicted(inf, 0.0, "Open circuit: with the legs open nothing joins line and neutral.")
    fits, reads = fit_of(entry(99.9, ">"), open_), fit_of(entry(0.4), open_)
    assert fits is not None
    assert reads is not None
    assert (fits.word, reads.word, reads.level) == ("fits", "not open", "look")


def test_what_cannot_be_said_is_said_to_be_so() -> None:
    found = fit_of(entry(0.4), Predicted(None, 0.0, "Can't be told: R1 has no length."))
    assert found is not None
    assert (found.word, found.level, found.says) == ("", "can't tell", "Can't be told: R1 has no length.")
    assert fit_of(None, WANTED) is None
    assert fit_of(entry(0.4), None) is None


def test_no_reading_beside_the_map_fails_by_itself() -> None:
    assert {fit_of(entry(value), WANTED).level for value in (0.0, 0.5, 5.0, 5000.0)} <= {"fine", "look"}  # type: ignore[union-attr]  # both are given


def test_the_worst_level_stands() -> None:
    assert worst_of("fine", None, "look") == "look"
    assert worst_of("can't tell", "fine") == "can't tell"
    assert worst_of(None) is None


def test_the_sheet_of_a_ring_is_expected_as_the_published_test_has_it() -> None:
    # Reference network, 60 m of 2.5/1.5: r1 = 60 × 7.41 mΩ; cross-linked L–N at the board r1/2.
    # Source: IEC 60228, largest resistance of class 1 at 20 °C; handbook's step 2, (r1 + rn)/4 at every socket.
    wired, sockets = reference()
    found: dict[tuple[object, ...], Predicted] = {}
    for group in groups_of(wired.on_way):
        found |= expected_of(wired.on_way, load(), group.lines, home=wired.home, ze_ohm=0.35)
    sheet = {(group.short, line.at, line.cores): line.key for group in groups_of(wired.on_way) for line in group.lines}
    r1 = found[sheet["Ends", wired.way_id, ("L", "L")]].ohm
    assert r1 is not None
    assert r1 == pytest.approx(60 * 0.00741, rel=1e-9)
    for socket in sockets:
        assert found[sheet["L–N", socket, ("L", "N")]].ohm == pytest.approx(2 * r1 / 4, rel=1e-9)
    zs = found[sheet["Zs", sockets[2], ("L", "E")]].ohm
    cross = found[sheet["L–E", sockets[2], ("L", "E")]].ohm
    assert cross is not None
    assert zs == pytest.approx(0.35 + cross, rel=1e-9), "mid-ring both are a quarter of r1 + r2"


def test_without_ze_no_loop_is_expected() -> None:
    wired = Wired()
    wired.ring(10, 10)
    lines = next(group.lines for group in groups_of(wired.on_way) if group.short == "Zs")
    (expected,) = expected_of(wired.on_way, load(), lines, home=wired.home).values()
    assert expected.ohm is None
    assert "Ze" in expected.why
