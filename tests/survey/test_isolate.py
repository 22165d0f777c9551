"""Isolating a box. The sequence: Basic Electrical Installation Work, p. 39, and safe isolation revision notes."""

import msgspec
import pytest

from circuitmap.errors import HomeError
from circuitmap.home import verbs
from circuitmap.home.records import Isolation, OtherSource, ProvingTest
from circuitmap.survey import STEPS, missing_steps, plan_isolation
from tests.build import Builder
from tests.survey.board import Surveyed

ALL_DEAD = tuple(ProvingTest(pair=pair, dead=True) for pair in ("L-N", "L-E", "N-E"))
WHOLE = Isolation(
    id="J1", visit="V1", box=("P1",), off=("D1",), locked=True, proved_before=True, tests=ALL_DEAD, proved_after=True,
    at="2026-01-05T09:00:00Z",
)  # fmt: skip


@pytest.fixture
def home() -> Surveyed:
    return Surveyed(points=2)


def settle(home: Surveyed, point: str, way: str) -> None:
    home.look(point, "still on")
    home.look(point, "off", way)


def test_the_whole_board_is_the_default_even_where_the_way_is_settled(home: Surveyed) -> None:
    p = home.points[0]
    settle(home, p, home.ways[2])
    plan = plan_isolation(home.home, (p,), home.memo)
    assert (plan.whole_board, plan.off, plan.ways) == (True, (home.main,), (home.ways[2],))
    assert plan.says[0] == f"To open {p}: A3; neutral not proved by any switch-off → main switch."
    assert plan.says[-1].startswith("Switched off is not dead")


def test_one_way_alone_is_an_exception_for_settled_boxes_only(home: Surveyed) -> None:
    p, q = home.points
    settle(home, p, home.ways[2])
    plan = plan_isolation(home.home, (p,), home.memo, one_way=True)
    assert (plan.whole_board, plan.off) == (False, (home.ways[2],))
    plan = plan_isolation(home.home, (p, q), home.memo, one_way=True)
    assert (plan.whole_board, plan.off, plan.unsettled) == (True, (home.main,), (q,))
    assert any("not enough" in s for s in plan.says)


def test_a_tag_that_says_otherwise_takes_the_exception_away(home: Surveyed) -> None:
    p = home.points[0]
    settle(home, p, home.ways[2])
    home.do(verbs.tag(home.home, p, home.ways[0]))
    plan = plan_isolation(home.home, (p,), home.memo, one_way=True)
    assert plan.whole_board
    assert plan.ways == (home.ways[0], home.ways[2])


def test_a_cable_from_another_way_takes_the_exception_away(home: Surveyed) -> None:
    p = home.points[0]
    settle(home, p, home.ways[2])
    home.run(home.ways[1], p)
    assert plan_isolation(home.home, (p,), home.memo, one_way=True).whole_board


def test_every_circuit_on_a_plate_is_named(home: Surveyed) -> None:
    p, q = home.points
    settle(home, p, home.ways[0])
    settle(home, q, home.ways[1])
    home.do(verbs.share_plate(home.home, (p, q)))
    plan = plan_isolation(home.home, (p,), home.memo)
    assert plan.points == (p, q)
    assert plan.ways == (home.ways[0], home.ways[1])
    assert any("others stay live" in s for s in plan.says)


def test_a_device_is_opened_with_its_whole_board_off(home: Surveyed) -> None:
    plan = plan_isolation(home.home, (home.ways[0],), home.memo, one_way=True)
    assert plan.whole_board
    assert plan.ways == tuple(home.ways)
    assert any("supply terminals stay live" in s for s in plan.warnings)


def test_other_sources_are_part_of_it(home: Surveyed) -> None:
    p = home.points[0]
    settle(home, p, home.ways[0])
    home.do(verbs.set_supply(home.home, sources=(OtherSource(kind="battery"),)))
    plan = plan_isolation(home.home, (p,), home.memo, one_way=True)
    assert plan.whole_board
    assert plan.sources == ("battery",)
    assert missing_steps(WHOLE, home.home) == ("The battery isn't recorded as switched off.",)


def test_a_board_without_a_main_switch_has_every_way_off() -> None:
    home = Surveyed(ways=2)
    home.do(verbs.remove(home.home, home.main))
    assert plan_isolation(home.home, (home.points[0],), home.memo).off == tuple(home.ways)


def test_a_box_must_be_a_box(home: Surveyed) -> None:
    with pytest.raises(HomeError, match="which box"):
        plan_isolation(home.home, ())
    with pytest.raises(HomeError, match="no box to open"):
        plan_isolation(home.home, (home.now,))
    with pytest.raises(HomeError, match="no P99"):
        plan_isolation(home.home, ("P99",))


def test_a_switchs_box_holds_the_way_of_the_light_it_works_over_strappers_too() -> None:
    """Two-way on the stairs: the second switch hangs on the first by strappers, in a box with another circuit's."""
    b = Builder("Stairs")
    b.storey()
    b.board()
    for way in ("1", "2"):
        b.device("B1", way, rating_a=6)
    lamp_up, lamp_down = (b.point("light", ("G1", x, 500)) for x in (500, 3000))
    first, second, below = (b.point("switch", ("G1", x, 0)) for x in (500, 3000, 3100))
    b.do(verbs.share_plate(b.home, (second, below)))
    b.run("D1", lamp_up)
    b.run("D2", lamp_down)
    b.run(lamp_up, first, role="switch drop")
    b.run(first, second, role="strappers")
    b.run(lamp_down, below, role="switch drop")
    assert plan_isolation(b.home, (second,)).ways == ("D1", "D2")
    assert plan_isolation(b.home, (first,)).ways == ("D1",)
    b.do(verbs.edit(b.home, "R4", "", phase="removed"))
    assert plan_isolation(b.home, (second,)).ways == ("D2",)


def test_the_steps_prove_the_indicator_before_and_after_and_name_their_source() -> None:
    words = [step.words for step in STEPS]
    order = [
        "permission",
        "Prove the voltage indicator",
        "Switch off",
        "Lock off",
        "line to neutral",
        "indicator again",
    ]
    assert [next(n for n, w in enumerate(words) if each in w) for each in order] == list(range(len(STEPS)))
    pairs = [words[4].index(pair) for pair in ("line to neutral", "line to earth", "neutral to earth")]
    assert pairs == sorted(pairs)
    assert all(step.source for step in STEPS)


def test_a_whole_record_misses_nothing() -> None:
    assert missing_steps(WHOLE) == ()
    assert WHOLE.is_proved


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"off": ()}, "switched off"),
        ({"locked": False}, "locked"),
        ({"proved_before": False}, "before"),
        ({"proved_after": False}, "again after"),
        ({"tests": ALL_DEAD[:2]}, "N-E wasn't tested"),
        ({"tests": (*ALL_DEAD[:2], ProvingTest(pair="N-E", dead=False))}, "N-E was found live"),
        ({"tests": (*ALL_DEAD, ProvingTest(pair="L-N", dead=False))}, "L-N was found live"),
    ],
)
def test_a_missing_step_is_named(facts: dict[str, object], says: str) -> None:
    (missing,) = missing_steps(msgspec.structs.replace(WHOLE, **facts))
    assert says in missing
