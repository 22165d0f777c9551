"""A hunt on record: its readings lead through the same steps again, and none of a part stands for the circuit."""

import pytest

from circuitmap.home import verbs
from circuitmap.home.records import Reading
from circuitmap.quantities import parse_measured
from circuitmap.readings.insulation import Pair, megohms, parallel
from circuitmap.readings.judged import judged
from circuitmap.readings.leak_book import (
    CORES,
    Start,
    Trail,
    follow,
    hunts_of,
    low_readings,
    next_start,
    pair_of_cores,
    record_cannot,
    record_part,
    record_whole,
    take_back,
)
from circuitmap.readings.leak_state import Asked
from circuitmap.readings.sheet import filed
from circuitmap.readings.verdict import Rules
from circuitmap.trade import load
from tests.readings.recorded import Taken

RULES = Rules(load())


class Hunted(Taken):
    """The ring of the recorded home with a leak somewhere (P1_equipment for "P1 equipment"), each reading recorded."""

    def __init__(self, pair: Pair = "L+N-E", **leaks_mohm: float) -> None:
        super().__init__()
        self.leaks = {key.replace("_", " "): value for key, value in leaks_mohm.items()}
        self.start = Start(1, pair)

    def trail(self, before: Trail | None = None) -> Trail:
        held = hunts_of(self.book())
        if not held:
            return follow(self.view(), RULES, self.start, before=before)
        return follow(self.view(), RULES, held[0].start, held[0].entries, before=before)

    def shows(self, asked: Asked) -> str:
        here = parallel(megohms(self.leaks.get(key, 50_000.0)) for key in asked.sections).least
        return ">500" if here > 500 else f"{here:.3g}"

    def record(self, trail: Trail, asked: Asked, typed: str = "") -> None:
        measured = parse_measured(typed or self.shows(asked), "insulation")
        self.do(record_part(self.home, self.today, trail, asked, measured, instrument=self.meter))

    def step(self, trail: Trail) -> Trail:
        for asked in trail.step.asked:
            self.record(trail, asked)
        return self.trail(trail)

    def to_its_end(self) -> Trail:
        trail = self.trail()
        for _ in range(40):
            if trail.step.is_end:
                return trail
            trail = self.step(trail)
        raise AssertionError("it doesn't end")


def outline(trail: Trail) -> object:
    return [(done.step, done.readings, done.could) for done in trail.done], trail.step, trail.known, trail.left


@pytest.mark.parametrize("leak", ["R1", "R3", "P2", "P4_equipment"])
@pytest.mark.parametrize("pair", ["L+N-E", "L-E", "L-N"])
def test_the_records_alone_lead_to_the_same_end(leak: str, pair: Pair) -> None:
    b = Hunted(pair, **{leak: 0.4})
    end = b.to_its_end()
    assert end.step.kind == ("nothing low" if pair == "L-N" and "equipment" in leak else "found")
    again = follow(b.view(), RULES, hunts_of(b.book())[0].start, hunts_of(b.book())[0].entries)
    assert outline(again) == outline(end)
    assert not end.left


def test_a_record_says_what_was_apart_at_which_voltage_where_and_which_part() -> None:
    b = Hunted(R2=0.4)
    b.to_its_end()
    read = [each for each in b.home.sorted(Reading) if each.test == "insulation"]
    first, second = read[:2]
    assert (first.at, first.cores, first.test_v, first.apart) == (b.ring, ("L+N", "E"), 250, ())
    assert first.remark == "Hunt 1 L+N-E, step 1: the whole circuit, with what is left in"
    assert (second.test_v, second.apart) == (500, tuple(b.sockets))
    assert second.remark == "Hunt 1 L+N-E, step 2: the whole circuit, nothing connected"
    alone = next(each for each in read if each.remark.endswith("R2 between P1 and P2"))
    assert set(alone.apart) == {*b.sockets, *(run for run in b.runs if run != "R2")}
    assert all(each.instrument == b.meter for each in read)


def test_a_part_never_stands_for_the_circuit() -> None:
    b = Hunted(R2=0.4)
    end = b.to_its_end()
    parts = {entry.reading.id for entry in b.book().entries if entry.is_of_part}
    assert len(parts) > 3
    assert parts < set(end.readings)
    named = {each for one in judged(b.home, b.view(), load(), b.memo, by_map=False) for each in one.readings}
    assert not named & parts
    assert named & set(end.readings)  # the whole, as found and with all of it unplugged, is judged
    on_the_sheet = {entry.reading.id for entry in filed(b.book().entries).values()}
    assert not on_the_sheet & parts
    assert {entry.reading.id for entry in low_readings(b.book(), RULES)}.isdisjoint(end.readings)
    assert not [each for each in b.book().problems if each.kind == "contradiction"]


def test_with_something_taken_off_it_still_is_the_whole_circuit() -> None:
    b = Taken()
    b.read("insulation", "0.4", "L", "E", test_v=500, apart=(b.sockets[0],))
    (entry,) = b.book().of_test("insulation")
    assert not entry.is_of_part
    b.read("insulation", "0.4", "L", "E", test_v=500, apart=(b.runs[0],))
    assert b.book().of_test("insulation")[-1].is_of_part


def test_a_hunt_from_a_reading_on_record_or_from_one_that_was_typed_begins_with_it() -> None:
    b = Hunted(R2=0.4)
    low = b.read("insulation", "0.4", "L", "E", test_v=500)
    b.read("insulation", "0.9", "L+N", "E", test_v=250)
    b.read("insulation", ">500", "N", "E", test_v=500)
    found = low_readings(b.book(), RULES)
    assert found[0].reading.id == low
    assert len(found) == 2
    b.start = next_start(b.book(), pair_of_cores(found[0].reading.cores), found[0])
    assert (b.start.pair, b.start.reading) == ("L-E", low)
    assert b.trail().step.kind == "unplug"
    after = b.step(b.trail())
    assert after.number == 2
    assert hunts_of(b.book())[0].start == b.start
    typed = next_start(b.book(), "N-E")
    assert typed.number == 2
    measured = parse_measured("0.3", "insulation")
    b.do(record_whole(b.home, b.today, b.view(), typed, measured, test_v=500, instrument=b.meter))
    second, first = hunts_of(b.book())
    assert (second.start.number, second.start.pair, second.start.is_of_hunt) == (2, "N-E", True)
    assert first.start.number == 1
    trail = follow(b.view(), RULES, second.start, second.entries)
    assert (trail.step.kind, trail.number, trail.left) == ("unplug", 1, ())


def test_what_cant_be_reached_is_on_record_and_another_way_is_sought() -> None:
    b = Hunted(R2=0.4)
    trail = b.trail()
    while trail.step.kind != "open":
        trail = b.step(trail)
    place = trail.step.at
    b.do(record_cannot(b.home, b.today, trail))
    after = b.trail(trail)
    assert after.done[-1].could is False
    assert place in after.hunt.shut
    assert after.step.at != place
    assert outline(b.trail()) == outline(after)
    assert all(entry.is_of_part for entry in b.book().entries if entry.reading.not_possible)


def test_steps_are_taken_back_one_by_one() -> None:
    b = Hunted(R2=0.4)
    first = b.trail()
    assert take_back(b.home, first) is None
    second = b.step(first)
    third = b.step(second)
    b.record(third, third.step.asked[0])
    begun = b.trail(third)
    assert begun.given[0] is not None
    assert begun.step == third.step
    change = take_back(b.home, begun)
    assert change is not None
    b.do(change)
    back = b.trail(begun)
    assert (back.step, back.number, back.given) == (second.step, 2, (None,))
    change = take_back(b.home, back)
    assert change is not None
    b.do(change)
    assert not hunts_of(b.book())


def test_of_a_part_read_twice_in_a_step_the_later_counts() -> None:
    b = Hunted(R2=0.4)
    trail = b.trail()
    while trail.step.kind != "open":
        trail = b.step(trail)
    first, *others = trail.step.asked
    b.record(trail, first, "77")
    b.record(trail, first, "88")
    for asked in others:
        b.record(trail, asked)
    after = b.trail(trail)
    assert after.done[-1].step == trail.step
    assert after.done[-1].readings[0].value_si == 88e6


def test_a_map_drawn_otherwise_since_leaves_what_no_longer_fits() -> None:
    b = Hunted(R2=0.4)
    b.to_its_end()
    before = b.trail()
    extra = b.point("socket")
    b.run(b.sockets[3], extra, length_mm=4000)
    after = b.trail(before)
    assert len(after.done) < len(before.done)
    assert after.left
    assert set(after.left) < set(before.readings)


def test_without_runs_equipment_read_alone_is_a_part_as_well() -> None:
    b = Hunted(P8_equipment=0.5)
    bare = b.device(b.board_id, "3")
    points = [b.point("socket") for _ in range(2)]
    assert points[-1] == "P8"
    for point in points:
        b.do(verbs.tag(b.home, point, bare))
    b.ring = bare
    end = b.to_its_end()
    assert [done.step.kind for done in end.done][-1] == "read alone"
    assert end.step.kind == "found"
    (part,) = [entry for entry in b.book(bare).entries if entry.is_of_part]
    assert (part.at, part.reading.apart) == ("P8", ("P7",))


@pytest.mark.parametrize("cores", [("E", "N+L"), ("L+N", "E"), ()])
def test_cores_are_a_pair_whichever_way_round(cores: tuple[str, ...]) -> None:
    assert pair_of_cores(cores) == "L+N-E"
    assert all(pair_of_cores(tuple(reversed(two))) == pair for pair, two in CORES.items())
