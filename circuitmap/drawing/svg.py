"""The SVG pen: marks in, one self-contained drawing out, the same text for the same marks every time.

No scripts and nothing fetched: symbols are ``<symbol>``/``<use>``, pictures ride along as data, and the family of the
type is only named. Typed text is made harmless before it goes in.
"""

import base64
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from circuitmap.drawing.blocks import Block, legend_block, scale_bar
from circuitmap.drawing.legend import Group
from circuitmap.drawing.marks import Area, Glyph, Ink, Line, Mark, Picture, PointMm, Words, layer_rank, mark_points
from circuitmap.drawing.palette import Theme, colour
from circuitmap.drawing.paths import number, path_text
from circuitmap.drawing.placing import placed
from circuitmap.drawing.states import STATE_TITLES, Part, glyph_parts
from circuitmap.drawing.symbols import symbol
from circuitmap.drawing.typed import TITLE_LIMIT, element_text, one_line, width_px
from circuitmap.errors import OurError

BoundsMm = tuple[float, float, float, float]

FAMILY: Final = "Source Sans Pro"
_FAMILIES: Final = f"{FAMILY}, sans-serif"
_MARGIN: Final = 24.0
_AROUND_MM: Final = 400.0
_GAP: Final = 16.0
_HEAD_PX: Final = 20.0
_NOTE_PX: Final = 11.0
_DEFAULT_WIDTH_PX: Final = 1200.0
_LEAST_WIDTH_PX: Final = 360.0


def paper_scale(denominator: float) -> float:
    """Give the px per mm of a drawing at 1:denominator, an SVG pixel being 1/96 inch (CSS Values 4, section 6.2)."""
    if not denominator > 0:
        raise OurError(f"A drawing can't have the scale 1:{denominator}.")
    return 96 / 25.4 / denominator


def bounds_of(marks: Iterable[Mark], around_mm: float = _AROUND_MM) -> BoundsMm:
    """Give the plan rectangle that holds every mark's points, and a little around; 4 m square for an empty drawing."""
    points = [point for mark in marks for point in mark_points(mark)]
    if not points:
        return 0.0, 0.0, 4000.0, 4000.0
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs) - around_mm, min(ys) - around_mm, max(xs) + around_mm, max(ys) + around_mm


def svg_text(
    marks: Iterable[Mark],
    *,
    title: str,
    theme: Theme = "paper",
    bounds_mm: BoundsMm | None = None,
    px_per_mm: float | None = None,
    width_px: float = _DEFAULT_WIDTH_PX,
    mark_scale: float = 1.0,
    description: str = "",
    legend: Sequence[Group] = (),
    notes: Sequence[str] = (),
    pictures: Mapping[str, bytes] | None = None,
    blocks: Sequence[Block] = (),
) -> str:
    """Draw marks as a whole SVG document.

    Parameters
    ----------
    bounds_mm
        Left, top, right, bottom of the plan to show; by default what the marks need.
    px_per_mm, width_px
        The scale; without one, the plan is scaled to the width.
    mark_scale
        By how much symbols, words and line widths are enlarged, once.
    legend
        What :func:`circuitmap.drawing.legend.legend_of` gave.
    notes
        Lines printed under everything (whose survey, what it is not).
    pictures
        The bytes of every picture that may be drawn, by asset; a picture that isn't there, or was photographed so
        steeply that no flat place holds it, is left out, which the description and a line under the drawing then say.
    blocks
        What stands between the plan and the legend, one under the other (the boards).
    """
    drawn = sorted(marks, key=lambda mark: layer_rank(mark.layer))
    bounds = bounds_mm or bounds_of(drawn)
    wide_mm, high_mm = bounds[2] - bounds[0], bounds[3] - bounds[1]
    if not (wide_mm > 0 and high_mm > 0):
        raise OurError("A drawing needs bounds with a width and a height.")
    scale = px_per_mm or (width_px - 2 * _MARGIN) / wide_mm
    pen = _Pen(theme, bounds, scale, mark_scale, pictures or {})
    for mark in drawn:
        pen.draw(mark)
    return pen.page(title, description, legend, notes, blocks)


def fragment(
    marks: Iterable[Mark], bounds_mm: BoundsMm, px_per_mm: float, mark_scale: float
) -> tuple[dict[str, str], list[str]]:
    """Draw marks as lines of SVG to stand inside another drawing: the symbols they share by id, and what is drawn."""
    pen = _Pen("paper", bounds_mm, px_per_mm, mark_scale, {})
    for mark in sorted(marks, key=lambda each: layer_rank(each.layer)):
        pen.draw(mark)
    return pen.shared_symbols(), pen.drawn


class _Pen:
    """Writes marks into lines of SVG; made for one drawing and thrown away."""

    def __init__(
        self, theme: Theme, bounds: BoundsMm, scale: float, mark_scale: float, pictures: Mapping[str, bytes]
    ) -> None:
        self._theme: Theme = theme
        self._left, self._top, right, bottom = bounds
        self._scale, self._size = scale, mark_scale
        self._plan_w, self._plan_h = (right - self._left) * scale, (bottom - self._top) * scale
        self._pictures = pictures
        self._body: list[str] = []
        self._shared: dict[str, Part] = {}
        self._remarks: list[str] = []
        self._desaturate = False

    @property
    def drawn(self) -> list[str]:
        """What was drawn so far, in lines."""
        return self._body

    def shared_symbols(self) -> dict[str, str]:
        """Give the definitions of the symbols that were drawn, by their ids."""
        return {
            _ident(name): f'<symbol id="{_ident(name)}" overflow="visible"><path d="{path_text(part.path)}"/></symbol>'
            for name, part in sorted(self._shared.items())
        }

    def draw(self, mark: Mark) -> None:
        match mark:
            case Area():
                self._area(mark)
            case Line():
                self._line(mark)
            case Glyph():
                x, y = self._px(mark.at_mm)
                self._body.append(self.glyph(mark, x, y, mark.size_px * self._size))
            case Words():
                self._words(mark)
            case Picture():
                self._picture(mark)

    def page(
        self, title: str, description: str, legend: Sequence[Group], notes: Sequence[str], blocks: Sequence[Block] = ()
    ) -> str:
        """Put heading, plan, scale bar, legend and notes together."""
        width = max(self._plan_w, _LEAST_WIDTH_PX) + 2 * _MARGIN
        head = _MARGIN + _HEAD_PX + _GAP
        inside = width - 2 * _MARGIN
        y = head + self._plan_h + _GAP
        under: list[str] = []
        bar = scale_bar(self._scale, inside)
        under.append(self._block(bar, width - _MARGIN - bar.width_px, y))
        y += bar.height_px + _GAP
        for block in blocks:
            width = max(width, block.width_px + 2 * _MARGIN)
            under.append(self._block(block, _MARGIN, y))
            y += block.height_px + _GAP
        if legend:
            block = legend_block(legend, inside)
            under.append(self._block(block, _MARGIN, y))
            y += block.height_px + _GAP
        remarks = list(dict.fromkeys(self._remarks))
        for note in (*notes, *remarks):
            under.append(self.text(note, _MARGIN, y + _NOTE_PX / 2, _NOTE_PX, "faint", limit=TITLE_LIMIT))
            y += _NOTE_PX * 1.5
        height = y + _MARGIN - _GAP / 2
        told = " ".join(filter(None, (one_line(description, 1000), *remarks)))
        w, h = number(width), number(height)
        return "\n".join(
            [
                f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="{w}" '
                f'height="{h}" viewBox="0 0 {w} {h}" role="img" aria-labelledby="title desc" '
                f'font-family="{_FAMILIES}" fill="none" stroke-linecap="round" stroke-linejoin="round">',
                f'<title id="title">{element_text(title, TITLE_LIMIT)}</title>',
                f'<desc id="desc">{element_text(told, 2000)}</desc>',
                *self._definitions(),
                f'<rect width="{w}" height="{h}" fill="{self._colour("paper")}"/>',
                self.text(title, _MARGIN, _MARGIN + _HEAD_PX / 2, _HEAD_PX, "ink", bold=True, limit=TITLE_LIMIT),
                f'<g transform="translate({number(_MARGIN)} {number(head)})" clip-path="url(#plan-area)">',
                *self._body,
                "</g>",
                *under,
                "</svg>\n",
            ]
        )

    def glyph(self, glyph: Glyph, x: float, y: float, size_px: float) -> str:
        """Write one glyph at a place in px, with a title that says what it is."""
        said = symbol(glyph.symbol).title + (f", {STATE_TITLES[glyph.state]}" if glyph.state else "")
        inner = "".join(self._part(part) for part in glyph_parts(glyph))
        return (
            f'<g transform="translate({number(x)} {number(y)}) scale({size_px / 100:.4f})">'
            f"<title>{element_text(said, TITLE_LIMIT)}</title>{inner}</g>"
        )

    def text(
        self,
        text: str,
        x: float,
        y: float,
        size_px: float,
        role: str,
        *,
        anchor: str = "start",
        bold: bool = False,
        limit: int = 60,
    ) -> str:
        """Write one line of text centred on a height; a third of the size brings the baseline there."""
        heavy = ' font-weight="600"' if bold else ""
        return (
            f'<text x="{number(x)}" y="{number(y + size_px * 0.34)}" font-size="{number(size_px)}" '
            f'text-anchor="{anchor}" fill="{self._colour(role)}"{heavy}>{element_text(text, limit)}</text>'
        )

    def _px(self, point: PointMm) -> tuple[float, float]:
        return (point[0] - self._left) * self._scale, (point[1] - self._top) * self._scale

    def _colour(self, role: str) -> str:
        return colour(role, self._theme)

    def _stroke(self, ink: Ink) -> str:
        dash = f' stroke-dasharray="{" ".join(number(v * self._size) for v in ink.dash)}"' if ink.dash else ""
        width = number(ink.width_px * self._size)
        return f'stroke="{self._colour(ink.role)}" stroke-width="{width}"{dash}'

    def _points(self, points: Sequence[PointMm], closed: bool) -> str:
        pairs = [" ".join(map(number, self._px(point))) for point in points]
        return "M" + " L".join(pairs) + (" Z" if closed else "")

    def _area(self, area: Area) -> None:
        d = " ".join(self._points(ring, True) for ring in area.rings if ring)
        edge = f" {self._stroke(area.edge)}" if area.edge else ""
        seen = f' fill-opacity="{number(area.opacity)}"' if area.opacity < 1 else ""
        self._body.append(f'<path d="{d}" fill="{self._colour(area.fill)}"{seen} fill-rule="evenodd"{edge}/>')

    def _line(self, line: Line) -> None:
        if not line.pts:
            return
        d = self._points(line.pts, line.closed)
        self._body.extend(f'<path d="{d}" {self._stroke(ink)}/>' for ink in (line.ink, line.stripe) if ink)

    def _words(self, words: Words) -> None:
        if self._scale < words.from_zoom:
            return
        x, y = self._px(words.at_mm)
        x, y = x + words.offset_px[0] * self._size, y + words.offset_px[1] * self._size
        size = words.size_px * self._size
        if words.plate:
            wide = width_px(one_line(words.text), size) + size * 0.5
            left = x - {"start": size * 0.25, "middle": wide / 2, "end": wide - size * 0.25}[words.anchor]
            self._body.append(
                f'<rect x="{number(left)}" y="{number(y - size * 0.62)}" width="{number(wide)}" '
                f'height="{number(size * 1.24)}" rx="{number(size * 0.2)}" fill="{self._colour("paper")}" '
                'fill-opacity="0.86"/>'
            )
        self._body.append(self.text(words.text, x, y, size, words.role, anchor=words.anchor, bold=words.bold))

    def _picture(self, picture: Picture) -> None:
        data = self._pictures.get(picture.key)
        if data is None:
            self._remarks.append("A plan picture is not shown, because it was not at hand.")
            return
        at = placed(data, picture.px_to_plan_mm)
        if at is None:
            self._remarks.append("A plan picture is not shown: it was photographed too steeply to be laid flat here.")
            return
        if at.worst_mm >= 1:
            self._remarks.append(
                f"The plan picture was straightened in perspective and lies up to {at.worst_mm:.0f} mm out here."
            )
        a, b, c, d, e, f = at.matrix
        turn = " ".join(f"{v * self._scale:.8f}" for v in (a, b, c, d))
        x, y = self._px((e, f))
        self._desaturate = True
        self._body.append(
            f'<image width="{at.width_px}" height="{at.height_px}" transform="matrix({turn} {number(x)} {number(y)})" '
            f'opacity="{number(1 - picture.fade)}" preserveAspectRatio="none" filter="url(#desaturate)" '
            f'xlink:href="data:{at.media};base64,{base64.b64encode(data).decode("ascii")}"/>'
        )

    def _part(self, part: Part) -> str:
        where = f"translate({number(part.dx)} {number(part.dy)})" if part.dx or part.dy else ""
        if part.turn_deg:
            where = f"{where} rotate({number(part.turn_deg)})".strip()
        placed_at = f' transform="{where}"' if where else ""
        fill = f' fill="{self._colour(part.fill)}"' if part.fill else ""
        stroke = f' stroke="{self._colour(part.stroke)}" stroke-width="{number(part.width)}"' if part.stroke else ""
        dash = f' stroke-dasharray="{" ".join(map(number, part.dash))}"' if part.dash else ""
        if part.outline_of:
            self._shared.setdefault(part.outline_of, part)
            return f'<use xlink:href="#{_ident(part.outline_of)}"{placed_at}{fill}{stroke}/>'
        return f'<path d="{path_text(part.path)}"{placed_at}{fill}{stroke}{dash}/>'

    def _definitions(self) -> list[str]:
        size = f'width="{number(self._plan_w)}" height="{number(self._plan_h)}"'
        lines = ["<defs>", f'<clipPath id="plan-area"><rect {size}/></clipPath>']
        if self._desaturate:
            lines.append('<filter id="desaturate"><feColorMatrix type="saturate" values="0.25"/></filter>')
        lines.extend(self.shared_symbols().values())
        lines.append("</defs>")
        return lines

    def _block(self, block: Block, x: float, y: float) -> str:
        lines = [f'<g transform="translate({number(x)} {number(y)})">']
        for fill in block.fills:
            d = "M" + " L".join(" ".join(map(number, point)) for point in fill.pts) + " Z"
            lines.append(f'<path d="{d}" fill="{self._colour(fill.role)}"/>')
        for stroke in block.strokes:
            d = "M" + " L".join(" ".join(map(number, point)) for point in stroke.pts)
            dash = f' stroke-dasharray="{" ".join(map(number, stroke.ink.dash))}"' if stroke.ink.dash else ""
            lines.append(
                f'<path d="{d}" stroke="{self._colour(stroke.ink.role)}" '
                f'stroke-width="{number(stroke.ink.width_px)}" stroke-linecap="{stroke.cap}"{dash}/>'
            )
        lines.extend(self.glyph(glyph, gx, gy, glyph.size_px) for glyph, gx, gy in block.glyphs)
        lines.extend(
            self.text(t.text, t.x_px, t.y_px, t.size_px, t.role, anchor=t.anchor, bold=t.bold, limit=TITLE_LIMIT)
            for t in block.texts
        )
        return "\n".join([*lines, "</g>"])


def _ident(name: str) -> str:
    return "s-" + "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in name.replace("×", "x"))
