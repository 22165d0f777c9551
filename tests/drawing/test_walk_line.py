"""The walk on the plan: a pale footpath, never to be taken for a cable."""

import itertools

from circuitmap.circuits.views import views
from circuitmap.drawing.marks import Line, layer_rank
from circuitmap.drawing.palette import THEMES, colour, contrast
from circuitmap.drawing.plan import plan_marks
from circuitmap.drawing.svg import svg_text
from circuitmap.drawing.walk_line import ROLE, walk_marks
from circuitmap.memo import Memo
from circuitmap.survey.deduce import deduce
from circuitmap.trade import load
from tests.build import Builder


def test_the_marks_run_along_the_whole_line_in_one_go() -> None:
    line = tuple((n * 100, n % 3 * 50) for n in range(40))
    marks = walk_marks([line])
    assert len(marks) > 1
    joined = [*marks[0].pts, *itertools.chain.from_iterable(mark.pts[1:] for mark in marks[1:])]
    assert joined == [(float(x), float(y)) for x, y in line]
    assert all(before.pts[-1] == after.pts[0] for before, after in itertools.pairwise(marks))


def test_each_line_has_marks_of_its_own_and_a_spot_alone_has_none() -> None:
    marks = walk_marks([((0, 0), (10, 0)), ((500, 500),), ((20, 0), (30, 0)), ()])
    assert [mark.pts for mark in marks] == [((0.0, 0.0), (10.0, 0.0)), ((20.0, 0.0), (30.0, 0.0))]
    assert walk_marks([]) == ()


def test_it_is_faint_but_can_be_seen_and_lies_under_cables_and_symbols() -> None:
    (mark,) = walk_marks([((0, 0), (10, 0))])
    assert mark.ink.role == ROLE
    assert layer_rank(mark.layer) < layer_rank("run") < layer_rank("symbol")
    for theme in THEMES:
        paper = contrast(colour(ROLE, theme), colour("paper", theme))
        assert 1.4 < paper < contrast(colour("faint", theme), colour("paper", theme))


def test_no_cable_is_drawn_like_it() -> None:
    b = Builder()
    g = b.storey()
    stops = [b.point(at=(g, x, 0)) for x in (0, 2000, 4000, 6000)]
    for (a, to), evidence in zip(itertools.pairwise(stops), ("seen", "tested", "assumed"), strict=True):
        b.run(a, to, evidence)  # type: ignore[arg-type]  # words of the trade, one each
    memo = Memo()
    drawn = plan_marks(b.home, g, views=views(b.home, load(), memo), deduced=deduce(b.home, memo), memo=memo)
    inks = {mark.ink for marks in drawn.values() for mark in marks if isinstance(mark, Line)}
    assert inks
    assert walk_marks([((0, 0), (10, 0))])[0].ink not in inks
    assert all(ink.role != ROLE for ink in inks)


def test_it_can_be_printed() -> None:
    assert colour(ROLE, "paper").lower() in svg_text(walk_marks([((0, 0), (1000, 500))]), title="Walk").lower()
