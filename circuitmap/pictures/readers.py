"""One reader for each format of picture: how it is recognised, opened without decoding, and written back upright."""

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

MOST_MEGAPIXELS: Final = 60
MOST_BYTES: Final = 200_000_000

# Whatever the picture library raises over a damaged file, its warnings too where Python makes errors of them.
_DAMAGE: Final = (
    OSError, SyntaxError, ValueError, TypeError, KeyError, IndexError, AttributeError, EOFError, OverflowError,
    MemoryError, struct.error, zlib.error, Warning,
)  # fmt: skip


@dataclass(frozen=True)
class Reader:
    """A format: the words for it, the bytes it starts with, how it is opened, and how it is written again."""

    name: str
    starts: bytes
    open: Callable[[BytesIO], "Image"]
    write: Callable[["Image", BytesIO], None]


def reader_of(data: bytes) -> tuple[str, Reader] | None:
    """Give the media type and reader that fit the content, None when no reader knows it."""
    for media, reader in READERS.items():
        if data.startswith(reader.starts):
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


def _open_png(stream: BytesIO) -> "Image":
    # The plugin's own class, not Image.open: that one tries every format there is, and judges size by a global limit.
    from PIL.PngImagePlugin import PngImageFile

    return PngImageFile(stream)


def _open_jpeg(stream: BytesIO) -> "Image":
    from PIL.JpegImagePlugin import JpegImageFile

    return JpegImageFile(stream)


def _write_png(picture: "Image", stream: BytesIO) -> None:
    picture.save(stream, format="PNG")


def _write_jpeg(picture: "Image", stream: BytesIO) -> None:
    picture.save(stream, format="JPEG", quality=95, subsampling=0)


READERS: Final[Mapping[str, Reader]] = MappingProxyType(
    {
        "image/png": Reader("PNG", b"\x89PNG\r\n\x1a\n", _open_png, _write_png),
        "image/jpeg": Reader("JPEG", b"\xff\xd8\xff", _open_jpeg, _write_jpeg),
    }
)
