"""Which row holds in which edition, and which side a home chose."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TypeVar

from circuitmap.errors import TradeError
from circuitmap.trade.rows import LARGEST, Edition, Limit, Row, Sourced, as_row

S = TypeVar("S", bound=Sourced)


def place_of(editions: Mapping[str, Edition], edition: str) -> int:
    """Give an edition's place in time, from 0.

    Raises
    ------
    TradeError
        When there is no such edition.
    """
    codes = list(editions)
    if edition not in editions:
        shown = edition if len(edition) <= 40 else edition[:39] + "…"
        raise TradeError(f"The edition “{shown}” is not known here. Choose one of {', '.join(codes)}.")
    return codes.index(edition)


def latest(editions: Mapping[str, Edition], rows: Iterable[S], edition: str) -> tuple[S, ...]:
    """Give the rows of the newest edition that is not newer than the one asked for."""
    asked = place_of(editions, edition)
    held = [(place_of(editions, row.edition), row) for row in rows]
    newest = max((place for place, _ in held if place <= asked), default=-1)
    return tuple(row for place, row in held if place == newest)


def choose(sides: Sequence[Limit], choices: Iterable[tuple[str, str]]) -> Row:
    """Give the row that holds: a home's choice (a side's name or a figure) before the default.

    Raises
    ------
    TradeError
        When the home's choice is neither a side nor a sensible figure.
    """
    default = next(row for row in sides if row.chosen)
    for name, wanted in choices:
        if name != default.name:
            continue
        for row in sides:
            if row.side and row.side == wanted:
                return as_row(row)
        try:
            value = float(wanted)
        except ValueError:
            value = -1.0
        if math.isnan(value) or not 0 <= value <= LARGEST:
            named = ", ".join(f"“{row.side}”" for row in sides if row.side)
            todo = f"Give {named + ' or ' if named else ''}a figure in {default.unit or 'plain numbers'}."
            shown = wanted if len(wanted) <= 40 else wanted[:39] + "…"
            raise TradeError(f"The choice “{shown}” for {name} can't be used. {todo}")
        note = f"Chosen for this home in place of {default.value:g} {default.unit}".rstrip() + "."
        return as_row(default, value=value, source="this home's own choice", note=note)
    return as_row(default)


def carried(editions: Mapping[str, Edition], row: Row, edition: str) -> Row:
    """Mark a row that is used for an edition whose figures were not seen."""
    asked = editions[edition]
    if asked.seen:
        return row
    return as_row(row, edition=edition, sure="low", note=f"{row.note} {asked.note}".strip())
