"""Fields that show a fact and hand on what the person made of it; a refused value springs back."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import QSignalBlocker
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QSpinBox, QWidget

Save = Callable[[object], bool]


class TextField(QLineEdit):
    """One line of text, saved on Enter or when the focus goes."""

    def __init__(self, name: str, save: Save, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._save, self._held = save, ""
        self.setAccessibleName(name)
        self.setMaxLength(10_000)
        self.editingFinished.connect(self._on_finished)

    def show_value(self, value: str) -> None:
        """Show what the record holds."""
        self._held = value
        if self.text() != value and not self.isModified():
            self.setText(value)
            self.setCursorPosition(0)
        elif not self.hasFocus():
            self.setText(value)
            self.setModified(False)
            self.setCursorPosition(0)

    def _on_finished(self) -> None:
        if not self.isModified():
            return
        self.setModified(False)
        text = self.text()
        if text != self._held and not self._save(text):
            self.setText(self._held)


class CountField(QSpinBox):
    """A whole number that may be unknown: one below the lowest means that nobody counted."""

    def __init__(self, name: str, unknown: str, save: Save, highest: int = 99, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._save = save
        self.setRange(-1, highest)
        self.setSpecialValueText(unknown)
        self.setAccessibleName(name)
        self.setKeyboardTracking(False)
        self.valueChanged.connect(self._on_changed)

    def show_value(self, value: int | None) -> None:
        """Show what the record holds."""
        with QSignalBlocker(self):
            self.setValue(-1 if value is None else value)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to the panel, unless the field has the focus."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()

    def _on_changed(self, value: int) -> None:
        self._save(None if value < 0 else value)


class ChoiceField(QComboBox):
    """One of some values, each with words of its own."""

    def __init__(
        self, name: str, choices: Sequence[tuple[str, object]], save: Save, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._save = save
        self.setAccessibleName(name)
        self.setMinimumContentsLength(8)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.offer(choices)
        self.activated.connect(self._on_activated)

    def offer(self, choices: Sequence[tuple[str, object]]) -> None:
        """Offer other values; the one shown stays if it is among them."""
        now = self.currentData()
        with QSignalBlocker(self):
            self.clear()
            for words, value in choices:
                self.addItem(words, value)
            self.show_value(now)

    def show_value(self, value: object) -> None:
        """Show what the record holds; a value that isn't offered is added."""
        with QSignalBlocker(self):
            for n in range(self.count()):
                if self.itemData(n) == value:
                    self.setCurrentIndex(n)
                    return
            if value not in (None, ""):
                self.addItem(str(value), value)
                self.setCurrentIndex(self.count() - 1)
            else:
                self.setCurrentIndex(0 if self.count() else -1)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to the panel, unless the field has the focus."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()

    def _on_activated(self, index: int) -> None:
        self._save(self.itemData(index))


class TickField(QCheckBox):
    """Yes or no."""

    def __init__(self, text: str, save: Save, parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self._save = save
        self.clicked.connect(self._on_clicked)

    def show_value(self, value: bool | None) -> None:
        """Show what the record holds."""
        with QSignalBlocker(self):
            self.setChecked(bool(value))

    def _on_clicked(self, checked: bool) -> None:
        self._save(checked)
