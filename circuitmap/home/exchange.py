"""The text form: a folder with ``home.json``, its marks and its assets; canonical, so that a diff shows what changed.

``home.json`` has one record a line, keys in field order, defaults left out, ids in their natural order. Assets go by
their SHA-256, which leaves no path to climb; links are not followed.
"""

import contextlib
import os
import re
import shutil
import stat
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Final, NamedTuple

import msgspec

from circuitmap.errors import FileError, HomeError, TextFormError
from circuitmap.home.assets import EXTENSIONS, LARGEST_BYTES, MEDIA, Asset, Assets, assets_of, hash_of, is_hash
from circuitmap.home.reading import MOST_PROBLEMS, Reading, read_text
from circuitmap.home.records import KINDS, encode, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.home.upgrade import FORMAT
from circuitmap.home.verbs_common import now_text

LARGEST_TEXT_BYTES: Final = 64_000_000
_OURS: Final = ("home.json", "marks", "assets")


class MarkedHome(NamedTuple):
    """A named moment with the home as it was."""

    name: str
    at: str
    home: Home


class TextForm(NamedTuple):
    """All that a text form holds; ``missing`` are the pictures that it names and hasn't, with where it names them."""

    home: Home
    marks: tuple[MarkedHome, ...]
    assets: dict[str, Asset]
    missing: Mapping[str, str] = MappingProxyType({})


# -- writing ------------------------------------------------------------------------------------------------------


def to_text(home: Home, mark: tuple[str, str] | None = None) -> bytes:
    """Give the canonical bytes of a home; of a marked one with the name of the mark and its instant."""
    blocks = []
    if mark is not None:
        name, at = (msgspec.json.encode(text).decode() for text in mark)
        blocks.append(f' "mark": {{"name":{name},"at":{at}}}'.encode())
    else:
        following = {
            letter: number + 1
            for letter, number in sorted(home.counters.items())
            if number > max((int(i[1:]) for i in home.table(_kind(letter))), default=0)
        }
        if following:
            blocks.append(b' "next": ' + msgspec.json.encode(following))
    for name, kind in KINDS.items():
        table = home.table(kind)
        if table:
            rows = b",\n".join(b"  " + encode(table[i]) for i in sorted(table, key=natural_key))
            blocks.append(f' "{name}": [\n'.encode() + rows + b"\n ]")
    return f'{{"circuitmap": {FORMAT},\n'.encode() + b",\n".join(blocks) + b"\n}\n"


def write_folder(
    path: Path | str,
    home: Home,
    marks: Sequence[MarkedHome] = (),
    assets: Assets | None = None,
    replace: bool = False,
    missing: Container[str] = (),
) -> None:
    """Write a text form, complete or not at all.

    Parameters
    ----------
    assets
        Those that no record of the home or its marks names are left out.
    missing
        Names of pictures that are known to be lost: the text form is written without them.
    replace
        Whether a text form that is already there may be replaced; other files beside it in the folder stay.

    Raises
    ------
    FileError
        When something is in the way, a picture is missing, or the disk doesn't take it.
    """
    path = Path(path)
    exists = path.exists() or path.is_symlink()
    if exists and not replace:
        raise FileError(path, "is already there; choose another name.")
    if exists and (path.is_symlink() or not path.is_dir() or (any(path.iterdir()) and not (path / _OURS[0]).exists())):
        raise FileError(path, "is not a text form, so it is not replaced; choose another name.")
    if not path.absolute().parent.is_dir():
        raise FileError(path, "has no folder to stand in; make the folder first.")
    part = path.absolute().with_name(f".{path.name}.part")
    old = path.absolute().with_name(f".{path.name}.old")
    try:
        shutil.rmtree(part, ignore_errors=True)
        part.mkdir()
        _fill(path, part, home, marks, assets or {}, missing)
        if exists:
            _carry_over(path, part)
            shutil.rmtree(old, ignore_errors=True)
            path.rename(old)
            try:
                part.rename(path)
            except OSError:
                old.rename(path)
                raise
            shutil.rmtree(old)
        else:
            part.rename(path)
    except OSError as error:
        raise FileError(
            path, f"can't be written: {(error.strerror or str(error)).lower()}.", "Nothing was changed there."
        ) from None
    except HomeError as error:
        raise FileError(path, f"was not written: {error}") from None
    finally:
        shutil.rmtree(part, ignore_errors=True)


def _kind(letter: str) -> type:
    from circuitmap.home.records import BY_LETTER

    return BY_LETTER[letter]


def _fill(
    path: Path, part: Path, home: Home, marks: Sequence[MarkedHome], assets: Assets, missing: Container[str]
) -> None:
    _write(part / "home.json", to_text(home))
    marks = _in_order(marks)  # so that the same marks always get the same file names
    if marks:
        (part / "marks").mkdir()
    for name, marked in zip(_file_names([marked.name for marked in marks]), marks, strict=True):
        _write(part / "marks" / f"{name}.json", to_text(marked.home, (marked.name, marked.at)))
    named = dict.fromkeys(
        name
        for each in (home, *(marked.home for marked in marks))
        for record in each.all()
        for name in assets_of(record)
        if name in assets or name not in missing
    )
    if named:
        (part / "assets").mkdir()
    for name in named:
        if name not in assets:
            raise FileError(path, f"was not written: the picture {name[:12]}… is missing.")
        media, data = assets[name]
        _write(part / "assets" / f"{name}.{EXTENSIONS[media]}", data)


def _in_order(marks: Iterable[MarkedHome]) -> tuple[MarkedHome, ...]:
    return tuple(sorted(marks, key=lambda marked: (marked.at, marked.name)))


def _file_names(names: Sequence[str]) -> Iterator[str]:
    """Give file names for the names of marks: lower case, plain letters, no two alike."""
    taken: set[str] = set()
    for name in names:
        plain = re.sub(r"[^a-z0-9]+", " ", name.lower()).strip().replace(" ", "-")[:60] or "mark"
        candidate, number = plain, 2
        while candidate in taken:
            candidate, number = f"{plain}-{number}", number + 1
        taken.add(candidate)
        yield candidate


def _write(path: Path, data: bytes) -> None:
    with path.open("wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _carry_over(path: Path, part: Path) -> None:
    for entry in path.iterdir():
        if entry.name in _OURS:
            continue
        if entry.is_dir() and not entry.is_symlink():
            shutil.copytree(entry, part / entry.name, symlinks=True)
        else:
            shutil.copy2(entry, part / entry.name, follow_symlinks=False)


# -- reading ------------------------------------------------------------------------------------------------------


def read_folder(path: Path | str, with_assets: bool = True) -> TextForm:
    """Read a text form; all problems are listed with their path, and with any of them nothing is taken in.

    A picture that is named and isn't there is no such problem: all else is taken in, and ``missing`` names it.

    Parameters
    ----------
    with_assets
        Whether to read the assets and hold them against their names; without, none is read.

    Raises
    ------
    FileError
        When the folder can't be read at all.
    TextFormError
        With every problem found in it.
    """
    path = Path(path)
    if not path.is_dir():
        raise FileError(
            path, "is not a folder with a home in it." if path.exists() else "is not there; check the name."
        )
    try:
        reading = read_text(_read(path / "home.json", LARGEST_TEXT_BYTES))
        problems = [f"home.json: {problem}" for problem in reading.problems]
        marks, pictures = _read_marks(path / "marks", problems)
        wanted = {name: f"home.json: {where}" for name, where in reading.pictures.items()}
        for name, where in pictures.items():
            wanted.setdefault(name, where)
        assets, missing = _read_assets(path / "assets", wanted, problems, with_assets)
    except OSError as error:
        raise FileError(path, f"can't be read: {(error.strerror or str(error)).lower()}.") from None
    if problems:
        shown = problems[:MOST_PROBLEMS]
        if len(problems) > MOST_PROBLEMS:
            shown.append(f"and {len(problems) - MOST_PROBLEMS} more")
        raise TextFormError(path, shown)
    return TextForm(_with_marked_counters(reading.home, marks), marks, assets, missing)


def open_home(path: Path | str) -> Home:
    """Read a home to look at it: from a home file or from a text form.

    Raises
    ------
    FileError
        When it is neither, or can't be read.
    """
    path = Path(path)
    if path.is_dir():
        if not (path / "home.json").exists():
            raise FileError(path, "is a folder without a home.json, so it is no text form of a home.")
        return read_folder(path, with_assets=False).home
    from circuitmap.home.file import HomeFile

    file = HomeFile.open(path, look_only=True)
    home = file.loaded.home
    file.close()
    return home


def _with_marked_counters(home: Home, marks: Iterable[MarkedHome]) -> Home:
    """Let no id be given out again that a marked home has, even if the text of the present one forgot to say so."""
    counters = dict(home.counters)
    for marked in marks:
        for letter, number in marked.home.counters.items():
            counters[letter] = max(counters.get(letter, 0), number)
    return Home.of(home.all(), counters) if counters != home.counters else home


def _read(path: Path, limit: int) -> bytes:
    """Read a plain file of a bounded size; a link, pipe or device is refused before it is opened."""
    try:
        found = path.lstat()
    except FileNotFoundError:
        raise FileError(path, "is missing; without it this is no text form of a home.") from None
    if stat.S_ISLNK(found.st_mode):
        raise FileError(path, "is a link, and links are not followed; put the file itself there.")
    if not stat.S_ISREG(found.st_mode):
        raise FileError(path, "is not a file.")
    if found.st_size > limit:
        raise FileError(path, f"is too large ({found.st_size // 1_000_000} MB; at most {limit // 1_000_000} MB).")
    return path.read_bytes()


def _listed(folder: Path) -> list[Path]:
    if folder.is_symlink():
        raise FileError(folder, "is a link, and links are not followed; put the folder itself there.")
    if not folder.exists():
        return []
    if not folder.is_dir():
        raise FileError(folder, "must be a folder.")
    return sorted(entry for entry in folder.iterdir() if not entry.name.startswith("."))


def _read_marks(folder: Path, problems: list[str]) -> tuple[tuple[MarkedHome, ...], dict[str, str]]:
    marks: list[MarkedHome] = []
    pictures: dict[str, str] = {}
    names: dict[str, str] = {}
    for entry in _listed(folder):
        where = f"marks/{entry.name}"
        if entry.suffix != ".json":
            problems.append(f"{where}: is not a .json file; only marks go here")
            continue
        reading: Reading = read_text(_read(entry, LARGEST_TEXT_BYTES))
        problems += [f"{where}: {problem}" for problem in reading.problems]
        name, at = reading.mark if reading.mark[0] else (entry.stem, now_text())
        if name in names:
            problems.append(f"{where}: the mark “{name}” stands in {names[name]} too")
        names[name] = where
        marks.append(MarkedHome(name, at, reading.home))
        for digest, row in reading.pictures.items():
            pictures.setdefault(digest, f"{where}: {row}")
    return _in_order(marks), pictures


def _read_assets(
    folder: Path, wanted: Mapping[str, str], problems: list[str], with_bytes: bool
) -> tuple[dict[str, Asset], dict[str, str]]:
    found: dict[str, Path] = {}
    for entry in _listed(folder):
        if not is_hash(entry.stem) or entry.suffix[1:] not in MEDIA:
            problems.append(f"assets/{entry.name}: must be named by its SHA-256 and its kind, such as <64 digits>.png")
        elif entry.stem in found:
            problems.append(f"assets/{entry.name}: is there twice, also as {found[entry.stem].name}")
        else:
            found[entry.stem] = entry
    assets: dict[str, Asset] = {}
    missing: dict[str, str] = {}
    for name, where in wanted.items():
        if name not in found:
            missing[name] = where
            continue
        if with_bytes:
            with contextlib.suppress(KeyError):
                data = _read(found[name], LARGEST_BYTES)
                if hash_of(data) != name:
                    problems.append(f"assets/{found[name].name}: its bytes don't fit its name; it was altered")
                assets[name] = (MEDIA[found[name].suffix[1:]], data)
        elif found[name].is_symlink():
            problems.append(f"assets/{found[name].name}: is a link, and links are not followed")
    return assets, missing
