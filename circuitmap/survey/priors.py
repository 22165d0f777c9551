"""What is believed of every point's way before anybody looked: ratings, labels, tags, cables drawn, sub-boards.

A prior never settles anything by itself. A point whose label, rating and cables all agree is still one that nobody
looked at; it only tells where looking is likely to pay, and every way stays possible, so that looking can overrule it.
Points of one kind in one room that nothing more is known of share one row of figures.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from circuitmap.home.records import Board, Device, Plate, Point, Room, Run, Storey, Tag
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan import room_of, rooms_of_points, storey_of
from circuitmap.survey.context import Ways, context_of
from circuitmap.survey.followed import Clue, clues
from circuitmap.survey.labels import LabelWords, fits_room, fits_storey, read_label, read_room
from circuitmap.trade import Suits, Trade
from circuitmap.wiring import above, feeders
from circuitmap.words import PointKind

_STANDS_ON: Final = (Board, Device, Plate, Point, Room, Run, Storey, Tag)
_RING_LEGS: Final = 2
_NOTHING: Final[frozenset[str]] = frozenset()

Row = tuple[float, ...]
_Place = tuple[str | None, str | None]  # room, storey


def priors(home: Home, memo: Memo, trade: Trade) -> Mapping[str, Row]:
    """Give for every existing point how likely each way feeds it, before any check; the rows sum to 1.

    P(way) ∝ rating × label × what is seen of the way × sub-board × tags × cables, floored at a small part of the
    likeliest, where each factor is a figure of the tables. **These are guesses**: whatever they come to, they settle
    no point; only one "off" and one "on" seen in the same visit do.

    **Source:** product of factors as in a naive Bayes estimate; the figures are our own, each in ``likely.toml``.

    Parameters
    ----------
    home
        The home.
    memo
        What is known already.
    trade
        The tables with the factors and synonyms.

    Returns
    -------
    A row per point, in the order of ``context_of(home, memo).ways.ids``; empty rows in a home without ways.
    """
    ways = context_of(home, memo).ways
    parts: tuple[object, ...] = (trade, ways, *(home.table(kind) for kind in _STANDS_ON))
    return memo.get("survey.priors", "", parts, lambda: _make(home, memo, trade, ways))


@dataclass(frozen=True, slots=True)
class _Way:
    """What is known of a way: its device, label, and (where only some ways have it) its residual current protection."""

    device: Device
    said: LabelWords
    protected: bool | None
    bare: float


class _Board:
    """All that is asked of the ways, worked out once per kind, load and place."""

    def __init__(self, home: Home, memo: Memo, trade: Trade, ways: Ways) -> None:
        self.home, self.memo, self.trade = home, memo, trade
        self.fed = feeders(home, memo)
        self.ways = self._ways(ways)
        self.rooms = {room.id: read_room(room, trade) for room in home.table(Room).values()}
        self.storeys = {storey.id: read_label(storey.name, trade) for storey in home.table(Storey).values()}
        self.levels = {storey.level for storey in home.table(Storey).values()}
        names = frozenset(word for room in self.rooms.values() for word in room.others)
        labels = list(dict.fromkeys(way.said for way in self.ways))
        number = {said: n for n, said in enumerate(labels)}
        self.labels = labels
        self.label_of = [number[way.said] for way in self.ways]
        self.names_some_room = [bool(said.others & names) for said in labels]
        self.sub_boards = {
            board: (room_of(home, memo, record), storey_of(home, memo, record))
            for board in self.fed
            if (record := home.find(Board, board)) is not None
        }
        self._by_kind: dict[tuple[PointKind, frozenset[str]], list[float]] = {}
        self._by_place: dict[_Place, list[float] | None] = {}

    def kind(self, kind: PointKind, things: frozenset[str]) -> list[float]:
        """Give how well every way suits a kind of point that feeds some things."""
        found = self._by_kind.get((kind, things))
        if found is None:
            suits = self.trade.suits(kind)
            label = [self._label_fits_kind(said, kind, things) for said in self.labels]
            found = [
                way.bare * label[n] * suits.at(way.device.rating_a) * _seen(way, suits)
                for way, n in zip(self.ways, self.label_of, strict=True)
            ]
            self._by_kind[kind, things] = found
        return found

    def place(self, room: str | None, storey: str | None) -> list[float] | None:
        """Give how well every way suits a place; None when nothing is known of it, or nothing tells."""
        if (room, storey) not in self._by_place:
            label = [self._label_fits_place(n, room, storey) for n in range(len(self.labels))]
            times = [
                label[n] * self._board_fits(way.device.board, room, storey)
                for way, n in zip(self.ways, self.label_of, strict=True)
            ]
            self._by_place[room, storey] = times if any(each != 1.0 for each in times) else None
        return self._by_place[room, storey]

    def _ways(self, ways: Ways) -> list[_Way]:
        likely = self.trade.likely
        read: dict[str, LabelWords] = {}
        feeding = {device for each in self.fed.values() for device in each}
        devices = [self.home.take(Device, i) for i in ways.ids]
        protected = [self._is_protected(device) for device in devices]
        tells = any(protected) and not all(protected)
        found = []
        for device, has_rcd in zip(devices, protected, strict=True):
            said = read.get(device.label)
            if said is None:
                said = read[device.label] = read_label(device.label, self.trade)
            bare = likely("label says spare") if said.spare else 1.0
            if device.cables_seen == 0:
                bare *= likely("no cable seen at the way")
            if device.id in feeding:
                bare *= likely("way feeds a board")
            found.append(_Way(device, said, has_rcd if tells else None, bare))
        return found

    def _is_protected(self, device: Device) -> bool:
        over = (self.home.take(Device, i) for i in above(self.home, device.id, self.memo))
        return any(d.rcd is not None or self.trade.device(d.kind).residual_current for d in (device, *over))

    def _label_fits_kind(self, said: LabelWords, kind: PointKind, things: frozenset[str]) -> float:
        likely = self.trade.likely
        fits = 1.0
        if said.names_kind(self.trade.point(kind)):
            fits = likely("label names the kind")
        elif kind in said.perhaps:
            fits = likely("label may mean the kind")
        elif said.says_kind:
            stands_in = [self.trade.stand_in(kind, named) for named in said.families | said.kinds]
            fits = max((row.times for row in stands_in if row is not None), default=likely("label names another kind"))
        if things & (said.things | said.others):
            fits = max(fits, likely("label names what is fed"))
        return fits

    def _label_fits_place(self, label: int, room: str | None, storey: str | None) -> float:
        likely, said = self.trade.likely, self.labels[label]
        here = fits_room(said, self.rooms[room]) if room is not None else None
        if room is not None and here is None and self.names_some_room[label]:
            here = False
        if here is True:
            return likely("label names the room")
        level = None
        if storey is not None:
            record = self.home.take(Storey, storey)
            level = fits_storey(said, record, self.levels, self.storeys[storey])
        if level is True:
            return likely("label names the storey")
        if here is False:
            return likely("label names another room")
        return 1.0 if level is None else likely("label names another storey")

    def _board_fits(self, board: str, room: str | None, storey: str | None) -> float:
        if board not in self.sub_boards or storey is None:
            return 1.0
        board_room, board_storey = self.sub_boards[board]
        if board_room is not None and board_room.id == room:
            return self.trade.likely("board fed from another, in the room")
        if board_storey is None:
            return 1.0
        where = "on the storey" if board_storey == storey else "elsewhere"
        return self.trade.likely(f"board fed from another, {where}")


def _make(home: Home, memo: Memo, trade: Trade, ways: Ways) -> Mapping[str, Row]:
    points = [point for point in home.table(Point).values() if point.phase == "existing"]
    if not ways.ids:
        return dict.fromkeys((point.id for point in points), ())
    board = _Board(home, memo, trade, ways)
    index = {way: n for n, way in enumerate(ways.ids)}
    times = {(s, e): trade.likely(f"{s} {e}") for s in ("tag", "run") for e in ("assumed", "inferred", "seen")}
    least = trade.likely("least")
    rooms = rooms_of_points(home, memo)
    known = clues(home, memo, ways.ids)
    read: dict[str, frozenset[str]] = {}
    found: dict[str, Row] = {}
    shared: dict[tuple[object, ...], Row] = {}
    for point in points:
        room = rooms[point.id]
        room_id = room.id if room is not None else None
        storey = storey_of(home, memo, point) if point.place or point.plate or room is None else room.storey
        things = _things(point, trade, read)
        mine: frozenset[Clue] = known.get(point.id, frozenset())
        key = (point.kind, room_id, storey, things, mine)
        row = shared.get(key)
        if row is None:
            place = board.place(room_id, storey)
            weights = board.kind(point.kind, things)
            weights = [a * b for a, b in zip(weights, place, strict=True)] if place is not None else list(weights)
            for clue in mine:
                weights[index[clue.way]] *= times[clue.source, clue.evidence]
            row = shared[key] = _floored(weights, least)
        found[point.id] = row
    return found


def _seen(way: _Way, suits: Suits) -> float:
    """Give what is seen of a way beside its rating says for it."""
    legs = suits.two_cables if way.device.cables_seen == _RING_LEGS else 1.0
    if way.protected is None:
        return legs
    return legs * (suits.with_rcd if way.protected else suits.without_rcd)


def _things(point: Point, trade: Trade, read: dict[str, frozenset[str]]) -> frozenset[str]:
    """Give what a point is said to feed, in the words that a label would have for it."""
    if not point.loads and not point.name:
        return _NOTHING
    text = ", ".join((point.name, *(f"{load.what}, {load.name}" for load in point.loads)))
    known = read.get(text)
    if known is None:
        words = read_label(text, trade)
        known = read[text] = words.things | words.others
    return known


def _floored(weights: Sequence[float], least: float) -> Row:
    floor = max(weights) * least
    raised = [weight if weight > floor else floor for weight in weights]
    total = sum(raised)
    return tuple([weight / total for weight in raised])
