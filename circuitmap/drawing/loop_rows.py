"""What stands where in the loop view: rows of points down a column, spurs and branches indented under their take-off.

The longest way on keeps its column; whatever leaves it gets the rows below, one step further out. A run that would
close a loop ends in a row of its own that says where it goes, so that any wiring at all can be laid out.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from circuitmap.circuits.views import CircuitView
from circuitmap.home import Home
from circuitmap.home.records import Board, Device, Point, Run, natural_key
from circuitmap.words import CARRYING

RowKind = Literal["thing", "untraced", "not followed", "loose", "closes", "joined", "no cable drawn"]


@dataclass(slots=True)
class Row:
    """One row of a column: what stands there, how far out, and by which run from which row above."""

    kind: RowKind
    record: str
    indent: int
    above: int | None = None
    run: Run | None = None
    words: str = ""
    leaves: bool = False  # first row of a spur


@dataclass(slots=True)
class Web:
    """The carrying runs of a circuit, by what they join."""

    runs: Mapping[str, Run]
    around: Mapping[str, list[tuple[Run, str]]]
    open_ends: Mapping[str, list[tuple[Run, str]]]  # runs with an end that is nowhere, and how it was seen
    counted: Mapping[str, int]  # cables above the runs recorded
    drawn: set[str] = field(default_factory=set)  # what rows stand for already
    used: set[str] = field(default_factory=set)  # runs that rows stand for already


def web_of(view: CircuitView) -> Web:
    """Lay out a circuit's runs by their ends."""
    runs = {run.id: run for run in view.runs if run.role in CARRYING and run.phase != "removed"}
    around: dict[str, list[tuple[Run, str]]] = {}
    open_ends: dict[str, list[tuple[Run, str]]] = {}
    for run in sorted(runs.values(), key=lambda each: (each.a.leg or each.b.leg or 0, natural_key(each.id))):
        for end, far in ((run.a, run.b), (run.b, run.a)):
            if end.at is None:
                continue
            if far.at is not None:
                around.setdefault(end.at, []).append((run, far.at))
            else:
                open_ends.setdefault(end.at, []).append((run, far.state))
    counted = {cable.at: cable.cables for cable in view.shape.untraced if cable.cables} if view.shape else {}
    return Web(runs, around, open_ends, counted)


def tree_rows(web: Web, starts: Iterable[str], home: Home, *, kept: Collection[str] = ()) -> list[Row]:
    """Give the rows of everything that hangs off some starts, each start at the head of its own.

    Parameters
    ----------
    kept
        What is drawn elsewhere (the points of a ring): never a row here, nor anything beyond it.
    """
    rows: list[Row] = []
    for start in starts:
        if start not in web.drawn or start in kept:
            web.drawn.add(start)
            rows.append(Row("thing", start, 0))
            _grow(web, rows, len(rows) - 1, home, kept)
    return rows


def hanging_rows(web: Web, at: str, home: Home, kept: Collection[str]) -> list[Row]:
    """Give the rows of what leaves one point of a ring; row 0 is the point itself."""
    web.drawn.add(at)
    rows = [Row("thing", at, 0)]
    _grow(web, rows, 0, home, kept)
    for row in rows[1:]:
        row.leaves = row.above == 0 and row.kind == "thing"
        if row.indent == 0:
            row.indent = 1
    return rows


def _grow(web: Web, rows: list[Row], root: int, home: Home, kept: Collection[str]) -> None:
    """Add what follows a row, depth first; the biggest branch last and in the same column."""
    sizes = _sizes(web, rows[root].record, kept)
    stack: list[tuple[str, int, int, Run | None]] = [(rows[root].record, root, rows[root].indent, None)]
    while stack:
        record, above, indent, run = stack.pop()
        if run is not None:
            if run.id in web.used:
                continue
            web.used.add(run.id)
            if record in web.drawn:
                rows.append(Row("closes", record, indent + 1, above, run))
                continue
            other = home.find(Device, record)
            if other is not None:
                rows.append(Row("joined", record, indent + 1, above, run, f"joined to {home.code(other.id)}"))
                continue
            web.drawn.add(record)
            rows.append(Row("thing", record, indent, above, run))
            above = len(rows) - 1
        else:
            above = root
        _ends(web, rows, above, record, indent + 1)
        onward = [(r, far) for r, far in web.around.get(record, ()) if r.id not in web.used and far not in kept]
        onward.sort(key=lambda step: sizes.get(step[1], 0))
        ring_point = run is None and bool(kept)
        for place, (r, far) in enumerate(reversed(onward)):  # the last put on the stack comes first
            stack.append((far, above, indent + (1 if place > 0 or ring_point else 0), r))


def _ends(web: Web, rows: list[Row], above: int, record: str, indent: int) -> None:
    for run, state in web.open_ends.get(record, ()):
        if run.id not in web.used:
            web.used.add(run.id)
            loose = state == "loose"
            words = "seen loose" if loose else "not followed"
            rows.append(Row("loose" if loose else "not followed", record, indent, above, run, words))
    more = web.counted.get(record, 0) - sum(1 for _, state in web.open_ends.get(record, ()) if state == "unknown")
    if more > 0:
        words = f"{more} not traced"
        rows.append(Row("untraced", record, indent, above, None, words))


def _sizes(web: Web, start: str, kept: Collection[str]) -> dict[str, int]:
    """Give how much lies behind each thing, seen from a start (in a tree; where it loops, by the first way there)."""
    order: list[tuple[str, str | None]] = []
    seen = {start, *kept}
    stack: list[tuple[str, str | None]] = [(start, None)]
    while stack:
        record, parent = stack.pop()
        order.append((record, parent))
        for _, far in web.around.get(record, ()):
            if far not in seen:
                seen.add(far)
                stack.append((far, record))
    sizes: dict[str, int] = {}
    for record, parent in reversed(order):
        sizes[record] = sizes.get(record, 0) + 1
        if parent is not None:
            sizes[parent] = sizes.get(parent, 0) + sizes[record]
    return sizes


def words_of(record: str, home: Home, rooms: Mapping[str, str]) -> tuple[str, str]:
    """Give what a point, way or board is called, and the room it is in."""
    thing = home.peek(record)
    match thing:
        case Point():
            name = thing.name or (f"{thing.kind} ×{thing.gangs}" if thing.gangs > 1 else thing.kind)
            return " ".join(filter(None, (name, thing.where))), rooms.get(record, "")
        case Device():
            return home.code(thing.id), thing.label
        case Board():
            return f"board {thing.letter_on_map}", thing.name
        case _:
            return record, ""
