"""What is wished and what is to go, over the plan; and the option that is pointed at, with its routes."""

from collections.abc import Mapping

from PySide6.QtCore import QObject

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.canvas.view import PlanView
from circuitmap.desk.extend_state import ExtendState
from circuitmap.drawing.marks import Mark
from circuitmap.drawing.plan import plan_marks, stands_on
from circuitmap.drawing.promise_marks import going_ids, going_marks, option_marks, wish_marks
from circuitmap.home.records import Extension

Marks = tuple[Mark, ...]


def wishes_shown(adapter: Adapter, state: ExtendState, storey: str) -> Mapping[str, Marks]:
    """Give the wishes of the extension that is looked at, by a key that is no record's id; none once it is done."""
    extension = state.extension
    if extension is None or extension.done_on is not None or state.is_planned:
        return {}
    home, memo = adapter.home, adapter.memo
    stands = stands_on(home, storey, memo)
    parts = (stands, extension, state.wish)
    marks = memo.get("desk wishes", storey, parts, lambda: wish_marks(home, storey, extension.wishes, stands, parts[2]))
    return {"wishes": marks} if marks else {}


def goes_shown(adapter: Adapter, storey: str, drawn: Mapping[str, Marks]) -> Mapping[str, Marks]:
    """Give the marks on what planned work is going to take out."""
    home, memo = adapter.home, adapter.memo
    ids = memo.get("desk going", "", (home.table(Extension),), lambda: going_ids(home))
    if not ids:
        return {}
    stands = stands_on(home, storey, memo)
    marks = memo.steady("desk going marks", storey, going_marks(ids, stands, drawn))
    return {"goes": marks} if marks else {}


class OptionGhost(QObject):
    """Keeps the routes and new points of the option that is shown over the plan, on the storey that is in sight."""

    def __init__(self, adapter: Adapter, state: ExtendState, view: PlanView) -> None:
        super().__init__(view)
        self._adapter, self._state, self._view = adapter, state, view
        self._is_on = False
        state.shown_changed.connect(self.refresh)
        adapter.storey_changed.connect(self.refresh)
        adapter.stage_changed.connect(self.refresh)
        adapter.changed.connect(self.refresh)

    def refresh(self, *_: object) -> None:
        """Show what is to be shown now; another stage's ghost is left alone."""
        options = self._state.shown_options if self._adapter.stage == "extend" and self._adapter.storey else ()
        if not options and not self._is_on:
            return
        self._is_on = bool(options)
        self._view.set_ghost(self._marks() if options else ())

    def _marks(self) -> Marks:
        adapter, storey = self._adapter, self._adapter.storey
        home, memo = adapter.home, adapter.memo
        stands = stands_on(home, storey, memo)
        drawn = plan_marks(home, storey, views=adapter.views, deduced=adapter.deduced, memo=memo)
        return tuple(
            mark
            for option in self._state.shown_options
            for mark in option_marks(home, storey, option.change, (r.path for r in option.routes), stands, drawn)
        )
