"""Rows of diversity and of let-through energy: complete, in order, and refused where they make no sense."""

from pathlib import Path
from typing import get_args

import pytest

from circuitmap.design.supply import Use
from circuitmap.errors import TradeError
from circuitmap.trade import load

SOURCE = 'source = "measured by me, 2025"\nedition = "any"\nsure = "low"\n'


def test_every_use_has_its_row_and_no_row_is_without_one() -> None:
    assert tuple(load().diversity_rows) == get_args(Use)


def test_the_shares_are_those_of_the_published_table() -> None:
    """The Electrician's Guide, 5th ed., Table 6.2 (= On-Site Guide Table A2), individual household."""
    rows = load().diversity_rows
    assert rows["lighting"].shares == (0.66,)
    assert (rows["heating and power"].full_a, rows["heating and power"].shares) == (10, (0.5,))
    cooking = rows["cooking"]
    assert (cooking.full_a, cooking.shares, cooking.socket_a) == (10, (0.3,), 5)
    assert rows["motors"].shares == (1, 0.8, 0.6)
    assert rows["instantaneous water heaters"].shares == (1, 1, 0.25)
    assert rows["standard circuits"].shares == (1, 0.4)
    assert {rows[use].shares for use in ("water heaters", "floor warming", "storage heating")} == {(1,)}


def test_a_larger_breaker_and_a_larger_fault_let_more_through() -> None:
    rows = load().let_throughs
    for row in rows:
        larger = [o for o in rows if o.type == row.type and o.up_to_ka >= row.up_to_ka and o.up_to_a >= row.up_to_a]
        assert all(other.a2s >= row.a2s for other in larger)
    assert len(rows) == 12


def test_a_home_may_have_its_own_share_and_nonsense_is_refused(tmp_path: Path) -> None:
    own = '[[diversity]]\nuse = "lighting"\nshares = [0.5]\n' + SOURCE
    (tmp_path / "demand.toml").write_text(own, encoding="utf-8")
    assert load(tmp_path).diversity_rows["lighting"].shares == (0.5,)
    for wrong in ("shares = [1.5]", "shares = []", "shares = [0.5, 0.2]\nfull_a = 10"):
        (tmp_path / "demand.toml").write_text(own.replace("shares = [0.5]", wrong), encoding="utf-8")
        with pytest.raises(TradeError, match="lighting"):
            load(tmp_path)
