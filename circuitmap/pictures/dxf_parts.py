"""A DXF's model space taken apart: blocks to a depth, curves to straight pieces, solid areas, words."""

import math
from array import array
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from circuitmap.pictures.flatten import MOST_PIECES, Spot
from circuitmap.pictures.study import RefusedError, Text

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.entities.dxfgfx import DXFGraphic
    from ezdxf.entities.insert import Insert
    from ezdxf.entities.mtext import MText
    from ezdxf.entities.polygon import DXFPolygon
    from ezdxf.entities.text import Text as DxfText

MOST_PARTS: Final = 400_000
_DEEPEST: Final = 12
# A curve's chords stray from it by at most this share of its size: 2 mm at a door's swing.
_STRAY: Final = 0.002
_CURVES: Final = frozenset({"LWPOLYLINE", "POLYLINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "HELIX"})
_QUADS: Final = frozenset({"SOLID", "TRACE", "3DFACE"})
_MADE_OF_OTHERS: Final = frozenset({"DIMENSION", "ARC_DIMENSION", "LEADER", "MLINE", "MULTILEADER", "ACAD_TABLE"})
_LETTER: Final = 0.6
_LINE_STEP: Final = 5 / 3


@dataclass
class Collected:
    """What a drawing was taken apart into, in its own units (upwards)."""

    segments: "array[float]" = field(default_factory=lambda: array("d"))
    layer_of: "array[int]" = field(default_factory=lambda: array("i"))
    texts: list[Text] = field(default_factory=list)
    fill_points: "array[float]" = field(default_factory=lambda: array("d"))
    fill_starts: "array[int]" = field(default_factory=lambda: array("i"))
    left_out: set[str] = field(default_factory=set)
    _layers: dict[str, int] = field(default_factory=dict)

    @property
    def layers(self) -> tuple[str, ...]:
        """The names of the layers that hold lines."""
        return tuple(self._layers)

    @property
    def said(self) -> tuple[str, ...]:
        """What the person should know."""
        return (f"Left out of the DXF: {', '.join(sorted(self.left_out))}.",) if self.left_out else ()

    def line(self, layer: str, spots: Iterable[Spot]) -> None:
        """Take a line through several spots."""
        number = self._layers.setdefault(layer, len(self._layers))
        for (x1, y1), (x2, y2) in pairwise(spots):
            if (x1 != x2 or y1 != y2) and math.isfinite(x1 + y1 + x2 + y2):
                self.segments.extend((x1, y1, x2, y2))
                self.layer_of.append(number)
        if len(self.layer_of) > MOST_PIECES:
            raise RefusedError(f"the DXF has more than {MOST_PIECES:,} lines.", "Save only the floor plan's layers.")

    def fill(self, layer: str, spots: Sequence[Spot]) -> None:
        """Take a filled outline, whose edge counts as lines too."""
        if len(spots) > 2 and all(math.isfinite(x + y) for x, y in spots):
            self.line(layer, [*spots, spots[0]])
            self.fill_starts.append(len(self.fill_points) // 2)
            for spot in spots:
                self.fill_points.extend(spot)


def take_apart(drawing: "Drawing") -> Collected:
    """Take a drawing's model space apart, layers that are off or frozen left out."""
    from ezdxf.lldxf.const import DXFError

    found = Collected()
    hidden = {layer.dxf.name.casefold() for layer in drawing.layers if layer.is_off() or layer.is_frozen()}
    parts = 0
    waiting: list[tuple[Iterator[DXFEntity], str, int]] = [(iter(drawing.modelspace()), "", 0)]
    while waiting:
        inside, layer_above, depth = waiting[-1]
        try:
            entity = next(inside, None)
            if entity is None:
                waiting.pop()
                continue
            parts += 1
            if parts > MOST_PARTS:
                says = f"the DXF repeats its blocks into more than {MOST_PARTS:,} parts."
                raise RefusedError(says, "Save only the floor plan's layers and use that.")
            layer = str(entity.dxf.get("layer", "0"))
            if layer == "0" and layer_above:
                layer = layer_above
            if layer.casefold() in hidden or entity.dxf.get("invisible", 0):
                continue
            deeper = _take(entity, layer, found)
            if deeper is not None:
                if depth < _DEEPEST:
                    waiting.append((deeper, layer, depth + 1))
                else:
                    found.left_out.add("blocks nested too deeply")
        except (DXFError, ValueError, TypeError, AttributeError, LookupError, ArithmeticError):
            # One entity that is damaged leaves the others as they are.
            found.left_out.add("damaged parts")
    return found


def _take(entity: "DXFEntity", layer: str, found: Collected) -> "Iterator[DXFEntity] | None":
    """Take one entity; give what it is made of, when it is made of others."""
    kind = entity.dxftype()
    if kind == "LINE":
        start, end = entity.dxf.start, entity.dxf.end
        found.line(layer, ((start.x, start.y), (end.x, end.y)))
    elif kind in _CURVES:
        found.line(layer, _curve(entity))
    elif kind in _QUADS:
        _quad(entity, layer, found)
    elif kind == "HATCH":
        _hatch(entity, layer, found)  # type: ignore[arg-type]  # its type says which class it is
    elif kind in ("TEXT", "ATTRIB"):
        _text(entity, found)  # type: ignore[arg-type]  # as above
    elif kind == "MTEXT":
        _mtext(entity, found)  # type: ignore[arg-type]  # as above
    elif kind == "INSERT":
        return _block(entity, found)  # type: ignore[arg-type]  # as above
    elif kind in _MADE_OF_OTHERS:
        made_of: Iterable[DXFEntity] = entity.virtual_entities()  # type: ignore[attr-defined]  # these kinds have it
        return iter(made_of)
    elif kind in ("IMAGE", "OLE2FRAME") or kind.endswith("UNDERLAY"):
        found.left_out.add("pictures in other files")
    return None


def _block(insert: "Insert", found: Collected) -> "Iterator[DXFGraphic]":
    block = insert.block()
    if block is None:
        return
    if block.block is not None and block.block.dxf.get("flags", 0) & 4:
        found.left_out.add("drawings in other files")
        return
    yield from insert.attribs
    for single in insert.multi_insert() if insert.mcount > 1 else (insert,):
        yield from single.virtual_entities()


def _curve(entity: "DXFEntity") -> list[Spot]:
    from ezdxf.path import make_path

    path = make_path(entity)
    corners = path.control_vertices()
    if not corners:
        return []
    xs, ys = [v.x for v in corners], [v.y for v in corners]
    size = max(max(xs) - min(xs), max(ys) - min(ys))
    if not path.has_curves or size <= 0:
        return list(zip(xs, ys, strict=True))
    return [(v.x, v.y) for v in path.flattening(size * _STRAY, segments=4)]


def _quad(entity: "DXFEntity", layer: str, found: Collected) -> None:
    # Corners of SOLID and TRACE come crosswise; the library gives them in order, in world coordinates.
    corners = [(v.x, v.y) for v in entity.wcs_vertices()]  # type: ignore[attr-defined]  # SOLID, TRACE, 3DFACE have it
    if entity.dxftype() == "3DFACE":
        found.line(layer, [*corners, corners[0]])
    else:
        found.fill(layer, corners)


def _hatch(hatch: "DXFPolygon", layer: str, found: Collected) -> None:
    """Take the outlines of a solid area; lines of a hatching pattern are no walls."""
    if not hatch.dxf.get("solid_fill", 0):
        return
    from ezdxf.path import from_hatch

    for path in from_hatch(hatch):
        corners = path.control_vertices()
        size = max((abs(v.x - corners[0].x) + abs(v.y - corners[0].y) for v in corners), default=0.0)
        if size > 0:
            spots = path.flattening(size * _STRAY, segments=4) if path.has_curves else corners
            found.fill(layer, [(v.x, v.y) for v in spots])


def _text(text: "DxfText", found: Collected) -> None:
    words, size = " ".join(text.plain_text().split()), float(text.dxf.get("height", 1.0))
    is_hidden = text.dxftype() == "ATTRIB" and bool(text.dxf.get("flags", 0) & 1)
    if not words or is_hidden:
        return
    align, first, _ = text.get_placement()
    at = text.ocs().to_wcs(first)
    turn = math.radians(text.dxf.get("rotation", 0.0))
    long = len(words) * size * _LETTER * float(text.dxf.get("width", 1.0))
    name = align.name
    back = long if name.endswith("RIGHT") else long / 2 if name.endswith("CENTER") or name == "MIDDLE" else 0.0
    down = size if name.startswith("TOP") else size / 2 if name.startswith("MIDDLE") else 0.0
    x = at.x - back * math.cos(turn) + down * math.sin(turn)
    y = at.y - back * math.sin(turn) - down * math.cos(turn)
    found.texts.append(Text(x, y, size, words[:500], math.degrees(turn)))


def _mtext(text: "MText", found: Collected) -> None:
    size, turn = float(text.dxf.get("char_height", 1.0)), math.radians(text.get_rotation())
    # The library gives a list where lines are asked for one by one.
    rows = [" ".join(row.split()) for row in str(text.plain_text()).splitlines()]
    step = size * _LINE_STEP * float(text.dxf.get("line_spacing_factor", 1.0))
    point = text.dxf.get("attachment_point", 1)
    across, down = (point - 1) % 3, (point - 1) // 3
    high = size + (len(rows) - 1) * step
    at = text.dxf.insert
    for n, words in enumerate(rows):
        if not words:
            continue
        back = (0.0, 0.5, 1.0)[across] * len(words) * size * _LETTER
        below = size + n * step - (0.0, 0.5, 1.0)[down] * high
        x = at.x - back * math.cos(turn) + below * math.sin(turn)
        y = at.y - back * math.sin(turn) - below * math.cos(turn)
        found.texts.append(Text(x, y, size, words[:500], math.degrees(turn)))
