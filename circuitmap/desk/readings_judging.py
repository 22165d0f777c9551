"""What readings are held against and what is said of them, worked out off the window's thread."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import cast

from PySide6.QtCore import QObject, Signal

from circuitmap.circuits import CircuitView
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.readings_recorder import Recorder
from circuitmap.desk.visit_plan import Latest
from circuitmap.readings.against import CONTACT_OHM, expected_of, worst_of
from circuitmap.readings.judged import Judged, judged, judged_supply
from circuitmap.readings.predict import Predicted, meter_of
from circuitmap.readings.sheet import Group
from circuitmap.readings.verdict import Level

Expectations = Mapping[tuple[object, ...], Predicted]


class Judging(QObject):
    """The newest expectations of one test and the newest verdicts of one way."""

    changed = Signal()

    def __init__(self, adapter: Adapter, recorder: Recorder, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._recorder = adapter, recorder
        self._expecting, self._judging = Latest(self), Latest(self)
        self._way = ""
        self._verdicts: tuple[Judged, ...] = ()
        self._levels: Mapping[str, Level] = {}
        self._shared: Mapping[str, Level] = {}
        self._expecting.changed.connect(self.changed)
        self._judging.changed.connect(self._on_judged)

    @property
    def expected(self) -> Expectations:
        """What the lines of the test on show should read, empty while it is worked out."""
        return cast(Expectations, self._expecting.answer or {})

    @property
    def judged(self) -> tuple[Judged, ...]:
        """What is said of the way's readings; while newer ones are being looked at, what was said before."""
        return self._verdicts

    @property
    def levels(self) -> Mapping[str, Level]:
        """The worst that is said of each reading alone."""
        return self._levels

    @property
    def shared(self) -> Mapping[str, Level]:
        """The worst that is said of each reading together with others: which of them is to blame isn't said."""
        return self._shared

    def ask(self, view: CircuitView, group: Group) -> None:
        """Ask for what the lines of a test should read and for the verdicts of a way."""
        home, trade, recorder = self._adapter.home, self._adapter.trade, self._recorder
        if view.device.id != self._way:
            self._way, self._verdicts, self._levels, self._shared = view.device.id, (), {}, {}
        meter = meter_of(recorder.meter) if recorder.meter is not None else None
        meter = replace(meter, contact_ohm=CONTACT_OHM) if meter is not None else None
        copper_c = 20.0 if recorder.copper_c is None else recorder.copper_c
        ze_ohm = recorder.ze_ohm if group.id == "Zs" else None

        def expect() -> Expectations:
            return expected_of(view, trade, group.lines, home=home, copper_c=copper_c, meter=meter, ze_ohm=ze_ohm)

        self._expecting.ask((view, group, copper_c, meter, ze_ohm), expect)
        memo = self._adapter.memo.fork()

        def judge() -> tuple[Judged, ...]:
            fed = {view.board.id, *(device.id for device in view.above)}
            supply = [each for each in judged_supply(home, trade, memo) if not each.at or fed & set(each.at)]
            return (*judged(home, view, trade, memo), *supply)

        judge_now: Callable[[], object] = judge
        self._judging.ask((home, view.device.id), judge_now)

    def _on_judged(self) -> None:
        answer = self._judging.answer
        self._verdicts = cast(tuple[Judged, ...], answer) if answer is not None else ()
        alone: dict[str, Level] = {}
        shared: dict[str, Level] = {}
        for each in self._verdicts:
            if each.verdict.level == "can't tell":
                continue  # what can't be told of the circuit says nothing of the reading
            levels = alone if len(each.readings) == 1 else shared
            for reading in each.readings:
                found = worst_of(levels.get(reading), each.verdict.level)
                if found is not None:
                    levels[reading] = found
        self._levels, self._shared = alone, shared
        self.changed.emit()
