"""What a record names is followed, wherever in it an id may stand."""

import itertools

import msgspec
import pytest

from circuitmap.home.records import KINDS, Device, End, Point, Record, Room, Round, Run
from circuitmap.home.refs import refs_of, without
from tests.home.full import record_of


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_every_id_that_the_schema_lets_stand_in_a_record_is_followed(kind: type[Record]) -> None:
    planted: list[str] = []
    numbers = itertools.count(1)

    def plant(letter: str) -> str:
        planted.append(f"{letter}{next(numbers)}")
        return planted[-1]

    record = record_of(kind, plant)
    # independent: the ids were planted from the JSON Schema, not from the annotations that refs reads
    assert sorted([*refs_of(record), *([record.id] if kind.letter else [])]) == sorted(planted)


def test_the_kinds_name_each_other_at_all() -> None:
    named = {letter for kind in KINDS.values() for letter in _letters(kind)}
    assert {"G", "B", "D", "P", "T", "V", "S", "R", "I", "W", "M"} <= named


def _letters(kind: type[Record]) -> set[str]:
    return {ref[0] for ref in refs_of(record_of(kind, lambda letter: f"{letter}1"))}


def test_a_run_goes_with_what_it_was_joined_to() -> None:
    assert without(Run(id="R1", a=End(at="P1"), b=End(at="P2")), {"P2"}) is None


def test_an_optional_reference_is_emptied_and_a_list_loses_its_entry() -> None:
    assert without(Device(id="D2", board="B1", kind="MCB", upstream="D1"), {"D1"}) == Device(
        id="D2", board="B1", kind="MCB"
    )
    assert without(Point(id="P1", kind="switch", controls=("P2", "P3")), {"P2"}) == Point(
        id="P1", kind="switch", controls=("P3",)
    )


def test_a_drawn_room_without_its_storey_is_a_name_only() -> None:
    room = Room(id="M1", name="Hall", storey="G1", outline_mm=((0, 0), (1, 0), (1, 1)))
    assert without(room, {"G1"}) == Room(id="M1", name="Hall")


def test_a_switch_off_of_devices_now_gone_doesnt_turn_into_everything_on() -> None:
    record = Round(id="S1", visit="V1", off=("D1",))
    assert without(record, {"D1"}) is None
    assert without(msgspec.structs.replace(record, off=("D1", "D2")), {"D1"}) == Round(id="S1", visit="V1", off=("D2",))
