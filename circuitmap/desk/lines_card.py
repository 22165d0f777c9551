"""Walls out of the drawing's own lines: which lines, how thick single ones are, what would come of it, and the wish."""

from functools import partial
from typing import Final

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.lines_work import LinesWork, ReadLines
from circuitmap.desk.parts import Card, Label, button
from circuitmap.desk.stages.bring_in import has_scale
from circuitmap.desk.theme import TARGET_PX
from circuitmap.desk.work import Work
from circuitmap.drawing.marks import Area, Ink, Mark
from circuitmap.errors import HomeError, PersonError
from circuitmap.home.records import Wall
from circuitmap.jobs import Ticket
from circuitmap.plan.line_groups import LineGroup, groups_of, likely_walls
from circuitmap.plan.line_snap import placed
from circuitmap.plan.sheet import Transform
from circuitmap.plan.walls_from_lines import MOST_LINES, FoundWalls, LineWall, find_walls, nothing_found, walls_change
from circuitmap.quantities import parse_room_length_mm

_ROW_PX: Final = 29
_ROWS: Final = (2, 6)
_THICK_MM: Final = (20.0, 1_000.0)
_WAIT_MS: Final = 120


class LinesCard(QWidget):
    """A button, and under it the groups of lines to choose from while walls are being made of them."""

    ghosted = Signal(object)  # tuple of marks: the walls as they would be

    def __init__(self, adapter: Adapter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self.work = LinesWork(adapter, self)
        self.setObjectName("lines")
        self._groups: tuple[LineGroup, ...] = ()
        self._of: ReadLines | None = None
        self._found: FoundWalls | None = None
        self._job: Work | None = None
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(_WAIT_MS)
        self._later.timeout.connect(self._look)

        self.open_button = button("Walls from the plan's lines", self, checkable=True)
        self.open_button.setToolTip("Choose lines of the drawing by layer or stroke and make walls of them")
        self.open_button.clicked.connect(self._on_open)
        self._card = Card(self)
        self._words = Label("", self._card)
        self._words.setObjectName("lines-words")
        self.list = QListWidget(self._card)
        self.list.setObjectName("line-groups")
        self.list.setAccessibleName("Lines that walls are drawn with; Space chooses or leaves a group")
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        self.list.itemChanged.connect(self._on_chosen)
        self.single = QLineEdit(self._card)
        self.single.setObjectName("single-thickness")
        self.single.setMaxLength(40)
        self.single.setPlaceholderText("Walls drawn as one line: how thick, like 100 mm")
        self.single.setAccessibleName("Thickness of walls drawn as one line; empty leaves such lines out")
        self.single.setToolTip("Empty: lines that stand alone are left out")
        self.single.textEdited.connect(self._on_chosen)
        self.single.returnPressed.connect(self.make)
        self._says = Label("", self._card, role="faint")
        self._says.setObjectName("lines-says")
        self.make_button = button("Make the walls", self._card, strong=True)
        self.make_button.clicked.connect(self.make)
        self.end_button = button("Not now", self._card)
        self.end_button.setAccessibleName("Put the choice of lines away")
        self.end_button.clicked.connect(self.put_away)
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(self.make_button, 2)
        row.addWidget(self.end_button, 1)
        for part in (self._words, self.list, self.single, self._says):
            self._card.body.addWidget(part)
        self._card.body.addLayout(row)
        self._card.hide()
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(6)
        whole.addWidget(self.open_button)
        whole.addWidget(self._card)
        self.work.changed.connect(self._on_read)
        adapter.changed.connect(self._on_changed)
        adapter.storey_changed.connect(self._on_changed)
        adapter.stage_changed.connect(self.put_away)
        self._on_changed()

    # -- what the window asks -----------------------------------------------------------------------------------

    @property
    def is_open(self) -> bool:
        """Whether lines are being chosen."""
        return not self._card.isHidden()

    @property
    def says(self) -> str:
        """What is said of the lines that are chosen."""
        return self._says.text()

    @property
    def found(self) -> FoundWalls | None:
        """The walls of the lines that are chosen, None while they are looked for."""
        return self._found

    def can_open(self) -> bool:
        """Whether there is a drawing made of lines under the storey."""
        return self.work.sheet(self._adapter.storey) is not None and not self._adapter.document.read_only

    def turn(self) -> None:
        """Open the choice of lines, or put it away."""
        if self.is_open:
            self.put_away()
        else:
            self.open()

    def open(self) -> None:
        """Show which lines there are, and what walls they would make."""
        why_not = self._why_not()
        if why_not:
            self._adapter.refuse(why_not)
            self.open_button.setChecked(False)
            return
        self._of, self._found = None, None
        self._card.show()
        self.open_button.setChecked(True)
        self._on_read()
        self.list.setFocus()
        QTimer.singleShot(0, self._come_into_sight)

    def put_away(self, *_: object) -> None:
        """Put the choice away; nothing is made."""
        if self.is_open:
            now = QApplication.focusWidget()
            if now is not None and self._card.isAncestorOf(now):
                self.open_button.setFocus()  # or the next field of the panel would get it, far below
            self._drop()
            self._card.hide()
        self.open_button.setChecked(False)

    def make(self) -> None:
        """Make the walls that are shown; one undo takes them back."""
        adapter = self._adapter
        if not self.is_open:
            return
        if self._found is None:
            adapter.refuse(self._says.text() or "The walls are still being looked for; wait a moment.")
            return
        found, storey = self._found, adapter.storey
        before = set(adapter.home.table(Wall))
        if adapter.do(lambda home: walls_change(home, storey, found)) is None:
            return
        new = [wall for wall in adapter.home.sorted(Wall) if wall.id not in before]
        doors = sum(opening.kind == "door" for wall in new for opening in wall.openings)
        left = len(found.walls) - len(new)
        told = f"{_many(len(new), 'wall')} made" + (f" with {_many(doors, 'door')}" if doors else "")
        told += f"; {left} were there already" if left else ""
        self.put_away()
        adapter.say(f"{told}. Click a wall to say what it is built of; one undo takes them all back.")

    # -- inside -------------------------------------------------------------------------------------------------

    def _why_not(self) -> str:
        sheet = self.work.sheet(self._adapter.storey)
        if sheet is None:
            return "There is no drawing made of lines on this storey; bring in a DXF, a PDF or an SVG."
        if not has_scale(sheet):
            return "This plan has no scale yet; set it first, so that the walls come to size."
        return ""

    def _come_into_sight(self) -> None:
        parent = self.parentWidget()
        while parent is not None:
            if isinstance(parent, QScrollArea):
                parent.ensureWidgetVisible(self._card, 0, 6)
                parent.ensureWidgetVisible(self.open_button, 0, 6)
            parent = parent.parentWidget()

    def _on_open(self) -> None:
        if self.open_button.isChecked():
            self.open()
        else:
            self.put_away()

    def _on_read(self) -> None:
        """Show the groups once the drawing has been read."""
        if not self.is_open:
            return
        storey = self._adapter.storey
        read = self.work.read(storey)
        if read is self._of and read is not None:
            return
        self._of = read
        self._groups = groups_of(read.drawing) if read is not None else ()
        self._fill()
        if read is None:
            failure = self.work.failure(storey)
            self._words.setText(failure or "Reading the drawing…")
        elif not self._groups:
            self._words.setText("There are no lines in this drawing; it is a picture. Outline its rooms instead.")
        else:
            self._words.setText("Choose the lines that walls are drawn with.")
        self._on_chosen()

    def _fill(self) -> None:
        likely = likely_walls(self._groups)
        if sum(group.count for group in likely) > MOST_LINES:
            likely = ()
        blocked = self.list.blockSignals(True)  # Qt's own signature
        self.list.clear()
        for group in self._groups:
            item = QListWidgetItem(f"{group.words} · {group.count:,}")
            item.setToolTip(group.words)
            item.setSizeHint(QSize(0, _ROW_PX))
            item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Checked if group in likely else Qt.CheckState.Unchecked)
            self.list.addItem(item)
        self.list.blockSignals(blocked)
        self.list.setFixedHeight(_ROW_PX * max(_ROWS[0], min(_ROWS[1], len(self._groups))) + 4)
        self.list.setVisible(len(self._groups) > 1)
        self.single.setVisible(bool(self._groups))
        self.single.setMinimumHeight(TARGET_PX)

    def _chosen(self) -> list[LineGroup]:
        checked = Qt.CheckState.Checked
        return [group for n, group in enumerate(self._groups) if self.list.item(n).checkState() == checked]

    def _single_mm(self) -> float | None:
        typed = self.single.text().strip()
        if not typed:
            return None
        thick = float(parse_room_length_mm(typed))
        if not _THICK_MM[0] <= thick <= _THICK_MM[1]:
            raise HomeError("A wall is between 20 mm and 1 m thick; type how thick it is, like 100 mm.")
        return thick

    def _on_chosen(self, *_: object) -> None:
        self._found = None
        self._show()
        self._later.start()

    def _look(self) -> None:
        """Look for the walls of what is chosen, off the window's thread."""
        sheet, read = self.work.sheet(self._adapter.storey), self._of
        if not self.is_open or sheet is None or sheet.px_to_plan_mm is None or read is None or not self._groups:
            return
        self._stop()
        chosen = self._chosen()
        if not chosen:
            self._tell("Choose at least one group of lines.")
            return
        try:
            single = self._single_mm()
        except PersonError as error:
            self._tell(str(error))
            return
        self._tell("Looking for walls…")
        self._job = Work(partial(_walls, read, chosen, sheet.px_to_plan_mm, single), self)
        self._job.done.connect(self._on_found)
        self._job.failed.connect(self._on_failed)
        self._job.start()

    def _on_found(self, found: FoundWalls) -> None:
        self._job, self._found = None, found
        doors = f", {_many(found.doors, 'door')} in them" if found.doors else ""
        said = f"{_many(len(found.walls), 'wall')}{doors}."
        if found.walls and found.singles and not self.single.text().strip():
            one = found.singles == 1
            said += f" {_many(found.singles, 'line')} {'stands' if one else 'stand'} alone; say how thick to take "
            said += "it too." if one else "them too."
        self._tell(said if found.walls else nothing_found(found))
        self._show()

    def _on_failed(self, sentence: str) -> None:
        self._job = None
        self._tell(sentence)

    def _tell(self, sentence: str) -> None:
        self._says.setText(sentence)

    def _show(self) -> None:
        self.make_button.setEnabled(self._found is not None and bool(self._found.walls))
        self.ghosted.emit(ghost_marks(self._found.walls) if self._found is not None else ())

    def _stop(self) -> None:
        job, self._job = self._job, None
        if job is not None:
            job.done.disconnect(self._on_found)
            job.failed.disconnect(self._on_failed)
            job.stop()

    def _drop(self) -> None:
        self._stop()
        self._later.stop()
        self._found, self._of = None, None
        self.ghosted.emit(())

    def _on_changed(self, *_: object) -> None:
        can = self.can_open()
        self.open_button.setEnabled(can)
        self.setVisible(self.work.sheet(self._adapter.storey) is not None)
        if self.is_open and (not can or self._why_not()):
            self.put_away()
        elif self.is_open:
            self._on_read()
            self._on_chosen()


def _walls(
    read: ReadLines, chosen: list[LineGroup], matrix: Transform, single_mm: float | None, _ticket: Ticket
) -> FoundWalls:
    import numpy as np

    which = np.sort(np.concatenate([group.which for group in chosen]))
    every = read.drawing.segments
    lines = placed(every[which], matrix)
    return find_walls(lines, single_mm=single_mm, behind=placed(every, matrix))


def ghost_marks(walls: tuple[LineWall, ...]) -> tuple[Mark, ...]:
    """Give walls that are not there yet as marks, their openings left open."""
    marks: list[Mark] = []
    for wall in walls:
        (ax, ay), (bx, by) = wall.a_mm, wall.b_mm
        long = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5 or 1.0
        ux, uy, half = (bx - ax) / long, (by - ay) / long, wall.thickness_mm / 2
        ends = [0.0]
        for opening in wall.openings:
            ends += [float(opening.along_mm), float(opening.along_mm + opening.width_mm)]
        ends.append(long)
        for start, end in zip(ends[::2], ends[1::2], strict=True):
            if end - start < 1:
                continue
            box = tuple(
                (ax + ux * along - uy * aside, ay + uy * along + ux * aside)
                for along, aside in ((start, -half), (end, -half), (end, half), (start, half))
            )
            marks.append(Area("overlay", (box,), "select", Ink("select", 1.5), 0.35))
    return tuple(marks)


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"
