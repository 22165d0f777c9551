"""How records of earlier formats are read: upgraded on the way in, never rewritten where they lie.

Bodies and log keep the bytes they were written with, so digests stay valid and undo reaches across versions.
"""

import json
from collections.abc import Callable, Mapping

import msgspec

from circuitmap.home.records import KINDS, Record, decode

FORMAT = 1
"""The format of records that this program writes; it goes up when a record changes in a way old readers can't take."""

Plain = dict[str, object]
Upgrade = Callable[[Plain], Plain]

# UPGRADES[kind][n] turns the plain data of a record from format n to format n + 1.
UPGRADES: Mapping[str, Mapping[int, Upgrade]] = {}


def upgrade(kind: str, since: int, data: Plain) -> Plain:
    """Give the plain data of a record of an earlier format as this program's format has it."""
    steps = UPGRADES.get(kind, {})
    for number in range(since, FORMAT):
        step = steps.get(number)
        if step is not None:
            data = step(data)
    return data


def read_body(kind: str, since: int, body: bytes) -> Record:
    """Read a record from the bytes it was kept in, whatever format they were written in.

    Raises
    ------
    msgspec.ValidationError
        When the bytes are no such record.
    """
    if since == FORMAT:
        return decode(kind, body)
    return msgspec.convert(upgrade(kind, since, json.loads(body)), KINDS[kind])
