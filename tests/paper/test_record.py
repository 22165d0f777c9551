"""The survey record: findings, limits, visits, switch-offs, isolations, instruments, photographs; no certificate."""

import datetime
import io
from functools import cache
from pathlib import Path

import pytest
from PIL import Image

from circuitmap.findings import run
from circuitmap.home import Home, verbs
from circuitmap.home.assets import Asset, hash_of
from circuitmap.home.exchange import TextForm, read_folder
from circuitmap.home.records import (
    Consent,
    Instrument,
    Limitation,
    Load,
    Note,
    Point,
    ProvingTest,
    Reading,
    Round,
    Visit,
)
from circuitmap.jobs import StoppedError, Ticket
from circuitmap.memo import Memo
from circuitmap.paper.catalogue import CantMakeError, make, paper_named
from circuitmap.paper.quotation import day_said
from circuitmap.paper.record import made
from circuitmap.paper.record_findings import CODE_SAYS, NO_PHOTO, UNREADABLE
from circuitmap.paper.record_words import CAUTIONS, LIMITS, NO_CERTIFICATE
from circuitmap.paper.sources import parted
from circuitmap.places import sample_homes
from circuitmap.trade import load
from circuitmap.words import SEVERITIES
from tests.build import Builder
from tests.findings.test_compared import house
from tests.paper.handed import HOSTILE, SAMPLES, hostile, odd_homes, wanted
from tests.paper.pages import each_page, is_well_made, is_well_set, pictures, squeezed, words


@cache
def form(name: str) -> TextForm:
    return read_folder(sample_homes() / name)


@cache
def of(name: str) -> bytes:
    held = form(name)
    (file,) = made(wanted(held.home, asset=held.assets.get))
    return file.data


def record(home: Home, assets: dict[str, Asset] | None = None) -> bytes:
    return made(wanted(home, asset=(assets or {}).get))[0].data


def photo(seed: int, size_px: tuple[int, int] = (400, 300)) -> tuple[str, Asset]:
    stream = io.BytesIO()
    Image.new("RGB", size_px, (40 * seed % 256, 90, 120)).save(stream, "JPEG")
    return hash_of(stream.getvalue()), ("image/jpeg", stream.getvalue())


# -- what has to be in it ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SAMPLES)
def test_every_page_says_that_it_is_no_certificate_and_the_first_says_why(name: str) -> None:
    pages = each_page(of(name))
    assert NO_CERTIFICATE in pages[0]
    for page in pages:
        assert "No certificate, not an EICR." in page
    text = words(of(name))
    for sentence in (*LIMITS, *CAUTIONS):
        assert sentence in text


@pytest.mark.parametrize("name", SAMPLES)
def test_every_finding_stands_in_it_worst_first_with_why_and_what_would_settle_it(name: str) -> None:
    home = form(name).home
    text = squeezed(words(of(name)))
    real = [each for each in run(home, load(), Memo()) if not each.aside]
    assert [SEVERITIES.index(each.code) for each in real] == sorted(SEVERITIES.index(each.code) for each in real)
    last = 0
    for number, finding in enumerate(real, 1):
        at = text.index(squeezed(f"{number}. {finding.says}"), last)
        body = text[at:]
        assert squeezed(parted(finding.why)[0]) in body
        assert squeezed(finding.settle) in body
        assert squeezed(f"Known by: {finding.evidence}") in body
        last = at
    for code in {each.code for each in real} - {"note"}:
        assert squeezed(f"{code} {CODE_SAYS[code]}") in text
    for finding in run(home, load(), Memo()):
        if finding.aside:
            assert squeezed(finding.says) in text


@pytest.mark.parametrize("name", SAMPLES)
def test_visits_limitations_instruments_and_switch_offs_are_told(name: str) -> None:
    home = form(name).home
    text = squeezed(words(of(name)))
    for visit in home.sorted(Visit):
        assert squeezed(day_said(datetime.date.fromisoformat(visit.day))) in text
        assert squeezed(visit.by) in text
    for limitation in home.sorted(Limitation):
        assert squeezed(limitation.reason) in text
        assert squeezed(limitation.agreed_by) in text
    for instrument in home.sorted(Instrument):
        assert squeezed(instrument.name) in text
    rounds = [each for each in home.sorted(Round) if each.off]
    for number in range(1, 1 + max(sum(1 for r in rounds if r.visit == v.id) for v in home.sorted(Visit))):
        assert f"no.{number}" in text
    for each in rounds:
        codes = ", ".join(home.code(i) for i in each.off if not home.code(i).count(" "))
        assert squeezed(codes) in text
    readings = sum(1 for each in home.sorted(Reading) if each.test == "insulation")
    assert readings


def test_the_terraces_photograph_stands_at_its_finding() -> None:
    assert pictures(of("older-terrace")) == [(1100, 825)]
    (page,) = [page for page in each_page(of("older-terrace")) if "Dryer socket in Utility (P36) is scorched" in page]
    assert "Photograph 1: Dryer socket P36, Utility, 15 October 2025, finding 4" in page
    assert "Left-hand outlet browned round the line pin" in page
    assert "P36" in page


def test_the_loose_plate_is_put_right_and_no_finding_any_more() -> None:
    text = words(of("older-terrace"))
    assert "socket P10, Lounge: loose accessory; The plate had come away from its box" in text
    assert "(put right, 16 October 2025)" in text


@pytest.mark.parametrize("name", SAMPLES)
def test_it_is_well_set_and_well_made(name: str) -> None:
    is_well_set(of(name))
    is_well_made(of(name), f"Survey record: {form(name).home.details.name}")
    held = form(name)
    assert made(wanted(held.home, asset=held.assets.get))[0].data == of(name)


@pytest.mark.parametrize("name", SAMPLES)
def test_no_outcome_of_a_switch_off_is_called_dead(name: str) -> None:
    text = words(of(name)).casefold()
    for at in range(len(text)):
        if text.startswith(" dead", at):
            before = text[max(0, at - 40) : at]
            assert any(word in before for word in ("prove", "proving", "proves", "proved", "end-to-end")), before


# -- planted by hand --------------------------------------------------------------------------------------------------


def test_a_danger_stands_before_everything_else_with_what_to_do_now() -> None:
    build = house()
    build.do(verbs.note(build.home, "P1", seen=("live part touchable",)))
    first = each_page(record(build.home))[0]
    assert "Danger: make safe, and tell the person responsible now." in first
    assert first.index("Danger:") < first.index("What was asked")


def test_agreements_say_who_and_on_what_terms_and_a_missing_one_is_said() -> None:
    build = Builder("Agreed")
    build.board()
    build.device("B1", "1")
    build.do(verbs.add_point(build.home, "socket", loads=(Load(what="router", if_off="phone"),)))
    build.visit()
    agreed = Consent(at="2026-01-05T09:00:00Z", by="agent", confirmed=("P1",), until="noon", for_visit=True)
    build.do(verbs.open_round(build.home, "V1", ("D1",), consent=agreed, at="2026-01-05T09:05:00Z"))
    build.do(verbs.open_round(build.home, "V1", ("D1",), at="2026-01-05T10:05:00Z"))
    text = words(record(build.home))
    assert "the agent, " in text
    assert "for the rest of the visit; until noon; settled with them what hangs on P1" in text
    assert "no agreement is on record" in text


def test_an_isolation_that_lacks_a_step_is_not_called_proved() -> None:
    build = house()
    build.visit()
    tests = (ProvingTest(pair="L-N", dead=True), ProvingTest(pair="L-E", dead=True), ProvingTest(pair="N-E", dead=True))
    build.do(
        verbs.record_isolation(
            build.home, "V1", ("P1",), ("D1",), tests[:2], locked=True, proved_before=True, at="2026-01-05T09:00:00Z"
        )
    )
    build.do(
        verbs.record_isolation(
            build.home, "V1", ("P2",), ("D1",), tests, locked=True, proved_before=True, proved_after=True,
            at="2026-01-05T09:10:00Z",
        )
    )  # fmt: skip
    text = words(record(build.home))
    assert "NOT proved: N-E wasn't tested at this box. The indicator wasn't proved again after the tests." in text
    assert "proved dead: indicator proved, L–N, L–E, N–E, indicator proved again" in text


def test_rulings_say_what_was_decided_and_why() -> None:
    build = house()
    build.do(verbs.note(build.home, "P1", seen=("scorched",)))
    key = next(f.key for f in run(build.home, load(), Memo()) if f.rule == "scorched")
    build.visit()
    build.do(verbs.rule_on(build.home, key, "changed", "C3", "an old mark, tested sound", "V1"))
    build.do(verbs.rule_on(build.home, "old-rule:P9", "not so", None, "long gone", "V1"))
    text = words(record(build.home))
    assert "code changed C3 an old mark, tested sound 5 January 2026" in text
    assert "a finding that is no longer told not so – long gone" in text
    assert "Ruled: code changed." in text


def test_what_was_not_checked_is_named_with_why() -> None:
    build = house()
    build.do(verbs.edit(build.home, "P2", uncheckable="behind the oven"))
    text = words(record(build.home))
    assert "Without an answer: P1, P2: behind the oven, P3, P4, P5." in text
    assert "No switch-off is on record." in text
    assert "No limitation is on record. That is not to say that everything could be looked at." in text


def test_photographs_stand_once_and_what_is_missing_or_no_picture_is_said() -> None:
    build = house()
    one, two = photo(1), photo(2, (300, 500))
    lost, broken = hash_of(b"lost"), (hash_of(b"no picture"), ("image/jpeg", b"no picture"))
    build.do(verbs.note(build.home, "P1", seen=("scorched",), photos=(one[0], lost)))
    build.do(verbs.note(build.home, "P2", seen=("damp",), photos=(one[0], two[0], broken[0])))
    build.do(verbs.note(build.home, "M1", text="the room as a whole", photos=(two[0],)))
    (file,) = made(wanted(build.home, asset=dict((one, two, broken)).get))
    assert sorted(pictures(file.data)) == [(300, 500), (400, 300)]
    text = words(file.data)
    assert text.count(NO_PHOTO) == 1
    assert text.count(UNREADABLE) == 1
    assert "See photograph 1." in text
    assert "Kitchen: the room as a whole See photograph 2." in text
    assert file.remarks == ("2 photographs are missing or can't be read; the record says so there.",)


def test_a_large_photograph_is_brought_to_a_size_that_a_page_needs() -> None:
    build = house()
    name, asset = photo(3, (4000, 3000))
    build.do(verbs.note(build.home, "P1", seen=("scorched",), photos=(name,)))
    data = record(build.home, {name: asset})
    assert pictures(data) == [(1100, 825)]
    assert len(data) < 400_000


def test_a_record_may_leave_photographs_and_notes_out() -> None:
    from circuitmap.home.sharing import left_out

    home = form("older-terrace").home
    light = left_out(home, {"photos", "notes"})
    data = record(light, dict(form("older-terrace").assets))
    assert pictures(data) == []
    assert "browned" not in words(data)


def test_extracts_show_where_and_name_what_they_are_about_for_who_cannot_see_them() -> None:
    import re

    raw = of("older-terrace")
    alts = re.findall(rb"/Alt", raw)
    assert len(alts) >= 4
    text = words(raw)
    assert "P11" in text
    assert "P12" in text


# -- bad input --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("what", "home"), list(odd_homes()), ids=[name for name, _ in odd_homes()])
def test_odd_homes_give_good_records(what: str, home: Home) -> None:
    data = record(home)
    is_well_set(data)
    text = words(data)
    assert NO_CERTIFICATE in text
    if what == "nothing in it":
        assert "What was asked is not on record: no visit is." in text


def test_typed_text_of_every_sort_stays_text_everywhere() -> None:
    build = Builder()
    build.home = hostile()
    build.visit("2026-02-01")
    for n, label in enumerate(HOSTILE):
        build.do(verbs.note(build.home, f"P{n + 1}", seen=("damp",), text=label))
        build.do(verbs.add_limitation(build.home, f"P{n + 1}", label or "–", label))
        build.do(verbs.add_instrument(build.home, "other", label))
        build.do(verbs.rule_on(build.home, f"rule:{n}", "agree", None, label))
        consent = Consent(at="2026-02-01T09:00:00Z", until=label)
        build.do(verbs.open_round(build.home, "V2", (f"D{n + 1}",), consent=consent))
    data = record(build.home)
    is_well_set(data)
    text = words(data)
    assert "#panic() *bold* $x^2$" in text
    assert "=HYPERLINK" in text
    assert "[U+0645]" in text


def test_what_is_planned_is_no_fact_of_the_record() -> None:
    build = house()
    build.do(verbs.edit(build.home, "P4", phase="planned", name="Promised socket"))
    text = words(record(build.home))
    assert "Promised" not in text
    assert "Work that is only planned, and what was taken out, is not in this record." in text


def test_many_notes_and_photographs_are_bounded_and_said() -> None:
    build = house()
    assets = dict(photo(n, (40 + n, 30)) for n in range(90))
    names = list(assets)
    for n in range(0, 90, 30):
        build.do(verbs.note(build.home, "P1", seen=("damp",), photos=names[n : n + 30]))
    (file,) = made(wanted(build.home, asset=assets.get))
    assert len(pictures(file.data)) == 80
    assert "10 more photographs are in the home and not in this record." in file.remarks


def test_another_form_is_a_sentence_and_it_stops_when_told(tmp_path: Path) -> None:
    del tmp_path
    with pytest.raises(CantMakeError, match="“Survey record” is written as pdf, not as xlsx"):
        make(paper_named("survey record"), wanted(house().home, form="xlsx"))
    ticket = Ticket()
    ticket.stop()
    with pytest.raises(StoppedError):
        made(wanted(house().home, ticket=ticket))


def test_notes_about_points_that_are_gone_do_not_stop_it() -> None:
    build = house()
    build.do(verbs.note(build.home, "P4", text="was here"))
    build.do(verbs.edit(build.home, "P4", phase="removed"))
    assert isinstance(build.home.take(Note, "N1"), Note)
    assert isinstance(build.home.take(Point, "P4"), Point)
    is_well_set(record(build.home))


def test_a_home_with_a_name_of_three_hundred_letters_keeps_its_foot_in_its_place() -> None:
    from tests.paper.handed import named

    for name in ("x" * 300, "word " * 60, "مطبخ " * 20):
        is_well_set(record(named(house().home, name, name)))
