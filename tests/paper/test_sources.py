"""Sources on the record: works that can be looked up, once, at the end; one line for an instrument."""

import datetime
import io

import pypdf
from msgspec.structs import replace

from circuitmap.home import Change, Home
from circuitmap.home.records import Instrument, Visit
from circuitmap.paper.catalogue import make, paper_named
from circuitmap.paper.record_words import instrument_rows
from circuitmap.paper.sources import parted, sober
from circuitmap.words import day_said
from tests.paper.charted import wanted
from tests.paper.test_chart import SAMPLES, sample


def text_of(home: Home) -> str:
    (made,) = make(paper_named("record"), wanted(home))
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made.data)).pages).split())


def test_what_nobody_looked_up_says_so_and_hearsay_is_common_practice() -> None:
    why = "It leaks. By: A Journal 81 (2020) for 500 V; from memory: Table 64 (from 17th on); trainee forum."
    unprinted = "common practice, no published source"
    assert parted(why) == (
        "It leaks.", ("A Journal 81 (2020) for 500 V", "Table 64 (from 17th on), quoted from memory", unprinted)
    )  # fmt: skip
    assert parted("It leaks.") == ("It leaks.", ())
    assert list(sober("BS 7671 643, from memory; common practice, no source")) == [
        "BS 7671 643, quoted from memory", "common practice, no source",
    ]  # fmt: skip
    assert list(sober("Reg 433.1.204 as quoted")) == ["Reg 433.1.204, at second hand"]


def test_a_record_cites_its_sources_at_its_end() -> None:
    for name in SAMPLES:
        text = text_of(sample(name))
        for word in ("forum", " By: "):
            assert word not in text, (name, word)
    for name in ("older-terrace", "bungalow-tt"):  # nothing found at the flat rests on a source
        listed = text_of(sample(name)).partition("Sources What is")[2]
        assert "look it up before relying on it" in listed
        assert ", quoted from memory (finding" in listed, name  # never shown as one that was looked up
    text = text_of(sample("older-terrace"))
    assert text.index("Sources What is") > text.index("Instruments")
    assert "(finding 1)" in text


def test_an_indicator_has_one_line_with_its_visits() -> None:
    home = sample("older-terrace")
    names = [each.name for each in home.sorted(Instrument)]
    twice = next(name for name in names if names.count(name) > 1)
    rows = [row for row in instrument_rows(home) if row[0] == twice]
    assert len(rows) == 1
    days = [day_said_of(visit.day) for visit in home.sorted(Visit) if day_said_of(visit.day) in rows[0][4]]
    assert len(days) >= 2
    assert "89 times proving dead" in rows[0][3]
    other = home.take(Instrument, next(i for i, each in home.table(Instrument).items() if each.name == twice))
    renamed = home.apply(Change("Name", ((other, replace(other, name="Another indicator")),)))
    assert len(instrument_rows(renamed)) == len(instrument_rows(home)) + 1


def day_said_of(day: str) -> str:
    return day_said(datetime.date.fromisoformat(day))
