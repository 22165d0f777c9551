"""Opening what a person names: home files, text forms, nothing at all; each becomes a file that keeps what is done."""

from pathlib import Path

import pytest

from circuitmap.desk.files import fresh_path, open_path
from circuitmap.errors import PersonError
from circuitmap.home import verbs
from circuitmap.home.document import Document
from circuitmap.home.records import Sheet
from circuitmap.places import sample_homes
from tests.desk.conftest import Opened


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
