"""Surveys practised on many homes by several methods: the same homes and errors for each, and what came of it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from random import Random
from statistics import median
from typing import Final

from circuitmap.errors import HomeError
from circuitmap.home.records import Point
from circuitmap.home.snapshot import Home
from circuitmap.jobs import Ticket
from circuitmap.memo import Memo
from circuitmap.survey.method import Method, MethodKind
from circuitmap.survey.proposal import Proposal
from circuitmap.survey.rehearsal.invent import invent
from circuitmap.survey.rehearsal.rehearse import Practice, rehearse
from circuitmap.survey.rehearsal.tally import Tally
from circuitmap.survey.rehearsal.truth import Fed, hide, truth_of
from circuitmap.trade import Trade

COMPARED: Final[MethodKind] = "one at a time"


@dataclass(frozen=True, slots=True)
class Task:
    """One home with its wiring hidden, and the seed of the errors made in it."""

    home: Home
    truth: Mapping[str, Fed]
    seed: int


@dataclass(frozen=True, slots=True)
class Spread:
    """A figure over many homes."""

    median: float
    worst: float


def invented(homes: int, seed: int, ways: tuple[int, int] | None = None) -> Iterator[Task]:
    """Give invented homes, one for each seed in turn, with a number of ways from a range or as homes have them."""
    for each in range(seed, seed + homes):
        made = invent(each, ways=Random(each).randint(*ways) if ways is not None else None)
        yield Task(made.home, made.truth, each)


def hidden(home: Home, memo: Memo, trade: Trade, homes: int, seed: int) -> tuple[tuple[Task, ...], int]:
    """Give a home with its wiring hidden, once for each seed, and how many points nobody knows the feed of.

    Raises
    ------
    HomeError
        When nobody knows what feeds any of its points.
    """
    truth = truth_of(home, memo, trade)
    bare = hide(home, memo)
    if not any(fed.devices for fed in truth.values()):
        raise HomeError(
            "Nobody knows yet what feeds any point of this home; practise on one whose cables are drawn or whose points"
            " were settled."
        )
    left_out = sum(
        point.id not in truth and trade.point(point.kind).checkable and point.phase == "existing"
        for point in home.table(Point).values()
    )
    return tuple(Task(bare, truth, each) for each in range(seed, seed + homes)), left_out


def practise(
    tasks: Iterator[Task] | Sequence[Task],
    trade: Trade,
    methods: Sequence[Method],
    error: float,
    *,
    trips: bool = False,
    ticket: Ticket | None = None,
    total: int = 0,
) -> tuple[tuple[Tally, ...], ...]:
    """Survey every home by every method; gives a row of tallies for each method, in the order of the homes.

    Raises
    ------
    StoppedError
        When the ticket was asked to stop.
    """
    ticket = ticket if ticket is not None else Ticket()
    rows: list[list[Tally]] = [[] for _ in methods]
    done = 0

    def watch(_practice: Practice, _proposal: Proposal) -> None:
        ticket.tick(done, total, "surveyed")

    for task in tasks:
        for row, method in zip(rows, methods, strict=True):
            row.append(
                rehearse(
                    task.home, trade, task.truth, method, error, task.seed, trips=trips, each_round=watch
                )
            )  # fmt: skip
        done += 1
        ticket.tick(done, total, "surveyed")
    return tuple(map(tuple, rows))


def spread(values: Sequence[float]) -> Spread:
    """Give the median and the greatest of some figures."""
    return Spread(float(median(values)), float(max(values)))


def times_fewer(ours: Sequence[float], theirs: Sequence[float]) -> float:
    """Give how many times fewer ours are, the median over the homes; a home that took none counts as one."""
    return float(median(max(their, 1) / max(our, 1) for our, their in zip(ours, theirs, strict=True)))
