"""Which way is being read, on which side of the work, with which meter; and the recording itself.

The way follows the selection. A visit is begun by the first reading of a side on a day, together with it, so that one
undo takes back both. Nothing here judges a reading.
"""

from collections.abc import Callable
from typing import Final, NamedTuple

from PySide6.QtCore import QObject, Signal

from circuitmap.circuits import CircuitView
from circuitmap.desk.adapter import Adapter
from circuitmap.errors import PersonError
from circuitmap.home import Change, Home, verbs
from circuitmap.home.change import combine
from circuitmap.home.records import Instrument, Point, Reading, Visit, natural_key
from circuitmap.home.verbs_readings import THROUGH_LEADS, range_si
from circuitmap.quantities.measured import parse_measured
from circuitmap.readings.book import ReadingBook, readings_of, readings_of_no_way
from circuitmap.readings.entries import Entry, Side
from circuitmap.readings.sheet import Line
from circuitmap.words import Purpose, ReadingTest

PROOF_NEEDED: Final[frozenset[ReadingTest]] = (THROUGH_LEADS - {"lead check"}) | {"insulation"}
_Make = Callable[[Home, str], Change]
_PURPOSE: Final[dict[Side, Purpose]] = {"before": "before work", "after": "after work"}


class Result(NamedTuple):
    """What came of a text that was typed: whether it was recorded, a sentence, whether it waits for the proof."""

    recorded: bool
    says: str
    waits: bool = False


class Recorder(QObject):
    """The state of the stage, and the one place from which readings are recorded."""

    changed = Signal()  # the way, the side, the meter or the temperature is another

    def __init__(self, adapter: Adapter, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._way = ""
        self._side: Side = "before"
        self._meter = ""
        self.copper_c: float | None = None
        self.by_plug = False
        adapter.changed.connect(self._on_changed)
        adapter.selected.connect(self._on_selected)
        self._on_selected(adapter.selection)

    # -- what is being read -------------------------------------------------------------------------------------

    @property
    def way(self) -> str:
        """The id of the way, empty while none was chosen."""
        return self._way

    @property
    def view(self) -> CircuitView | None:
        """The circuit of the way."""
        return self._adapter.view_of(self._way) if self._way else None

    @property
    def book(self) -> ReadingBook | None:
        """The book of the way."""
        view = self.view
        return readings_of(self._adapter.home, view, self._adapter.memo) if view is not None else None

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All readings that a line of the sheet may show: the way's, and those of the board and its RCDs."""
        book = self.book
        if book is None:
            return ()
        rest = readings_of_no_way(self._adapter.home, self._adapter.views, self._adapter.memo)
        return (*rest.entries, *book.entries)

    @property
    def ze_ohm(self) -> float | None:
        """The supply's own loop as it was last read at the board of the way."""
        view = self.view
        if view is None:
            return None
        read = [e for e in self.entries if e.test == "Ze" and e.at in (view.board.id, None) and e.is_number]
        return read[-1].value_si if read else None

    @property
    def side(self) -> Side:
        """On which side of the work one reads."""
        return self._side

    def set_side(self, side: Side) -> None:
        """Read on the other side of the work."""
        if side != self._side:
            self._side = side
            self.changed.emit()

    # -- the visit and the meter --------------------------------------------------------------------------------

    @property
    def visit(self) -> Visit | None:
        """Today's visit on this side; None until its first reading begins it."""
        today = verbs.today_text()
        visits = [each for each in self._adapter.home.sorted(Visit) if each.day == today]
        mine = [each for each in visits if (each.purpose == "after work") == (self._side == "after")]
        return mine[-1] if mine else None

    @property
    def starts_over(self) -> bool:
        """Whether a reading before the work would make what was read after it a thing of the past."""
        visits = sorted(self._adapter.home.table(Visit).values(), key=lambda v: (v.day, natural_key(v.id)))
        is_after = bool(visits) and visits[-1].purpose == "after work"
        return self._side == "before" and self.visit is None and is_after

    @property
    def meters(self) -> list[Instrument]:
        """The meters on record that read more than whether there is voltage."""
        held = self._adapter.home.sorted(Instrument)
        return [each for each in held if each.kind in ("multifunction", "other")]

    @property
    def meter(self) -> Instrument | None:
        """The meter that readings are taken with."""
        home = self._adapter.home
        found = home.find(Instrument, self._meter) if self._meter else None
        if found is not None:
            return found
        used = [each.instrument for each in home.sorted(Reading) if each.instrument]
        last = home.find(Instrument, used[-1]) if used else None
        return last or next(iter(self.meters), None)

    def set_meter(self, instrument: str) -> None:
        """Read with another meter."""
        self._meter = instrument
        self.changed.emit()

    def set_by_plug(self, by_plug: bool) -> None:
        """Say whether sockets are read by a plug in their front, not at their terminals."""
        if by_plug != self.by_plug:
            self.by_plug = by_plug
            self.changed.emit()

    def set_copper(self, copper_c: float | None) -> None:
        """Say how warm the conductors are."""
        if copper_c != self.copper_c:
            self.copper_c = copper_c
            self.changed.emit()

    @property
    def last_check(self) -> Reading | None:
        """The last lead check of this visit with this meter."""
        visit, meter = self.visit, self.meter
        if visit is None or meter is None:
            return None
        checks = [
            each
            for each in self._adapter.home.sorted(Reading)
            if each.test == "lead check" and each.visit == visit.id and each.instrument == meter.id
        ]
        return checks[-1] if checks else None

    @property
    def is_put_off(self) -> bool:
        """Whether proving the meter was put off for this visit, with a note."""
        check = self.last_check
        return check is not None and bool(check.not_possible)

    @property
    def unproved(self) -> str:
        """Say in a sentence what the meter still needs, "" when nothing."""
        visit, meter = self.visit, self.meter
        if meter is None:
            return "Say which meter you read with."
        if visit is None:
            name = meter.name or meter.id
            return f"{name} has not been proved on this visit: short the leads and write down what it shows."
        return verbs.why_unproved(self._adapter.home, visit.id, meter.id)

    # -- recording ----------------------------------------------------------------------------------------------

    def take(self, line: Line, typed: str, like: Entry | None = None) -> Result:
        """Record what was typed for a line of the sheet; ``like`` is an earlier reading of it, linked alike."""
        text = typed.strip()
        if not text:
            return Result(False, "")
        home, meter = self._adapter.home, self.meter
        try:
            measured = parse_measured(text, line.test, range_si(meter, line.test))
        except PersonError as error:
            return Result(False, str(error))
        if line.test in PROOF_NEEDED and not measured.not_possible and self.unproved and not self.is_put_off:
            return Result(False, f"Not recorded yet. {self.unproved}", waits=True)
        link = like.reading.link if like is not None else line.linked()

        def make(now: Home, visit: str) -> Change:
            return verbs.record_reading(
                now, visit, line.test, measured, device=line.device, at=line.at, cores=line.cores, link=link,
                instrument=meter.id if meter is not None else None, test_v=line.test_v, test_a=line.test_a,
                phase_deg=line.phase_deg, copper_c=self.copper_c, by_plug=self.by_plug and _is_socket(now, line),
            )  # fmt: skip

        try:
            change = self._on_visit(home, make)
        except PersonError as error:
            return Result(False, str(error))
        if self._adapter.do(change) is None:
            return Result(False, "It could not be recorded.")
        return Result(True, f"Recorded: {change.title}.")

    def add_meter(self, name: str) -> bool:
        """Put a meter on record and read with it."""
        added = self._adapter.do(lambda home: verbs.add_meter(home, name.strip()))
        if added is None:
            return False
        self.set_meter(added[0])
        return True

    def prove(self, typed: str) -> Result:
        """Record what the meter shows with its leads shorted."""
        meter = self.meter
        if meter is None:
            return Result(False, "Say which meter you read with.")
        instrument = meter.id
        try:
            measured = parse_measured(typed.strip(), "lead check", range_si(meter, "lead check"))
            change = self._on_visit(
                self._adapter.home, lambda now, visit: verbs.prove_meter(now, visit, instrument, measured)
            )
        except PersonError as error:
            return Result(False, str(error))
        if self._adapter.do(change) is None:
            return Result(False, "It could not be recorded.")
        left = self.unproved
        return Result(not left, left or f"Proved: {meter.name or meter.id} reads near zero with its leads shorted.")

    def null_leads(self) -> None:
        """Say that the leads were nulled; what the meter shows with them shorted is asked again."""
        meter = self.meter
        if meter is not None:
            self._adapter.do(lambda home: verbs.null_leads(home, meter.id))

    def subtract_leads(self, leads_ohm: float) -> None:
        """Say what the leads add, and let the last check stand with that taken off."""
        meter, check = self.meter, self.last_check
        if meter is None or check is None:
            return
        self._adapter.do(lambda home: verbs.subtract_leads(home, meter.id, leads_ohm))
        if self.unproved:
            self.prove(check.typed)

    def put_off(self, note: str) -> bool:
        """Put proving the meter off, with the reason on record."""
        return self.prove(f"not possible: put off, {note.strip() or 'no reason given'}").recorded or self.is_put_off

    def _on_visit(self, home: Home, make: _Make) -> Change:
        """Give a change on this side's visit, which it begins when there is none."""
        visit = self.visit
        if visit is not None:
            return make(home, visit.id)
        begin = verbs.start_visit(home, purpose=_PURPOSE[self._side])
        (visit_id,) = begin.added()
        change = make(home.apply(begin), visit_id)
        return combine(change.title, (begin, change))

    # -- slots --------------------------------------------------------------------------------------------------

    def _on_changed(self, _change: object) -> None:
        if self._way and self.view is None:
            self._way = ""
        self.changed.emit()

    def _on_selected(self, ids: tuple[str, ...]) -> None:
        if len(ids) != 1:
            return
        views = self._adapter.views_of(ids[0])
        if views and all(view.device.id != self._way for view in views):
            self._way = views[0].device.id
            self.changed.emit()


def _is_socket(home: Home, line: Line) -> bool:
    """Whether a line is a reading of linked conductors at something that a plug fits into."""
    point = home.find(Point, line.at)
    return line.test == "linked" and point is not None and "socket" in point.kind
