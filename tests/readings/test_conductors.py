"""A core's resistance against the published tables, and what is said where the map doesn't know enough."""

from math import inf, isclose, sqrt

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import End, Place, Run
from circuitmap.readings.conductors import TOLERANCES, Wiring, length_of, temperature_factor
from circuitmap.trade import load
from circuitmap.words import LengthFrom
from tests.build import Builder


def run(cable: str = "T&E 2.5/1.5", length_mm: int | None = 10_000, **facts: object) -> Run:
    return Run(id="R1", a=End(at="P1"), b=End(at="P2"), cable=cable, length_mm=length_mm, **facts)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("cable", "length_mm", "line", "cpc", "two"),
    [
        # Published 50 m totals of R1+R2, two decimals: a guide to the Wiring Regulations, 17th ed., Table 4.3.
        ("T&E 1.5/1.0", 50_000, 0.605, 0.905, 1.51),
        ("T&E 2.5/1.5", 50_000, 0.3705, 0.605, 0.98),
        ("T&E 4/1.5", 50_000, 0.2305, 0.605, 0.84),
        ("T&E 6/2.5", 50_000, 0.154, 0.3705, 0.52),
        ("T&E 10/4", 50_000, 0.0915, 0.2305, 0.32),
        # A textbook exercise, 22 m: 0.163 and (by table) 0.266 ohm.
        ("T&E 2.5/1.5", 22_000, 0.163, 0.266, 0.43),
    ],
)
def test_line_and_cpc_agree_with_the_published_totals(
    cable: str, length_mm: int, line: float, cpc: float, two: float
) -> None:
    found = Wiring(load()).of(run(cable, length_mm))
    assert found.line_ohm is not None
    assert found.cpc_ohm is not None
    assert found.line_ohm == found.neutral_ohm == found.ohm("N")
    assert isclose(found.line_ohm, line, abs_tol=5e-4)
    assert isclose(found.cpc_ohm, cpc, abs_tol=5e-4)
    assert abs(found.line_ohm + found.cpc_ohm - two) <= 0.0051  # books round 0.9755 up, 0.8355 to 0.84
    assert found.why == ""


# From memory: On-Site Guide Table I2.
@pytest.mark.parametrize(("copper_c", "factor"), [(5, 0.94), (10, 0.96), (15, 0.98), (20, 1.0), (25, 1.02), (70, 1.2)])
def test_temperature_goes_by_the_trade_rule(copper_c: float, factor: float) -> None:
    assert isclose(temperature_factor(load(), copper_c), factor)
    warm, cool = Wiring(load(), copper_c).of(run()), Wiring(load()).of(run())
    assert warm.line_ohm is not None
    assert cool.line_ohm is not None
    assert isclose(warm.line_ohm, cool.line_ohm * factor)


def test_sizes_seen_on_a_run_win_over_its_cable() -> None:
    found = Wiring(load()).of(run(live_mm2=4.0, cpc_mm2=2.5))
    assert found.line_ohm == pytest.approx(0.0461)
    assert found.cpc_ohm == pytest.approx(0.0741)


def test_a_flex_and_aluminium_go_by_their_own_columns() -> None:
    flex, metal = Wiring(load()).of(run("flex 2.5")), Wiring(load()).of(run("aluminium 4"))
    assert flex.line_ohm == pytest.approx(0.0798)  # IEC 60228 class 5
    assert metal.line_ohm is not None
    assert metal.line_ohm > 1.5 * 0.0461


def test_a_cable_without_cpc_has_an_open_one_and_a_lead_sheath_an_unknown_one() -> None:
    assert Wiring(load()).of(run("T 1.5 no cpc")).cpc_ohm == inf
    assert Wiring(load()).of(run(cpc_mm2=0.0)).cpc_ohm == inf
    lead = Wiring(load()).of(run("lead-sheathed 7/.029"))
    assert lead.cpc_ohm is None
    assert lead.line_ohm is not None
    assert "cpc" in lead.why


def test_nothing_is_guessed_where_nothing_is_known() -> None:
    bare = Wiring(load()).of(run("", None))
    assert (bare.line_ohm, bare.neutral_ohm, bare.cpc_ohm) == (None, None, None)
    assert bare.why == "R1 has no length on the map"
    unsized = Wiring(load()).of(run(""))
    assert unsized.line_ohm is None
    assert unsized.why == "R1 has no cable and size on the map that the tables know"
    assert Wiring(load()).of(run("", live_mm2=3.3)).line_ohm is None
    assert Wiring(load()).of(run("T 1.5 no cpc", None)).cpc_ohm == inf  # however long it is


def test_the_spread_is_that_of_the_length() -> None:
    wiring = Wiring(load())
    origins: tuple[LengthFrom, ...] = ("measured", "estimated", "path", "reading", "")
    for origin in origins:
        assert wiring.of(run(length_from=origin)).spread == pytest.approx(TOLERANCES[origin] / sqrt(3))
    assert wiring.of(run(length_from="measured", length_tolerance=0.1)).spread == pytest.approx(0.1 / sqrt(3))
    assert wiring.of(run(length_tolerance=0.0)).spread == 0


class Drawn:
    """Two sockets 3 m and 4 m apart across, on one storey or on two."""

    def __init__(self, **second: object) -> None:
        b = self.build = Builder()
        self.ground, self.first = b.storey("Ground"), b.storey("First", 1)
        self.a = b.point(at=(self.ground, 0, 0))
        self.b = b.point(at=(self.first if second.get("up") else self.ground, 3000, 4000))
        self.run = b.run(self.a, self.b)

    def set(self, record: str, **facts: object) -> None:
        self.build.do(verbs.edit(self.build.home, record, "", **facts))

    def length_m(self) -> tuple[float, str] | None:
        home = self.build.home
        found = length_of(home.table(Run)[self.run], home)
        return (found.length_m, found.by) if found is not None else None


def test_a_recorded_length_comes_before_a_path_and_a_path_before_places() -> None:
    home = Drawn()
    assert home.length_m() == (11.0, "places")  # 3 m + 4 m and 2 m at either end
    path = ((home.ground, 0, 0, 300), (home.ground, 0, 0, 2400), (home.ground, 3000, 4000, 2400))
    home.set(home.run, path_mm=path)
    assert home.length_m() == (pytest.approx(7.1), "path")
    home.set(home.run, path_mm=path[1:])
    assert home.length_m() == (pytest.approx(9.0), "path")  # drawn flat: 5 m and the rises
    home.set(home.run, length_mm=6500, length_from="measured")
    assert home.length_m() == (6.5, "measured")


def test_between_storeys_a_length_needs_their_floors() -> None:
    home = Drawn(up=True)
    assert home.length_m() is None
    home.set(home.first, floor_mm=2600)
    assert home.length_m() == (pytest.approx(13.6), "places")
    home.set(home.run, path_mm=((home.ground, 0, 0, 2400), (home.first, 0, 0, 400), (home.first, 3000, 4000, 400)))
    assert home.length_m() == (pytest.approx(5.6), "path")


def test_an_end_that_nobody_followed_or_placed_gives_no_length() -> None:
    home = Drawn()
    lost = home.build.run(home.a, End(state="unknown"))
    nowhere = home.build.run(home.a, home.build.point())
    runs = home.build.home.table(Run)
    assert length_of(runs[lost], home.build.home) is None
    assert length_of(runs[nowhere], home.build.home) is None
    assert length_of(runs[home.run]) is None  # without a home nobody knows where things stand


def test_a_device_stands_where_its_board_does() -> None:
    home = Drawn()
    board = home.build.board(place=Place(storey=home.ground, x_mm=0, y_mm=1000))
    way = home.build.device(board, "1")
    leg = home.build.run(way, home.a)
    found = length_of(home.build.home.table(Run)[leg], home.build.home)
    assert found is not None
    assert found.length_m == 5.0
