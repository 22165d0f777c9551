"""Verbs of an extension: what is wanted, and which way of doing it was picked."""

import msgspec

from circuitmap.errors import HomeError
from circuitmap.home.change import Change
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Extension, Wish
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_common import edit


def add_extension(home: Home, name: str, wishes: tuple[Wish, ...] = ()) -> Change:
    """Begin an extension.

    Raises
    ------
    HomeError
        When it has no name.
    """
    if not name.strip():
        raise HomeError("An extension needs a name, like “sockets in the kitchen”.")
    record = Extension(id=home.next_id(Extension), name=name.strip(), wishes=wishes)
    return Change(f"Begin extension “{shorten(name, 30)}”", ((None, record),))


def add_wish(home: Home, extension: str, wish: Wish) -> Change:
    """Add a wish, the last of them; what was picked for the others before is picked no more.

    Raises
    ------
    HomeError
        When the extension's work is on the map as planned already, or is done.
    """
    record = _open(home, extension)
    return _with(home, record, (*record.wishes, wish), "Add a requirement")


def set_wish(home: Home, extension: str, number: int, wish: Wish) -> Change:
    """Put another wish in the place of one (they count from 0).

    Raises
    ------
    HomeError
        When there is no such wish, or the work is planned already or done.
    """
    record = _open(home, extension)
    _there(record, number)
    wishes = tuple(wish if n == number else each for n, each in enumerate(record.wishes))
    return _with(home, record, wishes, f"Change requirement {number + 1}")


def drop_wish(home: Home, extension: str, number: int) -> Change:
    """Take a wish away (they count from 0).

    Raises
    ------
    HomeError
        When there is no such wish, or the work is planned already or done.
    """
    record = _open(home, extension)
    _there(record, number)
    wishes = tuple(each for n, each in enumerate(record.wishes) if n != number)
    return _with(home, record, wishes, f"Take away requirement {number + 1}")


def pick(home: Home, extension: str, option: str) -> Change:
    """Say which option was picked, by its name; an empty text picks none.

    Raises
    ------
    HomeError
        When the work is planned already or done.
    """
    record = _open(home, extension)
    return edit(home, record.id, f"Pick {option}" if option else "Pick none", picked=option)


def set_method(
    home: Home, extension: str, *, lived_in: bool | None = None, others_make_good: bool | None = None,
    on_surface: bool | None = None,
) -> Change:  # fmt: skip
    """Say how the work is done: whether people live there, whether others make good, whether cables are seen on walls.

    None leaves something as it is.

    What was picked stays picked; it is priced anew.

    Raises
    ------
    HomeError
        When the work is planned already or done.
    """
    record = _open(home, extension)
    said = {"lived_in": lived_in, "others_make_good": others_make_good, "on_surface": on_surface}
    news = {name: value for name, value in said.items() if value is not None and value != getattr(record, name)}
    title = "Say how the work is done"
    return edit(home, record.id, title, **news) if news else Change(title, ())


def is_planned(extension: Extension) -> bool:
    """Whether an extension's work is on the map as planned, and not done yet."""
    return extension.done_on is None and bool(extension.puts or extension.takes or extension.alters)


def _open(home: Home, extension: str) -> Extension:
    record = home.take(Extension, extension)
    name = shorten(record.name, 30)
    if record.done_on is not None:
        raise HomeError(f"The work of “{name}” is done; begin another extension for what is wanted now.", extension)
    if is_planned(record):
        raise HomeError(f"“{name}” is on the map as planned; take that back before changing it.", extension)
    return record


def _there(record: Extension, number: int) -> None:
    if not 0 <= number < len(record.wishes):
        has = {0: "no requirements", 1: "one requirement"}.get(len(record.wishes), f"{len(record.wishes)} requirements")
        raise HomeError(f"“{shorten(record.name, 30)}” has {has}; there is no number {number + 1}.", record.id)


def _with(home: Home, record: Extension, wishes: tuple[Wish, ...], title: str) -> Change:
    if msgspec.structs.replace(record, wishes=wishes) == record:
        return Change(title, ())
    return edit(home, record.id, title, wishes=wishes, picked="")
