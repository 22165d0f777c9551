"""A copy of a home that can be handed on: what is private is taken out of it."""

import typing
from collections.abc import Collection
from functools import cache

import msgspec
from msgspec import Meta, Struct

from circuitmap.home.records import Details, Note, Record
from circuitmap.home.snapshot import Home


def left_out(home: Home, what: Collection[str]) -> Home:
    """Give a home without its photographs, its notes' words, its address and who is to be called, or its history.

    Parameters
    ----------
    what
        Any of ``photos``, ``notes``, ``address`` and ``history``; without any the home itself comes back.
    """
    if not what:
        return home
    return Home.of([_lighter(record, what) for record in home.all()], home.counters)


def _lighter(record: Record, what: Collection[str]) -> Record:
    changes: dict[str, object] = {}
    if isinstance(record, Note):
        changes |= {"photos": ()} if "photos" in what else {}
        changes |= {"text": ""} if "notes" in what else {}
    if isinstance(record, Details) and "address" in what:
        changes |= {"address": "", "call": ""}
    return msgspec.structs.replace(record, **changes) if changes else record


def redacted(home: Home) -> Home:
    """Give a home without its private fields (address, telephone, who was there, free texts, photographs).

    Share it as a **new** file or folder: the log of the old one forgets nothing.
    """
    return Home.of([_emptied(record) for record in home.all()], home.counters)


def _emptied(record: Record) -> Record:
    return typing.cast(Record, _without_private(record))


def _without_private(value: Struct) -> Struct:
    changes: dict[str, object] = {}
    for name, how in _private_fields(type(value)):
        held = getattr(value, name)
        if not held:
            continue
        if how == "text":
            changes[name] = ""
        elif how == "list":
            changes[name] = ()
        elif isinstance(held, tuple):
            changes[name] = tuple(_without_private(part) for part in held)
        else:
            changes[name] = _without_private(held)
    return msgspec.structs.replace(value, **changes) if changes else value


@cache
def _private_fields(kind: type[Struct]) -> tuple[tuple[str, str], ...]:
    found = []
    for name, hint in typing.get_type_hints(kind, include_extras=True).items():
        if name in kind.__struct_fields__:
            how = _how(hint)
            if how:
                found.append((name, how))
    return tuple(found)


def _how(hint: object) -> str:
    if typing.get_origin(hint) is typing.Annotated:
        metas = typing.get_args(hint)[1:]
        return "text" if any(isinstance(m, Meta) and (m.extra or {}).get("private") for m in metas) else ""
    if isinstance(hint, type) and issubclass(hint, Struct):
        return "parts" if _private_fields(hint) else ""
    inner = next((how for how in map(_how, typing.get_args(hint)) if how), "")
    return "list" if inner == "text" and typing.get_origin(hint) is tuple else inner
