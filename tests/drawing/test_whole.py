"""A whole home on one sheet: storeys beside each other, boards, legend and caution, every time the same."""

import hashlib
import io
from xml.etree import ElementTree as Tree

import pytest
from PIL import Image

from circuitmap.drawing.marks import Area, Glyph, Ink, Line, NineNumbers, Picture, Words, mark_points
from circuitmap.drawing.palette import THEMES, Theme
from circuitmap.drawing.whole import CAUTION, home_svg, moved
from circuitmap.home import Home, verbs
from circuitmap.home.records import Storey
from circuitmap.memo import Memo
from circuitmap.trade import load
from tests.build import Builder
from tests.drawing.homes import circuits_of, open_ring, two_storeys

SVG = "{http://www.w3.org/2000/svg}"


def sheet(home: Home, theme: Theme = "paper", only: str = "", legend: bool = True) -> str:
    memo = Memo()
    view = next((view for view in circuits_of(home, memo) if view.code == only), None)
    return home_svg(home, load(), memo, theme=theme, only=view, legend=legend)


def texts(svg: str) -> list[str]:
    return [element.text or "" for element in Tree.fromstring(svg).iter(f"{SVG}text")]


@pytest.mark.parametrize("theme", THEMES)
def test_the_sheet_holds_every_storey_the_board_the_legend_and_the_caution_whole(theme: Theme) -> None:
    b, _ = two_storeys()
    said = texts(sheet(b.home, theme))
    assert {"Two storeys", "Ground floor", "First floor", "Board A", "B32", "Circuits", CAUTION} <= set(said)
    assert "not proof that anything is dead" in CAUTION


def test_storeys_stand_beside_each_other_lowest_first() -> None:
    b, _ = two_storeys()
    root = Tree.fromstring(sheet(b.home))
    at = {e.text: float(e.get("x", "0")) for e in root.iter(f"{SVG}text")}
    assert at["First floor"] > at["Ground floor"] + 400  # each is 4 m wide at 0.1 px per mm


def test_the_same_home_gives_the_same_bytes_and_no_legend_leaves_none() -> None:
    b = open_ring()
    assert sheet(b.home) == sheet(b.home)
    assert "Circuits" in texts(sheet(b.home))
    assert "Circuits" not in texts(sheet(b.home, legend=False))
    assert CAUTION in texts(sheet(b.home, legend=False))


def test_one_circuit_is_named_in_the_title() -> None:
    assert "Lounge home · A1 Sockets" in texts(sheet(open_ring().home, only="A1"))


def test_a_blank_home_and_a_storey_without_a_drawing_are_whole_sheets() -> None:
    assert "This home" in texts(sheet(Home.blank()))
    b = Builder("Bare")
    b.storey("Ground floor")
    assert "Nothing is drawn on this storey yet." in texts(sheet(b.home))


def test_marks_are_moved_with_all_their_points_and_pictures_after_their_projection() -> None:
    ink = Ink("ink")
    marks = (
        Area("room", (((0, 0), (1, 0), (1, 1)),), "room"),
        Line("run", ((0, 0), (5, 5)), ink),
        Glyph("symbol", "light", (1, 2)),
        Words("label", "x", (3, 4)),
    )
    for mark in marks:
        assert mark_points(moved(mark, 10, 20)) == tuple((x + 10, y + 20) for x, y in mark_points(mark))
    bent = Picture("underlay", "a", (2, 0, 3, 0, 2, 4, 0.001, 0, 1))
    before, after = bent, moved(bent, 10, 20)
    assert isinstance(after, Picture)

    def project(picture: Picture, x: float, y: float) -> tuple[float, float]:
        a, b, c, d, e, f, g, h, i = picture.px_to_plan_mm
        under = g * x + h * y + i
        return (a * x + b * y + c) / under, (d * x + e * y + f) / under

    x, y = project(before, 70, 30)
    assert project(after, 70, 30) == pytest.approx((x + 10, y + 20))


def test_a_photograph_that_is_left_out_makes_the_drawing_no_larger() -> None:
    b, _ = two_storeys()
    data = io.BytesIO()
    Image.new("L", (40, 30), 255).save(data, "PNG")
    named = hashlib.sha256(data.getvalue()).hexdigest()
    bare = Tree.fromstring(sheet(b.home)).get("width")
    h = b.do(verbs.add_sheet(b.home, b.home.sorted(Storey)[0].id, named, "image/png", 40, 30))

    def width(nine: NineNumbers) -> float:
        home = b.home.apply(verbs.set_scale(b.home, h, nine))
        root = Tree.fromstring(home_svg(home, load(), Memo(), pictures={named: data.getvalue()}))
        return float(root.get("width", ""))

    # Beyond the horizon at 20 px, the right-hand corners would come to lie far to the left.
    assert width((100, 0, 0, 0, 100, 0, -0.05, 0, 1)) == float(bare or "")
    assert width((500, 0, 0, 0, 500, 0, 0, 0, 1)) > float(bare or "")
