"""What a hunt for low insulation does beside its card: the next step worked out in another thread, and recording."""

from collections.abc import Callable, Sequence
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.readings_recorder import Recorder, Result
from circuitmap.errors import PersonError
from circuitmap.home import Change, Home, verbs
from circuitmap.home.change import combine
from circuitmap.home.verbs_readings import range_si
from circuitmap.jobs import Ticket
from circuitmap.quantities.measured import Measured, parse_measured
from circuitmap.readings.entries import Entry
from circuitmap.readings.leak_book import Start, Trail, follow
from circuitmap.readings.verdict import Rules

Make = Callable[[Home, str, Measured], Change]
_REFUSED: Final = "It could not be recorded."


class Following:
    """The question where the readings of a hunt lead, to be asked in another thread."""

    def __init__(
        self, view: CircuitView, rules: Rules, start: Start, entries: Sequence[Entry], before: Trail | None
    ) -> None:
        self._view, self._rules, self._start, self._entries, self._before = view, rules, start, entries, before

    def __call__(self, ticket: Ticket) -> Trail:
        """Follow them; stops between steps when nobody waits any longer."""

        def stop() -> None:
            ticket.tick(0)

        return follow(self._view, self._rules, self._start, self._entries, before=self._before, stop=stop)


def take_typed(adapter: Adapter, recorder: Recorder, typed: str, make: Make) -> Result:
    """Record an insulation reading as it was typed; it waits for the proof of the meter like any other."""
    try:
        measured = parse_measured(typed.strip(), "insulation", range_si(recorder.meter, "insulation"))
    except PersonError as error:
        return Result(False, str(error))
    if not measured.not_possible and recorder.unproved and not recorder.is_put_off:
        return Result(False, f"Not recorded yet. {recorder.unproved}", waits=True)
    return record(adapter, recorder, lambda home, visit: make(home, visit, measured))


def record(adapter: Adapter, recorder: Recorder, make: Callable[[Home, str], Change]) -> Result:
    """Record on the visit of the side that is read on; its first reading begins it."""
    try:
        change = _on_visit(adapter.home, recorder, make)
    except PersonError as error:
        return Result(False, str(error))
    return Result(True, f"Recorded: {change.title}.") if adapter.do(change) is not None else Result(False, _REFUSED)


def _on_visit(home: Home, recorder: Recorder, make: Callable[[Home, str], Change]) -> Change:
    visit = recorder.visit
    if visit is not None:
        return make(home, visit.id)
    begin = verbs.start_visit(home, purpose="after work" if recorder.side == "after" else "before work")
    (visit_id,) = begin.added()
    change = make(home.apply(begin), visit_id)
    return combine(change.title, (begin, change))
