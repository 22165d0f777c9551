"""The bar over the plan: the home's name, plan or list, undo and redo, and the field that finds everything."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QToolButton, QWidget

from circuitmap.desk.actions import Actions
from circuitmap.desk.parts import Label, plain_tip
from circuitmap.desk.theme import GAP_PX
from circuitmap.home.document import Document


class TopBar:
    """Fills the bar that the frame made."""

    def __init__(self, bar: QWidget, find: QWidget) -> None:
        self._title = Label("", bar, role="head")
        self._title.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self._undo, self._redo = QToolButton(bar), QToolButton(bar)
        self._plan, self._list = QToolButton(bar), QToolButton(bar)
        top = QHBoxLayout(bar)
        top.setContentsMargins(GAP_PX, 6, GAP_PX, 6)
        top.addWidget(self._title, 1)
        for pair in ((self._plan, self._list), (self._undo, self._redo)):
            for button in pair:
                button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
                top.addWidget(button)
            top.addSpacing(6)
        find.setMinimumWidth(250)
        top.addWidget(find)

    def connect(self, actions: Actions) -> None:
        """Let the buttons do what the actions say."""
        for button, act, words in ((self._undo, "undo", "Undo"), (self._redo, "redo", "Redo")):
            button.setText(words)
            button.setAccessibleName(words)
            button.clicked.connect(actions[act].trigger)
        self._plan.setDefaultAction(actions["show-plan"])
        self._list.setDefaultAction(actions["show-list"])

    def show_home(self, name: str, document: Document) -> None:
        """Show the home's name with its last mark, and what can be undone."""
        marks = document.marks()
        self._title.setText(name + (f" · {marks[-1].name}" if marks else ""))
        for button, can, title in (
            (self._undo, document.can_undo, document.undo_title),
            (self._redo, document.can_redo, document.redo_title),
        ):
            button.setEnabled(can)
            button.setToolTip(plain_tip(title) if title else "")
