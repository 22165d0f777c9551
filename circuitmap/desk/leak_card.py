"""The card of the guided hunt for low insulation: what to do next and why, a field for each part to be read.

The records lead the hunt: what is undone or typed elsewhere takes it back or on. What may still hold the leak is lit up
on the plan. Nothing is called found before it was read alone.
"""

from typing import Final

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from circuitmap.circuits import CircuitView
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.causes_work import Latest
from circuitmap.desk.leak_begin import LeakBegin
from circuitmap.desk.leak_step import LeakStep
from circuitmap.desk.leak_work import Following, record, take_typed
from circuitmap.desk.parts import Heading, Label
from circuitmap.desk.readings_recorder import Recorder
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.home import Change, Home
from circuitmap.plan.where import place_of
from circuitmap.quantities.measured import Measured
from circuitmap.readings.book import ReadingBook, readings_of
from circuitmap.readings.entries import Entry
from circuitmap.readings.judged_case import rules_of
from circuitmap.readings.leak_book import (
    OnRecord,
    Start,
    Trail,
    hunts_of,
    low_readings,
    next_start,
    pair_of_cores,
    record_cannot,
    record_part,
    record_whole,
    take_back,
)
from circuitmap.readings.sheet import Line

WORKING: Final = "working out the next step…"


class LeakCard(QWidget):
    """Where a hunt begins, and each of its steps."""

    proof_wanted = Signal()  # a reading waits for the proof of the meter
    followed = Signal(object)  # a Trail that has come

    def __init__(self, adapter: Adapter, recorder: Recorder, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("leak")
        self.setAccessibleName("Low insulation")
        self._adapter, self._recorder = adapter, recorder
        self._document = adapter.document
        self._device = ""
        self._started: dict[str, Start] = {}
        self._asked: tuple[object, ...] = ()
        self._trail: Trail | None = None
        self._takes_focus = self._is_answered = False  # answered: the next step is still to come
        self.status = Label("", self, role="faint")
        self.status.hide()
        self.status.setAccessibleName("Whether the next step is being worked out")
        self.begin = LeakBegin(look, self)
        self.step = LeakStep(look, self)
        self._head = Heading("Low insulation", self)
        head = QHBoxLayout()
        head.addWidget(self._head, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(GAP_PX)
        layout.addLayout(head)
        for widget in (self.status, self.begin, self.step):
            layout.addWidget(widget)
        self._latest = Latest(self)
        self._again = QTimer(self)
        self._again.setSingleShot(True)
        self._connect()
        self.show_view(None)

    def _connect(self) -> None:
        self._latest.done.connect(self._on_followed)
        self._latest.failed.connect(self._on_failed)
        self._latest.waiting.connect(self._on_waiting)
        self._again.timeout.connect(self._light_again)
        self._adapter.changed.connect(self.refresh)
        self._adapter.lit.connect(self._on_lit)
        self.begin.gone_on.connect(self._on_gone_on)
        self.begin.begun_from.connect(self._on_begun_from)
        self.begin.begun_with.connect(self._on_begun_with)
        self.step.fields.entered.connect(self._on_entered)
        self.step.cannot.clicked.connect(self._on_cannot)
        self.step.back.clicked.connect(self._on_back)
        self.step.stop.clicked.connect(self._on_stop)
        self.step.pointed.connect(self._light)
        self.step.shown.connect(self._on_shown)

    # -- what it shows ------------------------------------------------------------------------------------------

    @property
    def trail(self) -> Trail | None:
        """How far the hunt on show has come, None while none is followed."""
        return self._trail

    @property
    def circuit(self) -> CircuitView | None:
        """The circuit that is hunted on, as it is now."""
        return self._adapter.view_of(self._device) if self._device else None

    def show_view(self, view: CircuitView | None) -> None:
        """Show a circuit: the hunt under way on it, or where one begins."""
        device = view.device.id if view is not None else ""
        if device != self._device:
            self._forget()
        self._device = device
        self.refresh()

    def refresh(self, *_: object) -> None:
        """Follow what is on record now; what is shown stays until that is done."""
        if self._adapter.document is not self._document:
            self._document = self._adapter.document
            self._started.clear()
            self._forget()
        if not self.isVisible():
            return  # nobody looks: followed once it is shown
        view, book = self.circuit, self._book()
        if view is None or book is None:
            self._show_begin(None, ())
            return
        hunts = hunts_of(book)
        start, entries = self._under_way(hunts)
        if start is None:
            self._show_begin(view, hunts)
            return
        rules = rules_of(self._adapter.home, self._adapter.trade)
        wanted = (view, rules, start, entries)
        if wanted != self._asked:
            self._asked = wanted
            self._latest.ask(Following(view, rules, start, entries, self._trail))

    def focus_inside(self) -> None:
        """Go to where one types."""
        if self.step.isVisibleTo(self):
            self.step.focus_first()
        else:
            self.begin.focus_first()

    def _under_way(self, hunts: tuple[OnRecord, ...]) -> tuple[Start | None, tuple[Entry, ...]]:
        """Give the hunt that is followed on the circuit, with its readings; one that was undone whole is over."""
        start = self._started.get(self._device)
        if start is None:
            return None, ()
        held = next((each for each in hunts if each.start.number == start.number), None)
        if held is not None:
            self._started[self._device] = held.start
            return held.start, held.entries
        if start.is_of_hunt or (start.reading and self._adapter.home.peek(start.reading) is None):
            del self._started[self._device]
            return None, ()
        return start, ()

    def _book(self) -> ReadingBook | None:
        view = self.circuit
        return readings_of(self._adapter.home, view, self._adapter.memo) if view is not None else None

    def _forget(self) -> None:
        self._latest.stop()
        self._asked, self._trail = (), None
        self._is_answered = False
        self._put_out()

    def _show_begin(self, view: CircuitView | None, hunts: tuple[OnRecord, ...]) -> None:
        self._forget()
        book = self._book()
        rules = rules_of(self._adapter.home, self._adapter.trade)
        low = low_readings(book, rules) if book is not None else ()
        had_focus = self.step.isAncestorOf(self.focusWidget()) if self.focusWidget() is not None else False
        self._head.setText("Low insulation")
        self.step.hide()
        self.begin.show_view(view, hunts, low)
        self.begin.show()
        if had_focus:
            self.begin.focus_first()

    # -- what comes from beside ---------------------------------------------------------------------------------

    def _on_followed(self, result: object) -> None:
        assert isinstance(result, Trail)
        before, self._trail = self._trail, result
        takes = self._takes_focus or before is None or self.step.isAncestorOf(self.focusWidget() or self)
        self._takes_focus = self._is_answered = False
        code = result.view.code
        self._head.setText(f"Low insulation · {code}, hunt {result.start.number}")
        self.begin.hide()
        self.step.show_trail(result)
        self.step.show()
        if takes and (before is None or before.step != result.step):
            self.step.focus_first()
        self._light()
        self.followed.emit(result)

    def _on_failed(self, sentence: str) -> None:
        self._started.pop(self._device, None)
        self.refresh()
        self.begin.tell(sentence)

    def _on_waiting(self, waits: bool) -> None:
        self.status.setText(WORKING if waits else "")
        self.status.setVisible(waits)

    # -- what the person does -----------------------------------------------------------------------------------

    def _on_gone_on(self, hunt: OnRecord) -> None:
        self._begin(hunt.start)

    def _on_begun_from(self, entry: Entry) -> None:
        book = self._book()
        if book is not None:
            self._begin(next_start(book, pair_of_cores(entry.reading.cores), entry))

    def _on_begun_with(self, line: Line, typed: str) -> None:
        view, book = self.circuit, self._book()
        if view is None or book is None:
            return
        start = next_start(book, pair_of_cores(line.cores))
        if typed:
            recorder = self._recorder

            def make(home: Home, visit: str, measured: Measured) -> Change:
                meter = recorder.meter
                return record_whole(
                    home, visit, view, start, measured, test_v=line.test_v,
                    instrument=meter.id if meter is not None else None, copper_c=recorder.copper_c,
                )  # fmt: skip

            self._started[self._device] = start
            result = take_typed(self._adapter, recorder, typed, make)
            if not result.recorded:
                del self._started[self._device]
                self.begin.tell(result.says)
                if result.waits:
                    self.proof_wanted.emit()
                return
        self.begin.forget_typed()
        self._begin(start)

    def _begin(self, start: Start) -> None:
        self._started[self._device] = start
        self._takes_focus = True
        self.refresh()

    def _on_entered(self, place: int, typed: str) -> None:
        trail, recorder = self._trail, self._recorder
        if trail is None or self._is_answered:
            return

        def make(home: Home, visit: str, measured: Measured) -> Change:
            meter = recorder.meter
            return record_part(
                home, visit, trail, trail.step.asked[place], measured,
                instrument=meter.id if meter is not None else None, copper_c=recorder.copper_c,
            )  # fmt: skip

        result = take_typed(self._adapter, recorder, typed, make)
        if result.recorded:
            self._is_answered = self._takes_focus = not self.step.fields.mark_recorded(place)
            return
        self.step.fields.tell(place, result.says)
        if result.waits:
            self.proof_wanted.emit()

    def _on_cannot(self) -> None:
        trail, meter = self._trail, self._recorder.meter
        if trail is None or trail.step.is_end or self._is_answered:
            return
        name = meter.id if meter is not None else None
        result = record(self._adapter, self._recorder, lambda home, visit: record_cannot(home, visit, trail, name))
        self._is_answered = self._takes_focus = result.recorded
        if not result.recorded:
            self._adapter.refuse(result.says)

    def _on_back(self) -> None:
        change = take_back(self._adapter.home, self._trail) if self._trail is not None else None
        if change is not None:
            self._takes_focus = True
            self._adapter.do(change)

    def _on_stop(self) -> None:
        self._started.pop(self._device, None)
        self.refresh()
        self.begin.focus_first()

    def _on_shown(self) -> None:
        """Go there: on its storey, near enough to be seen."""
        ids = tuple(sorted(self.step.places))
        if ids:
            self._adapter.shown.emit(ids)

    # -- light on the plan --------------------------------------------------------------------------------------

    def _light(self) -> None:
        ids = self.step.places if self._trail is not None else frozenset()
        if not self.isVisible():
            return
        home = self._adapter.home
        places = [place_of(home, record) for each in ids if (record := home.peek(each)) is not None]
        storeys = sorted({place.storey for place in places if place is not None and place.storey})
        if storeys and self._adapter.storey not in storeys:
            self._adapter.set_storey(storeys[0])
        self._adapter.light(ids)

    def _on_lit(self, ids: frozenset[str]) -> None:
        """Light the suspected parts again once nothing else is pointed at."""
        if not ids and self._trail is not None:
            self._again.start()  # not at once: others are still being told that the light went out

    def _light_again(self) -> None:
        if self.isVisible() and self._trail is not None and not self._adapter.lit_ids:
            self._adapter.light(self.step.places)

    def _put_out(self) -> None:
        if self.step.places and self._adapter.lit_ids == self.step.places:
            self.step.show_trail(None)
            self._adapter.light()
        else:
            self.step.show_trail(None)

    def showEvent(self, event: QShowEvent) -> None:
        """Follow what came on record meanwhile, and light up what is suspected."""
        super().showEvent(event)
        self.refresh()
        self._light_again()

    def hideEvent(self, event: QHideEvent) -> None:
        """Put its light out, and wait for nothing."""
        super().hideEvent(event)
        if self._latest.is_busy:
            self._latest.stop()
            self._asked = ()
        if self._trail is not None and self._adapter.lit_ids == self.step.places:
            self._adapter.light()
