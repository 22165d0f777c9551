"""What feeds a point, and what to say to somebody who wants it off: careful words, for settled points only.

A point "stops working when A3 is off" only when that was seen in a switch-off or tested; a label, a run on the plan or
somebody's word is no answer. Every answer ends by saying that it proves nothing about safety.
"""

from collections.abc import Iterable
from typing import Final

from circuitmap.circuits.views import CircuitView, Member
from circuitmap.home.phases import is_there
from circuitmap.home.records import Check, Point, Supply, Tag
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs import describe

NOT_PROOF: Final = "This is not proof that it is safe to touch."
JOINED: Final = frozenset({"legs on two ways", "two ways joined"})
_LONGEST: Final = 120  # of a name in a sentence; only a typed essay is cut


def feeds(home: Home, circuits: Iterable[CircuitView], point_id: str) -> tuple[CircuitView, ...]:
    """Give the ways that a point is on by run, tag or switch-off; several when they disagree or are joined.

    Raises
    ------
    HomeError
        When there is no such point.
    """
    home.take(Point, point_id)
    return tuple(view for view in circuits if point_id in view.names)


def what_stops(home: Home, circuits: Iterable[CircuitView], point_id: str) -> str:
    """Give the answer to "what do I switch off for this point?", in sentences.

    Raises
    ------
    HomeError
        When there is no such point.
    """
    circuits = tuple(circuits)
    on = feeds(home, circuits, point_id)
    point = home.take(Point, point_id)
    name = _capital(describe(point, _LONGEST))
    settled = [view for view in on if is_observed(home, view, point_id)]
    says: list[str] = []
    joined = _joined(circuits, on)
    if len(on) > 1 and not _all_joined(on):
        says.append(f"What is known of {describe(point, _LONGEST)} doesn't agree: {_codes(on)}. Use the main switch.")
    elif joined:
        says.append(
            f"{name} is on ways that are joined ({', '.join(joined)}): switching one of them off leaves it, and that "
            "way's own terminal, live from the other. Treat them as one and use the main switch."
        )
    elif settled:
        says.append(f"{name} stops working when {settled[0].code} is off.")
    else:
        so_far = f" The map has it on {_codes(on)}, but that was not seen in a switch-off." if on else ""
        says.append(f"It isn't settled what feeds {describe(point, _LONGEST)}.{so_far} Use the main switch.")
    says += _also(home, circuits, on, point)
    return " ".join([*says, NOT_PROOF])


def _also(home: Home, circuits: tuple[CircuitView, ...], on: tuple[CircuitView, ...], point: Point) -> Iterable[str]:
    for view in on:
        fuse = _member(view, point.id).after_fuse
        if fuse is not None:
            yield f"{_capital(describe(fuse, _LONGEST))} stands before it and may be what made it stop."
            break
    if point.plate is not None:
        beside = (p for p in home.table(Point).values() if p.plate == point.plate and p.id != point.id)
        sharing = [p.id for p in beside if is_there(p)]
        mine = {view.device.id for view in on}
        others = [v for v in circuits if v.device.id not in mine and any(i in v.names for i in sharing)]
        known = {name for view in circuits for name in view.names}
        if others:
            yield f"Its box also holds {_codes(others)}, which stays live."
        elif any(i not in known for i in sharing):
            yield "It isn't known what else feeds its box."
    sources = dict.fromkeys(source.kind for supply in home.sorted(Supply) for source in supply.sources)
    if sources:
        yield f"There are other sources ({', '.join(sources)}), which the main switch doesn't isolate."
    if point.belongs_to:
        yield f"It belongs to {point.belongs_to}; it may be fed from another household."


def stops_with(home: Home, circuits: Iterable[CircuitView], point_id: str) -> CircuitView | None:
    """Give the one way with which a point was seen to stop; None where that is in doubt or ways are joined there.

    Raises
    ------
    HomeError
        When there is no such point.
    """
    circuits = tuple(circuits)
    on = feeds(home, circuits, point_id)
    if len(on) != 1 or _joined(circuits, on) or not is_observed(home, on[0], point_id):
        return None
    return on[0]


def is_observed(home: Home, view: CircuitView, point_id: str) -> bool:
    """Whether a point of a way was seen to stop with it: by a switch-off, or by a test that none has put in doubt."""
    member = _member(view, point_id)
    # A switch that is on the way only because its light is was not itself looked at.
    if "round" in member.by and member.evidence == "tested":
        return True
    # Somebody's test counts as long as no switch-off has left the point in doubt.
    checked = any(check.point == point_id for check in home.table(Check).values())
    return not checked and any(
        tag.target == point_id and tag.device == view.device.id and tag.evidence == "tested"
        for tag in home.table(Tag).values()
    )


def _member(view: CircuitView, point_id: str) -> Member:
    return view.members[view.names.index(point_id)]


def _all_joined(on: tuple[CircuitView, ...]) -> bool:
    ways = {view.device.id for view in on}
    return any(v.shape is not None and v.shape.kind in JOINED and ways <= set(v.shape.devices) for v in on)


def _joined(circuits: tuple[CircuitView, ...], on: tuple[CircuitView, ...]) -> list[str]:
    codes = {view.device.id: view.code for view in circuits}
    ways: dict[str, None] = {}
    for view in on:
        if view.shape is not None and view.shape.kind in JOINED:
            ways.update(dict.fromkeys(view.shape.devices))
    return [codes.get(way, way) for way in ways]


def _codes(on: Iterable[CircuitView]) -> str:
    return ", ".join(view.code for view in on)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
