"""Going round: plan and answers fill the window, the next point in the middle of it; Esc gives the rest back."""

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, Qt, QTimer
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QWidget

from circuitmap.desk.visit import STAGE

if TYPE_CHECKING:
    from circuitmap.desk.window import Window

_WIDER_PX: Final = 64


class GoRound(QObject):
    """Hides what a walk has no use for, and shows it again."""

    def __init__(self, window: "Window", in_the_way: tuple[QWidget, ...], side: QWidget) -> None:
        super().__init__(window)
        self._window, self._in_the_way, self._side = window, in_the_way, side
        self._is_on = False
        self._hidden: list[QWidget] = []
        self._escape = QShortcut(QKeySequence(Qt.Key.Key_Escape), window.view, self.leave)
        self._escape.setContext(Qt.ShortcutContext.WidgetShortcut)
        self._escape.setEnabled(False)
        window.survey_stage.left.connect(self.leave)
        window.survey_stage.go_round.clicked.connect(self.turn)
        window.adapter.stage_changed.connect(self._on_stage_changed)
        window.cursor_.point_changed.connect(self._on_point_changed)

    @property
    def is_on(self) -> bool:
        """Whether plan and answers fill the window."""
        return self._is_on

    def can_turn(self) -> bool:
        """Whether there is a walk to go round on, or a go-round to be left."""
        return self._is_on or (self._window.adapter.stage == STAGE and self._window.cursor_.round is not None)

    def turn(self) -> None:
        """Begin to go round, or leave it."""
        if self._is_on:
            self.leave()
        else:
            self.enter()

    def enter(self) -> None:
        """Let plan and answers fill the window."""
        window = self._window
        if self._is_on or not self.can_turn():
            window.adapter.refuse("Begin a look or a switch-off first; then go round.")
            return
        self._is_on = True
        if window.is_listing:
            window.show_plan()
        self._hidden = [widget for widget in self._in_the_way if not widget.isHidden()]
        for widget in self._hidden:
            widget.hide()
        window.below.give_way(to_all=True)
        self._side.setFixedWidth(self._side.width() + _WIDER_PX)
        self._escape.setEnabled(True)
        window.survey_stage.set_going_round(is_on=True)
        window.survey_stage.panel.setFocus()
        window.actions_.refresh()
        QTimer.singleShot(0, self._centre)

    def leave(self) -> None:
        """Give the window back its other parts."""
        if not self._is_on:
            return
        self._is_on = False
        for widget in self._hidden:
            widget.show()
        self._hidden = []
        self._window.below.give_way(to_all=False)
        self._side.setFixedWidth(self._side.width() - _WIDER_PX)
        self._escape.setEnabled(False)
        self._window.survey_stage.set_going_round(is_on=False)
        self._window.actions_.refresh()
        QTimer.singleShot(0, self._window.fit)

    def _centre(self) -> None:
        point = self._window.cursor_.point
        if self._is_on and point:
            self._window.view.bring_into_view((point,))

    def _on_point_changed(self, _point: str) -> None:
        self._centre()

    def _on_stage_changed(self, stage: str) -> None:
        if stage != STAGE:
            self.leave()
