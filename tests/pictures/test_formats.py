"""Formats made of pixels beyond PNG and JPEG: what is kept of them, and what is said."""

import struct
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from circuitmap.errors import PictureError
from circuitmap.pictures import decode_rgba, look
from tests.pictures import heic
from tests.pictures.test_open import CORNERS, corner_colours, drawn, png_claiming, saved


def frames(*colours, size_px=(40, 30)):
    return [Image.new("RGB", size_px, colour) for colour in colours]


def first_pixel(data, page=1):
    return tuple(decode_rgba(data, page=page)[2][:3])


@pytest.mark.parametrize(
    ("form", "options", "media", "within"),
    [
        ("WEBP", {"lossless": True}, "image/png", 0),
        ("WEBP", {"quality": 95}, "image/jpeg", 20),
        ("TIFF", {}, "image/png", 0),
        ("TIFF", {"compression": "tiff_lzw"}, "image/png", 0),
        ("TIFF", {"compression": "jpeg"}, "image/png", 20),
    ],
)
def test_other_formats_are_kept_as_png_or_jpeg_of_the_same_colours(form, options, media, within):
    data = saved(drawn(), form, **options)
    picture = look(data)
    assert (picture.media, picture.width_px, picture.height_px, picture.turned, picture.pages) == (
        media,
        60,
        40,
        False,
        1,
    )
    assert look(picture.data).data == picture.data
    for bytes_ in (data, picture.data):
        for corner, colour in corner_colours(bytes_).items():
            assert colour == pytest.approx(CORNERS[corner], abs=within)


@pytest.mark.parametrize("form", ["WEBP", "TIFF"])
def test_the_camera_s_note_of_rotation_is_heeded_in_other_formats(form):
    exif = Image.Exif()
    exif[0x0112] = 6  # stored a quarter turn anticlockwise of upright (Exif 2.3, tag 274)
    data = saved(
        drawn().transpose(Image.Transpose.ROTATE_90), form, exif=exif, **({"lossless": True} if form == "WEBP" else {})
    )
    picture = look(data)
    assert (picture.turned, picture.width_px, picture.height_px) == (True, 60, 40)
    assert corner_colours(picture.data) == CORNERS


def test_a_heic_picture_is_kept_as_jpeg():
    picture = look(heic.PLAIN)
    assert (picture.media, picture.kind, picture.width_px, picture.height_px) == ("image/jpeg", "JPEG", 96, 64)
    for corner, colour in corner_colours(picture.data).items():
        assert colour == pytest.approx(CORNERS[corner], abs=20)


@pytest.mark.parametrize("turns", [0, 1, 2, 3])
def test_a_heic_picture_is_turned_as_its_rotation_box_says_and_once_only(turns):
    picture = look(heic.turned_by_box(turns))
    assert (picture.width_px, picture.height_px) == ((64, 96) if turns % 2 else (96, 64))
    right, low = {0: (0, 0), 1: (0, 1), 2: (1, 1), 3: (1, 0)}[turns]  # where the red corner goes, anticlockwise
    assert corner_colours(picture.data)[right, low] == pytest.approx((255, 0, 0), abs=20)


@pytest.mark.parametrize("kept", [0.2, 0.6, 0.95])
def test_a_heic_picture_cut_short_is_refused(kept):
    with pytest.raises(PictureError, match="HEIC picture is damaged or cut short"):
        look(heic.PLAIN[: int(len(heic.PLAIN) * kept)])


def test_a_page_of_a_scan_of_many_pages_can_be_chosen():
    red, blue = frames("red", "blue")
    data = saved(red, "TIFF", save_all=True, append_images=[blue])
    assert (look(data).pages, first_pixel(look(data).data)) == (2, (255, 0, 0))
    second = look(data, page=2)
    assert first_pixel(second.data) == (0, 0, 255)
    assert (second.page, second.pages) == (1, 2), "what is kept is that one page"
    assert first_pixel(data, page=2) == (0, 0, 255)
    for page in (0, 3, -1):
        with pytest.raises(PictureError, match=f"there is no page {page}; the file has 2 pages"):
            look(data, page=page)


@pytest.mark.parametrize("form", ["PNG", "WEBP"])
def test_of_a_picture_that_moves_the_first_frame_is_kept_and_it_is_said(form):
    red, blue = frames("red", "blue")
    data = saved(red, form, save_all=True, append_images=[blue], **({"lossless": True} if form == "WEBP" else {}))
    picture = look(data)
    assert picture.said == ("The picture moves; its first frame is used.",)
    assert first_pixel(picture.data) == (255, 0, 0)
    assert Image.open(BytesIO(picture.data)).format == "PNG"
    assert getattr(Image.open(BytesIO(picture.data)), "n_frames", 1) == 1


@pytest.mark.parametrize(("form", "media"), [("JPEG", "image/jpeg"), ("TIFF", "image/png")])
def test_printing_colours_become_screen_colours_and_it_is_said(form, media):
    data = saved(Image.new("CMYK", (40, 30), (0, 255, 255, 0)), form)
    picture = look(data)
    assert picture.said == ("Its printing colours (CMYK) were turned into screen colours.",)
    assert picture.media == media
    assert Image.open(BytesIO(picture.data)).mode == "RGB"
    assert first_pixel(picture.data) == pytest.approx((255, 0, 0), abs=3)


def test_sixteen_bit_and_floating_greys_of_a_scan_keep_their_shades():
    ramp = np.tile(np.linspace(0, 65535, 64).astype(np.uint16), (20, 1))
    picture = look(saved(Image.fromarray(ramp), "TIFF"))
    pixels = np.frombuffer(decode_rgba(picture)[2], np.uint8).reshape(20, 64, 4)
    assert pixels[0, :, 0] == pytest.approx(ramp[0] / 257, abs=1)
    heights = Image.fromarray(np.tile(np.linspace(-1, 3, 64, dtype=np.float32), (20, 1)))
    pixels = np.frombuffer(decode_rgba(saved(heights, "TIFF"))[2], np.uint8).reshape(20, 64, 4)
    assert pixels[0, :, 0] == pytest.approx(np.linspace(0, 255, 64), abs=2)


def test_what_is_clear_becomes_white_paper_where_the_kept_form_has_no_opacity():
    clear = Image.new("RGBA", (40, 30), (0, 0, 0, 0))
    picture = look(saved(clear, "WEBP", quality=80))
    if picture.media == "image/jpeg":
        assert first_pixel(picture.data) == (255, 255, 255)
    else:
        assert decode_rgba(picture)[2][3] == 0


def test_colours_that_are_not_read_get_a_sentence():
    with pytest.raises(PictureError, match="its colours are stored as LAB"):
        decode_rgba(saved(Image.new("LAB", (40, 30)), "TIFF"))


@pytest.mark.parametrize("size_px", [(1, 1), (15, 400), (400, 15)])
def test_a_thumbnail_is_no_plan(size_px):
    with pytest.raises(PictureError, match=f"{size_px[0]} × {size_px[1]} px, too small to show a plan"):
        look(saved(Image.new("L", size_px), "PNG"))


def test_a_picture_of_forty_thousand_by_forty_thousand_is_refused_in_every_format():
    webp = b"RIFF" + struct.pack("<I", 22) + b"WEBPVP8X" + struct.pack("<I", 10) + bytes(4)
    webp += (16_383).to_bytes(3, "little") * 2  # as large as the format can say: 16 384 each way
    tiff = bytearray(saved(drawn(), "TIFF"))
    for tag in (256, 257):
        at = (
            tiff.index(struct.pack("<HHI", tag, 4, 1))
            if struct.pack("<HHI", tag, 4, 1) in tiff
            else tiff.index(struct.pack("<HHI", tag, 3, 1))
        )
        tiff[at : at + 12] = struct.pack("<HHII", tag, 4, 1, 40_000)
    large = bytearray(heic.PLAIN)
    at = large.index(b"ispe") + 8
    large[at : at + 8] = struct.pack(">II", 40_000, 40_000)
    for data in (png_claiming(40_000, 40_000), webp, bytes(tiff)):
        with pytest.raises(PictureError, match=r"(40000 × 40000|16384 × 16384) px, which is more than 70 megapixels"):
            look(data)
    with pytest.raises(PictureError, match=r"megapixels|damaged"):
        look(bytes(large))
