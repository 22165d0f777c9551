"""Currents, powers and resistances as people type them."""

from fractions import Fraction
from typing import Final

from circuitmap.errors import QuantityError
from circuitmap.quantities.convert import convert
from circuitmap.quantities.typed import Wanted, name_of_other_kind, read_parts

# Letters are kept as typed: a milliohm and a megohm differ by nothing but the size of their M.
CURRENT_UNITS: Final = {
    "A": "ampere", "a": "ampere", "amp": "ampere", "amps": "ampere", "Amp": "ampere", "Amps": "ampere",
    "ampere": "ampere", "amperes": "ampere", "mA": "milliampere", "ma": "milliampere", "kA": "kiloampere",
}  # fmt: skip
_CURRENT: Final = Wanted("a current", "32 A", CURRENT_UNITS)
_POWER: Final = Wanted(
    "a power",
    "2.9 kW",
    {"W": "watt", "w": "watt", "watt": "watt", "watts": "watt", "kW": "kilowatt", "kw": "kilowatt", "KW": "kilowatt",
     "kilowatt": "kilowatt", "kilowatts": "kilowatt"},
)  # fmt: skip
RESISTANCE_UNITS: Final = {
    "Ω": "ohm", "ohm": "ohm", "ohms": "ohm", "Ohm": "ohm", "Ohms": "ohm", "R": "ohm", "mΩ": "milliohm",
    "mohm": "milliohm", "milliohm": "milliohm", "milliohms": "milliohm", "kΩ": "kiloohm", "kohm": "kiloohm",
    "MΩ": "megaohm", "Mohm": "megaohm", "megohm": "megaohm", "megohms": "megaohm",
}  # fmt: skip
_RESISTANCE: Final = Wanted("a resistance", "0.55 Ω", RESISTANCE_UNITS)

MOST_A: Final = 100_000.0
MOST_W: Final = 1_000_000.0
MOST_OHM: Final = 1e12


def parse_current_a(typed: str) -> float:
    """Read a typed current in amperes; a bare number is amperes (``32``, ``32A``, ``30 mA``).

    Raises
    ------
    QuantityError
        When the text is no current, or zero, or more than any supply can give.
    """
    return _parse(typed, _CURRENT, "ampere", MOST_A)


def parse_power_w(typed: str) -> float:
    """Read a typed power in watts; a bare number is watts (``2900``, ``2.9 kW``).

    Raises
    ------
    QuantityError
        When the text is no power, or zero, or more than any home takes.
    """
    return _parse(typed, _POWER, "watt", MOST_W)


def parse_resistance_ohm(typed: str) -> float:
    """Read a typed resistance in ohms; a bare number is ohms (``.55``, ``0.55 ohm``, ``550 mΩ``). Zero is allowed.

    Raises
    ------
    QuantityError
        When the text is no resistance.
    """
    return _parse(typed, _RESISTANCE, "ohm", MOST_OHM, zero=True)


def _parse(typed: str, wanted: Wanted, unit: str, most: float, *, zero: bool = False) -> float:
    parts = read_parts(typed, wanted)
    if len(parts) > 1:
        raise QuantityError(typed, wanted.name, f"there is more than one number; write it like {wanted.example}")
    (part,) = parts
    given = wanted.unit(part.unit) if part.unit else unit
    if given is None:
        other = name_of_other_kind(part.unit)
        why = f"{part.unit} is {other}" if other else f"{part.unit} is no unit we know for it"
        raise QuantityError(typed, wanted.name, f"{why}; write it like {wanted.example}")
    value = part.value if given == unit else convert(part.value, given, unit)
    if value == 0 and not zero:
        raise QuantityError(typed, wanted.name, "it must be more than zero")
    if value > Fraction(most):
        raise QuantityError(typed, wanted.name, "it is more than any home has; check the unit")
    return float(value)
