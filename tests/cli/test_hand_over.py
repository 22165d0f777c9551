"""``circuitmap hand-over``: every document of a home into files or a folder, whole or not at all, without a window."""

import csv
from pathlib import Path

import ezdxf
import openpyxl
import pypdf
import pytest

from circuitmap.cli.main import main
from circuitmap.paper.catalogue import PAPERS
from circuitmap.places import sample_homes
from tests.cli.shell import run_alone

TERRACE = str(sample_homes() / "older-terrace")


def test_without_a_document_all_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["hand-over", TERRACE]) == 0
    said = capsys.readouterr().out
    for paper in PAPERS:
        assert any(line.split()[0] == paper.name and paper.says in line for line in said.splitlines())


def test_all_documents_go_into_a_folder(tmp_path: Path) -> None:
    folder = tmp_path / "papers"
    assert main(["hand-over", TERRACE, "all", "-o", str(folder), "--day", "2026-01-05"]) == 0
    names = {path.name for path in folder.iterdir()}
    assert {"chart.pdf", "schedules.pdf", "sheets.pdf", "drawing.svg", "rooms.geojson"} <= names
    assert not [name for name in names if name.endswith(".part")]
    for path in folder.glob("*.pdf"):
        assert len(pypdf.PdfReader(path).pages) >= 1


def test_the_ending_says_the_form(tmp_path: Path) -> None:
    for ending in ("xlsx", "csv", "pdf"):
        assert main(["hand-over", TERRACE, "schedules", "-o", str(tmp_path / f"s.{ending}")]) == 0
    assert "Circuits" in openpyxl.load_workbook(tmp_path / "s.xlsx").sheetnames
    with (tmp_path / "s-circuits.csv").open(encoding="utf-8-sig", newline="") as file:
        assert [row["Circuit"] for row in csv.DictReader(file)] == ["A1", "A2", "A3", "A4", "A5", "A6", "A7"]
    assert main(["hand-over", TERRACE, "drawing", "-o", str(tmp_path / "plan.dxf"), "--storey", "G2"]) == 0
    assert not ezdxf.readfile(tmp_path / "plan.dxf").audit().errors


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["poster", "-o", "x.pdf"], "No document is called “poster”; there are: chart"),
        (["schedules"], "Say with -o which file or folder to write."),
        (["schedules", "-o", "x.docx"], "is written as pdf or xlsx or csv, not as docx"),
        (["drawing", "-o", "x.png", "--scale", "5000"], "between 5 and 1000 pixels for each metre"),
        (["schedules", "-o", "x.pdf", "--of", "D99"], "no such thing as D99"),
        (["rooms", "-o", "x.geojson", "--storey", "G9"], "There is no storey G9"),
        (["sheets", "-o", "x.pdf", "--to", "next week"], "next week"),
    ],
)
def test_what_can_t_be_made_is_one_sentence_and_no_file(
    arguments: list[str], sentence: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    assert main(["hand-over", TERRACE, *arguments]) not in (0, None)
    said = capsys.readouterr().err
    assert sentence in said
    assert "Traceback" not in said
    assert list(tmp_path.iterdir()) == []


def test_a_place_that_can_t_be_written_keeps_what_was_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    there = tmp_path / "s.xlsx"
    there.write_bytes(b"what was there")

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fdopen", full)
    assert main(["hand-over", TERRACE, "schedules", "-o", str(there), "--replace"]) not in (0, None)
    said = capsys.readouterr().err
    assert "the document can't be written (No space left on device)" in said
    assert there.read_bytes() == b"what was there"
    assert [path.name for path in tmp_path.iterdir()] == ["s.xlsx"]


def test_documents_are_named_anywhere_behind_the_home(tmp_path: Path) -> None:
    where, day = ["-o", str(tmp_path)], ["--day", "2026-01-05"]
    assert main(["hand-over", TERRACE, *day, "labels", *where, "schedules"]) == 0
    assert {path.name for path in tmp_path.iterdir()} == {"labels.pdf", "schedules.pdf"}
    assert main(["hand-over", *where, *day, TERRACE, "labels", "schedules"]) == 0  # the very same again


def test_what_is_there_is_replaced_only_when_asked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    command = ["hand-over", TERRACE]
    day = ["--day", "2026-01-05"]
    there = tmp_path / "schedules.pdf"
    there.write_bytes(b"somebody's own")
    for arguments in (["schedules", "-o", str(there)], ["labels", "schedules", "-o", str(tmp_path)]):
        assert main([*command, *arguments, *day]) == 2
        assert f"{there} is already there; choose another name, or add --replace." in capsys.readouterr().err
        assert there.read_bytes() == b"somebody's own"
        assert list(tmp_path.iterdir()) == [there]
    assert main([*command, "labels", "schedules", "-o", str(tmp_path), "--replace", *day]) == 0
    assert there.read_bytes().startswith(b"%PDF")
    # The same bytes again replace nothing.
    assert main([*command, "labels", "schedules", "-o", str(tmp_path), *day]) == 0
    for name in ("labels.pdf", "schedules.pdf"):
        (tmp_path / name).write_bytes(b"other")
    capsys.readouterr()
    assert main([*command, "labels", "schedules", "-o", str(tmp_path), *day]) == 2
    assert "labels.pdf, " in capsys.readouterr().err


def test_the_same_home_and_day_give_the_same_files(tmp_path: Path) -> None:
    for name in ("one", "two"):
        for document, ending in (("schedules", "xlsx"), ("sheets", "pdf"), ("drawing", "dxf")):
            path = tmp_path / f"{name}-{document}.{ending}"
            assert main(["hand-over", TERRACE, document, "-o", str(path), "--day", "2026-01-05"]) == 0
    for document in ("schedules.xlsx", "sheets.pdf", "drawing.dxf"):
        assert (tmp_path / f"one-{document}").read_bytes() == (tmp_path / f"two-{document}").read_bytes()


@pytest.mark.parametrize(
    ("document", "ending"), [("chart", "pdf"), ("schedules", "pdf"), ("sheets", "pdf"), ("drawing", "dxf")]
)
def test_no_document_needs_a_window(document: str, ending: str, tmp_path: Path) -> None:
    done, loaded = run_alone("hand-over", TERRACE, document, "-o", str(tmp_path / f"made.{ending}"))
    assert done.returncode == 0, done.stderr
    assert not {"PySide6", "shiboken6", "pint", "scipy"} & loaded
