"""Plans as people have them, brought into the window: pages, scales, sharpness, and what can't be used."""

import io
from pathlib import Path

import ezdxf
import pytest
from PIL import Image
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QListWidget

from circuitmap.desk.canvas.underlay import MOST_TILES, Underlay
from circuitmap.desk.window import Window
from circuitmap.home import Home
from circuitmap.home.records import Sheet
from tests.desk.conftest import Opened
from tests.desk.driving import settle
from tests.pictures import heic, pdfs
from tests.pictures.test_dxf import house, written
from tests.pictures.test_svg import svg

PLAN = b"3 w 100 100 900 600 re S 500 100 m 500 700 l S"


@pytest.fixture
def empty(opened: Opened) -> Window:
    window = opened(Home.blank())
    window.adapter.set_stage("draw")
    return window


def brought(window: Window, path: Path) -> Sheet:
    assert window.draw_stage.bring(path)
    settle()
    settle()
    return window.adapter.home.sorted(Sheet)[-1]


def underlay(window: Window) -> Underlay:
    return next(item for item in window.view.plan_scene.items() if isinstance(item, Underlay))


def kept(folder: Path, name: str, data: bytes) -> Path:
    path = folder / name
    path.write_bytes(data)
    return path


def test_a_pdf_of_one_page_lies_under_the_plan_as_it_came(empty: Window, tmp_path: Path) -> None:
    data = pdfs.pdf(PLAN)
    sheet = brought(empty, kept(tmp_path, "plan.pdf", data))
    assert (sheet.media, sheet.page) == ("application/pdf", 1)
    assert empty.adapter.document.asset(sheet.asset) == data
    assert underlay(empty).boundingRect().width() == sheet.width_px
    assert empty.adapter.tool == "scale", "a page of paper doesn't say how large the house is"


def test_of_a_pdf_of_several_pages_one_is_chosen_by_its_picture(empty: Window, tmp_path: Path) -> None:
    data = pdfs.pdf(b"0 g 0 0 1190 841 re f", PLAN, PLAN)
    path = kept(tmp_path, "plan.pdf", data)
    before = empty.adapter.home
    assert empty.draw_stage.bring(path)
    for _ in range(8):
        settle()
    pages = empty.draw_stage.findChild(QListWidget, "pages")
    assert isinstance(pages, QListWidget)
    assert pages.isVisibleTo(empty)
    assert pages.count() == 3
    assert empty.adapter.home is before

    def shade(row: int) -> int:
        picture = pages.item(row).icon().pixmap(120, 120).toImage().convertToFormat(QImage.Format.Format_Grayscale8)
        return picture.pixelColor(picture.width() // 2 + 10, picture.height() // 2).red()

    assert (shade(0), shade(1)) == (0, 255)
    pages.itemActivated.emit(pages.item(1))
    settle()
    settle()
    sheet = empty.adapter.home.sorted(Sheet)[-1]
    assert sheet.page == 2
    assert not pages.isVisibleTo(empty)
    assert underlay(empty).pixels.size_px == (sheet.width_px, sheet.height_px)


def test_two_pages_of_one_file_lie_side_by_side_in_a_home(empty: Window, tmp_path: Path) -> None:
    path = kept(tmp_path, "plan.pdf", pdfs.pdf(PLAN, PLAN, size=(842, 595)))
    for row in (0, 1):
        assert empty.draw_stage.bring(path)
        for _ in range(6):
            settle()
        pages = empty.draw_stage.findChild(QListWidget, "pages")
        assert isinstance(pages, QListWidget)
        pages.itemActivated.emit(pages.item(row))
        settle()
        settle()
    sheets = empty.adapter.home.sorted(Sheet)
    assert [sheet.page for sheet in sheets] == [1, 2]
    assert sheets[0].asset == sheets[1].asset
    shown = [item for item in empty.view.plan_scene.items() if isinstance(item, Underlay)]
    assert len({id(item.pixels) for item in shown}) == 2


def test_a_dxf_with_a_unit_is_to_scale_at_once(empty: Window, tmp_path: Path) -> None:
    sheet = brought(empty, kept(tmp_path, "plan.dxf", written(house())))
    assert sheet.px_to_plan_mm is not None
    assert sheet.width_px is not None
    assert sheet.width_px * sheet.px_to_plan_mm[0] == pytest.approx(8_000 * 1.04, rel=1e-3)
    assert sheet.scale_note == "as drawn in the DXF"
    assert empty.adapter.tool != "scale"


def test_what_a_file_leaves_open_is_said(empty: Window, tmp_path: Path) -> None:
    sheet = brought(empty, kept(tmp_path, "plan.dxf", written(house(0))))
    assert sheet.scale_note == ""
    assert "doesn't say its unit" in empty.message


@pytest.mark.parametrize(
    ("name", "data", "media"),
    [
        ("plan.svg", svg('<rect x="20" y="20" width="200" height="150" fill="none" stroke="black"/>'), "image/svg+xml"),
        ("plan.heic", heic.PLAIN, "image/jpeg"),
    ],
)
def test_an_svg_and_a_telephone_s_picture_come_in(
    empty: Window, tmp_path: Path, name: str, data: bytes, media: str
) -> None:
    assert brought(empty, kept(tmp_path, name, data)).media == media
    assert underlay(empty).pixels.tile_count >= 0


def test_a_page_of_a_scan_is_chosen_too(empty: Window, tmp_path: Path) -> None:
    stream = io.BytesIO()
    Image.new("L", (900, 600), 0).save(stream, "TIFF", save_all=True, append_images=[Image.new("L", (900, 700), 255)])
    path = kept(tmp_path, "scan.tif", stream.getvalue())
    assert empty.draw_stage.bring(path)
    settle()
    pages = empty.draw_stage.findChild(QListWidget, "pages")
    assert isinstance(pages, QListWidget)
    pages.itemActivated.emit(pages.item(1))
    settle()
    sheet = empty.adapter.home.sorted(Sheet)[-1]
    assert (sheet.media, sheet.page, sheet.height_px) == ("image/png", 1, 700)


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("locked.pdf", pdfs.locked(), "locked with a password"),
        ("broken.pdf", b"%PDF-1.7 and no more", "broken or cut short"),
        ("empty.dxf", written(ezdxf.new()), "the DXF drawing is empty"),
        (
            "evil.svg",
            svg("<text>&x;</text>", before='<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hosts">]>'),
            "entities",
        ),
    ],
)
def test_what_can_t_be_used_is_said_and_the_home_stays_untouched(
    empty: Window, tmp_path: Path, name: str, data: bytes, says: str
) -> None:
    before = empty.adapter.home
    assert empty.draw_stage.bring(kept(tmp_path, name, data)), "it is being read"
    settle()
    assert empty.adapter.home is before
    assert says in empty.message
    assert name in empty.message


def test_lines_are_drawn_anew_when_one_looks_closer(empty: Window, tmp_path: Path) -> None:
    brought(empty, kept(tmp_path, "plan.pdf", pdfs.pdf(b"0 g 595 0 595 841 re f")))
    view = empty.view
    pixels = underlay(empty).pixels
    edge = underlay(empty).mapToScene(underlay(empty).boundingRect().center())
    for _ in range(30):
        view.zoom_by(1.3, view.mapFromScene(edge))
    view.centerOn(edge)
    empty.grab()
    assert pixels.is_waiting
    for _ in range(6):
        settle()
    assert not pixels.is_waiting
    shown = view.viewport().grab().toImage().convertToFormat(QImage.Format.Format_Grayscale8)
    middle = view.mapFromScene(edge)
    row = [shown.pixelColor(x, middle.y() + 60).red() for x in range(middle.x() - 60, middle.x() + 60)]
    between = [grey for grey in row if min(row) + 12 < grey < max(row) - 12]
    assert max(row) - min(row) > 40
    assert len(between) <= 2, "the edge is one pixel wide, not a blur of many"
    assert pixels.tile_count <= MOST_TILES


def test_on_dark_paper_the_picture_is_its_negative(empty: Window, tmp_path: Path) -> None:
    brought(empty, kept(tmp_path, "plan.pdf", pdfs.pdf(PLAN)))
    tile = underlay(empty).pixels.tile((0, 0, 0))
    assert tile is not None
    assert tile.toImage().pixelColor(9, 9).red() == 255
    underlay(empty).pixels.show_negative(True)
    tile = underlay(empty).pixels.tile((0, 0, 0))
    assert tile is not None
    assert tile.toImage().pixelColor(9, 9).red() == 0


def test_tiles_in_memory_are_limited(empty: Window, tmp_path: Path) -> None:
    path = tmp_path / "large.png"
    Image.new("L", (9_000, 7_000), 200).save(path)
    brought(empty, path)
    pixels = underlay(empty).pixels
    for column in range(17):
        for row in range(13):
            assert pixels.tile((0, column, row)) is not None
    assert pixels.tile_count == MOST_TILES
