"""What speaks for a way at a point beside checks and labels: what somebody said, and where the cables drawn lead.

Each clue is as strong as the weakest thing it rests on. No clue settles a point: cables are drawn wrong too.
"""

from collections.abc import Iterable, Mapping
from typing import Final, Literal, NamedTuple, TypeVar

from circuitmap.home.records import Run, Tag
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.wiring import Piece, pieces_of, under
from circuitmap.wiring.pieces import LINKING
from circuitmap.words import Evidence, rank

Key = TypeVar("Key")
From = Literal["tag", "run"]
_WORDS: Final[tuple[Evidence, ...]] = ("assumed", "inferred", "seen")  # by rank; tested ranks with seen


class Clue(NamedTuple):
    """That a way feeds a point, from whom it is known and how well."""

    way: str
    source: From
    evidence: Evidence


def clues(home: Home, memo: Memo, ways: Iterable[str]) -> Mapping[str, frozenset[Clue]]:
    """Give the clues for every point that has any: at most one of each source for one way, the best.

    A tag at a device above the ways speaks for all ways under it. What was said of one point of a piece of cable
    without a way speaks for all its points. A piece with several ways speaks for each of them.

    Parameters
    ----------
    home
        The home.
    memo
        What is known already.
    ways
        The devices that may feed a point.
    """
    known = frozenset(ways)
    best: dict[str, dict[tuple[str, From], int]] = {}
    said: dict[str, dict[str, int]] = {}
    below: dict[str, frozenset[str]] = {}
    for tag in home.table(Tag).values():
        if tag.target[0] != "P":
            continue
        if tag.device not in below:
            below[tag.device] = _ways_of(home, memo, tag.device, known)
        for way in below[tag.device]:
            _raise(said.setdefault(tag.target, {}), way, rank(tag.evidence))
            _raise(best.setdefault(tag.target, {}), (way, "tag"), rank(tag.evidence))
    for piece in pieces_of(home, memo):
        mine = tuple(device.id for device in piece.devices if device.id in known)
        if mine:
            _reach(piece, dict.fromkeys(mine, rank("tested")), mine, "run", best)
        elif not piece.devices:
            tagged = [point.id for point in piece.points if point.id in said]
            for way in {way for point in tagged for way in said[point]}:
                starts = {point: said[point][way] for point in tagged if way in said[point]}
                _reach(piece, starts, (way,), "tag", best)
    return {
        point: frozenset(Clue(way, source, _WORDS[strength]) for (way, source), strength in each.items())
        for point, each in best.items()
    }


def _ways_of(home: Home, memo: Memo, device: str, known: frozenset[str]) -> frozenset[str]:
    return frozenset((device,)) if device in known else under(home, (device,), memo) & known


def _reach(
    piece: Piece,
    starts: Mapping[str, int],
    ways: tuple[str, ...],
    source: From,
    best: dict[str, dict[tuple[str, From], int]],
) -> None:
    """Note for every point of a piece how well it hangs together with the starts: by the best way's weakest run."""
    around: dict[str, list[tuple[str, int]]] = {}
    for run in (*piece.runs, *(drop for drop in piece.drops if drop.role in LINKING)):
        _join(around, run)
    reached: dict[str, int] = {}
    for strength in (2, 1, 0):  # best first, so that what is reached once is reached as well as it can be
        stack = [node for node, start in starts.items() if start >= strength and node not in reached]
        stack += [
            other
            for node in reached
            for other, run_rank in around.get(node, ())
            if run_rank == strength and other not in reached
        ]
        while stack:
            node = stack.pop()
            if node in reached:
                continue
            reached[node] = strength
            stack += [other for other, run_rank in around.get(node, ()) if run_rank >= strength]
    for node, strength in reached.items():
        if node[0] == "P":
            mine = best.setdefault(node, {})
            for way in ways:
                _raise(mine, (way, source), strength)


def _join(around: dict[str, list[tuple[str, int]]], run: Run) -> None:
    a, b = run.a, run.b
    if a.at is None or b.at is None or a.state != "joined" or b.state != "joined" or a.at == b.at:
        return
    strength = rank(run.evidence)
    around.setdefault(a.at, []).append((b.at, strength))
    around.setdefault(b.at, []).append((a.at, strength))


def _raise(into: dict[Key, int], key: Key, strength: int) -> None:
    into[key] = max(into.get(key, strength), strength)
