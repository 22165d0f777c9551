"""The Wiring stage: what each circuit's cables say, what has not been traced, and the tool that draws runs."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QIcon, QPixmap
from PySide6.QtWidgets import QHBoxLayout, QListWidget, QListWidgetItem, QWidget

from circuitmap.circuits import CircuitView, territory
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.fields import ChoiceField
from circuitmap.desk.loop import LoopView
from circuitmap.desk.parts import Card, Heading, Label, add_row, button, column, form
from circuitmap.desk.theme import Look
from circuitmap.drawing.dress import circuit_index
from circuitmap.drawing.palette import circuit_ink
from circuitmap.findings.say import say_member
from circuitmap.home.invariants import shorten
from circuitmap.wiring.shape import SHAPE_WORDS
from circuitmap.words import CORES, EVIDENCE, Evidence

_CORE_NAMES = {"L": "line", "N": "neutral", "E": "cpc"}


class WiringStage(QWidget):
    """The list of circuits, the one selected straightened out, and how the next run will be recorded."""

    tool_wanted = Signal(str)

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._look = adapter, look
        self._shown: str = ""
        self.cable = "T&E 2.5/1.5"
        self.evidence: Evidence = "seen"
        self.setObjectName("wiring-stage")

        self._next = Label("", self)
        self._run_button = button("Draw a run: click two things", self, checkable=True)
        self._run_button.clicked.connect(self._on_run)
        cables: list[tuple[str, object]] = [("cable not known", "")]
        cables += [(c.title, c.code) for c in adapter.trade.cables()]
        self._cable = ChoiceField("Cable of new runs", cables, self._save_cable, self)
        self._cable.show_value(self.cable)
        self._evidence = ChoiceField("Evidence of new runs", [(w, w) for w in EVIDENCE], self._save_evidence, self)
        self._evidence.show_value(self.evidence)
        fields = form()
        add_row(fields, "New runs", self._cable)
        add_row(fields, "Known by", self._evidence)
        self._circuits = QListWidget(self)
        self._circuits.setObjectName("circuits")
        self._circuits.setAccessibleName("Circuits")
        self._circuits.setWordWrap(True)
        self._circuits.setMinimumHeight(140)
        self._circuits.currentRowChanged.connect(self._on_row)
        self._card = Card(self)
        self._name = Heading("", self._card)
        self._words = Label("", self._card)
        self._loop = LoopView(adapter, look, self._card)
        self._loop.chosen.connect(self._on_chosen)
        row = QHBoxLayout()
        row.addWidget(self._name, 1)
        self._card.body.addLayout(row)
        self._card.body.addWidget(self._words)
        self._card.body.addWidget(self._loop)

        layout = column(self)
        layout.addWidget(self._next)
        layout.addWidget(self._run_button)
        layout.addLayout(fields)
        layout.addWidget(self._card)
        layout.addWidget(Heading("Circuits", self))
        layout.addWidget(self._circuits)
        layout.addStretch(1)

        adapter.changed.connect(self._on_changed)
        adapter.selected.connect(self._on_selected)
        adapter.stage_changed.connect(self._on_changed)
        adapter.tool_changed.connect(self._on_tool)
        look.changed.connect(self._on_changed)
        self._on_changed(None)

    @property
    def view(self) -> CircuitView | None:
        """The circuit on show."""
        return self._adapter.view_of(self._shown) if self._shown else None

    @property
    def words(self) -> str:
        """What is said of the circuit on show."""
        return self._words.text()

    def _on_run(self) -> None:
        self.tool_wanted.emit("run")

    def _on_tool(self, tool: str) -> None:
        self._run_button.setChecked(tool == "run")

    def _save_cable(self, value: object) -> bool:
        self.cable = str(value)
        self._again()
        return True

    def _save_evidence(self, value: object) -> bool:
        self.evidence = value  # type: ignore[assignment]  # the field offers nothing else
        self._again()
        return True

    def _again(self) -> None:
        if self._adapter.tool == "run":
            self._adapter.set_tool("select")
            self._adapter.set_tool("run")

    def _on_changed(self, *_: object) -> None:
        if self._adapter.stage != "wiring":
            return
        views = self._adapter.views
        index = circuit_index(views)
        rows = [(view, _row_words(view)) for view in views]
        self._circuits.blockSignals(True)
        self._circuits.clear()
        for view, text in rows:
            item = QListWidgetItem(_swatch(circuit_ink(index.get(view.device.id, 0), self._look.theme)[0]), text)
            item.setData(Qt.ItemDataRole.UserRole, view.device.id)
            self._circuits.addItem(item)
        for n, one in enumerate(views):
            if one.device.id == self._shown:
                self._circuits.setCurrentRow(n)
        self._circuits.blockSignals(False)
        self._circuits.setVisible(bool(rows))
        self._next.setText(self._next_words())
        self._show_circuit()

    def _on_selected(self, ids: tuple[str, ...]) -> None:
        if len(ids) == 1:
            views = self._adapter.views_of(ids[0])
            if views:
                self._shown = views[0].device.id
        if self._adapter.stage == "wiring":
            for n in range(self._circuits.count()):
                if self._circuits.item(n).data(Qt.ItemDataRole.UserRole) == self._shown:
                    self._circuits.blockSignals(True)
                    self._circuits.setCurrentRow(n)
                    self._circuits.blockSignals(False)
            self._show_circuit()

    def _on_row(self, row: int) -> None:
        if row >= 0:
            self._adapter.select(str(self._circuits.item(row).data(Qt.ItemDataRole.UserRole)))

    def _on_chosen(self, record_id: str) -> None:
        self._adapter.show(record_id)

    def _show_circuit(self) -> None:
        view = self.view
        self._card.setVisible(view is not None)
        if view is None:
            return
        label = shorten(view.device.label, 40)
        self._name.setText(f"{view.code} {label}".strip())
        self._words.setText(
            "\n".join(shape_words(view, territory(view, self._adapter.home, self._adapter.trade).words))
        )
        self._loop.setVisible(view.shape is not None)
        self._loop.show_view(view)

    def _next_words(self) -> str:
        adapter = self._adapter
        if not adapter.views:
            return "Add the board's ways on the strip below; then draw the runs that you saw."
        missing = [(view, each) for view in adapter.views for each in view.missing]
        bare = [view for view in adapter.views if view.shape is None and view.members]
        if bare:
            return (
                f"{bare[0].code} has {len(bare[0].members)} points and no cable drawn: draw its runs, or leave it so."
            )
        if missing:
            view, each = missing[0]
            return f"Not traced yet on {view.code}: {each.says}"
        return "Every cable that was counted is drawn."


def shape_words(view: CircuitView, where: str) -> list[str]:
    """Say what a circuit's cables are, in a few lines."""
    shape = view.shape
    lines = [f"Serves {where}."] if where else []
    if shape is None:
        lines.append(f"{len(view.members)} points known on it, no cable drawn yet.")
        return lines
    lines.append(f"{SHAPE_WORDS[shape.kind].capitalize()}, {shape.evidence}.")
    if shape.gap is not None:
        lines.append("Open between " + " and ".join(say_member(view, end) for end in dict.fromkeys(shape.gap)) + ".")
    if shape.closed and len(shape.closed) < len(CORES):
        whole = " and ".join(_CORE_NAMES[core] for core in shape.closed)
        lines.append(f"Goes all the way round in {whole} only.")
    unfused = sum(spur.fuse is None for spur in shape.spurs)
    if shape.spurs:
        count = len(shape.spurs)
        fused = {0: "fused", count: "unfused"}.get(unfused, f"{unfused} of them unfused")
        lines.append(f"{count} spur{'' if count == 1 else 's'}, {fused}.")
    lines += [f"Not traced yet: {each.says}" for each in view.missing[:4]]
    if len(view.missing) > 4:
        lines.append(f"… and {len(view.missing) - 4} more not traced.")
    return lines


def _row_words(view: CircuitView) -> str:
    label = shorten(view.device.label, 26)
    shape = SHAPE_WORDS[view.shape.kind] if view.shape is not None else "no cable drawn"
    missing = f", {len(view.missing)} not traced" if view.missing else ""
    return f"{view.code}  {label}\n{len(view.members)} points, {shape}{missing}"


def _swatch(colour: str) -> QIcon:
    pixmap = QPixmap(14, 30)
    pixmap.fill(QColor(colour))
    return QIcon(pixmap)
