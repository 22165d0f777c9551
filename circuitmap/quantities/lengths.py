"""Lengths as people type them: metric, feet and inches, fractions of an inch; sizes of rooms."""

import re
from fractions import Fraction
from typing import Final

from circuitmap.errors import QuantityError
from circuitmap.quantities.convert import convert
from circuitmap.quantities.typed import LONGEST, Part, Wanted, name_of_other_kind, read_parts

LONGEST_MM: Final = 10_000_000.0
SHORTEST_MM: Final = 0.1

# No room is 60 m long and no wall shorter than 0.3 m: what lies between could be feet or centimetres.
_METRES_BELOW: Final = 60
_MM_FROM: Final = 300
# Beside metres, a bare number below this could be centimetres as well as millimetres.
_MM_BESIDE_METRES: Final = 1000
_SHORTEST_SIDE_MM: Final = 100
# Metres beside millimetres: a room so long and thin was mistyped rather than meant.
_LONG_AND_THIN: Final = 10
_BY: Final = re.compile(r"[×✕*]|x|by", re.IGNORECASE)

_LENGTH: Final = Wanted(
    "a length",
    "3.2 m or 12 ft 6 in",
    {
        "mm": "millimeter", "millimetre": "millimeter", "millimetres": "millimeter", "millimeter": "millimeter",
        "millimeters": "millimeter", "cm": "centimeter", "centimetre": "centimeter", "centimetres": "centimeter",
        "centimeter": "centimeter", "centimeters": "centimeter", "m": "meter", "metre": "meter", "metres": "meter",
        "meter": "meter", "meters": "meter", "km": "kilometer", "kilometre": "kilometer", "kilometres": "kilometer",
        "ft": "foot", "foot": "foot", "feet": "foot", "'": "foot", "in": "inch", "inch": "inch", "inches": "inch",
        "ins": "inch", '"': "inch", "''": "inch", "yd": "yard", "yard": "yard", "yards": "yard", "yds": "yard",
    },
    any_case=True,
)  # fmt: skip
# Each unit may be followed by these, coarse to fine, and must then be less than one of the unit before.
_FINER: Final = {
    "yard": ("foot", "inch"), "foot": ("inch",), "meter": ("centimeter", "millimeter"), "centimeter": ("millimeter",),
    "kilometer": ("meter",),
}  # fmt: skip


def parse_length_mm(typed: str, *, default_unit: str = "") -> float:
    """Read a typed length: ``3.2 m``, ``320 cm``, ``12 ft 6 in``, ``12' 6"``, ``6 1/2 in``.

    The foot is 0.3048 m exactly. **Source:** international yard and pound agreement, 1959.

    Parameters
    ----------
    typed
        What stands in the entry, as it is.
    default_unit
        The unit of a bare number, as one would type it; without one a bare number is asked for its unit.

    Returns
    -------
    float
        The length in millimetres, between 0.1 mm and 10 km.

    Raises
    ------
    QuantityError
        When the text is no length, or not one that a home has.
    """
    parts = read_parts(typed, _LENGTH)
    if not any(part.value for part in parts):
        raise QuantityError(typed, _LENGTH.name, "it must be more than zero")
    units = _units(typed, parts, default_unit)
    total = Fraction(0)
    before = ""
    for part, unit in zip(parts, units, strict=True):
        if before:
            _check_follows(typed, before, part, unit)
        total += convert(part.value, unit, "millimeter")
        before = unit
    if total > LONGEST_MM:
        raise QuantityError(typed, _LENGTH.name, "it is more than 10 km; check the unit")
    if total < SHORTEST_MM:
        raise QuantityError(typed, _LENGTH.name, "it is less than a tenth of a millimetre; check the unit")
    return float(total)


def parse_room_length_mm(typed: str) -> float:
    """Read the length of a room or a wall: as any length, but a bare number is taken as it is said.

    ``3.6`` and ``3,60`` are metres, ``3600`` millimetres; between the two (60 to 300) a bare number is asked for its
    unit.

    Returns
    -------
    float
        The length in millimetres.

    Raises
    ------
    QuantityError
        When the text is no length, or a bare number could be read two ways.
    """
    return parse_length_mm(typed, default_unit=_bare_unit(read_parts(typed, _LENGTH)))


def parse_room_size_mm(typed: str) -> tuple[float, float]:
    """Read the size of a room: ``3.6 × 4.2``, ``3600 x 4200``, ``3600 x 4.2``, ``12' 6" by 10'``, ``12 x 10 ft``.

    A unit that stands behind one of the two lengths only holds for both where a room can be that long in it. Two bare
    numbers are each taken as they are said; metres beside millimetres only where no other reading makes a room.

    Returns
    -------
    tuple of float
        Both lengths in millimetres, in the order in which they were typed.

    Raises
    ------
    QuantityError
        When the text is not two lengths, or a bare number beside the other could be read two ways.
    """
    sides = [side.strip() for side in _BY.split(typed)]
    if len(typed) > LONGEST or len(sides) != 2 or not all(sides):
        raise QuantityError(typed, "a size", "write two lengths, like 3.6 × 4.2 or 12 ft 6 in × 10 ft")
    first, second = read_parts(sides[0], _LENGTH), read_parts(sides[1], _LENGTH)
    found = (
        parse_length_mm(sides[0], default_unit=_unit_beside(typed, first, second)),
        parse_length_mm(sides[1], default_unit=_unit_beside(typed, second, first)),
    )
    is_mixed = _is_bare(first) and _is_bare(second) and _bare_unit(first) != _bare_unit(second)
    if is_mixed and max(found) > _LONG_AND_THIN * min(found):
        raise QuantityError(typed, "a size", "one side comes out many times the other; add the units")
    return found


def _unit_beside(typed: str, parts: tuple[Part, ...], other: tuple[Part, ...]) -> str:
    """Give the unit of a bare number in a size, from the other length; "" where it has one or must be asked for it."""
    if not _is_bare(parts):
        return ""
    value = parts[0].value
    shared = next((_LENGTH.unit(part.unit) for part in other if part.unit), None)
    if shared is not None and _SHORTEST_SIDE_MM <= convert(value, shared, "millimeter") <= _METRES_BELOW * 1000:
        return next(part.unit for part in other if part.unit)
    unit = _bare_unit(parts)
    alike = _bare_unit(other) if _is_bare(other) else "m"
    if unit == "mm" and alike == "m" and value < _MM_BESIDE_METRES:
        says = f"{_plain(value)} of what? Write it like {_plain(value)} mm or {_plain(value)} cm"
        raise QuantityError(typed, "a size", says)
    return unit


def _is_bare(parts: tuple[Part, ...]) -> bool:
    return len(parts) == 1 and not parts[0].unit


def _bare_unit(parts: tuple[Part, ...]) -> str:
    """Give the unit of a bare number by its size; "" where it has one, or could be read two ways."""
    if not _is_bare(parts):
        return ""
    if parts[0].value < _METRES_BELOW:
        return "m"
    return "mm" if parts[0].value >= _MM_FROM else ""


def _units(typed: str, parts: tuple[Part, ...], default_unit: str) -> list[str]:
    units: list[str] = []
    for part in parts:
        word = part.unit
        if not word and units and units[-1] == "foot" and part is parts[-1]:
            word = "in"  # 12ft6 and 12'6
        elif not word and len(parts) == 1 and default_unit:
            word = default_unit
        if not word:
            shown = _plain(part.value)
            raise QuantityError(typed, _LENGTH.name, f"{shown} of what? Add a unit, like {shown} mm or {shown} m")
        unit = _LENGTH.unit(word)
        if unit is None:
            other = name_of_other_kind(word)
            why = f"{word} is {other}" if other else f"{word} is no unit of length"
            raise QuantityError(typed, _LENGTH.name, f"{why}; write it like {_LENGTH.example}")
        units.append(unit)
    return units


def _check_follows(typed: str, before: str, part: Part, unit: str) -> None:
    if unit not in _FINER.get(before, ()):
        raise QuantityError(typed, _LENGTH.name, f"its units don't belong together; write it like {_LENGTH.example}")
    if convert(part.value, unit, before) >= 1:
        says = f"{_plain(part.value)} {part.unit or 'in'} is a whole {_spelt(before)} or more; check the number"
        raise QuantityError(typed, _LENGTH.name, says)


def _spelt(unit: str) -> str:
    return unit.replace("meter", "metre")


def _plain(value: Fraction) -> str:
    return f"{float(value):.12g}"
