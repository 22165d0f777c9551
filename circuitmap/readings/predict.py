"""What a meter should read at every point of a circuit, how sure that is, and why it can't be said where it can't.

A reading is as unsure as the lengths it hangs on. Runs that two readings share make them err together: ``Expected``
keeps what each reading owes to each run, for whoever compares readings with each other.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import compress
from math import inf, isfinite
from typing import Literal

import numpy as np

from circuitmap.circuits import CircuitView
from circuitmap.home.records import Instrument, Link
from circuitmap.home.snapshot import Home
from circuitmap.readings.conductors import MAKE_SPREAD
from circuitmap.readings.drawn import network_of
from circuitmap.readings.faults import Fault, recorded, with_faults
from circuitmap.readings.links import Linked, Pair, legs_of, linked_as
from circuitmap.readings.network import Network, ReadingError
from circuitmap.readings.solve import Floats, Sweep
from circuitmap.trade import Trade
from circuitmap.words import Core, LinkKind

# Of a reading, so much or less of it hanging on a run is rounding, not current.
_NOTHING = 1e-9
# A run is named as what leaves a reading unsure from so much of the variance by lengths on.
_MUCH = 0.3
_SAYS: Mapping[Core, str] = {"L": "line", "N": "neutral", "E": "cpc"}


@dataclass(frozen=True, slots=True)
class Meter:
    """How far a continuity reading can be believed: a fraction of it, its last digit, and the contact it is taken by.

    ``accuracy_fraction`` and ``contact_ohm`` are standard deviations; a plug in a socket adds some 0.01 to 0.05 Ω that
    differs each time (common practice, no source), probes on terminals next to nothing.
    """

    accuracy_fraction: float = 0.01
    resolution_ohm: float = 0.01
    contact_ohm: float = 0.0

    def variance(self, ohm: Floats) -> Floats:
        """Give the variance of readings: (a·R)² + d²/12 + contact², the last digit d evenly spread."""
        found: Floats = (self.accuracy_fraction * ohm) ** 2 + self.resolution_ohm**2 / 12 + self.contact_ohm**2
        return found


def meter_of(instrument: Instrument) -> Meter:
    """Give how far an instrument on record can be believed, with the usual figures where its own aren't known."""
    usual = Meter()
    accuracy, resolution = instrument.accuracy_fraction, instrument.resolution_ohm
    return Meter(
        usual.accuracy_fraction if accuracy is None else accuracy,
        usual.resolution_ohm if resolution is None else resolution,
    )


@dataclass(frozen=True, slots=True)
class Predicted:
    """One reading as it should be: ohms (infinite: open circuit; None: can't be told), their spread, and why."""

    ohm: float | None
    sd_ohm: float
    why: str

    @property
    def is_open(self) -> bool:
        """Whether it should read open circuit."""
        return self.ohm == inf


@dataclass(frozen=True, eq=False)
class Expected:
    """The readings of one test on one circuit; ``places`` in the order of the columns of ``sweep``.

    The device among the places stands for the reading at the board. ``doubt`` is a sentence when an open circuit would
    only mean that the map isn't complete.
    """

    linked: Linked
    places: tuple[str, ...]
    sweep: Sweep
    meter: Meter
    doubt: str = ""

    def after(self, *faults: Fault) -> "Expected":
        """Give the readings with faults in the circuit; a single one costs no second factorisation."""
        if not faults:
            return self
        network = self.linked.network
        if len(faults) > 1:
            edited = with_faults(network, faults)
            sweep = edited.sweep(list(zip(self.sweep.a.tolist(), self.sweep.b.tolist(), strict=True)))
        else:
            edit = faults[0].edit(network)
            edited, sweep = network.edited(edit), self.sweep.after(network.changes(edit))
        return replace(self, linked=replace(self.linked, network=edited), sweep=sweep)

    @property
    def ohm(self) -> Floats:
        """What each place should read."""
        return self.sweep.ohm

    @cached_property
    def runs(self) -> tuple[str, ...]:
        """The runs of the circuit, as the rows of ``by_run``."""
        return tuple(dict.fromkeys(edge.run for edge in self.linked.network.edges if edge.run))

    @cached_property
    def by_run(self) -> Floats:
        """What each reading (columns) owes to each run: its ohms there, and how it changes as the run's length does."""
        from scipy.sparse import csr_array

        edges = self.linked.network.edges
        row = {run: place for place, run in enumerate(self.runs)}
        mine = [place for place, edge in enumerate(edges) if edge.run]
        rows = [row[edges[place].run] for place in mine]
        sums = csr_array((np.ones(len(mine)), (rows, mine)), shape=(len(row), len(edges)))
        found: Floats = sums @ self.sweep.watts()
        return found

    @cached_property
    def by_length(self) -> Floats:
        """How far each reading errs as each run's length errs by its standard deviation: a row for each run."""
        spread = {edge.run: edge.spread for edge in self.linked.network.edges}
        found: Floats = self.by_run * np.array([spread[run] for run in self.runs]).reshape(-1, 1)
        return found

    @cached_property
    def sd_ohm(self) -> Floats:
        """The standard deviation of each reading.

        var R = Σ over runs (σ · Σ over its cores i²r)² + (σ' · R)² + what the meter adds, where i is the current in a
        core while 1 A flows through the meter, σ the relative spread of a run's length and σ' that of copper as made.
        To first order: ∂R/∂r = i². The cores of one run err together, runs err apart.
        """
        ohm = np.where(np.isfinite(self.ohm), self.ohm, 0.0)
        found: Floats = np.sqrt((self.by_length**2).sum(axis=0) + (MAKE_SPREAD * ohm) ** 2 + self.meter.variance(ohm))
        return found

    def covariance(self) -> Floats:
        """Give how the readings err together: through the runs they share and through copper as made."""
        ohm = np.where(np.isfinite(self.ohm), self.ohm, 0.0)
        found: Floats = self.by_length.T @ self.by_length + MAKE_SPREAD**2 * np.outer(ohm, ohm)
        return found + np.diag(self.meter.variance(ohm))

    def readings(self) -> dict[str, Predicted]:
        """Give the reading of every place."""
        network = self.linked.network
        unknown = self._unknown()
        ohms, spreads = self.ohm.tolist(), self.sd_ohm.tolist()
        shares = self.by_length**2
        worst = shares.argmax(axis=0).tolist() if self.runs else []
        even = (shares.max(axis=0, initial=0.0) <= _MUCH * shares.sum(axis=0)).tolist()
        found: dict[str, Predicted] = {}
        for n, place in enumerate(self.places):
            if not isfinite(ohms[n]):
                found[place] = self._open(place)
            elif n in unknown:
                why = "; ".join(network.why.get(run, f"{run} isn't known enough") for run in unknown[n][:3])
                left = len(unknown[n]) - 3
                more = f"; and {left} run{'' if left == 1 else 's'} more" if left > 0 else ""
                found[place] = Predicted(None, 0.0, f"Can't be told: {why}{more}.")
            else:
                least = "" if even[n] else f"; the length of {self.runs[worst[n]]} leaves it least sure"
                found[place] = Predicted(abs(ohms[n]), spreads[n], f"From the lengths on the map{least}.")
        return found

    def _unknown(self) -> dict[int, list[str]]:
        """Give, for the readings that hang on what isn't known, the runs by which they do."""
        edges = self.linked.network.edges
        rows = np.flatnonzero([not edge.is_known for edge in edges])
        if not len(rows):
            return {}
        hangs = self.sweep.watts()[rows] > _NOTHING * np.where(np.isfinite(self.ohm), self.ohm, inf)
        names = [edges[row].run for row in rows]
        return {
            int(n): list(dict.fromkeys(compress(names, hangs[:, n]))) for n in np.flatnonzero(hangs.any(axis=0))
        }  # fmt: skip

    def _open(self, place: str) -> Predicted:
        first, second = self.linked.cores
        if self.linked.kind is None:
            return Predicted(
                inf, 0.0, f"Open circuit: with the legs open nothing joins {_SAYS[first]} and {_SAYS[second]}."
            )
        legs = self.linked.network.legs_to.get(place, frozenset[str]())
        if legs and not legs & set(self.linked.legs):
            own = ", ".join(sorted(legs))
            return Predicted(inf, 0.0, f"Open circuit: it hangs on {own}, a cable at the board that isn't linked here.")
        if self.doubt:
            return Predicted(None, 0.0, self.doubt)
        if first == second:
            return Predicted(inf, 0.0, f"Open circuit: on the map the {_SAYS[first]} doesn't lead from leg to leg.")
        return Predicted(inf, 0.0, f"Open circuit: nothing joins its {_SAYS[first]} and {_SAYS[second]} on the map.")


def expect(
    view: CircuitView,
    trade: Trade,
    link: Link | LinkKind | None,
    cores: Pair = ("L", "N"),
    *,
    points: Iterable[str] | None = None,
    legs: Sequence[str] = (),
    copper_c: float = 20.0,
    meter: Meter | None = None,
    faults: Sequence[Fault] | None = None,
    home: Home | None = None,
    units: Literal["on", "off"] = "on",
) -> Expected:
    """Give the readings of one test on a circuit, at all places that drawn runs reach; parameters as ``predict`` has.

    Raises
    ------
    ReadingError
        When the circuit has not the legs that such a test takes.
    """
    if link is None or isinstance(link, str):
        link = Link(kind=link) if link is not None else None
    network = network_of(view, trade, copper_c=copper_c, home=home, units=units)
    network = with_faults(network, recorded(view.runs) if faults is None else faults)
    test = linked_as(network, link, cores, legs or legs_of(view, network))
    reached = (
        [place for place in _asked(view, points) if network.legs_to.get(place)] if test.kind != "end to end" else []
    )
    pairs = [test.at_board]
    pairs += [(network.at[place, cores[0]], network.at[place, cores[1]]) for place in reached]
    return Expected(test, (view.device.id, *reached), test.network.sweep(pairs), meter or Meter(), _doubt(view, test))


def predict(
    view: CircuitView,
    trade: Trade,
    link: Link | LinkKind | None,
    cores: Pair = ("L", "N"),
    *,
    points: Iterable[str] | None = None,
    legs: Sequence[str] = (),
    copper_c: float = 20.0,
    meter: Meter | None = None,
    faults: Sequence[Fault] | None = None,
    home: Home | None = None,
    units: Literal["on", "off"] = "on",
) -> dict[str, Predicted]:
    """Give what a meter should read at every point of a circuit, and (by its device) at the board.

    What can't be told has no ohms and a sentence; it is never left out.

    Parameters
    ----------
    link
        How the conductors are linked at the board; None with the legs open.
    cores
        Between which cores the meter is; end to end, along the first.
    points
        Those asked for; all of the circuit's and the boards it feeds when None.
    legs
        The runs at the board that are leg 1 and leg 2; as the map has them when none are given.
    copper_c
        The temperature of the copper in °C.
    meter
        How far the meter can be believed.
    faults
        What is wrong with the circuit; None takes the open cores that the map records, an empty list a healthy one.
    home
        Where things stand, for runs without a recorded length.
    units
        Whether what has a fuse or switch inside is on.
    """
    asked = _asked(view, points)
    try:
        expected = expect(
            view, trade, link, cores, points=asked, legs=legs, copper_c=copper_c, meter=meter, faults=faults, home=home,
            units=units,
        )  # fmt: skip
    except ReadingError as error:
        return {place: Predicted(None, 0.0, str(error)) for place in (view.device.id, *asked)}
    found = expected.readings()
    kind = expected.linked.kind
    for place in asked:
        if place not in found:
            found[place] = Predicted(None, 0.0, _unreached(view, expected.linked.network, place, kind))
    return found


def _asked(view: CircuitView, points: Iterable[str] | None) -> tuple[str, ...]:
    if points is not None:
        return tuple(place for place in dict.fromkeys(points) if place != view.device.id)
    return (*view.names, *(board.id for board in view.boards_fed))


def _unreached(view: CircuitView, network: Network, place: str, kind: LinkKind | None) -> str:
    if place not in view.names and place not in {board.id for board in view.boards_fed}:
        return f"{place} isn't on {view.code}, so what it should read can't be said."
    if kind == "end to end" and network.legs_to.get(place):
        return "End to end is read at the board only, from one end of a core to the other."
    return f"No run drawn from {view.code} leads to {place}, so what it should read can't be said."


def _doubt(view: CircuitView, test: Linked) -> str:
    """Say why an open circuit between two legs needn't be one, when the map isn't complete."""
    if test.kind not in {"cross", "same leg", "end to end"} or view.shape is None:
        return ""
    if view.shape.kind != "not known enough" and not view.missing:
        return ""
    legs = set(test.legs)
    if any(legs <= reaching for place, reaching in test.network.legs_to.items() if place[0] != "D"):
        return ""  # by runs they do meet: a core is open
    return f"Can't be told: the two legs of {view.code} don't meet on the map, and not all of it has been traced."
