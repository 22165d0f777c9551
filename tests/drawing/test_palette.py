"""Colours: contrast on both themes, and circuits told apart."""

import colorsys
import itertools
import math

import pytest

from circuitmap.drawing.palette import (
    _CIRCUITS,
    CIRCUIT_INKS,
    QUIET_ROLES,
    ROLES,
    SOLID_CIRCUITS,
    TEXT_ROLES,
    THEMES,
    Theme,
    circuit_ink,
    circuit_name,
    colour,
    contrast,
    luminance,
    mixed,
)
from circuitmap.errors import OurError


def test_contrast_is_that_of_the_published_formula() -> None:
    # Source: WCAG 2.2: black on white is 21:1; on white, #777777 just fails 4.5:1 and #767676 just meets it
    # (the greys from memory).
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)
    assert contrast("#FFFFFF", "#777777") < 4.5 <= contrast("#FFFFFF", "#767676")
    assert luminance("#FF0000") == pytest.approx(0.2126)


def test_the_two_papers_and_inks_are_those_of_the_look() -> None:
    assert [colour(role, theme) for theme in THEMES for role in ("paper", "ink")] == [
        "#FBFAF7", "#1F2933", "#14191F", "#E6E1D6",
    ]  # fmt: skip


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("role", TEXT_ROLES)
def test_words_stand_out_at_least_four_and_a_half_to_one(theme: Theme, role: str) -> None:
    # Source: WCAG 2.2, success criterion 1.4.3.
    assert contrast(colour(role, theme), colour("paper", theme)) >= 4.5
    assert contrast(colour(role, theme), colour("room", theme)) >= 4.5


@pytest.mark.parametrize("theme", THEMES)
def test_lines_and_circuits_stand_out_at_least_three_to_one(theme: Theme) -> None:
    # Source: WCAG 2.2, success criterion 1.4.11.
    roles = [*(set(ROLES) - QUIET_ROLES), *(f"circuit:{n}" for n in range(CIRCUIT_INKS))]
    assert {role for role in roles if contrast(colour(role, theme), colour("paper", theme)) < 3} == set()


@pytest.mark.parametrize("theme", THEMES)
def test_a_symbol_can_be_read_on_every_circuit_colour(theme: Theme) -> None:
    for n in range(SOLID_CIRCUITS):
        fill = colour(f"circuit:{n}", theme)
        assert contrast(colour(f"on:circuit:{n}", theme), fill) >= 3
        assert contrast(colour("ink", theme), colour(f"circuit:{n}/half", theme)) >= 3


@pytest.mark.parametrize("theme", THEMES)
def test_no_two_solid_circuit_colours_are_near_each_other(theme: Theme) -> None:
    # CIE 1976 colour difference (ISO/CIE 11664-4); about 2.3 is just noticeable (from memory), and small discs need far
    # more.
    inks = [_lab(circuit_ink(n, theme)[0]) for n in range(SOLID_CIRCUITS)]
    assert min(math.dist(a, b) for a, b in itertools.combinations(inks, 2)) > 18


def test_every_circuit_up_to_fifty_two_has_its_own_ink() -> None:
    for theme in THEMES:
        assert len({circuit_ink(n, theme) for n in range(CIRCUIT_INKS)}) == CIRCUIT_INKS == 52
        assert circuit_ink(CIRCUIT_INKS, theme) == circuit_ink(0, theme)


def test_a_striped_circuit_says_so_in_its_name() -> None:
    assert circuit_name(1) == "sky blue"
    assert circuit_name(1 + SOLID_CIRCUITS) == "sky blue, striped"


@pytest.mark.parametrize("row", _CIRCUITS, ids=lambda row: row[0])
def test_a_published_colour_is_kept_where_it_stands_out_and_else_only_its_lightness_moves(
    row: tuple[str, str, str, str],
) -> None:
    published = row[1]
    for theme, used in zip(THEMES, row[2:], strict=True):
        if contrast(published, colour("paper", theme)) >= 3 and (row[0], theme) != ("blue", "paper"):
            assert used == published
        else:
            hue, _, fullness = _hls(published)
            assert _hls(used)[0] == pytest.approx(hue, abs=0.02)
            assert _hls(used)[2] == pytest.approx(fullness, abs=0.05)


@pytest.mark.parametrize("role", ["", "blue", "circuit:", "circuit:-1", "circuit:x", "on:", "/tint", "ink/pale"])
def test_an_unknown_role_is_our_mistake(role: str) -> None:
    with pytest.raises(OurError):
        colour(role)


def test_a_wash_lies_between_paper_and_its_role() -> None:
    assert mixed("#000000", "#FFFFFF", 0.5) == "#808080"
    paper, ink = luminance(colour("paper")), luminance(colour("ink"))
    assert ink < luminance(colour("ink/half")) < luminance(colour("ink/tint")) < paper


def _hls(text: str) -> tuple[float, float, float]:
    return colorsys.rgb_to_hls(*(int(text[n : n + 2], 16) / 255 for n in (1, 3, 5)))


def _lab(text: str) -> tuple[float, float, float]:
    """L*, a*, b* for daylight D65 (IEC 61966-2-1 and ISO/CIE 11664-4)."""
    channels = [int(text[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505
    y = 0.2126 * r + 0.7152 * g + 0.0722 * b
    z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089
    fx, fy, fz = (v ** (1 / 3) if v > 0.008856 else 7.787 * v + 16 / 116 for v in (x, y, z))
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)
