"""What an option takes, counted from its parts."""

from collections.abc import Callable, Iterable
from typing import get_args

import pytest

from circuitmap.errors import PersonError
from circuitmap.extension.costs import BY_METRE, usual_costs
from circuitmap.extension.pathing import RoutePart
from circuitmap.extension.pricebook import with_rows
from circuitmap.extension.takeoff import Fitting, Job, Length, Piece, Remedy, Work, takeoff, unseen_places
from circuitmap.trade import load as load_trade
from circuitmap.words import POINT_KINDS, Build
from tests.extension.priced import EMPTY, WALL, demo, new_circuit, quantity, swap, taken, twins


def usual_kinds() -> Iterable[tuple[str, str]]:
    """Give every kind and build of stretch that routes are weighed by."""
    return usual_costs(load_trade(), pence_per_hour=5000, cable_pence_per_m=95).rates


def test_a_cable_is_its_way_with_slack_and_what_is_left_at_its_ends() -> None:
    # worked by hand: 2 m with 5 % slack is 2.10 m, two boxes with 0.30 m each make 2.70 m
    assert quantity(taken(twins(1, "stud")), "cable T&E 2.5/1.5") == pytest.approx(2.7)


def test_a_drop_that_nobody_measured_adds_its_allowance_and_the_board_a_metre() -> None:
    # worked by hand: (10 m + 2 drops of 2 m) with 5 % is 14.70 m, one box 0.30 m, the board 1 m: 16.00 m
    work = Work(lengths=(Length(cable="T&E 6/2.5", metres=10, box_ends=1, board_ends=1, drops=2),))
    assert quantity(taken(work), "cable T&E 6/2.5") == pytest.approx(16.0)
    assert quantity(taken(work), "earth sleeving") == 2


def test_a_stud_wall_is_fished_and_a_brick_wall_chased_capped_and_patched() -> None:
    stud, brick = taken(twins(1, "stud")), taken(twins(1, "brick"))
    assert quantity(stud, "fish drop") == 1
    assert quantity(stud, "capping") == 0
    assert quantity(stud, "box lining twin") == quantity(stud, "box stud twin") == 1
    for key in ("chase brick", "capping", "patch plaster", "filler"):
        assert quantity(brick, key) == 2
    assert quantity(brick, "chase set up") == quantity(brick, "waste") == 1
    assert quantity(brick, "box brick twin") == quantity(brick, "box steel twin") == quantity(brick, "grommet") == 1


@pytest.mark.parametrize(
    ("build", "gangs", "deep", "task", "box"),
    [
        ("brick", 1, False, "box brick single", "box steel single"),
        ("brick", 2, True, "box brick twin", "box steel twin deep"),
        ("block", 2, False, "box brick twin", "box steel twin"),
        ("concrete", 1, True, "box concrete single", "box steel single deep"),
        ("lined", 2, True, "box stud twin", "box lining twin"),
        ("unknown", 2, False, "box unseen twin", "box steel twin"),
        ("surface", 1, False, "box surface", "box surface single"),
    ],
)
def test_boxes_go_by_wall_gangs_and_depth(build: str, gangs: int, deep: bool, task: str, box: str) -> None:
    work = Work(fittings=(Fitting(what="socket", build=build, gangs=gangs, deep=deep, where=WALL),))
    assert quantity(taken(work), task) == 1
    assert quantity(taken(work), box) == 1


def test_a_box_of_four_gangs_is_a_twin_and_two_gangs_more() -> None:
    work = Work(fittings=(Fitting(what="grid switch", build="brick", gangs=4, where=WALL),))
    assert quantity(taken(work), "box brick twin") == 1
    assert quantity(taken(work), "box further gang") == 2


def test_the_second_and_third_point_on_a_wall_are_repeats_and_set_up_comes_once() -> None:
    lines = taken(twins(3, "brick")).lines
    chase = next(line for line in lines if line.key == "chase brick")
    assert chase.quantity == 6
    assert chase.repeated == pytest.approx(4)  # two of three points
    assert sum(line.quantity for line in lines if line.key == "chase set up") == 1
    assert sum(line.quantity for line in lines if line.key == "isolate") == 1
    assert sum(line.repeated for line in lines if line.key == "fix socket") == pytest.approx(2)
    assert not any(line.repeated for line in lines if line.key in ("capping", "socket twin", "minor works", "set up"))


def test_points_on_two_walls_are_no_repeats() -> None:
    work = Work(
        fittings=(
            Fitting(what="socket", build="brick", gangs=2, where="Lounge, wall 1"),
            Fitting(what="socket", build="brick", gangs=2, where="Lounge, wall 2"),
        )
    )
    assert not any(line.repeated for line in taken(work).lines)


def test_every_line_says_which_part_of_the_option_it_comes_from() -> None:
    for work in (twins(3, "brick"), new_circuit(), swap()):
        lines = taken(work, Job(notify="notify by scheme", carpets=("landing",))).lines
        assert lines
        assert all(line.why for line in lines)
    whys = {line.why for line in taken(twins(2, "brick")).lines}
    assert {"new twin socket 1", "cable to twin 2", "joined at the nearest twin"} <= whys
    assert f"cable route: chase, {WALL}" in whys


def test_making_good_by_others_leaves_out_plaster_and_the_visit_for_it_but_not_the_rubble() -> None:
    ours, others = taken(twins(1, "brick")), taken(twins(1, "brick"), Job(making_good="by others"))
    assert quantity(others, "patch plaster") == quantity(others, "filler") == 0
    assert quantity(others, "waste") == 1
    assert (ours.visits, others.visits) == (2, 1)
    assert quantity(ours, "set up") == 2
    assert quantity(ours, "isolate again") == 1


def test_further_points_are_tested_one_by_one_and_a_swap_takes_no_minor_works() -> None:
    assert quantity(taken(twins(3, "stud")), "test further point") == 2
    assert quantity(taken(twins(3, "stud")), "minor works") == 1
    plain = taken(swap(), Job(certificate="functional check"))
    assert quantity(plain, "functional check") == 1
    assert quantity(plain, "minor works") == quantity(plain, "box steel twin") == 0


def test_making_existing_fit_is_a_block_of_its_own_with_its_reasons() -> None:
    work = Work(
        remedies=(
            Remedy(what="main bonding", why="gas isn't bonded"),
            Remedy(what="board change", why="a better board", optional=True),
        )
    )
    lines = taken(work).lines
    bonding = [line for line in lines if line.why == "gas isn't bonded (assumed 8 m)"]
    assert {line.key for line in bonding} == {"bond a service", "run bonding", "bonding 10 mm²", "earth clamp"}
    assert all(line.block == "making existing fit" and not line.optional for line in bonding)
    assert all(line.optional for line in lines if line.why == "a better board")


def test_walls_that_nobody_saw_into_are_named() -> None:
    lines = taken(twins(1, "unknown")).lines
    assert unseen_places(lines) == (WALL,)
    assert {line.key for line in lines if line.unseen} == {
        "way unseen",
        "box unseen twin",
        "patch plaster",
        "chase set up",
    }
    assert unseen_places(taken(twins(1, "brick")).lines) == ()


def test_a_floor_that_nobody_looked_under_is_named_too() -> None:
    work = Work(parts=(Piece(kind="board", build="", count=2, where="landing"),))
    assert unseen_places(taken(work).lines) == ("landing",)
    known = Work(parts=(Piece(kind="board", build="tongued", count=2, where="landing"),))
    assert unseen_places(taken(known).lines) == ()


@pytest.mark.parametrize("kind", sorted({*BY_METRE, *(kind for kind, _ in usual_kinds())}))
def test_every_part_of_a_route_has_a_recipe_in_every_wall(kind: str) -> None:
    builds = (*get_args(Build), "") if kind != "chase" else tuple(sorted({*get_args(Build)} - {"stud"}))
    for build in builds:  # nobody chases a stud wall
        part = RoutePart(kind, build, 2.0 if kind in BY_METRE else 0.0, 0 if kind in BY_METRE else 3, WALL)
        done = taken(Work(parts=(part,)))
        assert not done.left_out
        if kind not in ("set up", "stud"):  # these are counted with the chase, and with drops and noggins
            assert quantity(done, "set up") >= 1


def test_the_tool_is_set_up_once_for_each_wall_chased() -> None:
    parts = [RoutePart("chase", "brick", 1.0, 0, where) for where in ("wall 1", "wall 1", "wall 2")]
    work = Work(parts=(*parts, RoutePart("set up", "", 0.0, 1, "wall 1")))
    assert quantity(taken(work), "chase set up") == 2


def test_what_stands_before_a_wall_is_moved_once_and_named_with_it() -> None:
    fridge = Fitting(what="socket", build="unknown", gangs=2, where=WALL, behind="the fridge")
    lines = taken(Work(fittings=(fridge, fridge))).lines
    assert sum(line.quantity for line in lines if line.key == "move unit") == 1
    assert unseen_places(lines) == (f"{WALL}, behind the fridge",)


def test_what_the_route_has_moved_already_is_not_moved_again() -> None:
    fridge = Fitting(what="socket", build="brick", gangs=2, where=WALL, behind="the fridge")
    work = Work(parts=(Piece(kind="behind furniture", build="", count=2, where=WALL),), fittings=(fridge,))
    assert quantity(taken(work), "move unit") == 2


def test_every_point_word_that_can_be_added_has_a_recipe_or_says_so() -> None:
    for kind in POINT_KINDS:
        done = taken(Work(fittings=(Fitting(what=kind, name=f"the {kind}", build="stud", where=WALL),)))
        assert done.lines
        if demo().recipe(kind, "stud", 1) is None:
            assert any(f"the {kind}" in sentence for sentence in done.left_out)
        else:
            assert not done.left_out


def test_a_part_without_a_recipe_is_told_and_the_rest_is_counted() -> None:
    work = Work(parts=(Piece(kind="moat", build="water", metres=3), *twins(1, "brick").parts))
    done = taken(work)
    assert done.left_out == ("The price book has no recipe for moat in water; not in the price: cable route: moat.",)
    assert quantity(done, "chase brick") == 2


def test_a_cable_without_a_price_is_told_and_the_rest_is_counted() -> None:
    done = taken(Work(lengths=(Length(cable="T&E 99/50", metres=3, name="cable to the shed"),)))
    assert "no row “cable T&E 99/50”: cable to the shed" in done.left_out[0]
    assert quantity(done, "earth sleeving") == 2


def test_a_recipe_for_the_very_wall_goes_before_one_for_any_and_a_persons_own_before_ours() -> None:
    assert demo().recipe("board", "tongued") is not demo().recipe("board", "")
    own = with_rows(demo(), {"recipe": [{"key": "mine", "of": "bend", "each": {"bend": 3}}]})
    assert not own.problems
    done = takeoff(Work(parts=(Piece(kind="bend", count=2),)), own, EMPTY)
    assert sum(line.quantity for line in done.lines if line.key == "bend") == 6


@pytest.mark.parametrize(
    "work",
    [
        Work(parts=(Piece(kind="chase", build="brick", metres=-1),)),
        Work(parts=(Piece(kind="chase", build="brick", metres=float("nan")),)),
        Work(parts=(Piece(kind="bend", count=-1),)),
        Work(lengths=(Length(cable="T&E 2.5/1.5", metres=-2),)),
        Work(lengths=(Length(cable="T&E 2.5/1.5", metres=2, drops=-1),)),
    ],
)
def test_lengths_and_counts_below_zero_are_refused_in_a_sentence(work: Work) -> None:
    with pytest.raises(PersonError, match=r"can't be counted\.$"):
        taken(work)


def test_nothing_to_do_takes_nothing() -> None:
    assert taken(Work()).lines == ()


@pytest.mark.parametrize("make", [lambda: twins(2, "brick"), new_circuit])
def test_every_key_of_a_take_off_is_in_the_book(make: Callable[[], Work]) -> None:
    done = taken(make())
    assert not done.left_out
    assert all(demo().priced(line.key) for line in done.lines)
