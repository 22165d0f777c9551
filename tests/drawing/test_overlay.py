"""Over the plan: survey states by shape and word, findings by their code's own glyph, one circuit alone."""

import msgspec
import pytest

from circuitmap.drawing.marks import STATES, Glyph, Line, Words
from circuitmap.drawing.overlay import circuit_only, finding_marks, only_dresses, state_marks, survey_dresses
from circuitmap.drawing.plan import plan_marks
from circuitmap.findings.finding import Finding
from circuitmap.home import verbs
from circuitmap.memo import Memo
from circuitmap.survey.deduce import deduce
from circuitmap.words import Outcome, Severity
from tests.build import Builder
from tests.drawing.homes import all_of, circuits_of, crowded_kitchen, lounge, ring, two_storeys


def finding(code: Severity, *subjects: str, aside: bool = False) -> Finding:
    return Finding(
        rule="made-up", code=code, subjects=subjects, says="s", why="w", settle="t", evidence="seen", aside=aside
    )


def surveyed() -> tuple[Builder, str, list[str]]:
    """Two ways; everything was seen on, then the first way was off and four points answered."""
    b, _, points = lounge()
    b.device("B1", "2", curve="B", label="Kitchen")
    b.device("B1", "3", curve="B", label="Loft")
    visit = b.visit()
    look = b.round(visit)
    for point in points[:6]:
        b.check(look, point, "still on")
    off = b.round(visit, "D1")
    answers: tuple[Outcome, ...] = ("off", "still on", "faint glow", "can't tell")
    for point, outcome in zip(points, answers, strict=False):
        b.check(off, point, outcome)
    return b, off, points


def states(b: Builder, round_id: str | None) -> dict[str, str]:
    memo = Memo()
    dresses = survey_dresses(
        b.home, views=circuits_of(b.home, memo), deduced=deduce(b.home, memo), memo=memo, round_id=round_id
    )
    return {point: dress.state for point, dress in dresses.items()}


def test_a_switch_off_shows_what_it_settled_what_was_answered_and_what_was_not_reached() -> None:
    b, off, points = surveyed()
    b.check(off, points[6], "faint glow")  # nobody had seen it on, so nothing is settled by it
    shown = states(b, off)
    assert shown[points[0]] == "settled"
    assert [shown[points[n]] for n in (1, 3, 6)] == ["still on", "can't tell", "faint glow"]
    assert shown[points[4]] == "not checked"
    assert set(shown.values()) <= set(STATES)


def test_an_off_that_settles_nothing_shows_as_went_off() -> None:
    b, _, points = lounge()
    off = b.round(b.visit(), "D1")
    b.check(off, points[0], "off")
    assert states(b, off)[points[0]] == "went off"


def test_between_two_ways_a_point_is_in_doubt() -> None:
    b, off, points = surveyed()
    assert states(b, None)[points[1]] == "in doubt"
    assert states(b, off)[points[1]] == "still on"


def test_states_take_the_place_of_the_points_own_marks_with_the_code_where_it_is_known() -> None:
    b, off, points = surveyed()
    memo = Memo()
    views, deduced = circuits_of(b.home, memo), deduce(b.home, memo)
    shown = state_marks(b.home, "G1", views=views, deduced=deduced, memo=memo, round_id=off)
    assert set(shown) == set(points)
    glyph, words = shown[points[0]]
    assert isinstance(glyph, Glyph)
    assert isinstance(words, Words)
    assert (glyph.state, words.text) == ("settled", "A1")
    again = state_marks(b.home, "G1", views=views, deduced=deduced, memo=memo, round_id=off)
    assert all(again[point] is shown[point] for point in points)


def test_an_answer_makes_the_marks_of_its_point_anew_and_leaves_the_others() -> None:
    b, off, points = surveyed()
    memo = Memo()

    def shown() -> dict[str, object]:
        views = circuits_of(b.home, memo)
        found = state_marks(b.home, "G1", views=views, deduced=deduce(b.home, memo), memo=memo, round_id=off)
        return dict(found)

    before = shown()
    b.check(off, points[5], "still on")
    after = shown()
    assert {p for p in points if after[p] is not before[p]} == {points[5]}


@pytest.mark.parametrize("code", ["C1", "C2", "FI", "C3"])
def test_a_finding_shows_its_codes_glyph_near_its_first_subject(code: Severity) -> None:
    b = ring()
    marks = finding_marks(b.home, "G1", [finding(code, "P3", "R1")], memo=Memo())
    ((glyph,),) = marks.values()
    assert isinstance(glyph, Glyph)
    assert (glyph.layer, glyph.symbol, glyph.role) == ("finding", code, code)
    assert abs(glyph.at_mm[0] - 6000) < 400
    assert abs(glyph.at_mm[1] - 3000) < 400


def test_facts_notes_and_what_was_ruled_out_have_no_glyph_and_several_codes_stand_side_by_side_worst_first() -> None:
    b = ring()
    found = [finding("note", "P1"), finding("C3", "P2", aside=True), finding("C3", "P3"), finding("C1", "P3")]
    found += [msgspec.structs.replace(finding("C1", "P4"), ruling="not so")]
    found += [finding("C3", "P3"), finding("C2", "D1"), finding("FI", "M1"), finding("C3", "R2")]
    marks = finding_marks(b.home, "G1", found, memo=Memo())
    assert set(marks) == {"finding P3", "finding B1", "finding M1", "finding P1"}
    first, second = marks["finding P3"]
    assert isinstance(first, Glyph)
    assert isinstance(second, Glyph)
    assert (first.symbol, second.symbol) == ("C1", "C3")
    assert second.at_mm[0] > first.at_mm[0]


def test_a_finding_is_shown_on_the_storey_of_its_subject_only() -> None:
    b, _ = two_storeys()
    found = [finding("C2", "P2", "P1"), finding("C3", "home")]
    assert set(finding_marks(b.home, "G2", found, memo=Memo())) == {"finding P2"}
    assert set(finding_marks(b.home, "G1", found, memo=Memo())) == {"finding P1"}


def test_one_circuit_alone_keeps_its_cables_and_leaves_the_rest_bare() -> None:
    b = crowded_kitchen()
    memo = Memo()
    views = circuits_of(b.home, memo)
    marks = plan_marks(
        b.home, "G1", views=views, deduced=deduce(b.home, memo), memo=memo, states=only_dresses(views[1], b.home)
    )
    shown = all_of(circuit_only(marks, views[1], views, b.home))
    assert {m.ink.role for m in shown if isinstance(m, Line)} == {"circuit:1"}
    settled = [m for m in shown if isinstance(m, Glyph) and m.state]
    assert len(settled) == len(views[1].members)
    assert {m.role for m in settled} == {"circuit:1"}
    assert len([m for m in shown if isinstance(m, Glyph)]) == 24


def test_a_tag_and_a_switch_off_that_differ_are_settled_by_the_survey_in_its_own_view() -> None:
    b, off, points = surveyed()
    b.do(verbs.tag(b.home, points[0], "D3", "seen"))
    assert states(b, off)[points[0]] == "settled"
