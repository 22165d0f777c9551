"""Before beside after: paired by place, a difference told only where the meters can tell one."""

from circuitmap.readings.book import Pair
from tests.readings.recorded import Taken


def pairs(home: Taken) -> tuple[Pair, ...]:
    return home.book().pairs


def test_every_place_stands_once_with_both_its_readings() -> None:
    home = Taken("before work")
    for core, typed in (("L", "0.55"), ("N", "0.56")):
        home.read("ring end to end", typed, core)
    home.read("linked", "0.28", "L", "N", at=home.sockets[0], link="cross")
    home.come("2026-01-06", "after work")
    for core, typed in (("L", "0.57"), ("N", ">99.9"), ("E", "0.91")):
        home.read("ring end to end", typed, core)
    assert [(pair.paired_as, pair.words) for pair in pairs(home)] == [
        ("same", "No change: before 0.55 Ω, after 0.57 Ω."),
        ("higher", "Higher: before 0.56 Ω, after >99.9 Ω."),
        ("only before", "Only before the work: 0.28 Ω."),
        ("only after", "Only after the work: 0.91 Ω."),
    ]


def test_a_fault_that_was_there_first_shows_no_change() -> None:
    home = Taken("before work")
    home.read("insulation", "0.3", "L+N", "E", test_v=500)
    home.read("plug-in indicator", "no earth", at=home.sockets[0])
    home.come("2026-01-06", "after work")
    home.read("insulation", "0.4", "L+N", "E", test_v=500)
    home.read("plug-in indicator", "earth missing", at=home.sockets[0])
    assert [pair.paired_as for pair in pairs(home)] == ["same", "same"]


def test_a_live_test_that_moved_within_its_own_spread_is_not_called_unchanged() -> None:
    home = Taken("before work")
    home.read("Zs", "1.10", at=home.sockets[0])
    home.come("2026-01-06", "after work")
    home.read("Zs", "0.71", at=home.sockets[0])
    (pair,) = pairs(home)
    assert (pair.paired_as, pair.words) == ("same", "No more than this test varies: before 1.10 Ω, after 0.71 Ω.")


def test_another_test_voltage_is_paired_and_said() -> None:
    home = Taken("before work")
    home.read("insulation", "150", "L+N", "E", test_v=250, apart=(home.sockets[0],))
    home.come("2026-01-06", "after work")
    home.read("insulation", "20", "L+N", "E", test_v=500)
    (pair,) = pairs(home)
    assert pair.paired_as == "lower"
    assert pair.words == (
        "Lower: before 150 MΩ, after 20 MΩ, read at 250 V before and 500 V after and with other things disconnected."
    )


def test_what_can_not_be_compared_is_not_called_the_same() -> None:
    home = Taken("before work")
    home.read("insulation", "not possible: boiler connected", "L+N", "E")
    home.read("polarity", "correct", at=home.sockets[0])
    home.come("2026-01-06", "after work")
    home.read("insulation", "150", "L+N", "E")
    home.read("polarity", "reversed", at=home.sockets[0])
    first, second = pairs(home)
    assert (first.paired_as, second.paired_as) == ("can't be compared", "changed")
    assert first.words == "Can't be compared: before not possible: boiler connected, after 150 MΩ."


def test_warm_copper_is_no_change() -> None:
    home = Taken("before work")
    home.read("continuity", "2.00", "E", at=home.sockets[2])
    home.come("2026-07-06", "after work")
    home.read("continuity", "2.25", "E", at=home.sockets[2])
    assert [pair.paired_as for pair in pairs(home)] == ["same"]
