"""Outlining the rooms of a plan in the Draw stage: the two tools, how far the reading is, the rooms that were found."""

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QListWidget, QScrollArea, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.canvas.tracing import REVIEW_TOOL, TRACE_TOOL, Review
from circuitmap.desk.parts import Card, Label, button
from circuitmap.desk.tracing_work import Tracer

_ROW_PX = 29
_ROWS = (2, 5)


class TraceCard(QWidget):
    """Two buttons, and under them what goes on."""

    tool_wanted = Signal(str)
    take_wanted = Signal()
    sure_wanted = Signal()
    moved = Signal()  # another room of the list is looked at, or it has another name

    def __init__(self, adapter: Adapter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self.tracer = Tracer(adapter, self)
        self.review = Review()
        self._wants_review = False
        self.setObjectName("trace")

        self.room_button = button("Outline a room", self, checkable=True)
        self.room_button.setToolTip("Click in a room of the plan and its outline appears (Ctrl+L)")
        self.room_button.clicked.connect(self.begin_room)
        self.all_button = button("Outline all rooms", self, checkable=True)
        self.all_button.setToolTip("Find every room of the plan and take them one by one (Ctrl+Alt+L)")
        self.all_button.clicked.connect(self.begin_all)
        tools = QHBoxLayout()
        tools.setSpacing(8)
        tools.addWidget(self.room_button, 1)
        tools.addWidget(self.all_button, 1)

        self._busy = Card(self)
        self._busy_words = Label("", self._busy)
        self._busy_words.setObjectName("trace-progress")
        self.stop_button = button("Stop", self._busy)
        self.stop_button.setAccessibleName("Stop reading the plan")
        self.stop_button.clicked.connect(self._on_stop)
        row = QHBoxLayout()
        row.addWidget(self._busy_words, 1)
        row.addWidget(self.stop_button)
        self._busy.body.addLayout(row)

        self._found = Card(self)
        self._found_words = Label("", self._found)
        self._found_words.setObjectName("trace-found")
        self.list = QListWidget(self._found)
        self.list.setObjectName("trace-rooms")
        self.list.setAccessibleName("Rooms found on the plan; Enter takes one, Delete skips it")
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.currentRowChanged.connect(self._on_row)
        self.list.installEventFilter(self)
        self.name = QLineEdit(self._found)
        self.name.setObjectName("trace-name")
        self.name.setMaxLength(80)
        self.name.setPlaceholderText("Name, or a number will do")
        self.name.setAccessibleName("Name of the room that is looked at")
        self.name.textEdited.connect(self._on_name)
        self.name.returnPressed.connect(self.take_wanted)
        self._doubts = Label("", self._found, role="faint")
        self.take_button = button("Take it", self._found, strong=True)
        self.take_button.clicked.connect(self.take_wanted)
        self.skip_button = button("Skip it", self._found)
        self.skip_button.clicked.connect(self.skip)
        self.sure_button = button("Take all that are sure", self._found)
        self.sure_button.clicked.connect(self.sure_wanted)
        self.end_button = button("Done", self._found)
        self.end_button.clicked.connect(self._on_end)
        first, second = QHBoxLayout(), QHBoxLayout()
        for layout, buttons in (
            (first, (self.take_button, self.skip_button)), (second, (self.sure_button, self.end_button)),
        ):  # fmt: skip
            layout.setSpacing(8)
            for one in buttons:
                layout.addWidget(one, 2 if one is self.sure_button else 1)
        for part in (self._found_words, self.list, self.name, self._doubts):
            self._found.body.addWidget(part)
        self._found.body.addLayout(first)
        self._found.body.addLayout(second)

        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(6)
        whole.addLayout(tools)
        whole.addWidget(self._busy)
        whole.addWidget(self._found)

        self.tracer.changed.connect(self._on_tracer)
        self.tracer.ready.connect(self._on_ready)
        adapter.changed.connect(self._on_changed)
        adapter.storey_changed.connect(self._on_storey)
        adapter.tool_changed.connect(self._on_tool)
        self._on_tracer()
        self._show_tool()

    # -- what the window asks -----------------------------------------------------------------------------------

    @property
    def says(self) -> str:
        """What is said of the rooms that were found."""
        return self._found_words.text()

    @property
    def doubts(self) -> str:
        """What speaks against the room that is looked at."""
        return self._doubts.text()

    @property
    def progress(self) -> str:
        """How far the reading is, as it is said."""
        return self._busy_words.text() if self.tracer.is_busy else ""

    def begin_room(self) -> None:
        """Take the click in a room in hand; the plan is read meanwhile."""
        self._wants_review = False
        if self._may():
            self.tool_wanted.emit("select" if self._adapter.tool == TRACE_TOOL else TRACE_TOOL)

    def begin_all(self) -> None:
        """Find every room of the plan, and go through them."""
        self._wants_review = False
        if self._adapter.tool == REVIEW_TOOL:
            self.tool_wanted.emit("select")
        elif self._may():
            self._wants_review = not self.tracer.is_ready
            if self._wants_review:
                self.tracer.begin()
                self._show_tool()
            else:
                self._begin_review()

    def skip(self) -> None:
        """Put the room that is looked at aside."""
        self.review.skip()
        self.show_review()
        self.moved.emit()

    def show_review(self) -> None:
        """Show the rooms that are left."""
        review = self.review
        rows = [each.words() for each in review.left]
        blocked = self.list.blockSignals(True)  # Qt's own signature
        if rows != [self.list.item(n).text() for n in range(self.list.count())]:
            self.list.clear()
            self.list.addItems(rows)
        self.list.setFixedHeight(_ROW_PX * max(_ROWS[0], min(_ROWS[1], len(rows))) + 4)
        self.list.setCurrentRow(review.at if review.left else -1)
        self.list.blockSignals(blocked)
        found, left = len(review.proposals), len(review.left)
        words = f"{found} room{'' if found == 1 else 's'} found"
        if left:
            words += "." if left == found else f", {left} left."
            words += " Arrows go through them, Enter takes one, Delete skips it."
        else:
            words += "; none is left to take." if found else " on this plan; outline them by their corners."
        self._found_words.setText(words)
        chosen = review.chosen
        name = chosen.name if chosen is not None else ""
        if self.name.text() != name:
            self.name.setText(name)
        self._doubts.setText(chosen.doubts() if chosen is not None else "")
        self._doubts.setVisible(bool(self._doubts.text()))
        for widget in (self.name, self.take_button, self.skip_button):
            widget.setEnabled(chosen is not None)
        sure = len(review.sure)
        self.sure_button.setEnabled(bool(sure))
        self.sure_button.setText(f"Take all {sure} that are sure" if sure > 1 else "Take all that are sure")
        self.list.setVisible(bool(review.left))
        self.name.setVisible(bool(review.left))

    # -- inside -------------------------------------------------------------------------------------------------

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Let Enter take and Delete skip in the list, before any action of the window claims the key."""
        if isinstance(event, QKeyEvent) and watched is self.list:
            is_take = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
            is_skip = event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace)
            if event.type() == QEvent.Type.ShortcutOverride and is_skip:
                event.accept()
                return True
            if event.type() == QEvent.Type.KeyPress and is_take:
                self.take_wanted.emit()
                return True
            if event.type() == QEvent.Type.KeyPress and is_skip:
                self.skip()
                return True
        return super().eventFilter(watched, event)

    def _may(self) -> bool:
        why_not = self.tracer.why_not()
        if why_not:
            self._adapter.refuse(why_not)
            self._show_tool()
        return not why_not

    def _begin_review(self) -> None:
        self._wants_review = False
        self.review.begin(self.tracer.all_rooms(), self._adapter.home, self._adapter.storey)
        self._adapter.select()
        self.tool_wanted.emit(REVIEW_TOOL)
        self.list.setFocus()
        QTimer.singleShot(0, self._come_into_sight)

    def _come_into_sight(self) -> None:
        parent = self.parentWidget()
        while parent is not None:
            if isinstance(parent, QScrollArea):
                parent.ensureWidgetVisible(self._found, 0, 6)
                parent.ensureWidgetVisible(self._found_words, 0, 6)
            parent = parent.parentWidget()

    def _on_ready(self) -> None:
        if self._wants_review:
            self._begin_review()

    def _on_tracer(self) -> None:
        self._busy.setVisible(self.tracer.is_busy)
        self._busy_words.setText(f"Reading the plan: {self.tracer.progress}" if self.tracer.is_busy else "")
        if not self.tracer.is_busy and not self.tracer.is_ready and self._wants_review:
            self._wants_review = False
            self._show_tool()

    def _on_stop(self) -> None:
        self._wants_review = False
        self.tracer.stop()
        self._show_tool()
        self._adapter.say("Stopped reading the plan; a click in a room begins again.")

    def _on_end(self) -> None:
        self.tool_wanted.emit("select")

    def _on_row(self, row: int) -> None:
        if 0 <= row < len(self.review.left) and row != self.review.at:
            self.review.at = row
            self.show_review()
            self.moved.emit()

    def _on_name(self, text: str) -> None:
        chosen = self.review.chosen
        if chosen is not None:
            chosen.name = text
            self.show_review()
            self.moved.emit()

    def _on_changed(self, _change: object) -> None:
        if self._adapter.tool == REVIEW_TOOL:
            self.review.follow(self._adapter.home, self._adapter.storey)
            self.show_review()
            self.moved.emit()
            if not self.tracer.is_ready:
                self.tool_wanted.emit("select")

    def _on_storey(self, _storey: str) -> None:
        if self._adapter.tool == REVIEW_TOOL:
            self.tool_wanted.emit("select")

    def _on_tool(self, tool: str) -> None:
        self._show_tool()
        if tool == TRACE_TOOL:
            self.tracer.begin()

    def _show_tool(self) -> None:
        tool = self._adapter.tool
        self.room_button.setChecked(tool == TRACE_TOOL)
        self.all_button.setChecked(tool == REVIEW_TOOL or self._wants_review)
        self._found.setVisible(tool == REVIEW_TOOL)
        if tool == REVIEW_TOOL:
            self.show_review()
