"""The stages of a visit, in their order, down the left side; below them the change between light and dark."""

from PySide6.QtCore import QSize, Signal
from PySide6.QtWidgets import QButtonGroup, QToolButton, QVBoxLayout, QWidget

from circuitmap.desk.theme import Look

STAGES: tuple[tuple[str, str, str], ...] = (
    ("draw", "Draw", "F1"),
    ("survey", "Survey", "F2"),
    ("wiring", "Wiring", "F3"),
    ("readings", "Readings", "F5"),
    ("extend", "Extend", "F6"),
    ("hand over", "Hand over", "F7"),
)
_WIDTH = 70


class StageRail(QWidget):
    """One button per stage; ``chosen`` says which was pressed."""

    chosen = Signal(str)

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self.setObjectName("stages")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 8, 6, 8)
        group = QButtonGroup(self)
        self._buttons: dict[str, QToolButton] = {}
        for stage, text, key in STAGES:
            button = QToolButton(self)
            button.setText(text.replace(" ", "\n"))
            button.setCheckable(True)
            button.setMinimumSize(QSize(_WIDTH, 56))
            button.setToolTip(f"{text} ({key})")
            button.setAccessibleName(f"{text} stage")
            button.setObjectName(f"stage-{stage}")
            button.setProperty("stage", stage)
            button.clicked.connect(self._on_clicked)
            group.addButton(button)
            self._buttons[stage] = button
            layout.addWidget(button)
        layout.addStretch(1)
        self._theme = QToolButton(self)
        self._theme.setMinimumWidth(_WIDTH)
        self._theme.setAccessibleName("Light or dark")
        self._theme.clicked.connect(look.turn)
        layout.addWidget(self._theme)
        look.changed.connect(self._on_look_changed)
        self._on_look_changed()

    def show_stage(self, stage: str) -> None:
        """Mark the stage that the window is in."""
        self._buttons[stage].setChecked(True)

    def _on_clicked(self) -> None:
        self.chosen.emit(str(self.sender().property("stage")))

    def _on_look_changed(self) -> None:
        self._theme.setText("Light" if self._look.theme == "dark" else "Dark")
