"""What is wished and what is to go, over the plan; and the option that is pointed at, with its routes."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.canvas.view import PlanView
from circuitmap.desk.extend_state import ExtendState
from circuitmap.drawing.marks import Mark, PointMm
from circuitmap.drawing.plan import plan_marks, stands_on
from circuitmap.drawing.promise_marks import going_marks, option_marks, wish_marks
from circuitmap.home.phases import going
from circuitmap.home.records import Extension, Point
from circuitmap.plan.elevation import faces_on

if TYPE_CHECKING:
    from circuitmap.extension.kinds import Option

Marks = tuple[Mark, ...]
STAGE = "extend"
# A joint is in the box of a point that is shown, a blank plate where one goes: drawn, they would only hide it.
_UNSEEN = frozenset({"junction box", "blank plate"})


def goes_shown(adapter: Adapter, storey: str, drawn: Mapping[str, Marks]) -> Mapping[str, Marks]:
    """Give the marks on what planned work is going to take out."""
    home, memo = adapter.home, adapter.memo
    ids = memo.get("desk going", "", (home.table(Extension),), lambda: going(home))
    if not ids:
        return {}
    stands = stands_on(home, storey, memo)
    marks = memo.steady("desk going marks", storey, going_marks(ids, stands, drawn))
    return {"goes": marks} if marks else {}


class PromiseGhost(QObject):
    """Keeps the wishes over the plan, or in their place the routes and points of the option that is shown."""

    def __init__(self, adapter: Adapter, state: ExtendState, view: PlanView) -> None:
        super().__init__(view)
        self._adapter, self._state, self._view = adapter, state, view
        self._is_on = False
        state.changed.connect(self.refresh)
        state.shown_changed.connect(self.refresh)
        state.drawn_changed.connect(self.refresh)
        adapter.storey_changed.connect(self.refresh)
        adapter.stage_changed.connect(self.refresh)
        adapter.changed.connect(self.refresh)

    def refresh(self, *_: object) -> None:
        """Show what is to be shown now, in this stage alone."""
        is_on = self._adapter.stage == STAGE and bool(self._adapter.storey)
        if is_on or self._is_on:
            self._is_on = is_on
            self._view.set_promises(self._marks() if is_on else ())

    def _marks(self) -> Marks:
        state, storey = self._state, self._adapter.storey
        shown = state.shown_options if state.is_open else ()
        found: list[Mark] = []
        if shown:
            found += [mark for option in shown for mark in self._option(option, storey)]
        if state.is_open and state.wishes:
            stands = stands_on(self._adapter.home, storey, self._adapter.memo)
            done = {n for option in shown for n in option.wishes}
            found += wish_marks(storey, state.wishes, stands, state.wish, done)
        return tuple(found)

    def _option(self, option: "Option", storey: str) -> Marks:
        adapter = self._adapter
        home, memo = adapter.home, adapter.memo
        stands = stands_on(home, storey, memo)
        drawn = plan_marks(home, storey, views=adapter.views, deduced=adapter.deduced, memo=memo)
        faces: dict[str, PointMm] = {
            face.id: (-face.along_y, face.along_x) for face in faces_on(home, memo, adapter.trade, storey)
        }
        numbers = [n for n in option.wishes if n < len(self._state.wishes) and self._state.wishes[n].act != "remove"]
        called = {point: f"new, req. {n + 1}" for point, n in zip(option.points, numbers, strict=False)}
        for before, after in option.change.pairs:
            if before is None and isinstance(after, Point) and after.kind not in _UNSEEN:
                called.setdefault(after.id, "new")
        return option_marks(home, storey, option.change, self._state.paths_of(option), stands, drawn, faces, called)
