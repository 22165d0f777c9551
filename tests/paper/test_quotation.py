"""A quotation on paper and as a spreadsheet: one price that adds up, no range, nothing left out, nothing executed."""

import io
import re
from collections.abc import Iterator
from decimal import Decimal

import openpyxl
import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_c
import pytest
from msgspec.structs import replace

from circuitmap.drawing.palette import colour
from circuitmap.errors import PersonError
from circuitmap.extension.estimate_says import CANCELLING, CAUTIONS, range_said
from circuitmap.extension.money import show_money
from circuitmap.extension.pathing import RoutePoint
from circuitmap.home import Change
from circuitmap.home.records import Point, Wish
from circuitmap.memo import Memo
from circuitmap.paper import Offer, offer_of, quotation_pdf, quotation_xlsx
from circuitmap.paper.figures import Figure, plan_extracts, wall_extracts
from circuitmap.paper.offer import NotSoundError, included
from circuitmap.paper.quotation import quotation_data
from circuitmap.paper.typeset import breakable, shown, typeset
from tests.drawing.walls_seen import kitchen
from tests.extension.priced import demo
from tests.extension.routed import TRADE
from tests.paper.offered import DAY, EXTENSION, FIT, named, offer, option, planned


def pdf(made: Offer) -> bytes:
    return quotation_pdf(made, demo(), TRADE, Memo())


def pages(data: bytes) -> Iterator[str]:
    document = pdfium.PdfDocument(data)
    try:
        for page in document:
            yield page.get_textpage().get_text_range()
    finally:
        document.close()


def said(made: Offer) -> str:
    """All text of the document, each space as one."""
    return " ".join(" ".join(pages(pdf(made))).split())


def money(text: str) -> Decimal:
    return Decimal(text.replace("£", "").replace(",", ""))


@pytest.fixture(scope="module")
def plain() -> Offer:
    return offer()


@pytest.fixture(scope="module")
def text(plain: Offer) -> str:
    return said(plain)


def test_the_price_adds_up_by_hand(text: str) -> None:
    """Blocks sum to net; VAT of 20 % rounded to the penny; net and VAT are the total, which is also at the top."""
    table = text[text.index("The price and its basis") : text.index("Labour is charged")]
    amounts = [money(each) for each in re.findall(r"£[\d,]+\.\d\d", table)]
    *blocks, net, tax, total = amounts
    assert sum(blocks) == net
    assert tax == (net * Decimal("0.20")).quantize(Decimal("0.01"))
    assert net + tax == total
    assert text.index(f"£{total:,}") < text.index("What will be done")


def test_everything_that_a_quotation_owes_is_in_it(text: str, plain: Offer) -> None:
    """A fixed price, assumptions, provisional sums, validity, VAT line, 14 days: common practice, no source."""
    for heading in ("What will be done", "Before anything is added", "Drawings", "What is included",
                    "What is not included", "Assumptions", "Certificate and notification", "Your right to cancel",
                    "Cautions"):  # fmt: skip
        assert heading in text
    assert "Holds until 4 February 2026" in text  # 30 days after 5 January, counted by hand
    assert "14 days" in text
    assert CANCELLING in text
    assert all(caution in text for caution in CAUTIONS)
    assert "Bonding of the gas pipe was not seen." in text
    assert "New, no. 2: twin socket, Room 1, wall 1 (W1), 1.80 m from its left corner, 1100 mm over the floor." in text
    assert all(each in text for each in plain.scope)
    assert all(each in text for each in included(plain))


def test_the_customer_sees_no_range(text: str, plain: Offer) -> None:
    priced = plain.priced
    assert priced.drawn is not None
    for amount in (priced.drawn.p10, priced.drawn.p50, priced.drawn.p90, priced.mean, priced.sd):
        assert show_money(round(amount), priced.sign) not in text
    assert range_said(priced) not in text
    assert not re.search(r"P10|P50|P90|on average|of the spread|likely", text)


def test_invented_prices_are_not_sent_by_mistake(text: str) -> None:
    assert "Not to be sent as it is." in text
    assert "invented for the demonstration" in text


def test_sums_set_aside_and_offers_apart_have_tables_of_their_own() -> None:
    made = offer()
    from circuitmap.extension.price import Provisional

    with_sum = replace(made, priced=replace(made.priced, provisional=(Provisional(for_what="wall W9", charge=4250),)))
    found = said(with_sum)
    assert "Provisional sums, in the price" in found
    assert "Wall W9 £42.50" in found
    assert found.count("£42.50") == 1  # and not among the assumptions a second time
    apart = said(replace(made, priced=replace(made.priced, optional=made.priced.lines[:1])))
    assert "Offered apart, not in the price" in apart
    assert "before anything was opened" in apart
    assert "Provisional sums, in the price" not in said(made)


def test_the_text_of_the_drawings_can_be_searched(text: str) -> None:
    assert "1800" in text
    assert "2400" in text
    assert "135 × 75 mm" in text
    assert "25 mm or more" in text


def test_the_file_has_title_bookmarks_and_only_fonts_that_it_brings(plain: Offer) -> None:
    document = pdfium.PdfDocument(pdf(plain))
    assert document.get_metadata_dict()["Title"] == "Quotation: More sockets"
    marks = [mark.get_title() for mark in document.get_toc()]
    assert marks[:2] == ["Quotation: More sockets", "What will be done"]
    fonts = set()
    for page in document:
        for each in page.get_objects(filter=[pdfium_c.FPDF_PAGEOBJ_TEXT], max_depth=6):
            fonts.add(bool(pdfium_c.FPDFFont_GetIsEmbedded(pdfium_c.FPDFTextObj_GetFont(each.raw))))
    assert fonts == {True}
    document.close()


def test_the_same_offer_gives_the_same_bytes() -> None:
    assert pdf(offer()) == pdf(offer())


def test_typed_text_stays_text() -> None:
    home = named("#panic() *x* $y$ [z] =1+1", "<b>Lane</b> \\u{41} @ref // no comment")
    made = offer_of(home, EXTENSION, [option(home)], demo(), TRADE, Memo(), day=DAY)
    found = said(made)
    assert "#panic() *x* $y$ [z] =1+1" in found
    assert "<b>Lane</b> \\u{41} @ref // no comment" in found


def test_a_letter_that_the_font_lacks_is_said_by_its_number() -> None:
    assert shown("Łódź Ω ² ≤ –") == "Łódź Ω ² ≤ –"
    assert shown("\u0634") == "[U+0634]"
    assert "[U+0634]" in said(offer("House \u0634"))


def test_a_word_without_end_is_broken_and_stays_on_its_page() -> None:
    assert breakable("short words stay") == "short words stay"
    assert breakable("x" * 40).replace("\u200b", "") == "x" * 40
    document = pdfium.PdfDocument(pdf(offer("x" * 400)))
    first = document[0]
    wide = first.get_width()
    for each in first.get_objects(filter=[pdfium_c.FPDF_PAGEOBJ_TEXT], max_depth=6):
        left, _, right, _ = each.get_bounds() if hasattr(each, "get_bounds") else each.get_pos()
        assert 0 <= left <= right <= wide
    document.close()


def test_the_sheet_holds_numbers_and_the_same_total(plain: Offer) -> None:
    book = openpyxl.load_workbook(io.BytesIO(quotation_xlsx(plain, demo(), TRADE, Memo())))
    assert book.sheetnames == ["Quotation", "What is included", "Words", "Marking out"]
    front = {row[0]: row[1] for row in book["Quotation"].iter_rows(values_only=True) if row[0]}
    assert front["Total, with VAT"] == pytest.approx(plain.priced.total / 100)
    assert front["Net, without tax"] + front["VAT, 20 %"] == pytest.approx(front["Total, with VAT"])
    assert "Amounts here are without VAT; the total is with it." in front
    marked = list(book["Marking out"].iter_rows(min_row=2, values_only=True))
    assert [row[3] for row in marked] == ["1500 mm", "1800 mm", "3300 mm"]


def test_no_cell_is_a_formula() -> None:
    home = named("=1+1", "@SUM(A1)")
    extension = replace(EXTENSION, name="=HYPERLINK(1)")
    made = offer_of(home, extension, [option(home)], demo(), TRADE, Memo(), day=DAY, fit=FIT)
    book = openpyxl.load_workbook(io.BytesIO(quotation_xlsx(made, demo(), TRADE, Memo())))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert not [cell.coordinate for cell in cells if cell.data_type == "f"]
    assert "=1+1" in [cell.value for cell in cells]


def test_what_is_not_sound_is_not_offered() -> None:
    home = named("House")
    with pytest.raises(NotSoundError, match="can't be offered: The ring is open"):
        offer_of(home, EXTENSION, [option(home, failed=("The ring is open.",))], demo(), TRADE, Memo())
    with pytest.raises(PersonError, match="has no price yet"):
        offer_of(home, EXTENSION, [option(home, priced=False)], demo(), TRADE, Memo())


def test_work_without_points_or_routes_still_makes_a_document() -> None:
    bare = replace(offer(), points=(), paths=())
    found = said(bare)
    assert "Drawings" not in found
    assert "Cautions" in found


def test_options_for_different_wishes_are_one_job() -> None:
    """Two jobs in one share the way there, setting up and the certificate: together they cost less than apart."""
    home = named("House")
    one = option(home)
    first = replace(one, wishes=(0,), points=("P3",), change=planned(home, "P3"))
    second = replace(one, wishes=(1,), points=("P4", "P5"), change=planned(home, "P4", "P5"))
    both = offer_of(home, EXTENSION, [first, second], demo(), TRADE, Memo())
    assert one.priced is not None
    assert one.priced.net < both.priced.net < 2 * one.priced.net
    assert both.points == ("P3", "P4", "P5")
    arrivals = [each for each in both.priced.lines if each.line.key.startswith("set up") or "Arrive" in each.title]
    assert sum(each.line.quantity for each in arrivals if "Arrive" in each.title) == both.taken.visits
    take = Change("Take P1 out", ((home.take(Point, "P1"), replace(home.take(Point, "P1"), phase="removed")),))
    clashing = [replace(first, change=take), replace(second, change=take)]
    with pytest.raises(PersonError, match="both change"):
        offer_of(home, EXTENSION, clashing, demo(), TRADE, Memo())
    with pytest.raises(PersonError, match="meets a requirement that another one meets"):
        offer_of(home, EXTENSION, [one, one], demo(), TRADE, Memo())
    with pytest.raises(PersonError, match="Nothing is picked"):
        offer_of(home, EXTENSION, [], demo(), TRADE, Memo())


def test_what_is_taken_out_is_drawn_crossed_out_and_said() -> None:
    home = named("House")
    wish = Wish(act="remove", point="P1")
    was = home.take(Point, "P1")
    change = Change("Take P1 out", ((was, replace(was, phase="removed")),))
    taken_out = replace(
        option(home), kind="taken out", title="Points taken out", way="", wishes=(0,), points=(), routes=(),
        length_mm=0.0, change=change,
    )  # fmt: skip
    made = offer_of(home, replace(EXTENSION, wishes=(wish,)), [taken_out], demo(), TRADE, Memo())
    assert made.gone == ("P1",)
    assert "Taken out: twin socket, Room 1, wall 1 (W1), 600 mm from its left corner" in said(made)
    walls = list(wall_extracts(made.home, Memo(), TRADE, made.points, made.paths, made.gone))
    assert [figure.title for figure in walls] == ["Room 1, wall 1 (W1), seen from the room"]
    red = colour("break")
    assert walls[0].svg.count(f'stroke="{red}"') == 2
    plain = list(wall_extracts(made.home, Memo(), TRADE, ("P1",), made.paths))
    assert f'stroke="{red}"' not in plain[0].svg


def test_a_route_to_another_storey_says_where_it_goes() -> None:
    """A cable that rises at (1000, 0) from the ground to the first floor is on both plans, with its way."""
    home = kitchen()
    path = (
        RoutePoint("G1", 600.0, 0.0, 450.0, "wall", "M1/0"),
        RoutePoint("G1", 600.0, 0.0, 2400.0, "wall", "M1/0"),
        RoutePoint("G1", 1000.0, 500.0, 2500.0, "floor", "above M1"),
        RoutePoint("G2", 1000.0, 0.0, 0.0, "wall", "M2/0"),
        RoutePoint("G2", 1000.0, 0.0, 450.0, "wall", "M2/0"),
    )
    below, above = plan_extracts(home, Memo(), (), (path,))
    assert "goes up" in below.svg
    assert "comes up" in above.svg
    walls = {figure.title.split(",")[0]: figure.svg for figure in wall_extracts(home, Memo(), TRADE, (), (path,))}
    assert set(walls) == {"Room 1", "Room 2"}


def test_two_narrow_walls_stand_side_by_side_to_one_scale_and_a_wide_one_alone() -> None:
    svg = '<svg xmlns="http://www.w3.org/2000/svg" width="{0}" height="200"><rect width="{0}" height="200"/></svg>'
    figures = [
        Figure(f"Face {n}", svg.format(wide), wide, "A wall.") for n, wide in enumerate((300, 360, 340, 600, 300), 1)
    ]
    made = offer()
    data = quotation_data(made, demo(), figures)
    assert isinstance(data["figures"], list)
    document = pdfium.PdfDocument(typeset("quotation", data, {f"figure-{n}.svg": f.svg for n, f in enumerate(figures)}))
    try:
        at, boxes = {}, []
        for number, page in enumerate(document):
            text = page.get_textpage()
            for n in range(1, 6):
                if found := text.search(f"Face {n}").get_next():
                    left, _, _, top = text.get_charbox(found[0])
                    at[n] = (number, round(top), round(left))
            boxes += [each.get_bounds() for each in page.get_objects() if each.type == pdfium_c.FPDF_PAGEOBJ_PATH]
    finally:
        document.close()
    assert at[1][:2] == at[2][:2]
    assert at[2][2] > at[1][2] + 200
    assert at[3][2] == at[4][2] == at[5][2] == at[1][2]
    assert len({at[n][:2] for n in (1, 3, 4, 5)}) == 4
    sizes = {(round(right - left), round(top - bottom)) for left, bottom, right, top in boxes}
    half = (170 - 4) / 2 / 25.4 * 72  # mm to points
    for wide in (300, 360):
        assert (round(half * wide / 360), round(half * 200 / 360)) in sizes


def test_a_home_that_is_called_by_its_address_is_not_named_twice() -> None:
    for name, address, head in (
        ("9 Mill Row", "9 Mill Row, Town", "Quotation: More sockets 9 Mill Row, Town 5 January"),
        ("Our house", "9 Mill Row, Town", "Quotation: More sockets Our house 9 Mill Row, Town 5 January"),
    ):
        home = named(name, address)
        made = offer_of(home, EXTENSION, [option(home)], demo(), TRADE, Memo(), fit=FIT, day=DAY)
        assert said(made).startswith(head)


def test_walls_beyond_many_are_told_and_none_with_measures_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("circuitmap.paper.quotation.MOST_WALLS", 0)
    found = said(offer())
    assert "Room 1, wall 1 (W1), seen from the room" in found
    assert "Room 1, wall 4 (W4), seen from the room" not in found
    assert "1 more wall that a route runs along is not drawn." in found
