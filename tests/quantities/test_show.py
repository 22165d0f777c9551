import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.quantities import (
    parse_length_mm,
    parse_resistance_ohm,
    show_area,
    show_current,
    show_length,
    show_ohm,
    show_percent,
    show_power,
    show_size,
)


@pytest.mark.parametrize(
    ("shown", "text"),
    [
        (show_length(762), "762 mm"),
        (show_length(999.7), "1.00 m"),
        (show_length(3810), "3.81 m"),
        (show_length(2_500_000), "2.50 km"),
        (show_area(88), "88.0 m²"),
        (show_area(141.26), "141 m²"),
        (show_ohm(0.55), "0.55 Ω"),
        (show_ohm(12.34), "12.3 Ω"),
        (show_ohm(1667), "1.67 kΩ"),
        (show_ohm(200e6), "200 MΩ"),
        (show_ohm(999.7), "1 kΩ"),
        (show_ohm(2000e6), "2000 MΩ"),
        (show_current(0.03), "30 mA"),
        (show_current(32), "32 A"),
        (show_power(60), "60 W"),
        (show_power(2900), "2.9 kW"),
        (show_size(1), "1.0 mm²"),
        (show_size(0.75), "0.75 mm²"),
        (show_size(1.25), "1.25 mm²"),
        (show_size(2.5), "2.5 mm²"),
        (show_size(16), "16 mm²"),
        (show_percent(0.062), "6.2 %"),
        (show_percent(0.125), "12 %"),
    ],
)
def test_quantities_are_shown_as_the_trade_writes_them(shown, text):
    assert shown == text


@given(st.floats(min_value=1, max_value=9e6))
def test_a_shown_length_reads_back_within_what_it_shows(length_mm):
    assert parse_length_mm(show_length(length_mm)) == pytest.approx(length_mm, rel=0.006, abs=0.5)


@given(st.floats(min_value=0, max_value=1e9))
def test_a_shown_resistance_reads_back_within_what_it_shows(resistance_ohm):
    assert parse_resistance_ohm(show_ohm(resistance_ohm)) == pytest.approx(resistance_ohm, rel=0.006, abs=0.0051)
