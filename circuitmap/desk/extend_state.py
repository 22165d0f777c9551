"""What the Extend stage is looking at: which extension, which wish, which option; never a fact about the home.

Whoever shows a route (the plan, a wall seen from the room) reads ``shown_option`` and ``shown_paths`` here and is told
by ``shown_changed``.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from circuitmap.desk.adapter import Adapter
from circuitmap.home.cable_paths import Path
from circuitmap.home.records import Extension, Wish
from circuitmap.home.verbs_extend import is_planned

if TYPE_CHECKING:
    from circuitmap.extension.kinds import Option
    from circuitmap.extension.pathing import RoutePoint


class ExtendState(QObject):
    """The extension chosen, the wish chosen among its wishes, and the option that is shown."""

    changed = Signal()  # another extension, other wishes, or another wish chosen
    shown_changed = Signal()  # the option whose routes are shown is another, or none
    drawn_changed = Signal()  # a cable of an option was let go of, drawn by hand, or lies again as the search had it

    def __init__(self, adapter: Adapter, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._extension = ""
        self._wish = -1
        self._pointed: Option | None = None
        self._held: tuple[Option, ...] = ()
        self._last: Extension | None = None
        self.drawn_of: Callable[[Option], Mapping[str, Path]] = _none  # paths drawn by hand, by the run they are of
        adapter.changed.connect(self._on_changed)
        self._on_changed()

    # -- the extension and its wishes ---------------------------------------------------------------------------

    @property
    def extensions(self) -> tuple[Extension, ...]:
        """All extensions of the home, in the order in which they were begun."""
        return tuple(self._adapter.home.sorted(Extension))

    @property
    def extension(self) -> Extension | None:
        """The extension that is looked at, None while the home has none."""
        return self._adapter.home.find(Extension, self._extension) if self._extension else None

    @property
    def wishes(self) -> tuple[Wish, ...]:
        """What is wished."""
        extension = self.extension
        return extension.wishes if extension is not None else ()

    @property
    def is_open(self) -> bool:
        """Whether wishes can be changed: the work is neither on the map as planned nor done."""
        extension = self.extension
        return extension is None or (extension.done_on is None and not is_planned(extension))

    @property
    def is_planned(self) -> bool:
        """Whether the work is on the map as planned."""
        extension = self.extension
        return extension is not None and is_planned(extension)

    @property
    def wish(self) -> int:
        """The number of the wish that is chosen, from 0; -1 for none."""
        return self._wish if 0 <= self._wish < len(self.wishes) else -1

    def choose(self, extension: str) -> None:
        """Look at another extension."""
        if extension != self._extension:
            self._extension, self._wish = extension, -1
            self._last = self.extension
            self.forget()
            self.changed.emit()

    def choose_wish(self, number: int) -> None:
        """Choose a wish by its number, or none by -1."""
        if number != self._wish:
            self._wish = number
            self.changed.emit()

    # -- what is shown ------------------------------------------------------------------------------------------

    @property
    def shown_options(self) -> "tuple[Option, ...]":
        """The options whose routes are shown: the one pointed at, else those that are held (opened or picked)."""
        return (self._pointed,) if self._pointed is not None else self._held

    @property
    def shown_option(self) -> "Option | None":
        """The option whose routes are shown; the first where several lots have one each."""
        shown = self.shown_options
        return shown[0] if shown else None

    @property
    def shown_paths(self) -> "tuple[tuple[RoutePoint, ...], ...]":
        """The paths of the routes of what is shown, one for each cable."""
        return tuple(path for option in self.shown_options for path in self.paths_of(option))

    def paths_of(self, option: "Option") -> "tuple[tuple[RoutePoint, ...], ...]":
        """Give the paths of an option's cables, those drawn by hand as they were drawn."""
        drawn = self.drawn_of(option)
        if not drawn:
            return tuple(route.path for route in option.routes)
        from circuitmap.extension.pathing import RoutePoint

        found = []
        for run, route in zip(option.runs, option.routes, strict=True):
            own = {spot[:4]: spot for spot in route.path}
            path = drawn.get(run, ())
            found.append(tuple(own.get(s) or RoutePoint(*s, "wall", "") for s in path) if path else route.path)
        return tuple(found)

    def as_drawn(self, options: "Iterable[Option]") -> "tuple[Option, ...]":
        """Give options with those of their cables that were drawn by hand laid as drawn; all else stays as it was."""
        from msgspec import structs

        from circuitmap.extension.by_hand import as_drawn

        home, trade = self._adapter.home, self._adapter.trade
        return tuple(
            structs.replace(option, change=as_drawn(home, trade, option.change, drawn)) if drawn else option
            for option, drawn in ((option, self.drawn_of(option)) for option in options)
        )

    def point_at(self, option: "Option | None") -> None:
        """Show an option as long as it is pointed at or has the keys; None goes back to what is held."""
        self._show(option, self._held)

    def hold(self, *options: "Option") -> None:
        """Show options whenever none is pointed at."""
        self._show(self._pointed, options)

    def forget(self) -> None:
        """Show none: the options are others now."""
        self._show(None, ())

    def _show(self, pointed: "Option | None", held: "tuple[Option, ...]") -> None:
        before = self.shown_options
        self._pointed, self._held = pointed, held
        if [id(each) for each in before] != [id(each) for each in self.shown_options]:
            self.shown_changed.emit()

    def _on_changed(self, *_: object) -> None:
        """Keep an extension chosen as long as there is one, and tell when it is another than before."""
        extensions = self._adapter.home.table(Extension)
        if self._extension not in extensions:
            latest = self.extensions
            self._extension, self._wish = (latest[-1].id if latest else ""), -1
            self.forget()
        now = self.extension
        if now is not self._last:
            self._last = now
            self.changed.emit()


def _none(_option: "Option") -> Mapping[str, Path]:
    return {}
