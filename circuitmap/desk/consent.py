"""The card on which a switch-off is agreed to before it can be opened; it holds up nothing but the answers."""

from collections.abc import Iterable
from typing import Final, cast

from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.agreeing import Asked, Sensitive, asked_for, codes, missing_for
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.thumb import Choice, Thumb, Tick, bare, card, empty, plain, show_text
from circuitmap.desk.visit import SurveyCursor
from circuitmap.home.records import Arrangement, Consent
from circuitmap.home.verbs import now_text
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
        self._built: tuple[Sensitive, ...] | None = None
        self._ticks: dict[str, Tick] = {}
        self._arranged: dict[str, QLineEdit] = {}
        self._source_ticks: dict[OtherSourceKind, Tick] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP_PX)

        self.heading = plain(role="head")
        column.addWidget(self.heading)
        self._loads, self._load_column = card("warn", self)
        column.addWidget(self._loads)
        self._told, told = card(parent=self)
        told.addWidget(plain("Say beforehand", "head"))
        self.told = plain()
        told.addWidget(self.told)
        column.addWidget(self._told)
        self._others, others = card(parent=self)
        others.addWidget(plain("Also without supply", "head"))
        self.others = plain()
        others.addWidget(self.others)
        column.addWidget(self._others)
        self._sources, self._source_column = card("warn", self)
        column.addWidget(self._sources)
        care, care_column = card(parent=self)
        care_column.addWidget(plain("Take care", "head"))
        self.cautions = plain()
        care_column.addWidget(self.cautions)
        column.addWidget(care)

        column.addWidget(plain("Agreed by", "head"))
        self.who = Choice(WHO, "Agreed by", parent=self)
        self.who.picked.connect(self._on_touched)
        column.addWidget(self.who)
        self.until = QLineEdit(self)
        self.until.setPlaceholderText("Until when, if a time was agreed")
        self.until.setAccessibleName("Agreed until")
        self.until.textChanged.connect(self._on_touched)
        column.addWidget(self.until)
        self.missing = plain(role="warn")
        column.addWidget(self.missing)
        self.open_button = Thumb("Switch off now", strong=True, tall=True, parent=self)
        self.open_button.clicked.connect(self._on_open)
        column.addWidget(self.open_button)
        self.clear_button = Thumb("Choose nothing", parent=self)
        self.clear_button.clicked.connect(cursor.clear_pending)
        column.addWidget(self.clear_button)
        cursor.changed.connect(self.refresh)
        self.refresh()

    @property
    def asked(self) -> Asked | None:
        """What is asked for now, None while nothing is chosen."""
        return self._asked

    def tick_of(self, point_id: str) -> Tick:
        """Give the box that settles a sensitive load."""
        return self._ticks[point_id]

    def arrangement_of(self, point_id: str) -> QLineEdit:
        """Give the line that holds what was arranged for a load that must not simply lose its supply."""
        return self._arranged[point_id]

    def source_tick(self, kind: OtherSourceKind) -> Tick:
        """Give the box that says that another source was switched off at its isolator."""
        return self._source_ticks[kind]

    def refresh(self) -> None:
        """Ask again for what is chosen now, keeping what was settled already."""
        pending = self._cursor.pending
        self.setVisible(bool(pending) and self._cursor.step == "choose")
        if not pending:
            self._asked, self._built = None, None
            self.who.set_value(None)
            self.until.clear()
            self._build((), ())
            return
        adapter = self._adapter
        asked = asked_for(adapter.home, adapter.trade, adapter.memo, pending, self._cursor.seen_on)
        self._asked = asked
        if asked.sensitive != self._built or set(asked.sources) != set(self._source_ticks):
            self._build(asked.sensitive, asked.sources)
        which = codes(adapter.home, pending)
        self.heading.setText(f"Before {which} {'goes' if len(pending) == 1 else 'go'} off, somebody must agree.")
        show_text(self.told, "\n".join(f"– {each}" for each in asked.told))
        self._told.setVisible(bool(asked.told))
        show_text(self.others, "\n".join(asked.others))
        self._others.setVisible(bool(asked.others))
        self.cautions.setText("\n".join(f"– {each}" for each in asked.cautions))
        self._on_touched()

    def _build(self, loads: Iterable[Sensitive], sources: Iterable[OtherSourceKind]) -> None:
        ticked = {i for i, box in self._ticks.items() if box.isChecked()}
        words = {i: line.text() for i, line in self._arranged.items()}
        gone = {i for i, box in self._source_ticks.items() if box.isChecked()}
        empty(self._load_column)
        empty(self._source_column)
        self._ticks, self._arranged, self._source_ticks = {}, {}, {}
        loads, sources = tuple(loads), tuple(sources)
        self._built = loads
        self._loads.setVisible(bool(loads))
        self._sources.setVisible(bool(sources))
        if loads:
            self._load_column.addWidget(plain("Settle these one by one", "head"))
        for load in loads:
            self._load_column.addWidget(self._row(load, load.point in ticked, words.get(load.point, "")))
        if sources:
            self._source_column.addWidget(plain("Other sources: off at their own isolators", "head"))
        for kind in sources:
            box = Tick(f"{kind} is off", self._sources)
            box.setChecked(kind in gone)
            self._source_ticks[kind] = box
            self._source_column.addWidget(box)

    def _row(self, load: Sensitive, is_ticked: bool, words: str) -> QWidget:
        row, column = bare(self._loads)
        column.setSpacing(2)
        loses = "loses its supply" if load.is_sure else "may lose its supply"
        column.addWidget(plain(f"{load.title} {loses}: {load.says}."))
        if load.if_off == "medical":
            line = QLineEdit(row)
            line.setPlaceholderText("What was arranged, and until when")
            line.setAccessibleName(f"Arrangement for {load.title}")
            line.setToolTip("A proved battery, another supply, a carer present; and how long that lasts.")
            line.setText(words)
            line.textChanged.connect(self._on_touched)
            self._arranged[load.point] = line
            column.addWidget(line)
        else:
            box = Tick("Settled with them", row)
            box.setAccessibleName(f"Settled with them: {load.title}")
            box.setChecked(is_ticked)
            box.toggled.connect(self._on_touched)
            self._ticks[load.point] = box
            column.addWidget(box)
        return row

    def consent(self) -> Consent | None:
        """Give the agreement as it stands on the card, None while nobody was named."""
        who = cast(WhoAgreed | None, self.who.value)  # the choice holds these words only
        if who is None:
            return None
        return Consent(
            at=now_text(),
            by=who,
            confirmed=tuple(i for i, box in self._ticks.items() if box.isChecked()),
            arrangements=tuple(
                Arrangement(point=i, words=line.text().strip())
                for i, line in self._arranged.items()
                if line.text().strip()
            ),
            until=self.until.text().strip(),
        )

    def _missing(self, consent: Consent | None) -> tuple[str, ...]:
        if self._asked is None:
            return ("Nothing is chosen.",)
        return missing_for(self._adapter.home, self._adapter.trade, self._adapter.memo, self._asked, consent)

    def _on_touched(self) -> None:
        if self._asked is None:
            return
        missing = self._missing(self.consent())
        show_text(self.missing, "\n".join(missing))
        self.open_button.setEnabled(not missing)
        self.open_button.say(f"Agreed: switch off {codes(self._adapter.home, self._cursor.pending)}"[:60])

    def _on_open(self) -> None:
        consent = self.consent()
        if consent is None or self._missing(consent):
            return
        self._cursor.open(consent, tuple(kind for kind, box in self._source_ticks.items() if box.isChecked()))
