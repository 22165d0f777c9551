"""Where a visit stands, read off the records alone: which switch-off is open, what is off, in what order to close.

Nothing here is kept: a restart in the middle of a walk finds the same answers. No Qt.
"""

from collections.abc import Iterable
from typing import Final

from msgspec.structs import replace

from circuitmap.home import Change, Home
from circuitmap.home.records import (
    Board,
    Check,
    Device,
    Fixture,
    Limitation,
    Plate,
    Point,
    Room,
    Round,
    Storey,
    Visit,
    Wall,
    natural_key,
)
from circuitmap.home.verbs import is_open, notes_of, today_text
from circuitmap.memo import Memo
from circuitmap.survey.context import context_of
from circuitmap.survey.kinds import is_existing, is_way
from circuitmap.survey.lines import NOT_REACHED, Line, lines_of
from circuitmap.survey.taken import main_switches, taken
from circuitmap.survey.walk import walk_order
from circuitmap.trade import Trade
from circuitmap.trade.rows import HowChecked
from circuitmap.wiring.supply import above
from circuitmap.words import Condition, HowSwitched

LOOKED: Final = "pause"  # the event that ends a look with everything on; "resume" goes back to it
_LEFT_ALONE: Final[frozenset[Condition]] = frozenset(
    {"hot or buzzing", "scorched", "scorched and failing", "damaged accessory", "live part touchable", "damp"}
)
_UNTOUCHED: Final = ("leave alone", "can't be reached")
_BREAKING_ORDER: Final = {"main switch": 0, "isolator": 0, "changeover switch": 0}


def rounds_of(home: Home, visit: str) -> tuple[Round, ...]:
    """Give the switch-offs of a visit in the order they were opened, looks with everything on among them."""
    return tuple(r for r in home.sorted(Round) if r.visit == visit)


def round_open(home: Home) -> Round | None:
    """Give the switch-off whose power is not back yet, the latest if there are several."""
    return next((r for r in reversed(home.sorted(Round)) if is_open(r)), None)


def visit_now(home: Home, today: str = "") -> Visit | None:
    """Give the visit that is going on: the one with an open switch-off, or the latest if it is of today."""
    going = round_open(home)
    if going is not None:
        return home.take(Visit, going.visit)
    last = next(iter(reversed(home.sorted(Visit))), None)
    return last if last is not None and last.day == (today or today_text()) else None


def look_of(home: Home, visit: str) -> Round | None:
    """Give a visit's look with everything on, the latest, or None before it was begun."""
    return next((r for r in reversed(rounds_of(home, visit)) if not r.off), None)


def is_looking(record: Round) -> bool:
    """Whether a look with everything on is still going on."""
    said = [e.what for e in record.events if e.what in (LOOKED, "resume")]
    return not record.off and (not said or said[-1] == "resume")


def number_of(home: Home, record: Round) -> int:
    """Give which switch-off of its visit this is, from 1; looks with everything on don't count."""
    return 1 + sum(1 for r in rounds_of(home, record.visit) if r.off and natural_key(r.id) < natural_key(record.id))


def off_now(record: Round) -> tuple[str, ...]:
    """Give the devices that are off as things stand: switched off or tripped, and not put on again."""
    off = dict.fromkeys(record.off)
    for event in record.events:
        if event.what in ("off", "trip", "trip on closing"):
            off.update(dict.fromkeys(event.devices))
        elif event.what == "on":
            for device in event.devices:
                off.pop(device, None)
        elif event.what == "power back":
            off = {}
    return tuple(off)


def is_closing(record: Round) -> bool:
    """Whether the power is being put back: what was switched off was put on again since the last one went off.

    Putting on again what had only tripped in mid-walk is no part of that: the walk goes on.
    """
    closing = False
    tripped: set[str] = set()
    for event in record.events:
        match event.what:
            case "on":
                closing = closing or not event.devices or not set(event.devices) <= tripped
                tripped -= set(event.devices)
            case "trip on closing":
                closing = True
            case "off" | "trip" | "resume":
                closing = False
                tripped |= set(event.devices) if event.what == "trip" else set()
            case _:
                pass
    return closing


def tripped_now(record: Round) -> tuple[str, ...]:
    """Give the devices that tripped in mid-walk, that nobody had switched off, and that are off still."""
    off = off_now(record)
    tripped = {device for event in record.events if event.what == "trip" for device in event.devices}
    return tuple(device for device in off if device in tripped and device not in record.off)


def is_trip_open(record: Round) -> bool:
    """Whether something tripped, and nobody said yet that it is on again or stays off for the rest of the walk."""
    is_open_, waits = False, False
    for event in record.events:
        match event.what:
            case "trip":
                is_open_ = True
            case "on" | "trip on closing":
                is_open_ = False
            case "pause":
                waits = True
            case "resume":
                is_open_, waits = is_open_ and waits, False  # going on after a pause says nothing of the trip
            case _:
                pass
    return is_open_ and bool(tripped_now(record))


def is_paused(record: Round) -> bool:
    """Whether the walk of a switch-off waits: it was paused, and nothing was gone on with since."""
    said = [e.what for e in record.events if e.what in ("pause", "resume", "on", "power back")]
    return bool(record.off) and bool(said) and said[-1] == "pause"


def asking(opening: Change, points: tuple[str, ...]) -> Change:
    """Let the change that opens a switch-off say which points it asks for, in walk order."""
    record = next(after for _, after in opening.pairs if isinstance(after, Round))
    first = replace(record.events[0], points=points)
    return Change(opening.title, ((None, replace(record, events=(first, *record.events[1:]))),))


def asked_points(record: Round) -> tuple[str, ...]:
    """Give the points that a switch-off was opened to ask for, in walk order; nothing when nobody said."""
    return next((event.points for event in record.events if event.what == "off"), ())


def asked_again(home: Home, memo: Memo, record: Round) -> frozenset[str]:
    """Give the points whose every answer in a switch-off was set aside, as the lamp that was watched had gone out."""
    course = context_of(home, memo).timelines.get(record.id)
    if course is None:
        return frozenset()
    held: dict[str, bool] = {}
    for check in checks_in(home, record.id):
        held[check.point] = held.get(check.point, False) or not course.at(check.at).sets_aside
    return frozenset(point for point, counts in held.items() if not counts)


def stays_off(record: Round) -> tuple[str, ...]:
    """Give the devices that tripped when they were put on and were not put on since."""
    tripped: dict[str, None] = {}
    for event in record.events:
        if event.what == "trip on closing":
            tripped.update(dict.fromkeys(event.devices))
        elif event.what == "on":
            for device in event.devices:
                tripped.pop(device, None)
    return tuple(tripped)


def checks_in(home: Home, round_id: str) -> tuple[Check, ...]:
    """Give the checks of a switch-off in the order they were made."""
    found = (home.find(Check, i) for i in home.used_by(round_id))
    return tuple(sorted((c for c in found if c is not None), key=lambda c: natural_key(c.id)))


def is_over(home: Home, device: Device, other: Device) -> bool:
    """Whether a device stands over another one."""
    seen: set[str] = set()
    up = other.upstream
    while up is not None and up not in seen:
        if up == device.id:
            return True
        seen.add(up)
        above = home.find(Device, up)
        up = above.upstream if above is not None else None
    return False


def closing_order(home: Home, trade: Trade, off: Iterable[str]) -> tuple[str, ...]:
    """Give what to put on, in order: main switch, then what stands over others (RCDs), then the ways one by one.

    The ways under a device that is off are in it too: they go off first, so that a trip names its way.

    **Source:** common practice, no source.
    """
    named = {i: device for i in off if (device := home.find(Device, i)) is not None}
    found = dict(named)
    for other in home.sorted(Device):
        row = trade.device(other.kind)
        if not (is_existing(other) and (row.feeds_circuit or row.residual_current)):
            continue
        if how_switched(trade, other) in _UNTOUCHED:
            continue
        if any(is_over(home, device, other) for device in named.values()):
            found[other.id] = other

    def rank(device: Device) -> tuple[int, int, str, bool, int, tuple[str, int]]:
        stands_over = any(is_over(home, device, other) for other in found.values())
        depth = sum(1 for other in found.values() if is_over(home, other, device)) if stands_over else len(found)
        main = _BREAKING_ORDER.get(device.kind, 1)
        return (main, depth, device.board, device.module is None, device.module or 0, natural_key(device.id))

    return tuple(device.id for device in sorted(found.values(), key=rank))


def everything(home: Home) -> tuple[str, ...]:
    """Give what to switch off so that all is off: the main switches, and what no main switch takes with it."""
    mains = tuple(device.id for device in main_switches(home))
    gone = taken(home, mains).sure
    left = [d for d in home.sorted(Device) if is_way(d) and d.id not in gone]
    tops = dict.fromkeys((d.id, *above(home, d.id))[-1] for d in left)
    return (*mains, *(i for i in tops if i not in mains))


def how_switched(trade: Trade, device: Device) -> HowSwitched:
    """Give how a device is switched: as found there, or as its kind is."""
    return device.how_switched or trade.device(device.kind).how_switched


def why_not_off(home: Home, trade: Trade, device_id: str) -> str:
    """Give why a device must not be switched off by the visitor, as a sentence; empty when it may."""
    device = home.take(Device, device_id)
    code = home.code(device_id)
    if device.keep_on:
        return f"{code} stays on: {device.keep_on.rstrip('.')}."
    seen = {condition for note in notes_of(home, device_id) for condition in note.seen}
    bad = sorted(seen & _LEFT_ALONE)
    if bad:
        return f"{code} was noted as {bad[0]}: leave it alone and have it looked at."
    how = how_switched(trade, device)
    if how == "leave alone":
        return f"{code} ({device.kind}) is not for the visitor to operate; leave it alone."
    if how == "can't be reached":
        return f"{code} ({device.kind}) can't be reached; choose a device over it."
    return ""


def walkable(home: Home, trade: Trade, memo: Memo) -> tuple[str, ...]:
    """Give the points to be walked to, in walk order: those whose kind can be checked, and that somebody can reach."""
    points = home.table(Point)

    def make() -> tuple[str, ...]:
        kept = [
            p.id
            for p in points.values()
            if trade.point(p.kind).checkable and p.phase == "existing" and not p.uncheckable
        ]
        return walk_order(home, kept, memo)

    return memo.get("desk walk", "", (*_plan(home), trade), make)


def sheet_lines(home: Home, trade: Trade, memo: Memo) -> tuple[Line, ...]:
    """Give the numbered lines of the survey's sheet."""
    return memo.get("desk sheet", "", (*_plan(home), trade), lambda: lines_of(home, memo, trade))


def answered_with(home: Home, trade: Trade, memo: Memo, point: str) -> tuple[str, ...]:
    """Give all the lights that share this one's switch and its line on the sheet; only itself when there are none."""
    return next((line.points for line in sheet_lines(home, trade, memo) if point in line.points), (point,))


def _plan(home: Home) -> tuple[object, ...]:
    return tuple(home.table(kind) for kind in (Point, Plate, Room, Storey, Board, Wall, Fixture))


def not_reached(home: Home, visit: str) -> frozenset[str]:
    """Give the points that were written down in a visit as out of reach."""
    limits = home.table(Limitation).values()
    return frozenset(each.subject for each in limits if each.visit == visit and each.reason == NOT_REACHED)


HOW_CHECKED_SAYS: Final[dict[HowChecked, str]] = {
    "plug-in tester": "by a plug-in tester, its own switch on",
    "lamp": "by its lamp, worked at its switch, both ways",
    "own lamp": "by its own lamp",
    "at switch": "at the switch that feeds it",
    "at load": "at what it feeds, its own switch on",
    "isolator": "by the lamp of its isolator, the isolator on",
    "not": "not checked itself: what it works is",
}


def how_checked(trade: Trade, point: Point) -> str:
    """Give in words how "on" and "off" are seen at a point."""
    row = trade.point(point.kind)
    if row.family == "alarms" and row.checked == "own lamp":
        return "by its mains lamp (it goes out in a second or two; the battery may keep it chirping)"
    if row.is_light and point.switching in ("sensor", "timer"):
        return "by its lamp: wait for its sensor or timer, or work it by hand"
    return HOW_CHECKED_SAYS[row.checked]
