"""What stands below the stage's panel: it gives way where the panel needs the height (a survey, readings, options)."""

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.extend_asking import STAGE as EXTEND
from circuitmap.desk.stages.hand_over import STAGE as HAND_OVER
from circuitmap.desk.stages.readings import STAGE as READINGS
from circuitmap.desk.visit import STAGE, SurveyCursor


class Below(QObject):
    """Shows what is selected below the panel; while one walks, asks for agreement or reads, only when asked."""

    def __init__(self, adapter: Adapter, cursor: SurveyCursor, widget: QWidget) -> None:
        super().__init__(widget)
        self._adapter, self._cursor, self._widget = adapter, cursor, widget
        self._is_asked = False
        self._gives_way = False
        self._has_page = False
        self._before: tuple[str, ...] | None = None  # what was selected when the stage or the step became another
        adapter.stage_changed.connect(self._on_moved)
        cursor.step_changed.connect(self._on_moved)
        adapter.selected.connect(self.refresh)
        cursor.changed.connect(self.refresh)
        self.refresh()

    def ask(self) -> None:
        """Show it until the stage or the step is another."""
        self._is_asked = True
        self.refresh()

    def give_way(self, *, to_all: bool) -> None:
        """Keep it out of sight whatever is selected, or no longer."""
        self._gives_way = to_all
        self.refresh()

    def give_way_to_page(self, *, is_on: bool) -> None:
        """Keep it out of sight, until it is asked for, while a page to read is in the panel's place."""
        if is_on or self._has_page:
            self._has_page, self._is_asked = is_on, False
            self.refresh()

    def refresh(self, *_: object) -> None:
        """Show it or not."""
        if self._adapter.selection != self._before:
            self._before = None
        surveys = self._adapter.stage == STAGE
        is_busy = self._cursor.round is not None or bool(self._cursor.pending)
        reads = self._adapter.stage in (READINGS, EXTEND, HAND_OVER)
        is_chosen_here = bool(self._adapter.selection) and self._before is None
        wanted = not self._has_page and ((not surveys and not reads) or (surveys and is_chosen_here and not is_busy))
        self._widget.setVisible(not self._gives_way and (self._is_asked or wanted))

    def _on_moved(self, _to: str) -> None:
        self._is_asked = False
        self._before = self._adapter.selection
        self.refresh()
