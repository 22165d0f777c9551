"""What lines are drawn with: width and colour as the formats say them (PDF 32000-1, 8.4 and 8.6; SVG 1.1, 11)."""

import pytest

from circuitmap.pictures import linework, look
from circuitmap.pictures.info import Stroke
from tests.pictures import pdfs
from tests.pictures.test_svg import svg

PX_PER_POINT = 200 / 72


def strokes(data):
    drawing = linework(look(data))
    assert drawing.stroke_of is not None
    assert len(drawing.stroke_of) == len(drawing.segments)
    return [drawing.strokes[n] for n in drawing.stroke_of]


def test_a_pdf_tells_width_and_colour_of_each_line():
    operators = b"2 w 1 0 0 RG 100 100 m 300 100 l S 0.5 w 0 0 0 RG 100 200 m 300 200 l S"
    red, black = strokes(pdfs.pdf(operators))
    assert (red.colour, black.colour) == ("#ff0000", "#000000")
    assert red.width_px == pytest.approx(2 * PX_PER_POINT, abs=0.01)
    assert black.width_px == pytest.approx(0.5 * PX_PER_POINT, abs=0.01)
    assert not red.is_area


def test_a_pdfs_width_goes_by_the_scale_that_it_is_drawn_in():
    (line,) = strokes(pdfs.pdf(b"q 3 0 0 3 0 0 cm 1 w 10 10 m 90 10 l S Q"))
    assert line.width_px == pytest.approx(3 * PX_PER_POINT, abs=0.02)


def test_filled_areas_of_a_pdf_are_told_from_lines():
    found = strokes(pdfs.pdf(b"0.2 0.4 0.6 rg 100 100 200 50 re f 1 1 1 rg 10 10 20 20 re f"))
    assert set(found) == {Stroke(0.0, "#336699", is_area=True)}


def test_an_svg_tells_width_and_colour_of_each_line():
    found = strokes(svg(
        '<g stroke="#f00" stroke-width="2"><path d="M10 10H90"/><path d="M10 20H90" stroke="rgb(0, 128, 0)"/></g>'
        '<g stroke="black" transform="scale(3)"><path d="M10 10H90" style="stroke-width: 1"/></g>'
    ))  # fmt: skip
    assert [each.colour for each in found] == ["#ff0000", "#008000", "#000000"]
    # 300 mm at 200 px to the inch for 300 units.
    unit = 200 / 25.4
    assert [each.width_px for each in found] == pytest.approx([2 * unit, 2 * unit, 3 * unit], abs=0.02)


def test_a_stroke_without_a_width_is_one_unit_wide():
    (line,) = strokes(svg('<path d="M10 10H90" stroke="blue" fill="none"/>'))
    assert line.width_px == pytest.approx(200 / 25.4, abs=0.01)
    assert line.colour == "blue"


def test_filled_shapes_of_an_svg_are_areas():
    found = strokes(svg('<rect x="10" y="10" width="50" height="20" fill="#123456"/>'))
    assert set(found) == {Stroke(0.0, "#123456", is_area=True)}
