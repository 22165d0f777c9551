"""The quotation as one of the documents: the same as the command gives, or a sentence on why there is none."""

import datetime
import io
from pathlib import Path

import openpyxl
import pypdf
import pytest

from circuitmap.cli.main import main
from circuitmap.extension.wishes import read_wish
from circuitmap.home import Home, verbs
from circuitmap.home.exchange import open_home, read_folder, write_folder
from circuitmap.home.records import Extension
from circuitmap.memo import Memo
from circuitmap.paper.catalogue import CantMakeError, make, paper_named
from circuitmap.paper.wanted import Wanted
from circuitmap.places import sample_homes
from circuitmap.trade import load

SAMPLE = "bungalow-tt"
DAY = datetime.date(2026, 1, 5)


def wished(picked: str = "cheapest") -> Home:
    home = open_home(sample_homes() / SAMPLE)
    wish = read_wish(home, Memo(), load(), "twin socket, Lounge, wall 2, 1.4 m, 450 mm")
    home = home.apply(verbs.add_extension(home, "Lounge socket", (wish,)))
    return home.apply(verbs.edit(home, "X1", picked=picked)) if picked else home


def wanted(home: Home, form: str = "pdf", subject: str = "") -> Wanted:
    return Wanted(home=home, trade=load(), memo=Memo(), day=DAY, form=form, subject=subject)


def test_it_is_the_quotation_that_the_command_writes(tmp_path: Path) -> None:
    home = wished()
    (made,) = make(paper_named("quotation"), wanted(home))
    folder, out = tmp_path / "home", tmp_path / "quote.pdf"
    write_folder(folder, home, assets=read_folder(sample_homes() / SAMPLE).assets)
    assert main(["quote", str(folder), "X1", "-o", str(out), "--day", DAY.isoformat()]) == 0
    assert made.data == out.read_bytes()
    assert any("invented" in remark for remark in made.remarks)
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made.data)).pages)
    assert "Lounge socket" in text
    (sheet,) = make(paper_named("quotation"), wanted(home, "xlsx", "X1"))
    assert openpyxl.load_workbook(io.BytesIO(sheet.data)).worksheets


def test_what_is_private_stays_out(tmp_path: Path) -> None:
    from circuitmap.home.sharing import left_out

    home = left_out(wished(), ("address", "people"))
    (made,) = make(paper_named("quotation"), wanted(home))
    text = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made.data)).pages)
    assert wished().details.address not in text


def test_without_a_wish_or_a_pick_it_is_a_sentence() -> None:
    paper = paper_named("quotation")
    with pytest.raises(CantMakeError, match=r"^Nothing is required in this home"):
        make(paper, wanted(open_home(sample_homes() / SAMPLE)))
    with pytest.raises(CantMakeError, match=r"^Nothing is picked for “Lounge socket” yet. There are: "):
        make(paper, wanted(wished("")))
    with pytest.raises(CantMakeError, match=r"^There is no extension X9 in this home.$"):
        make(paper, wanted(wished(), subject="X9"))
    home = wished()
    two = home.apply(verbs.add_extension(home, "Another", home.take(Extension, "X1").wishes))
    with pytest.raises(CantMakeError, match=r"^Say which extension .* there are: X1 “Lounge socket”, X2"):
        make(paper, wanted(two))
