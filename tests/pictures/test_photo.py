"""Photographs as they are kept: upright, of one size at most, nothing but pixels, the same bytes each time."""

import struct
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ExifTags, Image, ImageCms

from circuitmap.errors import PictureError
from circuitmap.pictures import shrunk, take_photo
from circuitmap.pictures.photo import LONGEST_PX
from tests.pictures import heic
from tests.pictures.test_open import CORNERS, drawn, png_claiming, saved


def corners_of(data):
    picture = Image.open(BytesIO(data)).convert("RGB")
    wide, high = picture.size
    return {(r, low): picture.getpixel((wide * (1 + 2 * r) // 4, high * (1 + 2 * low) // 4)) for r, low in CORNERS}


def is_near(seen, wanted, within=24):
    return all(abs(a - b) <= within for a, b in zip(seen, wanted, strict=True))


def located(picture, form="JPEG", **options):
    """A picture with what a telephone writes into it: place, owner, maker, time, a comment."""
    exif = Image.Exif()
    exif[ExifTags.Base.Make] = "Invented Maker"
    exif[ExifTags.Base.Artist] = "Wilhelmina Example"
    exif[ExifTags.Base.DateTime] = "2026:01:05 09:00:00"
    gps = exif.get_ifd(ExifTags.IFD.GPSInfo)
    gps[ExifTags.GPS.GPSLatitudeRef] = "N"
    gps[ExifTags.GPS.GPSLatitude] = (51.0, 28.0, 38.0)
    return saved(picture, form, exif=exif, **options)


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "TIFF"])
def test_every_format_of_photographs_is_kept_as_jpeg_of_the_same_colours(form):
    photo = take_photo(saved(drawn(400, 300), form))
    assert (photo.media, photo.width_px, photo.height_px, photo.turned, photo.shrunk) == (
        "image/jpeg", 400, 300, False, False,
    )  # fmt: skip
    assert Image.open(BytesIO(photo.data)).format == "JPEG"
    assert all(is_near(corners_of(photo.data)[corner], colour) for corner, colour in CORNERS.items())


def test_heic_of_telephones_is_read_too():
    photo = take_photo(heic.PLAIN)
    assert (photo.media, photo.width_px, photo.height_px) == ("image/jpeg", 96, 64)


# Exif 2.3, tag 0x0112 (published): the side of the scene at which the stored first row and first column are.
SIDES = {
    1: ("top", "left"), 2: ("top", "right"), 3: ("bottom", "right"), 4: ("bottom", "left"),
    5: ("left", "top"), 6: ("right", "top"), 7: ("right", "bottom"), 8: ("left", "bottom"),
}  # fmt: skip


@pytest.mark.parametrize("noted", sorted(SIDES))
@pytest.mark.parametrize("longest_px", [1600, 90])
def test_a_photograph_is_turned_by_its_note_of_orientation(noted, longest_px):
    stored = drawn(240, 160)
    exif = Image.Exif()
    exif[0x0112] = noted
    photo = take_photo(saved(stored, "JPEG", exif=exif, quality=95), longest_px=longest_px)
    row, column = SIDES[noted]
    lying = row in ("left", "right")
    wide, high = (160, 240) if lying else (240, 160)
    scale = min(1, longest_px / 240)
    assert (photo.width_px, photo.height_px) == (round(wide * scale), round(high * scale))
    assert photo.turned is (noted != 1)
    # The stored top left corner belongs where the first row and the first column meet in the scene.
    sides = {row, column}
    corner = (int("right" in sides), int("bottom" in sides))
    assert is_near(corners_of(photo.data)[corner], CORNERS[0, 0])
    # The stored top right corner is at the other end of the first row.
    other = {"left": "right", "right": "left", "top": "bottom", "bottom": "top"}
    sides = {row, other[column]}
    corner = (int("right" in sides), int("bottom" in sides))
    assert is_near(corners_of(photo.data)[corner], CORNERS[1, 0])


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "TIFF"])
def test_nothing_but_pixels_is_kept_of_what_a_telephone_writes_into_a_picture(form):
    data = located(drawn(200, 100), form)
    assert b"Wilhelmina" in data
    photo = take_photo(data)
    for left in (b"Wilhelmina", b"Invented", b"2026:01", b"Exif", b"http://ns.adobe.com"):
        assert left not in photo.data
    kept = Image.open(BytesIO(photo.data))
    assert not kept.getexif()
    assert set(kept.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_comments_and_xmp_go_too():
    xmp = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><where>51.4778N 0.0015W</where></x:xmpmeta>'
    photo = take_photo(saved(drawn(200, 100), "JPEG", comment=b"left the key under the mat", xmp=xmp))
    assert b"key under" not in photo.data
    assert b"51.4778" not in photo.data


def test_a_large_photograph_is_shrunk_and_a_small_one_stays_as_large_as_it_is():
    large = take_photo(saved(drawn(4000, 3000), "JPEG"))
    assert (large.width_px, large.height_px, large.shrunk) == (LONGEST_PX, 1200, True)
    tall = take_photo(saved(drawn(1000, 5000), "PNG"))
    assert (tall.width_px, tall.height_px) == (320, LONGEST_PX)
    assert not take_photo(saved(drawn(1600, 900), "JPEG")).shrunk
    assert all(is_near(corners_of(large.data)[corner], colour) for corner, colour in CORNERS.items())


def test_the_same_photograph_gives_the_same_bytes_and_so_one_asset():
    data = located(drawn(2000, 1500))
    assert take_photo(data).sha256 == take_photo(data).sha256
    # Only the pixels count: without the note of the place it is the same photograph.
    assert take_photo(saved(drawn(2000, 1500), "PNG")).data == take_photo(located(drawn(2000, 1500), "PNG")).data


def swapped_primaries():
    """A profile whose red is sRGB's green and the other way round.

    Source: ICC.1, tag table: a count at byte 128, then signature, offset and size of four bytes each (from memory).
    """
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    count = int.from_bytes(profile[128:132], "big")
    rows = {bytes(profile[at : at + 4]): at for at in range(132, 132 + 12 * count, 12)}
    for one, other in ((b"rXYZ", b"gXYZ"),):
        a, b = rows[one] + 4, rows[other] + 4
        profile[a : a + 4], profile[b : b + 4] = profile[b : b + 4], profile[a : a + 4]
    return bytes(profile)


def test_colours_under_a_profile_are_turned_into_those_of_the_screen_and_the_profile_goes():
    photo = take_photo(saved(Image.new("RGB", (64, 64), (200, 30, 40)), "JPEG", icc_profile=swapped_primaries()))
    assert b"ICC_PROFILE" not in photo.data
    assert is_near(Image.open(BytesIO(photo.data)).getpixel((30, 30)), (30, 200, 40))
    broken = take_photo(saved(Image.new("RGB", (64, 64), (200, 30, 30)), "JPEG", icc_profile=b"nonsense" * 20))
    assert is_near(Image.open(BytesIO(broken.data)).getpixel((30, 30)), (200, 30, 30))


@pytest.mark.parametrize("mode", ["1", "L", "P", "LA", "RGBA", "I;16", "CMYK"])
def test_every_kind_of_pixel_becomes_a_photograph(mode):
    if mode == "I;16":
        picture = Image.new("I;16", (2000, 400), 65535)
    else:
        picture = Image.new("RGB", (2000, 400), "white").convert(mode)
    photo = take_photo(saved(picture, "JPEG" if mode == "CMYK" else "PNG"))
    assert photo.width_px == 1600
    assert min(Image.open(BytesIO(photo.data)).convert("L").tobytes()) > 245


def test_what_is_clear_stands_on_white():
    photo = take_photo(saved(Image.new("RGBA", (50, 50), (0, 0, 0, 0)), "PNG"))
    assert Image.open(BytesIO(photo.data)).convert("RGB").getpixel((25, 25)) == (255, 255, 255)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "the file is empty. Take or save the photograph again."),
        (b"%PDF-1.7 and so on", "this is no photograph that can be read"),
        (b"GIF89a" + bytes(40), "this is no photograph that can be read"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "this is no photograph that can be read"),
        (saved(drawn(300, 200), "JPEG")[:700], "the JPEG picture is damaged or cut short."),
        (saved(drawn(4, 4), "PNG"), "the picture is 4 × 4 px, too small to show anything."),
        (png_claiming(30_000, 30_000), "the photograph is 30000 × 30000 px, more than 70 megapixels."),
    ],
)
def test_what_is_no_photograph_is_refused_in_a_sentence(data, says):
    with pytest.raises(PictureError) as caught:
        take_photo(data, "scorched.jpg")
    assert str(caught.value).startswith(f"scorched.jpg: {says}")


def test_a_file_is_judged_by_its_content(tmp_path):
    path = tmp_path / "photo.txt"
    path.write_bytes(saved(drawn(100, 80), "JPEG"))
    assert take_photo(path).width_px == 100
    with pytest.raises(PictureError, match=r"none\.jpg: there is no such file"):
        take_photo(tmp_path / "none.jpg")
    with pytest.raises(PictureError, match="this is a folder"):
        take_photo(tmp_path)


def test_pixels_to_be_shown_are_of_the_size_asked_for():
    photo = take_photo(saved(drawn(1200, 800), "JPEG"))
    small = shrunk(photo.data, 120)
    assert (small.width_px, small.height_px, len(small.rgb)) == (120, 80, 120 * 80 * 3)
    assert is_near(tuple(small.rgb[:3]), CORNERS[0, 0])
    with pytest.raises(PictureError):
        shrunk(b"nothing of the kind", 120)


@settings(max_examples=60, deadline=None)
@given(st.binary(min_size=1, max_size=300), st.integers(0, 600))
def test_damage_anywhere_is_a_sentence_or_a_photograph(noise, at):
    data = bytearray(saved(drawn(90, 60), "JPEG", exif=struct.pack("<6s", b"Exif\0\0")))
    data[at : at + len(noise)] = noise
    photo, said = None, ""
    try:
        photo = take_photo(bytes(data))
    except PictureError as error:
        said = str(error)
    assert said.startswith("The photograph: ") if photo is None else max(photo.width_px, photo.height_px) <= LONGEST_PX
