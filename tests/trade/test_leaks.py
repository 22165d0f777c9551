"""Where a low insulation reading is suspected, what it takes to look: a row for every kind, the trade's order kept."""

from pathlib import Path

import pytest

from circuitmap.errors import OurError
from circuitmap.trade import Trade, load
from circuitmap.words import POINT_KINDS

SOURCE = 'source = "jobs of our own firm, 2025"\nedition = "any"\nsure = "low"\n'


@pytest.fixture(scope="module")
def trade() -> Trade:
    return load()


def test_every_kind_of_point_takes_minutes_to_open_and_no_kind_stands_in_two_rows(trade: Trade) -> None:
    for kind in POINT_KINDS:
        assert trade.opening(kind).minutes >= trade.access("open").minutes
        assert sum(kind in row.kinds for row in trade.access_rows.values()) <= 1


def test_what_is_connected_at_a_kind_of_point_stands_in_one_row_at_most(trade: Trade) -> None:
    for kind in POINT_KINDS:
        assert len(trade.suspicions("equipment", kind)) <= 1


def test_equipment_is_suspected_before_the_wiring(trade: Trade) -> None:
    """Common practice, no source: more often than the wiring it is what is connected to it, or damp in that."""
    wiring = trade.suspicion("cable").times
    for name in ("plugged in", "equipment", "behind a switched unit", "heating element"):
        row = trade.suspicion(name)
        assert row.at(to_earth=True) > wiring
        assert row.comes_off in ("unplug", "switch off", "wired in")


def test_neons_usb_sockets_dimmers_and_sensors_explain_line_to_neutral_lows(trade: Trade) -> None:
    """Common practice, no source."""
    for kind in ("usb socket", "dimmer", "PIR switch", "fused unit"):
        (row,) = trade.suspicions("built in", kind)
        assert row.at(to_earth=False) >= 10 * row.at(to_earth=True)


def test_a_fact_that_is_alike_for_both_pairs_says_so_once(trade: Trade) -> None:
    row = trade.suspicion("damp seen")
    assert row.at(to_earth=True) == row.at(to_earth=False) == row.times


def test_a_junction_box_out_of_sight_costs_most(trade: Trade) -> None:
    assert trade.opening("junction box").minutes == max(trade.opening(kind).minutes for kind in POINT_KINDS)
    assert trade.access("open out of reach").minutes > trade.opening("junction box").minutes
    assert trade.access("unplug").minutes < trade.access("open").minutes


def test_no_figure_passes_for_more_than_it_is(trade: Trade) -> None:
    for row in (*trade.suspicion_rows.values(), *trade.access_rows.values()):
        assert row.sure == "low"
        assert "invented" in row.source or "range" in row.source


def test_an_own_row_changes_what_a_fact_counts(trade: Trade, tmp_path: Path) -> None:
    row = '[[suspicion]]\nname = "damp seen"\npart = "any"\ntimes = 3\n'
    (tmp_path / "leaks.toml").write_text(row + SOURCE, encoding="utf-8")
    assert load(tmp_path).suspicion("damp seen").times == 3
    assert trade.suspicion("damp seen").times == 15


def test_an_unknown_name_is_our_mistake(trade: Trade) -> None:
    with pytest.raises(OurError, match="No suspicion"):
        trade.suspicion("gremlins")
    with pytest.raises(OurError, match="No access"):
        trade.access("teleport")
