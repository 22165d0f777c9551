"""One reader for each format made of pixels: how it is recognised, opened without decoding, and kept."""

import struct
import zlib
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from circuitmap.errors import PictureError

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_MEGAPIXELS: Final = 70
MOST_BYTES: Final = 200_000_000
MOST_PAGES: Final = 500

# Whatever the picture library raises over a damaged file, its warnings too where Python makes errors of them.
_DAMAGE: Final = (
    OSError, SyntaxError, ValueError, TypeError, KeyError, IndexError, AttributeError, EOFError, OverflowError,
    MemoryError, RuntimeError, struct.error, zlib.error, Warning,
)  # fmt: skip
_HEIF_BRANDS: Final = frozenset({b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"})

Allow = Callable[[int, int], None]
"""Refuses a size in px before anything of that size is decoded."""


@dataclass(frozen=True)
class Reader:
    """A format: its name, how it is recognised, opened and counted, and the media type it is kept as."""

    name: str
    fits: Callable[[bytes], bool]
    open: Callable[[BytesIO, Allow], "Image"]
    kept_as: Callable[[bytes], str]
    pages: Callable[["Image"], int] | None = None


def reader_of(data: bytes) -> tuple[str, Reader] | None:
    """Give the media type and reader that fit the content, None when no reader knows it."""
    for media, reader in READERS.items():
        if reader.fits(data):
            return media, reader
    return None


@contextmanager
def damage_told(name: object, reader: Reader) -> Iterator[None]:
    """Turn what a damaged picture raises inside the block into one sentence."""
    try:
        yield
    except PictureError:
        raise
    except _DAMAGE as error:
        says = f"the {reader.name} picture is damaged or cut short."
        raise PictureError(name, says, "Save or download it again and try once more.") from error


def write(picture: "Image", media: str) -> bytes:
    """Write a picture as PNG or JPEG."""
    stream = BytesIO()
    if media == "image/jpeg":
        picture.save(stream, format="JPEG", quality=95, subsampling=0)
    else:
        picture.save(stream, format="PNG")
    return stream.getvalue()


# The plugins' own classes, not Image.open: that one tries every format there is, and judges size by a global limit.


def _open_png(stream: BytesIO, _allow: Allow) -> "Image":
    from PIL.PngImagePlugin import PngImageFile

    return PngImageFile(stream)


def _open_jpeg(stream: BytesIO, _allow: Allow) -> "Image":
    from PIL.JpegImagePlugin import JpegImageFile

    return JpegImageFile(stream)


def _open_webp(stream: BytesIO, allow: Allow) -> "Image":
    from PIL.WebPImagePlugin import WebPImageFile

    # Opening makes room for the whole canvas, so its size is asked of the header first.
    size = _webp_size(stream.getbuffer()[:30].tobytes())
    if size is not None:
        allow(*size)
    return WebPImageFile(stream)


def _open_tiff(stream: BytesIO, _allow: Allow) -> "Image":
    from PIL.TiffImagePlugin import TiffImageFile

    return TiffImageFile(stream)


def _open_heic(stream: BytesIO, allow: Allow) -> "Image":
    import pi_heif

    opened = pi_heif.open_heif(stream)
    allow(*opened.size)
    picture: Image = opened.to_pillow()
    # The decoder has turned the picture already; the camera's own note would turn it a second time.
    picture.info.pop("exif", None)
    return picture


def _webp_size(head: bytes) -> tuple[int, int] | None:
    kind = head[12:16]
    if kind == b"VP8X" and len(head) >= 30:
        return 1 + int.from_bytes(head[24:27], "little"), 1 + int.from_bytes(head[27:30], "little")
    if kind == b"VP8L" and len(head) >= 25:
        packed = int.from_bytes(head[21:25], "little")
        return 1 + (packed & 0x3FFF), 1 + (packed >> 14 & 0x3FFF)
    if kind == b"VP8 " and len(head) >= 30:
        return int.from_bytes(head[26:28], "little") & 0x3FFF, int.from_bytes(head[28:30], "little") & 0x3FFF
    return None


def _tiff_pages(picture: "Image") -> int:
    count = 1
    try:
        while count < MOST_PAGES:
            picture.seek(count)
            count += 1
    except EOFError:
        pass
    picture.seek(0)
    return count


def _is_png(data: bytes) -> bool:
    return data.startswith(b"\x89PNG\r\n\x1a\n")


def _is_jpeg(data: bytes) -> bool:
    return data.startswith(b"\xff\xd8\xff")


def _is_webp(data: bytes) -> bool:
    return data[:4] == b"RIFF" and data[8:12] == b"WEBP"


def _is_tiff(data: bytes) -> bool:
    return data[:4] in (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")


def _is_heic(data: bytes) -> bool:
    return data[4:8] == b"ftyp" and data[8:12] in _HEIF_BRANDS


def _as_png(_data: bytes) -> str:
    return "image/png"


def _as_jpeg(_data: bytes) -> str:
    return "image/jpeg"


def _webp_kept(data: bytes) -> str:
    # What was saved with loss is a photograph as a rule; as PNG it would be ten times its size.
    return "image/jpeg" if data[12:16] == b"VP8 " else "image/png"


READERS: Final[Mapping[str, Reader]] = MappingProxyType(
    {
        "image/png": Reader("PNG", _is_png, _open_png, _as_png),
        "image/jpeg": Reader("JPEG", _is_jpeg, _open_jpeg, _as_jpeg),
        "image/webp": Reader("WebP", _is_webp, _open_webp, _webp_kept),
        "image/tiff": Reader("TIFF", _is_tiff, _open_tiff, _as_png, _tiff_pages),
        "image/heic": Reader("HEIC", _is_heic, _open_heic, _as_jpeg),
    }
)
