"""The estimator's sheet: every line with its range, the whole with what drives it; nothing of it reaches a customer."""

import io

import openpyxl
import pypdfium2 as pdfium
import pytest
from msgspec.structs import replace

from circuitmap.extension.estimate_says import drivers_said, range_said
from circuitmap.memo import Memo
from circuitmap.paper import offer_of, quotation_pdf, quotation_xlsx
from circuitmap.paper.estimate import NOT_TO_BE_SENT, estimate_xlsx
from tests.extension.priced import demo
from tests.extension.routed import TRADE
from tests.paper.offered import DAY, EXTENSION, FIT, named, offer, option

Row = dict[str, object]


def book_of(data: bytes) -> dict[str, list[Row]]:
    book = openpyxl.load_workbook(io.BytesIO(data))
    found = {}
    for name in book.sheetnames[1:]:
        heads, *rest = book[name].iter_rows(values_only=True)
        found[name] = [dict(zip(map(str, heads), row, strict=True)) for row in rest]
    return found


def number(row: Row, head: str) -> float:
    value = row[head]
    assert isinstance(value, int | float)
    return float(value)


def test_every_line_stands_with_its_range_and_its_mean() -> None:
    """A triangle's mean is (low + likely + high) / 3: NIST/SEMATECH e-Handbook, from memory."""
    made = offer()
    found = book_of(estimate_xlsx(made, demo()))
    assert len(found["Lines"]) == len(made.priced.lines) + len(made.priced.optional)
    for row, line in zip(found["Lines"], (*made.priced.lines, *made.priced.optional), strict=True):
        low, likely, high = (number(row, f"Cost: {each}, GBP") for each in ("low", "likely", "high"))
        assert low <= likely <= high
        assert number(row, "Cost: mean, GBP") == pytest.approx((low + likely + high) / 3, abs=0.01)
        assert row["What"] == line.title
        assert number(row, "Quantity") == pytest.approx(line.line.quantity, abs=0.001)
        if line.minutes is not None:
            assert number(row, "Work: likely, min") == pytest.approx(line.minutes.likely)
    counted = [row for row in found["Lines"] if row["Offered"] is None]
    whole = {row["What"]: row["Amount, GBP"] for row in found["Whole"]}
    assert sum(number(row, "Cost: mean, GBP") for row in counted) == pytest.approx(whole["Mean"], abs=0.05)
    assert whole["Low"] < whole["Middle"] < whole["High"]  # type: ignore[operator]  # numbers, as read
    assert whole["Charged, with tax"] == pytest.approx(made.priced.total / 100)


def test_what_drives_the_spread_is_named_worst_first() -> None:
    made = offer()
    found = book_of(estimate_xlsx(made, demo()))
    shares = [number(row, "Share of the spread, %") for row in found["What drives it"]]
    assert shares == sorted(shares, reverse=True)
    assert [row["What"] for row in found["What drives it"]] == [driver.title for driver in made.priced.drivers]
    about = openpyxl.load_workbook(io.BytesIO(estimate_xlsx(made, demo())))["About"]
    words = [row[1] for row in about.iter_rows(values_only=True)]
    assert NOT_TO_BE_SENT in words
    assert range_said(made.priced) in words
    assert set(drivers_said(made.priced)) <= set(words)
    assert {row["Of"] for row in found["Not your own yet"]} == {*made.priced.invented, *made.priced.customary}


def test_the_customer_never_sees_the_range() -> None:
    made = offer()
    assert made.priced.drawn is not None
    secrets = {f"{pence / 100:,.2f}" for pence in (made.priced.drawn.p10, made.priced.drawn.p90, made.priced.sd)}
    document = pdfium.PdfDocument(quotation_pdf(made, demo(), TRADE, Memo()))
    try:
        said = " ".join(page.get_textpage().get_text_range() for page in document)
    finally:
        document.close()
    book = openpyxl.load_workbook(io.BytesIO(quotation_xlsx(made, demo(), TRADE, Memo())))
    cells = [str(cell.value) for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]
    for words in (said, " ".join(cells)):
        assert not [secret for secret in secrets if secret in words]
        assert "spread" not in words.casefold()
        assert NOT_TO_BE_SENT not in words


def test_typed_words_are_no_formula() -> None:
    home = named("=1+1", "@SUM(A1)")
    made = offer_of(home, replace(EXTENSION, name="=HYPERLINK(1)"), [option(home)], demo(), TRADE, Memo(), day=DAY,
                    fit=FIT)  # fmt: skip
    book = openpyxl.load_workbook(io.BytesIO(estimate_xlsx(made, demo())))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert not [cell.coordinate for cell in cells if cell.data_type == "f" or cell.hyperlink]
    assert "=1+1" in [cell.value for cell in cells]


def test_the_same_offer_gives_the_same_bytes() -> None:
    made = offer()
    assert estimate_xlsx(made, demo()) == estimate_xlsx(made, demo())
