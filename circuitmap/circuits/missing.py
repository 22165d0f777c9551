"""What a way's map lacks, in words; and when that leaves its shape open to anything."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from circuitmap.circuits.gather import Claim
from circuitmap.home.records import Point, Run, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs import describe
from circuitmap.trade import Trade
from circuitmap.wiring import Piece, Shape, Untraced

# Kinds that rest on nothing more being there: a point that is fed but not traced leaves them open.
_RESTS_ON_ABSENCE = frozenset({"radial", "branched radial", "one point only", "open ring"})


@dataclass(frozen=True, slots=True)
class Missing:
    """Something not traced yet: where, how many cables (None: not known), and a sentence."""

    at: str
    cables: int | None
    says: str


def missing_of(
    home: Home, device: str, shape: Shape | None, claims: Iterable[Claim], traced: frozenset[str], trade: Trade
) -> tuple[Missing, ...]:
    """Give what has not been traced at a way, in natural order: cables over, ends not counted, points without runs."""
    code = home.code(device)
    found = [_untraced(home, each) for each in shape.untraced] if shape is not None else []
    apart = [claim.target for claim in claims if claim.target not in traced and _hangs_on_a_run(home, claim, trade)]
    if shape is None:
        if apart:
            found.append(Missing(device, None, f"No runs are drawn at {code}; how its points are joined isn't known."))
    else:
        found += [
            Missing(i, None, f"{_capital(_name(home, i))} is on {code}, but no run from there leads to it.")
            for i in apart
        ]
    return tuple(sorted(found, key=lambda each: natural_key(each.at)))


def judged(home: Home, shape: Shape, claims: Iterable[Claim], traced: frozenset[str], trade: Trade) -> Shape:
    """Give a shape as it stands once the points known to be on its way without runs are thought of.

    A loop stays what it is, and so does a break that was seen or tested; what rests on counts alone does not.
    """
    if shape.kind not in _RESTS_ON_ABSENCE or shape.loose or shape.open_runs:
        return shape
    apart = [claim.target for claim in claims if claim.target not in traced and _may_pass_on(home, claim, trade)]
    if not apart:
        return shape
    return replace(
        shape,
        kind="not known enough",
        loop=(),
        loop_runs=(),
        spurs=(),
        gap=None,
        crosses=(),
        absence=None,
        untraced=(*shape.untraced, *(Untraced(point, None) for point in apart)),
    )


def traced_by(piece: Piece | None) -> frozenset[str]:
    """Give all that the runs of a piece lead to, drops and strappers included."""
    if piece is None:
        return frozenset()
    hung = {end.at for run in piece.drops for end in (run.a, run.b) if end.at is not None}
    return frozenset(hung | {record.id for record in (*piece.points, *piece.boards)})


def _untraced(home: Home, each: Untraced) -> Missing:
    where = _name(home, each.at)
    if each.run is not None:
        run = home.find(Run, each.run)
        cable = f" ({run.cable})" if run is not None and run.cable else ""
        return Missing(each.at, each.cables, f"Nobody followed {each.run}{cable} from {where} to its other end.")
    if each.cables is None:
        return Missing(each.at, None, f"Nobody counted the cables at {where}, so the feed may go on from there.")
    more = "1 cable more was" if each.cables == 1 else f"{each.cables} cables more were"
    return Missing(each.at, each.cables, f"{more} seen at {where} than there are runs drawn.")


def _hangs_on_a_run(home: Home, claim: Claim, trade: Trade) -> bool:
    point = home.find(Point, claim.target)
    return point is None or not trade.point(point.kind).is_control


def _may_pass_on(home: Home, claim: Claim, trade: Trade) -> bool:
    point = home.find(Point, claim.target)
    if point is None:
        return False
    row = trade.point(point.kind)
    return row.can_pass and not row.is_control


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _name(home: Home, record_id: str) -> str:
    return home.code(record_id) if record_id[0] == "D" else describe(home.get(record_id))
