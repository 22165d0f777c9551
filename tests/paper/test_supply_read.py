"""Ze and the fault current on paper: what was read as read, what was only noted as noted."""

from msgspec.structs import replace

from circuitmap.home import Change, Home, verbs
from circuitmap.home.exchange import open_home
from circuitmap.home.records import Reading, Supply
from circuitmap.paper.supply_read import NOT_READ, pfc_said, ze_said
from circuitmap.places import sample_homes
from tests.paper.handed import SAMPLES


def terrace() -> tuple[Home, Supply]:
    home = open_home(sample_homes() / "older-terrace")
    return home, home.sorted(Supply)[0]


def test_a_reading_is_told_with_its_board() -> None:
    home, supply = terrace()
    assert ze_said(home, supply) == "0.24 Ω, read at board A"
    assert pfc_said(home, supply) == "0.98 kA, read at board A"


def test_what_was_noted_otherwise_stands_behind_the_reading() -> None:
    home, supply = terrace()
    assert pfc_said(home, replace(supply, pfc_ka=0.96)) == "0.98 kA, read at board A (noted: 0.96 kA)"


def test_without_a_reading_it_is_said_to_be_noted() -> None:
    home, supply = terrace()
    readings = [each for each in home.sorted(Reading) if each.test in ("Ze", "PFC")]
    bare = home.apply(Change("Gone", tuple((each, None) for each in readings)))
    assert ze_said(bare, supply) == "0.24 Ω, as noted"
    assert pfc_said(bare, replace(supply, pfc_ka=None)) == NOT_READ


def test_a_bound_is_said_with_its_sign() -> None:
    home, supply = terrace()
    reading = next(each for each in home.sorted(Reading) if each.test == "PFC")
    over = home.apply(verbs.edit(home, reading.id, bound=">"))
    assert pfc_said(over, supply).startswith(">0.98 kA")


def test_the_sample_homes_note_what_their_meters_read() -> None:
    for name in SAMPLES:
        home = open_home(sample_homes() / name)
        for supply in home.sorted(Supply):
            assert "(noted" not in ze_said(home, supply) + pfc_said(home, supply), name
