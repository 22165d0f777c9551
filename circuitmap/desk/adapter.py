"""The one link between a document and the widgets: news comes out of it as signals, wishes go in as calls.

It holds what the window is looking at (selection, storey, stage, tool), never a fact about the home.
"""

from collections.abc import Callable, Mapping

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QApplication

from circuitmap.circuits.views import CircuitView, views
from circuitmap.desk.stages.bring_in import sheet_of
from circuitmap.errors import PersonError
from circuitmap.findings.finding import Finding
from circuitmap.findings.run import run
from circuitmap.home import Change, Home
from circuitmap.home.document import Document
from circuitmap.home.records import Device, Point, Sheet, Storey
from circuitmap.memo import Memo
from circuitmap.plan.walls_follow import with_walls
from circuitmap.plan.where import place_of
from circuitmap.survey.deduce import Deduced
from circuitmap.survey.settle import settle
from circuitmap.trade import Trade


class Adapter(QObject):
    """What every widget of the window is handed."""

    changed = Signal(object)  # the Change that was made, or None when anything may have changed
    selected = Signal(object)  # tuple of record ids
    lit = Signal(object)  # frozenset of record ids lit up while something is pointed at
    shown = Signal(object)  # tuple of record ids to bring into view
    storey_changed = Signal(str)
    sheet_changed = Signal(str)  # the sheet that scaling and straightening go by, chosen among several of a storey
    stage_changed = Signal(str)
    tool_changed = Signal(str)
    said = Signal(str, bool)  # a sentence for the person; True when something was refused

    def __init__(self, document: Document, trade: Trade, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.trade = trade
        self._document = document
        self._selection: tuple[str, ...] = ()
        self._lit: frozenset[str] = frozenset()
        self._storey = self._sheet = ""
        self._stage = "draw"
        self._tool = "select"
        self._unlisten: Callable[[], None] = document.listen(self._on_changed)
        self._settle_storey()

    # -- the home and what follows from it ----------------------------------------------------------------------

    @property
    def document(self) -> Document:
        """The open document."""
        return self._document

    @property
    def home(self) -> Home:
        """The home as it is now."""
        return self._document.home

    @property
    def memo(self) -> Memo:
        """Where derived values are kept."""
        return self._document.memo

    @property
    def views(self) -> tuple[CircuitView, ...]:
        """One view per way, as things stand."""
        home = self.home
        return self.memo.get("desk views", "", (home, self.trade), lambda: views(home, self.trade, self.memo))

    @property
    def deduced(self) -> Mapping[str, Deduced]:
        """What the switch-offs say of each point."""
        home = self.home
        return self.memo.get("desk deduced", "", (home, self.trade), lambda: settle(home, self.memo, self.trade))

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, worst first, facts after them."""
        home = self.home
        return self.memo.get("desk findings", "", (home, self.trade), lambda: run(home, self.trade, self.memo))

    def view_of(self, device_id: str) -> CircuitView | None:
        """Give the view of a way."""
        return next((view for view in self.views if view.device.id == device_id), None)

    def views_of(self, record_id: str) -> tuple[CircuitView, ...]:
        """Give the views that a device, point or run belongs to."""
        record = self.home.peek(record_id)
        if isinstance(record, Device):
            view = self.view_of(record_id)
            return (view,) if view else ()
        if isinstance(record, Point):
            return tuple(v for v in self.views if any(m.point.id == record_id for m in v.members))
        return tuple(v for v in self.views if any(r.id == record_id for r in v.runs))

    def area_served(self, device_id: str) -> frozenset[str]:
        """Give the ids of everything that a way feeds, itself included."""
        view = self.view_of(device_id)
        ids = {device_id}
        if view is not None:
            ids.update(member.point.id for member in view.members)
            ids.update(run.id for run in view.runs)
            ids.update(board.id for board in view.boards_fed)
        return frozenset(ids)

    # -- wishes -------------------------------------------------------------------------------------------------

    def do(self, make: Change | Callable[[Home], Change]) -> tuple[str, ...] | None:
        """Make a change; give the ids of the records it brought in, or None when it was refused (and say why)."""
        try:
            change = make if isinstance(make, Change) else make(self.home)
            change = with_walls(self.home, change, self.trade)
            self._document.do(change)
        except PersonError as error:
            self.said.emit(str(error), True)
            return None
        return change.added()

    def do_with(
        self, make: Callable[[Home], Change], assets: Mapping[str, tuple[str, bytes]]
    ) -> tuple[str, ...] | None:
        """Make a change that names new assets (by hash: media type and bytes)."""
        try:
            change = make(self.home)
            self._document.do(change, assets)
        except PersonError as error:
            self.said.emit(str(error), True)
            return None
        return change.added()

    def undo(self) -> None:
        """Take the last change back."""
        self._step(self._document.undo, self._document.undo_title, "Undone")

    def redo(self) -> None:
        """Make the change last taken back again."""
        self._step(self._document.redo, self._document.redo_title, "Done again")

    def _step(self, step: Callable[[], object], title: str | None, words: str) -> None:
        try:
            step()
        except PersonError as error:
            self.said.emit(str(error), True)
            return
        if title:
            self.said.emit(f"{words}: {title}.", False)

    def refuse(self, sentence: str) -> None:
        """Say why something can't be done."""
        self.said.emit(sentence, True)

    def say(self, sentence: str) -> None:
        """Say something in passing."""
        self.said.emit(sentence, False)

    # -- what the window is looking at --------------------------------------------------------------------------

    @property
    def selection(self) -> tuple[str, ...]:
        """The ids of what is selected."""
        return self._selection

    def select(self, *ids: str) -> None:
        """Select some records and nothing else."""
        kept = tuple(i for i in dict.fromkeys(ids) if self.home.peek(i) is not None)
        if kept != self._selection:
            self._selection = kept
            self.selected.emit(kept)
            sheets = [i for i in kept if isinstance(self.home.peek(i), Sheet)]
            if len(sheets) == 1:
                self.choose_sheet(sheets[0])

    @property
    def lit_ids(self) -> frozenset[str]:
        """The ids of what is lit up."""
        return self._lit

    def light(self, ids: frozenset[str] = frozenset()) -> None:
        """Light up some records while something is pointed at."""
        if ids != self._lit:
            self._lit = ids
            self.lit.emit(ids)

    def show(self, *ids: str) -> None:
        """Select records and bring them into view, on their storey."""
        self.select(*ids)
        for record_id in ids:
            record = self.home.peek(record_id)
            place = place_of(self.home, record) if record is not None else None
            storey = place.storey if place else getattr(record, "storey", None)
            if storey:
                self.set_storey(storey)
                break
        self.shown.emit(ids)

    @property
    def storey(self) -> str:
        """The id of the storey on the canvas, empty while there is none."""
        return self._storey

    def set_storey(self, storey: str) -> None:
        """Put a storey on the canvas."""
        if storey != self._storey:
            self._storey = storey
            self.storey_changed.emit(storey)

    @property
    def sheet(self) -> Sheet | None:
        """The sheet under the storey that is scaled and straightened: the one chosen, else the one that came last."""
        return sheet_of(self.home, self._storey, self._sheet) if self._storey else None

    def choose_sheet(self, sheet: str) -> None:
        """Choose a sheet among those under a storey."""
        if sheet != self._sheet:
            self._sheet = sheet
            self.sheet_changed.emit(sheet)

    def storeys(self) -> list[Storey]:
        """Give the storeys, highest first."""
        return sorted(self.home.table(Storey).values(), key=lambda s: (-s.level, s.id))

    def step_storey(self, up: int) -> None:
        """Go some storeys up (positive) or down."""
        ids = [storey.id for storey in self.storeys()]
        if self._storey in ids:
            self.set_storey(ids[max(0, min(len(ids) - 1, ids.index(self._storey) - up))])

    @property
    def stage(self) -> str:
        """The stage of the visit that the window is in."""
        return self._stage

    def set_stage(self, stage: str) -> None:
        """Go to a stage; the tool goes back to choosing."""
        if stage != self._stage:
            self._stage = stage
            self.set_tool("select")
            self.stage_changed.emit(stage)

    @property
    def tool(self) -> str:
        """The tool in hand on the canvas."""
        return self._tool

    def set_tool(self, tool: str) -> None:
        """Take a tool in hand."""
        if tool != self._tool:
            self._tool = tool
            self.tool_changed.emit(tool)

    # -- the document -------------------------------------------------------------------------------------------

    def switch(self, document: Document) -> None:
        """Go on with another document; the earlier one is closed."""
        _finish_typing()
        self._unlisten()
        self._document.close()
        self._document = document
        self._unlisten = document.listen(self._on_changed)
        self._selection, self._lit, self._storey, self._sheet = (), frozenset(), "", ""
        self._settle_storey()
        self.selected.emit(())
        self.changed.emit(None)

    def close(self) -> None:
        """Let go of the document."""
        _finish_typing()
        self._unlisten()
        self._document.close()

    def _on_changed(self, change: Change, _revision: int) -> None:
        self._settle_storey()
        left = tuple(i for i in self._selection if self.home.peek(i) is not None)
        if left != self._selection:
            self._selection = left
            self.selected.emit(left)
        self.changed.emit(change)

    def _settle_storey(self) -> None:
        storeys = self.home.table(Storey)
        if self._storey not in storeys:
            lowest = min(storeys.values(), key=lambda s: (abs(s.level), s.id), default=None)
            self._storey = lowest.id if lowest else ""
            self.storey_changed.emit(self._storey)


def _finish_typing() -> None:
    """Let a field that is being typed into save: its text belongs to the document that is about to go."""
    field = QApplication.focusWidget()
    if field is not None:
        field.clearFocus()
