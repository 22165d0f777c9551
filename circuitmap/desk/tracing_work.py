"""The plan under a storey, analysed off the window's thread so that clicks in its rooms are answered at once."""

import re
from collections import Counter, OrderedDict
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, QTimer, Signal

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.stages.bring_in import has_scale
from circuitmap.desk.work import Work
from circuitmap.errors import HomeError, PersonError
from circuitmap.home.records import Sheet
from circuitmap.jobs import Ticket
from circuitmap.pictures import decode_rgba, is_line_drawing, linework, look
from circuitmap.plan import to_px
from circuitmap.plan.room_names import PlanWords, words_of
from circuitmap.plan.sheet import Transform
from circuitmap.plan.traced import Traced, on_plan

if TYPE_CHECKING:
    from circuitmap.plan.tracing import Opening, Outlined, Sheeted

_KEPT: Final = 2  # sheets; the analysis of a large one takes some 40 MB
_LATER_MS: Final = 60
_AT: Final = re.compile(r"\(-?\d+, -?\d+\)")
Key = tuple[str, str, int]  # the sheet, its asset and page: another revision of it is another key


@dataclass(frozen=True)
class Analysis:
    """What is kept of an analysed sheet, and what leads from its pixels to the sheet's."""

    found: "Sheeted"
    words: tuple[PlanWords, ...]
    shift_px: float
    sheet_px: float
    between: frozenset["Opening"] = frozenset()
    done: dict[tuple["Outlined", Transform], Traced] = field(default_factory=dict, repr=False)


class Tracer(QObject):
    """Reads the sheet under the storey on show; the last ones read are kept."""

    ready = Signal()  # the sheet that was asked for has been read
    changed = Signal()  # it has begun, gone on, stopped or failed
    look_again = Signal()  # what the pointer was over a moment ago may be looked up now

    def __init__(self, adapter: Adapter, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._held: OrderedDict[Key, Analysis] = OrderedDict()
        self._job: Work | None = None
        self._key: Key | None = None
        self._words = ""
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(_LATER_MS)
        self._later.timeout.connect(self.look_again)
        adapter.changed.connect(self._on_changed)
        adapter.storey_changed.connect(self._on_storey)

    # -- what is there ------------------------------------------------------------------------------------------

    def why_not(self) -> str:
        """Say what has to be done before rooms can be traced, "" when nothing has."""
        sheet = self._sheet()
        if sheet is None:
            return "There is no plan on this storey yet; bring one in first (Ctrl+I), or draw rooms by their corners."
        if not has_scale(sheet) or sheet.px_to_plan_mm is None:
            return "This plan has no scale yet; set it first, so that the outlines come to size."
        return ""

    @property
    def is_ready(self) -> bool:
        """Whether the sheet on show has been read."""
        sheet = self._sheet()
        return sheet is not None and _key(sheet) in self._held

    @property
    def is_busy(self) -> bool:
        """Whether a sheet is being read."""
        return self._job is not None

    @property
    def progress(self) -> str:
        """How far the reading is, in words."""
        return self._words if self.is_busy else ""

    @property
    def kept(self) -> int:
        """How many sheets are kept."""
        return len(self._held)

    def room_at(self, x_mm: float, y_mm: float) -> Traced:
        """Give the room at a spot of the plan; the sheet must have been read.

        Raises
        ------
        PersonError
            When no outline can be given for the spot: on a wall, outside, no walls that close round it.
        """
        sheet, analysis = self._read()
        matrix = _matrix(sheet)
        x, y = to_px(matrix, x_mm, y_mm)
        spot = x / analysis.sheet_px - analysis.shift_px, y / analysis.sheet_px - analysis.shift_px
        try:
            found = analysis.found.room_at(*spot)
        except PersonError as error:
            raise HomeError(_without_px(str(error))) from error
        return self._on_plan(found, matrix, analysis)

    def all_rooms(self) -> tuple[Traced, ...]:
        """Give every room of the sheet that can be one; the sheet must have been read."""
        sheet, analysis = self._read()
        matrix = _matrix(sheet)
        rooms = []
        for found in analysis.found.all_rooms():
            try:
                rooms.append(self._on_plan(found, matrix, analysis))
            except HomeError:
                continue  # a scrap between lines is no room, and nobody asked for it
        return tuple(rooms)

    # -- wishes -------------------------------------------------------------------------------------------------

    def begin(self) -> None:
        """Begin reading the sheet on show, unless it has been read or is being read."""
        sheet = self._sheet()
        if sheet is None or self.why_not() or self.is_ready or (self._job is not None and self._key == _key(sheet)):
            return
        self.stop()
        try:
            data = self._adapter.document.asset(sheet.asset)
        except PersonError as error:
            self._adapter.refuse(str(error))
            return
        width_px = sheet.width_px or 0
        self._key, self._words = _key(sheet), "opening it"
        self._job = Work(partial(_analysed, data, sheet.page, width_px), self)
        self._job.done.connect(self._on_done)
        self._job.failed.connect(self._on_failed)
        self._job.ticked.connect(self._on_ticked)
        self._job.start()
        self.changed.emit()

    def stop(self) -> None:
        """Stop reading; what was found so far is thrown away."""
        if self._job is not None:
            self._job.stop()
            self._let_go()
            self.changed.emit()

    def look_later(self) -> None:
        """Have ``look_again`` said in a moment."""
        if not self._later.isActive():
            self._later.start()

    # -- inside -------------------------------------------------------------------------------------------------

    def _sheet(self) -> Sheet | None:
        return self._adapter.sheet

    def _read(self) -> tuple[Sheet, Analysis]:
        sheet = self._sheet()
        if sheet is None or _key(sheet) not in self._held:
            raise HomeError("The plan has not been read yet; wait a moment.")
        self._held.move_to_end(_key(sheet))
        return sheet, self._held[_key(sheet)]

    def _on_plan(self, found: "Outlined", matrix: Transform, analysis: Analysis) -> Traced:
        known = analysis.done.get((found, matrix))
        if known is None:
            known = on_plan(found, matrix, analysis.words, self._adapter.trade,
                            shift_px=analysis.shift_px, sheet_px=analysis.sheet_px,
                            between=analysis.between)  # fmt: skip
            analysis.done[found, matrix] = known
        return known

    def _let_go(self) -> None:
        job, self._job, self._key, self._words = self._job, None, None, ""
        if job is not None:
            # Its last news may be under way already.
            job.done.disconnect(self._on_done)
            job.failed.disconnect(self._on_failed)
            job.ticked.disconnect(self._on_ticked)

    def _on_done(self, analysis: Analysis) -> None:
        key = self._key
        self._let_go()
        if key is not None:
            self._held[key] = analysis
            while len(self._held) > _KEPT:
                self._held.popitem(last=False)
        self.changed.emit()
        self.ready.emit()

    def _on_failed(self, sentence: str) -> None:
        self._let_go()
        self.changed.emit()
        self._adapter.refuse(_without_px(sentence))

    def _on_ticked(self, done: int, total: int, words: str) -> None:
        self._words = f"{words}, {done + 1} of {total}" if total and done < total else words
        self.changed.emit()

    def _on_changed(self, change: object) -> None:
        if change is None:
            self._held.clear()
        sheets = {_key(sheet) for sheet in self._adapter.home.table(Sheet).values()}
        for key in self._held.keys() - sheets:
            del self._held[key]
        if self._key is not None and (change is None or self._key not in sheets):
            self.stop()

    def _on_storey(self, _storey: str) -> None:
        sheet = self._sheet()
        if self._key is not None and (sheet is None or _key(sheet) != self._key):
            self.stop()


def _analysed(data: bytes, page: int, width_px: int, ticket: Ticket) -> Analysis:
    """Read a sheet: by its lines where it has any that close round rooms, else by its pixels."""
    import numpy as np

    from circuitmap.plan.tracing import TracingError, analyse, grey_of

    words: tuple[PlanWords, ...] = ()
    if is_line_drawing(data):
        ticket.tick(0, 0, "lines and words")
        info = look(data, page=page)
        drawing = linework(info, page)
        words = words_of(drawing.texts)
        if len(drawing.segments):
            blank = np.broadcast_to(np.uint8(255), (info.height_px, info.width_px))
            try:
                found = analyse(blank, ticket=ticket, lines=drawing.segments)
            except TracingError:
                found = None  # a frame round a scanned page: its pixels may hold more
            if found is not None and found.count:
                return Analysis(found, words, 0.0, 1.0, _between(found))
    ticket.tick(0, 0, "its pixels")
    # In colours: a yellow wall is hardly grey at all.
    width, height, pixels = decode_rgba(data, page=page)
    ticket.tick(0, 0, "its pixels")
    grey = grey_of(np.frombuffer(pixels, np.uint8).reshape(height, width, 4))
    del pixels
    found = analyse(grey, ticket=ticket)
    return Analysis(found, words, 0.5, (width_px or width) / width, _between(found))


def _between(found: "Sheeted") -> frozenset["Opening"]:
    """Give the openings that two rooms have in common; every room is outlined here, so that clicks needn't."""
    times = Counter(door for room in found.all_rooms() for door in room.doors)
    return frozenset(door for door, count in times.items() if count > 1)


def _key(sheet: Sheet) -> Key:
    return sheet.id, sheet.asset, sheet.page


def _matrix(sheet: Sheet) -> Transform:
    if sheet.px_to_plan_mm is None:
        raise HomeError("This plan has no scale yet; set it first.", sheet.id)
    return sheet.px_to_plan_mm


def _without_px(sentence: str) -> str:
    """Give a sentence of the tracer's as one says it beside the plan, where nobody knows its pixels."""
    said = _AT.sub("this spot", sentence)
    return said[:1].upper() + said[1:]
