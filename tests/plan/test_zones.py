"""Zones round baths and showers: figures of BS 7671 Section 701, areas by hand and by shapely."""

import math

import pytest
import shapely

from circuitmap import trade
from circuitmap.home import verbs
from circuitmap.home.records import Details, Fixture, Place, Room
from circuitmap.memo import Memo
from circuitmap.plan.zones import Figures, Zone, bathroom_zones, figures_of, from_zone_1_mm, ip_asked, zone_at, zones_in
from tests.build import Builder

TRADE = trade.load()
# Source: BS 7671 701.32, text of the section as quoted: 2.25 m, 0.60 m, 1.20 m, 0.10 m.
FIGURES = Figures(2250, 600, 1200, 100)
ROOM = Room(id="M1", name="Bathroom", storey="G1", outline_mm=((0, 0), (2400, 0), (2400, 2000), (0, 2000)))
BATH = Fixture(
    id="F1", kind="bath", place=Place(storey="G1", x_mm=850, y_mm=0, faces_deg=90.0),
    outline_mm=((0, 0), (1700, 0), (1700, 700), (0, 700)), top_mm=550,
)  # fmt: skip


def head(x: int, y: int, height: int | None = None, number: int = 9) -> Fixture:
    return Fixture(id=f"F{number}", kind="shower head", place=Place(storey="G1", x_mm=x, y_mm=y, height_mm=height))


def numbered(zones: tuple[Zone, ...], number: int) -> Zone:
    (found,) = [zone for zone in zones if zone.number == number]
    return found


def test_the_figures_are_those_of_section_701() -> None:
    assert figures_of(TRADE, Details()) == FIGURES
    chosen = Details(choices=(("zone 2 width m", "0.7"),))
    assert figures_of(TRADE, chosen).width_mm == pytest.approx(700)


def test_a_bath_in_the_corner_of_a_small_room_makes_the_areas_worked_by_hand() -> None:
    zones = zones_in(ROOM, [BATH], TRADE, FIGURES)
    # Bath 1.7 × 0.7 m in a corner of 2.4 × 2.0 m: zone 1 = 1.19 m²; with a square corner zone 2 = 2.3 × 1.3 − 1.19 =
    # 1.80 m²; rounded at the one free corner it is (1 − π/4) × 0.6² = 0.0773 m² less.
    assert numbered(zones, 0).area_m2 == numbered(zones, 1).area_m2 == pytest.approx(1.19)
    assert numbered(zones, 2).area_m2 == pytest.approx(2.3 * 1.3 - 1.19 - (1 - math.pi / 4) * 0.36, abs=1e-3)
    square = shapely.Polygon(BATH.outline_mm).buffer(600, join_style="mitre") & shapely.Polygon(ROOM.outline_mm)
    assert (square.area - 1.19e6) / 1e6 == pytest.approx(1.80)
    assert not any(zone.assumed for zone in zones)


def test_heights_reach_to_2_25_m_or_to_the_highest_outlet() -> None:
    zones = zones_in(ROOM, [BATH], TRADE, FIGURES)
    assert [(zone.number, zone.bottom_mm, zone.top_mm) for zone in zones] == [(0, 0, 550), (1, 0, 2250), (2, 0, 2250)]
    low = zones_in(ROOM, [BATH, head(100, 350, 2000)], TRADE, FIGURES)
    high = zones_in(ROOM, [BATH, head(100, 350, 2400)], TRADE, FIGURES)
    assert [numbered(low, n).top_mm for n in (1, 2)] == [2250, 2250]
    assert [numbered(high, n).top_mm for n in (1, 2)] == [2400, 2400]
    # Over the bath it makes no circle of its own.
    assert numbered(high, 1).area_m2 == pytest.approx(1.19)


def test_a_shower_without_a_tray_has_a_circle_and_no_zone_2() -> None:
    hall = Room(id="M1", name="Wet room", storey="G1", outline_mm=((0, 0), (6000, 0), (6000, 4000), (0, 4000)))
    zones = zones_in(hall, [head(3000, 0, 2100)], TRADE, FIGURES)
    assert [(zone.number, zone.top_mm) for zone in zones] == [(0, 100), (1, 2250)]
    # Half a circle of 1.20 m before the wall: π × 1.2² / 2 = 2.262 m².
    assert zones[0].area_m2 == zones[1].area_m2 == pytest.approx(math.pi * 1.44 / 2, rel=1e-3)


def test_walls_bound_the_zones_and_without_a_room_nothing_does() -> None:
    for zone in zones_in(ROOM, [BATH], TRADE, FIGURES):
        assert shapely.Polygon(ROOM.outline_mm).covers(zone.area)
    free = zones_in(None, [BATH], TRADE, FIGURES)
    # 2 (1.7 + 0.7) × 0.6 + π × 0.6² = 4.011 m².
    assert numbered(free, 2).area_m2 == pytest.approx(4.8 * 0.6 + math.pi * 0.36, abs=2e-3)
    assert numbered(free, 2).room is None


def test_a_bath_that_nobody_drew_has_the_usual_size_and_says_it_is_assumed() -> None:
    bare = Fixture(id="F1", kind="bath", place=Place(storey="G1", x_mm=850, y_mm=0, faces_deg=90.0))
    zones = zones_in(ROOM, [bare], TRADE, FIGURES)
    assert all(zone.assumed for zone in zones)
    assert numbered(zones, 1).area_m2 == pytest.approx(1.19)


@pytest.mark.parametrize(
    ("spot", "height", "number"),
    [
        ((800, 0), 1000, 1),        # on the wall over the bath
        ((800, 350), 300, 0),       # inside the tub
        ((1700, 350), 300, 1),      # at its end: under or beside the rim, not inside
        ((2300, 0), 1000, 2),       # 0.60 m from its end: on the limit
        ((2302, 0), 1000, None),
        ((800, 1300), 2250, 2), ((800, 1300), 2251, None), ((800, 350), 2400, None),
        ((2200, 1200), 1000, None),  # 0.71 m from the corner
        ((0, 1900), 1000, None),
    ],
)  # fmt: skip
def test_a_spot_is_in_the_zone_that_its_distance_and_height_say(spot, height: int, number: int | None) -> None:
    found = zone_at(zones_in(ROOM, [BATH], TRADE, FIGURES), *spot, height)
    assert (found.zone.number if found else None) == number
    assert found is None or found.if_below_mm is None


def test_of_unknown_height_it_is_said_below_what() -> None:
    zones = zones_in(ROOM, [BATH], TRADE, FIGURES)
    found = zone_at(zones, 800, 350, None)
    assert (found.zone.number, found.if_below_mm) == (1, 2250)
    assert zone_at(zones, 2390, 1990, None) is None


def test_distances_from_zone_1_are_level_and_from_its_edge() -> None:
    zones = zones_in(ROOM, [BATH], TRADE, FIGURES)
    assert from_zone_1_mm(zones, 2400, 350) == pytest.approx(700)
    assert from_zone_1_mm(zones, 2000, 1100) == pytest.approx(500)
    assert from_zone_1_mm(zones, 100, 100) == 0
    assert from_zone_1_mm((), 0, 0) is None


def test_zones_can_be_drawn_with_their_holes() -> None:
    middle = Fixture(id="F1", kind="tray", place=Place(storey="G1", x_mm=1200, y_mm=1000),
                     outline_mm=((1100, 900), (1300, 900), (1300, 1100), (1100, 1100)))  # fmt: skip
    rings = numbered(zones_in(ROOM, [middle], TRADE, FIGURES), 2).rings()
    assert len(rings) == 2
    assert min(shapely.Polygon(ring).area for ring in rings) == pytest.approx(40_000)


def test_protection_against_water_by_zone() -> None:
    # Source: BS 7671 701.512.2, from memory.
    assert [ip_asked(number) for number in (0, 1, 2)] == ["IPX7", "IPX4", "IPX4"]


def test_a_storey_has_the_zones_of_its_bathrooms_kept_until_something_changes() -> None:
    b, memo = Builder(), Memo()
    ground = b.storey()
    assert bathroom_zones(b.home, memo, TRADE, ground) == ()
    b.room("Bathroom", ground, (0, 0, 2400, 2000))
    b.room("Shower room", ground, (2500, 0, 4500, 2000))
    b.do(verbs.add_fixture(b.home, "bath", BATH.place, BATH.outline_mm))
    b.do(verbs.add_fixture(b.home, "tray", Place(storey=ground, x_mm=3000, y_mm=0, faces_deg=90.0)))
    b.do(verbs.add_fixture(b.home, "basin", Place(storey=ground, x_mm=2400, y_mm=1500, faces_deg=180.0)))
    first = bathroom_zones(b.home, memo, TRADE, ground)
    assert [(zone.room, zone.number) for zone in first] == [(m, n) for m in ("M1", "M2") for n in (0, 1, 2)]
    b.point(at=(ground, 100, 100))
    assert bathroom_zones(b.home, memo, TRADE, ground) is first
    b.do(verbs.edit(b.home, "home", choices=(("zone 2 width m", "0.7"),)))
    again = bathroom_zones(b.home, memo, TRADE, ground)
    assert numbered(tuple(z for z in again if z.room == "M1"), 2).area_m2 > first[2].area_m2
