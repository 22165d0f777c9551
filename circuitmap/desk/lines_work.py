"""The line work under each storey, read off the window's thread the first time that somebody draws over it."""

from collections import OrderedDict
from dataclasses import dataclass
from functools import partial
from typing import Final

from PySide6.QtCore import QObject, Signal

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.stages.bring_in import sheet_of
from circuitmap.desk.work import Work
from circuitmap.errors import PersonError
from circuitmap.home.records import Sheet
from circuitmap.jobs import Ticket
from circuitmap.pictures import Linework, linework, look
from circuitmap.pictures.info import VECTOR
from circuitmap.plan.line_snap import LineGrid, SheetLines
from circuitmap.plan.sheet import Transform

_KEPT: Final = 2
Key = tuple[str, int]  # asset and page


@dataclass
class ReadLines:
    """A sheet's line work, laid out to snap to."""

    drawing: Linework
    grid: LineGrid
    laid: SheetLines | None = None

    def on(self, px_to_plan_mm: Transform) -> SheetLines:
        """Give it as the sheet lies."""
        if self.laid is None or self.laid.px_to_plan_mm != px_to_plan_mm:
            self.laid = SheetLines(self.grid, px_to_plan_mm)
        return self.laid


class LinesWork(QObject):
    """Reads line work when it is first asked for; the last sheets read are kept."""

    changed = Signal()  # reading has begun, ended or failed

    def __init__(self, adapter: Adapter, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._held: OrderedDict[Key, ReadLines] = OrderedDict()
        self._failed: dict[Key, str] = {}
        self._job: Work | None = None
        self._key: Key | None = None
        adapter.changed.connect(self._on_changed)

    # -- what is there ------------------------------------------------------------------------------------------

    def sheet(self, storey: str) -> Sheet | None:
        """Give the drawing made of lines under a storey, None where there is none."""
        adapter = self._adapter
        sheet = adapter.sheet if storey == adapter.storey else sheet_of(adapter.home, storey)
        return sheet if sheet is not None and sheet.media in VECTOR and sheet.px_to_plan_mm is not None else None

    def under(self, storey: str) -> SheetLines | None:
        """Give the line work under a storey; where it has not been read yet, reading begins."""
        sheet, read = self.sheet(storey), self.read(storey)
        if sheet is None or sheet.px_to_plan_mm is None or read is None or not len(read.grid):
            return None
        return read.on(sheet.px_to_plan_mm)

    def read(self, storey: str) -> ReadLines | None:
        """Give what was read of the drawing under a storey; where nothing was yet, reading begins."""
        sheet = self.sheet(storey)
        if sheet is None:
            return None
        key = (sheet.asset, sheet.page)
        if key in self._held:
            self._held.move_to_end(key)
            return self._held[key]
        if self._job is None and key not in self._failed:
            self._begin(key)
        return None

    @property
    def is_busy(self) -> bool:
        """Whether a drawing is being read."""
        return self._job is not None

    def failure(self, storey: str) -> str:
        """Say why the drawing under a storey could not be read, "" where it could or nobody asked."""
        sheet = self.sheet(storey)
        return self._failed.get((sheet.asset, sheet.page), "") if sheet is not None else ""

    # -- inside -------------------------------------------------------------------------------------------------

    def _begin(self, key: Key) -> None:
        try:
            data = self._adapter.document.asset(key[0])
        except PersonError as error:
            self._failed[key] = str(error)
            return
        self._key = key
        self._job = Work(partial(_read, data, key[1]), self)
        self._job.done.connect(self._on_done)
        self._job.failed.connect(self._on_failed)
        self._job.start()
        self.changed.emit()

    def _on_done(self, read: ReadLines) -> None:
        key, self._job, self._key = self._key, None, None
        if key is not None:
            self._held[key] = read
            while len(self._held) > _KEPT:
                self._held.popitem(last=False)
        self.changed.emit()

    def _on_failed(self, sentence: str) -> None:
        key, self._job, self._key = self._key, None, None
        if key is not None:
            self._failed[key] = sentence
        self.changed.emit()

    def _on_changed(self, change: object) -> None:
        if change is None:
            self._failed.clear()
        there = {(sheet.asset, sheet.page) for sheet in self._adapter.home.table(Sheet).values()}
        for key in self._held.keys() - there:
            del self._held[key]


def _read(data: bytes, page: int, _ticket: Ticket) -> ReadLines:
    drawing = linework(look(data, page=page), page)
    return ReadLines(drawing, LineGrid(drawing.segments))
