"""The meter: which one, how far it is believed, what its leads add, and its proof, asked once a visit.

The proof holds up only the recording of dead tests; it can be put off with a note. A text that waits for it stays in
its cell.
"""

from math import inf
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLineEdit, QSizePolicy, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.fields import ChoiceField, TextField
from circuitmap.desk.parts import Card, Heading, Label, add_row, button, form
from circuitmap.desk.readings_recorder import Recorder
from circuitmap.errors import QuantityError
from circuitmap.home import verbs
from circuitmap.home.records import Instrument
from circuitmap.home.verbs_readings import COLDEST_C, HOTTEST_C
from circuitmap.quantities.measured import parse_measured, show_value
from circuitmap.words import ReadingTest

_HELD: Final = [("read at their terminals", ""), ("read by a plug in the front", "plug")]
_NO_METER: Final = "No meter yet"
_MOST_ACCURACY: Final = 0.2


class MeterCard(QWidget):
    """One line about the meter, what is known of it on request, and the question for its proof."""

    answered = Signal()  # what waited for the proof may be recorded now
    left = Signal()  # Esc: back to the grid

    def __init__(self, adapter: Adapter, recorder: Recorder, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._recorder = adapter, recorder
        self._is_asked = False
        self._says = Label("", self)
        self.opener = button("Meter…", self, checkable=True)
        self.opener.setToolTip("Which meter, how far it is believed, its leads and its proof")
        self.opener.toggled.connect(self._on_toggled)
        top = QHBoxLayout()
        top.addWidget(self._says, 1)
        top.addWidget(self.opener)
        self.details = Card(self)
        self.proof = Card(self, warn=True)
        self._build_details()
        self._build_proof()
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(6)
        whole.addLayout(top)
        whole.addWidget(self.proof)
        whole.addWidget(self.details)
        recorder.changed.connect(self.refresh)
        self.refresh()

    def _build_details(self) -> None:
        self.choice = ChoiceField("Meter that is read with", [(_NO_METER, "")], self._on_chosen, self)
        self.new = TextField("Name of another meter", self._on_new, self)
        self.new.setPlaceholderText("another meter: its name")
        self.accuracy = TextField("Accuracy in per cent", self._save_accuracy, self)
        self.digit = TextField("Last digit in ohms", self._save_digit, self)
        self.most = TextField("Reads up to, in ohms", self._save_most, self)
        self.most_mohm = TextField("Insulation up to, in megohms", self._save_most_mohm, self)
        self.copper = TextField("Temperature of the copper in °C", self._save_copper, self)
        self.held = ChoiceField("How sockets are read", _HELD, self._save_held, self)
        for field, hint in ((self.accuracy, "1 %"), (self.digit, "0.01"), (self.most, "99.9"),
                            (self.most_mohm, "999"), (self.copper, "20")):  # fmt: skip
            field.setPlaceholderText(hint)
        rows = form()
        for words, shown in (("Meter", self.choice), ("Add", self.new), ("Accuracy", self.accuracy),
                             ("Last digit, Ω", self.digit), ("Up to, Ω", self.most), ("Up to, MΩ", self.most_mohm),
                             ("Copper, °C", self.copper), ("Sockets", self.held)):  # fmt: skip
            add_row(rows, words, shown)
        self.details.body.addLayout(rows)
        self.prove_again = button("Prove it again", self.details)
        self.prove_again.clicked.connect(self.ask)
        self.details.body.addWidget(self.prove_again)

    def _build_proof(self) -> None:
        self._title = Heading("Prove the meter", self.proof)
        self._why = Label("", self.proof)
        self.name = QLineEdit(self.proof)
        self.name.setAccessibleName("Name of the meter")
        self.name.setPlaceholderText("which meter: its name")
        self.name.returnPressed.connect(self._on_named)
        self.shorted = QLineEdit(self.proof)
        self.shorted.setObjectName("shorted")
        self.shorted.setAccessibleName("With its leads shorted the meter reads, in ohms")
        self.shorted.setPlaceholderText("leads shorted, it reads… Ω")
        self.shorted.returnPressed.connect(self._on_shorted)
        self.write = button("Write down", self.proof, strong=True)
        self.write.clicked.connect(self._on_shorted)
        self.nulled = button("Leads nulled", self.proof)
        self.nulled.clicked.connect(self._on_nulled)
        self.subtract = button("Subtract", self.proof)
        self.subtract.clicked.connect(self._on_subtract)
        self.note = QLineEdit(self.proof)
        self.note.setAccessibleName("Why the proof is put off")
        self.note.setPlaceholderText("or later, because…")
        self.note.returnPressed.connect(self._on_later)
        self.later = button("Later", self.proof)
        self.later.clicked.connect(self._on_later)
        grid = QGridLayout()
        grid.setSpacing(6)
        grid.addWidget(self.name, 0, 0, 1, 2)
        for row, (field, do) in enumerate(
            ((self.shorted, self.write), (self.nulled, self.subtract), (self.note, self.later)), 1
        ):
            grid.addWidget(field, row, 0)
            grid.addWidget(do, row, 1)
            field.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        grid.setColumnStretch(0, 1)
        for widget in (self._title, self._why):
            self.proof.body.addWidget(widget)
        self.proof.body.addLayout(grid)

    # -- what the stage calls -----------------------------------------------------------------------------------

    @property
    def words(self) -> str:
        """What the line about the meter says."""
        return self._says.text()

    @property
    def why(self) -> str:
        """What the question for the proof says."""
        return self._why.text()

    @property
    def is_asking(self) -> bool:
        """Whether the proof is being asked for."""
        return self.proof.isVisibleTo(self)

    def ask(self) -> None:
        """Ask for the proof of the meter."""
        self._is_asked = True
        self.refresh()
        first = self.name if self._recorder.meter is None else self.shorted
        first.setFocus()
        first.selectAll()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go back to the grid with Esc; what waits goes on waiting in its cell."""
        if event.key() == Qt.Key.Key_Escape and self._is_asked:
            self._is_asked = False
            self.refresh()
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def refresh(self) -> None:
        """Show what is known of the meter."""
        recorder, meter = self._recorder, self._recorder.meter
        unproved = recorder.unproved
        self._says.setText(self._line(meter, unproved))
        self.proof.setVisible(self._is_asked)
        self._why.setText(unproved or "It is proved; short the leads again to prove it once more.")
        self.name.setVisible(meter is None)
        self.shorted.setEnabled(meter is not None)
        self.write.setEnabled(meter is not None)
        for widget in (self.note, self.later):
            widget.setVisible(meter is not None and bool(unproved))
        excess = self._excess_ohm()
        self.nulled.setVisible(excess is not None)
        self.subtract.setVisible(excess is not None)
        if excess is not None:
            self.subtract.setText(f"Subtract {excess:.2f} Ω")
        self.details.setVisible(self.opener.isChecked())
        held = [(each.name or f"{each.kind} {each.id}", each.id) for each in recorder.meters]
        self.choice.offer(held or [(_NO_METER, "")])
        self.choice.show_value(meter.id if meter is not None else "")
        self._show_facts(meter)

    # -- inside -------------------------------------------------------------------------------------------------

    def _line(self, meter: Instrument | None, unproved: str) -> str:
        if meter is None:
            return "No meter named yet: it is asked for with the first reading."
        accuracy = f"±{100 * meter.accuracy_fraction:g} %, " if meter.accuracy_fraction is not None else ""
        digit = f"to {meter.resolution_ohm:g} Ω, " if meter.resolution_ohm is not None else ""
        leads = "leads not nulled yet"
        if meter.leads_ohm is not None:
            leads = f"{meter.leads_ohm:.2f} Ω of leads taken off" if meter.leads_ohm else "leads nulled"
        proved = "proved" if not unproved else "proof put off" if self._recorder.is_put_off else "not proved yet"
        copper = self._recorder.copper_c
        warm = f", copper {copper:g} °C" if copper is not None else ""
        plug = ", by a plug" if self._recorder.by_plug else ""
        return f"{meter.name or meter.id}: {accuracy}{digit}{leads}, {proved}{warm}{plug}."

    def _excess_ohm(self) -> float | None:
        """Give what the leads seem to add: what was shown with them shorted and is more than near zero."""
        check = self._recorder.last_check
        if check is None or check.value_si is None or check.bound != "=" or not self._recorder.unproved:
            return None
        return check.value_si

    def _show_facts(self, meter: Instrument | None) -> None:
        for field in (self.accuracy, self.digit, self.most, self.most_mohm):
            field.setEnabled(meter is not None)
        if meter is not None:
            accuracy, digit = meter.accuracy_fraction, meter.resolution_ohm
            self.accuracy.show_value("" if accuracy is None else f"{100 * accuracy:g} %")
            self.digit.show_value("" if digit is None else f"{digit:g}")
            self.most.show_value("" if meter.most_ohm is None else f"{meter.most_ohm:g}")
            most = meter.most_insulation_ohm
            self.most_mohm.show_value("" if most is None else show_value(most, "insulation").removesuffix(" MΩ"))
        copper = self._recorder.copper_c
        self.copper.show_value("" if copper is None else f"{copper:g}")
        self.held.show_value("plug" if self._recorder.by_plug else "")

    def _on_toggled(self, _on: bool) -> None:
        self.refresh()

    def _on_chosen(self, value: object) -> bool:
        if value:
            self._recorder.set_meter(str(value))
        return True

    def _on_new(self, value: object) -> bool:
        added = bool(str(value).strip()) and self._recorder.add_meter(str(value))
        self.new.drop()
        return added

    def _on_named(self) -> None:
        if self.name.text().strip() and self._recorder.add_meter(self.name.text()):
            self.name.clear()
            self.shorted.setFocus()

    def _on_shorted(self) -> None:
        result = self._recorder.prove(self.shorted.text())
        self.refresh()
        self._why.setText(result.says or "Type what the meter shows with its leads shorted.")
        if result.recorded:
            self._over()
        else:
            self.shorted.setFocus()
            self.shorted.selectAll()

    def _on_nulled(self) -> None:
        self._recorder.null_leads()
        self.shorted.clear()
        self.shorted.setFocus()

    def _on_subtract(self) -> None:
        excess = self._excess_ohm()
        if excess is not None:
            self._recorder.subtract_leads(excess)
        if not self._recorder.unproved:
            self._over()

    def _on_later(self) -> None:
        if self._recorder.put_off(self.note.text()):
            self.note.clear()
            self._over()

    def _over(self) -> None:
        self._is_asked = False
        self.shorted.clear()
        self.refresh()
        self.answered.emit()

    def _save_accuracy(self, value: object) -> bool:
        text = str(value).strip().removesuffix("%").strip().replace(",", ".")
        try:
            fraction = float(text) / 100 if text else None
        except ValueError:
            fraction = -1.0
        if fraction is not None and not 0 <= fraction <= _MOST_ACCURACY:
            self._adapter.refuse(f"“{str(value)[:20]}” is no accuracy: write a share of the reading, like 2 %.")
            return False
        return self._set(accuracy_fraction=fraction)

    def _save_digit(self, value: object) -> bool:
        return self._save_si("resolution_ohm", str(value), "continuity")

    def _save_most(self, value: object) -> bool:
        return self._save_si("most_ohm", str(value), "continuity")

    def _save_most_mohm(self, value: object) -> bool:
        return self._save_si("most_insulation_ohm", str(value), "insulation")

    def _save_si(self, fact: str, text: str, test: ReadingTest) -> bool:
        try:
            value_si = parse_measured(text, test).value_si if text.strip() else None
        except QuantityError as error:
            self._adapter.refuse(str(error))
            return False
        return self._set(**{fact: value_si})

    def _set(self, **facts: float | None) -> bool:
        meter = self._recorder.meter
        if meter is None:
            return False
        return self._adapter.do(lambda home: verbs.set_meter(home, meter.id, **facts)) is not None

    def _save_held(self, value: object) -> bool:
        self._recorder.set_by_plug(value == "plug")
        return True

    def _save_copper(self, value: object) -> bool:
        text = str(value).strip().removesuffix("°C").strip().replace(",", ".")
        try:
            copper_c = float(text) if text else None
        except ValueError:
            copper_c = inf
        if copper_c is not None and not COLDEST_C <= copper_c <= HOTTEST_C:
            self._adapter.refuse(f"“{str(value)[:20]}” is no temperature of copper: write degrees Celsius, like 18.")
            return False
        self._recorder.set_copper(copper_c)
        return True
