"""Rules of the survey: odd answers are questions with local causes first; an unfinished survey is one note.

Common practice, no source, throughout.
"""

from circuitmap.home import verbs
from circuitmap.home.records import OtherSource
from tests.findings.ask import Wired, grave, one, only, said


def surveyed() -> tuple[Wired, str, str, list[str]]:
    """Two ways with two sockets each, every point looked at with everything on."""
    b = Wired()
    b.supply()
    return b, b.way(label="Front"), b.way(label="Back"), b.twins(4)


def test_a_finished_survey_without_oddities_has_no_finding() -> None:
    b, front, back, (p, q, r, s) = surveyed()
    with b.visited(p, q, r, s) as visit:
        b.switched(visit, front, gone=(p, q), stay=(r, s))
        b.switched(visit, back, gone=(r, s), stay=(p, q))
    assert not grave(b.home)
    assert not only(b.home, "not-checked")


def test_an_unfinished_survey_is_one_note_never_a_defect() -> None:
    b, front, _, (p, q, r, s) = surveyed()
    with b.visited(p, q, r, s) as visit:
        b.switched(visit, front, gone=(p, q))
    finding = one(b.home, "not-checked")
    assert finding.code == "note"
    assert "of 4 points" in finding.says
    assert not grave(b.home)


def test_a_switch_and_a_fused_unit_are_answered_by_what_they_feed() -> None:
    b, front, back, (p, q, r, s) = surveyed()
    for kind in ("switch", "fused unit", "junction box"):
        b.put(kind)
    with b.visited(p, q, r, s) as visit:
        b.switched(visit, front, gone=(p, q), stay=(r, s))
        b.switched(visit, back, gone=(r, s), stay=(p, q))
    assert not only(b.home, "not-checked")


def test_on_with_everything_off_asks_for_the_other_supply_local_causes_first() -> None:
    b, _, _, (p, *_) = surveyed()
    with b.visited(p) as visit:
        b.switched(visit, b.main, stay=(p,))
    finding = one(b.home, "on-with-all-off")
    assert finding.code == "FI"
    assert finding.subjects == (p,)
    assert finding.settle.index("its own switch, lamp, fuse") < finding.settle.index("other supply")


def test_a_recorded_and_labelled_source_explains_it() -> None:
    b, _, _, (p, *_) = surveyed()
    with b.visited(p) as visit:
        b.switched(visit, b.main, stay=(p,))
    b.supply(sources=(OtherSource(kind="battery", notice="yes"),))
    assert not only(b.home, "on-with-all-off")
    b.supply(sources=(OtherSource(kind="battery", notice="no"),))
    assert one(b.home, "source-notice").code == "C3"


def test_off_in_two_names_all_causes_asks_one_repeat_and_never_says_joined() -> None:
    b, front, back, (p, *_) = surveyed()
    with b.visited(p) as visit:
        b.switched(visit, front, gone=(p,))
        b.switched(visit, back, gone=(p,))
    finding = one(b.home, "off-in-two")
    assert finding.code == "FI"
    causes = ("switch, lamp, fuse, timer", "RCD that tripped", "both switch the neutral", "contactor")
    places = [finding.why.index(cause) for cause in causes]
    assert places == sorted(places)
    assert "joined" not in finding.says + finding.why
    assert "Repeat one" in finding.settle


def test_a_neutral_on_another_way_names_both_ways_and_keeps_other_causes_apart() -> None:
    b, front, back, (p, q, *_) = surveyed()
    b.say(back, poles=2)
    with b.visited(p, q) as visit:
        for _ in range(2):
            b.switched(visit, front, gone=(p,), stay=(q,))
            b.switched(visit, back, gone=(p, q))
        b.switched(visit, stay=(p, q))
    finding = one(b.home, "off-in-two")
    assert (finding.code, finding.subjects) == ("FI", (p, front, back))
    assert "went off with A1 and also with A2" in finding.says
    assert "neutral on A2" in finding.why
    assert "RCD that tripped" in finding.why
    assert "prove dead" in finding.settle


def test_two_pairs_of_joined_ways_are_two_lines() -> None:
    b, front, back, (p, q, r, s) = surveyed()
    third, fourth = b.way(label="Left"), b.way(label="Right")
    with b.visited(p, q, r, s) as visit:
        for way in (front, back, third, fourth):
            b.switched(visit, way, stay=(p, q, r, s))
        b.switched(visit, front, back, gone=(p, q), stay=(r, s))
        b.switched(visit, third, fourth, gone=(r, s), stay=(p, q))
    found = only(b.home, "off-together")
    assert [f.subjects for f in found] == [(p, q, front, back), (r, s, third, fourth)]
    assert "A3 and A4 are both off" in found[1].says


def test_off_only_with_both_ways_off_says_that_each_terminal_stays_live() -> None:
    b, front, back, (p, q, *_) = surveyed()
    with b.visited(p, q) as visit:
        b.switched(visit, front, stay=(p,), gone=(q,))
        b.switched(visit, back, stay=(p, q))
        b.switched(visit, front, back, gone=(p,))
    finding = one(b.home, "off-together")
    assert finding.code == "FI"
    assert finding.subjects == (p, front, back)
    assert "only when A1 and A2 are both off" in finding.says
    assert "terminal stays live" in finding.why
    assert "both off, then prove dead" in finding.why


def test_never_off_though_every_way_was_off_once() -> None:
    b, front, back, (p, q, *_) = surveyed()
    with b.visited(p, q) as visit:
        b.switched(visit, front, stay=(p,), gone=(q,))
        b.switched(visit, back, stay=(p, q))
    finding = one(b.home, "never-off")
    assert finding.code == "FI"
    assert finding.subjects == (p,)
    assert "its own switch, lamp, fuse" in finding.why


def test_answers_that_do_not_fit_ask_for_a_repeat() -> None:
    b, front, _, (p, *_) = surveyed()
    with b.visited(p) as visit:
        b.switched(visit, front, gone=(p,))
        b.switched(visit, front, stay=(p,))
    assert one(b.home, "answers-differ").code == "FI"


def finished(label: str = "") -> Wired:
    """A survey that covered every point, and a way that took none of them down."""
    b, front, back, (p, q, r, s) = surveyed()
    empty = b.way(16, label=label)
    with b.visited(p, q, r, s) as visit:
        b.switched(visit, front, gone=(p, q), stay=(r, s))
        b.switched(visit, back, gone=(r, s), stay=(p, q))
        b.switched(visit, empty, stay=(p, q, r, s))
    return b


def test_a_way_that_feeds_nothing_found_is_asked_about_once_all_points_are_covered() -> None:
    b = finished()
    assert one(b.home, "feeds-nothing").code == "FI"
    assert "A3" in one(b.home, "feeds-nothing").says
    b.put()
    assert not only(b.home, "feeds-nothing")


def test_a_spare_way_is_expected_to_feed_nothing() -> None:
    for label in ("Spare", "N/U", "not in use"):
        assert not only(finished(label).home, "feeds-nothing")
    assert only(finished("Spare room").home, "feeds-nothing"), "a spare room is no spare way"


def test_what_trips_on_closing_is_found_and_named() -> None:
    b, front, _, (p, *_) = surveyed()
    with b.visited(p) as visit:
        this = b.switched(visit, front, gone=(p,))
    b.do(verbs.record_event(b.home, this, "trip on closing", (front,), at="2026-01-05T09:40:00Z"))
    b.do(verbs.record_event(b.home, this, "trip on closing", (b.over,), at="2026-01-05T09:41:00Z"))
    found = only(b.home, "trips-on-closing")
    assert [f.code for f in found] == ["C2", "C2"]
    assert any("when A1 goes back on" in f.says for f in found)
    assert any("the RCD over A1 and A2" in f.says for f in found)


def test_a_cable_a_tag_and_a_switch_off_that_name_two_ways_disagree() -> None:
    b, front, back, (p, q, *_) = surveyed()
    b.cable(front, p)
    b.do(verbs.tag(b.home, p, back))
    b.do(verbs.tag(b.home, q, back))
    finding = one(b.home, "survey-disagrees")
    assert finding.code == "FI"
    assert finding.subjects == (p,)
    assert "by its cable on A1" in finding.says
    assert "said to be on A2" in finding.says


def test_more_than_one_phase_is_declined_in_words_once() -> None:
    b, front, _, (p, *_) = surveyed()
    with b.visited(p) as visit:
        b.switched(visit, front, gone=(p,))
    b.supply()
    b.do(verbs.set_supply(b.home, phases=3))
    assert one(b.home, "declined").code == "note"
    assert not only(b.home, "not-checked")


def test_a_stair_light_on_the_landlords_supply_is_a_note_and_a_neighbours_socket_is_to_be_asked_about() -> None:
    """A flat in a converted house: what is known to be another's is a note, what isn't known is not."""
    b, _, _, (p, *_) = surveyed()
    stairs = b.put("light")
    b.say(stairs, belongs_to="landlord")
    with b.visited(stairs, p) as visit:
        b.switched(visit, b.main, stay=(stairs, p))
    note = one(b.home, "others-supply")
    assert (note.code, note.subjects) == ("note", (stairs,))
    assert one(b.home, "on-with-all-off").subjects == (p,)


def test_a_way_that_feeds_another_household_is_to_be_looked_into() -> None:
    b, front, _, (p, q, *_) = surveyed()
    cooker = b.put("cooker control unit")
    b.say(cooker, belongs_to="flat upstairs")
    b.do(verbs.tag(b.home, cooker, front))
    finding = one(b.home, "feeds-others")
    assert finding.code == "FI"
    assert finding.subjects == (front, cooker)
    assert "another household" in finding.says
    assert "consent" in finding.why
    c, front, _, (p, q, *_) = surveyed()
    with c.visited(p, q) as visit:
        this = c.switched(visit, front, gone=(p,))
    c.do(verbs.record_event(c.home, this, "others lost power", at="2026-01-05T09:20:00Z"))
    assert "while A1 was off" in one(c.home, "feeds-others").says


def test_the_baseline_catches_what_is_off_by_itself() -> None:
    """A dead lamp, a PIR porch light, a socket with its switch off: not seen on, never a finding."""
    b, front, back, (p, q, r, s) = surveyed()
    lamp, porch = b.put("light"), b.put("outdoor light")
    visit = b.visit()
    first = b.round(visit)
    for point, outcome in (
        (p, "still on"),
        (q, "off"),
        (lamp, "off"),
        (porch, "off"),
        (r, "still on"),
        (s, "still on"),
    ):
        b.check(first, point, outcome)  # type: ignore[arg-type]
    b.switched(visit, front, gone=(p, q, lamp, porch), stay=(r, s))
    b.switched(visit, back, gone=(r, s, lamp, porch, q), stay=(p,))
    assert not grave(b.home)
    assert set(one(b.home, "not-checked").subjects) == {q, lamp, porch}


def test_what_has_not_been_traced_is_one_note_for_the_home() -> None:
    b, front, back, (p, q, r, s) = surveyed()
    b.line(front, p, q)
    b.line(back, r, s)
    b.count(**{p: 3, q: 2, r: 3, s: 2})
    finding = one(b.home, "not-traced")
    assert finding.code == "note"
    assert "A1 and A2" in finding.says
    assert not [f for f in said(b.home) if f.code in ("C1", "C2", "FI")]


def test_points_that_disagree_in_the_same_way_are_one_line() -> None:
    b, front, back, (p, q, r, s) = surveyed()
    b.line(front, p, q, r)
    for point in (p, q, r, s):
        b.do(verbs.tag(b.home, point, back))
    finding = one(b.home, "survey-disagrees")
    assert finding.subjects == (p, q, r)
    assert "these points" in finding.settle


def test_counts_agree_with_what_they_count() -> None:
    b, front, back, (p, q, r, s) = surveyed()
    with b.visited(p, q, r, s) as visit:
        b.switched(visit, front, gone=(p, q))
        b.switched(visit, back, gone=(r,))
    assert "1 of 4 points is not settled" in one(b.home, "not-checked").says
    b.line(front, p, q)
    b.cable(back, r)
    b.count(**{front: 1, back: 1, p: 2, q: 2, r: 1})
    assert "1 cable or end on A1" in one(b.home, "not-traced").says
