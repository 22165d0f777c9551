"""Where a point stands in a bathroom, in words: help while placing; what it means is for the findings to say."""

from circuitmap.desk.adapter import Adapter
from circuitmap.home.records import Point
from circuitmap.plan import bathroom_zones, place_of, room_of, zone_at
from circuitmap.plan.zones import from_zone_1_mm
from circuitmap.quantities.show import show_length

_NEAR_MM = 6000.0


def zone_words(adapter: Adapter, point: Point) -> str:
    """Say which bathroom zone a point is in, up to which height; or how far it is from zone 1 in the same room."""
    home = adapter.home
    place = place_of(home, point)
    if place is None:
        return ""
    zones = bathroom_zones(home, adapter.memo, adapter.trade, place.storey)
    if not zones:
        return ""
    found = zone_at(zones, place.x_mm, place.y_mm, place.height_mm)
    if found is None:
        room = room_of(home, adapter.memo, point)
        here = [zone for zone in zones if room is not None and zone.room == room.id]
        away = from_zone_1_mm(here, place.x_mm, place.y_mm)
        return f"Outside the zones, {show_length(away)} from zone 1." if away is not None and away < _NEAR_MM else ""
    guess = " (by the usual size of what stands there)" if found.zone.assumed else ""
    top = show_length(found.zone.top_mm)
    if found.if_below_mm is not None:
        below = show_length(found.if_below_mm)
        return f"In zone {found.zone.number} if it is below {below}{guess}; its height is unknown."
    return f"In zone {found.zone.number}, to {top}{guess}."
