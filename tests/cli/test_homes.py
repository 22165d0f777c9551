"""``new``, ``pack`` and ``unpack``: nothing overwritten unasked, the same back again."""

import shutil
from pathlib import Path

import pypdf
import pytest

from circuitmap.cli.main import main
from circuitmap.home import Home
from circuitmap.home.document import Document
from circuitmap.home.exchange import MarkedHome, open_home, read_folder, write_folder
from circuitmap.places import sample_homes
from tests.home.full import full_home

AT = "2026-01-05T09:30:00Z"


@pytest.fixture
def form(tmp_path: Path) -> Path:
    home, assets = full_home()
    write_folder(tmp_path / "form", home, [MarkedHome("as found", AT, Home.blank("Before"))], assets)
    return tmp_path / "form"


def tree(path: Path) -> dict[str, bytes]:
    return {str(file.relative_to(path)): file.read_bytes() for file in path.rglob("*") if file.is_file()}


def test_pack_then_unpack_gives_the_same_bytes(form: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    packed, again = tmp_path / "home.cmap", tmp_path / "again"
    assert main(["pack", str(form), "-o", str(packed)]) == 0
    assert main(["unpack", str(packed), "-o", str(again)]) == 0
    assert tree(again) == tree(form)
    count = sum(1 for _ in read_folder(form).home.all())
    assert capsys.readouterr().out.splitlines() == [
        f"Packed {count} records and 1 mark into {packed}.",
        f"Unpacked {count} records into {again}.",
    ]


def test_new_makes_an_empty_home_or_one_from_a_text_form(form: Path, tmp_path: Path) -> None:
    assert main(["new", "7 Invented Lane", "-o", str(tmp_path / "a.cmap")]) == 0
    assert open_home(tmp_path / "a.cmap") == Home.blank("7 Invented Lane")
    assert main(["new", "Copy", "-o", str(tmp_path / "b.cmap"), "--from", str(form)]) == 0
    with Document.open(tmp_path / "b.cmap") as document:
        assert document.home.details.name == "Copy"
        assert len(list(document.home.all())) == len(list(full_home()[0].all()))
        assert document.at("as found").details.name == "Before"


@pytest.mark.parametrize("command", ["new", "pack", "unpack"])
def test_what_is_there_is_not_overwritten_unless_asked(
    command: str, form: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    packed = tmp_path / "home.cmap"
    main(["pack", str(form), "-o", str(packed)])
    there = tmp_path / "there"
    there.mkdir()
    (there / "home.json").write_text("mine")
    source = {"new": "name", "pack": str(form), "unpack": str(packed)}[command]
    capsys.readouterr()
    assert main([command, source, "-o", str(there)]) == 2
    assert capsys.readouterr().err.startswith(f"circuitmap: {there} is already there; choose another name")
    assert tree(there) == {"home.json": b"mine"}
    if command == "unpack":
        assert main([command, source, "-o", str(there), "--replace"]) == 0
        assert tree(there) == tree(form)
    if command == "pack":
        assert main([command, source, "-o", str(packed), "--replace"]) == 0
        assert main([command, source, "-o", str(there), "--replace"]) == 3
        assert capsys.readouterr().err == f"circuitmap: {there}: is a folder, not a home file.\n"


def test_problems_are_all_printed_and_nothing_is_made(
    form: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (form / "home.json").write_text('{"circuitmap": 1, "point": [{"id": "P1", "kind": "sockett"}, {"id": "P2"}]}')
    assert main(["pack", str(form), "-o", str(tmp_path / "x.cmap")]) == 3
    assert capsys.readouterr().err == (
        f"circuitmap: {form}: 2 problems found, nothing was taken in.\n"
        "  home.json: point[0].kind: there is no word 'sockett'\n"
        "  home.json: point[1].kind: is missing\n"
    )
    assert not (tmp_path / "x.cmap").exists()


def test_a_lost_photograph_loses_nothing_else(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source, form = sample_homes() / "older-terrace", tmp_path / "form"
    shutil.copytree(source, form)
    (photo,) = (form / "assets").glob("*.jpg")
    photo.unlink()
    packed, again = tmp_path / "home.cmap", tmp_path / "again"
    capsys.readouterr()
    for command in (["pack", str(form), "-o", str(packed)], ["unpack", str(packed), "-o", str(again)]):
        assert main(command) == 0
        assert "A picture is missing (named by" in capsys.readouterr().out
    one, other = read_folder(form), read_folder(again)
    assert list(one.home.all()) == list(other.home.all())
    assert [list(mark.home.all()) for mark in one.marks] == [list(mark.home.all()) for mark in other.marks]
    assert (one.assets, one.missing) == (other.assets, other.missing)
    assert len(one.missing) == 1
    assert main(["check", str(form), "--at-least", "C1"]) in (0, 1)
    capsys.readouterr()
    for home in (form, packed):
        record = tmp_path / f"{home.name}.pdf"
        assert main(["hand-over", str(home), "record", "-o", str(record)]) == 0
        assert "1 photograph is missing or can't be read; the record says so there." in capsys.readouterr().out
        words = " ".join(page.extract_text() for page in pypdf.PdfReader(record).pages)
        assert "A photograph of this is missing from the home." in " ".join(words.split())


def test_a_file_that_is_none_is_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["unpack", str(tmp_path / "no.cmap"), "-o", str(tmp_path / "x")]) == 3
    assert capsys.readouterr().err == f"circuitmap: {tmp_path / 'no.cmap'}: is not there; check the name.\n"


def test_a_redacted_copy_is_handed_on_without_what_is_private(form: Path, tmp_path: Path) -> None:
    packed = tmp_path / "home.cmap"
    main(["pack", str(form), "-o", str(packed)])
    assert main(["unpack", str(packed), "-o", str(tmp_path / "shared"), "--redacted"]) == 0
    assert open_home(form).details.address
    assert open_home(tmp_path / "shared").details.address == ""


def test_a_home_open_in_a_window_can_be_unpacked(form: Path, tmp_path: Path) -> None:
    packed = tmp_path / "home.cmap"
    main(["pack", str(form), "-o", str(packed)])
    with Document.open(packed) as window:
        assert main(["unpack", str(packed), "-o", str(tmp_path / "x")]) == 0
        assert not window.read_only
    assert tree(tmp_path / "x") == tree(form)
