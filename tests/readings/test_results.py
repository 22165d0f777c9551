"""Which reading stands for a quantity in a schedule, and the greatest Zs that it is held beside."""

import pytest

from circuitmap.circuits import views
from circuitmap.home import Home, verbs
from circuitmap.home.records import Rcd
from circuitmap.memo import Memo
from circuitmap.readings.judged_case import rcds_over, rules_of
from circuitmap.readings.results import Results, highest, lowest, permitted_zs, results_of
from circuitmap.trade import load
from circuitmap.words import DeviceKind, Earthing
from tests.build import Builder
from tests.readings.recorded import Taken


def results(home: Taken, side: str = "before") -> Results:
    return results_of(home.book().entries, side)  # type: ignore[arg-type]  # one of two words


def test_of_a_continuity_the_highest_stands_of_an_insulation_the_lowest() -> None:
    home = Taken()
    for at, typed in zip(home.sockets, ("0.28", "0.31", "0.30", "0.29"), strict=True):
        home.read("linked", typed, "L", "E", at=at, link="cross")
    for pair, typed in ((("L", "E"), ">200"), (("N", "E"), "150"), (("L", "N"), "180")):
        home.read("insulation", typed, *pair, test_v=500)
    found = results(home)
    assert found.r1_r2 is not None
    assert found.live_earth is not None
    assert found.live_live is not None
    assert (found.r1_r2.value_si, found.live_earth.value_si, found.live_live.value_si) == (0.31, 150e6, 180e6)
    assert found.zs is None
    assert not found.is_empty
    assert Results().is_empty


def test_a_reading_over_a_bound_is_higher_than_the_bound_itself() -> None:
    home = Taken()
    home.read("Zs", "99.9", at=home.sockets[0])
    home.read("Zs", ">99.9", at=home.sockets[1])
    home.read("Zs", "<99.9", at=home.sockets[2])
    entries = home.book().entries
    high, low = highest(e for e in entries if e.test == "Zs"), lowest(e for e in entries if e.test == "Zs")
    assert high is not None
    assert low is not None
    assert (high.reading.bound, low.reading.bound) == (">", "<")


def test_what_was_read_beats_what_could_not_be_and_a_reason_beats_nothing() -> None:
    home = Taken()
    home.read("insulation", "not possible: dimmer", "L", "N", test_v=500)
    only = results(home).live_live
    assert only is not None
    assert only.reading.not_possible == "dimmer"
    assert results(home).live_earth is None


def test_parts_and_sweeps_on_one_leg_are_no_result_of_the_circuit() -> None:
    home = Taken()
    home.read("linked", "0.95", "L", "E", at=home.sockets[3], link="one leg")
    home.read("insulation", "0.3", "L", "E", test_v=500, apart=(home.runs[1],))
    home.read("insulation", ">200", "L", "E", test_v=500)
    found = results(home)
    assert found.r1_r2 is None
    assert found.live_earth is not None
    assert found.live_earth.reading.bound == ">"


def test_each_side_of_the_work_has_its_own() -> None:
    home = Taken("before work")
    home.read("Zs", "1.10", at=home.sockets[0])
    home.come("2026-01-06", "after work")
    home.read("Zs", "0.71", at=home.sockets[0])
    before, after = results(home).zs, results(home, "after").zs
    assert before is not None
    assert after is not None
    assert (before.value_si, after.value_si) == (1.10, 0.71)


def test_trip_times_are_told_apart_by_their_current() -> None:
    home = Taken()
    rated = home.do(verbs.edit(home.home, home.ring, kind="RCBO", rcd=Rcd(trips_ma=30, type="A")))
    del rated
    for amperes, typed in ((0.03, "24"), (0.03, "28"), (0.15, "14"), (0.015, ">300")):
        home.read("RCD trip", typed, test_a=amperes, phase_deg=180.0 if typed == "28" else 0.0)
    device = next(d for d in rcds_over(home.view(), load()))
    found = results_of(home.book().entries, "before", device)
    assert found.trip is not None
    assert found.fast_trip is not None
    assert (found.trip.value_si, found.fast_trip.value_si) == (0.028, 0.014)


def one_way(kind: DeviceKind, curve: str, rating: float, earthing: Earthing, trips_ma: float | None = None) -> Home:
    b = Builder()
    board = b.board()
    b.do(verbs.set_supply(b.home, earthing=earthing))
    way = b.device(board, "1", kind, rating, curve=curve, rcd=Rcd(trips_ma=trips_ma) if trips_ma else None)
    b.run(way, b.point("socket"))
    return b.home


@pytest.mark.parametrize(
    ("kind", "curve", "rating", "ohm"),
    [("MCB", "B", 6.0, 7.28), ("MCB", "B", 32.0, 1.37), ("MCB", "C", 32.0, 0.68), ("fuse BS 3036", "", 30.0, 1.04)],
)
def test_the_greatest_zs_is_the_published_one(kind: DeviceKind, curve: str, rating: float, ohm: float) -> None:
    """BS 7671:2018 Tables 41.2 and 41.3, 0.4 s, from memory (the fuse as printed there)."""
    home = one_way(kind, curve, rating, "TN-S")
    (view,) = views(home, load(), Memo())
    permitted = permitted_zs(rules_of(home, load()), view, "TN-S")
    assert permitted is not None
    assert permitted.ohm == pytest.approx(ohm, abs=0.005)


@pytest.mark.parametrize(("trips_ma", "ohm"), [(30.0, 1667), (100.0, 500), (300.0, 167)])
def test_on_tt_it_is_fifty_volts_over_the_rcd(trips_ma: float, ohm: float) -> None:
    """BS 7671:2018 Table 41.5, from memory; worked by hand: 50 V / 0.03 A = 1667 Ω."""
    home = one_way("RCBO", "B", 32.0, "TT", trips_ma)
    (view,) = views(home, load(), Memo())
    permitted = permitted_zs(rules_of(home, load()), view, "TT")
    assert permitted is not None
    assert round(permitted.ohm) == ohm


def test_without_an_rcd_on_tt_or_a_row_in_the_tables_there_is_none() -> None:
    for home, earthing in ((one_way("MCB", "B", 32.0, "TT"), "TT"), (one_way("MCB", "", 32.0, "TN-S"), "TN-S")):
        (view,) = views(home, load(), Memo())
        assert permitted_zs(rules_of(home, load()), view, earthing) is None  # type: ignore[arg-type]  # one of the words
