"""The table of rings drawn from two sweeps still comes out, on a handful of rings."""

import pytest

from circuitmap.readings.predict import Meter
from tests.bench.order_rows import main, order_rows, read, ring_at_random


def test_every_row_comes_out_and_no_share_is_over_one() -> None:
    rows = order_rows(4)
    assert [each.rings for each in rows] == [4] * len(rows)
    for each in rows:
        assert 0 <= each.all <= min(each.order, each.spurs)
        assert each.order <= each.order_fair <= 1
        assert each.spurs <= each.spurs_fair <= 1
        assert each.take_off <= each.take_off_fair <= 1
        assert each.points >= each.spurs


def test_the_meter_errs_and_shows_two_decimals() -> None:
    truth = ring_at_random(1)
    given = read(truth, 1, Meter())
    true = truth.true_ohm("one leg", ("L", "E"))
    shown = {point.at: point.near_ohm for point in given.points}
    assert set(shown) == {*truth.order, *truth.take_off}
    assert all(ohm == round(ohm, 2) for ohm in shown.values())
    off = [shown[at] / true[at] - 1 for at in shown]
    assert 0.002 < max(map(abs, off)) < 0.1


def test_plugs_add_what_they_are_said_to() -> None:
    truth = ring_at_random(1)
    clean, plugged = (read(truth, 1, Meter(0.0, 1e-6), contact) for contact in ((0.0, 0.0), (0.01, 0.05)))
    added = [b.across_ohm - a.across_ohm for a, b in zip(clean.points, plugged.points, strict=True)]
    assert 0.01 <= min(added) < max(added) <= 0.05


def test_no_number_gives_the_order_away() -> None:
    as_numbered = sum(
        list(truth.order) == sorted(truth.order, key=lambda at: int(at[1:])) for truth in map(ring_at_random, range(20))
    )
    assert as_numbered == 0


def test_the_table_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    main(["--seeds", "2"])
    printed = capsys.readouterr().out
    assert "at terminals, 1 %" in printed
    assert "at plugs" in printed
