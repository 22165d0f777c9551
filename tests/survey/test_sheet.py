"""The survey on paper: common practice, no source."""

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.home import verbs
from circuitmap.home.records import Round
from circuitmap.memo import Memo
from circuitmap.survey import (
    AnswersError,
    lines_of,
    numbering_of_round,
    paper_beforehand,
    paper_of_round,
    parse_answers,
    points_asked,
    sheet_code,
    sheet_text,
    split_code,
    witnesses,
)
from circuitmap.survey.lines import NOT_REACHED
from circuitmap.survey.proposal import Witness
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
    assert "twin socket" in lines[0].words
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
    assert "Look with everything on" in text
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


def test_a_line_is_answered_by_the_number_of_its_point_too() -> None:
    on_line = {"P4": 1, "P7": 2, "P8": 2}
    assert dict(parse_answers("P4 off; p8 on", [1, 2], on_line)) == {1: "off", 2: "still on"}
    assert dict(parse_answers("all off except P7", [1, 2], on_line)) == {1: "off"}
    with pytest.raises(AnswersError, match="P9 is not on the sheet"):
        parse_answers("P9 off", [1, 2], on_line)


@pytest.mark.parametrize(
    ("typed", "code", "rest"),
    [
        ("KD47: 1–3 off", "KD47", " 1–3 off"),
        (" kd47 1 off", "KD47", " 1 off"),
        ("1–3 off", "", "1–3 off"),
        ("P12 off", "", "P12 off"),
        ("all off", "", "all off"),
    ],
)
def test_typed_answers_may_begin_with_the_code_of_their_sheet(typed: str, code: str, rest: str) -> None:
    assert split_code(typed) == (code, rest)


def test_the_lines_of_some_points_are_numbered_in_the_order_they_are_asked() -> None:
    b = Builder()
    first, second, third = (b.point() for _ in range(3))
    assert [(n.number, n.points) for n in lines_of(b.home, points=[third, first])] == [(1, (third,)), (2, (first,))]
    assert [n.points for n in lines_of(b.home)] == [(first,), (second,), (third,)]


def test_a_code_differs_with_the_points_their_order_and_what_is_off() -> None:
    b = Builder()
    points = [b.point() for _ in range(3)]
    lines = lines_of(b.home, points=points)
    others = lines_of(b.home, points=points[:2]), lines_of(b.home, points=points[::-1])
    codes = [sheet_code(lines), sheet_code(lines, ["D1"]), *(sheet_code(each) for each in others)]
    assert len(set(codes)) == 4
    assert sheet_code(lines, ["D2", "D1"]) == sheet_code(lines, ["D1", "D2"])
    assert all(split_code(f"{code} 1 off")[0] == code for code in codes)


def begin(home: Surveyed, *off: str, asks: tuple[str, ...] = ()) -> str:
    """Open a switch-off at the next instant, for some points if they are named."""
    record = home.do(verbs.open_round(home.home, home.now, off, at=home.instant))
    if asks:
        event = home.home.take(Round, record).events[0]
        home.do(verbs.edit(home.home, record, events=(msgspec.structs.replace(event, points=asks),)))
    return record


def settled_by_two(home: Surveyed) -> str:
    """Settle the first point of two, and open a switch-off after that."""
    look = home.round(home.now)
    home.say(look, home.points[0], "still on")
    home.look(home.points[0], "off", home.ways[0])
    return begin(home, home.ways[1])


def test_a_switch_off_asks_what_was_not_settled_when_it_began() -> None:
    home = Surveyed(ways=2, points=2)
    record = settled_by_two(home)
    assert home.found(home.points[0]).verdict == "settled"
    assert points_asked(home.home, home.memo, None, record) == (home.points[1],)
    assert points_asked(home.home, home.memo) == (home.points[1],)


def test_its_own_answers_and_later_ones_leave_the_numbers_of_a_switch_off_as_they_were() -> None:
    home = Surveyed(ways=2, points=2)
    record = settled_by_two(home)
    before = points_asked(home.home, home.memo, None, record)
    home.say(home.round(home.now), home.points[1], "still on")
    home.say(record, home.points[1], "off")
    assert home.found(home.points[1]).verdict == "settled"
    assert points_asked(home.home, home.memo, None, record) == before
    assert points_asked(home.home, home.memo) == ()


def test_answers_of_an_earlier_switch_off_typed_in_late_leave_the_numbers_of_a_later_one_as_they_were() -> None:
    home = Surveyed(ways=2, points=1)
    (point,) = home.points
    look, first = begin(home), begin(home, home.ways[0])
    home.happens(first, "power back")
    second = begin(home, home.ways[1])
    home.happens(second, "power back")
    home.say(look, point, "still on")
    home.say(first, point, "off")
    assert home.found(point).verdict == "settled"
    assert points_asked(home.home, home.memo, None, second) == (point,)


def test_a_switch_off_asks_the_points_that_it_was_opened_for_in_their_order() -> None:
    home = Surveyed(ways=2, points=3)
    one, _, three = home.points
    record = begin(home, home.ways[0], asks=(three, one))
    assert points_asked(home.home, home.memo, None, record) == (three, one)
    assert [line.points for line in paper_of_round(home.home, home.memo, None, record).lines] == [(three,), (one,)]


def test_what_was_found_out_of_reach_is_asked_no_more_from_the_next_switch_off_on() -> None:
    home = Surveyed(ways=2, points=2)
    behind = home.points[0]
    first = begin(home, home.ways[0])
    home.say(first, behind, "can't tell", why=NOT_REACHED)
    home.do(verbs.add_limitation(home.home, behind, NOT_REACHED, visit=home.now))
    second = begin(home, home.ways[1])
    assert behind in points_asked(home.home, home.memo, None, first)
    assert points_asked(home.home, home.memo, None, second) == (home.points[1],)
    assert points_asked(home.home, home.memo, visit=home.now) == (home.points[1],)


def test_a_look_with_everything_on_asks_every_point() -> None:
    home = Surveyed(ways=2, points=2)
    settled_by_two(home)
    look = home.round(home.now)
    assert points_asked(home.home, home.memo, None, look) == tuple(home.points)


def test_the_paper_of_a_switch_off_says_what_was_found_and_how_many_points_it_leaves_out() -> None:
    home = Surveyed(ways=2, points=2)
    record = settled_by_two(home)
    home.say(record, home.points[1], "off")
    paper = paper_of_round(home.home, home.memo, None, record)
    assert (paper.title, paper.day, paper.left_out) == (f"Switch-off 2 of its visit ({record})", "2026-01-05", 1)
    assert paper.answers == {home.points[1]: "off"}
    assert "[x] went off" in sheet_text(home.home, record)
    every = paper_of_round(home.home, home.memo, None, record, every_point=True)
    assert [line.points for line in every.lines] == [(point,) for point in home.points]
    assert every.left_out == 0
    assert every.code != paper.code


def test_a_paper_printed_beforehand_has_the_code_of_the_switch_off_that_is_then_made() -> None:
    home = Surveyed(ways=3, points=3)
    off = (home.ways[0], home.ways[1])
    paper = paper_beforehand(home.home, home.memo, None, off, visit=home.now)
    record = home.round(home.now, *off)
    assert paper.code == paper_of_round(home.home, home.memo, None, record).code


def test_a_witness_is_known_to_hang_on_what_stays_on_one_under_each_rcd() -> None:
    # An RCD over ways 1 and 2, ways 3 and 4 straight under the main switch; P1 on way 1, P3 on way 3, P2 on nobody
    # knows what.
    home = Surveyed(ways=4, points=3)
    rcd = home.device(home.a, "", "RCD", 63, upstream=home.main)
    for way in home.ways[:2]:
        home.do(verbs.edit(home.home, way, upstream=rcd))
    look = home.round(home.now)
    for point in home.points:
        home.say(look, point, "still on")
    home.look(home.points[0], "off", home.ways[0])
    home.look(home.points[2], "off", home.ways[2])
    off_two = witnesses(home.home, home.memo, [home.ways[1]], home.now)
    assert off_two == (Witness(rcd, home.points[0]), Witness(home.main, home.points[2]))
    assert witnesses(home.home, home.memo, [home.ways[0]], home.now) == (Witness(home.main, home.points[2]),)
    assert witnesses(home.home, home.memo, [home.main], home.now) == ()
    assert witnesses(home.home, home.memo, [], home.now) == ()


def test_a_look_printed_beforehand_has_the_numbers_of_the_look_that_is_then_made() -> None:
    home = Surveyed(ways=2, points=3)
    home.do(verbs.edit(home.home, home.points[1], uncheckable="behind the oven"))
    paper = paper_beforehand(home.home, home.memo, None, ())
    assert [line.points for line in paper.lines] == [(home.points[0],), (home.points[2],)]
    look = begin(home)
    assert paper.code == paper_of_round(home.home, home.memo, None, look).code


def test_points_answered_without_being_asked_follow_on_and_leave_the_other_numbers_and_the_code() -> None:
    home = Surveyed(ways=2, points=3)
    one, two, three = home.points
    record = begin(home, home.ways[0], asks=(three,))
    before = numbering_of_round(home.home, home.memo, None, record)
    home.say(record, two, "off")
    home.say(record, one, "off")
    after = numbering_of_round(home.home, home.memo, None, record)
    assert (after.lines, after.code) == (before.lines, before.code)
    assert [(line.number, line.points) for line in after.all_lines] == [(1, (three,)), (2, (one,)), (3, (two,))]
