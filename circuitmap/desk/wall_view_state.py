"""What the view of a wall looks at: which wall, what on it is chosen, dragged or drawn; never a fact of the home.

An option's routes come from whoever shows options (``ExtendState``), or are set by ``show_paths``. A route that was
dragged is kept here as drawn by hand, for as long as its option is laid out like that.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.canvas.walling import (
    DRAWN,
    DrawCable,
    Handle,
    WallCable,
    WallGesture,
    WallOutcome,
    WallThing,
    shown_moved,
    tried,
)
from circuitmap.desk.extend_state import ExtendState
from circuitmap.desk.wall_view_drawn import as_joined, joined, run_drawn, short_of, thing_at
from circuitmap.desk.wall_view_scene import Asked, Scene, scene_of
from circuitmap.errors import PersonError
from circuitmap.extension.by_hand import lay_by_hand, path_length_mm
from circuitmap.home import Home
from circuitmap.home.cable_paths import Path, Spot
from circuitmap.home.records import Point, Room, Storey
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, faces_on
from circuitmap.plan.wall_numbers import walls_of_room
from circuitmap.quantities.show import show_length
from circuitmap.trade import Trade
from circuitmap.words import Evidence

if TYPE_CHECKING:
    from circuitmap.extension.costs import Costs
    from circuitmap.extension.kinds import Option
    from circuitmap.extension.pricebook import Book


class WallState(QObject):
    """The wall in view; it is also what gestures ask (a ``WallSurface``)."""

    changed = Signal()  # anything that is drawn or said is another
    turned = Signal()  # another wall is in view

    def __init__(self, adapter: Adapter, extend: ExtendState, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._adapter, self._extend = adapter, extend
        self._memo = Memo()
        self._face = ""
        self._chosen, self._bend = "", -1
        self._paths: tuple[Path, ...] = ()
        self._hand: dict[str, tuple[Path, Path]] = {}  # by route: as the option had it, and as drawn
        self._drawn: Path = ()
        self._px_per_mm = 0.2
        self._book: Book | None = None
        self._costs: dict[str, Costs] = {}
        self._made: dict[str, tuple[tuple[object, ...], Scene]] = {}
        self.gesture: WallGesture = Handle(self)
        self.refused = ""
        self.is_shown = False  # nobody is told of anything while no wall is in view
        self.new_run: Callable[[], tuple[str, Evidence]] = _not_said  # cable and evidence of a run that is drawn
        extend.drawn_of = self.drawn_of
        adapter.changed.connect(self._on_changed)
        adapter.selected.connect(self._on_selected)
        extend.changed.connect(self._on_extend)
        extend.shown_changed.connect(self._on_extend)

    # -- what gestures ask --------------------------------------------------------------------------------------

    @property
    def home(self) -> Home:
        """The home as it is now."""
        return self._adapter.home

    @property
    def memo(self) -> Memo:
        """Where values derived for this view are kept: it looks at homes that are only tried, too."""
        return self._memo

    @property
    def trade(self) -> Trade:
        """The tables."""
        return self._adapter.trade

    @property
    def face(self) -> Face:
        """The wall in view; only to be asked while there is one."""
        found = self.wall
        assert found is not None
        return found

    @property
    def extension(self) -> str:
        """The extension whose wishes are shown, "" for none."""
        record = self._extend.extension
        return record.id if record is not None else ""

    @property
    def things(self) -> Sequence[WallThing]:
        """What stands on the wall, as it is on the map."""
        return self._scene(is_tried=False).things

    @property
    def cables(self) -> Sequence[WallCable]:
        """The cables of which some lies on the wall, as they are."""
        return self._scene(is_tried=False).cables

    @property
    def chosen(self) -> str:
        """What is chosen: a point, board or run by its id, "wish 2", "route 1" or "drawn"."""
        return self._chosen

    @property
    def bend(self) -> int:
        """The bend of the chosen cable that is chosen, -1 for none."""
        return self._bend

    # -- walls --------------------------------------------------------------------------------------------------

    @property
    def wall(self) -> Face | None:
        """The wall in view, None while there is none."""
        return next((face for face in self.faces() if face.id == self._face), None)

    def faces(self) -> tuple[Face, ...]:
        """Give all walls of the home, each as it is seen from its room."""
        home = self.home
        return tuple(
            face for storey in home.sorted(Storey) for face in faces_on(home, self._memo, self.trade, storey.id)
        )

    def row(self) -> tuple[Face, ...]:
        """Give the walls of the room in view in the order of their numbers; without rooms, those of the storey."""
        wall = self.wall
        if wall is None:
            return ()
        if wall.room is None:
            return faces_on(self.home, self._memo, self.trade, wall.storey)
        return walls_of_room(self.home, self._memo, self.trade, wall.room)

    def rooms(self) -> tuple[Room, ...]:
        """Give the rooms that have walls to look at."""
        drawn = {face.room for face in self.faces()}
        return tuple(room for room in self.home.sorted(Room) if room.id in drawn)

    def look_at(self, face: str) -> None:
        """Look at a wall."""
        if face != self._face:
            if not isinstance(self.gesture, DrawCable):
                self.gesture.cancel()
            self._face = face
            self._chosen, self._bend, self.refused = "", -1, ""
            self._on_selected(self._adapter.selection)
            self.turned.emit()
            self.changed.emit()

    def follow_selection(self) -> None:
        """Choose what is selected in the window, or the wish that is, where it is on the wall."""
        self._on_selected(self._adapter.selection)
        if not self._adapter.selection and self._adapter.stage == "extend":
            self._on_extend()

    def step(self, by: int) -> None:
        """Look at the next wall of the room (to the right, as one stands in it), or at the one before."""
        row = [face.id for face in self.row()]
        if self._face in row:
            self.look_at(row[(row.index(self._face) + by) % len(row)])

    # -- what is shown ------------------------------------------------------------------------------------------

    @property
    def scene(self) -> Scene:
        """The wall as it is shown, with what a gesture would do."""
        return self._scene(is_tried=True)

    def show_paths(self, paths: Iterable[Sequence[Spot]]) -> None:
        """Show routes that are told from outside, besides those of an option that is shown."""
        self._paths = tuple(tuple(path) for path in paths)
        self.changed.emit()

    def set_zoom(self, px_per_mm: float) -> None:
        """Place labels for another scale."""
        self._px_per_mm = px_per_mm

    def choose(self, which: str, bend: int = -1) -> None:
        """Choose a thing or a cable on the wall, or nothing; it is selected in the window too."""
        if (which, bend) != (self._chosen, self._bend):
            self._chosen, self._bend, self.refused = which, bend, ""
            if which.startswith("wish "):
                self._extend.choose_wish(int(which.removeprefix("wish ")) - 1)
            elif self.home.peek(which) is not None:
                self._adapter.select(which)
            self.changed.emit()

    def step_thing(self, by: int) -> None:
        """Choose the next thing or cable on the wall, from left to right, cables after things."""
        names = self.names()
        if names:
            at = names.index(self._chosen) + by if self._chosen in names else (0 if by > 0 else len(names) - 1)
            self.choose(names[at % len(names)])

    def step_bend(self, by: int) -> None:
        """Choose the next bend of the chosen cable."""
        from circuitmap.extension.by_hand import bends_on

        cable = self.cable
        numbers = [bend.number for bend in bends_on(self.face, cable.path)] if cable is not None else []
        if numbers:
            at = numbers.index(self._bend) + by if self._bend in numbers else (0 if by > 0 else len(numbers) - 1)
            self.choose(self._chosen, numbers[at % len(numbers)])

    def names(self) -> list[str]:
        """Give the names of all that can be chosen on the wall."""
        return [*(thing.id for thing in self.things), *(cable.id for cable in self.cables if cable.id != "drawing")]

    @property
    def thing(self) -> WallThing | None:
        """The thing chosen, None when none is."""
        return next((each for each in self.things if each.id == self._chosen), None)

    @property
    def cable(self) -> WallCable | None:
        """The cable chosen, None when none is."""
        return next((each for each in self.cables if each.id == self._chosen), None)

    @property
    def is_drawing(self) -> bool:
        """Whether a cable is being drawn."""
        return isinstance(self.gesture, DrawCable)

    def draw(self, *, is_on: bool) -> None:
        """Take the pen for a cable in hand, or put it away."""
        self.gesture.cancel()
        self.gesture = DrawCable(self) if is_on else Handle(self)
        self.refused = ""
        self.changed.emit()

    def is_by_hand(self, cable: str) -> bool:
        """Whether a route was laid otherwise than its option has it, or a cable drawn that is not on the map."""
        return cable == DRAWN or cable in self._by_hand()

    def as_option_has_it(self, cable: str) -> Path:
        """Give a route as its option has it."""
        return dict(self._routes()).get(cable, ())

    def drawn_of(self, option: "Option") -> dict[str, Path]:
        """Give the paths of an option's cables that were drawn by hand, by the ids of the runs they are to be."""
        found: dict[str, Path] = {}
        for n, (run, route) in enumerate(zip(option.runs, option.routes, strict=False)):
            kept = self._hand.get(f"{option.key}#{n}")
            if kept is not None and kept[0] == tuple(spot[:4] for spot in route.path):
                found[run] = kept[1]
        return found

    def drop_hand(self, cable: str) -> None:
        """Let a route lie again as its option has it, or forget a cable that was drawn."""
        if cable == DRAWN:
            self._drawn = ()
        if self._hand.pop(self._key(cable), None) is not None:
            self._extend.drawn_changed.emit()
        if cable == DRAWN and self._chosen == DRAWN:
            self._chosen, self._bend = "", -1
        self.changed.emit()

    def prices(self, cable: str) -> "tuple[Book, Costs]":
        """Give the price book, read once, and what a route's cable is weighed by in it."""
        from circuitmap.extension import pricebook
        from circuitmap.extension.book_costs import costs_of

        if self._book is None:
            self._book = pricebook.load(own=pricebook.own_path())
        options = [option for option in self._shown() for _ in option.routes]
        names = [name for name, _ in self._routes()]
        at = names.index(cable) if cable in names else len(options)
        code = options[at].cable if at < len(options) else ""
        if code not in self._costs:
            self._costs[code] = costs_of(self._book, code)
        return self._book, self._costs[code]

    # -- what gestures do ---------------------------------------------------------------------------------------

    def follow(self) -> None:
        """Take note that the gesture went on: what it would do is shown, and why it would be refused."""
        trial = self.gesture.trial
        self.refused = tried(self, trial) if trial is not None else ""
        self.changed.emit()

    def carry_out(self, outcome: WallOutcome | None) -> None:
        """Do what a gesture asks for."""
        self.refused = ""
        if outcome is None:
            self.changed.emit()
            return
        if outcome.over:
            self.gesture = Handle(self)
        if outcome.refuse:
            self._adapter.refuse(outcome.refuse)
        if outcome.choose is not None:
            self.choose(outcome.choose, outcome.bend)
        if outcome.make is not None:
            self._adapter.do(outcome.make)
        if outcome.hand is not None:
            self._keep(*outcome.hand)
        if outcome.finished is not None:
            self._finish(outcome.finished)
        self.changed.emit()

    def _keep(self, cable: str, path: Path) -> None:
        if cable == DRAWN:
            self._drawn = path
        else:
            self._hand[self._key(cable)] = self.as_option_has_it(cable), path
            self._extend.drawn_changed.emit()

    def _finish(self, path: Path) -> None:
        """Keep a cable that was drawn: as the path of the run it belongs to, as a new run, or beside the map."""
        home, adapter = self.home, self._adapter
        long = show_length(path_length_mm(home, self.trade, path))
        ends = tuple(thing_at(home, self._memo, self.trade, spot) for spot in (path[0], path[-1]))
        run = run_drawn(home, adapter.selection, ends)
        if run is not None:
            laid = as_joined(home, run, path)
            if adapter.do(lambda now: lay_by_hand(now, self.trade, run.id, laid)) is not None:
                self.choose(run.id)
                adapter.say(f"{run.id} runs as drawn, {long}{short_of(home, run, laid)}.")
            return
        if adapter.stage == "wiring" and "" not in ends and ends[0] != ends[1]:
            added = adapter.do(lambda now: joined(now, (ends[0], ends[1]), self.new_run(), path))
            if added:
                self.choose(added[0])
                adapter.say(f"{added[0]} joins {ends[0]} and {ends[1]}, {long} as drawn.")
            return
        self._drawn = path
        self.choose(DRAWN)
        adapter.say(f"Drawn by hand, {long}; it is not on the map: choose a run and draw it again to keep it.")

    # -- inside -------------------------------------------------------------------------------------------------

    def _scene(self, *, is_tried: bool) -> Scene:
        wall = self.wall
        assert wall is not None
        gesture, trial = self.gesture, self.gesture.trial if is_tried else None
        home = self.home
        drawing: Path = gesture.path if is_tried and isinstance(gesture, DrawCable) else ()
        ahead = gesture.ahead if is_tried and isinstance(gesture, DrawCable) else None
        by_hand = self._by_hand()
        routes = self._routes()
        key = (
            home, wall, self.extension, routes, tuple(by_hand.items()), self._shown(), self._chosen, self._bend, trial,
            drawing, ahead, self._px_per_mm, self._adapter.views,
        )  # fmt: skip
        which = "tried" if trial is not None or drawing or ahead is not None else "as it is"
        made = self._made.get(which)
        if made is not None and len(made[0]) == len(key) and all(
            a is b or (not isinstance(a, Home) and a == b) for a, b in zip(made[0], key, strict=True)
        ):  # fmt: skip
            return made[1]
        shown = home
        if trial is not None and trial.thing is not None and trial.place is not None:
            try:
                shown = home.apply(shown_moved(home, self, trial.thing, trial.place))
            except PersonError:
                shown = home
        scene = scene_of(
            Asked(
                home=shown,
                memo=self._memo,
                trade=self.trade,
                face=wall,
                views=self._adapter.views,
                extension=self.extension,
                brought=tuple(self._brought()),
                routes=tuple(path for _, path in routes),
                by_hand=by_hand,
                chosen=self._chosen,
                bend=self._bend,
                trial=trial,
                drawing=drawing,
                ahead=ahead,
                px_per_mm=self._px_per_mm,
            )
        )
        self._made[which] = (key, scene)
        return scene

    def _shown(self) -> "tuple[Option, ...]":
        return self._extend.shown_options if self._adapter.stage == "extend" else ()

    def _brought(self) -> Iterable[Point]:
        for option in self._shown():
            for before, after in option.change.pairs:
                if before is None and isinstance(after, Point):
                    yield after

    def _routes(self) -> tuple[tuple[str, Path], ...]:
        found = [tuple(spot[:4] for spot in route.path) for option in self._shown() for route in option.routes]
        return tuple((f"route {n}", path) for n, path in enumerate((*found, *self._paths), 1))

    def _key(self, cable: str) -> str:
        keys = [f"{option.key}#{n}" for option in self._shown() for n in range(len(option.routes))]
        keys += [f"#{n}" for n in range(len(self._paths))]
        names = [name for name, _ in self._routes()]
        return keys[names.index(cable)] if cable in names else cable

    def _by_hand(self) -> dict[str, Path]:
        found: dict[str, Path] = {}
        for name, path in self._routes():
            kept = self._hand.get(self._key(name))
            if kept is not None and kept[0] == path:
                found[name] = kept[1]
        if self._drawn:
            found[DRAWN] = self._drawn
        return found

    def _on_changed(self, change: object) -> None:
        if change is None:
            self._memo = Memo()
            self._face, self._chosen, self._bend, self._drawn = "", "", -1, ()
            self._hand.clear()
        self._made.clear()
        if self.gesture.trial is not None:
            self.gesture.cancel()  # what was taken hold of is another now
        if self.is_shown:
            self.changed.emit()

    def _on_selected(self, ids: tuple[str, ...]) -> None:
        if not self.is_shown or self.wall is None or len(ids) != 1 or ids[0] == self._chosen:
            return
        names = self.names()
        name = next((each for each in (ids[0], *self._on_its_plate(ids[0])) if each in names), "")
        if name and name != self._chosen:
            self._chosen, self._bend, self.refused = name, -1, ""
            self.changed.emit()

    def _on_its_plate(self, record_id: str) -> list[str]:
        """Give the points that share a point's plate, or that are on a plate: a wall shows one of them for all."""
        point = self.home.find(Point, record_id)
        plate = point.plate if point is not None else record_id
        return [each.id for each in self.home.table(Point).values() if plate is not None and each.plate == plate]

    def _on_extend(self) -> None:
        if not self.is_shown:
            return
        number = self._extend.wish
        if self.wall is not None and number >= 0 and f"wish {number + 1}" in self.names():
            self.choose(f"wish {number + 1}")
        self.changed.emit()


def _not_said() -> tuple[str, Evidence]:
    return "", "seen"
