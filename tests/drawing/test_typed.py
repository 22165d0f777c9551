"""Typed text: harmless, one line, whole letters."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.drawing.typed import element_text, one_line, width_px


def test_control_characters_become_spaces_and_lines_one() -> None:
    assert one_line("Lights\x00 up\r\n\tstairs\u2028") == "Lights up stairs"


@pytest.mark.parametrize("bad", [0xD800, 0xDFFF, 0xFFFE, 0xFFFF, 0x1FFFE])
def test_what_xml_cannot_hold_is_shown_as_lost(bad: int) -> None:
    assert one_line(f"a{chr(bad)}b") == "a\N{REPLACEMENT CHARACTER}b"


def test_markup_in_a_label_stays_text() -> None:
    assert element_text("<b>A & B</b>") == "&lt;b&gt;A &amp; B&lt;/b&gt;"


def test_a_long_label_ends_in_an_ellipsis() -> None:
    assert one_line("x" * 10_000) == "x" * 59 + "…"
    assert one_line("x" * 60) == "x" * 60


@pytest.mark.parametrize("whole", ["e\u0301", "👩‍🔧", "👍🏽", "🇬🇧", "क्"])
def test_a_letter_or_emoji_is_never_cut_in_two(whole: str) -> None:
    cut = one_line(whole * 100, 10)
    assert cut == whole * 9 + "…"


def test_right_to_left_text_and_emoji_are_kept_as_typed() -> None:
    assert one_line("غرفة المعيشة") == "غرفة المعيشة"
    assert one_line("🔌 kitchen") == "🔌 kitchen"


def test_a_pile_of_accents_is_bounded() -> None:
    assert len(one_line("a" + "\u0301" * 10_000)) < 60 * 20


@given(st.text(st.characters(exclude_categories=[]), max_size=300))
def test_any_text_comes_out_as_one_line_that_utf_8_can_hold(text: str) -> None:
    line = one_line(text)
    line.encode("utf-8")
    assert len(line.splitlines()) <= 1
    assert one_line(line) == line


def test_wider_text_is_estimated_wider() -> None:
    assert width_px("Ill", 13) < width_px("Abc", 13) < width_px("WWW", 13)
