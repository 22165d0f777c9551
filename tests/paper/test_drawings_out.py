"""Drawings handed on: DXF that ezdxf finds nothing wrong with, GeoJSON that shapely reads, pictures to scale."""

import io
import json
import re
from itertools import groupby

import ezdxf
import pytest
import shapely
from ezdxf import recover
from ezdxf.document import Drawing
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from shapely.geometry import shape

from circuitmap.circuits import views
from circuitmap.drawing.dxf_pen import DxfPen, plain_text
from circuitmap.drawing.marks import Words
from circuitmap.drawing.palette import colour
from circuitmap.drawing.whole import CAUTION
from circuitmap.home import Home
from circuitmap.home.records import Board, Point, Room, Storey
from circuitmap.memo import Memo
from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.drawing_out import lettered
from circuitmap.paper.raster import png_of
from circuitmap.paper.typeset import shown
from circuitmap.plan import area_m2
from circuitmap.plan.where import place_of
from circuitmap.trade import load
from tests.build import Builder
from tests.home.test_phases import promised
from tests.paper.handed import SAMPLES, document, healthy_homes, odd_homes, sample

DRAWN = [(what, home) for what, home in odd_homes() if home.table(Storey)]


def dxf(home: Home, **choices: object) -> Drawing:
    """Read the drawing again, strictly, and have it looked through."""
    (made,) = document("drawing", home, form="dxf", **choices)
    drawing = ezdxf.read(io.StringIO(made.data.decode()))
    auditor = drawing.audit()
    assert (auditor.errors, auditor.fixes) == ([], [])
    forgiving, auditor = recover.read(io.BytesIO(made.data))
    assert (auditor.errors, auditor.fixes) == ([], [])
    assert len(forgiving.modelspace()) == len(drawing.modelspace())
    return drawing


def geojson(home: Home, **choices: object) -> dict[str, dict[str, object]]:
    (made,) = document("rooms", home, form="geojson", **choices)
    told = json.loads(made.data)
    assert told["type"] == "FeatureCollection"
    assert "not longitude and latitude" in told["coordinates_are"]
    assert len(shapely.from_geojson(made.data).geoms) == len(told["features"])
    assert all(feature["geometry"] is not None for feature in told["features"])
    assert all(feature["geometry"] is None for feature in told["unplaced"])
    return {feature["id"]: feature for feature in (*told["features"], *told["unplaced"])}


def symbols(drawing: Drawing) -> dict[str, dict[str, str]]:
    """The points of a drawing by id: what their attributes say, and the layer they are on."""
    found = {}
    for insert in drawing.modelspace().query("INSERT"):
        facts = {each.dxf.tag: each.plain_text() for each in insert.attribs}
        if "ID" in facts:
            assert facts["ID"] not in found
            found[facts["ID"]] = facts | {"layer": insert.dxf.layer}
    return found


def wide_home() -> Home:
    """Twelve storeys of a hall 90 m long: far too wide to be drawn at 100 px a metre in one picture."""
    b = Builder("Wide")
    for level in range(12):
        b.room("Hall", b.storey(f"Level {level}", level), (0, 0, 90_000, 60_000))
    return b.home


# -- DXF ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SAMPLES)
def test_every_point_of_a_sample_home_is_on_the_layer_of_its_circuit(name: str) -> None:
    home = sample(name).existing()
    drawing = dxf(home)
    assert (drawing.units, drawing.header["$MEASUREMENT"]) == (4, 1)  # millimetres, metric (DXF reference)
    found = symbols(drawing)
    placed = {p.id for p in home.table(Point).values() if place_of(home, p) is not None}
    assert set(found) == placed
    known = views(home, load(), Memo())
    for point in placed:
        feeds = [view for view in known if point in view.names]
        assert found[point].get("CIRCUIT", "") == ", ".join(view.code for view in feeds)
        assert found[point]["KIND"] == home.take(Point, point).kind
        if len(feeds) == 1:
            assert found[point]["layer"].startswith(f"Circuit {feeds[0].code}")
    layers = {layer.dxf.name for layer in drawing.layers}
    assert all(any(layer.startswith(f"Circuit {view.code}") for layer in layers) for view in known)


def test_a_point_stands_where_the_plan_has_it_with_y_upwards() -> None:
    home = sample("bungalow-tt")
    drawing = dxf(home, storey=home.sorted(Storey)[0].id)
    spots = {
        each.dxf.text: insert.dxf.insert
        for insert in drawing.modelspace().query("INSERT")
        for each in insert.attribs
        if each.dxf.tag == "ID"
    }
    lone = [p for p in home.table(Point).values() if p.place is not None]
    assert lone
    for point in lone:
        assert point.place is not None
        assert (spots[point.id].x, spots[point.id].y) == (point.place.x_mm, -point.place.y_mm)


def test_rooms_keep_their_outlines_and_storeys_stand_beside_each_other() -> None:
    home = sample("older-terrace")
    drawing = dxf(home)
    outlines = [
        shapely.Polygon(line.get_points("xy")) for line in drawing.modelspace().query("LWPOLYLINE[layer=='Rooms']")
    ]
    drawn = [room for room in home.table(Room).values() if room.outline_mm]
    assert sorted(round(each.area) for each in outlines) == sorted(round(area_m2(r.outline_mm) * 1e6) for r in drawn)
    outlines.sort(key=lambda each: each.bounds[0])
    lower = sum(room.storey == home.sorted(Storey)[0].id for room in drawn)
    assert max(each.bounds[2] for each in outlines[:lower]) < min(each.bounds[0] for each in outlines[lower:])
    said = [text.plain_text() for text in drawing.modelspace().query("TEXT")]
    assert any(re.fullmatch(r"First floor, moved \d+ mm to the right", each) for each in said)
    assert CAUTION in said
    assert "Unit: millimetres." in said


@pytest.mark.parametrize(("what", "home"), DRAWN)
def test_odd_homes_give_clean_drawings(what: str, home: Home) -> None:
    drawing = dxf(home)
    assert len(symbols(drawing)) == len(home.table(Point)), what
    names = [layer.dxf.name for layer in drawing.layers]
    assert len({name.casefold() for name in names}) == len(names)
    assert max(map(len, names)) <= 90


def test_healthy_homes_give_clean_drawings() -> None:
    for home in list(healthy_homes())[::6]:
        if home.table(Storey):
            assert len(symbols(dxf(home))) == sum(place_of(home, p) is not None for p in home.table(Point).values())


@given(st.text(st.characters(codec="utf-8"), max_size=40))
@settings(max_examples=60, deadline=None)
def test_words_come_back_as_they_were_typed(typed: str) -> None:
    """No code of the format is made of typed words: a reader gives them back, but for spaces and controls."""
    pen = DxfPen()
    pen.draw(Words("label", typed, (0.0, 0.0)), pen.layer("Notes"))
    drawing = ezdxf.read(io.StringIO(pen.written("x").decode()))
    said = [text.plain_text() for text in drawing.modelspace().query("TEXT")]
    from circuitmap.drawing.typed import one_line

    wanted = one_line(typed)
    assert "".join(said).replace("\u200b", "") == wanted.replace("\u200b", "")


def test_codes_of_the_format_are_taken_apart() -> None:
    assert "%%" not in plain_text("50%%u")
    assert plain_text("^J") == "^ J"
    assert "\\U+" not in plain_text("\\U+0041")


def test_what_is_planned_is_not_drawn() -> None:
    home = sample("older-terrace")
    later = promised(home, "planned")
    for form in ("svg", "dxf"):
        (before,), (after,) = document("drawing", home, form=form), document("drawing", later, form=form)
        assert before.data == after.data
        assert any("planned" in remark for remark in after.remarks)


def test_each_storey_can_have_a_file_of_its_own() -> None:
    home = sample("older-terrace")
    for form in ("dxf", "svg"):
        files = {made.part: made.data for made in document("drawing", home, form=form, storey="each")}
        assert set(files) == {storey.id.lower() for storey in home.sorted(Storey)}
        for storey in home.sorted(Storey):
            (alone,) = document("drawing", home, form=form, storey=storey.id)
            assert files[storey.id.lower()] == alone.data


# -- SVG and PNG -------------------------------------------------------------------------------------------------


def test_the_same_home_gives_the_same_bytes() -> None:
    home = sample("rented-flat")
    for form in ("svg", "dxf", "png"):
        assert document("drawing", home, form=form) == document("drawing", home, form=form)
    assert document("rooms", home, form="geojson") == document("rooms", home, form="geojson")


@pytest.mark.parametrize("scale", [20.0, 100.0, 250.0])
def test_a_picture_has_so_many_pixels_to_the_metre(scale: float) -> None:
    """A wall of known length is measured in pixels of the picture: its two ends stand that far apart."""
    b = Builder("Ruler")
    ground = b.storey()
    b.room("Six by three", ground, (0, 0, 6000, 3000))
    (made,) = document("drawing", b.home, form="png", scale=scale)
    image = Image.open(io.BytesIO(made.data)).convert("RGB")
    ink = tuple(int(colour("room")[n : n + 2], 16) for n in (1, 3, 5))
    wide, high = image.size
    longest = 0
    for y in range(high):
        row = image.crop((0, y, wide, y + 1)).tobytes()
        floor = [row[3 * x : 3 * x + 3] == bytes(ink) for x in range(wide)]
        longest = max([longest, *(len(list(run)) for same, run in groupby(floor) if same)])
    # The line round the room covers half its width, 2 px at 100 px a metre, on either side.
    assert longest == pytest.approx(6 * scale - 2 * scale / 100, abs=2)


def test_a_picture_that_nobody_can_hold_is_refused() -> None:
    with pytest.raises(CantMakeError, match="too large to be held"):
        document("drawing", sample("older-terrace"), form="png", scale=900)
    (made,) = document("drawing", wide_home(), form="png")
    assert any("pixels for each metre" in remark for remark in made.remarks)
    assert Image.open(io.BytesIO(made.data)).width > 5000
    with pytest.raises(CantMakeError, match="between 5 and 1000 pixels for each metre"):
        document("drawing", sample("older-terrace"), form="png", scale=2)


def test_a_picture_can_be_dark() -> None:
    home = sample("rented-flat")
    ground = []
    for dark in (False, True):
        (made,) = document("drawing", home, form="png", scale=20, dark=dark)
        ground.append(Image.open(io.BytesIO(made.data)).convert("L").getpixel((2, 2)))
    assert ground[0] > 240 > 60 > ground[1]  # type: ignore[operator]  # grey levels are numbers


def test_names_in_a_picture_are_laid_out_as_they_are_printed() -> None:
    home = dict(odd_homes())["hostile labels"]
    printed = lettered(home)
    texts = [t for r in printed.all() for t in (getattr(r, "name", ""), getattr(r, "label", ""))]
    assert all(shown(text) == text for text in texts)
    assert any("[U+0645]" in text for text in texts)
    plain = sample("older-terrace")
    assert lettered(plain) is plain
    (made,) = document("drawing", home, form="png", scale=30)
    assert Image.open(io.BytesIO(made.data)).width > 500


def test_a_drawing_without_missing_letters() -> None:
    picture = png_of('<svg xmlns="http://www.w3.org/2000/svg" width="40" height="20"><text y="15">ش</text></svg>')
    assert Image.open(io.BytesIO(picture)).size == (40, 20)


@pytest.mark.parametrize("form", ["svg", "dxf", "png"])
def test_a_home_without_a_storey_has_no_drawing(form: str) -> None:
    with pytest.raises(CantMakeError, match="draw a storey first"):
        document("drawing", Home.blank("Empty"), form=form)


def test_a_storey_that_is_not_there_is_named() -> None:
    for name, form in (("drawing", "dxf"), ("rooms", "geojson")):
        with pytest.raises(CantMakeError, match="There is no storey G9"):
            document(name, sample("older-terrace"), form=form, storey="G9")


# -- GeoJSON -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SAMPLES)
def test_every_room_and_point_of_a_sample_home_is_read_by_shapely(name: str) -> None:
    home = sample(name).existing()
    told = geojson(home)
    assert set(told) == {*home.table(Room), *home.table(Board), *home.table(Point)}
    known = views(home, load(), Memo())
    for room in home.table(Room).values():
        feature = told[room.id]
        assert feature["properties"]["name"] == room.name  # type: ignore[index]  # read from JSON
        if room.outline_mm:
            outline = shape(feature["geometry"])
            assert outline.is_valid
            assert outline.exterior.is_ccw  # RFC 7946 section 3.1.6
            assert outline.area == pytest.approx(area_m2(room.outline_mm))
            assert outline.bounds[0] == min(x for x, _ in room.outline_mm) / 1000
    for point in home.table(Point).values():
        facts = told[point.id]["properties"]
        assert isinstance(facts, dict)
        feeds = [view.code for view in known if point.id in view.names]
        assert [each["circuit"] for each in facts["circuits"]] == feeds
        assert facts["circuit"] == (feeds[0] if len(feeds) == 1 else None)
        place = place_of(home, point)
        if place is None:
            assert told[point.id]["geometry"] is None
        else:
            spot = shape(told[point.id]["geometry"])
            assert (spot.x, spot.y) == (place.x_mm / 1000, -place.y_mm / 1000)
        room = facts["room"]
        if room is not None and home.take(Room, room).outline_mm and place is not None:
            assert shape(told[room]["geometry"]).buffer(0.5).contains(shape(told[point.id]["geometry"]))


@pytest.mark.parametrize(("what", "home"), list(odd_homes()))
def test_odd_homes_are_told_whole_as_data(what: str, home: Home) -> None:
    told = geojson(home)
    assert set(told) == {*home.table(Room), *home.table(Board), *home.table(Point)}, what
    for room in home.table(Room).values():
        assert told[room.id]["properties"]["name"] == room.name  # type: ignore[index]  # read from JSON


def test_one_storey_alone() -> None:
    home = sample("older-terrace")
    upper = home.sorted(Storey)[1].id
    told = geojson(home, storey=upper)
    assert told
    assert {f["properties"]["storey"] for f in told.values()} == {upper}  # type: ignore[index]  # read from JSON
