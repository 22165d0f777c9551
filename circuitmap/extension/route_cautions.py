"""What is said beside a route: how deep chases may be, where joists may be drilled, what to look for before cutting.

A route is worked out from a plan. Nobody has seen into the wall; local rules and a competent person decide.
"""

import itertools
from collections.abc import Iterable, Iterator
from typing import Final

from circuitmap.design.boxes import chase_limit_mm, leaf_mm
from circuitmap.extension.costs import is_chased
from circuitmap.extension.pathing import Route
from circuitmap.extension.spots import Space
from circuitmap.extension.void_net import HOLE_MM
from circuitmap.home.records import Details
from circuitmap.plan.elevation import Behind
from circuitmap.trade import Trade

# Asbestos was in some building products until then (common practice; banned in the country's law of 1999).
_ASBESTOS_BEFORE: Final = 2000

LOOK: Final = (
    "Before anything is cut or drilled, look for cables and pipes that are there already; a detector can miss them, "
    "and what is found is live until it is proved dead."
)
SEAL: Final = (
    "Holes through walls, floors and ceilings that hold back fire are sealed again; walls between homes need care."
)
HELD: Final = (
    "Cables in trunking are held by metal that doesn't give way early in a fire, so that they can't fall across a way "
    "out (BS 7671 521.10.202, from memory)."
)
SEEN: Final = "Trunking in sight is bound by no zone; keep it off heat and damp, and where it isn't knocked."
INSULATED: Final = "In or under insulation a cable carries less: lay it over the insulation, or count with that."


def cautions(space: Space, found: Route, trade: Trade, details: Details) -> tuple[str, ...]:
    """Give what has to be said beside a route, the general last.

    Parameters
    ----------
    space
        Where it was looked for.
    found
        The route.
    trade, details
        For the figures of the home's edition and the year it was built.
    """
    kinds = {part.kind for part in found.parts}
    says = [*_chases(space, found, trade, details)] if "chase" in kinds else []
    if "joist" in kinds:
        most = space.rules.largest_hole_mm(space.structure.joist_depth_mm)
        says.append(
            f"Joists are drilled for {HOLE_MM:.0f} mm on their centre line and only where the route crosses them; one "
            f"{space.structure.joist_depth_mm:.0f} mm deep takes {most:.0f} mm at most. This is for solid timber: "
            "other joists go by their maker's rules."
        )
    if "loft" in kinds:
        says.append(INSULATED)
    if kinds & {"wall passed", "drop"}:
        says.append(SEAL)
    if kinds & {"chase", "stud"}:
        depth = trade.limit("concealed depth mm", details.edition, details.choices).value
        says.append(
            f"A cable hidden less than {depth:.0f} mm deep asks for an RCD of 30 mA; in a partition with metal parts "
            "one at any depth does."
        )
    if "trunking" in kinds:
        says += [HELD, SEEN]
    says.append(LOOK)
    if details.built_year is None or details.built_year < _ASBESTOS_BEFORE:
        says.append(
            f"Textured coatings, boards and linings put up before {_ASBESTOS_BEFORE} may hold asbestos: have them "
            "tested before anything is cut."
        )
    return tuple(says)


def _chases(space: Space, found: Route, trade: Trade, details: Details) -> Iterator[str]:
    for behind, where, ways in _chased(space, found):
        if behind.build == "unknown":
            yield f"What {where} is built of was not seen: find out before it is chased."
            continue
        leaf = leaf_mm(trade, behind.build, behind.thickness_mm, is_outer=bool(behind.outer))
        deep = [
            f"{chase_limit_mm(trade, leaf, way, details.edition, details.choices)[0]:.0f} mm {way}"
            for way in ("upright", "level")
            if way in ways
        ]
        yield (
            f"{where[0].upper()}{where[1:]}: no chase deeper into the masonry than {' and '.join(deep)}, none back to "
            "back with another."
        )


def _chased(space: Space, found: Route) -> Iterable[tuple[Behind, str, set[str]]]:
    """Give the walls that a route is chased into, each with the ways that the chases run."""
    seen: dict[str, tuple[Behind, str, set[str]]] = {}
    for a, b in itertools.pairwise(found.path):
        face = space.faces.get(a.on)
        if face is None or a.on != b.on:
            continue
        (u_a, _), (u_b, _) = face.at(a.x_mm, a.y_mm), face.at(b.x_mm, b.y_mm)
        way = "upright" if abs(u_a - u_b) < 1 else "level"
        for behind in face.behind:
            if is_chased(behind.build) and behind.from_mm <= max(u_a, u_b) and behind.to_mm >= min(u_a, u_b):
                where = space.where[face.id] if behind.wall is None else f"wall {behind.wall}"
                seen.setdefault(behind.wall or face.id, (behind, where, set()))[2].add(way)
    return seen.values()
