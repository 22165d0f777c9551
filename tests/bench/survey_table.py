"""How well the switch-off survey does on invented homes.

Run it with ``python -m tests.bench.survey_table [--homes 200] [--quick] [--only ways|errors|faults|speed]``.
Beside each figure stands what is wanted of it, the counting bound ceil(log2(n + 1)) (classical, from memory), and what
going one way at a time takes on the same homes. Rounds are switch-offs; the look with everything on is counted with
them as one more, a switch-off that only tells joined ways apart is not (it is listed by itself).
"""

import argparse
import os
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil, log2
from multiprocessing import get_context
from statistics import median
from typing import Final, Literal

from circuitmap.home import verbs
from circuitmap.home.records import Round
from circuitmap.memo import Memo
from circuitmap.survey.method import Method
from circuitmap.survey.planner.next_off import propose
from circuitmap.survey.proposal import Proposal
from circuitmap.survey.rehearsal import Invented, invent
from circuitmap.survey.rehearsal.rehearse import Practice, rehearse
from circuitmap.survey.rehearsal.tally import Tally
from circuitmap.survey.settle import settle
from circuitmap.trade import Trade, load

Fault = Literal["none", "second source", "joined", "tripped RCD", "borrowed neutral"]

FEWEST: Final = Method()
ANY_LIGHT: Final = Method(keeps_stairs_lit=False)
GENTLE: Final = Method("gentle")
ONE: Final = Method("one at a time")
WAYS: Final = range(2, 41)
COMPARED: Final = range(12, 41)  # the ways over which the methods are held against each other
FAULTS: Final[tuple[Fault, ...]] = ("second source", "joined", "tripped RCD", "borrowed neutral")
PROCESSES: Final = 2


@dataclass(frozen=True, slots=True)
class Survey:
    """One home to survey by some methods."""

    seed: int
    ways: int
    methods: tuple[Method, ...]
    error: float = 0.0
    fault: Fault = "none"


@dataclass(frozen=True, slots=True)
class Found:
    """What the methods made of one home; ``by_lamp`` tells by which of them a witness lamp gave a trip away."""

    asked: Survey
    tallies: tuple[Tally, ...]
    by_lamp: tuple[bool, ...]


def bound(ways: int) -> int:
    """Give the switch-offs that tell so many ways and "none of them" apart: ceil(log2(n + 1))."""
    return ceil(log2(ways + 1))


def with_look(tally: Tally) -> int:
    """Give the switch-offs and the look beforehand, without those that only tell joined ways apart."""
    return tally.rounds + tally.looks - tally.apart


def home_for(survey: Survey) -> Invented:
    """Invent the home of a survey, with its fault."""
    match survey.fault:
        case "second source":
            return invent(survey.seed, ways=survey.ways, second_source=1)
        case "joined":
            return invent(survey.seed, ways=survey.ways, joined=1)
        case "borrowed neutral":
            return invent(survey.seed, ways=survey.ways, borrowed=1)
        case "tripped RCD":
            return invent(survey.seed, ways=survey.ways, rcds=2)
        case _:
            return invent(survey.seed, ways=survey.ways)


_trade: list[Trade] = []


def run(survey: Survey) -> Found:
    """Survey one home by each method."""
    if not _trade:
        _trade.append(load())
    made = home_for(survey)
    trips = survey.fault == "tripped RCD"
    tallies: list[Tally] = []
    by_lamp: list[bool] = []
    for method in survey.methods:
        last: list[Practice] = []

        def watch(practice: Practice, _: Proposal, last: list[Practice] = last) -> None:
            last[:] = [practice]

        tallies.append(
            rehearse(made.home, _trade[0], made.truth, method, survey.error, survey.seed, trips=trips, each_round=watch)
        )
        by_lamp.append(any(practice.trip_by_lamp for practice in last))
    return Found(survey, tuple(tallies), tuple(by_lamp))


# -- the blocks of the table ------------------------------------------------------------------------------------


def surveys_by_ways(homes: int, ways: Sequence[int] = WAYS) -> list[Survey]:
    """Give homes of every size, so many of each that the compared sizes come to ``homes`` in all."""
    each = max(1, ceil(homes / len(COMPARED)))
    return [Survey(100 * n + s, n, (ANY_LIGHT, FEWEST, GENTLE, ONE)) for n in ways for s in range(1, each + 1)]


def surveys_with_errors(homes: int) -> list[Survey]:
    """Give homes of 6 to 20 ways where 2 % of the answers are wrong."""
    return [Survey(s, 6 + s % 15, (FEWEST, GENTLE), error=0.02) for s in range(1, homes + 1)]


def surveys_with_fault(fault: Fault, homes: int) -> list[Survey]:
    """Give homes of 6 to 20 ways with one fault planted in each."""
    return [Survey(s, 6 + s % 15, (FEWEST, GENTLE), fault=fault) for s in range(1, homes + 1)]


def lines_by_ways(found: Sequence[Found]) -> Iterator[str]:
    """Give the row of every n, and what all of them come to."""
    yield "No errors. Rounds: switch-offs and the look with everything on; most of the homes of a row, then the median."
    yield (
        f"{'ways':>4} {'homes':>5} {'points':>6} | {'bound':>5} {'+ look':>6} | {'fewest':>11} {'as shipped':>11} "
        f"{'apart':>5} | {'gentle':>11} {'one by one':>11} | {'checks':>6} {'gentle':>6} {'one':>6} | {'not right':>9}"
    )
    for n in sorted({f.asked.ways for f in found}):
        row = [f for f in found if f.asked.ways == n]
        free, fewest, gentle, one = zip(*(f.tallies for f in row), strict=True)
        missed = sum(t.points - t.right for f in row for t in f.tallies)
        yield (
            f"{n:>4} {len(row):>5} {_middle(t.points for t in fewest):>6} | {bound(n):>5} {bound(n) + 1:>6} | "
            f"{_most(free):>11} {_most(fewest):>11} {sum(t.apart for t in fewest):>5} | {_most(gentle):>11} "
            f"{_most(one):>11} | {_middle(t.checks for t in fewest):>6} {_middle(t.checks for t in gentle):>6} "
            f"{_middle(t.checks for t in one):>6} | {missed:>9}"
        )
    yield ""
    yield from lines_of_bound(found)
    yield from lines_compared([f for f in found if f.asked.ways in COMPARED])


def lines_of_bound(found: Sequence[Found]) -> Iterator[str]:
    """Give how often counting's bound was kept, and whether every point came out right."""
    for name, at in (("stairs' lights not heeded", 0), ("as shipped", 1)):
        over = [f for f in found if with_look(f.tallies[at]) > bound(f.asked.ways) + 1]
        missed = sum(f.tallies[at].points - f.tallies[at].right for f in found)
        yield _held(f"fewest rounds, {name}: homes over bound + 1", f"{len(over)} of {len(found)}", "0", not over)
        bare = [f for f in found if f.tallies[at].rounds - f.tallies[at].apart > bound(f.asked.ways) + 1]
        yield _held(
            f"fewest rounds, {name}: switch-offs alone over bound + 1", f"{len(bare)} of {len(found)}", "0", not bare
        )
        yield _held(f"fewest rounds, {name}: points not right", str(missed), "0", not missed)
        yield from _named(over)


def lines_compared(found: Sequence[Found]) -> Iterator[str]:
    """Give the methods against going one way at a time."""
    if not found:
        return
    fewest, gentle, one = ([f.tallies[at] for f in found] for at in (1, 2, 3))
    rounds = median(with_look(o) / with_look(f) for o, f in zip(one, fewest, strict=True))
    bare = median(o.rounds / f.rounds for o, f in zip(one, fewest, strict=True))
    checks = median(o.checks / f.checks for o, f in zip(one, fewest, strict=True))
    spent = median(o.minutes / f.minutes for o, f in zip(one, fewest, strict=True))
    of = f"{len(found)} homes of {COMPARED[0]} to {COMPARED[-1]} ways"
    yield f"Against one at a time, median of {of}:"
    yield _held("  fewer rounds, the look counted", f"{rounds:.2f} x", "2.5 x", rounds >= 2.5)
    yield _held("  fewer switch-offs", f"{bare:.2f} x", "", True)
    yield _held("  fewer checks", f"{checks:.2f} x", "1.5 x", checks >= 1.5)
    yield _held("  fewer minutes", f"{spent:.2f} x", "", True)
    worse = sum(g.rounds > o.rounds or g.checks > o.checks for g, o in zip(gentle, one, strict=True))
    often = max(t.most_off for t in gentle)
    together = sum(t.together for t in gentle)
    switched = sum(t.rounds for t in gentle)
    yield f"Gentle, at most {GENTLE.most_off} off at once, on the same homes:"
    yield _held("  homes with more rounds or checks than one at a time", str(worse), "0", not worse)
    yield _held("  most interruptions of a listed load", str(often), "2", often <= 2)
    yield from _named([f for f in found if f.tallies[2].most_off > GENTLE.most_interruptions])
    yield _held("  switch-offs that took two listed loads on different ways", f"{together} of {switched}", "", True)
    fewer = median(o.rounds / g.rounds for o, g in zip(one, gentle, strict=True))
    yield _held("  fewer switch-offs than one at a time", f"{fewer:.2f} x", "", True)
    yield _held("  most interruptions by fewest rounds", str(max(t.most_off for t in fewest)), "", True)


def lines_of_errors(found: Sequence[Found]) -> Iterator[str]:
    """Give what wrong answers do."""
    yield f"2 % of the answers wrong, {len(found)} homes of 6 to 20 ways:"
    for at, name in enumerate(("fewest rounds", "gentle")):
        tallies = [f.tallies[at] for f in found]
        points = sum(t.points for t in tallies)
        wrong, doubt = sum(t.wrong for t in tallies), sum(t.doubtful for t in tallies)
        misled, flagged = sum(t.misled for t in tallies), sum(t.flagged for t in tallies)
        ever = sum(t.ever_wrong for t in tallies)
        over = median(t.rounds - bound(f.asked.ways) for t, f in zip(tallies, found, strict=True))
        share, caught = wrong / points, flagged / misled if misled else 1.0
        yield _held(f"  {name}: settled wrongly", f"{wrong} of {points}, {share:.2%}", "0.50%", share <= 0.005)
        yield _held(
            f"  {name}: misled points put in doubt in time",
            f"{flagged} of {misled}, {caught:.1%}",
            "90%",
            caught >= 0.9,
        )
        yield _held(f"  {name}: settled wrongly for a while", f"{ever} of {points}", "", True)
        yield _held(f"  {name}: left in doubt", f"{doubt} of {points}, {doubt / points:.1%}", "", True)
        yield _held(f"  {name}: switch-offs above the bound, median", f"{over:g}", "", True)


def lines_of_fault(fault: Fault, found: Sequence[Found]) -> Iterator[str]:
    """Give in how many homes a planted fault was found and named."""
    for at, name in enumerate(("fewest rounds", "gentle")):
        tallies = [f.tallies[at] for f in found]
        if fault == "tripped RCD":
            named = sum(bool(t.trip) for t in tallies)
            wrong = sum(t.wrong for t in tallies)
            lamps = sum(f.by_lamp[at] for f in found)
            yield _held(f"  {fault}, {name}: seen by a lamp, before the toggle", f"{lamps} of {len(found)}", "", True)
            yield _held(f"  {fault}, {name}: points settled wrongly", str(wrong), "", True)
        else:
            named = sum(t.named == t.odd for t in tallies)
        share = named / len(tallies)
        if fault == "borrowed neutral":
            # Switched by a two-pole device: it goes off with either way. Nobody asked for it to be found; it is told.
            wrong = sum(t.wrong for t in tallies)
            yield _held(
                f"  {fault}, {name}: named; settled wrongly", f"{named}; {wrong} in {len(tallies)} homes", "", True
            )
            continue
        yield _held(
            f"  {fault}, {name}: found and named", f"{named} of {len(tallies)} homes, {share:.1%}", "95%", share >= 0.95
        )


def lines_of_speed(ways: int = 30, points: int = 500) -> Iterator[str]:
    """Give the times of the next proposal and of the update after a check, beside all anew."""
    yield f"Speed, {ways} devices and {points} points; milliseconds of processor time, median and worst:"
    trade = load()
    made = invent(1, ways=ways, points=points)
    for method in (FEWEST, GENTLE, ONE):
        planned, updated, anew = times(made, trade, method)
        yield _held(f"  next switch-off, {method.kind}", _spread(planned), "200", max(planned) <= 200)
        yield _held(f"  after one check, {method.kind}", _spread(updated), "5", median(updated) <= 5)
        yield _held("    all anew instead", f"{median(anew):.0f} ({median(anew) / median(updated):.0f} x)", "", True)


def times(
    made: Invented, trade: Trade, method: Method, most_rounds: int = 5
) -> tuple[list[float], list[float], list[float]]:
    """Give the milliseconds of proposals, of updates after one check, and of everything anew, along a survey."""
    planned: list[float] = []
    updated: list[float] = []
    anew: list[float] = []
    points = sorted(made.truth)

    def watch(practice: Practice, _: Proposal) -> None:
        home, memo = practice.home, practice.memo
        last = home.sorted(Round)[-1].id
        settle(home, memo, trade, practice.slip)
        for point in points[:: max(1, len(points) // 5)]:
            home = home.apply(verbs.record_check(home, last, point, "still on", at=practice.tick(0.1)))
            updated.append(_timed(lambda home=home: settle(home, memo, trade, practice.slip)))  # type: ignore[misc]  # a default binds the loop's value
        anew.append(_timed(lambda: settle(home, Memo(), trade, practice.slip)))
        settle(practice.home, memo, trade, practice.slip)
        planned.append(_timed(lambda: propose(practice.home, memo, trade, method, practice.visit, practice.slip)))

    rehearse(made.home, trade, made.truth, method, 0.0, 1, each_round=watch, most_rounds=most_rounds)
    return planned, updated, anew


def _named(found: Sequence[Found]) -> Iterator[str]:
    if found:
        yield "    " + ", ".join(f"{f.asked.ways} ways seed {f.asked.seed}" for f in found[:10])


def _timed(work: Callable[[], object]) -> float:
    started = time.process_time()
    work()
    return 1000 * (time.process_time() - started)


def _spread(figures: Sequence[float]) -> str:
    return f"{median(figures):.1f}, {max(figures):.1f}"


def _middle(figures: Iterable[int]) -> str:
    return f"{median(figures):.0f}"


def _most(tallies: Iterable[Tally]) -> str:
    rounds = [with_look(t) for t in tallies]
    return f"{max(rounds)}, {median(rounds):.0f}"


def _held(what: str, figure: str, wanted: str, is_held: bool) -> str:
    mark = f"wanted {wanted:<6} {'held' if is_held else 'MISSED'}" if wanted else ""
    return f"{what:<64} {figure:<24} {mark}".rstrip()


# -- the program ------------------------------------------------------------------------------------------------


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the whole table."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.survey_table", description=__doc__)
    parser.add_argument("--homes", type=int, default=200, help="homes for each block (200)")
    parser.add_argument("--quick", action="store_true", help="few homes and few sizes, to see that it runs")
    parser.add_argument("--only", choices=("ways", "errors", "faults", "speed"), help="one block alone")
    asked = parser.parse_args(arguments)
    homes = min(asked.homes, 8) if asked.quick else asked.homes
    ways = (2, 3, 7, 8, 16, 24) if asked.quick else WAYS
    os.environ.setdefault("OMP_NUM_THREADS", "1")  # the processes share the cores already
    started = time.perf_counter()
    with get_context("spawn").Pool(PROCESSES) as pool:

        def done(surveys: Sequence[Survey]) -> list[Found]:
            # The longest first, so that none is left over for the end.
            order = sorted(surveys, key=lambda each: -each.ways)
            return sorted(pool.imap_unordered(run, order), key=lambda f: (f.asked.ways, f.asked.seed))

        if asked.only in (None, "ways"):
            _say(lines_by_ways(done(surveys_by_ways(homes, ways))))
        if asked.only in (None, "errors"):
            _say(lines_of_errors(done(surveys_with_errors(homes))))
        if asked.only in (None, "faults"):
            _say([f"One fault planted in each of {homes} homes of 6 to 20 ways:"])
            for fault in FAULTS:
                _say(lines_of_fault(fault, done(surveys_with_fault(fault, homes))))
    if asked.only in (None, "speed"):
        _say(lines_of_speed())
    _say([f"{time.perf_counter() - started:.0f} s"])


def _say(lines: Iterable[str]) -> None:
    for line in lines:
        sys.stdout.write(line + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
