"""A copy of a home to hand on: a new file or text form made from the home without what is private.

Nothing of the old file is carried over but what the copy's records name. Its log begins with the copy, so no earlier
value, title or picture can be found in it; pictures lose what was written into them beside their pixels.
"""

from collections.abc import Callable, Collection, Iterable, Sequence
from pathlib import Path
from typing import Final, NamedTuple

import msgspec

from circuitmap.errors import FileError, PictureError
from circuitmap.home.assets import EXTENSIONS, Asset, assets_of, hash_of
from circuitmap.home.exchange import MarkedHome, write_folder
from circuitmap.home.file import SUFFIX
from circuitmap.home.records import Note, Record, Sheet
from circuitmap.home.sharing import (
    PRIVATE,
    Private,
    is_named_by_address,
    left_out,
    remarks,
    secrets_of,
    without_secrets,
)
from circuitmap.home.snapshot import Home
from circuitmap.jobs import Ticket
from circuitmap.pictures.stripped import stripped

_WORDS: Final[dict[Private, str]] = {
    "photos": "photographs",
    "notes": "the words of notes",
    "address": "the address and who is to be called",
    "people": "people's names",
    "history": "marks",
}


class Shared(NamedTuple):
    """What a copy holds, and what is to be said about it."""

    home: Home
    marks: tuple[MarkedHome, ...]
    assets: dict[str, Asset]
    says: tuple[str, ...]


def shared(
    home: Home,
    marks: Sequence[MarkedHome],
    asset: Callable[[str], Asset | None],
    what: Collection[Private] = PRIVATE,
    name: str = "",
    ticket: Ticket | None = None,
) -> Shared:
    """Give a home as it may be handed on.

    Parameters
    ----------
    marks
        Its marks, each with its home; they are left out with ``history`` and lose what is private like the home.
    asset
        Gives a picture by its SHA-256, None where it is missing.
    what
        What is left out; all that is private unless said.
    name
        What the copy calls the home; its own name unless said, or none where that is its address.
    """
    kept = () if "history" in what else tuple(marks)
    secrets = frozenset().union(*(secrets_of(each, what) for each in (home, *(mark.home for mark in kept))))
    lighter = left_out(home, what, secrets)
    lighter_marks = tuple(
        MarkedHome(without_secrets(mark.name, secrets), mark.at, left_out(mark.home, what, secrets)) for mark in kept
    )
    says = [f"Left out: {', '.join(_WORDS[each] for each in PRIVATE if each in what) or 'nothing'}."]
    if not name and "address" in what and is_named_by_address(home):
        says.append("The home's name gives its address away and was left out too; the copy can be given another name.")
    if name:
        lighter = _called(lighter, name)
        lighter_marks = tuple(mark._replace(home=_called(mark.home, name)) for mark in lighter_marks)
    says += remarks(home, what)
    cleaned = _cleaned((lighter, *(mark.home for mark in lighter_marks)), asset, ticket or Ticket())
    if "address" in what and lighter.table(Sheet):
        says.append("The picture under the plan may itself show an address or a name; look at it.")
    return Shared(
        _renamed(lighter, cleaned.names),
        tuple(mark._replace(home=_renamed(mark.home, cleaned.names)) for mark in lighter_marks),
        cleaned.assets,
        (*says, *cleaned.says),
    )


def write_shared(path: Path, copy: Shared, replace: bool = False) -> None:
    """Write a copy, complete or not at all: a home file where the name ends in ``.cmap``, a text form otherwise.

    Raises
    ------
    FileError
        When something is already there (unless it may be replaced), or the place can't be written.
    """
    if path.suffix.lower() != SUFFIX:
        write_folder(path, copy.home, copy.marks, copy.assets, replace=replace)
        return
    from circuitmap.home.document import Document

    Document.create(path, copy.home, copy.assets, copy.marks, replace=replace).close()


def refuse_own_place(source: Path, target: Path) -> None:
    """Refuse to write a copy onto, into or around the home that it is made from.

    Raises
    ------
    FileError
        When the two places are one, or one lies in the other.
    """
    here, there = source.resolve(), target.resolve()
    if here == there or (here.is_dir() and here in there.parents) or there in here.parents:
        raise FileError(
            target, "is the home itself, or lies around or inside it.", "Choose another place for the copy."
        )


class _Cleaned(NamedTuple):
    names: dict[str, str]
    assets: dict[str, Asset]
    says: tuple[str, ...]


def _cleaned(homes: Iterable[Home], asset: Callable[[str], Asset | None], ticket: Ticket) -> _Cleaned:
    """Give every picture that the homes name without what is written beside its pixels, and its new name."""
    wanted: dict[str, Record] = {}
    for home in homes:
        for record in home.all():
            wanted.update({name: record for name in assets_of(record) if name not in wanted})
    names: dict[str, str] = {}
    assets: dict[str, Asset] = {}
    says: dict[str, None] = {}
    for n, (name, record) in enumerate(wanted.items()):
        ticket.tick(n, len(wanted), "Looking through the pictures")
        found = asset(name)
        if found is None:
            says[f"The picture {name[:12]}… of {record.id} is missing and is left out of the copy."] = None
            names[name] = ""
            continue
        media, data = found
        clean = stripped(media, data)
        if clean is None and isinstance(record, Note):
            clean, media = _taken_anew(data)
            if clean is None:
                says[f"A photograph of {record.id} can't be read and is left out of the copy."] = None
                names[name] = ""
                continue
        if clean is None:
            clean = data
            says[
                f"The plan sheet {record.id} is kept as it is ({EXTENSIONS[media].upper()}); "
                "its maker's name or a title may stand in it."
            ] = None
        names[name] = hash_of(clean)
        assets[names[name]] = (media, clean)
    return _Cleaned(names, assets, tuple(says))


def _taken_anew(data: bytes) -> tuple[bytes | None, str]:
    from circuitmap.pictures.photo import take_photo

    try:
        photo = take_photo(data)
    except PictureError:
        return None, ""
    return photo.data, photo.media


def _renamed(home: Home, names: dict[str, str]) -> Home:
    """Give a home whose pictures go by other digests; a photograph without one is left out, a sheet goes with it."""
    if all(old == new for old, new in names.items()):
        return home
    gone = [sheet.id for sheet in home.sorted(Sheet) if not names[sheet.asset]]
    if gone:
        from circuitmap.home.verbs_common import remove

        home = home.apply(remove(home, *gone))
    return Home.of([_with_names(record, names) for record in home.all()], home.counters)


def _with_names(record: Record, names: dict[str, str]) -> Record:
    match record:
        case Note() if record.photos:
            return msgspec.structs.replace(record, photos=tuple(names[p] for p in record.photos if names[p]))
        case Sheet():
            return msgspec.structs.replace(record, asset=names[record.asset])
        case _:
            return record


def _called(home: Home, name: str) -> Home:
    details = home.details
    records = [msgspec.structs.replace(details, name=name), *(r for r in home.all() if r is not details)]
    return Home.of(records, home.counters)
