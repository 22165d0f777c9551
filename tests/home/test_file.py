"""The home file under bad circumstances: one sentence each, nothing lost."""

import contextlib
import os
import random
import resource
import shutil
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from circuitmap.errors import FileError
from circuitmap.home import Home, log, verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import open_home
from circuitmap.home.file import HomeFile
from circuitmap.home.records import Point, Sheet
from tests.home.full import PICTURE, full_home

RESTORE = "Go back to a copy of it, or to a text form unpacked earlier."


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A home file with every kind of record, a log, marks and a picture."""
    path = tmp_path / "home.cmap"
    home, assets = full_home()
    with Document.create(path, home, assets) as document:
        document.mark("as found")
        for n in range(8):
            document.do(verbs.add_point(document.home, "socket", name=f"n{n}"))
        document.undo()
        document.mark("as left")
    return path


def refusal(path: Path) -> str:
    with pytest.raises(FileError) as caught:
        Document.open(path)
    return str(caught.value)


def alter(path: Path, *statements: str) -> None:
    connection = sqlite3.connect(path)
    for statement in statements:
        connection.execute(statement)
    connection.commit()
    connection.close()


# -- what is no home file -----------------------------------------------------------------------------------------


def test_what_is_missing_empty_foreign_or_no_file_is_said(tmp_path: Path) -> None:
    assert refusal(tmp_path / "x.cmap") == f"{tmp_path / 'x.cmap'}: is not there; check the name."
    empty = tmp_path / "empty.cmap"
    empty.touch()
    assert refusal(empty) == f"{empty}: is empty; it holds no home."
    picture = tmp_path / "plan.png"
    picture.write_bytes(PICTURE[1] * 100)
    assert refusal(picture) == f"{picture}: is not a home file of this program."
    other = tmp_path / "other.sqlite"
    alter(other, "CREATE TABLE notes (x)")
    assert refusal(other) == f"{other}: is not a home file of this program."
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert refusal(pipe) == f"{pipe}: is not a file that can be opened."
    with pytest.raises(FileError, match="is a folder, not a home file"):
        HomeFile.open(tmp_path)


def test_a_newer_file_is_refused_and_left_as_it_is(path: Path) -> None:
    alter(path, "PRAGMA user_version = 7")
    before = path.read_bytes()
    assert refusal(path) == (
        f"{path}: was written by a newer circuitmap (layout 7; this one reads up to 1). Update this program to open it."
    )
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "statement",
    [
        "CREATE TABLE more (x)",
        "CREATE TRIGGER t AFTER INSERT ON edit BEGIN DELETE FROM record; END",
        "CREATE VIEW v AS SELECT 1",
        "DROP INDEX pair_of_record",
        "ALTER TABLE mark ADD COLUMN more TEXT",
    ],
)
def test_tables_that_are_not_exactly_ours_are_refused(path: Path, statement: str) -> None:
    alter(path, statement)
    assert refusal(path) == f"{path}: is damaged or cut short: its tables are not those of a home file. {RESTORE}"


@pytest.mark.parametrize(
    ("statement", "words"),
    [
        ("UPDATE record SET body = CAST('{\"name\":\"x\"}' AS BLOB) WHERE kind = 'details'",
         "its records don't add up to what the log says"),
        ("UPDATE record SET body = X'7B22' WHERE id = 'P1'", "its record P1 can't be read"),
        ("UPDATE record SET id = 'P77' WHERE id = 'P1'", "its record P77 holds another one"),
        ("UPDATE record SET schema = 9 WHERE id = 'P1'", "it holds a record of an unknown kind (point P1)"),
        ("DELETE FROM record WHERE id = 'P1'", "its records don't add up to what the log says"),
        ("DELETE FROM edit WHERE seq = 3", "lines of its log are missing"),
        ("UPDATE edit SET of = 2 WHERE act = 'undo'", "edit 10 is an undo of something else than the last edit"),
        ("UPDATE edit SET title = 'other' WHERE seq = 3", "edit 3 or one of its pairs was altered"),
        ("UPDATE pair SET after = X'7B7D' WHERE seq = 3", "edit 3 or one of its pairs was altered"),
        ("UPDATE mark SET name = 'as built' WHERE n = 1", "its mark 1 is damaged"),
        ("UPDATE asset SET media = 'text/html'", "a picture in it is of a kind that isn't kept"),
    ],
)  # fmt: skip
def test_altered_contents_are_noticed_on_opening(path: Path, statement: str, words: str) -> None:
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA ignore_check_constraints = ON")
    connection.execute(statement)
    connection.commit()
    connection.close()
    assert refusal(path) == f"{path}: is damaged or cut short: {words}. {RESTORE}"


def test_an_altered_picture_is_noticed_when_it_is_read(path: Path) -> None:
    alter(path, "UPDATE asset SET bytes = X'00'")
    with Document.open(path) as document:
        sheet = document.home.sorted(Sheet)[0]
        with pytest.raises(
            FileError, match=r"is damaged or cut short: the picture .* was altered\. Bring it in again\."
        ):
            document.asset(sheet.asset)
        assert len(document.verify()) == 1
        assert "was altered" in document.verify()[0]


def everything(document: Document) -> tuple[object, ...]:
    return document.home, dict(document.home.counters), document.history(), document.marks(), document.assets()


def test_single_bits_flipped_anywhere_are_refused_with_a_sentence_or_do_no_harm(path: Path, tmp_path: Path) -> None:
    with Document.open(path) as document:
        sound = everything(document)
    body = path.read_bytes()
    chance = random.Random(7)
    hurt = tmp_path / "hurt.cmap"
    places = [*range(100), *(chance.randrange(len(body)) for _ in range(500))]
    refusals: dict[int, str] = {}
    for place in places:
        flipped = bytearray(body)
        flipped[place] ^= 1 << chance.randrange(8)
        hurt.write_bytes(flipped)
        try:
            with Document.open(hurt) as document:
                assert everything(document) == sound, f"a flip at byte {place} went unnoticed"
        except FileError as error:
            refusals[place] = str(error)
    assert [says for says in refusals.values() if not says.startswith(f"{hurt}: ") or not says.endswith(".")] == []
    assert len(refusals) > 100  # most of a small file is in use


def test_a_file_cut_short_anywhere_is_refused_with_a_sentence(path: Path, tmp_path: Path) -> None:
    body = path.read_bytes()
    hurt = tmp_path / "hurt.cmap"
    for length in [1, 15, 16, 50, 99, 100, 101, 4095, *range(4096, len(body), 1777)]:
        hurt.write_bytes(body[:length])
        assert refusal(hurt).startswith(f"{hurt}: is "), length


def test_a_log_damaged_behind_our_back_is_found_by_verify_and_by_time_travel(path: Path) -> None:
    with Document.open(path) as document:
        alter(path, "UPDATE pair SET before = X'7B7D' WHERE seq = 10")
        assert document.verify() == ["edit 10 or one of its pairs was altered"]
        with pytest.raises(FileError, match="is damaged or cut short"):
            document.at(9)


# -- two windows --------------------------------------------------------------------------------------------------


def test_a_second_window_looks_only_and_says_why_until_the_first_is_closed(path: Path) -> None:
    first = Document.open(path)
    with Document.open(path) as second:
        assert second.read_only
        assert second.read_only_why == "Here this home can only be looked at: it is open in another window."
        assert (second.can_undo, second.can_redo) == (False, False)
        with pytest.raises(FileError) as caught:
            second.do(verbs.edit(second.home, "home", name="Mine"))
        assert str(caught.value) == (
            f"{path}: was not changed. Here this home can only be looked at: it is open in another window."
        )
        with pytest.raises(FileError, match="was not changed"):
            second.mark("mine")
        with pytest.raises(FileError, match="was not changed"):
            second.undo()
        first.do(verbs.edit(first.home, "home", name="First goes on"))
    assert open_home(path) == first.home
    first.close()
    with Document.open(path) as third:
        assert not third.read_only


def test_a_change_from_elsewhere_is_not_written_over(path: Path) -> None:
    with Document.open(path) as document:
        body = path.read_bytes()
        document.do(verbs.edit(document.home, "home", name="Newer"))
        home = document.home
        path.write_bytes(body)  # a synchronising folder put an older copy back
        with pytest.raises(FileError, match=r"another program has written to it since it was opened; open it again\."):
            document.do(verbs.edit(document.home, "home", name="Newest"))
        assert document.home is home


def test_a_program_that_holds_the_file_is_named_and_the_change_can_be_repeated(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("circuitmap.home.file._WAIT_S", 0.05)
    with Document.open(path) as document:
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN EXCLUSIVE")
        change = verbs.edit(document.home, "home", name="Mine")
        with pytest.raises(FileError, match=r"another program is holding this file, so this change was not kept"):
            document.do(change)
        other.execute("ROLLBACK")
        other.close()
        document.do(change)
        assert document.home.details.name == "Mine"


# -- where nothing can be written ---------------------------------------------------------------------------------


def test_a_read_only_file_or_folder_can_be_looked_at(path: Path) -> None:
    path.chmod(0o444)
    with Document.open(path) as document:
        assert document.read_only_why == "Here this home can only be looked at: the file is read-only."
        assert document.at("as found").problems() == []
    path.chmod(0o644)
    path.parent.chmod(0o555)
    try:
        with Document.open(path) as document:
            assert document.read_only_why == "Here this home can only be looked at: its folder is read-only."
        with pytest.raises(FileError, match=r"new\.cmap: can't be written: its folder is read-only\."):
            Document.create(path.parent / "new.cmap", Home.blank())
    finally:
        path.parent.chmod(0o755)
    with pytest.raises(FileError, match="has no folder to stand in; make the folder first"):
        Document.create(path.parent / "no" / "new.cmap", Home.blank())


def test_a_full_disk_keeps_the_change_out_and_everything_else_in(path: Path) -> None:
    with Document.open(path) as document:
        home, revision = document.home, document.revision
        pages = document._file.connection.execute("PRAGMA page_count").fetchone()[0]
        document._file.connection.execute(f"PRAGMA max_page_count = {pages}")
        change = verbs.note(document.home, "P1", text="x" * 90_000)
        heard: list[int] = []
        document.listen(lambda _change, number: heard.append(number))
        with pytest.raises(FileError) as caught:
            document.do(change)
        assert str(caught.value) == (
            f"{path}: the disk is full, so this change was not kept; make room and do it again."
        )
        assert (document.home, document.revision, heard) == (home, revision, [])
        document._file.connection.execute(f"PRAGMA max_page_count = {pages + 100}")
        document.do(change)
    with Document.open(path) as document:
        assert document.revision == revision + 1
        assert document.verify() == []


CRAMPED = """
import sys
from circuitmap.errors import FileError
from circuitmap.home import verbs
from circuitmap.home.document import Document
document = Document.open(sys.argv[1])
try:
    while True:
        document.do(verbs.note(document.home, "P1", text="x" * 5000))
        print(document.revision, flush=True)
except FileError as error:
    print(error)
"""


def test_a_real_limit_of_the_system_in_the_middle_of_writing_loses_nothing(path: Path) -> None:
    limit = path.stat().st_size + 100_000

    def cramp() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

    done = subprocess.run(
        [sys.executable, "-c", CRAMPED, str(path)], capture_output=True, text=True, check=True, preexec_fn=cramp,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )  # fmt: skip
    *revisions, sentence = done.stdout.splitlines()
    assert done.stderr == ""
    assert "so this change was not kept" in sentence
    with Document.open(path) as document:
        assert document.revision == int(revisions[-1])
        assert document.verify() == []


def test_a_file_deleted_while_open_is_said_not_written_into_nowhere(path: Path) -> None:
    with Document.open(path) as document:
        path.unlink()
        with pytest.raises(
            FileError, match=r"the file was moved or deleted while it was open, so this change was not kept"
        ):
            document.do(verbs.edit(document.home, "home", name="Lost?"))


# -- what a killed process leaves ---------------------------------------------------------------------------------

HALF = """
import os, signal, sqlite3, sys
connection = sqlite3.connect(sys.argv[1], isolation_level=None)
connection.execute("PRAGMA cache_size = 1")
connection.execute("BEGIN IMMEDIATE")
connection.execute("UPDATE record SET body = zeroblob(4000)")
connection.execute("DELETE FROM pair")
os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.fixture
def half_done(path: Path) -> Path:
    """A file with a hot journal: part of a change is in it."""
    sound = path.read_bytes()
    subprocess.run([sys.executable, "-c", HALF, str(path)], check=False)
    assert path.with_name("home.cmap-journal").exists()
    assert path.read_bytes() != sound
    return path


def test_opening_takes_back_what_was_half_done(half_done: Path) -> None:
    with Document.open(half_done) as document:
        assert document.revision == 10
        assert document.verify() == []
    assert not half_done.with_name("home.cmap-journal").exists()


def test_a_command_that_only_looks_takes_it_back_too(half_done: Path) -> None:
    assert len(open_home(half_done).table(Point)) == 10


def test_where_it_cant_be_taken_back_that_is_said(half_done: Path) -> None:
    half_done.chmod(0o444)
    assert refusal(half_done) == (
        f"{half_done}: a window was cut off in the middle of a change, and that can't be put right where nothing may be"
        " written; copy the file and its -journal to a folder of your own and open it there."
    )


def test_a_journal_left_behind_never_gets_into_a_new_file(half_done: Path, tmp_path: Path) -> None:
    shutil.copy(half_done.with_name("home.cmap-journal"), tmp_path / "new.cmap-journal")
    for name, replace in (("new.cmap", False), ("home.cmap", True)):
        with Document.create(tmp_path / name, Home.blank("New"), replace=replace) as document:
            assert document.home == Home.blank("New")
        with Document.open(tmp_path / name) as document:
            assert document.home == Home.blank("New")


# -- making and replacing -----------------------------------------------------------------------------------------


def test_making_a_file_never_overwrites_and_replacing_takes_only_a_home_file_that_nobody_has_open(
    path: Path, tmp_path: Path
) -> None:
    with pytest.raises(FileError, match=r"is already there; choose another name\."):
        Document.create(path, Home.blank())
    letter = tmp_path / "letter.txt"
    letter.write_text("dear")
    with pytest.raises(FileError, match=r"is not a home file of this program\."):
        Document.create(letter, Home.blank(), replace=True)
    before = path.read_bytes()
    with Document.open(path), pytest.raises(FileError, match=r"can't be written: it is open in another window\."):
        Document.create(path, Home.blank(), replace=True)
    assert (path.read_bytes(), letter.read_text()) == (before, "dear")
    Document.create(path, Home.blank("New"), replace=True).close()
    assert open_home(path) == Home.blank("New")
    assert [entry.name for entry in tmp_path.iterdir() if entry.name.endswith(".part")] == []


def body_in(path: Path) -> bytes:
    with contextlib.closing(sqlite3.connect(path)) as connection:
        body: bytes = connection.execute("SELECT body FROM record").fetchone()[0]
    return body


def test_records_of_an_earlier_format_are_upgraded_and_undo_reaches_across(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "old.cmap"
    with Document.create(path, Home.blank("Old words")) as document:
        document.do(verbs.edit(document.home, "home", name="Newer words"))
    before = body_in(path)

    def louder(data: dict[str, Any]) -> dict[str, Any]:
        return {**data, "name": data["name"].upper()}

    for module in ("upgrade", "log"):
        monkeypatch.setattr(f"circuitmap.home.{module}.FORMAT", 2)
    monkeypatch.setattr("circuitmap.home.upgrade.UPGRADES", {"details": {1: louder}})
    with Document.open(path) as document:
        assert document.home.details.name == "NEWER WORDS"
        assert body_in(path) == before  # not rewritten
        assert document.at(1).details.name == "OLD WORDS"
        document.undo()
        assert document.home.details.name == "OLD WORDS"
        document.do(verbs.edit(document.home, "home", name="Now"))
    with Document.open(path) as document:
        assert document.home.details.name == "Now"
        assert document.at(2).details.name == "NEWER WORDS"
        assert document.verify() == []


def test_a_file_with_records_of_a_newer_format_is_refused(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(log, "FORMAT", 0)
    assert "it holds a record of an unknown kind" in refusal(path)
