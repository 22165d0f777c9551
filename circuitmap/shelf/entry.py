"""What is kept of a home on the shelf: enough to list it, find it and say what is due without opening it again."""

import hashlib
from pathlib import Path
from typing import Final

import msgspec
from msgspec import Struct

_LEAST_PART: Final = 5


class SmallPlan(Struct, frozen=True):
    """Width and height in steps; outlines as x, y, x, y …; points as (x, y, number of their way); boards as (x, y).

    The number of a way is its place among the home's ways, as circuits are coloured by; -1 for none or several.
    """

    width: int
    height: int
    rooms: tuple[tuple[int, ...], ...]
    dots: tuple[tuple[int, int, int], ...] = ()
    boards: tuple[tuple[int, int], ...] = ()


class Alarm(Struct, frozen=True):
    """An alarm at which a date to replace it by is written: its point, what it is, the first day of that date."""

    point: str
    words: str
    day: str


class Entry(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One home of a shelf.

    ``path`` is its place under the shelf's folder, with slashes. ``codes`` counts open findings by severity: one is
    closed only by a ruling that it is not so, or by clearing the note that it rests on; a ruling that agrees with it
    leaves it open, and ``ruled`` counts those. ``texts`` are (record id, text, the same as it is compared). Days are
    texts, empty where nothing is on record. ``problem`` is why it can't be read; then there is nothing else.
    """

    path: str
    is_folder: bool = False
    name: str = ""
    named_by_address: bool = False
    address: str = ""
    tenure: str = ""
    country: str = ""
    edition: str = ""
    last_visit: str = ""
    purpose: str = ""
    inspected_on: str = ""
    next_written: str = ""
    occupied_since: str = ""
    codes: dict[str, int] = {}
    ruled: int = 0
    points: int = 0
    alarms: tuple[Alarm, ...] = ()
    plan: SmallPlan | None = None
    texts: tuple[tuple[str, str, str], ...] = ()
    problem: str = ""

    @property
    def title(self) -> str:
        """What the home is called, its file where it has no name."""
        return self.name or Path(self.path).stem


def without_address(entry: Entry) -> Entry:
    """Give an entry without its address, and without a name, a path or words at points that give it away."""
    from circuitmap.home.sharing import is_said_in, without_secrets

    secrets = {part.strip() for part in (entry.address, *entry.address.split(",")) if len(part.strip()) >= _LEAST_PART}
    path = entry.path
    if any(is_said_in(part, path.replace("-", " ").replace("_", " ")) for part in secrets):
        path = f"home {hashlib.sha256(path.encode()).hexdigest()[:8]}"
    texts = tuple((i, without_secrets(text, secrets), plain) for i, text, plain in entry.texts)
    name = "" if entry.named_by_address else entry.name
    return msgspec.structs.replace(entry, address="", name=name, path=path, texts=texts)
