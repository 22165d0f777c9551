"""What a record names, and what becomes of it when something it names goes away.

Both are read off the records' own annotations, so that a new field with an id in it is followed from the day it is
written. A required reference that goes takes its record along; an optional one is emptied; a list loses the entry.
"""

import types
import typing
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Union, cast

import msgspec
from msgspec import Meta, Struct

from circuitmap.home.base import ID_NUMBER
from circuitmap.home.records import Record, Room, Run


@dataclass(frozen=True, slots=True)
class _Slot:
    """One field that holds ids, directly or inside a value."""

    field: str
    how: str  # one, many, part, parts, path
    optional: bool


def refs_of(value: Struct) -> Iterator[str]:
    """Give every id that a record (or a value inside one) names, in field order, repeats included."""
    for slot in _slots(type(value)):
        held = getattr(value, slot.field)
        if held is None:
            continue
        if slot.how == "one":
            yield held
        elif slot.how == "many":
            yield from held
        elif slot.how == "part":
            yield from refs_of(held)
        elif slot.how == "path":
            yield from (corner[0] for corner in held)
        else:
            for part in held:
                yield from refs_of(part)


def without(record: Record, gone: Collection[str]) -> Record | None:
    """Give a record with some ids struck out of it, or None when it can't stand without them.

    A run goes with what it was joined to; a room without its storey is a name only. A switch-off that named only
    devices now gone is None too: with nothing off it would read as "everything on".
    """
    struck = _strike(record, gone)
    if struck is None:
        return None
    if isinstance(record, Run) and isinstance(struck, Run) and (struck.a.at, struck.b.at) != (record.a.at, record.b.at):
        return None
    if isinstance(struck, Room) and struck.storey is None and struck.outline_mm:
        struck = msgspec.structs.replace(struck, outline_mm=())
    before, after = getattr(record, "off", ()), getattr(struck, "off", ())
    return None if before and not after else cast(Record, struck)


def _strike(value: Struct, gone: Collection[str]) -> Struct | None:
    changes: dict[str, object] = {}
    for slot in _slots(type(value)):
        held = getattr(value, slot.field)
        if held is None:
            continue
        new = _struck_field(slot, held, gone)
        if new is None and not slot.optional:
            return None
        if new is not held:
            changes[slot.field] = new
    return msgspec.structs.replace(value, **changes) if changes else value


def _struck_field(slot: _Slot, held: object, gone: Collection[str]) -> object:
    if slot.how == "one":
        return None if held in gone else held
    if slot.how == "part":
        return _strike(cast(Struct, held), gone)
    items = cast("tuple[object, ...]", held)
    kept: tuple[object, ...]
    if slot.how == "many":
        kept = tuple(item for item in items if item not in gone)
    elif slot.how == "path":
        kept = () if any(cast("tuple[str, int]", corner)[0] in gone for corner in items) else items
    else:
        struck = [_strike(cast(Struct, item), gone) for item in items]
        kept = tuple(item for item in struck if item is not None)
    return items if kept == items else kept


@cache
def _slots(kind: type[Struct]) -> tuple[_Slot, ...]:
    slots = []
    for name, hint in typing.get_type_hints(kind, include_extras=True).items():
        if name == "id" or name not in kind.__struct_fields__:
            continue
        optional = False
        inner = hint
        if typing.get_origin(hint) in (Union, types.UnionType):
            members = [arm for arm in typing.get_args(hint) if arm is not type(None)]
            optional = len(members) < len(typing.get_args(hint))
            inner = members[0]
        how = _how(inner)
        if how:
            slots.append(_Slot(name, how, optional))
    return tuple(slots)


def _how(hint: object) -> str:
    if _is_id(hint):
        return "one"
    if isinstance(hint, type) and issubclass(hint, Struct):
        return "part" if _slots(hint) else ""
    if typing.get_origin(hint) is tuple:
        inner = typing.get_args(hint)[0]
        if _is_id(inner):
            return "many"
        if isinstance(inner, type) and issubclass(inner, Struct):
            return "parts" if _slots(inner) else ""
        if typing.get_origin(inner) is tuple and _is_id(typing.get_args(inner)[0]):
            return "path"
    return ""


def _is_id(hint: object) -> bool:
    if typing.get_origin(hint) is not Annotated:
        return False
    return any(
        isinstance(meta, Meta) and meta.pattern is not None and ID_NUMBER in meta.pattern
        for meta in typing.get_args(hint)[1:]
    )
