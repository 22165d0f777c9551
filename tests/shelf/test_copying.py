"""A copy to hand on, searched byte by byte: nothing that is private, no picture's hash, nothing out of the history."""

import io
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from circuitmap.cli.main import main
from circuitmap.errors import FileError
from circuitmap.home.assets import hash_of
from circuitmap.home.document import Document
from circuitmap.home.exchange import MarkedHome, open_home, read_folder
from circuitmap.home.looked import look_at
from circuitmap.home.records import Note, Sheet
from circuitmap.home.sharing import PRIVATE, is_named_by_address, left_out, redacted
from circuitmap.places import sample_homes
from circuitmap.shelf.copying import refuse_own_place, shared, write_shared
from tests.shelf import private


@pytest.fixture
def home_file(tmp_path: Path) -> Path:
    path = tmp_path / "secret.cmap"
    private.secret_home(path)
    return path


def raw(path: Path) -> bytes:
    """Every byte of a copy: of the file with all its pages, or of every file of the folder, with their names."""
    if path.is_dir():
        return b"\n".join(
            bytes(each.relative_to(path)) + b"\n" + (each.read_bytes() if each.is_file() else b"")
            for each in sorted(path.rglob("*"))
        )
    return path.read_bytes()


def forms(text: str) -> Iterator[bytes]:
    """A text as it could stand in a file: by several codes, as JSON escapes it, in both cases."""
    for each in (text, text.upper(), text.lower(), text.casefold()):
        for code in ("utf-8", "utf-16-le", "utf-16-be", "latin-1"):
            yield each.encode(code, "replace")
        yield each.encode("unicode_escape")


def holds(data: bytes, text: str) -> bool:
    return any(form in data for form in forms(text))


def copy_of(path: Path, target: Path, *without: str) -> bytes:
    arguments = ["share", str(path), "-o", str(target)]
    assert main([*arguments, "--without", *without] if without else arguments) == 0
    return raw(target)


def test_the_search_finds_what_it_should_in_the_home_itself(home_file: Path) -> None:
    data = raw(home_file)
    for texts in private.SECRETS.values():
        for text in texts:
            assert holds(data, text), text


@pytest.mark.parametrize("name", ["copy.cmap", "copy"])
def test_nothing_private_stands_anywhere_in_a_copy(home_file: Path, tmp_path: Path, name: str) -> None:
    data = copy_of(home_file, tmp_path / name)
    for texts in private.SECRETS.values():
        for text in texts:
            assert not holds(data, text), text
    for word in ("Featherstone", "Quibell", "Larkspur", "Wigglesworth", "Juniper", "Beelzebub", "flowerpot"):
        assert not holds(data, word), word
    photos = list(private.pictures())[:2]
    for picture in photos:
        digest = hash_of(picture)
        assert not holds(data, digest)
        assert bytes.fromhex(digest) not in data
        middle = len(picture) // 2
        for start in range(200, middle, 97):
            assert picture[start : start + 24] not in data
    whole = open_home(tmp_path / name)
    assert whole.problems() == []
    assert whole.take(Note, "N1").seen == ("damp",)
    assert whole.details.tenure == "rented"


def test_marks_can_be_kept_and_are_as_silent_as_the_rest(home_file: Path, tmp_path: Path) -> None:
    target = tmp_path / "copy.cmap"
    data = copy_of(home_file, target, "photos", "notes", "address", "people")
    for kind in ("address", "people", "call", "notes"):
        for text in private.SECRETS[kind]:
            assert not holds(data, text), text
    for text in (private.OLD_ADDRESS, private.OLD_PERSON, private.OLD_NOTE):
        assert not holds(data, text), text
    with Document.open(target) as document:
        assert [mark.name for mark in document.marks()] == [private.MARK]
        assert "P1" in {point.id for point in document.at(private.MARK).sorted(private.Point)}
        assert document.undo_title is None or "Larkspur" not in document.undo_title


def test_the_log_of_a_copy_begins_with_it(home_file: Path, tmp_path: Path) -> None:
    """Read with SQLite alone: one line of log, one pair a record, no free page with old bytes."""
    copy_of(home_file, tmp_path / "copy.cmap")
    connection = sqlite3.connect(tmp_path / "copy.cmap")
    assert connection.execute("SELECT count(*) FROM edit").fetchone() == (1,)
    assert connection.execute("SELECT count(*) FROM pair WHERE before IS NOT NULL").fetchone() == (0,)
    assert connection.execute("SELECT count(*) FROM mark").fetchone() == (0,)
    assert connection.execute("PRAGMA freelist_count").fetchone() == (0,)
    assert connection.execute("SELECT count(*) FROM asset").fetchone() == (1,)  # the plan alone
    connection.close()


def test_photographs_that_are_kept_lose_what_is_written_beside_their_pixels(home_file: Path, tmp_path: Path) -> None:
    target = tmp_path / "copy"
    data = copy_of(home_file, target, "address")
    for text in private.SECRETS["pictures"]:
        assert not holds(data, text)
    form = read_folder(target)
    (name,) = form.home.take(Note, "N1").photos
    kept, before = Image.open(io.BytesIO(form.assets[name][1])), Image.open(io.BytesIO(private.photo(2)[1]))
    assert kept.tobytes() == before.tobytes()
    assert not kept.getexif()
    plan = Image.open(io.BytesIO(form.assets[form.home.take(Sheet, "H1").asset][1]))
    assert plan.tobytes() == Image.open(io.BytesIO(private.plan()[1])).tobytes()
    assert not plan.info.get("Author")
    assert holds(data, private.NOTE)


@pytest.mark.parametrize("what", [("photos",), ("notes",), ("address",), ("people",), ("history",)])
def test_each_can_be_left_out_alone(home_file: Path, tmp_path: Path, what: tuple[str, ...]) -> None:
    data = copy_of(home_file, tmp_path / "copy.cmap", *what)
    gone = {"address": ("address", "call"), "people": ("people", "call"), "notes": ("notes",),
            "photos": (), "history": ("history",)}[what[0]]  # fmt: skip
    for kind in gone:
        for text in private.SECRETS[kind]:
            assert not holds(data, text), text
    if what != ("notes",):
        assert holds(data, private.NOTE)
    if what == ("photos",):
        assert holds(data, private.ADDRESS)


def test_a_home_called_by_its_address_loses_its_name_or_gets_another(
    home_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert is_named_by_address(open_home(home_file))
    copy_of(home_file, tmp_path / "a.cmap", "address")
    assert "name gives its address away" in capsys.readouterr().out
    assert open_home(tmp_path / "a.cmap").details.name == ""
    assert main(["share", str(home_file), "-o", str(tmp_path / "b.cmap"), "--name", "House 12"]) == 0
    assert open_home(tmp_path / "b.cmap").details.name == "House 12"


def test_documents_and_copies_leave_out_the_same(home_file: Path) -> None:
    home = open_home(home_file)
    with look_at(home_file) as looked:
        copy = shared(home, (), looked.asset)
    lighter = left_out(home, PRIVATE)
    assert copy.home.details == lighter.details == redacted(home).details
    assert left_out(home, ()) is home
    assert left_out(home, ("history",)) is home


def test_words_of_a_name_that_still_stand_are_said(home_file: Path) -> None:
    from circuitmap.home import verbs

    home = open_home(home_file)
    home = home.apply(verbs.edit(home, "P2", where="where Featherstone stood"))
    copy = shared(home, (), {}.get, ("people",))
    assert any("“Featherstone”" in says and "P2" in says for says in copy.says)


def test_a_missing_picture_is_left_out_and_said(home_file: Path, tmp_path: Path) -> None:
    copy = shared(open_home(home_file), (), {}.get, ("address",))
    assert copy.home.take(Note, "N1").photos == ()
    assert not copy.home.table(Sheet)
    assert sum("missing" in says for says in copy.says) == 2
    write_shared(tmp_path / "copy.cmap", copy)
    assert open_home(tmp_path / "copy.cmap") == copy.home


@pytest.mark.parametrize("name", ["older-terrace", "rented-flat", "bungalow-tt"])
def test_the_samples_are_handed_on_whole_and_silent(tmp_path: Path, name: str) -> None:
    home = open_home(sample_homes() / name)
    data = copy_of(sample_homes() / name, tmp_path / "copy.cmap")
    for text in (home.details.address, home.details.name):
        assert not holds(data, text)
    assert len(list(open_home(tmp_path / "copy.cmap").all())) == len(list(home.all()))


def test_no_copy_onto_into_or_around_the_home(home_file: Path, tmp_path: Path) -> None:
    with pytest.raises(FileError, match="the home itself"):
        refuse_own_place(home_file, home_file)
    folder = tmp_path / "form"
    with Document.open(home_file) as document:
        write_shared(folder, shared(document.home, document.marked(), document.assets().get))
    for target in (folder, folder / "inside.cmap", tmp_path):
        with pytest.raises(FileError):
            refuse_own_place(folder, target)
    assert main(["share", str(home_file), "-o", str(home_file), "--replace"]) == 3


@pytest.mark.parametrize("name", ["copy.cmap", "copy"])
def test_a_place_that_cannot_be_written_gets_a_sentence(
    home_file: Path, tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    for folder in (Path("/proc"), tmp_path / "nowhere", home_file):
        assert main(["share", str(home_file), "-o", str(folder / name)]) == 3
        said = capsys.readouterr().err
        assert said.count("\n") == 1
        assert said.rstrip().endswith(".")


def test_a_full_disk_leaves_no_half_copy(home_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import os

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    with look_at(home_file) as looked:
        copy = shared(looked.home, (), looked.asset)
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(FileError, match="no space left"):
        write_shared(tmp_path / "copy", copy)
    assert not (tmp_path / "copy").exists()
    assert not list(tmp_path.glob(".copy*"))


def test_names_of_marks_lose_what_is_private_too(home_file: Path) -> None:
    home = open_home(home_file)
    copy = shared(
        home, (MarkedHome(f"before {private.PERSON} came", "2026-01-05T10:00:00Z", home),), {}.get, ("people",)
    )
    assert copy.marks[0].name == "before … came"


def test_unpacking_redacted_leaves_out_the_same(home_file: Path, tmp_path: Path) -> None:
    assert main(["unpack", str(home_file), "-o", str(tmp_path / "form"), "--redacted"]) == 0
    data = raw(tmp_path / "form")
    for kind in ("address", "people", "call", "notes", "pictures"):
        for text in private.SECRETS[kind]:
            assert not holds(data, text), text
