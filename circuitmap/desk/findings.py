"""The list of findings: suggested codes, what's where, notes; each goes to where it is and takes a ruling."""

from PySide6.QtCore import QPoint, QSize, Qt
from PySide6.QtGui import QIcon, QKeyEvent, QPainter, QPixmap
from PySide6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.canvas.pen import Pen
from circuitmap.desk.parts import Card, Label, button
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.drawing.marks import Glyph
from circuitmap.findings import Finding
from circuitmap.home import verbs
from circuitmap.words import Decision

_GROUPS = (("findings", "To decide"), ("where", "What's where"), ("notes", "Notes"))


class FindingsPanel(QWidget):
    """All findings of the home, gravest first."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._look = adapter, look
        self._shown: tuple[Finding, ...] = ()
        self._group = "findings"
        self.setObjectName("findings")
        self.setAccessibleName("Findings")

        self._urgent = Card(self, warn=True)
        self._urgent_words = Label("", self._urgent)
        self._urgent.body.addWidget(self._urgent_words)
        self._urgent.hide()
        self._lead = Label("Suggested codes, for the inspector to decide.", self, role="faint")
        self._buttons: dict[str, QWidget] = {}
        group = QButtonGroup(self)
        row = QHBoxLayout()
        row.setSpacing(4)
        for name, text in _GROUPS:
            choice = button(text, self, checkable=True)
            choice.setProperty("group", name)
            choice.clicked.connect(self._on_group)
            group.addButton(choice)
            row.addWidget(choice)
            self._buttons[name] = choice
            choice.setChecked(name == self._group)
        self._filter = QLineEdit(self)
        self._filter.setPlaceholderText("Only with these words…")
        self._filter.setAccessibleName("Show only findings with these words")
        self._filter.setClearButtonEnabled(True)
        self._filter.textChanged.connect(self._fill)
        self.list = QListWidget(self)
        self.list.setObjectName("findings-list")
        self.list.setAccessibleName("Findings, gravest first")
        self.list.setWordWrap(True)
        self.list.setMinimumHeight(120)
        self.list.setIconSize(QSize(22, 22))
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.currentRowChanged.connect(self._on_row)
        self.list.itemActivated.connect(self._on_activated)
        self.list.itemClicked.connect(self._on_activated)
        self._none = Label("", self, role="faint")
        self._detail = Card(self)
        self._detail_words = Label("", self._detail)
        self._reason = QLineEdit(self._detail)
        self._reason.setPlaceholderText("Reason")
        self._reason.setAccessibleName("Reason for a ruling")
        self._agree = button("Agree", self._detail)
        self._agree.clicked.connect(self._on_agree)
        self._not_so = button("Not so", self._detail)
        self._not_so.clicked.connect(self._on_not_so)
        rulings = QHBoxLayout()
        rulings.addWidget(self._reason, 1)
        rulings.addWidget(self._agree)
        rulings.addWidget(self._not_so)
        roll = QScrollArea(self._detail)
        roll.setWidgetResizable(True)
        roll.setFixedHeight(104)
        roll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        roll.setAccessibleName("Why it matters and what would settle it")
        roll.setWidget(self._detail_words)
        self._detail.body.addWidget(roll)
        self._detail.body.addLayout(rulings)
        self._detail.hide()

        layout = QVBoxLayout(self)
        layout.setContentsMargins(10, 8, 10, 8)
        layout.setSpacing(GAP_PX - 2)
        for widget in (self._urgent, self._lead):
            layout.addWidget(widget)
        layout.addLayout(row)
        layout.addWidget(self._filter)
        layout.addWidget(self.list, 1)
        layout.addWidget(self._none)
        layout.addWidget(self._detail)
        self.setFocusProxy(self.list)

        adapter.changed.connect(self._on_changed)
        look.changed.connect(self._fill)
        self._on_changed(None)

    @property
    def shown(self) -> tuple[Finding, ...]:
        """The findings now in the list."""
        return self._shown

    def show_group(self, name: str) -> None:
        """Show one of "findings", "where" and "notes"."""
        self._group = name
        for other, choice in self._buttons.items():
            choice.setProperty("checked", other == name)
        self._fill()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter goes to where the finding is, also where the list doesn't say so by itself."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._on_activated()
        else:
            super().keyPressEvent(event)

    def _on_group(self) -> None:
        self._group = str(self.sender().property("group"))
        self._fill()

    def _on_changed(self, _change: object) -> None:
        findings = self._adapter.findings
        counts = {"findings": 0, "where": 0, "notes": 0}
        for finding in findings:
            counts[_group_of(finding)] += 1
        for name, text in _GROUPS:
            choice = self._buttons[name]
            choice.setText(f"{text} {counts[name]}" if counts[name] else text)  # type: ignore[attr-defined]  # a button
        urgent = [finding for finding in findings if finding.code == "C1" and finding.ruling != "not so"]
        self._urgent.setVisible(bool(urgent))
        self._urgent_words.setText("\n\n".join(finding.says for finding in urgent[:3]))
        self._fill()

    def _fill(self, *_: object) -> None:
        words = self._filter.text().casefold().split()
        wanted = tuple(
            finding
            for finding in self._adapter.findings
            if _group_of(finding) == self._group
            and all(word in f"{finding.code} {finding.says} {finding.rule}".casefold() for word in words)
        )
        current = self._current()
        pen = Pen(self._look.theme, self.devicePixelRatioF())
        self.list.blockSignals(True)
        self.list.clear()
        for finding in wanted:
            ruled = f"  — {finding.ruling}" if finding.ruling else ""
            item = QListWidgetItem(_icon(pen, finding), f"{finding.says}{ruled}")
            item.setToolTip(finding.why)
            item.setData(Qt.ItemDataRole.AccessibleTextRole, f"{finding.code}: {finding.says}")
            self.list.addItem(item)
        self._shown = wanted
        if current is not None:
            row = next((n for n, finding in enumerate(wanted) if finding.key == current.key), -1)
            self.list.setCurrentRow(row)
        self.list.blockSignals(False)
        self.list.setVisible(bool(wanted))
        self._none.setVisible(not wanted)
        self._none.setText("Nothing with these words." if words else _NOTHING[self._group])
        self._on_row(self.list.currentRow())

    def _current(self) -> Finding | None:
        row = self.list.currentRow()
        return self._shown[row] if 0 <= row < len(self._shown) else None

    def _on_row(self, row: int) -> None:
        finding = self._shown[row] if 0 <= row < len(self._shown) else None
        self._detail.setVisible(finding is not None)
        if finding is None:
            return
        self._detail_words.setText(f"Why: {finding.why}\nTo settle it: {finding.settle}\nRests on: {finding.evidence}.")
        rulable = not finding.aside and not self._adapter.document.read_only
        for widget in (self._reason, self._agree, self._not_so):
            widget.setVisible(rulable)

    def _on_activated(self, *_: object) -> None:
        finding = self._current()
        if finding is not None and finding.subjects:
            self._adapter.show(*finding.subjects)

    def _on_agree(self) -> None:
        self._rule("agree")

    def _on_not_so(self) -> None:
        self._rule("not so")

    def _rule(self, decision: Decision) -> None:
        finding = self._current()
        if finding is None:
            return
        why = self._reason.text().strip()
        made = self._adapter.do(lambda home: verbs.rule_on(home, finding.key, decision, why=why))
        if made is not None:
            self._reason.clear()


_NOTHING = {
    "findings": "Nothing to decide with what is on the map so far. That is no inspection.",
    "where": "No facts to list yet: draw or survey some more.",
    "notes": "No notes.",
}


def _group_of(finding: Finding) -> str:
    if finding.aside:
        return "where"
    return "notes" if finding.code == "note" else "findings"


def _icon(pen: Pen, finding: Finding) -> QIcon:
    code = finding.code
    sprite = pen.sprite(Glyph("finding", code, (0, 0), role=code, size_px=22))
    size = round(26 * pen.ratio)
    canvas = QPixmap(size, size)
    canvas.setDevicePixelRatio(pen.ratio)
    canvas.fill(Qt.GlobalColor.transparent)
    painter = QPainter(canvas)
    spot = QPoint(13, 13) + sprite.offset.toPoint()
    painter.drawPixmap(spot, sprite.pixmap)
    painter.end()
    return QIcon(canvas)
