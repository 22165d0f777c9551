"""What happens beside the answers: something trips, others lose their power."""

from collections.abc import Iterable
from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.agreeing import capital, codes, way_name
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import Thumb, Tick, bare, card, empty, plain, show_text, warning
from circuitmap.desk.visit import SurveyCursor
from circuitmap.home import Home
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Device
from circuitmap.survey.kinds import is_existing, is_way

_TRIPS: Final = frozenset({"RCD", "RCD BS 4293", "voltage ELCB"})


class Events(QWidget):
    """Something that tripped, others who lost their power."""

    handled = Signal()
    asked = Signal()  # what tripped is asked for: bring it into sight

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
        self.again = Thumb("", parent=self)
        self.again.clicked.connect(self._on_again)
        column.addWidget(self.again)
        self.picker, self._picker_column = card("warn", self)
        self.asks = plain(role="head")
        self.tells = plain()
        self._picker_column.addWidget(self.asks)
        self._picker_column.addWidget(self.tells)
        self.just_now = Tick("It tripped just now, I noticed", self.picker)
        self.just_now.toggled.connect(self._tell)
        self._picker_column.addWidget(self.just_now)
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
        tripped = dict.fromkeys(i for event in going.events if event.what == "trip" for i in event.devices)
        still = self._cursor.tripped
        again = [i for i in tripped if i not in self._cursor.off]
        if still:
            says.append(f"Tripped: {codes(home, still)}; off from then on.")
        if again:
            says.append(f"Tripped: {codes(home, again)}; on again since.")
        self.again.setVisible(bool(still) and self._cursor.step == "walk" and not self._cursor.is_trip_open)
        self.again.say(again_words(home, still))
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
        self.just_now.setChecked(False)
        self.just_now.setVisible(not out)
        self._tell()
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
        self.asked.emit()

    def _tell(self) -> None:
        keeps = not self._asks_about_lamp and self.just_now.isChecked()
        kept = "Answers so far are kept."
        aside = "Answers since the last good look are set aside; they will be asked again."
        show_text(self.tells, kept if keeps else aside)

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
        self._cursor.trip((str(device_id),), just_now=self.just_now.isChecked())
        self.handled.emit()

    def _on_again(self) -> None:
        self._cursor.put_on_again()
        self.handled.emit()

    def _on_others(self) -> None:
        self._cursor.note_others()
        self.handled.emit()


class TrippedCard(QWidget):
    """Stands before the answers once something has tripped, until it is on again or left off for the walk."""

    handled = Signal()

    def __init__(self, adapter: Adapter, look: Look, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Something tripped")
        self._adapter, self._cursor = adapter, cursor
        column, self.heading, self.says = warning(self)
        self.again = Thumb("", strong=True, tall=True, parent=self)
        self.again.clicked.connect(self._on_again)
        self.without = Thumb("It trips again: leave it off, go on", parent=self)
        self.without.clicked.connect(self._on_without)
        column.addWidget(self.again)
        column.addWidget(self.without)
        cursor.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Say what tripped, and what to do about it."""
        tripped, home = self._cursor.tripped, self._adapter.home
        self.setVisible(self._cursor.is_trip_open)
        if not tripped:
            return
        which = codes(home, tripped)
        self.heading.setText(capital(f"{which} {'has' if len(tripped) == 1 else 'have'} tripped"))
        says = ["Unplug what was plugged in last and put it on once. If it trips again, leave it off."]
        if self._cursor.last_look() is not None:
            says.append("See that the lamps left on are alight.")
        many = len(self._cursor.asked_again)
        if many:
            says.append(f"{many} answer{' is' if many == 1 else 's are'} asked again: nobody knows what they saw.")
        self.says.setText(" ".join(says))
        self.again.say(again_words(home, tripped))

    def _on_again(self) -> None:
        self._cursor.put_on_again()
        self.handled.emit()

    def _on_without(self) -> None:
        self._cursor.go_on_without()
        self.handled.emit()


def again_words(home: Home, tripped: Iterable[str]) -> str:
    """Give the words of the button that says that what tripped is on again."""
    which = list(tripped)
    return capital(f"{codes(home, which)} {'are' if len(which) > 1 else 'is'} on again, go on")
