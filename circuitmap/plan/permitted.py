"""Where on a wall a cable may be hidden less than 50 mm deep: the zones of one face, with its openings cut out.

A hidden cable runs within 150 mm of the top of the wall, within 150 mm of a corner of two walls, or straight up, down
or sideways from an accessory or board, in a zone as wide or as high as that; from either side of a wall of 100 mm or
less. There is none along the skirting, and none on the slant. That a door or window ends an accessory's zone is our
own reading, the stricter one.

**Source:** regulation 522.6.6(v) as quoted, now 522.6.202; the width of an accessory's zone from memory (figure of the
On-Site Guide). Cables deeper than 50 mm, or mechanically protected, may run elsewhere; a partition with metal parts
asks for an RCD whatever the depth.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Final, Literal

from msgspec import Struct

from circuitmap.home.records import Details
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Across, Face, Hole, Stood, across, faces_on, standing_on
from circuitmap.trade import Trade

if TYPE_CHECKING:
    import shapely

Why = Literal["below the ceiling", "beside a corner", "up and down", "sideways"]
Span = tuple[float, float]

# Places are whole millimetres: what lies on a limit is within it.
ON_LIMIT_MM: Final = 0.75


class ZoneFigures(Struct, frozen=True):
    """The figures of the zones in one edition, in mm."""

    below_ceiling_mm: float
    beside_corner_mm: float
    through_mm: float


class Strip(Struct, frozen=True):
    """One zone on a face as a rectangle; ``of`` is the record that makes it, ``through`` if from the other side."""

    u0: float
    v0: float
    u1: float
    v1: float
    why: Why
    of: str = ""
    through: bool = False


class Permitted(Struct, frozen=True):
    """The zones of one face, and the openings in it."""

    face: str
    strips: tuple[Strip, ...]
    holes: tuple[Hole, ...]

    def area(self) -> "shapely.Geometry":
        """Give the zones as one area in u and v, without the openings; empty where there are none."""
        import shapely

        zones = shapely.union_all([shapely.box(s.u0, s.v0, s.u1, s.v1) for s in self.strips])
        cut = shapely.union_all([shapely.box(h.from_mm, h.sill_mm, h.to_mm, h.head_mm) for h in self.holes])
        return zones.difference(cut)

    def spans(self, upright: bool, at: float) -> list[Span]:
        """Give where a cable may run on one line: upright at so far along, or level at such a height."""
        if upright:
            zones = [(s.v0, s.v1) for s in self.strips if s.u0 - ON_LIMIT_MM <= at <= s.u1 + ON_LIMIT_MM]
            cut = [(h.sill_mm, h.head_mm) for h in self.holes if h.from_mm < at < h.to_mm]
        else:
            zones = [(s.u0, s.u1) for s in self.strips if s.v0 - ON_LIMIT_MM <= at <= s.v1 + ON_LIMIT_MM]
            cut = [(h.from_mm, h.to_mm) for h in self.holes if h.sill_mm < at < h.head_mm]
        return _without(_merged(zones), cut)

    def permits(self, upright: bool, at: float, start: float, end: float) -> bool:
        """Whether a cable may run on one line from one spot to another."""
        low, high = min(start, end), max(start, end)
        return any(a - ON_LIMIT_MM <= low and high <= b + ON_LIMIT_MM for a, b in self.spans(upright, at))


def zone_figures(trade: Trade, details: Details) -> ZoneFigures:
    """Give the figures of the home's edition, its own choices first."""
    names = ("zone below ceiling mm", "zone beside corner mm", "zone reaches through mm")
    return ZoneFigures(*(trade.limit(name, details.edition, details.choices).value for name in names))


def permitted(
    face: Face, stood: Iterable[Stood], figures: ZoneFigures, reverse: Iterable[tuple[Across, Iterable[Stood]]] = ()
) -> Permitted:
    """Give the zones of one face.

    Parameters
    ----------
    face
        The face.
    stood
        What stands on it; what has no known height gives a zone up and down only.
    figures
        Of the edition that holds.
    reverse
        The faces on the other side of its wall with what stands there: of walls thin enough its zones reach here.
    """
    length, height = face.length_mm, face.height_mm
    ceiling, corner = min(figures.below_ceiling_mm, height), min(figures.beside_corner_mm, length)
    strips = [Strip(0.0, height - ceiling, length, height, "below the ceiling")]
    # A wall that was drawn without rooms is seen without its corners.
    if face.room is not None:
        strips += [
            Strip(0.0, 0.0, corner, height, "beside a corner"),
            Strip(length - corner, 0.0, length, height, "beside a corner"),
        ]
    for each in stood:
        strips += _cross(face, each, each.u, (0.0, length), through=False)
    for other, there in reverse:
        if other.thickness_mm > figures.through_mm:
            continue
        for each in there:
            u = other.offset_mm - each.u
            if other.from_mm <= u <= other.to_mm:
                strips += _cross(face, each, u, (other.from_mm, other.to_mm), through=True)
    return Permitted(face.id, tuple(strips), face.holes)


def permitted_on(home: Home, memo: Memo, trade: Trade, storey: str) -> Mapping[str, Permitted]:
    """Give the zones of every face of a storey, by the face's id; made again only when something on it changed."""
    faces = faces_on(home, memo, trade, storey)
    stood = standing_on(home, memo, trade, storey)

    def make() -> dict[str, Permitted]:
        figures = zone_figures(trade, home.details)
        return {
            face.id: permitted(
                face,
                stood.get(face.id, ()),
                figures,
                [(other, stood.get(other.face, ())) for other in across(face, faces)],
            )
            for face in faces
        }

    return memo.get("plan.permitted", storey, (faces, stood, home.details, trade), make)


def _cross(face: Face, each: Stood, u: float, within: Span, *, through: bool) -> Sequence[Strip]:
    """Give the zones of one accessory; a door or window ends them, as nobody looks for it on the far side of that."""
    half = each.wide_mm / 2
    left, right = max(within[0], u - half), min(within[1], u + half)
    start, end, low, high = *within, 0.0, face.height_mm
    for hole in face.holes:
        if each.v is not None and hole.sill_mm < each.v < hole.head_mm:
            start, end = (max(start, hole.to_mm), end) if hole.to_mm <= u else (start, min(end, hole.from_mm))
        if each.v is not None and hole.from_mm < u < hole.to_mm:
            low, high = (max(low, hole.head_mm), high) if hole.head_mm <= each.v else (low, min(high, hole.sill_mm))
    found = [Strip(left, low, right, high, "up and down", each.record, through)] if low < high else []
    if each.v is not None and start < end:
        bottom, top = max(0.0, each.v - each.high_mm / 2), min(face.height_mm, each.v + each.high_mm / 2)
        found.append(Strip(start, bottom, end, top, "sideways", each.record, through))
    return found


def _merged(spans: Iterable[Span]) -> list[Span]:
    found: list[Span] = []
    for low, high in sorted(spans):
        if found and low <= found[-1][1] + ON_LIMIT_MM:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return found


def _without(spans: Iterable[Span], cut: Iterable[Span]) -> list[Span]:
    left = list(spans)
    for a, b in cut:
        left = [part for low, high in left for part in ((low, min(high, a)), (max(low, b), high)) if part[0] < part[1]]
    return left
