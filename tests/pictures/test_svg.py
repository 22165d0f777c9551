"""SVG drawings: size, lines, layers and words; and nothing in them that runs, links, fetches or multiplies."""

import base64
import http.server
import threading

import numpy as np
import pytest

from circuitmap.errors import PictureError
from circuitmap.pictures import decode_rgba, linework, look, render
from tests.pictures.test_open import drawn, saved

NS = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'


def svg(inside, head='width="300mm" height="200mm" viewBox="0 0 300 200"', before=""):
    return f"{before}<svg {NS} {head}>{inside}</svg>".encode()


def shown(info):
    width, height, pixels = decode_rgba(info)
    return np.frombuffer(pixels, np.uint8).reshape(height, width, 4)


def lines_in_units(info, wide=300.0):
    return linework(info).segments / (info.width_px / wide)


def test_an_svg_in_millimetres_has_the_size_of_its_paper():
    info = look(svg('<path d="M0 0H9"/>'))
    assert (info.media, info.kind, info.is_vector) == ("image/svg+xml", "SVG", True)
    assert info.width_px * info.paper_mm_per_px == pytest.approx(300, abs=0.2)
    assert info.mm_per_px is None
    assert info.said == ()


@pytest.mark.parametrize(
    ("head", "paper_mm"),
    [
        ('width="12in" height="6in"', 304.8),
        ('width="30cm" height="15cm"', 300),
        ('width="900pt" height="450pt"', 317.5),
        ('width="900" height="450"', None),
        ('width="900px" height="450px"', None),
        ('viewBox="-10 -10 900 450"', None),
    ],
)
def test_units_of_paper_give_a_paper_size_and_pixels_none(head, paper_mm):
    info = look(svg('<path d="M0 0H9"/>', head))
    assert info.width_px / info.height_px == pytest.approx(2, abs=0.01)
    if paper_mm is None:
        assert info.paper_mm_per_px is None
    else:
        # Source: CSS Values and Units Level 3, absolute lengths.
        assert info.width_px * info.paper_mm_per_px == pytest.approx(paper_mm, abs=0.3)


def test_what_is_longer_than_any_paper_is_drawn_at_full_size():
    info = look(svg('<path d="M0 0H8000"/>', 'width="8000mm" height="6000mm" viewBox="0 0 8000 6000"'))
    assert info.width_px * info.mm_per_px == pytest.approx(8_000)
    assert info.paper_mm_per_px is None
    assert info.said == ("The SVG is drawn at full size; its scale is taken from it.",)


def test_an_svg_without_any_size_takes_that_of_its_lines():
    info = look(svg('<path d="M100 100H500V300"/>', ""))
    # 400 × 200 with a margin of 2 % of 400 on every side.
    assert info.width_px / info.height_px == pytest.approx(416 / 216, rel=1e-3)


def test_every_shape_gives_its_lines():
    inside = """
      <line x1="10" y1="10" x2="50" y2="10"/>
      <polyline points="10,20 50,20 50,30" fill="none" stroke="black"/>
      <polygon points="10 40 50 40 50 50"/>
      <rect x="10" y="60" width="40" height="10"/>
      <path d="m10 80 h40 v10 z"/>
    """
    found = lines_in_units(look(svg(inside)))
    assert len(found) == 1 + 2 + 3 + 4 + 3
    assert found[0] == pytest.approx([10, 10, 50, 10], abs=0.01)
    assert found[10] == pytest.approx([10, 80, 50, 80], abs=0.01)
    assert found[12] == pytest.approx([50, 90, 10, 80], abs=0.01)


@pytest.mark.parametrize(
    "shape",
    [
        '<circle cx="150" cy="100" r="60"/>',
        '<ellipse cx="150" cy="100" rx="60" ry="60"/>',
        '<path d="M210 100 A60 60 0 0 1 90 100 A60 60 0 0 1 210 100"/>',
    ],
)
def test_round_shapes_stray_less_than_a_pixel(shape):
    info = look(svg(shape))
    ends = linework(info).segments.reshape(-1, 2, 2)
    scale = info.width_px / 300
    spots = np.concatenate([ends.reshape(-1, 2), ends.mean(axis=1)])
    assert np.hypot(*(spots - np.array([150, 100]) * scale).T) == pytest.approx(60 * scale, abs=0.6)


@pytest.mark.parametrize(
    "placed",
    [
        '<g transform="translate(100 50)"><g transform="rotate(90)"><path d="M0 0H20"/></g></g>',
        '<g transform="translate(100,50) rotate(90)"><path d="M0 0H20"/></g>',
        '<path transform="rotate(90 100 50)" d="M100 50H120"/>',
        '<path transform="matrix(0 1 -1 0 100 50)" d="M0 0H20"/>',
        '<defs><path id="p" d="M0 0H10"/></defs><use href="#p" x="50" transform="matrix(0 2 -2 0 100 -50)"/>',
        '<symbol id="s" viewBox="0 0 4 4"><path d="M0 0V4"/></symbol>'
        '<use xlink:href="#s" x="100" y="50" width="20" height="20"/>',
        '<svg x="100" y="50" width="20" height="20" viewBox="5 5 1 1"><path d="M5 5V6"/></svg>',
    ],
)
def test_transforms_uses_symbols_and_drawings_within_the_drawing_place_lines(placed):
    info = look(svg(f'<g stroke="black" stroke-width="0.5">{placed}</g>'))
    found = lines_in_units(info)
    assert found.shape == (1, 4)
    assert found[0] == pytest.approx([100, 50, 100, 70], abs=0.05)
    scale = info.width_px / 300
    dark = np.argwhere(shown(info)[:, :, 0] < 128) / scale
    assert dark[:, 1].mean() == pytest.approx(100, abs=0.5), "drawn where its lines are said to be"
    assert (dark[:, 0].min(), dark[:, 0].max()) == pytest.approx((50, 70), abs=0.6)


def test_layers_are_named_by_label_or_id_of_the_nearest_group():
    inside = """
      <g id="g1" xmlns:x="urn:x" x:label="Outer walls"><path d="M0 0H9"/><g><path d="M0 5H9"/></g></g>
      <g id="Furniture"><path d="M0 9H9"/></g><path d="M0 12H9"/>
    """
    lines = linework(look(svg(inside)))
    assert [lines.layers[n] for n in lines.layer_of] == ["Outer walls", "Outer walls", "Furniture", ""]


def test_words_have_their_place_size_and_turn():
    inside = """
      <text x="20" y="60" font-size="8">Kitchen &amp; hall<tspan x="20" dy="1.5em">3.6 × 4.2</tspan></text>
      <text transform="translate(200 150) rotate(-90)" style="font-size:10px">Bath</text>
    """
    info = look(svg(inside))
    scale = info.width_px / 300
    first, second, third = linework(info).texts
    assert [text.words for text in (first, second, third)] == ["Kitchen & hall", "3.6 × 4.2", "Bath"]
    placed = [(t.x / scale, t.y / scale, t.size / scale, t.turn_deg) for t in (first, second, third)]
    assert placed[0] == pytest.approx((20, 60, 8, 0), abs=0.1)
    assert placed[1] == pytest.approx((20, 72, 8, 0), abs=0.1)
    assert placed[2] == pytest.approx((200, 150, 10, -90), abs=0.1)


def test_white_and_hidden_shapes_are_no_lines():
    inside = """
      <style>.paper{fill:#ffffff} .gone,.off{display:none} .w{fill:none;stroke:#000}</style>
      <rect class="paper" width="300" height="200"/><rect fill="white" width="9" height="9"/>
      <path class="gone" d="M0 0H9"/><g style="display:none"><path d="M0 0H9"/></g><path class="w" d="M0 9H9"/>
    """
    assert len(linework(look(svg(inside))).segments) == 1


def test_a_region_is_sharp_at_every_zoom():
    info = look(svg('<rect x="100" y="0" width="100" height="200"/>'))
    edge = info.width_px / 3
    for zoom in (1, 16, 128):
        wide = 400 / zoom
        pixels = render(info, 1, (edge - wide / 2, 300, wide, wide), (400, 400))
        row = np.frombuffer(pixels, np.uint8).reshape(400, 400, 4)[200, :, 0]
        assert np.count_nonzero((row > 20) & (row < 235)) <= 1
        assert np.flatnonzero(row < 128)[0] == pytest.approx(200, abs=1)


def test_pictures_within_the_file_are_drawn_and_checked():
    data = base64.b64encode(saved(drawn(), "PNG")).decode()
    info = look(svg(f'<image width="300" height="200" href="data:image/png;base64,{data}"/>'))
    assert info.said == ()
    assert tuple(shown(info)[100, 100, :3]) == pytest.approx((255, 0, 0), abs=3)
    broken = look(svg(f'<image width="300" height="200" href="data:image/png;base64,{data[:80]}"/><path d="M0 0H9"/>'))
    assert broken.said == ("Left out of the SVG: damaged pictures.",)


# -- what must not happen ------------------------------------------------------------------------------------------


@pytest.fixture
def neighbour(tmp_path):
    """A picture in a file and on a server beside the drawing: both are red, and the server notes who asks."""
    (tmp_path / "red.png").write_bytes(saved(drawn().point(lambda _: 0), "PNG"))
    (tmp_path / "red.svg").write_bytes(svg('<rect id="r" width="300" height="200" fill="red"/>'))
    asked = []

    class Server(http.server.BaseHTTPRequestHandler):
        def do_GET(self):
            asked.append(self.path)
            self.send_response(200)
            self.end_headers()
            self.wfile.write((tmp_path / "red.svg").read_bytes())

        def log_message(self, *_):
            pass

    server = http.server.HTTPServer(("127.0.0.1", 0), Server)
    thread = threading.Thread(target=server.serve_forever, args=(0.05,))
    thread.start()
    yield tmp_path, f"http://127.0.0.1:{server.server_port}", asked
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.mark.parametrize(
    "reaching",
    [
        '<image href="{file}/red.png" width="300" height="200"/>',
        '<image xlink:href="file://{file}/red.png" width="300" height="200"/>',
        '<image href="{web}/red.svg" width="300" height="200"/>',
        '<use href="file://{file}/red.svg#r"/>',
        '<use href="{web}/red.svg#r"/>',
        '<rect width="300" height="200" fill="url(file://{file}/red.svg#r) none"/>',
        '<rect width="300" height="200" style="fill:none;mask:url({web}/red.svg#r)"/>',
        '<style>@import url("{web}/red.css");</style>',
        "<style>@font-face {{ font-family: a; src: url({web}/red.ttf) }}</style>",
        '<foreignObject width="300" height="200"><img src="{web}/red.png"/></foreignObject>',
        '<script href="{web}/red.js">alert(1)</script>',
        '<image width="300" height="200" href="data:image/svg+xml;base64,PHN2Zy8+"/>',
        '<filter id="f"><feImage href="{web}/red.png"/></filter><rect filter="url(#f)" width="0" height="0"/>',
    ],
)
def test_nothing_is_fetched_or_read_and_it_is_said(neighbour, reaching):
    folder, web, asked = neighbour
    inside = reaching.format(file=folder, web=web)
    (folder / "plan.svg").write_bytes(svg(f'{inside}<path d="M10 10H290" stroke="black"/>'))
    info = look(folder / "plan.svg")
    assert info.said[0].startswith("Left out of the SVG: ")
    seen = shown(info)
    assert (seen[400:, :, :3] == 255).all(), "white paper where the other file would show"
    assert asked == []
    assert len(linework(info).segments) == 1


@pytest.mark.parametrize(
    "before",
    [
        '<!DOCTYPE svg [<!ENTITY x SYSTEM "file://{file}/secret.txt">]>',
        '<!DOCTYPE svg [<!ENTITY % d SYSTEM "{web}/evil.dtd"> %d;]>',
        '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY x "&b;&b;&b;&b;">]>',
    ],
)
def test_entities_are_refused(neighbour, before):
    folder, web, asked = neighbour
    (folder / "secret.txt").write_text("a word nobody may see")
    data = svg('<text x="9" y="9">&x;</text>', before=before.format(file=folder, web=web))
    with pytest.raises(PictureError, match=r"defines entities|broken"):
        look(data)
    assert asked == []


def test_a_plain_document_type_is_passed_over_without_fetching_it(neighbour):
    _, web, asked = neighbour
    info = look(svg('<path d="M0 0H9"/>', before=f'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "{web}/svg11.dtd">'))
    assert len(linework(info).segments) == 1
    assert asked == []


def test_a_bomb_of_nested_uses_is_refused():
    inside = '<g id="a0"><path d="M0 0h1"/></g>'
    for n in range(9):
        inside += f'<g id="a{n + 1}">' + f'<use href="#a{n}"/>' * 10 + "</g>"
    with pytest.raises(PictureError, match="repeats or holds more than 300,000 parts"):
        look(svg(inside))


def test_a_use_of_itself_ends():
    info = look(svg('<g id="a"><path d="M0 0H9"/><use href="#a"/></g>'))
    assert info.said == ("Left out of the SVG: parts nested too deeply.",)


def test_a_bomb_of_pixels_within_is_left_out_or_refused():
    from tests.pictures.test_open import png_claiming

    data = base64.b64encode(png_claiming(40_000, 40_000)).decode()
    info = look(svg(f'<image width="9" height="9" href="data:image/png;base64,{data}"/><path d="M0 0H9"/>'))
    assert info.said == ("Left out of the SVG: damaged pictures.",)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (svg('<path d="M0 0H9"/>')[:-9], "the SVG is broken or cut short"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'>\xff\xfe</svg>", "the SVG is broken or cut short"),
        (b"<html><body><svg></svg></body></html>", "this XML file is no SVG drawing"),
        (svg("<desc>nothing</desc>", ""), "no size and no lines"),
        (svg('<path d="M0 0H9"/>', 'width="100000" height="10"'), "a mere strip"),
        (svg('<path d="M0 0H9"/>', 'width="1e30" height="1e30"'), "no usable size"),
    ],
)
def test_an_svg_that_can_t_be_used_gets_one_clear_sentence(data, says):
    with pytest.raises(PictureError, match=says):
        look(data, "plan.svg")


def test_a_path_with_a_mistake_is_drawn_up_to_it():
    assert len(linework(look(svg('<path d="M0 0 H9 V9 Q nonsense" stroke="black"/><path d="M0 50H9"/>'))).segments) >= 1


def test_words_placed_by_their_middle_or_end_begin_before_that():
    anchored = [
        f'<text x="150" y="{y}" font-size="10" text-anchor="{anchor}">Kitchen</text>'
        for y, anchor in ((50, "start"), (80, "middle"), (110, "end"))
    ]
    info = look(svg("".join(anchored)))
    scale = info.width_px / 300
    seen = shown(info)[:, :, 0]
    for text, low in zip(linework(info).texts, (50, 80, 110), strict=True):
        row = seen[round((low - 9) * scale) : round((low + 3) * scale)]
        begins = np.flatnonzero((row < 128).any(axis=0))[0] / scale
        assert text.x / scale == pytest.approx(begins, abs=6)


def test_styles_by_plain_selectors_hold_and_others_are_told():
    sheet = "path{fill:none;stroke:#000} .thick, rect.thick{stroke-width:9} #one{stroke:#f00} path.gone{display:none}"
    inside = '<path d="M50 50H250V150H50Z" class="thick"/><path id="one" d="M10 10H90"/><path class="gone" d="M0 9H9"/>'
    info = look(svg(f"<style>/* a remark */ {sheet}</style>{inside}"))
    assert info.said == ()
    scale = info.width_px / 300
    seen = shown(info)
    assert tuple(seen[round(100 * scale), round(150 * scale), :3]) == (255, 255, 255), "not filled"
    assert tuple(seen[round(53 * scale), round(150 * scale), :3]) == (0, 0, 0), "a line of 9"
    assert tuple(seen[round(10 * scale), round(50 * scale), :3]) == (255, 0, 0)
    assert len(linework(info).segments) == 5
    more = look(svg("<style>g > path{stroke:red}</style><path d='M0 0H9'/>"))
    assert more.said == ("Left out of the SVG: styles by selectors of several parts.",)
