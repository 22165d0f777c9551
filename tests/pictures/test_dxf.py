"""DXF drawings: units, layers, blocks, curves and words; and drawings that are broken, empty or without end."""

import io

import ezdxf
import numpy as np
import pytest
from ezdxf.math import Matrix44

from circuitmap.errors import PictureError
from circuitmap.pictures import decode_rgba, dxf, linework, look, render

HOUSE_MM = [(0, 0), (8_000, 0), (8_000, 6_000), (0, 6_000)]


def written(document):
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()


def house(unit=4, size=1.0):
    """A house of 8 × 6 m drawn in a unit: its outline as one closed line on the layer Walls."""
    document = ezdxf.new("R2010", setup=True)
    document.units = unit
    document.layers.add("Walls")
    outline = [(x * size, y * size) for x, y in HOUSE_MM]
    document.modelspace().add_lwpolyline(outline, close=True, dxfattribs={"layer": "Walls"})
    return document


def in_mm(info):
    """Lines of a drawing of the house, in mm from its lower left corner, upwards."""
    ends = linework(info).segments.reshape(-1, 2) * info.mm_per_px
    margin = 0.02 * 8_000
    return (ends * [1, -1] + [-margin, 6_000 + margin]).reshape(-1, 4)


@pytest.mark.parametrize(
    ("unit", "size"),
    # Source: DXF reference, header variable $INSUNITS: 1 inches, 2 feet, 4 mm, 5 cm, 6 m.
    [(4, 1.0), (5, 0.1), (6, 0.001), (1, 1 / 25.4), (2, 1 / 304.8)],
)
def test_the_unit_of_a_drawing_gives_its_scale_at_once(unit, size):
    info = look(written(house(unit, size)))
    assert (info.media, info.kind, info.is_vector, info.said) == ("image/vnd.dxf", "DXF", True, ())
    assert info.width_px * info.mm_per_px == pytest.approx(8_000 * 1.04, rel=1e-3)
    found = in_mm(info)
    assert found == pytest.approx(np.array([[0, 0, 8_000, 0], [8_000, 0, 8_000, 6_000],
                                            [8_000, 6_000, 0, 6_000], [0, 6_000, 0, 0]]), abs=1)  # fmt: skip
    assert linework(info).mm_per_px == info.mm_per_px


def test_a_drawing_without_a_unit_has_no_scale_and_says_so():
    info = look(written(house(0)))
    assert (info.mm_per_px, info.said) == (None, ("The DXF doesn't say its unit; set the scale.",))


def test_a_unit_that_makes_a_house_of_two_hundred_kilometres_is_not_believed():
    info = look(written(house(2, 100.0)))
    assert info.mm_per_px is None
    assert "feet" in info.said[0]
    assert "set the scale" in info.said[0]


def test_lines_come_with_their_layers_and_hidden_ones_not():
    document = house()
    model = document.modelspace()
    document.layers.add("Off").off()
    document.layers.add("Frozen").freeze()
    for layer in ("Off", "Frozen", "Furniture"):
        model.add_line((1_000, 1_000), (2_000, 1_000), dxfattribs={"layer": layer})
    lines = linework(look(written(document)))
    assert [lines.layers[n] for n in lines.layer_of] == ["Walls"] * 4 + ["Furniture"]


def test_blocks_are_taken_apart_where_they_stand_and_how_they_are_turned():
    document = house()
    door = document.blocks.new("Door")
    door.add_line((0, 0), (800, 0))  # on layer 0: it takes the layer that the block stands on
    pair = document.blocks.new("Pair")
    pair.add_blockref("Door", (0, 0), dxfattribs={"rotation": 90})
    document.modelspace().add_blockref("Pair", (2_000, 1_000), dxfattribs={"layer": "Doors", "xscale": 2, "yscale": 2})
    info = look(written(document))
    assert in_mm(info)[4] == pytest.approx([2_000, 1_000, 2_000, 2_600], abs=1)
    lines = linework(info)
    assert lines.layers[lines.layer_of[4]] == "Doors"


def test_rows_of_a_block_all_come():
    document = house()
    document.blocks.new("Post").add_line((0, 0), (0, 100))
    document.modelspace().add_blockref(
        "Post",
        (1_000, 1_000),
        dxfattribs={"row_count": 2, "row_spacing": 500, "column_count": 3, "column_spacing": 700},
    )
    found = in_mm(look(written(document)))[4:]
    assert sorted((round(x), round(y)) for x, y in found[:, :2]) == [
        (x, y) for x in (1_000, 1_700, 2_400) for y in (1_000, 1_500)
    ]


@pytest.mark.parametrize("kind", ["circle", "arc", "ellipse", "bulge"])
def test_curves_stray_by_less_than_a_hundredth_of_their_size(kind):
    document = house()
    model = document.modelspace()
    match kind:
        case "circle":
            model.add_circle((4_000, 3_000), 1_000)
        case "arc":
            model.add_arc((4_000, 3_000), 1_000, 30, 250)
        case "ellipse":
            model.add_ellipse((4_000, 3_000), (1_000, 0), 1.0)
        case "bulge":
            model.add_lwpolyline([(3_000, 3_000, 0, 0, 1), (5_000, 3_000, 0, 0, 1)], close=True)
    ends = in_mm(look(written(document)))[4:].reshape(-1, 2, 2)
    assert len(ends) > 8
    spots = np.concatenate([ends.reshape(-1, 2), ends.mean(axis=1)])
    assert np.hypot(*(spots - [4_000, 3_000]).T) == pytest.approx(1_000, abs=8)


def test_a_mirrored_curve_is_where_its_extrusion_puts_it():
    document = house()
    model = document.modelspace()
    arc = model.add_arc((4_000, 3_000), 1_000, 0, 90)
    arc.transform(Matrix44.scale(-1, 1, 1))  # its extrusion is now (0, 0, -1)
    arc.translate(6_000, 0, 0)
    low = in_mm(look(written(document)))[4:].reshape(-1, 2)
    assert (low.min(axis=0), low.max(axis=0)) == (
        pytest.approx([1_000, 3_000], abs=8), pytest.approx([2_000, 4_000], abs=8),
    )  # fmt: skip


def test_words_come_with_place_size_and_turn():
    document = house()
    model = document.modelspace()
    model.add_text("Kitchen", height=200).set_placement((1_000, 2_000))
    model.add_text("Bath", height=200, rotation=90).set_placement((5_000, 2_000))
    model.add_mtext("Hall\\P3.6 x 4.2", dxfattribs={"char_height": 150, "insert": (3_000, 5_000)})
    info = look(written(document))
    mm = info.mm_per_px
    texts = {text.words: text for text in linework(info).texts}
    assert set(texts) == {"Kitchen", "Bath", "Hall", "3.6 x 4.2"}

    def at(words):
        text = texts[words]
        return text.x * mm - 160, 6_160 - text.y * mm, text.size * mm, text.turn_deg

    assert at("Kitchen") == pytest.approx((1_000, 2_000, 200, 0), abs=2)
    assert at("Bath") == pytest.approx((5_000, 2_000, 200, -90), abs=2)
    assert at("Hall") == pytest.approx((3_000, 4_850, 150, 0), abs=2)
    assert at("3.6 x 4.2")[1] == pytest.approx(4_600, abs=2)


def test_solid_areas_are_filled_and_hatching_is_no_line():
    document = house()
    model = document.modelspace()
    solid = model.add_hatch()
    solid.paths.add_polyline_path([(0, 0), (300, 0), (300, 6_000), (0, 6_000)], is_closed=True)
    tiles = model.add_hatch()
    tiles.set_pattern_fill("ANSI31", scale=50)
    tiles.paths.add_polyline_path([(4_000, 1_000), (6_000, 1_000), (6_000, 3_000), (4_000, 3_000)], is_closed=True)
    model.add_solid([(7_000, 4_000), (7_500, 4_000), (7_000, 4_500), (7_500, 4_500)])
    info = look(written(document))
    assert len(linework(info).segments) == 4 + 4 + 4
    width, height, pixels = decode_rgba(info)
    seen = np.frombuffer(pixels, np.uint8).reshape(height, width, 4)[:, :, 0]

    def shade(x_mm, y_mm):
        return seen[round((6_160 - y_mm) / info.mm_per_px), round((x_mm + 160) / info.mm_per_px)]

    assert (shade(150, 3_000), shade(7_250, 4_250)) == (120, 120)
    assert (shade(5_000, 2_000), shade(3_000, 4_500)) == (255, 255)


def test_dimensions_are_taken_apart():
    document = house()
    document.modelspace().add_linear_dim(base=(0, -500), p1=(0, 0), p2=(8_000, 0)).render()
    assert len(linework(look(written(document))).segments) > 6


def test_a_stray_line_a_thousand_miles_off_does_not_shrink_the_house():
    document = house()
    for n in range(300):
        document.modelspace().add_line((n, 0), (n, 6_000))
    document.modelspace().add_line((1e9, 1e9), (1e9 + 1, 1e9))
    info = look(written(document))
    assert info.width_px * info.mm_per_px == pytest.approx(8_320, rel=0.01)


@pytest.mark.parametrize("zoom", [1, 20, 1_000])
def test_lines_stay_hairlines_at_every_zoom(zoom):
    info = look(written(house()))
    x = (0 + 160) / info.mm_per_px
    wide = 400 / zoom
    shown = np.frombuffer(render(info, 1, (x - wide / 2, 1_000, wide, wide), (400, 400)), np.uint8)
    row = shown.reshape(400, 400, 4)[200, :, 0]
    dark = np.flatnonzero(row < 200)
    assert 1 <= len(dark) <= 4
    assert dark.mean() == pytest.approx(200, abs=1.5)


# -- bad input -----------------------------------------------------------------------------------------------------


def million_lines(count=1_000_000):
    head, tail = written(house()).split(b"ENTITIES\n", 1)
    line = b"  0\nLINE\n  8\n0\n 10\n0.0\n 20\n0.0\n 11\n1.0\n 21\n1.0\n"
    return head + b"ENTITIES\n" + line * count + tail


def test_a_million_entities_are_refused():
    with pytest.raises(PictureError, match=r"the DXF has 1,000,\d{3} entities; up to 200,000 are read"):
        look(million_lines())


def test_reading_that_takes_too_long_is_stopped():
    from circuitmap.pictures.apart import study_apart

    with pytest.raises(PictureError, match="took longer than 1 s and was stopped"):
        study_apart("dxf", million_lines(150_000), 1, "plan.dxf", limit_s=1)


def test_blocks_that_repeat_blocks_without_end_are_refused(monkeypatch):
    from circuitmap.pictures import dxf_parts

    monkeypatch.setattr(dxf_parts, "MOST_PARTS", 20_000)
    document = house()
    document.blocks.new("B0").add_line((0, 0), (1, 1))
    for n in range(9):
        block = document.blocks.new(f"B{n + 1}")
        for x in range(10):
            block.add_blockref(f"B{n}", (x, 0))
    document.modelspace().add_blockref("B9", (0, 0))
    with pytest.raises(PictureError, match="repeats its blocks into more than 20,000 parts"):
        dxf.study(written(document))


def test_a_block_within_itself_ends():
    document = house()
    block = document.blocks.new("Within")
    block.add_line((0, 0), (100, 0))
    block.add_blockref("Within", (10, 10))
    document.modelspace().add_blockref("Within", (1_000, 1_000))
    info = look(written(document))
    assert info.said == ("Left out of the DXF: blocks nested too deeply.",)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (written(ezdxf.new()), "the DXF drawing is empty"),
        (b"  0\nSECTION\n  2\nENTITIES\n  0\nENDSEC\n  0\nEOF\n", "the DXF drawing is empty"),
        (b"  0\nSECTION\n nothing that could be read", "the DXF is broken or cut short"),
        (written(house())[:3_000], "the DXF (drawing )?is (empty|broken)"),
    ],
)
def test_a_dxf_that_can_t_be_used_gets_one_clear_sentence(data, says):
    with pytest.raises(PictureError, match=says) as caught:
        look(data, "plan.dxf")
    assert str(caught.value).startswith("plan.dxf: ")


def test_a_binary_dxf_is_told_from_a_broken_one():
    stream = io.BytesIO()
    house().write(stream, fmt="bin")
    with pytest.raises(PictureError, match="DXF of the binary kind"):
        look(stream.getvalue())


def test_words_alone_are_no_plan():
    document = ezdxf.new()
    document.modelspace().add_text("Kitchen")
    with pytest.raises(PictureError, match="no lines that could be shown"):
        look(written(document))


def test_remarks_may_come_first():
    assert look(b"999\nfrom a test\n" + written(house())).kind == "DXF"
