"""Gathering, per way, who is on it: by runs, by what was said, by what went off; each kept beside the others."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from circuitmap.circuits.reach import Reached, reached_from
from circuitmap.home.phases import not_there
from circuitmap.home.records import Device, Note, Point, Tag, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.deduce import Deduced
from circuitmap.survey.settle import settle
from circuitmap.trade import Trade
from circuitmap.wiring import Piece, Shape, shapes
from circuitmap.words import Evidence, rank

How = Literal["run", "tag", "round"]
HOWS: tuple[How, ...] = ("run", "tag", "round")
Shaped = tuple[Piece, Shape]


@dataclass(frozen=True, slots=True)
class Claim:
    """That a way feeds a point or board: by what, how sure, behind which fused point."""

    target: str
    by: tuple[How, ...]
    evidence: Evidence
    fuse: str | None = None


@dataclass(slots=True)
class Gathered:
    """All that speaks for the ways of a home, looked up once per edit."""

    shaped: dict[str, Shaped] = field(default_factory=dict)
    islands: dict[str, list[Shaped]] = field(default_factory=dict)
    orphans: list[Shaped] = field(default_factory=list)
    tags: Mapping[str, tuple[Tag, ...]] = field(default_factory=dict)
    settled: Mapping[str, tuple[Deduced, ...]] = field(default_factory=dict)
    switches: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    notes: Mapping[str, tuple[Note, ...]] = field(default_factory=dict)


def gather(home: Home, trade: Trade, memo: Memo) -> Gathered:
    """Look up what speaks for every way: its piece, its tags, the points settled on it, islands that belong to it.

    An island is a piece without a way, of which all that was said or settled names one and the same way.
    """
    absent = memo.steady("circuits.not there", "", frozenset(not_there(home)))
    tags = memo.get("circuits.tags", "", (home.table(Tag), absent), lambda: _tags(home, absent))
    found = settle(home, memo, trade)
    settled = memo.get("circuits.settled", "", (found,), lambda: _settled(found))
    points = home.table(Point)
    switches = memo.get("circuits.switches", "", (points,), lambda: _switches(points))
    notes = memo.get("circuits.notes", "", (home.table(Note),), lambda: _notes(home))
    gathered = Gathered(tags=tags, settled=settled, switches=switches, notes=notes)
    named = memo.get("circuits.named", "", (tags, settled), lambda: _named(tags, settled))
    for pair in shapes(home, memo, trade):
        piece = pair[0]
        if piece.devices:
            for device in piece.devices:
                gathered.shaped[device.id] = pair
            continue
        ways: set[str] = set().union(*(named.get(record.id, ()) for record in (*piece.points, *piece.boards)))
        if len(ways) == 1:
            gathered.islands.setdefault(ways.pop(), []).append(pair)
        elif not ways:
            gathered.orphans.append(pair)
    return gathered


def claims(gathered: Gathered, device: Device, memo: Memo) -> tuple[Claim, ...]:
    """Give all that one way feeds, points and boards, in natural order; each with everything that says so."""
    shaped = gathered.shaped.get(device.id)
    islands = gathered.islands.get(device.id, [])
    tags = gathered.tags.get(device.id, ())
    settled = gathered.settled.get(device.id, ())
    parts = (shaped, *islands, *tags, *settled)
    return memo.get("circuits.claims", device.id, parts, lambda: _claims(device.id, shaped, islands, tags, settled))


def _claims(
    device: str,
    shaped: Shaped | None,
    islands: list[Shaped],
    tags: tuple[Tag, ...],
    settled: tuple[Deduced, ...],
) -> tuple[Claim, ...]:
    said: dict[str, dict[How, Evidence]] = {}
    for tag in tags:
        said.setdefault(tag.target, {})["tag"] = tag.evidence
    for each in settled:
        said.setdefault(each.point, {})["round"] = "tested"
    reached: dict[str, Reached] = {}
    for piece, _ in islands:
        starts = {r.id: _best(said[r.id]) for r in (*piece.points, *piece.boards) if r.id in said}
        island = reached_from(piece, starts)
        # Where an island was entered is not known from its runs, so these don't speak for the points named directly.
        reached.update({target: how for target, how in island.items() if target not in starts})
    if shaped is not None:
        reached.update(reached_from(shaped[0], {device: "tested"}))
    for target, found in reached.items():
        said.setdefault(target, {})["run"] = found.evidence
    return tuple(
        Claim(
            target,
            tuple(how for how in HOWS if how in said[target]),
            _best(said[target]),
            reached[target].fuse if target in reached else None,
        )
        for target in sorted(said, key=natural_key)
    )


def _best(said: Mapping[How, Evidence]) -> Evidence:
    return max(said.values(), key=lambda evidence: (rank(evidence), evidence == "tested"))


def _tags(home: Home, absent: frozenset[str]) -> dict[str, tuple[Tag, ...]]:
    gathered: dict[str, tuple[Tag, ...]] = {}
    for tag in home.sorted(Tag):
        if tag.device not in absent and tag.target not in absent:
            gathered[tag.device] = (*gathered.get(tag.device, ()), tag)
    return gathered


def _settled(found: Mapping[str, Deduced]) -> dict[str, tuple[Deduced, ...]]:
    gathered: dict[str, list[Deduced]] = {}
    for point in sorted(found, key=natural_key):
        each = found[point]
        if each.verdict == "settled" and len(each.candidates) == 1:
            gathered.setdefault(each.candidates[0], []).append(each)
    return {device: tuple(held) for device, held in gathered.items()}


def _switches(points: Mapping[str, Point]) -> dict[str, tuple[str, ...]]:
    gathered: dict[str, tuple[str, ...]] = {}
    for point in points.values():
        for light in point.controls if point.phase == "existing" else ():
            gathered[light] = (*gathered.get(light, ()), point.id)
    return gathered


def _notes(home: Home) -> dict[str, tuple[Note, ...]]:
    gathered: dict[str, tuple[Note, ...]] = {}
    for note in home.sorted(Note):
        if note.cleared is None:
            gathered[note.subject] = (*gathered.get(note.subject, ()), note)
    return gathered


def _named(
    tags: Mapping[str, tuple[Tag, ...]], settled: Mapping[str, tuple[Deduced, ...]]
) -> dict[str, frozenset[str]]:
    gathered: dict[str, set[str]] = {}
    for device, said in tags.items():
        for tag in said:
            gathered.setdefault(tag.target, set()).add(device)
    for device, known in settled.items():
        for each in known:
            gathered.setdefault(each.point, set()).add(device)
    return {target: frozenset(ways) for target, ways in gathered.items()}
