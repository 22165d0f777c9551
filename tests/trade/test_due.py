"""When things are due: figures beside their published source, sources named, the person's own file laid over ours."""

from pathlib import Path

import pytest

from circuitmap.trade import Due, Trade, load

OWN = """
[[due]]
name = "inspection, rented, England"
months = 36
source = "our own insurer, 2026"
edition = "any"
sure = "high"

[[due]]
name = "inspection, holiday let"
what = "inspection"
title = "inspection of a holiday let"
after = "inspection"
tenures = ["holiday"]
months = 36
rank = 40
source = "our own insurer, 2026"
edition = "any"
sure = "high"
"""


@pytest.fixture(scope="module")
def trade() -> Trade:
    return load()


def row(trade: Trade, name: str) -> Due:
    return next(each for each in trade.dues() if each.name == name)


def test_a_rented_home_in_england_is_inspected_every_five_years(trade: Trade) -> None:
    """Published: guide to the electrical safety standards in rented homes, gov.uk: at least every 5 years."""
    found = row(trade, "inspection, rented, England")
    assert (found.months, found.by_law, found.countries) == (5 * 12, True, ("England",))
    assert "gov.uk" in found.source


def test_remedial_work_in_a_rented_home_in_england_has_28_days(trade: Trade) -> None:
    """Published: the same guide; C1, C2 and FI make a report unsatisfactory (Best Practice Guide 4)."""
    found = row(trade, "remedial work, rented, England")
    assert (found.days, found.codes) == (28, ("C1", "C2", "FI"))


def test_an_owner_occupied_home_has_ten_years_or_a_change_of_occupancy(trade: Trade) -> None:
    """From memory: IET Guidance Note 3, Table 3.2."""
    assert row(trade, "inspection, owner-occupied").months == 120
    assert row(trade, "inspection, change of occupancy").after == "change of occupancy"


def test_a_remembered_figure_says_that_it_is(trade: Trade) -> None:
    for each in trade.dues():
        published = "gov.uk" in each.source or "alarm itself" in each.source or "common practice" in each.source
        assert published or "from memory" in each.source, each.name
        assert not each.by_law or each.countries


def test_the_persons_own_file_changes_and_adds_rows(tmp_path: Path) -> None:
    (tmp_path / "due.toml").write_text(OWN, encoding="utf-8")
    trade = load(tmp_path)
    assert row(trade, "inspection, rented, England").months == 36
    assert row(trade, "inspection, rented, England").countries == ("England",)
    assert row(trade, "inspection, holiday let").rank == 40
