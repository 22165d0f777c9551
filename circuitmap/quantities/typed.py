"""What a person types: numbers with units, read by a small grammar of our own.

A general expression parser must never see typed text: ``9**9**9`` would not come back.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from circuitmap.errors import QuantityError

LONGEST: Final = 60

_VULGAR: Final = {
    "¼": "1/4", "½": "1/2", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_SPACES: Final = re.compile(r"[\s\u00a0\u2007\u2009\u202f]+")
_NUMBER: Final = re.compile(
    r"""
    (?P<whole>\d+)[ ](?P<over>\d+)[ ]?/[ ]?(?P<under>\d+)      # 6 1/2
    | (?P<top>\d+)[ ]?/[ ]?(?P<bottom>\d+)                     # 1/2
    | (?P<grouped>\d{1,3}(?:[ ]\d{3})+(?![\d]))(?:\.(?P<after>\d+))?   # 12 500
    | (?P<plain>\d+(?:[.,]\d*)?|[.,]\d+)                       # 3200, 3.2, 3,2, .55
    """,
    re.VERBOSE | re.ASCII,
)
_UNIT: Final = re.compile(r"[^\W\d_]+|''|[\"'%]")


@dataclass(frozen=True)
class Part:
    """One number of what was typed with the unit that followed it ("" when none did)."""

    value: Fraction
    unit: str


@dataclass(frozen=True)
class Wanted:
    """What is asked for: its name in a sentence, an example, and the units it may have, by how they are typed."""

    name: str
    example: str
    units: Mapping[str, str]
    any_case: bool = False

    def unit(self, typed: str) -> str | None:
        """Give the unit that a typed word means, None when it is none of ours."""
        return self.units.get(typed.casefold() if self.any_case else typed)


def read_parts(typed: str, wanted: Wanted) -> tuple[Part, ...]:
    """Read typed text as numbers, each with the unit written behind it.

    Raises
    ------
    QuantityError
        When the text is empty, too long, or anything but numbers and units.
    """
    if len(typed) > LONGEST:
        raise QuantityError(typed, wanted.name, f"it is {len(typed)} characters long; write it like {wanted.example}")
    text = tidy(typed)
    if not text:
        raise QuantityError(typed, wanted.name, f"nothing was typed; write it like {wanted.example}")
    if text[0] in "-+":
        if text[0] == "-" and _NUMBER.match(text, 1):
            raise QuantityError(typed, wanted.name, "it must be more than zero")
        text = text[1:].lstrip()
    parts: list[Part] = []
    at = 0
    while at < len(text):
        number = _NUMBER.match(text, at)
        if number is None:
            raise QuantityError(typed, wanted.name, f"write a number and a unit, like {wanted.example}")
        value = _value(number, typed, wanted)
        if text[number.end() : number.end() + 1] in tuple(".,/"):
            raise QuantityError(typed, wanted.name, f"it has more than one point; write it like {wanted.example}")
        at = _skip(text, number.end())
        unit = _UNIT.match(text, at)
        parts.append(Part(value, unit.group() if unit else ""))
        at = _skip(text, unit.end()) if unit else at
        if unit and at < len(text) and text[at] in "-," and at + 1 < len(text):
            at = _skip(text, at + 1)  # 5'-6" and 5 ft, 6 in
    return tuple(parts)


def name_of_other_kind(unit: str) -> str:
    """Say what a unit measures that was typed in the wrong place ("" when it is no unit we know)."""
    return _OTHER_KINDS.get(unit, "")


_OTHER_KINDS: Final = {
    "A": "a current", "mA": "a current", "V": "a voltage", "kV": "a voltage", "W": "a power", "kW": "a power",
    "VA": "a power", "kVA": "a power", "Ω": "a resistance", "ohm": "a resistance", "ohms": "a resistance",
    "mΩ": "a resistance", "kΩ": "a resistance", "MΩ": "a resistance", "m": "a length", "mm": "a length",
    "cm": "a length", "ft": "a length", "in": "a length", "kg": "a weight", "g": "a weight", "s": "a time",
    "ms": "a time", "h": "a time", "Hz": "a frequency", "%": "a share",
}  # fmt: skip


def tidy(typed: str) -> str:
    """Give typed text with its signs in one spelling and its spaces single."""
    text = typed
    for sign, spelt in _VULGAR.items():
        text = text.replace(sign, f" {spelt}")
    for sign, plain in (
        ("’", "'"), ("‘", "'"), ("′", "'"), ("”", '"'), ("“", '"'), ("″", '"'), ("−", "-"), ("–", "-"), ("⁄", "/"),
        ("\u2126", "Ω"), ("\u00b5", "μ"),
    ):  # fmt: skip
        text = text.replace(sign, plain)
    return _SPACES.sub(" ", text).strip()


def _skip(text: str, at: int) -> int:
    while at < len(text) and text[at] == " ":
        at += 1
    return at


def _value(number: re.Match[str], typed: str, wanted: Wanted) -> Fraction:
    found = number.groupdict()
    if found["whole"] is not None:
        return int(found["whole"]) + _fraction(found["over"], found["under"], typed, wanted)
    if found["top"] is not None:
        return _fraction(found["top"], found["bottom"], typed, wanted)
    if found["grouped"] is not None:
        return Fraction(found["grouped"].replace(" ", "") + "." + (found["after"] or "0"))
    plain: str = found["plain"]
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", plain):
        asks = f"the comma can be read two ways; write {plain.replace(',', '')} or {plain.replace(',', '.')}"
        raise QuantityError(typed, wanted.name, asks)
    digits = plain.replace(",", ".").rstrip(".")
    return Fraction("0" + digits if digits.startswith(".") else digits)


def _fraction(over: str, under: str, typed: str, wanted: Wanted) -> Fraction:
    if int(under) == 0:
        raise QuantityError(typed, wanted.name, "nothing can be divided by zero")
    return Fraction(int(over), int(under))
