"""The area served, and the label it suggests. Common practice, no source."""

import pytest

from circuitmap.circuits import territory
from circuitmap.home.verbs import edit
from circuitmap.words import PointKind
from tests.circuits.house import House


class Terrace(House):
    """Two storeys of a front and a rear room; the front is the bottom of the plan when it is said to be."""

    def __init__(self) -> None:
        super().__init__()
        self.floors = [self.storey("Ground", 0), self.storey("First", 1)]
        names = (("Kitchen", "Front room"), ("Back bedroom", "Front bedroom"))
        for floor, pair in zip(self.floors, names, strict=True):
            for row, name in enumerate(pair):
                self.room(name, floor, (0, 4000 * row, 4000, 4000 * row + 4000))

    def front(self, side: str = "bottom") -> None:
        self.do(edit(self.home, "home", choices=(("front side", side),)))

    def on(self, way: str, *spots: tuple[int, int], kind: PointKind = "socket") -> None:
        """Points by floor (0 or 1) and row (0 rear, 1 front)."""
        for floor, row in spots:
            point = self.point(kind, at=(self.floors[floor], 2000, 4000 * row + 2000))
            self.say(way, point)


@pytest.fixture
def h() -> Terrace:
    return Terrace()


def test_rear_of_both_floors_is_told_once_the_front_is_known(h: Terrace) -> None:
    h.on(h.way(), (0, 0), (0, 0), (1, 0))
    found = territory(h.view("A1"), h.home)
    assert found.divides == "several storeys"
    assert found.label == "Sockets — Kitchen and Back bedroom"
    h.front()
    found = territory(h.view("A1"), h.home)
    assert found.divides == "rear"
    assert found.words == "rear, both floors"
    assert found.label == "Sockets — rear, both floors"
    assert found.storeys == tuple(h.floors)


@pytest.mark.parametrize(
    ("side", "divides"),
    [("bottom", "front"), ("top", "rear"), ("left", "several storeys"), ("window", "several storeys")],
)
def test_the_side_that_was_said_decides(h: Terrace, side: str, divides: str) -> None:
    h.on(h.way(), (0, 1), (1, 1))
    h.front(side)
    assert territory(h.view("A1"), h.home).divides == divides  # what stands on the middle line tells nothing


def test_one_room_names_the_room(h: Terrace) -> None:
    h.on(h.way(), (0, 0), (0, 0))
    found = territory(h.view("A1"), h.home)
    assert (found.divides, found.label) == ("one room", "Sockets — Kitchen")


def test_front_below_and_rear_above_is_mixed(h: Terrace) -> None:
    h.on(h.way(), (0, 1), (0, 1), (1, 0), (1, 0))
    h.front()
    assert territory(h.view("A1"), h.home).divides == "mixed"


def test_one_storey_is_named_by_its_rooms_or_itself(h: Terrace) -> None:
    h.on(h.way(), (0, 0), (0, 1), kind="light")
    found = territory(h.view("A1"), h.home)
    assert (found.divides, found.label) == ("one storey", "Lights — Kitchen and Front room")


def test_a_circuit_all_over_the_house_is_named_by_its_floors(h: Terrace) -> None:
    h.on(h.way(), (0, 0), (0, 1), (1, 0), (1, 1), kind="smoke alarm")
    found = territory(h.view("A1"), h.home)
    assert (found.divides, found.label) == ("several storeys", "Smoke alarms — both floors")


def test_points_listed_under_undrawn_rooms_serve_as_well(h: Terrace) -> None:
    a = h.way()
    for name in ("Utility", "Porch", "Shed", "Loft"):
        h.say(a, h.point(room=h.room(name)))
    found = territory(h.view("A1"), h.home)
    assert found.words == "Utility, Porch, Shed and 1 more"


def test_nothing_known_gives_no_words(h: Terrace) -> None:
    a = h.way()
    h.say(a, h.point())
    found = territory(h.view("A1"), h.home)
    assert (found.divides, found.words, found.label) == ("nothing known", "", "Sockets")


@pytest.mark.parametrize(
    ("kinds", "what"),
    [
        (["shower"], "Shower"),
        (["cooker connection unit", "socket"], "Cooker connection unit"),
        (["socket", "socket", "fused unit", "boiler"], "Sockets"),
        (["light", "light", "smoke alarm"], "Lights"),
        (["boiler"], "Boiler"),
        (["fused unit"], "Fused connection unit"),
        (["fused unit", "towel rail", "panel heater", "towel rail"], "Towel rail and panel heater"),
        ([], "Nothing found"),
    ],
)
def test_what_is_fed_names_the_label(h: Terrace, kinds: list[PointKind], what: str) -> None:
    a = h.way()
    for kind in kinds:
        h.say(a, h.point(kind))
    assert territory(h.view("A1"), h.home).label == what
