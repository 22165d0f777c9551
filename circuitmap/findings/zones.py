"""Rules of places near water: sockets and switches too near a bath or shower, or a sink, basin or hob."""

from collections.abc import Iterable, Iterator
from typing import Final

from circuitmap.findings.finding import Finding
from circuitmap.findings.rule import CP, Rule, WaterCase, found
from circuitmap.findings.say import agrees, capital, listed, say_point
from circuitmap.home.records import Fixture, Place, Point
from circuitmap.plan.fixtures import level_distance_mm, outline_of
from circuitmap.plan.zones import WET, Zone, figures_of, from_zone_1_mm, zone_at, zones_in
from circuitmap.quantities.show import show_length
from circuitmap.trade import Trade
from circuitmap.words import Evidence, Severity

# Plans drawn to sell a home are some 5 to 10 % out (common practice, no source): so near a limit only a tape can tell.
_SURE: Final = 0.9
# These are often worked by a cord where there is water, and the map may not say so.
_BY_CORD: Final = frozenset(("switch", "isolator", "double-pole switch"))
_SWITCHING: Final = frozenset(("fused unit",))
_BESIDE: Final = frozenset(("basin", "sink", "hob"))
_UNDER_WORKTOP: Final = frozenset(("appliance outlet",))
# A worktop with its upstand hides what is this far below the top that was assumed.
_WORKTOP_MM: Final = 50.0
_OVER_HOB_MM: Final = 20.0


def _socket(case: WaterCase, trade: Trade) -> Iterator[Finding]:
    zones = _zones(case, trade)
    if not zones:
        return
    limit_mm = trade.limit("socket from zone 1 m", case.details.edition, case.details.choices).value * 1000
    near: list[tuple[Point, float]] = []
    doubtful: list[tuple[Point, float]] = []
    for point, place in zip(case.points, case.places, strict=True):
        if not trade.point(point.kind).is_socket_outlet:
            continue
        away = from_zone_1_mm(zones, place.x_mm, place.y_mm)
        if away is None or away >= limit_mm:
            continue
        (near if away <= _SURE * limit_mm else doubtful).append((point, away))
    why = "Bare and wet, a person conducts several times as well; a lead from a socket brings mains within reach."
    settle = "Measure it level from the limit of zone 1, then move the socket or put a shaver unit in its place."
    evidence = _evidence(zones)
    about = "about " if evidence == "inferred" else ""
    if near:
        least = min(away for _, away in near)
        nearest = "in zone 1 itself" if least == 0 else f"{about}{show_length(least)} from zone 1"
        says = (
            f"{_named(case, near)} {agrees(near, 'is', 'are')} too near the {_tub(case)}, "
            f"{agrees(near, '', 'the nearest ')}{nearest}: edition {case.details.edition} keeps sockets "
            f"{limit_mm / 1000:g} m away."
        )
        yield found("zone-socket", "C2", _ids(near), says, why, settle, evidence)
    if doubtful:
        least = min(away for _, away in doubtful)
        says = (
            f"{_named(case, doubtful)} {agrees(doubtful, 'comes', 'come')} out at {show_length(least)} from zone 1 of "
            f"the {_tub(case)} on the plan; {limit_mm / 1000:g} m is asked for, too near to tell from a plan."
        )
        yield found("zone-socket", "note", _ids(doubtful), says, why, "Measure it on site.", evidence)


def _switch(case: WaterCase, trade: Trade) -> Iterator[Finding]:
    zones = _zones(case, trade)
    if not zones:
        return
    width_mm = figures_of(trade, case.details).width_mm
    seen: dict[tuple[Severity, int, str], list[tuple[Point, Place]]] = {}
    for point, place in zip(case.points, case.places, strict=True):
        row = trade.point(point.kind)
        is_switch = row.is_control or point.kind in _SWITCHING
        if (not is_switch and point.kind != "shaver unit") or point.switching == "cord":
            continue
        inside = zone_at(zones, place.x_mm, place.y_mm, place.height_mm)
        if inside is None or (point.kind == "shaver unit" and inside.zone.number == 2):
            continue
        conditions = []
        if inside.if_below_mm is not None:
            conditions.append(f"if it is below {inside.if_below_mm / 1000:.2f} m")
        if point.kind in _BY_CORD and not point.switching:
            conditions.append("unless it is worked by a cord")
        away = from_zone_1_mm(zones, place.x_mm, place.y_mm) or 0.0
        sure = not conditions and away <= _SURE * width_mm
        number = inside.zone.number
        code: Severity = ("C2" if sure else "FI") if number < 2 else ("C3" if sure else "note")
        seen.setdefault((code, number, ", ".join(conditions)), []).append((point, place))
    for (code, number, if_so), those in seen.items():
        says = f"{_named(case, those)} {agrees(those, 'is', 'are')} in zone {number} of the {_tub(case)}"
        says += f", {if_so}." if if_so else "."
        why = "There accessories are splashed and worked with wet hands; switches belong outside, or on a cord."
        settle = "Look at its height, how it is worked and its distance; then a cord switch, or a place outside."
        yield found("zone-switch", code, _ids(those), says, why, settle, _evidence(zones))


def _sink(case: WaterCase, trade: Trade) -> Iterator[Finding]:
    beside = [fixture for fixture in case.fixtures if fixture.kind in _BESIDE]
    limit_mm = trade.limit("socket from sink m", case.details.edition, case.details.choices).value * 1000
    near: list[tuple[Point, float]] = []
    kinds: dict[str, None] = {}
    assumed = False
    unknown = False
    for point, place in zip(case.points, case.places, strict=True):
        row = trade.point(point.kind)
        if point.kind in _UNDER_WORKTOP or not (row.is_socket_outlet or row.is_control or point.kind in _SWITCHING):
            continue
        for fixture in beside:
            away = _beside_mm(fixture, place, trade)
            # The cooker's own switch belongs beside the hob, only not over it.
            reach = limit_mm if row.is_socket_outlet or fixture.kind != "hob" else _OVER_HOB_MM
            if away is not None and away < reach:
                near.append((point, away))
                kinds[fixture.kind] = None
                assumed = assumed or not outline_of(fixture, trade)[1]
                unknown = unknown or place.height_mm is None
                break
    if near:
        about = "about " if assumed else ""
        least = min(away for _, away in near)
        says = (
            f"{_named(case, near)} {agrees(near, 'is', 'are')} {about}{show_length(least)} from the edge of the "
            f"{' or '.join(kinds)}, nearer than the customary {limit_mm / 1000:g} m"
            f"{', if above its top' if unknown else ''}."
        )
        yield found("socket-sink", "note", _ids(near), says, "Splashes reach it, and leads hang over water or heat.",
                    "Worth moving when the worktop is next done.", "inferred" if assumed else "seen")  # fmt: skip


def _zones(case: WaterCase, trade: Trade) -> tuple[Zone, ...]:
    wet = [fixture for fixture in case.fixtures if fixture.kind in WET]
    return zones_in(case.room, wet, trade, figures_of(trade, case.details)) if wet and case.points else ()


def _beside_mm(fixture: Fixture, place: Place, trade: Trade) -> float | None:
    """Give how far a place is from a fixture's edge, measured level; None for what is below its top."""
    top = fixture.top_mm if fixture.top_mm is not None else trade.fixture(fixture.kind).top_mm
    if place.height_mm is not None and place.height_mm < top - _WORKTOP_MM:
        return None
    return level_distance_mm(outline_of(fixture, trade)[0], place.x_mm, place.y_mm)


def _evidence(zones: Iterable[Zone]) -> Evidence:
    return "inferred" if any(zone.assumed for zone in zones if zone.number > 0) else "seen"


def _tub(case: WaterCase) -> str:
    kinds = {"bath" if fixture.kind == "bath" else "shower" for fixture in case.fixtures if fixture.kind in WET}
    return " and ".join(sorted(kinds))


def _named(case: WaterCase, those: Iterable[tuple[Point, object]]) -> str:
    return capital(listed(say_point(point, case.room) for point, _ in those))


def _ids(those: Iterable[tuple[Point, object]]) -> tuple[str, ...]:
    return tuple(point.id for point, _ in those)


RULES = (
    Rule("zone-socket", "water", "Socket too near a bath or shower", "C2/note",
         "A lead brings mains within reach of somebody bare and wet.",
         "BS 7671 701.512.3: 3 m up to 18th+A1, as quoted; 2.5 m from A2:2022, from memory", "by edition", "water", _socket),
    Rule("zone-switch", "water", "Switch in a zone of a bath or shower", "C2/C3/FI/note",
         "Accessories are splashed there and worked with wet hands.",
         "BS 7671 701.32, as quoted; 701.512.3, from memory", "17th", "water", _switch),
    Rule("socket-sink", "water", "Socket or switch close to a sink, basin or hob", "note", "A custom, not a rule.",
         "On-Site Guide, NHBC Standards 8.1, from memory; " + CP, "any", "water", _sink),
)  # fmt: skip
