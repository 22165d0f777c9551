"""Which points somebody means by a few words: "kitchen light", "P12", "A3", "the router".

Words are read as those on labels are: whole words, without case and plural, with the trade's table of synonyms. Every
word has to fit a point: its kind, its name, where it is, what is plugged in there, its room or its storey.
"""

import difflib
import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Final

from circuitmap.home.phases import is_there
from circuitmap.home.records import Board, Device, Point, Room, Storey, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.where import rooms_of_points, storey_of
from circuitmap.survey.labels import EMPTY_WORDS, LabelWords, fits_room, fits_storey, read_label, read_room
from circuitmap.trade import Synonym, Trade
from circuitmap.trade.rows import MOST_WORDS
from circuitmap.trade.spelling import parts_of, spelled

LONGEST: Final = 400
"""So many characters of what was typed are read; nobody means more than that."""
_ID: Final = re.compile(r"^[a-z]\d{1,9}$")
_SHORTEST_START: Final = 3
_NEAR: Final = 4
_ALIKE: Final = 0.6


@dataclass(frozen=True, slots=True)
class Sought:
    """What some words mean in a home.

    ``points`` are those that are there, in natural order. ``devices`` are ways that were named by code, id or label;
    ``by_label`` says that only a label fits, which proves nothing. ``gone`` are points that were named by id but are
    planned or were taken out. ``near`` are names that are spelled alike, where nothing fits.
    """

    words: str
    points: tuple[Point, ...] = ()
    devices: tuple[Device, ...] = ()
    by_label: bool = False
    gone: tuple[Point, ...] = ()
    near: tuple[str, ...] = ()


def sought(home: Home, trade: Trade, memo: Memo, words: str) -> Sought:
    """Give the points, or else the ways, that some words mean; names spelled alike where there are none."""
    asked = " ".join(words[:LONGEST].split())
    named = _by_id(home, memo, asked)
    if named is not None:
        return named
    units = _units(asked, trade, {spelled(room.name) for room in home.table(Room).values()})
    there = [point for point in home.sorted(Point) if is_there(point)]
    exact = spelled(asked)
    if exact:
        alone = tuple(point for point in there if spelled(point.name) == exact)
        if alone:
            return Sought(asked, alone)
    if units:
        said = _Said(home, trade, memo)
        for is_loose in (False, True):
            found = tuple(point for point in there if said.fits(point, units, is_loose))
            if found:
                return Sought(asked, found)
        labelled = tuple(d for d in _ways(home) if _label_fits(d.label, units))
        if labelled:
            return Sought(asked, devices=labelled, by_label=True)
    return Sought(asked, near=_near(home, trade, asked))


@dataclass(frozen=True, slots=True)
class _Unit:
    """A word of what was asked, or some that have a synonym together, with the number behind a room.

    ``is_room`` marks several words that are together the name of a room of the home.
    """

    text: str
    row: Synonym | None
    said: LabelWords
    is_room: bool = False

    @property
    def words(self) -> list[str]:
        return self.text.split()


def _units(asked: str, trade: Trade, rooms: Collection[str]) -> list[_Unit]:
    units: list[_Unit] = []
    for part in parts_of(asked):
        at = 0
        while at < len(part):
            named = next((n for n in range(len(part), at + 1, -1) if " ".join(part[at:n]) in rooms), None)
            if named is not None:
                text = " ".join(part[at:named])
                units.append(_Unit(text, None, read_label(text, trade), is_room=True))
                at = named
                continue
            row, width = None, 1
            for wide in range(min(MOST_WORDS, len(part) - at), 0, -1):
                row = trade.synonym(" ".join(part[at : at + wide]))
                if row is not None:
                    width = wide
                    break
            taken = part[at : at + width]
            at += width
            if row is not None and row.rooms and part[at : at + 1] and part[at].isdecimal():
                taken = [*taken, part[at]]
                at += 1
            text = " ".join(taken)
            if row is None and text in EMPTY_WORDS:
                continue
            units.append(_Unit(text, row, read_label(text, trade)))
    return units


@dataclass(slots=True)
class _Said:
    """What is known of the words at points, rooms and storeys, read once for each."""

    home: Home
    trade: Trade
    memo: Memo
    rooms: dict[str, LabelWords] = field(default_factory=dict)
    storeys: dict[str, LabelWords] = field(default_factory=dict)
    hays: dict[str, frozenset[str]] = field(default_factory=dict)
    own: dict[str, frozenset[str]] = field(default_factory=dict)
    room_of: Mapping[str, Room | None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.room_of = rooms_of_points(self.home, self.memo)

    def fits(self, point: Point, units: Iterable[_Unit], is_loose: bool) -> bool:
        """Whether every word fits a point; loosely, a kind of point that often feeds such a thing is enough."""
        units = list(units)
        row = self.trade.point(point.kind)
        kind_words = set(spelled(f"{point.kind} {row.title} {row.plural}").split())
        names_control = row.is_control and any(unit.row is None and set(unit.words) & kind_words for unit in units)
        hay = self._hay(point, kind_words)
        return all(self._unit_fits(point, unit, hay, names_control=names_control, is_loose=is_loose) for unit in units)

    def _unit_fits(
        self, point: Point, unit: _Unit, hay: frozenset[str], *, names_control: bool, is_loose: bool
    ) -> bool:
        if unit.is_room:
            room = self.room_of[point.id]
            is_in = room is not None and spelled(room.name) == unit.text
            return is_in or all(word in self.own[point.id] for word in unit.words)
        if all(word in hay for word in unit.words):
            return True
        if unit.row is None:
            word = unit.text
            return len(word) >= _SHORTEST_START and any(other.startswith(word) for other in hay)
        row = self.trade.point(point.kind)
        if row.family in unit.row.families or (names_control and "lights" in unit.row.families):
            return True
        if unit.row.kinds and not unit.row.families and f"={unit.row.word}" in hay:
            return True
        if self._is_where(point, unit):
            return True
        outdoors = bool(point.outdoor) or row.outdoor
        if unit.row.perhaps and (point.kind in unit.row.perhaps) and outdoors:
            return True
        return is_loose and (point.kind in unit.row.kinds or point.kind in unit.row.perhaps)

    def _is_where(self, point: Point, unit: _Unit) -> bool:
        said = unit.said
        room = self.room_of[point.id]
        if (said.rooms or said.sides) and room is not None and fits_room(said, self._room(room)):
            return True
        if not said.storeys:
            return False
        storey = self.home.find(Storey, storey_of(self.home, self.memo, point))
        if storey is None:
            return False
        levels = [each.level for each in self.home.table(Storey).values()]
        return bool(fits_storey(said, storey, levels, self._storey(storey)))

    def _hay(self, point: Point, kind_words: set[str]) -> frozenset[str]:
        """Give the words that stand at a point, and "=thing" for each thing that they name."""
        found = self.hays.get(point.id)
        if found is None:
            texts = [point.name, point.where, point.belongs_to]
            texts += [text for load in point.loads for text in (load.what, load.name)]
            room = self.room_of[point.id]
            places = [room.name] if room is not None else []
            storey = self.home.find(Storey, storey_of(self.home, self.memo, point))
            places += [storey.name] if storey is not None else []
            said = " , ".join(text for text in texts if text)
            things = read_label(said, self.trade).things if said else ()
            own = kind_words | set(spelled(said).split())
            self.own[point.id] = frozenset(own)
            found = frozenset(
                own | {word for text in places for word in spelled(text).split()} | {f"={each}" for each in things}
            )
            self.hays[point.id] = found
        return found

    def _room(self, room: Room) -> LabelWords:
        if room.id not in self.rooms:
            self.rooms[room.id] = read_room(room, self.trade)
        return self.rooms[room.id]

    def _storey(self, storey: Storey) -> LabelWords:
        if storey.id not in self.storeys:
            self.storeys[storey.id] = read_label(storey.name, self.trade)
        return self.storeys[storey.id]


def _by_id(home: Home, memo: Memo, asked: str) -> Sought | None:
    """Give what is named by ids or codes of ways alone; None where any word is something else."""
    tokens = asked.replace(",", " ").casefold().split()
    codes = {home.code(device.id).casefold(): device for device in _ways(home)}
    points: dict[str, Point] = {}
    gone: dict[str, Point] = {}
    devices: dict[str, Device] = {}
    for token in tokens:
        if token in codes:
            devices[codes[token].id] = codes[token]
            continue
        record = home.peek(token.upper()) if _ID.match(token) else None
        match record:
            case Point():
                (points if is_there(record) else gone)[record.id] = record
            case Device():
                devices[record.id] = record
            case Room():
                inside = rooms_of_points(home, memo)
                points.update({p.id: p for p in home.sorted(Point) if inside[p.id] is record and is_there(p)})
            case Board():
                devices.update({device.id: device for device in home.devices_on(record.id) if is_there(device)})
            case _:
                return None
    if not tokens:
        return None
    return Sought(
        asked,
        tuple(points[i] for i in sorted(points, key=natural_key)),
        tuple(devices.values()),
        gone=tuple(gone.values()),
    )


def _ways(home: Home) -> list[Device]:
    return [device for device in home.sorted(Device) if is_there(device)]


def _label_fits(label: str, units: Iterable[_Unit]) -> bool:
    words = spelled(label).split()
    return bool(words) and all(all(word in words for word in unit.words) for unit in units)


def _near(home: Home, trade: Trade, asked: str) -> tuple[str, ...]:
    """Give names that are spelled alike: points', rooms', labels' and loads', then kinds of points."""
    names: dict[str, str] = {}
    for text in (
        *(point.name for point in home.sorted(Point)),
        *(room.name for room in home.sorted(Room)),
        *(load.name or load.what for point in home.sorted(Point) for load in point.loads),
        *(trade.point(point.kind).title for point in home.sorted(Point)),
    ):
        plain = spelled(text)
        if plain:
            names.setdefault(plain, text.strip())
    words = spelled(asked)
    close = difflib.get_close_matches(words[:80], names, _NEAR, _ALIKE) if words else []
    return tuple(names[each] for each in close)
