"""The survey on paper: common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.home import verbs
from circuitmap.memo import Memo
from circuitmap.survey import AnswersError, lines_of, parse_answers, sheet_text
from circuitmap.trade import load
from circuitmap.words import OUTCOMES
from tests.build import Builder
from tests.survey.board import Surveyed

SHEET = range(1, 21)


@pytest.mark.parametrize(
    ("typed", "given"),
    [
        ("6 on", {6: "still on"}),
        ("3,4 glow", {3: "faint glow", 4: "faint glow"}),
        ("7 ?", {7: "can't tell"}),
        ("7 can't tell", {7: "can't tell"}),
        ("7 can’t tell", {7: "can't tell"}),
        ("1-3 off", {1: "off", 2: "off", 3: "off"}),
        ("1–3 went off", {1: "off", 2: "off", 3: "off"}),
        ("1 - 3 OFF", {1: "off", 2: "off", 3: "off"}),
        ("1–6 off except 2, 4–5", {1: "off", 3: "off", 6: "off"}),
        ("1–3 off except 2; 2 on", {1: "off", 2: "still on", 3: "off"}),
        ("1, 2 off, 3 on, 4 ?", {1: "off", 2: "off", 3: "still on", 4: "can't tell"}),
        ("1 and 2 off", {1: "off", 2: "off"}),
        ("1 off\n\n2 still on\n", {1: "off", 2: "still on"}),
        ("3 o; 4 s; 5 g; 6 c", {3: "off", 4: "still on", 5: "faint glow", 6: "can't tell"}),
        ("5 off; 5 off", {5: "off"}),
        ("5on", {5: "still on"}),
        ("", {}),
        (" ; \n", {}),
    ],
)
def test_answers_as_they_are_typed(typed: str, given: dict[int, str]) -> None:
    assert dict(parse_answers(typed, SHEET)) == given


def test_all_and_rest_fill_the_sheet() -> None:
    assert dict(parse_answers("all off except 2", [1, 2, 3])) == {1: "off", 3: "off"}
    assert dict(parse_answers("rest off; 2 on", [1, 2, 3])) == {1: "off", 2: "still on", 3: "off"}


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("21 off", "there is no 21 on the sheet; it goes from 1 to 20"),
        ("0 off", "there is no 0"),
        ("9–4 off", "runs backwards"),
        ("3", "say what was found"),
        ("off", "say which numbers"),
        ("3 purple", "“purple” is none of"),
        ("3 dead", "“dead” is kept for proved dead"),
        ("except 3", "“except” stands after"),
        ("1–4 off except", "say which numbers are excepted"),
        ("1–4 off except 9", "9 is excepted but wasn't named"),
        ("1–4 off except 2, 3 on", "put a semicolon"),
        ("3 off; 3 on", "3 was given as off before"),
        ("1–999999999999 off", "longer than any sheet"),
        ("<b> off", "none of"),
        ("rest off; rest on", "once only"),
    ],
)
def test_a_part_that_cant_be_read_is_named_and_nothing_is_taken(typed: str, why: str) -> None:
    with pytest.raises(AnswersError) as caught:
        parse_answers(f"1 off; {typed}" if "rest" not in typed else typed, SHEET)
    assert why in str(caught.value)
    assert str(caught.value).endswith("Nothing was taken.")


def test_every_bad_part_is_named() -> None:
    with pytest.raises(AnswersError) as caught:
        parse_answers("1 off; 77 off; 3 blue; 4 on", SHEET)
    assert len(caught.value.problems) == 2


def test_an_essay_is_refused_in_a_sentence() -> None:
    with pytest.raises(AnswersError, match="more than any sheet"):
        parse_answers("1 off;" * 100_000, SHEET)


@given(st.text(max_size=60))
def test_any_text_is_either_read_or_refused(typed: str) -> None:
    try:
        answers = parse_answers(typed, SHEET)
    except AnswersError as error:
        answers, problems = (), error.problems
    else:
        problems = ()
    assert all(number in SHEET and outcome in OUTCOMES for number, outcome in answers)
    assert all(problem.endswith(".") for problem in problems)


@given(st.dictionaries(st.integers(1, 20), st.sampled_from(OUTCOMES), min_size=1))
def test_what_is_written_out_reads_back(answers: dict[int, str]) -> None:
    typed = "; ".join(f"{number} {outcome}" for number, outcome in answers.items())
    assert dict(parse_answers(typed, SHEET)) == answers


def test_a_sheet_without_a_drawing_lists_points_under_their_rooms() -> None:
    b = Builder()
    kitchen, hall = b.room("Kitchen"), b.room("Hall")
    b.point(room=hall, where="left of the door")
    b.point(room=kitchen, gangs=2)
    lines = lines_of(b.home)
    assert [(line.number, line.room) for line in lines] == [(1, "Kitchen"), (2, "Hall")]
    assert "double socket" in lines[0].words
    assert "left of the door" in lines[1].words


def test_lights_that_one_switch_works_share_a_line() -> None:
    b = Builder()
    room = b.room("Kitchen")
    spots = [b.point("downlight", room=room) for _ in range(6)]
    alone = b.point("light", room=room)
    switch = b.point("switch", room=room)
    b.do(verbs.edit(b.home, switch, controls=tuple(spots)))
    lines = lines_of(b.home, Memo(), load())
    assert [line.points for line in lines] == [tuple(spots), (alone,)]
    assert lines[0].words.startswith("6 × downlight")


def test_what_cant_be_looked_at_is_not_on_the_sheet_and_what_cant_be_reached_says_so() -> None:
    b = Builder()
    b.point("junction box")
    behind = b.point()
    b.do(verbs.edit(b.home, behind, uncheckable="behind the oven"))
    (line,) = lines_of(b.home, Memo(), load())
    assert "can't be checked: behind the oven" in line.words


def test_a_sheet_to_print_has_its_cautions_boxes_and_what_is_off() -> None:
    home = Surveyed(points=2)
    record = home.round(home.now, home.ways[0], home.ways[2])
    text = sheet_text(home.home, record)
    assert "A1, A3 off" in text
    assert text.count("[ ] went off") == 2
    for words in ("agreement first", "not proof of isolation", "Witness lamp", "Afterwards:", "1–14 off except 6, 9"):
        assert words in text
    assert "dead" not in text.replace("proved dead", "").replace("prove dead", "")


def test_a_sheet_for_looking_with_everything_on_switches_nothing_off() -> None:
    home = Surveyed(points=1)
    record = home.round(home.now)
    text = sheet_text(home.home, record)
    assert "look with everything on" in text
    assert "Afterwards" not in text


def test_a_sheet_printed_beforehand_carries_the_cautions_of_any_switch_off() -> None:
    text = sheet_text(Surveyed().home)
    assert "Off: ____" in text
    for words in ("agreement first", "torch", "Afterwards:"):
        assert words in text


def test_odd_names_stay_on_one_line_of_the_sheet() -> None:
    b = Builder("<b>Home</b>\nof mine")
    point = b.point(room=b.room("K\n" + "x" * 9000))
    b.do(verbs.edit(b.home, point, name="kettle\nside " + "y" * 9000))
    text = sheet_text(b.home)
    assert max(map(len, text.splitlines())) < 260
    assert "<b>Home</b> of mine" in text
