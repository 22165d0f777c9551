"""Looking at a wall from its room: from where it is opened, what it takes the place of, and all its actions."""

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, QPoint
from PySide6.QtGui import QCursor
from PySide6.QtWidgets import QScrollArea, QWidget

from circuitmap.desk.actions import Act
from circuitmap.desk.frame import Frame
from circuitmap.home.records import Room, Storey, Wall
from circuitmap.plan.elevation import faces_on

if TYPE_CHECKING:
    from circuitmap.desk.wall_view_card import WallCard
    from circuitmap.desk.wall_view_page import WallViewPage
    from circuitmap.desk.wall_view_state import WallState
    from circuitmap.desk.window import Window
    from circuitmap.plan.elevation import Face

STAGES: Final = frozenset(("draw", "wiring", "extend"))
_REACH_PX: Final = 60.0
_SHARES: Final = (240, 560)  # of the stage's panel and of the wall in words, in height
_SHARES_EXTEND: Final = (400, 400)
_CANVAS: Final = (
    "wall-next", "wall-before", "wall-thing", "wall-thing-before", "wall-bend", "wall-bend-before", "wall-bend-in",
    "wall-cable", "wall-figures",
)  # fmt: skip


class WallDesk(QObject):
    """Opens walls in the place of the plan, which stays as it is meanwhile; its parts are made when first asked for."""

    def __init__(self, window: "Window", frame: Frame) -> None:
        super().__init__(window)
        self._window, self._middle, self._side = window, frame.middle, frame.side
        self._shares: list[int] = []  # how the side was parted before a wall was looked at
        self._state: WallState | None = None
        self._page: WallViewPage | None = None
        self._card: WallCard | None = None
        self._tab: QScrollArea | None = None
        window.find_field.walls = self.named
        window.find_field.wall_wanted.connect(self.open)
        window.adapter.stage_changed.connect(self._on_stage)
        window.adapter.shown.connect(self._on_shown)
        window.adapter.changed.connect(self._on_changed)
        self._middle.currentChanged.connect(self._on_middle)

    # -- asked by the window ------------------------------------------------------------------------------------

    @property
    def is_shown(self) -> bool:
        """Whether a wall is in the middle of the window."""
        return self._page is not None and self._middle.currentWidget() is self._page

    @property
    def state(self) -> "WallState":
        """What is looked at; made when first asked for."""
        if self._state is None:
            from circuitmap.desk.wall_view_state import WallState

            wiring = self._window.wiring_stage
            self._state = WallState(self._window.adapter, self._window.extend, self)
            self._state.new_run = lambda: (wiring.cable, wiring.evidence)
        return self._state

    @property
    def page(self) -> "WallViewPage":
        """The page in the middle; made when first asked for."""
        if self._page is None:
            from circuitmap.desk.wall_view_page import WallViewPage

            window = self._window
            self._page = WallViewPage(window.adapter, self.state, window.look, self._middle)
            self._middle.addWidget(self._page)
            self._page.left.connect(window.show_plan)
            self._page.view.figures_wanted.connect(self.type_figures)
            window.actions_.own(_CANVAS, self._page.view)
            self.state.turned.connect(self._on_turned)
            self.state.changed.connect(self._on_state)
        return self._page

    @property
    def card(self) -> "WallCard":
        """The wall in words, beside it; made when first asked for."""
        if self._card is None or self._tab is None:
            from circuitmap.desk.frame import scrolled_tab
            from circuitmap.desk.wall_view_card import WallCard

            window = self._window
            self._card = scrolled_tab(
                window.tabs, "Wall", lambda parent: WallCard(window.adapter, self.state, window.look, parent)
            )
            tab = window.tabs.widget(window.tabs.count() - 1)
            assert isinstance(tab, QScrollArea)
            self._tab = tab
        return self._card

    def drop_part(self) -> bool:
        """Take the chosen bend out, if keys go to a wall on which one is chosen; give whether that was meant."""
        if not self.is_shown or not self.page.view.hasFocus() or self.state.bend < 0:
            return False
        self.card.take_out()
        return True

    # -- opening ------------------------------------------------------------------------------------------------

    def can_open(self) -> bool:
        """Whether there is a wall to look at, in a stage that works on walls."""
        adapter = self._window.adapter
        is_drawn = any(room.outline_mm for room in adapter.home.table(Room).values())
        return adapter.stage in STAGES and (is_drawn or bool(adapter.home.table(Wall)))

    def named(self) -> list[tuple[str, str]]:
        """Give what each wall is called by its room and number, with its id; none in a stage without walls."""
        if not self.can_open():
            return []
        from circuitmap.plan.wall_numbers import walls_of_room

        home, memo, trade = self._window.adapter.home, self._window.adapter.memo, self._window.adapter.trade
        return [
            (f"{room.name or room.id}, wall {n}", face.id)
            for room in home.sorted(Room)
            for n, face in enumerate(walls_of_room(home, memo, trade, room.id), 1)
        ]

    def turn(self) -> None:
        """Look at the wall that is meant, or go back to the plan."""
        if self.is_shown:
            self._window.show_plan()
        else:
            self.open()

    def open(self, face: str = "") -> None:
        """Look at a wall: the one named, else that of what is selected, under the pointer, or looked at last."""
        window = self._window
        if window.adapter.stage not in STAGES:
            window.adapter.refuse("Walls are looked at in Draw (F1), Wiring (F3) and Extend (F6).")
            return
        if not self.can_open():
            window.adapter.refuse("There is no wall to look at yet: draw a room or a wall first.")
            return
        meant = face or self._meant()
        if not meant:
            window.adapter.refuse("There is no wall to look at yet: draw a room or a wall first.")
            return
        self.state.is_shown = True
        self.state.look_at(meant)
        self.state.follow_selection()
        page = self.page
        self._middle.setCurrentWidget(page)
        card = self.card
        if window.tabs.indexOf(self._shown_tab()) < 0:
            window.tabs.addTab(self._shown_tab(), "Wall")
        window.below.ask()
        window.tabs.setCurrentWidget(self._shown_tab())
        if not self._shares:
            self._shares = self._side.sizes()
            self._side.setSizes(_SHARES_EXTEND if window.adapter.stage == "extend" else _SHARES)
        card.refresh()
        page.refresh()
        page.view.refresh()
        page.view.fit()
        page.view.setFocus()
        window.show_hint(self.state.gesture.hint)
        window.actions_.refresh()

    def next(self) -> None:
        """Look at the next wall of the room."""
        self.state.step(1)

    def before(self) -> None:
        """Look at the wall before it."""
        self.state.step(-1)

    def draw(self) -> None:
        """Draw a cable on the wall, or put the pen away."""
        if not self.is_shown:
            self.open()
        if self.is_shown:
            self.state.draw(is_on=not self.state.is_drawing)
            self._window.show_hint(self.state.gesture.hint)
            self.page.view.setFocus()

    def type_figures(self) -> None:
        """Put the cursor where the chosen thing's place is typed."""
        self._window.tabs.setCurrentWidget(self._shown_tab())
        self.card.focus_figures()

    def acts(self) -> list[Act]:
        """Give the actions."""

        def shown() -> bool:
            return self.is_shown

        def can_draw() -> bool:
            return self.can_open() and not self._window.adapter.document.read_only

        return [
            Act("show-wall", "&Wall from the room", "Go", self.turn, "Ctrl+6",
                "Look at the wall that is selected or pointed at, as it is seen from its room", None,
                shown, also=("elevation", "zones", "mark out", "heights")),
            Act("wall-next", "Next wall of the room", "Go", self.next, ".", "The next wall to the right", shown,
                scope="canvas"),
            Act("wall-before", "Wall before it in the room", "Go", self.before, ",", "The next wall to the left", shown,
                scope="canvas"),
            Act("wall-thing", "Next thing on the wall", "Go", lambda: self.state.step_thing(1), "N",
                "Choose the next accessory or cable", shown, scope="canvas"),
            Act("wall-thing-before", "Thing before it on the wall", "Go", lambda: self.state.step_thing(-1), "Shift+N",
                "Choose the accessory or cable before it", shown, scope="canvas"),
            Act("wall-bend", "Next bend of the cable", "Go", lambda: self.state.step_bend(1), "B",
                "Choose the next bend of the chosen cable", shown, scope="canvas"),
            Act("wall-bend-before", "Bend before it", "Go", lambda: self.state.step_bend(-1), "Shift+B",
                "Choose the bend before it", shown, scope="canvas"),
            Act("wall-bend-in", "Let in a bend", "Plan", lambda: self.card.let_in(), "I",
                "Let a bend into the chosen cable", shown, scope="canvas"),
            Act("wall-bend-out", "Take the bend out", "Plan", lambda: self.card.take_out(), "",
                "Take the chosen bend of a cable out (Delete does so too)", shown),
            Act("wall-cable", "Draw a cable on the wall", "Plan", self.draw, "D",
                "Click corner after corner; what strays from the zones shows in red", can_draw,
                lambda: self.is_shown and self.state.is_drawing, scope="canvas", also=("by hand", "route", "path")),
            Act("wall-figures", "Type where it stands on the wall", "Plan", self.type_figures, "F",
                "Put the chosen thing by figures, like 1.4 m from the left, 1100 mm up", shown, scope="canvas",
                also=("measure", "position", "height")),
        ]  # fmt: skip

    # -- inside -------------------------------------------------------------------------------------------------

    def _shown_tab(self) -> QWidget:
        assert self.card is not None
        assert self._tab is not None
        return self._tab

    def _meant(self) -> str:
        """Give the wall that is meant: that of what is selected, else under the pointer, else seen last, else any."""
        from circuitmap.extension.on_wall import face_near, face_of_record
        from circuitmap.plan.wall_numbers import walls_of_room

        window, state = self._window, self.state
        home, memo, trade = state.home, state.memo, state.trade
        ids = window.adapter.selection
        chosen = home.peek(ids[0]) if len(ids) == 1 else None
        wish = window.extend.wish if window.adapter.stage == "extend" else -1
        if chosen is None and wish >= 0:
            found = self._face_of_wish(wish)
            if found is not None:
                return found.id
        if isinstance(chosen, Wall):
            pointed = self._pointed()
            behind = [face for face in state.faces() if face.wall == chosen.id]
            pick = (face_near(behind, *pointed, reach_mm=1e9) if pointed is not None else None) or next(
                iter(behind), None
            )
            if pick is not None:
                return pick.id
        elif isinstance(chosen, Room):
            walls = walls_of_room(home, memo, trade, chosen.id)
            if walls:
                return walls[0].id
        elif chosen is not None:
            face = face_of_record(home, memo, trade, chosen.id)
            if face is not None:
                return face.id
            of_run = self._face_of_run(chosen.id)
            if of_run:
                return of_run
        pointed = self._pointed()
        storey = window.adapter.storey
        if pointed is not None and storey:
            near = face_near(faces_on(home, memo, trade, storey), *pointed, reach_mm=_REACH_PX / window.view.zoom)
            if near is not None:
                return near.id
        if state.wall is not None:
            return state.wall.id
        here = list(faces_on(home, memo, trade, storey)) if storey else []
        first = next((room for room in state.rooms() if room.storey == storey), None)
        walls = walls_of_room(home, memo, trade, first.id) if first is not None else ()
        return next((face.id for face in (*walls, *here, *state.faces())), "")

    def _face_of_wish(self, number: int) -> "Face | None":
        from circuitmap.plan.elevation import face_at

        state, wishes = self.state, self._window.extend.wishes
        place = wishes[number].place if number < len(wishes) else None
        if place is None or place.faces_deg is None or state.home.find(Storey, place.storey) is None:
            return None
        faces = faces_on(state.home, state.memo, state.trade, place.storey)
        return face_at(faces, place.x_mm, place.y_mm, place.faces_deg)

    def _face_of_run(self, run_id: str) -> str:
        """Give the wall that most of a run's drawn path lies on, or else that one of its ends stands on."""
        from circuitmap.extension.by_hand import stretches_on
        from circuitmap.extension.on_wall import face_of_record
        from circuitmap.home.records import Device, Run

        state = self.state
        run = state.home.find(Run, run_id)
        if run is None:
            return ""
        lengths = {
            face.id: sum(abs(a[0] - b[0]) + abs(a[1] - b[1]) for _, a, b in stretches_on(face, run.path_mm))
            for face in state.faces()
        }
        best = max(lengths, key=lambda each: lengths[each], default="")
        if best and lengths[best] > 0:
            return best
        for end in (run.a.at, run.b.at):
            device = state.home.find(Device, end)
            at = device.board if device is not None else end
            face = face_of_record(state.home, state.memo, state.trade, at) if at is not None else None
            if face is not None:
                return face.id
        return ""

    def _pointed(self) -> tuple[float, float] | None:
        """Give the spot of the plan under the pointer, None while it is elsewhere."""
        view = self._window.view
        if not view.isVisible():
            return None
        at: QPoint = view.viewport().mapFromGlobal(QCursor.pos())
        if not view.viewport().rect().contains(at):
            return None
        spot = view.mapToScene(at)
        return spot.x(), spot.y()

    def _on_turned(self) -> None:
        wall = self.state.wall
        if wall is not None and self.is_shown:
            self._window.adapter.set_storey(wall.storey)

    def _on_state(self) -> None:
        if self.is_shown:
            self._window.show_hint(self.state.gesture.hint)

    def _on_stage(self, stage: str) -> None:
        if self.is_shown and stage not in STAGES:
            self._window.show_plan()
        elif self.is_shown:
            self._window.show_hint(self.state.gesture.hint)
            self.state.changed.emit()

    def _on_shown(self, ids: tuple[str, ...]) -> None:
        if self.is_shown and ids and not set(ids) & set(self.state.names()):
            self._window.show_plan()

    def _on_changed(self, change: object) -> None:
        if self.is_shown and (change is None or self.state.wall is None):  # another home, or the wall is no more
            self._window.show_plan()

    def _on_middle(self, _index: int) -> None:
        if self._page is not None and not self.is_shown and self._tab is not None:
            self.state.draw(is_on=False)
            self.state.is_shown = False
            at = self._window.tabs.indexOf(self._tab)
            if at >= 0:
                self._window.tabs.removeTab(at)
            if self._shares and self._window.adapter.stage in STAGES:
                self._side.setSizes(self._shares)
            self._shares = []
            self._window.show_hint("")
