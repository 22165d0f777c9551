"""The document on show, in the middle of the window: its pages, its table, its text, or why there is none."""

from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontDatabase
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QPlainTextEdit,
    QProgressBar,
    QPushButton,
    QSizePolicy,
    QStackedWidget,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from circuitmap.desk.handing.chosen import form_said
from circuitmap.desk.handing.pages import STEP, PagesView
from circuitmap.desk.handing.press import Press
from circuitmap.desk.handing.rows import RowsView
from circuitmap.desk.handing.showing import Showing
from circuitmap.desk.parts import Label
from circuitmap.desk.theme import GAP_PX, TARGET_PX, Look
from circuitmap.paper.apart import Drawn, Seen
from circuitmap.paper.catalogue import Paper

NOTHING: Final = "Choose a document in the list: it is shown here as it will be."


class Preview(QWidget):
    """A bar to go about with, progress while one waits, and the document."""

    def __init__(self, showing: Showing, press: Press, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._showing, self._press = showing, press
        self._drawing = 0
        self._shown: Paper | None = None
        self._form = ""
        self.setObjectName("preview")
        self.setAccessibleName("Preview of the document")
        self._build_bar()
        self._build_waiting()
        self._stack = QStackedWidget(self)
        self.pages = PagesView(look, self._stack)
        self.table = RowsView(self._stack)
        self.text = QPlainTextEdit(self._stack)
        self.text.setReadOnly(True)
        self.text.setAccessibleName("Preview of the text")
        self.text.setTabChangesFocus(True)
        self.text.setFont(QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont))
        self.text.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self._saying = QWidget(self._stack)
        self._said = Label("", self._saying)
        self._said.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.again_button = QPushButton("Show it again", self._saying)
        self.again_button.clicked.connect(showing.again)
        said = QVBoxLayout(self._saying)
        said.setContentsMargins(40, 40, 40, 40)
        said.setSpacing(12)
        said.addStretch(1)
        said.addWidget(self._said)
        said.addWidget(self.again_button, 0, Qt.AlignmentFlag.AlignHCenter)
        said.addStretch(1)
        for page in (self.pages, self.table, self.text, self._saying):
            self._stack.addWidget(page)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self._bar)
        layout.addWidget(self._waiting)
        layout.addWidget(self._stack, 1)
        showing.changed.connect(self.refresh)
        showing.waiting.connect(self._on_waiting)
        showing.ticked.connect(self._on_ticked)
        press.drawn.connect(self._on_drawn)
        press.halted.connect(self._on_no_page)
        press.refused.connect(self._on_no_page)
        self.pages.wanted.connect(self._draw_next)
        self.pages.page_changed.connect(self._say_page)
        self.pages.zoom_changed.connect(self._say_zoom)
        self.refresh()

    # -- building -----------------------------------------------------------------------------------------------

    def _build_bar(self) -> None:
        self._bar = QWidget(self)
        self._title = Label("", self._bar, role="faint")
        self._title.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.parts = QComboBox(self._bar)
        self.parts.setAccessibleName("File of the document")
        self.parts.setMinimumHeight(TARGET_PX)
        self.parts.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self.parts.activated.connect(self._show_part)
        self._number = Label("", self._bar)
        self._number.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
        self._number.setWordWrap(False)
        self._share = Label("", self._bar)
        self._share.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
        self._share.setWordWrap(False)
        self._share.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._share.setFixedWidth(48)
        self.back = _tool("‹", "Page before", self._bar)
        self.on = _tool("›", "Next page", self._bar)
        self.smaller = _tool("−", "Smaller", self._bar)
        self.larger = _tool("+", "Larger", self._bar)
        self.width_ = _tool("Width", "Fit the width", self._bar, checkable=True)
        self.whole = _tool("Page", "Show the whole page", self._bar, checkable=True)
        self.back.clicked.connect(self.page_back)
        self.on.clicked.connect(self.page_on)
        self.smaller.clicked.connect(self.zoom_out)
        self.larger.clicked.connect(self.zoom_in)
        self.width_.clicked.connect(self._on_width)
        self.whole.clicked.connect(self._on_whole)
        row = QHBoxLayout(self._bar)
        row.setContentsMargins(GAP_PX, 2, GAP_PX, 4)
        row.setSpacing(4)
        row.addWidget(self._title, 1)
        row.addWidget(self.parts)
        self._for_pages = (
            self.back, self._number, self.on, self.smaller, self._share, self.larger, self.width_, self.whole
        )  # fmt: skip
        for each in self._for_pages:
            row.addWidget(each)
            if each is self.on:
                row.addSpacing(10)

    def _build_waiting(self) -> None:
        self._waiting = QWidget(self)
        self._waiting_says = Label("", self._waiting)
        self._progress = QProgressBar(self._waiting)
        self._progress.setTextVisible(False)
        self._progress.setFixedHeight(8)
        self._progress.setAccessibleName("How far the document is")
        self.stop_button = QPushButton("Stop", self._waiting)
        self.stop_button.clicked.connect(self._showing.stop)
        row = QHBoxLayout(self._waiting)
        row.setContentsMargins(GAP_PX, 2, GAP_PX, 4)
        row.addWidget(self._waiting_says, 2)
        row.addWidget(self._progress, 3)
        row.addWidget(self.stop_button)
        self._waiting.hide()

    # -- going about --------------------------------------------------------------------------------------------

    def page_on(self) -> None:
        """Go to the next page."""
        self.pages.go_to(self.pages.page + 1)

    def page_back(self) -> None:
        """Go to the page before."""
        self.pages.go_to(self.pages.page - 1)

    def zoom_in(self) -> None:
        """Show it larger."""
        self.pages.zoom_by(STEP)

    def zoom_out(self) -> None:
        """Show it smaller."""
        self.pages.zoom_by(1 / STEP)

    def fit_width(self) -> None:
        """Fit the width of pages."""
        self.pages.fit("width")

    def _on_width(self) -> None:
        self.pages.fit("width")

    def _on_whole(self) -> None:
        self.pages.fit("page")

    # -- what is on show ----------------------------------------------------------------------------------------

    @property
    def says(self) -> str:
        """The sentence shown in place of a document, "" where there is one."""
        return self._said.text() if self._stack.currentWidget() is self._saying else ""

    @property
    def title(self) -> str:
        """What the bar says of the document."""
        return self._title.text()

    @property
    def is_waiting(self) -> bool:
        """Whether progress is shown."""
        return not self._waiting.isHidden()

    @property
    def current(self) -> QWidget | None:
        """What shows the document."""
        return self._stack.currentWidget()

    @property
    def is_drawn(self) -> bool:
        """Whether all in sight is drawn."""
        return self.current is not self.pages or self.pages.is_drawn

    def refresh(self) -> None:
        """Show the document that is made now."""
        made, shown = self._showing.made, self._showing.shown
        if made is None or shown is None or not made.files:
            words = self._showing.refusal
            if not words and made is not None:
                words = "This document has nothing in it."
            elif not words:
                words = "Stopped." if self._showing.was_stopped else NOTHING
            self._say(words)
            return
        paper, chosen = shown
        if paper is not self._shown or chosen.form != self._form:
            self.pages.forget()
        self._shown, self._form = paper, chosen.form
        part = self.parts.currentText()
        self.parts.clear()
        for file in made.files:
            self.parts.addItem(file.part or "whole")
        self.parts.setCurrentIndex(max(0, self.parts.findText(part)))
        self.parts.setVisible(len(made.files) > 1)
        self._show_part()

    def _show_part(self, _row: int = 0) -> None:
        file = self._file
        if file is None or self._shown is None:
            return
        if self._drawing:
            self._drawing = 0
        self._title.setText(f"{self._shown.title}: {_size_said(self._form, file)}")
        if file.pages_pt:
            self._stack.setCurrentWidget(self.pages)
            self.pages.show_pages(file.pages_pt)
            self._say_page(self.pages.page)
            self._say_zoom()
        elif file.sheets:
            self._stack.setCurrentWidget(self.table)
            self.table.show_sheets(file.sheets)
        else:
            self._stack.setCurrentWidget(self.text)
            self.text.setPlainText(file.text)
        self._show_tools()

    @property
    def _file(self) -> Seen | None:
        made, row = self._showing.made, self.parts.currentIndex()
        return made.files[row] if made is not None and 0 <= row < len(made.files) else None

    def _say(self, words: str) -> None:
        self._said.setText(words)
        self._title.setText(self._showing.paper.title if self._showing.paper is not None else "")
        self.parts.hide()
        self.again_button.setVisible(self._showing.was_stopped)
        self._stack.setCurrentWidget(self._saying)
        self._show_tools()

    def _show_tools(self) -> None:
        for each in self._for_pages:
            each.setVisible(self.current is self.pages)

    def _say_page(self, page: int) -> None:
        count = self.pages.count
        self._number.setText(f"{page + 1} of {count}")
        self._number.setFixedWidth(self._number.fontMetrics().horizontalAdvance(f"{count} of {count}") + 10)
        self.back.setEnabled(page > 0)
        self.on.setEnabled(page + 1 < count)
        title = self._shown.title if self._shown is not None else ""
        self.pages.setAccessibleName(f"Preview: {title}, page {page + 1} of {count}")

    def _say_zoom(self) -> None:
        self._share.setText(f"{round(self.pages.zoom * 100)} %")
        self.width_.setChecked(self.pages.fits == "width")
        self.whole.setChecked(self.pages.fits == "page")

    # -- drawing ------------------------------------------------------------------------------------------------

    def _draw_next(self) -> None:
        if self._drawing or self.current is not self.pages or self._showing.made is None:
            return
        missing = self.pages.missing()
        if missing is not None:
            self._drawing = self._press.draw(self.parts.currentIndex(), *missing)

    def _on_drawn(self, drawn: Drawn) -> None:
        if drawn.number == self._drawing:
            self._drawing = 0
            if drawn.file == self.parts.currentIndex():
                self.pages.take(drawn.page, drawn.px_per_pt, drawn.region_px, drawn.pixels)
            self._draw_next()

    def _on_no_page(self, number: int, says: str = "") -> None:
        if number == self._drawing:
            self._drawing = 0
            if says:
                self._say(says)

    # -- waiting ------------------------------------------------------------------------------------------------

    def _on_waiting(self, is_on: bool) -> None:
        if is_on and self._showing.paper is not None:
            self._waiting_says.setText(f"Making: {self._showing.paper.title}")
            self._progress.setRange(0, 0)
            if self._showing.shown is None or self._showing.shown[0] is not self._showing.paper:
                self._say("")  # never another document than the one that is waited for
        self._waiting.setVisible(is_on)

    def _on_ticked(self, done: int, total: int, words: str) -> None:
        self._progress.setRange(0, total)
        self._progress.setValue(done)
        of = f", {done} of {total}" if total else ""
        self._waiting_says.setText(f"{words}{of}")


def _size_said(form: str, file: Seen) -> str:
    size = f"{max(1, round(file.size_bytes / 1000))} kB"
    if file.size_bytes >= 1_000_000:
        size = f"{file.size_bytes / 1e6:.1f} MB"
    count = len(file.pages_pt)
    pages = f"{count} page{'' if count == 1 else 's'}, " if form == "pdf" else ""
    return f"{form_said(form)}, {pages}{size}"


def _tool(text: str, called: str, parent: QWidget, *, checkable: bool = False) -> QToolButton:
    made = QToolButton(parent)
    made.setText(text)
    made.setAccessibleName(called)
    made.setToolTip(called)
    made.setCheckable(checkable)
    made.setMinimumSize(TARGET_PX, TARGET_PX)
    return made
