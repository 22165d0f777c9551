"""The first cards of a visit: what it is for, how many phases come in, which other sources of power there are."""

from typing import Final, cast

from PySide6.QtWidgets import QGridLayout, QLineEdit, QVBoxLayout, QWidget

from circuitmap.desk.theme import GAP_PX
from circuitmap.desk.thumb import Choice, Thumb, Tick, card, plain
from circuitmap.desk.visit import SurveyCursor
from circuitmap.home.verbs import supply_of
from circuitmap.words import OTHER_SOURCES, OtherSourceKind, Purpose

_PURPOSES: Final[tuple[tuple[str, object], ...]] = (
    ("Survey", "survey"),
    ("Before work", "before work"),
    ("After work", "after work"),
    ("Periodic", "periodic"),
)
_SOURCE_WORDS: Final[dict[OtherSourceKind, str]] = {
    "PV": "Solar panels",
    "battery": "Battery",
    "generator inlet": "Generator inlet",
    "vehicle to home": "Vehicle feeds back",
    "UPS": "UPS",
    "neighbour": "From a neighbour",
    "landlord": "Landlord’s supply",
    "off-peak": "Off-peak board",
    "second meter": "Second meter",
}


class _Page(QWidget):
    def __init__(self, cursor: SurveyCursor, parent: QWidget | None) -> None:
        super().__init__(parent)
        self._cursor = cursor
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(GAP_PX)


class StartPage(_Page):
    """What the visit is for and who makes it."""

    def __init__(self, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(cursor, parent)
        self.column.addWidget(plain("What is the visit for?", "head"))
        self.purpose = Choice(_PURPOSES, "Purpose of the visit", parent=self)
        self.purpose.set_value("survey")
        self.column.addWidget(self.purpose)
        self.by = QLineEdit(self)
        self.by.setPlaceholderText("Who makes the visit (may stay empty)")
        self.by.setAccessibleName("Who makes the visit")
        self.column.addWidget(self.by)
        self.button = Thumb("Start the visit", strong=True, tall=True, parent=self)
        self.button.clicked.connect(self.start_visit)
        self.column.addWidget(self.button)
        frame, inside = card("warn", self)
        inside.addWidget(
            plain(
                "A point that went off is not proved dead: a lamp may have failed, a neutral may be borrowed. "
                "Before anything is opened, isolate and prove dead at that box."
            )
        )
        self.column.addWidget(frame)

    def start_visit(self) -> None:
        """Start the visit with what the card says."""
        purpose = cast(Purpose, self.purpose.value or "survey")  # the choice holds these words only
        self._cursor.start_visit(purpose, self.by.text().strip())


class PhasesPage(_Page):
    """How many phases the supply has."""

    def __init__(self, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(cursor, parent)
        self.choice: dict[int, Thumb] = {}
        for phases, text in ((1, "One phase"), (2, "Two phases"), (3, "Three phases")):
            thumb = Thumb(text, phases, strong=phases == 1, tall=phases == 1, parent=self)
            thumb.chosen.connect(self._on_phases)
            self.choice[phases] = thumb
            self.column.addWidget(thumb)
        self.column.addWidget(
            plain("One meter with one live tail and one neutral is one phase. Ask the supplier when in doubt.", "faint")
        )

    def show_step(self, *, is_asked: bool) -> None:
        """Ask for the phases, or leave only the way back from what was said."""
        for phases, thumb in self.choice.items():
            thumb.setVisible(is_asked or phases == 1)
        self.choice[1].say("One phase" if is_asked else "It is one phase after all")

    def _on_phases(self, phases: object) -> None:
        self._cursor.set_phases(cast(int, phases))  # the buttons hold numbers only


class SourcesPage(_Page):
    """Which other sources of power there are."""

    def __init__(self, cursor: SurveyCursor, parent: QWidget | None = None) -> None:
        super().__init__(cursor, parent)
        self.column.addWidget(plain("The main switch does not isolate them. Tick each one there is."))
        grid = QGridLayout()
        grid.setSpacing(GAP_PX // 2)
        self.column.addLayout(grid)
        self.ticks: dict[OtherSourceKind, Tick] = {}
        for number, kind in enumerate(OTHER_SOURCES):
            box = Tick(_SOURCE_WORDS[kind], self)
            box.toggled.connect(self._on_source)
            self.ticks[kind] = box
            grid.addWidget(box, number // 2, number % 2)
        self.button = Thumb("None of these", strong=True, tall=True, parent=self)
        self.button.clicked.connect(self._on_sources)
        self.column.addWidget(self.button)

    def show_known(self) -> None:
        """Tick what is known of already."""
        supply = supply_of(self._cursor.home)
        known = {s.kind for s in supply.sources} if supply is not None else set()
        for kind, box in self.ticks.items():
            box.setChecked(kind in known)

    def _on_source(self) -> None:
        some = any(box.isChecked() for box in self.ticks.values())
        self.button.say("Write these down" if some else "None of these")

    def _on_sources(self) -> None:
        self._cursor.set_sources(kind for kind, box in self.ticks.items() if box.isChecked())
