"""Heights of doors and windows: said, checked against each other and the storey, and left unknown."""

import pytest

from circuitmap.errors import HomeError
from circuitmap.home import verbs
from circuitmap.home.records import Wall
from tests.build import Builder


@pytest.fixture
def walled() -> Builder:
    b = Builder()
    ground = b.storey()
    b.do(verbs.edit(b.home, ground, height_mm=2400))
    wall = b.do(verbs.add_wall(b.home, ground, (0, 0), (4000, 0), 100))
    b.do(verbs.add_opening(b.home, wall, "window", 500, 1200))
    b.do(verbs.add_opening(b.home, wall, "door", 2500, 800))
    return b


def heights(b: Builder) -> list[tuple[int | None, int | None]]:
    return [(each.sill_mm, each.head_mm) for each in b.home.take(Wall, "W1").openings]


def test_heights_are_said_of_one_opening_and_may_be_unknown_again(walled: Builder) -> None:
    walled.do(verbs.set_heights(walled.home, "W1", 0, 900, 2100))
    assert heights(walled) == [(900, 2100), (None, None)]
    walled.do(verbs.set_heights(walled.home, "W1", 1, None, 2000))
    walled.do(verbs.set_heights(walled.home, "W1", 0, None, None))
    assert heights(walled) == [(None, None), (None, 2000)]


@pytest.mark.parametrize(
    ("number", "sill", "head", "says"),
    [
        (0, -1, None, "at the floor or over it"),
        (0, 900, 900, "must lie over its sill"),
        (0, None, 0, "must lie over its sill"),
        (1, 0, 2500, "only 2.40 m high"),
        (0, 2500, None, "only 2.40 m high"),
        (2, 0, 2000, "no opening number 3"),
    ],
)
def test_heights_that_cant_be_are_refused_in_a_sentence(
    walled: Builder, number: int, sill: int | None, head: int | None, says: str
) -> None:
    with pytest.raises(HomeError, match=says):
        verbs.set_heights(walled.home, "W1", number, sill, head)
