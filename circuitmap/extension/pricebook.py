"""The price book: what comes with the program, and a person's own rows layered over it.

A wrong row of a person's own is left out with one sentence and everything else is used; a wrong row of ours is our
mistake and stops the reading. A book is a frozen value that take-off and pricing are handed.
"""

import math
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, Final, TypeVar

import msgspec
from msgspec import Struct

from circuitmap.errors import OurError, TradeError
from circuitmap.extension.pricebook_rows import (
    Allowance,
    Cause,
    Factor,
    Fee,
    Material,
    Rate,
    Recipe,
    Task,
    Terms,
    Told,
)

LARGEST_BOOK_BYTES: Final = 2_000_000
MOST_ROWS: Final = 20_000
OWN_NAME: Final = "prices.toml"
OWN_SOURCE: Final = "own"
TABLES: Final[dict[str, type[Told]]] = {
    "rate": Rate,
    "cause": Cause,
    "factor": Factor,
    "allowance": Allowance,
    "task": Task,
    "material": Material,
    "fee": Fee,
    "recipe": Recipe,
}
MAY_GROW: Final = frozenset({"cause", "task", "material", "fee", "recipe"})
PRICED: Final = ("task", "material", "fee")  # no two of these may share a key: recipes name all three alike

T = TypeVar("T", bound=Told)
Facts = dict[str, Any]  # a row as TOML gives it, before anything is known of its types


class Book(Struct, frozen=True, eq=False, kw_only=True):
    """Rates, tasks, materials, fees, recipes and terms.

    ``own_rows`` holds the table and key of each row that a person has set; ``problems`` are sentences about rows that
    were left out.
    """

    terms: Terms
    rates: dict[str, Rate]
    causes: dict[str, Cause]
    factors: dict[str, Factor]
    allowances: dict[str, Allowance]
    tasks: dict[str, Task]
    materials: dict[str, Material]
    fees: dict[str, Fee]
    recipes: tuple[Recipe, ...]
    own_rows: frozenset[tuple[str, str]] = frozenset()
    own_terms: bool = False
    problems: tuple[str, ...] = ()

    def priced(self, key: str) -> Task | Material | Fee | None:
        """Give the row of a task, a material or a fee; None where the book has none."""
        return self.tasks.get(key) or self.materials.get(key) or self.fees.get(key)

    def allowance(self, key: str) -> float:
        """Give a figure of the take-off; an unknown one is our mistake."""
        if key not in self.allowances:
            raise OurError(f"No allowance is called “{key}”.")
        return self.allowances[key].value

    def factor(self, key: str) -> Factor:
        """Give what multiplies minutes; an unknown one is our mistake."""
        if key not in self.factors:
            raise OurError(f"No factor is called “{key}”.")
        return self.factors[key]

    def recipe(self, of: str, build: str = "any", gangs: int = 0, deep: bool = False) -> Recipe | None:
        """Give the recipe that fits a part most closely, or None.

        A recipe for the very build goes before one for any, then one for the gangs, then one for the depth; of equals a
        person's own goes before ours.
        """
        best: tuple[tuple[bool, bool, bool, bool], Recipe] | None = None
        for row in self.recipes:
            if row.of != of or not (build in row.builds or "any" in row.builds):
                continue
            if row.gangs not in (0, gangs) or row.deep not in (None, deep):
                continue
            rank = (build in row.builds, row.gangs != 0, row.deep is not None, ("recipe", row.key) in self.own_rows)
            if best is None or rank > best[0]:
                best = (rank, row)
        return best[1] if best else None

    def not_own(self, table: str, keys: Iterable[str]) -> tuple[str, ...]:
        """Give those keys of a table whose figure is still the demonstration's and not the person's, each once."""
        return tuple(key for key in dict.fromkeys(keys) if (table, key) not in self.own_rows)


def load(ours: Path | None = None, own: Path | None = None) -> Book:
    """Read the price book of the demonstration with a person's own file over it.

    Parameters
    ----------
    ours
        The file of the program; left out, the one in its resources.
    own
        A person's own file; it need not exist. ``own_path()`` says where it usually stands.

    Raises
    ------
    TradeError
        When our own file can't be used; a person's never raises, see ``Book.problems``.
    """
    if ours is None:
        from circuitmap.places import resources

        ours = resources() / "prices" / "demo.toml"
    problems: list[str] = []
    raw: dict[str, dict[str, Facts]] = {name: {} for name in TABLES}
    content = _parsed(ours)
    terms_raw = content.get("terms")
    if not isinstance(terms_raw, dict):
        raise TradeError(f"{ours}: the terms are missing.")
    _collect(content, raw, problems)
    book = _built(raw, terms_raw, problems)
    problems.extend(_cross_checked(book))
    if problems:
        raise TradeError("\n".join([f"{ours} can't be used:", *(f"  {problem}" for problem in problems)]))
    if own is None or not own.exists():
        return book
    try:
        theirs = _parsed(own)
    except TradeError as error:
        return msgspec.structs.replace(book, problems=(f"{error} Prices are taken without it.",))
    return _layered(book, raw, terms_raw, theirs)


def own_path() -> Path:
    """Give where a person's own price book stands."""
    from circuitmap.places import user_data

    return user_data() / OWN_NAME


def with_rows(book: Book, rows: Mapping[str, Iterable[Facts]], terms: Facts | None = None) -> Book:
    """Give a book with a person's rows laid over it, as a file of theirs would be.

    Parameters
    ----------
    rows
        For each table of ``TABLES``, rows of names and values; a row with a key of the book changes what it says.
    terms
        Terms to change.
    """
    raw = {name: {_key(row): _facts(row) for row in rows_of(book, name)} for name in TABLES}
    said: dict[str, object] = {name: list(listed) for name, listed in rows.items()}
    if terms is not None:
        said["terms"] = terms
    return _layered(book, raw, _facts(book.terms), said)


def _layered(book: Book, raw: dict[str, dict[str, Facts]], terms_raw: Facts, theirs: Mapping[str, object]) -> Book:
    problems: list[str] = []
    said: dict[str, dict[str, Facts]] = {name: {} for name in TABLES}
    _collect(theirs, said, problems, own=True)
    layered = {name: dict(rows) for name, rows in raw.items()}
    own = set(book.own_rows)
    for name, rows in said.items():
        for key, facts in rows.items():
            wrong = _wrong_own(name, key, facts, layered)
            if wrong:
                problems.append(f"Your price book, {name} “{_short(key)}”: {wrong}; the row is left out.")
                continue
            layered[name][key] = {**layered[name].get(key, {}), "source": OWN_SOURCE, "note": "", **facts}
            own.add((name, key))
    terms, own_terms = terms_raw, book.own_terms
    their_terms = theirs.get("terms")
    if their_terms is not None:
        merged = {**terms_raw, **their_terms} if isinstance(their_terms, dict) and _is_finite(their_terms) else None
        try:
            msgspec.convert(merged, Terms)
        except msgspec.ValidationError as error:
            problems.append(f"Your price book, terms: {_plain(error)}; they are left out.")
        else:
            assert merged is not None
            terms, own_terms = merged, True
    made = _built(layered, terms, problems)
    bad = list(_cross_checked(made))
    if bad:  # only a recipe or a share can name what isn't there
        problems.extend(f"Your price book: {problem}; nobody can price that part." for problem in bad)
    return msgspec.structs.replace(
        made, own_rows=frozenset(own), own_terms=own_terms, problems=(*book.problems, *problems)
    )


def _wrong_own(name: str, key: str, facts: Facts, layered: dict[str, dict[str, Facts]]) -> str:
    if key not in layered[name] and name not in MAY_GROW:
        return f"there is no such {name}"
    if name in PRICED and any(key in layered[other] for other in PRICED if other != name):
        return "its key is taken by something else"
    row = {"source": OWN_SOURCE, **layered[name].get(key, {}), **facts}
    if not _is_finite(facts):
        return "a figure in it is endless or no number"
    try:
        msgspec.convert(row, TABLES[name])
    except msgspec.ValidationError as error:
        return _plain(error)
    causes = layered["cause"]
    stray = next((cause for cause in row.get("shares", {}) if cause not in causes), None) if name == "task" else None
    return f"no cause is called “{_short(stray)}”" if stray is not None else ""


def _collect(
    content: Mapping[str, object], into: dict[str, dict[str, Facts]], problems: list[str], *, own: bool = False
) -> None:
    whose = "Your price book" if own else "The price book"
    unless_said = content.get("unless_said", {})
    for name, listed in content.items():
        if name in ("terms", "unless_said"):
            continue
        if name not in TABLES or not isinstance(listed, list):
            problems.append(f"{whose}: “{_short(name)}” is no list of rows that this program knows; it is left out.")
            continue
        told = unless_said.get(name, {}) if isinstance(unless_said, dict) else {}
        for number, said in enumerate(listed[:MOST_ROWS], start=1):
            key = said.get("key") if isinstance(said, dict) else None
            if not isinstance(key, str):
                problems.append(f"{whose}, {name} {number}: has no key; the row is left out.")
            elif key in into[name]:
                problems.append(f"{whose}, {name} “{_short(key)}”: is there twice; the first is used.")
            else:
                into[name][key] = {**(told if isinstance(told, dict) else {}), **said}


def _built(raw: dict[str, dict[str, Facts]], terms: Facts, problems: list[str]) -> Book:
    return Book(
        terms=msgspec.convert(terms, Terms),
        rates=_rows(raw, "rate", Rate, problems),
        causes=_rows(raw, "cause", Cause, problems),
        factors=_rows(raw, "factor", Factor, problems),
        allowances=_rows(raw, "allowance", Allowance, problems),
        tasks=_rows(raw, "task", Task, problems),
        materials=_rows(raw, "material", Material, problems),
        fees=_rows(raw, "fee", Fee, problems),
        recipes=tuple(_rows(raw, "recipe", Recipe, problems).values()),
    )


def _rows(raw: dict[str, dict[str, Facts]], name: str, of: type[T], problems: list[str]) -> dict[str, T]:
    made: dict[str, T] = {}
    for key, facts in raw[name].items():
        try:
            made[key] = msgspec.convert(facts, of)
        except msgspec.ValidationError as error:
            problems.append(f"{name} “{_short(key)}”: {_plain(error)}")
    return made


def _cross_checked(book: Book) -> Iterator[str]:
    for recipe in book.recipes:
        for key in sorted(recipe.takes()):
            if book.priced(key) is None:
                yield f"recipe “{recipe.key}” takes “{_short(key)}”, which has no price"
    for task in book.tasks.values():
        if task.who not in book.rates:
            yield f"task “{task.key}” is done by a {task.who}, who has no hourly rate"
        for cause in task.shares:
            if cause not in book.causes:
                yield f"task “{task.key}” names the cause “{_short(cause)}”, which isn't listed"


def rows_of(book: Book, name: str) -> Iterable[Told]:
    """Give the rows of one of a book's tables by its name, such as "task"."""
    tables: dict[str, Iterable[Told]] = {
        "rate": book.rates.values(),
        "cause": book.causes.values(),
        "factor": book.factors.values(),
        "allowance": book.allowances.values(),
        "task": book.tasks.values(),
        "material": book.materials.values(),
        "fee": book.fees.values(),
        "recipe": book.recipes,
    }
    return tables[name]


def _key(row: Told) -> str:
    return str(getattr(row, "key"))  # noqa: B009 - every row of a table has a key, their common base has none


def _facts(row: Struct) -> Facts:
    facts: Facts = msgspec.to_builtins(row)
    return facts


def _parsed(path: Path) -> dict[str, object]:
    try:
        if path.stat().st_size > LARGEST_BOOK_BYTES:
            raise TradeError(f"{path} is far too long for a price book.")
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise TradeError(f"{path} can't be read ({error.strerror or 'unknown reason'}).") from error
    except (ValueError, RecursionError) as error:
        why = str(error) if isinstance(error, tomllib.TOMLDecodeError) else "no UTF-8 text, or an absurd value"
        raise TradeError(f"{path} is no price book ({_short(why)}).") from error


def _plain(error: msgspec.ValidationError) -> str:
    """Give a checker's complaint in words that say what to write."""
    text = str(error)
    complaint, _, where = text.partition(" - at `$")
    where = where.rstrip("`").lstrip(".")
    if "`float` >= 0" in complaint:
        complaint = "is below zero"
    elif "`float` <= " in complaint:
        complaint = f"is above {complaint.rpartition('<= ')[2]}"
    elif "matching regex" in complaint:
        complaint = "isn't written as it has to be (letters, figures, spaces and . , / & + ( ) - in a key)"
    elif "missing required field" in complaint:
        missing = complaint.rpartition("required field ")[2].strip("`")
        complaint = f"“{missing}” is missing"
    elif complaint.startswith("Expected"):
        complaint = f"{complaint[0].lower()}{complaint[1:]}".replace("`", "").replace("got", "and it is")
    return f"{where}: {complaint}" if where else complaint


def _is_finite(value: object) -> bool:
    if isinstance(value, dict):
        return all(_is_finite(part) for part in value.values())
    if isinstance(value, list | tuple):
        return all(_is_finite(part) for part in value)
    return not isinstance(value, float) or math.isfinite(value)


def _short(text: object) -> str:
    said = str(text)
    return said if len(said) <= 80 else said[:79] + "…"
