"""Routes weighed by the price book, and priced by it: both count the same stretches."""

import pytest

from circuitmap.extension.book_costs import costs_of
from circuitmap.extension.costs import BY_METRE, Item
from circuitmap.extension.pathing import Route, RoutePart, route
from circuitmap.extension.pricebook import with_rows
from circuitmap.extension.space import space_of
from circuitmap.extension.takeoff import Fitting, Job, Length, Work, takeoff
from circuitmap.extension.voids import Structure
from circuitmap.home.records import Room
from circuitmap.memo import Memo
from circuitmap.words import Build
from tests.extension.priced import EMPTY, WALL, demo, priced, quantity
from tests.extension.routed import TRADE, one_room, sides, spot

CABLE = "T&E 2.5/1.5"


def laid(build: Build, costs_by: Job = EMPTY) -> Route:
    home = one_room(build)
    top = sides(home.take(Room, "M1"))[0]
    inside = Structure(floors={"G1": "solid"}, loft=False, joist_deg={}, joist_spacing_mm=400, joist_depth_mm=200)
    laid_out = space_of(home, Memo(), TRADE, costs_of(demo(), CABLE, costs_by), inside)
    return route(laid_out, spot(top, 1000, 450), spot(top, 3000, 450))[0]


def as_work(found: Route) -> Work:
    return Work(
        parts=found.parts, lengths=(Length(cable=CABLE, metres=found.length_mm / 1000, name="cable to the twin"),)
    )


def test_minutes_and_pence_of_a_metre_chased_by_hand() -> None:
    # brick, empty home: chase (10+15+25)/3 + patch (15+20+30)/3 = 38.33 min; capping (60+85+120)/3 pence with
    # 7.5 % waste and filler (80+120+200)/3, with 20 % handling: (94.958 + 133.333) · 1.2 = 273.95
    rate = costs_of(demo(), CABLE, EMPTY).rate("chase", "brick")
    assert rate.minutes == pytest.approx(50 / 3 + 65 / 3)
    assert rate.pence == pytest.approx(273.95)
    by_others = costs_of(demo(), CABLE, Job(occupied=False, making_good="by others")).rate("chase", "brick")
    assert by_others.minutes == pytest.approx(50 / 3)
    assert by_others.pence == pytest.approx(113.95)


def test_the_cable_and_the_hour_are_those_of_the_book() -> None:
    # (65 + 95 + 140) / 3 = 100 pence, 7.5 % waste, 20 % handling: 129
    costs = costs_of(demo(), CABLE, EMPTY)
    assert costs.cable_pence_per_m == pytest.approx(129)
    assert costs.pence_per_minute == pytest.approx(5000 / 60)
    dearer = with_rows(demo(), {"rate": [{"key": "electrician", "hour": 66}]}, {"area_times": 1.2})
    assert costs_of(dearer, CABLE, EMPTY).pence_per_minute == pytest.approx(6600 * 1.2 / 60)
    assert costs_of(demo(), "unheard of").cable_pence_per_m == 0


def test_masonry_is_dearer_than_studs_and_concrete_than_brick_than_block() -> None:
    costs = costs_of(demo(), CABLE)
    worth = {build: costs.worth([Item("chase", build, 2.0)], 2000) for build in ("block", "brick", "concrete")}
    assert worth["block"] < worth["brick"] < worth["concrete"]
    assert costs.worth([Item("drop", "stud", 1.0)], 2000) < worth["block"]


def test_every_stretch_weighs_what_a_take_off_of_it_costs() -> None:
    # independent: the take-off's own lines, priced one by one
    costs = costs_of(demo(), CABLE, EMPTY)
    aside = {
        "set up",
        "isolate",
        "isolate again",
        "parking",
        "waste",
        "chase set up",
    }  # once for the visit, job or wall
    for (kind, build), rate in costs.rates.items():
        if kind == "set up":
            continue
        part = RoutePart(kind, build, 1.0 if kind in BY_METRE else 0.0, 0 if kind in BY_METRE else 1, WALL)
        done = priced(Work(parts=(part,)))
        lines = [line for line in done.lines if line.line.key not in aside]
        whole = sum(line.mean for line in lines)
        assert rate.minutes * costs.pence_per_minute + rate.pence == pytest.approx(whole), (kind, build)


@pytest.mark.parametrize("build", ["brick", "block", "lined", "stud", "unknown"])
def test_a_route_found_is_wholly_in_the_price(build: Build) -> None:
    found = laid(build)
    done = takeoff(as_work(found), demo(), EMPTY)
    assert not done.left_out
    # worked by hand: its length with 5 % slack and 0.30 m at both boxes
    assert quantity(done, f"cable {CABLE}") == pytest.approx(found.length_mm / 1000 * 1.05 + 0.6)
    assert all(line.why for line in done.lines)
    if build not in ("stud",):
        key = {"unknown": "way unseen"}.get(build, f"chase {build}")
        assert quantity(done, key) == pytest.approx(sum(p.metres for p in found.parts if p.kind == "chase"), abs=0.01)
        assert quantity(done, "chase set up") == 1


def test_a_route_through_brick_costs_more_than_one_through_studs() -> None:
    brick, stud = (priced(as_work(laid(build))).net for build in ("brick", "stud"))
    assert brick > stud


def test_points_on_the_wall_of_a_route_are_repeats_by_its_name() -> None:
    found = laid("brick")
    where = next(part.where for part in found.parts if part.kind == "chase")
    twin = Fitting(what="socket", build="brick", gangs=2, where=where)
    work = Work(parts=found.parts, fittings=(twin, twin))
    lines = takeoff(work, demo(), EMPTY).lines
    chase = next(line for line in lines if line.key == "chase brick")
    assert chase.repeated == pytest.approx(chase.quantity / 2)
