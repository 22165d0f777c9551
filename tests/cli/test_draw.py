"""``circuitmap draw``: one SVG, whole or not at all, and a sentence for whatever was meant wrongly."""

from pathlib import Path
from xml.etree import ElementTree as Tree

import pytest

from circuitmap.cli.main import main
from circuitmap.home.document import Document
from circuitmap.home.exchange import write_folder
from tests.cli.shell import run_alone
from tests.drawing.homes import two_storeys

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    b, _ = two_storeys()
    path = tmp_path / "home"
    write_folder(path, b.home)
    return path


def texts(path: Path) -> list[str]:
    return [element.text or "" for element in Tree.parse(path).iter(f"{SVG}text")]


def test_a_text_form_is_drawn_whole(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "plan.svg"
    assert main(["draw", str(folder), "-o", str(out)]) == 0
    assert {"Ground floor", "First floor", "Board A"} <= set(texts(out))
    assert "Drew 2 storeys" in capsys.readouterr().out
    assert sorted(p.name for p in tmp_path.iterdir()) == ["home", "plan.svg"]


def test_a_home_file_gives_the_same_drawing_as_its_text_form(folder: Path, tmp_path: Path) -> None:
    b, _ = two_storeys()
    file = tmp_path / "home.circuitmap"
    Document.create(file, b.home).close()
    for source, out in ((folder, "a.svg"), (file, "b.svg")):
        assert main(["draw", str(source), "-o", str(tmp_path / out)]) == 0
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()


@pytest.mark.parametrize("storey", ["First floor", "first FLOOR", "1"])
def test_a_storey_is_chosen_by_name_or_level(folder: Path, tmp_path: Path, storey: str) -> None:
    out = tmp_path / "plan.svg"
    assert main(["draw", str(folder), "-o", str(out), "--storey", storey, "--theme", "dark", "--no-legend"]) == 0
    assert "First floor" in texts(out)
    assert "Ground floor" not in texts(out)
    assert "Circuits" not in texts(out)


def test_a_circuit_is_chosen_by_its_code(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "plan.svg"
    assert main(["draw", str(folder), "-o", str(out), "--circuit", "a1"]) == 0
    assert "Two storeys · A1 Sockets" in texts(out)


@pytest.mark.parametrize(
    ("extra", "says"),
    [
        (["--storey", "attic"], "“Ground floor” (level 0), “First floor” (level 1)"),
        (["--circuit", "Q9"], "there are: A1"),
    ],
)
def test_what_is_not_there_is_named_with_what_is(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], extra: list[str], says: str
) -> None:
    out = tmp_path / "plan.svg"
    assert main(["draw", str(folder), "-o", str(out), *extra]) == 2
    assert says in capsys.readouterr().err
    assert not out.exists()


@pytest.mark.parametrize("name", ["plan.txt", "plan.pdf", "plan"])
def test_a_name_that_ends_otherwise_is_refused(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    assert main(["draw", str(folder), "-o", str(tmp_path / name)]) == 2
    assert f"A plan is written as .svg; {name} ends otherwise." in capsys.readouterr().err
    assert not (tmp_path / name).exists()


def test_another_drawing_is_replaced_only_when_asked(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "plan.svg"
    command = ["draw", str(folder), "-o", str(out)]
    assert main(command) == main(command) == 0
    first = out.read_bytes()
    assert main([*command, "--theme", "dark"]) == 2
    assert f"{out} is already there; choose another name, or add --replace." in capsys.readouterr().err
    assert out.read_bytes() == first
    assert main([*command, "--theme", "dark", "--replace"]) == 0
    assert out.read_bytes() != first


def test_a_folder_is_never_written_over(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["draw", str(folder), "-o", str(folder)]) == 2
    assert "is a folder" in capsys.readouterr().err
    assert (folder / "home.json").exists()


def test_a_home_or_a_place_that_is_not_there_ends_with_3(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["draw", str(tmp_path / "none"), "-o", str(tmp_path / "x.svg")]) == 3
    assert main(["draw", str(folder), "-o", str(tmp_path / "none" / "x.svg")]) == 3
    assert "can't be written" in capsys.readouterr().err


def test_an_earlier_drawing_is_replaced_in_one_step(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "plan.svg"
    out.write_text("an earlier drawing", encoding="utf-8")
    assert main(["draw", str(folder), "-o", str(out), "--replace"]) == 0
    assert Tree.parse(out).getroot().tag == f"{SVG}svg"
    assert out.stat().st_mode & 0o444


def test_drawing_needs_neither_qt_nor_pint_nor_scipy(folder: Path, tmp_path: Path) -> None:
    done, loaded = run_alone("draw", str(folder), "-o", str(tmp_path / "x.svg"))
    assert done.returncode == 0
    assert "circuitmap.drawing" in loaded
    assert not loaded & {"PySide6", "pint", "scipy"}
