"""Verbs of the meter: what is recorded stays, the later counts, and a meter is proved once a visit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.errors import HomeError, QuantityError
from circuitmap.home import Change, verbs
from circuitmap.home.records import Instrument, Link, Reading, decode, encode
from circuitmap.home.verbs_readings import place_of_reading, range_si
from circuitmap.quantities import Measured
from tests.build import Builder


class Bench(Builder):
    """A ring of four sockets on A1, a visit, a meter."""

    def __init__(self) -> None:
        super().__init__()
        self.way = self.device(self.board(), "1")
        self.points = [self.point() for _ in range(4)]
        self.runs = self.chain(self.way, *self.points, self.way)
        self.today = self.visit()
        self.meter = self.do(verbs.add_meter(self.home, "Old faithful", most_ohm=99.9, most_insulation_ohm=200e6))

    def read(self, test: str, measured: Measured | str, **facts: object) -> Reading:
        facts = {"device": self.way, "instrument": self.meter} | facts
        change = verbs.record_reading(self.home, self.today, test, measured, **facts)  # type: ignore[arg-type]
        made = self.do(change)
        return self.home.take(Reading, made)


@pytest.fixture
def bench() -> Bench:
    return Bench()


def test_what_was_typed_is_kept_beside_its_value(bench: Bench) -> None:
    found = bench.read("ring end to end", "550 mΩ", cores=("L",), copper_c=15)
    assert (found.value_si, found.bound, found.typed, found.cores) == (0.55, "=", "550 mΩ", ("L", "L"))
    assert (found.copper_c, found.instrument, found.visit, found.device) == (15.0, bench.meter, bench.today, bench.way)
    assert decode("reading", encode(found)) == found


def test_over_range_is_kept_as_a_bound_of_the_instrument(bench: Bench) -> None:
    over = bench.read("insulation", "OL", cores=("L+N", "E"), test_v=500)
    assert (over.value_si, over.bound, over.typed) == (200e6, ">", "OL")
    assert bench.read("ring end to end", "OL", cores=("E",)).value_si == 99.9
    with pytest.raises(QuantityError, match="how far the instrument reads"):
        bench.read("insulation", "OL", cores=("L+N", "E"), instrument=None)


def test_why_nothing_was_read_is_kept(bench: Bench) -> None:
    found = bench.read("insulation", "not possible: boiler connected", cores=("L", "N"))
    assert (found.value_si, found.not_possible) == (None, "boiler connected")


def test_words_and_remarks_are_kept(bench: Bench) -> None:
    found = bench.read("plug-in indicator", "L-N reversed (landing)", at=bench.points[0], remark="twice")
    assert (found.indicated, found.remark, found.value_si) == ("line and neutral reversed", "landing; twice", None)
    assert bench.read("linked", "-0.01", cores=("L", "N"), link=Link(kind="cross")).remark == "null drift, re-null"


def test_a_second_reading_at_the_same_place_is_kept_beside_the_first(bench: Bench) -> None:
    first = bench.read("linked", "0.31", at=bench.points[0], cores=("L", "N"), link=Link(kind="cross"))
    change = verbs.record_reading(bench.home, bench.today, "linked", "0.62", device=bench.way, at=bench.points[0],
                                  cores=("N", "L"), link=Link(kind="cross"), instrument=bench.meter)  # fmt: skip
    assert change.title == f"Linked A1 at P1: 0.62 Ω (beside {first.id}; the later counts)"
    bench.do(change)
    assert [each.value_si for each in bench.home.sorted(Reading)] == [0.31, 0.62]
    assert all(before is None for before, _ in change.pairs)


def test_readings_at_other_places_are_no_second_ones(bench: Bench) -> None:
    first = bench.read("linked", "0.31", at=bench.points[0], cores=("L", "N"), link=Link(kind="cross"))
    for facts in (
        {"at": bench.points[1], "cores": ("L", "N"), "link": Link(kind="cross")},
        {"at": bench.points[0], "cores": ("L", "E"), "link": Link(kind="cross")},
        {"at": bench.points[0], "cores": ("L", "N"), "link": Link(kind="one leg", legs=(bench.runs[0],))},
        {"at": bench.points[0], "cores": ("L", "N"), "link": Link(kind="cross"), "apart": (bench.points[2],)},
    ):
        assert place_of_reading(bench.read("linked", "0.4", **facts)) != place_of_reading(first)


def test_which_leg_is_called_the_first_matters_only_with_links_on_one_leg(bench: Bench) -> None:
    one, two = bench.runs[0], bench.runs[-1]
    both = [Reading(id=f"Q{n}", visit="V1", test="linked", link=Link(kind="cross", cores=cores, legs=legs))
            for n, (cores, legs) in enumerate([(("L", "N"), (one, two)), (("N", "L"), (two, one))], 1)]  # fmt: skip
    assert place_of_reading(both[0]) == place_of_reading(both[1])
    legs = [Reading(id="Q1", visit="V1", test="linked", link=Link(kind="one leg", legs=each))
            for each in ((one,), (one, two), (two, one))]  # fmt: skip
    assert place_of_reading(legs[0]) == place_of_reading(legs[1]) != place_of_reading(legs[2])


@pytest.mark.parametrize(
    ("test", "facts", "says"),
    [
        ("linked", {"cores": ("L", "N")}, "how the conductors were linked"),
        ("ring end to end", {}, "which, L, N or E"),
        ("ring end to end", {"cores": ("L", "N")}, "end to end on one conductor"),
        ("insulation", {"cores": ("L+N", "N")}, "different conductors"),
        ("insulation", {"cores": ("L",)}, "between two conductors"),
        ("continuity", {"cores": ("L", "N", "E")}, "between two conductors"),
        ("continuity", {"cores": ("X", "L")}, "is no conductor"),
        ("continuity", {"cores": ("L+L", "E")}, "is no conductor"),
        ("continuity", {"copper_c": 500}, "degrees Celsius"),
        ("continuity", {"instrument": "I9"}, "no instrument I9"),
        ("continuity", {"at": "P9"}, "names P9, which is not in this home"),
    ],
)
def test_what_fits_no_test_is_refused_with_a_sentence(bench: Bench, test: str, facts: dict, says: str) -> None:
    with pytest.raises(HomeError, match=says) as caught:
        bench.read(test, "1", **facts)
    assert str(caught.value).endswith(".")


def test_a_visit_that_is_not_there_is_refused(bench: Bench) -> None:
    with pytest.raises(HomeError, match="no visit V9"):
        verbs.record_reading(bench.home, "V9", "continuity", "1")


# -- the meter ----------------------------------------------------------------------------------------------------


def test_a_meter_is_proved_by_its_leads_shorted_on_the_same_visit(bench: Bench) -> None:
    assert "short the leads" in verbs.why_unproved(bench.home, bench.today, bench.meter)
    bench.do(verbs.prove_meter(bench.home, bench.today, bench.meter, "0.02"))
    assert verbs.is_meter_proved(bench.home, bench.today, bench.meter)
    tomorrow = bench.visit("2026-01-06")
    assert not verbs.is_meter_proved(bench.home, tomorrow, bench.meter)


@pytest.mark.parametrize(("shown", "proved"), [("0", True), ("0.05", True), ("-0.05", True), ("0.06", False)])
def test_near_zero_is_within_null_drift(bench: Bench, shown: str, proved: bool) -> None:
    bench.do(verbs.null_leads(bench.home, bench.meter))
    bench.do(verbs.prove_meter(bench.home, bench.today, bench.meter, shown))
    assert verbs.is_meter_proved(bench.home, bench.today, bench.meter) is proved


def test_leads_that_were_not_nulled_are_asked_for_and_then_expected(bench: Bench) -> None:
    bench.do(verbs.prove_meter(bench.home, bench.today, bench.meter, "0.18"))
    assert "null them, or say that so much is to be subtracted" in verbs.why_unproved(
        bench.home, bench.today, bench.meter
    )
    bench.do(verbs.subtract_leads(bench.home, bench.meter, 0.18))
    assert verbs.is_meter_proved(bench.home, bench.today, bench.meter)
    bench.do(verbs.prove_meter(bench.home, bench.today, bench.meter, "0.90"))
    assert "where 0.18 Ω was expected" in verbs.why_unproved(bench.home, bench.today, bench.meter)


def test_the_last_lead_check_counts_and_a_broken_lead_proves_nothing(bench: Bench) -> None:
    bench.do(verbs.prove_meter(bench.home, bench.today, bench.meter, "0"))
    bench.do(verbs.prove_meter(bench.home, bench.today, bench.meter, "OL"))
    assert "look at leads and fuse" in verbs.why_unproved(bench.home, bench.today, bench.meter)
    bench.do(verbs.prove_meter(bench.home, bench.today, bench.meter, "not possible: no clip"))
    assert not verbs.is_meter_proved(bench.home, bench.today, bench.meter)
    bench.do(verbs.prove_meter(bench.home, bench.today, bench.meter, "0.01"))
    assert verbs.is_meter_proved(bench.home, bench.today, bench.meter)
    assert len(bench.home.table(Reading)) == 4


def test_a_reading_keeps_what_the_leads_added_when_it_was_taken(bench: Bench) -> None:
    bench.do(verbs.subtract_leads(bench.home, bench.meter, 0.12))
    before = bench.read("ring end to end", "0.55", cores=("L",))
    insulation = bench.read("insulation", "150", cores=("L", "N"))
    bench.do(verbs.null_leads(bench.home, bench.meter))
    after = bench.read("ring end to end", "0.43", cores=("N",))
    assert (before.value_si, before.leads_ohm, after.leads_ohm, insulation.leads_ohm) == (0.55, 0.12, 0.0, None)
    assert bench.home.take(Reading, before.id).leads_ohm == 0.12


def test_what_a_meter_can_do_is_set_and_checked(bench: Bench) -> None:
    bench.do(verbs.set_meter(bench.home, bench.meter, accuracy_fraction=0.02, resolution_ohm=0.01, most_trip_s=0.3))
    meter = bench.home.take(Instrument, bench.meter)
    assert (meter.accuracy_fraction, meter.resolution_ohm, meter.most_ohm) == (0.02, 0.01, 99.9)
    assert bench.read("RCD trip", "no trip", test_a=0.015).value_si == 0.3
    with pytest.raises(HomeError, match="no colour to set"):
        verbs.set_meter(bench.home, bench.meter, colour=1)
    with pytest.raises(HomeError, match="no colour to set"):
        verbs.add_meter(bench.home, colour=1)
    with pytest.raises(HomeError, match="look at leads and fuse"):
        verbs.subtract_leads(bench.home, bench.meter, 7.0)
    with pytest.raises(HomeError, match="can't be kept"):
        bench.do(verbs.set_meter(bench.home, bench.meter, resolution_ohm=-1.0))


def test_each_test_has_its_own_range() -> None:
    meter = Instrument(id="I1", most_ohm=1.0, most_insulation_ohm=2.0, most_loop_ohm=3.0, most_trip_s=4.0)
    assert [range_si(meter, test) for test in ("linked", "insulation", "Zs", "RCD trip", "PFC")] == [1, 2, 3, 4, None]
    assert range_si(None, "linked") is None


def test_the_copper_can_be_told_afterwards(bench: Bench) -> None:
    reading = bench.read("ring end to end", "0.55", cores=("L",))
    bench.do(verbs.set_copper_temperature(bench.home, (reading.id,), 12))
    assert bench.home.take(Reading, reading.id).copper_c == 12.0
    bench.do(verbs.set_copper_temperature(bench.home, (reading.id,), None))
    assert bench.home.take(Reading, reading.id).copper_c is None
    with pytest.raises(HomeError, match="no reading Q9"):
        verbs.set_copper_temperature(bench.home, ("Q9",), 20)


def test_a_reading_stays_when_its_point_goes(bench: Bench) -> None:
    reading = bench.read("linked", "0.31", at=bench.points[0], cores=("L", "N"),
                         link=Link(kind="cross", legs=(bench.runs[0], bench.runs[-1])))  # fmt: skip
    bench.do(verbs.remove(bench.home, bench.points[0]))
    left = bench.home.take(Reading, reading.id)
    assert (left.value_si, left.at, left.device) == (0.31, None, bench.way)


@given(st.lists(st.integers(0, 300), min_size=1, max_size=6))
def test_recording_only_ever_adds_and_undoes_exactly(hundredths: list[int]) -> None:
    bench = Bench()
    states, changes = [bench.home], list[Change]()
    for value in hundredths:
        changes.append(verbs.record_reading(bench.home, bench.today, "ring end to end", f"{value / 100:.2f}",
                                            device=bench.way, cores=("L",)))  # fmt: skip
        bench.do(changes[-1])
        states.append(bench.home)
    assert [each.value_si for each in bench.home.sorted(Reading)] == [value / 100 for value in hundredths]
    for change, state in zip(reversed(changes), reversed(states[:-1]), strict=True):
        bench.do(change.inverse())
        assert bench.home == state
