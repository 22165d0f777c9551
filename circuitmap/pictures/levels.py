"""A picture as greys, and copies of it each half the size of the one before, to be shown from near and far."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from circuitmap.pictures import raster, vector
from circuitmap.pictures.open import recognise
from circuitmap.pictures.readers import damage_told, write

if TYPE_CHECKING:
    from PIL.Image import Image

_SMALLEST_PX: Final = 1_024


@dataclass(frozen=True, slots=True)
class Level:
    """Greys of a picture, one byte a pixel, row by row (255 is white)."""

    width_px: int
    height_px: int
    greys: bytes


def grey_levels(data: bytes, name: str = "", page: int = 1) -> tuple[Level, ...]:
    """Give a picture's greys at its own size, at half of it, and so on; what is clear is white paper.

    Raises
    ------
    PictureError
        As ``look`` does.
    """
    shown = name or "The picture"
    found = recognise(data, shown)
    return _drawn_smaller(data, found, shown, page) if isinstance(found, str) else _halved(_grey(data, shown, page))


def thumbnail(data: bytes, long_px: int, name: str = "", page: int = 1) -> Level:
    """Give a page's greys with so many px on the long side, or fewer.

    Raises
    ------
    PictureError
        As ``look`` does.
    """
    shown = name or "The picture"
    found = recognise(data, shown)
    if isinstance(found, str):
        study = vector.study(data, found, page, shown)
        share = min(1.0, long_px / max(study.width_px, study.height_px))
        size = max(1, round(study.width_px * share)), max(1, round(study.height_px * share))
        return _level(_from_rgba(size, vector.scaled(data, found, page, shown, size)))
    picture = _grey(data, shown, page)
    picture.thumbnail((long_px, long_px), reducing_gap=2.0)
    return _level(picture)


def still_png(data: bytes, name: str = "", page: int = 1) -> bytes:
    """Give a page in greys as PNG, at its own size: what any drawing can hold, whatever the plan came as.

    Raises
    ------
    PictureError
        As ``look`` does.
    """
    return write(_grey(data, name or "The picture", page), "image/png")


def _grey(data: bytes, shown: str, page: int) -> "Image":
    found = recognise(data, shown)
    if isinstance(found, str):
        width_px, height_px, pixels = vector.whole(data, found, page, shown)
        return _from_rgba((width_px, height_px), pixels)
    reader = found[1]
    with damage_told(shown, reader):
        return raster.grey(data, reader, shown, page)


def _from_rgba(size: tuple[int, int], pixels: bytes) -> "Image":
    from PIL import Image

    return Image.frombytes("RGBA", size, pixels).convert("L")


def _drawn_smaller(data: bytes, media: str, shown: str, page: int) -> tuple[Level, ...]:
    """Draw each size anew: halved again and again, thin lines would fade into the paper."""
    study = vector.study(data, media, page, shown)
    wide, high = study.width_px, study.height_px
    levels = [_level(_grey(data, shown, page))]
    while max(wide, high) > _SMALLEST_PX:
        wide, high = (wide + 1) // 2, (high + 1) // 2
        levels.append(_level(_from_rgba((wide, high), vector.scaled(data, media, page, shown, (wide, high)))))
    return tuple(levels)


def _halved(picture: "Image") -> tuple[Level, ...]:
    levels = [_level(picture)]
    while max(picture.size) > _SMALLEST_PX:
        picture = picture.reduce(2)
        levels.append(_level(picture))
    return tuple(levels)


def _level(picture: "Image") -> Level:
    return Level(picture.width, picture.height, picture.tobytes())
