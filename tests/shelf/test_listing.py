"""A folder of homes: all of them are listed, broken ones with a line, and the index is only a cache."""

import csv
import datetime
import io
import json
import os
import shutil
import sqlite3
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from circuitmap.cli.main import main
from circuitmap.errors import FileError
from circuitmap.findings import run
from circuitmap.home import verbs
from circuitmap.home.exchange import open_home, write_folder
from circuitmap.home.records import Board, Device, Point, Room, Visit
from circuitmap.jobs import StoppedError, Ticket
from circuitmap.memo import Memo
from circuitmap.places import sample_homes, user_data
from circuitmap.shelf import listing
from circuitmap.shelf.entry import Entry
from circuitmap.shelf.index import FILE, Index, version_now
from circuitmap.shelf.listing import listed, matches, spots_in
from circuitmap.trade import load
from tests.cli.shell import environment
from tests.shelf.homes import lines, noted, save, small, visited

SAMPLES = ("bungalow-tt", "older-terrace", "rented-flat")


def read_all(folder: Path, cache: Path | None = None) -> list[Entry]:
    with Index(cache, version_now()) as index:
        return list(listed(folder, load(), index))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    homes = tmp_path / "homes"
    (homes / "Street 10").mkdir(parents=True)
    save(small("House ten").home, homes / "Street 10" / "ten.cmap")
    save(small("House two").home, homes / "house 2.cmap")
    save(small("House eleven").home, homes / "house 11.cmap")
    write_folder(homes / "form", small("In text").home)
    return homes


def test_files_and_text_forms_are_found_in_natural_order_whatever_else_lies_there(folder: Path) -> None:
    (folder / "letter.pdf").write_bytes(b"%PDF-1.4")
    (folder / ".hidden.cmap").write_bytes(b"x")
    (folder / "house 2.cmap.lock").touch()
    (folder / "loop").symlink_to(folder, target_is_directory=True)
    assert [spot.shown for spot in spots_in(folder)] == [
        "form", "house 2.cmap", "house 11.cmap", "Street 10/ten.cmap"
    ]  # fmt: skip
    assert [entry.name for entry in read_all(folder)] == ["In text", "House two", "House eleven", "House ten"]


def test_a_text_form_is_a_shelf_of_one(folder: Path) -> None:
    assert [entry.name for entry in read_all(folder / "form")] == ["In text"]


def test_broken_and_foreign_files_are_a_line_each_and_the_rest_is_listed(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    whole = (folder / "house 2.cmap").read_bytes()
    (folder / "cut.cmap").write_bytes(whole[: len(whole) // 2])
    (folder / "empty.cmap").touch()
    (folder / "foreign.cmap").write_bytes(b"PK\x03\x04 something else" * 50)
    sqlite3.connect(folder / "other.cmap").execute("CREATE TABLE a (b)").connection.close()
    (folder / "pointing.cmap").symlink_to(folder / "nowhere.cmap")
    (folder / "bad form").mkdir()
    (folder / "bad form" / "home.json").write_text('{"circuitmap": 1, "point": [{"id": "P1"}]}')
    (folder / "worse form").mkdir()
    (folder / "worse form" / "home.json").write_bytes(b"\xff\xfe not json")
    entries = read_all(folder)
    assert sum(not entry.problem for entry in entries) == 4
    broken = {entry.path: entry.problem for entry in entries if entry.problem}
    assert set(broken) == {
        "cut.cmap", "empty.cmap", "foreign.cmap", "other.cmap", "pointing.cmap", "bad form", "worse form"
    }  # fmt: skip
    assert all("\n" not in says and len(says) > 10 for says in broken.values())
    assert main(["shelf", str(folder)]) == 0
    said = capsys.readouterr().out.splitlines()
    assert len(said) == 11
    assert sum("can't be listed" in line for line in said) == 7
    assert main(["shelf", str(folder), "--json"]) == 0
    assert sum("problem" in each for each in lines(capsys.readouterr().out)) == 7


def test_a_folder_that_cannot_be_looked_at_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for wrong in (tmp_path / "nowhere", save(small().home, tmp_path / "a.cmap")):
        with pytest.raises(FileError):
            spots_in(wrong)
        assert main(["shelf", str(wrong)]) == 3
    (tmp_path / "nothing").mkdir()
    capsys.readouterr()
    assert main(["shelf", str(tmp_path / "nothing")]) == 0
    assert capsys.readouterr().out == "There is no home in this folder.\n"


@pytest.mark.parametrize("name", SAMPLES)
def test_an_entry_says_what_the_home_itself_says(name: str) -> None:
    home = open_home(sample_homes() / name)
    (entry,) = read_all(sample_homes() / name)
    found = run(home, load(), Memo())
    assert entry.codes == dict(Counter(f.code for f in found if not f.aside and f.ruling != "not so"))
    assert entry.last_visit == max(visit.day for visit in home.table(Visit).values())
    assert (entry.name, entry.address, entry.tenure) == (
        home.details.name, home.details.address, home.details.tenure
    )  # fmt: skip
    assert entry.points == len(home.table(Point))
    shown = {record for record, _, _ in entry.texts}
    assert shown == {r.id for kind in (Point, Device, Room, Board) for r in home.table(kind).values()}
    assert entry.plan is not None
    assert max(entry.plan.width, entry.plan.height) == 1000
    assert entry.plan.dots


def test_a_finding_is_closed_by_a_ruling_that_it_is_not_so_and_by_clearing_its_note_only() -> None:
    from circuitmap.shelf.reading import entry_of

    built = small()
    visit = visited(built, "2026-01-05")
    note = noted(built, "P1", "scorched")
    trade = load()
    (finding,) = (f for f in run(built.home, trade, Memo()) if f.rule == "scorched")
    before = entry_of(built.home, "x", trade)
    assert before.codes["C2"] == 1
    agreed = built.home.apply(verbs.rule_on(built.home, finding.key, "agree", code="C1"))
    entry = entry_of(agreed, "x", trade)
    assert (entry.codes.get("C1"), entry.codes.get("C2"), entry.ruled) == (1, None, 1)
    denied = built.home.apply(verbs.rule_on(built.home, finding.key, "not so", why="soot of a candle"))
    assert not entry_of(denied, "x", trade).codes.get("C2")
    cleared = built.home.apply(verbs.edit(built.home, note, cleared=visit))
    assert not entry_of(cleared, "x", trade).codes.get("C2")


# -- the index ----------------------------------------------------------------------------------------------------


def test_a_second_listing_reads_no_home(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = read_all(folder, tmp_path / "cache")
    monkeypatch.setattr(listing, "_read", None)
    assert read_all(folder, tmp_path / "cache") == first


def test_a_home_that_was_changed_is_read_again_and_one_that_went_is_forgotten(folder: Path, tmp_path: Path) -> None:
    cache = tmp_path / "cache"
    read_all(folder, cache)
    (folder / "house 2.cmap").unlink()
    (folder / "house 11.cmap").unlink()
    save(small("Renamed").home, folder / "house 2.cmap")
    assert [entry.name for entry in read_all(folder, cache)] == ["In text", "Renamed", "House ten"]
    kept = sqlite3.connect(cache / FILE).execute("SELECT path FROM home").fetchall()
    assert len(kept) == 3


@pytest.mark.parametrize("harm", ["deleted", "cut", "noise", "foreign", "row", "late", "folder", "emptied"])
def test_the_index_is_only_a_cache(folder: Path, tmp_path: Path, harm: str) -> None:
    cache = tmp_path / "cache"
    first = read_all(folder, cache)
    path = cache / FILE
    match harm:
        case "deleted":
            path.unlink()
        case "cut":
            path.write_bytes(path.read_bytes()[:700])
        case "noise":
            path.write_bytes(os.urandom(5000))
        case "emptied":
            path.write_bytes(b"")
        case "foreign":
            path.unlink()
            with sqlite3.connect(path) as other:
                other.execute("CREATE TABLE home (a)")
        case "row":
            with sqlite3.connect(path) as other:
                other.execute("UPDATE home SET entry=?", (b"\xc1 no entry",))
        case "late":
            data = bytearray(path.read_bytes())
            data[1000:] = bytes(len(data) - 1000)
            path.write_bytes(bytes(data))
        case "folder":
            path.unlink()
            path.mkdir()
    assert read_all(folder, cache) == first
    assert read_all(folder, cache) == first


def test_another_version_of_the_program_or_the_tables_reads_again(folder: Path, tmp_path: Path) -> None:
    cache = tmp_path / "cache"
    read_all(folder, cache)
    (spot, *_) = spots_in(folder)
    assert spot.stamp is not None
    with Index(cache, "another") as index:
        assert index.get(spot.stamp) is None
    with Index(cache, version_now()) as index:
        assert index.get(spot.stamp) is not None


def test_the_tables_of_a_person_are_part_of_the_version() -> None:
    before = version_now()
    own = user_data()
    own.mkdir(parents=True)
    (own / "due.toml").write_text("# nothing yet\n")
    assert version_now() != before


def test_without_a_place_for_the_index_all_is_listed_and_that_is_said(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "in the way").touch()
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "in the way"))
    assert main(["shelf", str(folder)]) == 0
    said = capsys.readouterr()
    assert len(said.out.splitlines()) == 4
    assert "could be kept for the next time" in said.err


def test_a_full_disk_while_keeping_the_index_loses_nothing(folder: Path, tmp_path: Path) -> None:
    cache = tmp_path / "cache"
    with Index(cache, version_now()) as index:
        assert index._connection is not None
        index._connection.execute("PRAGMA max_page_count=3")  # as SQLite says it when nothing more fits
        (spot, *_) = spots_in(folder)
        assert spot.stamp is not None
        index.put(spot.stamp, bytes(100_000))
        assert "full" in index.why_not
        entries = list(listed(folder, load(), index))
        assert len(entries) == 4
    assert read_all(folder, cache) == entries


def test_many_homes_are_read_by_other_processes_and_come_in_the_same_order(tmp_path: Path) -> None:
    homes = tmp_path / "homes"
    homes.mkdir()
    first = save(small("Copy").home, tmp_path / "one.cmap")
    for n in range(listing.WORTH_PROCESSES + 2):
        shutil.copyfile(first, homes / f"{n}.cmap")
    (homes / "3.cmap").write_bytes(b"broken")
    entries = read_all(homes)
    assert [entry.path for entry in entries] == [f"{n}.cmap" for n in range(listing.WORTH_PROCESSES + 2)]
    assert [bool(entry.problem) for entry in entries].count(True) == 1
    assert entries[0].codes == read_all(first.parent / "homes")[1].codes
    done = subprocess.run(
        [sys.executable, "-m", "circuitmap.cli.main", "shelf", str(homes)],
        capture_output=True, check=False, env=environment(), text=True,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    assert len(done.stdout.splitlines()) == len(entries)


def test_a_listing_can_be_stopped(folder: Path) -> None:
    ticket = Ticket()
    with Index(None, "") as index:
        entries = listed(folder, load(), index, ticket)
        assert next(entries).name == "In text"
        ticket.stop()
        with pytest.raises(StoppedError):
            next(entries)


def test_looking_for_homes_can_be_stopped_too(folder: Path) -> None:
    ticket = Ticket()
    ticket.stop()
    with pytest.raises(StoppedError):
        spots_in(folder, ticket)


# -- words and forms ----------------------------------------------------------------------------------------------


def test_words_are_found_at_points_and_labels(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (entry,) = read_all(folder / "form")
    assert matches(entry, "worktops LEFT") == ("P1 Worktop left, socket, Kitchen",)
    assert matches(entry, "kitch sock") == ("P1 Worktop left, socket, Kitchen",)
    assert matches(entry, "a1") == ("A1 “Sockets”, MCB",)
    assert matches(entry, "in text")[0] == "In text"
    assert matches(entry, "itchen") == ()
    assert matches(entry, "") == ()
    assert main(["shelf", str(folder), "--find", "worktop"]) == 0
    assert capsys.readouterr().out.count("P1 Worktop left") == 4
    assert main(["shelf", str(folder), "--find", "sauna"]) == 1
    assert capsys.readouterr().out == "No home here has “sauna”.\n"


NASTY = ('=HYPERLINK("http://x")', "+44 lamp", "@SUM(A1)", "-2", "a\tb\r\nc", "x" * 300, "غرفة", "👩‍🔧 lamp", 'a,b;"c"')


@pytest.mark.parametrize("name", NASTY)
def test_csv_holds_no_formula_and_reads_back(tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Read back by Python's own reader of RFC 4180 rows."""
    homes = tmp_path / "homes"
    homes.mkdir()
    save(small(name, address=name).home, homes / "=1+1.cmap")
    assert main(["shelf", str(homes), "--csv"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out, newline="")))
    assert len(rows) == 1
    for cell in rows[0].values():
        assert not cell.lstrip().startswith(("=", "+", "-", "@", "\t", "\r")), cell
    assert rows[0]["name"].removeprefix("'").split() == name.split()
    assert rows[0]["points"] == "1"
    assert main(["shelf", str(homes), "--json"]) == 0
    assert lines(capsys.readouterr().out)[0]["name"] == name.strip()
    assert main(["shelf", str(homes)]) == 0
    assert len(capsys.readouterr().out.splitlines()) == 1


def test_lines_are_printed_as_they_come(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each line is out before the next home is read."""
    out: list[str] = []
    seen_then: list[int] = []
    real = listing._read

    def watched(path: Path, shown: str, trade: object) -> bytes:
        seen_then.append(len(out))
        return real(path, shown, trade)  # type: ignore[arg-type]

    monkeypatch.setattr(listing, "_read", watched)
    monkeypatch.setattr("circuitmap.cli.shelf._out", out.append)
    assert main(["shelf", str(folder), "--json"]) == 0
    assert seen_then == [0, 1, 2, 3]


def test_addresses_can_be_left_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    homes = tmp_path / "homes"
    homes.mkdir()
    built = small("17 Larkspur Mews", address="17 Larkspur Mews, Nether Wallop")
    built.point("socket", room="M1", name="Lamp from Nether Wallop")
    save(built.home, homes / "17-larkspur-mews.cmap")
    for form in ("--json", "--csv"):
        assert (
            main(
                ["shelf", str(homes), form, "--find", "lamp", "--without", "address", "--due", str(tmp_path / "d.ics")]
            )
            == 0
        )
        said = capsys.readouterr().out.casefold()
        assert "larkspur" not in said
        assert "wallop" not in said
        assert "lamp from" in said


def test_json_says_the_day_and_source_of_what_is_due(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    built = small("Let flat", tenure="rented", country="England")
    visited(built, "2021-03-04", "periodic")
    homes = tmp_path / "homes"
    homes.mkdir()
    save(built.home, homes / "a.cmap")
    assert main(["shelf", str(homes), "--json", "--today", "2026-03-05"]) == 0
    (told,) = lines(capsys.readouterr().out)
    (due,) = told["due"]  # type: ignore[misc]
    assert (due["what"], due["day"], due["overdue"], due["by_law"]) == ("inspection", "2026-03-04", True, True)
    assert "gov.uk" in due["source"]
    assert datetime.date.fromisoformat(due["day"])
    assert json.dumps(told)
