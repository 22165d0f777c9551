import pytest

from circuitmap.errors import QuantityError
from circuitmap.quantities.electrical import parse_current_a, parse_power_w, parse_resistance_ohm


@pytest.mark.parametrize(
    ("typed", "current_a"), [("32", 32), ("32A", 32), ("32 amps", 32), ("30 mA", 0.03), ("0,5 A", 0.5), ("6 kA", 6000)]
)
def test_a_bare_current_is_amperes(typed, current_a):
    assert parse_current_a(typed) == pytest.approx(current_a, rel=1e-12)


@pytest.mark.parametrize(("typed", "power_w"), [("2.9 kW", 2900), ("2900", 2900), ("60W", 60), ("9.5KW", 9500)])
def test_a_bare_power_is_watts(typed, power_w):
    assert parse_power_w(typed) == pytest.approx(power_w, rel=1e-12)


@pytest.mark.parametrize(
    ("typed", "resistance_ohm"),
    [(".55", 0.55), ("0.55 ohm", 0.55), ("550 mΩ", 0.55), ("0", 0), ("200 MΩ", 200e6), ("0.55 \u2126", 0.55)],
)
def test_a_bare_resistance_is_ohms(typed, resistance_ohm):
    assert parse_resistance_ohm(typed) == pytest.approx(resistance_ohm, rel=1e-12)


def test_the_size_of_the_letter_m_tells_milliohms_from_megohms():
    assert parse_resistance_ohm("1 MΩ") / parse_resistance_ohm("1 mΩ") == pytest.approx(1e9)


@pytest.mark.parametrize(
    ("parse", "typed", "says"),
    [
        (parse_current_a, "0", "more than zero"),
        (parse_current_a, "-6 A", "more than zero"),
        (parse_current_a, "32 kW", "kW is a power"),
        (parse_current_a, "13 6", "more than one number"),
        (parse_current_a, "B32", "write a number"),
        (parse_current_a, "1000 kA", "more than any home"),
        (parse_power_w, "2 GW", "GW is no unit"),
        (parse_power_w, "3 m", "m is a length"),
        (parse_resistance_ohm, "OL", "write a number"),
        (parse_resistance_ohm, "", "nothing was typed"),
    ],
)
def test_what_is_none_of_it_gets_one_clear_sentence(parse, typed, says):
    with pytest.raises(QuantityError, match=says):
        parse(typed)
