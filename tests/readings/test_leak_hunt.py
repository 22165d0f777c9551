"""The guided hunt, step by step: the trade's order, its own example, two leaks, leaks that go away, bad input."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from circuitmap.home.records import End
from circuitmap.quantities import parse_measured
from circuitmap.readings.insulation import Pair, megohms, parallel
from circuitmap.readings.leak_hunt import begin, next_step, standing
from circuitmap.readings.leak_state import ENDS, Asked, Hunt, Step, take
from circuitmap.readings.leak_told import CAUTIONS, FULL_TEST, LOW_TEST, NEUTRAL_IN
from circuitmap.readings.verdict import Rules, Shown
from circuitmap.trade import load
from tests.readings.wired import Wired

RULES = Rules(load())
Meter = Callable[[Step, Asked], Shown]


def mohm(typed: str) -> Shown:
    return parse_measured(typed, "insulation")


def leaking(**at_mohm: float) -> Meter:
    """A meter on a circuit whose sections leak as said (P1_equipment for "P1 equipment"), all others sound."""
    leaks = {key.replace("_", " "): value for key, value in at_mohm.items()}

    def meter(_: Step, asked: Asked) -> Shown:
        here = parallel(megohms(leaks.get(key, 50_000.0)) for key in asked.sections).least
        return mohm(">500") if here > 500 else mohm(f"{here:.3g}")

    return meter


def follow(hunt: Hunt, meter: Meter, until: str = "") -> tuple[Hunt, list[Step]]:
    """Do what is said until the end, or until a kind of step is proposed (which is the last then)."""
    done: list[Step] = []
    for _ in range(60):
        step = next_step(hunt)
        done.append(step)
        if step.is_end or step.kind == until:
            return hunt, done
        hunt = take(hunt, step, [meter(step, asked) for asked in step.asked])
    raise AssertionError("the hunt doesn't end")


def kinds(steps: list[Step]) -> list[str]:
    return [step.kind for step in steps]


def ring_with_garage(pair: Pair = "L+N-E") -> tuple[Hunt, Wired, tuple[str, str, str, str]]:
    """A ring of five sockets; off the third a branch to a garage: cable R7, then a socket and R8 to another."""
    wired = Wired()
    sockets = wired.ring(5, 4, 5, 4, 5, 4)
    garage = wired.room("Garage", use="garage")
    near, far = wired.point(room=garage), wired.point(room=garage)
    branch, on = wired.length(sockets[2], near, 12), wired.length(near, far, 4)
    return begin(wired.on_way, RULES, pair), wired, (branch, near, on, far)


# the trade's order --------------------------------------------------------------------------------------------


def test_unplug_everything_then_take_off_fixed_loads_then_split() -> None:
    """Common practice, no source."""
    wired = Wired()
    a, _ = wired.ring(5, 5, 5)
    wired.length(a, wired.point("fused unit"), 3)
    _, steps = follow(begin(wired.on_way, RULES), leaking(R2=0.6))
    assert kinds(steps)[:4] == ["read whole", "unplug", "switch off", "open"]
    assert steps[-1].kind == "found"


def test_20_that_jumps_past_200_when_a_branch_is_off_has_it_there_equipment_and_damp_before_cable() -> None:
    """The trade's own example, common practice, no source: more often what is connected there than its cable."""
    hunt, _, (branch, near, on, far) = ring_with_garage()
    there = {branch, near, on, far}

    def meter(_: Step, asked: Asked) -> Shown:
        return mohm("20") if branch in asked.sections else mohm(">200")

    takes_off = next(cable.a for cable in hunt.layout.cables if cable.key == branch)
    others = frozenset(hunt.layout.place) - {takes_off}
    opened, steps = follow(replace(hunt, shut=others), meter, until="open")
    assert kinds(steps) == ["read whole", "unplug", "open"]  # what is connected comes first
    assert steps[-1].at == takes_off
    after = take(opened, steps[-1], [meter(steps[-1], asked) for asked in steps[-1].asked])
    (low,) = (part for part in standing(after).parts if part.odds > 0.9)
    assert low.sections == there
    assert low.share is not None
    assert low.share.least > 0.7
    further = replace(after, shut=frozenset())
    assert not standing(further).found  # a branch is no place: it is split on
    assert next_step(further).at in there


def test_plugged_in_equipment_on_the_branch_is_found_without_opening_anything() -> None:
    hunt, _, (_, _, _, far) = ring_with_garage()
    end, steps = follow(hunt, leaking(**{f"{far}_equipment": 20.0}))
    assert steps[-1].kind == "found"
    assert end.openings == 0
    (found,) = standing(end).found
    assert found.sections == {f"{far} equipment"}
    assert "what is plugged in at socket" in steps[-1].says


def test_how_much_the_unplugged_explains_is_told_before_it_was_read_alone() -> None:
    hunt, _, (_, _, _, far) = ring_with_garage()
    hunt, _ = follow(hunt, leaking(**{f"{far}_equipment": 2.0, "R2": 40.0}), until="connect back")
    plugged = [part for part in standing(hunt).parts if part.sections <= hunt.off]
    assert len(plugged) == 1
    assert plugged[0].span is None
    assert plugged[0].share is not None
    assert plugged[0].share.least > 0.9
    assert "not read alone yet" in standing(hunt).says


def test_what_is_behind_a_fused_unit_is_parted_by_its_switch_before_anything_is_opened() -> None:
    wired = Wired()
    a, _ = wired.ring(5, 5, 5)
    unit, lamp = wired.point("fused unit"), wired.point("outdoor light")
    wired.length(a, End(at=unit, side="supply"), 2)
    cable = wired.length(End(at=unit, side="load"), lamp, 9, cable="T&E 1.5/1.0")
    end, steps = follow(begin(wired.on_way, RULES), leaking(**{cable: 0.3}))
    opened = [step.at for step in steps if step.kind == "open"]
    assert set(opened) <= {unit, lamp}
    assert [found.sections for found in standing(end).found] == [{cable}]


def test_wired_in_equipment_is_taken_off_where_it_is_open_already() -> None:
    wired = Wired("T&E 1.5/1.0", 6)
    lights = [wired.point("downlight") for _ in range(4)]
    wired.chain(wired.way_id, *lights)
    end, steps = follow(begin(wired.on_way, RULES), leaking(**{f"{lights[2]}_equipment": 0.4}))
    assert "take off" in kinds(steps)
    assert standing(end).found[0].sections == {f"{lights[2]} equipment"}
    assert steps[-1].kind == "found"


# certainty ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", ["R1", "R3", "P2", "P3", "P5", "R7"])
def test_nothing_is_found_before_it_was_read_alone(key: str) -> None:
    hunt, _, _ = ring_with_garage()
    state, meter = hunt, leaking(**{key: 0.5})
    for _ in range(40):
        step = next_step(state)
        alone = state.read_of(frozenset({key}))
        assert bool(standing(state).found) == (alone is not None)
        if step.is_end:
            break
        state = take(state, step, [meter(step, asked) for asked in step.asked])
    assert step.kind == "found"
    assert {k for each in standing(state).found for k in each.sections} == {key}


def test_until_then_the_terminals_at_its_ends_are_named_too() -> None:
    hunt, _, _ = ring_with_garage()
    hunt, steps = follow(hunt, leaking(R3=0.5), until="open")
    step = steps[-1]
    state = take(hunt, step, [None] * len(step.asked))
    while not (step := next_step(state)).is_end:
        state = take(state, step, [None if a.sections == {"R3"} else leaking(R3=0.5)(step, a) for a in step.asked])
    assert step.kind == "stuck"
    assert "or the terminals at its ends" in step.says
    assert not standing(state).found


def test_two_leaks_that_share_it_are_both_found_with_their_shares() -> None:
    hunt, _, (_, _, on, _) = ring_with_garage()
    end, steps = follow(hunt, leaking(**{on: 1.0, "P1": 1.5}))
    assert steps[-1].kind == "found"
    assert {key for each in standing(end).found for key in each.sections} == {on, "P1"}
    assert "2 leaks share it" in steps[-1].says
    shares = [each.share for each in standing(end).found if each.share is not None]
    assert sum(share.least for share in shares) < 1 < sum(share.most for share in shares)


def test_equipment_and_wiring_that_share_it_are_both_found() -> None:
    hunt, _, (_, near, _, _) = ring_with_garage()
    end, _ = follow(hunt, leaking(**{f"{near}_equipment": 1.0, "R2": 1.2}))
    assert {key for each in standing(end).found for key in each.sections} == {f"{near} equipment", "R2"}


def test_a_leak_that_nothing_holds_when_parted_is_gone_and_joining_again_tells_terminals_from_damp() -> None:
    hunt, _, _ = ring_with_garage()

    def meter(again: str) -> Meter:
        def read(step: Step, _: Asked) -> Shown:
            return mohm({"open": ">500", "rejoin": again}.get(step.kind, "2"))

        return read

    damp, steps = follow(hunt, meter(">500"))
    assert kinds(steps)[-2:] == ["rejoin", "gone"]
    assert "Not found" in steps[-1].why
    assert not standing(damp).found
    _, steps = follow(hunt, meter("2"))
    assert steps[-1].kind == "found"
    assert "its terminals, or a cable end in its box" in steps[-1].says
    assert "Not certain" in steps[-1].why


def test_a_part_that_reads_lower_than_the_whole_is_read_again_before_anything_is_made_of_it() -> None:
    hunt, _, _ = ring_with_garage()

    def meter(step: Step, asked: Asked) -> Shown:
        if step.kind == "open" and "R2" in asked.sections:
            return mohm("0.2")
        return leaking(R2=2.0)(step, asked)

    _, steps = follow(hunt, meter, until="read again")
    assert steps[-1].kind == "read again"
    assert "Together can't read higher than a part" in steps[-1].why


def test_age_all_along_is_no_single_leak() -> None:
    hunt, _, _ = ring_with_garage()
    sound = {key.replace(" ", "_"): 900.0 for key in hunt.layout.by_key}
    _, steps = follow(hunt, leaking(**sound))
    assert steps[-1].kind in ("spread", "stuck")


# safety -------------------------------------------------------------------------------------------------------


def test_every_reading_comes_with_its_cautions_and_their_sources() -> None:
    hunt, _, _ = ring_with_garage()
    _, steps = follow(hunt, leaking(R3=0.5))
    for step in steps:
        if step.asked:
            assert set(CAUTIONS) <= set(step.cautions)
    said = " ".join(sentence for sentence, _ in CAUTIONS)
    for must in ("prove it dead", "line and neutral", "on TN-C-S like a dead short", "surge protection", "RCBO"):
        assert must in said
    assert all(source for _, source in (*CAUTIONS, LOW_TEST, FULL_TEST))


def test_500_v_never_meet_equipment_nor_line_to_neutral_while_any_is_connected() -> None:
    """250 V, line and neutral joined, to earth while anything is connected (from memory: BS 7671 643.3.2, 643.3.3)."""
    wired = Wired()
    a, b = wired.ring(5, 5, 5)
    wired.length(a, wired.point("downlight"), 3)
    wired.length(b, wired.point("fused unit"), 3)
    for key in ("R2", "P1_equipment", "P3_equipment", "P4_equipment"):
        pairs: tuple[Pair, ...] = ("L+N-E", "L-E", "L-N")
        for pair in pairs:
            hunt = begin(wired.on_way, RULES, pair)
            _, steps = follow(hunt, leaking(**{key: 0.5}))
            for step in steps:
                held = any(hunt.layout.by_key[k].kind == "equipment" for asked in step.asked for k in asked.sections)
                if step.asked:
                    assert step.test_v == (250 if held else 500)
                    assert step.pair == ("L+N-E" if held else pair)
                    assert (LOW_TEST if held else FULL_TEST) in step.cautions


def test_what_is_built_into_an_accessory_is_tested_low_and_named_with_it() -> None:
    """A USB socket's electronics can't be unplugged: 250 V to earth only, or the socket is off its cables."""
    wired = Wired()
    usb, plain = wired.point("usb socket"), wired.point()
    wired.chain(wired.way_id, usb, plain)
    end, steps = follow(begin(wired.on_way, RULES), leaking(**{f"{usb}_built_in": 0.3}))
    (found,) = standing(end).found
    assert found.sections == {usb, f"{usb} built in"}
    assert "USB socket" in found.title
    assert all(step.test_v == 250 for step in steps for asked in step.asked if f"{usb} built in" in asked.sections)
    first = next_step(begin(wired.on_way, RULES, "L-N"))
    assert f"{usb} built in" in first.off
    assert "the electronics of USB socket" in first.says


def test_line_to_neutral_nothing_is_read_before_everything_is_off() -> None:
    hunt, _, _ = ring_with_garage("L-N")
    step = next_step(hunt)
    assert step.kind == "take off"
    assert step.off == hunt.layout.equipment
    assert "line to neutral" in step.why


def test_a_line_to_neutral_low_that_goes_with_the_equipment_blames_no_wiring() -> None:
    """Common practice, no source: USB sockets and neons read low line to neutral and leave the wiring as it is."""
    hunt, wired, _ = ring_with_garage("L-N")
    for state in (hunt, begin(wired.on_way, RULES, "L-N", whole=mohm("0.25"))):
        _, steps = follow(state, leaking(P2_equipment=0.25))
        assert kinds(steps) == ["take off", "nothing low"]
        assert "explains it, not the wiring" in steps[-1].why


def test_line_to_neutral_the_cable_behind_a_unit_is_read_with_the_rest() -> None:
    wired = Wired()
    a, _ = wired.ring(5, 5, 5)
    unit = wired.point("fused unit")
    wired.length(a, End(at=unit, side="supply"), 2)
    cable = wired.length(End(at=unit, side="load"), wired.point("towel rail"), 9, cable="T&E 1.5/1.0")
    end, steps = follow(begin(wired.on_way, RULES, "L-N"), leaking(**{cable: 0.3}))
    assert steps[-1].kind == "found"
    assert standing(end).found[0].sections == {cable}


def test_next_to_nothing_to_earth_asks_whether_the_neutral_is_still_in_its_bar() -> None:
    hunt, _, _ = ring_with_garage("N-E")
    after = take(hunt, next_step(hunt), [mohm("0.00")])
    assert NEUTRAL_IN in standing(after).notes
    other = take(hunt, next_step(hunt), [mohm("2")])
    assert NEUTRAL_IN not in standing(other).notes


# bad input ----------------------------------------------------------------------------------------------------


def test_without_runs_equipment_is_still_tried_and_then_runs_are_asked_for() -> None:
    wired = Wired()
    sockets = [wired.point() for _ in range(3)]
    wired.say(wired.way_id, *sockets)
    hunt = begin(wired.on_way, RULES)
    _, steps = follow(hunt, leaking(undrawn=2.0))
    assert kinds(steps) == ["read whole", "unplug", "stuck"]
    assert "draw its runs" in steps[-1].why
    end, steps = follow(hunt, leaking(**{f"{sockets[1]}_equipment": 2.0}))
    assert steps[-1].kind == "found"
    assert standing(end).found[0].sections == {f"{sockets[1]} equipment"}


def test_a_way_with_nothing_on_it_has_nothing_but_its_wiring() -> None:
    _, steps = follow(begin(Wired().on_way, RULES), leaking(undrawn=2.0))
    assert steps[-1].kind == "stuck"


def test_one_section_is_read_alone_by_reading_the_whole() -> None:
    wired = Wired()
    run = wired.length(wired.way_id, End(at=None, state="unknown"), 5)
    end, steps = follow(begin(wired.on_way, RULES), leaking(**{run: 2.0}))
    assert kinds(steps) == ["read whole", "found"]
    assert standing(end).found[0].sections == {run}


def test_a_dead_short_is_found_like_any_other_leak() -> None:
    hunt, _, _ = ring_with_garage()
    end, steps = follow(hunt, lambda step, asked: mohm("0") if "R5" in asked.sections else mohm(">500"))
    assert steps[-1].kind == "found"
    assert standing(end).found[0].sections == {"R5"}


@pytest.mark.parametrize(("typed", "kind"), [(">200", "nothing low"), ("350", "nothing low"), (">20", "stuck")])
def test_high_readings_end_it_and_a_bound_too_low_asks_for_a_wider_range(typed: str, kind: str) -> None:
    hunt, _, _ = ring_with_garage()
    after = take(hunt, next_step(hunt), [mohm(typed)])
    step = next_step(after)
    assert step.kind == kind
    assert ("wider range" in step.says) == (kind == "stuck")


def test_it_ends_whatever_cant_be_read_or_opened() -> None:
    hunt, _, _ = ring_with_garage()
    _, steps = follow(take(hunt, next_step(hunt), [mohm("3")]), lambda step, asked: None)
    assert steps[-1].kind == "stuck"
    assert steps[-1].kind in ENDS


def test_a_reading_taken_before_starts_the_hunt() -> None:
    _, wired, _ = ring_with_garage()
    hunt = begin(wired.on_way, RULES, whole=mohm("3"))
    assert hunt.reads[0].sections == hunt.layout.whole()
    assert next_step(hunt).kind == "unplug"
