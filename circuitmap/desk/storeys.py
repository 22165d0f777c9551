"""The storeys as a small stack of sheets at the top left of the plan."""

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QLineEdit, QToolButton, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.parts import elided, plain_tip
from circuitmap.desk.theme import TARGET_PX, Look
from circuitmap.home import verbs
from circuitmap.home.records import Storey

_WIDTH = 104


class StoreyStack(QFrame):
    """One sheet per storey, the highest on top; F2 or a double click renames, + adds one above."""

    resized = Signal()

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._buttons: dict[str, QToolButton] = {}
        self._renaming = ""
        self.setObjectName("storeys")
        self.setAccessibleName("Storeys")
        self.setProperty("card", "true")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(4, 4, 4, 4)
        self._column.setSpacing(2)
        self._add = self._button("+ storey")
        self._add.setToolTip("Add the storey above the highest")
        self._add.clicked.connect(self._on_add)
        self._name = QLineEdit(self)
        self._name.setAccessibleName("Name of the storey")
        self._name.setFixedWidth(_WIDTH)
        self._name.editingFinished.connect(self._on_named)
        self._name.installEventFilter(self)
        self._name.hide()
        self._column.addWidget(self._add)
        self._column.addWidget(self._name)
        adapter.changed.connect(self._on_changed)
        adapter.storey_changed.connect(self._on_changed)
        look.changed.connect(self._on_changed)
        self._on_changed(None)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Rename on a double click or F2; Esc leaves the name as it was."""
        is_key = event.type() in (QEvent.Type.KeyPress, QEvent.Type.ShortcutOverride)
        key = event.key() if is_key and isinstance(event, QKeyEvent) else None
        if watched is self._name:
            if key == Qt.Key.Key_Escape:
                event.accept()
                if event.type() == QEvent.Type.KeyPress:
                    self._leave()
                return True
            return super().eventFilter(watched, event)
        storey = str(watched.property("storey") or "")
        if storey and key == Qt.Key.Key_F2:
            # The window has a use of its own for F2: claimed here first, it comes again as a press of the key.
            event.accept()
            if event.type() == QEvent.Type.KeyPress:
                self.rename(storey)
            return True
        if storey and event.type() == QEvent.Type.MouseButtonDblClick:
            self.rename(storey)
            return True
        return super().eventFilter(watched, event)

    def rename(self, storey: str) -> None:
        """Ask for another name for a storey, in place."""
        if self._adapter.document.read_only:
            self._adapter.refuse("This home is open to read only: a storey can't be renamed here.")
            return
        self._renaming = storey
        self._name.setText(self._adapter.home.take(Storey, storey).name)
        self._name.show()
        self._on_changed()
        self._name.setFocus()
        self._name.selectAll()

    def _button(self, text: str) -> QToolButton:
        made = QToolButton(self)
        made.setText(text)
        made.setFixedWidth(_WIDTH)
        made.setMinimumHeight(TARGET_PX)
        return made

    def _on_changed(self, *_: object) -> None:
        storeys = self._adapter.storeys()
        for storey_id in self._buttons.keys() - {s.id for s in storeys}:
            gone = self._buttons.pop(storey_id)
            self._column.removeWidget(gone)
            gone.deleteLater()
        for n, storey in enumerate(storeys):
            button = self._buttons.get(storey.id)
            if button is None:
                button = self._button("")
                button.setCheckable(True)
                button.setProperty("storey", storey.id)
                button.installEventFilter(self)
                button.clicked.connect(self._on_clicked)
                self._buttons[storey.id] = button
            self._column.insertWidget(n + 1, button)
            button.setText(elided(storey.name, button.fontMetrics(), _WIDTH - 22).replace("&", "&&"))
            button.setToolTip(plain_tip(f"{storey.name[:200]} (Page Up, Page Down; F2 renames)"))
            button.setAccessibleName(f"Storey {storey.name[:200]}")
            button.setChecked(storey.id == self._adapter.storey)
            button.setVisible(storey.id != self._renaming)
        at = self._column.indexOf(self._buttons[self._renaming]) if self._renaming in self._buttons else -1
        self._column.insertWidget(at, self._name)  # in the place of the sheet that it renames
        before: QWidget = self._add
        for storey in storeys:
            self.setTabOrder(before, self._buttons[storey.id])
            before = self._buttons[storey.id]
        self.setVisible(bool(storeys))
        self._add.setEnabled(not self._adapter.document.read_only)
        self.adjustSize()
        self.resized.emit()

    def _on_clicked(self) -> None:
        self._adapter.set_storey(str(self.sender().property("storey")))
        self._on_changed()

    def _on_add(self) -> None:
        level = max((storey.level for storey in self._adapter.storeys()), default=-1) + 1
        names = {0: "Ground", 1: "First", 2: "Second", 3: "Third"}
        name = names.get(level, f"Storey {level}")
        added = self._adapter.do(lambda home: verbs.add_storey(home, name, level))
        if added:
            self._adapter.set_storey(added[0])

    def _on_named(self) -> None:
        storey, name = self._renaming, self._name.text().strip()
        self._leave()
        if storey and name and self._adapter.home.find(Storey, storey):
            self._adapter.do(lambda home: verbs.edit(home, storey, "Rename a storey", name=name))

    def _leave(self) -> None:
        """Put the field for the name away; the keys go back to the storey that it was about."""
        storey, self._renaming = self._renaming, ""
        had_focus = self._name.hasFocus()
        self._name.hide()
        self._on_changed()
        if had_focus and storey in self._buttons:
            self._buttons[storey].setFocus()
