"""Open a picture that a person gave: recognise it, refuse it in words, turn it upright, decode it."""

import hashlib
from pathlib import Path

from circuitmap.errors import PictureError
from circuitmap.pictures import raster, vector
from circuitmap.pictures.info import PictureInfo
from circuitmap.pictures.readers import MOST_BYTES, Reader, reader_of


def look(source: Path | str | bytes, name: str = "", page: int = 1) -> PictureInfo:
    """Look at a picture or one page of a drawing, from a path or from its bytes, and say what it is.

    The whole picture is decoded once, so a file cut short is noticed here and not when it is first drawn.

    Raises
    ------
    PictureError
        When it can't be read, is empty, of no format that is known, damaged, locked, too large, or has no such page.
    """
    shown = name or ("The picture" if isinstance(source, bytes) else str(source))
    data = source if isinstance(source, bytes) else _read(Path(source), shown)
    found = recognise(data, shown)
    if isinstance(found, str):
        study = vector.study(data, found, page, shown)
        return PictureInfo(
            found, study.width_px, study.height_px, turned=False, sha256=hashlib.sha256(data).hexdigest(), data=data,
            page=page, pages=study.pages, said=study.said, mm_per_px=study.mm_per_px,
            paper_mm_per_px=study.paper_mm_per_px,
        )  # fmt: skip
    media, reader = found
    kept = raster.keep(data, media, reader, shown, page)
    return PictureInfo(
        kept.media, kept.width_px, kept.height_px, kept.turned, hashlib.sha256(kept.data).hexdigest(), kept.data,
        pages=kept.pages, said=kept.said,
    )  # fmt: skip


def decode_rgba(picture: PictureInfo | bytes, name: str = "", page: int = 1) -> tuple[int, int, bytes]:
    """Give width, height and pixels (four bytes each: red, green, blue, opacity; row by row, upright).

    Raises
    ------
    PictureError
        As ``look`` does, for bytes that come from a file.
    """
    data = picture if isinstance(picture, bytes) else picture.data
    shown = name or "The picture"
    found = recognise(data, shown)
    if isinstance(found, str):
        return vector.whole(data, found, page, shown)
    return raster.rgba(data, found[1], shown, page)


def _read(path: Path, shown: str) -> bytes:
    try:
        if path.is_dir():
            raise PictureError(shown, "this is a folder.", "Choose a picture in it, such as a PNG, JPEG or PDF.")
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


def recognise(data: bytes, shown: str) -> tuple[str, Reader] | str:
    """Give the media type and reader of what is made of pixels, the media type alone of what is made of lines."""
    if not data:
        raise PictureError(shown, "the file is empty.", "Save or download the picture again.")
    if len(data) > MOST_BYTES:
        says = f"the picture has more than {MOST_BYTES / 1e6:.0f} MB."
        raise PictureError(shown, says, "Save a smaller copy and use that.")
    found = reader_of(data) or vector.media_of(data)
    if found is None:
        says = "this is no PNG, JPEG, WebP, TIFF, HEIC, PDF, SVG or DXF, whatever its name says."
        raise PictureError(shown, says, "Save the plan as one of these, or take a photograph of it.")
    return found
