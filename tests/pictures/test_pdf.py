"""PDF pages: sizes, pages, sharpness at any zoom, lines, layers and words, and files that can't be used."""

from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from circuitmap.errors import PictureError
from circuitmap.pictures import decode_rgba, linework, look, render
from circuitmap.pictures.apart import study_apart
from tests.pictures import pdfs

PX_PER_POINT = 200 / 72


def pixels(data, size_px):
    return np.frombuffer(data, np.uint8).reshape(size_px[1], size_px[0], 4)


def test_a_page_has_its_paper_s_size_at_two_hundred_px_an_inch():
    info = look(pdfs.pdf(b"0 0 m 10 10 l S"))
    assert (info.media, info.kind, info.is_vector, info.pages) == ("application/pdf", "PDF", True, 1)
    # A3 is 420 × 297 mm. Source: ISO 216.
    assert info.width_px * info.paper_mm_per_px == pytest.approx(420, abs=0.2)
    assert info.height_px * info.paper_mm_per_px == pytest.approx(297, abs=0.2)
    assert info.paper_mm_per_px == pytest.approx(25.4 / 200)
    assert info.mm_per_px is None, "how large the house is a page of paper doesn't say"


@pytest.mark.parametrize(("size", "long_px"), [((144, 72), 1_500), ((2_384, 3_370), 6_000)])
def test_a_small_card_and_a_large_sheet_keep_within_bounds(size, long_px):
    info = look(pdfs.pdf(b"0 0 m 10 10 l S", size=size))
    assert max(info.width_px, info.height_px) == long_px
    assert info.paper_mm_per_px * long_px == pytest.approx(max(size) / 72 * 25.4, rel=1e-3)


def test_the_bytes_are_kept_as_they_came_and_the_page_is_remembered():
    data = pdfs.pdf(b"1 0 0 rg 0 0 1200 900 re f", b"0 0 1 rg 0 0 1200 900 re f")
    info = look(data, page=2)
    assert (info.data, info.page, info.pages, info.turned) == (data, 2, 2, False)
    assert decode_rgba(info, page=1)[2][:3] == bytes((255, 0, 0))
    assert decode_rgba(info, page=2)[2][:3] == bytes((0, 0, 255))
    with pytest.raises(PictureError, match="there is no page 3; the file has 2 pages"):
        look(data, page=3)


def test_a_whole_page_and_its_regions_are_the_same_drawing():
    info = look(pdfs.pdf(b"0 g 100 100 400 300 re f 5 w 700 100 m 1100 800 l S"))
    size = info.width_px, info.height_px
    whole = pixels(decode_rgba(info)[2], size)
    part = pixels(render(info, 1, (200, 1_000, 900, 700), (900, 700)), (900, 700))
    assert np.array_equal(part, whole[1_000:1_700, 200:1_100])


@pytest.mark.parametrize("zoom", [1, 8, 64])
def test_a_line_stays_sharp_at_every_zoom(zoom):
    # A black area that begins 100 points from the left: its edge is one pixel wide however near one looks.
    info = look(pdfs.pdf(b"0 g 100 0 300 841 re f"))
    edge = 100 * PX_PER_POINT
    wide = 400 / zoom
    shown = pixels(render(info, 1, (edge - wide / 2, 500, wide, wide), (400, 400)), (400, 400))[200, :, 0]
    between = np.flatnonzero((shown > 20) & (shown < 235))
    assert len(between) <= 1
    assert np.flatnonzero(shown < 128)[0] == pytest.approx(200, abs=1)


def test_lines_of_a_page_are_where_they_are_seen():
    info = look(pdfs.pdf(b"1 w 100 200 m 500 200 l S 600 300 100 50 re S"))
    lines = linework(info)
    k = PX_PER_POINT
    high = pdfs.A3[1]
    assert lines.segments[0] == pytest.approx([100 * k, (high - 200) * k, 500 * k, (high - 200) * k], abs=0.01)
    corners = {(round(x / k), round(high - y / k)) for x, y in lines.segments[1:].reshape(-1, 2)}
    assert corners == {(600, 300), (700, 300), (700, 350), (600, 350)}
    assert (len(lines.segments), len(lines.layer_of)) == (5, 5)


def test_a_curve_strays_by_less_than_a_pixel_from_its_circle():
    # The four cubic arms of a circle of 100 points about (400, 400).
    r, k = 100, 55.22847498
    arms = f"{400 + r} 400 m {400 + r} {400 + k} {400 + k} {400 + r} 400 {400 + r} c S".encode()
    lines = linework(look(pdfs.pdf(arms)))
    ends = lines.segments.reshape(-1, 2, 2)
    middles = np.concatenate([ends.reshape(-1, 2), ends.mean(axis=1)])
    centre = np.array([400, pdfs.A3[1] - 400]) * PX_PER_POINT
    assert np.hypot(*(middles - centre).T) == pytest.approx(r * PX_PER_POINT, abs=0.5)


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_lines_and_words_of_a_turned_page_are_where_they_are_seen(turn):
    data = pdfs.pdf(
        b"0 g 100 200 300 20 re f BT /F1 24 Tf 150 500 Td (Kitchen) Tj ET", turn=turn, box=(50, 30, 1_000, 800)
    )
    info = look(data)
    shown = pixels(decode_rgba(info)[2], (info.width_px, info.height_px))[:, :, 0]
    lines = linework(info)
    low, high = lines.segments.reshape(-1, 2).min(axis=0), lines.segments.reshape(-1, 2).max(axis=0)
    inside = shown[round(low[1]) + 2 : round(high[1]) - 2, round(low[0]) + 2 : round(high[0]) - 2]
    assert inside.size > 10_000
    assert inside.max() < 30
    (text,) = lines.texts
    assert text.words == "Kitchen"
    assert text.size == pytest.approx(24 * info.height_px / (770 if turn in (0, 180) else 950), rel=0.01)
    assert text.turn_deg % 360 == pytest.approx(turn)
    along = np.radians(text.turn_deg)
    # Half way along the words and a third of their height up there is ink nearby.
    x = text.x + text.width_px / 2 * np.cos(along) + text.size / 3 * np.sin(along)
    y = text.y + text.width_px / 2 * np.sin(along) - text.size / 3 * np.cos(along)
    around = shown[round(y) - 20 : round(y) + 20, round(x) - 20 : round(x) + 20]
    assert around.min() < 100


def test_words_on_a_line_are_put_together_and_far_ones_kept_apart():
    operators = b"BT /F1 12 Tf 72 72 Td (Bed) Tj (room 2) Tj 200 0 Td (3.6 x 4.2) Tj 0 -40 Td (Hall) Tj ET"
    assert [text.words for text in linework(look(pdfs.pdf(operators))).texts] == ["Bedroom 2", "3.6 x 4.2", "Hall"]


def test_layers_of_a_page_come_by_their_names():
    operators = b"0 0 m 9 9 l S /OC /L0 BDC 0 0 m 50 0 l S EMC /OC /L1 BDC 0 9 m 50 9 l S EMC"
    lines = linework(look(pdfs.pdf(operators, layers=("Walls", "Furniture"))))
    assert [lines.layers[n] for n in lines.layer_of] == ["", "Walls", "Furniture"]


def test_what_leaves_no_ink_is_no_line():
    operators = b"0 0 m 50 50 l n 1 g 0 0 1190 841 re f 0 0 m 50 50 l W n 0 g 10 10 20 20 re f"
    assert len(linework(look(pdfs.pdf(operators))).segments) == 4


def test_a_scan_has_a_picture_and_no_lines():
    info = look(pdfs.scanned())
    shown = pixels(decode_rgba(info)[2], (info.width_px, info.height_px))
    assert shown[1_000, 100, 0] == pytest.approx(40, abs=2)
    assert shown[1_000, 3_000, 0] == pytest.approx(250, abs=2)
    lines = linework(info)
    assert (lines.segments.shape, lines.texts, lines.mm_per_px) == ((0, 4), (), None)


def test_a_photograph_has_no_lines_and_is_drawn_as_it_is():
    from tests.pictures.test_open import drawn, saved

    info = look(saved(drawn(), "PNG"))
    assert linework(info).segments.shape == (0, 4)
    with pytest.raises(PictureError, match="only a PDF, SVG or DXF"):
        render(info, 1, (0, 0, 10, 10), (10, 10))


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (pdfs.locked(), "the PDF is locked with a password"),
        (b"%PDF-1.7\n", "the PDF is broken or cut short"),
        (b"%PDF-1.7\n" + bytes(range(256)) * 20, "the PDF is broken or cut short"),
        (pdfs.pdf(b"0 0 m 9 9 l S")[:200], "the PDF is broken or cut short"),
        (pdfs.pdf(), "the PDF has no pages|broken"),
    ],
)
def test_a_pdf_that_can_t_be_used_gets_one_clear_sentence(tmp_path, data, says):
    path = tmp_path / "plan.pdf"
    path.write_bytes(data)
    with pytest.raises(PictureError, match=says) as caught:
        look(path)
    assert str(caught.value).startswith(f"{path}: ")
    assert "\n" not in str(caught.value)


def test_sizes_that_can_t_be_drawn_at_once_are_refused():
    info = look(pdfs.pdf(b"0 0 m 9 9 l S"))
    for size_px in ((0, 10), (10, 40_000)):
        with pytest.raises(PictureError, match="can't be drawn at once"):
            render(info, 1, (0, 0, 10, 10), size_px)


def test_pages_beyond_those_held_open_are_opened_again():
    data = pdfs.pdf(*(b"%f g 0 0 1200 900 re f" % (n / 10) for n in range(8)))
    info = look(data)
    for _ in range(2):
        for n in range(8):
            assert render(info, n + 1, (0, 0, 10, 10), (4, 4))[0] == pytest.approx(255 * n / 10, abs=1)


# -- bad faith -----------------------------------------------------------------------------------------------------


def nested_forms(deep=9):
    """A page that draws a form, which draws ten of the next, and so on: a hundred million lines in 3 kB."""
    forms = []
    for n in range(deep):
        last = n == deep - 1
        inside = b"" if last else b"/XObject << /F %d 0 R >>" % (7 + n)
        head = b"/Type /XObject /Subtype /Form /BBox [0 0 900 900] /Resources << %b >>" % inside
        forms.append(pdfs.stream(b"0 0 m 9 9 l S" if last else b"/F Do " * 10, head))
    return pdfs.pdf(b"/F0 Do", more_resources=b"/XObject << /F0 %d 0 R >>", more_objects=forms)


def claimed_picture(side_px):
    head = b"/Type /XObject /Subtype /Image /Width %d /Height %d /ColorSpace /DeviceRGB /BitsPerComponent 8"
    picture = pdfs.stream(bytes(1_000_000), head % (side_px, side_px))
    operators = b"q 900 0 0 841 0 0 cm /I0 Do Q"
    return pdfs.pdf(operators, more_resources=b"/XObject << /I0 %d 0 R >>", more_objects=[picture])


def test_a_page_of_endless_forms_ends_in_a_sentence_within_its_limits():
    with pytest.raises(PictureError, match=r"took longer than 4 s|needs more memory"):
        study_apart("pdf", nested_forms(), 1, "plan.pdf", limit_s=4)


def test_a_picture_that_claims_gigabytes_takes_none():
    resource = pytest.importorskip("resource")
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    info = look(claimed_picture(40_000))
    assert len(decode_rgba(info)[2]) == 4 * info.width_px * info.height_px
    assert (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1_000 < 400


def test_pages_are_drawn_from_several_threads_at_once():
    infos = [look(pdfs.pdf(b"%f g 0 0 1200 900 re f" % (n / 10))) for n in range(7)]

    def shade(n):
        return abs(render(infos[n % 7], 1, (5, 5, 50, 50), (64, 64))[0] - 25.5 * (n % 7)) <= 1

    with ThreadPoolExecutor(4) as pool:
        assert all(pool.map(shade, range(60)))
