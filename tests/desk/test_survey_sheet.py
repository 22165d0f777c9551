"""The sheet on the desk: its numbers are the paper's, and answers on paper are typed in when the power is back."""

from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree as Tree

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from circuitmap.desk import visit_paper as papers
from circuitmap.home import verbs
from circuitmap.home.records import Check
from circuitmap.survey.paper import blank_paper, paper_of_round
from tests.desk.survey_home import SmallHome, Survey
from tests.desk.test_survey_stage import begin, checks, look_round, switch_off, text_of

SVG = "{http://www.w3.org/2000/svg}"


pytestmark = pytest.mark.usefixtures("moving_clock")


@pytest.fixture
def small() -> SmallHome:
    return SmallHome()


@pytest.fixture
def survey(qapp: object, small: SmallHome) -> Iterator[Survey]:
    made = Survey(small.home)
    made.show()
    yield made
    made.close()


def type_in(survey: Survey, text: str) -> None:
    sheet = survey.stage.sheet
    if not sheet.opener.isChecked():
        survey.click(sheet.opener)
    sheet.entry.clear()
    QTest.keyClicks(sheet.entry, text)
    QTest.keyClick(sheet.entry, Qt.Key.Key_Return)


def numbers(survey: Survey, *points: str) -> str:
    """Give the numbers that some points have on the sheet, as they are typed."""
    lines = papers.numbering(survey.cursor, survey.stage.sheet.subject).all_lines
    return ", ".join(str(line.number) for line in lines if set(points) & set(line.points))


def over(survey: Survey) -> None:
    """End the walk, whatever is unanswered, and put the power back on."""
    survey.press(Qt.Key.Key_E)
    survey.click(survey.stage.power.all_on)


def texts(path: Path) -> list[str]:
    return [element.text or "" for element in Tree.parse(path).iter(f"{SVG}text")]


def test_the_numbers_of_the_desk_are_those_of_the_paper_of_the_same_switch_off(
    survey: Survey, small: SmallHome, tmp_path: Path
) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.kitchen_way)
    type_in(survey, f"{numbers(survey, small.k1, small.k2)} off; rest on")
    over(survey)
    survey.click(survey.stage.summary.go_on)
    switch_off(survey, small.sockets)
    sheet = survey.stage.sheet
    assert sheet.write(tmp_path / "sheet.svg")
    going = survey.cursor.round
    assert going is not None
    paper = paper_of_round(survey.home, survey.adapter.memo, survey.adapter.trade, going.id)
    # The kitchen is settled and left out, so that other points have the first numbers now.
    assert paper.lines[0].points == (small.l1,)
    assert f"Sheet {paper.code}" in texts(tmp_path / "sheet.svg")
    assert paper.code in text_of(survey)
    type_in(survey, f"{paper.code}: 1 off")
    assert checks(survey)[-1] == (small.l1, "off")
    type_in(survey, f"{numbers(survey, small.l2)} off")
    assert checks(survey)[-1] == (small.l2, "off")


def test_answers_on_paper_are_typed_in_when_the_power_is_back_and_settle_points(
    survey: Survey, small: SmallHome
) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets)
    over(survey)
    assert survey.cursor.step == "summary"
    before = len(checks(survey))
    on = numbers(survey, small.k1, small.k2, small.lamp)
    type_in(survey, f"all off except {on}; {on} on")
    assert len(checks(survey)) == before + 6
    assert {point for point, known in survey.adapter.deduced.items() if known.verdict == "settled"} == {
        small.l1, small.l2,
    }  # fmt: skip
    assert "Settled: 2 of 6 points, 2 by this switch-off" in text_of(survey)
    assert survey.stage.sheet.entry.text() == ""
    survey.adapter.undo()
    assert len(checks(survey)) == before


def test_a_sheet_walked_earlier_is_chosen_from_the_list_and_numbers_stay_as_they_were_printed(
    survey: Survey, small: SmallHome
) -> None:
    begin(survey)
    look_round(survey)
    rounds = []
    for way in (small.sockets, small.kitchen_way):
        switch_off(survey, way)
        assert survey.cursor.round is not None
        rounds.append(survey.cursor.round.id)
        over(survey)
        survey.click(survey.stage.summary.go_on)
    first, second = rounds
    printed = papers.numbering(survey.cursor, second)
    sheet = survey.stage.sheet
    survey.click(sheet.opener)
    assert sheet.subject == second
    sheet.which.setCurrentIndex(sheet.which.findData(first))
    type_in(survey, f"{numbers(survey, small.l1, small.l2)} off; rest on")
    assert survey.adapter.deduced[small.l1].verdict == "settled"
    assert papers.numbering(survey.cursor, second) == printed
    sheet.which.setCurrentIndex(sheet.which.findData(second))
    type_in(survey, f"{numbers(survey, small.k1, small.k2)} off; rest on")
    assert survey.adapter.deduced[small.k1].verdict == "settled"
    assert [c.round for c in survey.home.sorted(Check)[-6:]] == [second] * 6


def test_a_visit_of_another_day_takes_its_answers_before_a_new_visit_is_begun(qapp: object, small: SmallHome) -> None:
    visit = small.visit("2025-11-03")
    look = small.round(visit)
    for point in small.feeds:
        small.do(verbs.record_check(small.home, look, point, "still on", at="2025-11-03T09:10:00Z"))
    record = small.do(verbs.open_round(small.home, visit, (small.lights,), at="2025-11-03T10:00:00Z"))
    small.do(verbs.record_event(small.home, record, "power back", at="2025-11-03T10:20:00Z"))
    survey = Survey(small.home)
    survey.show()
    assert survey.cursor.step == "start"
    type_in(survey, f"{numbers(survey, small.lamp)} off; rest on")
    assert survey.adapter.deduced[small.lamp].verdict == "settled"
    assert survey.adapter.deduced[small.lamp2].verdict == "settled"
    survey.close()


def test_a_sheet_with_another_code_is_refused_and_nothing_of_it_taken(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.sockets)
    before = len(checks(survey))
    type_in(survey, "AA00: 1-3 off")
    assert len(checks(survey)) == before
    assert "AA00 is another sheet than" in text_of(survey)
    assert survey.stage.sheet.entry.text() == "AA00: 1-3 off"
    type_in(survey, f"{small.l1} off")
    assert checks(survey)[-1] == (small.l1, "off")
    assert "another sheet" not in text_of(survey)


def test_a_sheet_of_every_point_is_known_by_its_code(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.kitchen_way)
    type_in(survey, f"{numbers(survey, small.k1, small.k2)} off; rest on")
    over(survey)
    survey.click(survey.stage.summary.go_on)
    blank = blank_paper(survey.home, survey.adapter.memo, survey.adapter.trade)
    switch_off(survey, small.sockets)
    assert papers.numbering(survey.cursor, survey.stage.sheet.subject).code != blank.code
    first = next(line.number for line in blank.lines if small.k1 in line.points)
    third = next(line.number for line in blank.lines if small.l1 in line.points)
    type_in(survey, f"{blank.code}: {third} off; {first} on")
    assert checks(survey)[-2:] == [(small.k1, "still on"), (small.l1, "off")]


def test_a_sheet_printed_before_the_switch_off_has_the_code_that_it_has_then(
    survey: Survey, small: SmallHome, tmp_path: Path
) -> None:
    begin(survey)
    look_round(survey)
    survey.cursor.toggle(small.kitchen_way)
    sheet = survey.stage.sheet
    assert sheet.subject == papers.NEXT
    assert not sheet.can_type()
    assert sheet.write(tmp_path / "next.svg")
    survey.agree()
    code = papers.numbering(survey.cursor, sheet.subject).code
    assert f"Sheet {code}" in texts(tmp_path / "next.svg")
    assert "A2 Kitchen" in texts(tmp_path / "next.svg")


def test_the_sheet_waits_while_the_power_is_put_back(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    look_round(survey)
    switch_off(survey, small.kitchen_way)
    assert survey.stage.sheet.isVisibleTo(survey.stage)
    survey.press(Qt.Key.Key_E)
    assert survey.cursor.step == "power"
    assert not survey.stage.sheet.isVisibleTo(survey.stage)
    assert not survey.stage.can_type()
    survey.click(survey.stage.power.all_on)
    assert survey.stage.sheet.isVisibleTo(survey.stage)
    assert survey.stage.can_type()


def test_a_sheet_of_many_lines_is_written_as_pages_and_their_names_are_said(
    qapp: object, small: SmallHome, tmp_path: Path
) -> None:
    for _ in range(70):
        small.point("socket", room=small.kitchen)
    survey = Survey(small.home)
    survey.show()
    assert survey.stage.sheet.write(tmp_path / "sheet")
    names = sorted(path.name for path in tmp_path.iterdir())
    assert names == ["sheet-1.svg", "sheet-2.svg", "sheet-3.svg"]
    assert survey.said[-1] == "The sheet is on 3 pages, sheet-1.svg, sheet-2.svg, sheet-3.svg."
    survey.close()
