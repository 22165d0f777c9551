"""Causes and the next reading as sentences; places go by their numbers, as on the plan."""

from collections.abc import Callable, Sequence
from math import inf
from typing import Final

from circuitmap.readings.causes import CAUSE_WORDS, CauseKind
from circuitmap.readings.separate import Way
from circuitmap.readings.suspects import Suspect
from circuitmap.readings.weigh import Asked, Case, Ranked
from circuitmap.words import Core

CORE_WORDS: Final[dict[Core, str]] = {"L": "line", "N": "neutral", "E": "cpc"}
_FAR: Final = 3.0  # standard deviations from which on a reading speaks against the map
_MANY: Final = 5
_UNSURE: Final = 2.2  # between what a length may lie, as a ratio, beyond which no figure is given


def say_test(link: str | None, cores: tuple[Core, ...]) -> str:
    """Give a test as the trade says it: "line–neutral cross-linked"."""
    pair = pair_words(cores)
    return {
        "end to end": f"{CORE_WORDS[cores[0]]} end to end",
        "cross": f"{pair} cross-linked",
        "one leg": f"{pair} linked on one leg",
        "same leg": f"{pair} linked on the same leg",
        "radial": f"{pair} linked at the board",
    }.get(link or "", pair)


def pair_words(cores: tuple[Core, ...]) -> str:
    """Give two conductors in words: "line–cpc"."""
    return "–".join(CORE_WORDS[core] for core in cores)


def say_place(case: Case, place: str) -> str:
    """Give a point by its number, the device as the board."""
    return "the board" if place == case.base.network.device else place


def say_cause(case: Case, group: Sequence[Ranked], size: tuple[float, float, float]) -> str:
    """Give a cause in one sentence; ``group`` are the places that no reading taken tells apart."""
    suspect = group[0].suspect
    what = _WHAT[suspect.kind](case, suspect, size)
    if len(group) == 1 or suspect.kind in {"healthy", "none of these"}:
        return f"{what}{_where(case, suspect)}."
    named = {run for each in group for run in each.suspect.runs}
    runs = [run for run in case.base.runs if run in named]
    places = tuple(dict.fromkeys(place for each in group for place in each.suspect.at if place[0] == "P"))
    among = f"{_some(runs)}" if runs else _some(places)
    return f"{what}, somewhere among {among}: the readings so far can't tell where."


def _where(case: Case, suspect: Suspect) -> str:
    if suspect.kind in {"open core", "bad joint", "other length"}:
        a, b = suspect.at
        comma = "," if suspect.kind == "other length" else ""
        return f"{comma} between {say_place(case, a)} and {say_place(case, b)} ({suspect.runs[0]})"
    if suspect.kind == "swapped":
        if suspect.runs:
            a, b = suspect.at
            return f" in the cable between {say_place(case, a)} and {say_place(case, b)} ({suspect.runs[0]})"
        return f" at {suspect.at[0]}"
    return ""


def _healthy(case: Case, suspect: Suspect, size: tuple[float, float, float]) -> str:
    return "As drawn: the readings fit the map, with any fault that is drawn on it"


def _open(case: Case, suspect: Suspect, size: tuple[float, float, float]) -> str:
    if len(suspect.cores) > 1:
        return "All conductors open: the cable is cut, or out of its terminals"
    return f"{CORE_WORDS[suspect.cores[0]].capitalize()} open"


def _joint(case: Case, suspect: Suspect, size: tuple[float, float, float]) -> str:
    return f"High-resistance joint of about {_ohms(*size)} in the {CORE_WORDS[suspect.cores[0]]}"


def _spur(case: Case, suspect: Suspect, size: tuple[float, float, float]) -> str:
    off = f"off {suspect.detail}" if not suspect.detail.startswith("between") else _between(case, suspect)
    drawn = "on the ring" if len(case.base.network.legs) > 1 else "in the line of the cable"
    return f"{suspect.at[0]} hangs on a spur of about {_metres(*size)}, {off}; the map draws it {drawn}"


def _between(case: Case, suspect: Suspect) -> str:
    a, b = suspect.detail.removeprefix("between ").split(" and ")
    return f"from a joint between {say_place(case, a)} and {say_place(case, b)}"


def _same_leg(case: Case, suspect: Suspect, size: tuple[float, float, float]) -> str:
    which = f"the {pair_words(suspect.cores)}" if suspect.cores else "all cross-linked"
    return f"The links for {which} readings were made on the same leg, not crossed"


def _bridge(case: Case, suspect: Suspect, size: tuple[float, float, float]) -> str:
    a, b = suspect.at
    return f"{a} and {b} are interconnected by about {_metres(*size)} of cable that the map doesn't show"


def _swapped(case: Case, suspect: Suspect, size: tuple[float, float, float]) -> str:
    one, other = suspect.cores
    return f"{CORE_WORDS[one].capitalize()} and {CORE_WORDS[other]} swapped"


def _length(case: Case, suspect: Suspect, size: tuple[float, float, float]) -> str:
    if suspect.detail:
        return f"Another cable than the map says ({suspect.detail} mm²)"
    if size[2] > _UNSURE * size[1]:
        return "Much longer or shorter than the map says, or of another size"
    return f"About {size[0]:.1f} times as long as the map says, or of another size"


def _cable(case: Case, suspect: Suspect, size: tuple[float, float, float]) -> str:
    return f"The whole circuit is wired in {suspect.detail} mm², not in the cable on the map"


def _contact(case: Case, suspect: Suspect, size: tuple[float, float, float]) -> str:
    asked = case.ordered[int(suspect.detail)]
    return (
        f"A poor contact while reading {say_test(asked.link, asked.cores)} at {say_place(case, asked.at)} added about "
        f"{_ohms(*size)}: read it again"
    )


def _none(case: Case, suspect: Suspect, size: tuple[float, float, float]) -> str:
    return "None of these explains all the readings: more than one thing is wrong, or the map or a reading is"


Size = tuple[float, float, float]
_WHAT: Final[dict[CauseKind, Callable[[Case, Suspect, Size], str]]] = {
    "healthy": _healthy,
    "open core": _open,
    "bad joint": _joint,
    "on a spur": _spur,
    "same leg": _same_leg,
    "bridge": _bridge,
    "swapped": _swapped,
    "other length": _length,
    "other cable": _cable,
    "bad contact": _contact,
    "none of these": _none,
}


def why_cause(case: Case, best: Ranked, healthy: Ranked | None) -> str:
    """Say which readings speak for a cause: those that the circuit as drawn doesn't explain, and how well this does."""
    if healthy is None or best.suspect.kind in {"healthy", "none of these"}:
        odd = _odd(case, best)
        if best.suspect.kind == "none of these":
            return f"Left unexplained by the best of them: {_listed(case, best, odd)}." if odd else ""
        return "Every reading is within what the lengths and the meter leave open." if not odd else ""
    odd = _odd(case, healthy)
    if not odd:
        return "No single reading stands out from the map; together they fit this better."
    own = _odd(case, best)
    rest = f"; {_listed(case, best, own)} not explained by this either" if own else "; this explains them"
    return f"Against the map stand out: {_listed(case, healthy, odd)}{rest}."


def _odd(case: Case, ranked: Ranked) -> list[int]:
    found: list[tuple[float, int]] = []
    for column, asked in enumerate(case.ordered):
        expected = float(ranked.ohm[column])
        if asked.ohm == inf or expected == inf:
            if asked.ohm != expected and not asked.bound < 0:
                found.append((inf, column))
        elif asked.bound == 0:
            off = abs(asked.ohm - expected) / asked.variance**0.5
            if off > _FAR:
                found.append((off, column))
    return [column for _, column in sorted(found, reverse=True)]


def _listed(case: Case, ranked: Ranked, columns: Sequence[int]) -> str:
    named = [_one(case, case.ordered[column], float(ranked.ohm[column])) for column in columns[:3]]
    more = f" and {len(columns) - 3} more" if len(columns) > 3 else ""
    return ", ".join(named) + more


def _one(case: Case, asked: Asked, expected: float) -> str:
    said = "open" if asked.ohm == inf else f"{asked.ohm:.2f} Ω"
    should = "open" if expected == inf else f"{expected:.2f} Ω"
    return f"{say_place(case, asked.at)} {said} where {should} would fit ({say_test(asked.link, asked.cores)})"


def say_next(way: Way, at: str, device: str, legs: Sequence[str]) -> str:
    """Give the instruction for a reading."""
    _, link, cores = way
    if link == "end to end":
        return f"At the board, read the {CORE_WORDS[cores[0]]} end to end, both legs out."
    if link == "one leg":
        where = "at the far leg" if at == device else f"at {at}"
        return f"Link {pair_words(cores)} on one leg ({legs[0]}) and read them {where}."
    if link == "cross":
        where = "between the links at the board" if at == device else f"at {at}"
        return f"Cross-link {pair_words(cores)} and read them {where}."
    where = "at the board" if at == device else f"at {at}"
    return f"Link {pair_words(cores)} at the board and read them {where}."


def tells_apart(suspects: Sequence[Suspect], places: int) -> str:
    """Say between what a reading would decide."""
    if places > 1:
        return f"It narrows down which of {places} places it is."
    named = list(dict.fromkeys(CAUSE_WORDS[suspect.kind] for suspect in suspects if suspect.kind != "none of these"))
    if len(named) > 1:
        return f"It helps to tell “{named[0]}” from “{named[1]}”."
    return f"It helps to make sure of “{named[0]}”." if named else ""


def _ohms(size: float, low: float, high: float) -> str:
    return f"{size:.2f} Ω ({low:.2f} to {high:.2f})"


def _metres(size: float, low: float, high: float) -> str:
    return f"{size:.1f} m ({low:.1f} to {high:.1f})"


def _some(names: Sequence[str]) -> str:
    more = f" and {len(names) - _MANY} more" if len(names) > _MANY else ""
    return ", ".join(names[:_MANY]) + more
