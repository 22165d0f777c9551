"""A price book as a spreadsheet and back: CSV or XLSX, one row for each figure of work or money.

Only figures come back in. A cell with a formula is refused with its place, and texts that a spreadsheet would take for
one are written so that none does. Recipes, causes and terms stay in the book's own file.
"""

import csv
import io
import re
import warnings
import zipfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from circuitmap.errors import FileError
from circuitmap.extension.pricebook import TABLES, Book, Facts, rows_of
from circuitmap.extension.pricebook_rows import Allowance, Factor, Fee, Material, Range, Rate, Task

COLUMNS: Final = ("table", "key", "title", "unit", "who", "block", "low", "likely", "high", "source", "note")
FIGURES: Final = ("low", "likely", "high")
ONE_FIGURE: Final = {"rate": "hour", "allowance": "value"}
THREE_FIGURES: Final = {"task": "minutes", "material": "price", "fee": "price", "factor": "times"}
MOST_ROWS: Final = 20_000
LARGEST_BYTES: Final = 5_000_000
LARGEST_UNPACKED_BYTES: Final = 60_000_000
SHEET: Final = "prices"
# What a spreadsheet takes for the beginning of a formula. **Source:** OWASP, "CSV Injection" (from memory).
STARTS_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")
NUMBER: Final = re.compile(r"-?\d{1,9}(\.\d{1,6})?")

Cell = str | float | int | bool | None


class Said(Struct, frozen=True, kw_only=True):
    """What a sheet says that the book doesn't: rows by table, and a sentence for each row that can't be used.

    Handed to ``pricebook.with_rows``, which checks the figures.
    """

    rows: dict[str, list[Facts]]
    problems: tuple[str, ...] = ()
    unchanged: int = 0


def rows(book: Book) -> Iterator[tuple[str | float, ...]]:
    """Give the book's rows in the order of ``COLUMNS``, without the heading."""
    for rate in book.rates.values():
        yield _row("rate", rate, "hour", (rate.hour,) * 3)
    for factor in book.factors.values():
        yield _row("factor", factor, "times", _three(factor.times))
    for allowance in book.allowances.values():
        yield _row("allowance", allowance, allowance.unit, (allowance.value,) * 3)
    for task in book.tasks.values():
        yield _row("task", task, task.unit, _three(task.minutes), who=task.who, block=task.block)
    for material in book.materials.values():
        yield _row("material", material, material.unit, _three(material.price), block="materials")
    for fee in book.fees.values():
        yield _row("fee", fee, fee.unit, _three(fee.price), block=fee.block)


def csv_text(book: Book) -> str:
    """Give the book as CSV: UTF-8 with a mark in front so that spreadsheets see it, commas, decimal points."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    for row in rows(book):
        writer.writerow([harmless(cell) if isinstance(cell, str) else cell for cell in row])
    return "\ufeff" + out.getvalue()


def harmless(text: str) -> str:
    """Give a text that no spreadsheet takes for a formula: with an apostrophe before what would begin one.

    Examples
    --------
    >>> harmless("=1+1"), harmless("plain")
    ("'=1+1", 'plain')
    """
    return f"'{text}" if text.lstrip(" ").startswith(STARTS_FORMULA) or text.startswith("'") else text


def write(book: Book, path: Path) -> None:
    """Write the book as a sheet, CSV or XLSX by the ending of the name; an old file stays until the new one is whole.

    Raises
    ------
    FileError
        When the ending is another or the file can't be written.
    """
    ending = path.suffix.lower()
    if ending not in (".csv", ".xlsx"):
        raise FileError(path, "a price list is written as .csv or .xlsx.", "Choose one of these endings.")
    beside = path.with_name(path.name + ".part")
    try:
        if ending == ".csv":
            beside.write_text(csv_text(book), encoding="utf-8", newline="")
        else:
            beside.write_bytes(_xlsx(book))
        beside.replace(path)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise FileError(path, f"can't be written ({error.strerror or 'unknown reason'}).") from error


def read(path: Path, book: Book) -> Said:
    """Read a sheet and give what differs from the book.

    Parameters
    ----------
    path
        A .csv (commas and points, or semicolons and decimal commas) or an .xlsx with the columns of ``COLUMNS``, in any
        order; table, key and the figures are needed.
    book
        What the rows are compared with: rows with the same figures and source say nothing new.

    Raises
    ------
    FileError
        When the file can't be read as a sheet at all.
    """
    listed = _cells(path)
    heading = next(listed, None)
    names = [str(cell or "").strip().lower() for cell in heading] if heading else []
    missing = [name for name in ("table", "key", *FIGURES) if name not in names]
    if missing:
        raise FileError(path, f"has no column {', '.join(missing)} in its first row.", "Export the book to see them.")
    ours = {(str(row[0]), str(row[1])): row for row in rows(book)}
    found: dict[str, list[Facts]] = {}
    problems: list[str] = []
    unchanged = 0
    for number, cells in enumerate(listed, start=2):
        if number > MOST_ROWS:
            problems.append(f"Row {number}: the sheet is too long; the rest is left out.")
            break
        said = dict(zip(names, cells, strict=False))
        if all(cell in (None, "") for cell in said.values()):
            continue
        table, key = _text(said.get("table")).strip(), _text(said.get("key")).strip()
        try:
            facts = _facts(table, key, said)
        except ValueError as error:
            problems.append(f"Row {number} ({key or 'no key'}): {error}; the row is left out.")
            continue
        if _is_same(facts, table, ours.get((table, key))):
            unchanged += 1
        else:
            found.setdefault(table, []).append(_differing(facts, ours.get((table, key))))
    return Said(rows=found, problems=tuple(problems), unchanged=unchanged)


def own_toml(book: Book) -> str:
    """Give a person's own rows as the text of their price book, whole rows each."""
    lines = ["# Your own price book. Rows change ours by their key."]
    if book.own_terms:
        lines += ["", "[terms]", *_toml_facts(_told(book.terms))]
    for table in TABLES:
        for row in rows_of(book, table):
            facts = _told(row)
            if (table, facts["key"]) in book.own_rows:
                lines += ["", f"[[{table}]]", *_toml_facts(facts)]
    return "\n".join(lines) + "\n"


def save_own(book: Book, path: Path) -> None:
    """Write a person's own rows to their file; an old file stays until the new one is whole.

    Raises
    ------
    FileError
        When the file can't be written.
    """
    beside = path.with_name(path.name + ".part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        beside.write_text(own_toml(book), encoding="utf-8")
        beside.replace(path)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise FileError(path, f"can't be written ({error.strerror or 'unknown reason'}).") from error


def _row(
    table: str,
    row: Rate | Factor | Allowance | Task | Material | Fee,
    unit: str,
    figures: tuple[float, ...],
    *,
    who: str = "",
    block: str = "",
) -> tuple[str | float, ...]:
    return (table, row.key, row.title, unit, who, block, *figures, row.source, row.note)


def _three(of: Range) -> tuple[float, float, float]:
    return (of.low, of.likely, of.high)


def _xlsx(book: Book) -> bytes:
    from openpyxl import Workbook
    from openpyxl.styles import Font

    made = Workbook()
    sheet = made.active
    assert sheet is not None  # a new workbook has one sheet
    sheet.title = SHEET
    sheet.append(list(COLUMNS))
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    for row in rows(book):
        sheet.append([None if isinstance(cell, str) else cell for cell in row])
        for column, text in enumerate(row, start=1):
            if isinstance(text, str):
                cell = sheet.cell(sheet.max_row, column)
                cell.value = text
                cell.data_type = "s"  # or a text that begins with = would be written as a formula
                cell.quotePrefix = text.startswith(STARTS_FORMULA)
    sheet.freeze_panes = "A2"
    for letter, width in zip("ABCDEFGHIJK", (10, 26, 48, 9, 12, 20, 9, 9, 9, 40, 50), strict=True):
        sheet.column_dimensions[letter].width = width
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def _cells(path: Path) -> Iterator[Sequence[Cell]]:
    ending = path.suffix.lower()
    if ending not in (".csv", ".xlsx"):
        raise FileError(path, "is neither .csv nor .xlsx.", "Save the sheet as one of these.")
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise FileError(path, "is far too large for a price list.")
        yield from _csv_cells(path) if ending == ".csv" else _xlsx_cells(path)
    except OSError as error:
        raise FileError(path, f"can't be read ({error.strerror or 'unknown reason'}).") from error


def _csv_cells(path: Path) -> Iterator[Sequence[Cell]]:
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileError(path, "is no UTF-8 text.", "Save it as “CSV UTF-8”.") from error
    first = text.partition("\n")[0]
    semicolons = first.count(";") > first.count(",")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=";" if semicolons else ",")
    try:
        for row in reader:
            plain = [cell.removeprefix("'") for cell in row]  # what ``harmless`` has put before a text
            yield [_decimal_point(cell) if semicolons else cell for cell in plain]
    except csv.Error as error:
        raise FileError(path, f"is no CSV from row {reader.line_num} on ({error}).") from error


def _decimal_point(cell: str) -> str:
    return cell.replace(",", ".") if re.fullmatch(r"-?\d+,\d+", cell.strip()) else cell


def _xlsx_cells(path: Path) -> Iterator[Sequence[Cell]]:
    from openpyxl import load_workbook

    wrong = (ValueError, KeyError, TypeError, AttributeError, IndexError, SyntaxError, zipfile.BadZipFile)
    try:
        with zipfile.ZipFile(path) as packed:
            if sum(entry.file_size for entry in packed.infolist()) > LARGEST_UNPACKED_BYTES:
                raise FileError(path, "unpacks to far more than a price list.")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # about styles and printers, which nobody reads here
            made = load_workbook(path, read_only=True, data_only=False)
            try:
                sheet = made[SHEET] if SHEET in made.sheetnames else made.worksheets[0]
                for row in sheet.iter_rows(max_row=MOST_ROWS + 1, max_col=50):
                    yield [_Formula(cell.value) if cell.data_type == "f" else _known(cell.value) for cell in row]
            finally:
                made.close()
    except wrong as error:
        raise FileError(path, "is no .xlsx that can be read.", "Save it again as .xlsx or .csv.") from error


class _Formula(str):
    """The text of a cell that a spreadsheet would work out."""

    __slots__ = ()

    def __new__(cls, value: object) -> "_Formula":
        return super().__new__(cls, str(value))


def _known(value: Any) -> Cell:  # a cell may hold dates and the like; as text they are refused where figures stand
    return value if value is None or isinstance(value, str | int | float) else str(value)


def _text(cell: Cell) -> str:
    return "" if cell is None else str(cell)


def _facts(table: str, key: str, said: dict[str, Cell]) -> Facts:
    if table not in ONE_FIGURE and table not in THREE_FIGURES:
        raise ValueError(f"“{table[:40]}” is no table of a price book")
    for cell in said.values():
        if isinstance(cell, _Formula):
            raise ValueError("holds a formula; write the figure or the text itself")  # noqa: TRY004 - of the sheet
    low, likely, high = (_figure(said.get(name), name) for name in FIGURES)
    facts: Facts = {"key": key}
    if table in ONE_FIGURE:
        facts[ONE_FIGURE[table]] = likely
    else:
        facts[THREE_FIGURES[table]] = [low, likely, high]
    for name in _texts(table):
        text = _text(said.get(name))
        if text:
            facts[name] = text
    return facts


def _texts(table: str) -> tuple[str, ...]:
    by_table = {
        "task": ("title", "unit", "who", "block", "source", "note"),
        "material": ("title", "unit", "source", "note"),
        "fee": ("title", "unit", "block", "source", "note"),
        "allowance": ("title", "unit", "source", "note"),
    }
    return by_table.get(table, ("title", "source", "note"))


def _figure(cell: Cell, name: str) -> float:
    if isinstance(cell, bool) or cell in (None, ""):
        raise ValueError(f"“{name}” holds no figure")
    if isinstance(cell, int | float):
        return float(cell)
    text = str(cell).strip()
    if not NUMBER.fullmatch(text):
        shown = text if len(text) <= 30 else text[:29] + "…"
        raise ValueError(f"“{name}” holds “{shown}”, which is no plain figure")
    return float(text)


def _is_same(facts: Facts, table: str, ours: tuple[str | float, ...] | None) -> bool:
    if ours is None:
        return False
    mine = dict(zip(COLUMNS, ours, strict=True))
    if table in ONE_FIGURE:
        return bool(facts[ONE_FIGURE[table]] == mine["likely"]) and _same_texts(facts, mine)
    figures = [mine[name] for name in FIGURES]
    return bool(facts[THREE_FIGURES[table]] == figures) and _same_texts(facts, mine)


def _same_texts(facts: Facts, mine: dict[str, str | float]) -> bool:
    return all(facts[name] == mine[name] for name in ("title", "unit", "who", "block", "source") if name in facts)


def _differing(facts: Facts, ours: tuple[str | float, ...] | None) -> Facts:
    """Leave out a source and a note that are still ours: a figure changed is the person's own."""
    if ours is None:
        return facts
    mine = dict(zip(COLUMNS, ours, strict=True))
    return {name: value for name, value in facts.items() if name not in ("source", "note") or value != mine[name]}


def _told(row: Struct) -> Facts:
    from msgspec import to_builtins

    told: Facts = to_builtins(row)
    return {name: value for name, value in told.items() if value not in (None, "", {})}


def _toml_facts(facts: Facts) -> list[str]:
    return [f"{name} = {_toml(value)}" for name, value in facts.items()]


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_toml(part) for part in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_quoted(str(name))} = {_toml(part)}" for name, part in value.items()) + " }"
    return _quoted(str(value))


def _quoted(text: str) -> str:
    """Give a text as a TOML string. **Source:** TOML 1.0, basic strings: controls, quotes, backslashes escaped."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(f"\\u{ord(c):04x}" if ord(c) < 32 or ord(c) == 127 else c for c in escaped) + '"'
