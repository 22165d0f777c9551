"""No page begins or ends with less than three rows of a table that goes on, in any document; read back by pypdfium2."""

import json
import re
from collections.abc import Sequence

import pypdfium2 as pdfium
import pytest
import typst
from font_source_sans_pro import font_directory

from circuitmap.home import Home
from circuitmap.paper.catalogue import make, paper_named
from circuitmap.places import resources
from tests.paper.charted import wanted
from tests.paper.test_chart import SAMPLES, sample

_PAGE = """#import "common.typ": *
#let d = json("data.json")
#show: framed.with(title: "t")
#v(d.down * 1pt)
#if d.list [
  == What is included
  #listed(d.rows.map(row => row.at(0)))
] else { rows-table((auto, 1fr), ("a", "b"), d.rows) }
"""


def pages(data: bytes) -> list[list[str]]:
    document = pdfium.PdfDocument(data)
    try:
        return [page.get_textpage().get_text_range().splitlines() for page in document]
    finally:
        document.close()


def counts(data: bytes) -> list[int]:
    """Give how many rows stand on each page that has any."""
    found = [len(re.findall(r"\brow \d", " ".join(page))) for page in pages(data)]
    return [each for each in found if each]


def page_of(down: int, rows: Sequence[Sequence[str]], *, is_list: bool) -> bytes:
    """Set rows that begin so many points down the page, by the parts that all documents share."""
    common = (resources() / "documents" / "common.typ").read_text(encoding="utf-8")
    data = json.dumps({"down": down, "rows": rows, "list": is_list})
    made = typst.compile(
        {"main.typ": _PAGE.encode(), "common.typ": common.encode(), "data.json": data.encode()},
        format="pdf",
        font_paths=[font_directory],
        ignore_system_fonts=True,
    )
    assert isinstance(made, bytes)
    return made


@pytest.mark.parametrize("is_list", [False, True])
@pytest.mark.parametrize("down", range(0, 700, 17))
def test_three_rows_stay_together_wherever_the_page_ends(down: int, is_list: bool) -> None:
    data = page_of(down, [[f"row {n}", "words"] for n in range(9)], is_list=is_list)
    found = counts(data)
    assert sum(found) == 9
    assert min(found) >= 3, found


def test_rows_too_long_to_stay_together_are_all_there() -> None:
    rows = [[f"row {n}", "word " * 400] for n in range(7)]
    data = page_of(300, rows, is_list=False)
    assert sum(counts(data)) == 7


@pytest.mark.parametrize("name", SAMPLES)
def test_no_point_stands_alone_on_the_sheets_for_the_walk(name: str) -> None:
    home: Home = sample(name)
    (made,) = make(paper_named("sheets"), wanted(home))
    tables = [page for page in pages(made.data) if any(line.startswith("Point What it is") for line in page)]
    assert tables
    for page in tables:
        rows = sum(line.strip().startswith(tuple(f"P{n} " for n in range(1, 200))) for line in page)
        assert rows >= 3, page


def test_a_way_without_points_stays_on_one_page() -> None:
    (made,) = make(paper_named("sheets"), wanted(sample("bungalow-tt")))
    for page in pages(made.data):
        # A page of empty rows only would have nothing but their heads and the foot.
        assert len([line for line in page if line.strip()]) > 3, page
