"""How each test is written: its name, the unit of a bare number, the units it may have, the limits of sense."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from circuitmap.quantities.electrical import CURRENT_UNITS, MOST_A, MOST_OHM, RESISTANCE_UNITS
from circuitmap.quantities.indicated import EXAMPLE
from circuitmap.quantities.typed import Wanted
from circuitmap.words import ReadingTest

WORD_TESTS: Final[frozenset[ReadingTest]] = frozenset({"polarity", "plug-in indicator"})
MOST_S: Final = 100.0
MOST_V: Final = 1000.0


@dataclass(frozen=True, slots=True)
class Scale:
    """How a test is written: its name and example, the unit of a bare number, the SI unit, and the limits of sense."""

    wanted: Wanted
    bare: str
    si: str
    plural: str
    over: str
    most_si: float
    has_zero: bool = True
    may_drift: bool = False


def name_of_test(test: ReadingTest) -> str:
    """Give what a reading of a test is called in a sentence: "an insulation resistance"."""
    if test in SCALES:
        return SCALES[test].wanted.name
    return "what a plug-in indicator shows" if test == "plug-in indicator" else "what a polarity test shows"


def example_of(test: ReadingTest) -> str:
    """Give how a reading of a test is written, for a field that waits to be filled."""
    return SCALES[test].wanted.example if test in SCALES else EXAMPLE


_OHM_UNITS: Final[Mapping[str, str]] = {
    **RESISTANCE_UNITS, "OHM": "ohm", "OHMS": "ohm", "r": "ohm", "mohms": "milliohm", "kohms": "kiloohm",
    "Mohms": "megaohm", "MOhm": "megaohm", "Megohm": "megaohm", "GΩ": "gigaohm", "Gohm": "gigaohm",
}  # fmt: skip
_MEGOHM_UNITS: Final[Mapping[str, str]] = {
    **_OHM_UNITS, "M": "megaohm", "meg": "megaohm", "Meg": "megaohm", "megs": "megaohm", "G": "gigaohm",
    "k": "kiloohm",
}  # fmt: skip
_TIME_UNITS: Final[Mapping[str, str]] = {
    "ms": "millisecond", "msec": "millisecond", "millisecond": "millisecond", "milliseconds": "millisecond",
    "s": "second", "sec": "second", "secs": "second", "second": "second", "seconds": "second",
}  # fmt: skip
_VOLT_UNITS: Final[Mapping[str, str]] = {
    "V": "volt", "v": "volt", "volt": "volt", "volts": "volt", "mV": "millivolt", "kV": "kilovolt",
}  # fmt: skip
_FAULT_CURRENT_UNITS: Final[Mapping[str, str]] = {**CURRENT_UNITS, "ka": "kiloampere", "KA": "kiloampere"}


def _ohms(name: str, example: str = "0.55 Ω", over: str = ">99.9 Ω") -> Scale:
    return Scale(Wanted(name, example, _OHM_UNITS), "ohm", "ohm", "ohms", over, MOST_OHM, may_drift=True)


SCALES: Final[Mapping[ReadingTest, Scale]] = {
    "lead check": _ohms("a reading with the leads shorted", "0.00 Ω"),
    "continuity": _ohms("a resistance"),
    "ring end to end": _ohms("a resistance end to end"),
    "linked": _ohms("a resistance with conductors linked"),
    "neutral to neutral": _ohms("a resistance between neutrals"),
    "insulation": Scale(
        Wanted("an insulation resistance", "150 MΩ", _MEGOHM_UNITS), "megaohm", "ohm", "megohms", ">200 MΩ", MOST_OHM
    ),
    "Ze": _ohms("an external loop impedance", "0.35 Ω", ">2000 Ω"),
    "Zs": _ohms("a loop impedance", "0.85 Ω", ">2000 Ω"),
    "earth electrode": _ohms("an electrode resistance", "120 Ω", ">2000 Ω"),
    "PFC": Scale(
        Wanted("a fault current", "1.20 kA", _FAULT_CURRENT_UNITS), "kiloampere", "ampere", "kiloamperes", ">20 kA",
        MOST_A, has_zero=False,
    ),
    "RCD trip": Scale(
        Wanted("a trip time", "28 ms", _TIME_UNITS), "millisecond", "second", "milliseconds", ">300 ms", MOST_S,
        has_zero=False,
    ),
    "supply voltage": Scale(
        Wanted("a voltage", "230 V", _VOLT_UNITS), "volt", "volt", "volts", ">500 V", MOST_V
    ),
}  # fmt: skip

# What one shown unit is in SI, its name, and the decimals below ten (None: whole where it can be).
SHOWN: Final[Mapping[ReadingTest, tuple[float, str, int | None]]] = {
    "insulation": (1e6, "MΩ", 2),
    "PFC": (1e3, "kA", 2),
    "RCD trip": (1e-3, "ms", None),
    "supply voltage": (1.0, "V", None),
}
