"""Verbs for any record: edit its fields, remove it with all that can't stand without it."""

from collections.abc import Iterable
from datetime import UTC, datetime

import msgspec

from circuitmap.errors import HomeError
from circuitmap.home.change import Change, Pair
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Plate, Point, Record, natural_key
from circuitmap.home.refs import without
from circuitmap.home.snapshot import Home


def now_text() -> str:
    """Give this instant as a record holds it: UTC, whole seconds, ending in Z."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def today_text() -> str:
    """Give today's date in local time, as a visit holds it."""
    return datetime.now(UTC).astimezone().strftime("%Y-%m-%d")


def edit(home: Home, record_id: str, title: str = "", /, **fields: object) -> Change:
    """Set some fields of a record; fields that already hold the value are left alone.

    Raises
    ------
    HomeError
        When there is no such record, or no such field.
    """
    before = home.get(record_id)
    unknown = [name for name in fields if name not in before.__struct_fields__ or name == "id"]
    if unknown:
        raise HomeError(f"A {before.kind_of} has no {', '.join(unknown)} to set.", record_id)
    after = msgspec.structs.replace(before, **fields)
    words = title or f"Change {describe(before)}"
    return Change(words, ((before, after),) if after != before else ())


def edit_many(home: Home, record_ids: Iterable[str], title: str, **fields: object) -> Change:
    """Set the same fields of several records in one undoable change."""
    pairs: list[Pair] = []
    for record_id in record_ids:
        pairs += edit(home, record_id, **fields).pairs
    return Change(title, tuple(pairs))


def remove(home: Home, *record_ids: str, title: str = "") -> Change:
    """Remove records and, with them, all that can't stand without them; lists and optional references lose the entry.

    Points on a removed plate stay and take over its place. The settings of the home itself can't be removed.
    """
    if "home" in record_ids:
        raise HomeError("The home itself can't be removed.", "home")
    gone: dict[str, Record] = {}
    queue = [home.get(record_id) for record_id in dict.fromkeys(record_ids)]
    altered: dict[str, Record] = {}
    for record in queue:
        gone[record.id] = record
    while queue:
        record = queue.pop()
        for user_id in home.used_by(record.id):
            if user_id in gone:
                continue
            user = home.get(user_id)
            left = _unplated(user, gone) if isinstance(user, Point) else without(user, gone)
            if left is None:
                gone[user_id] = user
                altered.pop(user_id, None)
                queue.append(user)
            else:
                altered[user_id] = left
    order = sorted(gone, key=natural_key)
    pairs: list[Pair] = [(home.get(i), altered[i]) for i in sorted(altered, key=natural_key)]
    pairs += [(gone[i], None) for i in order]
    first = home.get(record_ids[0])
    words = title or (f"Remove {describe(first)}" if len(record_ids) == 1 else f"Remove {len(record_ids)} things")
    return Change(words, tuple(pairs))


def _unplated(point: Point, gone: dict[str, Record]) -> Record | None:
    plate = gone.get(point.plate or "")
    if isinstance(plate, Plate):
        point = msgspec.structs.replace(point, plate=None, place=plate.place, room=plate.room or point.room)
    return without(point, gone)


def describe(record: Record, longest: int = 30) -> str:
    """Give a record's name in a few words, for titles and messages; a typed name is cut at ``longest`` letters."""
    name = getattr(record, "name", "") or getattr(record, "label", "")
    kind = getattr(record, "kind", "") or record.kind_of
    return f"{kind} {record.id}".removesuffix(" home") + (f" “{shorten(name, longest)}”" if name else "")
