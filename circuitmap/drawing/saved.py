"""A drawing as a file: the plan pictures that it is to hold, and writing it whole or not at all."""

import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Final

from circuitmap.drawing.marks import page_key
from circuitmap.errors import FileError
from circuitmap.home import Home
from circuitmap.home.records import Sheet

# PNG and JPEG are the only pictures that an SVG may count on.
_FIT_FOR_SVG: Final = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff")


def sheet_pictures(home: Home, asset: Callable[[str], bytes | None]) -> dict[str, bytes]:
    """Give the pictures of a home's sheets as a drawing can hold them, by what marks call them.

    Parameters
    ----------
    home
        Whose sheets.
    asset
        Gives the bytes of an asset, None where it is not at hand; its picture is then left out.

    Raises
    ------
    PictureError
        When a PDF, SVG or DXF, which is drawn in greys first, can't be read.
    """
    held: dict[str, bytes] = {}
    for sheet in home.sorted(Sheet):
        key = page_key(sheet.asset, sheet.page)
        data = asset(sheet.asset) if key not in held else None
        if data is not None:
            held[key] = _fit(data, f"Sheet {sheet.id}", sheet.page)
    return held


def write_whole(path: Path, content: str | bytes, what: str = "drawing") -> None:
    """Write a drawing or a document whole or not at all: beside its place first, then in one step onto it.

    Raises
    ------
    FileError
        When it can't be written; what was there before is untouched.
    """
    part = None
    try:
        handle, part = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(content.encode() if isinstance(content, str) else content)
        Path(part).chmod(0o666 & ~_umask())
        Path(part).replace(path)
    except OSError as error:
        if part is not None:
            Path(part).unlink(missing_ok=True)
        raise FileError(path, f"the {what} can't be written ({error.strerror}).", "Choose another place.") from None


def _fit(data: bytes, name: str, page: int) -> bytes:
    """Give a picture as an SVG can hold it; a PDF, SVG or DXF is drawn in greys first."""
    if data.startswith(_FIT_FOR_SVG):
        return data
    from circuitmap.pictures import still_png

    return still_png(data, name, page)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
