"""What will be so once planned work is done: what to read then, and which findings come and go."""

from collections.abc import Iterable
from math import inf
from typing import Final

import msgspec
from msgspec import Struct

from circuitmap.circuits import CircuitView, views
from circuitmap.extension.accept import as_done
from circuitmap.extension.asked import Asked
from circuitmap.extension.checks import zs_of
from circuitmap.extension.kinds import EndToEnd, Expect
from circuitmap.extension.wishes import say_wish
from circuitmap.findings import RULES, Finding
from circuitmap.findings import run as find
from circuitmap.home.invariants import shorten
from circuitmap.home.phases import not_there
from circuitmap.home.records import Alter, Device, End, Extension, Point, Record, Run, Wish, decode, kind_of_id
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_common import describe, remove
from circuitmap.memo import Memo
from circuitmap.quantities.show import show_length
from circuitmap.readings.network import ReadingError
from circuitmap.readings.predict import predict
from circuitmap.trade import Trade
from circuitmap.words import Core

_FIELDS: Final = {
    "a": "one end",
    "b": "one end",
    "cables_seen": "cables",
    "cables_seen_load": "cables on its load side",
}
_NOT_READ: Final = frozenset({"blank plate", "junction box"})  # nobody opens them to read there
FAMILY_OF: Final = {rule.code: rule.family for rule in RULES}


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


def what_changed(home: Home, extension: str, trade: Trade, memo: Memo) -> Afterwards:
    """Give what the work of an extension brings, takes and alters, in words; nothing is worked out."""
    record = home.take(Extension, extension)
    return Afterwards(
        new=tuple(_said(home, i, trade, memo) for i in record.puts),
        goes=tuple(_said(home, i, trade, memo) for i in record.takes),
        altered=tuple(says for alter in record.alters if (says := _altered(home, alter))),
    )


def afterwards(home: Home, extension: str, trade: Trade, memo: Memo) -> Afterwards:
    """Give what changes once planned work is done: records, readings and findings; takes a moment.

    Raises
    ------
    HomeError
        When nothing of it is planned, or what it alters was changed meanwhile.
    """
    changed = what_changed(home, extension, trade, memo)
    there, then = home.existing(), _then(home, extension)
    after = Asked(then, views(then, trade, memo), trade, memo)
    record = home.take(Extension, extension)
    puts = set(record.puts)
    there_to_read = (home.find(Point, i) for i in record.puts)
    points = [p.id for p in there_to_read if p is not None and p.kind not in _NOT_READ]
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
        why = "How its fault is cleared isn't known." if ohm is not None else read.why if read else ""
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


def _then(home: Home, extension: str) -> Home:
    """Give the home once the work is done, without other promises; what the work takes out is kept as taken out."""
    then = as_done(home, extension)
    puts = set(home.take(Extension, extension).puts)
    others = [i for i in not_there(home) if i not in puts]
    return then.apply(remove(then, *others, title="What will be there")) if others else then


def _counts(finding: Finding) -> bool:
    return not finding.aside and not (finding.code == "note" and FAMILY_OF.get(finding.rule) == "survey")


def _said(home: Home, record_id: str, trade: Trade, memo: Memo) -> str:
    record = home.peek(record_id)
    if record is None:
        return f"{record_id}, which is on the map no more"
    if isinstance(record, Run):
        length = f", {show_length(record.length_mm)}" if record.length_mm else ""
        return f"{record.id}: {record.cable or 'cable'}{length}, from {_end(home, record.a)} to {_end(home, record.b)}"
    if isinstance(record, Point) and record.place is not None and record.kind != "junction box":
        # Where it stands, in the words of a wish.
        wish = Wish(act="add", kind=record.kind, gangs=record.gangs, place=record.place)
        return f"{record.id}: {say_wish(home, memo, trade, wish)}"
    return f"{record.id}: {describe(record)}"


def _altered(home: Home, alter: Alter) -> str:
    """Say what is to become of a thing that stays, field by field; nothing where it can't be read."""
    was, becomes = _read(alter.record, alter.was), _read(alter.record, alter.becomes)
    if was is None or becomes is None:
        return ""
    said = []
    for field in becomes.__struct_fields__:
        old, new = getattr(was, field), getattr(becomes, field)
        if old != new:
            said.append(f"{_FIELDS.get(field, field.replace('_', ' '))} {_value(home, old)} → {_value(home, new)}")
    return f"{alter.record}: {', '.join(said)}" if said else ""


def _value(home: Home, value: object) -> str:
    if isinstance(value, End):
        return f"at {_end(home, value)}"
    return "not known" if value is None or value == "" else shorten(str(value), 60)


def _end(home: Home, end: End) -> str:
    if end.at is None:
        return "an end that isn't known"
    device = home.find(Device, end.at)
    return home.code(device.id) if device is not None else end.at


def _read(record: str, text: str) -> Record | None:
    try:
        return decode(kind_of_id(record), text.encode(errors="replace"))
    except (KeyError, msgspec.DecodeError):  # it is told in a sentence once the work is said to be done
        return None
