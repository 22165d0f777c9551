"""Every row is honest, every word has its row, and the rows mean what the trade means."""

import tomllib
from collections.abc import Iterator
from typing import get_args

import pytest
from msgspec import Struct

from circuitmap.places import resources
from circuitmap.trade import Trade, load
from circuitmap.trade.rows import HowChecked, Sourced
from circuitmap.trade.tables import FILES, SPECS, read
from circuitmap.words import DEVICE_KINDS, HOW_SWITCHED, POINT_KINDS, SEVERITIES, IfOff


@pytest.fixture(scope="module")
def trade() -> Trade:
    return load()


def all_rows() -> Iterator[tuple[str, Struct]]:
    for table, rows in read(resources() / "trade", None).items():
        for row in rows.values():
            yield table, row


def test_every_file_of_the_folder_is_read_and_every_table_has_rows() -> None:
    assert {path.name for path in (resources() / "trade").glob("*.toml")} == set(FILES)
    filled = {table for table, _ in all_rows()}
    assert filled == {spec.table for spec in SPECS}


def test_every_row_says_source_edition_and_how_sure() -> None:
    sourced = [(table, row) for table, row in all_rows() if isinstance(row, Sourced)]
    assert len(sourced) > 200
    for table, row in sourced:
        assert len(row.source) >= 8, (table, row)
        assert row.edition, (table, row)
        assert row.sure in ("high", "medium", "low"), (table, row)


def test_a_value_from_memory_is_never_passed_off_as_a_publication() -> None:
    """What the tables call "from memory" names the standard it is remembered from."""
    for table, row in all_rows():
        if isinstance(row, Sourced) and "from memory" in row.source:
            named = row.source.replace("from memory", "")
            assert any(sign.isdigit() for sign in named), (table, row.source)


@pytest.mark.parametrize("kind", POINT_KINDS)
def test_every_point_word_has_its_row(trade: Trade, kind: str) -> None:
    row = trade.point(kind)  # type: ignore[arg-type]  # the words come from the tuple of the vocabulary
    assert row.kind == kind == row.symbol
    assert row.title
    assert row.plural
    assert row.checked in get_args(HowChecked)
    assert row.if_off == "" or row.if_off in get_args(IfOff)
    assert 0 <= row.cables[0] <= row.cables[1]
    assert row.checkable == (row.checked != "not") or row.checked == "at load"


@pytest.mark.parametrize("kind", DEVICE_KINDS)
def test_every_device_word_has_its_row(trade: Trade, kind: str) -> None:
    row = trade.device(kind)  # type: ignore[arg-type]  # the words come from the tuple of the vocabulary
    assert row.kind == kind
    assert row.title
    assert row.how_switched in HOW_SWITCHED
    assert list(row.ratings_a) == sorted(row.ratings_a)


def test_no_row_is_left_for_a_word_that_is_gone(trade: Trade) -> None:
    assert {row.kind for row in trade.points()} == set(POINT_KINDS)
    assert {row.kind for row in trade.devices()} == set(DEVICE_KINDS)


def test_switches_joints_and_blanks_are_no_points(trade: Trade) -> None:
    """BS 7671 Part 2, from memory: a point is where current-using equipment is to be connected."""
    uncounted = {row.kind for row in trade.points() if not row.counts_as_point}
    assert {"switch", "dimmer", "grid switch", "isolator", "junction box", "blank plate", "not connected"} <= uncounted
    assert not uncounted & {"socket", "light", "fused unit", "boiler", "shower", "smoke alarm"}


def test_a_switch_is_not_checked_and_a_fused_unit_is_checked_at_its_load(trade: Trade) -> None:
    """Common practice, no source."""
    assert not trade.point("switch").checkable
    assert trade.point("fused unit").checked == "at load"
    assert [row.kind for row in trade.points() if row.through_fuse] == ["fused unit"]


def test_what_spoils_or_guards_is_sensitive_from_the_start(trade: Trade) -> None:
    for kind in ("smoke alarm", "CO alarm", "alarm panel", "boiler", "stairlift", "sump pump", "data cabinet"):
        assert trade.point(kind).is_sensitive, kind  # type: ignore[arg-type]  # words of the vocabulary
    assert not trade.point("socket").is_sensitive


def test_fuses_are_pulled_and_never_feed_back(trade: Trade) -> None:
    for row in trade.devices():
        if row.kind.startswith("fuse"):
            assert row.how_switched == "pull carrier"
            assert row.overcurrent
            assert row.feeds_circuit
            assert row.switches_neutral is False
    assert {row.kind for row in trade.points() if row.can_feed_back} == {"PV inverter", "battery"}


def test_a_voltage_elcb_gives_no_residual_current_protection(trade: Trade) -> None:
    assert [row.kind for row in trade.devices() if row.residual_current] == ["RCD", "RCBO", "RCD BS 4293"]


def test_whether_an_rcbo_switches_the_neutral_is_not_known_from_its_kind(trade: Trade) -> None:
    assert trade.device("RCBO").switches_neutral is None
    assert trade.device("MCB").switches_neutral is False
    assert trade.device("RCD").switches_neutral is True


def test_cables_not_to_be_extended_say_why(trade: Trade) -> None:
    old = [cable for cable in trade.cables() if cable.kind in ("imperial", "rubber", "lead", "aluminium")]
    assert len(old) >= 10
    assert all(cable.do_not_extend and cable.why_not for cable in old)
    no_cpc = trade.cable("T 1.0 no cpc")
    assert no_cpc is not None
    assert no_cpc.cpc_mm2 == 0
    assert no_cpc.do_not_extend


def test_suggested_codes_are_words_of_the_vocabulary_and_never_c1(trade: Trade) -> None:
    for needs in trade.rcd_rows.values():
        for need in needs:
            assert need.code in SEVERITIES
            assert "C1" not in (need.code, need.worse_code)


def test_tables_carry_no_type_numbers_of_makers_or_catalogues() -> None:
    for name in FILES:
        text = (resources() / "trade" / name).read_text(encoding="utf-8")
        assert tomllib.loads(text)
        assert "6242" not in text
        assert "/work" not in text
