"""Typesetting: a template of ``resources/documents`` and its data in, a PDF out, the same bytes for the same data.

The font is our own and embedded, so text can be searched and looks the same everywhere; what it has no letter for is
printed as its number, never as an empty box. Nothing is fetched, and typed text stays text.
"""

import base64
import json
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Final

from circuitmap.errors import OurError
from circuitmap.places import resources

FONT_FILE: Final = "SourceSansPro-Regular.ttf"
# What templates import; it stands beside each of them.
_SHARED: Final = ("common.typ",)
_BREAK: Final = "\u200b"
# Longer than this a word gets places where it may be broken.
_LONG: Final = 28
_LONG_WORD: Final = re.compile(rf"\S{{{_LONG + 1},}}")
# Spaces, joiners and breaks that are no letters of a font.
_NO_LETTER: Final = frozenset("\n\t\u00a0\u00ad\u200b\u2002\u2009\u202f")

Data = Mapping[str, object]


def typeset(template: str, data: Data, pictures: Mapping[str, str] | None = None, *, day_stamp: int = 0) -> bytes:
    """Set a document.

    Parameters
    ----------
    template
        The name of the template, without its ending.
    data
        What it says: texts, numbers, lists and tables of them.
    pictures
        Drawings as SVG, by the names that the template or the data call them; photographs as ``in_svg`` gives them.
    day_stamp
        Seconds since 1970, UTC, for the file's own date.

    Raises
    ------
    OurError
        When the template can't be set, which no data should bring about.
    """
    import typst
    from font_source_sans_pro import font_directory

    documents = resources() / "documents"
    files = {
        "main.typ": (documents / f"{template}.typ").read_bytes(),
        **{name: (documents / name).read_bytes() for name in _SHARED},
        "data.json": json.dumps(_fit(data), ensure_ascii=False).encode(),
        **{name: shown(svg).encode() for name, svg in (pictures or {}).items()},
    }
    try:
        made = typst.compile(
            files,
            format="pdf",
            font_paths=[font_directory],
            ignore_system_fonts=True,
            timestamp=day_stamp,
        )
    except (RuntimeError, ValueError) as error:
        raise OurError(f"The document “{template}” can't be set: {error}") from error
    if not isinstance(made, bytes):
        raise OurError(f"The document “{template}” came out as several files.")
    return made


def in_svg(jpeg: bytes, width_px: int, height_px: int) -> str:
    """Give a photograph as a drawing that holds nothing else; its JPEG comes through to the PDF as it is.

    The typesetter takes files of text only.
    """
    data = base64.b64encode(jpeg).decode()
    size = f'width="{width_px}" height="{height_px}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" {size} '
        f'viewBox="0 0 {width_px} {height_px}"><image {size} xlink:href="data:image/jpeg;base64,{data}"/></svg>\n'
    )


def shown(text: str) -> str:
    """Give a text with every letter that our font lacks as its number, such as [U+0634]."""
    if text.isascii():
        return text
    letters = _letters()
    return "".join(c if c.isascii() or ord(c) in letters or c in _NO_LETTER else f"[U+{ord(c):04X}]" for c in text)


def breakable(text: str) -> str:
    """Give a text whose long words may be broken, so that none is set over what stands beside it."""
    return _LONG_WORD.sub(
        lambda word: _BREAK.join(word.group()[n : n + 8] for n in range(0, len(word.group()), 8)), text
    )


def _fit(value: object) -> object:
    if isinstance(value, str):
        return breakable(shown(value))
    if isinstance(value, Mapping):
        return {key: _fit(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_fit(each) for each in value]
    return value


@cache
def _letters() -> frozenset[int]:
    from font_source_sans_pro import font_directory
    from fontTools.ttLib import TTFont

    with TTFont(Path(font_directory) / FONT_FILE, lazy=True) as font:
        return frozenset(font.getBestCmap())
