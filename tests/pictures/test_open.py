import hashlib
import struct
import zlib
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from circuitmap.errors import PictureError
from circuitmap.pictures import decode_rgba, look
from circuitmap.pictures.readers import MOST_BYTES

# An L of four colours: any turn or mirroring changes which corner holds which.
CORNERS = {(0, 0): (255, 0, 0), (1, 0): (0, 255, 0), (0, 1): (0, 0, 255), (1, 1): (250, 250, 250)}


def drawn(width_px=60, height_px=40):
    picture = Image.new("RGB", (width_px, height_px))
    for (right, low), colour in CORNERS.items():
        half = (width_px // 2, height_px // 2)
        picture.paste(colour, (right * half[0], low * half[1], (right + 1) * half[0], (low + 1) * half[1]))
    return picture


def saved(picture, form, **options):
    stream = BytesIO()
    picture.save(stream, format=form, **options)
    return stream.getvalue()


def png_claiming(width_px, height_px, body=b""):
    def chunk(name, data):
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", width_px, height_px, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(body)) + chunk(b"IEND", b"")


def corner_colours(data):
    width_px, height_px, pixels = decode_rgba(data)
    found = {}
    for right, low in CORNERS:
        x, y = (width_px // 4) * (1 + 2 * right), (height_px // 4) * (1 + 2 * low)
        at = 4 * (y * width_px + x)
        found[right, low] = tuple(pixels[at : at + 3])
    return found


@pytest.mark.parametrize(("form", "media"), [("PNG", "image/png"), ("JPEG", "image/jpeg")])
def test_a_picture_is_known_by_its_content_and_kept_byte_for_byte(tmp_path, form, media):
    data = saved(drawn(), form)
    path = tmp_path / "plan.txt"
    path.write_bytes(data)
    picture = look(path)
    assert (picture.media, picture.width_px, picture.height_px, picture.turned) == (media, 60, 40, False)
    assert picture.data == data
    assert picture.sha256 == hashlib.sha256(data).hexdigest()
    assert look(data) == picture
    assert look(str(path)) == picture


def test_pixels_come_as_rows_of_red_green_blue_opacity():
    clear = Image.new("RGBA", (2, 1), (10, 20, 30, 40))
    clear.putpixel((1, 0), (50, 60, 70, 255))
    assert decode_rgba(saved(clear, "PNG")) == (2, 1, bytes([10, 20, 30, 40, 50, 60, 70, 255]))
    assert decode_rgba(look(saved(drawn(), "PNG")))[:2] == (60, 40)


@pytest.mark.parametrize("mode", ["1", "L", "P", "LA", "CMYK", "RGBA"])
def test_every_kind_of_pixel_becomes_rgba(mode):
    form = "JPEG" if mode == "CMYK" else "PNG"
    width_px, height_px, pixels = decode_rgba(saved(Image.new("RGB", (8, 6), "white").convert(mode), form))
    assert (width_px, height_px, len(pixels)) == (8, 6, 8 * 6 * 4)
    assert min(pixels) >= 250


def test_sixteen_bit_greys_keep_their_shades():
    deep = Image.new("I;16", (3, 1))
    for x, level in enumerate((0, 32768, 65535)):
        deep.putpixel((x, 0), level)
    pixels = decode_rgba(saved(deep, "PNG"))[2]
    assert [pixels[0], pixels[4], pixels[8]] == [0, pytest.approx(128, abs=1), 255]


@pytest.mark.parametrize(
    ("orientation", "stored"),
    [
        # What a camera stored, for each value of the tag, so that the person sees the drawing upright.
        # Source: Exif 2.3 (CIPA DC-008), tag 274 Orientation: which side of the scene row 0 and column 0 are.
        (2, Image.Transpose.FLIP_LEFT_RIGHT),
        (3, Image.Transpose.ROTATE_180),
        (4, Image.Transpose.FLIP_TOP_BOTTOM),
        (5, Image.Transpose.TRANSPOSE),
        (6, Image.Transpose.ROTATE_90),
        (7, Image.Transpose.TRANSVERSE),
        (8, Image.Transpose.ROTATE_270),
    ],
)
@pytest.mark.parametrize("form", ["PNG", "JPEG"])
def test_a_picture_taken_on_its_side_is_kept_upright(orientation, stored, form):
    exif = Image.Exif()
    exif[0x0112] = orientation
    data = saved(drawn().transpose(stored), form, exif=exif)
    picture = look(data)
    assert (picture.turned, picture.width_px, picture.height_px) == (True, 60, 40)
    assert picture.data != data
    assert picture.sha256 == hashlib.sha256(picture.data).hexdigest()
    again = look(picture.data)
    assert again.turned is False
    for corner, colour in corner_colours(picture.data).items():
        assert colour == pytest.approx(CORNERS[corner], abs=8)
    for corner, colour in corner_colours(data).items():
        assert colour == pytest.approx(CORNERS[corner], abs=8)


def test_an_upright_tag_changes_nothing():
    exif = Image.Exif()
    exif[0x0112] = 1
    data = saved(drawn(), "JPEG", exif=exif)
    assert look(data).data == data


@pytest.mark.parametrize("size_px", [(20_000, 20_000), (60_000, 1_201), (2**31 - 1, 2**31 - 1)])
def test_a_picture_of_too_many_pixels_is_refused_before_decoding(size_px):
    with pytest.raises(PictureError) as caught:
        look(png_claiming(*size_px), "plan.png")
    assert f"plan.png: the picture is {size_px[0]} × {size_px[1]} px" in str(caught.value)
    assert "70 megapixels" in str(caught.value)


def test_a_jpeg_of_too_many_pixels_is_refused_before_decoding():
    data = bytearray(saved(drawn(), "JPEG"))
    at = data.index(b"\xff\xc0") + 5
    data[at : at + 4] = struct.pack(">HH", 20_000, 20_000)
    with pytest.raises(PictureError, match="20000 × 20000 px"):
        look(bytes(data))


def test_a_picture_just_under_the_limit_is_taken():
    white = Image.new("1", (9_600, 6_784), 1)
    assert look(saved(white, "PNG")).width_px == 9_600


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "empty"),
        (b"Ground floor: kitchen, hall, front room", "no PNG, JPEG, WebP"),
        (b"GIF89a" + bytes(40), "no PNG, JPEG, WebP"),
        (b"\x89PNG\r\n\x1a\n", "damaged or cut short"),
        (b"\xff\xd8\xff", "damaged or cut short"),
        (png_claiming(0, 0), "damaged or cut short"),
        (png_claiming(100, 100, b"too little"), "damaged or cut short"),
    ],
)
def test_what_is_no_picture_gets_one_clear_sentence(tmp_path, data, says):
    path = tmp_path / "plan.png"
    path.write_bytes(data)
    with pytest.raises(PictureError) as caught:
        look(path)
    assert says in str(caught.value)
    assert str(path) in str(caught.value)


@pytest.mark.parametrize("form", ["PNG", "JPEG"])
@pytest.mark.parametrize("kept", [0.1, 0.5, 0.9])
def test_a_picture_cut_short_is_refused(form, kept):
    noise = Image.effect_noise((120, 90), 60)
    data = saved(noise, form)
    with pytest.raises(PictureError, match="damaged or cut short"):
        look(data[: int(len(data) * kept)])


def test_a_missing_file_a_folder_and_a_file_too_big_are_told_apart(tmp_path):
    with pytest.raises(PictureError, match="no such file"):
        look(tmp_path / "none.png")
    with pytest.raises(PictureError, match="this is a folder"):
        look(tmp_path)
    with pytest.raises(PictureError, match="can't be read"):
        look("nul\0byte.png")
    huge = tmp_path / "huge.png"
    with huge.open("wb") as file:
        file.truncate(MOST_BYTES + 1)
    with pytest.raises(PictureError, match="MB"):
        look(huge)


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(["PNG", "JPEG"]), st.data())
def test_a_damaged_picture_never_ends_in_anything_but_a_picture_or_a_sentence(form, draw):
    data = bytearray(saved(drawn(24, 16), form))
    for _ in range(draw.draw(st.integers(1, 6))):
        data[draw.draw(st.integers(0, len(data) - 1))] = draw.draw(st.integers(0, 255))
    try:
        picture = look(bytes(data))
    except PictureError:
        return
    width_px, height_px, pixels = decode_rgba(picture)
    assert len(pixels) == 4 * width_px * height_px
