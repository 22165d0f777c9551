"""The zones of a wall: regulation 522.6.6(v) as quoted (now 522.6.202), areas worked by hand."""

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import Opening, Place, Wall
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Across, Behind, Face, Hole, Stood
from circuitmap.plan.permitted import ZoneFigures, permitted, permitted_on, zone_figures
from circuitmap.trade import load
from tests.build import Builder

FIGURES = ZoneFigures(150.0, 150.0, 100.0)
TRADE = load()


def wall(holes: tuple[Hole, ...] = ()) -> Face:
    """A bare wall 4 m long and 2.4 m high."""
    return Face("M1/0", "G1", "M1", 0, 0, 1, 0, 4000, 2400, (Behind(None, 0, 4000, "brick", 100),), holes)


def socket(u: float = 1200, v: float | None = 450) -> Stood:
    return Stood("P1", u, v, 146, 86)


def m2(zones: object) -> float:
    return float(zones.area().area) / 1e6  # type: ignore[attr-defined]


def test_a_bare_wall_has_its_top_and_its_two_corners() -> None:
    # Worked by hand: 4.0 × 0.15 + 2 × 0.15 × (2.4 − 0.15) = 0.6 + 0.675 m².
    assert m2(permitted(wall(), (), FIGURES)) == pytest.approx(1.275)


def test_a_socket_adds_a_cross_as_wide_and_high_as_itself() -> None:
    # By hand: upright 0.146 × (2.4 − 0.15) = 0.3285; level 0.086 × (4.0 − 2 × 0.15 − 0.146) = 0.305644 m².
    assert m2(permitted(wall(), (socket(),), FIGURES)) == pytest.approx(1.275 + 0.3285 + 0.305644)


def test_of_unknown_height_only_up_and_down_is_sure() -> None:
    assert m2(permitted(wall(), (socket(v=None),), FIGURES)) == pytest.approx(1.275 + 0.3285)


def test_a_door_is_cut_out_and_ends_the_zone_sideways() -> None:
    door = Hole("door", 2000, 2800, 0, 2000)
    zones = permitted(wall((door,)), (socket(),), FIGURES)
    # The level zone runs from the left corner to the door: 0.086 × (2.0 − 0.15 − 0.146) = 0.146544 m².
    assert m2(zones) == pytest.approx(1.275 + 0.3285 + 0.146544)
    assert zones.permits(False, 450, 160, 2000)
    assert not zones.permits(False, 450, 1000, 2001)
    assert not zones.permits(False, 450, 2800, 3000)
    assert zones.permits(False, 2325, 100, 3900)


def test_a_window_ends_the_zone_upwards_from_a_socket_under_it() -> None:
    window = Hole("window", 800, 1800, 900, 2100)
    zones = permitted(wall((window,)), (socket(),), FIGURES)
    assert zones.permits(True, 1200, 0, 900)
    assert not zones.permits(True, 1200, 2100, 2400)
    assert zones.permits(True, 1200, 2250, 2400)


def test_no_zone_along_the_skirting_nor_on_bare_wall() -> None:
    zones = permitted(wall(), (socket(),), FIGURES)
    assert not zones.permits(False, 50, 200, 3000)
    assert not zones.permits(True, 3000, 450, 2400)
    assert not zones.permits(False, 1200, 100, 3900)


@pytest.mark.parametrize(("thickness", "reaches"), [(80.0, True), (100.0, True), (101.0, False), (250.0, False)])
def test_the_zone_reaches_through_walls_of_100_mm_or_less(thickness: float, reaches: bool) -> None:
    other = Across("M2/3", 0, 4000, 4000, thickness)
    zones = permitted(wall(), (), FIGURES, [(other, (socket(),))])
    # Seen from the other side the socket is at 4.0 − 1.2 m.
    assert zones.permits(True, 2800, 0, 2400) is reaches
    assert zones.permits(False, 450, 0, 4000) is reaches


def test_the_figures_are_those_of_the_edition_and_of_the_homes_choices() -> None:
    b = Builder()
    assert zone_figures(TRADE, b.home.details) == FIGURES
    b.do(verbs.edit(b.home, "home", choices=(("zone reaches through mm", "120"),)))
    assert zone_figures(TRADE, b.home.details).through_mm == 120


def test_zones_of_a_home_are_made_again_only_when_something_on_the_walls_changed() -> None:
    b = Builder()
    ground = b.storey()
    b.room("Kitchen", ground, (0, 0, 4000, 3000))
    b.room("Hall", ground, (4080, 0, 6000, 3000))
    door = Opening(kind="door", along_mm=2000, width_mm=800, head_mm=2000)
    stud = Wall(id="W1", storey=ground, a_mm=(4040, 0), b_mm=(4040, 3000), thickness_mm=80, build="stud",
                openings=(door,))  # fmt: skip
    b.home = type(b.home).of([*b.home.all(), stud])
    at = Place(storey=ground, x_mm=4000, y_mm=1000, height_mm=450, faces_deg=180.0)
    point = b.do(verbs.add_point(b.home, "socket", at, None, gangs=2))
    memo = Memo()
    before = permitted_on(b.home, memo, TRADE, ground)
    assert before["M1/1"].permits(True, 1000, 0, 2400)
    assert before["M2/3"].permits(True, 2000, 0, 2400), "on the other side of a stud wall of 80 mm"
    assert permitted_on(b.home, memo, TRADE, ground) is before
    b.do(verbs.edit(b.home, point, place=Place(storey=ground, x_mm=4000, y_mm=1500, height_mm=450, faces_deg=180.0)))
    after = permitted_on(b.home, memo, TRADE, ground)
    assert not after["M1/1"].permits(True, 1000, 0, 2300)
    assert after["M1/1"].permits(True, 1500, 0, 2400)
