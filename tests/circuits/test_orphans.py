import pytest

from circuitmap.circuits import orphans, unmapped
from circuitmap.home.verbs import edit, tag
from circuitmap.trade import load
from tests.circuits.house import House


@pytest.fixture
def h() -> House:
    return House()


def found(h: House) -> list[tuple[str, str]]:
    return [(orphan.piece.name, orphan.shape.kind) for orphan in orphans(h.home, load(), h.memo)]


def test_points_joined_to_each_other_and_to_nothing_else_are_orphans(h: House) -> None:
    a, p = h.way(), [h.point(cables=1) for _ in range(3)]
    h.run(a, p[0])
    h.run(p[1], p[2])
    assert found(h) == [(p[1], "fed by nothing")]


def test_what_was_not_counted_may_yet_be_fed(h: House) -> None:
    p = [h.point() for _ in range(2)]
    h.run(*p)
    assert found(h) == [(p[0], "not known enough")]


def test_a_point_said_or_seen_to_be_fed_makes_no_orphan(h: House) -> None:
    a, p = h.way(), [h.point(cables=1) for _ in range(2)]
    h.run(*p)
    h.settle(p[1], a)
    assert found(h) == []


def test_an_orphan_is_the_same_object_while_nothing_changed(h: House) -> None:
    h.run(h.point(cables=1), h.point(cables=1))
    before = orphans(h.home, load(), h.memo)
    h.run(h.way(), h.point())
    after = orphans(h.home, load(), h.memo)
    assert after is before


def test_points_on_no_way_are_unmapped_until_something_names_one(h: House) -> None:
    a, p = h.way(), [h.point() for _ in range(3)]
    h.do(edit(h.home, p[2], phase="planned"))
    assert [each.id for each in unmapped(h.home, h.views())] == p[:2]
    h.do(tag(h.home, p[0], a))
    assert [each.id for each in unmapped(h.home, h.views())] == p[1:2]
