"""The inspector's pages for the building: a wall with its doors and windows, and a fixture."""

import math

from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.canvas.fixing import QUARTER_DEG, resized
from circuitmap.desk.canvas.shining import storey_below
from circuitmap.desk.fields import ChoiceField, TextField
from circuitmap.desk.inspect_page import Page
from circuitmap.desk.parts import Label, button
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.errors import HomeError, PersonError
from circuitmap.home import verbs
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Fixture, Room, Storey, Wall
from circuitmap.plan import bathroom_zones, room_of, turn_fixture
from circuitmap.plan.fixtures import size_of
from circuitmap.plan.register import stairs_between
from circuitmap.plan.zones import WET
from circuitmap.quantities import parse_length_mm, parse_room_length_mm, parse_room_size_mm
from circuitmap.quantities.show import show_length
from circuitmap.words import Build

BUILDS: tuple[tuple[str, Build], ...] = (
    ("not known", "unknown"), ("brick, solid", "brick"), ("block, solid", "block"), ("concrete, solid", "concrete"),
    ("stud, hollow", "stud"), ("dry-lined: board on masonry", "lined"),
)  # fmt: skip
_FROM = {"measured": "as measured", "drawn": "as drawn between the rooms", "assumed": "as is usual, nobody measured it"}
_THINNEST_MM, _THICKEST_MM = 20, 2000
_TOPS = frozenset(("bath", "tray", "shower head"))


class WallPage(Page):
    """A wall: what it is built of, how thick, what lies on its sides, its doors and windows."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(adapter, look, parent)
        self.built = ChoiceField("What the wall is built of", list(BUILDS), self._save_build, self)
        self.thickness = TextField("Thickness of the wall", self._save_thickness, self)
        sides = [("not said", None), ("a wall inside", False), ("an outer wall", True)]
        self.outer = ChoiceField("Inside or outer wall", sides, self.saver("outer"), self)
        self.row("Built of", self.built)
        self.row("Thickness", self.thickness)
        self.row("It is", self.outer)
        self.openings = _Openings(self)
        self.box.addWidget(self.openings)
        self.end_with_remove("Remove this wall")

    def fill(self) -> None:
        """Show the wall."""
        home = self.adapter.home
        wall = home.take(Wall, self.id)
        self.title.setText(f"Wall {wall.id}")
        long = show_length(math.dist(wall.a_mm, wall.b_mm))
        words = [f"{long} long, {self._parts(wall)}."]
        if not wall.rooms and not wall.from_rooms:
            words = [f"{long} long. “Walls from rooms” works out which rooms it parts."]
        if wall.thickness_from in _FROM:
            words.append(f"Its thickness is {_FROM[wall.thickness_from]}.")
        if wall.from_rooms:
            words.append("It follows its rooms: reshape them to move it.")
        self.say(" ".join(words))
        self.built.show_value(wall.build)
        self.thickness.show_value(show_length(wall.thickness_mm) if wall.thickness_mm is not None else "")
        self.outer.show_value(wall.outer)
        self.openings.show_wall(wall)

    def _parts(self, wall: Wall) -> str:
        rooms = [self.adapter.home.find(Room, room) for room in wall.rooms]
        names = [shorten(room.name, 30) for room in rooms if room is not None]
        if wall.outer:
            return f"between {' and '.join(names)} and out of doors" if names else "to out of doors"
        return f"between {' and '.join(names)}" if names else "beside no room that is drawn"

    def _save_build(self, value: object) -> bool:
        build = next(build for _, build in BUILDS if build == value)
        return self.make(lambda home: verbs.set_build(home, [self.id], build))

    def _save_thickness(self, value: object) -> bool:
        try:
            thickness = round(parse_length_mm(str(value).strip(), default_unit="mm"))
            if not _THINNEST_MM <= thickness <= _THICKEST_MM:
                raise HomeError("A wall is between 20 mm and 2 m thick; type how thick it is, like 100 mm.")
        except PersonError as error:
            self.adapter.refuse(str(error))
            return False
        return self.make(lambda home: verbs.set_thickness(home, [self.id], thickness))


class _Openings(QWidget):
    """A wall's doors and windows, each with its width and how far along it is; made anew when their number changes."""

    def __init__(self, page: WallPage) -> None:
        super().__init__(page)
        self._page = page
        self.rows: list[_OpeningRow] = []
        self._says = Label("", self, role="faint")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(6)
        self._column.addWidget(self._says)

    def show_wall(self, wall: Wall) -> None:
        """Show the openings of a wall."""
        while len(self.rows) > len(wall.openings):
            gone = self.rows.pop()
            self._column.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        while len(self.rows) < len(wall.openings):
            row = _OpeningRow(self._page, len(self.rows), self)
            self.rows.append(row)
            self._column.addWidget(row)
        end = math.atan2(wall.b_mm[1] - wall.a_mm[1], wall.b_mm[0] - wall.a_mm[0])
        start = ("left", "top", "right", "bottom")[round(end / (math.pi / 2)) % 4]
        self._says.setText(
            f"Openings, by their width and how far they are from the wall's {start} end on the plan:"
            if wall.openings
            else "No openings; choose “Let in” at the top, then click on the wall."
        )
        for row in self.rows:
            row.show_wall(wall)


class _OpeningRow(QWidget):
    """One opening."""

    def __init__(self, page: WallPage, number: int, parent: QWidget) -> None:
        super().__init__(parent)
        self._page, self._number = page, number
        self._kind = QLabel(self)
        self._kind.setFixedWidth(62)
        self.width_field = TextField("Width of the opening", self._save_width, self)
        self.along_field = TextField("Distance of the opening from the wall's first end", self._save_along, self)
        self.close_button = button("Close", self)
        self.close_button.clicked.connect(self._on_close)
        self.sill_field = TextField("Height of the opening's sill over the floor", self._save_sill, self)
        self.head_field = TextField("Height of the opening's head over the floor", self._save_head, self)
        for field in (self.sill_field, self.head_field):
            field.setPlaceholderText("not known")
        places = QHBoxLayout()
        places.setSpacing(GAP_PX)
        places.addWidget(self._kind)
        places.addWidget(self.width_field, 1)
        places.addWidget(self.along_field, 1)
        places.addWidget(self.close_button)
        heights = QHBoxLayout()
        heights.setSpacing(GAP_PX)
        for words, field in (("Sill", self.sill_field), ("Head", self.head_field)):
            heights.addWidget(_said_before(words, field))
            heights.addWidget(field, 1)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(4)
        rows.addLayout(places)
        rows.addLayout(heights)

    def show_wall(self, wall: Wall) -> None:
        """Show the opening."""
        opening = wall.openings[self._number]
        self._kind.setText(opening.kind[:12].capitalize())
        self.close_button.setAccessibleName(f"Close the {opening.kind[:40]} up")
        self.width_field.show_value(show_length(opening.width_mm))
        self.along_field.show_value(show_length(opening.along_mm))
        for field, height in ((self.sill_field, opening.sill_mm), (self.head_field, opening.head_mm)):
            field.show_value("" if height is None else show_length(height))

    def _save_width(self, value: object) -> bool:
        return self._save(str(value), is_width=True)

    def _save_along(self, value: object) -> bool:
        return self._save(str(value), is_width=False)

    def _save(self, typed: str, *, is_width: bool) -> bool:
        page = self._page
        opening = page.adapter.home.take(Wall, page.id).openings[self._number]
        try:
            value = round(parse_room_length_mm(typed)) if is_width else _from_zero_mm(typed)
        except PersonError as error:
            page.adapter.refuse(str(error))
            return False
        along, width = (opening.along_mm, value) if is_width else (value, opening.width_mm)
        return page.make(lambda home: verbs.move_opening(home, page.id, self._number, along, width))

    def _save_sill(self, value: object) -> bool:
        return self._save_height(str(value), is_sill=True)

    def _save_head(self, value: object) -> bool:
        return self._save_height(str(value), is_sill=False)

    def _save_height(self, typed: str, *, is_sill: bool) -> bool:
        page = self._page
        opening = page.adapter.home.take(Wall, page.id).openings[self._number]
        try:
            value = _from_zero_mm(typed) if typed.strip() else None
        except PersonError as error:
            page.adapter.refuse(str(error))
            return False
        sill, head = (value, opening.head_mm) if is_sill else (opening.sill_mm, value)
        return page.make(lambda home: verbs.set_heights(home, page.id, self._number, sill, head))

    def _on_close(self) -> None:
        self._page.make(lambda home: verbs.remove_opening(home, self._page.id, self._number))


def _from_zero_mm(typed: str) -> int:
    """Read a length that may be nothing at all."""
    is_zero = typed.strip().rstrip("m").strip() in ("0", "0.0")
    return 0 if is_zero else round(parse_room_length_mm(typed))


def _said_before(words: str, field: QWidget) -> QLabel:
    label = QLabel(words)
    label.setProperty("role", "faint")
    label.setBuddy(field)
    return label


class FixturePage(Page):
    """A fixture: its size, its height, which way it stands, and what it means for zones or the way upstairs."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(adapter, look, parent)
        self.measures = TextField("Size of the fixture, along the wall and out from it", self._save_size, self)
        self.top = TextField("Height of its top over the floor", self._save_top, self)
        self.row("Size", self.measures)
        self.row("Top", self.top)
        self.turn = button("Turn a quarter (Q)", self)
        self.turn.clicked.connect(self._on_turn)
        self.box.addWidget(self.turn)
        self.end_with_remove("Remove this fixture")

    def fill(self) -> None:
        """Show the fixture."""
        home, trade = self.adapter.home, self.adapter.trade
        fixture = home.take(Fixture, self.id)
        row = trade.fixture(fixture.kind)
        room = room_of(home, self.adapter.memo, fixture)
        self.title.setText(f"{row.title[:1].upper()}{row.title[1:]}" + (f" · {room.name}" if room else ""))
        wide, deep = size_of(fixture, trade)
        self.measures.show_value(f"{wide / 1000:g} × {deep / 1000:g} m")
        self.top.show_value(show_length(fixture.top_mm) if fixture.top_mm is not None else "")
        self.top.setPlaceholderText(f"{show_length(row.top_mm)} is usual" if row.top_mm else "")
        self.form.setRowVisible(self.top, bool(row.top_mm))
        self.say(" ".join(words for words in (self._wet_words(fixture), self._stair_words(fixture)) if words))

    def _wet_words(self, fixture: Fixture) -> str:
        if fixture.kind not in WET:
            return ""
        zones = bathroom_zones(self.adapter.home, self.adapter.memo, self.adapter.trade, fixture.place.storey)
        found = [zone for zone in zones if fixture.id in zone.fixtures and zone.number > 0]
        said = ", ".join(f"zone {zone.number} to {show_length(zone.top_mm)}" for zone in found)
        guess = " (size or height is the usual one)" if any(zone.assumed for zone in found) else ""
        return f"Makes {said}{guess}; choose “Zones” to see them." if said else ""

    def _stair_words(self, fixture: Fixture) -> str:
        home = self.adapter.home
        here = home.find(Storey, fixture.place.storey)
        if fixture.kind != "stair" or here is None:
            return ""
        above = min(
            (s for s in home.table(Storey).values() if s.level > here.level), key=lambda s: s.level, default=None
        )
        below = storey_below(home, here.id)
        said = []
        for lower, upper, other in ((here, above, above), (below, here, below)):
            if lower is None or upper is None or other is None:
                continue
            joined = [s for s in stairs_between(home, lower.id, upper.id)
                      if fixture.id in ((s.foot.id if s.foot else ""), (s.head.id if s.head else ""))]  # fmt: skip
            if joined:
                alone = joined[0].foot is None or joined[0].head is None
                said.append(f"Joins {other.name[:40]}" + (" (not drawn there)." if alone else "."))
        return " ".join(said) or "Joins no other storey yet."

    def _save_size(self, value: object) -> bool:
        try:
            wide, deep = parse_room_size_mm(str(value))
        except PersonError as error:
            self.adapter.refuse(str(error))
            return False
        if not (20 <= wide <= 20_000 and 20 <= deep <= 20_000):
            self.adapter.refuse("A fixture is between 2 cm and 20 m each way; type its size, like 1.7 × 0.7 m.")
            return False
        return self.make(lambda home: resized(home, self.id, (wide, deep), self.adapter.trade))

    def _save_top(self, value: object) -> bool:
        text = str(value).strip()
        try:
            top = round(parse_room_length_mm(text)) if text else None
        except PersonError as error:
            self.adapter.refuse(str(error))
            return False
        return self.make(lambda home: verbs.edit(home, self.id, "Set height of a fixture", top_mm=top))

    def _on_turn(self) -> None:
        self.make(lambda home: turn_fixture(home, self.id, QUARTER_DEG))
