"""Faults planted in an invented home: ways joined, borrowed neutrals, points fed from elsewhere or from nowhere."""

from collections import Counter
from collections.abc import Collection, Sequence
from random import Random
from typing import Final

from circuitmap.errors import HomeError
from circuitmap.survey.rehearsal.contents import Wish
from circuitmap.survey.rehearsal.floorplan import RoomWish
from circuitmap.survey.rehearsal.ways import Way

# What is found on a neighbour's or landlord's supply, and what is found connected to nothing.
_ELSEWHERE: Final = ("light", "smoke alarm", "outdoor light", "socket", "outdoor socket")
_DEAD: Final = ("socket", "fused unit", "outdoor light", "outdoor socket", "usb socket")
_SHARED_ROOMS: Final = ("hall", "landing", "outdoors")


def choose_pairs(
    rng: Random, ways: Sequence[Way], fed: Collection[int], count: int, taken: Collection[int] = ()
) -> list[tuple[int, int]]:
    """Choose pairs of ways that could be joined somewhere: of one family if there are such, each way once.

    Both of a pair are of the kind that has an RCD over it, or of the kind that hasn't: otherwise it would have tripped.

    Raises
    ------
    HomeError
        When there are not ways enough.
    """
    free = [number for number in range(len(ways)) if number in fed and number not in taken]
    pairs: list[tuple[int, int]] = []
    tests = (_are_alike, _need_alike, _any)
    for test in tests:
        rng.shuffle(free)
        for one in sorted(free, key=lambda n: ways[n].kind.takes == "own"):
            if len(pairs) == count:
                break
            other = next((n for n in free if n != one and one in free and test(ways[one], ways[n])), None)
            if other is not None:
                pairs.append((min(one, other), max(one, other)))
                free = [n for n in free if n not in (one, other)]
    if len(pairs) < count:
        raise HomeError(f"{count} pairs of ways can't be joined with {len(fed)} ways that feed something.")
    return pairs


def choose_strays(
    rng: Random, rooms: Sequence[RoomWish], wishes: Sequence[Wish], count: int, kept: Sequence[Wish], is_dead: bool
) -> list[Wish]:
    """Take points off their ways, to be fed from elsewhere or (``is_dead``) from nowhere; no way loses its last one.

    Raises
    ------
    HomeError
        When that would leave a way without a point.
    """
    fed = Counter(wish.way for wish in wishes)
    free = [wish for wish in wishes if wish.way >= 0 and wish not in kept]
    rng.shuffle(free)
    kinds = _DEAD if is_dead else _ELSEWHERE

    def likely(wish: Wish) -> tuple[bool, bool, bool]:
        return wish.family == "own", wish.kind not in kinds, not is_dead and rooms[wish.room].use not in _SHARED_ROOMS

    found: list[Wish] = []
    for wish in sorted(free, key=likely):
        if len(found) == count:
            break
        if fed[wish.way] > 1:
            fed[wish.way] -= 1
            wish.way = -1
            found.append(wish)
    if len(found) < count:
        what = "connected to nothing" if is_dead else "fed from elsewhere"
        raise HomeError(f"{count} points can't be {what} here and every way still feed one; ask for more points.")
    return found


def _are_alike(one: Way, other: Way) -> bool:
    return one.kind.takes == other.kind.takes != "own" and _need_alike(one, other)


def _need_alike(one: Way, other: Way) -> bool:
    return one.kind.needs_rcd == other.kind.needs_rcd


def _any(_one: Way, _other: Way) -> bool:
    return True
