"""The unit registry, kept out of sight: exact conversions between named units.

The registry takes a third of a second to build, so it is built at the first conversion, never by an import.
"""

from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pint


def convert(value: Fraction, unit: str, to: str) -> Fraction:
    """Give a value in another unit, exactly.

    Raises
    ------
    ValueError
        When the two units measure different things (an ohm is no metre).
    """
    if not is_same_kind(unit, to):
        raise ValueError(f"{unit} and {to} measure different things")
    return Fraction(_registry().Quantity(value, unit).to(to).magnitude)


def is_same_kind(unit: str, other: str) -> bool:
    """Say whether two units measure the same thing."""
    registry = _registry()
    return bool(registry.Unit(unit).dimensionality == registry.Unit(other).dimensionality)


def warm_up() -> None:
    """Build the registry now, for a worker that has time while nobody is typing."""
    _registry()


@cache
def _registry() -> "pint.UnitRegistry[Fraction]":
    import pint

    # Fractions keep the foot exact: 12 ft 6 in is 3810 mm, not 3810.0000000000005.
    return pint.UnitRegistry(non_int_type=Fraction)
