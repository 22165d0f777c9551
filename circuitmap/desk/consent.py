"""The card on which a switch-off is agreed to before it can be opened; it holds up nothing but the answers."""

from typing import Final, cast

from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.agreeing import Asked, Sensitive, asked_for, chances_now, codes, missing_for, on_button
from circuitmap.desk.standing import StandingCard
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import Choice, Opener, Thumb, Tick, bare, card, empty, plain, show_text
from circuitmap.desk.visit import SurveyCursor
from circuitmap.home.records import Arrangement, Consent
from circuitmap.home.verbs import now_text
from circuitmap.survey.agreed import Standing, named_in, new_at_stake, standing
from circuitmap.survey.interrupted import interruptions
from circuitmap.survey.likely import Chances
from circuitmap.survey.limits import TimeLimitError, clock_words, duration_words, instant, read_limit
from circuitmap.words import OtherSourceKind, WhoAgreed

WHO: Final[tuple[tuple[str, object], ...]] = (
    ("Occupier", "occupier"),
    ("Agent", "agent"),
    ("Owner", "owner"),
    ("Other household", "other household"),
)


class ConsentCard(QWidget):
    """Lists who loses what, asks who agreed, and opens the switch-off only when nothing is left to settle."""

    def __init__(self, adapter: Adapter, look: Look, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Agreement before the switch-off")
        self._adapter, self._look, self._cursor = adapter, look, cursor
        self._asked: Asked | None = None
        self._chances: Chances | None = None
        self._built: tuple[Sensitive, ...] | None = None
        self._arranged: dict[str, QLineEdit] = {}
        self._source_ticks: dict[OtherSourceKind, Tick] = {}
        self._together: Tick | None = None
        self._agreed_with: frozenset[str] = frozenset()
        self._asks_anew = False
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP_PX)

        self.heading = plain(role="head")
        column.addWidget(self.heading)
        self.standing = StandingCard(self)
        self.standing.open.connect(self._on_open)
        self.standing.anew.connect(self._on_anew)
        column.addWidget(self.standing)
        self._alone, self._alone_column = card("warn", self)
        column.addWidget(self._alone)
        self._with, self._with_column = card("warn", self)
        column.addWidget(self._with)
        self._told, told = card(parent=self)
        told.addWidget(plain("Say beforehand", "head"))
        self.told = plain()
        told.addWidget(self.told)
        column.addWidget(self._told)
        self._sources, self._source_column = card("warn", self)
        column.addWidget(self._sources)
        care, care_column = card(parent=self)
        care_column.addWidget(plain("Take care", "head"))
        self.cautions = plain()
        care_column.addWidget(self.cautions)
        column.addWidget(care)
        self.show_others = Opener("Also without supply", self)
        self.others = plain()
        self.show_others.toggled.connect(self.others.setVisible)
        self.others.hide()
        column.addWidget(self.show_others)
        column.addWidget(self.others)
        self._form = self._build_form()
        column.addWidget(self._form)
        self.clear_button = Thumb("Choose nothing", parent=self)
        self.clear_button.clicked.connect(cursor.clear_pending)
        column.addWidget(self.clear_button)
        cursor.changed.connect(self.refresh)
        self.refresh()

    def _build_form(self) -> QWidget:
        form, column = bare(self)
        column.addWidget(plain("Agreed by", "head"))
        self.who = Choice(WHO, "Agreed by", parent=form)
        self.who.picked.connect(self._on_touched)
        column.addWidget(self.who)
        self.until = QLineEdit(form)
        self.until.setAccessibleName("Agreed until")
        self.until.setToolTip("A time of day or a duration; once it has passed, the walk says so.")
        self.until.textChanged.connect(self._on_touched)
        column.addWidget(self.until)
        self.until_says = plain(role="faint")
        column.addWidget(self.until_says)
        self.for_visit = Tick("Same terms for the rest of this visit", form)
        self.for_visit.setToolTip("The next switch-off needs one tap then, unless something new is at stake.")
        column.addWidget(self.for_visit)
        self.missing = plain(role="warn")
        column.addWidget(self.missing)
        self.open_button = Thumb("Switch off now", strong=True, tall=True, parent=form)
        self.open_button.clicked.connect(self._on_open)
        column.addWidget(self.open_button)
        return form

    @property
    def asked(self) -> Asked | None:
        """What is asked for now, None while nothing is chosen."""
        return self._asked

    @property
    def together(self) -> Tick:
        """The box that settles the telephone, alarms and other households, all in one."""
        if self._together is None:
            raise KeyError("nothing is to be settled together")
        return self._together

    def arrangement_of(self, point_id: str) -> QLineEdit:
        """Give the line that holds what was arranged for a load that must not simply lose its supply."""
        return self._arranged[point_id]

    def source_tick(self, kind: OtherSourceKind) -> Tick:
        """Give the box that says that another source was switched off at its isolator."""
        return self._source_ticks[kind]

    def refresh(self) -> None:
        """Ask again for what is chosen now, keeping what was settled already."""
        pending, visit = self._cursor.pending, self._cursor.visit
        self.setVisible(bool(pending) and self._cursor.step == "choose")
        if not pending or visit is None:
            self._forget()
            return
        adapter = self._adapter
        home, trade, memo = adapter.home, adapter.trade, adapter.memo
        self._chances = chances_now(home, trade, memo)
        already = interruptions(home, memo, visit.id)
        asked = asked_for(home, trade, memo, pending, self._cursor.seen_on, self._chances, already)
        self._asked = asked
        stands = None if self._asks_anew else standing(home, visit.id, now_text())
        if stands is not None and self._built is None:
            self._take_terms(stands)
        if stands is not None and self._built is None:
            self._agreed_with = stands.confirmed  # what was settled for the visit needs no second tick
        if asked.sensitive != self._built or set(asked.sources) != set(self._source_ticks):
            self._build(asked)
        which = codes(home, pending)
        self.heading.setText(f"Before {which} {'goes' if len(pending) == 1 else 'go'} off, somebody must agree.")
        self.others.setText("\n".join(asked.others))
        self.show_others.setVisible(bool(asked.others))
        self.others.setVisible(bool(asked.others) and self.show_others.isChecked())
        self.cautions.setText("\n".join(f"– {each}" for each in asked.cautions))
        self._show_standing(stands)
        self._on_touched()

    def _forget(self) -> None:
        self._asked, self._built, self._chances, self._asks_anew = None, None, None, False
        self._agreed_with = frozenset()
        self.who.set_value(None)
        self.until.clear()
        self.for_visit.setChecked(False)
        self.standing.show_terms(None, ())
        self._empty()

    def _take_terms(self, before: Standing) -> None:
        """Begin another agreement on the terms of the one before: for the visit, until then; who agrees is asked."""
        self.for_visit.setChecked(True)
        if not self.until.text():
            self.until.setText(before.until)

    def _show_standing(self, stands: Standing | None) -> None:
        """Offer the terms that stand, or say why they don't cover this switch-off."""
        new: tuple[str, ...] = ()
        if self._asked is not None and stands is not None:
            new = new_at_stake(self._adapter.home, stands, self._asked.losses)
        self.standing.show_terms(stands, new)
        one_tap = self.standing.offers
        self._form.setVisible(not one_tap)
        for part, is_there in ((self._alone, self._has(alone=True)), (self._with, self._has(alone=False))):
            part.setVisible(is_there and not one_tap)
        self.heading.setVisible(not one_tap)
        self._show_told(one_tap=one_tap)

    def _show_told(self, *, one_tap: bool) -> None:
        """Say what to tell them; with one tap also what was settled with them, which has no card of its own then."""
        if self._asked is None:
            return
        settled = [f"{each.title}{f', {each.says}' if each.says else ''}" for each in self._asked.sensitive]
        lines = [f"Settled with them: {'; '.join(settled)}."] if one_tap and settled else []
        lines += self._asked.told
        show_text(self.told, "\n".join(f"– {each}" for each in lines))
        self._told.setVisible(bool(lines))

    def _has(self, *, alone: bool) -> bool:
        return any(each.is_alone == alone for each in self._built or ())

    def _empty(self) -> None:
        for column in (self._alone_column, self._with_column, self._source_column):
            empty(column)
        self._arranged, self._source_ticks, self._together = {}, {}, None

    def _build(self, asked: Asked) -> None:
        words = {i: line.text() for i, line in self._arranged.items()}
        gone = {i for i, box in self._source_ticks.items() if box.isChecked()}
        self._empty()
        self._built = asked.sensitive
        alone = [each for each in asked.sensitive if each.is_alone]
        together = [each for each in asked.sensitive if not each.is_alone]
        if alone:
            self._alone_column.addWidget(plain("Life-supporting: each by itself", "head"))
            self._alone_column.addWidget(plain(asked.reminders["medical"]))
        for load in alone:
            self._alone_column.addWidget(self._row(load, words.get(load.point, "")))
        if together:
            self._with_column.addWidget(plain("Settle with whoever relies on it", "head"))
            lines = [f"– {each.title}{f': {each.says}' if each.says else ''}" for each in together]
            lines += [says for word, says in asked.reminders.items() if word != "medical"]
            self._with_column.addWidget(plain("\n".join(lines)))
            self._together = Tick(_together_words(together), self._with)
            self._together.setAccessibleName(f"Settled with them: {'; '.join(each.title for each in together)}")
            # What comes to it after the tick was set has not been settled.
            self._together.setChecked(bool(self._agreed_with) and {i.point for i in together} <= self._agreed_with)
            self._together.toggled.connect(self._on_together)
            self._with_column.addWidget(self._together)
        self._sources.setVisible(bool(asked.sources))
        if asked.sources:
            self._source_column.addWidget(plain("Other sources: off at their own isolators", "head"))
        for kind in asked.sources:
            box = Tick(f"{kind} is off", self._sources)
            box.setChecked(kind in gone)
            self._source_ticks[kind] = box
            self._source_column.addWidget(box)

    def _row(self, load: Sensitive, words: str) -> QWidget:
        row, column = bare(self._alone)
        column.setSpacing(2)
        column.addWidget(plain(f"{load.title}{f': {load.says}' if load.says else ''}"))
        line = QLineEdit(row)
        line.setPlaceholderText("What supplies it meanwhile, or who stays")
        line.setAccessibleName(f"Arrangement for {load.title}")
        line.setToolTip("A proved battery, another supply, a carer present; its time limit stands below.")
        line.setText(words)
        line.textChanged.connect(self._on_touched)
        self._arranged[load.point] = line
        column.addWidget(line)
        return row

    def consent(self) -> Consent | None:
        """Give the agreement as it stands on the card, None while nobody was named."""
        if self._asked is not None and self.standing.offers:
            return self.standing.consent(self._adapter.home, self._asked.losses)
        who = cast(WhoAgreed | None, self.who.value)  # the choice holds these words only
        if who is None or self._asked is None:
            return None
        ticked = self._together is not None and self._together.isChecked()
        confirmed = [each.point for each in self._asked.sensitive if not each.is_alone] if ticked else []
        return Consent(
            at=now_text(),
            by=who,
            confirmed=tuple(dict.fromkeys(confirmed)),
            arrangements=tuple(
                Arrangement(point=i, words=line.text().strip())
                for i, line in self._arranged.items()
                if line.text().strip()
            ),
            until=self.until.text().strip(),
            named=named_in(self._asked.losses),
            for_visit=self.for_visit.isChecked(),
        )

    def _missing(self, consent: Consent | None) -> tuple[str, ...]:
        if self._asked is None:
            return ("Nothing is chosen.",)
        adapter = self._adapter
        return missing_for(adapter.home, adapter.trade, adapter.memo, self._asked, consent, self._chances)

    def _on_together(self, is_ticked: bool) -> None:
        together = (each.point for each in self._built or () if not each.is_alone)
        self._agreed_with = frozenset(together) if is_ticked else frozenset()
        self._on_touched()

    def _on_touched(self) -> None:
        if self._asked is None:
            return
        missing = self._missing(self.consent())
        which = codes(self._adapter.home, self._cursor.pending)
        show_text(self.missing, "\n".join(missing))
        self.open_button.setEnabled(not missing)
        few = on_button(which, len(self._cursor.pending))
        self.open_button.say(f"Agreed: switch off\n{few}")
        self.standing.show_button(few, missing)
        needs = " (needed)" if self._arranged else ""
        self.until.setPlaceholderText(f"Until when: 14:30 or 45 min{needs}")
        show_text(self.until_says, _limit_words(self.until.text()))

    def _on_anew(self) -> None:
        self._asks_anew, self._built, self._agreed_with = True, None, frozenset()
        self.for_visit.setChecked(False)
        self.until.clear()
        self.refresh()

    def _on_open(self) -> None:
        consent = self.consent()
        if consent is None or self._missing(consent):
            return
        self._cursor.open(consent, tuple(kind for kind, box in self._source_ticks.items() if box.isChecked()))


def _together_words(loads: list[Sensitive]) -> str:
    return "Settled with them" if len(loads) == 1 else f"All {len(loads)} settled with them"


def _limit_words(typed: str) -> str:
    """Give a time limit as it was understood, or that nothing will remind of it."""
    if not typed.strip():
        return ""
    now = instant(now_text())
    try:
        ends = read_limit(typed, now)
    except TimeLimitError as error:
        return str(error)
    return f"Until {clock_words(ends)}, in {duration_words((ends - now).total_seconds() / 60)}."
