"""What bad input gets in the window: one clear sentence, and nothing lost."""

from pathlib import Path

import pytest
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel

from circuitmap.desk.files import open_path
from circuitmap.desk.window import Window
from circuitmap.errors import PersonError
from circuitmap.home import Home, verbs
from circuitmap.home.records import Device, Point, Room
from tests.desk.conftest import Opened
from tests.desk.driving import click_plan, press, settle

LABELS = (
    "<b>bold</b> & <img src=x>",
    "x" * 10_000,
    "מטבח 3 שקעים",
    "🔌🏠 café ☕",
    "line\nbreak\ttab",
    "'; DROP TABLE --",
)


def refused(window: Window, before: Home) -> str:
    assert window.adapter.home == before
    sentence = window.message
    assert sentence
    assert "Traceback" not in sentence
    assert len(sentence) < 400
    return sentence


@pytest.mark.parametrize("label", LABELS)
def test_labels_are_plain_text_everywhere(opened: Opened, small: Home, label: str) -> None:
    window = opened(small)
    device, point, room = (next(iter(small.table(kind))) for kind in (Device, Point, Room))
    sockets = next(d.id for d in small.sorted(Device) if d.way == "1")
    for record, field in ((sockets, "label"), (point, "name"), (room, "name"), (device, "label")):
        assert window.adapter.do(verbs.edit(window.adapter.home, record, **{field: label})) is not None
    for stage in ("draw", "survey", "wiring"):
        window.adapter.set_stage(stage)
        for chosen in (sockets, point, room):
            window.adapter.select(chosen)
            window.show_findings()
            settle()
            for text in window.findChildren(QLabel):
                if text.isVisibleTo(window):
                    assert text.textFormat() == Qt.TextFormat.PlainText or label[:20] not in text.text()
    assert window.width() == 1280
    assert not window.grab().isNull()


def test_a_picture_that_is_too_large_is_refused_before_it_is_decoded(
    opened: Opened, small: Home, tmp_path: Path
) -> None:
    window = opened(small)
    path = tmp_path / "huge.png"
    Image.new("1", (20_000, 20_000)).save(path)
    before = window.adapter.home
    assert not window.draw_stage.bring(path)
    assert "megapixel" in refused(window, before)


@pytest.mark.parametrize("content", [b"", b"GIF89a not really", b"\x89PNG\r\n\x1a\n" + b"\0" * 40, b"just text"])
def test_a_file_that_is_no_picture_is_refused_in_words(
    opened: Opened, small: Home, tmp_path: Path, content: bytes
) -> None:
    window = opened(small)
    path = tmp_path / "plan.png"
    path.write_bytes(content)
    before = window.adapter.home
    assert not window.draw_stage.bring(path)
    assert "plan.png" in refused(window, before)


def test_a_room_that_crosses_itself_is_refused_in_words(opened: Opened, small: Home) -> None:
    window = opened(small)
    before = window.adapter.home
    window.take_tool("room")
    for x, y in ((1000, 1000), (3000, 3000), (3000, 1000), (1000, 3000)):
        click_plan(window, x, y, Qt.KeyboardModifier.ShiftModifier)
    press(window.view, Qt.Key.Key_Return)
    assert "crosses" in refused(window, before)


def test_a_way_that_is_there_already_springs_back(opened: Opened, small: Home) -> None:
    window = opened(small)
    device = next(d for d in small.sorted(Device) if d.way == "2")
    window.adapter.select(device.id)
    settle()
    field = window.inspector.page.way
    before = window.adapter.home
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, "1")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert "already has a way 1" in refused(window, before)
    assert field.text() == "2"


@pytest.mark.parametrize(("name", "typed"), [("rating", "3 bananas"), ("rating", "-6")])
def test_a_rating_that_is_none_springs_back(opened: Opened, small: Home, name: str, typed: str) -> None:
    window = opened(small)
    device = next(d for d in small.sorted(Device) if d.way == "1")
    window.adapter.select(device.id)
    settle()
    field = getattr(window.inspector.page, name)
    before = window.adapter.home
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, typed)
    QTest.keyClick(field, Qt.Key.Key_Tab)
    QApplication.processEvents()
    refused(window, before)
    assert field.text() == "32 A"


def test_a_full_disk_keeps_what_was_and_says_so(opened: Opened, small: Home) -> None:
    window = opened(small)
    before = window.adapter.home

    def full(*_: object) -> None:
        from circuitmap.errors import FileError

        raise FileError("home.cmap", "the disk is full; nothing was changed.", "Make room and try again.")

    window.adapter.document.do = full  # type: ignore[method-assign]  # the disk, for this test
    assert window.adapter.do(verbs.add_room(before, "Loft")) is None
    assert "full" in refused(window, before)


@pytest.mark.parametrize("content", [b"", b"SQLite format 3\0" + b"\0" * 200, b"PK\x03\x04", b"{}"])
def test_a_foreign_or_cut_off_home_is_refused_in_words(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "home.cmap"
    path.write_bytes(content)
    with pytest.raises(PersonError) as caught:
        open_path(path)
    assert "home.cmap" in str(caught.value)
    assert path.read_bytes() == content
