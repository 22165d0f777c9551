"""Two sweeps of a ring picked out of its book: one with a single leg linked, one cross-linked, at the same points.

What is no number (a bound, open circuit, not possible) is set aside with a sentence and never reckoned with. What
the two sweeps say of the order round the ring is ``order``.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import sqrt
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.home.records import Instrument, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.readings.book import Entry, ReadingBook, Side
from circuitmap.readings.conductors import temperature_factor
from circuitmap.readings.predict import Meter, meter_of
from circuitmap.trade import Trade
from circuitmap.words import CORES, Core

Cores = tuple[Core, Core]

_SAYS: Final[Mapping[Core, str]] = {"L": "line", "N": "neutral", "E": "cpc"}
_SIGNS: Final[Mapping[Core, str]] = {"L": "r1", "N": "rn", "E": "r2"}
_NEAR: Final[tuple[Cores, ...]] = (("L", "E"), ("L", "N"), ("N", "E"))
_ACROSS: Final[tuple[Cores, ...]] = (("L", "N"), ("L", "E"), ("N", "E"))
FEWEST: Final = 2
PLUG_SPREAD_OHM: Final = 0.04 / sqrt(12)
"""What a plug adds differs each time, between 0.01 and 0.05 Ω (common practice, no source): its standard deviation."""
_USUAL: Final = Meter()


@dataclass(frozen=True, slots=True)
class Swept:
    """A point read in both sweeps: in ohms with one leg linked and cross-linked, by which readings.

    ``cables`` is how many were counted there, None where nobody did. ``by_plug``: which of the two were taken with a
    plug in the socket's front, so that its contacts were read as well.
    """

    at: str
    near_ohm: float
    across_ohm: float
    readings: tuple[str, ...] = ()
    cables: int | None = None
    by_plug: tuple[bool, bool] = (False, False)


@dataclass(frozen=True, slots=True)
class Aside:
    """A point that can't be placed, and the sentence that says why."""

    at: str
    says: str


@dataclass(frozen=True, slots=True)
class Sweeps:
    """The two sweeps of one ring.

    ``leg`` is the run at the board that was linked for the first sweep, empty where nobody said. ``ends_ohm`` holds
    what was read end to end; ``far_ohm`` is the first sweep's reading at the far leg's terminals. ``line_ohm_per_m``
    is what the map and the tables know of the ring's line, None where they don't. The meter's contacts count for
    readings taken by plug only. ``problem`` is a sentence when the sweeps can't be used at all.
    """

    device: str
    code: str
    points: tuple[Swept, ...]
    ends_ohm: Mapping[Core, float]
    near: Cores = ("L", "E")
    across: Cores = ("L", "N")
    far_ohm: float | None = None
    leg: str = ""
    line_ohm_per_m: float | None = None
    cpc_to_line: float | None = None
    meter: Meter = _USUAL
    aside: tuple[Aside, ...] = ()
    notes: tuple[str, ...] = ()
    problem: str = ""


def sweeps_of(
    home: Home,
    view: CircuitView,
    book: ReadingBook,
    trade: Trade,
    *,
    side: Side | None = None,
    contact_ohm: float = PLUG_SPREAD_OHM,
) -> Sweeps:
    """Pick the two sweeps out of a circuit's book.

    Parameters
    ----------
    side
        Before or after the work; None takes of each place what counts now.
    contact_ohm
        By how much a plug scatters from one insertion to the next, as a standard deviation in ohms; it counts for
        readings taken by plug only.
    """
    linked = [entry for entry in book.of_test("linked", side=side) if not entry.reading.apart]
    ends = {core: found for core in CORES if (found := book.end_to_end(core, side)) is not None}
    ends_ohm = {core: entry.value_si for core, entry in ends.items() if entry.is_number and entry.value_si}
    near_all = [entry for entry in linked if entry.link == "one leg"]
    across_all = [entry for entry in linked if entry.link == "cross"]
    across = _fullest(across_all, _ACROSS, ends_ohm)
    held = [entry for entry in across_all if across is not None and _cores_of(entry) == across]
    near, leg, swept = _near_sweep(near_all, view.device.id, held)
    here = [*swept, *held]
    line, ratio = _made_of(view, trade, here)
    base = Sweeps(
        view.device.id, view.code, (), ends_ohm, near or _NEAR[0], across or _ACROSS[0], leg=leg,
        line_ohm_per_m=line, cpc_to_line=ratio, meter=replace(_meter(home, here), contact_ohm=contact_ohm),
    )  # fmt: skip
    problem = _unusable(view, near_all, across_all, near, across, ends, ends_ohm)
    if problem:
        return replace(base, problem=problem)
    points, aside = _paired(view, swept, held, base)
    far = next((e.value_si for e in swept if e.at == view.device.id and e.is_number), None)
    notes: list[str] = []
    legs = {entry.reading.link.legs[:1] for entry in near_all if entry.reading.link is not None}
    if len(legs) > 1:
        notes.append(f"One leg of {view.code} was linked in more than one sweep; the fullest of them is used.")
    if len(points) < FEWEST:
        few = "No point" if not points else "One point only"
        problem = f"{few} of {view.code} was read in both sweeps: an order takes two at least."
    return replace(base, points=points, aside=aside, far_ohm=far, notes=tuple(notes), problem=problem)


def _unusable(
    view: CircuitView,
    near_all: Sequence[Entry],
    across_all: Sequence[Entry],
    near: Cores | None,
    across: Cores | None,
    ends: Mapping[Core, Entry],
    ends_ohm: Mapping[Core, float],
) -> str:
    code = view.code
    if not near_all and not across_all:
        return f"No sweep of {code} is recorded: the order takes one with one leg linked and one cross-linked."
    if not near_all or near is None:
        return f"The sweep of {code} with one leg linked, line to cpc, is missing: it alone tells the order."
    if not across_all:
        return f"The cross-linked sweep of {code}, line to neutral, is missing: without it no spur can be told."
    opened = [core for core, entry in ends.items() if entry.reading.bound == ">" and core in "LN"]
    if opened:
        said = " and ".join(_SIGNS[core] for core in opened)
        return f"{said} of {code} read open end to end: it isn't a whole ring, so no order is drawn from sweeps."
    if across is None:
        wanted = sorted({core for entry in across_all for core in (_cores_of(entry) or ())}, key=CORES.index)
        missing = " and ".join(_SIGNS[core] for core in wanted if core not in ends_ohm) or "r1 and rn"
        return f"{missing} of {code} must be read end to end: what a point on the ring should read hangs on it."
    return ""


def _fullest(entries: Iterable[Entry], among: Sequence[Cores], ends_ohm: Mapping[Core, float]) -> Cores | None:
    """Give the pair of cores that most was read between, of those whose ends were read."""
    counts = Counter(cores for entry in entries if (cores := _cores_of(entry)) is not None)
    able = [cores for cores in among if counts[cores] and all(core in ends_ohm for core in cores)]
    return max(able, key=counts.__getitem__) if able else None


def _near_sweep(
    entries: Iterable[Entry], device: str, held: Sequence[Entry]
) -> tuple[Cores | None, str, tuple[Entry, ...]]:
    """Give the sweep with one leg linked that shares most points with the other one."""
    groups: dict[tuple[Cores, str], list[Entry]] = defaultdict(list)
    for entry in entries:
        cores = _cores_of(entry)
        link = entry.reading.link
        if cores is not None and link is not None:
            groups[cores, link.legs[0] if link.legs else ""].append(entry)
    if not groups:
        return None, "", ()
    shared = {entry.at for entry in held if entry.is_number and entry.at != device}

    def rank(key: tuple[Cores, str]) -> tuple[int, int]:
        return sum(entry.is_number and entry.at in shared for entry in groups[key]), -_NEAR.index(key[0])

    best = max(groups, key=rank)
    return best[0], best[1], tuple(groups[best])


def _cores_of(entry: Entry) -> Cores | None:
    said = entry.reading.cores or (entry.reading.link.cores if entry.reading.link is not None else ())
    found = tuple(core for core in CORES if core in said)
    return (found[0], found[1]) if len(found) == 2 and len(said) == 2 else None


def _paired(
    view: CircuitView, near: Iterable[Entry], across: Iterable[Entry], base: Sweeps
) -> tuple[tuple[Swept, ...], tuple[Aside, ...]]:
    ones = {entry.at: entry for entry in near if entry.at is not None and entry.at != view.device.id}
    twos = {entry.at: entry for entry in across if entry.at is not None and entry.at != view.device.id}
    points: list[Swept] = []
    aside: list[Aside] = []
    names = {"one": "with one leg linked", "two": "cross-linked"}
    counted = {member.point.id: member.point.cables_seen for member in view.members}
    for at in sorted({*ones, *twos}, key=natural_key):
        one, two = ones.get(at), twos.get(at)
        if one is None or two is None:
            read, not_read = ("two", "one") if one is None else ("one", "two")
            aside.append(Aside(at, f"{at} was read {names[read]} and not {names[not_read]}: it can't be placed."))
            continue
        odd = [(entry, name) for entry, name in ((one, "one"), (two, "two")) if not entry.is_number]
        if odd:
            entry, name = odd[0]
            cores = base.near if name == "one" else base.across
            aside.append(Aside(at, _no_number(at, entry, names[name], cores)))
            continue
        by = (one.reading.id, two.reading.id)
        plugs = (one.reading.by_plug, two.reading.by_plug)
        points.append(Swept(at, one.value_si or 0.0, two.value_si or 0.0, by, counted.get(at), plugs))
    return tuple(points), tuple(aside)


def _no_number(at: str, entry: Entry, how: str, cores: Cores) -> str:
    if entry.reading.bound == ">":
        pair = f"{_SAYS[cores[0]]} or {_SAYS[cores[1]]}"
        return f"{at} read {entry.shown} {how}: {pair} is open on the way there, or it isn't on this ring; set aside."
    return f"{at} has no number {how} ({entry.shown}): it can't be placed."


def _meter(home: Home, entries: Iterable[Entry]) -> Meter:
    """Give the least good meter that was used, with the usual figures where none is named."""
    ids = {entry.reading.instrument for entry in entries}
    found = [meter_of(each) for i in ids if (each := home.find(Instrument, i)) is not None]
    if not found:
        return Meter()
    return Meter(max(each.accuracy_fraction for each in found), max(each.resolution_ohm for each in found))


def _made_of(view: CircuitView, trade: Trade, entries: Iterable[Entry]) -> tuple[float | None, float | None]:
    """Give the line's ohms per metre and the ratio of cpc to line, where the map has one kind of cable only."""
    known = {run.cable for run in view.runs if run.cable}
    if len(known) != 1 or any(run.live_mm2 is not None or run.cpc_mm2 is not None for run in view.runs):
        return None, None
    cable = trade.cable(known.pop())
    line, cpc = trade.cable_ohm_per_m(cable) if cable is not None else (None, None)
    if line is None:
        return None, None
    warm = [entry.reading.copper_c for entry in entries if entry.reading.copper_c is not None]
    warmth = temperature_factor(trade, sum(warm) / len(warm)) if warm else 1.0
    return line * warmth, cpc / line if cpc and cable is not None and cable.cpc_mm2 else None
