"""The survey on paper: a numbered list to tick off, and the answers typed back in a line or two."""

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Final

from circuitmap.errors import PersonError
from circuitmap.home.records import Device, Plate, Point, Room, Round, Storey
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan import rooms_of_points
from circuitmap.survey.impact import after_power, cautions
from circuitmap.survey.kinds import is_way
from circuitmap.survey.walk import walk_order
from circuitmap.trade import Trade
from circuitmap.words import Outcome

_LIGHTS: Final = ("light", "downlight", "outdoor light", "ceiling rose")
_WORDS: Final[dict[str, Outcome]] = {
    "off": "off", "went off": "off", "o": "off",
    "on": "still on", "still on": "still on", "s": "still on",
    "glow": "faint glow", "faint glow": "faint glow", "faint": "faint glow", "g": "faint glow",
    "?": "can't tell", "can't tell": "can't tell", "cant tell": "can't tell", "c": "can't tell",
}  # fmt: skip
_TOKEN: Final = re.compile(
    r"\s*(?:(?P<number>\d+)\s*(?:[-–—]\s*(?P<last>\d+))?|(?P<comma>,)|(?P<except>except|but not|without)\b"
    r"|(?P<all>all|rest)\b|(?P<and>and|&)(?=\s)|(?P<word>went off|still on|faint glow|can['’]?t tell|[^\s,;\d]+))",
    re.IGNORECASE,
)
_MOST: Final = 100_000  # characters; a sheet has a few hundred


class AnswersError(PersonError):
    """Typed answers that can't be read; nothing of them was taken."""

    def __init__(self, problems: Iterable[str]) -> None:
        self.problems = tuple(problems)
        super().__init__(*self.problems)

    def __str__(self) -> str:
        return " ".join([*self.problems, "Nothing was taken."])


@dataclass(frozen=True, slots=True)
class Line:
    """One numbered line of a sheet; lights that the same switch works share a line."""

    number: int
    points: tuple[str, ...]
    room: str
    words: str


def lines_of(home: Home, memo: Memo | None = None, trade: Trade | None = None) -> tuple[Line, ...]:
    """Give the lines of a sheet in walk order, numbered from 1; only what can be looked at in a switch-off is on it."""
    memo = memo if memo is not None else Memo()
    rooms, table = rooms_of_points(home, memo), home.table(Point)
    worked_by: dict[str, set[str]] = {}
    for switch in table.values():
        for light in switch.controls:
            worked_by.setdefault(light, set()).add(switch.id)
    groups: dict[object, list[str]] = {}
    for point_id in walk_order(home, None, memo):
        point = table[point_id]
        if trade is not None and not trade.point(point.kind).checkable:
            continue
        room = rooms.get(point_id)
        key: object = point_id
        if point.kind in _LIGHTS and point_id in worked_by:
            key = (frozenset(worked_by[point_id]), room.id if room is not None else None)
        groups.setdefault(key, []).append(point_id)
    return tuple(
        Line(number, tuple(points), _room_words(home, rooms.get(points[0])), _point_words(home, points))
        for number, points in enumerate(groups.values(), 1)
    )


def parse_answers(text: str, numbers: Collection[int]) -> tuple[tuple[int, Outcome], ...]:
    """Read answers such as "1–14 off except 6, 9; 6 on; 3,4 glow; 7 ?", each number once, in order.

    Raises
    ------
    AnswersError
        When any part can't be read, names a number that the sheet hasn't, or gives one number two outcomes. It lists
        every bad part; nothing is taken.
    """
    if len(text) > _MOST:
        raise AnswersError([f"That is {len(text)} characters, more than any sheet holds; type in one sheet at a time."])
    known = frozenset(numbers)
    given: dict[int, Outcome] = {}
    problems: list[str] = []
    later: list[tuple[set[int], Outcome]] = []
    for part in re.split(r"[;\n]", text):
        if not part.strip():
            continue
        try:
            for chosen, outcome, is_rest in _Part(part.strip(), known).read():
                if is_rest:
                    later.append((chosen, outcome))
                else:
                    _give(given, chosen, outcome, part)
        except _BadPartError as bad:
            problems.append(str(bad))
    if len(later) > 1:
        problems.append("“rest” can be said once only.")
    elif later:
        for number in later[0][0] - given.keys():
            given[number] = later[0][1]
    if problems:
        raise AnswersError(problems)
    return tuple(sorted(given.items()))


def sheet_text(home: Home, round_id: str | None = None, memo: Memo | None = None, trade: Trade | None = None) -> str:
    """Give a sheet to print: what is off, the cautions, a line per point with boxes to tick, what to do afterwards."""
    memo = memo if memo is not None else Memo()
    record = home.take(Round, round_id) if round_id is not None else None
    off = record.off if record is not None else ()
    codes = ", ".join(home.code(device) for device in off)
    head = [f"Switch-off survey: {_plain(home.details.name) or 'home'}"]
    if record is not None:
        head.append(f"Switch-off {record.id}: {codes} off" if off else f"{record.id}: look with everything on")
    else:
        head.append("Off: ______________________________")
    head.append("Tick what is found. “Went off” is not proof of isolation: prove dead at the point of work.")
    # A sheet printed beforehand is for any switch-off, so it carries what any of them calls for.
    concerned = off if record is not None else tuple(d.id for d in home.sorted(Device) if is_way(d))
    for caution in cautions(home, concerned, memo, trade):
        head.append(f"! {caution}")
    lines = lines_of(home, memo, trade)
    wide = max((len(line.words) for line in lines), default=0)
    body: list[str] = []
    room: str | None = None
    for line in lines:
        if line.room != room:
            room = line.room
            body += ["", room or "No room given"]
        body.append(f"{line.number:>4}  {line.words:<{wide}}  [ ] went off  [ ] still on  [ ] glow  [ ] can't tell")
    tail = ["", "Witness lamp looked at: [ ] [ ] [ ] [ ] [ ]", ""]
    tail += [f"Afterwards: {sentence}" for sentence in after_power(home, trade)] if off or record is None else []
    tail.append("To type in: 1–14 off except 6, 9; 6 on; 3, 4 glow; 7 ?")
    return "\n".join([*head, *body, *tail]) + "\n"


def _room_words(home: Home, room: Room | None) -> str:
    if room is None:
        return ""
    storey = home.find(Storey, room.storey)
    return _plain(room.name) + (f", {_plain(storey.name)}" if storey is not None else "")


def _point_words(home: Home, points: list[str]) -> str:
    first = home.take(Point, points[0])
    plate = home.find(Plate, first.plate)
    gangs = {2: "double ", 3: "triple "}.get(first.gangs, "") if "socket" in first.kind else ""
    many = f"{len(points)} × " if len(points) > 1 else ""
    words = f"{many}{gangs}{first.kind} {first.id}" + (f"–{points[-1]}" if len(points) > 1 else "")
    extra = [_plain(first.name), _plain(first.where)]
    extra.append("same plate as others" if plate is not None and len(home.used_by(plate.id)) > 1 else "")
    extra.append(f"can't be checked: {_plain(first.uncheckable)}" if first.uncheckable else "")
    return ", ".join([words, *(each for each in extra if each)])


def _plain(text: str) -> str:
    """Give a typed text on one line and short enough for a sheet."""
    line = " ".join(text.split())
    return line if len(line) <= 50 else line[:49] + "…"


class _BadPartError(ValueError):
    """One part of the answers that can't be read."""


class _Part:
    """Reads what stands between two semicolons."""

    def __init__(self, text: str, known: frozenset[int]) -> None:
        self.text, self.known = text, known

    def read(self) -> list[tuple[set[int], Outcome, bool]]:
        found: list[tuple[set[int], Outcome, bool]] = []
        chosen: set[int] = set()
        without: set[int] | None = None
        rest = False
        for name, value in self._tokens():
            match name:
                case "numbers" if without is not None:
                    without |= self._range(value)
                case "numbers":
                    chosen |= self._range(value)
                case "all":
                    chosen, rest = set(self.known), value.casefold() == "rest"
                case "except":
                    if not found or chosen or without is not None:
                        raise self._bad("“except” stands after an outcome, as in “1–14 off except 6, 9”")
                    without = set()
                case "word":
                    if without is not None:
                        raise self._bad("put a semicolon where the exceptions end")
                    outcome = self._outcome(value)
                    if not chosen:
                        raise self._bad(f"say which numbers are “{value}”")
                    found.append((chosen, outcome, rest))
                    chosen, rest = set(), False
        if chosen:
            raise self._bad("say what was found there: off, on, glow or ?")
        if without is not None:
            if not without:
                raise self._bad("say which numbers are excepted")
            last, outcome, was_rest = found[-1]
            if stray := without - last:
                raise self._bad(f"{min(stray)} is excepted but wasn't named before")
            found[-1] = (last - without, outcome, was_rest)
        return found

    def _tokens(self) -> Iterable[tuple[str, str]]:
        at = 0
        while at < len(self.text):
            match = _TOKEN.match(self.text, at)
            if match is None or match.end() == at:
                if not self.text[at:].strip():
                    return
                raise self._bad("it can't be read")
            at = match.end()
            kind = match.lastgroup or ""
            if kind in ("number", "last"):
                yield "numbers", match.group().strip()
            elif kind not in ("comma", "and"):
                yield kind, match.group().strip()

    def _range(self, value: str) -> set[int]:
        ends = [int(each[:9]) for each in re.findall(r"\d+", value)]
        first, last = ends[0], ends[-1]
        if last < first:
            raise self._bad(f"{first}–{last} runs backwards")
        if last - first > _MOST:
            raise self._bad(f"{first}–{last} is longer than any sheet")
        asked = set(range(first, last + 1))
        if strange := asked - self.known:
            upto = f"; it goes from {min(self.known)} to {max(self.known)}" if self.known else ", it is empty"
            raise self._bad(f"there is no {min(strange)} on the sheet{upto}")
        return asked

    def _outcome(self, value: str) -> Outcome:
        word = value.casefold().replace("’", "'").strip(".")
        if word == "dead":
            raise self._bad("“dead” is kept for proved dead; write off")
        outcome = _WORDS.get(" ".join(word.split()))
        if outcome is None:
            shown = value if len(value) <= 20 else value[:19] + "…"
            raise self._bad(f"“{shown}” is none of off, on, glow, ?")
        return outcome

    def _bad(self, why: str) -> _BadPartError:
        shown = self.text if len(self.text) <= 40 else self.text[:39] + "…"
        return _BadPartError(f"“{shown}”: {why}.")


def _give(given: dict[int, Outcome], chosen: set[int], outcome: Outcome, part: str) -> None:
    for number in sorted(chosen):
        if given.get(number, outcome) != outcome:
            raise _BadPartError(f"“{part.strip()[:40]}”: {number} was given as {given[number]} before.")
    given.update(dict.fromkeys(chosen, outcome))
