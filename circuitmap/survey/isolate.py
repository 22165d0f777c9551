"""What must be off before a box is opened, and the steps of isolating and proving dead.

The whole board off is the default. Ways known in a box (by cables followed, by tags, by switch-offs) are named so that
none is forgotten; they never make one way enough by themselves, and a point that went off in a survey is never taken
for dead: that is an ``Isolation`` record of its own.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from circuitmap.errors import HomeError
from circuitmap.home.phases import is_there
from circuitmap.home.records import Board, Device, Isolation, Plate, Point, Run, Tag, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.deduce import Deduced, deduce
from circuitmap.survey.kinds import is_main, is_way
from circuitmap.survey.settle import settle
from circuitmap.survey.taken import main_switches, other_sources
from circuitmap.trade import Trade
from circuitmap.wiring.pieces import LINKING, Piece, pieces_of
from circuitmap.words import OtherSourceKind, ProvedPair

PAIRS: Final[tuple[ProvedPair, ...]] = ("L-N", "L-E", "N-E")  # in the order they are tested


@dataclass(frozen=True, slots=True)
class Step:
    """One step of safe isolation, with where it comes from."""

    words: str
    source: str


STEPS: Final[tuple[Step, ...]] = (
    Step(
        "Find out which circuits come into the box and get permission to switch off.",
        "Basic Electrical Installation Work, p. 39; Electricity at Work Regulations 1989, reg. 13",
    ),
    Step(
        "Prove the voltage indicator on a known live source or a proving unit (two-pole, with short probe tips).",
        "safe isolation revision notes; HSE GS38, 4th ed.",
    ),
    Step(
        "Switch off: the main switch of the board and every other source, unless one way alone was chosen.",
        "Basic Electrical Installation Work, p. 39; whole board as the default: common practice, no source",
    ),
    Step("Lock off, keep the key, put up a caution notice.", "Basic Electrical Installation Work, p. 39"),
    Step(
        "At this box test line to neutral, line to earth, neutral to earth, and every other conductor in it.",
        "safe isolation revision notes (order of the pairs); every conductor: common practice, no source",
    ),
    Step("Prove the indicator again on the same source.", "Basic Electrical Installation Work, p. 39"),
)

WARNINGS: Final[tuple[str, ...]] = (
    "With the main switch off, the meter tails and the switch's own supply terminals stay live.",
    "The cut-out and the meter are the network's and are not opened.",
    "A plug-in tester, a contactless stick or a lamp going out proves nothing dead.",
    "Opening a board is for a skilled person only.",
)


@dataclass(frozen=True, slots=True)
class IsolationPlan:
    """What to switch off for one box; ``ways`` are those known in it, ``unsettled`` its points with no known feed."""

    box: tuple[str, ...]
    points: tuple[str, ...]
    ways: tuple[str, ...]
    unsettled: tuple[str, ...]
    whole_board: bool
    off: tuple[str, ...]
    sources: tuple[OtherSourceKind, ...]
    says: tuple[str, ...]
    steps: tuple[Step, ...] = STEPS
    warnings: tuple[str, ...] = WARNINGS


def plan_isolation(
    home: Home, box: Iterable[str], memo: Memo | None = None, one_way: bool = False, trade: Trade | None = None
) -> IsolationPlan:
    """Give what must be off to open a box, named by its points, its plate, its device or its board.

    Parameters
    ----------
    one_way
        Asks for the exception: only the ways known in the box. It is granted only where every point in the box has
        one settled way and nothing in it speaks against it; otherwise the plan stays the whole board and says why.
    trade
        With the tables at hand a point must be settled with errors allowed for as well as by the exact deduction.

    Raises
    ------
    HomeError
        When the box names nothing, or something that is neither point, plate, device nor board.
    """
    memo = memo if memo is not None else Memo()
    named = tuple(dict.fromkeys(box))
    points, ways, boards = _contents(home, named)
    known = deduce(home, memo)
    weighed = settle(home, memo, trade) if trade is not None else known
    by_point = {i: _feeds(home, i, known[i]) for i in points}
    links = [run for run in home.table(Run).values() if run.role in LINKING and is_there(run)]
    for piece in pieces_of(home, memo):
        held = _reached(piece, links)
        for point in points:
            if point in held:
                by_point[point] |= {device.id for device in piece.devices if is_way(device)}
    ways |= {way for feeds in by_point.values() for way in feeds}
    unsettled = tuple(
        i for i in points if not (_is_plain(known[i], by_point[i]) and _is_plain(weighed[i], by_point[i]))
    )
    ordered = tuple(sorted(ways, key=natural_key))
    sources = tuple(dict.fromkeys(source.kind for source in other_sources(home)))
    whole = not one_way or bool(boards) or bool(unsettled) or not ordered or bool(sources)
    off = _mains(home) if whole else ordered
    says = _sentences(home, named, ordered, unsettled, one_way and whole, bool(sources))
    return IsolationPlan(named, points, ordered, unsettled, whole, off, sources, says)


def missing_steps(isolation: Isolation, home: Home | None = None) -> tuple[str, ...]:
    """Give what is still missing from a record of proving dead; with the home at hand its other sources count too."""
    says: list[str] = []
    if not isolation.off:
        says.append("Nothing is recorded as switched off.")
    if home is not None:
        left = [s.kind for s in other_sources(home) if s.kind not in isolation.sources_off]
        says += [f"The {kind} isn't recorded as switched off." for kind in dict.fromkeys(left)]
    if not isolation.locked:
        says.append("It isn't recorded as locked off.")
    if not isolation.proved_before:
        says.append("The indicator wasn't proved before the tests.")
    live = dict.fromkeys(test.pair for test in isolation.tests if not test.dead)
    tested = {test.pair for test in isolation.tests}
    says += [f"{pair} was found live: it is not isolated." for pair in PAIRS if pair in live]
    says += [f"{pair} wasn't tested at this box." for pair in PAIRS if pair not in tested]
    if not isolation.proved_after:
        says.append("The indicator wasn't proved again after the tests.")
    return tuple(says)


def _contents(home: Home, named: tuple[str, ...]) -> tuple[tuple[str, ...], set[str], set[str]]:
    """Give the points in a box, the ways that are in it by themselves, and the boards."""
    if not named:
        raise HomeError("Say which box is to be opened: a point, a plate, a device or a board.")
    points: set[str] = set()
    ways: set[str] = set()
    boards: set[str] = set()
    for each in named:
        match home.get(each):
            case Point(plate=plate):
                points |= {each} if plate is None else _on_plate(home, plate)
            case Plate():
                points |= _on_plate(home, each)
            case Device(board=board):
                ways.add(each)
                boards.add(board)
            case Board():
                boards.add(each)
            case other:
                raise HomeError(f"A {other.kind_of} is no box to open; name a point, plate, device or board.", each)
    for board in boards:
        ways |= {device.id for device in home.devices_on(board) if is_way(device)}
    return tuple(sorted(points, key=natural_key)), {w for w in ways if is_way(home.take(Device, w))}, boards


def _on_plate(home: Home, plate: str) -> set[str]:
    return {point.id for point in home.table(Point).values() if point.plate == plate and is_there(point)}


def _reached(piece: Piece, links: Iterable[Run]) -> set[str]:
    """Give the points of a piece, and the switches on it by drops and strappers: its line is in their boxes too."""
    held = {point.id for point in piece.points}
    waiting = list(links)
    while waiting:
        near = [run for run in waiting if {run.a.at, run.b.at} & held]
        if not near:
            break
        held |= {end.at for run in near for end in (run.a, run.b) if end.at is not None and end.at.startswith("P")}
        waiting = [run for run in waiting if run not in near]
    return held


def _feeds(home: Home, point: str, found: Deduced) -> set[str]:
    tags = (tag for i in home.used_by(point) if (tag := home.find(Tag, i)) is not None and tag.target == point)
    tagged = {tag.device for tag in tags if is_there(home.take(Device, tag.device))}
    return tagged | (set(found.candidates) if found.verdict == "settled" else set())


def _is_plain(found: Deduced, feeds: set[str]) -> bool:
    """Whether a point has one way and its switch-offs, which must have been made, say the same."""
    return found.verdict == "settled" and feeds == set(found.candidates)


def _mains(home: Home) -> tuple[str, ...]:
    """Give the main switches of boards fed by a supply, or where one is missing every way of its board."""
    off = [device.id for device in main_switches(home)]
    for board in home.sorted(Board):
        devices = home.devices_on(board.id)
        if board.source != "run" and not any(is_main(device) for device in devices):
            off += [device.id for device in devices if is_way(device)]
    return tuple(dict.fromkeys(off))


def _sentences(
    home: Home,
    named: tuple[str, ...],
    ways: tuple[str, ...],
    unsettled: tuple[str, ...],
    refused: bool,
    has_sources: bool,
) -> tuple[str, ...]:
    codes = [home.code(way) for way in ways]
    inside = f"{', '.join(codes)} in the same box" if len(codes) > 1 else (codes[0] if codes else "no way known in it")
    says = [f"To open {', '.join(named)}: {inside}; neutral not proved by any switch-off → main switch."]
    if unsettled:
        says.append(f"{', '.join(unsettled)}: feed not settled, so the main switch it is.")
    if len(codes) > 1:
        says.append("More than one circuit in this box: with one off the others stay live.")
    if refused:
        says.append("One way alone is not enough here; keep to the main switch.")
    if has_sources:
        says.append("The main switch doesn't isolate the other sources: switch off and lock each at its own isolator.")
    says.append("Switched off is not dead: prove dead at this box.")
    return tuple(says)
