"""Whether the doors of a plan agree with its scale: those in its walls, else those seen in the drawing itself."""

from functools import partial
from typing import Final

from PySide6.QtCore import QObject, Signal

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.stages.scaling import door_widths_mm, matrix_of, widths_on_plan_mm
from circuitmap.desk.work import Work
from circuitmap.errors import PersonError
from circuitmap.home.records import Sheet
from circuitmap.jobs import Ticket
from circuitmap.pictures import grey_levels
from circuitmap.plan.scale import door_check
from circuitmap.plan.sheet import Spot

_LONGEST_PX: Final = 2400  # a door of a home's plan is some 20 pixels wide then, and reading takes a fraction as long
Ends = tuple[tuple[Spot, Spot], ...]


class DoorsSeen(QObject):
    """Judges a scale by the doors; ``judged`` brings the sheet's id and a sentence, "" when they agree or none is."""

    judged = Signal(str, str)

    def __init__(self, adapter: Adapter, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._seen: tuple[str, Ends] | None = None
        self._job: Work | None = None

    def judge(self, sheet: Sheet) -> None:
        """Judge how a sheet lies now: at once by the doors in walls, or off the window's thread by the drawing."""
        widths = door_widths_mm(self._adapter.home, sheet.storey)
        if widths:
            self.judged.emit(sheet.id, door_check(widths, self._adapter.trade))
        elif self._seen is not None and self._seen[0] == _key(sheet):
            self._say(sheet, self._seen[1])
        elif self._job is None:
            try:
                data = self._adapter.document.asset(sheet.asset)
            except PersonError:
                return  # the canvas has said already that the picture is missing
            work = partial(_look, sheet.id, _key(sheet), data, sheet.page, sheet.width_px or 0)
            self._job = Work(work, self)
            self._job.done.connect(self._on_seen)
            self._job.failed.connect(self._on_failed)
            self._job.start()

    def _say(self, sheet: Sheet, ends: Ends) -> None:
        try:
            widths = widths_on_plan_mm(matrix_of(sheet), ends)
        except PersonError:
            return  # a sheet without a place says nothing of doors
        self.judged.emit(sheet.id, door_check(widths, self._adapter.trade))

    def _on_seen(self, seen: tuple[str, str, Ends]) -> None:
        sheet_id, key, ends = seen
        self._job, self._seen = None, (key, ends)
        sheet = self._adapter.home.find(Sheet, sheet_id)
        if sheet is not None and _key(sheet) == key and sheet.scale_note:
            self._say(sheet, ends)

    def _on_failed(self, _sentence: str) -> None:
        # No room closes in this drawing, so no gap in it can be called a door.
        self._job = None


def _look(sheet_id: str, key: str, data: bytes, page: int, width_px: int, ticket: Ticket) -> object:
    import numpy as np

    from circuitmap.plan.tracing import analyse

    levels = grey_levels(data, page=page)
    level = next((one for one in levels if max(one.width_px, one.height_px) <= _LONGEST_PX), levels[-1])
    grey = np.frombuffer(level.greys, np.uint8).reshape(level.height_px, level.width_px)
    times = (width_px or level.width_px) / level.width_px
    found = analyse(grey, ticket=ticket)
    ends = {
        tuple((x * times, y * times) for x, y in (door.a_px, door.b_px))
        for room in found.all_rooms()
        for door in room.doors
        if door.kind == "opening"
    }
    return sheet_id, key, tuple(sorted(ends))


def _key(sheet: Sheet) -> str:
    return f"{sheet.asset} {sheet.page}"
