"""What feeds this? A field and its answer in place of the stage's panel: way, RCD, how sure, what else goes off."""

from functools import partial
from itertools import groupby
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QKeyEvent, Qt
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QScrollArea, QVBoxLayout, QWidget

from circuitmap.circuits.feeding import Feed, WayFeeds, WhatFeeds, what_feeds
from circuitmap.circuits.feeding_says import (
    CAUTION,
    by_way,
    device_words,
    headline,
    lost_lines,
    point_words,
    rcd_lines,
    sure_words,
    way_lines,
    without_points,
)
from circuitmap.circuits.which import NOT_PROOF
from circuitmap.desk.actions import Act
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.parts import Card, Heading, Label, button
from circuitmap.desk.theme import GAP_PX, TARGET_PX
from circuitmap.desk.work import Work
from circuitmap.home import Home
from circuitmap.jobs import Ticket
from circuitmap.memo import Memo
from circuitmap.trade import Trade

if TYPE_CHECKING:
    from circuitmap.desk.window import Window

_WAIT_MS: Final = 150
_MOST_CARDS: Final = 12
_BELOW: Final = 1  # what stretches


class FeedsPage(QWidget):
    """The field, and under it a card for each way that what was typed is on."""

    done = Signal()

    def __init__(self, adapter: Adapter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._job: Work | None = None
        self._asked = 0
        self.setAccessibleName("What feeds this?")
        self.field = QLineEdit(self)
        self.field.setObjectName("feeds-field")
        self.field.setAccessibleName("What feeds this? A point, a room, an id or a way")
        self.field.setPlaceholderText("kitchen light, P12, A3 …")
        self.field.setMaxLength(400)
        self.field.setMinimumHeight(TARGET_PX)
        self.field.setClearButtonEnabled(True)
        self.field.textChanged.connect(self._on_typed)
        self.field.returnPressed.connect(self._ask)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_WAIT_MS)
        self._timer.timeout.connect(self._ask)
        self.says = Label("", self)
        self._area = QScrollArea(self)
        self._area.setWidgetResizable(True)
        self._area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._inside = QWidget(self._area)
        self._column = QVBoxLayout(self._inside)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(GAP_PX)
        self._column.addStretch(1)
        self._area.setWidget(self._inside)
        # Below what scrolls, so that it is in sight beside every answer.
        self._caution = Label(f"{NOT_PROOF} {CAUTION}", self, role="warn")
        back = button("Back", self)
        back.clicked.connect(self.done)
        head = QHBoxLayout()
        head.addWidget(Heading("What feeds this?", self), 1)
        head.addWidget(back)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(12, 10, 12, 12)
        layout.setSpacing(GAP_PX)
        layout.addLayout(head)
        layout.addWidget(self.field)
        layout.addWidget(self.says)
        layout.addWidget(self._area, 1)
        layout.addWidget(self._caution)
        adapter.changed.connect(self._on_changed)

    def ask(self, words: str) -> None:
        """Put words into the field and answer them."""
        self.field.setText(words)
        self.field.setFocus()
        self.field.selectAll()
        self._ask()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go back with Esc."""
        if event.key() == Qt.Key.Key_Escape:
            self.done.emit()
        else:
            super().keyPressEvent(event)

    def _on_typed(self) -> None:
        self._timer.start()

    def _on_changed(self, _change: object) -> None:
        if self.isVisible() and self.field.text().strip():
            self._timer.start()

    def _ask(self) -> None:
        self._timer.stop()
        if self._job is not None:
            self._job.stop()
        self._asked += 1
        words = self.field.text()
        if not words.strip():
            self._show(None)
            return
        adapter = self._adapter
        self._job = Work(partial(_answered, adapter.home, adapter.trade, adapter.memo.fork(), words, self._asked), self)
        self._job.done.connect(self._on_answered)
        self._job.failed.connect(adapter.refuse)
        self._job.start()

    def _on_answered(self, answered: tuple[int, WhatFeeds]) -> None:
        number, answer = answered
        if number == self._asked:
            self._show(answer)

    def _show(self, answer: WhatFeeds | None) -> None:
        while self._column.count() > _BELOW:
            item = self._column.takeAt(0)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self.says.setText(headline(answer) if answer is not None else "")
        if answer is None:
            return
        cards: list[QWidget] = []
        for _, group in groupby(sorted(answer.feeds, key=by_way), key=by_way):
            cards.append(self._card(list(group), answer.unmapped))
        cards += [self._way_card(way, answer.unmapped) for way in answer.ways]
        for card in cards[:_MOST_CARDS]:
            self._column.insertWidget(self._column.count() - _BELOW, card)
        if len(cards) > _MOST_CARDS:
            more = Label(f"And {len(cards) - _MOST_CARDS} ways more: say more words, such as the room.", self._inside)
            self._column.insertWidget(self._column.count() - _BELOW, more)

    def _card(self, feeds: list[Feed], unmapped: int) -> Card:
        first = feeds[0]
        card = Card(self._inside, warn=first.way is None)
        for feed in feeds:
            card.body.addWidget(Label(point_words(feed.point, feed.room), card, role="head"))
            card.body.addWidget(Label(feed.says, card))
        _rows(card, "Way", way_lines(first))
        if first.candidates and not first.may_be_any:
            _rows(card, "RCD", rcd_lines(first.rcds, first.local_rcd if len(feeds) == 1 else None))
        for says in dict.fromkeys(map(sure_words, feeds)):
            _rows(card, "How sure", (says,))
        for lost in first.lost:
            title = "Also goes off" if len(first.lost) == 1 else f"Goes off with {lost.code}"
            _rows(card, title, lost_lines(without_points(lost, feeds), unmapped))
        points = [feed.point.id for feed in feeds]
        devices = [each.device.id for each in first.candidates] if not first.may_be_any else []
        self._add_buttons(card, points, devices)
        return card

    def _way_card(self, way: WayFeeds, unmapped: int) -> Card:
        card = Card(self._inside)
        card.body.addWidget(Label(device_words(way.lost.device, way.lost.code), card, role="head"))
        _rows(card, "RCD", rcd_lines(way.rcds, None))
        _rows(card, "Goes off", lost_lines(way.lost, unmapped))
        card.body.addWidget(Label(NOT_PROOF, card))
        self._add_buttons(card, [], [way.lost.device.id])
        return card

    def _add_buttons(self, card: Card, points: list[str], devices: list[str]) -> None:
        row = QHBoxLayout()
        for text, ids in (("Show on the plan", points), ("Show the way", devices)):
            if ids:
                made = button(text, card)
                made.setAccessibleName(f"{text}: {', '.join(ids[:5])}")
                made.clicked.connect(partial(self._adapter.show, *ids))
                row.addWidget(made)
        row.addStretch(1)
        card.body.addLayout(row)


class Feeding(QObject):
    """The action, the page when it is first wanted, and the way there from the field that finds everything."""

    def __init__(self, window: "Window") -> None:
        super().__init__(window)
        self._window = window
        self.page: FeedsPage | None = None
        window.find_field.feeds_wanted.connect(self.ask)

    def acts(self) -> list[Act]:
        """Give the action."""
        return [
            Act("what-feeds", "What &feeds this?…", "Go", self.ask_selected, "Ctrl+Shift+E",
                "Say what feeds a point, how sure that is, and what else goes off",
                also=("search", "which way", "circuit", "fed", "turn off", "rcd")),
        ]  # fmt: skip

    def ask_selected(self) -> None:
        """Ask about the points and ways that are selected, or for words."""
        chosen = [i for i in self._window.adapter.selection if i[0] in "PD"]
        self.ask(" ".join(chosen[:20]))

    def ask(self, words: str) -> None:
        """Show the page with the answer to some words."""
        if self.page is None:
            self.page = FeedsPage(self._window.adapter)
            self.page.done.connect(self._window.close_page)
        self._window.show_side(self.page)
        self.page.ask(words)


def _rows(card: Card, title: str, lines: tuple[str, ...]) -> None:
    card.body.addWidget(Label(title, card, role="faint"))
    for line in lines:
        card.body.addWidget(Label(line, card))


def _answered(home: Home, trade: Trade, memo: Memo, words: str, number: int, _ticket: Ticket) -> tuple[int, WhatFeeds]:
    return number, what_feeds(home, trade, memo, words)
