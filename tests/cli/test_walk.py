"""``circuitmap walk``: pages to print, numbered as the desk numbers them, and a sentence for what was meant wrongly."""

from pathlib import Path
from xml.etree import ElementTree as Tree

import pytest

from circuitmap.cli.main import main
from circuitmap.home import verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import open_home, write_folder
from circuitmap.home.records import Round
from circuitmap.memo import Memo
from circuitmap.places import sample_homes
from circuitmap.survey import numbering_of_round
from circuitmap.survey.method import METHODS, Method
from circuitmap.survey.planner import propose
from circuitmap.trade import load
from tests.build import Builder
from tests.cli.shell import run_alone

SVG = "{http://www.w3.org/2000/svg}"


class Small(Builder):
    """Kitchen and living room on three ways: a look at everything (S1), then the kitchen off (S2), P1 answered."""

    def __init__(self) -> None:
        super().__init__("Small home")
        ground = self.storey()
        self.room("Kitchen", ground, (0, 0, 4000, 3000))
        self.room("Living room", ground, (4000, 0, 9000, 3000))
        board = self.board("A")
        main_switch = self.device(board, "", "main switch", 100)
        rcd = self.device(board, "", "RCD", 63, upstream=main_switch)
        self.device(board, "1", "MCB", 32, upstream=rcd, label="Sockets")
        self.kitchen = self.device(board, "2", "MCB", 32, upstream=rcd, label="Kitchen")
        self.lights = self.device(board, "3", "MCB", 6, upstream=main_switch, label="Lights")
        self.k1 = self.point("socket", (ground, 500, 100), gangs=2, name="Worktop left")
        points = [self.k1, self.point("socket", (ground, 2500, 100), gangs=2, where="right of the window")]
        points += [self.point("socket", (ground, x, 100)) for x in (4500, 8000)]
        lamps = [self.point("light", (ground, x, 1500)) for x in (6000, 7000)]
        switch = self.point("switch", (ground, 4100, 2000))
        self.do(verbs.edit(self.home, switch, controls=tuple(lamps)))
        self.do(verbs.set_supply(self.home, phases=1, sources=(), sources_asked=True))
        self.now = self.visit()
        look = self.round(self.now)
        for point in (*points, *lamps):
            self.check(look, point, "still on")
        self.check(self.round(self.now, self.kitchen), self.k1, "off")


@pytest.fixture
def small() -> Small:
    return Small()


@pytest.fixture
def folder(small: Small, tmp_path: Path) -> Path:
    path = tmp_path / "home"
    write_folder(path, small.home)
    return path


def texts(path: Path) -> list[str]:
    return [element.text or "" for element in Tree.parse(path).iter(f"{SVG}text")]


def test_the_sheet_of_a_switch_off_says_what_goes_off_and_lists_its_points_by_the_desks_numbers(
    small: Small, folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "sheet.svg"
    assert main(["walk", str(folder), "s2", "-o", str(out)]) == 0
    said = texts(out)
    numbers = numbering_of_round(small.home, Memo(), load(), "S2")
    assert "A2 Kitchen" in said
    assert f"Sheet {numbers.code}" in said
    for line in numbers.all_lines:
        assert str(line.number) in said
        assert line.words in " ".join(said)
    assert f"sheet {numbers.code} with 5 lines in {out}" in capsys.readouterr().out
    assert sorted(p.name for p in tmp_path.iterdir()) == ["home", "sheet.svg"]


def test_a_home_file_gives_the_same_sheet_as_its_text_form(small: Small, folder: Path, tmp_path: Path) -> None:
    file = tmp_path / "home.circuitmap"
    Document.create(file, small.home).close()
    for source, out in ((folder, "a.svg"), (file, "b.svg")):
        assert main(["walk", str(source), "S2", "-o", str(tmp_path / out)]) == 0
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()


def test_more_lines_than_a_page_holds_make_more_pages_and_their_names_are_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    b = Builder("Long list")
    room = b.room("Hall of many sockets")
    for _ in range(80):
        b.point(room=room)
    board = b.board()
    b.device(board, "1")
    write_folder(tmp_path / "home", b.home)
    assert main(["walk", str(tmp_path / "home"), "blank", "-o", str(tmp_path / "sheet.svg")]) == 0
    pages = sorted(tmp_path.glob("sheet*.svg"))
    assert [p.name for p in pages] == ["sheet-1.svg", "sheet-2.svg", "sheet-3.svg"]
    said = capsys.readouterr().out
    assert "3 pages" in said
    assert all(str(page) in said for page in pages)
    listed = [word for page in pages for word in texts(page) if word.isdecimal()]
    assert listed == [str(n) for n in range(1, 81)]


def test_only_what_was_not_settled_is_on_the_sheet_unless_every_point_is_asked_for(
    small: Small, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # k1 is settled by the kitchen alone; the lights are asked next.
    lights = small.do(verbs.open_round(small.home, small.now, (small.lights,), at="2026-01-05T10:00:00Z"))
    write_folder(tmp_path / "home", small.home)
    out = tmp_path / "s.svg"
    assert main(["walk", str(tmp_path / "home"), lights, "-o", str(out)]) == 0
    assert not [words for words in texts(out) if "P1, Worktop left" in words]
    assert "Left out: 1 " in capsys.readouterr().out
    assert main(["walk", str(tmp_path / "home"), lights, "-o", str(out), "--all", "--replace"]) == 0
    assert [words for words in texts(out) if "P1, Worktop left" in words]
    assert "Left out" not in capsys.readouterr().out


def test_the_sheet_of_the_next_switch_off_is_printed_while_there_is_power(
    small: Small, folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "s.svg"
    for kind in METHODS:
        assert main(["walk", str(folder), "next", "-o", str(out), "--replace", "--manner", kind.replace(" ", "-")]) == 0
        proposal = propose(small.home, Memo(), load(), Method(kind))
        said = " ".join(texts(out))
        for device in proposal.off:
            assert small.home.code(device) in said
        for point in proposal.points:
            assert point in said
        assert "Date" in said
        capsys.readouterr()


def test_a_blank_sheet_leaves_open_what_goes_off_and_has_every_point(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "s.svg"
    assert main(["walk", str(folder), "blank", "-o", str(out)]) == 0
    said = texts(out)
    assert "Goes off" in said
    assert "Date" in said
    assert [words for words in said if words.isdecimal()][-1] == "5"  # six points, two of them on one switch


@pytest.mark.parametrize(
    ("extra", "says"),
    [
        (["S9"], "No switch-off is called “S9”; there are: S1, S2."),
        (["next", "--manner", "by moonlight"], "“by moonlight” is no method; there are: “fewest switch-offs”"),
        (["S2", "--manner", "gentle"], "--method goes with “next” only"),
    ],
)
def test_what_is_not_there_is_named_with_what_is(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], extra: list[str], says: str
) -> None:
    out = tmp_path / "s.svg"
    assert main(["walk", str(folder), *extra, "-o", str(out)]) == 2
    assert says in capsys.readouterr().err
    assert not out.exists()


def test_a_home_without_points_has_no_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_folder(tmp_path / "home", Builder("Empty").home)
    assert main(["walk", str(tmp_path / "home"), "blank", "-o", str(tmp_path / "s.svg")]) == 2
    assert "Empty has no point to look at yet" in capsys.readouterr().err
    assert not (tmp_path / "s.svg").exists()


def test_a_home_with_three_phases_gets_no_sheet_for_a_switch_off_to_come(
    small: Small, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    small.do(verbs.set_supply(small.home, phases=3))
    write_folder(tmp_path / "home", small.home)
    for which in ("blank", "next"):
        assert main(["walk", str(tmp_path / "home"), which, "-o", str(tmp_path / "s.svg")]) == 2
        assert "single-phase homes only" in capsys.readouterr().err


def test_a_folder_is_never_written_over(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["walk", str(folder), "S2", "-o", str(folder)]) == 2
    assert "is a folder" in capsys.readouterr().err
    assert (folder / "home.json").exists()


def test_a_home_or_a_place_that_is_not_there_ends_with_3(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["walk", str(tmp_path / "none"), "S2", "-o", str(tmp_path / "x.svg")]) == 3
    (tmp_path / "broken.circuitmap").write_bytes(b"not a home at all")
    assert main(["walk", str(tmp_path / "broken.circuitmap"), "S2", "-o", str(tmp_path / "x.svg")]) == 3
    capsys.readouterr()
    assert main(["walk", str(folder), "S2", "-o", str(tmp_path / "none" / "x.svg")]) == 3
    assert "can't be written" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["bungalow-tt", "older-terrace", "rented-flat"])
def test_every_switch_off_of_the_homes_that_come_along_has_a_sheet(name: str, tmp_path: Path) -> None:
    sample = sample_homes() / name
    for record in open_home(sample).sorted(Round):
        assert main(["walk", str(sample), record.id, "-o", str(tmp_path / f"{record.id}.svg")]) == 0
        assert list(tmp_path.glob(f"{record.id}*.svg"))


def test_a_sheet_needs_neither_qt_nor_pint_nor_scipy(folder: Path, tmp_path: Path) -> None:
    done, loaded = run_alone("walk", str(folder), "S2", "-o", str(tmp_path / "x.svg"))
    assert done.returncode == 0
    assert "circuitmap.drawing" in loaded
    assert not loaded & {"PySide6", "pint", "scipy"}
