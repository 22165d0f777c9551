"""The price book as CSV and XLSX: there and back, formulas kept out both ways, bad cells told by their row."""

import csv
import io
import re
import zipfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from circuitmap.errors import FileError
from circuitmap.extension.pricebook import Book, load, with_rows
from circuitmap.extension.pricebook_rows import Range
from circuitmap.extension.pricebook_sheets import COLUMNS, csv_text, harmless, own_toml, read, rows, save_own, write
from tests.extension.priced import demo

HEAD = ",".join(COLUMNS)


def sheet(tmp_path: Path, *lines: str, head: str = HEAD) -> Path:
    path = tmp_path / "prices.csv"
    path.write_text("\n".join((head, *lines)) + "\n", encoding="utf-8")
    return path


def naughty() -> Book:
    titles = {"capping": "=HYPERLINK(1)", "clip": "+1", "filler": "-2", "grommet": "@x", "pendant": "\tt", "fan": "'q"}
    rows_ = [{"key": key, "title": title, "source": "=1+1"} for key, title in titles.items()]
    book = with_rows(demo(), {"material": rows_})
    assert not book.problems
    return book


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_a_book_written_and_read_says_nothing_new(tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"prices{ending}"
    for book in (demo(), naughty()):
        write(book, path)
        said = read(path, book)
        assert (said.rows, said.problems) == ({}, ())
        assert said.unchanged == len(list(rows(book)))


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_figures_changed_in_a_sheet_become_ones_own(tmp_path: Path, ending: str) -> None:
    mine = with_rows(
        demo(),
        {
            "task": [{"key": "chase brick", "minutes": [12, 18.5, 30]}],
            "material": [
                {"key": "clip", "price": [0.02, 0.04, 0.07]},
                {"key": "brass", "title": "Brass", "price": [1, 2, 3]},
            ],
            "rate": [{"key": "mate", "hour": 26.5}],
            "factor": [{"key": "occupied", "times": [1, 1.1, 1.2]}],
            "allowance": [{"key": "drop", "value": 2.4}],
            "fee": [{"key": "parking", "price": [0, 0, 0]}],
        },
    )
    path = tmp_path / f"prices{ending}"
    write(mine, path)
    said = read(path, demo())
    assert not said.problems
    back = with_rows(demo(), said.rows)
    assert not back.problems
    assert back.own_rows == mine.own_rows
    assert list(rows(back)) == list(rows(mine))


def test_no_cell_of_a_csv_is_taken_for_a_formula() -> None:
    # **Source:** OWASP, "CSV Injection" (from memory): = + - @ tab and carriage return begin one
    for row in csv.reader(io.StringIO(csv_text(naughty()).lstrip("\ufeff"))):
        for name, cell in zip(COLUMNS, row, strict=True):
            assert name in ("low", "likely", "high") or not cell.startswith(("=", "+", "-", "@", "\t", "\r"))


def test_no_cell_of_an_xlsx_is_a_formula(tmp_path: Path) -> None:
    # independent: the packed XML itself, in which a formula would stand in an <f> element
    path = tmp_path / "prices.xlsx"
    write(naughty(), path)
    with zipfile.ZipFile(path) as packed:
        parts = [packed.read(name).decode() for name in packed.namelist() if name.endswith(".xml")]
    assert not any(re.search(r"<f[ >]", part) for part in parts)
    assert any("HYPERLINK" in part for part in parts)
    made = load_workbook(path)["prices"]
    by_key = {row[1].value: row for row in made.iter_rows()}
    assert by_key["capping"][2].value == "=HYPERLINK(1)"
    assert by_key["capping"][2].data_type == "s"
    assert by_key["clip"][6].data_type == "n"


@given(st.text(max_size=30))
def test_a_harmless_text_never_begins_a_formula(text: str) -> None:
    assert not harmless(text).lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r"))


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("task,isolate,,,,,=1+1,2,3,,", "“low” holds “=1+1”, which is no plain figure"),
        ("task,isolate,,,,,1e99,2,3,,", "“low” holds “1e99”, which is no plain figure"),
        ("task,isolate,,,,,£5,2,3,,", "“low” holds “£5”"),
        ("task,isolate,,,,,,2,3,,", "“low” holds no figure"),
        ("spell,x,,,,,1,2,3,,", "“spell” is no table of a price book"),
        (",,,,,,1,2,3,,", "(no key)"),
    ],
)
def test_a_bad_row_of_a_csv_is_told_and_the_rest_read(tmp_path: Path, line: str, says: str) -> None:
    said = read(sheet(tmp_path, line, "rate,mate,mate,,,,27,27,27,,"), demo())
    assert len(said.problems) == 1
    assert says in said.problems[0]
    assert said.problems[0].startswith("Row 2")
    assert said.problems[0].endswith("the row is left out.")
    assert with_rows(demo(), said.rows).rates["mate"].hour == 27


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("material,clip,,,,,-1,2,3,,", "is below zero"),
        ("material,clip,,,,,3,2,1,,", "low, likely, high"),
        ("rate,wizard,x,,,,1,1,1,,", "there is no such rate"),
    ],
)
def test_figures_that_can_t_be_are_refused_by_the_book(tmp_path: Path, line: str, says: str) -> None:
    said = read(sheet(tmp_path, line), demo())
    book = with_rows(demo(), said.rows)
    assert len(book.problems) == 1
    assert says in book.problems[0]


def test_a_formula_in_an_xlsx_is_refused_with_its_row(tmp_path: Path) -> None:
    made = Workbook()
    made.active.append(list(COLUMNS))
    made.active.append(["material", "clip", "Clip", "each", "", "", "=1+1", 2, 3, "", ""])
    made.active.append(["material", "capping", "=A1", "m", "", "", 1, 2, 3, "", ""])
    made.active.append(["material", "grommet", "Grommet", "each", "", "", 1, "2.5", 3, "", ""])
    made.active.append([None] * 11)
    path = tmp_path / "prices.xlsx"
    made.save(path)
    said = read(path, demo())
    assert [problem[:15] for problem in said.problems] == ["Row 2 (clip): h", "Row 3 (capping)"]
    assert all("holds a formula" in problem for problem in said.problems)
    assert with_rows(demo(), said.rows).materials["grommet"].price == Range(1, 2.5, 3)


def test_semicolons_and_decimal_commas_are_read(tmp_path: Path) -> None:
    said = read(sheet(tmp_path, "task;isolate;9,5;10;12", head="table;key;low;likely;high"), demo())
    assert not said.problems
    assert with_rows(demo(), said.rows).tasks["isolate"].minutes == Range(9.5, 10, 12)


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("a.csv", b"key,low\n", "has no column table, likely, high in its first row"),
        ("a.csv", b"", "has no column"),
        ("a.csv", b"\xff\xfe\x00", "no UTF-8 text"),
        ("a.csv", b"x" * 5_000_001, "far too large"),
        ("a.xlsx", b"no zip", "no .xlsx that can be read"),
        ("a.xlsx", b"PK\x05\x06" + b"\0" * 18, "no .xlsx that can be read"),
        ("a.ods", b"", "neither .csv nor .xlsx"),
    ],
)
def test_a_file_that_is_no_sheet_is_refused_in_a_sentence(tmp_path: Path, name: str, content: bytes, says: str) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(FileError, match=re.escape(says)):
        read(path, demo())


def test_a_sheet_that_unpacks_to_far_too_much_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b"\0" * 61_000_000)
    with pytest.raises(FileError, match="unpacks to far more"):
        read(path, demo())


def test_a_missing_file_and_a_folder_that_can_t_be_written_are_told(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="can't be read"):
        read(tmp_path / "none.csv", demo())
    with pytest.raises(FileError, match="can't be written"):
        write(demo(), tmp_path / "no folder" / "a.csv")
    with pytest.raises(FileError, match=r"as \.csv or \.xlsx"):
        write(demo(), tmp_path / "a.txt")


def test_ones_own_rows_are_kept_in_a_file_that_gives_the_same_book(tmp_path: Path) -> None:
    mine = with_rows(
        naughty(),
        {
            "task": [
                {"key": "isolate", "title": 'Say "dead"\\ \x7f\n', "minutes": [9, 10, 11], "shares": {"walls": 0.25}}
            ],
            "recipe": [{"key": "mine", "of": "bend", "each": {"bend": 2}, "deep": False}],
            "cause": [{"key": "moon", "title": "The moon"}],
        },
        {"minimum_charge": 95.5},
    )
    assert not mine.problems
    path = tmp_path / "folder" / "prices.toml"
    save_own(mine, path)
    back = load(own=path)
    assert not back.problems
    assert own_toml(back) == own_toml(mine)
    assert back.own_rows == mine.own_rows
    assert back.tasks["isolate"] == mine.tasks["isolate"]
    assert back.terms == mine.terms
    assert [row for row in back.recipes if row.key == "mine"] == [row for row in mine.recipes if row.key == "mine"]


def test_a_save_that_fails_leaves_the_old_file_whole(tmp_path: Path) -> None:
    path = tmp_path / "prices.toml"
    path.mkdir()
    with pytest.raises(FileError):
        save_own(demo(), path)
    assert not path.with_name("prices.toml.part").exists()
