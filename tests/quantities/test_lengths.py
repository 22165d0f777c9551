import re
import subprocess
import sys
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.errors import QuantityError
from circuitmap.quantities.convert import convert, is_same_kind
from circuitmap.quantities.lengths import parse_length_mm, parse_room_length_mm, parse_room_size_mm

# Source: international yard and pound agreement, 1959: one yard is exactly 0.9144 m, so one foot is 0.3048 m.
FOOT_MM = 304.8
INCH_MM = FOOT_MM / 12


@pytest.mark.parametrize(
    ("typed", "length_mm"),
    [
        ("3.2 m", 3200),
        ("3.2m", 3200),
        ("3,2 m", 3200),
        ("320 cm", 3200),
        ("3200 mm", 3200),
        ("12 500 mm", 12500),
        ("1 m 50 cm", 1500),
        ("0.012 km", 12000),
        ("3.2 M", 3200),
        ("3.2 metres", 3200),
        ("1 yd", 914.4),
        ("1 yd 2 ft", 1524),
        ("12 ft 6 in", 12.5 * FOOT_MM),
        ("12' 6\"", 12.5 * FOOT_MM),
        ("12′ 6″", 12.5 * FOOT_MM),
        ("12’6”", 12.5 * FOOT_MM),
        ("12ft6", 12.5 * FOOT_MM),
        ("5'-6 1/2\"", 66.5 * INCH_MM),
        ("5 ft, 6 in", 66 * INCH_MM),
        ("6 1/2 in", 6.5 * INCH_MM),
        ("6½ in", 6.5 * INCH_MM),
        ("¾ in", 0.75 * INCH_MM),
        ("  3.2\u00a0m ", 3200),
        ("+3.2 m", 3200),
    ],
)
def test_a_length_is_read_as_people_write_it(typed, length_mm):
    assert parse_length_mm(typed) == pytest.approx(length_mm, rel=1e-12)


def test_the_foot_is_exact():
    assert convert(Fraction(1), "foot", "millimeter") == Fraction(3048, 10)
    assert convert(Fraction(1), "yard", "meter") == Fraction(9144, 10000)
    assert parse_length_mm("12 ft 6 in") == 3810.0  # to the last bit, not nearly


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "nothing was typed"),
        ("   ", "nothing was typed"),
        ("0", "more than zero"),
        ("0 m", "more than zero"),
        ("0 ft 0 in", "more than zero"),
        ("-3 m", "more than zero"),
        ("−3", "more than zero"),
        ("3 bananas", "bananas is no unit of length"),
        ("nan", "write a number and a unit"),
        ("inf", "write a number and a unit"),
        ("9**9**9", "write a number and a unit"),
        ("__import__('os')", "write a number and a unit"),
        ("1e3 m", "e is no unit"),
        ("3200", "Add a unit"),
        ("1 m 50", "50 of what"),
        ("3,200 mm", "read two ways"),
        ("3.2.1 m", "more than one point"),
        ("3..2 m", "more than one point"),
        ("1/0 m", "divided by zero"),
        ("11 km", "more than 10 km"),
        ("9" * 50 + " m", "more than 10 km"),
        ("0.00001 mm", "tenth of a millimetre"),
        ("12 ft 14 in", "a whole foot or more"),
        ("6 in 5 ft", "don't belong together"),
        ("3 m 2 ft", "don't belong together"),
        ("3 kg", "kg is a weight"),
        ("32 A", "A is a current"),
        ("x" * 10_000, "10000 characters long"),
        ("3" * 10_000, "10000 characters long"),
        ("٣ m", "write a number"),
    ],
)
def test_what_is_no_length_gets_one_clear_sentence(typed, says):
    with pytest.raises(QuantityError) as caught:
        parse_length_mm(typed)
    sentence = str(caught.value)
    assert says in sentence
    assert sentence.endswith(".")
    assert "\n" not in sentence
    assert len(sentence) < 200


def test_a_bare_number_takes_the_unit_it_is_told():
    assert parse_length_mm("762", default_unit="mm") == 762.0
    assert parse_length_mm("2,5", default_unit="m") == 2500.0
    assert parse_length_mm("2 ft", default_unit="m") == pytest.approx(2 * FOOT_MM)


@given(st.integers(min_value=1, max_value=9_999_999))
def test_whole_millimetres_come_back_exactly(length_mm):
    assert parse_length_mm(f"{length_mm} mm") == length_mm
    assert parse_length_mm(f"{length_mm / 1000:.3f} m") == pytest.approx(length_mm, rel=1e-12)


@given(st.integers(min_value=0, max_value=999), st.integers(min_value=0, max_value=11), st.integers(1, 15))
def test_feet_inches_and_sixteenths_add_up(feet, inches, sixteenths):
    expected = Fraction(3048, 10) * feet + Fraction(254, 10) * (inches + Fraction(sixteenths, 16))
    assert parse_length_mm(f"{feet} ft {inches} {sixteenths}/16 in") == float(expected)


@given(st.text(max_size=80))
def test_any_text_is_either_a_length_or_a_sentence(typed):
    try:
        length_mm, says = parse_length_mm(typed, default_unit="mm"), ""
    except QuantityError as error:
        length_mm, says = 0.0, str(error)
    assert says.endswith(".") or 0.1 <= length_mm <= 1e7


def test_units_of_different_things_are_told_apart():
    assert is_same_kind("foot", "meter")
    assert not is_same_kind("ohm", "meter")
    with pytest.raises(ValueError, match="measure different things"):
        convert(Fraction(1), "ohm", "meter")


def test_importing_quantities_loads_no_unit_library():
    code = "import sys, circuitmap.quantities; print('pint' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        ("3.6", 3600), ("3,60", 3600), ("3600", 3600), ("3.6 m", 3600), ("12' 6\"", 3810), ("12 ft 6 in", 3810),
        ("12ft6", 3810), ("12’6”", 3810), ("59.9", 59_900), ("300", 300), ("12 500", 12_500), ("360 cm", 3600),
    ],
)  # fmt: skip
def test_the_length_of_a_room_is_read_as_it_is_said(typed: str, mm: float) -> None:
    # Source: international yard and pound agreement, 1959: the foot is 0.3048 m.
    assert parse_room_length_mm(typed) == pytest.approx(mm)


@pytest.mark.parametrize("typed", ["60", "250", "299", "0", "-3", "", "a", "3 6 m", "3,600", "3 kg"])
def test_a_length_of_a_room_that_can_be_read_two_ways_or_none_is_asked_again(typed: str) -> None:
    with pytest.raises(QuantityError):
        parse_room_length_mm(typed)


@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        ("3.6 × 4.2", (3600, 4200)), ("3.6x4.2", (3600, 4200)), ("3600 x 4200", (3600, 4200)),
        ("3.6 x 4.2 m", (3600, 4200)), ("3.6 m by 420 cm", (3600, 4200)), ("12 x 10 ft", (3657.6, 3048)),
        ("12' 6\" X 10'", (3810, 3048)), ("3,6 * 4,2", (3600, 4200)), ("4 by 3600", (4000, 3600)),
    ],
)  # fmt: skip
def test_the_size_of_a_room_is_two_lengths(typed: str, mm: tuple[float, float]) -> None:
    assert parse_room_size_mm(typed) == pytest.approx(mm)


@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        ("3600 x 4.2", (3600, 4200)), ("4.2 × 3600", (4200, 3600)), ("3600 x 4.2 m", (3600, 4200)),
        ("3.6 m x 4200", (3600, 4200)), ("3600 mm × 4.2", (3600, 4200)), ("360 cm x 420", (3600, 4200)),
        ("420 x 360 cm", (4200, 3600)), ("3600 x 400", (3600, 400)), ("400 x 600", (400, 600)),
        ("1700 mm x 250", (1700, 250)), ("12 ft x 10", (3657.6, 3048)), ("12 ft 6 in x 10", (3810, 3048)),
        ("10 x 12 ft 6 in", (3048, 3810)), ("12 ft x 3600", (3657.6, 3600)),
    ],
)  # fmt: skip
def test_two_lengths_of_one_size_come_out_in_one_scale(typed: str, mm: tuple[float, float]) -> None:
    # Source: international yard and pound agreement, 1959: the foot is 0.3048 m.
    assert parse_room_size_mm(typed) == pytest.approx(mm)


@pytest.mark.parametrize(
    ("typed", "asks"),
    [
        ("3 × 400", "400 of what? Write it like 400 mm or 400 cm"),
        ("400 x 3", "400 of what? Write it like 400 mm or 400 cm"),
        ("3 m x 400", "400 of what? Write it like 400 mm or 400 cm"),
        ("10 ft x 400", "400 of what? Write it like 400 mm or 400 cm"),
        ("3600 x 42", "one side comes out many times the other; add the units"),
        ("3 m x 250", "250 of what?"),
    ],
)
def test_a_bare_number_that_could_be_read_two_ways_beside_another_is_asked_for_its_unit(typed: str, asks: str) -> None:
    with pytest.raises(QuantityError, match=re.escape(asks)):
        parse_room_size_mm(typed)


@pytest.mark.parametrize("typed", ["", "3.6", "3.6 x", "x 4.2", "3 x 4 x 5", "3 x y", "0 x 4", "9" * 80, "3 x 100"])
def test_what_is_no_size_is_refused_in_a_sentence(typed: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_room_size_mm(typed)
    assert str(caught.value).endswith(".")
