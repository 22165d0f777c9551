"""``circuitmap quote``: a document from a home and what is wished, and a sentence for what was meant wrongly."""

from pathlib import Path

import openpyxl
import pypdfium2 as pdfium
import pytest
from msgspec.structs import replace

from circuitmap.cli.main import main
from circuitmap.extension.accept import accept
from circuitmap.extension.options import options
from circuitmap.extension.pricebook import load as load_book
from circuitmap.extension.wishes import read_wish
from circuitmap.home import Home, verbs
from circuitmap.home.exchange import open_home, read_folder, write_folder
from circuitmap.home.records import Extension
from circuitmap.memo import Memo
from circuitmap.paper import offer_of
from circuitmap.paper.picked import PickError, left_undone, picked
from circuitmap.places import sample_homes
from circuitmap.trade import load

SAMPLE = "bungalow-tt"
WISHES = ("twin socket, Lounge, wall 2, 1.4 m, 450 mm", "twin socket, Lounge, wall 2, 2.4 m, 450 mm")


def wished() -> Home:
    home = open_home(sample_homes() / SAMPLE)
    wishes = tuple(read_wish(home, Memo(), load(), words) for words in WISHES)
    return home.apply(verbs.add_extension(home, "Lounge sockets", wishes))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("quoted") / "home"
    write_folder(path, wished(), assets=read_folder(sample_homes() / SAMPLE).assets)
    return path


def text_of(path: Path) -> str:
    document = pdfium.PdfDocument(path)
    try:
        return " ".join(" ".join(page.get_textpage().get_text_range() for page in document).split())
    finally:
        document.close()


def test_the_cheapest_sound_option_is_quoted(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "quote.pdf"
    arguments = ["quote", str(folder), "lounge SOCKETS", "-o", str(out), "--option", "cheapest"]
    assert main([*arguments, "--day", "2026-01-05", "--number", "7"]) == 0
    said = capsys.readouterr().out
    home = wished()
    asking = options(home, home.take(Extension, "X1"), load(), load_book(), Memo())
    sound = [each for each in asking.options if each.is_sound]
    least = min(each.priced.total for each in sound if each.priced is not None)
    total = f"£{least // 100:,}.{least % 100:02d}"
    assert len(sound) > 1
    assert f"({total}, with VAT)" in said
    assert "invented for the demonstration" in said
    text = text_of(out)
    assert total in text
    assert "Quotation: Lounge sockets" in text
    assert "New, no. 2: twin socket, Lounge, wall 2" in text
    assert "no. 7" in text
    assert "5 January 2026" in text
    assert all(each.says in text for each in asking.fit if each.answer != "yes" and len(each.says) < 80)
    # Each of the two is marked out where it was wished.
    assert "1400 mm" in text
    assert "2400 mm" in text


def test_a_sheet_is_written_for_an_option_by_its_name(folder: Path, tmp_path: Path) -> None:
    home = wished()
    asking = options(home, home.take(Extension, "X1"), load(), load_book(), Memo())
    one = [each for each in asking.options if each.is_sound][-1]
    out = tmp_path / "quote.xlsx"
    assert main(["quote", str(folder), "X1", "-o", str(out), "--option", one.key]) == 0
    front = {row[0]: row[1] for row in openpyxl.load_workbook(out)["Quotation"].iter_rows(values_only=True)}
    assert one.priced is not None
    assert front["Total, with VAT"] == pytest.approx(one.priced.total / 100)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["X1", "-o", "q.pdf"], "Nothing is picked for “Lounge sockets” yet. There are: “"),
        (["X1", "-o", "q.pdf", "--option", "nonsense"], "There is no option “nonsense” for “Lounge sockets”"),
        (["X9", "-o", "q.pdf"], "No extension is called “X9”; there are: X1 “Lounge sockets”."),
        (["X1", "-o", "q.doc"], "A quotation is written as .pdf or .xlsx; q.doc ends in neither."),
        (["X1", "-o", "."], "is a folder; name the file to write"),
    ],
)
def test_what_was_meant_wrongly_is_one_sentence(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch,
    arguments: list[str], says: str,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    assert main(["quote", str(folder), *arguments]) == 2
    assert says in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_what_was_picked_on_the_map_is_quoted() -> None:
    home = wished()
    asking = options(home, home.take(Extension, "X1"), load(), load_book(), Memo())
    key = next(each.key for each in asking.options if each.is_sound)
    chosen = home.apply(verbs.pick(home, "X1", key)).take(Extension, "X1")
    assert [each.key for each in picked(asking, chosen)] == [key]
    with pytest.raises(PickError):
        picked(asking, home.take(Extension, "X1"))
    with pytest.raises(PickError, match="was done on 2026-02-01; there is nothing to offer"):
        picked(asking, replace(chosen, done_on="2026-02-01"))
    assert left_undone(asking, chosen, picked(asking, chosen)) == ()
    assert left_undone(asking, chosen, ()) == tuple(
        f"Requirement {n} of “Lounge sockets” is not in this offer." for n in (1, 2)
    )


def test_a_day_that_is_none_is_refused(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["quote", str(folder), "X1", "-o", "q.pdf", "--day", "5.1.26"])
    assert stopped.value.code == 2
    assert "write it as 2026-01-31" in capsys.readouterr().err


def test_work_that_is_on_the_map_as_planned_is_quoted_the_same() -> None:
    home = wished()
    trade, book = load(), load_book()
    asking = options(home, home.take(Extension, "X1"), trade, book, Memo())
    one = next(each for each in asking.options if each.is_sound)
    planned = home.apply(accept(home, "X1", [one], home))
    again = options(planned, planned.take(Extension, "X1"), trade, book, Memo())
    first = offer_of(home, home.take(Extension, "X1"), [one], book, trade, Memo())
    chosen = picked(again, planned.take(Extension, "X1"), [one.key])
    second = offer_of(planned, planned.take(Extension, "X1"), chosen, book, trade, Memo())
    assert second.scope == first.scope
    assert second.priced.total == first.priced.total


def test_the_estimator_gets_ranges_and_only_as_a_workbook(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "estimate.xlsx"
    arguments = ["quote", str(folder), "X1", "--option", "cheapest", "--for", "estimator", "-o"]
    assert main([*arguments, str(out)]) == 0
    assert "not to be sent to a customer" in capsys.readouterr().out
    book = openpyxl.load_workbook(out)
    assert {"Whole", "Lines", "What drives it", "Order of work"} <= set(book.sheetnames)
    heads = [cell.value for cell in book["Lines"][1]]
    assert {"Cost: low, GBP", "Cost: likely, GBP", "Cost: high, GBP"} <= set(heads)
    assert main([*arguments, str(tmp_path / "estimate.pdf")]) not in (0, None)
    assert "The estimator's sheet is written as .xlsx" in capsys.readouterr().err
    assert not (tmp_path / "estimate.pdf").exists()
