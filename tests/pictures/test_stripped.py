"""What is written beside a picture's pixels is left out, and no pixel changes; read back with Pillow."""

import io

import pytest
from PIL import Image, ImageCms, PngImagePlugin

from circuitmap.pictures.stripped import stripped

SECRET = "51.5007 N 0.1246 W by Somebody"


def picture(mode: str = "RGB") -> Image.Image:
    return Image.merge("RGB", [Image.effect_noise((50, 40), s) for s in (20, 60, 90)]).convert(mode)


def exif(lies: int) -> Image.Exif:
    told = Image.Exif()
    told[0x010E] = SECRET
    if lies != 1:
        told[0x0112] = lies
    return told


def saved(form: str, lies: int = 1, **facts: object) -> bytes:
    stream = io.BytesIO()
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    if form == "PNG":
        told = PngImagePlugin.PngInfo()
        told.add_text("Comment", SECRET)
        told.add_text("Zipped", SECRET, zip=True)
        facts["pnginfo"] = told
    picture().save(stream, form, exif=exif(lies), icc_profile=profile, **facts)
    return stream.getvalue()


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("lies", [1, 3, 6, 8])
def test_pixels_profile_and_how_it_lies_stay_and_all_words_go(form: str, lies: int) -> None:
    facts = {"progressive": lies == 6, "comment": SECRET.encode()} if form == "JPEG" else {}
    if form == "WEBP":
        facts = {"xmp": SECRET.encode(), "lossless": True}
    data = saved(form, lies, **facts)
    assert form == "PNG" or SECRET.encode() in data
    clean = stripped(f"image/{form.lower()}", data)
    assert clean is not None
    assert SECRET.encode() not in clean
    before, after = Image.open(io.BytesIO(data)), Image.open(io.BytesIO(clean))
    assert after.tobytes() == before.tobytes()
    assert after.info["icc_profile"] == before.info["icc_profile"]
    assert dict(after.getexif()) == ({0x0112: lies} if lies != 1 else {})
    assert not {"Comment", "Zipped", "comment", "xmp"} & set(after.info)
    assert stripped(f"image/{form.lower()}", clean) == clean


def test_what_is_hung_on_behind_a_jpeg_goes() -> None:
    data = saved("JPEG")
    clean = stripped("image/jpeg", data + SECRET.encode() + data)
    assert clean == stripped("image/jpeg", data)


def test_a_plain_picture_is_the_very_same_bytes() -> None:
    stream = io.BytesIO()
    picture().save(stream, "PNG")
    assert stripped("image/png", stream.getvalue()) == stream.getvalue()
    stream = io.BytesIO()
    picture().save(stream, "JPEG")
    assert stripped("image/jpeg", stream.getvalue()) == stream.getvalue()


@pytest.mark.parametrize("form", ["jpeg", "png", "webp"])
def test_damaged_or_foreign_bytes_give_none(form: str) -> None:
    data = saved(form.upper())
    for broken in (b"", b"no picture", data[:20], data[: len(data) // 2], bytes(reversed(data))):
        assert stripped(f"image/{form}", broken) is None
    assert stripped("application/pdf", b"%PDF-1.4") is None
