"""A change and its inverse cancel; several become one."""

from hypothesis import given
from hypothesis import strategies as st

from circuitmap.home import Change, Home, combine, verbs
from circuitmap.home.records import Point
from tests.build import Builder


def plan(home: Home, steps: list[tuple[int, int]]) -> list[Change]:
    changes = []
    for act, pick in steps:
        ids = list(home.table(Point))
        if act == 0 or not ids:
            change = verbs.add_point(home, "socket")
        elif act == 1:
            change = verbs.edit(home, ids[pick % len(ids)], name=f"name {pick}")
        else:
            change = verbs.remove(home, ids[pick % len(ids)])
        changes.append(change)
        home = home.apply(change)
    return changes


@given(st.lists(st.tuples(st.integers(0, 2), st.integers(0, 50)), max_size=12))
def test_a_change_then_its_inverse_is_as_if_nothing_had_been(steps: list[tuple[int, int]]) -> None:
    home = Home.blank()
    for change in plan(home, steps):
        after = home.apply(change)
        assert after.apply(change.inverse()) == home
        assert change.inverse().inverse() == change
        home = after


@given(st.lists(st.tuples(st.integers(0, 2), st.integers(0, 50)), max_size=12))
def test_several_changes_combined_do_what_they_do_one_by_one(steps: list[tuple[int, int]]) -> None:
    start = one_by_one = Home.blank()
    changes = plan(start, steps)
    for change in changes:
        one_by_one = one_by_one.apply(change)
    together = combine("All", changes)
    assert start.apply(together) == one_by_one
    assert one_by_one.apply(together.inverse()) == start
    assert len(set(together.ids)) == len(together.ids)


def test_ids_are_never_used_twice_even_after_undo() -> None:
    build = Builder()
    change = verbs.add_point(build.home, "socket")
    build.do(change)
    build.do(change.inverse())
    assert build.home.next_id(Point) == "P2"
