"""Plan pictures of the sample homes: a tidied scan of a drawn floor plan, painted from the walls and rooms of a home.

Where everything lies on the picture follows from the drawing alone, so the scale is known without painting anything.
"""

import io
import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

import font_source_sans_pro
import numpy as np
from PIL import Image, ImageDraw, ImageFont

from circuitmap.home import Home
from circuitmap.home.assets import Asset, hash_of
from circuitmap.home.records import Fixture, Opening, Room, Storey, Wall
from circuitmap.home.verbs import add_sheet, set_scale
from circuitmap.plan import scale_from_two_points
from tests.samples.hand import Hand

if TYPE_CHECKING:
    import shapely

WIDTH_PX = 1400
_MARGIN_PX = 150
_FOOT_PX = 120
_FINE = 2  # painted so many times larger, then made smaller: soft edges as a scanner gives them
_INK, _WALL, _THIN, _FAINT = (52, 50, 47), (66, 63, 59), (112, 108, 101), (168, 162, 152)
_NAME = (84, 81, 76)
_SIZES_PX = 16
_PAPER = (249, 246, 239)

XY = tuple[float, float]


class Extra(NamedTuple):
    """What only the picture shows: "wc", "worktop" or "hatch", by the box it takes."""

    storey: str
    kind: str
    box: tuple[int, int, int, int]


class Layout(NamedTuple):
    """How a storey lies on its picture."""

    width_px: int
    height_px: int
    px_per_mm: float
    left_mm: int
    top_mm: int
    right_mm: int
    bottom_mm: int

    def px(self, x_mm: float, y_mm: float) -> XY:
        return (
            _MARGIN_PX + (x_mm - self.left_mm) * self.px_per_mm,
            _MARGIN_PX + (y_mm - self.top_mm) * self.px_per_mm,
        )


def lay_out(home: Home, storey: str) -> Layout:
    """Give where a storey lies: as wide as the sheet allows."""
    faces = [corner for wall in _walls(home, storey) for corner in _corners(wall, 0.0, math.dist(wall.a_mm, wall.b_mm))]
    xs, ys = [round(x) for x, _ in faces], [round(y) for _, y in faces]
    left, right, top, bottom = min(xs), max(xs), min(ys), max(ys)
    scale = (WIDTH_PX - 2 * _MARGIN_PX) / (right - left)
    height = round((bottom - top) * scale) + 2 * _MARGIN_PX + _FOOT_PX
    return Layout(WIDTH_PX, height, scale, left, top, right, bottom)


def bring_in(hand: Hand, stored: Mapping[str, str] | None = None, extras: Sequence[Extra] = ()) -> dict[str, Asset]:
    """Lay a picture under every storey, to scale; painted here unless the hash of a stored one is given by storey."""
    assets: dict[str, Asset] = {}
    for storey in hand.home.sorted(Storey):
        layout = lay_out(hand.home, storey.id)
        if stored is not None:
            digest = stored[storey.id]
        else:
            data = paint(hand.home, storey.id, [extra for extra in extras if extra.storey == storey.id])
            digest = hash_of(data)
            assets[digest] = ("image/png", data)
        sheet = hand.do(add_sheet(hand.home, storey.id, digest, "image/png", layout.width_px, layout.height_px))
        ends = ((layout.left_mm, layout.bottom_mm), (layout.right_mm, layout.bottom_mm))
        a, b = (layout.px(*end) for end in ends)
        scale = scale_from_two_points(a, b, layout.right_mm - layout.left_mm, origin_px=a, origin_mm=ends[0])
        length = f"{(layout.right_mm - layout.left_mm) / 1000:.2f} m"
        hand.do(set_scale(hand.home, sheet, scale, f"outside of wall to outside of wall, {length} by tape"))
    return assets


def paint(home: Home, storey: str, extras: Sequence[Extra] = ()) -> bytes:
    """Paint the picture of a storey and give it as PNG."""
    layout = lay_out(home, storey)
    brush = _Brush(layout)
    for extra in extras:
        brush.extra(extra)
    for fixture in home.sorted(Fixture):
        if fixture.place.storey == storey:
            brush.fixture(fixture)
    for wall in _walls(home, storey):
        brush.solid(wall)
    for wall in _walls(home, storey):
        for opening in wall.openings:
            brush.opening(wall, opening)
    taken = _taken(home, storey, extras)
    for room in home.sorted(Room):
        if room.storey == storey and room.outline_mm:
            brush.name(room, taken)
    brush.measure()
    brush.foot(home.take(Storey, storey).name)
    return brush.png(seed=int(storey[1:]) + len(home.details.name))


class _Brush:
    def __init__(self, layout: Layout) -> None:
        self.at = layout
        size = (layout.width_px * _FINE, layout.height_px * _FINE)
        self.image = Image.new("RGB", size, _PAPER)
        self.draw = ImageDraw.Draw(self.image)

    def p(self, x_mm: float, y_mm: float) -> XY:
        x, y = self.at.px(x_mm, y_mm)
        return x * _FINE, y * _FINE

    def line(self, points: list[XY], width: float, ink: tuple[int, int, int] = _INK) -> None:
        self.draw.line([self.p(*each) for each in points], ink, round(width * _FINE), joint="curve")

    def words(self, at: XY, text: str, size: float, weight: str = "Regular", ink: tuple[int, int, int] = _INK,
              anchor: str = "mm", turned: bool = False) -> None:  # fmt: skip
        """Write at a pixel of the picture."""
        font = _font(weight, size)
        x, y = at[0] * _FINE, at[1] * _FINE
        if not turned:
            self.draw.text((x, y), text, ink, font, anchor)
            return
        left, top, right, bottom = font.getbbox(text)
        strip = Image.new("L", (math.ceil(right - left) + 8, math.ceil(bottom - top) + 8), 0)
        ImageDraw.Draw(strip).text((4 - left, 4 - top), text, 255, font)
        strip = strip.rotate(90, expand=True)
        self.image.paste(ink, (round(x - strip.width / 2), round(y - strip.height / 2)), strip)

    # -- walls ----------------------------------------------------------------------------------------------------

    def solid(self, wall: Wall) -> None:
        gaps = [edge for o in sorted(wall.openings, key=_along) for edge in (o.along_mm, o.along_mm + o.width_mm)]
        ends = [0.0, *gaps, math.dist(wall.a_mm, wall.b_mm)]
        for start, stop in zip(ends[::2], ends[1::2], strict=True):
            self.draw.polygon([self.p(*corner) for corner in _corners(wall, start, stop)], _WALL)

    def opening(self, wall: Wall, opening: Opening) -> None:
        half = (wall.thickness_mm or 100) / 2
        start, stop = opening.along_mm, opening.along_mm + opening.width_mm
        if "window" in opening.kind:
            for out in (-half, 0.0, half):
                self.line([_on(wall, start, out), _on(wall, stop, out)], 2 if out else 1.5, _INK if out else _THIN)
            for along in (start, stop):
                self.line([_on(wall, along, -half), _on(wall, along, half)], 2)
        elif "shutter" in opening.kind:
            for out in (-half / 3, half / 3):
                self.line([_on(wall, start, out), _on(wall, stop, out)], 1.5, _THIN)
        elif "door" in opening.kind:
            leaves = [(start, stop)] if "double" not in opening.kind else [
                (start, (start + stop) / 2), (stop, (start + stop) / 2)
            ]  # fmt: skip
            for hinge, free in leaves:
                self._leaf(wall, hinge, free, half)

    def _leaf(self, wall: Wall, hinge: float, free: float, out: float) -> None:
        wide = abs(free - hinge)
        way = 1 if free > hinge else -1
        arc = [
            _on(wall, hinge + way * wide * math.cos(turn), out + wide * math.sin(turn))
            for turn in np.linspace(0, math.pi / 2, 25)
        ]
        self.line([_on(wall, hinge, out), arc[-1]], 3)
        self.line(arc, 1.2, _THIN)

    # -- what stands in rooms ---------------------------------------------------------------------------------------

    def fixture(self, fixture: Fixture) -> None:
        xs = [x for x, _ in fixture.outline_mm]
        ys = [y for _, y in fixture.outline_mm]
        x0, y0, x1, y1 = min(xs), min(ys), max(xs), max(ys)
        wide, high = x1 - x0, y1 - y0
        self._box(x0, y0, x1, y1, 1.6)
        if fixture.kind == "stair":
            self._treads(x0, y0, x1, y1)
        elif fixture.kind == "chimney":
            for n in range(1, int((wide + high) // 160)):
                a = (x0 + min(n * 160, wide), y0 + max(0, n * 160 - wide))
                b = (x0 + max(0, n * 160 - high), y0 + min(n * 160, high))
                self.line([a, b], 1, _FAINT)
        elif fixture.kind == "bath":
            self._round(x0 + 70, y0 + 70, x1 - 70, y1 - 70, 190)
            along = (x0 + wide / 2, y0 + 180) if high > wide else (x0 + 180, y0 + high / 2)
            self._dot(*along, 32)
        elif fixture.kind in ("basin", "sink"):
            self._round(x0 + 60, y0 + 60, x1 - 60, y1 - 60, 90)
            self._dot(x0 + wide / 2, y0 + high / 2, 26)
        elif fixture.kind == "tray":
            self.line([(x0, y0), (x1, y1)], 1, _FAINT)
            self.line([(x0, y1), (x1, y0)], 1, _FAINT)
        elif fixture.kind == "hob":
            for fx in (0.28, 0.72):
                for fy in (0.28, 0.72):
                    self._dot(x0 + wide * fx, y0 + high * fy, min(wide, high) * 0.17)

    def extra(self, extra: Extra) -> None:
        x0, y0, x1, y1 = extra.box
        if extra.kind == "worktop":
            self._box(x0, y0, x1, y1, 1.2)
        elif extra.kind == "wc":
            self._wc(x0, y0, x1, y1)
        else:
            self._dashed(x0, y0, x1, y1)
            x, y = self.at.px((x0 + x1) / 2, (y0 + y1) / 2)
            self.words((x, y - 9), "loft", 15, "It", _THIN)
            self.words((x, y + 8), "hatch", 15, "It", _THIN)

    def _wc(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """A cistern at the first corner, against a wall, and a bowl before it towards the other corner."""
        if abs(y1 - y0) >= abs(x1 - x0):
            deep = math.copysign(190, y1 - y0)
            self._box(x0, y0, x1, y0 + deep, 1.4)
            bowl = (x0 + 30, min(y0 + deep, y1), x1 - 30, max(y0 + deep, y1))
        else:
            deep = math.copysign(190, x1 - x0)
            self._box(x0, y0, x0 + deep, y1, 1.4)
            bowl = (min(x0 + deep, x1), y0 + 30, max(x0 + deep, x1), y1 - 30)
        self.draw.ellipse([self.p(*bowl[:2]), self.p(*bowl[2:])], None, _THIN, round(1.4 * _FINE))

    def _dashed(self, x0: float, y0: float, x1: float, y1: float) -> None:
        for a, b in (((x0, y0), (x1, y0)), ((x1, y0), (x1, y1)), ((x1, y1), (x0, y1)), ((x0, y1), (x0, y0))):
            count = round(math.dist(a, b) / 130)
            for n in range(count):
                f, g = n / count, (n + 0.55) / count
                ends = [(a[0] + (b[0] - a[0]) * each, a[1] + (b[1] - a[1]) * each) for each in (f, g)]
                self.line(ends, 1.4, _THIN)

    def _treads(self, x0: float, y0: float, x1: float, y1: float) -> None:
        upright = y1 - y0 >= x1 - x0
        count = round(max(x1 - x0, y1 - y0) / 230)
        for n in range(1, count):
            f = n / count
            if upright:
                self.line([(x0, y0 + (y1 - y0) * f), (x1, y0 + (y1 - y0) * f)], 1, _THIN)
            else:
                self.line([(x0 + (x1 - x0) * f, y0), (x0 + (x1 - x0) * f, y1)], 1, _THIN)
        x, y = (x0 + x1) / 2, (y0 + y1) / 2
        if upright:
            self.line([(x, y1 - 150), (x, y0 + 200)], 1.4)
            self.line([(x - 90, y0 + 340), (x, y0 + 200), (x + 90, y0 + 340)], 1.4)
        else:
            self.line([(x1 - 150, y), (x0 + 200, y)], 1.4)
            self.line([(x0 + 340, y - 90), (x0 + 200, y), (x0 + 340, y + 90)], 1.4)

    def _box(self, x0: float, y0: float, x1: float, y1: float, width: float) -> None:
        self.line([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)], width, _THIN)

    def _round(self, x0: float, y0: float, x1: float, y1: float, radius: float) -> None:
        box = [self.p(x0, y0), self.p(x1, y1)]
        self.draw.rounded_rectangle(box, radius * self.at.px_per_mm * _FINE, None, _THIN, round(1.4 * _FINE))

    def _dot(self, x: float, y: float, radius: float) -> None:
        box = [self.p(x - radius, y - radius), self.p(x + radius, y + radius)]
        self.draw.ellipse(box, None, _THIN, round(1.4 * _FINE))

    # -- words ------------------------------------------------------------------------------------------------------

    def name(self, room: Room, taken: "shapely.Geometry") -> None:
        """Write a room's name and size where they are clear of doors and what stands there, near its middle."""
        import shapely

        polygon = shapely.Polygon(room.outline_mm)
        x0, y0, x1, y1 = polygon.bounds
        sizes = f"{(x1 - x0) / 1000:.2f} × {(y1 - y0) / 1000:.2f}" if len(room.outline_mm) == 4 else ""
        for size, with_sizes, turned in (
            (22, True, False),
            (18, True, False),
            (18, False, False),
            (18, False, True),
            (14, False, False),
        ):
            line = sizes if with_sizes else ""
            wide = max(_wide(room.name, size), _wide(line, _SIZES_PX)) + 12
            high = 54.0 if line else 28.0
            if turned:
                wide, high = high, wide
            spot = _room_for(polygon.difference(taken), wide / self.at.px_per_mm, high / self.at.px_per_mm)
            if spot is not None:
                break
        else:
            spot, line = (polygon.centroid.x, polygon.centroid.y), ""
        x, y = self.at.px(*spot)
        self.words((x, y - (12 if line else 0)), room.name, size, "Semibold", _NAME, turned=turned)
        if line:
            self.words((x, y + 13), line, _SIZES_PX, "Regular", _THIN)

    def measure(self) -> None:
        """The one dimension line: over all, below the plan."""
        at = self.at
        (x0, y0), (x1, _) = at.px(at.left_mm, at.bottom_mm), at.px(at.right_mm, at.bottom_mm)
        y = y0 + 58
        text = f"{(at.right_mm - at.left_mm) / 1000:.2f} m"
        half = _wide(text, 22) / 2 + 14
        middle = (x0 + x1) / 2
        for a, b in (((x0, y), (middle - half, y)), ((middle + half, y), (x1, y))):
            self._px_line([a, b], 1.4)
        for x in (x0, x1):
            self._px_line([(x, y0 + 22), (x, y + 12)], 1)
            self._px_line([(x - 8, y + 8), (x + 8, y - 8)], 2.2)
        self.words((middle, y), text, 22)

    def foot(self, title: str) -> None:
        y = self.at.height_px - 78
        self.words((_MARGIN_PX, y), title, 30, "Semibold", anchor="lm")
        note = "drawn by hand and tidied; sizes in metres, inside walls"
        self.words((_MARGIN_PX, y + 34), note, 18, "It", _THIN, "lm")

    def _px_line(self, points: list[XY], width: float) -> None:
        self.draw.line([(x * _FINE, y * _FINE) for x, y in points], _INK, round(width * _FINE))

    def png(self, seed: int) -> bytes:
        small = self.image.resize((self.at.width_px, self.at.height_px), Image.Resampling.LANCZOS)
        paper = _shade(small.width, small.height, seed)
        toned = np.asarray(small, dtype=np.float32) * paper[:, :, None]
        # Few tones, so that a scan of a mostly white sheet stays a small file.
        quiet = Image.fromarray(np.clip(toned, 0, 255).astype(np.uint8)).quantize(96, Image.Quantize.MEDIANCUT)
        out = io.BytesIO()
        quiet.save(out, "PNG", optimize=True)
        return out.getvalue()


def _shade(width: int, height: int, seed: int) -> "np.ndarray[tuple[int, int], np.dtype[np.float32]]":
    """Give how bright the scanned paper is: slow blotches, a fold across the middle, a darker edge by the hinge."""
    rng = np.random.default_rng(seed)
    coarse = Image.fromarray((rng.random((7, 5)) * 255).astype(np.uint8)).resize(
        (width, height), Image.Resampling.BICUBIC
    )
    light = 1.0 - 0.016 * np.asarray(coarse, dtype=np.float32) / 255
    y = np.arange(height, dtype=np.float32)[:, None]
    x = np.arange(width, dtype=np.float32)[None, :]
    light -= 0.022 * np.exp(-((y - height * 0.497) ** 2) / 8.0)
    light -= 0.012 * np.exp(-((y - height * 0.497) ** 2) / 900.0)
    light -= 0.055 * np.exp(-x / 16.0) + 0.03 * np.exp(-y / 14.0)
    return light


def _taken(home: Home, storey: str, extras: Sequence[Extra]) -> "shapely.Geometry":
    """Give the floor that doors sweep and things stand on."""
    import shapely

    shapes = [shapely.Polygon(f.outline_mm) for f in home.sorted(Fixture) if f.place.storey == storey]
    shapes += [shapely.box(*extra.box) for extra in extras]
    for wall in _walls(home, storey):
        half = (wall.thickness_mm or 100) / 2
        for opening in wall.openings:
            if "door" in opening.kind:
                start, stop = opening.along_mm, opening.along_mm + opening.width_mm
                far = half + opening.width_mm
                sweep = (_on(wall, start, half), _on(wall, stop, half), _on(wall, stop, far), _on(wall, start, far))
                shapes.append(shapely.Polygon(sweep))
    return shapely.union_all([shape.buffer(40) for shape in shapes])


def _room_for(free: "shapely.Geometry", wide_mm: float, high_mm: float) -> XY | None:
    """Give the middle of the spot nearest the middle of some floor into which words of a size fit, or None."""
    import shapely

    x0, y0, x1, y1 = free.bounds
    middle = free.envelope.centroid
    xs, ys = np.meshgrid(np.arange(x0, x1, 60.0), np.arange(y0, y1, 60.0))
    spots = sorted(zip(xs.ravel(), ys.ravel(), strict=True), key=lambda s: math.dist(s, (middle.x, middle.y)))
    for x, y in ((middle.x, middle.y), *spots):
        box = shapely.box(x - wide_mm / 2, y - high_mm / 2, x + wide_mm / 2, y + high_mm / 2)
        if free.contains(box):
            return float(x), float(y)
    return None


def _walls(home: Home, storey: str) -> list[Wall]:
    return [wall for wall in home.sorted(Wall) if wall.storey == storey]


def _corners(wall: Wall, start: float, stop: float) -> list[XY]:
    half = (wall.thickness_mm or 100) / 2
    return [_on(wall, start, -half), _on(wall, stop, -half), _on(wall, stop, half), _on(wall, start, half)]


def _along(opening: Opening) -> int:
    return opening.along_mm


def _on(wall: Wall, along: float, out: float) -> XY:
    """A spot along a wall and out of its centre line, to the side that its doors open."""
    (ax, ay), (bx, by) = wall.a_mm, wall.b_mm
    long = math.dist(wall.a_mm, wall.b_mm)
    dx, dy = (bx - ax) / long, (by - ay) / long
    return ax + dx * along - dy * out, ay + dy * along + dx * out


def _font(weight: str, size: float) -> ImageFont.FreeTypeFont:
    files = {"Regular": "SourceSansPro", "Semibold": "SourceSansProSemibold", "It": "SourceSansProIt"}
    return ImageFont.truetype(str(getattr(font_source_sans_pro, files[weight])), round(size * _FINE))


def _wide(text: str, size: float) -> float:
    return _font("Semibold", size).getlength(text) / _FINE
