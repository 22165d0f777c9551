"""The SVG pen: whole, harmless, the same every time, and to scale."""

import io
import random
import re
from pathlib import Path
from xml.etree import ElementTree as Tree

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from circuitmap.drawing.legend import CircuitWords, legend_of
from circuitmap.drawing.marks import LAYERS, STATES, Area, Glyph, Ink, Line, Mark, Picture, Words
from circuitmap.drawing.outlines import CODES
from circuitmap.drawing.palette import THEMES, Theme, colour
from circuitmap.drawing.svg import FAMILY, bounds_of, paper_scale, svg_text
from circuitmap.drawing.symbols import NAMES
from circuitmap.errors import OurError

SVG = "{http://www.w3.org/2000/svg}"
XLINK = "{http://www.w3.org/1999/xlink}"
ROOM = ((0, 0), (4000, 0), (4000, 3000), (0, 3000))


def some_marks() -> list[Mark]:
    return [
        Words("label", "Kitchen", (2000, 1500), anchor="middle", plate=True),
        Glyph("symbol", "socket ×2", (1000, 3000), state="settled", role="circuit:0"),
        Glyph("symbol", "socket ×2", (3000, 0), 180, "went off"),
        Line("run", ((1000, 3000), (3000, 0)), Ink("circuit:0", 2, (11, 5)), stripe=Ink("paper", 1, (2, 4))),
        Area("room", (ROOM,), "room", Ink("wall", 3)),
    ]


def png(width: int = 40, height: int = 30) -> bytes:
    held = io.BytesIO()
    Image.new("RGB", (width, height), "white").save(held, "PNG")
    return held.getvalue()


def sheet(theme: Theme, size_px: float) -> str:
    marks: list[Mark] = []
    for row, name in enumerate(NAMES):
        for column, state in enumerate(STATES):
            where = (column * 1200, row * 1200)
            role = name if name in CODES else f"circuit:{row % 13}" if state in ("settled", "in doubt") else "ink"
            marks.append(Glyph("symbol", name, where, 90 * (row % 4), state, role, size_px, "circuit:3"))
        marks.append(Words("label", name, (-600, row * 1200), anchor="end"))
    return svg_text(marks, title="Symbols and states", theme=theme, legend=legend_of(marks))


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("size_px", [20, 40])
def test_a_sheet_of_all_symbols_in_all_states_is_whole(tmp_path: Path, theme: Theme, size_px: int) -> None:
    path = tmp_path / f"{theme}-{size_px}.svg"
    path.write_text(sheet(theme, size_px), encoding="utf-8")
    root = Tree.parse(path).getroot()
    symbols = {element.get("id") for element in root.iter(f"{SVG}symbol")}
    used = [element.get(f"{XLINK}href") for element in root.iter(f"{SVG}use")]
    assert {f"#{name}" for name in symbols} == set(used)
    assert len(symbols) >= len(NAMES)
    titles = [element.text for element in root.iter(f"{SVG}title")]
    assert len(titles) >= len(NAMES) * len(STATES)
    assert root.find(f"{SVG}rect").get("fill") == colour("paper", theme)  # type: ignore[union-attr]  # a missing one fails


def test_the_same_marks_give_the_same_text_in_whatever_order_they_came_within_layers() -> None:
    marks = some_marks()
    once = svg_text(marks, title="Ground floor")
    assert svg_text(list(marks), title="Ground floor") == once
    by_layer = {layer: [mark for mark in marks if mark.layer == layer] for layer in random.Random(1).sample(LAYERS, 12)}
    assert svg_text([mark for group in by_layer.values() for mark in group], title="Ground floor") == once


def test_upper_layers_are_drawn_later() -> None:
    text = svg_text(some_marks(), title="x")
    places = [
        text.index(colour("room")),
        text.index('stroke-dasharray="11 5"'),
        text.index("<g transform="),
        text.index("Kitchen"),
    ]
    assert places[0] < places[1] < places[3]


def test_it_names_its_type_and_says_what_it_is() -> None:
    root = Tree.fromstring(svg_text(some_marks(), title="Ground floor", description="As found on the first visit."))
    assert root.get("font-family", "").startswith(FAMILY)
    assert root.get("font-family", "").endswith("sans-serif")
    assert root.findtext(f"{SVG}title") == "Ground floor"
    assert root.findtext(f"{SVG}desc") == "As found on the first visit."
    assert root.get("role") == "img"


@settings(max_examples=60, deadline=None)
@given(st.text(st.characters(exclude_categories=[]), max_size=80))
def test_whatever_is_typed_the_drawing_is_whole_and_holds_no_script(typed: str) -> None:
    marks = [Words("label", typed, (0, 0), plate=True)]
    text = svg_text(
        marks,
        title=typed,
        description=typed,
        notes=[typed],
        legend=legend_of(marks, [CircuitWords(typed, typed, "circuit:1")]),
    )
    root = Tree.fromstring(text.encode("utf-8"))
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= {
        "svg", "title", "desc", "defs", "clipPath", "rect", "g", "text", "path", "symbol", "use",
    }  # fmt: skip
    assert not [key for element in root.iter() for key in element.keys() if key.startswith("on")]  # noqa: SIM118  an Element


def test_markup_in_labels_stays_text() -> None:
    nasty = '</text><script>alert("1")</script><image href="http://x/"/>'
    text = svg_text([Words("label", nasty, (0, 0))], title=nasty)
    assert "<script" not in text
    assert [e.text for e in Tree.fromstring(text).iter(f"{SVG}text")][1].startswith("</text><script>")  # type: ignore[union-attr]  # None fails


def test_a_label_of_ten_thousand_letters_is_clipped_and_other_scripts_are_kept() -> None:
    labels = ["x" * 10_000, "غرفة المعيشة", "🔌 kitchen"]
    root = Tree.fromstring(svg_text([Words("label", t, (0, 0)) for t in labels], title="t"))
    assert {"x" * 59 + "…", *labels[1:]} <= {e.text for e in root.iter(f"{SVG}text")}


def test_nothing_is_fetched_and_pictures_ride_along_as_data() -> None:
    marks = [Picture("underlay", "a1", (100, 0, 0, 0, 100, 0, 0, 0, 1)), *some_marks()]
    root = Tree.fromstring(svg_text(marks, title="x", pictures={"a1": png()}))
    links = [value for e in root.iter() for key, value in e.items() if key.endswith("href")]
    assert all(link.startswith(("#", "data:image/png;base64,")) for link in links)
    assert [e.get("width") for e in root.iter(f"{SVG}image")] == ["40"]


def test_a_picture_lies_where_its_sheet_says() -> None:
    marks = [Picture("underlay", "a1", (100, 0, 400, 0, 50, 200, 0, 0, 1))]
    text = svg_text(marks, title="x", bounds_mm=(0, 0, 5000, 3000), px_per_mm=0.1, pictures={"a1": png()})
    image = next(Tree.fromstring(text).iter(f"{SVG}image"))
    numbers = [float(v) for v in re.findall(r"-?[\d.]+", image.get("transform", ""))]
    assert numbers == pytest.approx([10, 0, 0, 5, 40, 20])


def test_a_missing_or_approximate_picture_is_admitted_in_the_description() -> None:
    bent = Picture("underlay", "a1", (100, 0, 0, 0, 100, 0, 0.002, 0, 1))
    missing = Tree.fromstring(svg_text([bent], title="x")).findtext(f"{SVG}desc") or ""
    assert "not shown" in missing
    rough = Tree.fromstring(svg_text([bent], title="x", pictures={"a1": png()})).findtext(f"{SVG}desc") or ""
    assert re.search(r"up to \d+ mm out", rough)


def test_a_photograph_with_its_horizon_in_it_is_left_out_and_that_is_said_under_the_drawing_too() -> None:
    steep = Picture("underlay", "a1", (100, 0, 0, 0, 100, 0, -0.05, 0, 1))  # of 40 px; the horizon is at 20 px
    root = Tree.fromstring(svg_text([steep], title="x", pictures={"a1": png()}))
    assert not list(root.iter(f"{SVG}image"))
    said = "A plan picture is not shown: it was photographed too steeply to be laid flat here."
    assert said in (root.findtext(f"{SVG}desc") or "")
    assert [e.text for e in root.iter(f"{SVG}text")].count(said) == 1


def test_positions_follow_the_scale_and_sizes_only_the_marks_own() -> None:
    def of(scale: float, mark_scale: float) -> tuple[float, float, float]:
        glyph = Glyph("symbol", "light", (1000, 2000), size_px=24)
        text = svg_text([glyph], title="x", bounds_mm=(0, 0, 4000, 4000), px_per_mm=scale, mark_scale=mark_scale)
        found = re.search(r"translate\(([\d.]+) ([\d.]+)\) scale\(([\d.]+)\)", text)
        assert found
        return float(found[1]), float(found[2]), float(found[3])

    assert of(0.1, 1) == pytest.approx((100, 200, 0.24))
    assert of(0.2, 1) == pytest.approx((200, 400, 0.24))
    assert of(0.2, 2) == pytest.approx((200, 400, 0.48))


def test_at_one_to_fifty_a_metre_is_twenty_millimetres_of_paper() -> None:
    # Source: CSS Values and Units 4, section 6.2: 1 in = 96 px = 25.4 mm.
    assert 1000 * paper_scale(50) * 25.4 / 96 == pytest.approx(20)
    with pytest.raises(OurError):
        paper_scale(0)


def test_small_words_wait_for_their_zoom() -> None:
    words = Words("label", "P12", (0, 0), from_zoom=0.2)
    assert "P12" not in svg_text([words], title="x", px_per_mm=0.1)
    assert "P12" in svg_text([words], title="x", px_per_mm=0.2)


def test_an_empty_drawing_is_a_whole_drawing() -> None:
    assert Tree.fromstring(svg_text([], title="")).tag == f"{SVG}svg"
    assert bounds_of([]) == (0, 0, 4000, 4000)


def test_bounds_hold_every_point_and_a_little_around() -> None:
    assert bounds_of(some_marks(), 100) == (-100, -100, 4100, 3100)


@pytest.mark.parametrize("bounds", [(0, 0, 0, 10), (5, 0, 1, 10)])
def test_bounds_without_an_inside_are_our_mistake(bounds: tuple[float, float, float, float]) -> None:
    with pytest.raises(OurError):
        svg_text([], title="x", bounds_mm=bounds)


def test_marks_are_values() -> None:
    glyph = Glyph("symbol", "light", (0, 0))
    assert msgspec.structs.replace(glyph, role="faint") != glyph == Glyph("symbol", "light", (0, 0))
    with pytest.raises(AttributeError):
        glyph.role = "faint"  # type: ignore[misc]  # that is the rule
