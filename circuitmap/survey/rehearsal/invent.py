"""Homes to practise on: plausible, of any size, the same for the same seed, with what really feeds every point."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Final, Literal

from circuitmap.errors import HomeError
from circuitmap.home import Change, Home
from circuitmap.home.records import Bond, Details, Record, Supply
from circuitmap.survey.rehearsal.board import MOST_WAYS, Era, choose_era, count_boards, fit
from circuitmap.survey.rehearsal.contents import Wish, choose_rooms
from circuitmap.survey.rehearsal.floorplan import FloorPlan, draw
from circuitmap.survey.rehearsal.loads import put_loads
from circuitmap.survey.rehearsal.placing import place_points
from circuitmap.survey.rehearsal.plant import choose_pairs, choose_strays
from circuitmap.survey.rehearsal.share import choose_points, share_out, surprise
from circuitmap.survey.rehearsal.truth import Fed
from circuitmap.survey.rehearsal.ways import LIGHTS, Way, choose_ways, label_ways

Labels = Literal["good", "poor", "none"]
MOST_POINTS: Final = 5000
_PER_ROOM: Final = 5.5  # points in a room, dedicated ones counted apart (common practice, no source)


@dataclass(frozen=True, slots=True)
class Invented:
    """A home as a stranger finds it, and what is hidden in it.

    ``truth`` holds every point that can be checked. ``story`` tells in sentences what is unexpected. ``joined`` are
    the pairs of devices that are joined, ``second_source`` the points that stay live with everything off, ``not_fed``
    those connected to nothing.
    """

    home: Home
    truth: Mapping[str, Fed]
    story: tuple[str, ...]
    joined: tuple[tuple[str, str], ...]
    second_source: tuple[str, ...]
    not_fed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Faults:
    pairs: list[tuple[int, int]]
    borrowed: list[tuple[Wish, int]]
    elsewhere: list[Wish]
    dead: list[Wish]


def invent(
    seed: int,
    *,
    ways: int | None = None,
    points: int | None = None,
    joined: int = 0,
    second_source: int = 0,
    not_fed: int = 0,
    borrowed: int = 0,
    surprises: bool = True,
    labels: Labels = "poor",
    fuse_board: bool = False,
    rcds: int | None = None,
    sensitive: int | None = None,
) -> Invented:
    """Invent a home; the same arguments give the same home.

    Parameters
    ----------
    ways, points
        How many ways that feed circuits, and how many points that can be checked (switches come beside them);
        None: as such a home has. With fewer points than ways some ways feed nothing.
    joined
        Pairs of ways joined somewhere: all points of both are fed by both.
    second_source, not_fed
        Points fed from elsewhere, and points connected to nothing.
    borrowed
        Points that take their line from one way and their neutral, which is switched too, from another.
    surprises
        Whether a few points are on ways where nobody would look for them.
    labels
        What is written on the board.
    fuse_board
        Whether the board has rewirable fuses.
    rcds
        How many RCDs stand over the ways; 0 for none, None as the age of the board has it (it may have RCBOs).
    sensitive
        How many points have a load listed whose loss matters; None: as homes have them.

    Raises
    ------
    HomeError
        When a number is out of reach, or the faults asked for leave a way without a point.
    """
    counts = (joined, second_source, not_fed, borrowed, rcds or 0, sensitive or 0)
    _check(ways, points, counts)
    rng = Random(seed)
    spare = second_source + not_fed
    era = choose_era(rng, fuse_board, rcds, joined + borrowed > 0)
    number = ways if ways is not None else _usual_ways(rng, points, 2 * joined + borrowed)
    if points is not None and spare and points < number + spare:
        raise HomeError(f"{points} points are too few for {number} ways and {spare} points that no way feeds.")
    is_old = era in ("fuses", "early breakers")
    on_board = choose_ways(rng, number, is_old, era in ("RCDs", "RCBOs"), points)
    plan = draw(choose_rooms(rng, _usual_rooms(rng, number, points, on_board), on_board))
    rooms = [room.wish for room in plan.rooms]
    wishes = choose_points(rng, rooms, on_board, points, spare, is_old)
    share_out(rng, plan.rooms, on_board, wishes)
    label_ways(rng, on_board, labels)
    faults = _plant(rng, plan, on_board, wishes, (joined, borrowed, second_source, not_fed))
    kept = frozenset(n for pair in faults.pairs for n in pair) | {wish.way for wish, _ in faults.borrowed}
    moved = surprise(rng, plan.rooms, on_board, wishes, kept) if surprises else []
    if put_loads(rng, rooms, [w for w in wishes if w not in faults.dead], sensitive) < (sensitive or 0):
        raise HomeError(f"There are not points enough for {sensitive} loads that matter.")
    places, stood = place_points(rng, plan, wishes, count_boards(number, era))
    together = [*faults.pairs, *((min(w.way, n), max(w.way, n)) for w, n in faults.borrowed)]
    both_poles = {n for wish, other in faults.borrowed for n in (wish.way, other)}
    boards = fit(rng, on_board, era, rcds, together, both_poles, places)
    details = Details(name=f"Practice home {seed}", country="England", built_year=boards.year)
    home = _built(details, [_supply(rng, era), *plan.records, *boards.records, *stood])
    return Invented(
        home=home,
        truth=_truth(on_board, wishes, faults),
        story=tuple(_story(plan, on_board, moved, faults)),
        joined=tuple((on_board[a].device, on_board[b].device) for a, b in faults.pairs),
        second_source=tuple(wish.id for wish in faults.elsewhere),
        not_fed=tuple(wish.id for wish in faults.dead),
    )


def _check(ways: int | None, points: int | None, counts: Sequence[int]) -> None:
    if ways is not None and not 1 <= ways <= MOST_WAYS:
        raise HomeError(f"A practice home has from 1 to {MOST_WAYS} ways, not {ways}.")
    if points is not None and not 1 <= points <= MOST_POINTS:
        raise HomeError(f"A practice home has from 1 to {MOST_POINTS} points, not {points}.")
    if min(counts) < 0:
        raise HomeError("A practice home can't have fewer than no faults, RCDs or loads.")


def _usual_ways(rng: Random, points: int | None, least: int) -> int:
    if points is None:
        return max(least, rng.choice((6, 7, 8, 8, 9, 9, 10, 10, 11, 12, 13, 14)))
    return max(least, 2, min(60, round(points / rng.uniform(5.0, 6.5)), points))


def _usual_rooms(rng: Random, number: int, points: int | None, ways: Sequence[Way]) -> int:
    if points is None:
        return max(3, round(2.0 + 0.62 * number + rng.uniform(-1.0, 1.5)))
    dedicated = sum(way.kind.takes == "own" for way in ways)
    return max(3, round((points - dedicated) / _PER_ROOM))


def _plant(
    rng: Random, plan: FloorPlan, ways: Sequence[Way], wishes: Sequence[Wish], counts: tuple[int, int, int, int]
) -> _Faults:
    joined, borrowed, second_source, not_fed = counts
    rooms = [room.wish for room in plan.rooms]
    lends = _choose_borrowed(rng, plan, ways, wishes, borrowed)
    taken = {n for wish, other in lends for n in (wish.way, other)}
    pairs = choose_pairs(rng, ways, {wish.way for wish in wishes}, joined, taken)
    lent = [wish for wish, _ in lends]
    dead = choose_strays(rng, rooms, wishes, not_fed, lent, is_dead=True)
    elsewhere = choose_strays(rng, rooms, wishes, second_source, lent, is_dead=False)
    return _Faults(pairs, lends, elsewhere, dead)


def _choose_borrowed(
    rng: Random, plan: FloorPlan, ways: Sequence[Way], wishes: Sequence[Wish], count: int
) -> list[tuple[Wish, int]]:
    """Choose lights on one way that take their neutral from another: of passages first, where two-way switches are."""
    if not count:
        return []
    lit = [n for n, way in enumerate(ways) if way.kind is LIGHTS]
    mine = [wish for wish in wishes if wish.way in lit and wish.kind in ("light", "downlight")]
    rng.shuffle(mine)
    mine.sort(key=lambda wish: plan.rooms[wish.room].wish.use not in ("hall", "landing"))
    if len(lit) < 2 or len(mine) < count:
        raise HomeError(f"{count} lights can't borrow a neutral: that takes two lighting ways and lights enough.")
    # Two ways only, so that they can be under one RCD and nothing trips.
    one = mine[0].way
    other = next(n for n in lit if n != one)
    found = [(wish, other if wish.way == one else one) for wish in mine if wish.way in (one, other)][:count]
    if len(found) < count:
        raise HomeError(f"{count} lights can't borrow a neutral: that takes two lighting ways and lights enough.")
    return found


def _truth(ways: Sequence[Way], wishes: Sequence[Wish], faults: _Faults) -> dict[str, Fed]:
    partner = {n: pair for pair in faults.pairs for n in pair}
    lends = {wish.id: other for wish, other in faults.borrowed}
    dead = {wish.id for wish in faults.dead}
    found: dict[str, Fed] = {}
    for wish in sorted(wishes, key=lambda each: int(each.id[1:])):
        if wish.way < 0:
            found[wish.id] = Fed((), "not fed" if wish.id in dead else "elsewhere")
        elif wish.way in partner:
            found[wish.id] = Fed(tuple(ways[n].device for n in partner[wish.way]), "joined")
        elif wish.id in lends:
            found[wish.id] = Fed((ways[wish.way].device, ways[lends[wish.id]].device), "either")
        else:
            found[wish.id] = Fed((ways[wish.way].device,), "one way")
    return found


def _story(plan: FloorPlan, ways: Sequence[Way], moved: Sequence[tuple[Wish, int, str]], faults: _Faults) -> list[str]:
    def named(wish: Wish) -> str:
        return f"{plan.rooms[wish.room].wish.name}: {wish.kind} {wish.id}"

    called = {n: f"{way.code} ({way.title.lower()})" for n, way in enumerate(ways)}
    says = [f"{named(wish)} is on {called[wish.way]}, not on {called[before]}: {why}." for wish, before, why in moved]
    says += [f"{ways[a].code} and {ways[b].code} are joined somewhere." for a, b in faults.pairs]
    says += [
        f"{named(wish)} has its line from {ways[wish.way].code} and its neutral from {ways[other].code}."
        for wish, other in faults.borrowed
    ]
    says += [f"{named(wish)} is fed from elsewhere." for wish in faults.elsewhere]
    says += [f"{named(wish)} is connected to nothing." for wish in faults.dead]
    return says


def _supply(rng: Random, era: Era) -> Supply:
    old = era in ("fuses", "early breakers")
    # Without an RCD over everything an own electrode would be a finding of its own.
    tt = 8 if era in ("RCDs", "RCBOs") else 0
    bonds = (Bond(to="water", state="yes", mm2=10.0), Bond(to="gas", state="yes", mm2=10.0))
    return Supply(
        id="E1",
        phases=1,
        earthing=rng.choice(("TN-S", "TN-C-S")) if old else rng.choices(("TN-C-S", "TN-S", "TT"), (70, 25, tt))[0],
        fuse_a=60.0 if era == "fuses" else rng.choice((80.0, 100.0)),
        fuse_from="as labelled",
        main_switch_a=60.0 if era == "fuses" else 100.0,
        tails_mm2=16.0 if old else 25.0,
        bonds=bonds,
        sources_asked=True,
    )


def _built(details: Details, records: Sequence[Record]) -> Home:
    blank = Home.blank()
    change = Change("Invent a home", ((blank.details, details), *((None, record) for record in records)))
    return blank.apply(change)
