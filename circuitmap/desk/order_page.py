"""The order of a ring's points from two sweeps, as a page of the Readings stage: what is told, to accept part by part.

It works only while it is looked at. Where readings can't tell, the cables are counted here.
"""

from collections.abc import Sequence
from functools import partial
from typing import Final

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from circuitmap.circuits import CircuitView
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.causes_work import Latest
from circuitmap.desk.order_counts import OrderCounts
from circuitmap.desk.order_parts import OrderParts
from circuitmap.desk.order_said import (
    CAUTION,
    INTRO,
    NO_CIRCUIT,
    NO_LENGTH,
    NOT_A_RING,
    READ_WORDS,
    head_words,
    round_words,
)
from circuitmap.desk.order_work import RING_TESTS, Ordering, Told, accept_all
from circuitmap.desk.parts import Card, Heading, Label, button
from circuitmap.desk.scrolled import ScrolledCard
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.drawing.marks import Ink, Line, Mark
from circuitmap.home.records import Device
from circuitmap.plan.where import place_of
from circuitmap.readings.book import readings_of
from circuitmap.readings.entries import Side
from circuitmap.readings.inferred import Offer, infer_run
from circuitmap.readings.sheet import Group
from circuitmap.wiring.shape import SHAPE_WORDS

WORKING: Final = "drawing the order…"
_DOTTED: Final = Ink("select", 2.5, (2, 5))


class OrderCard(QWidget):
    """What two sweeps tell, the parts to accept, and where cables are to be counted."""

    group_wanted = Signal(str)  # a test of the sheet that is to be read first
    ghosted = Signal(object)  # marks of the part chosen, dotted over the plan
    told_anew = Signal(object)  # a Told that has come

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("order")
        self.setAccessibleName("Order of the points")
        self._adapter = adapter
        self._device = ""
        self._side: Side | None = None
        self._tests: tuple[str, ...] = ()
        self._asked: tuple[object, ...] = ()
        self._told: Told | None = None
        self._shown: tuple[str, str] = ("", "")  # the ends of the part that was brought into view last
        self._lit: frozenset[str] = frozenset()
        self._takes_focus = False  # somebody came here before there was anything to go to
        self._build(look)
        self._latest = Latest(self)
        self._latest.done.connect(self._on_told)
        self._latest.failed.connect(self._on_failed)
        self._latest.waiting.connect(self._on_waiting)
        self._again = QTimer(self)
        self._again.setSingleShot(True)
        self._again.timeout.connect(self._light)
        adapter.changed.connect(self.refresh)
        adapter.lit.connect(self._on_lit)
        adapter.storey_changed.connect(self._on_storey)
        self.show_view(None)

    def _build(self, look: Look) -> None:
        self.head = Heading("Order", self)
        self.status = Label("", self, role="faint")
        self.status.setAccessibleName("Whether the order is being worked out")
        self.status.hide()
        self.says = Label("", self)
        self.missing: list[QPushButton] = []
        reads = QVBoxLayout()
        reads.setSpacing(GAP_PX)
        for test in RING_TESTS:
            made = button(READ_WORDS[test], self)
            made.clicked.connect(partial(self.group_wanted.emit, test))
            reads.addWidget(made)
            self.missing.append(made)
        self.caution = Card(self, warn=True)
        self.caution.body.addWidget(Label(CAUTION, self.caution))
        self.round_card = Card(self)
        self.round = Label("", self.round_card)
        self.round.setAccessibleName("The way round the ring")
        self.round_card.body.addWidget(self.round)
        self.parts = OrderParts(look, self)
        self.parts.pointed.connect(self._light)
        self.parts.accepted.connect(self._on_accepted)
        self.parts.accepted_all.connect(self._on_accepted_all)
        self.counts = OrderCounts(self._adapter, look, self)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(GAP_PX)
        for widget in (self.head, self.status, self.says, self.round_card):
            layout.addWidget(widget)
        layout.addLayout(reads)
        layout.addWidget(self.parts)
        layout.addWidget(self.caution)
        layout.addWidget(self.counts)

    # -- what it shows ------------------------------------------------------------------------------------------

    @property
    def told(self) -> Told | None:
        """What is on show, None before the first result."""
        return self._told

    @property
    def circuit(self) -> CircuitView | None:
        """The circuit whose order is drawn, as it is now."""
        return self._adapter.view_of(self._device) if self._device else None

    def show_view(self, view: CircuitView | None, side: Side | None = None, groups: Sequence[Group] = ()) -> None:
        """Draw the order of a circuit by what was read before or after the work, or (None) by what counts now."""
        device = view.device.id if view is not None else ""
        if device != self._device:
            self._told, self._asked = None, ()
            self.counts.forget()
        self._device, self._side = device, side
        self._tests = tuple(group.id for group in groups)
        self.refresh()

    def refresh(self, *_: object) -> None:
        """Work the order out anew if anything that counts has changed; what is shown stays until that is done."""
        if not self.isVisible():
            return  # nobody looks: asked once it is shown
        view, adapter = self.circuit, self._adapter
        if view is None:
            self._latest.stop()
            self._told, self._asked = None, ()
            self._fill()
            return
        wanted = (view, readings_of(adapter.home, view, adapter.memo), self._side, adapter.trade)
        if wanted != self._asked:
            self._asked = wanted
            self._latest.ask(Ordering(adapter.home, view, adapter.trade, adapter.memo, self._side, self._told))
            if self._told is None:
                self._fill()

    def focus_inside(self) -> None:
        """Go to what is to be done next: parts to accept, a sweep to read, a point to count at."""
        self._takes_focus = self._latest.is_busy
        if self._takes_focus or self.parts.focus_first():
            return
        first = next((each for each in (*self.missing, self.counts.list) if each.isVisibleTo(self)), None)
        if first is not None:
            first.setFocus()

    def _fill(self) -> None:
        told, view = self._told, self.circuit
        self.head.setText(f"Order · {view.code}" if view is not None else "Order")
        order = told.order if told is not None else None
        is_drawn = order is not None and not order.problem
        self.says.setText(self._says(view))
        self.round.setText(round_words(order) if order is not None and is_drawn else "")
        self.round_card.setVisible(bool(self.round.text()))
        wanted = [test for test in told.missing if test in self._tests] if told is not None else []
        for test, each in zip(RING_TESTS, self.missing, strict=True):
            each.setVisible(test in wanted)
            each.setProperty("strong", wanted[:1] == [test])
            each.style().unpolish(each)
            each.style().polish(each)
        self.parts.setVisible(is_drawn)
        self.parts.show_told(told if is_drawn else None)
        self.caution.setVisible(bool(self.parts.choices))
        self.counts.show_told(told)

    def _says(self, view: CircuitView | None) -> str:
        told = self._told
        if view is None:
            return NO_CIRCUIT
        if told is None:
            return ""
        if not told.order.problem:
            known = "" if told.order.loop_m is not None else NO_LENGTH.format(code=view.code)
            return "\n\n".join(filter(None, (head_words(told), known)))
        if self._tests and not set(RING_TESTS) <= set(self._tests):
            kind = SHAPE_WORDS[view.shape.kind] if view.shape is not None else "no cable drawn"
            return NOT_A_RING.format(code=view.code, kind=kind)
        return f"{head_words(told)}\n\n{INTRO}" if told.missing else head_words(told)

    # -- what comes from beside ---------------------------------------------------------------------------------

    def _on_told(self, result: object) -> None:
        assert isinstance(result, Told)
        self._told = result
        self._fill()
        if self._takes_focus:
            self.focus_inside()
        self.told_anew.emit(result)

    def _on_failed(self, sentence: str) -> None:
        self._told = None
        self._fill()
        self.says.setText(sentence)

    def _on_waiting(self, waits: bool) -> None:
        self.status.setText(WORKING if waits else "")
        self.status.setVisible(waits)

    # -- what the person does -----------------------------------------------------------------------------------

    def _on_accepted(self, offer: Offer) -> None:
        if self._adapter.do(partial(infer_run, offer=offer)) is not None:
            self.parts.drop(offer)

    def _on_accepted_all(self) -> None:
        told, view = self._told, self.circuit
        if told is not None and view is not None:
            chosen = [choice.offer for choice in told.sure]
            self._adapter.do(partial(accept_all, chosen=chosen, code=view.code))

    # -- light on the plan --------------------------------------------------------------------------------------

    def _light(self, *_: object) -> None:
        """Light the two places of the part chosen, and draw it dotted over the plan."""
        if not self.isVisible():
            return
        choice, home = self.parts.choice, self._adapter.home
        marks: tuple[Mark, ...] = ()
        ids: frozenset[str] = frozenset()
        if choice is not None:
            offer = choice.offer
            found = {end: record for end in (offer.a, offer.b) if (record := home.peek(end)) is not None}
            boards = {record.board for record in found.values() if isinstance(record, Device)}
            ids = frozenset((*found, *boards, *offer.drawn))
            places = [place_of(home, record) for record in found.values()]
            storeys = [place.storey for place in places if place is not None and place.storey]
            if storeys and self._adapter.storey not in storeys and self._shown != (offer.a, offer.b):
                self._adapter.set_storey(storeys[0])
            self._shown = (offer.a, offer.b)
            spots = [(p.x_mm, p.y_mm) for p in places if p is not None and p.storey == self._adapter.storey]
            if len(spots) == 2 and not offer.drawn:
                marks = (Line("overlay", tuple(spots), _DOTTED),)
        self._lit = ids
        self._adapter.light(ids)
        self.ghosted.emit(marks)

    def _on_lit(self, ids: frozenset[str]) -> None:
        """Light the part again once nothing else is pointed at."""
        if not ids and self._lit:
            self._again.start()  # not at once: others are still being told that the light went out

    def _on_storey(self, _storey: str) -> None:
        if self._lit:
            self._again.start()

    def _put_out(self) -> None:
        lit, self._lit = self._lit, frozenset()
        if lit and self._adapter.lit_ids == lit:
            self._adapter.light()
        self.ghosted.emit(())

    def showEvent(self, event: QShowEvent) -> None:
        """Tell what came on record meanwhile, and light the part chosen."""
        super().showEvent(event)
        self.refresh()
        self._light()

    def hideEvent(self, event: QHideEvent) -> None:
        """Put its light out, and wait for nothing."""
        super().hideEvent(event)
        self._takes_focus = False
        if self._latest.is_busy:
            self._latest.stop()
            self._asked = ()
        self._put_out()


class OrderPage(ScrolledCard):
    """Holds the card, scrolled, with what has the keys always in sight."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__("The order of the points from two sweeps", parent)
        self.card = OrderCard(adapter, look, self.inside)
        self.hold(self.card)
        self.card.parts.pointed.connect(self._on_grown)
        self.card.told_anew.connect(self._on_grown)
