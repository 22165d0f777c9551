"""Minutes and operations of one switch-off; the figures are those of the tables (common practice, no source)."""

from itertools import pairwise

import pytest

from circuitmap.home import verbs
from circuitmap.survey.method import Method
from circuitmap.survey.planner import proposed_for
from circuitmap.survey.planner.pace import looking, minutes, operations
from circuitmap.survey.rehearsal import invent
from tests.survey.board import Surveyed
from tests.survey.play import TRADE, Play


def carriers(count: int) -> Surveyed:
    home = Surveyed(2, 4)
    home.ways += [home.device(home.a, f"F{n}", "fuse BS 3036", 30, upstream=home.main) for n in range(count)]
    return home


@pytest.mark.parametrize(
    ("levers", "fuses", "wanted"), [(0, 0, 0), (1, 0, 2), (2, 0, 4), (0, 1, 6), (0, 3, 10), (2, 3, 14)]
)
def test_each_device_goes_off_and_on_and_carriers_take_the_main_switch_twice(
    levers: int, fuses: int, wanted: int
) -> None:
    """Main switch off, pull, main switch on; the same again to put them back: four more for any number of carriers."""
    home = carriers(3)
    off = [*home.ways[:levers], *home.ways[2 : 2 + fuses]]
    assert operations(home.home, off) == wanted
    assert proposed_for(home.home, home.memo, TRADE, off).operations == wanted


def test_how_a_device_is_switched_counts_more_than_its_kind() -> None:
    home = Surveyed(1, 1)
    home.do(verbs.edit(home.home, home.ways[0], how_switched="pull carrier"))
    assert operations(home.home, home.ways) == 6
    assert any(
        "pulled with the main switch off" in why for why in proposed_for(home.home, home.memo, TRADE, home.ways).why
    )


def test_the_planner_tells_what_carriers_cost() -> None:
    home = carriers(3)
    assert all("carrier" not in why for why in proposed_for(home.home, home.memo, TRADE, home.ways[:2]).why)
    proposal = proposed_for(home.home, home.memo, TRADE, home.ways[2:4], Method())
    assert any("the home is down twice" in why for why in proposal.why)


def test_minutes_are_switching_and_a_look_at_every_point() -> None:
    """Three minutes for a switch-off, 0.2 for a device more, 0.3 for each socket (rows of survey.toml)."""
    home = Surveyed(2, 0)
    ground = home.storey()
    home.points = [home.point(at=(ground, 1000, 1000)) for _ in range(4)]
    assert minutes(home.home, home.memo, TRADE, home.ways[:1], home.points) == pytest.approx(3 + 4 * 0.3)
    assert minutes(home.home, home.memo, TRADE, home.ways, home.points) == pytest.approx(3 + 0.2 + 4 * 0.3)
    assert minutes(home.home, home.memo, TRADE, (), home.points) == pytest.approx(4 * 0.3)


def test_carriers_take_longer_than_levers() -> None:
    home = carriers(1)
    lever, fuse = (minutes(home.home, home.memo, TRADE, (way,), ()) for way in (home.ways[0], home.ways[2]))
    assert fuse > lever


def test_walking_takes_its_time() -> None:
    """Forty metres there at so many metres a minute."""
    home = Surveyed(1, 0)
    ground = home.storey()
    near, far = home.point(at=(ground, 0, 0)), home.point(at=(ground, 40_000, 0))
    standing = looking(home.home, home.memo, TRADE, (near, far))
    walked = minutes(home.home, home.memo, TRADE, (), (near, far)) - standing
    assert walked == pytest.approx(40 / TRADE.pace("walking speed"), rel=0.05)


def test_lights_that_one_switch_works_are_one_look() -> None:
    """Twelve downlights are one check (TRADE 4.5, common practice)."""
    home = Surveyed(1, 0)
    lights = [home.point("downlight") for _ in range(12)]
    apart = looking(home.home, home.memo, TRADE, lights)
    switch = home.point("switch")
    home.do(verbs.edit(home.home, switch, controls=tuple(lights)))
    together = looking(home.home, home.memo, TRADE, lights)
    assert together == pytest.approx(apart / 12)


def test_what_is_left_is_never_less_than_this_switch_off() -> None:
    home = Surveyed(4, 4)
    proposal = proposed_for(home.home, home.memo, TRADE, home.ways[:2])
    assert proposal.minutes_left >= proposal.minutes > 0
    assert proposal.rounds_left >= 1


def test_after_a_glance_the_minutes_left_are_those_of_whole_walks() -> None:
    glanced = 0
    for seed in range(1, 9):
        made = invent(seed, ways=12)
        play = Play(made.home, made.truth, Method("gentle")).go()
        for now, later in pairwise(play.proposals):
            if now.kind == "glance":
                glanced += 1
                assert now.minutes_left == pytest.approx(now.minutes + later.minutes_left, rel=0.35)
    assert glanced
