"""Answers typed back from a sheet in a line or two, by the numbers of its lines or the points' own."""

import re
from collections.abc import Collection, Iterable, Mapping
from typing import Final

from circuitmap.errors import PersonError
from circuitmap.words import Outcome

_WORDS: Final[dict[str, Outcome]] = {
    "off": "off", "went off": "off", "o": "off",
    "on": "still on", "still on": "still on", "s": "still on",
    "glow": "faint glow", "faint glow": "faint glow", "faint": "faint glow", "g": "faint glow",
    "?": "can't tell", "can't tell": "can't tell", "cant tell": "can't tell", "c": "can't tell",
}  # fmt: skip
_TOKEN: Final = re.compile(
    r"\s*(?:(?P<point>P\d+)\b|(?P<number>\d+)\s*(?:[-–—]\s*(?P<last>\d+))?|(?P<comma>,)"
    r"|(?P<except>except|but not|without)\b|(?P<all>all|rest)\b|(?P<and>and|&)(?=\s)"
    r"|(?P<word>went off|still on|faint glow|can['’]?t tell|[^\s,;\d]+))",
    re.IGNORECASE,
)
_CODE: Final = re.compile(r"\s*([A-Za-z]{2}\d{2})(?:\s*:|(?=\s))")
_MOST: Final = 100_000  # characters; a sheet has a few hundred


class AnswersError(PersonError):
    """Typed answers that can't be read; nothing of them was taken."""

    def __init__(self, problems: Iterable[str]) -> None:
        self.problems = tuple(problems)
        super().__init__(*self.problems)

    def __str__(self) -> str:
        return " ".join([*self.problems, "Nothing was taken."])


def split_code(text: str) -> tuple[str, str]:
    """Give the sheet's code that typed answers begin with, empty when they don't, and the rest of them."""
    match = _CODE.match(text)
    return (match.group(1).upper(), text[match.end() :]) if match is not None else ("", text)


def parse_answers(
    text: str, numbers: Collection[int], points: Mapping[str, int] | None = None
) -> tuple[tuple[int, Outcome], ...]:
    """Read answers such as "1–14 off except 6, 9; 6 on; 3,4 glow; 7 ?", each number once, in order.

    Parameters
    ----------
    points
        The number of the line that a point is on, by its id: then "P12 off" is read too.

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
            for chosen, outcome, is_rest in _Part(part.strip(), known, points or {}).read():
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


class _BadPartError(ValueError):
    """One part of the answers that can't be read."""


class _Part:
    """Reads what stands between two semicolons."""

    def __init__(self, text: str, known: frozenset[int], points: Mapping[str, int]) -> None:
        self.text, self.known, self.points = text, known, points

    def read(self) -> list[tuple[set[int], Outcome, bool]]:
        found: list[tuple[set[int], Outcome, bool]] = []
        chosen: set[int] = set()
        without: set[int] | None = None
        rest = False
        for name, value in self._tokens():
            match name:
                case "numbers" | "point" if without is not None:
                    without |= self._range(value)
                case "numbers" | "point":
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
        if value[0] in "Pp":
            line = self.points.get(value.upper())
            if line is None:
                raise self._bad(f"{value.upper()[:12]} is not on the sheet")
            return {line}
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
