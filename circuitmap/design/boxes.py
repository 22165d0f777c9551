"""Whether a wall takes a box or a chase: the depth an accessory needs against what the wall can lose.

Boxes are named by their depth from the face of the wall. In masonry the plaster is part of it and the rest is cut; in a
stud wall the box stands in the cavity; a lined wall has its gap before the masonry. Where walls carry much, part homes
from each other or hold back fire, how deep they may be cut is for the building's own surveyor.
"""

from typing import Literal

from msgspec import Struct

from circuitmap.design.capacity import Answer, Verdict
from circuitmap.errors import PersonError
from circuitmap.trade import Choices, Trade
from circuitmap.words import Build, PointKind

Way = Literal["upright", "level"]
_COMMON = "common practice, no source"
_STEPS = (16, 25, 35, 47)  # depths that boxes are made in, mm (from memory: BS 4662; common practice)


class Fit(Struct, frozen=True, kw_only=True):
    """A box in a wall: its depth, what of it is cut into masonry, and how much may be; millimetres."""

    depth_mm: float
    verdict: Verdict
    cut_mm: float = 0.0
    may_cut_mm: float | None = None


def depth_needed_mm(trade: Trade, kind: PointKind, *, is_deep: bool = False) -> int | None:
    """Give the depth of box an accessory needs in millimetres; a deep one takes the next size. None where not known.

    **Source:** common practice, no source; sizes from memory: BS 4662.
    """
    row = trade.box(kind)
    if row is None:
        return None
    return next((step for step in _STEPS if step > row.depth_mm), row.depth_mm) if is_deep else row.depth_mm


def face_mm(trade: Trade, build: Build) -> float:
    """Give what lies before the masonry of a wall: its plaster, or the board and the gap of a lined one."""
    if build == "lined":
        return trade.size_mm("plasterboard") + trade.size_mm("lining gap")
    return trade.size_mm("plaster coat")


def leaf_mm(trade: Trade, build: Build, thickness_mm: float, *, is_outer: bool = False) -> float:
    """Give the masonry that may be cut into, without its faces: of a cavity wall one leaf, else the whole wall.

    **Source:** common practice, no source.
    """
    if is_outer and build != "concrete" and thickness_mm >= trade.size_mm("wall with a cavity from"):
        return trade.size_mm("leaf")
    return max(thickness_mm - face_mm(trade, build) - trade.size_mm("plaster coat"), 0.0)


def chase_limit_mm(trade: Trade, leaf: float, way: Way, edition: str, choices: Choices = ()) -> tuple[float, str]:
    """Give how deep masonry may be chased in millimetres, and whose rule that is: 1/3 upright, 1/6 level.

    **Source:** Approved Document A 2C30, from memory.
    """
    row = trade.limit(f"{way} chase share", edition, tuple(choices))
    return round(leaf * row.value, 1), row.source


def judge_chase(
    trade: Trade,
    build: Build,
    thickness_mm: float | None,
    depth_mm: float,
    *,
    way: Way,
    edition: str,
    is_outer: bool = False,
    is_back_to_back: bool = False,
    choices: Choices = (),
) -> Verdict:
    """Say whether a chase of some depth, its plaster included, may be cut into a wall.

    One third of the leaf upright, one sixth level, none back to back.

    **Source:** Approved Document A 2C30, from memory.

    Parameters
    ----------
    depth_mm
        From the face of the plaster.
    is_back_to_back
        Whether another chase or box lies behind this one in the other face.

    Raises
    ------
    PersonError
        When the depth isn't above zero.
    """
    _above_zero(depth_mm)
    chosen = tuple(choices)
    if build in ("stud", "lined"):
        return Verdict(answer="yes", says="This wall needs no chase: the cable goes behind its board.", source=_COMMON)
    if build == "unknown" or thickness_mm is None:
        what = "what the wall is made of" if build == "unknown" else "how thick the wall is"
        says = f"How deep a chase may be can't be told: {what} isn't known."
        return Verdict(answer="can't judge", says=says, source=_COMMON)
    leaf = leaf_mm(trade, build, thickness_mm, is_outer=is_outer)
    most, source = chase_limit_mm(trade, leaf, way, edition, chosen)
    cut = max(depth_mm - trade.size_mm("plaster coat"), 0.0)
    if is_back_to_back and cut:
        says = "Chases must not lie back to back: shift one of them."
        return Verdict(answer="no", says=says, source=source)
    answer: Answer = "yes" if cut <= most else "no"
    says = f"{cut:.0f} mm would be cut out of {leaf:.0f} mm of masonry; {way}, {most:g} mm is the most."
    return Verdict(answer=answer, says=says, source=source)


def judge_box(
    trade: Trade,
    kind: PointKind,
    build: Build,
    thickness_mm: float | None,
    *,
    edition: str,
    depth_mm: float | None = None,
    is_deep: bool = False,
    is_outer: bool = False,
    behind_mm: float = 0.0,
    choices: Choices = (),
) -> Fit:
    """Say whether a wall takes the box of an accessory, with another box behind it or not.

    Beyond a third of a leaf, but with enough masonry left behind, it is for the person to judge: a box is short, and a
    chase is what the third is said of.

    **Source:** common practice, no source; the third from memory: Approved Document A 2C30.

    Parameters
    ----------
    thickness_mm
        Of the whole wall, its plaster or boards included; None where nobody measured.
    depth_mm
        Of the box that is meant; what the accessory needs when None.
    is_deep
        Whether the accessory is one that wants more room than others of its kind.
    is_outer
        Whether out of doors is behind the wall.
    behind_mm
        The depth of a box at the same place in the other face; 0 for none.

    Raises
    ------
    PersonError
        When a depth isn't sensible.
    """
    needed = depth_needed_mm(trade, kind, is_deep=is_deep)
    if depth_mm is not None:
        _above_zero(depth_mm)
    if needed is None and depth_mm is None:
        says = f"What box a {trade.point(kind).title} needs is in none of the tables; its maker says."
        return Fit(depth_mm=0.0, verdict=Verdict(answer="can't judge", says=says, source=_COMMON))
    depth = depth_mm if depth_mm is not None else float(needed or 0)
    if needed is not None and depth < needed:
        says = f"A {trade.point(kind).title} wants a box {needed} mm deep, and {depth:g} mm is meant."
        return Fit(depth_mm=depth, verdict=Verdict(answer="no", says=says, source=_COMMON))
    if build == "unknown" or thickness_mm is None:
        what = "what the wall is made of" if build == "unknown" else "how thick the wall is"
        says = f"The box is {depth:g} mm deep; whether the wall takes it can't be told: {what} isn't known."
        return Fit(depth_mm=depth, verdict=Verdict(answer="can't judge", says=says, source=_COMMON))
    if build == "stud":
        return _in_stud(trade, thickness_mm, depth, behind_mm)
    return _in_masonry(trade, build, thickness_mm, depth, behind_mm, edition, tuple(choices), is_outer=is_outer)


def _in_stud(trade: Trade, thickness_mm: float, depth: float, behind_mm: float) -> Fit:
    board = trade.size_mm("plasterboard")
    room = thickness_mm - (behind_mm if behind_mm else board)
    answer: Answer = "yes" if depth <= room else "no"
    other = "the box behind it" if behind_mm else "the board of the other face"
    says = f"The box is {depth:g} mm deep; up to {other} there are {max(room, 0.0):.0f} mm."
    return Fit(depth_mm=depth, verdict=Verdict(answer=answer, says=says, source=_COMMON))


def _in_masonry(
    trade: Trade, build: Build, thickness_mm: float, depth: float, behind_mm: float, edition: str,
    choices: Choices, *, is_outer: bool,
) -> Fit:  # fmt: skip
    leaf = leaf_mm(trade, build, thickness_mm, is_outer=is_outer)
    before = face_mm(trade, build)
    cut = max(depth - before, 0.0)
    other = max(behind_mm - trade.size_mm("plaster coat"), 0.0)
    left = leaf - cut - other
    keep = trade.size_mm("left behind a box")
    may, source = chase_limit_mm(trade, leaf, "upright", edition, choices)
    answer: Answer = "yes"
    says = f"The box is {depth:g} mm deep: {cut:.0f} mm are cut out of {leaf:.0f} mm of masonry."
    if cut and left < keep:
        answer = "no"
        behind = f" and the {behind_mm:g} mm box behind it" if behind_mm else ""
        says = (
            f"A box {depth:g} mm deep{behind} would leave {max(left, 0.0):.0f} mm of masonry; {keep:g} mm is the least."
        )
    elif cut and behind_mm and cut + other > may:
        answer = "can't judge"
        says += f" With the box behind it {left:.0f} mm are left; shift one of the two where that can be done."
    elif cut > may:
        answer = "can't judge"
        says += f" That is more than a third ({may:g} mm): look at the wall before it is cut."
    return Fit(depth_mm=depth, cut_mm=cut, may_cut_mm=may, verdict=Verdict(answer=answer, says=says, source=source))


def _above_zero(depth_mm: float) -> None:
    if not 0 < depth_mm <= 1000:
        raise PersonError(f"A depth of {depth_mm:g} mm can't be; give one above zero, in millimetres.")
