"""The lamps that are watched while a switch-off lasts: one under each RCD that stays on, looked at in every room."""

from typing import Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.agreeing import name_of, way_name
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import Thumb, bare, card, empty, plain, show_text
from circuitmap.desk.visit import SurveyCursor
from circuitmap.desk.visit_state import everything
from circuitmap.desk.visit_time import day_words
from circuitmap.home.records import Point
from circuitmap.survey.proposal import Witness

_FEW: Final = 1


class Witnesses(QWidget):
    """A reminder, never in the way: which lamps to look at, and two buttons for each."""

    handled = Signal()
    went_out = Signal(object)  # the devices that may have tripped, likeliest first

    def __init__(self, adapter: Adapter, look: Look, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Lamps that are watched")
        self._adapter, self._cursor = adapter, cursor
        self._shown: tuple[Witness, ...] | None = None
        self._buttons: dict[str, tuple[Thumb, Thumb]] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self.frame, inside = card(parent=self)
        inside.setSpacing(GAP_PX // 2)
        column.addWidget(self.frame)
        self.says = plain()
        inside.addWidget(self.says)
        self._rows, self._row_column = bare(self.frame)
        inside.addWidget(self._rows)
        self._both, both = bare(self.frame)
        grid = QGridLayout()
        grid.setSpacing(GAP_PX)
        both.addLayout(grid)
        self.all_good = Thumb("Still alight  (L)", parent=self._both)
        self.all_good.clicked.connect(self.say_good)
        self.out = Thumb("Has gone out", parent=self._both)
        self.out.clicked.connect(self._on_any_out)
        grid.addWidget(self.all_good, 0, 0)
        grid.addWidget(self.out, 0, 1)
        inside.addWidget(self._both)
        cursor.changed.connect(self.refresh)
        self.refresh()

    def buttons_of(self, point: str) -> tuple[Thumb, Thumb]:
        """Give the two buttons of a lamp: still alight, has gone out."""
        return self._buttons[point]

    def refresh(self) -> None:
        """Show which lamps there are, and whether it is time to look at them."""
        going = self._cursor.round
        if going is None or not going.off or self._cursor.step not in ("walk", "power"):
            return
        nothing_on = frozenset(everything(self._adapter.home)) <= frozenset(self._cursor.off)
        self.setVisible(not nothing_on)
        witnesses, is_due = self._cursor.witnesses, self._cursor.is_look_due
        if witnesses != self._shown:
            self._shown = witnesses
            self._build(witnesses)
        _tint(self.frame, "ask" if is_due else "true")
        show_text(self.says, self._words(witnesses, is_due=is_due))
        several = len(witnesses) > _FEW
        many = {0: "", 1: "", 2: "Both "}.get(len(witnesses), f"All {len(witnesses)} ")
        self.all_good.say(f"{many}still alight  (L)" if several else "Still alight  (L)")
        self.out.setVisible(not several)
        self._rows.setVisible(several and is_due)

    @property
    def reminder(self) -> str:
        """What to be reminded of in one line; empty when there is nothing to look at."""
        if self.isHidden() or not self._cursor.is_look_due:
            return ""
        last = self._cursor.last_look()
        if last is None:
            return "Is the lamp left on still alight?"
        return f"{'Another room' if self._cursor.point else 'At the end'}: look at the lamp left on."

    def _words(self, witnesses: tuple[Witness, ...], *, is_due: bool) -> str:
        last = self._cursor.last_look()
        if not witnesses:
            if last is None:
                return "Leave a lamp in a point that stays on, under each RCD still on. Look at it in every room."
            return "The lamp left on: look at it again." if is_due else f"The lamp was looked at {_clock(last.at)}."
        named = "; ".join(self._name(each) for each in witnesses) if len(witnesses) <= _FEW or not is_due else ""
        if last is None:
            if len(witnesses) > _FEW:
                return "Leave a lamp in each of these, or watch its own: are they alight?"
            return f"{'Leave a lamp in' if self._is_outlet(witnesses[0]) else 'Watch'} {named}: is it still on?"
        if is_due:
            return f"Look at {named}." if named else "Look at these lamps."
        return f"{named}: looked at {_clock(last.at)}; again in the next room."

    def _is_outlet(self, witness: Witness) -> bool:
        return self._adapter.trade.point(self._adapter.home.take(Point, witness.point).kind).is_socket_outlet

    def _name(self, witness: Witness) -> str:
        home = self._adapter.home
        point = name_of(home, self._adapter.trade, self._adapter.memo, witness.point)
        return f"{point}, under {way_name(home, witness.device)}"

    def _build(self, witnesses: tuple[Witness, ...]) -> None:
        empty(self._row_column)
        self._buttons = {}
        for witness in witnesses if len(witnesses) > _FEW else ():
            row, column = bare(self._rows)
            column.setSpacing(2)
            column.addWidget(plain(self._name(witness)))
            grid = QGridLayout()
            grid.setSpacing(GAP_PX)
            good = Thumb("Still alight", witness, quiet=True, tip=f"Still alight: {witness.point}", parent=row)
            out = Thumb("Has gone out", witness, quiet=True, tip=f"Has gone out: {witness.point}", parent=row)
            good.chosen.connect(self._on_good)
            out.chosen.connect(self._on_out)
            grid.addWidget(good, 0, 0)
            grid.addWidget(out, 0, 1)
            column.addLayout(grid)
            self._buttons[witness.point] = (good, out)
            self._row_column.addWidget(row)

    def say_good(self) -> None:
        """Record that every lamp is still alight."""
        self._cursor.look_at_lamp(is_good=True)
        self.handled.emit()

    def _on_good(self, witness: object) -> None:
        if isinstance(witness, Witness):
            self._cursor.look_at_lamp(is_good=True, witnesses=(witness,))
            self.handled.emit()

    def _on_out(self, witness: object) -> None:
        if isinstance(witness, Witness):
            self._cursor.look_at_lamp(is_good=False, witnesses=(witness,))
            self.went_out.emit((witness.device,))

    def _on_any_out(self) -> None:
        witnesses = self._cursor.witnesses
        self._cursor.look_at_lamp(is_good=False, witnesses=witnesses)
        self.went_out.emit(tuple(witness.device for witness in witnesses))


def _clock(at: str) -> str:
    return f"at {day_words(at).partition(', ')[2]}"


def _tint(frame: QWidget, kind: str) -> None:
    if frame.property("card") != kind:
        frame.setProperty("card", kind)
        frame.style().polish(frame)
