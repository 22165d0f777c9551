"""What a circuit should read: values, how sure they are, and what is said where nothing can be told."""

import random
import subprocess
import sys
from math import inf, isclose, sqrt

import numpy as np
import pytest

from circuitmap.circuits import views
from circuitmap.home import verbs
from circuitmap.home.records import End, Instrument, Link, RunFault
from circuitmap.memo import Memo
from circuitmap.readings.conductors import MAKE_SPREAD
from circuitmap.readings.faults import Joint, OpenCore, Stretched, with_faults
from circuitmap.readings.links import Pair
from circuitmap.readings.predict import Meter, Predicted, expect, meter_of, predict
from circuitmap.trade import load
from tests.bench.blocks import block
from tests.readings.wired import Wired, reference

PRINTED = 6e-5  # four decimals
LN: Pair = ("L", "N")
LE: Pair = ("L", "E")
EXACT_METER = Meter(0, 0, 0)


def ohms(found: dict[str, Predicted], *places: str) -> list[float | None]:
    return [found[place].ohm for place in places]


def test_every_point_of_the_reference_ring_and_its_board() -> None:
    wired, sockets = reference()
    spur = wired.spur(sockets[2], 4)
    found = predict(wired.on_way, load(), "cross", LE)
    assert set(found) == {wired.way_id, *sockets, spur}
    printed = [0.2757, 0.2851, 0.2908, 0.2926, 0.2908, 0.2851, 0.3707]
    assert ohms(found, wired.way_id, *sockets, spur) == pytest.approx(printed, abs=PRINTED)
    assert all(each.why.startswith("From the lengths on the map") for each in found.values())


def test_end_to_end_is_read_at_the_board_only() -> None:
    wired, sockets = reference()
    found = predict(wired.on_way, load(), "end to end", ("E", "E"))
    assert found[wired.way_id].ohm == pytest.approx(0.726)
    assert found[sockets[0]].ohm is None
    assert "at the board only" in found[sockets[0]].why


def test_a_link_on_record_says_how_it_was_linked() -> None:
    wired, sockets = reference()
    found = predict(wired.on_way, load(), Link(kind="one leg", cores=LN, legs=("R6", "R1")), LN)
    assert found[sockets[4]].ohm == pytest.approx(2 * 0.0741)


def test_open_cores_recorded_on_the_map_are_reckoned_with_unless_a_healthy_circuit_is_asked_for() -> None:
    wired, sockets = reference()
    wired.do(verbs.edit(wired.home, "R3", "", faults=(RunFault(kind="open", cores=("E",)),)))
    view = wired.on_way
    assert ohms(predict(view, load(), "cross", LE), *sockets) == pytest.approx(
        [0.4915, 0.5384, 0.5853, 0.5384, 0.4915], abs=PRINTED
    )
    assert predict(view, load(), "cross", LE, faults=())[sockets[2]].ohm == pytest.approx(0.2926, abs=PRINTED)
    assert predict(view, load(), "cross", LN)[sockets[2]].ohm == pytest.approx(0.2223, abs=PRINTED)
    assert predict(view, load(), "end to end", ("E", "E"))[wired.way_id].is_open


def test_readings_after_a_fault_are_those_of_the_faulty_circuit() -> None:
    wired, sockets = reference()
    view = wired.on_way
    healthy = expect(view, load(), "cross", LE)
    for faults in ((OpenCore("R3", ("E",)),), (Joint(sockets[0], "R2", "L", 0.3), Stretched("R5", 2.0))):
        after = healthy.after(*faults).readings()
        afresh = predict(view, load(), "cross", LE, faults=faults)
        assert set(after) == set(afresh)
        for place, each in after.items():
            assert each.ohm == pytest.approx(afresh[place].ohm, rel=1e-9)
            assert each.sd_ohm == pytest.approx(afresh[place].sd_ohm, rel=1e-6)
    assert healthy.after() is healthy


# how sure ----------------------------------------------------------------------------------------------------------


def test_one_uncertain_run_makes_its_share_of_the_spread() -> None:
    # A radial of one run: R = (r1 + r2) l, so sd R = R · 0.3/√3 for a length within ±30 %.
    wired = Wired(rating_a=20)
    end = wired.point()
    wired.length(wired.way_id, end, 20)
    each = predict(wired.on_way, load(), "radial", LE, meter=EXACT_METER)[end]
    assert each.ohm == pytest.approx(20 * 0.01951)
    assert each.sd_ohm == pytest.approx(each.ohm * sqrt(0.3**2 / 3 + MAKE_SPREAD**2))
    assert "the length of R1 leaves it least sure" in each.why


def test_the_meter_adds_its_accuracy_its_last_digit_and_its_contacts() -> None:
    wired = Wired(rating_a=20)
    end = wired.point()
    wired.length(wired.way_id, end, 20)
    bare, read = (
        predict(wired.on_way, load(), "radial", LE, meter=meter)[end] for meter in (EXACT_METER, Meter(0.02, 0.1, 0.03))
    )
    assert bare.ohm is not None
    added = (0.02 * bare.ohm) ** 2 + 0.1**2 / 12 + 0.03**2
    assert read.sd_ohm**2 - bare.sd_ohm**2 == pytest.approx(added)


def test_an_instrument_on_record_brings_its_own_figures() -> None:
    assert meter_of(Instrument(id="I1")) == Meter()
    assert meter_of(Instrument(id="I1", accuracy_fraction=0.03, resolution_ohm=0.001)) == Meter(0.03, 0.001)


@pytest.mark.parametrize(("kind", "cores"), [("cross", LN), ("cross", LE), ("one leg", LE)])
def test_spread_and_correlation_are_those_of_lengths_drawn_at_random(kind: str, cores: Pair) -> None:
    wired, sockets = reference()
    wired.spur(sockets[1], 6)
    for run, tolerance in (("R2", 0.02), ("R4", 0.1), ("R5", 0.0)):
        wired.do(verbs.edit(wired.home, run, "", length_tolerance=tolerance))
    healthy = expect(wired.on_way, load(), kind, cores, meter=EXACT_METER)  # type: ignore[arg-type]
    spread = {edge.run: edge.spread for edge in healthy.linked.network.edges if edge.run}
    pick = random.Random(1)
    drawn = []
    for _ in range(3000):
        small = 0.2  # a fifth of each spread: the formula is of the first order
        faults = [Stretched(run, 1 + small * sd * sqrt(3) * pick.uniform(-1, 1)) for run, sd in spread.items()]
        network = with_faults(healthy.linked.network, faults)
        pairs = list(zip(healthy.sweep.a.tolist(), healthy.sweep.b.tolist(), strict=True))
        drawn.append((network.sweep(pairs).ohm - healthy.ohm) / small)
    by_lengths = healthy.by_length.T @ healthy.by_length
    assert np.cov(np.array(drawn).T) == pytest.approx(by_lengths, rel=0.1, abs=1e-5)
    in_all = by_lengths + MAKE_SPREAD**2 * np.outer(healthy.ohm, healthy.ohm)
    assert healthy.covariance() == pytest.approx(in_all)
    assert healthy.sd_ohm**2 == pytest.approx(np.diag(in_all))


def test_a_measured_map_is_surer_than_an_estimated_one() -> None:
    wired, sockets = reference()
    before = predict(wired.on_way, load(), "cross", LE)[sockets[2]].sd_ohm
    for n in range(1, 7):
        wired.do(verbs.edit(wired.home, f"R{n}", "", length_from="measured"))
    assert predict(wired.on_way, load(), "cross", LE)[sockets[2]].sd_ohm < before


# what can't be told ------------------------------------------------------------------------------------------------


def test_a_map_with_no_lengths_predicts_nothing_and_says_so() -> None:
    wired = Wired()
    sockets = [wired.point() for _ in range(3)]
    for a, b in zip([wired.way_id, *sockets], [*sockets, wired.way_id], strict=True):
        wired.length(a, b, None)
    found = predict(wired.on_way, load(), "cross", LN)
    assert ohms(found, wired.way_id, *sockets) == [None] * 4
    says = "Can't be told: R1 has no length on the map; R2 has no length on the map; R3 has no length on the map; and 1"
    assert found[sockets[0]].why == says + " run more."


def test_only_what_hangs_on_an_unknown_length_is_unknown() -> None:
    wired, sockets = reference()
    end = wired.point()
    wired.length(sockets[2], end, None)
    found = predict(wired.on_way, load(), "cross", LE)
    assert found[end] == Predicted(None, 0.0, "Can't be told: R7 has no length on the map.")
    assert ohms(found, *sockets) == pytest.approx([0.2851, 0.2908, 0.2926, 0.2908, 0.2851], abs=PRINTED)


def test_an_unknown_length_does_not_make_an_open_circuit_doubtful() -> None:
    wired, sockets = reference()
    wired.length(sockets[2], wired.point(), None)
    found = predict(wired.on_way, load(), "cross", LN, faults=[OpenCore("R3", ("L", "N", "E"))])
    assert found[sockets[0]].is_open


def test_places_give_the_lengths_that_nobody_recorded() -> None:
    wired = Wired(rating_a=20)
    ground = wired.storey()
    a, b = wired.point(at=(ground, 0, 0)), wired.point(at=(ground, 3000, 1000))
    wired.length(wired.way_id, a, 5)
    wired.length(a, b, None)
    view = wired.on_way
    assert predict(view, load(), "radial", LE)[b].ohm is None
    reckoned = predict(view, load(), "radial", LE, home=wired.home, meter=EXACT_METER)[b]
    assert reckoned.ohm == pytest.approx((5 + 3 + 1 + 4) * 0.01951)
    assert "the length of R2 leaves it least sure" in reckoned.why
    by_lengths = sqrt((8 * 0.5) ** 2 + (5 * 0.3) ** 2) / sqrt(3) * 0.01951
    assert reckoned.sd_ohm == pytest.approx(sqrt(by_lengths**2 + (MAKE_SPREAD * 13 * 0.01951) ** 2))


def test_a_radial_is_not_tested_as_a_ring() -> None:
    wired = Wired(rating_a=20)
    end = wired.point()
    wired.length(wired.way_id, end, 20)
    found = predict(wired.on_way, load(), "cross", LE)
    assert ohms(found, wired.way_id, end) == [None, None]
    assert found[end].why == (
        "A1 has one cable at the board on the map, and a ring's test takes two: test it as a radial, or draw the other"
        " leg."
    )


def test_two_radials_on_one_way_read_open_as_a_ring_only_when_all_is_traced() -> None:
    wired = Wired(cable="T&E 4/1.5")
    a, b = wired.point(cables=1), wired.point(cables=1)
    wired.length(wired.way_id, a, 8)
    wired.length(wired.way_id, b, 9)
    wired.do(verbs.count_cables(wired.home, wired.way_id, 2))
    found = predict(wired.on_way, load(), "cross", LE)
    assert wired.on_way.missing == ()
    assert found[a].is_open
    assert found[a].why == "Open circuit: nothing joins its line and cpc on the map."
    wired.do(verbs.count_cables(wired.home, b, 2))
    found = predict(wired.on_way, load(), "cross", LE)
    assert found[a].ohm is None
    assert found[a].why == "Can't be told: the two legs of A1 don't meet on the map, and not all of it has been traced."


def test_legs_open_read_open_circuit() -> None:
    wired, sockets = reference()
    each = predict(wired.on_way, load(), None, LN)[sockets[0]]
    assert each == Predicted(inf, 0.0, "Open circuit: with the legs open nothing joins line and neutral.")


def test_a_spur_from_the_origin_is_not_in_the_ring_s_test() -> None:
    wired, _ = reference()
    alone = wired.point()
    wired.length(End(at=wired.way_id, leg=3), alone, 6)
    each = predict(wired.on_way, load(), "cross", LN)[alone]
    assert each.is_open
    assert "R7, a cable at the board that isn't linked here" in each.why


def test_points_off_the_circuit_or_without_a_run_are_none_with_a_sentence() -> None:
    wired, sockets = reference()
    stranger, said = wired.point(), wired.point()
    wired.say(wired.way_id, said)
    found = predict(wired.on_way, load(), "cross", LN, points=[stranger, said, sockets[0], "P999"])
    assert found[stranger].why == f"{stranger} isn't on A1, so what it should read can't be said."
    assert found["P999"].why == "P999 isn't on A1, so what it should read can't be said."
    assert found[said].why == f"No run drawn from A1 leads to {said}, so what it should read can't be said."
    assert found[sockets[0]].ohm == pytest.approx(0.2223)
    assert [found[i].ohm for i in (stranger, said, "P999")] == [None] * 3


def test_a_way_without_runs_predicts_nothing() -> None:
    wired = Wired()
    said = wired.point()
    wired.say(wired.way_id, said)
    found = predict(wired.on_way, load(), "radial", LE)
    assert found[said] == Predicted(None, 0.0, "No run is drawn from A1: what it should read can't be said.")


def test_a_cable_without_cpc_reads_open_to_it() -> None:
    wired = Wired("T 1.5 no cpc", 6)
    lamp = wired.point("light")
    wired.length(wired.way_id, lamp, 8)
    assert predict(wired.on_way, load(), "radial", LE)[lamp].is_open
    assert predict(wired.on_way, load(), "radial", LN)[lamp].ohm == pytest.approx(2 * 8 * 0.0121)


def test_a_thousand_points() -> None:
    trade = load()
    (view,) = views(block(1, 1000), trade, Memo())
    found = predict(view, trade, "cross", LN)
    ring = [each for each in found.values() if each.ohm is not None]
    assert len(ring) == 1001
    # 999 sockets and 1 000 legs of 4 m: r/2 at every point of the ring, and 4 m more at the end of the spur.
    half = 1000 * 4 * 0.00741 / 2
    assert isclose(found["P500"].ohm or 0, half, rel_tol=1e-9)
    assert isclose(found["P1000"].ohm or 0, half + 8 * 0.00741, rel_tol=1e-9)


def test_nothing_heavy_is_loaded_before_something_is_solved() -> None:
    says = "import sys, circuitmap.readings.predict; print(sorted({'scipy', 'networkx', 'pint'} & set(sys.modules)))"
    found = subprocess.run([sys.executable, "-c", says], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"
