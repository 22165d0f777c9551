"""Fields that show a fact and hand on what the person made of it; a refused value springs back."""

from collections.abc import Callable, Collection, Sequence

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtGui import QFocusEvent, QKeyEvent, QWheelEvent
from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QListWidget, QListWidgetItem, QSpinBox, QWidget

from circuitmap.desk.parts import elided, plain_tip

Save = Callable[[object], bool]


class TextField(QLineEdit):
    """One line of text, saved on Enter or when the focus goes."""

    def __init__(self, name: str, save: Save, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._save, self._held = save, ""
        self.setAccessibleName(name)
        self.setMaxLength(10_000)
        self.editingFinished.connect(self.settle)

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

    def settle(self) -> None:
        """Save what was typed now, before the field goes on to another record."""
        if not self.isModified():
            return
        self.setModified(False)
        text = self.text()
        if text != self._held and not self._save(text):
            self.setText(self._held)

    def drop(self) -> None:
        """Forget what was typed."""
        self.setModified(False)
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
    """One of some values, each with words of its own.

    Arrow keys and letters only walk the list; Enter or leaving the field saves where they ended, Esc goes back.
    What lies on the way is never saved: it would be said of the record for good.
    """

    def __init__(
        self, name: str, choices: Sequence[tuple[str, object]], save: Save, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._save = save
        self._held: object = None
        self._in_key = self._is_walking = False
        self.setAccessibleName(name)
        self.setMinimumContentsLength(8)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.offer(choices)
        self.activated.connect(self._on_activated)

    def offer(self, choices: Sequence[tuple[str, object]]) -> None:
        """Offer other values; the one shown stays if it is among them."""
        if [(self.itemText(n), self.itemData(n)) for n in range(self.count())] == list(choices):
            return
        now = self.currentData()
        with QSignalBlocker(self):
            self.clear()
            for words, value in choices:
                self.addItem(words, value)
            self._stand_at(now)

    def show_value(self, value: object) -> None:
        """Show what the record holds; a value that isn't offered is added."""
        self._held = value
        if not self._is_walking:
            self._stand_at(value)

    def settle(self) -> None:
        """Save where the keys have walked to, before the field goes on to another record."""
        if self._is_walking:
            self._is_walking = False
            value = self.currentData()
            if value != self._held and not self._save(value):
                self._stand_at(self._held)

    def drop(self) -> None:
        """Forget where the keys have walked to."""
        self._is_walking = False
        self._stand_at(self._held)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Walk with the keys; Enter saves, Esc goes back."""
        key = event.key()
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self._is_walking:
            self.settle()
        elif key == Qt.Key.Key_Escape and self._is_walking:
            self.drop()
        else:
            self._in_key = True
            super().keyPressEvent(event)
            self._in_key = False

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Save where the keys ended when the field is left, not when its own list opens."""
        super().focusOutEvent(event)
        if event.reason() != Qt.FocusReason.PopupFocusReason:
            self.settle()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to the panel: a choice is made, not rolled over."""
        event.ignore()

    def _stand_at(self, value: object) -> None:
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

    def _on_activated(self, index: int) -> None:
        if self._in_key:
            self._is_walking = True
            return
        self._is_walking = False
        if not self._save(self.itemData(index)):
            self._stand_at(self._held)


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


class ChecksField(QListWidget):
    """Any of some values, each with a tick; hands on the value and whether it was ticked."""

    def __init__(self, name: str, save: Callable[[str, bool], bool], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._save = save
        self._offered: tuple[tuple[str, str], ...] = ()
        self.setAccessibleName(name)
        self.setMaximumHeight(150)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.itemChanged.connect(self._on_ticked)

    def offer(self, choices: Sequence[tuple[str, str]]) -> None:
        """Offer values (words, value) in place of those offered so far."""
        if tuple(choices) == self._offered:
            return
        self._offered = tuple(choices)
        with QSignalBlocker(self):
            self.clear()
            for words, value in choices:
                item = QListWidgetItem(elided(words, self.fontMetrics(), 260))
                item.setToolTip(plain_tip(words))
                item.setData(Qt.ItemDataRole.UserRole, value)
                item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
                item.setCheckState(Qt.CheckState.Unchecked)
                self.addItem(item)

    def show_value(self, values: Collection[str]) -> None:
        """Show which of the values the record holds."""
        with QSignalBlocker(self):
            for n in range(self.count()):
                item = self.item(n)
                held = item.data(Qt.ItemDataRole.UserRole) in values
                item.setCheckState(Qt.CheckState.Checked if held else Qt.CheckState.Unchecked)

    def _on_ticked(self, item: QListWidgetItem) -> None:
        wanted = item.checkState() == Qt.CheckState.Checked
        if not self._save(str(item.data(Qt.ItemDataRole.UserRole)), wanted):
            with QSignalBlocker(self):
                item.setCheckState(Qt.CheckState.Unchecked if wanted else Qt.CheckState.Checked)
