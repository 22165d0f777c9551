"""Deduction against known wiring: homes whose feeds are drawn at random, answers that follow from them."""

import math
from dataclasses import dataclass, field
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.home import Home
from circuitmap.home.records import Board, Check, Device, Point, Record, Round, RoundEvent, Visit
from circuitmap.memo import Memo
from circuitmap.survey import deduce


@dataclass
class Wired:
    """A board of breakers in RCD groups, points with true feeds (None: fed from elsewhere), answers as they'd be."""

    feeds: list[int | None]
    groups: list[int]
    records: list[Record] = field(default_factory=list)
    clock: int = 0

    def __post_init__(self) -> None:
        self.records += [Board(id="B1", letter_on_map="A"), Device(id="D900", board="B1", kind="main switch")]
        for group in set(self.groups):
            self.records.append(Device(id=f"D{800 + group}", board="B1", kind="RCD", upstream="D900"))
        for way, group in enumerate(self.groups, 1):
            self.records.append(Device(id=f"D{way}", board="B1", kind="MCB", way=str(way), upstream=f"D{800 + group}"))
        self.records += [Point(id=f"P{n}", kind="socket") for n in range(1, len(self.feeds) + 1)]
        self.records.append(Visit(id="V1", day="2026-01-05"))

    def at(self) -> str:
        self.clock += 1
        return f"2026-01-05T{self.clock // 3600:02}:{self.clock // 60 % 60:02}:{self.clock % 60:02}Z"

    def down(self, off: set[str]) -> set[int]:
        """The ways without supply, worked out from the groups alone."""
        return {
            way
            for way, group in enumerate(self.groups, 1)
            if f"D{way}" in off or f"D{800 + group}" in off or "D900" in off
        }

    def survey(self, off: set[str], trip: str | None = None, trip_after: int = 0, skip: frozenset[int] = frozenset()):
        number = sum(isinstance(r, Round) for r in self.records) + 1
        events, checks, now = [], [], set(off)
        for n, feed in enumerate(self.feeds, 1):
            if trip is not None and n > trip_after and trip not in now:
                now.add(trip)
                events.append(RoundEvent(at=self.at(), what="trip", devices=(trip,)))
            if n in skip:
                continue
            live = feed is None or feed not in self.down(now)
            taken = sum(isinstance(r, Check) for r in self.records) + len(checks) + 1
            outcome = "still on" if live else "off"
            checks.append(Check(id=f"C{taken}", round=f"S{number}", point=f"P{n}", outcome=outcome, at=self.at()))
        self.records.append(Round(id=f"S{number}", visit="V1", off=tuple(sorted(off)), events=tuple(events)))
        self.records += checks

    def deduced(self):
        home = Home.of(self.records)
        assert home.problems() == []
        return deduce(home, Memo())


@st.composite
def surveyed(draw: st.DrawFn) -> Wired:
    ways = draw(st.integers(1, 9))
    groups = draw(st.lists(st.integers(0, 2), min_size=ways, max_size=ways))
    feeds = draw(st.lists(st.none() | st.integers(1, ways), min_size=1, max_size=8))
    wired = Wired(feeds, groups)
    devices = [f"D{n}" for n in range(1, ways + 1)] + sorted({f"D{800 + g}" for g in groups}) + ["D900"]
    for _ in range(draw(st.integers(0, 7))):
        off = set(draw(st.lists(st.sampled_from(devices), max_size=4)))
        trip = draw(st.none() | st.sampled_from(devices))
        skip = frozenset(draw(st.lists(st.integers(1, len(feeds)), max_size=3)))
        wired.survey(off, trip, draw(st.integers(0, len(feeds))), skip)
    return wired


@given(surveyed())
def test_the_true_feed_is_never_excluded_and_only_the_truth_is_settled(wired: Wired) -> None:
    for number, (feed, found) in enumerate(zip(wired.feeds, wired.deduced().values(), strict=True), 1):
        assert found.point == f"P{number}"
        assert found.verdict != "contradiction"
        if feed is None:
            assert found.verdict in ("unchecked", "in doubt", "never off", "elsewhere")
        else:
            assert f"D{feed}" in found.candidates
            assert found.verdict in ("unchecked", "in doubt", "settled", "not seen on")
            if found.verdict == "settled":
                assert found.candidates == (f"D{feed}",)


@given(surveyed())
def test_settled_points_were_seen_on_and_off(wired: Wired) -> None:
    outcomes: dict[str, set[str]] = {}
    for record in wired.records:
        if isinstance(record, Check):
            outcomes.setdefault(record.point, set()).add(record.outcome)
    for point, found in wired.deduced().items():
        if found.verdict == "settled":
            assert outcomes[point] == {"off", "still on"}


def group_rounds(ways: int) -> list[set[int]]:
    """Every way gets a number from 1 in binary; in round k those with bit k go off. Nobody has the number 0."""
    rounds = math.ceil(math.log2(ways + 1))
    return [{way for way in range(1, ways + 1) if way >> bit & 1} for bit in range(rounds)]


# Rows of the reference table of rounds with a none-code, ceil(log2(n + 1)): the counting bound is classical (from
# memory), the row for the none-code is worked out there.
TABLE = {2: 2, 4: 3, 6: 3, 8: 4, 10: 4, 12: 4, 16: 5, 18: 5, 20: 5}


@pytest.mark.parametrize(("ways", "rounds"), TABLE.items())
def test_distinct_codewords_settle_every_point_after_exactly_the_tabled_rounds(ways: int, rounds: int) -> None:
    wired = Wired(list(range(1, ways + 1)), [0] * ways)
    wired.survey(set())
    plan = group_rounds(ways)
    assert len(plan) == rounds
    for number, off in enumerate(plan, 1):
        wired.survey({f"D{way}" for way in off})
        settled = [found.verdict == "settled" for found in wired.deduced().values()]
        if number < rounds:
            assert not all(settled), "fewer rounds can't tell so many ways apart"
    assert all(settled)
    assert [found.candidates for found in wired.deduced().values()] == [(f"D{way}",) for way in range(1, ways + 1)]


@given(st.sampled_from(sorted(TABLE)), st.randoms(use_true_random=False))
def test_no_plan_with_a_round_less_settles_every_point(ways: int, random: Random) -> None:
    # Counting bound: t rounds give 2^t answers, one of them kept for "never off" (classical, from memory).
    wired = Wired(list(range(1, ways + 1)), [0] * ways)
    wired.survey(set())
    for _ in range(TABLE[ways] - 1):
        wired.survey({f"D{way}" for way in range(1, ways + 1) if random.random() < 0.5})
    assert any(found.verdict != "settled" for found in wired.deduced().values())


@pytest.mark.parametrize("ways", TABLE)
def test_one_way_a_time_takes_as_many_rounds_as_there_are_ways(ways: int) -> None:
    # "n with the none-code" for one breaker off each round: worked out in the reference table.
    wired = Wired(list(range(1, ways + 1)), [0] * ways)
    wired.survey(set())
    for way in range(1, ways + 1):
        assert any(found.verdict != "settled" for found in wired.deduced().values())
        wired.survey({f"D{way}"})
    assert all(found.verdict == "settled" for found in wired.deduced().values())


def test_parity_shows_one_wrong_answer() -> None:
    # Distance 2 detects one wrong observation: coding theory, from memory. Four ways, two bits and their parity, one of
    # which is nobody's codeword of noughts.
    words = {1: 0b011, 2: 0b101, 3: 0b110}
    wired = Wired([1, 2, 3], [0] * 3)
    wired.survey(set())
    for bit in range(3):
        wired.survey({f"D{way}" for way, word in words.items() if word >> bit & 1})
    assert all(found.verdict == "settled" for found in wired.deduced().values())
    flip = {"off": "still on", "still on": "off"}
    for index, record in enumerate(wired.records):
        if not isinstance(record, Check) or record.round == "S1":
            continue
        wrong = Check(id=record.id, round=record.round, point=record.point, outcome=flip[record.outcome], at=record.at)
        home = Home.of([*wired.records[:index], wrong, *wired.records[index + 1 :]])
        found = deduce(home, Memo())[record.point]
        assert found.verdict == "contradiction"
        assert wrong.id in found.repeat


@given(st.integers(1, 3), st.integers(1, 3), st.sets(st.sampled_from(["D1", "D2", "D3"])))
def test_two_ways_joined_never_settle_once_each_was_off_alone(a: int, b: int, more: set[str]) -> None:
    if a == b:
        return
    wired = Wired([a], [0] * 3)
    # Off only when both are off: the point is on with either alone, off with both.
    wired.survey(set())
    for off in ({f"D{a}"}, {f"D{b}"}, {f"D{a}", f"D{b}"} | more):
        wired.survey(off)
    fixed: list[Record] = []
    for record in wired.records:
        if isinstance(record, Check):
            outcome = "off" if record.round == "S4" else "still on"
            record = Check(id=record.id, round=record.round, point=record.point, outcome=outcome, at=record.at)
        fixed.append(record)
    found = deduce(Home.of(fixed), Memo())["P1"]
    assert found.verdict != "settled" or found.candidates[0] in more
