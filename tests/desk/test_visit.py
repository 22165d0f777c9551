"""The cursor of the survey: what it reads off the records, and what it refuses."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from circuitmap.desk.visit_state import closing_order, everything, off_now, visit_now
from circuitmap.home import verbs
from circuitmap.home.records import Check, Consent, Limitation, Round, Tag
from circuitmap.home.verbs import edit
from circuitmap.trade import load
from tests.build import Builder

from .survey_home import SmallHome, Survey

AGREED = Consent(at="2026-01-05T09:00:00Z", by="occupier")


pytestmark = pytest.mark.usefixtures("moving_clock")


@pytest.fixture
def small() -> SmallHome:
    made = SmallHome()
    made.asked()
    return made


@pytest.fixture
def survey(qapp: object, small: SmallHome) -> Iterator[Survey]:
    made = Survey(small.home)
    yield made
    made.close()


def begin(survey: Survey) -> None:
    survey.cursor.start_visit()
    survey.cursor.end_look()


def switch_off(survey: Survey, *devices: str) -> None:
    for device in devices:
        survey.cursor.toggle(device)
    assert survey.cursor.open(AGREED)


def answers(survey: Survey) -> list[tuple[str, str]]:
    return [(c.point, c.outcome) for c in survey.home.sorted(Check)]


def test_the_steps_of_a_visit_come_in_their_order(qapp: object) -> None:
    survey = Survey(SmallHome().home)
    cursor = survey.cursor
    steps = [cursor.step]
    cursor.step_changed.connect(steps.append)
    cursor.start_visit("survey", "me")
    cursor.set_phases(1)
    cursor.set_sources(())
    cursor.start_look()
    cursor.end_look()
    switch_off(survey, "D3")
    cursor.end_walk()
    cursor.power_back()
    cursor.go_on()
    assert steps == ["start", "phases", "sources", "look", "choose", "walk", "power", "summary", "choose"]
    survey.close()


def test_more_than_one_phase_is_declined_and_nothing_can_be_chosen(survey: Survey, small: SmallHome) -> None:
    survey.cursor.start_visit()
    survey.cursor.set_phases(3)
    survey.cursor.toggle(small.sockets)
    assert survey.cursor.step == "declined"
    assert survey.cursor.pending == ()
    assert survey.said == ["The switch-off survey is for single-phase homes only."]


def test_other_sources_are_kept_on_the_supply_page_with_what_was_known_of_them(survey: Survey) -> None:
    survey.cursor.set_sources(("PV", "battery"))
    supply = survey.supply
    assert supply is not None
    survey.adapter.do(edit(survey.home, supply.id, sources=(*supply.sources[:1], *supply.sources[1:])))
    survey.cursor.set_sources(("battery", "UPS"))
    assert survey.supply is not None
    assert [s.kind for s in survey.supply.sources] == ["battery", "UPS"]
    assert survey.supply.sources_asked


def test_what_is_chosen_is_no_record_until_somebody_agreed(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    before = survey.document.revision
    shown: list[frozenset[str]] = []
    survey.cursor.off_changed.connect(shown.append)
    survey.cursor.toggle(small.sockets)
    survey.cursor.toggle(small.lights)
    survey.cursor.toggle(small.sockets)
    assert survey.document.revision == before
    assert shown[-1] == {small.lights}
    assert survey.cursor.step == "choose"
    assert survey.cursor.open(AGREED)
    (opened,) = survey.home.sorted(Round)
    assert opened.off == (small.lights,)
    assert opened.consent == AGREED


def test_nothing_opens_when_nothing_is_chosen(survey: Survey) -> None:
    begin(survey)
    assert not survey.cursor.open(AGREED)
    assert not survey.home.sorted(Round)


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"keep_on": "oxygen upstairs"}, "A1 stays on: oxygen upstairs."),
        ({"how_switched": "leave alone"}, "A1 (MCB) is not for the visitor to operate; leave it alone."),
        ({"how_switched": "can't be reached"}, "A1 (MCB) can't be reached; choose a device over it."),
    ],
)
def test_a_device_that_must_stay_is_refused_and_its_toggle_springs_back(
    survey: Survey, small: SmallHome, facts: dict[str, object], says: str
) -> None:
    survey.adapter.do(edit(survey.home, small.sockets, **facts))
    begin(survey)
    shown: list[frozenset[str]] = []
    survey.cursor.off_changed.connect(shown.append)
    survey.cursor.toggle(small.sockets)
    assert survey.cursor.pending == ()
    assert survey.said == [says]
    assert shown == [frozenset()]


def test_a_hot_or_damaged_device_is_left_alone(survey: Survey, small: SmallHome) -> None:
    """Common practice, no source: what is hot, buzzing or damaged isn't operated but becomes a finding."""
    survey.adapter.do(verbs.note(survey.home, small.sockets, ("hot or buzzing",)))
    begin(survey)
    survey.cursor.toggle(small.sockets)
    assert survey.cursor.pending == ()
    assert "leave it alone" in survey.said[0]


def test_while_one_is_open_no_other_can_be_chosen(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    switch_off(survey, small.sockets)
    survey.cursor.toggle(small.lights)
    assert survey.cursor.pending == ()
    assert survey.said[-1] == "Switch-off 1 is open; put the power back on before choosing A3."


def test_an_answer_moves_on_in_walk_order_and_the_last_one_asks_for_the_power(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    turns: list[str] = []
    survey.cursor.point_changed.connect(turns.append)
    switch_off(survey, small.sockets)
    order = list(survey.cursor.points)
    for _ in order:
        survey.cursor.answer("still on")
    assert turns == [*order, ""]
    assert survey.cursor.step == "power"
    assert small.switch not in order, "a switch is not checked, the light it works is"


def test_both_answers_of_a_point_are_kept(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    switch_off(survey, small.sockets)
    survey.cursor.go_to(small.l1)
    survey.cursor.answer("off")
    survey.cursor.go_to(small.l1)
    survey.cursor.answer("still on")
    assert answers(survey) == [(small.l1, "off"), (small.l1, "still on")]
    assert survey.cursor.outcomes == {small.l1: "still on"}


def test_next_skips_and_comes_back_to_what_was_skipped(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    switch_off(survey, small.sockets)
    first, second, *rest = survey.cursor.points
    survey.cursor.next()
    assert survey.cursor.point == second
    for _ in (second, *rest):
        survey.cursor.answer("still on")
    assert survey.cursor.point == first
    assert survey.cursor.step == "walk"


def test_take_back_undoes_the_last_answer_and_it_is_that_points_turn_again(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    switch_off(survey, small.sockets)
    first = survey.cursor.point
    survey.cursor.answer("off")
    survey.cursor.take_back()
    assert survey.cursor.point == first
    assert answers(survey) == []
    assert survey.document.redo_title == f"{first} off"


def test_take_back_leaves_what_was_done_since_the_answer(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    switch_off(survey, small.sockets)
    first = survey.cursor.point
    survey.cursor.answer("off")
    survey.adapter.do(verbs.label_way(survey.home, small.lights, "Lights up"))
    survey.cursor.take_back()
    assert answers(survey) == []
    assert survey.cursor.point == first
    assert survey.home.peek(small.lights).label == "Lights up"  # type: ignore[union-attr]  # it is there
    survey.adapter.undo()
    assert answers(survey) == [(first, "off")]


def test_an_answer_for_several_points_is_taken_back_as_one(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    switch_off(survey, small.lights)
    survey.cursor.go_to(small.lamp)
    survey.cursor.answer("off", together=(small.lamp, small.lamp2))
    assert answers(survey) == [(small.lamp, "off"), (small.lamp2, "off")]
    survey.cursor.take_back()
    assert answers(survey) == []


def test_undo_and_redo_carry_the_cursor_along(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    switch_off(survey, small.sockets)
    first, second, *_ = survey.cursor.points
    survey.cursor.answer("off")
    survey.adapter.undo()
    assert survey.cursor.point == first
    survey.adapter.redo()
    assert survey.cursor.point == second
    survey.adapter.undo()
    survey.adapter.undo()
    assert survey.cursor.step == "choose", "the switch-off itself was taken back"
    survey.adapter.redo()
    assert survey.cursor.step == "walk"
    assert survey.cursor.off == (small.sockets,)


def test_a_trip_enlarges_what_is_off_and_keeps_the_answers(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    switch_off(survey, small.sockets)
    survey.cursor.answer("still on")
    survey.cursor.trip((small.rcd,))
    assert survey.cursor.off == (small.sockets, small.rcd)
    assert survey.cursor.shown_off == {small.sockets, small.rcd}
    assert len(answers(survey)) == 1
    assert survey.cursor.step == "walk"


def test_a_trip_of_unknown_time_asks_again_for_what_was_answered_since_its_lamp_was_seen(
    survey: Survey, small: SmallHome
) -> None:
    begin(survey)
    switch_off(survey, small.sockets)
    first = survey.cursor.point
    survey.cursor.answer("still on")
    survey.cursor.trip((small.rcd,), just_now=False)
    assert survey.cursor.asked_again == {first}
    survey.cursor.put_on_again()
    assert survey.cursor.off == (small.sockets,)
    assert survey.cursor.step == "walk"
    assert first in survey.cursor.left
    survey.adapter.undo()
    assert survey.cursor.off == (small.sockets, small.rcd), "one undo takes it back"


def test_a_restart_goes_on_in_the_middle_of_the_walk(qapp: object, small: SmallHome, tmp_path: Path) -> None:
    path = tmp_path / "small.home"
    survey = Survey(small.home, path)
    begin(survey)
    switch_off(survey, small.sockets)
    survey.cursor.answer("still on")
    survey.cursor.answer("off")
    turn, seen = survey.cursor.point, survey.cursor.outcomes
    survey.restart(path)
    assert survey.cursor.step == "walk"
    assert survey.cursor.point == turn
    assert survey.cursor.outcomes == seen
    assert survey.cursor.shown_off == {small.sockets}
    survey.cursor.take_back()
    assert len(answers(survey)) == 1
    survey.close()


def test_a_restart_while_the_power_comes_back_asks_for_the_rest(qapp: object, small: SmallHome, tmp_path: Path) -> None:
    path = tmp_path / "small.home"
    survey = Survey(small.home, path)
    begin(survey)
    switch_off(survey, small.sockets, small.lights)
    survey.cursor.end_walk()
    survey.cursor.turn_on(small.sockets)
    survey.restart(path)
    assert survey.cursor.step == "power"
    assert survey.cursor.off == (small.lights,)
    survey.close()


def test_an_open_switch_off_keeps_its_visit_on_the_next_day(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    assert visit_now(survey.home, "2030-01-01") is None
    switch_off(survey, small.sockets)
    assert visit_now(survey.home, "2030-01-01") == survey.cursor.visit


def test_what_stands_over_others_is_put_on_first(small: SmallHome) -> None:
    """Common practice, no source: on again RCD first, then the ways one by one; the main switch before all."""
    home, trade = small.home, load()
    assert closing_order(home, trade, (small.rcd,)) == (small.rcd, small.sockets, small.kitchen_way)
    assert closing_order(home, trade, (small.lights, small.sockets)) == (small.sockets, small.lights)
    assert closing_order(home, trade, (small.main,))[:2] == (small.main, small.rcd)
    assert set(closing_order(home, trade, (small.main,))[2:]) == {small.sockets, small.kitchen_way, small.lights}


def test_a_way_that_trips_when_put_on_stays_off_and_is_written_down(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    switch_off(survey, small.sockets, small.kitchen_way)
    survey.cursor.end_walk()
    survey.cursor.turn_on(small.sockets)
    survey.cursor.trip_on_closing(small.kitchen_way)
    assert survey.cursor.off == (small.kitchen_way,)
    survey.cursor.power_back()
    (record,) = survey.home.sorted(Round)
    assert [(e.what, e.devices) for e in record.events[1:]] == [
        ("on", (small.sockets,)), ("trip on closing", (small.kitchen_way,)), ("power back", ()),
    ]  # fmt: skip
    assert off_now(record) == ()


def test_while_the_power_comes_back_a_toggle_puts_its_device_on(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    switch_off(survey, small.sockets, small.lights)
    survey.cursor.end_walk()
    survey.cursor.toggle(small.sockets)
    assert survey.cursor.off == (small.lights,)
    survey.cursor.go_to(small.l1)
    assert survey.cursor.step == "power", "once some of it is on again, the walk is over"


def test_a_point_clicked_on_the_plan_has_its_turn_and_a_switch_hands_it_to_its_light(
    survey: Survey, small: SmallHome
) -> None:
    begin(survey)
    switch_off(survey, small.sockets)
    survey.adapter.select(small.l2)
    assert survey.cursor.point == small.l2
    survey.adapter.select(small.switch)
    assert survey.cursor.point == small.lamp
    survey.adapter.set_stage("wiring")
    survey.adapter.select(small.l1)
    assert survey.cursor.point == small.lamp, "in another stage a click is only a click"


def test_what_cant_be_reached_is_a_limitation_and_later_walks_dont_wait_for_it(
    survey: Survey, small: SmallHome
) -> None:
    begin(survey)
    switch_off(survey, small.sockets)
    survey.cursor.go_to(small.k2)
    survey.cursor.not_reached("can't be reached")
    (limit,) = survey.home.sorted(Limitation)
    assert (limit.subject, limit.reason) == (small.k2, "can't be reached")
    survey.cursor.end_walk()
    survey.cursor.power_back()
    switch_off(survey, small.lights)
    assert small.k2 not in survey.cursor.points
    survey.cursor.set_walk_all(True)
    assert small.k2 in survey.cursor.points


def test_taking_back_what_cant_be_reached_takes_its_limitation_too(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    switch_off(survey, small.sockets)
    survey.cursor.not_reached("can't be reached")
    survey.adapter.do(verbs.label_way(survey.home, small.lights, "Lights up"))
    survey.cursor.take_back()
    assert not survey.home.sorted(Limitation)
    assert answers(survey) == []


def test_settled_points_are_left_out_of_later_walks(survey: Survey, small: SmallHome) -> None:
    survey.cursor.start_visit()
    survey.cursor.start_look()
    survey.cursor.answer_many([(i, "still on") for i in small.feeds])
    survey.cursor.end_look()
    switch_off(survey, small.lights)
    survey.cursor.answer_many([(i, "off" if way == small.lights else "still on") for i, way in small.feeds.items()])
    survey.cursor.power_back()
    switch_off(survey, small.sockets)
    assert set(survey.cursor.points) == {small.k1, small.k2, small.l1, small.l2}
    assert survey.cursor.settled_left_out == 2


def test_opening_a_switch_off_ends_the_look_in_the_same_change(survey: Survey, small: SmallHome) -> None:
    survey.cursor.start_visit()
    survey.cursor.start_look()
    survey.cursor.toggle(small.sockets)
    assert survey.cursor.open(AGREED)
    look, opened = survey.home.sorted(Round)
    assert [e.what for e in look.events] == ["pause"]
    assert opened.off == (small.sockets,)
    survey.adapter.undo()
    assert survey.cursor.step == "look"


def test_everything_off_is_the_main_switch_or_each_way_where_there_is_none(small: SmallHome) -> None:
    assert everything(small.home) == (small.main,)
    bare = Builder()
    board = bare.board("A")
    ways = [bare.device(board, str(n)) for n in (1, 2)]
    assert everything(bare.home) == tuple(ways)


def test_a_tag_from_the_walk_was_seen(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    switch_off(survey, small.sockets)
    point = survey.cursor.point
    survey.cursor.tag_point(small.kitchen_way)
    (made,) = survey.home.sorted(Tag)
    assert (made.target, made.device, made.evidence) == (point, small.kitchen_way, "seen")


def test_the_lamp_and_others_without_power_are_events(survey: Survey, small: SmallHome) -> None:
    begin(survey)
    switch_off(survey, small.sockets)
    survey.cursor.look_at_lamp(is_good=True)
    survey.cursor.look_at_lamp(is_good=False)
    survey.cursor.note_others()
    (record,) = survey.home.sorted(Round)
    assert [e.what for e in record.events[1:]] == ["look good", "look out", "others lost power"]


def test_a_removed_point_hands_the_turn_on_and_a_removed_device_leaves_the_choice(
    survey: Survey, small: SmallHome
) -> None:
    begin(survey)
    survey.cursor.toggle(small.lights)
    survey.cursor.toggle(small.sockets)
    survey.adapter.do(verbs.remove(survey.home, small.lights))
    assert survey.cursor.pending == (small.sockets,)
    assert survey.cursor.open(AGREED)
    first, second, *_ = survey.cursor.points
    survey.adapter.do(verbs.remove(survey.home, first))
    assert survey.cursor.point == second
