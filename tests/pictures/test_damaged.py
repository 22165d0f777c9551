"""Files damaged at random: whatever the format, the end is a picture or a sentence."""

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from circuitmap.errors import PictureError
from circuitmap.pictures import dxf, look, pdf, pdf_lines, svg
from circuitmap.pictures.study import RefusedError
from tests.pictures import heic, pdfs
from tests.pictures.test_dxf import house, written
from tests.pictures.test_open import drawn, saved
from tests.pictures.test_svg import svg as svg_of

RASTER = {
    "WebP": lambda: saved(drawn(24, 18), "WEBP", quality=80),
    "lossless WebP": lambda: saved(drawn(24, 18), "WEBP", lossless=True),
    "TIFF": lambda: saved(drawn(24, 18), "TIFF"),
    "packed TIFF": lambda: saved(drawn(24, 18), "TIFF", compression="tiff_lzw"),
    "HEIC": lambda: heic.PLAIN,
}


@cache
def plan_svg():
    inside = '<g id="a" transform="rotate(5)"><path d="M0 0H90V9Z"/><text x="9" y="9">Hall</text></g><use href="#a"/>'
    return svg_of(f"<style>.a{{fill:none}}</style>{inside}")


@cache
def plan_dxf():
    document = house()
    document.blocks.new("Door").add_arc((0, 0), 800, 0, 90)
    document.modelspace().add_blockref("Door", (1_000, 1_000))
    document.modelspace().add_mtext("Hall")
    return written(document)


@cache
def plan_pdf():
    return pdfs.pdf(b"1 w 0 0 m 50 50 l S BT /F1 12 Tf 72 72 Td (Hall) Tj ET", layers=("Walls",))


def damaged(data, draw):
    data = bytearray(data)
    for _ in range(draw.draw(st.integers(1, 8))):
        data[draw.draw(st.integers(0, len(data) - 1))] = draw.draw(st.integers(0, 255))
    return bytes(data)


@pytest.mark.parametrize("form", list(RASTER))
@settings(max_examples=120, deadline=None)
@given(draw=st.data())
def test_a_damaged_picture(form, draw):
    try:
        info = look(damaged(RASTER[form](), draw))
    except PictureError:
        return
    assert info.width_px >= 16


@settings(max_examples=80, deadline=None)
@given(draw=st.data())
def test_a_damaged_svg(draw):
    try:
        found = svg.study(damaged(plan_svg(), draw))
    except RefusedError:
        return
    assert found.pdf.startswith(b"%PDF-")


@settings(max_examples=60, deadline=None)
@given(draw=st.data())
def test_a_damaged_dxf(draw):
    try:
        found = dxf.study(damaged(plan_dxf(), draw))
    except RefusedError:
        return
    assert found.width_px >= 16


@settings(max_examples=80, deadline=None)
@given(draw=st.data())
def test_a_damaged_pdf(draw):
    data = damaged(plan_pdf(), draw)
    try:
        found = pdf.study(data, 1)
        pdf_lines.study(data, 1)
    except RefusedError:
        return
    assert found.width_px >= 1
