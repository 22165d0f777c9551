"""What two readings may differ by before anybody calls it a contradiction (common practice, no source)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.readings.agree import Shown, difference
from circuitmap.words import ReadingTest


def shown(text: str) -> Shown:
    return Shown(float(text[1:]), text[0]) if text[0] in "<>" else Shown(float(text))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("test", "first", "second", "same_day", "how"),
    [
        ("linked", "0.31", "0.33", True, "same"),
        ("linked", "0.31", "0.36", True, "same"),  # a plug's contact adds up to 0.05
        ("linked", "0.31", "0.62", True, "higher"),
        ("linked", "0.62", "0.31", True, "lower"),
        ("linked", "2.00", "2.25", True, "higher"),
        ("linked", "2.00", "2.25", False, "same"),  # warm copper against cold
        ("ring end to end", "0.55", ">99.9", True, "higher"),
        ("ring end to end", ">99.9", ">19.9", True, "same"),
        ("ring end to end", "<0.10", "0.05", True, "same"),
        ("ring end to end", "<0.10", "0.55", True, "higher"),
        ("insulation", "20e6", "55e6", True, "same"),
        ("insulation", "20e6", ">200e6", True, "higher"),
        ("insulation", ">200e6", "500e6", True, "same"),
        ("insulation", ">200e6", ">999e6", True, "same"),
        ("insulation", ">200e6", "1e6", True, "lower"),
        ("Zs", "0.60", "1.05", True, "same"),  # a test that must not trip the RCD reads up to 0.5 high
        ("Zs", "0.60", "1.60", True, "higher"),
        ("Ze", "0.30", "0.35", True, "same"),
        ("RCD trip", "0.018", "0.028", True, "same"),
        ("RCD trip", "0.028", ">0.3", True, "higher"),
        ("supply voltage", "230", "244", True, "same"),
        ("supply voltage", "230", "120", True, "lower"),
        ("PFC", "1200", "900", True, "same"),
    ],
)
def test_readings_differ_only_by_more_than_the_day_explains(
    test: ReadingTest, first: str, second: str, same_day: bool, how: str
) -> None:
    assert difference(shown(first), shown(second), test, same_day=same_day) == how


def test_a_finer_meter_tells_apart_what_a_coarse_one_does_not() -> None:
    coarse, fine = (Shown(5.0, accuracy_fraction=each) for each in (0.05, 0.001))
    assert difference(coarse, Shown(5.3, accuracy_fraction=0.05), "linked") == "same"
    assert difference(fine, Shown(5.3, accuracy_fraction=0.001), "linked") == "higher"


SHOWN = st.builds(Shown, st.floats(0, 1e3), st.sampled_from("=<>"))


@given(SHOWN, SHOWN, st.sampled_from(["linked", "insulation", "Zs", "RCD trip", "supply voltage"]), st.booleans())
def test_the_difference_turns_round_with_its_readings(a: Shown, b: Shown, test: ReadingTest, same_day: bool) -> None:
    turned = {"higher": "lower", "lower": "higher", "same": "same"}
    assert difference(b, a, test, same_day=same_day) == turned[difference(a, b, test, same_day=same_day)]
    assert difference(a, a, test, same_day=same_day) == "same"
