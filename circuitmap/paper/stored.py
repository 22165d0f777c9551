"""Documents as files in a folder: names that say what they are, written whole, nothing else replaced."""

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from circuitmap.drawing.saved import write_whole
from circuitmap.errors import FileError
from circuitmap.paper.wanted import Made

_LONGEST: Final = 90
_MOST_TRIED: Final = 1000
# What some file systems refuse in a name, and what would be read as a folder or a hidden file.
_NOT_IN_NAMES: Final = re.compile(r"[\x00-\x1f\x7f<>:\"/\\|?*]+")
_RESERVED: Final = frozenset({"con", "prn", "aux", "nul", *(f"{n}{k}" for n in ("com", "lpt") for k in range(1, 10))})


def stem_of(*parts: str) -> str:
    """Give the name of a file without its ending from what it is about, fit for any file system."""
    said = (" ".join(_NOT_IN_NAMES.sub(" ", part).split()) for part in parts)
    stem = " - ".join(each for each in said if each)
    while len(stem.encode()) > 2 * _LONGEST or len(stem) > _LONGEST:
        stem = stem[:-1]
    stem = stem.strip(" .") or "document"
    return f"{stem} document" if stem.casefold() in _RESERVED else stem


def put(files: Sequence[Made], folder: Path, stem: str, form: str) -> tuple[Path, ...]:
    """Write the files of a document into a folder.

    A file that is there already and says other things stays; the new one gets a number. One that is there already just
    so is left as it is.

    Raises
    ------
    FileError
        When the folder can't be made or written; files written before are taken away again.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileError(folder, f"can't be made a folder ({error.strerror}).", "Choose another place.") from None
    written: list[Path] = []
    found: list[Path] = []
    for made in files:
        part = f" - {stem_of(made.part)}" if made.part else ""
        path, is_there = _free(folder, f"{stem}{part}", form, made.data)
        if not is_there:
            try:
                write_whole(path, made.data, "document")
            except FileError:
                for each in written:
                    each.unlink(missing_ok=True)
                raise
            written.append(path)
        found.append(path)
    return tuple(found)


def _free(folder: Path, stem: str, form: str, data: bytes) -> tuple[Path, bool]:
    """Give a path that is free, or the one where the same bytes are already."""
    for number in range(1, _MOST_TRIED):
        path = folder / (f"{stem}.{form}" if number == 1 else f"{stem} {number}.{form}")
        try:
            if not path.exists():
                return path, False
            if path.is_file() and path.stat().st_size == len(data) and path.read_bytes() == data:
                return path, True
        except OSError:
            continue  # one that can't be read isn't ours to replace
    raise FileError(folder, f"holds {_MOST_TRIED} documents of this name.", "Choose another folder.")
