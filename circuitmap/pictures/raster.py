"""Pictures made of pixels: size checked before decoding, the right page and frame, upright, in screen colours."""

from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Final

from circuitmap.errors import PictureError
from circuitmap.pictures.readers import MOST_MEGAPIXELS, Reader, damage_told, write

if TYPE_CHECKING:
    from PIL.Image import Image

LEAST_SIDE_PX: Final = 16
_ORIENTATION: Final = 0x0112
UPRIGHT: Final = 1
_DRAWN: Final = frozenset({"1", "L", "LA", "La", "P", "PA", "RGB", "RGBA", "RGBX", "RGBa", "CMYK", "YCbCr", "HSV", "F"})


@dataclass(frozen=True)
class Decoded:
    """A decoded picture, upright; what was done to it; how many pages its file has."""

    picture: "Image"
    turned: bool
    moves: bool
    pages: int


@dataclass(frozen=True)
class Kept:
    """What is kept of a picture: media type, bytes, size, and what the person should know."""

    media: str
    data: bytes
    width_px: int
    height_px: int
    turned: bool
    pages: int
    said: tuple[str, ...]


def keep(data: bytes, media: str, reader: Reader, shown: str, page: int) -> Kept:
    """Decode a picture once and give it as it is kept: an upright PNG or JPEG of one frame.

    Raises
    ------
    PictureError
        When it is damaged, too large, too small to be a plan, or has no such page.
    """
    found = decode(data, reader, shown, page)
    picture = found.picture
    if min(picture.size) < LEAST_SIDE_PX:
        says = f"the picture is {picture.width} × {picture.height} px, too small to show a plan."
        raise PictureError(shown, says, "Choose the picture itself, not its thumbnail.")
    said = []
    if found.moves:
        said.append("The picture moves; its first frame is used.")
    if picture.mode == "CMYK":
        said.append("Its printing colours (CMYK) were turned into screen colours.")
    kept = reader.kept_as(data)
    if found.turned or found.moves or kept != media or picture.mode == "CMYK":
        with damage_told(shown, reader):
            data, media = write(writable(picture, kept), kept), kept
    return Kept(media, data, picture.width, picture.height, found.turned, found.pages, tuple(said))


def decode(data: bytes, reader: Reader, shown: str, page: int = 1) -> Decoded:
    """Decode one page of a picture, upright.

    Raises
    ------
    PictureError
        When it is damaged, larger than 70 megapixels, or has no such page.
    """

    def allow(width_px: int, height_px: int) -> None:
        # Before decoding: a few kilobytes can claim gigabytes of pixels.
        if width_px * height_px > MOST_MEGAPIXELS * 1_000_000:
            says = (
                f"the picture is {width_px} × {height_px} px, which is more than {MOST_MEGAPIXELS} megapixels "
                "and more than a plan needs."
            )
            raise PictureError(shown, says, "Save a smaller copy (4000 px on the long side is plenty) and use that.")

    with damage_told(shown, reader):
        from PIL import ImageOps

        picture = reader.open(BytesIO(data), allow)
        pages = reader.pages(picture) if reader.pages is not None else 1
        no_such_page(shown, page, pages)
        if page > 1:
            picture.seek(page - 1)
        allow(*picture.size)
        noted = lies(picture)
        picture.load()
        moves = reader.pages is None and getattr(picture, "n_frames", 1) > 1
        # Some formats are turned upright while they load, and the note is gone then.
        still = lies(picture)
        return Decoded(ImageOps.exif_transpose(picture) if still else picture, still or noted, moves, pages)


def lies(picture: "Image") -> bool:
    """Whether a note in a picture says that it lies on its side, stands on its head or is mirrored."""
    return orientation(picture) != UPRIGHT


def orientation(picture: "Image") -> int:
    """Give how a note in a picture says that it lies, 1 (upright) to 8, by the numbers of Exif 2.3, tag 0x0112."""
    noted = picture.getexif().get(_ORIENTATION, UPRIGHT)
    return noted if isinstance(noted, int) and 1 <= noted <= 8 else UPRIGHT


def no_such_page(shown: str, page: int, pages: int) -> None:
    """Refuse a page that a file doesn't have."""
    if not 1 <= page <= pages:
        says = f"there is no page {page}; the file has {pages} page{'' if pages == 1 else 's'}."
        raise PictureError(shown, says, "Choose another page.")


def rgba(data: bytes, reader: Reader, shown: str, page: int) -> tuple[int, int, bytes]:
    """Give width, height and pixels (red, green, blue, opacity; row by row, upright) of one page."""
    decoded = decode(data, reader, shown, page).picture
    with damage_told(shown, reader):
        flat = _eight_bits(decoded, shown).convert("RGBA")
        del decoded  # a large sheet would be held three times otherwise
        return flat.width, flat.height, flat.tobytes()


def grey(data: bytes, reader: Reader, shown: str, page: int) -> "Image":
    """Give one page as greys of eight bits, upright, on white paper where it is clear."""
    picture = _eight_bits(decode(data, reader, shown, page).picture, shown)
    if picture.has_transparency_data:
        from PIL import Image

        clear = picture.convert("LA")
        picture = Image.new("L", clear.size, 255)
        picture.paste(clear.getchannel("L"), mask=clear.getchannel("A"))
    return picture.convert("L")


def writable(picture: "Image", media: str) -> "Image":
    """Give a picture in a mode that can be written as PNG or JPEG; what is clear stands on white in the latter."""
    flat = _eight_bits(picture, "The picture")
    if media == "image/jpeg":
        if flat.has_transparency_data:
            from PIL import Image

            clear = flat.convert("RGBA")
            flat = Image.new("RGB", flat.size, "white")
            flat.paste(clear, mask=clear.getchannel("A"))
        return flat if flat.mode in ("L", "RGB") else flat.convert("RGB")
    return flat if flat.mode in ("1", "L", "LA", "P", "RGB", "RGBA") else flat.convert("RGB")


def _eight_bits(picture: "Image", shown: str) -> "Image":
    # Sixteen-bit greys would be clipped to white by a plain conversion.
    if picture.mode.startswith("I"):
        return picture.convert("I").point(lambda level: level / 257).convert("L")
    if picture.mode == "F":
        low, high = picture.getextrema()
        span = float(high) - float(low) or 1.0  # type: ignore[arg-type]  # a picture of one band has two plain numbers
        return picture.point(lambda level: level * (255 / span) + (-255 * float(low) / span)).convert("L")  # type: ignore[arg-type]
    if picture.mode not in _DRAWN:
        says = f"its colours are stored as {picture.mode}, which is not read here."
        raise PictureError(shown, says, "Save it as RGB or grey and use that.")
    return picture
