"""What of a drawn circuit could leak, how suspicious each section is, and what it takes to look."""

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import End, RunFault
from circuitmap.readings.leak import Layout, Section
from circuitmap.readings.leak_layout import layout_of
from circuitmap.trade import load
from circuitmap.words import Condition
from tests.readings.wired import Wired

TRADE = load()


def layout(wired: Wired) -> Layout:
    return layout_of(wired.on_way, TRADE)


def section(wired: Wired, key: str) -> Section:
    return layout(wired).by_key[key]


def test_every_run_point_and_load_is_a_section_and_every_point_a_place() -> None:
    wired = Wired()
    sockets = wired.ring(5, 5, 5)
    found = layout(wired)
    assert {s.key for s in found.sections if s.kind == "cable"} == {"R1", "R2", "R3"}
    assert {s.key for s in found.sections if s.kind == "accessory"} == set(sockets)
    assert {s.record for s in found.sections if s.kind == "equipment"} == set(sockets)
    assert set(found.place) == set(sockets)
    assert all(s.title and s.weight > 0 for s in found.sections)
    assert "between the board and P1" in found.by_key["R1"].title


@pytest.mark.parametrize(
    ("seen", "fact"), [("damp", "damp seen"), ("damaged accessory", "damage seen"), ("cloth covered", "old insulation")]
)
def test_what_was_seen_at_a_point_makes_it_suspicious_and_says_so(seen: Condition, fact: str) -> None:
    wired = Wired()
    (socket,) = wired.ring(5, 5)
    before = section(wired, socket)
    wired.do(verbs.note(wired.home, socket, (seen,)))
    after = section(wired, socket)
    assert after.weight == before.weight * TRADE.suspicion(fact).times
    assert fact in after.why


def test_what_was_seen_at_a_run_and_a_fault_drawn_on_it_count_for_that_run_only() -> None:
    wired = Wired()
    a, b = wired.ring(5, 5, 5)
    wired.do(verbs.note(wired.home, "R2", ("basic insulation showing",)))
    low, joint = wired.length(b, wired.point(), 4), wired.length(a, wired.point(), 4)
    wired.do(verbs.edit(wired.home, low, faults=(RunFault(kind="low insulation"),)))
    wired.do(verbs.edit(wired.home, joint, faults=(RunFault(kind="joint"),)))
    found = layout(wired).by_key
    assert found["R2"].weight == 8 * found["R1"].weight
    assert found[low].weight > found[joint].weight > found["R1"].weight
    assert "low insulation noted there" in found[low].why


def test_outdoors_outbuildings_spurs_old_and_long_cable_are_suspected_first() -> None:
    wired = Wired()
    a, b, c, d = wired.ring(5, 5, 5, 5, 20)
    shed = wired.room("Shed", use="outbuilding")
    plain = section(wired, "R2").weight
    garden = wired.length(a, wired.point("outdoor socket"), 5)
    far = wired.length(b, wired.point(room=shed), 5)
    spur = wired.length(c, wired.point(), 5)
    old = wired.length(d, wired.point(), 5, cable=next(c.code for c in TRADE.cables() if c.kind == "rubber"))
    found = layout(wired).by_key
    for run, fact in ((garden, "outdoors"), (far, "outbuilding"), (spur, "unfused spur"), (old, "old insulation")):
        assert fact in found[run].why
        assert found[run].weight > plain
    assert found["R5"].why == ("long",)


def test_line_to_neutral_it_is_electronics_to_earth_it_is_damp() -> None:
    """Common practice, no source: USB sockets, neons, dimmers and sensors explain lows from line to neutral."""
    wired = Wired()
    usb, damp = wired.point("usb socket"), wired.point()
    wired.chain(wired.way_id, usb, damp)
    wired.do(verbs.note(wired.home, damp, ("damp",)))
    to_earth = layout_of(wired.on_way, TRADE, "L+N-E").by_key
    between = layout_of(wired.on_way, TRADE, "L-N").by_key
    assert to_earth[damp].weight > to_earth[usb].weight
    assert between[f"{usb} built in"].weight > between[damp].weight > between[usb].weight


def test_a_switch_drop_can_leak_too() -> None:
    wired = Wired("T&E 1.5/1.0", 6)
    light, switch = wired.point("light"), wired.point("switch")
    wired.length(wired.way_id, light, 5)
    drop = wired.length(light, switch, 4, role="switch drop")
    found = layout(wired)
    assert drop in found.by_key
    assert found.whole() >= {drop, switch}
    assert f"{switch} equipment" not in found.by_key


def test_what_is_out_of_reach_or_out_of_sight_takes_longer_to_open() -> None:
    wired = Wired()
    plain, hidden, box = wired.point(), wired.point(), wired.point("junction box")
    wired.do(verbs.edit(wired.home, hidden, uncheckable="behind the wardrobe"))
    wired.chain(wired.way_id, plain, hidden, box)
    found = layout(wired).place
    assert found[plain].minutes < found[box].minutes < found[hidden].minutes
    assert found[hidden].why == "behind the wardrobe"


def test_another_board_is_something_connected_whose_main_switch_takes_it_off() -> None:
    wired = Wired()
    other = wired.board("B", source="run")
    run = wired.length(wired.way_id, other, 12)
    found = layout(wired)
    assert {s.key for s in found.sections} == {run, f"{other} fed"}
    assert found.by_key[f"{other} fed"].comes_off == "switch off"
    assert found.whole() == {run, f"{other} fed"}
    assert found.whole({f"{other} fed"}) == {run}


def test_without_runs_only_equipment_can_be_told_from_the_wiring() -> None:
    wired = Wired()
    sockets = [wired.point() for _ in range(3)]
    wired.say(wired.way_id, *sockets)
    found = layout(wired)
    assert [s.kind for s in found.sections] == ["undrawn", "equipment", "equipment", "equipment"]
    assert found.whole() == {s.key for s in found.sections}
    assert "No run of this circuit is drawn" in found.notes[0]
    assert found.places == ()


def test_a_point_without_a_run_is_in_the_whole_but_in_no_part() -> None:
    wired = Wired()
    wired.ring(5, 5, 5)
    lost = wired.point()
    wired.say(wired.way_id, lost)
    found = layout(wired)
    assert f"{lost} equipment" in found.whole()
    assert all(f"{lost} equipment" not in part.sections for part in found.parts())
    assert any("1 point hangs on this way without a run" in note for note in found.notes)


def test_a_run_that_nothing_joins_to_the_board_is_no_part_of_it_and_is_told() -> None:
    wired = Wired()
    a, b, c = wired.point(), wired.point(), wired.point()
    joined = wired.length(wired.way_id, a, 5)
    adrift = wired.length(b, c, 5)
    wired.say(wired.way_id, b, c)
    found = layout(wired)
    assert joined in found.by_key
    assert adrift not in found.by_key
    assert any("1 run isn't joined to the board" in note for note in found.notes)


def test_an_end_nobody_followed_is_named_so() -> None:
    wired = Wired()
    run = wired.length(wired.way_id, End(at=None, state="unknown"), 5)
    assert section(wired, run).title == f"{run} between the board and an end nobody followed"
