"""What every command that writes a file holds to: nothing that is already there is replaced unless it was asked for.

A file that already holds the very same bytes is no hindrance, so a command may be run twice.
"""

import argparse
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from circuitmap.cli import UsageError

_NAMED: Final = 5


def add_replace(parser: argparse.ArgumentParser) -> None:
    """Declare ``--replace``."""
    parser.add_argument("--replace", action="store_true", help="replace a file that is already there")


def write_new(files: Mapping[Path, str | bytes], replace: bool, what: str = "drawing") -> None:
    """Write files, all of them or none where something else is already there, unless that may be replaced.

    Raises
    ------
    UsageError
        When something else is there, with its name; of many, the first few. Nothing was written.
    FileError
        When a file can't be written.
    """
    from circuitmap.drawing.saved import write_whole

    there = [path for path, content in files.items() if _is_other(path, content)] if not replace else []
    if len(there) == 1:
        raise UsageError(f"{there[0]} is already there; choose another name, or add --replace.")
    if there:
        named = ", ".join(str(path) for path in there[:_NAMED])
        more = f" and {len(there) - _NAMED} more" if len(there) > _NAMED else ""
        raise UsageError(f"{named}{more} are already there; choose another place, or add --replace.")
    for path, content in files.items():
        write_whole(path, content, what)


def refuse_ending(path: Path, endings: Sequence[str], what: str, otherwise: str = "") -> None:
    """Refuse a name from whose ending nobody would expect what is written.

    Raises
    ------
    UsageError
        When it ends otherwise, with the endings that there are.
    """
    if path.suffix.lower() not in endings:
        raise UsageError(f"{what} is written as {' or '.join(endings)}; {path.name} ends otherwise.{otherwise}")


def _is_other(path: Path, content: str | bytes) -> bool:
    if not os.path.lexists(path):
        return False
    data = content.encode() if isinstance(content, str) else content
    try:
        return path.stat().st_size != len(data) or path.read_bytes() != data
    except OSError:
        return True  # what can't be read isn't ours to replace
