"""How the sample homes were measured: what a meter reads on the network of the map with what is planted in it.

Everything that copper gives (end to end, linked, insulation, and the R1+R2 in Zs) is simulated from the runs, with the
true lengths drawn within the map's tolerance by a fixed seed. Ze, voltages and trip times are the story's own.
"""

import random
from collections.abc import Iterable, Sequence
from math import isfinite

from circuitmap import trade
from circuitmap.circuits import CircuitView, views
from circuitmap.home.verbs_readings import add_meter, prove_meter, record_reading
from circuitmap.memo import Memo
from circuitmap.readings.sheet import Line, groups_of, walk_order
from circuitmap.readings.simulate import Practice, Simulated, simulate
from circuitmap.readings.told import Told, parse_fault
from circuitmap.words import Purpose, ReadingTest
from tests.samples.hand import Hand
from tests.samples.visit import Visit

_LEADS_OHM = "0.01"  # what nulled leads still show, shorted
_MOST = {"most_ohm": 1999.0, "most_insulation_ohm": 200e6, "most_loop_ohm": 2000.0, "most_trip_s": 2.0}
_LOOP_NOISE = 0.02


class Meter:
    """A multifunction tester on one visit, and the truth about every way as far as it isn't on the map.

    ``known`` is the tester of an earlier visit to the same home, whose seed it must share.
    """

    def __init__(
        self, hand: Hand, day: str, start: str, by: str, purpose: Purpose, seed: int, known: str | None = None
    ) -> None:
        self.hand = hand
        self.seed = seed
        self.is_later = known is not None
        self.visit = Visit(hand, day, start, by)
        if purpose != "survey":
            hand.set(self.visit.id, purpose=purpose)
        facts = {"accuracy_fraction": 0.01, "resolution_ohm": 0.01, "leads_ohm": 0.0, **_MOST}
        self.id = known or hand.do(add_meter(hand.home, "multifunction tester", "multifunction", **facts))
        hand.do(prove_meter(hand.home, self.visit.id, self.id, _LEADS_OHM))
        self.planted: dict[str, list[str]] = {}
        self.chance = random.Random(seed)

    def plant(self, way: str, *words: str) -> None:
        """Say what is wrong with a way and not on the map, in the words of ``circuitmap simulate``."""
        self.planted[way] = list(words)

    def prove_dead(self, boxes: Iterable[str], off: tuple[str, ...]) -> None:
        """Prove dead at every box whose terminals the leads are to touch."""
        indicator = self.visit.tester("voltage indicator", "two-pole voltage indicator with proving unit")
        for box in boxes:
            self.visit.prove_dead((box,), off, (), indicator, 3)

    # -- dead tests ---------------------------------------------------------------------------------------------

    def dead(self, way: str, *tests: str, at: Sequence[str] = (), apart: tuple[str, ...] = ()) -> None:
        """Read the groups of a way's sheet by their ids; of the points only those named, if any are.

        ``apart`` is what was disconnected for the insulation.
        """
        view = self.view(way)
        groups = {group.id: group for group in groups_of(view)}
        lines = [line for test in tests for line in groups[test].lines if line.pair is not None]
        lines = [line for line in lines if not at or line.at in (*at, way)]
        for each in self._simulated(view, lines, Practice(self.seed)):
            if each.typed:
                insulation = each.line.test == "insulation"
                self._record(each.line, ">200" if insulation and each.typed == "OL" else each.typed,
                             apart if insulation else ())  # fmt: skip

    def line_neutral(self, way: str) -> None:
        """Read R1+Rn at every point of a radial, line and neutral linked at the board."""
        (group,) = (group for group in groups_of(self.view(way)) if group.id == "radial")
        lines = [Line(each.name, "linked", way, each.at, ("L", "N"), "radial") for each in group.lines]
        for each in self._simulated(self.view(way), lines, Practice(self.seed)):
            self._record(each.line, each.typed)

    def polarity(self, way: str, reversed_at: str = "") -> None:
        """Write down the polarity at every point that a run leads to."""
        for point in self.reached(way):
            line = Line(point, "polarity", way, point)
            self._record(line, "line and neutral reversed" if point == reversed_at else "correct")

    # -- live tests ---------------------------------------------------------------------------------------------

    def supply(self, board: str, ze_ohm: float, voltage_v: float, pfc_ka: str) -> None:
        """Read the loop at the board with the earthing conductor off, the fault current and the voltage."""
        self._put("Ze", f"{ze_ohm:.2f}", at=board, cores=("L", "E"))
        self._put("PFC", pfc_ka, at=board)
        self._put("supply voltage", f"{voltage_v:.0f}", at=board, cores=("L", "N"))

    def electrode(self, board: str, ohm: float) -> None:
        """Read the resistance of the earth electrode."""
        self._put("earth electrode", f"{ohm:.1f}", at=board)

    def loops(self, way: str, base_ohm: float, *points: str) -> None:
        """Read Zs at points: the loop up to the board and R1+R2 of the true circuit in use, by a loop tester."""
        lines = [Line(point, "linked", way, point, ("L", "E"), "radial") for point in points]
        exact = Practice(self.seed, noise=0.0, resolution_ohm=0.0)
        for each in self._simulated(self.view(way), lines, exact):
            assert each.value_si is not None, each.why
            assert isfinite(each.value_si)
            ohm = (base_ohm + each.value_si) * (1 + self.chance.gauss(0, _LOOP_NOISE))
            decimals = 2 if ohm < 20 else 1
            self._put("Zs", f"{ohm:.{decimals}f}", device=way, at=each.line.at, cores=("L", "E"))

    def trips(self, way: str, *typed: str) -> None:
        """Read the RCD over a way in the order of its sheet: at half, at once, at five times what it is rated for."""
        (group,) = (group for group in groups_of(self.view(way)) if group.id == "rcd")
        for line, shown in zip(group.lines, typed, strict=True):
            self._record(line, shown)

    # -- how ----------------------------------------------------------------------------------------------------

    def view(self, way: str) -> CircuitView:
        """Give a way as the map has it."""
        return next(v for v in views(self.hand.home, trade.load(), Memo()) if v.device.id == way)

    def reached(self, way: str) -> list[str]:
        view = self.view(way)
        wired = {end.at for run in view.runs if run.role != "switch drop" for end in (run.a, run.b)}
        return [point for point in walk_order(view) if point in wired]

    def _simulated(self, view: CircuitView, lines: Sequence[Line], practice: Practice) -> tuple[Simulated, ...]:
        home, book = self.hand.home, trade.load()
        faults: list[Told] = [parse_fault(words, view, book, home) for words in self.planted.get(view.device.id, ())]
        # The truth goes by the seed, the luck of a reading by its turn: the same home read with other luck later on.
        turn = -1 if self.is_later else 1
        return simulate(view, book, faults, practice, lines=lines[::turn], home=home)[::turn]

    def _record(self, line: Line, typed: str, apart: tuple[str, ...] = ()) -> None:
        self.hand.do(
            record_reading(
                self.hand.home, self.visit.id, line.test, typed, device=line.device, at=line.at, cores=line.cores,
                link=line.linked(), apart=apart, instrument=self.id, test_v=line.test_v, test_a=line.test_a,
                phase_deg=line.phase_deg,
            )
        )  # fmt: skip

    def _put(self, test: ReadingTest, typed: str, *, at: str | None, device: str | None = None,
             cores: tuple[str, ...] = ()) -> None:  # fmt: skip
        self.hand.do(
            record_reading(
                self.hand.home, self.visit.id, test, typed, device=device, at=at, cores=cores, instrument=self.id
            )
        )
