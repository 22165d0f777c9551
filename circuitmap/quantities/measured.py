"""What a meter showed, as a person writes it down for a test: a number, a bound, or why there is none.

The test fixes the unit of a bare number: megohms for insulation, kiloamperes for a fault current, milliseconds for an
RCD. An over-range reading is a bound and never a number.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, NoReturn

from circuitmap.errors import QuantityError
from circuitmap.quantities.convert import convert
from circuitmap.quantities.indicated import read_indicated
from circuitmap.quantities.scales import SCALES, SHOWN, WORD_TESTS, Scale, name_of_test
from circuitmap.quantities.typed import name_of_other_kind, read_parts, tidy
from circuitmap.words import Bound, ReadingTest

LONGEST_REASON: Final = 500
NULL_DRIFT_OHM: Final = 0.05
"""How far below zero a nulled meter may stand and still mean nothing (common practice, no source)."""
NULL_DRIFT: Final = "null drift, re-null"
NOT_APPLICABLE: Final = "not applicable"
LIMITATION: Final = "limitation"


@dataclass(frozen=True, slots=True)
class Measured:
    """One reading: its value in SI units, or the bound it gives, or what an indicator showed, or why there is none.

    With a bound the value is what the reading was over or under. ``indicated`` is for tests answered in words.
    """

    value_si: float | None = None
    bound: Bound = "="
    not_possible: str = ""
    remark: str = ""
    typed: str = ""
    indicated: str = ""

    @property
    def is_number(self) -> bool:
        """Whether it is a value that may be reckoned with; a bound is none."""
        return self.value_si is not None and self.bound == "="


def parse_measured(typed: str, test: ReadingTest, most_si: float | None = None) -> Measured:
    """Read what a person wrote down for a test.

    Parameters
    ----------
    typed
        For example ``.55``, ``550 mΩ``, ``>200``, ``200+``, ``OL``, ``-0.01``, ``28 ms``, ``not possible: boiler
        connected``. What stands in brackets or behind a semicolon is kept as a remark.
    test
        The test it is for; it fixes the unit.
    most_si
        The most that the instrument can show in this test, in SI units; None when nobody knows.

    Raises
    ------
    QuantityError
        When the text is no reading of that test; its one sentence names what was expected.
    """
    shown = tidy(typed[: LONGEST_REASON + 1])
    named = name_of_test(test)
    if len(typed) > LONGEST_REASON:
        raise QuantityError(shown, named, f"it is {len(typed)} characters long; say it in fewer than {LONGEST_REASON}")
    try:
        return _measured(shown, typed, test, most_si)
    except QuantityError as error:
        raise QuantityError(shown, error.wanted, error.why) from None  # all that was typed, not the part at fault


def show_measured(reading: Measured, test: ReadingTest) -> str:
    """Give a reading in the trade's manner: two decimals for ohms, megohms for insulation, a bound with its sign.

    Examples
    --------
    >>> show_measured(Measured(0.5), "linked"), show_measured(Measured(200e6, ">"), "insulation")
    ('0.50 Ω', '>200 MΩ')
    """
    if reading.not_possible:
        said = reading.not_possible.startswith((NOT_APPLICABLE, LIMITATION))
        return reading.not_possible if said else f"not possible: {reading.not_possible}"
    remark = f" ({reading.remark})" if reading.remark else ""
    if reading.value_si is None:
        return f"{reading.indicated or 'not read'}{remark}"
    sign = "" if reading.bound == "=" else reading.bound
    return f"{sign}{show_value(reading.value_si, test, exact=bool(sign))}{remark}"


def show_value(value_si: float, test: ReadingTest, *, exact: bool = False) -> str:
    """Give a value of a test in its unit; ``exact`` for a bound, which no rounding may move."""
    size, unit, decimals = SHOWN.get(test, (1.0, "Ω", 2))
    if unit == "Ω" and value_si >= 9999.5:
        size, unit = (1e3, "kΩ") if value_si < 999_500 else (1e6, "MΩ")
    value = value_si / size
    if decimals is None or value >= 9.995:
        decimals = 0 if value >= 99.95 or value == round(value) else 1
    number = f"{value:.{decimals}f}"
    if exact and float(number) != round(value, 9):
        number = f"{value:.9f}".rstrip("0").rstrip(".")
    return f"{number} {unit}"


def _measured(text: str, typed: str, test: ReadingTest, most_si: float | None) -> Measured:
    named = name_of_test(test)
    reason = _reason(text, named)
    if reason:
        return Measured(not_possible=reason, typed=typed)
    text, remark = _remark(text)
    if test in WORD_TESTS:
        return Measured(indicated=read_indicated(text, named), remark=remark, typed=typed)
    scale = SCALES[test]
    bound, text = _bound(text)
    over = _says_over_range(text, test, scale)
    if over and bound == "<":
        raise QuantityError(text, named, "it can't be under what is over range")
    if over:
        if most_si is None:
            how_far = "how long the instrument waited" if test == "RCD trip" else "how far the instrument reads"
            raise QuantityError(text, named, f"it doesn't say {how_far}; write that, like {scale.over}")
        return Measured(most_si, ">", remark=remark, typed=typed)
    value_si = _value_si(text, bound, scale)
    if value_si < 0:
        value_si, remark = 0.0, "; ".join(filter(None, (NULL_DRIFT, remark)))
    if most_si is not None and value_si >= most_si and bound == "=":
        # Written without the sign, as many do; the instrument can't have told this from anything larger.
        return Measured(most_si, ">", remark=remark, typed=typed)
    return Measured(value_si, bound, remark=remark, typed=typed)


def _reason(text: str, named: str) -> str:
    found = _REASON.match(text)
    if found is None:
        return ""
    why = text[found.end() :].lstrip(" .:;,-—").rstrip()
    if found["applies"]:
        return f"{NOT_APPLICABLE}: {why}" if why else NOT_APPLICABLE
    if not why:
        raise QuantityError(text, named, "say why it could not be read, like not possible: boiler connected")
    if found["limited"]:
        return f"{LIMITATION}: {why}"
    return text if found["whole"] else why


def _remark(text: str) -> tuple[str, str]:
    remarks: list[str] = []
    head, _, tail = text.partition(";")
    if tail.strip():
        remarks.append(tail.strip())
    bracket = _BRACKET.search(head)
    if bracket is not None:
        head = head[: bracket.start()]
        remarks.insert(0, bracket[1].strip())
    return head.strip(), "; ".join(filter(None, remarks))


def _bound(text: str) -> tuple[Bound, str]:
    bound: Bound = "="
    found = _OVER.match(text)
    if found is not None:
        bound, text = ">", text[found.end() :]
    elif (found := _UNDER.match(text)) is not None:
        bound, text = "<", text[found.end() :]
    if bound != "<" and (plus := _PLUS.search(text)) is not None:
        bound, text = ">", f"{text[: plus.start()]} {text[plus.end() :]}"
    return bound, text.strip()


def _says_over_range(text: str, test: ReadingTest, scale: Scale) -> bool:
    words = text.split(" ")
    if len(words) > 1 and scale.wanted.unit(words[-1]) is not None:
        words = words[:-1]
    said = re.sub(r"[ ./-]", "", "".join(words)).casefold()
    return said in _OVER_RANGE or (test == "RCD trip" and said in _NO_TRIP)


def _value_si(text: str, bound: Bound, scale: Scale) -> float:
    """Read one number with its unit; below zero only as far as null drift goes."""
    wanted = scale.wanted
    below = text.startswith("-")
    rest = text[1:].lstrip() if below else text
    if below and rest.startswith(("-", "+")):
        raise QuantityError(text, wanted.name, f"it has two signs; write it like {wanted.example}")
    parts = read_parts(rest, wanted)
    if len(parts) > 1:
        raise QuantityError(text, wanted.name, f"there is more than one number; write it like {wanted.example}")
    (part,) = parts
    unit = wanted.unit(part.unit) if part.unit else scale.bare
    if unit is None:
        _refuse_unit(text, part.unit, scale)
    if unit == "milliohm" and scale.bare == "megaohm":
        raise QuantityError(text, wanted.name, "a small m is a thousandth; write MΩ for megohms, or Ω")
    value = convert(part.value, unit, scale.si) if unit != scale.si else part.value
    if value == 0:
        if not scale.has_zero or bound == "<":
            raise QuantityError(text, wanted.name, "it must be more than zero")
        return 0.0
    if below and not scale.may_drift:
        raise QuantityError(text, wanted.name, "it can't be less than zero")
    if below and bound != "=":
        raise QuantityError(text, wanted.name, "a bound can't be less than zero")
    if below and value > Fraction(str(NULL_DRIFT_OHM)):
        why = f"below −{NULL_DRIFT_OHM} Ω it is no null drift; null the leads again and repeat the reading"
        raise QuantityError(text, wanted.name, why)
    if value > Fraction(scale.most_si):
        why = f"it is more than any home has; a bare number is {scale.plural}, check the unit"
        raise QuantityError(text, wanted.name, why)
    return -float(value) if below else float(value)


def _refuse_unit(text: str, unit: str, scale: Scale) -> NoReturn:
    other = name_of_other_kind(unit)
    why = f"{unit} is {other}" if other else f"{unit} is no unit we know for it"
    raise QuantityError(text, scale.wanted.name, f"{why}; write it in {scale.plural}, like {scale.wanted.example}")


_REASON: Final = re.compile(
    r"(?:not[ ]possible|not[ ]tested|n/t|(?P<whole>can['n]o?t|could(?:n't|[ ]not))"
    r"|(?P<limited>limitation|lim)|(?P<applies>not[ ]applicable|n[./]a\b\.?|na))(?!\w)",
    re.IGNORECASE,
)
_BRACKET: Final = re.compile(r"\(([^()]*)\)\s*$")
_OVER: Final = re.compile(
    r"(?:>=?|≥|⩾|over(?![ -]?(?:range|load))(?= )|more than|greater than|above)\s*", re.IGNORECASE
)
_UNDER: Final = re.compile(r"(?:<=?|≤|⩽|under(?= )|less than|below)\s*", re.IGNORECASE)
_PLUS: Final = re.compile(r"(?<=[\d.])[ ]?\+|\+$")
_OVER_RANGE: Final = frozenset(
    {"ol", "0l", "overrange", "overload", "outofrange", "offscale", "∞", "inf", "infinity", "infinite", "open",
     "opencircuit"}
)  # fmt: skip
_NO_TRIP: Final = frozenset({"notrip", "nottripped", "didnottrip", "didn'ttrip", "doesnottrip", "wouldnottrip"})
