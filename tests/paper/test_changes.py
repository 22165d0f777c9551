"""The document of what changed: every difference in words, both states on plan, and nothing over anything else."""

import re
from functools import cache
from pathlib import Path

import pytest

from circuitmap.cli.main import main
from circuitmap.errors import CircuitmapError
from circuitmap.findings.compared import compare, summary
from circuitmap.findings.run import run
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import TextForm, read_folder
from circuitmap.home.records import Place, Reading
from circuitmap.jobs import StoppedError, Ticket
from circuitmap.memo import Memo
from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.changes import DRAWN_SAYS, LIMITS, made, plans
from circuitmap.paper.changes_more import first_readings
from circuitmap.places import sample_homes
from circuitmap.trade import load
from tests.findings.test_compared import house
from tests.paper.handed import HOSTILE, document, hostile, odd_homes, sixty_ways, wanted
from tests.paper.pages import each_page, is_well_made, is_well_set, squeezed, words


@cache
def terrace() -> TextForm:
    return read_folder(sample_homes() / "older-terrace")


def changes(before: Home, after: Home, **choices: object) -> bytes:
    (file,) = document("changes", after, earlier=before, earlier_name="as found", later_name="as left", **choices)
    return file.data


@cache
def of_terrace() -> bytes:
    return changes(terrace().marks[0].home, terrace().marks[1].home)


def test_every_difference_of_the_terrace_is_in_the_document_with_the_word_for_it() -> None:
    found, left = terrace().marks[0].home, terrace().marks[1].home
    text = squeezed(words(of_terrace()))
    compared = compare(found, left, load())
    assert compared.differences
    alone = first_readings(left, load(), Memo(), compared.differences).alone
    for each in compared.differences:
        if each.kind == "reading" and each.how == "new" and each.id not in alone:
            continue  # summed up, way by way
        assert squeezed(f"{each.how} {each.title}") in text, each
        for turned in each.turned if each.kind in ("reading", "finding") else ():
            assert squeezed(turned.now) in text
            assert squeezed(turned.was) in text
        if each.kind not in ("reading", "finding") and each.says != each.how:
            assert squeezed(each.says) in text
    said = words(of_terrace())
    assert summary(compared) in said
    assert "From “as found” to “as left”" in said
    assert DRAWN_SAYS in said
    for limit in LIMITS:
        assert limit in said
    assert "no certificate" in said


def test_first_readings_are_summed_up_way_by_way() -> None:
    found, left = terrace().marks[0].home, terrace().marks[1].home
    new = compare(found, left, load()).of("reading", "new")
    first = first_readings(left, load(), Memo(), new)
    assert sum(int(count) for _, count, _ in first.rows) == len(new) > 100
    by_hand = [left.take(Reading, each.id) for each in new]
    of_a4 = [each for each in by_hand if each.device is not None and left.code(each.device) == "A4"]
    _, count, said = next(row for row in first.rows if row[0] == "A4")
    assert int(count) == len(of_a4)
    tests = [each.test for each in of_a4]
    assert all(
        f"{tests.count(test)} {'with conductors linked' if test == 'linked' else test}" in said for test in tests
    )
    loops = [each for each in of_a4 if each.test == "Zs" and each.value_si is not None]
    worst = max(loops, key=lambda each: each.value_si or 0.0)
    assert f"highest {worst.value_si:.2f}" in said
    text = squeezed(words(of_terrace()))
    for row in first.rows:
        assert squeezed(row[0] + row[1] + row[2]) in text or squeezed(row[2]) in text
    assert len(each_page(of_terrace())) <= 5


def test_a_first_reading_that_a_rule_objects_to_is_listed_by_itself() -> None:
    found, left = terrace().marks[0].home, terrace().marks[1].home
    new = compare(found, left, load()).of("reading", "new")
    low = next(each for each in new if left.take(Reading, each.id).test == "insulation")
    hurt = left.apply(verbs.edit(left, low.id, value_si=20_000.0, typed="0.02", bound="="))
    first = first_readings(hurt, load(), Memo(), compare(found, hurt, load()).of("reading", "new"))
    assert low.id in first.alone
    assert low.id not in first_readings(left, load(), Memo(), new).alone
    assert squeezed(f"new {low.title}") in squeezed(words(changes(found, hurt)))


def test_new_limitations_and_rulings_are_told() -> None:
    home = house().home
    later = home.apply(verbs.add_limitation(home, "home", "The loft was not entered.", agreed_by="owner"))
    text = words(changes(home, later))
    assert "New limitations" in text
    assert "The loft was not entered." in text
    assert "New limitations" not in words(changes(later, later))
    finding = run(home, load(), Memo())[0]
    ruled = home.apply(verbs.rule_on(home, finding.key, "not so", why="Seen and in order."))
    text = words(changes(home, ruled))
    assert "New rulings" in text
    assert "Seen and in order." in text


def test_numbers_on_the_plan_are_those_of_the_tables() -> None:
    pages = each_page(of_terrace())
    drawn, tables = pages[0], pages[1]
    assert "1 new" in drawn
    assert re.search(r"\b1 new Heating control P28", tables)
    assert "2 gone" in tables.split("Points")[0]
    assert re.search(r"\b2 gone Junction box P70", tables)


def test_it_is_well_set_and_well_made() -> None:
    is_well_set(of_terrace())
    is_well_made(of_terrace(), "What changed: 9 Tanner's Row")
    assert changes(terrace().marks[0].home, terrace().marks[1].home) == of_terrace()


def test_no_row_is_split_over_pages() -> None:
    found, left = terrace().marks[0].home, terrace().marks[1].home
    pages = [squeezed(page) for page in each_page(of_terrace())]
    for each in compare(found, left, load()).differences:
        if each.kind == "reading" and each.how == "new":
            continue
        assert any(squeezed(each.title) in page for page in pages), each.title


@pytest.mark.parametrize(("what", "home"), list(odd_homes()), ids=[name for name, _ in odd_homes()])
def test_odd_homes_come_and_go_as_good_documents(what: str, home: Home) -> None:
    del what
    for before, after in ((Home.blank(), home), (home, Home.blank()), (home, home)):
        is_well_set(changes(before, after))


def test_nothing_changed_is_said() -> None:
    home = house().home
    text = words(changes(home, home))
    assert "Nothing on the map, in the readings or among the findings has changed." in text
    assert "On plan" not in text


def test_typed_text_stays_text() -> None:
    before = hostile()
    after = before.apply(verbs.remove(before, *(point for point in ("P1", "P3", "P5", "P7"))))
    text = words(changes(before, after))
    assert '=HYPERLINK("http://invented.example","press")'[:30] in text
    assert "#panic() *bold* $x^2$" in text
    assert all(f"[U+{ord(letter):04X}]" in text for letter in HOSTILE[5][:3])


def test_without_an_earlier_moment_it_says_what_to_name() -> None:
    with pytest.raises(CantMakeError, match="Say with what to compare: a mark of this home"):
        made(wanted(house().home))


def test_what_is_only_planned_is_on_no_plan() -> None:
    build = house()
    before = build.home
    build.do(verbs.add_point(build.home, "socket", Place(storey="G1", x_mm=900, y_mm=0), name="Promised"))
    build.do(verbs.edit(build.home, "P6", phase="planned"))
    assert "Promised" not in words(changes(before, build.home))


def test_a_point_that_was_moved_is_joined_with_where_it_was_and_a_changed_one_has_a_diamond() -> None:
    build = house()
    before = build.home
    build.do(verbs.move(build.home, "P1", Place(storey="G1", x_mm=1700, y_mm=2990)))
    build.do(verbs.edit(build.home, "P3", name="Toaster"))
    text = words(changes(before, build.home))
    assert "1 changed" in text
    assert "moved" in text
    assert "place 3.22 m away, was elsewhere" in text
    assert "name Toaster, was not recorded" in text


def test_a_storey_that_is_gone_is_drawn_as_it_was() -> None:
    build = house()
    build.storey("Loft", 1)
    build.room("Store", "G2", (0, 0, 3000, 3000))
    build.point("light", at=("G2", 1500, 1500))
    before = build.home
    after = before.apply(verbs.remove(before, "G2", "P6"))
    assert "What changed on plan: Loft" in words(changes(before, after))
    drawn = [storey.name for storey, _ in plans((before, after), (Memo(), Memo()), [])]
    assert drawn == []


def test_it_stops_when_told() -> None:
    ticket = Ticket()
    ticket.stop()
    with pytest.raises(StoppedError):
        made(wanted(sixty_ways(), earlier=Home.blank(), ticket=ticket))
    assert issubclass(StoppedError, CircuitmapError)


def test_without_history_there_is_nothing_to_compare_and_it_says_why() -> None:
    with pytest.raises(CantMakeError, match="What changed is history, and history is to be left out"):
        made(wanted(house().home, leave_out=frozenset({"history"})))


def test_the_command_compares_days_and_marks_of_a_home_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    build = house()
    at = iter(f"2026-05-{day:02}T12:00:00Z" for day in (5, 7, 8, 9))
    monkeypatch.setattr("circuitmap.home.document.now_text", lambda: next(at))
    path, out = tmp_path / "home.cmap", tmp_path / "changes.pdf"
    with Document.create(path, build.home) as file:
        file.do(verbs.edit(file.home, "P1", name="Kettle socket"))
        file.mark("as left")
        file.do(verbs.edit(file.home, "P2", name="Toaster socket"))
    assert main(["hand-over", str(path), "changes", "--from", "2026-05-06", "-o", str(out)]) == 0
    text = words(out.read_bytes())
    assert "From 6 May 2026 to now" in text
    assert "Kettle socket" in text
    assert "Toaster socket" in text
    assert (
        main(
            ["hand-over", str(path), "changes", "--from", "2026-05-06", "--to", "as left", "-o", str(out), "--replace"]
        )
        == 0
    )
    assert "Toaster socket" not in words(out.read_bytes())
    assert main(["hand-over", str(path), "changes", "--from", "2026-05-01", "-o", str(out)]) != 0
    assert "it has no history" in capsys.readouterr().err
