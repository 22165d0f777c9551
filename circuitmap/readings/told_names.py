"""What words name on a circuit: places and runs by their ids or codes, conductors, and figures with units."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.quantities import parse_length_mm, parse_resistance_ohm
from circuitmap.readings.faults import runs_at
from circuitmap.readings.network import Network, ReadingError
from circuitmap.trade import Trade
from circuitmap.words import CORES, Core

CORE_NAMES: Final[dict[Core, str]] = {"L": "line", "N": "neutral", "E": "cpc"}
PLACE: Final = r"the board|board|[a-z]+ ?\d\w*"
"""A place as people type it: a point, a board, or the way itself."""
_CORES: Final[dict[str, Core]] = {
    "l": "L", "line": "L", "phase": "L", "n": "N", "neutral": "N", "e": "E", "cpc": "E", "earth": "E", "pe": "E",
}  # fmt: skip
_FEW: Final = 12


@dataclass(frozen=True)
class Asked:
    """The circuit that words are about."""

    view: CircuitView
    trade: Trade
    network: Network

    def place(self, word: str) -> str:
        """Give the id of the point, board or way that a word names."""
        view, bare = self.view, _bare(word)
        if bare in {_bare(view.code), _bare(view.device.id), "board", "theboard"}:
            return view.device.id
        there = (*view.names, *(board.id for board in view.boards_fed))
        found = next((name for name in there if _bare(name) == bare), None)
        if found is None:
            raise ReadingError(f"{word} isn't on {view.code}; on it are {_few(there) or 'no points'}.")
        return found

    def run(self, word: str) -> str:
        """Give the id of the run that a word names."""
        there = tuple(run.id for run in self.view.runs)
        found = next((run for run in there if _bare(run) == _bare(word)), None)
        if found is None:
            raise ReadingError(f"{word} is no run of {self.view.code}; its runs are {_few(there) or 'none'}.")
        return found

    def between(self, one: str, other: str) -> str:
        """Give the one run drawn between two places."""
        a, b = self.place(one), self.place(other)
        found = [run.id for run in self.view.runs if a != b and {run.a.at, run.b.at} == {a, b}]
        if len(found) > 1:
            raise ReadingError(f"{_few(found)} all run between {one} and {other}: name one of them.")
        if not found:
            beside = _few([self.said(end) for end in self._beside(a)])
            hint = f"; beside {self.said(a)} are {beside}" if beside else ""
            raise ReadingError(f"No run is drawn between {one} and {other} on {self.view.code}{hint}.")
        return found[0]

    def at(self, place: str, run: str | None, towards: str | None) -> str:
        """Give the run of “from R3” or “towards P5” at a place; the only one there when none is named."""
        runs = runs_at(self.network, place)
        found = self.run(run) if run else self.between(self.said(place), towards) if towards else ""
        if found and found not in runs:
            raise ReadingError(f"{found} doesn't end at {self.said(place)}; there end {_few(runs) or 'none'}.")
        if not found and len(runs) != 1:
            which = f"{_few(runs)}: say which, like “from {runs[0]}”" if runs else "no runs"
            raise ReadingError(f"At {self.said(place)} end {which}.")
        return found or runs[0]

    def where(self, run: str) -> str:
        """Say a run by the two places that it alone joins, else by its id."""
        ends = next(((each.a.at, each.b.at) for each in self.view.runs if each.id == run), (None, None))
        alike = [each for each in self.view.runs if {each.a.at, each.b.at} == set(ends)]
        if None in ends or ends[0] == ends[1] or len(alike) != 1:
            return f"in {run}"
        return f"between {self.said(ends[0] or '')} and {self.said(ends[1] or '')}"

    def seen_from(self, place: str, run: str) -> str:
        """Say a run as it leaves a place: by the neighbour that it leads to, else by its id."""
        ends = next(((each.a.at, each.b.at) for each in self.view.runs if each.id == run), (None, None))
        other = ends[1] if ends[0] == place else ends[0]
        if self.where(run).startswith("in ") or other is None:
            return f"from {run}"
        return f"towards {self.said(other)}"

    def said(self, place: str) -> str:
        """Give what a place is called: the way by its code, all else by its id."""
        code = self.view.code
        return code if place == self.view.device.id and re.fullmatch(PLACE, code, re.IGNORECASE) else place

    def _beside(self, place: str) -> tuple[str, ...]:
        ends = [(run.a.at, run.b.at) for run in self.view.runs if place in (run.a.at, run.b.at)]
        return tuple(dict.fromkeys(other for pair in ends for other in pair if other and other != place))


def core_of(word: str) -> Core:
    """Give the conductor that a word means."""
    if word.casefold() == "live":
        raise ReadingError("“live” may be the line or the neutral; say which of them.")
    return _CORES[word.casefold()]


def cores_of(words: str) -> tuple[Core, ...]:
    """Give the conductors of a list, each once, in the usual order."""
    named = {core_of(word) for word in re.findall(r"[a-z]+", words, re.IGNORECASE) if word.casefold() != "and"}
    return tuple(core for core in CORES if core in named)


def two_cores(one: str, other: str) -> tuple[Core, Core]:
    """Give two conductors that must differ."""
    first, second = core_of(one), core_of(other)
    if first == second:
        raise ReadingError(f"{one} and {other} are the same conductor; name two.")
    return first, second


def ohm_of(typed: str) -> float:
    """Read ohms; unit words may be spelt in any case, unit signs not: a small m is a thousandth."""
    found = parse_resistance_ohm(re.sub(r"[A-Za-z]{6,}", _lower, typed.replace("megaohm", "megohm")))
    if not found:
        raise ReadingError("A resistance of nothing is no fault; give more than 0 Ω.")
    return found


def metres_of(typed: str) -> float:
    """Read a length; a bare number is metres."""
    return parse_length_mm(typed, default_unit="m") / 1000


def share_of(percent: str | None) -> float:
    """Read a share of a length in per cent; the middle when none is given."""
    if percent is None:
        return 0.5
    share = float(percent.replace(",", ".")) / 100
    if share > 1:
        raise ReadingError(f"{percent} % is beyond the end of a cable; give 0 to 100 %.")
    return share


def plain(number: float) -> str:
    """Give a number as one types it."""
    return f"{number:.9f}".rstrip("0").rstrip(".")


def _lower(found: "re.Match[str]") -> str:
    return found[0].casefold()


def _bare(word: str) -> str:
    return word.casefold().replace(" ", "")


def _few(names: Sequence[str]) -> str:
    return ", ".join(names[:_FEW]) + (f" and {len(names) - _FEW} more" if len(names) > _FEW else "")
