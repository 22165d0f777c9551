"""The DXF pen: marks in, entities on layers out; the third pen for the same marks.

Lengths are millimetres of the plan, y upwards as CAD has it. Symbols are blocks, words are plain texts in which nothing
that was typed is taken for a code. What takes its layer's colour follows it when that is changed.

**Source:** DXF reference (AC1024, R2010): units, lineweights and the codes in texts, from memory; checked with ezdxf.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from io import StringIO
from typing import TYPE_CHECKING, Final

from circuitmap.drawing.marks import Area, Glyph, Ink, Line, Mark, PointMm, Words
from circuitmap.drawing.palette import colour
from circuitmap.drawing.paths import Path, Point, sampled
from circuitmap.drawing.standing import REFERENCE_ZOOM
from circuitmap.drawing.states import Part, glyph_parts
from circuitmap.drawing.typed import one_line

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.hatch import Hatch
    from ezdxf.entities.insert import Insert
    from ezdxf.layouts.base import BaseLayout

MM_PER_PX: Final = 1 / REFERENCE_ZOOM
_VERSION: Final = "R2010"
_BYLAYER: Final = 256
_AUTO: Final = 7  # black on white and white on black
_CAPS: Final = 0.66  # how high a capital of our font is, in sizes
_MM_PER_PX_DRAWN: Final = 0.25
_WEIGHTS: Final = (0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100)
_ROUND: Final = frozenset({"", "settled"})  # states that turn with their symbol
_STYLE: Final = "Plan"
_FORBIDDEN: Final = re.compile(r'[<>/\\":;?*|=`,\x00-\x1f\x7f]')
_LONGEST_NAME: Final = 80
_PIECES: Final = 6


class DxfPen:
    """Draws marks into one DXF drawing; made for one drawing and thrown away."""

    def __init__(self) -> None:
        from ezdxf import units
        from ezdxf.filemanagement import new

        self._doc: Drawing = new(_VERSION, units=units.MM)
        self._doc.header["$MEASUREMENT"] = 1  # metric
        self._doc.styles.add(_STYLE, font="SourceSansPro-Regular.ttf")
        self._space = self._doc.modelspace()
        self._layers: dict[str, str] = {}  # as asked for: as it is called
        self._roles: dict[str, str] = {"0": "ink"}
        self._blocks: dict[tuple[object, ...], str] = {}
        self._dashes: dict[tuple[float, ...], str] = {}

    def layer(self, name: str, role: str = "ink", says: str = "") -> str:
        """Give the layer of a name, made with the colour of a role if it isn't there; what DXF forbids is left out."""
        if name in self._layers:
            return self._layers[name]
        plain = " ".join(_FORBIDDEN.sub(" ", one_line(name, _LONGEST_NAME)).split()) or "Layer"
        taken = {each.casefold() for each in self._layers.values()} | {"0", "defpoints"}
        called, count = plain, 1
        while called.casefold() in taken:
            count += 1
            called = f"{plain} ({count})"
        made = self._doc.layers.add(called, color=_AUTO)
        if role != "ink":
            made.rgb = _rgb(colour(role))
        if says:
            made.description = _FORBIDDEN.sub(" ", one_line(says, _LONGEST_NAME))
        self._layers[name], self._roles[called] = called, role
        return called

    def draw(self, mark: Mark, layer: str, shift: PointMm = (0.0, 0.0), facts: Mapping[str, str] | None = None) -> None:
        """Draw a mark on a layer, moved on the plan; what is drawn later lies on top.

        Parameters
        ----------
        facts
            What a symbol carries as attributes that aren't shown.
        """
        match mark:
            case Area():
                self._area(mark, layer, shift)
            case Line():
                self._line(mark.pts, mark.ink, layer, shift, closed=mark.closed)
            case Glyph():
                insert = self._glyph(mark, layer, shift)
                for tag, words in (facts or {}).items():
                    fact = insert.add_attrib(tag, plain_text(words), insert.dxf.insert)
                    fact.is_invisible = True
                    fact.dxf.layer, fact.dxf.style, fact.dxf.height = layer, _STYLE, MM_PER_PX
            case Words() if mark.from_zoom <= REFERENCE_ZOOM:
                self._words(mark, layer, shift)
            case _:
                pass

    def text(self, words: str, at: PointMm, layer: str, size_px: float = 13.0, role: str = "ink") -> None:
        """Write one line of words of our own, starting at a place."""
        self._words(Words("label", words, at, role, size_px), layer, (0.0, 0.0), limit=300)

    def written(self, title: str) -> bytes:
        """Give the drawing as a file, the same bytes for the same marks."""
        from ezdxf._options import options

        self._doc.header.custom_vars.append("Title", one_line(title, 160))
        self._doc.ezdxf_metadata()["CREATED_BY_EZDXF"] = "circuitmap"  # without the moment
        self._space.reset_extents(*self._extent())
        out = StringIO()
        was = options.write_fixed_meta_data_for_testing
        options.write_fixed_meta_data_for_testing = True  # or the moment of writing would stand in the file
        try:
            self._doc.write(out)
        finally:
            options.write_fixed_meta_data_for_testing = was
        return out.getvalue().encode(self._doc.output_encoding, errors="dxfreplace")

    def _extent(self) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
        from ezdxf.entities.lwpolyline import LWPolyline

        spots = [spot for each in self._space if isinstance(each, LWPolyline) for spot in each.get_points("xy")]
        spots += [each.dxf.insert.vec2 for each in self._space.query("INSERT TEXT")]
        xs, ys = [float(x) for x, _ in spots] or [0.0], [float(y) for _, y in spots] or [0.0]
        return (min(xs), min(ys), 0.0), (max(xs), max(ys), 0.0)

    def _colours(self, role: str, layer: str) -> dict[str, int]:
        """Give the colour attributes of a role on a layer."""
        if role == self._roles.get(layer):
            return {"color": _BYLAYER}
        if role == "ink":
            return {"color": _AUTO}
        red, green, blue = _rgb(colour(role))
        return {"color": _AUTO, "true_color": red << 16 | green << 8 | blue}

    def _area(self, area: Area, layer: str, shift: PointMm) -> None:
        rings = [[_up(point, shift) for point in ring] for ring in area.rings if len(ring) > 2]
        if not rings:
            return
        if area.fill not in ("paper", "room"):
            hatch = _filled(self._space, {"layer": layer, **self._colours(area.fill, layer)})
            if area.opacity < 1:
                hatch.transparency = 1 - area.opacity
            for ring in rings:
                hatch.paths.add_polyline_path(ring, is_closed=True)
        if area.edge is not None:
            for outline in area.rings:
                self._line(outline, area.edge, layer, shift, closed=True)

    def _line(self, pts: Sequence[PointMm], ink: Ink, layer: str, shift: PointMm, *, closed: bool) -> None:
        if len(pts) < 2:
            return
        facts = {"layer": layer, "lineweight": _weight(ink.width_px), **self._colours(ink.role, layer)}
        if ink.dash:
            facts |= {"linetype": self._dash(ink.dash)}
        self._space.add_lwpolyline([_up(point, shift) for point in pts], close=closed, dxfattribs=facts)

    def _words(self, words: Words, layer: str, shift: PointMm, *, limit: int = 60) -> None:
        from ezdxf.enums import TextEntityAlignment as Aligned

        said = plain_text(one_line(words.text, limit))
        if not said:
            return
        x, y = words.at_mm
        dx, dy = words.offset_px
        spot = _up((x + dx * MM_PER_PX, y + dy * MM_PER_PX), shift)
        anchors = {"start": Aligned.MIDDLE_LEFT, "middle": Aligned.MIDDLE_CENTER, "end": Aligned.MIDDLE_RIGHT}
        facts = {"layer": layer, "style": _STYLE, **self._colours(words.role, layer)}
        made = self._space.add_text(said, height=words.size_px * MM_PER_PX * _CAPS, dxfattribs=facts)
        made.set_placement(spot, align=anchors[words.anchor])

    def _glyph(self, glyph: Glyph, layer: str, shift: PointMm) -> "Insert":
        turns = glyph.state in _ROUND
        size = glyph.size_px * MM_PER_PX / 100
        facts = {"layer": layer, "xscale": size, "yscale": size, "rotation": -glyph.turn_deg if turns else 0.0}
        return self._space.add_blockref(self._block(glyph, layer, turns), _up(glyph.at_mm, shift), dxfattribs=facts)

    def _block(self, glyph: Glyph, layer: str, turns: bool) -> str:
        by_layer = glyph.role == self._roles.get(layer)
        key = (glyph.symbol, glyph.state, 0.0 if turns else glyph.turn_deg, glyph.role, glyph.also, by_layer)
        if key not in self._blocks:
            plain = _FORBIDDEN.sub(" ", glyph.symbol.replace("×", "x"))
            name = f"{plain} {len(self._blocks) + 1}"
            block = self._doc.blocks.new(name)
            upright = Glyph(glyph.layer, glyph.symbol, glyph.at_mm, 0.0, glyph.state, glyph.role, 100.0, glyph.also)
            for part in glyph_parts(upright if turns else glyph):
                self._part(block, part, layer)
            self._blocks[key] = name
        return self._blocks[key]

    def _part(self, block: "BaseLayout", part: Part, layer: str) -> None:
        """Draw a part into a block; what is only paper, to keep lines off a symbol, is left to the drawing's ground."""
        lines = [_placed(outline, part) for outline in _outlines(part.path)]
        if part.fill and part.fill != "paper":
            hatch = _filled(block, {"layer": "0", **self._colours(part.fill, layer)})
            for spots, _ in lines:
                if len(spots) > 2:
                    hatch.paths.add_polyline_path(spots, is_closed=True)
        if part.stroke and part.stroke != "paper":
            facts = {"layer": "0", "lineweight": _weight(part.width / 5), **self._colours(part.stroke, layer)}
            for spots, closed in lines:
                if len(spots) > 1:
                    block.add_lwpolyline(spots, close=closed, dxfattribs=facts)

    def _dash(self, dash: tuple[float, ...]) -> str:
        if dash not in self._dashes:
            name = f"Dash {len(self._dashes) + 1}"
            lengths = [each * MM_PER_PX * (-1 if n % 2 else 1) for n, each in enumerate(dash)]
            self._doc.linetypes.add(name, [sum(map(abs, lengths)), *lengths], description=" ".join(map(str, dash)))
            self._dashes[dash] = name
        return self._dashes[dash]


def plain_text(words: str) -> str:
    """Give words that a reader of DXF takes for themselves.

    Two per-cent signs begin a code, a caret a control character, a backslash before U or M a letter by number.
    """
    said = words.replace("%%", "%\u200b%").replace("^", "^ ")
    return re.sub(r"\\(?=[UMum]\+)", "\\\\\u200b", said)


def _filled(space: "BaseLayout", facts: Mapping[str, object]) -> "Hatch":
    hatch = space.add_hatch(dxfattribs=dict(facts))
    hatch.update_dxf_attribs(dict(facts))  # adding one gives it a colour of its own
    return hatch


def _up(point: PointMm, shift: PointMm) -> tuple[float, float]:
    """Give a place of the plan, moved, with y upwards; to a thousandth of a millimetre, and never minus nothing."""
    return round(point[0] + shift[0], 3) + 0.0, round(-(point[1] + shift[1]), 3) + 0.0


def _outlines(path: Path) -> Iterable[tuple[tuple[Point, ...], bool]]:
    """Cut a path where the pen is lifted; whether each piece is closed stands beside it."""
    piece: list[tuple[str, tuple[float, ...]]] = []
    for step in (*path, ("M", ())):
        if step[0] == "M" and piece:
            spots = sampled(tuple(piece), _PIECES)
            closed = piece[-1][0] == "Z"
            yield spots[:-1] if closed and len(spots) > 1 and spots[0] == spots[-1] else spots, closed
            piece = []
        piece.append(step)


def _placed(outline: tuple[tuple[Point, ...], bool], part: Part) -> tuple[list[tuple[float, float]], bool]:
    from math import cos, radians, sin

    spots, closed = outline
    turned = radians(part.turn_deg)
    c, s = cos(turned), sin(turned)
    return [_up((x * c - y * s + part.dx, x * s + y * c + part.dy), (0.0, 0.0)) for x, y in spots], closed


def _weight(width_px: float) -> int:
    wanted = width_px * _MM_PER_PX_DRAWN * 100
    return min(_WEIGHTS, key=lambda each: abs(each - wanted))


def _rgb(hex_colour: str) -> tuple[int, int, int]:
    return int(hex_colour[1:3], 16), int(hex_colour[3:5], 16), int(hex_colour[5:7], 16)
