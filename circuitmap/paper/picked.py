"""Which options an offer is made of: those that were picked, by their names, or the cheapest sound ones."""

from collections.abc import Iterable, Sequence
from typing import Final

from circuitmap.errors import PersonError
from circuitmap.extension.kinds import Asking, Option
from circuitmap.extension.money import show_money
from circuitmap.home.records import Extension

CHEAPEST: Final = "cheapest"
# Between the names of options picked for different wishes.
BETWEEN: Final = ";"


class PickError(PersonError):
    """What was picked isn't there, or nothing was; the sentence names what could be."""


def picked(asking: Asking, extension: Extension, named: Sequence[str] = ()) -> tuple[Option, ...]:
    """Give the options that an offer is made of.

    Parameters
    ----------
    asking
        All options of the extension, as they are now.
    extension
        What it says was picked holds if none is named here; several names stand with semicolons between them.
    named
        Names of options, or "cheapest" for the cheapest sound one of each group of wishes.

    Raises
    ------
    PickError
        When nothing was picked, an option of that name isn't there (any more), or the work is done.
    """
    if extension.done_on is not None:
        raise PickError(f"The work of “{extension.name}” was done on {extension.done_on}; there is nothing to offer.")
    names = [name.strip() for name in (named or extension.picked.split(BETWEEN)) if name.strip()]
    if not names:
        raise PickError(f"Nothing is picked for “{extension.name}” yet. {_there(asking)}")
    if CHEAPEST in names:
        found = _cheapest(asking)
        if not found:
            raise PickError(f"Nothing sound can be offered for “{extension.name}”. {_there(asking)}")
        return found
    by_key = {each.key.casefold(): each for each in asking.options}
    for name in names:
        if name.casefold() not in by_key:
            raise PickError(f"There is no option “{name}” for “{extension.name}” as the home is now. {_there(asking)}")
    return tuple(dict.fromkeys(by_key[name.casefold()] for name in names))


def left_undone(asking: Asking, extension: Extension, options: Iterable[Option]) -> tuple[str, ...]:
    """Give a sentence for each wish that none of the options does, with the reason where nothing sound would."""
    done = {number for each in options for number in each.wishes}
    return tuple(
        f"Requirement {n + 1} of “{extension.name}” is not in this offer.{_reason(asking, n)}"
        for n in range(len(extension.wishes))
        if n not in done
    )


def _reason(asking: Asking, number: int) -> str:
    told = dict(asking.refused).get(number, "")
    if told:
        return f" {told.removeprefix(f'Requirement {number + 1}: ')}"
    mine = [each for each in asking.options if number in each.wishes]
    if any(each.is_sound for each in mine):
        return ""
    return next((f" {each.failed[0]}" for each in reversed(mine) if each.failed), "")


def _cheapest(asking: Asking) -> tuple[Option, ...]:
    best: dict[tuple[int, ...], Option] = {}
    for each in asking.options:
        if each.is_sound and each.priced is not None:
            held = best.get(each.wishes)
            if held is None or held.priced is None or each.priced.total < held.priced.total:
                best[each.wishes] = each
    return tuple(best.values())


def _there(asking: Asking) -> str:
    sound = [
        f"“{each.key}” ({show_money(each.priced.total, each.priced.sign)})"
        for each in asking.options
        if each.is_sound and each.priced is not None
    ]
    if sound:
        return f"There are: {', '.join(sound)}."
    failed = [f"“{each.key}”: {each.failed[0]}" for each in asking.options if each.failed]
    told = [says for _, says in asking.refused]
    return " ".join([*(f"None is sound: {says}" for says in failed[:1]), *told[:1]]) or "It has no requirements."
