"""Reading the TOML tables: ours first, the person's own layered over, every problem found before anything is used."""

import math
import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Final, NamedTuple, TypeVar

import msgspec
from msgspec import Struct

from circuitmap.errors import TradeError
from circuitmap.trade import rows
from circuitmap.words import DEVICE_KINDS, FIXTURE_KINDS, POINT_KINDS

LARGEST_TABLE_BYTES: Final = 1_000_000
SOURCED: Final = ("source", "edition", "sure")

R = TypeVar("R", bound=Struct)
RawRow = dict[str, object]
Key = tuple[object, ...]


class Spec(NamedTuple):
    """Where a table stands, what its rows are, which fields tell a row from the others."""

    file: str
    table: str
    row: type[Struct]
    key: tuple[str, ...]
    may_grow: bool  # whether a person's file may add rows, or only change ours


SPECS: Final = (
    Spec("conductors.toml", "conductor", rows.Conductor, ("mm2",), True),
    Spec("conductors.toml", "imperial", rows.Imperial, ("name",), True),
    Spec("conductors.toml", "constant", rows.Constant, ("name",), False),
    Spec("cables.toml", "cable", rows.Cable, ("code",), True),
    Spec("ratings.toml", "method", rows.Method, ("code",), True),
    Spec("ratings.toml", "iz", rows.IzRow, ("table", "mm2"), True),
    Spec("ratings.toml", "factor", rows.FactorTable, ("name",), False),
    Spec("devices.toml", "device", rows.DeviceRow, ("kind",), False),
    Spec("devices.toml", "trip", rows.TripMultiple, ("kinds", "type"), True),
    Spec("devices.toml", "zs", rows.ZsTable, ("kinds", "type", "edition", "time_s"), True),
    Spec("devices.toml", "let_through", rows.LetThrough, ("kinds", "type", "up_to_ka", "up_to_a"), True),
    Spec("demand.toml", "diversity", rows.Diversity, ("use",), False),
    Spec("points.toml", "point", rows.PointRow, ("kind",), False),
    Spec("survey.toml", "checking", rows.Checking, ("how",), False),
    Spec("survey.toml", "pace", rows.Pace, ("name",), False),
    Spec("limits.toml", "edition", rows.Edition, ("code",), False),
    Spec("limits.toml", "limit", rows.Limit, ("name", "edition", "side"), True),
    Spec("limits.toml", "rcd", rows.RcdNeed, ("category", "edition"), True),
    Spec("limits.toml", "heavy", rows.Heavy, ("name",), True),
    Spec("limits.toml", "box", rows.Box, ("kinds",), True),
    Spec("notice.toml", "notice", rows.Notice, ("country",), False),
    Spec("building.toml", "size", rows.Size, ("name",), False),
    Spec("building.toml", "fixture", rows.FixtureRow, ("kind",), False),
    Spec("routes.toml", "limit", rows.Limit, ("name", "edition", "side"), True),
    Spec("routes.toml", "effort", rows.Effort, ("name",), False),
    Spec("tests.toml", "breaking", rows.Breaking, ("kinds", "marking"), True),
    Spec("tests.toml", "lamps", rows.Lamps, ("l_n", "l_e", "n_e"), False),
    Spec("tests.toml", "blind", rows.Blind, ("what",), True),
    Spec("tests.toml", "suspect", rows.Suspect, ("name",), True),
    Spec("leaks.toml", "suspicion", rows.Suspicion, ("name",), True),
    Spec("leaks.toml", "access", rows.Access, ("name",), True),
    Spec("due.toml", "due", rows.Due, ("name",), True),
    Spec("synonyms.toml", "synonym", rows.Synonym, ("word",), True),
    Spec("likely.toml", "likely", rows.Likely, ("name",), False),
    Spec("likely.toml", "suits", rows.Suits, ("name",), True),
    Spec("likely.toml", "stands_in", rows.StandsIn, ("name",), True),
)
FILES: Final = tuple(dict.fromkeys(spec.file for spec in SPECS))

Tables = dict[str, dict[Key, Struct]]


def read(ours: Path, own: Path | None) -> Tables:
    """Read all tables of a folder and layer the person's own over them.

    Parameters
    ----------
    ours
        The folder with every file of ``FILES``.
    own
        A folder that may hold some of them; files with other names in it are left alone. It need not exist.

    Raises
    ------
    TradeError
        When a file can't be read or any row is wrong; all problems are listed.
    """
    problems: list[str] = []
    raw: dict[str, dict[Key, RawRow]] = {spec.table: {} for spec in SPECS}
    for name in FILES:
        _layer(ours / name, name, raw, problems, is_own=False)
        if own is not None and (own / name).exists():
            _layer(own / name, name, raw, problems, is_own=True)
    tables: Tables = {}
    for spec in SPECS:
        tables[spec.table] = done = {}
        for key, facts in raw[spec.table].items():
            try:
                done[key] = msgspec.convert(facts, spec.row)
            except msgspec.ValidationError as error:
                problems.append(f"{spec.file}, {spec.table} {_named(key)}: {_plain(error)}")
    if not problems:
        problems.extend(_cross_checked(tables))
    if problems:
        count = len(problems)
        says = f"{count} problem{'' if count == 1 else 's'} in the trade tables; nothing of them is used."
        raise TradeError("\n".join([f"{own or ours}: {says}", *(f"  {problem}" for problem in problems)]))
    return tables


def _layer(path: Path, name: str, raw: dict[str, dict[Key, RawRow]], problems: list[str], *, is_own: bool) -> None:
    specs = {spec.table: spec for spec in SPECS if spec.file == name}
    content = _parsed(path)
    unless_said = content.pop("unless_said", {})
    if not isinstance(unless_said, dict) or not set(unless_said) <= set(SOURCED):
        problems.append(f"{name}, unless_said: may only hold source, edition and sure")
        unless_said = {}
    for table, listed in content.items():
        spec = specs.get(table)
        if spec is None:
            problems.append(f"{name}: no table is called “{_short(table)}” here; there are {', '.join(specs)}")
        elif not isinstance(listed, list):
            problems.append(f"{name}, {table}: must be a list of rows, written [[{table}]]")
        else:
            _layer_rows(spec, listed, unless_said, raw[table], problems, is_own=is_own)


def _layer_rows(
    spec: Spec,
    listed: list[object],
    unless_said: RawRow,
    into: dict[Key, RawRow],
    problems: list[str],
    *,
    is_own: bool,
) -> None:
    known = {key[0] for key in into}
    seen: set[Key] = set()
    for number, said in enumerate(listed, start=1):
        where = f"{spec.file}, {spec.table} {number}"
        if not isinstance(said, dict):
            problems.append(f"{where}: must be a row of names and values")
            continue
        facts = dict(said)
        if issubclass(spec.row, rows.Sourced):
            facts = {**unless_said, **said}
        key = tuple(_fixed(facts.get(field, "")) for field in spec.key)
        where = f"{where} ({_named(key)})"
        wrong = [*_not_finite(facts)]
        if issubclass(spec.row, rows.Sourced):
            wrong += [f"“{field}” is missing" for field in SOURCED if field not in facts]
        if key in seen:
            wrong.append("is there twice")
        if is_own and not spec.may_grow and key not in into:
            wrong.append(f"is no {spec.table} this program knows")
        if is_own and spec.table == "limit" and key[0] not in known:
            wrong.append("is no limit that any rule asks for")
        problems.extend(f"{where}: {problem}" for problem in wrong)
        seen.add(key)
        if not wrong:
            if is_own and spec.table == "limit" and facts.get("chosen", True) is True:
                _unchoose(key, into)
            into[key] = {**into.get(key, {}), **facts}


def _unchoose(key: Key, limits: dict[Key, RawRow]) -> None:
    for other, facts in limits.items():
        if other[:2] == key[:2]:
            facts["chosen"] = other == key


def _parsed(path: Path) -> dict[str, object]:
    try:
        if path.stat().st_size > LARGEST_TABLE_BYTES:
            raise TradeError(f"{path} is far too long for a trade table. Take out what isn't a row.")
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        why = error.strerror or "unknown reason"
        raise TradeError(f"{path} can't be read ({why}). Mend or remove the file.") from error
    except (ValueError, RecursionError) as error:
        why = str(error) if isinstance(error, tomllib.TOMLDecodeError) else "no UTF-8 text, or an absurd value"
        raise TradeError(f"{path} is no TOML table ({_short(why)}). Mend or remove the file.") from error


def _cross_checked(tables: Tables) -> Iterator[str]:
    editions = {key[0] for key in tables["edition"]}
    limits = {key[0] for key in tables["limit"]}
    for table, of in (("limit", rows.Limit), ("rcd", rows.RcdNeed), ("zs", rows.ZsTable), ("heavy", rows.Heavy)):
        for row in rows_of(tables, table, of):
            if row.edition not in editions:
                yield f"limits, {table}: “{_short(row.edition)}” is no edition; there are {_listed(editions)}"
    for heavy in rows_of(tables, "heavy", rows.Heavy):
        if heavy.over not in limits:
            yield f"limits.toml, heavy {heavy.name}: no limit is called “{_short(heavy.over)}”"
    ratings = {key[0] for key in tables["iz"]}
    methods = {key[0] for key in tables["method"]} | {"any"}
    for iz in rows_of(tables, "iz", rows.IzRow):
        if not iz.by_method or not set(iz.by_method) <= methods:
            yield f"ratings.toml, iz {iz.table} {iz.mm2:g}: by_method must use {_listed(methods)}"
    for cable in rows_of(tables, "cable", rows.Cable):
        if cable.iz and cable.iz not in ratings:
            yield f"cables.toml, cable {_short(cable.code)}: iz must be one of {_listed(ratings)}, or left out"
        if cable.imperial and (cable.imperial,) not in tables["imperial"]:
            yield f"cables.toml, cable {_short(cable.code)}: no imperial size “{_short(cable.imperial)}”"
        if cable.do_not_extend and not cable.why_not:
            yield f"cables.toml, cable {_short(cable.code)}: “do_not_extend” needs “why_not”"
    chosen = Counter((row.name, row.edition) for row in rows_of(tables, "limit", rows.Limit) if row.chosen)
    for name, edition in dict.fromkeys((row.name, row.edition) for row in rows_of(tables, "limit", rows.Limit)):
        if chosen[name, edition] != 1:
            yield f"limits.toml, limit {name}, {edition}: {chosen[name, edition]} sides are chosen, one must be"
    by_family = {family for row in rows_of(tables, "suits", rows.Suits) for family in row.families}
    by_kind = {kind for row in rows_of(tables, "suits", rows.Suits) for kind in row.kinds}
    for point in rows_of(tables, "point", rows.PointRow):
        if point.kind not in by_kind and point.family not in by_family:
            yield f"likely.toml, suits: no row for “{point.kind}”, by kind or by family “{point.family}”"
    for table, words in (("device", DEVICE_KINDS), ("point", POINT_KINDS)):
        for word in words:
            if (word,) not in tables[table]:
                yield f"{table}s.toml: no row for “{word}”"
    for kind in FIXTURE_KINDS:
        if (kind,) not in tables["fixture"]:
            yield f"building.toml, fixture: no row for “{kind}”"


def rows_of(tables: Mapping[str, Mapping[Key, Struct]], table: str, of: type[R]) -> Iterator[R]:
    """Give the rows of one table, known to be of one type."""
    for row in tables[table].values():
        if isinstance(row, of):
            yield row


def _not_finite(facts: RawRow) -> Iterator[str]:
    for name, value in facts.items():
        listed = value if isinstance(value, list) else value.values() if isinstance(value, dict) else (value,)
        if any(isinstance(one, float) and not math.isfinite(one) for one in listed):
            yield f"“{_short(name)}” must be a plain number"


def _fixed(value: object) -> object:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"{value:g}" if abs(value) < 1e300 else "huge"
    return value if isinstance(value, str) else repr(value)


def _named(key: Key) -> str:
    return ", ".join(_short(str(part)) for part in key if part != "") or "without a name"


def _plain(error: msgspec.ValidationError) -> str:
    says, _, place = str(error).partition(" - at ")
    return says.replace("`", "") + (f" at “{place.strip('`').removeprefix('$.')}”" if place else "")


def _listed(words: Iterable[object]) -> str:
    return ", ".join(sorted(str(word) for word in words))


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:59] + "…"
