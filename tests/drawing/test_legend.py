"""The legend and scale bar: what is drawn is explained, and nothing else."""

import pytest

from circuitmap.drawing.blocks import legend_block, round_length_mm, scale_bar
from circuitmap.drawing.legend import ASSUMED, CircuitWords, legend_of
from circuitmap.drawing.marks import Glyph, Ink, Line, Mark
from circuitmap.drawing.symbols import NAMES

MARKS: tuple[Mark, ...] = (
    Glyph("symbol", "socket ×2", (0, 0), state="went off"),
    Glyph("symbol", "light", (0, 0)),
    Glyph("symbol", "light", (900, 0)),
    Glyph("finding", "C2", (0, 0), role="C2"),
    Line("run", ((0, 0), (1, 1)), Ink("circuit:0", 2, ASSUMED)),
    Line("wall", ((0, 0), (1, 1)), Ink("wall")),
)


def test_the_legend_explains_what_is_used_and_nothing_else() -> None:
    groups = {group.heading: [entry.words for entry in group.entries] for group in legend_of(MARKS)}
    assert groups == {
        "Symbols": ["Twin socket outlet", "Light"],
        "Switch-off survey": ["Went off (not proof that it is safe to touch)"],
        "Runs": ["Run assumed"],
        "Suggested codes, for the inspector": ["Suggested C2: potentially dangerous"],
    }


def test_an_empty_drawing_has_no_legend() -> None:
    assert legend_of([]) == ()


def test_circuits_come_first_with_their_code() -> None:
    first = legend_of(MARKS, [CircuitWords("A3", "Sockets", "circuit:0")])[0]
    assert (first.heading, first.entries[0].words) == ("Circuits", "A3  Sockets")


@pytest.mark.parametrize("room_px", [300.0, 700.0, 1500.0])
def test_a_laid_out_legend_keeps_every_row_inside_its_block(room_px: float) -> None:
    groups = legend_of([Glyph("symbol", name, (0, 0)) for name in NAMES])
    block = legend_block(groups, room_px)
    rows = sum(len(group.entries) for group in groups)
    assert len(block.glyphs) == rows
    places = [(text.x_px, text.y_px) for text in block.texts]
    assert len(set(places)) == len(places)
    assert all(0 <= x < room_px and 0 < y < block.height_px for x, y in places)


@pytest.mark.parametrize(("longest", "length"), [(999, 500), (1000, 1000), (4999, 2000), (5000, 5000), (73, 50)])
def test_a_scale_bar_has_a_round_length(longest: float, length: float) -> None:
    assert round_length_mm(longest) == pytest.approx(length)


def test_a_scale_bar_is_as_long_as_it_says() -> None:
    bar = scale_bar(0.05, 900)
    assert bar.texts[0].text == "2 m"
    assert bar.width_px == pytest.approx(2000 * 0.05)
