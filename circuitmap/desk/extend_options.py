"""The options of an extension: what must be in order first, then cards side by side, then all of the one that is open.

What fails stays, folded, after what is sound. While options are worked out anew those from before stay, said to be so.
"""

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QPoint, QTimer, Signal
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from circuitmap.desk.extend_asking import OptionsAsked
from circuitmap.desk.extend_state import ExtendState
from circuitmap.desk.extend_work import Laid
from circuitmap.desk.fields import ChoiceField
from circuitmap.desk.fit_card import FitCard
from circuitmap.desk.option_detail import OptionDetail
from circuitmap.desk.option_row import OptionRow
from circuitmap.desk.option_words import NONE_YET, caution_text, notes_text
from circuitmap.desk.parts import Label, button
from circuitmap.desk.theme import Look

if TYPE_CHECKING:
    from circuitmap.extension.kinds import Option

WORKING: Final = "Working the options out…"
STALE: Final = "The map or the requirements have changed: what is shown is from before."
STOPPED: Final = "Stopped. What is shown, if anything, is from before."
PLANNED: Final = "It is on the map as planned. Take the plan back to choose another way."
DONE: Final = "The work is done. Begin another extension for what is required now."
TOGETHER: Final = "Each card is priced as a job of its own; the quotation prices them as one."
_BAR_PX: Final = 6
_OVER_PX: Final = 8


class OptionsPage(QWidget):
    """The page of options."""

    pick_wanted = Signal(object)
    accept_wanted = Signal()
    quote_wanted = Signal()
    option_opened = Signal(object)

    def __init__(
        self, asked: OptionsAsked, state: ExtendState, look: Look, parent: QWidget | None = None
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self.setObjectName("extend-options")
        self._asked, self._state, self._look = asked, state, look
        self._laid: Laid | None = None
        self._opened: Option | None = None
        self._rows: list[OptionRow] = []
        self._lots: list[tuple[QWidget, ...]] = []
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 8, 0, 8)
        self._layout.setSpacing(8)
        self._build_status()
        self.fit = FitCard(self)
        self._layout.addWidget(self.fit)
        self._build_method()
        self.refused = Label("", self, role="warn")
        self._layout.addWidget(self.refused)
        self._inner = QVBoxLayout()
        self._inner.setSpacing(6)
        self._layout.addLayout(self._inner)
        self.detail = OptionDetail(self)
        self.detail.pick_wanted.connect(self.pick_wanted)
        self.detail.closed.connect(self.close_detail)
        self._inner.addWidget(self.detail)
        self._build_foot()
        self._layout.addStretch(1)
        asked.changed.connect(self.refresh)
        asked.ticked.connect(self._on_ticked)
        state.changed.connect(self.refresh)
        self.refresh()

    # -- building -----------------------------------------------------------------------------------------------

    def _build_status(self) -> None:
        self.status = Label("", self, role="faint")
        self.status.setAccessibleName("Whether options are being worked out")
        self.stop_button = button("Stop", self)
        self.stop_button.setAccessibleName("Stop working the options out")
        self.stop_button.clicked.connect(self._asked.stop)
        self.again_button = button("Work them out", self)
        self.again_button.clicked.connect(self._asked.again)
        row = QHBoxLayout()
        row.addWidget(self.status, 1)
        row.addWidget(self.stop_button)
        row.addWidget(self.again_button)
        self._bar = QProgressBar(self)
        self._bar.setAccessibleName("How far the options are worked out")
        self._bar.setTextVisible(False)
        self._bar.setFixedHeight(_BAR_PX)
        self._layout.addLayout(row)
        self._layout.addWidget(self._bar)

    def _build_method(self) -> None:
        lived = [("lived in", True), ("empty and clear", False)]
        good = [("made good by us", False), ("made good by others", True)]
        self.occupied = ChoiceField("Whether people live there", lived, self._save_occupied, self)
        self.making_good = ChoiceField("Who fills the chases", good, self._save_making_good, self)
        seen = [("cables hidden in walls and floors", False), ("cables on walls in trunking, in sight", True)]
        self.on_surface = ChoiceField("Whether cables on walls are hidden", seen, self._save_on_surface, self)
        row = QHBoxLayout()
        for field in (self.occupied, self.making_good):
            field.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            row.addWidget(field)
        self._layout.addLayout(row)
        self._layout.addWidget(self.on_surface)

    def _build_foot(self) -> None:
        self.picked = Label("", self)
        self.picked.setAccessibleName("What is picked")
        self.accept_button = button("Put it on the map as planned", self, strong=True)
        self.accept_button.clicked.connect(self.accept_wanted)
        self.quote_button = button("Quotation…", self)
        self.quote_button.setToolTip("Write what is picked as PDF or XLSX")
        self.quote_button.clicked.connect(self.quote_wanted)
        row = QHBoxLayout()
        self.accept_button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        row.addWidget(self.accept_button)
        row.addWidget(self.quote_button)
        self.notes = Label("", self, role="faint")
        self.cautions = Label("", self, role="faint")
        self._layout.addWidget(self.picked)
        self._layout.addLayout(row)
        self._layout.addWidget(self.notes)
        self._layout.addWidget(self.cautions)

    # -- what it shows ------------------------------------------------------------------------------------------

    @property
    def rows(self) -> tuple[OptionRow, ...]:
        """The rows of cards that are unfolded."""
        return tuple(self._rows)

    @property
    def opened(self) -> "Option | None":
        """The option that is open."""
        return self._opened

    def refresh(self) -> None:
        """Show what there is now."""
        asked, state = self._asked, self._state
        laid = asked.laid if state.is_open else None
        if laid is not self._laid:
            self._laid = laid
            self._opened = None
            self.detail.forget()
            self._fill()
        self._say_status()
        self.fit.show_asking(laid.asking if laid is not None else None)
        refused = "\n".join(says for _, says in laid.asking.refused) if laid is not None else ""
        self.refused.setText(refused)
        self.refused.setVisible(bool(refused))
        extension = state.extension
        for field in (self.occupied, self.making_good, self.on_surface):
            field.setVisible(state.is_open and extension is not None)
        if extension is not None:
            self.occupied.show_value(extension.lived_in)
            self.making_good.show_value(extension.others_make_good)
            self.on_surface.show_value(extension.on_surface)
        self._mark()
        self._say_foot()

    def open_option(self, option: "Option | None") -> None:
        """Open an option under its row, or close it when it is open already."""
        self._opened = None if option is self._opened else option
        if self._opened is not None:
            for lot in self._lots:
                if self._opened in _options(lot):
                    self._inner.removeWidget(self.detail)
                    at = max(self._inner.indexOf(each) for each in lot)
                    self._inner.insertWidget(at + 1, self.detail)
        self._mark()
        if self._opened is not None:
            QTimer.singleShot(0, self._show_opened)
            self.option_opened.emit(self._opened)

    def _show_opened(self) -> None:
        """Bring the cards of the option that was opened to the top, so that all of it has room below them."""
        lot = next((lot for lot in self._lots if self._opened is not None and self._opened in _options(lot)), None)
        area = self.parentWidget()
        while area is not None and not isinstance(area, QScrollArea):
            area = area.parentWidget()
        page = area.widget() if isinstance(area, QScrollArea) else None
        if lot is not None and isinstance(area, QScrollArea) and page is not None:
            top = lot[0].mapTo(page, QPoint(0, 0)).y()
            area.verticalScrollBar().setValue(top - _OVER_PX)

    def close_detail(self) -> None:
        """Close what is open, and go back to its card."""
        option = self._opened
        self.open_option(option)
        for row in self._rows:
            card = row.card_of(option)
            if card is not None:
                card.setFocus()

    def focus_cards(self) -> None:
        """Put the keys on the first card, or on what there is to do."""
        if self._rows and self._rows[0].cards:
            self._rows[0].cards[0].setFocus()
        else:
            (self.stop_button if self.stop_button.isVisibleTo(self) else self.fit.more).setFocus()

    def showEvent(self, event: QShowEvent) -> None:
        """Show the routes of what is open or picked while the page is looked at."""
        super().showEvent(event)
        self._hold()

    def hideEvent(self, event: QHideEvent) -> None:
        """Leave the plan to the wishes."""
        super().hideEvent(event)
        self._state.forget()

    # -- inside -------------------------------------------------------------------------------------------------

    def _fill(self) -> None:
        for lot in self._lots:
            for widget in lot:
                self._inner.removeWidget(widget)
                widget.hide()
                widget.deleteLater()
        self._lots, self._rows = [], []
        laid = self._laid
        options = laid.asking.options if laid is not None else ()
        lots = list(dict.fromkeys(option.wishes for option in options))
        for wishes in lots:
            mine = tuple(option for option in options if option.wishes == wishes)
            sound = tuple(option for option in mine if option.is_sound)
            failing = tuple(option for option in mine if not option.is_sound)
            numbers = ", ".join(str(n + 1) for n in wishes)
            many = "requirement" if len(wishes) == 1 else "requirements"
            ways = (
                "no sound way; each with its reason"
                if not sound
                else "one sound way"
                if len(sound) == 1
                else f"{len(sound)} sound ways"
            )
            made: list[QWidget] = [Label(f"For {many} {numbers}: {ways}", self, role="head")]
            if sound:
                made.append(self._row(f"Sound ways for {many} {numbers}", sound))
            if failing:
                fold = button(f"{len(failing)} that fail{'s' if len(failing) == 1 else ''}, with the reason", self,
                              checkable=True)  # fmt: skip
                row = self._row(f"Ways that fail for {many} {numbers}", failing)
                row.setVisible(not sound)
                fold.setVisible(bool(sound))  # where nothing is sound, why it fails is all there is to see
                fold.toggled.connect(row.setVisible)
                made += [fold, row]
            for widget in made:
                self._inner.insertWidget(self._inner.indexOf(self.detail), widget)
            self._lots.append(tuple(made))

    def _row(self, name: str, options: "tuple[Option, ...]") -> OptionRow:
        row = OptionRow(name, options, self._look, self)
        row.pointed.connect(self._state.point_at)
        row.opened.connect(self.open_option)
        row.pick_wanted.connect(self.pick_wanted)
        self._rows.append(row)
        return row

    def _mark(self) -> None:
        picked = self._asked.picked if self._state.is_open else ()
        for row in self._rows:
            row.show_as(self._asked.as_shown)
            row.mark(self._opened, picked)
        book = self._laid.book if self._laid is not None else None
        opened = self._opened
        shown = self._asked.as_shown(opened) if opened is not None else None
        self.detail.show_option(opened, book, is_picked=any(each is opened for each in picked), shown=shown)
        self._hold()

    def _hold(self) -> None:
        if not self.isVisible():
            return  # the plan shows the wishes then
        picked = self._asked.picked if self._state.is_open else ()
        self._state.hold(*((self._opened,) if self._opened is not None else picked))

    def _say_status(self) -> None:
        asked, state = self._asked, self._state
        is_busy = asked.is_busy and state.is_open
        if not state.is_open:
            words = PLANNED if state.is_planned else DONE
        elif asked.failed:
            words = asked.failed
        elif is_busy:
            words = self.status.text() if self.status.text().startswith(WORKING) else WORKING
        elif asked.is_stopped and not asked.is_current:
            words = STOPPED
        elif asked.laid is not None and not asked.is_current:
            words = STALE
        else:
            words = "" if state.wishes else NONE_YET
        self.status.setText(words)
        self.status.setVisible(bool(words))
        self.stop_button.setVisible(is_busy)
        self._bar.setVisible(is_busy)
        needs = state.is_open and not is_busy and not asked.is_current and bool(words) and words != NONE_YET
        self.again_button.setVisible(needs)
        if not is_busy:
            self._bar.setRange(0, 0)

    def _say_foot(self) -> None:
        state, laid = self._state, self._laid
        picked = self._asked.picked if state.is_open else ()
        said = "Picked: " + "; ".join(option.key for option in picked)
        if len(picked) > 1:
            said += ". " + TOGETHER
        self.picked.setText(said if picked else "")
        self.picked.setVisible(bool(picked))
        self.accept_button.setVisible(state.is_open)
        self.accept_button.setEnabled(bool(picked))
        extension = state.extension
        self.quote_button.setEnabled(bool(extension is not None and extension.picked and not extension.done_on))
        notes = notes_text(laid.asking, laid.book) if laid is not None else ""
        self.notes.setText(notes)
        self.notes.setVisible(bool(notes))
        self.cautions.setText(caution_text() if laid is not None else "")
        self.cautions.setVisible(laid is not None)

    def _on_ticked(self, done: int, total: int, words: str) -> None:
        if self._asked.is_busy:
            self._bar.setRange(0, total)
            self._bar.setValue(done)
            count = f" {done} of {total}" if total else ""
            self.status.setText(f"{WORKING}{count} {words}".rstrip())

    def _save_occupied(self, value: object) -> bool:
        return self._asked.set_method(lived_in=bool(value))

    def _save_on_surface(self, value: object) -> bool:
        return self._asked.set_method(on_surface=bool(value))

    def _save_making_good(self, value: object) -> bool:
        return self._asked.set_method(others_make_good=bool(value))


def _options(lot: tuple[QWidget, ...]) -> list[object]:
    """Give the options whose cards a lot has."""
    return [card.option for row in lot if isinstance(row, OptionRow) for card in row.cards]
