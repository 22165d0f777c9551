"""All that is known of one option, under headings, with the estimator's range of its price drawn beside the window."""

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from circuitmap.desk.causes_work import Latest
from circuitmap.desk.extend_work import Ranged, Ranging
from circuitmap.desk.option_words import card_words, range_text, sections
from circuitmap.desk.parts import Card, Heading, Label, button

if TYPE_CHECKING:
    from circuitmap.extension.kinds import Option
    from circuitmap.extension.price import Priced
    from circuitmap.extension.pricebook import Book

DRAWING: Final = "drawing the range of its price…"
ONLY_HERE: Final = "For the estimator, not for the customer"


class OptionDetail(Card):
    """The option that is open."""

    pick_wanted = Signal(object)
    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("option-detail")
        self.setAccessibleName("All of the option that is open")
        self._option: Option | None = None
        self._shown: Option | None = None  # the same, as it is shown: with cables drawn by hand
        self._ranges: dict[int, tuple[Option, Priced]] = {}  # with the option, so that its id stays its own
        self._texts: list[tuple[Label, Label]] = []
        self._title = Heading("", self)
        self.pick_button = button("Pick this way", self, strong=True)
        self.pick_button.clicked.connect(self._on_pick)
        self.close_button = button("Close", self)
        self.close_button.setAccessibleName("Close what is open")
        self.close_button.clicked.connect(self.closed)
        row = QHBoxLayout()
        self.pick_button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        row.addWidget(self.pick_button)
        row.addWidget(self.close_button)
        self._range_head = Label(ONLY_HERE, self, role="faint")
        self.range = Label("", self)
        self.range.setAccessibleName("Range of the price, for the estimator")
        self.body.addWidget(self._title)
        self.body.addLayout(row)
        self.body.addWidget(self._range_head)
        self.body.addWidget(self.range)
        self._latest = Latest(self)
        self._latest.done.connect(self._on_ranged)
        self._latest.failed.connect(self.range.setText)
        self.hide()

    @property
    def option(self) -> "Option | None":
        """The option that is open."""
        return self._option

    @property
    def text(self) -> str:
        """All that is said of it."""
        shown = [f"{head.text()}\n{text.text()}" for head, text in self._texts if text.isVisibleTo(self)]
        return "\n".join((self._title.text(), *shown))

    def show_option(
        self, option: "Option | None", book: "Book | None" = None, *, is_picked: bool = False,
        shown: "Option | None" = None,
    ) -> None:  # fmt: skip
        """Open an option, or (None) close what is open; ``shown`` is what it comes to with cables drawn by hand."""
        self.setVisible(option is not None)
        if option is None or book is None:
            self._option = self._shown = None
            self._latest.stop()
            return
        shown = shown or option
        self.pick_button.setText("Pick it no longer" if is_picked else "Pick this way")
        self.pick_button.setVisible(shown.is_sound)
        self._option = option
        if shown is self._shown:
            return
        self._shown = shown
        self._title.setText(card_words(shown).title)
        self._fill(sections(shown, book))
        has_price = shown.taken is not None
        self._range_head.setVisible(has_price)
        self.range.setVisible(has_price)
        if not has_price:
            self._latest.stop()
        elif id(shown) in self._ranges:
            self._latest.stop()
            self.range.setText(range_text(self._ranges[id(shown)][1]))
        else:
            self.range.setText(DRAWING)
            self._latest.ask(Ranging(shown, book))

    def forget(self) -> None:
        """Forget the ranges of options that are no more."""
        self._ranges.clear()

    def _fill(self, found: tuple[tuple[str, str], ...]) -> None:
        while len(self._texts) < len(found):
            head, text = Label("", self, role="head"), Label("", self)
            text.setTextInteractionFlags(text.textInteractionFlags())
            self._texts.append((head, text))
            self.body.addWidget(head)
            self.body.addWidget(text)
        for n, (head, text) in enumerate(self._texts):
            is_there = n < len(found)
            head.setVisible(is_there)
            text.setVisible(is_there)
            if is_there:
                head.setText(found[n][0])
                text.setText(found[n][1])

    def _on_ranged(self, result: object) -> None:
        assert isinstance(result, Ranged)
        self._ranges[id(result.option)] = result.option, result.priced
        if result.option is self._shown:
            self.range.setText(range_text(result.priced))

    def _on_pick(self) -> None:
        if self._option is not None:
            self.pick_wanted.emit(self._option)
