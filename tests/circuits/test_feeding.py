"""What feeds this: words find points, ids and codes; one way is named only where it was seen, all of them in doubt."""

import json
from pathlib import Path

import pytest

from circuitmap.circuits.feeding import MOST_ANSWERED, WhatFeeds, what_feeds
from circuitmap.circuits.feeding_says import as_plain, lines_of
from circuitmap.circuits.sought import sought
from circuitmap.circuits.which import NOT_PROOF
from circuitmap.home import Home, verbs
from circuitmap.home.exchange import open_home
from circuitmap.home.records import Check, Device, Load, Point, Rcd, Round, Run, Tag
from circuitmap.memo import Memo
from circuitmap.places import sample_homes
from circuitmap.trade import load
from tests.circuits.house import House


@pytest.fixture
def h() -> House:
    return House()


def ask(home: Home, words: str) -> WhatFeeds:
    return what_feeds(home, load(), Memo(), words)


def ids(home: Home, words: str) -> list[str]:
    return [point.id for point in sought(home, load(), Memo(), words).points]


def text(answer: WhatFeeds) -> str:
    return "\n".join(line.text for line in lines_of(answer))


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("kitchen light", ["P1"]),
        ("KITCHEN LTS", ["P1"]),
        ("the light in the kitchen", ["P1"]),
        ("bedroom 2 sockets", ["P4"]),
        ("bed 2 skt", ["P4"]),
        ("socket by the window", ["P5"]),
        ("router", ["P5"]),
        ("fridge freezer", ["P2"]),
        ("dishwasher", ["P3"]),
        ("p2", ["P2"]),
        ("P1, p3", ["P1", "P3"]),
        ("Bedside left", ["P4"]),
        ("kitchen", ["P1", "P2", "P3", "P6"]),
        ("kitchen light switch", ["P6"]),
        ("upstairs sockets", ["P4", "P5"]),
        ("kitchen shower", []),
    ],
)
def test_words_find_points_by_kind_room_storey_name_load_and_id(h: House, words: str, found: list[str]) -> None:
    ground, first = h.storey(), h.storey("First", 1)
    kitchen, two, one = h.room("Kitchen", ground), h.room("Bedroom 2", first), h.room("Bedroom 1", first)
    light = h.point("light", room=kitchen)
    h.point("socket", room=kitchen, loads=(Load(what="fridge-freezer"),))
    h.point("fused unit", room=kitchen, name="Dishwasher switch")
    h.point("socket", room=two, name="Bedside left")
    h.point("socket", room=one, where="by the window", loads=(Load(what="router"),))
    switch = h.point("switch", room=kitchen)
    h.do(verbs.edit(h.home, switch, controls=(light,)))
    assert ids(h.home, words) == found


def test_the_name_of_a_room_is_taken_whole(h: House) -> None:
    """ "Room 3" is not every room on a storey called "Storey 3"."""
    third = h.storey("Storey 3", 3)
    three, four = h.room("Room 3", third), h.room("Room 4", third)
    p, _ = h.point(room=three), h.point(room=four)
    q = h.point(room=four, name="Room 3 repeater")
    assert ids(h.home, "room 3 socket") == [p, q]


def test_a_room_by_its_id_and_a_way_by_its_code_are_found(h: House) -> None:
    room = h.room("Hall")
    a, p = h.way(), h.point(room=room)
    assert ids(h.home, room) == [p]
    found = sought(h.home, load(), Memo(), "a1")
    assert [device.id for device in found.devices] == [a]
    assert not found.by_label


def test_a_label_alone_is_shown_as_no_proof(h: House) -> None:
    h.way(label="Garage")
    answer = ask(h.home, "garage")
    assert answer.sought.by_label
    assert "A label proves nothing" in text(answer)
    assert "stops working" not in text(answer)


def test_nothing_found_names_what_is_spelled_alike_and_sends_to_the_main_switch(h: House) -> None:
    h.point(name="Greenhouse heater")
    said = text(ask(h.home, "greenhous heeter"))
    assert "“Greenhouse heater”" in said
    assert "Use the main switch" in said
    assert NOT_PROOF in said


def test_a_seen_point_gives_its_way_its_rcd_how_sure_and_all_else_that_goes_off(h: House) -> None:
    rcd = h.device(h.b, "", "RCD", 63, rcd=Rcd(trips_ma=30, type="A"))
    a, b = h.way(upstream=rcd, label="Kitchen"), h.way(upstream=rcd)
    p, q, r = h.point(), h.point(), h.point()
    h.settle(p, a)
    h.settle(q, a)
    h.run(a, r)
    (feed,) = ask(h.home, p).feeds
    assert feed.way is not None
    assert feed.way.code == "A1"
    assert [each.device.id for each in feed.rcds] == [rcd]
    assert feed.rcds[0].also == ("A2",)
    assert b
    (lost,) = feed.lost
    assert [(other.point.id, other.is_seen) for other in lost.others] == [(q, True), (r, False)]
    said = text(ask(h.home, p))
    assert "stops working when A1 is off" in said
    assert "30 mA type A" in said
    assert "seen on and off in a switch-off" in said
    assert "1 of these by cable or word only" in said
    assert said.index("stops working") < said.index(NOT_PROOF)


def test_in_doubt_every_candidate_is_listed_with_what_goes_off_with_it(h: House) -> None:
    a, b, p, q = h.way(), h.way(), h.point(), h.point()
    h.say(a, p)
    h.run(b, p)
    h.settle(q, b)
    (feed,) = ask(h.home, p).feeds
    assert feed.way is None
    assert {each.device.id for each in feed.candidates} == {a, b}
    said = text(ask(h.home, p))
    assert "Use the main switch" in said
    assert "stops working" not in said
    assert "With A2" in said
    assert {lost.code: [o.point.id for o in lost.others] for lost in feed.lost} == {"A1": [], "A2": [q]}


def test_joined_ways_are_all_candidates_and_none_is_the_answer(h: House) -> None:
    a, b, p = h.way(), h.way(), h.point(cables=2)
    h.chain(a, p, b)
    h.settle(p, a)
    (feed,) = ask(h.home, p).feeds
    assert feed.way is None
    assert {each.device.id for each in feed.candidates} == {a, b}
    assert "joined" in feed.says


def test_before_anybody_looked_any_way_may_feed_it(h: House) -> None:
    h.way()
    h.way()
    p = h.point()
    (feed,) = ask(h.home, p).feeds
    assert feed.may_be_any
    assert "any way of the home may feed it" in text(ask(h.home, p))
    assert "Use the main switch" in feed.says


def test_a_switch_is_not_seen_because_its_light_was(h: House) -> None:
    a, light = h.way(), h.point("light")
    h.way()
    switch = h.point("switch")
    h.do(verbs.edit(h.home, switch, controls=(light,)))
    h.settle(light, a)
    assert ask(h.home, light).feeds[0].way is not None
    (feed,) = ask(h.home, switch).feeds
    assert feed.way is None
    assert [each.code for each in feed.candidates][:1] == ["A1"]


def test_a_way_takes_the_board_that_it_feeds_with_it(h: House) -> None:
    a = h.way()
    sub = h.board("B", source="run")
    b1 = h.device(sub, "1")
    p = h.point()
    h.run(a, sub)
    h.say(b1, p)
    (way,) = ask(h.home, "A1").ways
    assert [other.point.id for other in way.lost.others] == [p]
    assert [board.letter_on_map for board in way.lost.boards] == ["B"]


def test_what_is_planned_or_taken_out_is_fed_by_nothing(h: House) -> None:
    h.way()
    p = h.point()
    h.do(verbs.edit(h.home, p, phase="planned"))
    answer = ask(h.home, p)
    assert not answer.feeds
    assert f"{p} is planned and not there yet; nothing feeds it now." in text(answer)


@pytest.mark.parametrize(
    "name", ["غرفة الجلوس", "🛋️ lamp 👩‍🔧", "=HYPERLINK(1)", "x" * 300, "Licht in der Küche"]
)  # fmt: skip
def test_names_in_any_script_or_length_are_found_and_said(h: House, name: str) -> None:
    h.way()
    p = h.point(name=name)
    assert ids(h.home, name) == [p]
    assert text(ask(h.home, name))


@pytest.mark.parametrize("words", ["", "   ", "?!", "x" * 100_000, "\x00", "D999999999", "the"])
def test_words_that_mean_nothing_get_a_sentence(h: House, words: str) -> None:
    h.way()
    h.point()
    answer = ask(h.home, words)
    assert not answer.feeds
    assert lines_of(answer)[0].text.endswith(".")


def test_too_many_points_are_cut_off_and_that_is_said(h: House) -> None:
    h.way()
    for _ in range(MOST_ANSWERED + 1):
        h.point()
    answer = ask(h.home, "socket")
    assert len(answer.feeds) == MOST_ANSWERED
    assert f"fits {MOST_ANSWERED + 1} points; here are the first {MOST_ANSWERED}" in text(answer)


def test_an_empty_home_has_an_answer() -> None:
    assert "No point, room or way" in text(ask(Home.blank("Empty"), "kitchen light"))


@pytest.mark.parametrize("name", ["older-terrace", "rented-flat", "bungalow-tt"])
def test_every_point_of_the_samples_is_answered_as_its_checks_say(name: str) -> None:
    """Beside the home's own records, read without the code under test: a named way, or one over it, took it off."""
    home = open_home(Path(sample_homes() / name))
    trade, memo = load(), Memo()
    off_with: dict[str, set[str]] = {}
    for check in home.sorted(Check):
        if check.outcome in ("off", "faint glow"):
            off_with.setdefault(check.point, set()).update(home.take(Round, check.round).off)
    named = 0
    for point in home.sorted(Point):
        for feed in what_feeds(home, trade, memo, point.id).feeds:
            plain = json.dumps(as_plain(WhatFeeds(sought(home, trade, memo, point.id), (feed,), (), 0)))
            assert NOT_PROOF in feed.says
            assert NOT_PROOF in plain
            if feed.way is None:
                assert "main switch" in feed.says
                continue
            named += 1
            over = {feed.way.device.id}
            while not over >= (more := over | {home.take(Device, i).upstream or i for i in over}):
                over = more
            tagged = {t.device for t in home.sorted(Tag) if t.target == point.id and t.evidence == "tested"}
            assert over & (off_with.get(point.id, set()) | tagged)
            assert point.id not in {other.point.id for lost in feed.lost for other in lost.others}
    assert named > len(home.table(Point)) / 3
    assert home.table(Run)
