"""The chart's words: what a way feeds, what stops working with it, what each room has, what is not known.

Every sentence about what stops working is careful: only what was seen, and never a word that a thing is dead.
"""

import datetime
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Final, NamedTuple

from circuitmap.circuits.territory import territory
from circuitmap.circuits.views import CircuitView
from circuitmap.drawing.boardstrip import rating_words
from circuitmap.home.records import Board, Device, Limitation, Point, Round, Storey, Visit
from circuitmap.paper.chart_facts import Facts, PointFact, WayFact, by_room
from circuitmap.paper.days import day_said
from circuitmap.words import OtherSourceKind

NOT_PROOF: Final = "Off is not proof that it is safe to touch."
PROVE: Final = (
    "That something stops working is not proof that it is safe to touch. Before anybody opens a box or works on the "
    "wiring, a competent person switches off, locks off and proves dead at that very place."
)
NO_CABLES: Final = "Cables are not drawn: where they lie in walls and floors is not shown. Never drill by this chart."
NEUTRALS: Final = (
    "A switch-off doesn't show where neutrals go: one may be shared with, or borrowed from, another circuit and be "
    "live with its own way off."
)
NO_CALL: Final = "Nobody is named yet. Write in who is to be called:"
_SOURCES: Final[dict[OtherSourceKind, str]] = {
    "PV": "solar panels",
    "battery": "a battery",
    "generator inlet": "a generator inlet",
    "vehicle to home": "a vehicle that can feed the home",
    "UPS": "a stand-by supply (UPS)",
    "neighbour": "a neighbour’s supply",
    "landlord": "the landlord’s supply",
    "off-peak": "an off-peak supply",
    "second meter": "a second meter",
}
_MOST_LISTED: Final = 12
_TIMES: Final = "× "  # before the name of what has one of its own
_NAMED: Final = 6  # boards beyond which letters do


class Piece(NamedTuple):
    """So many things of a sort in a room, the ways that they are on, and whether that was seen."""

    words: str
    codes: str
    sure: bool


def feeds_words(facts: Facts, way: WayFact) -> str:
    """Say what a way feeds, such as "13 sockets, 2 lights, boiler", and the boards behind it."""
    said = listed(facts, way.points)
    said += [_board(board) for board in way.view.boards_fed]
    return ", ".join(said) if said else "nothing found yet"


def rooms_words(way: WayFact, facts: Facts) -> str:
    """Give the rooms that a way's listed points are in."""
    return ", ".join(name for name, _ in by_room(facts, way.points))


def device_words(device: Device) -> str:
    """Give a device as the trade writes it: "MCB B32", "fuse BS 3036 30 A"."""
    return f"{device.kind} {rating_words(device)}".strip()


def listed(facts: Facts, points: Iterable[PointFact], *, with_loads: bool = False) -> list[str]:
    """Give points as counted things: sockets, lights and alarms by number, the rest by name.

    With loads, what is plugged in and would be missed is named behind the sockets.
    """
    counted: Counter[tuple[str, str]] = Counter()
    hanging: dict[tuple[str, str], list[str]] = {}
    for fact in points:
        called = _called(facts, fact.point)
        counted[called] += 1
        if _is_socket(facts, fact):
            hanging.setdefault(called, []).extend(load.what for load in fact.point.loads if load.if_off != "nothing")
    said = []
    for called, n in counted.items():
        one, many = called
        on_it = ", ".join(dict.fromkeys(hanging.get(called, ()))) if with_loads else ""
        said.append((f"{n} {many}" if n > 1 else one) + (f" ({on_it})" if on_it else ""))
    return said


def stops_words(facts: Facts, way: WayFact) -> list[str]:
    """Say what stops working when a way is off, a sentence each; for what wasn't seen, to use the main switch."""
    code = way.code
    if way.joined:
        others = _others(way)
        return [
            f"{code} and {others} are joined: with {code} alone off, its wiring and its own terminal stay live from "
            f"{others}. Do not rely on {code}: {use_main(facts)}."
        ]
    says: list[str] = []
    sources = [fact for fact in way.points if _feeds_back(facts, fact)]
    seen = [fact for fact in way.seen if fact not in sources]
    unsure = [fact for fact in way.unsure if fact not in sources]
    if len(seen) == 1:
        says.append(f"{_in_rooms(facts, seen)} stops working when {code} is off.")
    elif seen:
        says.append(f"Stops working when {code} is off: {_in_rooms(facts, seen)}.")
    if sources:
        says.append(
            f"{_in_rooms(facts, sources)}: a source of its own. With {code} off, what belongs to it may stay or become "
            "live; use its own isolator, as its maker says."
        )
    if unsure:
        says.append(f"Not seen going off with {code} alone: {_in_rooms(facts, unsure)}. For these, {use_main(facts)}.")
    for board in way.view.boards_fed:
        says.append(f"{_capital(_board(board))} is fed from here; to have all of it off, {use_main(facts)}.")
    if not says:
        says.append(
            f"Nothing was found on {code}. It may feed something that this chart doesn’t show; {use_main(facts)}."
        )
    return says


def use_main(facts: Facts) -> str:
    """Say to use the main switch, or that none is on record."""
    return "use the main switch" if len(facts.mains) <= 1 else "use the main switches"


def plain_words(facts: Facts, way: WayFact) -> str:
    """Say in plain words what a way works: sockets and lights with their rooms, the rest by name."""
    if way.joined:
        return f"Works together with {_others(way)}. Do not rely on it: {use_main(facts)}."
    held: dict[tuple[str, str], tuple[PointFact, ...]] = {}
    for fact in way.points:
        called = _called(facts, fact.point)
        held[called] = (*held.get(called, ()), fact)
    said = []
    for (one, many), those in held.items():
        rooms = ", ".join(room for room, _ in by_room(facts, those))
        name = many if len(those) > 1 and not many.startswith(_TIMES) else one
        plain = _is_plugged(facts, those[0].point) or one.endswith("light") or len(those) > 1
        said.append(f"{name} ({rooms})" if plain else name)
    said += [_board(board) for board in way.view.boards_fed]
    if not said:
        return f"Nothing found on it yet: {use_main(facts)}."
    unsure = f" Not all of it is certain: {use_main(facts)}." if way.unsure or way.view.boards_fed else ""
    if any(_feeds_back(facts, fact) for fact in way.points):
        unsure += " It has a source of its own and may stay live: leave it to a competent person."
    return f"{_capital(', '.join(said))}.{unsure}"


def short_words(facts: Facts, way: WayFact) -> str:
    """Say in few words what is on a way and where, for a legend and a label."""
    if not way.view.members and way.points:
        return "nothing settled yet"
    area = territory(way.view, facts.home, facts.trade)
    said = area.label
    if len(way.points) == 1 or (way.points and not any(_counts(facts, fact) for fact in way.points)):
        named = _capital(", ".join(listed(facts, way.points)))
        said = f"{named} — {area.words}" if area.words else named
    return f"{said}; may stay live" if any(_feeds_back(facts, fact) for fact in way.points) else said


def main_words(facts: Facts) -> list[str]:
    """Say where the main switches are, and what they don't switch off."""
    by_board = {device.board for device in facts.mains}
    first = [board for board in facts.boards if board.source != "run"]
    with_main = [board for board in first if board.id in by_board]
    without = [board for board in first if board.id not in by_board]
    says = []
    if with_main:
        one = len(with_main) == 1
        says.append(f"Main switch{'' if one else 'es'}: {_places(facts, with_main)}.")
    if without:
        says.append(f"No main switch is on record for {_places(facts, without)}: ask before relying on one.")
    if not facts.boards:
        says.append("No board is on record, so no main switch can be named.")
    others = ", ".join(dict.fromkeys(_SOURCES[source.kind] for source in facts.sources))
    if others:
        says.append(f"It does not switch off {others}.")
    return says


def _places(facts: Facts, boards: Sequence[Board]) -> str:
    """Name boards with their rooms, or, where they are many, by their letters."""
    if len(boards) > _NAMED:
        return f"boards {', '.join(board.letter_on_map for board in boards)}"
    rooms = [facts.board_rooms.get(board.id) for board in boards]
    return "; ".join(
        _board(board) + (f", {room.name}" if room is not None and room.name else "")
        for board, room in zip(boards, rooms, strict=True)
    )


def supply_words(facts: Facts) -> list[str]:
    """Name every other supply, what it is to the main switch, and what belongs to, or is fed by, somebody else."""
    says: list[str] = []
    for source in facts.sources:
        where = f" ({source.where})" if source.where else ""
        isolator = f" Its own isolator: {source.isolator}." if source.isolator else " Its isolator is not on record."
        says.append(f"{_capital(_SOURCES[source.kind])}{where}: the main switch does not switch this off.{isolator}")
    away = [fact for fact in facts.points.values() if fact.status == "elsewhere"]
    if away:
        says.append(
            f"Fed from elsewhere, and live with the main switch off: {_in_rooms(facts, away)}. "
            "Whoever owns that supply has to switch it off."
        )
    owners: dict[str, list[PointFact]] = {}
    for fact in facts.points.values():
        if fact.point.belongs_to:
            owners.setdefault(fact.point.belongs_to, []).append(fact)
    for owner, those in owners.items():
        codes = _codes(facts, dict.fromkeys(i for fact in those for i in fact.devices))
        on = f" They hang on {codes} here: agree with them before it is switched off." if codes else ""
        says.append(f"Belongs to {owner}: {_in_rooms(facts, those)}.{on}")
    return says


def room_rows(facts: Facts) -> list[tuple[str, str, list[Piece]]]:
    """Give for each room its storey, its name, and what is there with the ways: "sockets A3", "lights A7"."""
    storeys = facts.home.table(Storey)
    rows: list[tuple[str, str, list[Piece]]] = []
    for name, points in by_room(facts, facts.listed):
        groups: dict[tuple[str, bool], list[PointFact]] = {}
        for fact in points:
            groups.setdefault((where_words(facts, fact), fact.is_sure), []).append(fact)
        ordered = sorted(groups.items(), key=lambda each: (not each[0][1], -len(each[1])))
        pieces = [Piece(", ".join(listed(facts, those)), codes, sure) for (codes, sure), those in ordered]
        storey = storeys[points[0].storey].name if points[0].storey in storeys else ""
        rows.append((storey, name, pieces))
    return rows


def where_words(facts: Facts, fact: PointFact) -> str:
    """Give the ways of a point as the chart prints them: "A4", "A4?", "A4/A5?", "A3+A4", "other supply", "?"."""
    codes = [facts.codes.get(i, i) for i in fact.devices]
    match fact.status:
        case "seen":
            return codes[0]
        case "joined":
            return "+".join(codes)
        case "elsewhere":
            return "other supply"
        case "said":
            # A switch is never looked at itself, so that its ring says nothing against it.
            return f"{codes[0]}?" if fact.counts else codes[0]
        case _:
            return f"{'/'.join(codes[:2])}{'…' if len(codes) > 2 else ''}?"


def left_out_words(facts: Facts, records: Sequence[str]) -> str:
    """Name what stands too close together to be drawn, with its ways."""
    if not records:
        return ""
    named: Counter[str] = Counter()
    for record in records:
        fact = facts.points.get(record)
        if fact is None:
            named[_board(facts.home.take(Board, record))] += 1
        else:
            named[f"{_called(facts, fact.point)[0]} {where_words(facts, fact)}"] += 1
    said = [words if n == 1 else f"{words} (× {n})" for words, n in named.items()]
    return f"Too close together to be drawn here: {'; '.join(said)}."


def unknown_words(facts: Facts) -> list[str]:
    """Say what is not known: what was not seen, not found, not followed, not looked at."""
    home = facts.home
    says: list[str] = []
    if not home.table(Round):
        says.append(
            "No switch-off was made: what is here comes from labels and from cables, none of it was seen going off."
        )
    unsettled = [f for f in facts.listed if f.status in ("in doubt", "unknown")]
    if unsettled:
        says.append(f"Not settled which way feeds: {_in_rooms(facts, unsettled)}.")
    said = [fact for fact in facts.listed if fact.status == "said"]
    if said and home.table(Round):
        says.append(f"On the map, but not seen going off: {_in_rooms(facts, said)}.")
    nothing = [way for way in facts.ways if not way.points and not way.view.boards_fed]
    if nothing:
        named = ", ".join(f"{way.code}{_labelled(way.view)}" for way in nothing)
        one = len(nothing) == 1
        says.append(
            f"Nothing was found on {named}: {'it' if one else 'they'} may feed something that this chart doesn’t show."
        )
    traces = {way.code: len(way.view.missing) for way in facts.ways if way.view.missing}
    if len(traces) > _MOST_LISTED:
        says.append(f"Cables were not followed to their end in {sum(traces.values())} places, on {len(traces)} ways.")
    elif traces:
        listed_ = ", ".join(f"{code} ({count})" for code, count in traces.items())
        says.append(f"Places where cables were not followed to their end, by way: {listed_}.")
    drawn = sum(1 for fact in facts.points.values() if not fact.is_placed)
    if drawn:
        says.append(
            f"{drawn} {'point is' if drawn == 1 else 'points are'} listed by room only and not drawn on a plan."
        )
    if not facts.sources_asked:
        says.append(
            "Nobody asked yet whether there is another supply (solar panels, a battery, a landlord’s, a generator)."
        )
    says += [_limited(facts, each) for each in home.sorted(Limitation)]
    says.append(NEUTRALS)
    return says


def shared_words(facts: Facts) -> list[str]:
    """Name the boxes in which several ways meet."""
    order = list(facts.codes)
    return [
        f"{f'{room.name}: one' if room is not None and room.name else 'One'} box holds "
        f"{_codes(facts, sorted(ways, key=order.index))}: with one "
        f"off, {'the other is' if len(ways) == 2 else 'the others are'} still live in it."
        for room, ways in facts.shared
    ]


def survey_words(facts: Facts) -> str:
    """Say when switch-offs were last made."""
    visits = facts.home.table(Visit)
    days = sorted(visits[each.visit].day for each in facts.home.table(Round).values() if each.visit in visits)
    if not days:
        return "No switch-off is on record."
    return f"Last switch-off on {day_said(datetime.date.fromisoformat(days[-1]))}."


def _in_rooms(facts: Facts, points: Sequence[PointFact]) -> str:
    return "; ".join(
        f"{name}: {', '.join(listed(facts, those, with_loads=True))}" for name, those in by_room(facts, points)
    )


def _called(facts: Facts, point: Point) -> tuple[str, str]:
    """Give what one and several of a point go by."""
    row = facts.trade.point(point.kind)
    if _is_plugged(facts, point):
        return row.title, row.plural
    if row.is_light:
        return (row.title, row.plural) if row.outdoor or point.kind == "emergency light" else ("light", "lights")
    if row.family == "alarms":
        return row.title, row.plural
    own = point.name or next((load.what for load in point.loads if load.what), "")
    own = own.strip()
    if not own:
        return row.title, row.plural
    lowered = own if own[:2].isupper() else own[:1].lower() + own[1:]
    return lowered, f"{_TIMES}{lowered}"


def _counts(facts: Facts, fact: PointFact) -> bool:
    return facts.trade.point(fact.point.kind).counts_as_point


def _feeds_back(facts: Facts, fact: PointFact) -> bool:
    return facts.trade.point(fact.point.kind).can_feed_back


def _is_socket(facts: Facts, fact: PointFact) -> bool:
    return _is_plugged(facts, fact.point)


def _is_plugged(facts: Facts, point: Point) -> bool:
    """Whether anything may be plugged in there; an outlet for a named appliance goes by the appliance."""
    return facts.trade.point(point.kind).is_socket_outlet and not (point.kind == "appliance outlet" and point.loads)


def _codes(facts: Facts, devices: Iterable[str]) -> str:
    codes = [facts.codes.get(i, i) for i in devices]
    return " and ".join([", ".join(codes[:-1]), codes[-1]]) if len(codes) > 1 else "".join(codes)


def _others(way: WayFact) -> str:
    return " and ".join(each for each in way.joined if each != way.code)


def _board(board: Board) -> str:
    return f"board {board.letter_on_map}" + (f" ({board.name})" if board.name else "")


def _labelled(view: CircuitView) -> str:
    return f" (labelled “{view.device.label}”)" if view.device.label else ""


def _limited(facts: Facts, limitation: Limitation) -> str:
    agreed = f" Agreed by: {limitation.agreed_by}." if limitation.agreed_by else ""
    reason = limitation.reason.strip()
    return f"{reason}{'' if reason.endswith(('.', '!', '?')) else '.'}{agreed}"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
