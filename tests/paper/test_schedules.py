"""Schedules hold every circuit, room and reading; numbers are numbers, words never run, a blank is no zero.

Read back with openpyxl, pypdf and csv. What the columns are called: BS 7671 Appendix 6, from memory.
"""

import csv
import io
import zipfile
from collections.abc import Iterator

import openpyxl
import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.worksheet.worksheet import Worksheet

from circuitmap.circuits import views
from circuitmap.home import Home, verbs
from circuitmap.home.records import Reading, Room
from circuitmap.memo import Memo
from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.schedules import CAUTIONS
from circuitmap.quantities.scales import SHOWN
from circuitmap.trade import load
from tests.build import Builder
from tests.paper.handed import (
    HOSTILE,
    SAMPLES,
    before_and_after,
    document,
    healthy_homes,
    odd_homes,
    sample,
    sixty_ways,
)
from tests.readings.recorded import Taken

# What a sheet can't hold becomes a space.
CONTROLS = dict.fromkeys((*(n for n in range(32) if n != 10), 0x7F, 0xFFFE, 0xFFFF), " ")
Rows = list[dict[str, object]]


def sheets(home: Home, **choices: object) -> dict[str, Rows]:
    """Every sheet of the workbook but the first as rows by their headings."""
    (made,) = document("schedules", home, form="xlsx", **choices)
    book = openpyxl.load_workbook(io.BytesIO(made.data))
    return {name: list(rows(book[name])) for name in book.sheetnames if name != "About"}


def rows(sheet: Worksheet) -> Iterator[dict[str, object]]:
    heads, *rest = sheet.iter_rows(values_only=True)
    for row in rest:
        yield dict(zip(map(str, heads), row, strict=True))


def pdf_words(home: Home, **choices: object) -> str:
    (made,) = document("schedules", home, form="pdf", **choices)
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made.data)).pages)
    return " ".join(text.replace("\u200b", "").split())


def titles(outline: object) -> Iterator[str]:
    """The bookmarks in their order, whatever their depth."""
    for entry in outline if isinstance(outline, list) else [outline]:
        if isinstance(entry, list):
            yield from titles(entry)
        else:
            yield str(entry.title)


def every_reading(home: Home, found: dict[str, Rows]) -> None:
    """Each reading of the home stands once, as typed, with its value in the unit of the heading and its bound."""
    told: dict[str, tuple[str, dict[str, object], str]] = {}
    for name, held in found.items():
        for row in held:
            for side in ("", "Before: ", "After: "):
                if row.get(f"{side}No."):
                    assert row[f"{side}No."] not in told
                    told[str(row[f"{side}No."])] = (name, row, side)
    assert set(told) == set(home.existing().table(Reading))
    for reading in home.existing().table(Reading).values():
        name, row, side = told[reading.id]
        assert row[f"{side}As typed"] == (reading.typed or None)
        assert str(row[f"{side}Day"]).count("-") == 2
        if name == "Polarity":
            assert row[f"{side}Shown"] == (reading.indicated or row[f"{side}Shown"])
            continue
        size, unit, _ = SHOWN.get(reading.test, (1.0, "Ω", 2))
        value = row[f"{side}Value, {unit}"]
        if reading.value_si is None:
            assert isinstance(value, str)
            assert reading.not_possible in value
        else:
            assert isinstance(value, int | float)
            taken = 0.0 if "taken off" not in str(row["Remark"]) else reading.leads_ohm or 0.0
            assert value == pytest.approx(max(0.0, reading.value_si - taken) / size)
            assert row[f"{side}Bound"] == {"=": None}.get(reading.bound, reading.bound)


def every_circuit(home: Home, found: dict[str, Rows]) -> None:
    there = home.existing()
    known = views(there, load(), Memo())
    circuits = {str(row["Circuit"]): row for row in found["Circuits"]}
    assert list(circuits) == [view.code for view in known]
    assert [row["Circuit"] for row in found["Test results"]] == list(circuits)
    for view in known:
        row = circuits[view.code]
        assert row["Overcurrent device: Rating, A"] == view.device.rating_a
        assert row["Overcurrent device: Type"] == (view.device.curve or None)
        said = str(row["Rooms or board served"] or "")
        assert all(room.name.strip()[:20] in said for room in view.rooms)
        counted = sum(load().point(m.point.kind).counts_as_point for m in view.members)
        assert row["Points served"] == (counted or None)
        if view.device.rating_a is None:
            assert "rating" in str(row["Not recorded"])


@pytest.mark.parametrize("name", SAMPLES)
def test_every_circuit_room_and_reading_of_a_sample_home_is_in_the_workbook(name: str) -> None:
    home = sample(name)
    found = sheets(home)
    every_circuit(home, found)
    every_reading(home, found)
    served = {room.name for view in views(home.existing(), load(), Memo()) for room in view.rooms}
    said = " ".join(str(row["Rooms or board served"]) for row in found["Circuits"])
    assert served
    assert all(room in said for room in served)


def test_healthy_homes_of_every_age_are_told_whole() -> None:
    for home in healthy_homes():
        found = sheets(home)
        every_circuit(home, found)
        every_reading(home, found)


@pytest.mark.parametrize(("what", "home"), list(odd_homes()))
def test_odd_homes_give_good_documents_in_every_form(what: str, home: Home) -> None:
    found = sheets(home)
    every_circuit(home, found)
    every_reading(home, found)
    assert document("schedules", home, form="csv")
    said = pdf_words(home)
    assert all(caution in said for caution in CAUTIONS), what
    assert ("Nothing is recorded here yet." in said) == (what != "sixty ways" and what != "hostile labels")


@pytest.mark.parametrize("name", SAMPLES)
def test_every_circuit_and_reading_of_a_sample_home_is_in_the_pdf(name: str) -> None:
    home = sample(name)
    said = pdf_words(home)
    for view in views(home.existing(), load(), Memo()):
        assert view.code in said
        assert view.device.label in said
        assert all(room.name in said for room in view.rooms)
    for reading in home.table(Reading).values():
        assert reading.typed in said


def test_before_and_after_stand_beside_each_other() -> None:
    home = before_and_after()
    found = sheets(home.home)
    every_reading(home.home, found)
    ring = next(row for row in found["Test results"] if row["Circuit"] == "A1")
    assert ring["Ring, end to end: r1 (line): before, Ω"] == 0.55
    assert ring["Ring, end to end: r1 (line): after, Ω"] == 0.57
    assert ring["Ring, end to end: rn (neutral): after, Ω"] == ">99.9"
    assert ring["Continuity: R1+R2: before, Ω"] == 0.31  # the higher of 0.28 and 0.31
    assert ring["Continuity: R1+R2: after, Ω"] is None  # never read, and never a zero
    assert ring["Insulation: L–E, N–E: before, MΩ"] == 150  # lower than over 200
    assert ring["Insulation: L–E, N–E: after, MΩ"] == ">500"
    assert ring["Insulation: L–L, L–N: before, MΩ"] == "not possible: dimmer"
    assert ring["Zs, highest: before, Ω"] == 1.05  # a later reading of the same place stands
    assert ring["Zs, highest: after, Ω"] == 0.71
    assert ring["Polarity: before"] == "correct at 1"
    assert "line and neutral reversed" in str(ring["Polarity: after"])
    loops = {row["Before: No."] or row["After: No."]: row for row in found["Continuity and loops"]}
    again = [row for row in loops.values() if row["Before: Value, Ω"] == 1.10]
    assert len(again) == 1
    assert "doesn't count" in str(again[0]["Remark"])
    assert again[0]["Before: Day"] == "2026-01-05"  # a spreadsheet sorts it
    said = pdf_words(home.home)
    assert "before" in said
    assert "5 January 2026" in said
    assert "2026-01-05" not in said
    assert ">99.9" in said
    assert "not possible: dimmer" in said


def test_without_work_there_is_one_column_a_quantity() -> None:
    home = Taken()
    home.read("Zs", "0.85", at=home.sockets[0])
    found = sheets(home.home)
    assert not any("before" in head or "after" in head for head in found["Test results"][0])
    every_reading(home.home, found)


def test_leads_that_were_not_nulled_are_taken_off_and_said() -> None:
    home = Taken()
    read = home.read("ring end to end", "0.55", "L", "L")
    home.do(verbs.edit(home.home, read, leads_ohm=0.05))
    found = sheets(home.home)
    (row,) = [row for row in found["Continuity and loops"] if row["Test"] == "ring end to end"]
    assert (row["Value, Ω"], row["As typed"]) == (0.5, "0.55")
    assert "0.05 Ω of leads taken off" in str(row["Remark"])


def test_typed_text_is_never_a_formula_a_link_or_markup() -> None:
    home = dict(odd_homes())["hostile labels"]
    (made,) = document("schedules", home, form="xlsx")
    book = openpyxl.load_workbook(io.BytesIO(made.data))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert not [cell for cell in cells if cell.data_type == "f" or cell.hyperlink]
    assert HOSTILE[0] in [cell.value for cell in cells]
    assert all(b"<f>" not in zipfile.ZipFile(io.BytesIO(made.data)).read(name)
               for name in zipfile.ZipFile(io.BytesIO(made.data)).namelist() if "sheet" in name)  # fmt: skip
    for part in document("schedules", home, form="csv"):
        for row in csv.reader(io.StringIO(part.data.decode("utf-8-sig"))):
            # **Source:** OWASP, "CSV Injection", from memory.
            assert not [cell for cell in row if cell.lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r"))]


def test_every_sheet_has_units_in_its_headings_and_keeps_them_in_sight() -> None:
    (made,) = document("schedules", sample("older-terrace"), form="xlsx")
    book = openpyxl.load_workbook(io.BytesIO(made.data))
    for name in book.sheetnames[1:]:
        assert book[name].freeze_panes == "B2"
        assert book[name].print_title_rows == "$1:$1"
    heads = [cell.value for cell in book["Circuits"][1]]
    assert {"Circuit", "Circuit description", "Reference method", "Conductors: Live, mm²", "Conductors: cpc, mm²",
            "Overcurrent device: Rating, A", "Overcurrent device: Breaking capacity, kA",
            "Overcurrent device: Maximum permitted Zs, Ω", "RCD: IΔn, mA"} <= set(heads)  # fmt: skip


def test_csv_says_the_same_as_the_workbook() -> None:
    home = sample("older-terrace")
    found = sheets(home)
    parts = {made.part: made for made in document("schedules", home, form="csv")}
    assert set(parts) == {name.casefold().replace(" ", "-") for name in found}
    for name, held in found.items():
        text = parts[name.casefold().replace(" ", "-")].data.decode("utf-8-sig")
        read = list(csv.DictReader(io.StringIO(text)))
        assert len(read) == len(held)
        for mine, theirs in zip(read, held, strict=True):
            for head, cell in theirs.items():
                if isinstance(cell, int | float):
                    assert float(mine[head]) == cell
                else:
                    assert mine[head] == (cell or "")


def test_the_pages_lie_on_their_side_with_the_heads_on_each_of_them() -> None:
    (made,) = document("schedules", sixty_ways(), form="pdf")
    reader = pypdf.PdfReader(io.BytesIO(made.data))
    assert reader.metadata is not None
    assert reader.metadata.title == "Schedules of circuits and readings"
    marks = list(titles(reader.outline))
    assert marks[:4] == ["Schedules of circuits and readings", "Boards", "Circuit details", "Test results"]
    assert len(reader.pages) > 2
    for page in reader.pages:
        assert (round(page.mediabox.width), round(page.mediabox.height)) == (842, 595)  # A4 in points (ISO 216)
        words = page.extract_text()
        if "Way number" in words:
            assert "description" in words
    whole = " ".join(page.extract_text() for page in reader.pages)
    assert all(f"Way number {n + 1}" in whole for n in range(60))


def test_a_ways_cells_stay_on_one_page() -> None:
    """No row is split: a label and the last cell of its row are on the same page."""
    (made,) = document("schedules", dict(odd_homes())["hostile labels"], form="pdf")
    for page in pypdf.PdfReader(io.BytesIO(made.data)).pages:
        words = page.extract_text().replace("\u200b", "")
        assert words.count("xxxxxx") in (0, *range(40, 200))


def test_the_same_home_gives_the_same_bytes() -> None:
    home = sample("rented-flat")
    for form in ("pdf", "xlsx", "csv"):
        assert document("schedules", home, form=form) == document("schedules", home, form=form)


def test_schedules_of_one_board_or_way() -> None:
    home = sample("bungalow-tt")
    found = sheets(home, subject="B2")
    assert {str(row["Circuit"])[0] for row in found["Circuits"]} == {"B"}
    assert {str(row["Circuit"]) for row in found["Insulation"]} == {"B1", "B2"}
    with pytest.raises(CantMakeError, match="no such thing as P1 here"):
        document("schedules", home, form="pdf", subject="P1")
    for name in ("schedules", "sheets"):
        with pytest.raises(CantMakeError, match="D1 is no way with a circuit"):
            document(name, home, form="pdf", subject="D1")


def test_what_is_planned_stands_in_no_schedule() -> None:
    home = sample("older-terrace")
    before = sheets(home)
    from tests.home.test_phases import promised

    assert sheets(promised(home, "planned")) == before


def test_rooms_are_named_for_every_room_with_a_known_point() -> None:
    home = sample("rented-flat")
    found = sheets(home)
    said = " ".join(str(row["Rooms or board served"]) for row in found["Circuits"])
    known = {m.room.id for view in views(home.existing(), load(), Memo()) for m in view.members if m.room is not None}
    assert all(home.take(Room, i).name in said for i in known)


def test_numbers_are_shown_as_meters_show_them_and_kept_whole() -> None:
    home = Taken()
    home.read("Zs", "61.64", at=home.sockets[0])
    (made,) = document("schedules", home.home, form="xlsx")
    sheet = openpyxl.load_workbook(io.BytesIO(made.data))["Continuity and loops"]
    cell = next(cell for row in sheet.iter_rows() for cell in row if cell.value == 61.64)
    assert cell.number_format == "[>=99.95]0;[>=9.995]0.0;0.00"
    said = pdf_words(home.home)
    assert "61.6 61.64" in said  # the value as a meter shows it, beside what was typed


@given(st.lists(st.text(st.characters(codec="utf-8"), max_size=60), min_size=1, max_size=4))
@settings(max_examples=25, deadline=None)
def test_any_label_comes_back_as_it_was_typed(labels: list[str]) -> None:
    """A spreadsheet holds the label, a file of CSV the label behind an apostrophe where it could be run."""
    b = Builder("Labels")
    board = b.board()
    for n, label in enumerate(labels):
        b.device(board, str(n + 1), label=label)
    held = [view.device.label.strip().translate(CONTROLS) or "No label" for view in views(b.home, load(), Memo())]
    found = sheets(b.home)["Circuits"]
    # XML reads a carriage return as a line break, and a reader strips nothing else.
    assert [str(row["Circuit description"]) for row in found] == held
    text = next(m for m in document("schedules", b.home, form="csv") if m.part == "circuits").data.decode("utf-8-sig")
    told = [row["Circuit description"] for row in csv.DictReader(io.StringIO(text, newline=""))]
    assert [each.removeprefix("'") for each in told] == [each.removeprefix("'") for each in held]
