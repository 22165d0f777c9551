"""An SVG made harmless: what draws is copied, what runs, links, fetches or multiplies without end is left out.

The copy holds no ``use`` any more: every part stands where it is drawn, so that its size says what drawing it costs.
The lines and words of the drawing come along from the same walk.
"""

import base64
import binascii
import math
import re
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Final
from xml.sax.saxutils import escape, quoteattr

from circuitmap.errors import PictureError
from circuitmap.pictures import svg_values as values
from circuitmap.pictures.flatten import Matrix, Pieces, Spot, moved, times
from circuitmap.pictures.raster import decode
from circuitmap.pictures.readers import MOST_MEGAPIXELS, READERS
from circuitmap.pictures.study import Pen, RefusedError, Text
from circuitmap.pictures.svg_shapes import SHAPES, lines_of
from circuitmap.pictures.svg_values import fit, local

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

MOST_PARTS: Final = 300_000
_DEEPEST: Final = 60
_GROUPS: Final = frozenset({"g", "a", "switch"})
_PAINT: Final = frozenset({"linearGradient", "radialGradient", "clipPath"})
# What sits inside paint and is neither a shape nor a group.
_INSIDE_PAINT: Final = frozenset({"stop"})
_SCRIPTS: Final = frozenset({"script", "handler", "foreignObject", "iframe", "audio", "video", "set", "animate"})
_COSTLY: Final = frozenset({"filter", "mask", "pattern", "marker"})
_REFERS: Final = frozenset({"filter", "mask", "marker", "marker-start", "marker-mid", "marker-end"})
# How far before its place a text begins, as a share of its length; how long a letter is, as a share of its height.
_BACK: Final = {"middle": 0.5, "end": 1.0}
_LETTER: Final = 0.5
_Run = tuple[float, float, float, str, list[str]]
"""Where a line of words is placed (x, y), its height, how it is anchored there, and the words."""
_NO_INK: Final = frozenset({"none", "transparent", "white", "#fff", "#ffffff", "rgb(255,255,255)"})
_NAME: Final = re.compile(r"[A-Za-z_][\w.-]*$")
_PICTURE: Final = re.compile(r"\s*data:(image/png|image/jpe?g)\s*;\s*base64\s*,", re.IGNORECASE)


@dataclass(frozen=True)
class _At:
    """Where the walk is: placement, layer, and the styles that are inherited."""

    matrix: Matrix
    view: Spot
    layer: str = ""
    fill: str = "black"
    stroke: str = "none"
    stroke_px: float = 1.0
    font_px: float = 16.0
    anchor: str = "start"
    depth: int = 0
    copied: bool = False


@dataclass
class Cleaner:
    """Walks an SVG once: ``out`` gets the copy, ``pieces`` and ``texts`` what is drawn, ``left_out`` what was not."""

    by_id: "dict[str, Element]"
    rules: values.Rules
    out: list[str] = field(default_factory=list)
    pieces: Pieces = field(default_factory=Pieces)
    texts: list[Text] = field(default_factory=list)
    left_out: set[str] = field(default_factory=set)
    _parts: int = 0
    _pixels: int = 0

    def take_all(self, root: "Element", matrix: Matrix, view: Spot) -> None:
        """Take all that is inside the root, in a group that has the root's own style."""
        style = self._style(root)
        for placing in ("x", "y", "width", "height", "viewBox", "transform", "id"):
            style.pop(placing, None)
        wide = values.length(style["stroke-width"], view[0]) if "stroke-width" in style else 1.0
        at = replace(
            _At(matrix, view), fill=style.get("fill", "black"), stroke=style.get("stroke", "none"), stroke_px=wide
        )
        self._wrap("g", root, at, style)

    # -- the walk ---------------------------------------------------------------------------------------------

    def _inside(self, element: "Element", at: _At) -> None:
        for child in element:
            self._take(child, at)

    def _take(self, element: "Element", at: _At) -> None:
        self._parts += 1
        if self._parts > MOST_PARTS:
            says = f"the SVG repeats or holds more than {MOST_PARTS:,} parts."
            raise RefusedError(says, "Save only the floor plan, without what else is in the drawing.")
        name = local(element.tag)
        if at.depth > _DEEPEST:
            self.left_out.add("parts nested too deeply")
            return
        if name in _SCRIPTS or name.startswith("animate"):
            self.left_out.add("scripts, moving parts and embedded pages")
            return
        if name in _COSTLY:
            self.left_out.add("effects (filters, masks, patterns, markers)")
            return
        style = self._style(element)
        if style.get("display") == "none" or style.get("visibility") == "hidden":
            return
        here = self._entered(element, at, style, name)
        if name in _GROUPS:
            self._wrap("g", element, here, style)
        elif name in SHAPES:
            self._write(name, style, here)
            self._draw(name, element, here)
        elif name == "text":
            self._text(element, here, style)
        elif name == "image":
            self._image(element, here, style)
        elif name == "use":
            self._use(element, here, style)
        elif name == "svg":
            self._nested(element, here, style, element)
        elif name == "defs":
            self._paints(element, here)
        elif name in _PAINT:
            self._paint(element, here)

    def _entered(self, element: "Element", at: _At, style: dict[str, str], name: str) -> _At:
        layer = at.layer
        if name == "g":
            labels = [value for key, value in element.attrib.items() if local(key) in ("label", "aria-label")]
            layer = " ".join((labels[0] if labels else element.get("id") or layer).split())[:80]
        font, wide = style.get("font-size"), style.get("stroke-width")
        font_px = values.length(font, at.font_px, at.font_px) if font else at.font_px
        stroke_px = values.length(wide, at.view[0]) if wide else at.stroke_px
        matrix = at.matrix
        if "transform" in element.attrib:
            matrix = times(matrix, values.transform(element.get("transform")))
        return replace(
            at, matrix=matrix, layer=layer, fill=style.get("fill", at.fill), stroke=style.get("stroke", at.stroke),
            stroke_px=stroke_px, font_px=font_px, depth=at.depth + 1, anchor=style.get("text-anchor", at.anchor),
        )  # fmt: skip

    def _style(self, element: "Element") -> dict[str, str]:
        """Give what applies to an element itself: its attributes, then its classes, then its style."""
        found = {local(key): value for key, value in element.attrib.items()}
        style = found.pop("style", "")
        for key in [key for key, value in found.items() if values.reaches_outside(value)]:
            if "url(" in found[key].lower():
                self.left_out.add("links to other files")
            # Paint that can't be had is no paint; without the attribute it would be black.
            found[key] = "none" if key in ("fill", "stroke") else ""
        if self.rules:
            found |= values.ruled(self.rules, local(element.tag), found.get("class", ""), found.get("id", ""))
        if style:
            if values.reaches_outside(style):
                self.left_out.add("links to other files")
            found |= values.declarations(style)
        if found.get("font-family"):
            found["font-family"] = values.with_own_font(found["font-family"])
        return {key: value for key, value in found.items() if value}

    # -- writing ----------------------------------------------------------------------------------------------

    def _open(self, name: str, style: dict[str, str], *, copied: bool) -> str:
        kept = []
        for key, value in style.items():
            if key in ("class", "href", "style", "space", "base") or key.startswith("on") or not _NAME.match(key):
                continue
            if key in _REFERS or (copied and key == "id"):
                continue
            kept.append(f" {key}={quoteattr(value)}")
        return f"<{name}{''.join(kept)}"

    def _wrap(self, name: str, element: "Element", at: _At, style: dict[str, str]) -> None:
        self.out.append(self._open(name, style, copied=at.copied) + ">")
        self._inside(element, at)
        self.out.append(f"</{name}>")

    def _write(self, name: str, style: dict[str, str], at: _At) -> None:
        self.out.append(self._open(name, style, copied=at.copied) + "/>")

    def _draw(self, name: str, element: "Element", at: _At) -> None:
        if at.stroke == "none" and at.fill.lower().replace(" ", "") in _NO_INK:
            return
        self.pieces.begin(at.layer, _pen(at))
        for line in lines_of(name, element.attrib, at.matrix, at.view):
            self.pieces.line(line)

    def _use(self, element: "Element", at: _At, style: dict[str, str]) -> None:
        target = _href(element)
        if not target.startswith("#"):
            self.left_out.add("links to other files")
            return
        meant = self.by_id.get(target[1:])
        if meant is None:
            return
        x, y = values.length(element.get("x"), at.view[0]), values.length(element.get("y"), at.view[1])
        own = {k: v for k, v in style.items() if k not in ("x", "y", "width", "height", "id")}
        own["transform"] = f"{element.get('transform') or ''} translate({x:.9g} {y:.9g})".strip()
        inside = replace(at, matrix=times(at.matrix, (1, 0, 0, 1, x, y)), copied=True)
        self.out.append(self._open("g", own, copied=True) + ">")
        if local(meant.tag) in ("symbol", "svg"):
            self._parts += 1
            self._nested(meant, inside, self._style(meant), element)
        else:
            self._take(meant, inside)
        self.out.append("</g>")

    def _nested(self, element: "Element", at: _At, style: dict[str, str], sized_by: "Element") -> None:
        """Take a drawing inside the drawing: its own window onto its own coordinates."""
        x, y = (0.0, 0.0)
        if sized_by is element:
            x, y = values.length(element.get("x"), at.view[0]), values.length(element.get("y"), at.view[1])
        wide, high = (
            values.length(sized_by.get(key) or element.get(key), whole, whole)
            for key, whole in (("width", at.view[0]), ("height", at.view[1]))
        )
        box = values.numbers(element.get("viewBox") or "")
        if len(box) != 4 or box[2] <= 0 or box[3] <= 0:
            box = [0.0, 0.0, wide, high]
        fitted = fit(box, wide, high, element.get("preserveAspectRatio"))
        a, b, c, d, e, f = times((1, 0, 0, 1, x, y), fitted)
        kept = {k: v for k, v in style.items() if k not in ("x", "y", "width", "height", "viewBox", "transform", "id")}
        kept["transform"] = f"matrix({a:.9g} {b:.9g} {c:.9g} {d:.9g} {e:.9g} {f:.9g})"
        self.out.append(self._open("g", kept, copied=True) + ">")
        self._inside(element, replace(at, matrix=times(at.matrix, (a, b, c, d, e, f)), view=(box[2], box[3])))
        self.out.append("</g>")

    # -- words and pictures -----------------------------------------------------------------------------------

    def _text(self, element: "Element", at: _At, style: dict[str, str]) -> None:
        runs: list[_Run] = []
        x, y = _first(element.get("x"), at.view[0]) or 0.0, _first(element.get("y"), at.view[1]) or 0.0
        self._words(element, at, style, (x, y), runs, "text")
        for x, y, font_px, anchor, parts in runs:
            words = " ".join("".join(parts).split())
            if words:
                a, b, c, d, _, _ = at.matrix
                back = _BACK.get(anchor, 0.0) * len(words) * _LETTER * font_px
                spot = moved(at.matrix, x - back, y)
                size, turn = font_px * math.hypot(c, d), math.degrees(math.atan2(b, a))
                self.texts.append(Text(*spot, size, words[:500], turn))

    def _words(
        self, element: "Element", at: _At, style: dict[str, str], spot: Spot, runs: "list[_Run]", name: str
    ) -> None:  # fmt: skip
        self.out.append(self._open(name, style, copied=at.copied) + ">")
        runs.append((*spot, at.font_px, style.get("text-anchor", at.anchor), []))
        self._say(element.text, runs)
        for child in element:
            self._parts += 1
            if local(child.tag) == "tspan" and at.depth < _DEEPEST:
                own = self._style(child)
                own.pop("transform", None)
                font = own.get("font-size")
                inner = replace(
                    at, depth=at.depth + 1, font_px=values.length(font, at.font_px, at.font_px) if font else at.font_px
                )
                x, y = _first(child.get("x"), at.view[0]), _first(child.get("y"), at.view[1])
                dy = _first(child.get("dy"), at.view[1], inner.font_px) or 0.0
                if x is None and y is None and not dy and runs:
                    self.out.append(self._open("tspan", own, copied=at.copied) + ">")
                    self._say(child.text, runs)
                    self.out.append("</tspan>")
                else:
                    last = runs[-1]
                    at_spot = (last[0] if x is None else x, (last[1] if y is None else y) + dy)
                    self._words(child, inner, own, at_spot, runs, "tspan")
            self._say(child.tail, runs)
        self.out.append(f"</{name}>")

    def _say(self, text: str | None, runs: "list[_Run]") -> None:
        if text:
            self.out.append(escape(text))
            runs[-1][4].append(text)

    def _image(self, element: "Element", at: _At, style: dict[str, str]) -> None:
        href = _href(element)
        found = _PICTURE.match(href)
        if found is None:
            self.left_out.add("links to other files")
            return
        try:
            data = base64.b64decode("".join(href[found.end() :].split()), validate=True)
        except (binascii.Error, ValueError):
            self.left_out.add("damaged pictures")
            return
        media = "image/png" if found[1].lower() == "image/png" else "image/jpeg"
        if not READERS[media].fits(data):
            self.left_out.add("damaged pictures")
            return
        try:
            size = decode(data, READERS[media], "The picture").picture.size
        except PictureError:
            self.left_out.add("damaged pictures")
            return
        self._pixels += size[0] * size[1]
        if self._pixels > MOST_MEGAPIXELS * 1_000_000:
            says = f"the pictures in the SVG have more than {MOST_MEGAPIXELS} megapixels together."
            raise RefusedError(says, "Save only the floor plan, without what else is in the drawing.")
        kept = self._open("image", style, copied=at.copied)
        self.out.append(f'{kept} xlink:href="data:{media};base64,{base64.b64encode(data).decode("ascii")}"/>')

    # -- paint ------------------------------------------------------------------------------------------------

    def _paints(self, element: "Element", at: _At) -> None:
        for child in element:
            if local(child.tag) in _PAINT:
                self._parts += 1
                self._paint(child, at)

    def _paint(self, element: "Element", at: _At) -> None:
        if at.copied:
            return
        name, style = local(element.tag), self._style(element)
        # A clip of a clip of a clip would multiply; one alone is enough for a plan.
        style.pop("clip-path", None)
        target = _href(element)
        link = f" xlink:href={quoteattr(target)}" if target.startswith("#") and name != "clipPath" else ""
        self.out.append(self._open(name, style, copied=False) + link + ">")
        for child in element:
            self._parts += 1
            inner = local(child.tag)
            if inner in (SHAPES if name == "clipPath" else _INSIDE_PAINT):
                own = self._style(child)
                own.pop("clip-path", None)
                self._write(inner, own, at)
        self.out.append(f"</{name}>")


def _pen(at: _At) -> Pen:
    """Give what a shape is drawn with; its colour as it is written."""
    if at.stroke == "none":
        return Pen(0.0, _written(at.fill), is_area=True)
    a, b, c, d, _, _ = at.matrix
    wide = at.stroke_px * math.sqrt(abs(a * d - b * c))
    return Pen(round(wide, 2) if math.isfinite(wide) else 0.0, _written(at.stroke))


def _written(colour: str) -> str:
    """Give a colour in one way of writing: #rgb and rgb(…) as #rrggbb, names as they are."""
    text = "".join(colour.lower().split())[:40]
    if re.fullmatch(r"#[0-9a-f]{3}", text):
        return "#" + "".join(2 * sign for sign in text[1:])
    found = re.fullmatch(r"rgb\((\d+),(\d+),(\d+)\)", text)
    if found is not None:
        return "#{:02x}{:02x}{:02x}".format(*(min(255, int(part)) for part in found.groups()))
    return {"black": "#000000", "none": "#000000"}.get(text, text)


def _href(element: "Element") -> str:
    return next((value.strip() for key, value in element.attrib.items() if local(key) == "href"), "")


def _first(text: str | None, whole: float, font_px: float = 16.0) -> float | None:
    parts = (text or "").replace(",", " ").split()
    if not parts:
        return None
    if parts[0].endswith("em"):
        found = values.numbers(parts[0])
        return found[0] * font_px if found else None
    return values.length(parts[0], whole)
