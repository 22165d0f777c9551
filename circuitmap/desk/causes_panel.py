"""The panel of likely causes: what the readings of a circuit may mean, where to look, and what to read next.

Choosing a cause lights up its place on the plan; whoever shows a chart or the loop view follows ``cause_chosen``.
"""

from typing import Final

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QGraphicsOpacityEffect,
    QHBoxLayout,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from circuitmap.circuits import CircuitView
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.causes_list import RowList
from circuitmap.desk.causes_said import (
    CAUTION,
    cause_row,
    fit_words,
    head_words,
    next_row,
    odds_words,
    ohm_words,
    others_words,
    percent,
    read_at,
    size_words,
)
from circuitmap.desk.causes_work import Latest, Weigh, Weighing, weigh
from circuitmap.desk.parts import Card, Heading, Label, button
from circuitmap.desk.theme import GAP_PX, TARGET_PX, Look
from circuitmap.plan.where import place_of
from circuitmap.readings.book import readings_of
from circuitmap.readings.causes import Cause, Compared, Diagnosis
from circuitmap.readings.entries import Side

NO_CIRCUIT: Final = "Choose a circuit: what its readings may mean is said here."
NOTHING_YET: Final = "Nothing to weigh yet: read the ring end to end, or a sweep along the circuit."
WEIGHING: Final = "weighing…"
STOPPED: Final = "Stopped. What is shown is from before the last reading."
_DIM: Final = 0.45
_ROWS_SEEN: Final = 5


class CausesPanel(QWidget):
    """The causes with their odds, the one chosen against each reading, and the readings to take next."""

    cause_chosen = Signal(object)  # the Cause, or None
    reading_chosen = Signal(str, object, object, str)  # test, link or None, cores, at (a point, or the way)
    weighed = Signal(object)  # a Diagnosis that has come

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None, *, weigher: Weigh = weigh) -> None:
        super().__init__(parent)
        self._adapter, self._weigher = adapter, weigher
        self._device = ""
        self._side: Side | None = None
        self._asked: tuple[object, ...] = ()
        self._diagnosis: Diagnosis | None = None
        self._cause: Cause | None = None
        self.setObjectName("causes")
        self.setAccessibleName("Likely causes")
        self._build(look)
        self._latest = Latest(self)
        self._latest.done.connect(self._on_weighed)
        self._latest.failed.connect(self._on_failed)
        self._latest.waiting.connect(self._on_waiting)
        self._again = QTimer(self)
        self._again.setSingleShot(True)
        self._again.timeout.connect(self._light_again)
        adapter.changed.connect(self.refresh)
        adapter.lit.connect(self._on_lit)
        self.show_view(None)

    def _build(self, look: Look) -> None:
        self.status = Label("", self, role="faint")
        self.status.setAccessibleName("Whether causes are being weighed")
        self.stop_button = button("Stop", self)
        self.stop_button.setAccessibleName("Stop weighing")
        self.stop_button.clicked.connect(self._on_stop)
        self.again_button = button("Weigh again", self)
        self.again_button.clicked.connect(self._on_again)
        self.again_button.hide()
        head = QHBoxLayout()
        head.addWidget(Heading("Likely causes", self), 1)
        head.addWidget(self.stop_button)
        head.addWidget(self.again_button)
        self._caution = Card(self, warn=True)
        self._caution.body.addWidget(Label(CAUTION, self._caution))
        self.content = QWidget(self)
        self._effect = QGraphicsOpacityEffect(self.content)
        self._effect.setOpacity(_DIM)
        self._effect.setEnabled(False)
        self.content.setGraphicsEffect(self._effect)
        self.says = Label("", self.content)
        self.causes = RowList(look, "Likely causes, the likeliest first", self.content)
        self.causes.setObjectName("causes-list")
        self.causes.pointed.connect(self._on_cause)
        self.causes.taken.connect(self._on_taken)
        self.others = Label("", self.content, role="faint")
        self.detail = Card(self.content)
        self.detail.setObjectName("cause-detail")
        self.detail_words = Label("", self.detail)
        self.table = self._make_table()
        self.detail.body.addWidget(self.detail_words)
        self.detail.body.addWidget(self.table)
        self._next_head = Heading("What to read next", self.content)
        self.next = RowList(look, "What to read next, the most telling first", self.content)
        self.next.setObjectName("next-readings")
        self.next.taken.connect(self._on_next)
        self.notes = Label("", self.content, role="faint")
        inside = QVBoxLayout(self.content)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.setSpacing(GAP_PX)
        for widget in (self.says, self.causes, self.others, self.detail, self._next_head, self.next, self.notes):
            inside.addWidget(widget)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(GAP_PX)
        layout.addLayout(head)
        layout.addWidget(self.status)
        layout.addWidget(self._caution)
        layout.addWidget(self.content)
        self.setFocusProxy(self.causes)
        self.setTabOrder(self.causes, self.table)
        self.setTabOrder(self.table, self.next)

    def _make_table(self) -> QTableWidget:
        table = QTableWidget(0, 4, self.detail)
        table.setObjectName("cause-table")
        table.setAccessibleName("The chosen cause against each reading")
        table.setHorizontalHeaderLabels(["Reading", "Read", "Cause says", "Fit"])
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        table.setTabKeyNavigation(False)
        table.verticalHeader().hide()
        table.verticalHeader().setDefaultSectionSize(TARGET_PX)
        header = table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        table.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        table.itemActivated.connect(self._on_row)
        return table

    # -- what it shows ------------------------------------------------------------------------------------------

    @property
    def diagnosis(self) -> Diagnosis | None:
        """What is shown, None before the first result."""
        return self._diagnosis

    @property
    def cause(self) -> Cause | None:
        """The cause chosen."""
        return self._cause

    @property
    def circuit(self) -> CircuitView | None:
        """The circuit whose readings are weighed, as it is now."""
        return self._adapter.view_of(self._device) if self._device else None

    def show_view(self, view: CircuitView | None, side: Side | None = None) -> None:
        """Weigh the readings of a circuit: those before or after the work, or (None) what counts now."""
        device = view.device.id if view is not None else ""
        if device != self._device:
            self._choose(None)
            self._diagnosis = None
            self._asked = ()
        self._device, self._side = device, side
        self.refresh()

    def refresh(self, *_: object) -> None:
        """Weigh anew if anything that counts has changed; what is shown stays until that is done."""
        view = self.circuit
        if view is None:
            self._latest.stop()
            self._asked = ()
            self._diagnosis = None
            self._fill()
            return
        adapter = self._adapter
        wanted = (view, readings_of(adapter.home, view, adapter.memo), self._side)
        if not self.isVisible():
            return  # nobody looks: asked once it is shown
        if wanted != self._asked:
            self._asked = wanted
            self.again_button.hide()
            question = Weighing(adapter.home, view, adapter.trade, adapter.memo, self._side, self._weigher)
            self._latest.ask(question)
            if self._diagnosis is None:
                self._fill()

    def _on_weighed(self, result: object) -> None:
        assert isinstance(result, Diagnosis)
        kept = self._cause
        self._diagnosis = result
        again = next((each for each in result.causes if kept is not None and _is_same(each, kept)), None)
        self._fill(again)
        row = self.causes.currentRow()  # with the keys here already, Qt stands on the first row by itself
        self._choose(again if again is not None or row < 0 else result.causes[row])
        self.weighed.emit(result)

    def _on_failed(self, sentence: str) -> None:
        self._diagnosis = None
        self._choose(None)
        self._fill()
        self.says.setText(sentence)
        self.says.show()

    def _on_waiting(self, waits: bool) -> None:
        self._effect.setEnabled(waits)
        self.status.setText(WEIGHING if waits else "")
        self.status.setVisible(waits)
        self.stop_button.setVisible(waits)

    def _on_stop(self) -> None:
        self._latest.stop()
        self.status.setText(STOPPED)
        self.status.show()
        self.again_button.show()
        self.again_button.setFocus()

    def _on_again(self) -> None:
        self._asked = ()
        self.status.hide()
        self.refresh()

    def _fill(self, chosen: Cause | None = None) -> None:
        made = self._diagnosis
        causes = made.causes if made is not None else ()
        self.status.setVisible(bool(self.status.text()) and self._latest.is_busy)
        self.stop_button.setVisible(self.status.isVisibleTo(self))
        self._caution.setVisible(bool(causes))
        self.causes.show_rows([cause_row(each) for each in causes], causes.index(chosen) if chosen in causes else -1)
        others = others_words(made) if made is not None else ""
        self.others.setText(others)
        self.others.setVisible(bool(others))
        readings = made.next if made is not None else ()
        self.next.show_rows([next_row(each, n) for n, each in enumerate(readings)])
        self._next_head.setVisible(bool(readings))
        notes = "\n".join(made.notes) if made is not None else ""
        self.notes.setText(notes)
        self.notes.setVisible(bool(notes and causes))
        said = head_words(made) if made is not None else NO_CIRCUIT if not self._device else ""
        if made is not None and not causes:
            said = notes or NOTHING_YET
        self.says.setText(said)
        self.says.setVisible(bool(said))
        self._fill_detail()

    def _fill_detail(self) -> None:
        cause = self._cause
        self.detail.setVisible(cause is not None)
        if cause is None:
            return
        odds = f"{odds_words(cause.probability).capitalize()} ({percent(cause.probability)}): {cause.says}"
        self.detail_words.setText("\n".join(filter(None, (odds, size_words(cause), cause.why))))
        rows = self._rows()
        self.table.setRowCount(len(rows))
        code = self._diagnosis.code if self._diagnosis is not None else ""
        for n, each in enumerate(rows):
            words = (read_at(each, code), ohm_words(each.measured_ohm), ohm_words(each.expected_ohm), fit_words(each))
            for column, text in enumerate(words):
                item = QTableWidgetItem(text)
                item.setToolTip(text)
                if column in (1, 2):
                    item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                self.table.setItem(n, column, item)
        self.table.setVisible(bool(rows))
        high = min(len(rows), _ROWS_SEEN) * TARGET_PX + self.table.horizontalHeader().sizeHint().height()
        self.table.setFixedHeight(high + 2 * self.table.frameWidth() + 2)

    def _rows(self) -> list[Compared]:
        return sorted(self._cause.compared, key=_away, reverse=True) if self._cause is not None else []

    # -- what the person chooses --------------------------------------------------------------------------------

    def _on_cause(self, row: int) -> None:
        made = self._diagnosis
        self._choose(made.causes[row] if made is not None and 0 <= row < len(made.causes) else None)

    def _choose(self, cause: Cause | None) -> None:
        if cause is self._cause:
            return
        self._cause = cause
        self._fill_detail()
        self._light()
        self.cause_chosen.emit(cause)

    def _on_taken(self, row: int) -> None:
        """Go there: on its storey, near enough to be seen."""
        self._on_cause(row)
        ids = self._ids()
        if ids:
            self._adapter.shown.emit(ids)

    def _on_next(self, row: int) -> None:
        made = self._diagnosis
        if made is not None and 0 <= row < len(made.next):
            each = made.next[row]
            self.reading_chosen.emit(each.test, each.link, each.cores, each.at)

    def _on_row(self, item: QTableWidgetItem) -> None:
        rows = self._rows()
        if 0 <= item.row() < len(rows):
            each = rows[item.row()]
            self.reading_chosen.emit(each.test, each.link, each.cores, each.at)

    # -- light on the plan --------------------------------------------------------------------------------------

    def _ids(self) -> tuple[str, ...]:
        return (*self._cause.at, *self._cause.runs) if self._cause is not None else ()

    def _light(self) -> None:
        ids = self._ids()
        if ids and self.isVisible():
            home = self._adapter.home
            places = [place_of(home, record) for each in ids if (record := home.peek(each)) is not None]
            storeys = [place.storey for place in places if place is not None]
            if storeys and self._adapter.storey not in storeys:
                self._adapter.set_storey(storeys[0])
        self._adapter.light(frozenset(ids) if self.isVisible() else frozenset())

    def _on_lit(self, ids: frozenset[str]) -> None:
        """Light the chosen cause again once nothing else is pointed at."""
        if not ids and self._cause is not None:
            self._again.start()  # not at once: others are still being told that the light went out

    def _light_again(self) -> None:
        if self.isVisible() and not self._adapter.lit_ids:
            self._adapter.light(frozenset(self._ids()))

    def showEvent(self, event: QShowEvent) -> None:
        """Weigh what has changed meanwhile, and light up the chosen cause."""
        super().showEvent(event)
        self.refresh()
        self._light_again()

    def hideEvent(self, event: QHideEvent) -> None:
        """Put its light out, and wait for nothing."""
        super().hideEvent(event)
        if self._latest.is_busy:
            self._latest.stop()
            self._asked = ()
        if self._cause is not None and self._adapter.lit_ids == frozenset(self._ids()):
            self._adapter.light()


def _away(compared: Compared) -> float:
    return abs(compared.off_by)


def _is_same(one: Cause, other: Cause) -> bool:
    return (one.kind, one.cores, one.at, one.runs) == (other.kind, other.cores, other.at, other.runs)
