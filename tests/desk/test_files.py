"""Opening what a person names: home files, text forms, nothing at all; each becomes a file that keeps what is done."""

import base64
import shutil
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree as Tree

import pytest
from PIL import Image
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from circuitmap.cli.main import main
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.files import fresh_path, open_path, say_missing
from circuitmap.desk.window import Window
from circuitmap.errors import PersonError
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import open_home
from circuitmap.home.records import Sheet, Storey
from circuitmap.pictures import look
from circuitmap.places import sample_homes
from circuitmap.trade import load
from tests.desk.conftest import Opened
from tests.pictures import pdfs

IMAGE = "{http://www.w3.org/2000/svg}image"
HREF = "{http://www.w3.org/1999/xlink}href"


def test_a_sample_home_is_opened_as_a_file_of_ones_own(tmp_path: Path) -> None:
    document = open_path(sample_homes() / "older-terrace", folder=tmp_path)
    assert document.path is not None
    assert document.path.parent == tmp_path
    assert not document.read_only
    sheet = document.home.sorted(Sheet)[0]
    assert document.asset(sheet.asset).startswith(b"\x89PNG")
    document.do(verbs.add_room(document.home, "Loft"))
    path, home = document.path, document.home
    document.close()
    with Document.open(path) as again:
        assert again.home == home


def test_a_text_form_that_lacks_a_photograph_opens_with_a_sentence(qtbot: QtBot, tmp_path: Path) -> None:
    shutil.copytree(sample_homes() / "older-terrace", tmp_path / "form")
    (photo,) = (tmp_path / "form" / "assets").glob("*.jpg")
    photo.unlink()
    adapter = Adapter(Document.memory(), load())
    document = open_path(tmp_path / "form", folder=tmp_path)
    adapter.switch(document)
    with qtbot.waitSignal(adapter.said) as said:
        say_missing(adapter)
    assert said.args is not None
    assert said.args[0].startswith("A picture is missing (named by N")
    assert said.args[1] is False
    assert document.home == open_home(sample_homes() / "older-terrace")
    document.close()


def test_a_second_copy_of_a_sample_gets_a_name_of_its_own(tmp_path: Path) -> None:
    first = open_path(sample_homes() / "rented-flat", folder=tmp_path)
    second = open_path(sample_homes() / "rented-flat", folder=tmp_path)
    assert first.path != second.path
    first.close()
    second.close()


def test_nothing_named_is_a_new_home_that_is_on_disk_at_once(tmp_path: Path) -> None:
    document = open_path(None, folder=tmp_path)
    assert document.path is not None
    assert document.path.is_file()
    document.close()


def test_what_is_not_there_is_refused_in_words(tmp_path: Path) -> None:
    with pytest.raises(PersonError) as caught:
        open_path(tmp_path / "nowhere")
    assert "nowhere" in str(caught.value)


def test_a_folder_that_cant_be_made_is_refused_in_words(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(PersonError) as caught:
        fresh_path("home", tmp_path / "file" / "homes")
    assert "can't be made" in str(caught.value)


def test_another_home_takes_the_place_of_the_one_in_the_window(opened: Opened, small: object, tmp_path: Path) -> None:
    window = opened(small)  # type: ignore[arg-type]  # the fixture's home
    before = window.adapter.home
    assert not window.files.open_this(tmp_path / "nowhere.cmap")
    assert window.adapter.home is before
    assert window.message
    assert window.files.open_this(sample_homes() / "bungalow-tt")
    assert window.adapter.home.details.name == "Sallow End"
    assert window.adapter.document.path is not None


def save_svg(window: Window, path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot) -> list[str]:
    """Save the plan as a person would; give where each picture in it was linked to."""
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, **__: (str(path), ""))
    window.files.save_svg()
    qtbot.waitUntil(lambda: path.is_file() and path.name in str(window.message), timeout=20_000)
    return [element.attrib[HREF] for element in Tree.parse(path).iter(IMAGE)]


def test_a_saved_plan_holds_the_pictures_under_it_like_the_one_from_a_shell(
    opened: Opened, small: Home, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    window = opened(small)
    assert window.files.open_this(sample_homes() / "older-terrace")
    links = save_svg(window, tmp_path / "plan.svg", monkeypatch, qtbot)
    assert len(links) == len(window.adapter.home.table(Sheet)) > 0
    assert main(["draw", str(sample_homes() / "older-terrace"), "-o", str(tmp_path / "shell.svg")]) == 0
    assert [element.attrib[HREF] for element in Tree.parse(tmp_path / "shell.svg").iter(IMAGE)] == links


def test_a_page_of_a_pdf_under_the_plan_is_saved_as_a_picture_of_it(
    opened: Opened, small: Home, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    window = opened(small)
    data = pdfs.pdf(b"0 g 0 0 595 841 re f", size=(842, 595))
    info = look(data)
    home = window.adapter.home
    laid = verbs.add_sheet(
        home, home.sorted(Storey)[0].id, info.sha256, info.media, info.width_px, info.height_px, info.page
    )
    window.adapter.do_with(lambda _: laid, {info.sha256: (info.media, data)})
    sheet = window.adapter.home.sorted(Sheet)[0].id
    window.adapter.do(verbs.set_scale(window.adapter.home, sheet, (4.0, 0, 0, 0, 4.0, 0, 0, 0, 1)))
    (link,) = save_svg(window, tmp_path / "plan.svg", monkeypatch, qtbot)
    with Image.open(BytesIO(base64.b64decode(link.removeprefix("data:image/png;base64,")))) as picture:
        assert picture.size == (info.width_px, info.height_px)


def test_a_plan_that_cant_be_written_is_refused_and_what_was_there_stays(
    opened: Opened, small: Home, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    window = opened(small)
    path = tmp_path / "nowhere" / "plan.svg"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, **__: (str(path), ""))
    window.files.save_svg()
    qtbot.waitUntil(lambda: "can't be written" in str(window.message), timeout=20_000)
    assert not path.exists()
