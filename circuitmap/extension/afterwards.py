"""What will be so once planned work is done: what to read then, and which findings come and go."""

from collections.abc import Iterable
from math import inf

import msgspec
from msgspec import Struct

from circuitmap.circuits import CircuitView, views
from circuitmap.extension.accept import as_done
from circuitmap.extension.asked import Asked
from circuitmap.extension.checks import zs_of
from circuitmap.extension.kinds import EndToEnd, Expect
from circuitmap.extension.option_says import described
from circuitmap.findings import RULES, Finding
from circuitmap.findings import run as find
from circuitmap.home.records import Alter, Extension, Point, Record, decode, kind_of_id
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.readings.network import ReadingError
from circuitmap.readings.predict import predict
from circuitmap.trade import Trade
from circuitmap.words import Core

FAMILY_OF = {rule.code: rule.family for rule in RULES}


class Afterwards(Struct, frozen=True, kw_only=True):
    """What planned or finished work has brought, and (while it is planned) what will be so once it is done.

    ``new``, ``goes`` and ``altered`` are lines in words. ``ring`` and ``expected`` are the readings of each circuit
    that it touches, by the circuit's code.
    """

    new: tuple[str, ...] = ()
    goes: tuple[str, ...] = ()
    altered: tuple[str, ...] = ()
    ring: tuple[tuple[str, EndToEnd], ...] = ()
    expected: tuple[tuple[str, Expect], ...] = ()
    added: tuple[Finding, ...] = ()
    cleared: tuple[Finding, ...] = ()


def what_changed(home: Home, extension: str) -> Afterwards:
    """Give what the work of an extension brings, takes and alters, in words; nothing is worked out."""
    record = home.take(Extension, extension)
    altered = (_becomes(alter) for alter in record.alters)
    return Afterwards(
        new=tuple(_said(home, i) for i in record.puts),
        goes=tuple(_said(home, i) for i in record.takes),
        altered=tuple(described(each) for each in altered if each is not None),
    )


def afterwards(home: Home, extension: str, trade: Trade, memo: Memo) -> Afterwards:
    """Give what changes once planned work is done: records, readings and findings; takes a moment.

    Raises
    ------
    HomeError
        When nothing of it is planned, or what it alters was changed meanwhile.
    """
    changed = what_changed(home, extension)
    there, then = home.existing(), as_done(home, extension).existing()
    after = Asked(then, views(then, trade, memo), trade, memo)
    record = home.take(Extension, extension)
    puts = set(record.puts)
    points = [i for i in record.puts if isinstance(home.peek(i), Point)]
    rings: list[tuple[str, EndToEnd]] = []
    expected: list[tuple[str, Expect]] = []
    for view in after.views:
        if not puts & {view.device.id, *view.names, *(run.id for run in view.runs)}:
            continue
        ends = end_to_end(after, view)
        if ends is not None:
            rings.append((view.code, ends))
        mine = [i for i in points if i in view.names]
        expected += [(view.code, each) for each in expected_at(after, view, mine)]
    added, cleared = differ(find(there, trade, memo), find(then, trade, memo))
    return Afterwards(
        new=changed.new, goes=changed.goes, altered=changed.altered, ring=tuple(rings), expected=tuple(expected),
        added=added, cleared=cleared,
    )  # fmt: skip


def differ(before: Iterable[Finding], after: Iterable[Finding]) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
    """Give the findings that come and those that go; facts of what is where, and of the survey's progress, don't count.

    Two findings are the same by rule and subjects, not by their words, which count and list.
    """
    was, now = tuple(before), tuple(after)
    old, new = {(f.key, f.code) for f in was}, {(f.key, f.code) for f in now}
    return (
        tuple(f for f in now if (f.key, f.code) not in old and _counts(f)),
        tuple(f for f in was if (f.key, f.code) not in new and _counts(f)),
    )


def expected_at(after: Asked, view: CircuitView, points: Iterable[str]) -> tuple[Expect, ...]:
    """Give what should be read at points of a circuit, by their ids: R1+R2, and Zs beside the most it may be."""
    wanted = tuple(points)
    try:
        loops = zs_of(after, view)
    except ReadingError as error:
        return tuple(Expect(point=i, why=str(error)) for i in wanted)
    found = []
    for point_id in wanted:
        zs = loops.get(point_id)
        if zs is not None:
            ohm = zs.r1_r2_ohm if zs.r1_r2_ohm is not None and zs.r1_r2_ohm < inf else None
            found.append(
                Expect(
                    point=point_id, r1_r2_ohm=ohm, zs_ohm=zs.reading_ohm, zs_most_ohm=zs.reading_limit_ohm,
                    why="" if ohm is not None and zs.reading_ohm is not None else zs.verdict.says,
                )
            )  # fmt: skip
            continue
        read = predict(view, after.trade, "radial", ("L", "E"), points=(point_id,), home=after.home).get(point_id)
        ohm = read.ohm if read is not None and read.ohm is not None and read.ohm < inf else None
        why = "It comes after a fuse: the fuse breaks a fault there." if ohm is not None else read.why if read else ""
        found.append(Expect(point=point_id, r1_r2_ohm=ohm, why=why))
    return tuple(found)


def end_to_end(after: Asked, view: CircuitView) -> EndToEnd | None:
    """Give what a ring should read end to end, core by core; None for what is no ring."""
    if view.shape is None or view.shape.kind not in ("ring", "ring with spurs"):
        return None
    ohms = []
    pairs: tuple[tuple[Core, Core], ...] = (("L", "L"), ("N", "N"), ("E", "E"))
    for pair in pairs:
        read = predict(view, after.trade, "end to end", pair, points=(), home=after.home)
        ohm = read[view.device.id].ohm
        ohms.append(ohm if ohm is not None and ohm < inf else None)
    return EndToEnd(r1_ohm=ohms[0], rn_ohm=ohms[1], r2_ohm=ohms[2])


def _counts(finding: Finding) -> bool:
    return not finding.aside and not (finding.code == "note" and FAMILY_OF.get(finding.rule) == "survey")


def _said(home: Home, record_id: str) -> str:
    record = home.peek(record_id)
    return described(record) if record is not None else f"{record_id}, which is on the map no more"


def _becomes(alter: Alter) -> Record | None:
    try:
        return decode(kind_of_id(alter.record), alter.becomes.encode(errors="replace"))
    except (KeyError, msgspec.DecodeError):  # it is told in a sentence once the work is said to be done
        return None
