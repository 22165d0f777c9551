"""What the next switch-off may be, whom it asks, what it says. The rules here are common practice, no source."""

from dataclasses import replace
from typing import Final

import pytest

from circuitmap.errors import HomeError
from circuitmap.home import verbs
from circuitmap.home.records import Load, OtherSource, Point
from circuitmap.survey.method import METHODS, Method, MethodKind
from circuitmap.survey.planner import points_to_ask, propose, proposed_for
from circuitmap.survey.planner.choose import STAIRS_DARK
from circuitmap.survey.planner.outlook import is_listed
from circuitmap.survey.rehearsal import Invented, invent
from circuitmap.survey.rehearsal.truth import Fed
from tests.survey.board import Surveyed
from tests.survey.play import TRADE, Play, on_ways

ONE: Final[MethodKind] = "one at a time"
ALL_BUT_ONE: Final[MethodKind] = "all off, one on"
KINDS = pytest.mark.parametrize("kind", METHODS)


def played(home: Surveyed, kind: MethodKind = "fewest rounds", **facts: object) -> Play:
    """A survey by a method in a home whose points are on its ways in turn."""
    feeds = {p: Fed((home.ways[n % len(home.ways)],), "one way") for n, p in enumerate(home.points)}
    return Play(home.home, feeds, Method(kind, **facts))  # type: ignore[arg-type]  # test shorthand


def practised(made: Invented, method: Method) -> Play:
    """A survey of an invented home; points that nobody knows about are noted as out of reach."""
    home = made.home
    for point in home.sorted(Point):
        if point.phase == "existing" and point.id not in made.truth and TRADE.point(point.kind).checkable:
            home = home.apply(verbs.add_limitation(home, point.id, "behind a cupboard"))
    return Play(home, made.truth, method)


# -- every method -----------------------------------------------------------------------------------------------------


@KINDS
def test_every_method_looks_first_and_comes_to_the_right_end(kind: MethodKind) -> None:
    play = played(Surveyed(6, 12), kind).go()
    assert play.proposals[0].kind == "look"
    assert play.proposals[0].off == ()
    assert set(play.proposals[0].points) == set(play.truth)
    assert play.is_right()
    assert play.next().kind == "done"
    assert "settled" in play.next().says


@KINDS
def test_nothing_is_proposed_for_more_than_one_phase(kind: MethodKind) -> None:
    home = Surveyed(4, 4)
    home.do(verbs.set_supply(home.home, phases=3))
    proposal = propose(home.home, home.memo, TRADE, Method(kind))
    assert (proposal.kind, proposal.off) == ("declined", ())
    assert "3 phases" in proposal.says


def test_one_at_a_time_goes_along_the_board_and_asks_only_those_still_open() -> None:
    home = Surveyed(5, 10)
    play = played(home, ONE).go()
    assert [p.off for p in play.proposals[1:]] == [(way,) for way in home.ways]
    assert [len(p.points) for p in play.proposals[1:]] == [10, 8, 6, 4, 2]
    assert all(p.kind == "single" for p in play.proposals[1:])


def test_all_off_one_on_leaves_one_way_on_each_time_and_says_which() -> None:
    home = Surveyed(5, 10)
    play = played(home, ALL_BUT_ONE).go()
    for proposal in play.proposals[1:]:
        assert len(proposal.off) == 4
        (on,) = set(home.ways) - set(proposal.off)
        assert proposal.says.startswith(f"Leave only {home.home.code(on)} on and walk")


def test_the_sentence_names_the_devices_and_counts_points_and_rooms() -> None:
    home = Surveyed(1, 0)
    hall, loft = home.room("Hall"), home.room("Loft")
    home.points = [home.point(room=hall), home.point(room=hall), home.point(room=loft)]
    play = played(home).go()
    assert play.proposals[1].says == "Switch A1 off and walk: 3 points in 2 rooms."


@KINDS
def test_the_same_records_give_the_same_proposal(kind: MethodKind) -> None:
    first, again = (played(Surveyed(7, 14), kind).go() for _ in range(2))
    assert first.proposals == again.proposals


@KINDS
def test_whatever_the_person_switched_instead_the_plan_goes_on_from_there(kind: MethodKind) -> None:
    home = Surveyed(6, 6)
    play = played(home, kind)
    play.go(most_rounds=1)
    chosen = proposed_for(play.home, play.memo, TRADE, home.ways[1:4], play.method, play.visit)
    assert chosen.off == tuple(home.ways[1:4])
    play.proposals.append(chosen)
    play.follow(chosen)
    play.go()
    assert play.is_right()


# -- what may be switched ---------------------------------------------------------------------------------------------


def held_on(home: Surveyed, how: str) -> Method | None:
    """Make A2 a way that is not to be switched, in one of the ways that this can be said."""
    match how:
        case "method":
            return Method(keep_on=frozenset((home.ways[1],)))
        case "keep_on":
            home.do(verbs.edit(home.home, home.ways[1], keep_on="stairlift"))
        case _:
            home.do(verbs.edit(home.home, home.ways[1], how_switched=how))
    return None


@KINDS
@pytest.mark.parametrize("how", ["method", "keep_on", "leave alone", "can't be reached"])
def test_a_way_that_stays_on_is_never_off_and_is_named(kind: MethodKind, how: str) -> None:
    home = Surveyed(4, 8)
    said = held_on(home, how)
    play = played(home, kind, keep_on=said.keep_on if said is not None else frozenset()).go()
    for proposal in play.proposals:
        assert home.ways[1] not in proposal.off
        if how in ("method", "keep_on"):
            assert home.main not in proposal.off, "the main switch takes it with it"
        if proposal.off and proposal.off != (home.main,):
            assert any(sentence.startswith("A2 stays on") for sentence in proposal.why)
    known = play.known
    for n, point in enumerate(home.points):
        assert (known[point].verdict == "settled") is (n % 4 != 1) or home.main in play.proposals[-1].off


@KINDS
def test_where_nothing_may_be_switched_nothing_is_proposed(kind: MethodKind) -> None:
    home = Surveyed(3, 3)
    for way in home.ways:
        home.do(verbs.edit(home.home, way, keep_on="life support"))
    play = played(home, kind).go()
    assert [p.kind for p in play.proposals] == ["look"]
    assert "No switch-off that may be made" in play.next().says


def test_points_that_cannot_be_checked_are_never_asked_nor_waited_for() -> None:
    home = Surveyed(4, 8)
    hidden, barred = home.points[0], home.points[1]
    home.do(verbs.edit(home.home, hidden, uncheckable="behind the oven"))
    home.do(verbs.add_limitation(home.home, barred, "the tenant sleeps there"))
    switch = home.point("switch")
    play = played(home)
    del play.truth[hidden], play.truth[barred]  # type: ignore[attr-defined]
    play.go()
    assert play.is_right()
    asked = {point for proposal in play.proposals for point in proposal.points}
    assert asked.isdisjoint((hidden, barred, switch))
    assert all(any("can't be looked at" in why for why in p.why) for p in play.proposals[1:])


def test_only_points_whose_answer_still_matters_are_asked() -> None:
    home = Surveyed(4, 4)
    for off in [(), *((way,) for way in home.ways[:2])]:
        record = home.round(home.now, *off)
        for n, point in enumerate(home.points):
            home.say(record, point, "off" if home.ways[n] in off else "still on")
    assert set(points_to_ask(home.home, home.memo, TRADE, home.ways[2:3])) == set(home.points[2:])


# -- everything off ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["fewest rounds", "gentle"])
def test_a_point_that_never_went_off_is_proved_with_everything_off_other_sources_too(kind: MethodKind) -> None:
    home = Surveyed(4, 5)
    sources = (OtherSource(kind="battery"), OtherSource(kind="PV"))
    home.do(verbs.set_supply(home.home, sources=sources, sources_asked=True))
    play = played(home, kind)
    stray = home.points[4]
    play.truth = {**play.truth, stray: Fed((), "elsewhere")}
    play.go()
    proofs = [p for p in play.proposals if p.kind == "proof"]
    assert len(proofs) == 1
    assert proofs[0].off == (home.main,)
    assert set(proofs[0].sources_off) == {"battery", "PV"}
    assert stray in proofs[0].points
    assert set(proofs[0].points) < set(home.points), "only what was never off is visited"
    assert "everything off" in proofs[0].says
    assert play.known[stray].verdict == "elsewhere"


@KINDS
def test_no_sources_are_switched_off_but_for_the_proof(kind: MethodKind) -> None:
    home = Surveyed(4, 4)
    home.do(verbs.set_supply(home.home, sources=(OtherSource(kind="PV"),), sources_asked=True))
    play = played(home, kind).go()
    assert all(p.sources_off == () for p in play.proposals if p.kind != "proof")


# -- light to see by --------------------------------------------------------------------------------------------------


def lit(stairs: bool = True) -> Surveyed:
    """Two storeys: sockets on two ways, lights of hall, landing and rooms on three ways of 6 A."""
    home = Surveyed(0, 0)
    ground, first = home.storey("Ground floor", 0), home.storey("First floor", 1)
    home.ways = [home.device(home.a, str(n), "MCB", 6, upstream=home.main, label="Lights") for n in (1, 2, 3)]
    home.ways += [home.device(home.a, str(n), "MCB", 32, upstream=home.main, label="Sockets") for n in (4, 5)]
    hall = home.room("Hall" if stairs else "Kitchen", ground, use="hall" if stairs else "kitchen")
    landing = home.room("Landing" if stairs else "Bath", first, use="landing" if stairs else "bathroom")
    bed = home.room("Bedroom", first, use="bedroom")
    home.points = [home.point("light", room=room) for room in (hall, landing, bed)]
    home.points += [home.point("socket", room=room) for room in (hall, bed)]
    return home


@pytest.mark.parametrize("kind", [kind for kind in METHODS if kind != ALL_BUT_ONE])
def test_after_dusk_one_lighting_way_at_most_goes_off_at_a_time(kind: MethodKind) -> None:
    """All off but one is for empty homes by daylight."""
    home = lit()
    play = played(home, kind, is_dark=True).go()
    lights = set(home.ways[:3])
    assert all(len(lights & set(p.off)) <= 1 for p in play.proposals)
    assert play.is_right()


def test_all_off_but_one_waits_for_daylight() -> None:
    play = played(lit(), ALL_BUT_ONE, is_dark=True).go()
    assert [p.kind for p in play.proposals] == ["look"]
    assert play.next().kind == "done"
    assert "daylight" in play.next().says
    assert played(lit(), ALL_BUT_ONE).go().is_right()


def test_the_proof_with_everything_off_waits_for_daylight() -> None:
    def fed_twice(**facts: object) -> Play:
        home = lit()
        play = played(home, **facts)
        return replace(play, truth={**play.truth, home.points[-1]: Fed((), "elsewhere")}).go()

    by_day, after_dusk = fed_twice(), fed_twice(is_dark=True)
    assert any(p.kind == "proof" for p in by_day.proposals)
    assert by_day.is_right()
    assert all(p.kind != "proof" for p in after_dusk.proposals)
    assert "daylight" in after_dusk.next().says


def test_the_gentle_method_says_whose_supply_stands_in_the_way() -> None:
    home = Surveyed(2, 2)
    home.do(verbs.edit(home.home, home.points[0], loads=(Load(what="freezer", if_off="spoils"),)))
    look = home.round(home.now)
    for point in home.points:
        home.say(look, point, "still on")
    for _ in range(2):  # off both times together with the other way, so nothing tells the two apart
        record = home.round(home.now, *home.ways)
        for point in home.points:
            home.say(record, point, "off")
    proposal = propose(home.home, home.memo, TRADE, Method("gentle"))
    assert proposal.kind == "done"
    assert f"freezer ({home.points[0]})" in proposal.says
    assert propose(home.home, home.memo, TRADE).off != ()


def test_hall_and_landing_are_never_both_dark_by_day_either() -> None:
    home = lit()
    play = played(home).go()
    stairs = home.points[:2]
    for known, proposal in zip(play.before, play.proposals, strict=True):
        if proposal.kind == "proof":
            continue
        both_settled = all(known[p].verdict == "settled" for p in stairs)
        ways = {known[p].candidates[0] for p in stairs}
        if both_settled and len(ways) > 1:
            assert not ways <= set(proposal.off)
    assert play.is_right()
    free = played(home, keeps_stairs_lit=False).go()
    assert len(free.switch_offs) <= len(play.switch_offs)
    assert STAIRS_DARK < 0.1


def test_the_likely_dark_is_told() -> None:
    play = played(lit()).go()
    told = [any(sentence.startswith("Torch needed") for sentence in p.why) for p in play.proposals if p.off]
    assert any(told)


# -- gentle -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("seed", "ways"), [(1, 8), (2, 10), (3, 13), (4, 16)])
def test_gentle_switches_few_and_disturbs_listed_loads_twice_at_most(seed: int, ways: int) -> None:
    made = invent(seed, ways=ways, sensitive=4)
    play = practised(made, Method("gentle")).go()
    listed = [i for i in made.truth if is_listed(play.home.take(Point, i), TRADE)]
    assert len(listed) >= 4
    assert play.wrong() == []
    off = dict.fromkeys(listed, 0)
    for known, proposal in zip(play.before, play.proposals, strict=True):
        if proposal.kind != "proof":
            assert len(proposal.off) <= 3
            sure = {known[i].candidates[0] for i in listed if known[i].verdict == "settled"}
            if len(proposal.off) > 1:
                assert len(sure & set(proposal.off)) <= 1, "two listed loads known to be on different ways"
        for i in listed:
            fed = made.truth[i]
            off[i] += fed.how == "one way" and (fed.devices[0] in proposal.off or proposal.kind == "proof")
    assert max(off.values()) <= 2


@pytest.mark.parametrize("most", [1, 2, 5])
def test_gentle_never_has_more_off_than_it_was_told(most: int) -> None:
    play = played(Surveyed(9, 9), "gentle", most_off=most).go()
    assert max(len(p.off) for p in play.proposals if p.kind != "proof") <= most
    assert play.is_right()


def test_a_listed_load_is_searched_for_and_then_left_on() -> None:
    """Once its way is known it stays on while others can be told without it."""
    home = Surveyed(8, 8)
    freezer = home.points[0]
    home.do(verbs.edit(home.home, freezer, loads=(Load(what="freezer", if_off="spoils"),)))
    play = played(home, "gentle").go()
    times = sum(home.ways[0] in p.off for p in play.proposals)
    after = [p for known, p in zip(play.before, play.proposals, strict=True) if known[freezer].verdict == "settled"]
    assert 1 <= times <= 2
    assert all(home.ways[0] not in p.off for p in after)
    assert any(f"({freezer})" in why for p in play.proposals for why in p.why), "what it may interrupt is told"


@pytest.mark.parametrize(("seed", "ways"), [(1505, 15), (2706, 27)])
def test_the_last_time_a_listed_load_may_go_off_tells_its_way(seed: int, ways: int) -> None:
    """Off twice in groups that share two ways it could never be told: the second time one of its ways goes alone."""
    play = practised(invent(seed, ways=ways), Method("gentle")).go()
    assert play.is_right()


@pytest.mark.parametrize("seed", [5, 6, 7])
def test_gentle_takes_no_more_rounds_or_answers_than_one_at_a_time(seed: int) -> None:
    made = invent(seed, ways=12 + seed)
    gentle, one = (practised(made, Method(kind)).go() for kind in ("gentle", ONE))
    assert len(gentle.proposals) <= len(one.proposals)
    assert gentle.answers <= one.answers


# -- bad input --------------------------------------------------------------------------------------------------------


@KINDS
def test_no_board_and_no_points_give_a_sentence(kind: MethodKind) -> None:
    bare = Surveyed(0, 2)
    assert "ways" in propose(bare.home, bare.memo, TRADE, Method(kind)).says
    empty = Surveyed(3, 0)
    assert "no point" in propose(empty.home, empty.memo, TRADE, Method(kind)).says
    hidden = Surveyed(3, 2)
    for point in hidden.points:
        hidden.do(verbs.edit(hidden.home, point, uncheckable="walled up"))
    assert propose(hidden.home, hidden.memo, TRADE, Method(kind)).kind == "done"


@KINDS
def test_points_that_nobody_can_tell_anything_of_end_the_survey_in_words(kind: MethodKind) -> None:
    home = Surveyed(3, 2)
    for off in [(), (), (home.ways[0],)]:
        record = home.round(home.now, *off)
        for point in home.points:
            home.say(record, point, "can't tell")
    proposal = propose(home.home, home.memo, TRADE, Method(kind), home.now)
    assert proposal.kind == "done"
    assert proposal.says


@KINDS
def test_answers_that_contradict_each_other_end_too(kind: MethodKind) -> None:
    """Every second answer is turned round: no proposal goes on for ever."""
    home = Surveyed(4, 4)
    play = played(home, kind)
    play.lie = lambda n, point: (n + home.points.index(point)) % 2 == 0
    play.slip = None
    play.go()
    assert len(play.proposals) < 40
    assert play.next().kind in ("done", "declined")


def test_a_device_chosen_twice_is_off_once() -> None:
    home = Surveyed(3, 2)
    twice = proposed_for(home.home, home.memo, TRADE, (home.ways[0], home.ways[0]))
    assert (twice.off, twice.kind, twice.operations) == ((home.ways[0],), "single", 2)


def test_a_device_that_is_not_there_is_refused_in_a_sentence() -> None:
    home = Surveyed(3, 2)
    with pytest.raises(HomeError, match="D99"):
        proposed_for(home.home, home.memo, TRADE, ("D99",))


def test_chosen_by_the_person_nothing_off_is_a_look() -> None:
    home = Surveyed(3, 2)
    proposal = proposed_for(home.home, home.memo, TRADE, ())
    assert proposal.off == ()
    assert proposal.points


def test_a_switch_off_left_open_for_days_does_not_hinder_the_next() -> None:
    home = Surveyed(3, 3)
    home.look(home.points[0], "still on")
    home.round(home.now, home.ways[0])
    later = home.visit("2026-01-12")
    proposal = propose(home.home, home.memo, TRADE, Method(), later)
    assert proposal.kind == "look"
    assert propose(home.home, home.memo, TRADE, Method(), home.now).kind in ("group", "single")


def test_hundreds_of_ways_are_planned_in_a_moment() -> None:
    home = Surveyed(260, 30)
    play = Play(home.home, on_ways(home.points, home.ways, tuple(range(0, 240, 8))))
    play.go(most_rounds=3)
    assert [p.kind for p in play.proposals] == ["look", "group", "group"]
    assert play.proposals[1].rounds_left == 9
