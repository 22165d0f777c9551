"""A drawing as a picture: SVG in, PNG out, by the same renderer and font as the documents."""

import re
from typing import Final

from circuitmap.errors import OurError
from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.typeset import shown

MOST_PIXELS: Final = 120_000_000
_CSS_PX_PER_INCH: Final = 96.0  # CSS Values 4, section 6.2
_PT_PER_PX: Final = 0.75
_SIZE: Final = re.compile(r'<svg[^>]*? width="([\d.]+)" height="([\d.]+)"', re.DOTALL)
_PAGE: Final = """#set page(width: {wide}pt, height: {high}pt, margin: 0pt)
#image("drawing.svg", width: 100%, height: 100%)
"""


def png_of(svg: str, times: float = 1.0) -> bytes:
    """Give a drawing as PNG, so many times its size in pixels; the same bytes for the same drawing.

    Raises
    ------
    CantMakeError
        When the picture would have more pixels than can be held.
    """
    import typst
    from font_source_sans_pro import font_directory

    found = _SIZE.search(svg[:2000])
    if found is None:
        raise OurError("A drawing without a size can't be made a picture.")
    wide, high = float(found[1]), float(found[2])
    pixels = wide * high * times * times
    if pixels > MOST_PIXELS:
        least = times * (MOST_PIXELS / pixels) ** 0.5
        raise CantMakeError(
            f"The picture would be {wide * times:.0f} by {high * times:.0f} pixels, too large to be held; ask for one "
            f"storey, or for at most {least / times:.0%} of that scale."
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
