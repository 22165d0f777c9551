"""A home never lets a broken change in, and says in one sentence what is wrong with it."""

import math
from typing import Any

import msgspec
import pytest

from circuitmap.errors import HomeError
from circuitmap.home import Change, Home, verbs
from circuitmap.home.records import (
    Board,
    Device,
    End,
    Place,
    Plate,
    Point,
    Record,
    Room,
    Run,
    Sheet,
    Storey,
    Tag,
    natural_key,
)  # fmt: skip
from tests.build import Builder

HASH = "0" * 64


def small() -> Home:
    build = Builder("Small")
    ground = build.storey()
    board = build.board()
    way = build.device(board, "1")
    first = build.point(at=(ground, 0, 0))
    second = build.point(at=(ground, 1000, 0))
    build.chain(way, first, second)
    return build.home


def adding(record: Record) -> Change:
    return Change("Add", ((None, record),))


def refused(home: Home, change: Change) -> str:
    before = {record.id: record for record in home.all()}
    with pytest.raises(HomeError) as caught:
        home.apply(change)
    assert {record.id: record for record in home.all()} == before
    return str(caught.value)


def test_apply_gives_a_new_home_and_leaves_the_old_one_alone() -> None:
    home = small()
    after = home.apply(verbs.edit(home, "P1", name="Here"))
    assert (home.take(Point, "P1").name, after.take(Point, "P1").name) == ("", "Here")
    assert after.table(Run) is home.table(Run)  # only the tables touched are copied


@pytest.mark.parametrize(
    ("record", "sentence"),
    [
        (Point(id="P9", kind="socket", room="M7"), "Point P9 names M7, which is not in this home."),
        (Point(id="P9", kind="socket", plate="T1"), "Point P9 names T1, which is not in this home."),
        (Point(id="P9", kind="switch", controls=("P9",)), "Point P9 can't work itself."),
        (Point(id="P9", kind="socket", gangs=0), "Point P9 can't be kept: Expected int >= 1 at gangs."),
        (Point(id="P9", kind="lamp", name="Hall"),  # type: ignore[arg-type]  # wrong on purpose
         "Point P9 “Hall” can't be kept: Invalid enum value 'lamp' at kind."),
        (Point(id="P9", kind="socket", fuse_a=math.nan), "Point P9 holds a number that can't be kept; type it again."),
        (Point(id="P9", kind="socket", fuse_a=math.inf), "Point P9 holds a number that can't be kept; type it again."),
        (Point(id="P9", kind="socket", where="\ud800"),
         "Point P9 holds half a character that can't be kept; type that text again."),
        (Board(id="B9", letter_on_map="A"), "There is already a board A (B1); give this one another letter."),
        (Device(id="D9", board="B1", way="1", kind="MCB"),
         "Board A already has a way 1 (D1); give this one another number."),
        (Device(id="D9", board="B1", kind="MCB", upstream="D9"),
         "Way D9 can't be under itself; choose another device over it."),
        (Run(id="R9", a=End(at="P1"), b=End()),
         "The second end of run R9 goes nowhere; join it, or say that nobody followed it."),
        (Run(id="R9", a=End(at="P1"), b=End(at="P1")), "Run R9 starts and ends at P1; join it to something else."),
        (Room(id="M9", name="Hall", storey="G1", outline_mm=((0, 0), (1, 1), (0, 0))),
         "Room “Hall” needs at least three different corners."),
        (Room(id="M9", name="Hall", outline_mm=((0, 0), (1, 0), (0, 1))),
         "Room “Hall” has an outline but no storey to stand on."),
        (Room(id="M9", name="Hall", storey="G1", outline_mm=((0, 0), (2000, 2000), (2000, 0), (0, 2000))),
         "The outline of room “Hall” crosses or touches itself near 1.00 m, 1.00 m; move a corner so that it doesn't."),
        (Sheet(id="H9", storey="G1", asset=HASH, px_to_plan_mm=(0.0,) * 9),  # type: ignore[arg-type]  # nine of them
         "Sheet H9 has a scale that flattens the picture; set its scale again."),
    ],
)  # fmt: skip
def test_a_record_that_doesnt_hold_is_refused_in_one_sentence(record: Record, sentence: str) -> None:
    assert refused(small(), adding(record)) == sentence


def test_a_place_and_a_plate_exclude_each_other() -> None:
    home = small().apply(adding(Plate(id="T1")))
    both = Point(id="P9", kind="socket", plate="T1", place=Place(storey="G1", x_mm=0, y_mm=0))
    assert refused(home, adding(both)) == "Point P9 has both a place and a plate; take one of them away."


def test_what_is_still_in_use_doesnt_go() -> None:
    home = small()
    change = Change("Remove", ((home.get("P1"), None),))
    assert refused(home, change) == "Point P1 is still in use by R1, R2; take these away first."
    assert refused(home, Change("Remove", ((home.details, None),))) == "The home itself can't be removed."


def test_what_has_changed_since_is_not_written_over() -> None:
    home = small()
    stale = verbs.edit(home, "P1", name="Mine")
    newer = home.apply(verbs.edit(home, "P1", name="Yours"))
    assert refused(newer, stale) == "Point P1 has changed since; look at it again and repeat."
    assert refused(home, adding(home.get("P1"))) == "Point P1 has changed since; look at it again and repeat."


def test_devices_in_a_circle_are_refused() -> None:
    home = small().apply(adding(Device(id="D2", board="B1", kind="RCD", upstream="D1")))
    sentence = refused(home, verbs.edit(home, "D1", upstream="D2"))
    assert sentence == "Way 1 can't be under itself; choose another device over it."


def test_looking_up() -> None:
    home = small()
    assert (home.code("D1"), home.letter_of("B7"), home.peek("P99"), home.peek("?1")) == ("A1", "?", None, None)
    assert home.find(Point, None) is None
    assert home.used_by("P1") == ("R1", "R2")
    for call, sentence in (
        (lambda: home.get("P99"), "There is no P99 in this home."),
        (lambda: home.take(Device, "P1"), "There is no device P1 in this home."),
    ):
        with pytest.raises(HomeError) as caught:
            call()
        assert str(caught.value) == sentence


def test_used_by_follows_every_change() -> None:
    home = small()
    assert home.used_by("P2") == ("R2",)
    changed = home.apply(verbs.join(home, "P2", "D1"))
    assert set(changed.used_by("P2")) == {"R2", "R3"}
    gone = changed.apply(verbs.remove(changed, "R2"))
    assert gone.used_by("P2") == ("R3",)
    assert Home.of(gone.all()).used_by("P2") == gone.used_by("P2")


def test_ids_sort_as_people_count() -> None:
    assert sorted(["P10", "D3", "P9", "home"], key=natural_key) == ["D3", "P9", "P10", "home"]


def test_an_unsound_home_says_all_that_is_wrong() -> None:
    home = Home.of([Storey(id="G1", name="Ground"), Tag(id="K1", target="P1", device="D1")])
    assert home.problems() == [
        ("K1", "Tag K1 names P1, which is not in this home."),
        ("K1", "Tag K1 names D1, which is not in this home."),
    ]


@pytest.mark.parametrize("field", ["id", "colour"])
def test_a_field_that_isnt_there_cant_be_set(field: str) -> None:
    facts: dict[str, Any] = {field: "P2"}
    with pytest.raises(HomeError, match=f"A point has no {field} to set"):
        verbs.edit(small(), "P1", **facts)


def test_a_record_is_frozen() -> None:
    with pytest.raises(AttributeError):
        small().details.name = "Other"  # type: ignore[misc]  # that is the point
    assert msgspec.structs.replace(small().details, name="Other").name == "Other"
