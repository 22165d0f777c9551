"""A drawing as a picture: SVG in, PNG out, by the same renderer and font as the documents."""

import re
from typing import Final

from circuitmap.errors import OurError
from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.typeset import shown

MOST_PIXELS: Final = 60_000_000
_CSS_PX_PER_INCH: Final = 96.0  # CSS Values 4, section 6.2
_PT_PER_PX: Final = 0.75
_SIZE: Final = re.compile(r'<svg[^>]*? width="([\d.]+)" height="([\d.]+)"', re.DOTALL)
_PAGE: Final = """#set page(width: {wide}pt, height: {high}pt, margin: 0pt)
#image("drawing.svg", width: 100%, height: 100%)
"""


def size_px(svg: str) -> tuple[float, float]:
    """Give the width and height that a drawing says it has."""
    found = _SIZE.search(svg[:2000])
    if found is None:
        raise OurError("A drawing without a size can't be made a picture.")
    return float(found[1]), float(found[2])


def most_times(svg: str) -> float:
    """Give how many times its size a drawing can be made a picture at most."""
    wide, high = size_px(svg)
    return float((MOST_PIXELS / ((wide + 1) * (high + 1))) ** 0.5)


def png_of(svg: str, times: float = 1.0) -> bytes:
    """Give a drawing as PNG, so many times its size in pixels; the same bytes for the same drawing.

    Raises
    ------
    CantMakeError
        When the picture would have more pixels than can be held.
    """
    import typst
    from font_source_sans_pro import font_directory

    wide, high = size_px(svg)
    most = most_times(svg)
    if times > most:
        raise CantMakeError(
            f"The picture would be {wide * times:.0f} by {high * times:.0f} pixels, too large to be held; ask for one "
            f"storey, or for at most {most / times:.0%} of that scale."
        )
    page = _PAGE.format(wide=wide * _PT_PER_PX, high=high * _PT_PER_PX)
    try:
        made = typst.compile(
            {"main.typ": page.encode(), "drawing.svg": shown(svg).encode()},
            format="png",
            ppi=_CSS_PX_PER_INCH * times,
            font_paths=[font_directory],
            ignore_system_fonts=True,
        )
    except (RuntimeError, ValueError) as error:
        raise OurError(f"A drawing can't be made a picture: {error}") from error
    if not isinstance(made, bytes):
        raise OurError("A drawing came out as several pictures.")
    return made
