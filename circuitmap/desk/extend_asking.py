"""Keeps the options of the extension that is looked at: asks for them beside the window whenever the map moves on."""

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, QTimer, Signal

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.causes_work import Latest
from circuitmap.desk.extend_state import ExtendState
from circuitmap.desk.extend_work import Drawn, Laid, Laying, Redrawing
from circuitmap.home import verbs_extend
from circuitmap.home.records import Extension

if TYPE_CHECKING:
    from circuitmap.extension.kinds import Option

STAGE: Final = "extend"
_REST_MS: Final = 120  # changes that follow each other so closely are answered together


class OptionsAsked(QObject):
    """The options laid out last, and whether they still hold."""

    changed = Signal()  # other options, or what is said of them
    ticked = Signal(int, int, str)

    def __init__(self, adapter: Adapter, state: ExtendState, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._state = adapter, state
        self._laid: Laid | None = None
        self._asked: tuple[object, Extension] | None = None
        self._is_stopped = False
        self._failed = ""
        self._latest = Latest(self)
        self._latest.done.connect(self._on_done)
        self._latest.failed.connect(self._on_failed)
        self._latest.ticked.connect(self.ticked)
        self._by_hand: dict[str, Option] = {}  # options with cables drawn by hand, by their names
        self._drawing = Latest(self)
        self._drawing.done.connect(self._on_redrawn)
        self._drawing.failed.connect(self._on_failed)
        state.drawn_changed.connect(self._on_drawn)
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(_REST_MS)
        self._settle.timeout.connect(self.ask)
        adapter.changed.connect(self._on_home)
        adapter.stage_changed.connect(self._on_moved)
        state.changed.connect(self._on_moved)

    @property
    def laid(self) -> Laid | None:
        """What was laid out last, for the extension that is looked at; None before the first time."""
        laid, extension = self._laid, self._state.extension
        if laid is None or laid.extension.id != (extension.id if extension is not None else self._next_id):
            return None
        return laid

    @property
    def is_current(self) -> bool:
        """Whether what was laid out still holds for the map and the wishes as they are."""
        laid = self.laid
        return laid is not None and self._holds(laid.home, laid.extension)

    @property
    def is_busy(self) -> bool:
        """Whether options are being worked out, or will be in a moment."""
        return self._latest.is_busy or self._settle.isActive()

    @property
    def is_stopped(self) -> bool:
        """Whether the person stopped the work."""
        return self._is_stopped

    @property
    def failed(self) -> str:
        """Why nothing could be laid out, in a sentence; empty where that isn't so."""
        return self._failed

    @property
    def picked(self) -> "tuple[Option, ...]":
        """The options that are picked, as far as they are among those laid out."""
        laid, extension = self.laid, self._state.extension
        if laid is None or extension is None or not extension.picked:
            return ()
        names = [name.strip() for name in extension.picked.split(";")]
        return tuple(option for option in laid.asking.options if option.key in names)

    @property
    def drawn(self) -> Drawn:
        """What was drawn by hand of the options laid out, by their names; those without such a cable left out."""
        options = self.laid.asking.options if self.laid is not None else ()
        found = {option.key: dict(self._state.drawn_of(option)) for option in options}
        return {key: paths for key, paths in found.items() if paths}

    def as_shown(self, option: "Option") -> "Option":
        """Give an option as it is shown: with its cables as they were drawn by hand, once that has been priced."""
        return self._by_hand.get(option.key, option)

    def set_method(
        self, *, lived_in: bool | None = None, others_make_good: bool | None = None, on_surface: bool | None = None
    ) -> bool:
        """Say how the work is done, in the home: everything is priced anew."""
        extension = self._state.extension
        return extension is not None and bool(
            self._adapter.do(
                lambda home: verbs_extend.set_method(
                    home, extension.id, lived_in=lived_in, others_make_good=others_make_good, on_surface=on_surface
                )
            )
            is not None
        )

    def ask(self) -> None:
        """Work the options out unless what there is still holds, or is on its way."""
        self._settle.stop()
        state, home = self._state, self._adapter.home
        if self._adapter.stage != STAGE or not state.is_open:
            self._drop()
            return
        extension = state.extension or Extension(id=self._next_id, name="")
        if self.is_current:
            self._drop()
            return
        if self._latest.is_busy and self._asked is not None and self._still(self._asked):
            return
        self._asked = home, extension
        self._is_stopped, self._failed = False, ""
        self._latest.ask(Laying(home, extension, self._adapter.trade, self._adapter.memo))
        self.changed.emit()

    def stop(self) -> None:
        """Ask no longer; what was laid out before stays on show."""
        if self.is_busy:
            self._settle.stop()
            self._latest.stop()
            self._is_stopped = True
            self.changed.emit()

    def again(self) -> None:
        """Work them out after a stop or a failure."""
        self._is_stopped, self._asked, self._failed = False, None, ""
        self.ask()

    # -- inside -------------------------------------------------------------------------------------------------

    @property
    def _next_id(self) -> str:
        return self._adapter.home.next_id(Extension)

    def _drop(self) -> None:
        if self._latest.is_busy:
            self._latest.stop()
            self.changed.emit()

    def _still(self, asked: tuple[object, Extension]) -> bool:
        return self._holds(*asked)

    def _holds(self, laid_out: object, extension: Extension) -> bool:
        from circuitmap.extension.accept import has_moved_on
        from circuitmap.home import Home

        assert isinstance(laid_out, Home)
        now = self._state.extension or Extension(id=self._next_id, name="")
        return (
            now.id == extension.id
            and now.wishes == extension.wishes
            and _method(now) == _method(extension)
            and not has_moved_on(self._adapter.home, laid_out)
        )

    def _on_home(self, change: object) -> None:
        if change is None:  # perhaps another home, in which ids mean something else
            self._laid, self._asked, self._is_stopped, self._failed = None, None, False, ""
            self._by_hand = {}
            self._state.forget()
            self._latest.stop()
            self._drawing.stop()
        self._on_moved()

    def _on_moved(self, *_: object) -> None:
        if self._adapter.stage != STAGE or not self._state.is_open:
            self._settle.stop()
            self._drop()
            return
        if self.is_current:
            self._settle.stop()
            self._drop()
        elif self._is_stopped and self._asked is not None and self._still(self._asked):
            return  # nothing has changed since the person stopped it
        else:
            self._settle.start()
            self.changed.emit()

    def _on_done(self, result: object) -> None:
        assert isinstance(result, Laid)
        self._laid, self._by_hand = result, {}
        self._state.forget()
        self.changed.emit()
        if not self.is_current:
            self._settle.start()
        elif self.drawn:  # cables that lie as before in what was laid out anew
            self._on_drawn()

    def _on_drawn(self) -> None:
        """Price and check anew what was drawn by hand; what no longer is goes back to what the search had."""
        laid, drawn = self.laid, self.drawn
        if laid is None or not drawn:
            self._drawing.stop()
            if self._by_hand:
                self._by_hand = {}
                self.changed.emit()
            return
        self._drawing.ask(Redrawing(laid, drawn, self._adapter.trade, self._adapter.memo))

    def _on_redrawn(self, result: object) -> None:
        assert isinstance(result, tuple)
        laid, drawn, by_hand = result
        if laid is self._laid and drawn == self.drawn:
            self._by_hand = by_hand
            self.changed.emit()

    def _on_failed(self, sentence: str) -> None:
        self._failed = sentence
        self.changed.emit()


def _method(extension: Extension) -> tuple[bool, ...]:
    """Give how an extension's work is done: what its price depends on beside what is wanted."""
    return extension.lived_in, extension.others_make_good, extension.on_surface
