from circuitmap.home import verbs
from circuitmap.survey import counts, counts_of_round, counts_of_visit, learnt, next_step
from circuitmap.trade import load
from tests.survey.board import Surveyed


def test_points_are_counted_by_how_they_stand() -> None:
    home = Surveyed(ways=2, points=7)
    settled, doubt, off, twice, elsewhere, cant, _ = home.points
    home.point("switch")
    home.look(settled, "still on")
    home.look(settled, "off", home.ways[0])
    home.look(doubt, "still on")
    home.look(off, "off")
    home.look(twice, "off", home.ways[0])
    home.look(twice, "off", home.ways[1])
    home.look(elsewhere, "still on", home.main)
    home.look(cant, "can't tell")
    home.do(verbs.edit(home.home, cant, uncheckable="behind the oven"))
    found = counts(home.home, home.memo, load())
    assert (found.points, found.settled, found.in_doubt, found.not_seen_on) == (7, 1, 1, 1)
    assert (found.contradiction, found.elsewhere, found.unchecked) == (1, 1, 2)
    assert (found.cant_tell, found.unreached) == (1, 1)


def test_a_switch_off_counts_the_last_answer_per_point() -> None:
    home = Surveyed(points=2)
    p, q = home.points
    base = home.round(home.now)
    home.say(base, p, "still on")
    record = home.round(home.now, home.ways[0])
    home.say(record, p, "off")
    home.say(record, p, "still on")
    home.say(record, q, "off")
    assert counts_of_round(home.home, record, home.memo) == {"still on": 1, "off": 1}
    assert counts_of_visit(home.home, home.now, home.memo) == {"still on": 2, "off": 1}


def test_what_a_switch_off_settled_is_told_against_the_same_home_without_it() -> None:
    home = Surveyed(points=3)
    p, q, r = home.points
    base = home.round(home.now)
    for point in home.points:
        home.say(base, point, "still on")
    record = home.round(home.now, home.ways[0])
    home.say(record, p, "off")
    home.say(record, q, "still on")
    home.say(record, r, "can't tell")
    first, second = learnt(home.home, record, home.memo)
    assert (first.point, first.before, first.after, first.candidates) == (p, "in doubt", "settled", (home.ways[0],))
    assert (second.point, second.after, second.candidates) == (q, "in doubt", tuple(home.ways[1:]))


def test_the_next_step_leads_through_a_whole_survey() -> None:
    home = Surveyed(ways=2, points=2)
    p, q = home.points
    assert "other sources" in next_step(home.home, home.memo)
    home.do(verbs.set_supply(home.home, sources_asked=True, phases=1))
    assert next_step(home.home, home.memo) == "Look at everything with the power on first."
    base = home.round(home.now)
    home.say(base, p, "still on")
    assert f"power on at {q}" in next_step(home.home, home.memo)
    home.say(base, q, "still on")
    assert "switch A1 off next" in next_step(home.home, home.memo)
    record = home.round(home.now, home.ways[0])
    assert "With A1 off, look at" in next_step(home.home, home.memo)
    home.say(record, p, "off")
    home.say(record, q, "still on")
    assert "Power back on first" in next_step(home.home, home.memo)
    home.happens(record, "power back")
    assert "switch A2 off next" in next_step(home.home, home.memo)
    record = home.round(home.now, home.ways[1])
    home.say(record, q, "off")
    home.happens(record, "power back")
    assert next_step(home.home, home.memo).startswith("Switch everything off once")
    record = home.round(home.now, home.main)
    home.happens(record, "power back")
    assert next_step(home.home, home.memo).startswith("Every point is settled")


def test_the_next_step_names_what_is_missing_first() -> None:
    bare = Surveyed(ways=0, points=0)
    assert "ways of the board" in next_step(bare.home, bare.memo)
    home = Surveyed(points=0)
    assert "points first" in next_step(home.home, home.memo)
    home.do(verbs.set_supply(home.home, phases=3))
    assert "3 phases" in next_step(home.home, home.memo)


def test_contradictions_come_before_further_switch_offs() -> None:
    home = Surveyed(points=1)
    home.do(verbs.set_supply(home.home, sources_asked=True))
    (p,) = home.points
    home.look(p, "still on")
    for way in home.ways[:2]:
        record = home.round(home.now, way)
        home.say(record, p, "off")
        home.happens(record, "power back")
    assert "contradict" in next_step(home.home, home.memo)


def test_points_that_cant_be_reached_dont_hold_the_survey_up() -> None:
    home = Surveyed(ways=1, points=1)
    home.do(verbs.set_supply(home.home, sources_asked=True))
    (p,) = home.points
    behind = home.point()
    home.do(verbs.edit(home.home, behind, uncheckable="behind the oven"))
    home.look(p, "still on")
    assert "switch A1 off next" in next_step(home.home, home.memo)
    for off in (home.ways[0], home.main):
        record = home.round(home.now, off)
        home.say(record, p, "off")
        home.happens(record, "power back")
    assert f"{behind} can't be settled by switching off" in next_step(home.home, home.memo)
