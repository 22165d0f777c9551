"""A home without what is private: for a document or a copy that is handed on.

Five things can be left out: photographs, the words of notes, the address with who is to be called, people's names, and
history (the marks; a copy never has the log). What an address or a name says is taken out of every other text too, and
a home that is called by its address loses its name. The result is a new home; nothing is scrubbed where it lies.
"""

import re
import typing
from collections.abc import Callable, Collection, Iterable, Iterator
from functools import cache
from typing import Final, Literal, get_args

import msgspec
from msgspec import Meta, Struct

from circuitmap.home.records import BY_LETTER, Alter, Details, Record, decode, encode
from circuitmap.home.snapshot import Home
from circuitmap.words import WhoAgreed

Private = Literal["photos", "notes", "address", "people", "history"]
PRIVATE: Final[tuple[Private, ...]] = get_args(Private)
GONE: Final = "…"
"""What stands where an address or a name stood inside another text."""
_ROLES: Final = frozenset(
    (*get_args(WhoAgreed), "landlord", "landlady", "tenant", "letting agent", "client", "customer", "electrician")
)
"""Who somebody is to the home, written where a name could stand; it gives nobody away."""
_NO_PROSE: Final = frozenset(("media", "edition", "finding", "choices"))
_SPOKEN: Final = frozenset(("address", "people"))
_LEAST_PART: Final = 5
_LEAST_NAME: Final = 2
_ANY_CASE: Final = 4
_LEAST_WORD: Final = 4
_MOST_TOLD: Final = 6


def left_out(home: Home, what: Collection[str], secrets: Collection[str] | None = None) -> Home:
    """Give a home without what is private; the home itself when nothing is to be left out.

    Parameters
    ----------
    what
        Any of ``PRIVATE``. History is not in a home: who writes a copy leaves its marks out.
    secrets
        Texts that may stand nowhere any more; those of this home (``secrets_of``) unless said. For a copy with marks
        they are those of all its homes together.
    """
    fields = frozenset(what) - {"history"}
    if not fields:
        return home
    told = secrets_of(home, fields) if secrets is None else secrets
    speaks = _speaks(told)
    return Home.of([typing.cast(Record, _lighter(record, fields, speaks)) for record in home.all()], home.counters)


def left_out_of_all(homes: Collection[Home], what: Collection[str]) -> list[Home]:
    """Give several homes, such as one at two moments, without what is private in any of them."""
    secrets = frozenset().union(*(secrets_of(home, what) for home in homes))
    return [left_out(home, what, secrets) for home in homes]


def redacted(home: Home) -> Home:
    """Give a home without anything private: to be shared as a **new** file, since an old one's log forgets nothing."""
    return left_out(home, PRIVATE)


def secrets_of(home: Home, what: Collection[str]) -> frozenset[str]:
    """Give the texts that may stand nowhere once an address or people's names are left out.

    An address counts whole and by its parts between commas and lines, a person's name whole.
    """
    found: set[str] = set()
    wanted = _SPOKEN & frozenset(what)
    for record in home.all():
        for text, of in _private_texts(record):
            if not of & wanted:
                continue
            found.add(" ".join(text.split()))
            if "address" in of:
                found.update(part.strip() for part in re.split(r"[,;\n]", text) if len(part.strip()) >= _LEAST_PART)
    return frozenset(text for text in found if len(text) >= _LEAST_NAME and text.casefold() not in _ROLES)


def without_secrets(text: str, secrets: Collection[str]) -> str:
    """Give a text (the name of a mark, of a file) with what may stand nowhere taken out of it."""
    speaks = _speaks(secrets)
    return speaks.sub(GONE, text) if speaks is not None else text


def is_said_in(secret: str, text: str) -> bool:
    """Whether a text holds another as whole words."""
    speaks = _speaks((secret,)) if len(secret) >= _LEAST_NAME else None
    return speaks is not None and speaks.search(text) is not None


def is_named_by_address(home: Home) -> bool:
    """Whether the name of a home gives away where it is, so that it goes with the address."""
    name = home.details.name
    speaks = _speaks(secrets_of(home, ("address",)))
    return speaks is not None and speaks.search(name) is not None


def remarks(home: Home, what: Collection[str]) -> tuple[str, ...]:
    """Give what a person should look at before handing a copy on: words of names that still stand somewhere."""
    if "people" not in what:
        return ()
    words = {
        word
        for record in home.all()
        for text, of in _private_texts(record)
        if "people" in of and "address" not in of and text.strip().casefold() not in _ROLES
        for word in re.findall(r"[^\W\d_]+", text)
        if len(word) >= _LEAST_WORD
    }
    if not words:
        return ()
    lighter = left_out(home, what)
    speaks = re.compile(rf"(?<!\w)({'|'.join(map(re.escape, sorted(words)))})(?!\w)", re.IGNORECASE)
    told: dict[tuple[str, str], None] = {}
    for record in lighter.all():
        for text in _texts(record):
            for found in speaks.findall(text):
                told[record.id, found] = None
    said = [f"“{word}” is part of a person's name and still stands in {where}; look at it." for where, word in told]
    if len(said) > _MOST_TOLD:
        said = [*said[:_MOST_TOLD], f"And {len(said) - _MOST_TOLD} more of that kind."]
    return tuple(said)


# -- taking out ---------------------------------------------------------------------------------------------------


def _lighter(value: Struct, what: frozenset[str], speaks: re.Pattern[str] | None) -> Struct:
    changes: dict[str, object] = {}
    of = _private_fields(type(value))
    held_texts = _text_fields(type(value))
    for name in value.__struct_fields__:
        held = getattr(value, name)
        if not held:
            continue
        if of.get(name, frozenset()) & what:
            changes[name] = () if isinstance(held, tuple) else ""
        elif isinstance(held, Struct):
            changes[name] = _lighter(held, what, speaks)
        elif isinstance(held, tuple) and isinstance(held[0], Struct):
            changes[name] = tuple(_lighter(part, what, speaks) for part in held)
        elif speaks is not None and name in held_texts:
            changes[name] = _spoken(held, speaks.sub, GONE)
    if isinstance(value, Details) and changes.get("name", value.name) != value.name:
        changes["name"] = ""  # half of an address is no name
    if isinstance(value, Alter) and speaks is not None:
        for name in ("was", "becomes"):
            changes[name] = _alter_lighter(value.record, getattr(value, name), what, speaks)
    changed = {name: new for name, new in changes.items() if new != getattr(value, name)}
    return msgspec.structs.replace(value, **changed) if changed else value


def _alter_lighter(record: str, body: str, what: frozenset[str], speaks: re.Pattern[str]) -> str:
    """Give the text of a record inside an extension; what is no record there is treated as words."""
    try:
        held = decode(BY_LETTER[record[0]].kind_of, body.encode())
    except msgspec.MsgspecError:
        return speaks.sub(GONE, body)
    return encode(typing.cast(Record, _lighter(held, what, speaks))).decode()


def _spoken(held: object, sub: Callable[[str, str], str], gone: str) -> object:
    if isinstance(held, str):
        return sub(gone, held)
    return tuple(_spoken(part, sub, gone) for part in held) if isinstance(held, tuple) else held


def _speaks(secrets: Collection[str]) -> re.Pattern[str] | None:
    """Give what finds any of some texts as whole words, whatever the blanks and, from four letters on, the case."""
    if not secrets:
        return None
    parts = []
    for secret in sorted(secrets, key=lambda text: (-len(text), text)):
        words = r"\s+".join(map(re.escape, secret.split()))
        parts.append(f"(?i:{words})" if len(secret) >= _ANY_CASE else words)
    return re.compile(rf"(?<!\w)(?:{'|'.join(parts)})(?!\w)")


# -- what stands where --------------------------------------------------------------------------------------------


def _private_texts(value: Struct) -> Iterator[tuple[str, frozenset[str]]]:
    of = _private_fields(type(value))
    for name in value.__struct_fields__:
        held = getattr(value, name)
        if isinstance(held, str) and held.strip() and name in of:
            yield held, of[name]


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for part in value:
            yield from _texts(part)
    elif isinstance(value, Struct):
        fields = _text_fields(type(value))
        for name in value.__struct_fields__:
            held = getattr(value, name)
            if name in fields or not isinstance(held, str):
                yield from _texts(held)


@cache
def _private_fields(kind: type[Struct]) -> dict[str, frozenset[str]]:
    """Give the private fields of a record and what each is private of."""
    found = {}
    for name, hint in _hints(kind):
        of = frozenset(
            word for meta in _metas(hint) for word in str((meta.extra or {}).get("private", "")).split()
        )  # fmt: skip
        if of:
            found[name] = of
    return found


@cache
def _text_fields(kind: type[Struct]) -> frozenset[str]:
    """Give the fields of a record in which a person can write what they like: texts without a pattern."""
    return frozenset(
        name
        for name, hint in _hints(kind)
        if name not in _NO_PROSE and any(meta.max_length is not None and meta.pattern is None for meta in _metas(hint))
    )


def _hints(kind: type[Struct]) -> Iterable[tuple[str, object]]:
    hints = typing.get_type_hints(kind, include_extras=True)
    return [(name, hint) for name, hint in hints.items() if name in kind.__struct_fields__]


def _metas(hint: object) -> Iterator[Meta]:
    if typing.get_origin(hint) is typing.Annotated:
        yield from (meta for meta in get_args(hint)[1:] if isinstance(meta, Meta))
        return
    for inner in get_args(hint):
        yield from _metas(inner)
