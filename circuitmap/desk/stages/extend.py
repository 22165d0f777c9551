"""The Extend stage: what is wished, every sound way of doing it with its price, and what is planned.

Nothing that exists is changed here until planned work is said to be done. What takes long is worked out beside the
window; nothing is modal but the choice of a file.
"""

from pathlib import Path
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QSizePolicy, QTabWidget, QWidget

from circuitmap.desk.actions import Act
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.causes_work import Latest
from circuitmap.desk.extend_asking import STAGE, OptionsAsked
from circuitmap.desk.extend_options import OptionsPage
from circuitmap.desk.extend_planned import PlannedPage
from circuitmap.desk.extend_state import ExtendState
from circuitmap.desk.extend_wishes import WishesPage
from circuitmap.desk.extend_work import Quoting
from circuitmap.desk.fields import ChoiceField, TextField
from circuitmap.desk.parts import button, column
from circuitmap.desk.scrolled import ScrolledCard
from circuitmap.desk.stages.extend_acts import acts_of
from circuitmap.desk.theme import Look
from circuitmap.errors import PersonError
from circuitmap.extension.wish_place import next_name
from circuitmap.home import Change, Home, verbs, verbs_extend
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Extension, Wish
from circuitmap.trade import Trade

if TYPE_CHECKING:
    from circuitmap.extension.kinds import Option

WISHES, OPTIONS, PLANNED = range(3)
TABS: Final = ("Requirements", "Options", "What changed")
_SHEETS: Final = "Estimate as a spreadsheet (*.xlsx)"
_FILES: Final = "Quotation as PDF (*.pdf);;Quotation as a spreadsheet (*.xlsx)"


class ExtendStage(QWidget):
    """The right-hand side while something is to be added."""

    tool_wanted = Signal(str)
    writing_changed = Signal()  # whether something is being written

    def __init__(self, adapter: Adapter, look: Look, state: ExtendState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("extend-stage")
        self.setAccessibleName("Extend")
        self._adapter, self.state = adapter, state
        self._accepts = False  # what is picked goes on the map once it has been worked out anew
        self.asked = OptionsAsked(adapter, state, self)
        self.choice = ChoiceField("Extension that is looked at", [], self._save_choice, self)
        self.new_button = button("New", self)
        self.new_button.setAccessibleName("Begin another extension")
        self.new_button.clicked.connect(self.begin)
        self.name = TextField("Name of this extension", self._save_name, self)
        self.name.setPlaceholderText("what it is called: sockets in the kitchen")
        self.away_button = button("Take away", self)
        self.away_button.setAccessibleName("Take this extension away, with all of it that is planned")
        self.away_button.clicked.connect(self.take_away)
        layout = column(self)
        layout.setContentsMargins(12, 8, 6, 6)
        layout.setSpacing(6)
        for field, beside in ((self.choice, self.new_button), (self.name, self.away_button)):
            row = QHBoxLayout()
            row.setContentsMargins(0, 0, 6, 0)
            field.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            row.addWidget(field, 1)
            row.addWidget(beside)
            layout.addLayout(row)
        self.tabs = QTabWidget(self)
        self.tabs.setObjectName("extend-tabs")
        self.tabs.setDocumentMode(True)
        self.tabs.tabBar().setAccessibleName("Requirements, options, what changed")
        self._pages = tuple(ScrolledCard(words, self.tabs) for words in TABS)
        self.wishes = WishesPage(adapter, state, look, self._pages[WISHES].inside)
        self.options = OptionsPage(self.asked, state, look, self._pages[OPTIONS].inside)
        self.planned = PlannedPage(adapter, state, self._pages[PLANNED].inside)
        for area, page, words in zip(self._pages, (self.wishes, self.options, self.planned), TABS, strict=True):
            area.hold(page)
            self.tabs.addTab(area, words)
        layout.addWidget(self.tabs, 1)
        self._quoting = Latest(self)
        self._connect()
        self.refresh()

    def _connect(self) -> None:
        adapter = self._adapter
        adapter.changed.connect(self.refresh)
        adapter.stage_changed.connect(self.refresh)
        self.state.changed.connect(self.refresh)
        self.asked.changed.connect(self._on_asked)
        self.wishes.tool_wanted.connect(self.tool_wanted)
        self.options.pick_wanted.connect(self.pick)
        self.options.accept_wanted.connect(self.accept)
        self.options.quote_wanted.connect(self.quote)
        self.options.option_opened.connect(self._on_opened)
        self.planned.done_wanted.connect(self.say_done)
        self.planned.back_wanted.connect(self.take_back)
        self.planned.quote_wanted.connect(self.quote)
        self._quoting.done.connect(self._on_quoted)
        self._quoting.failed.connect(self._on_not_quoted)

    # -- for gestures: what is in hand --------------------------------------------------------------------------

    @property
    def trade(self) -> Trade:
        """The tables."""
        return self._adapter.trade

    @property
    def draft(self) -> Wish:
        """The wish that the next click plants, without its place."""
        return self.wishes.card.draft

    @property
    def draft_height_mm(self) -> int:
        """How high it is to sit."""
        return self.wishes.card.draft_height_mm

    # -- what actions call --------------------------------------------------------------------------------------

    def acts(self) -> list[Act]:
        """Give the actions of the stage."""
        return acts_of(self)

    @property
    def is_on(self) -> bool:
        """Whether the window is in this stage."""
        return self._adapter.stage == STAGE

    def begin(self) -> None:
        """Begin another extension, and let its name be typed."""
        added = self._adapter.do(lambda home: verbs_extend.add_extension(home, next_name(home)))
        if added:
            self.state.choose(added[0])
            self.show_wishes()
            self.name.setFocus()
            self.name.selectAll()

    def take_away(self) -> None:
        """Take the extension away, with all of it that is on the map as planned; work that is done stays."""
        from circuitmap.extension.accept import drop

        extension = self.state.extension
        if extension is None:
            self._adapter.refuse("There is no extension to take away.")
            return
        self._adapter.do(lambda home: drop(home, extension.id))

    def pick(self, option: "Option") -> None:
        """Pick a way, or pick it no longer; another one for the same wishes is picked no more."""
        extension = self.state.extension
        if extension is None:
            return
        if not option.is_sound:
            self._adapter.refuse(f"It is no sound way: {option.failed[0]}")
            return
        picked = [each for each in self.asked.picked if not set(each.wishes) & set(option.wishes)]
        if not any(each is option for each in self.asked.picked):
            picked.append(option)
        names = "; ".join(each.key for each in sorted(picked, key=lambda each: each.wishes))
        self._adapter.do(lambda home: verbs_extend.pick(home, extension.id, names))

    def pick_opened(self) -> None:
        """Pick the option that is open or pointed at."""
        option = self.options.opened or self.state.shown_option
        if option is None:
            self._adapter.refuse("Open one of the ways first, or point at its card.")
        else:
            self.pick(option)

    def accept(self) -> None:
        """Put what is picked on the map as planned; if the map has moved on, once it is worked out anew."""
        if not self.state.is_open or self.state.extension is None:
            self._adapter.refuse("It is on the map as planned already, or done." if self.state.extension else
                                 "There is no extension yet: place a requirement first.")  # fmt: skip
        elif not self.asked.picked:
            self._adapter.refuse("Nothing is picked; pick a way first.")
        elif self.asked.is_current:
            self._accept()
        else:
            self._accepts = True
            self._adapter.say("The map has changed: what is picked is worked out anew, then put on the map.")
            self.asked.again()

    def say_done(self) -> None:
        """Say that planned work was done."""
        from circuitmap.extension.accept import done

        extension = self.state.extension
        if extension is None:
            self._adapter.refuse("There is no extension yet.")
        elif self._adapter.do(lambda home: done(home, extension.id)) is not None:
            self._adapter.say(f"“{shorten(extension.name, 30)}” is done: what was planned is there now.")

    def take_back(self) -> None:
        """Take the plan off the map; what was picked stays picked."""
        from circuitmap.extension.accept import withdraw

        extension = self.state.extension
        if extension is None:
            self._adapter.refuse("There is no extension yet.")
        elif self._adapter.do(lambda home: withdraw(home, extension.id)) is not None:
            self.show_options()
            self._adapter.say(f"The plan of “{shorten(extension.name, 30)}” is taken back: nothing of it is promised.")

    def quote(self) -> None:
        """Ask where, and write a quotation of what is picked as PDF or XLSX, while the window goes on."""
        extension = self.state.extension
        if extension is None or not extension.picked:
            self._adapter.refuse("Nothing is picked to be quoted for; pick a way first.")
            return
        name, chosen = QFileDialog.getSaveFileName(self, "Quotation", f"{_stem(extension)}.pdf", _FILES)
        if name:
            self.quote_to(Path(name), ".xlsx" if "xlsx" in chosen else ".pdf")

    def estimate(self) -> None:
        """Ask where, and write the estimator's sheet of what is picked: every line with its range, for nobody else."""
        extension = self.state.extension
        if extension is None or not extension.picked:
            self._adapter.refuse("Nothing is picked to be estimated; pick a way first.")
            return
        name, _ = QFileDialog.getSaveFileName(self, "Estimator's sheet", f"{_stem(extension)} estimate.xlsx", _SHEETS)
        if name:
            self.quote_to(Path(name).with_suffix(".xlsx"), estimates=True)

    @property
    def is_writing(self) -> bool:
        """Whether a quotation or an estimate is being written."""
        return self._quoting.is_busy

    def stop(self) -> None:
        """Stop working options out, and writing."""
        self.asked.stop()
        if self._quoting.is_busy:
            self._quoting.stop()
            self.writing_changed.emit()
            self._adapter.say("Stopped; no quotation was written.")

    def quote_to(self, path: Path, ending: str = ".pdf", *, estimates: bool = False) -> None:
        """Write a quotation to a file; a name with neither ending gets the one that was chosen."""
        extension, adapter = self.state.extension, self._adapter
        if extension is None:
            return
        if path.suffix.lower() not in (".pdf", ".xlsx"):
            path = path.with_name(path.name + ending)
        adapter.say(f"Writing {path.name}…")
        drawn = self.asked.drawn
        self._quoting.ask(
            Quoting(path, adapter.home, extension, adapter.trade, adapter.memo, estimates=estimates, drawn=drawn)
        )
        self.writing_changed.emit()

    def show_wishes(self) -> None:
        """Show the wishes."""
        self.tabs.setCurrentIndex(WISHES)

    def show_options(self) -> None:
        """Show the options, with the keys on the first card."""
        self.tabs.setCurrentIndex(OPTIONS)
        self.options.focus_cards()

    def show_planned(self) -> None:
        """Show what changed."""
        self.tabs.setCurrentIndex(PLANNED)
        self._pages[PLANNED].verticalScrollBar().setValue(0)
        self.planned.focus_inside()

    def next_extension(self) -> None:
        """Look at the next extension."""
        ids = [each.id for each in self.state.extensions]
        now = self.state.extension
        if now is not None:
            self.state.choose(ids[(ids.index(now.id) + 1) % len(ids)])

    # -- inside -------------------------------------------------------------------------------------------------

    def refresh(self, *_: object) -> None:
        """Show which extension is looked at, and how it stands."""
        if not self.is_on:
            self._accepts = False
            return
        state = self.state
        now = state.extension
        choices: list[tuple[str, object]] = [(_said(each), each.id) for each in state.extensions]
        self.choice.offer(choices or [("no extension yet", "")])
        self.choice.show_value(now.id if now is not None else "")
        self.choice.setEnabled(now is not None)
        self.name.setEnabled(now is not None)
        self.name.show_value(now.name if now is not None else "")
        self.away_button.setEnabled(now is not None)
        self._say_counts()

    def _say_counts(self) -> None:
        state, laid = self.state, self.asked.laid
        wishes = len(state.wishes)
        sound = sum(option.is_sound for option in laid.asking.options) if laid is not None and state.is_open else 0
        self.tabs.setTabText(WISHES, f"Requirements {wishes}" if wishes else "Requirements")
        self.tabs.setTabText(OPTIONS, f"Options {sound}" if sound else "Options")
        self.tabs.setTabText(PLANNED, "Planned" if state.is_planned else "What changed")

    def _on_opened(self, option: "Option") -> None:
        """Go to a storey on which something of an option is to be seen, if that isn't so already."""
        storeys = [spot.storey for route in option.routes for spot in route.path]
        storeys += [place.storey for n in option.wishes if (place := self.state.wishes[n].place) is not None]
        if storeys and self._adapter.storey not in storeys:
            self._adapter.set_storey(storeys[-1])

    def _on_asked(self) -> None:
        self._say_counts()
        if not self._accepts or self.asked.is_busy:
            return
        self._accepts = False
        if self.asked.is_current:
            if self.asked.picked:
                self._accept()
            else:
                self._adapter.refuse("The map has changed, and what was picked is no option any more; pick another.")

    def _accept(self) -> None:
        from circuitmap.extension.accept import accept

        laid, extension = self.asked.laid, self.state.extension
        options = self.state.as_drawn(self.asked.picked)  # also where it hasn't been priced as drawn yet
        shown = [self.asked.as_shown(option) for option in self.asked.picked]
        bad = next((option for option in shown if option.by_hand and not option.is_sound), None)
        if bad is not None:
            self._adapter.refuse(f"As drawn by hand it is no sound way: {bad.failed[0]}")
            return
        if laid is None or extension is None:
            return
        if self._adapter.do(lambda home: accept(home, extension.id, options, laid.home)) is not None:
            self._adapter.set_tool("select")
            self.show_planned()
            self._adapter.say(f"“{shorten(extension.name, 30)}” is on the map as planned; nothing of it is there yet.")

    def _save_choice(self, value: object) -> bool:
        self.wishes.settle()
        self.name.settle()
        self.state.choose(str(value))
        return True

    def _save_name(self, value: object) -> bool:
        extension = self.state.extension
        if extension is None:
            return False

        def rename(home: Home) -> Change:
            return verbs.edit(home, extension.id, "Name an extension", name=_name(str(value)))

        return self._adapter.do(rename) is not None

    def _on_quoted(self, said: object) -> None:
        self.writing_changed.emit()
        self._adapter.say(str(said))

    def _on_not_quoted(self, sentence: str) -> None:
        self.writing_changed.emit()
        self._adapter.refuse(sentence)


def _stem(extension: Extension) -> str:
    """Give a file's name without its ending."""
    return "".join(c if c.isalnum() or c in " -_" else " " for c in extension.name).strip()[:60] or "quotation"


def _name(typed: str) -> str:
    name = " ".join(typed.split())
    if not name:
        raise PersonError("An extension needs a name, like “sockets in the kitchen”.")
    return name


def _said(extension: Extension) -> str:
    state = ""
    if extension.done_on is not None:
        state = ", done"
    elif verbs_extend.is_planned(extension):
        state = ", planned"
    return f"{extension.id} {shorten(extension.name, 28)}{state}"
