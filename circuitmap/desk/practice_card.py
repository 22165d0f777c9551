"""What is seen of a practised survey: where it is begun, the band that never goes away, the look, and how it went."""

from collections.abc import Sequence
from dataclasses import dataclass
from random import randrange
from typing import Final, cast

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QSizePolicy, QToolBar, QVBoxLayout, QWidget

from circuitmap.desk.practice_wanted import Shows, Wanted
from circuitmap.desk.theme import GAP_PX, TARGET_PX, Look
from circuitmap.desk.thumb import Choice, Thumb, Tick, bare, card, plain, show_text

HOMES: Final[tuple[tuple[str, object], ...]] = (
    ("Older terrace", "older-terrace"),
    ("Bungalow", "bungalow-tt"),
    ("Rented flat", "rented-flat"),
    ("Invented,\n6 ways", 6),
    ("Invented,\n10 ways", 10),
    ("Invented,\n18 ways", 18),
)
ERRORS: Final[tuple[tuple[str, object], ...]] = (("Nothing", 0.0), ("2 looks in 100", 0.02), ("5 looks in 100", 0.05))
_LAMP_PX: Final = 40
_SEED_TO: Final = 1_000_000


class StartCard(QWidget):
    """Asks on which home to practise, and what goes wrong there."""

    begun = Signal(object)  # Wanted
    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Practise a survey")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        frame, inside = card(parent=self)
        column.addWidget(frame)
        inside.addWidget(plain("Practise a survey", "head"))
        inside.addWidget(
            plain(
                "The home opens in a window of its own, its wiring hidden. You choose, walk and answer as in a real "
                "one; the house shows what your tester would. Nothing of it is kept."
            )
        )
        self.homes = Choice(HOMES, "Home to practise on", columns=3, parent=frame)
        self.homes.set_value(HOMES[0][1])
        inside.addWidget(self.homes)
        inside.addWidget(plain("What shows the wrong thing", "head"))
        self.errors = Choice(ERRORS, "Share of looks that show the wrong thing", columns=3, parent=frame)
        self.errors.set_value(0.0)
        inside.addWidget(self.errors)
        self.trips = Tick("An RCD trips in the middle of a walk", frame)
        inside.addWidget(self.trips)
        self.begin = Thumb("Begin to practise", strong=True, tall=True, parent=frame)
        self.begin.clicked.connect(self._on_begin)
        inside.addWidget(self.begin)
        self.not_now = Thumb("Not now", quiet=True, parent=frame)
        self.not_now.clicked.connect(self.closed)
        inside.addWidget(self.not_now)

    def _on_begin(self) -> None:
        home = self.homes.value or HOMES[0][1]
        is_sample = isinstance(home, str)
        self.begun.emit(
            Wanted(
                sample=cast(str, home) if is_sample else "",
                ways=0 if is_sample else cast(int, home),
                error=cast(float, self.errors.value or 0.0),
                trips=self.trips.isChecked(),
                seed=randrange(1, _SEED_TO),  # chooses errors of an exercise, no secret
            )
        )


class Band(QToolBar):
    """Says at the head of the window, whatever else is hidden, that this is practice."""

    wants_result = Signal()
    stopped = Signal()

    def __init__(self, look: Look, says: str, parent: QWidget | None = None) -> None:
        super().__init__(says, parent)
        self._look = look
        self.setObjectName("practice-band")
        self.setAccessibleName(f"Practice. {says}")
        self.setMovable(False)
        self.setFloatable(False)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.PreventContextMenu)
        self.toggleViewAction().setVisible(False)
        self.toggleViewAction().setEnabled(False)
        row, line = QWidget(self), QHBoxLayout()
        row.setLayout(line)
        line.setContentsMargins(12, 2, 12, 2)
        line.setSpacing(GAP_PX)
        self.badge = QLabel("PRACTICE", row)
        self.badge.setObjectName("practice-badge")
        self.says = QLabel(says, row)
        for label in (self.badge, self.says):
            label.setTextFormat(Qt.TextFormat.PlainText)
        self.says.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.result, self.stop = _button("How it went", row), _button("Stop practising", row)
        self.result.clicked.connect(self.wants_result)
        self.stop.clicked.connect(self.stopped)
        line.addWidget(self.badge)
        line.addWidget(self.says, 1)
        line.addWidget(self.result)
        line.addWidget(self.stop)
        row.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.addWidget(row)
        look.changed.connect(self._dress)
        self._dress()

    def _dress(self) -> None:
        of = {role: self._look.colour(role).name() for role in ("warn", "paper", "ink", "warn/tint")}
        self.setStyleSheet(
            f"QToolBar#practice-band {{ background: {of['warn/tint']}; border: none;"
            f" border-bottom: 3px solid {of['warn']}; }}"
            f"QLabel {{ color: {of['ink']}; background: transparent; }}"
            f"QLabel#practice-badge {{ background: {of['warn']}; color: {of['paper']}; font-weight: 700;"
            " padding: 4px 10px; border-radius: 4px; }"
        )


class Lamp(QWidget):
    """What a tester or a lamp shows: rays when lit, an empty ring when dark, half filled when it glows."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look, self._shows = look, cast("Shows | None", None)
        self.setFixedSize(QSize(_LAMP_PX, _LAMP_PX))

    def show_state(self, shows: Shows | None) -> None:
        """Show a state; None before anybody looked."""
        self._shows = shows
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the lamp."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ink = self._look.colour("ink" if self._shows is not None else "faint")
        middle, radius = QPointF(_LAMP_PX / 2, _LAMP_PX / 2), _LAMP_PX * 0.26
        pen = QPen(ink, 2.0)
        if self._shows is None:
            pen.setStyle(Qt.PenStyle.DotLine)
        painter.setPen(pen)
        fill = self._look.colour("accent") if self._shows == "lit" else QColor(Qt.GlobalColor.transparent)
        painter.setBrush(fill)
        painter.drawEllipse(middle, radius, radius)
        if self._shows == "faint":
            painter.setBrush(self._look.colour("accent/half"))
            box = QRectF(middle.x() - radius, middle.y() - radius, 2 * radius, 2 * radius)
            painter.drawChord(box, 180 * 16, 180 * 16)
        if self._shows == "lit":
            for x, y in ((0, 1), (1, 0), (0.7, 0.7), (0.7, -0.7)):
                for sign in (1, -1):
                    ray = QPointF(x * sign, y * sign)
                    painter.drawLine(middle + ray * (radius + 3), middle + ray * (radius + 8))


class LookCard(QWidget):
    """The look: what is shown at the point, at the lamps left on, at the board. The answer stays the person's own."""

    looked = Signal()
    lamps_looked = Signal()
    board_looked = Signal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("The house answers")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP_PX)
        self._frame, inside = card(parent=self)
        column.addWidget(self._frame)
        row = QHBoxLayout()
        row.setSpacing(GAP_PX)
        self.lamp = Lamp(look, self._frame)
        self.says = plain()
        self.look_button = Thumb("Look  (K)", strong=True, parent=self._frame)
        self.look_button.clicked.connect(self.looked)
        row.addWidget(self.lamp)
        row.addWidget(self.says, 3)
        row.addWidget(self.look_button, 2)
        inside.addLayout(row)
        self._beside, beside = bare(self._frame)
        pair = QHBoxLayout()
        pair.setSpacing(GAP_PX)
        beside.addLayout(pair)
        self.lamps_button = Thumb("Lamps left on", quiet=True, parent=self._beside)
        self.lamps_button.clicked.connect(self.lamps_looked)
        self.board_button = Thumb("The board", quiet=True, parent=self._beside)
        self.board_button.clicked.connect(self.board_looked)
        pair.addWidget(self.lamps_button)
        pair.addWidget(self.board_button)
        self.beside_says = plain()
        beside.addWidget(self.beside_says)
        inside.addWidget(self._beside)
        self.tell("", None)

    def tell(self, sentence: str, shows: Shows | None) -> None:
        """Say what the point shows, or (None) that nobody has looked yet."""
        self.lamp.show_state(shows)
        self.says.setText(sentence or "Look at it, then answer yourself.")

    def tell_beside(self, sentence: str) -> None:
        """Say what the lamps or the board show."""
        show_text(self.beside_says, sentence)

    def set_for(self, *, has_point: bool, has_beside: bool) -> None:
        """Show what can be looked at now."""
        for widget in (self.look_button, self.lamp, self.says):
            widget.setVisible(has_point)
        self._beside.setVisible(has_beside)


@dataclass(frozen=True, slots=True)
class Column:
    """One way of surveying the home and its figures, already in words."""

    title: str
    figures: tuple[str, ...]


ROWS: Final = ("Switch-offs", "Checks", "Minutes", "Wrong", "In doubt")


class ResultCard(QWidget):
    """How it went, beside the planner's own way and one at a time."""

    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("How the practice went")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        frame, inside = card("ask", self)
        column.addWidget(frame)
        self.heading = plain(role="head")
        inside.addWidget(self.heading)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(4)
        inside.addLayout(self._grid)
        self.cells: dict[tuple[int, int], QLabel] = {}
        self.note = plain(role="faint")
        inside.addWidget(self.note)
        self.lists = plain()
        inside.addWidget(self.lists)
        self.close_button = Thumb("Put this away", quiet=True, parent=frame)
        self.close_button.clicked.connect(self.closed)
        inside.addWidget(self.close_button)

    def show_columns(self, heading: str, columns: Sequence[Column], note: str, lists: Sequence[str]) -> None:
        """Show the figures, a column for each way of surveying."""
        self.heading.setText(heading)
        for across in range(4):
            self._grid.setColumnStretch(across, 1)
        texts = {(0, down): row for down, row in enumerate(ROWS, 1)}
        for across, each in enumerate(columns, 1):
            texts[across, 0] = each.title
            texts.update({(across, down): figure for down, figure in enumerate(each.figures, 1)})
        for place, text in texts.items():
            self._cell(place).setText(text)
        for place, label in self.cells.items():
            label.setVisible(place in texts)
        show_text(self.note, note)
        show_text(self.lists, "\n".join(lists))

    def _cell(self, place: tuple[int, int]) -> QLabel:
        if place not in self.cells:
            across, down = place
            label = plain(role="head" if across == 1 and down else "faint" if not (across and down) else "")
            label.setAlignment(
                Qt.AlignmentFlag.AlignBottom | (Qt.AlignmentFlag.AlignRight if across else Qt.AlignmentFlag.AlignLeft)
            )
            self.cells[place] = label
            self._grid.addWidget(label, down, across)
        return self.cells[place]


def _button(text: str, parent: QWidget) -> Thumb:
    button = Thumb(text, parent=parent)
    button.setSizePolicy(QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Fixed)
    button.setMinimumHeight(TARGET_PX)
    return button


def column_of(stage: QWidget) -> QVBoxLayout:
    """Give the column of the stage's cards."""
    column = stage.layout()
    assert isinstance(column, QVBoxLayout)
    return column
