"""A meter for ring tests gives 4 to 24 V open and at least 200 mA short (from memory: BS EN 61557-4)."""

import pytest

from circuitmap.readings.meter import judge_meter
from circuitmap.readings.verdict import Rules
from circuitmap.trade import load


@pytest.mark.parametrize(
    ("open_v", "short_ma", "level"),
    [(4, 200, "fine"), (24, 210, "fine"), (3, 200, "query"), (30, 200, "query"), (9, 1.5, "query"),
     (None, 200, "can't tell"), (9, None, "can't tell")],
)  # fmt: skip
def test_a_meter_is_fit_between_4_and_24_volts_with_200_milliamperes(
    open_v: float | None, short_ma: float | None, level: str
) -> None:
    assert judge_meter(Rules(load()), open_v, short_ma).level == level
