"""The lines of a drawing in groups to choose from: by layer, by stroke, or all."""

import numpy as np
import pytest

from circuitmap.pictures import Linework
from circuitmap.pictures.info import Stroke
from circuitmap.plan.line_groups import colour_words, groups_of, likely_walls, stroke_words


def drawing(layers=("",), layer_of=None, strokes=(), stroke_of=None, count=6):
    segments = np.arange(4.0 * count).reshape(-1, 4)
    of = np.array(layer_of or [0] * count, np.int32)
    return Linework(
        segments, layers, of, (), None, strokes, np.array(stroke_of, np.int32) if stroke_of is not None else None
    )


def said(groups):
    return [(group.words, group.which.tolist()) for group in groups]


def test_layers_come_first_the_largest_at_the_head():
    made = groups_of(drawing(("0", "WALLS", "", "Doors"), [1, 1, 3, 1, 0, 2]))
    assert said(made) == [("WALLS", [0, 1, 3]), ("0", [4]), ("Doors", [2]), ("Not on a layer", [5])]


def test_without_layers_strokes_are_told_apart_and_those_that_sound_alike_are_one():
    strokes = (Stroke(2.0, "#000000"), Stroke(0.5, "#ff0000"), Stroke(2.01, "#010101"), Stroke(0, "#333333", True))
    made = groups_of(drawing(strokes=strokes, stroke_of=[0, 1, 2, 0, 3, 1]))
    assert said(made) == [
        ("Black lines, 2.0 px", [0, 2, 3]), ("Red lines, 0.5 px", [1, 5]), ("Edges of black areas", [4]),
    ]  # fmt: skip


def test_without_either_all_lines_are_one_group():
    assert said(groups_of(drawing())) == [("All lines", [0, 1, 2, 3, 4, 5])]
    assert groups_of(drawing(count=0)) == ()


def test_very_many_layers_leave_a_rest():
    many = 300
    made = groups_of(drawing(tuple(f"L{n}" for n in range(many)), list(range(many)), count=many))
    assert len(made) == 200
    assert made[-1].words == "All others"
    assert sorted(n for group in made for n in group.which.tolist()) == list(range(many))


def test_layers_called_after_walls_are_chosen_first():
    made = groups_of(drawing(("A-WALL-EXT", "Furniture"), [0, 0, 1, 1, 1, 1]))
    assert [group.words for group in likely_walls(made)] == ["A-WALL-EXT"]
    other = groups_of(drawing(("One", "Two"), [0, 0, 1, 1, 1, 1]))
    assert likely_walls(other) == other


@pytest.mark.parametrize(
    ("colour", "words"),
    [
        ("#000000", "black"), ("#ff0000", "red"), ("#0000ff", "blue"), ("#00ff00", "green"), ("#ffff00", "yellow"),
        ("#808080", "grey"), ("#ffffff", "white"), ("#eeeeee", "pale grey"), ("#400000", "dark red"),
        ("#ffd0d0", "pale red"), ("#ff8000", "orange"), ("rebeccapurple", "rebeccapurple"), ("#zzzzzz", "#zzzzzz"),
    ],
)  # fmt: skip
def test_colours_are_said_in_words(colour, words):
    assert colour_words(colour) == words


def test_a_hairline_has_no_width_to_tell():
    assert stroke_words(Stroke(0.0, "#000000")) == "Black lines, as thin as can be"
