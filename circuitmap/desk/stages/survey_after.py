"""After the walk: the power back on, in order, before anything else; then what this switch-off settled."""

from collections.abc import Iterable
from typing import Final

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.agreeing import chances_now, codes, kind_title, name_of, one_of, way_name
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import Thumb, bare, card, empty, plain, show_text
from circuitmap.desk.visit import SurveyCursor
from circuitmap.desk.visit_state import closing_order, off_now, stays_off
from circuitmap.home import Home
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Device, Point, Round, natural_key
from circuitmap.survey.after import was_off
from circuitmap.survey.likely import Chances
from circuitmap.survey.progress import Learnt, learnt
from circuitmap.words import IfOff

_LISTED: Final = 8
_ODD: Final = frozenset({"contradiction", "never off", "elsewhere", "not seen on"})
_LOOK_AT: Final[dict[IfOff, str]] = {
    "medical": "is it running, is its alarm quiet?",
    "phone": "is it up again, can it call?",
    "security": "no fault lamp, set again?",
    "spoils": "is it running?",
    "heating": "no lockout, clock right?",
    "lost work": "started again?",
    "resets": "clock and settings?",
}


class PowerBack(QWidget):
    """Asks for the power back on, what stands over others first, and takes down what trips on the way."""

    def __init__(self, adapter: Adapter, look: Look, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Power back on")
        self._adapter, self._cursor = adapter, cursor
        self._shown: tuple[object, ...] = ()
        self.rows: dict[str, tuple[Thumb, Thumb]] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP_PX)
        frame, inside = card("warn", self)
        inside.addWidget(plain("Power back on, before anything else", "head"))
        self.says = plain()
        inside.addWidget(self.says)
        column.addWidget(frame)
        self.all_on = Thumb("The power is back on", strong=True, tall=True, parent=self)
        self.all_on.clicked.connect(cursor.power_back)
        column.addWidget(self.all_on)
        self._list, self._list_column = bare(self)
        column.addWidget(self._list)
        self.tripped = plain(role="warn")
        column.addWidget(self.tripped)
        self.to_walk = Thumb("Back to the walk", quiet=True, parent=self)
        self.to_walk.clicked.connect(cursor.resume_walk)
        column.addWidget(self.to_walk)
        cursor.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show what is still off, in the order to put it on."""
        going = self._cursor.round
        if going is None or not going.off or self._cursor.step != "power":
            return
        home, trade = self._adapter.home, self._adapter.trade
        off, tripped = off_now(going), stays_off(going)
        put_on = {device for event in going.events if event.what == "on" for device in event.devices}
        all_order = closing_order(home, trade, dict.fromkeys((*going.off, *off)))
        order = tuple(i for i in all_order if i not in put_on or i in off)
        shown = (order, tripped, tuple(home.code(i) for i in order))
        says = ["Hob, irons, heaters off first."]
        if len(all_order) > len(off) and not put_on:
            says.append("Ways off first, then what stands over them on, then the ways one by one.")
        elif len(order) > 1:
            says.append("One by one, so that a trip names its way.")
        if going.sources_off:
            says.append(f"Then {', '.join(going.sources_off)} back on, each as its maker says.")
        self.says.setText(" ".join(says))
        names = codes(home, tripped)
        show_text(self.tripped, f"Tripped when put on, left off: {names}. It is written down." if tripped else "")
        self.all_on.say(f"Back on, all but {names}" if tripped else "The power is back on")
        self.to_walk.setVisible(not put_on and not tripped)
        if shown != self._shown:
            self._shown = shown
            self._build(order, tripped)

    def _build(self, order: tuple[str, ...], tripped: tuple[str, ...]) -> None:
        empty(self._list_column)
        self.rows = {}
        home = self._adapter.home
        for device_id in order:
            device = home.take(Device, device_id)
            code = way_name(home, device_id)
            row = QWidget(self._list)
            line = QHBoxLayout(row)
            line.setContentsMargins(0, 0, 0, 0)
            line.setSpacing(GAP_PX // 2)
            label = shorten(device.label, 20) or device.kind
            again = f"Again: {code} on"
            words = again if device_id in tripped else f"{code} on" + (f" · {label}" if device.way else "")
            on = Thumb(words, device_id, quiet=True, tip=f"{code} is on again", parent=row)
            on.chosen.connect(self._on_on)
            trip = Thumb("It tripped", device_id, quiet=True, tip=f"It tripped when {code} went on", parent=row)
            trip.chosen.connect(self._on_trip)
            line.addWidget(on, 2)
            line.addWidget(trip, 1)
            self.rows[device_id] = (on, trip)
            self._list_column.addWidget(row)

    def _on_on(self, device_id: object) -> None:
        self._cursor.turn_on(str(device_id))

    def _on_trip(self, device_id: object) -> None:
        self._cursor.trip_on_closing(str(device_id))


class Summary(QWidget):
    """What the last switch-off settled, what is odd, and what to look at now that the power is back."""

    def __init__(self, adapter: Adapter, look: Look, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("What this switch-off settled")
        self._adapter, self._cursor = adapter, cursor
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP_PX)
        care, inside = card("warn", self)
        inside.addWidget(plain("Look at these now", "head"))
        self.look_at = plain()
        inside.addWidget(self.look_at)
        self._care = care
        column.addWidget(care)
        done, inside = card(parent=self)
        self.settled_head = plain(role="head")
        self.settled = plain()
        inside.addWidget(self.settled_head)
        inside.addWidget(self.settled)
        column.addWidget(done)
        odd, inside = card(parent=self)
        inside.addWidget(plain("Odd, worth a second look", "head"))
        self._odd_column = bare(odd)
        inside.addWidget(self._odd_column[0])
        self._odd = odd
        column.addWidget(odd)
        self._told_of: Home | None = None
        self.go_on = Thumb("Choose the next switch-off", strong=True, tall=True, parent=self)
        self.go_on.clicked.connect(cursor.go_on)
        column.addWidget(self.go_on)
        cursor.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Work out again what the last switch-off brought."""
        last = self._cursor.last_closed
        if last is None or self._cursor.step != "summary":
            return
        home = self._adapter.home
        if home is self._told_of:
            return
        self._told_of = home
        found = _learnt(self._adapter, last)
        narrowed = narrowed_by(found)
        deduced = self._adapter.deduced
        new = [i for i in settled_by(found) if deduced[i].verdict == "settled"]
        order = self._cursor.all_points
        done = sum(1 for i in order if i in deduced and deduced[i].verdict == "settled")
        self.settled_head.setText(f"Settled: {done} of {len(order)} points, {len(new)} by this switch-off")
        by_way: dict[tuple[str, ...], list[str]] = {}
        for i in new:
            by_way.setdefault(deduced[i].candidates, []).append(i)
        says = [f"{codes(home, ways)} feeds {_some(ids)}." for ways, ids in by_way.items()]
        says += [f"{_some(ids)}: {one_of(way_name(home, i) for i in ways)} left." for ways, ids in narrowed.items()]
        show_text(self.settled, "\n".join(says))
        look_at = [
            *self._power_words(last),
            *to_look_at(self._adapter, last, chances_now(home, self._adapter.trade, self._adapter.memo)),
        ]
        show_text(self.look_at, "\n".join(f"– {each}" for each in look_at))
        self._care.setVisible(bool(look_at))
        self._show_odd(last)
        self.go_on.say("All settled: go on" if order and done == len(order) else "Choose the next switch-off")

    def _power_words(self, last: Round) -> list[str]:
        tripped = stays_off(last)
        return [f"{codes(self._adapter.home, tripped)} tripped when put on: still off?"] if tripped else []

    def _show_odd(self, last: Round) -> None:
        empty(self._odd_column[1])
        deduced = self._adapter.deduced
        home = self._adapter.home
        here = {c for c in home.used_by(last.id) if c.startswith("C")}
        odd = [i for i, known in deduced.items() if known.verdict in _ODD and here & set(known.checks)]
        odd.sort(key=natural_key)
        self._odd.setVisible(bool(odd))
        for point_id in odd[:_LISTED]:
            column = self._odd_column[1]
            column.addWidget(plain(deduced[point_id].says))
            point = home.take(Point, point_id)
            show = Thumb(f"Show {point_id} ({kind_title(self._adapter.trade, point)})", point_id, quiet=True)
            show.chosen.connect(self._on_show)
            column.addWidget(show)
        if len(odd) > _LISTED:
            self._odd_column[1].addWidget(plain(f"And {len(odd) - _LISTED} more in the list of points.", "faint"))

    def _on_show(self, point_id: object) -> None:
        self._adapter.show(str(point_id))


def _learnt(adapter: Adapter, last: Round) -> tuple[Learnt, ...]:
    home, memo = adapter.home, adapter.memo
    return memo.get("desk learnt", last.id, (home,), lambda: learnt(home, last.id, memo))


def settled_by(found: Iterable[Learnt]) -> tuple[str, ...]:
    """Give the points that a switch-off settled: settled now, and not without it."""
    return tuple(each.point for each in found if each.after == "settled" and each.before != "settled")


def narrowed_by(found: Iterable[Learnt]) -> dict[tuple[str, ...], list[str]]:
    """Give the points that a switch-off left fewer ways for, by the ways that are left."""
    left: dict[tuple[str, ...], list[str]] = {}
    for each in found:
        if each.after == "in doubt" and 0 < len(each.candidates) < len(each.candidates_before):
            left.setdefault(each.candidates, []).append(each.point)
    return left


def to_look_at(adapter: Adapter, last: Round, chances: Chances | None = None) -> tuple[str, ...]:
    """Give what to look at now that the power is back, a few words each; what could have been off in the last line."""
    home, trade, memo = adapter.home, adapter.trade, adapter.memo
    off, perhaps = was_off(home, last, memo, trade, chances)
    found = [
        f"{name_of(home, trade, memo, loss.point)}: {_LOOK_AT[loss.word]}" for loss in off if loss.word in _LOOK_AT
    ]
    could = dict.fromkeys(name_of(home, trade, memo, loss.point) for loss in perhaps if loss.word in _LOOK_AT)
    if could:
        found.append(f"Could have been off too: {'; '.join(could)}")
    return tuple(dict.fromkeys(found))


def _some(ids: list[str]) -> str:
    shown = ", ".join(ids[:12])
    return shown if len(ids) <= 12 else f"{shown} and {len(ids) - 12} more"
