"""Pages of schedules and sheets: no letter over another, none in the margin, whatever the home; tagged, titled."""

import io
import re
import unicodedata
from itertools import pairwise

import pypdf
import pypdfium2 as pdfium
import pytest

from circuitmap.circuits import views
from circuitmap.home import Home
from circuitmap.home.records import Board, Point, Room, Storey
from circuitmap.memo import Memo
from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.walk_sheets import CAUTIONS, TITLE
from circuitmap.plan.where import place_of
from circuitmap.readings.sheet import groups_of
from circuitmap.trade import load
from tests.build import Builder
from tests.paper.handed import DAY, SAMPLES, before_and_after, document, odd_homes, sample
from tests.paper.letters_over import over

HOMES = [*((name, sample(name)) for name in SAMPLES), *odd_homes(), ("before and after", before_and_after().home)]
NAMES = [name for name, _ in HOMES]
A4 = {(595, 842), (842, 595)}  # points (ISO 216)


def made(name: str, home: Home, **choices: object) -> bytes:
    (file,) = document(name, home, form="pdf", **choices)
    return file.data


def said(data: bytes) -> str:
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)
    return " ".join(text.replace("\u200b", "").split())


@pytest.mark.parametrize("document_name", ["schedules", "sheets"])
@pytest.mark.parametrize(("what", "home"), HOMES, ids=NAMES)
def test_no_letter_is_over_another_or_in_the_margin(document_name: str, what: str, home: Home) -> None:
    pages = pdfium.PdfDocument(made(document_name, home, **({"size": "A4"} if document_name == "schedules" else {})))
    try:
        for number, page in enumerate(pages, 1):
            wide, high = page.get_size()
            assert (round(wide), round(high)) in A4
            # Accents stand over their letter, as they should.
            pairs = [p for p in over(page) if not any(unicodedata.combining(each.letter) for each in p)]
            assert pairs == [], (what, number)
            image = page.render(scale=1.0).to_pil().convert("L")
            # 10 mm that most printers leave white (common practice, no source).
            edge = 28
            for strip in ((0, 0, edge, image.height), (image.width - edge, 0, image.width, image.height),
                          (0, 0, image.width, edge), (0, image.height - edge, image.width, image.height)):  # fmt: skip
                assert image.crop(strip).getextrema() == (255, 255), (what, number, strip)
    finally:
        pages.close()


@pytest.mark.parametrize("document_name", ["schedules", "sheets"])
def test_pages_are_tagged_titled_and_in_english(document_name: str) -> None:
    reader = pypdf.PdfReader(io.BytesIO(made(document_name, sample("older-terrace"))))
    root = reader.trailer["/Root"]
    assert root["/Lang"] == "en-GB"  # type: ignore[index]  # a catalogue is a mapping
    assert root["/MarkInfo"]["/Marked"]  # type: ignore[index]  # a catalogue is a mapping
    assert reader.metadata is not None
    assert reader.metadata.title
    assert len(reader.outline) > 0
    fonts = {
        font["/BaseFont"]
        for page in reader.pages
        for font in (each.get_object() for each in page["/Resources"].get("/Font", {}).values())  # type: ignore[union-attr]  # resources are a mapping
    }
    assert fonts
    assert all(re.match(r"/[A-Z]{6}\+SourceSansPro", font) for font in fonts)  # subsets, embedded (ISO 32000 9.6.4)


# -- sheets for the walk -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("what", "home"), HOMES, ids=NAMES)
def test_sheets_name_every_point_way_and_room(what: str, home: Home) -> None:
    words = said(made("sheets", home))
    assert all(" ".join(caution.split()) in words for caution in CAUTIONS)
    assert f"Printed {DAY.day} {DAY:%B} {DAY.year}" in words
    there = home.existing()
    for point in there.table(Point):
        assert re.search(rf"\b{point}\b", words), (what, point)
    if what == "hostile labels":
        return
    for view in views(there, load(), Memo()):
        assert f"{view.code} {view.device.label}".strip() in words
        assert all(room.name in words for room in view.rooms)
    for board in there.table(Board).values():
        assert f"Board {board.letter_on_map}" in words
    used = {room.id for view in views(there, load(), Memo()) for room in view.rooms}
    assert all(there.take(Room, room).name in words for room in used)


@pytest.mark.parametrize("name", SAMPLES)
def test_sheets_ask_the_tests_that_the_readings_ask(name: str) -> None:
    """Step by step what the grid on the screen asks: a column for each sweep, a box for each reading at the board."""
    home = sample(name).existing()
    words = said(made("sheets", home))
    for view in views(home, load(), Memo()):
        alone = said(made("sheets", home, subject=view.device.id))
        groups = {group.id: group for group in groups_of(view)}
        assert ("r1, line, Ω" in alone) == ("ends" in groups)
        assert ("R1+R2, Ω" in alone) == ("radial" in groups)
        assert ("L–N, Ω" in alone) == ("cross-N" in groups)
        assert all(f"{line.name}, MΩ" in alone for line in groups["insulation"].lines)
        for group in groups.values():
            assert group.title in words
            assert " ".join(group.how.split()) in words


def test_numbers_on_the_plan_are_those_of_the_points() -> None:
    home = sample("older-terrace").existing()
    pages = pdfium.PdfDocument(made("sheets", home))
    try:
        texts = [page.get_textpage().get_text_range() for page in pages]
    finally:
        pages.close()
    for storey in home.sorted(Storey):
        here = [p.id for p in home.sorted(Point) if (at := place_of(home, p)) is not None and at.storey == storey.id]
        plan = next(text for text in texts if text.split("\n")[0].strip() == storey.name)
        assert {point[1:] for point in here} <= set(re.findall(r"\b\d+\b", plan))


def test_boxes_are_high_enough_to_write_in() -> None:
    """Rows lie 8 mm apart or more: what a hand needs (common practice, no source)."""
    pages = pdfium.PdfDocument(made("sheets", sample("older-terrace")))
    try:
        gaps = []
        for page in pages:
            text = page.get_textpage()
            tops = []
            for n in range(text.count_rects()):
                left, bottom, right, top = text.get_rect(n)
                if re.fullmatch(r"P\d+", text.get_text_bounded(left, bottom, right, top).strip()) and left < 60:
                    tops.append(bottom)
            gaps += [a - b for a, b in pairwise(tops) if 0 < a - b < 60]
    finally:
        pages.close()
    assert len(gaps) > 80
    assert min(gaps) >= 8 * 72 / 25.4 - 0.5


def test_a_home_without_anything_gets_squared_paper_and_an_empty_grid() -> None:
    (file,) = document("sheets", Home.blank("Nothing"), form="pdf")
    words = said(file.data)
    assert TITLE in words
    assert "Sketch of the storey" in words
    assert "r1, line, Ω" in words
    assert len(file.remarks) == 2


def test_rooms_without_a_point_are_drawn_to_be_filled() -> None:
    b = Builder("Before the survey")
    b.room("Kitchen", b.storey(), (0, 0, 4000, 3000))
    words = said(made("sheets", b.home))
    assert "Kitchen" in words
    assert "Sketch of the storey" not in words


def test_sheets_of_a_storey_or_a_way_leave_the_rest_out() -> None:
    home = sample("older-terrace")
    upper = home.sorted(Storey)[1].id
    words = said(made("sheets", home, storey=upper))
    assert "Bedroom 1, First floor" in words
    assert "Kitchen, Ground floor" not in words
    for choices in ({"storey": "G9"}, {"subject": "D99"}):
        with pytest.raises(CantMakeError):
            document("sheets", home, form="pdf", **choices)


@pytest.mark.parametrize("document_name", ["schedules", "sheets"])
def test_the_same_home_gives_the_same_pages(document_name: str) -> None:
    home = sample("bungalow-tt")
    assert made(document_name, home) == made(document_name, home)
