"""What each core of a run should measure: length, size and copper temperature, and how far that can be believed.

Nothing is guessed in silence: a length or a size that isn't known gives no resistance, and a sentence that says why.
"""

from dataclasses import dataclass
from itertools import pairwise
from math import hypot, inf, sqrt
from typing import Final

from circuitmap.home.records import Place, Run, Storey
from circuitmap.home.snapshot import Home
from circuitmap.plan.where import place_of
from circuitmap.trade import Cable, Trade
from circuitmap.words import Core

# How far a length may be out, as a fraction either way, unless the map says so itself. Common practice, no source.
TOLERANCES: Final = {"measured": 0.05, "reading": 0.05, "path": 0.2, "places": 0.5, "estimated": 0.3, "": 0.3}
# A cable drops or rises at each end of a way drawn or reckoned on the flat. Common practice, no source.
RISE_M: Final = 2.0
# What is known to lie within ± t and no more spreads by t/√3. From memory: JCGM 100, 4.3.7.
RECTANGLE: Final = sqrt(3)
# Real copper reads 0 to 7 % below the standard's greatest value (the "ideal" column against the other): seen from that
# value, a root mean square of 0.07/√3. All runs err alike in this.
MAKE_SPREAD: Final = 0.07 / RECTANGLE


@dataclass(frozen=True, slots=True)
class Length:
    """How long a run is in metres, within what fraction either way, and by what that is known ("places": reckoned)."""

    length_m: float
    tolerance: float
    by: str


@dataclass(frozen=True, slots=True)
class Conductors:
    """The cores of one run: ohms at the copper's temperature, None where unknown, infinite where there is no such core.

    ``spread`` is the relative standard deviation that all its cores share by their common length; ``why`` says in words
    what isn't known, or is empty.
    """

    line_ohm: float | None
    neutral_ohm: float | None
    cpc_ohm: float | None
    spread: float
    why: str

    def ohm(self, core: Core) -> float | None:
        """Give one core's resistance in ohms."""
        return {"L": self.line_ohm, "N": self.neutral_ohm, "E": self.cpc_ohm}[core]


class Wiring:
    """Gives the conductors of runs by one set of tables, at one copper temperature."""

    def __init__(self, trade: Trade, copper_c: float = 20.0, home: Home | None = None) -> None:
        self.trade, self.home = trade, home
        self.warmth = temperature_factor(trade, copper_c)
        self._per_m: dict[tuple[str, float | None, float | None], tuple[float | None, float | None]] = {}

    def of(self, run: Run) -> Conductors:
        """Give what the cores of a run should measure.

        R = r(size) · length · (1 + 0.004 (T − 20 °C)), r in ohms per metre at 20 °C.

        **Source:** r: IEC 60228; the trade rule of 0.004 per kelvin from memory (Guidance Note 3, On-Site Guide).
        """
        length = length_of(run, self.home)
        live, cpc = self._ohms_per_m(run)
        if length is None:
            why = f"{run.id} has no length on the map"
            return Conductors(None, None, inf if cpc == inf else None, 0.0, why)
        spread = length.tolerance / RECTANGLE
        times = length.length_m * self.warmth
        live_ohm = None if live is None else live * times
        cpc_ohm = None if cpc is None else cpc * times
        unknown = "cable and size" if live is None else "size of cpc" if cpc is None else ""
        why = f"{run.id} has no {unknown} on the map that the tables know" if unknown else ""
        return Conductors(live_ohm, live_ohm, cpc_ohm, spread, why)

    def _ohms_per_m(self, run: Run) -> tuple[float | None, float | None]:
        key = (run.cable, run.live_mm2, run.cpc_mm2)
        if key not in self._per_m:
            self._per_m[key] = _ohms_per_m(self.trade, run)
        return self._per_m[key]


def temperature_factor(trade: Trade, copper_c: float) -> float:
    """Give by what a resistance at 20 °C is multiplied at another copper temperature: 1 + 0.004 (T − 20 °C).

    **Source:** trade rule, from memory (On-Site Guide Appendix I); 0.00393 differs by 0.04 % at 15 °C.
    """
    return 1 + trade.constants["trade alpha"].value * (copper_c - 20)


def length_of(run: Run, home: Home | None = None) -> Length | None:
    """Give how long a run is: as recorded, else along its drawn path, else reckoned from where its ends stand.

    On the flat a cable follows walls, not the crow: |Δx| + |Δy|, with a rise or drop of 2 m at either end. Only a
    home knows where things stand and how its storeys lie; without one only a length as recorded counts.
    """
    if run.length_mm:
        tolerance = run.length_tolerance if run.length_tolerance is not None else TOLERANCES[run.length_from]
        return Length(run.length_mm / 1000, tolerance, run.length_from)
    if home is None:
        return None
    along_mm = _path_mm(home, run)
    by = "path"
    if not along_mm:
        along_mm, by = _reckoned_mm(home, run), "places"
    if not along_mm:
        return None
    tolerance = run.length_tolerance if run.length_tolerance is not None else TOLERANCES[by]
    return Length(along_mm / 1000, tolerance, by)


def _ohms_per_m(trade: Trade, run: Run) -> tuple[float | None, float | None]:
    cable = trade.cable(run.cable) if run.cable else None
    live, cpc = trade.cable_ohm_per_m(cable) if cable is not None else (None, None)
    if cable is not None and not cable.cpc_mm2:
        # A metal sheath may serve as protective conductor: there is one perhaps, and nobody knows how good.
        cpc = None if cable.kind == "lead" else inf
    if run.live_mm2 is not None:
        live = _other_size(trade, cable, run.live_mm2)
    if run.cpc_mm2 is not None:
        cpc = _other_size(trade, cable, run.cpc_mm2) if run.cpc_mm2 else inf
    return live, cpc


def _other_size(trade: Trade, cable: Cable | None, mm2: float) -> float | None:
    if cable is not None and cable.metal == "aluminium":
        return trade.constants["aluminium rho 20"].value / 1000 / mm2
    return trade.ohm_per_m(mm2, "flex" if cable is not None and cable.kind == "flex" else "solid")


def _path_mm(home: Home, run: Run) -> float:
    spots = [Place(storey=s, x_mm=x, y_mm=y, height_mm=z) for s, x, y, z in run.path_mm]
    along_mm = 0.0
    for a, b in pairwise(spots):
        up_mm = _up_mm(home, a, b)
        if up_mm is None:
            return 0.0
        along_mm += hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm, up_mm)
    is_flat = len({(spot.storey, spot.height_mm) for spot in spots}) == 1
    return along_mm + 2000 * RISE_M if along_mm and is_flat else along_mm


def _reckoned_mm(home: Home, run: Run) -> float:
    a, b = (_stands(home, end.at) for end in (run.a, run.b))
    if a is None or b is None:
        return 0.0
    up_mm = 0 if a.storey == b.storey else _up_mm(home, a, b)
    return 0.0 if up_mm is None else abs(a.x_mm - b.x_mm) + abs(a.y_mm - b.y_mm) + abs(up_mm) + 2000 * RISE_M


def _stands(home: Home, at: str | None) -> Place | None:
    record = home.peek(at) if at is not None else None
    return place_of(home, record) if record is not None else None


def _up_mm(home: Home, a: Place, b: Place) -> int | None:
    """Give how far up one place is from another, None where their storeys' floors aren't known."""
    up_mm = (b.height_mm or 0) - (a.height_mm or 0)
    if a.storey == b.storey:
        return up_mm
    floors = [_floor_mm(home.find(Storey, place.storey)) for place in (a, b)]
    return None if floors[0] is None or floors[1] is None else up_mm + floors[1] - floors[0]


def _floor_mm(storey: Storey | None) -> int | None:
    if storey is None:
        return None
    return 0 if storey.floor_mm is None and storey.level == 0 else storey.floor_mm
