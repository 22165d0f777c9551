"""SVG drawings: parsed without entities, made harmless, measured, and turned into a PDF page to be drawn from."""

import math
from typing import TYPE_CHECKING, Final

from circuitmap.pictures import svg_values as values
from circuitmap.pictures.flatten import Matrix, times
from circuitmap.pictures.pdf import PX_PER_INCH, sheet_scale
from circuitmap.pictures.study import RefusedError, Study
from circuitmap.pictures.svg_clean import MOST_PARTS, Cleaner
from circuitmap.pictures.svg_values import fit, local

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

MOST_BYTES: Final = 80_000_000
# A sheet of paper is hardly longer; what is, was drawn at full size.
_LONGEST_PAPER_MM: Final = 2_000.0
_LARGEST: Final = 1e7
_MM_PER_INCH: Final = 25.4
_POINT_PER_PX: Final = 72.0 / PX_PER_INCH
_HEAD: Final = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'


def study(data: bytes) -> Study:
    """Read an SVG: its size, lines and words, and itself as a PDF page.

    Raises
    ------
    RefusedError
        When it is broken, holds entities, has no size, or multiplies beyond what a plan needs.
    """
    root = _parsed(data)
    by_id: dict[str, Element] = {}
    sheets = []
    for n, element in enumerate(root.iter()):
        if n > MOST_PARTS:
            says = f"the SVG holds more than {MOST_PARTS:,} parts."
            raise RefusedError(says, "Save only the floor plan, without what else is in the drawing.")
        name = element.get("id")
        if name:
            by_id.setdefault(name, element)
        if local(element.tag) == "style":
            sheets.append(element.text or "")
    rules, has_more = values.rules_of("\n".join(sheets))

    box, wide, high = _window(root, by_id, rules)
    fitted = fit(box, wide, high, root.get("preserveAspectRatio"))
    scale = sheet_scale(wide, high, PX_PER_INCH / values.PX_PER_INCH)
    cleaner = Cleaner(by_id, rules)
    if any(values.reaches_outside(sheet) for sheet in sheets):
        cleaner.left_out.add("links to other files")
    if has_more:
        cleaner.left_out.add("styles by selectors of several parts")
    cleaner.take_all(root, times((scale, 0, 0, scale, 0, 0), fitted), (box[2], box[3]))
    width_px, height_px = max(1, round(wide * scale)), max(1, round(high * scale))
    a, b, c, d, e, f = fitted
    placed = f"matrix({a:.9g} {b:.9g} {c:.9g} {d:.9g} {e:.9g} {f:.9g})"
    svg = (
        f'<svg {_HEAD} width="{wide:.9g}" height="{high:.9g}" viewBox="0 0 {wide:.9g} {high:.9g}">'
        f'<g font-family="{values.OWN_FONT}" transform="{placed}">{"".join(cleaner.out)}</g></svg>'
    )
    said = [f"Left out of the SVG: {', '.join(sorted(cleaner.left_out))}."] if cleaner.left_out else []
    paper: float | None = None
    full: float | None = None
    if values.is_absolute(root.get("width")) or values.is_absolute(root.get("height")):
        paper = _MM_PER_INCH / values.PX_PER_INCH / scale
        if paper * max(width_px, height_px) > _LONGEST_PAPER_MM:
            full, paper = paper, None
            said.append("The SVG is drawn at full size; its scale is taken from it.")
    return Study(
        width_px, height_px, said=tuple(said), mm_per_px=full, paper_mm_per_px=paper, texts=tuple(cleaner.texts),
        pdf=_as_pdf(svg, width_px, height_px), **cleaner.pieces.packed(),
    )  # fmt: skip


def _parsed(data: bytes) -> "Element":
    from xml.etree.ElementTree import ParseError

    import defusedxml
    from defusedxml.ElementTree import fromstring

    if len(data) > MOST_BYTES:
        raise RefusedError(
            f"the SVG has more than {MOST_BYTES / 1e6:.0f} MB.", "Save only the floor plan and use that."
        )
    try:
        root: Element = fromstring(data, forbid_dtd=False, forbid_entities=True, forbid_external=True)
    except defusedxml.DefusedXmlException as error:
        says = "the SVG defines entities or points at other files in its head, which is not read here."
        raise RefusedError(says, "Save it as plain SVG, or as PDF, and use that.") from error
    except (ParseError, ValueError, LookupError) as error:
        raise RefusedError("the SVG is broken or cut short.", "Save or download it again and try once more.") from error
    if local(root.tag) != "svg":
        raise RefusedError("this XML file is no SVG drawing.", "Choose the drawing itself.")
    return root


def _window(root: "Element", by_id: "dict[str, Element]", rules: values.Rules) -> tuple[list[float], float, float]:
    """Give the view box and the size in px; where a file tells neither, what its lines take up."""
    box = values.numbers(root.get("viewBox") or "")
    if len(box) != 4 or box[2] <= 0 or box[3] <= 0:
        box = []
    wide = values.length(root.get("width"), box[2] if box else 0.0)
    high = values.length(root.get("height"), box[3] if box else 0.0)
    if box and wide <= 0:
        wide = high * box[2] / box[3] if high > 0 else box[2]
    if box and high <= 0:
        high = wide * box[3] / box[2]
    if not box and (wide <= 0 or high <= 0):
        box = _extent(root, by_id, rules)
        wide, high = box[2], box[3]
    if not (math.isfinite(wide + high) and 0 < wide <= _LARGEST and 0 < high <= _LARGEST):
        raise RefusedError("the SVG has no usable size.", "Save it with a width and a height.")
    if not 1 / 50 <= wide / high <= 50:
        raise RefusedError("the SVG is a mere strip, no plan.", "Save it with the width and height of the drawing.")
    return box or [0.0, 0.0, wide, high], wide, high


def _extent(root: "Element", by_id: "dict[str, Element]", rules: values.Rules) -> list[float]:
    import numpy as np

    once = Cleaner(by_id, rules)
    identity: Matrix = (1, 0, 0, 1, 0, 0)
    once.take_all(root, identity, (100.0, 100.0))
    ends = np.frombuffer(once.pieces.packed()["segments"], np.float64).reshape(-1, 2)
    if not len(ends):
        raise RefusedError("the SVG has no size and no lines.", "Save it with a width and a height.")
    (left, top), (right, bottom) = ends.min(axis=0), ends.max(axis=0)
    margin = 0.02 * max(right - left, bottom - top)
    return [left - margin, top - margin, right - left + 2 * margin, bottom - top + 2 * margin]


def _as_pdf(svg: str, width_px: int, height_px: int) -> bytes:
    import typst
    from font_source_sans_pro import font_directory

    wide, high = width_px * _POINT_PER_PX, height_px * _POINT_PER_PX
    page = (
        f"#set page(width: {wide:.6f}pt, height: {high:.6f}pt, margin: 0pt)\n"
        '#image("drawing.svg", width: 100%, height: 100%, fit: "stretch", alt: "drawing")'
    )
    try:
        made = typst.compile(
            {"main.typ": page.encode(), "drawing.svg": svg.encode()},
            format="pdf",
            font_paths=[font_directory],
            pdf_tags=False,
        )
    except (RuntimeError, ValueError) as error:
        raise RefusedError("the SVG can't be drawn.", "Save it as plain SVG, or as PDF, and use that.") from error
    if not isinstance(made, bytes):
        raise RefusedError("the SVG can't be drawn as one page.", "Save it as PDF and use that.")
    return made
