"""What the canvas shows now: the storey's marks, states and findings, kept current as the home changes."""

from collections.abc import Mapping

from PySide6.QtCore import QObject, Signal

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.canvas.promised import goes_shown
from circuitmap.desk.canvas.shining import shining_marks
from circuitmap.desk.canvas.underlay import Render, SheetPixels
from circuitmap.desk.canvas.view import PlanView
from circuitmap.desk.storey_card import LAY_TOOL
from circuitmap.desk.theme import Look
from circuitmap.desk.visit import SurveyCursor
from circuitmap.desk.work import Work
from circuitmap.drawing.marks import Mark, Picture
from circuitmap.drawing.overlay import finding_marks, survey_marks
from circuitmap.drawing.plan import plan_marks
from circuitmap.drawing.walk_line import walk_marks
from circuitmap.drawing.zones import zone_marks
from circuitmap.errors import PersonError
from circuitmap.home import Home
from circuitmap.home.records import Fixture, Plate, Point, Room, Storey, Wall
from circuitmap.jobs import Ticket
from circuitmap.pictures import Level, PictureInfo, grey_levels, is_line_drawing, look, render
from circuitmap.plan import bathroom_zones
from circuitmap.quantities.convert import warm_up
from circuitmap.survey.walk import walk_path

Marks = tuple[Mark, ...]

# While one of these is in hand the zones are shown anyway: where it goes may depend on them.
_NEAR_WATER = frozenset(("point", "insert"))


class Content(QObject):
    """Keeps the scene equal to what the records say."""

    below_turned = Signal(bool)  # whether the storey below shines through
    zones_turned = Signal(bool)  # whether bathroom zones are shown all the time
    refreshed = Signal(int)  # how many records had to be drawn again

    def __init__(self, adapter: Adapter, look: Look, view: PlanView, cursor: SurveyCursor) -> None:
        super().__init__(view)
        self._adapter, self._look, self._view, self._cursor = adapter, look, view, cursor
        self._below = self._zones = False
        self._shown: tuple[Home | None, tuple[object, ...]] = (None, ())
        self._asked: set[str] = set()
        self._work: list[Work] = []
        adapter.changed.connect(self._on_changed)
        adapter.storey_changed.connect(self._on_changed)
        adapter.stage_changed.connect(self._on_changed)
        adapter.tool_changed.connect(self._on_changed)
        cursor.changed.connect(self._on_cursor)
        self.refresh()
        self._warm_up()

    @property
    def shows_below(self) -> bool:
        """Whether the storey below shines through."""
        return self._below

    def turn_below(self) -> None:
        """Let the storey below shine through, or not."""
        self._below = not self._below
        self.below_turned.emit(self._below)
        self.refresh()

    @property
    def shows_zones(self) -> bool:
        """Whether bathroom zones are shown all the time, not only while something is placed."""
        return self._zones

    def turn_zones(self) -> None:
        """Show bathroom zones all the time, or not."""
        self._zones = not self._zones
        self.zones_turned.emit(self._zones)
        self.refresh()

    def refresh(self) -> int:
        """Draw again whatever is not as the records say; give how many records that were."""
        storey, home = self._adapter.storey, self._adapter.home
        chosen = self._chosen(storey)
        if home is self._shown[0] and chosen == self._shown[1]:
            return 0  # one change reaches here by way of the home, of the storey and of the cursor
        self._shown = (home, chosen)
        wanted: dict[str, Marks] = {}
        if storey:
            if self._below or self._adapter.tool == LAY_TOOL:
                wanted.update(self._storey_below(storey))
            wanted.update(self._marks_of(storey))
            if self._zones or self._adapter.tool in _NEAR_WATER:
                wanted.update(self._zones_on(storey))
        touched = self._view.plan_scene.show_marks(wanted)
        self._view.plan_scene.show_aside(self._walk_ahead(storey))
        self._ask_for_pictures(wanted)
        self._view.set_advice(self._advice())
        self.refreshed.emit(touched)
        return touched

    def _chosen(self, storey: str) -> tuple[object, ...]:
        """Give what, beside the home, decides what is shown."""
        stage, cursor = self._adapter.stage, self._cursor
        aids = self._below, self._zones, self._adapter.tool
        if stage != "survey":
            return storey, aids, stage
        visit, going = cursor.visit, cursor.round
        return storey, aids, stage, visit.id if visit else "", going.id if going else "", cursor.ahead

    def _marks_of(self, storey: str) -> Mapping[str, Marks]:
        adapter = self._adapter
        home, memo, views, deduced = adapter.home, adapter.memo, adapter.views, adapter.deduced
        if adapter.stage == "survey":
            visit, going = self._cursor.visit, self._cursor.round
            marks = dict(
                survey_marks(
                    home, storey, views=views, deduced=deduced, memo=memo, visit=visit.id if visit else None,
                    round_id=going.id if going else None,
                )
            )  # fmt: skip
        else:
            marks = dict(plan_marks(home, storey, views=views, deduced=deduced, memo=memo))
            marks.update(goes_shown(adapter, storey, marks))
        marks.update(finding_marks(adapter.home, storey, adapter.findings, memo=adapter.memo))
        return marks

    def _walk_ahead(self, storey: str) -> Marks:
        adapter = self._adapter
        if adapter.stage != "survey" or not storey:
            return ()
        home, memo = adapter.home, adapter.memo
        ahead = memo.steady("desk walk ahead", "", self._cursor.ahead)
        if len(ahead) < 2:
            return ()
        tables = (home.table(kind) for kind in (Point, Plate, Room, Storey, Wall, Fixture))
        lines = memo.get("desk walk path", "", (*tables, ahead), lambda: walk_path(home, ahead, memo, from_board=False))
        return memo.get("desk walk marks", storey, (lines,), lambda: walk_marks(lines.get(storey, ())))

    def _storey_below(self, storey: str) -> Mapping[str, Marks]:
        home, memo = self._adapter.home, self._adapter.memo
        tables = (home.table(Storey), home.table(Room), home.table(Fixture))
        return memo.get("desk below", storey, tables, lambda: shining_marks(home, storey))

    def _zones_on(self, storey: str) -> Mapping[str, Marks]:
        adapter = self._adapter
        zones = bathroom_zones(adapter.home, adapter.memo, adapter.trade, storey)
        marks = adapter.memo.get("desk zones", storey, (zones,), lambda: zone_marks(zones))
        return {"zones": marks} if marks else {}

    def _advice(self) -> str:
        home, storey = self._adapter.home, self._adapter.storey
        if not home.table(Storey):
            if len(home.table(Point)) or len(home.table(Room)):
                return "This home is only listed so far.\nSee it under List; bring in a plan to place things on it."
            return (
                "Bring in a picture of the floor plan: drop it here, or press Ctrl+I.\n"
                "Or type the rooms with their sizes at the right, or only name them;\n"
                "or open a sample home, or practise a survey, from the menu Home."
            )
        drawn = any(room.storey == storey and room.outline_mm for room in home.table(Room).values())
        has_sheet = any(key.startswith("H") for key in self._view.plan_scene.ids)
        if not drawn and not has_sheet:
            return (
                "Nothing is drawn on this storey yet.\n"
                "Outline a room (Ctrl+R), type one with its size (Ctrl+Shift+R), or bring in a plan (Ctrl+I)."
            )
        return ""

    # -- pictures -----------------------------------------------------------------------------------------------

    def _ask_for_pictures(self, wanted: Mapping[str, Marks]) -> None:
        scene = self._view.plan_scene
        for marks in wanted.values():
            for mark in marks:
                if isinstance(mark, Picture) and not scene.has_picture(mark.key) and mark.key not in self._asked:
                    self._asked.add(mark.key)
                    self._decode(mark.key, mark.asset, mark.page)

    def _decode(self, key: str, asset: str, page: int) -> None:
        try:
            data = self._adapter.document.asset(asset)
        except PersonError as error:
            self._adapter.refuse(str(error))
            return

        def work(_ticket: Ticket) -> object:
            info = look(data, page=page) if is_line_drawing(data) else None
            return key, grey_levels(data, page=page), info

        job = Work(work, self)
        job.done.connect(self._on_decoded)
        job.failed.connect(self._adapter.refuse)
        self._work.append(job)
        job.start()

    def _on_decoded(self, result: tuple[str, tuple[Level, ...], PictureInfo | None]) -> None:
        key, levels, info = result
        self._view.plan_scene.offer_picture(key, SheetPixels(levels, _drawn_from(info)))
        self._asked.discard(key)
        if len(self._view.plan_scene.ids) <= 1:
            self._view.fit()

    def _warm_up(self) -> None:
        def work(_ticket: Ticket) -> object:
            warm_up()
            return None

        job = Work(work, self)
        self._work.append(job)
        job.start()

    def _on_changed(self, *_: object) -> None:
        self.refresh()

    def _on_cursor(self) -> None:
        if self._adapter.stage == "survey":
            self.refresh()


def _drawn_from(info: PictureInfo | None) -> Render | None:
    """Give what draws any region of a drawing made of lines."""
    if info is None:
        return None
    drawing = info

    def drawn(region: tuple[float, float, float, float], size_px: tuple[int, int]) -> bytes:
        return render(drawing, drawing.page, region, size_px)

    return drawn
