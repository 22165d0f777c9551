"""What stands on the wall in view as a list, with figures to type, and what is to be said; the wall's twin for keys."""

from typing import Final

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import QHBoxLayout, QListWidget, QListWidgetItem, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.canvas.walling import WallOutcome, moved_to, outcome_of, set_bend, with_new_bend, without_bend
from circuitmap.desk.parts import Card, Heading, Label, button, column, entry_field
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.desk.wall_view_state import WallState
from circuitmap.desk.wall_view_words import (
    cable_words,
    cautions,
    chosen_words,
    notes,
    obstacles,
    thing_words,
    wall_words,
)
from circuitmap.errors import PersonError
from circuitmap.extension.by_hand import bends_on
from circuitmap.extension.wall_figures import FORMS, read_figures

_LIST_PX: Final = 216


class WallCard(QWidget):
    """The wall in words: every thing and cable on it can be chosen, put by figures, and read about."""

    def __init__(self, adapter: Adapter, state: WallState, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._state = adapter, state
        self.setObjectName("wall-card")
        self.setAccessibleName("The wall in view in words")
        self._title = Heading("", self)
        self._size = Label("", self, role="faint")
        self.list = QListWidget(self)
        self.list.setObjectName("wall-things")
        self.list.setAccessibleName("What is on the wall")
        self.list.setWordWrap(True)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.currentItemChanged.connect(self._on_item)
        self.none = Label("Nothing stands on this wall, and no drawn cable runs on it.", self, role="faint")
        self.figures = entry_field("wall-figures", "Where it stands on the wall", self, FORMS[0])
        self.figures.returnPressed.connect(self._on_figures)
        self._chosen = Label("", self)
        self._chosen.setAccessibleName("What is chosen on the wall")
        self.draw = button("Draw a cable", self, checkable=True)
        self.draw.setToolTip("Click corner after corner on the wall (D)")
        self.draw.clicked.connect(self._on_draw)
        self.bend_in = button("New bend", self)
        self.bend_in.setToolTip("Let a bend into the chosen cable (I)")
        self.bend_in.clicked.connect(self.let_in)
        self.bend_out = button("Take bend out", self)
        self.bend_out.setToolTip("Take the chosen bend out (Delete)")
        self.bend_out.clicked.connect(self.take_out)
        self.as_laid = button("", self)
        self.as_laid.clicked.connect(self._on_as_laid)
        self._notes = Label("", self)
        self._cautions = Card(self, warn=True)
        self._cautions.body.addWidget(Heading("Before you cut", self._cautions))
        self._caution_words = Label("", self._cautions)
        self._cautions.body.addWidget(self._caution_words)

        layout = column(self)
        layout.addWidget(self._title)
        layout.addWidget(self._size)
        layout.addWidget(self.list)
        layout.addWidget(self.none)
        layout.addWidget(self.figures)
        layout.addWidget(self._chosen)
        row = QHBoxLayout()
        row.setSpacing(GAP_PX)
        for each in (self.draw, self.bend_in, self.bend_out):
            row.addWidget(each)
        layout.addLayout(row)
        layout.addWidget(self.as_laid)
        layout.addWidget(self._notes)
        layout.addWidget(self._cautions)
        layout.addStretch(1)
        self.setFocusProxy(self.list)
        state.changed.connect(self.refresh)
        look.changed.connect(self.refresh)
        self.refresh()

    @property
    def words(self) -> str:
        """What is said of what is chosen."""
        return self._chosen.text()

    @property
    def noted(self) -> str:
        """What is said of the wall besides."""
        return self._notes.text()

    @property
    def caution(self) -> str:
        """The cautions on show."""
        return self._caution_words.text()

    def refresh(self) -> None:
        """Say all again as it is now."""
        state = self._state
        if state.wall is None:
            return
        scene = state.scene
        self._title.setText(scene.drawn.title)
        self._size.setText(" ".join(part for part in (wall_words(scene.face), obstacles(state, scene.face)) if part))
        rows = [(thing.id, thing_words(state, scene, thing)) for thing in scene.things]
        rows += [(cable.id, cable_words(state, scene, cable)) for cable in scene.cables if cable.id != "drawing"]
        self._show_rows(rows)
        self.none.setVisible(not rows)
        self.list.setVisible(bool(rows))
        self._chosen.setText("\n".join(chosen_words(state, scene)))
        self._chosen.setProperty("role", "warn" if state.refused else "")
        self._chosen.style().polish(self._chosen)
        self._chosen.setVisible(bool(self._chosen.text()))
        thing, cable = state.thing, state.cable
        bends = bends_on(scene.face, cable.path) if cable is not None else ()
        is_free = not self._adapter.document.read_only
        has_bend = any(bend.number == state.bend for bend in bends)
        can_put = is_free and ((thing is not None and not thing.is_fixed) or has_bend)
        self.figures.setEnabled(can_put)
        self.figures.setPlaceholderText(FORMS[0] if can_put else "Choose something, then type where it stands")
        self.draw.setChecked(state.is_drawing)
        self.bend_in.setEnabled(is_free and cable is not None)
        self.bend_out.setEnabled(is_free and has_bend)
        can_go_back = cable is not None and state.is_by_hand(cable.id)
        self.as_laid.setVisible(can_go_back)
        if cable is not None:
            self.as_laid.setText("Forget this cable" if cable.id == "drawn" else "Lay it again as the option has it")
        said = notes(scene)
        self._notes.setText("\n".join(said))
        self._notes.setVisible(bool(said))
        self._caution_words.setText("\n".join(cautions(state)))

    def focus_figures(self) -> None:
        """Put the cursor where figures are typed."""
        if self.figures.isEnabled():
            self.figures.setFocus()
            self.figures.selectAll()
        else:
            self._adapter.refuse(
                "Choose something on the wall first (N goes from one to the next), then type where it stands."
            )

    def let_in(self) -> None:
        """Let a bend into the chosen cable."""
        self._carry_out(with_new_bend(self._state), "Choose a cable on the wall first, then a bend can be let in.")

    def take_out(self) -> None:
        """Take the chosen bend out."""
        self._carry_out(without_bend(self._state), "Choose a bend of a cable first; B goes from one to the next.")

    def _carry_out(self, outcome: WallOutcome | None, why_not: str) -> None:
        if outcome is None:
            self._adapter.refuse(why_not)
        else:
            self._state.carry_out(outcome)

    def _show_rows(self, rows: list[tuple[str, str]]) -> None:
        held = [(self.list.item(n).data(Qt.ItemDataRole.UserRole), self.list.item(n).text())
                for n in range(self.list.count())]  # fmt: skip
        with QSignalBlocker(self.list):
            if [name for name, _ in held] != [name for name, _ in rows]:
                self.list.clear()
                for name, text in rows:
                    item = QListWidgetItem(text)
                    item.setData(Qt.ItemDataRole.UserRole, name)
                    self.list.addItem(item)
            else:
                for n, (_, text) in enumerate(rows):
                    if self.list.item(n).text() != text:
                        self.list.item(n).setText(text)
            self.list.setFixedHeight(min(_LIST_PX, 6 + sum(self.list.sizeHintForRow(n) for n in range(len(rows)))))
            names = [name for name, _ in rows]
            chosen = self._state.chosen
            self.list.setCurrentRow(names.index(chosen) if chosen in names else -1)

    def _on_item(self, item: QListWidgetItem | None, _before: QListWidgetItem | None) -> None:
        if item is not None:
            self._state.choose(str(item.data(Qt.ItemDataRole.UserRole)))

    def _on_draw(self) -> None:
        self._state.draw(is_on=not self._state.is_drawing)

    def _on_as_laid(self) -> None:
        if self._state.chosen:
            self._state.drop_hand(self._state.chosen)

    def _on_figures(self) -> None:
        state, typed = self._state, self.figures.text()
        thing, cable = state.thing, state.cable
        try:
            if thing is not None:
                u, v = read_figures(typed, state.face, (thing.stood.u, thing.stood.v))
                outcome = outcome_of(state, moved_to(state, thing, u, v))
            elif cable is not None:
                at = next(bend.at for bend in bends_on(state.face, cable.path) if bend.number == state.bend)
                u, up = read_figures(typed, state.face, at)
                outcome = set_bend(state, cable, state.bend, u, up if up is not None else at[1])
            else:
                return
        except PersonError as error:
            self._adapter.refuse(str(error))
            return
        before = self._adapter.home
        state.carry_out(outcome)
        if self._adapter.home is not before or (outcome is not None and outcome.hand is not None):
            self.figures.clear()
