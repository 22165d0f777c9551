"""Photographs as evidence: recognised by content, upright, of one size at most, silent about where they were taken.

A telephone writes place, time and owner into a picture. None of that is kept: pixels are taken over and nothing else,
so that a shared copy tells nothing that can't be seen in it. The same photograph always gives the same bytes and is
therefore stored once, however often it is brought in.
"""

import hashlib
import math
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Final

from circuitmap.errors import PictureError
from circuitmap.pictures.raster import UPRIGHT, orientation, writable
from circuitmap.pictures.readers import MOST_BYTES, MOST_MEGAPIXELS, Reader, damage_told, reader_of

if TYPE_CHECKING:
    from PIL.Image import Image, Transpose

JPEG: Final = "image/jpeg"
LONGEST_PX: Final = 1600  # enough for a label on a device to be read across a page
LEAST_PX: Final = 16
_QUALITY: Final = 82
_LARGEST_PROFILE: Final = 4_000_000


@dataclass(frozen=True)
class Photo:
    """A photograph as it is kept: JPEG, upright, at most 1600 px long; ``sha256`` is of ``data``."""

    data: bytes = field(repr=False)
    width_px: int
    height_px: int
    turned: bool
    shrunk: bool

    @property
    def media(self) -> str:
        """Its media type."""
        return JPEG

    @property
    def sha256(self) -> str:
        """What it goes by in a home."""
        return hashlib.sha256(self.data).hexdigest()


@dataclass(frozen=True)
class Pixels:
    """The pixels of a picture to be shown: three bytes each, red, green, blue, row by row."""

    width_px: int
    height_px: int
    rgb: bytes = field(repr=False)


def take_photo(source: Path | str | bytes, name: str = "", longest_px: int = LONGEST_PX) -> Photo:
    """Read a photograph and give it as it is to be kept.

    Parameters
    ----------
    source
        A file, or the bytes of one: JPEG, PNG, WebP, TIFF or HEIC, whatever it is called.
    name
        What it is called in a sentence when it can't be used.
    longest_px
        The longer side is no longer than this afterwards; a smaller picture stays as large as it is.

    Raises
    ------
    PictureError
        When it can't be read, is no photograph, is damaged, too large or too small.
    """
    shown = name or ("The photograph" if isinstance(source, bytes) else Path(source).name)
    data = source if isinstance(source, bytes) else _read(Path(source), shown)
    picture, turned, large = _upright(data, _reader(data, shown), shown, longest_px)
    if min(picture.size) < LEAST_PX:
        says = f"the picture is {picture.width} × {picture.height} px, too small to show anything."
        raise PictureError(shown, says, "Choose the photograph itself, not its thumbnail.")
    stream = BytesIO()
    # Without its profile the file would be shown in wrong colours, so these are turned into the screen's own first.
    plain = writable(_screen_colours(picture), JPEG)
    plain.info = {}
    plain.save(stream, format="JPEG", quality=_QUALITY, optimize=True)
    return Photo(stream.getvalue(), plain.width, plain.height, turned, large)


def shrunk(data: bytes, longest_px: int, name: str = "") -> Pixels:
    """Give the pixels of a kept photograph at a size to be shown; one that is smaller is not made larger.

    Raises
    ------
    PictureError
        When it can't be read; a text form may hold anything under a picture's name.
    """
    shown = name or "The photograph"
    picture, _, _ = _upright(data, _reader(data, shown), shown, longest_px)
    flat = writable(picture, JPEG).convert("RGB")
    return Pixels(flat.width, flat.height, flat.tobytes())


def _reader(data: bytes, shown: str) -> Reader:
    if not data:
        raise PictureError(shown, "the file is empty.", "Take or save the photograph again.")
    if len(data) > MOST_BYTES:
        raise PictureError(shown, f"the file has more than {MOST_BYTES / 1e6:.0f} MB.", "Save a smaller copy of it.")
    found = reader_of(data)
    if found is None:
        says = "this is no photograph that can be read (JPEG, PNG, WebP, TIFF or HEIC), whatever its name says."
        raise PictureError(shown, says, "Save it as JPEG and use that.")
    return found[1]


def _upright(data: bytes, reader: Reader, shown: str, longest_px: int) -> tuple["Image", bool, bool]:
    """Decode, shrink and turn; shrunk while it is decoded where the format can, so that a large one takes no time."""

    def allow(width_px: int, height_px: int) -> None:
        if width_px * height_px > MOST_MEGAPIXELS * 1_000_000:
            says = f"the photograph is {width_px} × {height_px} px, more than {MOST_MEGAPIXELS} megapixels."
            raise PictureError(shown, says, "Save a smaller copy of it and use that.")

    with damage_told(shown, reader):
        from PIL import Image

        picture = reader.open(BytesIO(data), allow)
        allow(*picture.size)
        large = max(picture.size) > longest_px
        noted = orientation(picture)
        if large:
            # A JPEG is decoded at a half, a quarter or an eighth where that is no smaller than what is wanted.
            scale = longest_px / max(picture.size)
            picture.draft(None, (math.ceil(picture.width * scale), math.ceil(picture.height * scale)))
        picture.load()
        turn = orientation(picture)  # some formats are turned upright while they load, and the note is gone then
        profile = picture.info.get("icc_profile")
        if picture.mode not in ("L", "RGB", "CMYK"):
            picture = writable(picture, JPEG)
        if max(picture.size) > longest_px:
            scale = longest_px / max(picture.size)
            size = max(1, round(picture.width * scale)), max(1, round(picture.height * scale))
            picture = picture.resize(size, Image.Resampling.LANCZOS)
        if turn != UPRIGHT:
            picture = picture.transpose(_turns()[turn])
        if profile:
            picture.info["icc_profile"] = profile
        return picture, noted != UPRIGHT, large


def _turns() -> dict[int, "Transpose"]:
    """Give what turns a picture upright, by how it says that it lies.

    **Source:** Exif 2.3, tag 0x0112: where the first row and the first column of what is stored are to be seen.
    """
    from PIL.Image import Transpose

    return {
        2: Transpose.FLIP_LEFT_RIGHT,
        3: Transpose.ROTATE_180,
        4: Transpose.FLIP_TOP_BOTTOM,
        5: Transpose.TRANSPOSE,
        6: Transpose.ROTATE_270,
        7: Transpose.TRANSVERSE,
        8: Transpose.ROTATE_90,
    }


def _screen_colours(picture: "Image") -> "Image":
    profile = picture.info.get("icc_profile")
    if not isinstance(profile, bytes) or len(profile) > _LARGEST_PROFILE or picture.mode not in ("RGB", "CMYK", "L"):
        return picture
    from PIL import ImageCms

    try:
        source = ImageCms.ImageCmsProfile(BytesIO(profile))
        turned = ImageCms.profileToProfile(picture, source, ImageCms.createProfile("sRGB"), outputMode="RGB")
    except (ImageCms.PyCMSError, OSError, ValueError):
        return picture  # a profile that can't be read is no reason to lose the photograph
    return turned if turned is not None else picture


def _read(path: Path, shown: str) -> bytes:
    try:
        if path.is_dir():
            raise PictureError(shown, "this is a folder.", "Choose a photograph in it.")
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)  # what is no ordinary file may never end
    except FileNotFoundError as error:
        raise PictureError(shown, "there is no such file.", "Check the name and choose it again.") from error
    except (OSError, ValueError) as error:
        raise PictureError(shown, "the file can't be read.", "Check that you may open it, then try again.") from error
