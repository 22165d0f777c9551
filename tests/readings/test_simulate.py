"""Practice readings: without errors they are what is predicted, and with them they err as they were told to."""

from math import inf, isclose, sqrt
from statistics import mean, stdev

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from circuitmap.circuits import CircuitView
from circuitmap.memo import Memo
from circuitmap.readings.book import readings_of
from circuitmap.readings.network import ReadingError
from circuitmap.readings.predict import predict
from circuitmap.readings.sheet import Line
from circuitmap.readings.simulate import Practice, Simulated, as_readings, lines_to_simulate, simulate
from circuitmap.readings.told import SameLeg, Told, parse_fault
from circuitmap.trade import load
from circuitmap.words import LinkKind
from tests.readings.wired import Wired, reference, tangled

TRADE = load()
EXACT = Practice(noise=0, resolution_ohm=0, is_as_drawn=True)
NOTHING_AT_ALL = 1e-7


def told(view: CircuitView, *texts: str) -> list[Told]:
    return [parse_fault(text, view, TRADE) for text in texts]


def sweep(simulated: tuple[Simulated, ...], other: str, link: LinkKind = "cross") -> list[float]:
    """One sweep, the board first."""
    return [
        each.value_si
        for each in simulated
        if each.line.link == link and each.line.cores == ("L", other) and each.value_si is not None
    ]


HEALTHY_2 = [0.2223] * 6
HEALTHY_3 = [0.2757, 0.2851, 0.2908, 0.2926, 0.2908, 0.2851]


# Source: CHECKS.md section 2b, the reference network (derived there, equal to the published formulas of 2a where one
# exists): a 60 m ring of 2.5/1.5, six 10 m legs. The spur end of the table is the point that hangs on the spur here.
@pytest.mark.parametrize(
    ("text", "other", "expected"),
    [
        ("", "N", HEALTHY_2),
        ("", "E", HEALTHY_3),
        ("P3 on a spur of 4 m", "N", [0.2223, 0.2223, 0.2223, 0.2816, 0.2223, 0.2223]),
        ("P3 on a spur of 4 m", "E", [0.2757, 0.2851, 0.2908, 0.3707, 0.2908, 0.2851]),
        ("P1 on a spur of 4 m", "E", [0.2757, 0.3632, 0.2908, 0.2926, 0.2908, 0.2851]),
        ("links on the same leg", "N", [0, 0.1235, 0.1976, 0.2223, 0.1976, 0.1235]),
        ("links on the same leg", "E", [0, 0.1626, 0.2601, 0.2926, 0.2601, 0.1626]),
        ("open line between P2 and P3", "N", [0.4446] * 6),
        ("open cpc between P2 and P3", "E", [0.4446, 0.4915, 0.5384, 0.5853, 0.5384, 0.4915]),
        ("cut cable between P2 and P3", "N", [inf] * 6),
        ("cut cable between P2 and P3", "E", [inf] * 6),
        ("bridge of 5 m between P1 and P5", "N", [0.0906, 0.0906, 0.1894, 0.2223, 0.1894, 0.0906]),
        ("bridge of 5 m between P1 and P5", "E", [0.1123, 0.1190, 0.2492, 0.2926, 0.2492, 0.1190]),
    ],
)
def test_the_reference_network_reads_as_the_table_has_it(text: str, other: str, expected: list[float]) -> None:
    view = reference()[0].on_way
    found = sweep(simulate(view, TRADE, told(view, *filter(None, [text])), EXACT), other)
    assert found == pytest.approx(expected, abs=1e-4)


def test_a_bridge_makes_the_ends_too_low_and_a_cut_core_makes_its_own_open() -> None:
    """Source: CHECKS.md section 2b: 0.1811 and 0.2958 Ω end to end across a bridge of 5 m."""
    view = reference()[0].on_way
    ends = [each.value_si for each in simulate(view, TRADE, told(view, "bridge of 5 m between P1 and P5"), EXACT)][:3]
    assert ends == pytest.approx([0.1811, 0.1811, 0.2958], abs=1e-4)
    opened = [each.value_si for each in simulate(view, TRADE, told(view, "open neutral in R4"), EXACT)][:3]
    assert opened == pytest.approx([0.4446, inf, 0.7260], abs=1e-4)


@given(st.integers(0, 400), st.integers(2, 9), st.integers(0, 3))
@settings(max_examples=40, deadline=None)
def test_without_noise_it_is_what_is_predicted(seed: int, points: int, extra: int) -> None:
    view = tangled(seed, points, extra).on_way
    for each in simulate(view, TRADE, (), EXACT):
        line = each.line
        if line.test == "insulation" or line.pair is None:
            continue
        link: LinkKind | None = "end to end" if line.test == "ring end to end" else line.link
        at = line.at or view.device.id
        wanted = predict(view, TRADE, link, line.pair, points=[at])[at]
        assert (each.value_si is None) == (wanted.ohm is None), (line, wanted)
        if each.value_si is not None and wanted.ohm is not None:
            assert isclose(each.value_si, wanted.ohm, rel_tol=1e-9, abs_tol=NOTHING_AT_ALL)


@pytest.mark.parametrize(
    "text",
    ["open line between P2 and P3", "bad joint of 0.4 ohm on the line at P2 towards P3", "swapped line and cpc at P2",
     "bridge of 3 m between P1 and P4", "R3 1.8 times as long", "P4 on a spur of 6 m from P5"],
)  # fmt: skip
def test_a_fault_reads_without_noise_as_it_is_predicted(text: str) -> None:
    view = reference()[0].on_way
    faults = told(view, text)
    assert not isinstance(faults[0], SameLeg)
    found = simulate(view, TRADE, faults, EXACT, lines=lines_to_simulate(view, ["cross-E", "one-leg"]))
    for link in ("cross", "one leg"):
        wanted = predict(view, TRADE, link, ("L", "E"), faults=[faults[0]])
        assert sweep(found, "E", link) == pytest.approx([each.ohm for each in wanted.values()], rel=1e-9)


def test_low_insulation_is_read_between_its_two_cores_and_wherever_they_are_held_together() -> None:
    view = reference()[0].on_way
    faults = told(view, "low insulation of 0.3 megohm between line and cpc along R4")
    found = {each.line.cores: each for each in simulate(view, TRADE, faults, EXACT) if each.line.test == "insulation"}
    together = Line("L+N–E", "insulation", view.device.id, view.device.id, ("L+N", "E"), test_v=250)
    (joined,) = simulate(view, TRADE, faults, EXACT, lines=[together])
    assert joined.value_si == pytest.approx(300_000, rel=1e-5)
    assert found["L", "E"].value_si == pytest.approx(300_000, rel=1e-5)
    for cores in (("N", "E"), ("L", "N")):
        assert (found[cores].value_si, found[cores].typed) == (inf, "OL")


def test_two_leaks_are_read_in_parallel() -> None:
    """Source: arithmetic of parallel resistances; CHECKS.md section 8."""
    view = reference()[0].on_way
    words = "low insulation of {} megohm between line and cpc at {}"
    faults = told(view, words.format(3, "P1"), words.format(6, "P4"))
    found = {each.line.cores: each for each in simulate(view, TRADE, faults, EXACT) if each.line.test == "insulation"}
    assert found["L", "E"].value_si == pytest.approx(2e6, rel=1e-5)


def test_links_on_the_same_leg_spoil_no_other_test() -> None:
    view = reference()[0].on_way
    lines = lines_to_simulate(view, ["ends", "one-leg", "insulation"])
    assert simulate(view, TRADE, [SameLeg()], EXACT, lines=lines) == simulate(view, TRADE, [], EXACT, lines=lines)


def test_links_on_the_same_leg_may_be_made_in_one_test_only() -> None:
    view = reference()[0].on_way
    found = simulate(view, TRADE, told(view, "links on the same leg for line and cpc"), EXACT)
    assert sweep(found, "N") == pytest.approx(HEALTHY_2, abs=1e-4)
    assert sweep(found, "E") == pytest.approx([0, 0.1626, 0.2601, 0.2926, 0.2601, 0.1626], abs=1e-4)


def test_the_same_seed_gives_the_same_readings_and_another_one_others() -> None:
    view = reference()[0].on_way
    first, again = (simulate(view, TRADE, (), Practice(7)) for _ in range(2))
    assert first == again
    assert first != simulate(view, TRADE, (), Practice(8))


def test_the_meter_errs_by_its_noise_and_shows_hundredths() -> None:
    view = reference()[0].on_way
    exact = sweep(simulate(view, TRADE, (), EXACT), "E")
    errors: list[float] = []
    for seed in range(200):
        practice = Practice(seed, noise=0.05, is_as_drawn=True)
        found = simulate(view, TRADE, (), practice, lines=lines_to_simulate(view, ["cross-E"]))
        assert all(each.typed == f"{each.value_si:.2f}" for each in found)
        errors += [value / true - 1 for value, true in zip(sweep(found, "E"), exact, strict=True)]
    # The last digit of 0.01 Ω adds d/√12 of some 0.285 Ω.
    assert stdev(errors) == pytest.approx(sqrt(0.05**2 + (0.01 / 0.285) ** 2 / 12), rel=0.1)
    assert mean(errors) == pytest.approx(0, abs=0.005)


def test_plug_contact_adds_a_few_hundredths_at_sockets_and_nothing_at_the_board() -> None:
    view = reference()[0].on_way
    exact = sweep(simulate(view, TRADE, (), EXACT), "E")
    with_plug = Practice(noise=0, resolution_ohm=0, has_contact=True, is_as_drawn=True)
    plugged = sweep(simulate(view, TRADE, (), with_plug), "E")
    assert plugged[0] == pytest.approx(exact[0])
    added = [found - true for found, true in zip(plugged[1:], exact[1:], strict=True)]
    assert all(0.01 <= each <= 0.05 for each in added)
    assert max(added) - min(added) > 0.001


def test_only_a_socket_is_read_by_a_plug_and_the_record_says_so() -> None:
    wired = Wired()
    socket, unit = wired.point(), wired.point("fused unit")
    wired.length(wired.way_id, socket, 10)
    wired.length(socket, unit, 5)
    view = wired.on_way
    plugged = Practice(has_contact=True, noise=0, is_as_drawn=True)
    shown = simulate(view, TRADE, (), plugged, lines=lines_to_simulate(view, ["radial"]))
    assert {each.line.at: each.by_plug for each in shown} == {socket: True, unit: False}
    home = wired.home.apply(as_readings(wired.home, view, shown, plugged))
    entries = readings_of(home, view, Memo()).entries
    assert {entry.at: entry.reading.by_plug for entry in entries} == {socket: True, unit: False}


def test_true_lengths_stay_within_the_maps_tolerance_and_copper_within_its_make() -> None:
    view = reference()[0].on_way
    drawn = EXACT, Practice(noise=0, resolution_ohm=0)
    exact, *_ = (each.value_si or 0 for each in simulate(view, TRADE, (), drawn[0]))
    ratios = []
    for seed in range(100):
        practice = Practice(seed, noise=0, resolution_ohm=0)
        found = simulate(view, TRADE, (), practice, lines=lines_to_simulate(view, ["ends"]))
        ratios.append((found[0].value_si or 0) / exact)
        assert (found[0].value_si or 0) / (found[2].value_si or 1) == pytest.approx(7.41 / 12.10)
    assert 0.93 * 0.7 < min(ratios) < 0.93
    assert 1.0 < max(ratios) < 1.3  # six runs of ± 30 % don't all err the same way


def test_a_display_has_two_thousand_counts_and_ends_somewhere() -> None:
    wired = Wired()
    wired.length(wired.way_id, wired.point(), 10)
    view = wired.on_way
    lines = lines_to_simulate(view, ["radial"])
    shown = {}
    for ohm in ("3", "30", "300", "3000"):
        faults = told(view, f"bad joint of {ohm} ohm on the line at P1")
        practice = Practice(noise=0, is_as_drawn=True)
        shown[ohm] = simulate(view, TRADE, faults, practice, lines=lines)[0].typed
    assert shown == {"3": "3.20", "30": "30.2", "300": "300", "3000": "OL"}


def test_what_hangs_on_an_unknown_length_is_left_out_with_the_reason() -> None:
    wired = Wired()
    first, second = wired.point(), wired.point()
    wired.length(wired.way_id, first, 10)
    run = wired.length(first, second, None)
    found = simulate(wired.on_way, TRADE, (), EXACT, lines=lines_to_simulate(wired.on_way, ["radial"]))
    assert found[0].value_si == pytest.approx(0.1951)
    assert (found[1].value_si, found[1].typed) == (None, "")
    assert f"{run} has no length on the map" in found[1].why


def test_a_ring_with_one_leg_on_the_map_says_so_instead_of_reading() -> None:
    wired = Wired()
    wired.say(wired.way_id, wired.point())
    found = simulate(wired.on_way, TRADE, ())
    assert found
    assert all(each.value_si is None and each.why for each in found)


def test_a_test_that_the_circuit_has_not_is_refused() -> None:
    view = reference()[0].on_way
    with pytest.raises(
        ReadingError, match="A1 has no test called “radial” to simulate; it has: ends, cross-N, cross-E"
    ):
        lines_to_simulate(view, ["radial"])


def test_readings_put_into_a_home_stand_in_its_book_as_they_were_shown() -> None:
    wired, _ = reference()
    view = wired.on_way
    faults = told(view, "open line between P2 and P3", "low insulation of 0.3 megohm between N and E at P2")
    lines = lines_to_simulate(view, ["ends", "cross-N", "cross-E", "one-leg", "insulation"])
    shown = simulate(view, TRADE, faults, lines=lines)
    home = wired.home.apply(as_readings(wired.home, view, shown, day="2026-01-05"))
    book = readings_of(home, view, Memo())
    assert not book.problems
    assert len(book.entries) == len(shown)
    for entry, each in zip(book.entries, shown, strict=True):
        assert (entry.test, entry.at, entry.reading.cores) == (each.line.test, each.line.at, each.line.cores)
        assert entry.link == each.line.link
        if each.value_si == inf:
            assert entry.reading.bound == ">"
        else:
            assert entry.value_si == pytest.approx(each.value_si)
            assert entry.is_number
