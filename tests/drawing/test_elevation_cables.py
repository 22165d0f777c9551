"""Cables on an elevation besides routes: what the map has drawn, what is drawn by hand, what strays."""

import itertools

import pytest

from circuitmap.drawing.elevation_cables import Labels, cable_marks, chosen_marks, drawn_marks, run_ink, stray_words
from circuitmap.drawing.elevation_marks import BY_HAND, ROUTE, STRAY
from circuitmap.drawing.marks import Area, Ink, Line, Words
from circuitmap.drawing.palette import Theme, colour, contrast
from circuitmap.drawing.typed import width_px
from circuitmap.extension.stray import strays
from circuitmap.home.cable_paths import Path
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, faces_on
from tests.drawing.walls_seen import kitchen
from tests.extension.routed import TRADE

# Up from the twin at 600, along 75 mm under the ceiling (2400), down to the switch at 3700.
HOOP: Path = (("G1", 600, 0, 450), ("G1", 600, 0, 2325), ("G1", 3700, 0, 2325), ("G1", 3700, 0, 1200))
UP: Path = (("G1", 600, 0, 450), ("G1", 600, 0, 2400), ("G1", 600, 0, 2500), ("G1", 600, 900, 2500))
SEEN = Ink("circuit:2", 2.4)


def face() -> Face:
    return faces_on(kitchen(), Memo(), TRADE, "G1")[0]


def test_a_cable_is_one_line_where_it_lies_with_its_words_beside_the_longest_stretch() -> None:
    marks = list(cable_marks(face(), HOOP, SEEN, "R5 A3", 0.2))
    lines = [mark for mark in marks if isinstance(mark, Line)]
    assert [line.pts for line in lines] == [((600, 1950), (600, 75), (3700, 75), (3700, 1200))]
    assert lines[0].ink == SEEN
    words = [mark for mark in marks if isinstance(mark, Words)]
    assert [(word.text, word.at_mm[0]) for word in words] == [("R5 A3", 2150)]
    assert words[0].at_mm[1] > 75  # below the line: above it is the ceiling


def test_what_goes_on_above_the_ceiling_has_an_arrow_up() -> None:
    lines = [mark for mark in cable_marks(face(), UP, SEEN, "", 0.2) if isinstance(mark, Line)]
    assert lines[0].pts[-1] == (600, 0)
    assert max(y for line in lines[1:] for _, y in line.pts) == 0
    assert min(y for line in lines[1:] for _, y in line.pts) < 0


def test_what_strays_says_how_much_and_why_beside_a_dashed_red_line() -> None:
    """3100 mm along at 1500, less the zones up and down of the things it passes, worked out from the strays."""
    path: Path = (("G1", 600, 0, 450), ("G1", 600, 0, 1600), ("G1", 3700, 0, 2000), ("G1", 3700, 0, 1200))
    found = strays(kitchen(), Memo(), TRADE, path)
    marks = list(stray_words(found, face(), 0.2))
    dashed = [mark for mark in marks if isinstance(mark, Line) and mark.ink == STRAY]
    assert len(dashed) == len(found) >= 1
    said = [mark.text for mark in marks if isinstance(mark, Words)]
    assert all(" slants" in text or " crosses a window" in text for text in said)


def test_words_of_cables_lie_on_no_other_words() -> None:
    """Five cables over each other: every pair of words is held apart by the boxes that they are set in."""
    labels = Labels(0.2)
    boxes = []
    for n in range(5):
        path: Path = (("G1", 600, 0, 1000 + n), ("G1", 3400, 0, 1000 + n))
        (words,) = (m for m in cable_marks(face(), path, SEEN, f"R{n} A3", 0.2, labels=labels) if isinstance(m, Words))
        half = width_px(words.text, words.size_px) / 2 / 0.2
        x, y = words.at_mm
        boxes.append((x - half, y - 27, x + half, y + 27))
    for one, other in itertools.combinations(boxes, 2):
        assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


def test_handles_stand_on_the_bends_and_the_chosen_one_is_filled() -> None:
    marks = list(chosen_marks(face(), HOOP, 0.2, bend=2))
    handles = [mark for mark in marks if isinstance(mark, Area)]
    assert [mark.fill for mark in handles] == ["paper", "select"]
    assert any(isinstance(mark, Line) and mark.layer == "area" for mark in marks)


def test_what_is_being_drawn_goes_on_to_the_pointer() -> None:
    marks = list(drawn_marks(face(), HOOP[:2], (2000.0, 2325.0), 0.2))
    ahead = [mark for mark in marks if isinstance(mark, Line) and mark.ink.dash]
    assert ahead[0].pts == ((600, 75), (2000, 75))
    assert any(isinstance(mark, Line) and mark.ink == BY_HAND for mark in marks)


def test_planned_runs_look_like_routes_and_others_by_how_well_they_are_known() -> None:
    assert run_ink("circuit:2", (2.0, 3.0), is_planned=True) == ROUTE
    assert run_ink("circuit:2", (2.0, 3.0), is_planned=False).dash == (2.0, 3.0)


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_the_lines_stand_out_from_paper_and_wash(theme: Theme) -> None:
    """3 : 1 for graphics, 4.5 : 1 for words: WCAG 2.2, success criteria 1.4.11 and 1.4.3."""
    for ground in ("paper", "zone/tint"):
        for role in (BY_HAND.role, STRAY.role, ROUTE.role):
            assert contrast(colour(role, theme), colour(ground, theme)) >= 3
    for role in ("break", "select", "accent", *(f"circuit:{n}/text" for n in range(13))):
        assert contrast(colour(role, theme), colour("paper", theme)) >= 4.5
