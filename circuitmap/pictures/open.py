"""Open a picture that a person gave: recognise it, refuse it in words, turn it upright, decode it."""

import hashlib
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Final

from circuitmap.errors import PictureError
from circuitmap.pictures.readers import MOST_BYTES, MOST_MEGAPIXELS, Reader, damage_told, reader_of

if TYPE_CHECKING:
    from PIL.Image import Image

_ORIENTATION: Final = 0x0112
_UPRIGHT: Final = 1


@dataclass(frozen=True)
class PictureInfo:
    """A picture that can be used: its size as seen upright, and the bytes to keep.

    ``data`` is what the person gave, byte for byte, unless the camera had noted that the picture lies on its side;
    then it is the same picture turned upright (``turned``). ``sha256`` is of ``data``.
    """

    media: str
    width_px: int
    height_px: int
    turned: bool
    sha256: str
    data: bytes = field(repr=False)


def look(source: Path | str | bytes, name: str = "") -> PictureInfo:
    """Look at a picture, from a path or from its bytes, and say what it is.

    The whole picture is decoded once, so a file cut short is noticed here and not when it is first drawn.

    Raises
    ------
    PictureError
        When it can't be read, is empty, no PNG or JPEG, damaged, cut short, or larger than 60 megapixels.
    """
    shown = name or ("The picture" if isinstance(source, bytes) else str(source))
    data = source if isinstance(source, bytes) else _read(Path(source), shown)
    media, reader = _recognise(data, shown)
    picture, turned = _decode(data, reader, shown)
    if turned:
        with damage_told(shown, reader):
            written = BytesIO()
            reader.write(picture, written)
            data = written.getvalue()
    return PictureInfo(media, picture.width, picture.height, turned, hashlib.sha256(data).hexdigest(), data)


def decode_rgba(picture: PictureInfo | bytes, name: str = "") -> tuple[int, int, bytes]:
    """Give width, height and pixels (four bytes each: red, green, blue, opacity; row by row, upright).

    Raises
    ------
    PictureError
        As ``look`` does, for bytes that come from a file.
    """
    data = picture if isinstance(picture, bytes) else picture.data
    shown = name or "The picture"
    _, reader = _recognise(data, shown)
    decoded, _ = _decode(data, reader, shown)
    with damage_told(shown, reader):
        flat = _eight_bits(decoded).convert("RGBA")
        return flat.width, flat.height, flat.tobytes()


def _read(path: Path, shown: str) -> bytes:
    try:
        if path.is_dir():
            raise PictureError(shown, "this is a folder.", "Choose a picture in it, PNG or JPEG.")
        size = path.stat().st_size
        if size > MOST_BYTES:
            says = f"the file is {size / 1e6:,.0f} MB; a plan picture may have up to {MOST_BYTES / 1e6:.0f} MB."
            raise PictureError(shown, says, "Save a smaller copy and use that.")
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)  # what is no ordinary file may say 0 and never end
    except FileNotFoundError as error:
        raise PictureError(shown, "there is no such file.", "Check the name and choose it again.") from error
    except (OSError, ValueError) as error:
        raise PictureError(shown, "the file can't be read.", "Check that you may open it, then try again.") from error
    return data


def _recognise(data: bytes, shown: str) -> tuple[str, Reader]:
    if not data:
        raise PictureError(shown, "the file is empty.", "Save or download the picture again.")
    if len(data) > MOST_BYTES:
        says = f"the picture has more than {MOST_BYTES / 1e6:.0f} MB."
        raise PictureError(shown, says, "Save a smaller copy and use that.")
    found = reader_of(data)
    if found is None:
        says = "this is neither a PNG nor a JPEG picture, whatever its name says."
        raise PictureError(shown, says, "Save the plan as PNG or JPEG, or take a photograph of it.")
    return found


def _decode(data: bytes, reader: Reader, shown: str) -> tuple["Image", bool]:
    with damage_told(shown, reader):
        from PIL import ImageOps

        picture = reader.open(BytesIO(data))
        width_px, height_px = picture.size
        # Before decoding: a few kilobytes can claim gigabytes of pixels.
        if width_px * height_px > MOST_MEGAPIXELS * 1_000_000:
            says = (
                f"the picture is {width_px} × {height_px} px, which is more than {MOST_MEGAPIXELS} megapixels "
                "and more than a plan needs."
            )
            raise PictureError(shown, says, "Save a smaller copy (4000 px on the long side is plenty) and use that.")
        picture.load()
        turned = picture.getexif().get(_ORIENTATION, _UPRIGHT) in range(2, 9)
        return (ImageOps.exif_transpose(picture) if turned else picture), turned


def _eight_bits(picture: "Image") -> "Image":
    # Sixteen-bit greys would be clipped to white by a plain conversion.
    if picture.mode.startswith("I"):
        return picture.convert("I").point(lambda level: level / 257).convert("L")
    return picture
