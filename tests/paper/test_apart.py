"""The process in which documents are made, asked as the window asks it, and what it writes read back by others."""

import datetime
import io
import os
import queue
import subprocess
import threading
from collections.abc import Iterator
from pathlib import Path

import pypdf
import pytest

from circuitmap.home import Home, verbs
from circuitmap.home.assets import hash_of
from circuitmap.home.document import Document
from circuitmap.home.exchange import read_folder
from circuitmap.home.packed import packed, unpacked
from circuitmap.home.records import Note, Point, Room, Sheet
from circuitmap.paper import apart
from circuitmap.paper.catalogue import Paper
from circuitmap.places import sample_homes
from tests.paper.invented import BROKEN, DRAWING, NEVER, PAGES, SLOW

ASSETS = read_folder(sample_homes() / "rented-flat").assets
DAY = datetime.date(2026, 1, 5)
FINAL = (apart.Made, apart.Drawn, apart.Saved, apart.Refused, apart.Halted)


class Press:
    """The process, and what it has answered."""

    def __init__(self) -> None:
        program, arguments = apart.command()
        self.process = subprocess.Popen(
            [program, *arguments], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": apart.python_path()},
        )  # fmt: skip
        self.answers: queue.Queue[apart.Answer] = queue.Queue()
        self.number = 0
        self.ticks: list[apart.Ticked] = []
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        whole = apart.Answers()
        out = self.process.stdout
        assert out is not None
        while data := out.read1(65536):  # type: ignore[attr-defined]
            for answer in whole.take(data):
                self.answers.put(answer)

    def send(self, message: apart.Asked) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(apart.framed(message))
        self.process.stdin.flush()

    def wait(self) -> apart.Answer:
        while True:
            answer = self.answers.get(timeout=60)
            if isinstance(answer, FINAL):
                return answer
            assert isinstance(answer, apart.Ticked)
            self.ticks.append(answer)

    def keep(self, home: Home, key: str = "now", **more: object) -> None:
        self.send(apart.Keep(key, packed(home), **more))  # type: ignore[arg-type]

    def make(self, paper: Paper, form: str = "pdf", **more: object) -> apart.Answer:
        self.number += 1
        self.send(apart.Make(self.number, wish(paper, form, **more)))
        return self.wait()

    def close(self) -> None:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.close()
        assert self.process.wait(20) == 0  # it ends by itself when nobody asks any longer
        self._reader.join(20)
        self.process.stdout.close()


def wish(paper: Paper, form: str = "pdf", **more: object) -> apart.Wish:
    return apart.Wish(paper=paper, home="now", day=DAY, form=form, **more)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def press() -> Iterator[Press]:
    made = Press()
    yield made
    made.close()


@pytest.fixture(scope="module")
def terrace() -> Home:
    return read_folder(sample_homes() / "older-terrace").home


def test_a_home_comes_out_as_it_went_in(terrace: Home) -> None:
    again = unpacked(packed(terrace))
    assert list(again.all()) == list(terrace.all())
    assert again.counters == terrace.counters


def test_pages_are_as_large_as_they_say_and_drawn_white(press: Press, terrace: Home) -> None:
    press.keep(terrace)
    made = press.make(PAGES, size="A3", turned="landscape")
    assert isinstance(made, apart.Made)
    wide, high = made.files[0].pages_pt[0]
    # ISO 216: A3 is 297 mm by 420 mm.
    assert wide / 72 * 25.4 == pytest.approx(420, abs=0.1)
    assert high / 72 * 25.4 == pytest.approx(297, abs=0.1)
    press.send(apart.Draw(900, 0, 0, 0.5, (10, 20, 101, 37)))
    drawn = press.wait()
    assert isinstance(drawn, apart.Drawn)
    assert len(drawn.pixels) == 101 * 37 * 4
    press.send(apart.Draw(901, 0, 0, 0.5, (0, 0, 33, 21), in_grey=True))
    grey = press.wait()
    assert isinstance(grey, apart.Drawn)
    assert len(grey.pixels) == 33 * 21
    assert grey.pixels[:33] == b"\xff" * 33  # the margin of the paper


def test_a_part_of_a_page_is_that_part_of_the_whole(press: Press, terrace: Home) -> None:
    press.keep(terrace)
    press.make(PAGES)
    press.send(apart.Draw(910, 0, 0, 1.0, (0, 0, 595, 842)))
    whole = press.wait()
    press.send(apart.Draw(911, 0, 0, 1.0, (50, 60, 200, 150)))
    part = press.wait()
    assert isinstance(whole, apart.Drawn)
    assert isinstance(part, apart.Drawn)
    rows = [whole.pixels[4 * (595 * y + 50) : 4 * (595 * y + 250)] for y in range(60, 210)]
    assert b"".join(rows) == part.pixels
    assert len(set(part.pixels)) > 2  # something stands there


def test_tables_are_seen_as_an_independent_reader_reads_them(press: Press, terrace: Home) -> None:
    press.keep(terrace)
    book, text = press.make(PAGES, "xlsx"), press.make(PAGES, "csv")
    assert isinstance(book, apart.Made)
    assert isinstance(text, apart.Made)
    assert [sheet.name for sheet in book.files[0].sheets] == ["Rooms", "Empty"]
    names = [row[0] for row in book.files[0].sheets[0].rows]
    assert [room.name for room in terrace.sorted(Room)] == names[: len(terrace.table(Room))]
    assert text.files[0].sheets[0].rows == book.files[0].sheets[0].rows


def test_drawings_are_set_on_a_page_and_texts_shown(press: Press, terrace: Home) -> None:
    press.keep(terrace)
    svg, png, dxf, points = (press.make(DRAWING, form, scale=50.0) for form in ("svg", "png", "dxf", "geojson"))
    assert isinstance(svg, apart.Made)
    assert [file.part for file in svg.files] == [f"storey {storey}" for storey in ("G1", "G2")]
    assert svg.files[0].pages_pt == [(150.0, 150.0)]  # 200 px; an SVG's pixel is a 96th of an inch [CSS 2.1, 4.3.2]
    assert isinstance(png, apart.Made)
    assert png.files[0].pages_pt == [(150.0, 90.0)]
    assert isinstance(dxf, apart.Made)
    assert len(dxf.files[0].pages_pt) == 1
    assert isinstance(points, apart.Made)
    assert '"FeatureCollection"' in points.files[0].text


def test_what_cannot_be_made_is_a_sentence_and_the_next_is_made(press: Press, terrace: Home) -> None:
    press.keep(terrace)
    never, broken = press.make(NEVER), press.make(BROKEN)
    assert isinstance(never, apart.Refused)
    assert never.says.endswith("there is nothing to list.")
    assert never.trace == ""
    assert isinstance(broken, apart.Refused)
    assert "ZeroDivisionError" in broken.trace
    assert "ZeroDivisionError" not in broken.says
    assert isinstance(press.make(PAGES), apart.Made)


def test_it_tells_how_far_it_is_and_stops_when_asked(press: Press, terrace: Home) -> None:
    press.keep(terrace)
    press.ticks.clear()
    press.number += 1
    press.send(apart.Make(press.number, wish(SLOW)))
    while not any(tick.words for tick in press.ticks):
        tick = press.answers.get(timeout=30)
        assert isinstance(tick, apart.Ticked)
        press.ticks.append(tick)
    assert press.ticks[-1].total == 40
    press.send(apart.Halt(press.number))
    assert press.wait() == apart.Halted(press.number)


def test_what_is_stopped_before_it_began_never_begins(press: Press, terrace: Home) -> None:
    press.keep(terrace)
    press.number += 2
    press.send(apart.Make(press.number - 1, wish(SLOW)))
    press.send(apart.Make(press.number, wish(SLOW)))
    press.send(apart.Halt(press.number))
    press.send(apart.Halt(press.number - 1))
    assert press.wait() == apart.Halted(press.number - 1)
    press.ticks.clear()
    assert press.wait() == apart.Halted(press.number)
    assert press.ticks == []


def test_private_things_and_the_past_stay_out_of_both_homes(press: Press, terrace: Home) -> None:
    earlier = Home.of([each for each in terrace.all() if not isinstance(each, Room)])
    press.keep(terrace)
    press.keep(earlier, "then")
    more = {"earlier": "then", "earlier_name": "as found", "later_name": "now"}

    def rows(**wanted: object) -> dict[str, str]:
        made = press.make(PAGES, "csv", **more, **wanted)
        assert isinstance(made, apart.Made)
        return {row[0]: row[1] for row in made.files[0].sheets[0].rows}

    whole = rows()
    assert whole["address"] == terrace.details.address != ""
    assert whole["earlier"] == "as found → now"
    assert whole["earlier points"] == str(len(earlier.table(Point)))
    lighter = rows(leave_out=("address", "history"))
    assert lighter["address"] == ""
    assert "earlier" not in lighter


def test_pictures_come_from_the_home_file_or_with_the_home(press: Press, tmp_path: Path) -> None:
    picture = b"\x89PNG\r\n\x1a\n and so on"
    name = hash_of(picture)
    read = read_folder(sample_homes() / "older-terrace")
    storey = next(iter(read.home.sorted(Room))).storey
    sheet = Sheet(id="H9", storey=storey, asset=name, media="image/png", width_px=10, height_px=10)
    home = Home.of([*(each for each in read.home.all() if not isinstance(each, Sheet | Note)), sheet])
    path = tmp_path / "home.cmap"

    def picture_row() -> str:
        made = press.make(PAGES, "csv", subject=f"P{len(press.ticks) + press.number}")
        assert isinstance(made, apart.Made)
        return {row[0]: row[1] for row in made.files[0].sheets[0].rows}["picture"]

    press.keep(home)
    assert picture_row() == "missing"
    press.keep(home, pictures={name: ("image/png", picture)})
    assert picture_row() == "here"
    with Document.create(path, home, assets={name: ("image/png", picture)}):  # open and locked, as in a window
        press.keep(home, file=str(path))
        assert picture_row() == "here"
    press.keep(home, file=str(tmp_path / "gone.cmap"))
    assert picture_row() == "missing"


def test_a_home_as_it_was_is_read_from_the_file_that_a_window_holds(press: Press, tmp_path: Path) -> None:
    home = read_folder(sample_homes() / "rented-flat").home
    path = tmp_path / "home.cmap"
    with Document.create(path, home.apply(verbs.edit(home, "home", "", address="1 Before")), assets=ASSETS) as document:
        seq = document.revision
        document.do(verbs.edit(document.home, "home", "", address="2 After"))
        press.send(apart.Keep("now", file=str(path), seq=seq))
        then = press.make(PAGES, "csv", subject="P1")
        assert isinstance(then, apart.Made)
        assert ["address", "1 Before"] in then.files[0].sheets[0].rows
        document.do(verbs.edit(document.home, "home", "", address="3 Later"))  # nothing holds the file back
    for wrong, file in ((99, path), (1, tmp_path / "gone.cmap")):
        press.send(apart.Keep("now", file=str(file), seq=wrong))
        refused = press.make(PAGES, "csv", subject=f"P{wrong}")
        assert isinstance(refused, apart.Refused)
        assert refused.trace == ""
        assert refused.says.startswith(f"{file}: ")


def test_files_are_written_whole_with_names_that_say_what_they_are(press: Press, terrace: Home, tmp_path: Path) -> None:
    press.keep(terrace)

    def save(number: int, paper: Paper, form: str, folder: Path = tmp_path, **more: object) -> apart.Answer:
        press.send(apart.Save(number, wish(paper, form, **more), str(folder), "Row - list"))
        return press.wait()

    first = save(950, PAGES, "pdf")
    assert isinstance(first, apart.Saved)
    assert first.paths == [str(tmp_path / "Row - list.pdf")]
    assert len(pypdf.PdfReader(io.BytesIO((tmp_path / "Row - list.pdf").read_bytes())).pages) >= 1
    assert save(951, PAGES, "pdf") == apart.Saved(951, first.paths)  # the same bytes are there already
    other = save(952, PAGES, "pdf", size="A3")
    assert isinstance(other, apart.Saved)
    assert other.paths == [str(tmp_path / "Row - list 2.pdf")]
    several = save(953, DRAWING, "svg")
    assert isinstance(several, apart.Saved)
    assert [Path(path).name for path in several.paths] == [
        "Row - list - storey G1.svg", "Row - list - storey G2.svg",
    ]  # fmt: skip
    within = Path(first.paths[0]) / "within"
    refused = save(954, PAGES, "pdf", within)
    assert isinstance(refused, apart.Refused)
    assert refused.says == f"{within}: can't be made a folder (Not a directory). Choose another place."
    assert {path.suffix for path in tmp_path.iterdir()} == {".pdf", ".svg"}  # no part of a file is left
