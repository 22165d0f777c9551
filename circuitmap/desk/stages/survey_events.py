"""What happens beside the answers: something trips, others lose their power."""

from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.agreeing import codes, way_name
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import Thumb, bare, card, empty, plain, show_text
from circuitmap.desk.visit import SurveyCursor
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Device
from circuitmap.survey.kinds import is_existing, is_way

_TRIPS: Final = frozenset({"main switch", "RCD", "RCD BS 4293", "voltage ELCB"})


class Events(QWidget):
    """Something that tripped, others who lost their power."""

    handled = Signal()

    def __init__(self, adapter: Adapter, look: Look, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("What else happened in this switch-off")
        self._adapter, self._cursor = adapter, cursor
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP_PX)
        grid = QGridLayout()
        grid.setSpacing(GAP_PX)
        column.addLayout(grid)
        self.trip = Thumb("Something tripped…", quiet=True, parent=self)
        self.others = Thumb("Others lost power", quiet=True, tip="Somebody outside this home lost power", parent=self)
        for number, thumb in enumerate((self.trip, self.others)):
            grid.addWidget(thumb, 0, number)
        self.trip.clicked.connect(self.ask_what_tripped)
        self.others.clicked.connect(self._on_others)
        self.said = plain(role="warn")
        column.addWidget(self.said)
        self.picker, self._picker_column = card("warn", self)
        self.asks = plain(role="head")
        self.tells = plain()
        self._picker_column.addWidget(self.asks)
        self._picker_column.addWidget(self.tells)
        self._choices, choices = bare(self.picker)
        self._choice_grid = QGridLayout()
        self._choice_grid.setSpacing(GAP_PX // 2)
        choices.addLayout(self._choice_grid)
        self._picker_column.addWidget(self._choices)
        self.leave = Thumb("Nothing tripped", quiet=True, parent=self.picker)
        self.leave.clicked.connect(self._on_left)
        self._picker_column.addWidget(self.leave)
        column.addWidget(self.picker)
        self.picker.hide()
        self._asks_about_lamp = False
        cursor.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Say again what happened in this switch-off."""
        going = self._cursor.round
        if going is None or not going.off:
            self.picker.hide()
            return
        home = self._adapter.home
        says = []
        tripped = [i for event in going.events if event.what == "trip" for i in event.devices]
        if tripped:
            says.append(f"Tripped: {codes(home, dict.fromkeys(tripped))}; off from then on.")
        if any(event.what == "others lost power" for event in going.events):
            says.append("Somebody outside this home lost power: ask them before going on.")
        show_text(self.said, "\n".join(says))
        is_out = bool(self._cursor.out_now())
        if is_out and not self._asks_about_lamp:
            self.ask_what_tripped()
        elif self._asks_about_lamp and not is_out:
            self._asks_about_lamp = False
            self.picker.hide()

    def ask_what_tripped(self, first: tuple[str, ...] = ()) -> None:
        """Show what may have tripped: what a lamp that is out tells of, what stands over others, the ways still on."""
        empty(self._choice_grid)
        home = self._adapter.home
        out = self._cursor.out_now()
        self._asks_about_lamp = bool(out)
        first = (*first, *(device for event in out for device in event.devices))
        self.asks.setText("The lamp has gone out: what tripped?" if out else "What tripped?")
        show_text(
            self.tells,
            "Answers since the last good look are set aside; they will be asked again." if out
            else "Answers so far are kept.",
        )  # fmt: skip
        self.leave.say("It is alight again: only the lamp" if out else "Nothing tripped")
        off = set(self._cursor.off)
        devices = [d for d in home.sorted(Device) if is_existing(d) and d.id not in off]
        over = sorted((d for d in devices if d.kind in _TRIPS or d.id in first), key=lambda d: d.id not in first)
        ways = [d for d in devices if is_way(d) and d not in over]
        for number, device in enumerate((*over, *ways)):
            words = way_name(home, device.id) + (f" {shorten(device.label, 14)}" if device.way else "")
            thumb = Thumb(words, device.id, quiet=True, tip=f"{words} tripped", parent=self._choices)
            thumb.chosen.connect(self._on_tripped)
            self._choice_grid.addWidget(thumb, number // 2, number % 2)
        self.picker.show()

    def choices(self) -> list[Thumb]:
        """Give the buttons of what may have tripped."""
        return [thumb for thumb in self._choices.findChildren(Thumb) if not thumb.isHidden()]

    def _on_left(self) -> None:
        self.picker.hide()
        if self._cursor.out_now():
            self._cursor.look_at_lamp(is_good=True)
        self.handled.emit()

    def _on_tripped(self, device_id: object) -> None:
        self.picker.hide()
        self._cursor.trip((str(device_id),))
        self.handled.emit()

    def _on_others(self) -> None:
        self._cursor.note_others()
        self.handled.emit()
