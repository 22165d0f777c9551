"""The sheet as pages: everything on the page, no words over other words, numbers as the survey gives them.

A4 is 210 mm by 297 mm (ISO 216); an SVG pixel is 1/96 inch (CSS Values 4, section 6.2).
"""

import itertools
import re
from collections.abc import Iterator
from xml.etree import ElementTree as Tree

import pytest

from circuitmap.drawing.paper_pen import HIGH_PX, INSIDE_PX, MARGIN_PX, WIDE_PX, measured, shortened, wrapped
from circuitmap.drawing.paper_sheet import sheet_pages
from circuitmap.home import Home, verbs
from circuitmap.home.exchange import open_home
from circuitmap.home.records import Device
from circuitmap.memo import Memo
from circuitmap.places import sample_homes
from circuitmap.survey import Paper, blank_paper, paper_beforehand, paper_of_round
from circuitmap.trade import load
from tests.build import Builder

SVG = "{http://www.w3.org/2000/svg}"
Box = tuple[float, float, float, float]
_MOVE = re.compile(r"translate\(([-\d.]+) ([-\d.]+)\)")


def words_of(page: str) -> Iterator[tuple[str, Box]]:
    """Give every line of text of a page with the box that it takes at most, in px of the page."""

    def walk(element: Tree.Element, dx: float, dy: float) -> Iterator[tuple[str, Box]]:
        move = _MOVE.match(element.get("transform", ""))
        if move is not None:
            dx, dy = dx + float(move.group(1)), dy + float(move.group(2))
        if element.tag == f"{SVG}text" and element.text:
            size = float(element.get("font-size", "0"))
            wide = measured(element.text, size, bold=element.get("font-weight") is not None)
            x, y = float(element.get("x", "0")) + dx, float(element.get("y", "0")) + dy
            left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[element.get("text-anchor", "start")]
            yield element.text, (left, y - size * 0.72, left + wide, y + size * 0.2)
        for child in element:
            yield from walk(child, dx, dy)

    yield from walk(Tree.fromstring(page), 0.0, 0.0)


def texts(page: str) -> list[str]:
    return [words for words, _ in words_of(page)]


def overlapping(page: str) -> list[tuple[str, str]]:
    found = []
    for (one, a), (other, b) in itertools.combinations(words_of(page), 2):
        if a[0] < b[2] - 0.01 and b[0] < a[2] - 0.01 and a[1] < b[3] - 0.01 and b[1] < a[3] - 0.01:
            found.append((one, other))
    return found


def off_the_page(page: str) -> list[str]:
    edge = MARGIN_PX - 1
    inside = (edge, edge, WIDE_PX - edge, HIGH_PX - edge)
    return [
        words for words, box in words_of(page)
        if box[0] < inside[0] or box[1] < inside[1] or box[2] > inside[2] or box[3] > inside[3]
    ]  # fmt: skip


def pages_of(home: Home, paper: Paper) -> tuple[str, ...]:
    pages = sheet_pages(home, Memo(), paper)
    for page in pages:
        assert overlapping(page) == []
        assert off_the_page(page) == []
    return pages


def crowded(count: int) -> Builder:
    """A home with everything that makes a sheet full: long names, many points in a small room, many ways, sources."""
    b = Builder("The old schoolhouse with the longest name that anybody ever gave to a house in this county " * 2)
    ground, attic = b.storey("Ground"), b.storey("Attic under the long roof of the eastern wing", 1)
    room = b.room("Scullery behind the kitchen, left of the passage to the yard and the coal store", ground,
                  (0, 0, 3000, 2500))  # fmt: skip
    board = b.board()
    for n in range(1, 13):
        b.device(board, str(n), label=f"Sockets and lights and what else was ever put on here, no. {n}")
    for n in range(count):
        name = f"Unbreakable{'m' * 60}" if n == 3 else f"W–W–W number {n}"
        spot = (ground, 100 + n % 12 * 230, 100 + n // 12 * 300)
        b.point("socket", spot, gangs=1 + n % 3, name=name, where="behind the wardrobe " * 9)
    b.point("light", (attic, 1000, 1000))
    b.point("socket", room=room)
    b.visit()
    return b


@pytest.mark.parametrize("name", ["bungalow-tt", "older-terrace", "rented-flat"])
def test_no_words_of_a_real_home_lie_over_others_or_off_the_page(name: str) -> None:
    home, memo, trade = open_home(sample_homes() / name), Memo(), load()
    for record in ("S1", "S2", "S4", "S5"):
        pages_of(home, paper_of_round(home, memo, trade, record))
    pages = pages_of(home, blank_paper(home, memo, trade))
    assert "Date" in texts(pages[0])


@pytest.mark.parametrize("count", [0, 1, 60, 300])
def test_no_words_of_a_crowded_home_lie_over_others_or_off_the_page(count: int) -> None:
    b = crowded(count)
    memo, trade = Memo(), load()
    every = tuple(device.id for device in b.home.sorted(Device))
    pages = pages_of(b.home, paper_beforehand(b.home, memo, trade, every, ("battery", "PV")))
    listed = [int(words) for page in pages for words in texts(page) if words.isdecimal()]
    assert set(listed) >= set(range(1, count + 2))
    pages_of(b.home, blank_paper(b.home, memo, trade))


def test_numbers_that_find_no_place_on_a_small_plan_are_named_under_it() -> None:
    b = Builder("Switch cupboard")
    ground = b.storey()
    b.room("Cupboard", ground, (0, 0, 900, 900))
    b.room("Field", ground, (0, 0, 90000, 90000))
    for n in range(300):
        b.point("socket", (ground, 100 + n % 20 * 30, 100 + n // 20 * 30))
    pages = pages_of(b.home, blank_paper(b.home, Memo(), load()))
    assert any(words.startswith("Too close together to be numbered here:") for page in pages for words in texts(page))


def test_every_page_says_whose_which_of_how_many_and_that_it_is_no_proof() -> None:
    b = crowded(60)
    pages = pages_of(b.home, blank_paper(b.home, Memo(), load()))
    assert len(pages) > 2
    for n, page in enumerate(pages, 1):
        assert f"page {n} of {len(pages)}" in texts(page)
        assert any("prove dead at the point of work" in words for words in texts(page))
        assert 'width="210mm" height="297mm"' in page


def test_a_room_carried_over_to_the_next_page_is_named_again() -> None:
    b = Builder()
    room = b.room("Long gallery")
    for _ in range(60):
        b.point(room=room)
    first, second, *_ = pages_of(b.home, blank_paper(b.home, Memo(), load()))
    assert "Long gallery" in texts(first)
    assert "Long gallery, continued" in texts(second)


def test_what_was_written_down_already_is_ticked() -> None:
    b = Builder()
    points = [b.point() for _ in range(3)]
    way = b.device(b.board(), "1")
    record = b.round(b.visit(), way)
    assert pages_of(b.home, paper_of_round(b.home, Memo(), load(), record))[0].count('stroke-width="1.5"/>') == 0
    b.check(record, points[0], "off")
    b.check(record, points[1], "can't tell")
    ticked = pages_of(b.home, paper_of_round(b.home, Memo(), load(), record))[0]
    assert ticked.count('stroke-width="1.5"/>') == 2


def test_a_look_with_everything_on_asks_whether_a_point_is_on_and_warns_of_nothing_lost() -> None:
    b = Builder()
    b.point()
    look = b.round(b.visit())
    (page,) = pages_of(b.home, paper_of_round(b.home, Memo(), load(), look))
    said = texts(page)
    assert "Nothing goes off: look with everything on" in said
    assert {"not on", "on"} <= set(said)
    assert "went off" not in said
    assert not [words for words in said if "power back" in words.lower()]


def test_a_sheet_never_calls_a_point_dead() -> None:
    b = crowded(10)
    for page in pages_of(b.home, blank_paper(b.home, Memo(), load())):
        for words in texts(page):
            rest = words.lower().replace("prove dead", "").replace("proved dead", "")
            assert "dead" not in rest


def test_typed_names_can_do_no_harm_to_a_page() -> None:
    b = Builder("</text><script>alert(1)</script>\x00 & co")
    b.point(name='<b>Fish</b> & "chips"', where="\u202egnorw")
    b.do(verbs.edit(b.home, "P1", name='<b>Fish</b> & "chips"'))
    (page,) = pages_of(b.home, blank_paper(b.home, Memo(), load()))
    assert "<script" not in page
    assert any('<b>Fish</b> & "chips"' in words for words in texts(page))


def test_a_long_word_is_broken_and_a_long_text_ends_in_an_ellipsis() -> None:
    lines = wrapped("m" * 200, 100, 10)
    assert "".join(lines) == "m" * 200
    assert all(measured(line, 10) <= 100 for line in lines)
    short = wrapped("one two three four five six seven eight nine ten", 60, 10, most=2)
    assert len(short) == 2
    assert short[-1].endswith("…")
    assert all(measured(line, 10) <= 60 for line in short)
    assert measured(shortened("m" * 500, INSIDE_PX, 19, bold=True), 19, bold=True) <= INSIDE_PX
