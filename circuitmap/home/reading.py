"""Reading the text of a home with every problem named by its path, so that a person can mend them all at once."""

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final, cast, get_type_hints

import msgspec

from circuitmap.home.assets import assets_of
from circuitmap.home.invariants import problems_of, shorten
from circuitmap.home.records import BY_LETTER, KINDS, Record, encode
from circuitmap.home.refs import refs_of
from circuitmap.home.snapshot import Home
from circuitmap.home.upgrade import FORMAT, Plain, upgrade

MOST_PROBLEMS: Final = 200
_ID: Final = re.compile(r"[A-Z][1-9][0-9]{0,8}")
_LONGEST_NUMBER: Final = 30
_A_HASH: Final = "must be the SHA-256 of a file in assets (64 digits 0-9 a-f); other names and paths are not followed"


@dataclass(slots=True)
class Reading:
    """What came of reading one text: the home as far as it could be read, and all that is wrong."""

    home: Home = field(default_factory=lambda: Home({}))
    mark: tuple[str, str] = ("", "")  # name, at
    pictures: dict[str, str] = field(default_factory=dict)  # digest of an asset -> path of who names it
    problems: list[str] = field(default_factory=list)


class _Doubled(dict[str, object]):
    """An object in which a name stood twice; JSON readers take the last without a word."""

    names: tuple[str, ...] = ()


def read_text(body: bytes) -> Reading:
    """Read a home from the bytes of ``home.json``, listing all problems; it never raises for what is in them."""
    reading = Reading()
    try:
        _take_in(_parse(body, reading.problems), reading)
    except RecursionError:
        reading.problems.append("it is nested too deeply to be a home")
    return reading


def _take_in(data: object, reading: Reading) -> None:
    if not isinstance(data, dict):
        if not reading.problems:
            reading.problems.append('it must be an object that starts with "circuitmap": 1')
        return
    since = data.get("circuitmap")
    if type(since) is not int or since < 1:
        reading.problems.append('circuitmap: must be the number of the format; the first line is {"circuitmap": 1,')
        return
    if since > FORMAT:
        reading.problems.append(
            f"circuitmap: it was written by a newer circuitmap (format {since}; this one reads up to {FORMAT});"
            " update this program to read it"
        )
        return
    reading.problems += [f"{where}: the name “{shorten(name)}” stands twice" for where, name in _doubles(data, "")]
    records, paths, lost = _records(data, since, reading.problems)
    counters = _next(data.get("next", {}), records, reading.problems)
    reading.mark = _mark(data.get("mark"), reading.problems)
    reading.home = Home.of(records, counters)
    for record in records:
        where = paths[record.id]
        reading.problems += [
            f"{where}: names {named}, which is not in this home"
            for named in dict.fromkeys(refs_of(record))
            if named not in lost and reading.home.peek(named) is None
        ]
        reading.problems += [f"{where}: {sentence.rstrip('.')}" for sentence in problems_of(record, reading.home)]
        for name in assets_of(record):
            reading.pictures.setdefault(name, where)


def _parse(body: bytes, problems: list[str]) -> object:
    def refuse(word: str) -> object:
        raise _NumberError(word)

    def number(word: str) -> float:
        value = float(word)
        if value in (float("inf"), float("-inf")):
            raise _NumberError(word)
        return value

    def whole(word: str) -> int:
        if len(word) > _LONGEST_NUMBER:
            raise _NumberError(word)
        return int(word)

    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError as error:
        problems.append(f"it is not UTF-8 text (byte {error.start})")
        return None
    if text.startswith("\ufeff"):
        text = text[1:]
    try:
        return json.loads(text, object_pairs_hook=_object, parse_constant=refuse, parse_float=number, parse_int=whole)
    except json.JSONDecodeError as error:
        problems.append(f"line {error.lineno}, column {error.colno}: it is not JSON here ({error.msg.lower()})")
    except _NumberError as error:
        problems.append(f"{error} is no number that can be kept")
    return None


class _NumberError(Exception):
    def __str__(self) -> str:
        return shorten(str(self.args[0]), 30)


def _object(pairs: list[tuple[str, object]]) -> dict[str, object]:
    plain = dict(pairs)
    if len(plain) == len(pairs):
        return plain
    doubled = _Doubled(plain)
    names = [name for name, _ in pairs]
    doubled.names = tuple(name for name in plain if names.count(name) > 1)
    return doubled


def _doubles(value: object, where: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, dict):
        if isinstance(value, _Doubled):
            yield from ((where or "at the top", name) for name in value.names)
        for name, inner in value.items():
            yield from _doubles(inner, f"{where}.{name}" if where else name)
    elif isinstance(value, list):
        for number, inner in enumerate(value):
            if isinstance(inner, dict | list):
                yield from _doubles(inner, f"{where}[{number}]")


def _records(
    data: Mapping[str, object], since: int, problems: list[str]
) -> tuple[list[Record], dict[str, str], set[str]]:
    """Give the records that could be read, the path of each id, and the ids of those that couldn't."""
    records: list[Record] = []
    paths: dict[str, str] = {}
    lost: set[str] = set()
    for name, rows in data.items():
        if name in ("circuitmap", "next", "mark"):
            continue
        kind = KINDS.get(name)
        if kind is None:
            problems.append(f"{shorten(name)}: there is no such kind of record; the kinds are {', '.join(KINDS)}")
        elif not isinstance(rows, list):
            problems.append(f"{name}: must be a list of records")
        else:
            for number, row in enumerate(rows):
                where = f"{name}[{number}]"
                record, wrong = _record(kind, since, row, where)
                problems += wrong
                record_id = record.id if record is not None else row.get("id") if isinstance(row, dict) else None
                if isinstance(record_id, str) and record_id in paths:
                    problems.append(f"{where}.id: {shorten(record_id)} is already used by {paths[record_id]}")
                    continue
                if isinstance(record_id, str):
                    paths[record_id] = where
                if record is not None:
                    records.append(record)
                elif isinstance(record_id, str):
                    lost.add(record_id)
    return records, paths, lost


def _record(kind: type[Record], since: int, row: object, where: str) -> tuple[Record | None, list[str]]:
    if not isinstance(row, dict):
        return None, [f"{where}: must be a record in braces"]
    data: Plain = upgrade(kind.kind_of, since, dict(row)) if since < FORMAT else row
    try:
        record = msgspec.convert(data, kind)
        encode(record)
    except msgspec.ValidationError as error:
        found = list(_field_problems(kind, data)) or [_in_words(error)]
        return None, [f"{where}{problem}" for problem in found]
    except UnicodeEncodeError:
        return None, [f"{where}{halved}: holds half a character" for halved in _halved(data, "")]
    return record, []


def _field_problems(kind: type[Record], data: Plain) -> Iterator[str]:
    """Give what is wrong field by field; msgspec itself stops at the first."""
    hints = get_type_hints(kind, include_extras=True)
    for name, value in data.items():
        if name not in kind.__struct_fields__:
            yield f".{shorten(name)}: a {kind.kind_of} has no such field"
            continue
        try:
            msgspec.convert(value, hints[name])
        except msgspec.ValidationError as error:
            yield f".{name}{_in_words(error)}"
    for info in msgspec.structs.fields(kind):
        if info.required and info.name not in data:
            yield f".{info.name}: is missing"


def _in_words(error: msgspec.ValidationError) -> str:
    """Turn "Expected `int`, got `str` - at `$.place.x_mm`" into ".place.x_mm: expected int, got str"."""
    says, _, where = str(error).partition(" - at `$")
    path = where.rstrip("`").replace("[...]", "[…]")
    if "[0-9a-f]{64}" in says:
        return f"{path}: {_A_HASH}"
    known = {
        "Expected": "expected",
        "Invalid enum value": "there is no word",
        "Object missing required field": "is missing",
        "Object contains unknown field": "has no field",
    }
    for theirs, ours in known.items():
        if says.startswith(theirs):
            says = ours + says[len(theirs) :]
            break
    says = re.sub(r"`str` matching regex '(.*)'", _pattern_in_words, says)
    return f"{path}: {says.replace('`', '').replace(' | null', ' or null')}"


def _pattern_in_words(found: "re.Match[str]") -> str:
    pattern = found.group(1)
    letters = re.match(r"\^\[([A-Z]+)\]\[1-9\]", pattern)
    if letters:
        kinds = " or ".join(BY_LETTER[letter].kind_of for letter in letters.group(1))
        return f"the id of a {kinds} ({letters.group(1)[0]} and a number)"
    if "T" in pattern and "Z" in pattern and "d{4}" in pattern:
        return "an instant such as 2026-01-05T09:30:00Z"
    if "d{4}" in pattern:
        return "a day such as 2026-01-05"
    return "a text of another form"


def _halved(value: object, where: str) -> Iterator[str]:
    if isinstance(value, str):
        try:
            value.encode()
        except UnicodeEncodeError:
            yield where
    elif isinstance(value, dict):
        for name, inner in value.items():
            yield from _halved(inner, f"{where}.{name}")
    elif isinstance(value, list):
        for number, inner in enumerate(value):
            yield from _halved(inner, f"{where}[{number}]")


def _next(value: object, records: list[Record], problems: list[str]) -> dict[str, int]:
    if not isinstance(value, dict):
        problems.append('next: must be an object such as {"P": 13}')
        return {}
    counters: dict[str, int] = {}
    for letter, number in value.items():
        if letter not in BY_LETTER or type(number) is not int or not 1 <= number < 10**9:
            problems.append(f"next.{shorten(letter)}: must be a letter of a kind and the next number of its ids")
            continue
        highest = max((int(r.id[1:]) for r in records if r.letter == letter and _ID.fullmatch(r.id)), default=0)
        if number <= highest:
            problems.append(f"next.{letter}: {number} is already used; the highest is {letter}{highest}")
        counters[letter] = number - 1
    return counters


def _mark(value: object, problems: list[str]) -> tuple[str, str]:
    if value is None:
        return "", ""
    if isinstance(value, dict) and set(value) == {"name", "at"}:
        name, at = cast("tuple[object, object]", (value["name"], value["at"]))
        if isinstance(name, str) and isinstance(at, str) and name.isprintable() and 0 < len(name) <= 200:
            if re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z", at):
                return name, at
            problems.append("mark.at: expected an instant such as 2026-01-05T09:30:00Z")
            return "", ""
    problems.append('mark: must be an object such as {"name":"as found","at":"2026-01-05T09:30:00Z"}')
    return "", ""
