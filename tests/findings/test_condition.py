"""Rules of condition: each word of what was seen has one code, closes when it is cleared, and says so plainly.

Shades of exposed copper and of scorching: common practice, no source.
"""

from typing import get_args

import pytest

from circuitmap.findings import RULES
from circuitmap.home import verbs
from circuitmap.words import Condition
from tests.findings.ask import Wired, one, only, said

CODES: dict[Condition, str] = {
    "scorched": "C2",
    "scorched and failing": "C1",
    "live part touchable": "C1",
    "basic insulation showing": "C3",
    "unsleeved cpc": "note",
    "copper inside closed box": "note",
    "reversed polarity": "C2",
    "no earth": "C2",
    "loose accessory": "C3",
    "loose terminal": "C2",
    "damaged accessory": "C2",
    "shallow box": "note",
    "damp": "FI",
    "rubber insulation": "FI",
    "lead sheathed": "FI",
    "imperial cable": "note",
    "aluminium": "FI",
    "cloth covered": "FI",
    "hot or buzzing": "C2",
    "no dual supply notice": "C3",
    "no mixed colours notice": "note",
}


def test_every_word_has_a_code_here() -> None:
    assert set(CODES) == set(get_args(Condition))


@pytest.mark.parametrize(("seen", "code"), CODES.items())
def test_what_was_seen_is_said_until_it_is_cleared(seen: Condition, code: str) -> None:
    b = Wired()
    socket = b.put(room=b.room("Kitchen"))
    note = b.see(socket, seen)
    family = {rule.code for rule in RULES if rule.family == "condition"}
    (finding,) = [f for f in said(b.home) if f.rule in family]
    assert finding.code == code
    assert finding.subjects == (socket,)
    assert "Kitchen" in finding.says
    assert finding.settle
    assert finding.why
    b.do(verbs.edit(b.home, note, cleared=b.visit()))
    assert not [f for f in said(b.home) if f.rule in family]


def test_danger_present_opens_with_what_to_do_now() -> None:
    for seen in ("scorched and failing", "live part touchable"):
        b = Wired()
        b.see(b.put(), seen)
        assert said(b.home)[0].says.startswith("Make safe and tell the person responsible now: ")


def test_something_seen_at_a_way_or_a_board_is_named_by_its_code() -> None:
    b = Wired()
    way = b.way()
    b.see(way, "hot or buzzing")
    assert "way A1" in one(b.home, "hot").says
    b.see(b.box, "damp")
    assert "oard A" in one(b.home, "damp").says


def test_a_note_of_words_alone_is_no_finding() -> None:
    b = Wired()
    socket = b.put()
    before = said(b.home)
    b.do(verbs.note(b.home, socket, text="behind the sofa"))
    assert said(b.home) == before


def test_a_box_too_shallow_for_its_accessory_is_a_note() -> None:
    b = Wired()
    way, points, _ = b.ring(3)
    assert way
    b.say(points[0], box_depth_mm=16)
    assert one(b.home, "box-shallow").code == "note"
    b.say(points[0], box_depth_mm=47)
    assert not only(b.home, "box-shallow")


def test_something_seen_at_a_cable_or_a_room_says_where_that_is() -> None:
    b = Wired()
    room = b.room("Loft")
    way, points, runs = b.ring(3)
    assert way
    b.see(runs[1], "aluminium")
    assert f"the cable between {points[0]} and {points[1]}" in one(b.home, "old-insulation").says
    b.see(room, "damp")
    assert "Loft is damp" in one(b.home, "damp").says


def test_where_a_point_is_to_be_found_is_said_with_its_number() -> None:
    b = Wired()
    utility = b.room("Utility")
    point = b.put(room=utility, where="behind the dryer")
    b.see(point, "scorched")
    assert one(b.home, "scorched").says.startswith("The socket in Utility (P1, behind the dryer) is scorched")
