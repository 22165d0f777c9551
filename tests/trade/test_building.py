"""Sizes of buildings and the figures of Section 701, by edition."""

import pytest

from circuitmap.errors import OurError
from circuitmap.trade import Trade, load
from circuitmap.words import FIXTURE_KINDS


@pytest.fixture(scope="module")
def trade() -> Trade:
    return load()


@pytest.mark.parametrize("kind", FIXTURE_KINDS)
def test_every_fixture_word_has_its_size(trade: Trade, kind: str) -> None:
    row = trade.fixture(kind)  # type: ignore[arg-type]  # the words come from the tuple of the vocabulary
    assert row.kind == kind
    assert 50 <= row.deep_mm <= 4000
    assert 50 <= row.wide_mm <= 4000
    assert 0 <= row.top_mm <= 2200


def test_the_sizes_are_in_millimetres_and_in_order(trade: Trade) -> None:
    # Source: BS 4787-1 and imperial leaves of 2 ft to 3 ft, from memory: 610 to 926 mm.
    assert 610 == trade.size_mm("door leaf least") < trade.size_mm("door leaf most") < trade.size_mm("double door most")
    assert trade.size_mm("inner wall") < trade.size_mm("outer wall")
    assert {row.unit for row in trade.size_rows.values()} == {"mm"}
    with pytest.raises(OurError):
        trade.size_mm("roof")


def test_the_distance_of_sockets_from_a_bath_went_down_with_amendment_2(trade: Trade) -> None:
    # Source: BS 7671 701.512.3, 3 m up to 18th+A1 (quoted), 2.5 m from A2:2022 (from memory).
    held = {edition: trade.limit("socket from zone 1 m", edition).value for edition in trade.editions}
    assert held == {"17th": 3.0, "18th": 3.0, "18th+A2": 2.5, "18th+A4": 2.5}


def test_the_zones_have_the_figures_of_section_701(trade: Trade) -> None:
    # Source: BS 7671 701.32, text of the section as quoted.
    names = ("zone 1 top m", "zone 2 width m", "zone 1 radius without tray m", "zone 0 top without tray m")
    assert [trade.limit(name, "18th+A2").value for name in names] == [2.25, 0.6, 1.2, 0.1]


def test_the_zones_of_walls_have_the_figures_of_the_regulation(trade: Trade) -> None:
    # Source: regulation 522.6.6(v) as quoted, now 522.6.202: 150 mm, walls to 100 mm thick; 50 mm deep needs no zone.
    names = ("zone below ceiling mm", "zone beside corner mm", "zone reaches through mm", "concealed depth mm")
    assert [trade.limit(name, "18th+A2").value for name in names] == [150, 150, 100, 50]


@pytest.mark.parametrize(
    ("name", "side", "value"),
    [
        ("notch from support share", "building control", 0.07),  # LABC, notches and holes in solid timber joists
        ("notch from support share", "warranty body", 0.1),  # NHBC Standards 6.4.18
        ("notch to middle share", "building control", 0.25),
        ("notch to middle share", "warranty body", 0.2),
        ("notch of depth share", "building control", 0.125),
        ("notch of depth share", "warranty body", 0.15),
    ],
)
def test_both_sides_of_the_disagreement_on_notches_are_there(trade: Trade, name: str, side: str, value: float) -> None:
    assert trade.limit(name, "18th+A2", [(name, side)]).value == value


def test_efforts_are_in_minutes_and_in_order(trade: Trade) -> None:
    # Common practice, no source: block is softer than brick, concrete takes more than twice as long.
    assert {row.unit for row in trade.effort_rows.values()} == {"min", "min/m"}
    effort = trade.effort_min
    assert effort("chase block") < effort("chase brick") < effort("chase concrete") / 2
    with pytest.raises(OurError):
        effort("tea")
