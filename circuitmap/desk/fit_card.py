"""What has to be in order before anything is added: always said, before any option, with its price."""

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QHBoxLayout, QWidget

from circuitmap.desk.option_words import fit_groups, fit_lines, fit_price
from circuitmap.desk.parts import Card, Heading, Label, button

if TYPE_CHECKING:
    from circuitmap.extension.kinds import Asking

FIRST = "Before anything is added"


class FitCard(Card):
    """A line for each answer, and behind a button every sentence and sum."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("fit-first")
        self.setAccessibleName(FIRST)
        self._asking: Asking | None = None
        self._rows = tuple(Label("", self) for _ in range(3))
        self._price = Label("", self)
        self.more = button("Why", self, checkable=True)
        self.more.setAccessibleName("What has to be in order first, and why")
        self.more.clicked.connect(self._show_all)
        self._all: list[Label] = []  # a label a line: one label cuts long texts short
        head = QHBoxLayout()
        head.addWidget(Heading(FIRST, self), 1)
        head.addWidget(self.more)
        self.body.addLayout(head)
        for row in self._rows:
            self.body.addWidget(row)
        self.body.addWidget(self._price)
        self.hide()

    @property
    def text(self) -> str:
        """What is said, as far as it is unfolded."""
        shown = (*self._rows, self._price, *self._all)
        return "\n".join(row.text() for row in shown if row.isVisibleTo(self) and row.text())

    def show_asking(self, asking: "Asking | None") -> None:
        """Show what was asked."""
        self.setVisible(asking is not None)
        if asking is None or asking is self._asking:
            return
        self._asking = asking
        groups = fit_groups(asking)
        for n, row in enumerate(self._rows):
            row.setVisible(n < len(groups))
            if n < len(groups):
                row.setText(f"{groups[n].mark} {groups[n].answer}: {groups[n].subjects}")
        self._price.setText(fit_price(asking))
        self.setProperty("card", "warn" if any(each.answer == "no" for each in asking.fit) else "true")
        self.style().unpolish(self)
        self.style().polish(self)
        self._show_all()

    def unfold(self) -> None:
        """Show all of it, or fold it again."""
        self.more.setChecked(not self.more.isChecked())
        self._show_all()

    def _show_all(self, *_: object) -> None:
        is_open = self.more.isChecked() and self._asking is not None
        lines = fit_lines(self._asking) if is_open and self._asking is not None else ()
        while len(self._all) < len(lines):
            self._all.append(Label("", self))
            self.body.addWidget(self._all[-1])
        for n, label in enumerate(self._all):
            label.setText(lines[n] if n < len(lines) else "")
            label.setVisible(n < len(lines))
