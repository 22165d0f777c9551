"""What a board label says, read word by word: rooms, storeys, kinds of points, or that nothing is fed.

A label is what somebody once wrote: a clue to begin with, never a proof. Words without a row in the table of synonyms
are kept, since they may be a room's own name. An abbreviation that may be several things says nothing.
"""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from circuitmap.home.records import Room, Storey
from circuitmap.trade import PointRow, Synonym, Trade
from circuitmap.trade.rows import MOST_WORDS
from circuitmap.trade.spelling import parts_of

# Words that tell nothing about where or what, even where they stand in a room's name.
EMPTY_WORDS: Final = frozenset(
    ("room", "rm", "the", "of", "to", "in", "at", "for", "from", "with", "by", "a", "amp", "way", "circuit", "cct",
     "no", "number", "main", "supply", "feed", "only", "other", "area", "floor", "flr", "house", "old", "new", "see")
)  # fmt: skip
_LONGEST_TEXT: Final = 400
_OPPOSED: Final = (frozenset(("front", "rear")), frozenset(("left", "right")))
_NOTHING: Final[frozenset[str]] = frozenset()


@dataclass(frozen=True, slots=True)
class LabelWords:
    """What a text says.

    ``rooms`` are uses of rooms or words of their names, with a number where one stands behind ("bedroom 2").
    ``kinds`` and ``families`` are what the text names, ``perhaps`` kinds that it may mean. ``things`` are loads by name
    (the word of their synonym). ``others`` are words that no row explains.
    """

    rooms: frozenset[str] = _NOTHING
    storeys: frozenset[str] = _NOTHING
    sides: frozenset[str] = _NOTHING
    families: frozenset[str] = _NOTHING
    kinds: frozenset[str] = _NOTHING
    perhaps: frozenset[str] = _NOTHING
    things: frozenset[str] = _NOTHING
    others: frozenset[str] = _NOTHING
    spare: bool = False

    @property
    def says_kind(self) -> bool:
        """Whether a kind or family of points is named, so that others are less likely."""
        return bool(self.kinds or self.families)

    def names_kind(self, row: PointRow) -> bool:
        """Whether a kind of point is named, or its family."""
        return row.kind in self.kinds or row.family in self.families


class _Gathering:
    def __init__(self) -> None:
        self.rooms: dict[str, set[str]] = {}
        self.rows: list[Synonym] = []
        self.others: set[str] = set()


def read_label(text: str, trade: Trade) -> LabelWords:
    """Give what a label says; nothing at all for an empty or unreadable one."""
    found = _Gathering()
    numbered: tuple[str, ...] = ()  # rooms that a number now would belong to, as in "Bed 1, 2 & 3"
    for part in parts_of(text[:_LONGEST_TEXT]):
        at = 0
        while at < len(part):
            row, width = _longest(part, at, trade)
            word = part[at]
            at += width
            if row is not None:
                found.rows.append(row)
                numbered = row.rooms
                for room in row.rooms:
                    found.rooms.setdefault(room, set())
                if not _is_number(part, at):
                    for room in numbered:
                        found.rooms[room].add("")
            elif word.isdecimal():
                for room in numbered if _is_number(part, at - 1) else ():
                    found.rooms[room].add(word.lstrip("0") or "0")
            elif word not in EMPTY_WORDS:
                numbered = ()
                if len(word) > 1:
                    found.others.add(word)
    return _as_words(found)


def read_room(room: Room, trade: Trade) -> LabelWords:
    """Give what a room's name and use say, to be compared with labels; its number, where it has one, holds."""
    name, use = read_label(room.name, trade), read_label(room.use, trade)
    numbered = {_base(each) for each in name.rooms}
    rooms = name.rooms | {each for each in use.rooms if _base(each) not in numbered}
    return LabelWords(rooms=rooms, sides=name.sides, others=name.others | use.others)


def fits_room(said: LabelWords, room: LabelWords) -> bool | None:
    """Give whether a label names a room, None where it says nothing about rooms.

    A number tells apart only rooms that have one: "Bed 2" may well be the back bedroom. A side of the house alone
    names or excludes only rooms that have one in their names.

    Parameters
    ----------
    said
        The label, by ``read_label``.
    room
        The room, by ``read_room``.
    """
    if not (said.rooms or said.others or said.sides):
        return None
    apart = any(
        said.sides & pair and room.sides & pair and not said.sides & room.sides & pair for pair in _OPPOSED
    )  # fmt: skip
    if said.others & room.others:
        return not apart
    if said.rooms:
        return not apart and any(_is_same(a, b) for a in said.rooms for b in room.rooms)
    if said.sides and room.sides:
        return bool(said.sides & room.sides) and not apart
    return None


def fits_storey(said: LabelWords, storey: Storey, levels: Collection[int], named: LabelWords) -> bool | None:
    """Give whether a label names a storey, None where it says nothing about storeys.

    Parameters
    ----------
    said
        The label, by ``read_label``.
    storey
        The storey.
    levels
        The levels of all storeys of the home: what is up and what is on top depends on them.
    named
        The storey's own name, by ``read_label``.
    """
    if said.rooms & named.rooms or said.others & named.others:
        return True
    if not said.storeys:
        return None
    level = storey.level
    entry = min((each for each in levels if each >= 0), default=level)
    words = {
        "basement": level < 0,
        "ground": level == 0,
        "first": level == 1,
        "second": level == 2,
        "third": level == 3,
        "top": level == max(levels, default=level),
        "up": level > entry,
        "down": level <= entry,
    }
    return any(words[word] for word in said.storeys) or bool(said.storeys & named.storeys)


def _is_number(part: list[str], at: int) -> bool:
    """Whether a number stands there that isn't a rating."""
    return at < len(part) and part[at].isdecimal() and part[at + 1 : at + 2] not in (["a"], ["amp"])


def _longest(part: list[str], at: int, trade: Trade) -> tuple[Synonym | None, int]:
    for width in range(min(MOST_WORDS, len(part) - at), 0, -1):
        row = trade.synonym(" ".join(part[at : at + width]))
        if row is not None:
            return row, width
    return None, 1


def _as_words(found: _Gathering) -> LabelWords:
    rows = found.rows
    return LabelWords(
        rooms=frozenset(f"{room} {n}".rstrip() for room, numbers in found.rooms.items() for n in numbers),
        storeys=frozenset(each for row in rows for each in row.storeys),
        sides=frozenset(each for row in rows for each in row.sides),
        families=frozenset(each for row in rows for each in row.families),
        kinds=frozenset(each for row in rows for each in row.kinds),
        perhaps=frozenset(each for row in rows for each in row.perhaps),
        things=frozenset(row.word for row in rows if row.kinds and not row.families and not row.rooms),
        others=frozenset(found.others),
        spare=any(row.spare for row in rows),
    )


def _base(room: str) -> str:
    return _number(room)[0]


def _is_same(said: str, room: str) -> bool:
    (a, first), (b, second) = _number(said), _number(room)
    return a == b and (not first or not second or first == second)


def _number(room: str) -> tuple[str, str]:
    word, _, last = room.rpartition(" ")
    return (word, last) if word and last.isdecimal() else (room, "")
