"""Labels for boards, measured in the PDF by an independent reader: a module is 17.5 mm (DIN 43880, from memory)."""

import io
from collections import Counter

import pypdf
import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_c
import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.home import Home
from circuitmap.home.looked import look_at
from circuitmap.home.records import Board
from circuitmap.memo import Memo
from circuitmap.paper.catalogue import CantMakeError, make, paper_named
from circuitmap.paper.chart_facts import chart_facts
from circuitmap.paper.chart_words import NOT_PROOF
from circuitmap.paper.labels import MODULE_MM, ROW_MODULES, Cell, board_cells, label_words, made, rows_of
from circuitmap.places import sample_homes
from tests.build import Builder
from tests.homes import PLANS, healthy
from tests.paper.charted import TRADE, changed, crowd, wanted
from tests.paper.letters_over import letters, outside, over
from tests.paper.test_chart import home_of, read, surveyed

PT = 72 / 25.4  # points to a millimetre
SAMPLES = ("older-terrace", "rented-flat", "bungalow-tt")


def shapes(data: bytes) -> list[list[tuple[float, float, float, float]]]:
    """Left, bottom, right, top in mm of every line or frame, page by page."""
    document = pdfium.PdfDocument(data)
    try:
        return [
            [tuple(each / PT for each in o.get_bounds()) for o in page.get_objects((pdfium_c.FPDF_PAGEOBJ_PATH,), 15)]
            for page in document
        ]
    finally:
        document.close()


def modules_on_paper(data: bytes) -> Counter[int]:
    """How many labels there are of so many modules, by the frames of a label's height."""
    found: Counter[int] = Counter()
    for page in shapes(data):
        for left, bottom, right, top in page:
            wide, high = right - left, top - bottom
            if high > 18 and abs(wide / MODULE_MM - round(wide / MODULE_MM)) < 0.015 and wide > 10:
                found[round(wide / MODULE_MM)] += 1
    return found


@pytest.mark.parametrize("name", [*SAMPLES, "90/60"])
def test_labels_are_as_wide_as_the_modules_of_the_board(name: str) -> None:
    home = home_of(name).existing()
    facts = chart_facts(home, TRADE, Memo())
    cells = [cell for board in home.table(Board).values() for cell in board_cells(facts, board)]
    assert modules_on_paper(made(wanted(home))[0].data) == Counter(cell.modules for cell in cells)
    for board in home.table(Board).values():
        there = sum(cell.modules for cell in board_cells(facts, board))
        assert there == (board.modules or sum(device.modules for device in home.devices_on(board.id)))


def test_the_line_to_measure_is_a_hundred_millimetres_long() -> None:
    first = shapes(made(wanted(home_of("rented-flat")))[0].data)[0]
    lines = [(right - left, top - bottom) for left, bottom, right, top in first]
    # A line reaches half its thickness beyond either end.
    assert any(thick < 1 and wide - thick == pytest.approx(100.0, abs=0.05) for wide, thick in lines)
    assert "This line is 100 mm long" in read(made(wanted(home_of("rented-flat")))[0].data)


@pytest.mark.parametrize("name", [*SAMPLES, "90/60", "150/20"])
def test_every_way_has_a_label_and_no_word_is_cut_or_printed_over(name: str) -> None:
    home = home_of(name).existing()
    facts = chart_facts(home, TRADE, Memo())
    data = made(wanted(home))[0].data
    text = read(data)
    for way in facts.ways:
        assert way.code in text
        for word in label_words(facts, way).split():
            assert word in text, (way.code, word)
    document = pdfium.PdfDocument(data)
    try:
        for page, drawn in zip(document, shapes(data), strict=True):
            assert not over(page)
            assert not outside(page, 20.0)
            frames = [each for each in drawn if each[3] - each[1] > 18]
            for letter in letters(page):
                left, bottom, right, top = (each / PT for each in letter[1:])
                for a, b, c, d in frames:  # a letter is in a label or out of it, never across its edge
                    if left < c and right > a and bottom < d and top > b:
                        assert left > a
                        assert right < c
                        assert bottom > b
                        assert top < d
    finally:
        document.close()


def test_ways_that_are_joined_unseen_or_empty_say_so() -> None:
    ring = chart_facts(surveyed(ring=True).home, TRADE, Memo())
    assert [label_words(ring, way) for way in ring.ways] == [
        "joined with A4: use the main switch",
        "joined with A3: use the main switch",
    ]
    b = surveyed()
    b.device("B1", "9", label="Shed")
    b.device("B1", "10")
    facts = chart_facts(b.home, TRADE, Memo())
    assert [label_words(facts, way) for way in facts.ways] == [
        "Sockets — Kitchen", "Sockets — Kitchen", "not traced (was: Shed)", "not traced",
    ]  # fmt: skip
    text = read(made(wanted(b.home))[0].data)
    assert f"Board A. {NOT_PROOF}" in text


def test_a_way_with_a_source_of_its_own_is_labelled_so() -> None:
    facts = chart_facts(healthy(next(plan for plan in PLANS if plan.pv)), TRADE, Memo())
    assert "Panels — Kitchen; may stay live" in [label_words(facts, way) for way in facts.ways]


def test_one_board_of_two_and_what_is_none() -> None:
    home = home_of("bungalow-tt")
    text = read(made(wanted(home, subject="B2"))[0].data)
    assert "Garage board" in text
    assert "A1" not in text
    with pytest.raises(CantMakeError, match="“P1” is no board of this home; there are: B1, B2"):
        make(paper_named("labels"), wanted(home, subject="P1"))
    with pytest.raises(CantMakeError, match="no board in this home yet"):
        make(paper_named("labels"), wanted(Home.blank()))
    empty = Builder("Empty")
    empty.board()
    (made_,) = made(wanted(empty.home))
    assert made_.remarks == ("Nothing is listed in board A yet, so it has no strip.",)


@pytest.mark.parametrize(
    "typed",
    ["x" * 300, "Pneumonoultramicroscopicsilicovolcanoconiosis", "word " * 60, "=A1+1", "مطبخ", "#panic()", "🔌🔌"],
)
def test_what_was_typed_is_shrunk_wrapped_or_given_a_higher_strip(typed: str) -> None:
    b = surveyed()
    b.device("B1", "12345678901234567890", label=typed.strip()[:300])
    home = changed(b.home, {"M1": {"name": typed.strip()[:300]}})
    data = made(wanted(home))[0].data
    text = read(data)
    if typed.isascii():
        assert typed.replace(" ", "") in text.replace(" ", "")
    document = pdfium.PdfDocument(data)
    try:
        for page in document:
            assert not over(page)
            assert not outside(page, 20.0)
    finally:
        document.close()


@given(st.lists(st.integers(1, 4), max_size=60))
def test_rows_hold_every_label_in_order_and_fit_the_paper(widths: list[int]) -> None:
    cells = [Cell(wide, str(n), "", "", None) for n, wide in enumerate(widths)]
    rows = rows_of(cells)
    assert [cell for row in rows for cell in row] == cells
    assert all(0 < sum(cell.modules for cell in row) <= ROW_MODULES for row in rows)


def test_blanks_stand_where_nothing_is_on_record() -> None:
    b = Builder("Gaps")
    board = b.board(modules=6)
    b.device(board, "1", module=1)
    b.device(board, "2", module=4)
    facts = chart_facts(b.home, TRADE, Memo())
    cells = board_cells(facts, b.home.take(Board, board))
    assert [cell.code for cell in cells] == ["", "A1", "", "", "A2", ""]


def test_the_same_home_gives_the_same_bytes() -> None:
    with look_at(sample_homes() / "older-terrace") as looked:
        home = looked.home
    assert made(wanted(home))[0].data == made(wanted(home))[0].data
    pages = pypdf.PdfReader(io.BytesIO(made(wanted(crowd(60, 60)))[0].data)).pages
    for page in pages:  # A4 on its side (ISO 216), in points
        assert (round(page.mediabox.width), round(page.mediabox.height)) == (842, 595)
