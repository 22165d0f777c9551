"""Handing over in its window: the stage at the side, the preview in the middle, its actions, the processes behind it.

Nothing of it is built before somebody comes to the stage.
"""

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QEvent, QObject, QSize, QTimer
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from circuitmap.desk.actions import Act
from circuitmap.desk.handing.kept import Homes
from circuitmap.desk.handing.press import Press
from circuitmap.desk.handing.preview import Preview
from circuitmap.desk.handing.printing import Printing
from circuitmap.desk.handing.saving import Saving
from circuitmap.desk.handing.showing import Showing
from circuitmap.desk.stages.hand_over import STAGE, HandOverStage
from circuitmap.paper import catalogue

if TYPE_CHECKING:
    from circuitmap.desk.frame import Frame
    from circuitmap.desk.window import Window

_REST_MS: Final = 120_000


class HandingOver(QObject):
    """What the window asks for documents."""

    def __init__(self, window: "Window", frame: "Frame") -> None:
        super().__init__(window)
        self._window = window
        self.page = frame.stage(_Page)
        self.preview_page = QWidget(frame.middle)
        self._stage: HandOverStage | None = None
        self._preview: Preview | None = None
        self.press, self.press_all = Press(self), Press(self)
        homes = Homes((self.press, self.press_all))
        adapter = window.adapter
        self.showing = Showing(adapter, self.press, homes, self)
        self.saving = Saving(adapter, self.showing, self.press_all, self)
        self.printing = Printing(self.press, self)
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self._on_rest)
        adapter.stage_changed.connect(self._on_stage_changed)
        adapter.shown.connect(self._on_shown)

    # -- built when it is needed --------------------------------------------------------------------------------

    @property
    def stage(self) -> HandOverStage:
        """The stage's panel."""
        if self._stage is None:
            window = self._window
            self._stage = HandOverStage(
                window.adapter, window.look, self.showing, self.saving, self.printing, catalogue.PAPERS, self.page
            )
            self.page.hold(self._stage)
            self._stage.show_wanted.connect(self.show_preview)
            for signal in (self.showing.changed, self.showing.chosen_changed, self.saving.changed):
                signal.connect(window.actions_.refresh)
            self.printing.changed.connect(window.actions_.refresh)
            self.printing.look_for_printers()
        return self._stage

    @property
    def preview(self) -> Preview:
        """What shows the document."""
        if self._preview is None:
            self._preview = Preview(self.showing, self.press, self._window.look, self.preview_page)
            inside = QVBoxLayout(self.preview_page)
            inside.setContentsMargins(0, 0, 0, 0)
            inside.addWidget(self._preview)
        return self._preview

    # -- in the window ------------------------------------------------------------------------------------------

    @property
    def is_shown(self) -> bool:
        """Whether the document is in the middle of the window."""
        return self._window.middle is self.preview_page

    def show_preview(self) -> None:
        """Put the document in the middle."""
        if self._window.adapter.stage == STAGE:
            _ = self.preview
            self._window.put_in_middle(self.preview_page)

    def close(self) -> None:
        """End the processes, and ask for nothing that would begin them again."""
        self.showing.set_looked_at(is_on=False)
        self.press.close()
        self.press_all.close()

    def _on_stage_changed(self, stage: str) -> None:
        is_here = stage == STAGE
        if is_here:
            self.press.begin()
            stage_ = self.stage
            self.show_preview()
            stage_.choices.refresh()
            stage_.keep_focus_on_list()
        elif self.is_shown:
            self._window.show_plan()
        self.showing.set_looked_at(is_on=is_here)
        if is_here:
            self._rest.stop()
        elif self._stage is not None:
            self._rest.start()

    def _on_rest(self) -> None:
        """End the processes when nobody has handed over anything for a while."""
        if self.saving.is_busy or self.printing.is_busy:
            self._rest.start()
        else:
            self.close()

    def _on_shown(self, _ids: tuple[str, ...]) -> None:
        if self.is_shown:
            self._window.show_plan()

    # -- actions ------------------------------------------------------------------------------------------------

    def acts(self) -> list[Act]:
        """Give the actions of this stage."""

        def is_here() -> bool:
            return self._window.adapter.stage == STAGE

        def can_ask_to_save() -> bool:
            return not (self.saving.is_busy or self.printing.is_busy)

        def can_print() -> bool:
            return is_here() and self.stage.can_print

        def is_busy() -> bool:
            return self.showing.is_busy or self.saving.is_busy or self.printing.is_busy

        return [
            Act("show-paper", "&Document", "Hand over", self.show_preview, "Ctrl+7", enabled=is_here,
                checked=lambda: self.is_shown, also=("preview", "paper", "page")),
            Act("paper-next", "&Next document", "Hand over", lambda: self.stage.list.step(1), "Alt+Down",
                enabled=is_here),
            Act("paper-before", "Document &before", "Hand over", lambda: self.stage.list.step(-1), "Alt+Up",
                enabled=is_here),
            Act("save-paper", "&Save the document", "Hand over", self.save, "Ctrl+S",
                "Save the document on show in the folder", enabled=can_ask_to_save,
                also=("export", "write", "pdf", "file")),
            Act("save-papers", "Save &all documents", "Hand over", lambda: self.stage.save_all(), "Ctrl+Shift+A",
                enabled=lambda: is_here() and not self.saving.is_busy, also=("export", "write", "everything")),
            Act("paper-folder", "Save into another &folder…", "Hand over", lambda: self.stage.choose_folder(),
                enabled=is_here),
            Act("print-paper", "&Print the document", "Hand over", lambda: self.stage.print_(), "Ctrl+Shift+D",
                enabled=can_print),
            Act("page-on", "Ne&xt page", "Hand over", lambda: self.preview.page_on(), "Alt+PgDown",
                enabled=lambda: self.is_shown),
            Act("page-back", "Page b&efore", "Hand over", lambda: self.preview.page_back(), "Alt+PgUp",
                enabled=lambda: self.is_shown),
            Act("fit-width", "Fit the &width", "Hand over", lambda: self.preview.pages.fit("width"), "Alt+W",
                enabled=lambda: self.is_shown),
            Act("fit-page", "Sh&ow the whole page", "Hand over", lambda: self.preview.pages.fit("page"), "Alt+0",
                enabled=lambda: self.is_shown),
            Act("paper-again", "Make it aga&in", "Hand over", self.showing.again, "Ctrl+Alt+A", enabled=is_here,
                also=("refresh", "show")),
            Act("stop-paper", "S&top", "Hand over", self.stop, "Ctrl+Alt+.", enabled=lambda: is_here() and is_busy(),
                also=("cancel", "halt")),
        ]  # fmt: skip

    def save(self) -> None:
        """Save the document on show; elsewhere say that there is nothing to save."""
        adapter = self._window.adapter
        if adapter.stage != STAGE:
            adapter.say("Every change is saved as it is made; documents are saved in Hand over (F7).")
        elif self.showing.is_settled and self.showing.refusal:
            adapter.refuse(self.showing.refusal)
        else:
            self.stage.save()

    def stop(self) -> None:
        """Stop what is under way."""
        if self.saving.is_busy or self.printing.is_busy:
            self.stage.stop()
        else:
            self.showing.stop()


class _Page(QWidget):
    """Where the stage will stand: as high as the window lets it, so that its ways out are always in sight."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("hand-over")
        self._held: QWidget | None = None

    def hold(self, stage: QWidget) -> None:
        """Hold the stage, once it is made."""
        self._held = stage
        self._fill()
        stage.show()

    def minimumSizeHint(self) -> QSize:
        """Ask for as much as the stage needs at least, not for as much as it would like."""
        return self._held.minimumSizeHint() if self._held is not None else QSize(0, 0)

    def sizeHint(self) -> QSize:
        """Ask for no more."""
        return self.minimumSizeHint()

    def event(self, event: QEvent) -> bool:
        """Ask again when the stage needs more or less."""
        if event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return super().event(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Give the stage the whole place."""
        super().resizeEvent(event)
        self._fill()

    def _fill(self) -> None:
        if self._held is not None:
            self._held.setGeometry(self.rect())
