"""Greys of a picture at its own size and smaller ones, pages in small, and what importing the floor costs."""

import subprocess
import sys
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from circuitmap.pictures import grey_levels, is_line_drawing, look, still_png, thumbnail
from tests.pictures import heic, pdfs
from tests.pictures.test_dxf import house, written
from tests.pictures.test_open import drawn, saved
from tests.pictures.test_svg import svg


def greys(level):
    return np.frombuffer(level.greys, np.uint8).reshape(level.height_px, level.width_px)


def test_each_level_is_half_the_one_before_until_it_fits_a_screen():
    ramp = Image.fromarray(np.tile(np.linspace(0, 255, 4_001).astype(np.uint8), (3_001, 1)))
    levels = grey_levels(saved(ramp, "PNG"))
    assert [(level.width_px, level.height_px) for level in levels] == [(4_001, 3_001), (2_001, 1_501), (1_001, 751)]
    for n, level in enumerate(levels):
        middle = greys(level)[5, ::100]
        assert middle == pytest.approx(np.linspace(0, 255, 4_001)[:: 100 * 2**n][: len(middle)], abs=2)


def test_colours_become_the_greys_that_eyes_see():
    # Source: ITU-R BT.601, luma: 0.299 red + 0.587 green + 0.114 blue.
    seen = greys(grey_levels(saved(drawn(), "PNG"))[0])
    assert (seen[5, 5], seen[5, 55], seen[35, 5]) == (
        pytest.approx(0.299 * 255, abs=1), pytest.approx(0.587 * 255, abs=1), pytest.approx(0.114 * 255, abs=1),
    )  # fmt: skip


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P"])
def test_what_is_clear_is_white_paper(mode):
    clear = Image.new("RGBA", (40, 30), (0, 0, 0, 0))
    clear.paste((0, 0, 0, 255), (0, 0, 20, 30))
    seen = greys(grey_levels(saved(clear.convert(mode), "PNG"))[0])
    assert (seen[10, 10], seen[10, 30]) == (0, 255)


def test_a_page_in_small_has_the_page_s_shape():
    level = thumbnail(pdfs.pdf(b"", b"0 g 0 0 1190 841 re f"), 120, page=2)
    assert (level.width_px, level.height_px) == (120, 85)
    assert greys(level).max() < 20
    level = thumbnail(saved(drawn(600, 400), "PNG"), 120)
    assert (level.width_px, level.height_px) == (120, 80)


@pytest.mark.parametrize(
    "data", [pdfs.pdf(b"3 w 0 0 m 900 800 l S"), written(house()), svg('<path d="M0 0L90 90" stroke="black"/>')]
)
def test_a_drawing_of_lines_becomes_a_png_of_its_own_size(data):
    info = look(data)
    with Image.open(BytesIO(still_png(data))) as picture:
        assert (picture.format, picture.size) == ("PNG", (info.width_px, info.height_px))
        assert picture.getextrema()[0] < 100


def test_drawings_of_lines_are_told_from_pictures_by_their_first_bytes():
    for data in (
        pdfs.pdf(b""),
        written(house()),
        svg(""),
        b"\xef\xbb\xbf" + svg(""),
        b"<?xml version='1.0'?>" + svg(""),
    ):
        assert is_line_drawing(data[:4_096])
    for data in (saved(drawn(), "PNG"), heic.PLAIN, b"", b"0\n1\n", b"<html></html>"):
        assert not is_line_drawing(data)


def test_importing_the_floor_loads_no_library_that_reads():
    code = "import sys, circuitmap.pictures; print(*sys.modules)"
    loaded = set(
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split()
    )
    assert not loaded & {"PIL", "numpy", "cv2", "ezdxf", "pypdfium2", "pi_heif", "typst", "defusedxml", "fontTools"}


@pytest.mark.parametrize("data", [pdfs.pdf(b"0.2 w 0 400 m 1190 400 l S"), written(house())])
def test_a_thin_line_does_not_fade_from_afar(data):
    levels = grey_levels(data)
    darkest = [int(np.percentile(greys(level).min(axis=0), 50)) for level in levels]
    assert len(levels) == 3
    assert max(darkest) < 170, "a line between two rows of px is half as dark; halved again it would be a quarter"
