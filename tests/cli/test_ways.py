"""Ways by their codes, and tables that fit a terminal."""

from typing import get_args

import pytest

from circuitmap.cli import UsageError
from circuitmap.cli.ways import WIDE, table, titled, way_of
from circuitmap.wiring.shape import SHAPE_WORDS, ShapeKind
from tests.circuits.house import House


def test_a_way_is_found_by_code_or_id_however_it_is_typed() -> None:
    house = House()
    first = house.way(label="Ring\nkitchen")
    house.way()
    held = house.views()
    assert [way_of(held, typed).device.id for typed in ("A1", "a1", " a 1 ", first.lower())] == [first] * 4
    assert titled(held[0]) == "A1 Ring kitchen: no run drawn, 0 points"
    with pytest.raises(UsageError, match="No way is called “A3”; there are: A1, A2"):
        way_of(held, "A3")
    with pytest.raises(UsageError, match="there are: none"):
        way_of((), "A3")


def test_shapes_are_called_as_the_trade_calls_them() -> None:
    house = House()
    way = house.way(label="Shower")
    house.run(way, house.point("shower"))
    assert titled(house.views()[0]) == "A1 Shower: feeds one thing, 1 point"
    assert set(SHAPE_WORDS) == set(get_args(ShapeKind))


def test_figures_stand_to_the_right_and_words_to_the_left() -> None:
    assert list(table(("Point", "Ω", "Room"), [("P1", "0.5", "Hall"), ("P12", "10.25", "")], figures=[1])) == [
        "  Point      Ω  Room",
        "  P1       0.5  Hall",
        "  P12    10.25",
    ]


def test_the_last_column_is_wrapped_under_itself() -> None:
    lines = list(table(("Level", "Says"), [("fails", "word " * 40)]))
    assert all(len(line) <= WIDE for line in lines)
    assert len(lines) > 3
    assert all(line.startswith(" " * 9 + "word") for line in lines[2:])
