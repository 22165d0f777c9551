"""How written words are compared."""

import pytest

from circuitmap.trade.spelling import parts_of, spelled


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("Kit", [["kit"]]),
        ("SOCKETS", [["socket"]]),
        ("Utility/ext", [["utility"], ["ext"]]),
        ("U/S", [["u", "s"]]),
        ("d/stairs lts", [["d", "stair", "lts"]]),
        ("F/F Skts", [["f", "f", "skt"]]),
        ("Hall & landing + porch", [["hall"], ["landing"], ["porch"]]),
        ("lamps and fans", [["lamp"], ["fan"]]),
        ("Bed 1-3", [["bed", "1", "2", "3"]]),
        ("Ring2", [["ring", "2"]]),
        ("kid's room", [["kid", "room"]]),
        ("switches, batteries, glass", [["switch"], ["battery"], ["glass"]]),
        ("", []),
        (" - / & ", []),
        ("1-900", [["1", "900"]]),
    ],
)
def test_words_are_told_apart_without_case_punctuation_or_plural(text: str, parts: list[list[str]]) -> None:
    assert parts_of(text) == parts


def test_spelled_gives_all_words_of_all_parts() -> None:
    assert spelled("W.C. & Hall") == "w c hall"
