"""What can be chosen for a document, each in a plain field; only what the document declares is there."""

from collections.abc import Callable, Sequence
from functools import partial
from typing import Final, get_args

import msgspec
from PySide6.QtCore import QEvent, QObject, QSignalBlocker, QStringListModel, Qt
from PySide6.QtGui import QFocusEvent, QKeyEvent, QWheelEvent
from PySide6.QtWidgets import QComboBox, QCompleter, QFormLayout, QGridLayout, QLabel, QListView, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.fields import ChoiceField, TickField
from circuitmap.desk.handing.chosen import (
    LEAVE_OUT_WORDS,
    Chosen,
    form_said,
    moments,
    scales,
    storeys,
    subjects,
)
from circuitmap.desk.handing.showing import Showing
from circuitmap.desk.parts import add_row, form
from circuitmap.desk.theme import TARGET_PX
from circuitmap.paper.catalogue import Paper
from circuitmap.paper.wanted import LEAVE_OUT, SIZES, LeaveOut, Turned

ALL: Final = "All of the home"
ONE: Final = "Choose one …"
_SIZES: Final = [(size or "as the plan asks", size) for size in SIZES]
_TURNED: Final = [(turned or "as the plan asks", turned) for turned in get_args(Turned)]


class SubjectField(QComboBox):
    """What a document is about: chosen from the list, or found by any part of its name."""

    def __init__(self, save: Callable[[object], bool], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._save = save
        self._ids: list[str] = []
        self._words: list[str] = []
        self.setObjectName("subject")
        self.setAccessibleName("What the document is about")
        self.setEditable(True)
        self.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.setMinimumContentsLength(8)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumHeight(TARGET_PX)
        rows = QListView(self)
        rows.setUniformItemSizes(True)  # a block has thousands of points
        self.setView(rows)
        finder = QCompleter(self)
        finder.setFilterMode(Qt.MatchFlag.MatchContains)
        finder.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        finder.setCompletionMode(QCompleter.CompletionMode.PopupCompletion)
        self.setCompleter(finder)
        field = self.lineEdit()
        assert field is not None
        field.setAccessibleName("What the document is about")
        field.setMaxLength(200)
        field.editingFinished.connect(self.settle)
        self._popup = finder.popup()
        assert self._popup is not None
        self._popup.installEventFilter(self)
        self.activated.connect(self._on_activated)

    def offer(self, choices: Sequence[tuple[str, str]]) -> None:
        """Offer (words, id) in place of those offered so far."""
        words = [words for words, _ in choices]
        self._ids = [record_id for _, record_id in choices]
        if words == self._words:
            return
        self._words = words
        with QSignalBlocker(self):
            model = QStringListModel(words, self)
            self.setModel(model)
            finder = self.completer()
            assert finder is not None
            finder.setModel(model)

    def show_value(self, subject: str) -> None:
        """Show what is chosen."""
        with QSignalBlocker(self):
            self.setCurrentIndex(self._ids.index(subject) if subject in self._ids else 0)
            field = self.lineEdit()
            assert field is not None
            field.setText(self.currentText())
            field.setCursorPosition(0)

    def settle(self) -> None:
        """Take what was typed, where it names one of them; else it springs back."""
        typed = self.currentText().strip().casefold()
        exact = [n for n, words in enumerate(self._words) if words.casefold() == typed]
        near = [n for n, words in enumerate(self._words) if typed and typed in words.casefold()]
        found = exact or (near if len(near) == 1 else [])
        row = found[0] if found else self.currentIndex()
        self.show_value(self._ids[row] if 0 <= row < len(self._ids) else "")
        if 0 <= row < len(self._ids):
            self._save(self._ids[row])

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take what was typed on Enter, also while the list of what fits is open and nothing in it is chosen."""
        if event.type() == QEvent.Type.KeyPress:
            assert isinstance(event, QKeyEvent)
            popup = self._popup
            is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
            if popup is not None and watched is popup and is_enter and not popup.currentIndex().isValid():
                popup.hide()
                self.settle()
                return True
        return super().eventFilter(watched, event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to the panel: a choice is made, not rolled over."""
        event.ignore()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Select the words, so that typing looks for another."""
        super().focusInEvent(event)
        field = self.lineEdit()
        if field is not None:
            field.selectAll()

    def _on_activated(self, row: int) -> None:
        if 0 <= row < len(self._ids):
            self._save(self._ids[row])


class Choices(QWidget):
    """The fields of the document looked at."""

    def __init__(self, adapter: Adapter, showing: Showing, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._showing = adapter, showing
        self.setObjectName("paper-choices")
        self._layout: QFormLayout = form(self)
        self._rows: dict[str, QWidget] = {}
        self.form_ = self._choice("form", "Form", "Form of the file")
        self.size_ = self._choice("size", "Paper", "Size of the paper", _SIZES)
        self.turned = self._choice("turned", "Turned", "Portrait or landscape", _TURNED)
        self.subject = SubjectField(partial(self._save, "subject"), self)
        self._add("subject", "About", self.subject)
        self.storey = self._choice("storey", "Storey", "Storey")
        self.later = self._choice("later", "Home as of", "The home as it was at")
        self.earlier = self._choice("earlier", "Compared to", "Compared with the home as it was at")
        self.scale = self._choice("scale", "Scale", "Scale")
        self.large_print = TickField("Large print and plain words", partial(self._save, "large_print"), self)
        self.dark = TickField("For a dark screen", self._save_theme, self)
        for name, tick in (("large_print", self.large_print), ("theme", self.dark)):
            tick.setMinimumHeight(TARGET_PX)
            self._layout.addRow(tick)
            self._rows[name] = tick
        self.leave_out = self._build_leave_out()
        showing.chosen_changed.connect(self.refresh)

    # -- building -----------------------------------------------------------------------------------------------

    def _choice(self, name: str, words: str, called: str, offered: Sequence[tuple[str, object]] = ()) -> ChoiceField:
        field = ChoiceField(called, offered, partial(self._save, name), self)
        field.setObjectName(f"paper-{name}")
        field.setMinimumHeight(TARGET_PX)
        self._add(name, words, field)
        return field

    def _add(self, name: str, words: str, field: QWidget) -> None:
        add_row(self._layout, words, field)
        self._rows[name] = field

    def _build_leave_out(self) -> dict[LeaveOut, TickField]:
        box = QWidget(self)
        grid = QGridLayout(box)
        grid.setContentsMargins(0, 2, 0, 0)
        grid.setVerticalSpacing(0)
        grid.setHorizontalSpacing(14)
        head = QLabel("Left out of it:", box)
        head.setProperty("role", "faint")
        grid.addWidget(head, 0, 0, 1, 2)
        ticks = {}
        for n, what in enumerate(LEAVE_OUT):
            ticks[what] = TickField(LEAVE_OUT_WORDS[what], partial(self._save_left_out, what), box)
            ticks[what].setAccessibleName(f"Leave out: {LEAVE_OUT_WORDS[what]}")
            ticks[what].setObjectName(f"without-{what}")
            grid.addWidget(ticks[what], 1 + n // 2, n % 2)
        grid.setColumnStretch(1, 1)
        self._layout.addRow(box)
        self._rows["leave out"] = box
        return ticks

    # -- showing ------------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Show what can be chosen for the document looked at, and what is."""
        paper = self._showing.paper
        self.setVisible(paper is not None)
        if paper is None:
            return
        chosen = self._showing.chosen
        self._offer(paper, chosen)
        for name, row in self._rows.items():
            wanted = _declared(name, paper)
            if name in ("earlier", "later"):
                wanted = wanted and self.later.count() > 1
            if name == "storey":
                wanted = wanted and self.storey.count() > 2
            self._layout.setRowVisible(row, wanted)
        for field, value in (
            (self.form_, chosen.form), (self.size_, chosen.size), (self.turned, chosen.turned),
            (self.storey, chosen.storey), (self.later, chosen.later), (self.earlier, chosen.earlier),
            (self.scale, chosen.scale),
        ):  # fmt: skip
            field.show_value(value)
        self.subject.show_value(chosen.subject)
        self.large_print.show_value(chosen.large_print)
        self.dark.show_value(chosen.theme == "dark")
        for what, tick in self.leave_out.items():
            tick.show_value(what in chosen.leave_out)

    def _offer(self, paper: Paper, chosen: Chosen) -> None:
        home = self._adapter.home
        self.form_.offer([(form_said(each), each) for each in paper.forms])
        if "subject" in paper.choices:
            offered = self._adapter.memo.get(
                "paper subjects", paper.of, (home,), lambda: subjects(home, self._adapter.memo, paper.of)
            )
            self.subject.offer([(ONE if paper.asks else ALL, ""), *offered])
        if "storey" in paper.choices:
            self.storey.offer([("all storeys", ""), *storeys(home)])
        if "moment" in paper.choices or "moments" in paper.choices:
            found = [(moment.words, moment.seq) for moment in moments(self._adapter.document)]
            self.later.offer([("now", 0), *found])
            self.earlier.offer([("nothing earlier", 0), *found])
        if "scale" in paper.choices:
            self.scale.offer(scales(chosen.form))

    # -- choosing -----------------------------------------------------------------------------------------------

    def _save(self, name: str, value: object) -> bool:
        if self._showing.paper is not None:
            self._showing.choose(msgspec.structs.replace(self._showing.chosen, **{name: value}))
        return True

    def _save_theme(self, value: object) -> bool:
        return self._save("theme", "dark" if value else "paper")

    def _save_left_out(self, what: LeaveOut, value: object) -> bool:
        if self._showing.paper is None:
            return False
        held = self._showing.chosen.leave_out
        return self._save("leave_out", held | {what} if value else held - {what})


def _declared(name: str, paper: Paper) -> bool:
    if name == "form":
        return len(paper.forms) > 1
    if name == "later":
        return "moment" in paper.choices or "moments" in paper.choices
    names = {"earlier": "moments", "large_print": "large print"}
    return names.get(name, name) in paper.choices
