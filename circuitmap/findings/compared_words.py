"""What things are called when two states of a home are compared, and which of their facts are compared, in words."""

from collections.abc import Callable, Mapping
from typing import Any, Final, NamedTuple

from circuitmap.circuits import CircuitView
from circuitmap.findings.finding import Finding
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Board, Device, End, Note, Point, Room, Run, Storey, Supply
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan import area_m2
from circuitmap.plan.where import place_of
from circuitmap.quantities.show import show_area, show_current, show_length, show_ohm, show_power, show_size
from circuitmap.readings.book import Entry
from circuitmap.trade import Trade

_TITLE: Final = 60


class State(NamedTuple):
    """One of the two states: only what is there, with its circuits, rooms and feeds by point."""

    home: Home
    trade: Trade
    memo: Memo
    views: tuple[CircuitView, ...]
    rooms: Mapping[str, str]
    feeds: Mapping[str, tuple[str, ...]]


class Fact(NamedTuple):
    """A fact that is compared, in words; nothing where it isn't recorded."""

    name: str
    # Which record it is of, the table says; the type checker can't follow that through a tuple.
    of: Callable[[State, Any], str]


# -- titles -------------------------------------------------------------------------------------------------------


def point_said(state: State, point: Point) -> str:
    """Give a point as a person would point at it."""
    title = state.trade.point(point.kind).title.partition(" (")[0]
    named = f" “{shorten(point.name, _TITLE)}”" if point.name else ""
    room = state.rooms.get(point.id, "")
    where = ", ".join(part for part in (shorten(room, 40), shorten(point.where, 40)) if part)
    return capital(f"{title} {point.id}{named}") + (f", {where}" if where else "")


def way_said(state: State, device: Device) -> str:
    """Give a way or another device of a board by its code, kind and label."""
    label = f" “{shorten(device.label, _TITLE)}”" if device.label else ""
    return f"{state.home.code(device.id)}{label}" if device.way else capital(f"{device.kind} {device.id}{label}")


def cable_said(state: State, run: Run) -> str:
    """Give a cable by its two ends."""
    return f"Cable {run.id}, {_end(state, run.a)} to {_end(state, run.b)}"


def reading_said(state: State, device: str, entry: Entry) -> str:
    """Give what a reading is of: the way, the test, conductors, where."""
    reading = entry.reading
    way = state.home.code(device) if device and state.home.find(Device, device) is not None else ""
    cores = "–".join(reading.cores)
    linked = f" ({reading.link.kind})" if reading.link is not None else ""
    amps = f"{reading.test_a * 1000:g} mA" if reading.test_a is not None else ""
    phase = f"{reading.phase_deg:g}°" if reading.phase_deg is not None else ""
    at = f" at {_at(state, entry.at)}" if entry.at and entry.at != device else ""
    parts = (way, f"{reading.test}{linked}", cores, amps, phase)
    return capital(" ".join(part for part in parts if part)) + at


def note_said(state: State, note: Note) -> str:
    """Give what a note tells of and where."""
    seen = ", ".join(note.seen)
    text = shorten(" ".join(note.text.split()), 140)
    photos = f"{len(note.photos)} photograph{'' if len(note.photos) == 1 else 's'}" if note.photos else ""
    if photos:
        text = text.removesuffix(".")  # more follows
    told = "; ".join(part for part in (seen, text, photos) if part) or "no words"
    return f"Note {note.id} at {_at(state, note.subject)}: {told}"


def finding_said(_state: State, finding: Finding) -> str:
    """Give a finding with its suggested code."""
    return f"{finding.code}: {finding.says}"


def capital(words: str) -> str:
    """Give a sentence its capital."""
    return words[:1].upper() + words[1:]


def _end(state: State, end: End) -> str:
    return _at(state, end.at) if end.at is not None else "nowhere known"


def _at(state: State, record_id: str) -> str:
    record = state.home.peek(record_id)
    if isinstance(record, Device):
        return state.home.code(record_id)
    if isinstance(record, Board):
        return f"board {record.letter_on_map}"
    if isinstance(record, Room):
        return shorten(record.name, 40) or record_id
    room = state.rooms.get(record_id, "")
    return f"{record_id} ({shorten(room, 30)})" if room else "the home" if record_id == "home" else record_id


# -- facts --------------------------------------------------------------------------------------------------------


def _text(field: str) -> Callable[[State, Any], str]:
    def of(_state: State, record: Any) -> str:
        value = getattr(record, field)
        if value is None:
            return ""
        if isinstance(value, bool):
            return "yes" if value else "no"
        return f"{value:g}" if isinstance(value, float) else shorten(str(value), 120)

    return of


def _shown(field: str, show: Callable[[float], str]) -> Callable[[State, Any], str]:
    def of(_state: State, record: Any) -> str:
        value = getattr(record, field)
        return show(value) if value is not None else ""

    return of


def _feeds(state: State, point: Point) -> str:
    return " and ".join(state.feeds.get(point.id, ()))


def _room(state: State, point: Point) -> str:
    return shorten(state.rooms.get(point.id, ""), 40)


def _storey(state: State, point: Point) -> str:
    place = place_of(state.home, point)
    storey = state.home.find(Storey, place.storey) if place is not None else None
    return (shorten(storey.name, 40) or storey.id) if storey is not None else ""


def _loads(_state: State, point: Point) -> str:
    return ", ".join(
        shorten(load.name or load.what, 40) + (f" {show_power(load.power_w)}" if load.power_w else "")
        for load in point.loads[:8]
    )


def _rcd(_state: State, record: Device | Point) -> str:
    rcd = record.rcd
    if rcd is None:
        return "none"
    delayed = ", delayed" if rcd.delayed else ""
    trips = f"{rcd.trips_ma:g} mA" if rcd.trips_ma is not None else "mA not read"
    return f"{trips}{f' type {rcd.type}' if rcd.type else ''}{delayed}"


def _over(state: State, device: Device) -> str:
    over = state.home.find(Device, device.upstream)
    return way_said(state, over) if over is not None else "nothing"


def _ends(state: State, run: Run) -> str:
    return " to ".join(sorted((_end(state, run.a), _end(state, run.b))))


def _states(_state: State, run: Run) -> str:
    """Whether both its ends are joined: a cable found loose is another thing than one nobody followed."""
    return " and ".join(sorted({run.a.state, run.b.state}))


def _faults(_state: State, run: Run) -> str:
    return ", ".join(f"{fault.kind} {'/'.join(fault.cores)}".strip() for fault in run.faults)


def _bonds(_state: State, supply: Supply) -> str:
    return ", ".join(
        f"{shorten(bond.to, 30)} {bond.state}{f' {show_size(bond.mm2)}' if bond.mm2 else ''}" for bond in supply.bonds
    )


def _sources(_state: State, supply: Supply) -> str:
    return ", ".join(source.kind for source in supply.sources)


def _area(_state: State, room: Room) -> str:
    return show_area(area_m2(room.outline_mm)) if room.outline_mm else "not drawn"


POINT_FACTS: Final = (
    Fact("kind", _text("kind")),
    Fact("name", _text("name")),
    Fact("storey", _storey),
    Fact("room", _room),
    Fact("where", _text("where")),
    Fact("fed by", _feeds),
    Fact("gangs", _text("gangs")),
    Fact("fuse", _shown("fuse_a", show_current)),
    Fact("RCD", _rcd),
    Fact("cables counted", _text("cables_seen")),
    Fact("cables on the load side", _text("cables_seen_load")),
    Fact("box depth", _shown("box_depth_mm", show_length)),
    Fact("what hangs on it", _loads),
)
WAY_FACTS: Final = (
    Fact("way", lambda state, device: state.home.code(device.id)),
    Fact("kind", _text("kind")),
    Fact("rating", _shown("rating_a", show_current)),
    Fact("type", _text("curve")),
    Fact("RCD", _rcd),
    Fact("under", _over),
    Fact("label", _text("label")),
    Fact("poles", _text("poles")),
    Fact("cables counted", _text("cables_seen")),
    Fact("wire found", _text("wire_found")),
    Fact("keep on", _text("keep_on")),
)
CABLE_FACTS: Final = (
    Fact("ends", _ends),
    Fact("ends are", _states),
    Fact("cable", _text("cable")),
    Fact("carries", _text("role")),
    Fact("colours", _text("colours")),
    Fact("length", _shown("length_mm", show_length)),
    Fact("known by", _text("evidence")),
    Fact("fault", _faults),
)
BOARD_FACTS: Final = (
    Fact("name", _text("name")),
    Fact("letter", _text("letter_on_map")),
    Fact("fed by", _text("source")),
    Fact("modules", _text("modules")),
    Fact("made of", _text("material")),
    Fact("notices", lambda _state, board: ", ".join(shorten(notice, 60) for notice in board.notices)),
)
ROOM_FACTS: Final = (Fact("name", _text("name")), Fact("use", _text("use")), Fact("area", _area))
SUPPLY_FACTS: Final = (
    Fact("earthing", _text("earthing")),
    Fact("phases", _text("phases")),
    Fact("supply fuse", _shown("fuse_a", show_current)),
    Fact("main switch", _shown("main_switch_a", show_current)),
    Fact("tails", _shown("tails_mm2", show_size)),
    Fact("earthing conductor", _shown("earthing_mm2", show_size)),
    Fact("bonding", _bonds),
    Fact("Ze", _shown("ze_ohm", show_ohm)),
    Fact("PFC", lambda _state, supply: f"{supply.pfc_ka:g} kA" if supply.pfc_ka is not None else ""),
    Fact("surge protection", _text("spd")),
    Fact("other sources", _sources),
)
