"""Faults in words, and words of faults: “open line between P4 and P5” for a network, and back again.

What somebody types is read against one circuit: places and runs must be on it. Each form that is understood stands in
``FORMS``; what isn't one of them gets a sentence that lists them.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from math import isclose
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.home.snapshot import Home
from circuitmap.readings.drawn import network_of
from circuitmap.readings.faults import (
    MEGOHM,
    Bridge,
    Fault,
    Joint,
    LowInsulation,
    OpenCore,
    Stretched,
    Swapped,
    bridge,
    missing_cpc,
)
from circuitmap.readings.network import ReadingError
from circuitmap.readings.spurred import OnSpur, on_spur
from circuitmap.readings.told_names import (
    CORE_NAMES,
    PLACE,
    Asked,
    core_of,
    cores_of,
    metres_of,
    ohm_of,
    plain,
    share_of,
    two_cores,
)
from circuitmap.trade import Trade
from circuitmap.words import CORES, Core

LONGEST: Final = 200
SAME_LEG: Final = "links on the same leg"
FORMS: Final = (
    "open line between P4 and P5",
    "open L, N and E in R12 at P4",
    "missing cpc in R7",
    "bad joint of 0.4 ohm on the line at P4 towards P5",
    "swapped line and neutral at P4 from R3",
    "bridge of 6 m between P2 and P9",
    "low insulation of 0.3 megohm between line and cpc at P5",
    "R7 1.8 times as long",
    "P5 on a spur of 4 m from P4",
    SAME_LEG,
)
"""One example of each form; the names of places and runs are only examples too."""
_BRIDGE_CABLE: Final = "T&E 2.5/1.5"


@dataclass(frozen=True, slots=True)
class SameLeg:
    """Both links of a cross-linked test made on the same leg: a mistake at the board, no fault of the wiring.

    ``cores`` are those of the test in which it was made; in every cross-linked test when none are named.
    """

    cores: tuple[Core, ...] = ()

    def spoils(self, cores: tuple[Core, Core]) -> bool:
        """Whether the test of two cores was linked so."""
        return not self.cores or set(self.cores) == set(cores)


Told = Fault | SameLeg


def parse_fault(text: str, view: CircuitView, trade: Trade, home: Home | None = None) -> Told:
    """Read one fault of a circuit from words.

    Raises
    ------
    ReadingError
        When the words are none of ``FORMS``, or name what isn't on the circuit; the sentence says which.
    QuantityError
        When a figure in them can't be read.
    """
    words = " ".join(text.split()).strip(" .;,“”\"'")
    if not words:
        raise ReadingError(f"Say what is wrong, {_FORMS_IN_WORDS}.")
    if len(words) > LONGEST:
        raise ReadingError(f"{len(words)} characters are too many for one fault; write it {_FORMS_IN_WORDS}.")
    asked = _asked(view, trade, home)
    for form, read in _READERS:
        found = form.fullmatch(words)
        if found is not None:
            told = read(asked, found)
            if not isinstance(told, SameLeg):
                told.edit(asked.network)  # what can't be done to this circuit is said now
            return told
    raise ReadingError(f"“{words[:80]}” isn't understood as a fault; write it {_FORMS_IN_WORDS}.")


def words_of(fault: Told, view: CircuitView, trade: Trade, home: Home | None = None) -> str:
    """Say a fault of a circuit in words from which ``parse_fault`` reads it again.

    Raises
    ------
    ReadingError
        When it is of a kind that has no words.
    """
    asked = _asked(view, trade, home)
    match fault:
        case SameLeg():
            return (
                f"{SAME_LEG} for {' and '.join(CORE_NAMES[core] for core in fault.cores)}" if fault.cores else SAME_LEG
            )
        case OpenCore():
            return _open_words(asked, fault)
        case Joint():
            core, place = CORE_NAMES[fault.core], asked.said(fault.at)
            where = asked.seen_from(fault.at, fault.run)
            return f"bad joint of {plain(fault.ohm)} ohm on the {core} at {place} {where}"
        case Swapped():
            said = f"swapped {_and(fault.cores)} at {asked.said(fault.at)}"
            return f"{said} {asked.seen_from(fault.at, fault.run)}" if fault.run else said
        case Bridge():
            cable, length_m = _cable_of(trade, fault)
            of_it = "" if cable == _BRIDGE_CABLE else f" of {cable}"
            return f"bridge of {plain(length_m)} m{of_it} between {asked.said(fault.a)} and {asked.said(fault.b)}"
        case LowInsulation():
            where = f"at {asked.said(fault.at)}" if fault.at else f"along {fault.run}{_share_words(fault.share)}"
            return f"low insulation of {plain(fault.megohm)} megohm between {_and(fault.cores)} {where}"
        case Stretched():
            return f"{fault.run} {plain(fault.times)} times as long"
        case OnSpur():
            said = f"{fault.point} on a spur of {plain(fault.length_m)} m"
            if fault.at is None:
                return said
            return f"{said} from {asked.said(fault.at)}" if isinstance(fault.at, str) else said + _at_share(fault.at)
    raise ReadingError("This kind of fault has no words.")


# -- saying -------------------------------------------------------------------------------------------------------


def _open_words(asked: Asked, fault: OpenCore) -> str:
    if fault == missing_cpc(fault.run):
        return f"missing cpc in {fault.run}"
    cores = ", ".join(CORE_NAMES[core] for core in fault.cores)
    ends = {run.id: (run.a.at, run.b.at) for run in asked.view.runs}.get(fault.run)
    if ends is not None and ends[0] != ends[1] and fault.share in (0, 1):
        return f"open {cores} in {fault.run} at {asked.said(ends[int(fault.share)] or '')}"
    return (
        f"open {cores} {asked.where(fault.run) if fault.share == 0.5 else f'in {fault.run}'}{_share_words(fault.share)}"
    )


def _share_words(share: float) -> str:
    return "" if share == 0.5 else _at_share(share)


def _at_share(share: float) -> str:
    return f" at {plain(share * 100)} %"


def _and(cores: tuple[Core, Core]) -> str:
    return " and ".join(CORE_NAMES[core] for core in cores)


def _cable_of(trade: Trade, fault: Bridge) -> tuple[str, float]:
    """Give a cable that has a bridge's ohms, and its length in metres at 20 °C; ours before all others."""
    first = trade.cable(_BRIDGE_CABLE)
    for cable in (*((first,) if first is not None else ()), *trade.cables()):
        live, cpc = trade.cable_ohm_per_m(cable)
        if live is None or "L" not in fault.ohm or (cpc is None) != ("E" not in fault.ohm):
            continue
        length_m = fault.ohm["L"] / live
        fits = isclose(fault.ohm.get("N", -1.0), live * length_m, rel_tol=1e-9)
        if fits and (cpc is None or isclose(fault.ohm["E"], cpc * length_m, rel_tol=1e-9)):
            return cable.code, length_m
    raise ReadingError(f"No cable in the tables has the ohms of the bridge between {fault.a} and {fault.b}.")


# -- reading ------------------------------------------------------------------------------------------------------


def _asked(view: CircuitView, trade: Trade, home: Home | None) -> Asked:
    return Asked(view, trade, network_of(view, trade, home=home))


def _run(asked: Asked, found: "re.Match[str]") -> str:
    return asked.run(found["run"]) if found["run"] else asked.between(found["a"], found["b"])


def _open(asked: Asked, found: "re.Match[str]") -> Told:
    run = _run(asked, found)
    cores = cores_of(found["cores"]) if found["cores"] else CORES
    _check_cores(asked, run, cores if found["cores"] else ())
    share = share_of(found["percent"])
    if found["end"]:
        end = asked.place(found["end"])
        ends = next((each.a.at, each.b.at) for each in asked.view.runs if each.id == run)
        if end not in ends:
            raise ReadingError(f"{run} doesn't end at {found['end']}.")
        share = float(ends.index(end))
    return OpenCore(run, cores, share)


def _missing(asked: Asked, found: "re.Match[str]") -> Told:
    run = _run(asked, found)
    _check_cores(asked, run, ("E",))
    return missing_cpc(run)


def _check_cores(asked: Asked, run: str, cores: tuple[Core, ...]) -> None:
    lacking = next((core for core in cores if (run, core) in asked.network.no_core), None)
    if lacking is not None:
        raise ReadingError(f"{run} has no {CORE_NAMES[lacking]} on the map, so it can't be open there.")


def _joint(asked: Asked, found: "re.Match[str]") -> Told:
    place = asked.place(found["at"])
    return Joint(place, asked.at(place, found["run"], found["to"]), core_of(found["core"]), ohm_of(found["ohm"]))


def _swapped(asked: Asked, found: "re.Match[str]") -> Told:
    place = asked.place(found["at"])
    run = asked.at(place, found["run"], found["to"]) if found["run"] or found["to"] else ""
    return Swapped(place, two_cores(found["core"], found["other"]), run)


def _bridge(asked: Asked, found: "re.Match[str]") -> Told:
    a, b = asked.place(found["a"]), asked.place(found["b"])
    if a == b:
        raise ReadingError(f"A bridge joins two places; {found['a']} and {found['b']} are the same.")
    cable = (found["cable"] or _BRIDGE_CABLE).casefold().replace(" ", "")
    named = next((each.code for each in asked.trade.cables() if each.code.casefold().replace(" ", "") == cable), None)
    return bridge(a, b, metres_of(found["length"]), asked.trade, named or (found["cable"] or ""))


def _low(asked: Asked, found: "re.Match[str]") -> Told:
    cores, megohm = two_cores(found["core"], found["other"]), ohm_of(found["ohm"]) / MEGOHM
    if found["at"]:
        return LowInsulation(cores, megohm, asked.place(found["at"]))
    return LowInsulation(cores, megohm, run=_run(asked, found), share=share_of(found["percent"]))


def _stretched(asked: Asked, found: "re.Match[str]") -> Told:
    times = float(found["times"].replace(",", "."))
    if not 0 < times <= 1000:
        raise ReadingError(f"A run can't be {found['times']} times as long; give a number above 0, like 1.8.")
    return Stretched(_run(asked, found), times)


def _spur(asked: Asked, found: "re.Match[str]") -> Told:
    point = asked.place(found["point"])
    at: float | str | None = asked.place(found["at"]) if found["at"] else None
    at = share_of(found["percent"]) if found["percent"] else at
    return on_spur(asked.view, asked.network, asked.trade, point, metres_of(found["length"]), at=at)


def _same_leg(_asked: Asked, found: "re.Match[str]") -> Told:
    return SameLeg(two_cores(found["core"], found["other"])) if found["core"] else SameLeg()


def _form(pattern: str) -> "re.Pattern[str]":
    parts = {
        "CORES": r"(?P<cores>{C}(?:(?: ?[,+/&] ?(?:and )?| and ){C})*)",
        "CORE": r"(?:the )?(?P<core>{C})",
        "OTHER": r"(?:the )?(?P<other>{C})",
        "RUN": r"(?:run |cable )?(?P<run>r ?\d+)",
        "PAIR": r"(?P<a>{P}) and (?P<b>{P})",
        "AT": r"(?P<at>{P})",
        "END": r"(?P<end>{P})",
        "POINT": r"(?P<point>{P})",
        "SIDE": r"(?: (?:from|in|of) (?:run |cable )?(?P<run>r ?\d+)| (?:towards?|to) (?P<to>{P}))?",
        "PERCENT": r"(?P<percent>\d{1,3}(?:[.,]\d{1,12})?) ?(?:%|per ?cent)",
    }
    for name, part in parts.items():
        pattern = pattern.replace(f"<{name}>", part)
    cores = r"(?:line|phase|live|neutral|cpc|earth|pe|l|n|e)(?![a-z])"
    return re.compile(pattern.replace("{C}", cores).replace("{P}", PLACE), re.IGNORECASE)


_READERS: Final[tuple[tuple["re.Pattern[str]", Callable[[Asked, "re.Match[str]"], Told]], ...]] = (
    (
        _form(r"(?:open|broken|cut) (?:(?:circuit )?(?:in )?<CORES>|cable)(?: conductors?)?"
              r" (?:(?:in|along|of|on) <RUN>|between <PAIR>)(?: at (?:<PERCENT>|<END>))?"),
        _open,
    ),
    (_form(r"(?:missing|no) (?:cpc|earth) (?:(?:in|along|of|on) <RUN>|between <PAIR>)"), _missing),
    (
        _form(r"(?:a )?(?:bad|loose|poor|high[- ]resistance) joint of (?P<ohm>.+?) (?:on|in) <CORE> at <AT><SIDE>"),
        _joint,
    ),
    (_form(r"(?:swapped|crossed|reversed) <CORE> and <OTHER> at <AT><SIDE>"), _swapped),
    (_form(r"<CORE> and <OTHER> (?:swapped|crossed|reversed) at <AT><SIDE>"), _swapped),
    (_form(r"(?:a )?bridge(?: cable)? of (?P<length>.+?)(?: of (?P<cable>.+?))? between <PAIR>"), _bridge),
    (
        _form(r"low insulation of (?P<ohm>.+?) between <CORE> and <OTHER>"
              r" (?:at <AT>|(?:(?:along|in) <RUN>|between <PAIR>)(?: at <PERCENT>)?)"),
        _low,
    ),
    (
        _form(r"(?:<RUN>|(?:run |cable )?between <PAIR>) (?:is )?(?P<times>\d+(?:[.,]\d+)?|[.,]\d+) times as long"
              r"(?: as .+)?"),
        _stretched,
    ),
    (_form(r"<POINT> (?:is |hangs )?on a spur of (?P<length>.+?)(?: (?:from|off) <AT>| at <PERCENT>)?"), _spur),
    (_form(r"(?:both )?links? (?:made )?on (?:the )?same leg(?: (?:for|of) <CORE> (?:and|to) <OTHER>)?"), _same_leg),
)  # fmt: skip
_FORMS_IN_WORDS: Final = "like " + ", ".join(f"“{form}”" for form in FORMS[:-1]) + f" or “{FORMS[-1]}”"
