"""The Draw stage's part for the building: walls out of rooms, doors and windows, fixtures, bathroom zones."""

from collections import Counter

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QGridLayout, QLineEdit, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.canvas.fixing import FixtureInHand
from circuitmap.desk.canvas.opening import OPENING_KINDS, OpeningInHand
from circuitmap.desk.canvas.wall_drawing import WallInHand
from circuitmap.desk.lines_card import LinesCard
from circuitmap.desk.parts import Label, button
from circuitmap.desk.theme import GAP_PX, TARGET_PX
from circuitmap.errors import HomeError
from circuitmap.home import Home
from circuitmap.home.change import combine
from circuitmap.home.records import Room, Wall
from circuitmap.plan.walls_keep import lay_walls, stand_on_walls
from circuitmap.quantities import parse_length_mm, parse_room_length_mm, parse_room_size_mm
from circuitmap.words import FIXTURE_KINDS, Build, FixtureKind

OPENING_TOOL, FIXTURE_TOOL, WALL_TOOL = "opening", "fixture", "wall"
_BUILDS: tuple[tuple[str, Build], ...] = (
    ("Wall, not known", "unknown"), ("Wall of brick", "brick"), ("Wall of block", "block"),
    ("Wall of concrete", "concrete"), ("Wall of studs", "stud"), ("Wall, dry-lined", "lined"),
)  # fmt: skip

# A leaf of 2 ft 6 in, a window, an archway, where nobody types a width (common practice, no source).
_USUAL_MM = {"door": 762, "window": 1200, "archway": 900}


class BuildingCard(QWidget):
    """Buttons for the walls, and what is in hand for the tools that draw them and put things into or against them."""

    tool_wanted = Signal(str)
    zones_wanted = Signal()

    def __init__(self, adapter: Adapter, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self.setObjectName("building")
        self.walls_button = button("Walls from rooms", self)
        self.walls_button.setObjectName("walls-from-rooms")
        self.walls_button.setToolTip("Lay walls between the rooms and round the house; they follow the rooms from then")
        self.walls_button.clicked.connect(self.lay_walls)
        self.zones_button = button("Zones", self, checkable=True)
        self.zones_button.setObjectName("show-zones")
        self.zones_button.setAccessibleName("Show bathroom zones")
        self.zones_button.setToolTip("Show zones 0, 1 and 2 round baths and showers")
        self.zones_button.clicked.connect(self._on_zones)

        self.wall_build = QComboBox(self)
        self.wall_build.setObjectName("wall-build")
        self.wall_build.setAccessibleName("What the next wall is built of")
        for words, build in _BUILDS:
            self.wall_build.addItem(words, build)
        self.wall_thickness = _field("wall-thickness", "Thickness of the next wall", self)
        self.wall_thickness.setPlaceholderText("thickness")
        self.wall_button = button("Draw", self, checkable=True)
        self.wall_button.setAccessibleName("Draw walls by hand")
        self.wall_button.setToolTip("Click where a wall begins and where it ends, along its middle")
        self.wall_button.clicked.connect(self._on_wall)

        self.opening_kind = QComboBox(self)
        self.opening_kind.setAccessibleName("What to let into a wall")
        for kind in OPENING_KINDS:
            self.opening_kind.addItem(kind.capitalize(), kind)
        self.opening_kind.currentIndexChanged.connect(self._on_opening_kind)
        self.opening_width = _field("opening-width", "Width of the door or window", self)
        self.opening_button = button("Let in", self, checkable=True)
        self.opening_button.setAccessibleName("Let a door or window into a wall")
        self.opening_button.clicked.connect(self._on_opening)

        self.fixture_kind = QComboBox(self)
        self.fixture_kind.setObjectName("fixture-kind")
        self.fixture_kind.setAccessibleName("Kind of fixture to place")
        for kind in FIXTURE_KINDS:
            title = adapter.trade.fixture(kind).title
            self.fixture_kind.addItem(title[:1].upper() + title[1:], kind)
        self.fixture_kind.currentIndexChanged.connect(self._on_fixture_kind)
        self.fixture_size = _field("fixture-size", "Size of the fixture, along the wall and out from it", self)
        self.fixture_button = button("Place", self, checkable=True)
        self.fixture_button.setAccessibleName("Place the fixture by a click")
        self.fixture_button.clicked.connect(self._on_fixture)
        self._says = Label("", self, role="faint")
        self.lines = LinesCard(adapter, self)

        grid = QGridLayout()
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(GAP_PX)
        grid.addWidget(self.walls_button, 0, 0, 1, 2)
        grid.addWidget(self.zones_button, 0, 2)
        for row, (kind_box, field, tool) in enumerate(
            ((self.wall_build, self.wall_thickness, self.wall_button),
             (self.opening_kind, self.opening_width, self.opening_button),
             (self.fixture_kind, self.fixture_size, self.fixture_button)), 1,
        ):  # fmt: skip
            kind_box.setStyleSheet(f"min-height: {TARGET_PX - 10}px;")
            kind_box.setMinimumContentsLength(8)
            kind_box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            grid.addWidget(kind_box, row, 0)
            grid.addWidget(field, row, 1)
            grid.addWidget(tool, row, 2)
        grid.setColumnStretch(0, 3)
        grid.setColumnStretch(1, 3)
        grid.setColumnStretch(2, 2)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addWidget(self.lines)
        layout.addLayout(grid)
        layout.addWidget(self._says)
        adapter.changed.connect(self._on_changed)
        adapter.storey_changed.connect(self._on_changed)
        adapter.tool_changed.connect(self.show_tool)
        self._on_opening_kind()
        self._on_fixture_kind()
        self._on_changed()

    # -- what the gestures ask ----------------------------------------------------------------------------------

    def wall(self) -> WallInHand:
        """Give what wall is drawn next.

        Raises
        ------
        PersonError
            When the thickness that is typed is none.
        """
        typed = self.wall_thickness.text().strip()
        build = next(build for _, build in _BUILDS if build == self.wall_build.currentData())
        return WallInHand(build, round(parse_length_mm(typed, default_unit="mm")) if typed else None)

    def opening(self) -> OpeningInHand:
        """Give what is to be let into a wall.

        Raises
        ------
        PersonError
            When the width that is typed is none.
        """
        kind, typed = str(self.opening_kind.currentData()), self.opening_width.text().strip()
        width = parse_room_length_mm(typed) if typed else _USUAL_MM[kind]
        if not 200 <= width <= 10_000:
            raise HomeError(f"A {kind} is between 0.2 and 10 m wide; type its width, like 0.76 m.")
        return OpeningInHand(kind, round(width))

    def fixture(self) -> FixtureInHand:
        """Give what is to be placed.

        Raises
        ------
        PersonError
            When the size that is typed is none.
        """
        typed = self.fixture_size.text().strip()
        return FixtureInHand(self._kind(), parse_room_size_mm(typed) if typed else None)

    def choose_fixture(self, kind: FixtureKind) -> None:
        """Take a kind of fixture in hand."""
        self.fixture_kind.setCurrentIndex(self.fixture_kind.findData(kind))

    # -- what can be done ---------------------------------------------------------------------------------------

    def can_lay_walls(self) -> bool:
        """Whether there are rooms to lay walls from."""
        adapter = self._adapter
        drawn = any(r.storey == adapter.storey and r.outline_mm for r in adapter.home.table(Room).values())
        return drawn and not adapter.document.read_only

    def lay_walls(self) -> None:
        """Lay the walls of the storey from its rooms, and note what stands on which; one undo takes it all back."""
        adapter = self._adapter
        if not self.can_lay_walls():
            adapter.refuse("There are no rooms on this storey to lay walls from; outline or type some first.")
            return
        change = lay_walls(adapter.home, adapter.storey, adapter.trade)
        stands = stand_on_walls(adapter.home.apply(change), adapter.storey)
        whole = combine(change.title, (change, stands))
        if not whole.pairs:
            adapter.say("The walls are as the rooms have them already.")
            return
        before = _counted(adapter.home, adapter.storey)
        if adapter.do(whole) is not None:
            walls = [wall for wall in adapter.home.table(Wall).values() if wall.storey == adapter.storey]
            follow = sum(wall.from_rooms for wall in walls)
            said = f"{follow} of {len(walls)} walls follow the rooms now" if follow < len(walls) else ""
            new = [
                f"{count - before.get(kind, 0)} {kind}{'' if count - before.get(kind, 0) == 1 else 's'}"
                for kind, count in sorted(_counted(adapter.home, adapter.storey).items())
                if count > before.get(kind, 0)
            ]
            drawn = f"{follow} walls drawn" + (f" with {' and '.join(new)}" if new else "")
            said = said or f"{drawn}; they follow the rooms now"
            if not follow:
                said = "The walls drawn by hand stay as they are; it is noted which rooms they part"
            adapter.say(f"{said}. Click a wall to say what it is built of.")

    def show_zones(self, shown: bool) -> None:
        """Show whether the zones are on show."""
        self.zones_button.setChecked(shown)

    def show_tool(self, tool: str) -> None:
        """Show which tool is in hand."""
        self.opening_button.setChecked(tool == OPENING_TOOL)
        self.fixture_button.setChecked(tool == FIXTURE_TOOL)
        self.wall_button.setChecked(tool == WALL_TOOL)

    # -- inside -------------------------------------------------------------------------------------------------

    def _kind(self) -> FixtureKind:
        return next(kind for kind in FIXTURE_KINDS if kind == self.fixture_kind.currentData())

    def _on_opening_kind(self, *_: object) -> None:
        usual = _USUAL_MM[str(self.opening_kind.currentData())]
        self.opening_width.setPlaceholderText(f"{usual / 1000:g} m wide")

    def _on_fixture_kind(self, *_: object) -> None:
        row = self._adapter.trade.fixture(self._kind())
        self.fixture_size.clear()
        self.fixture_size.setPlaceholderText(f"{row.wide_mm / 1000:g} × {row.deep_mm / 1000:g} m")

    def _on_wall(self) -> None:
        self.tool_wanted.emit(WALL_TOOL if self.wall_button.isChecked() else "select")

    def _on_opening(self) -> None:
        self.tool_wanted.emit(OPENING_TOOL if self.opening_button.isChecked() else "select")

    def _on_fixture(self) -> None:
        self.tool_wanted.emit(FIXTURE_TOOL if self.fixture_button.isChecked() else "select")

    def _on_zones(self) -> None:
        self.zones_wanted.emit()

    def _on_changed(self, *_: object) -> None:
        adapter = self._adapter
        self.walls_button.setEnabled(self.can_lay_walls())
        walls = [wall for wall in adapter.home.table(Wall).values() if wall.storey == adapter.storey]
        follow = sum(wall.from_rooms for wall in walls)
        many = f"{len(walls)} wall{'' if len(walls) == 1 else 's'}"
        by = f", {follow} following the rooms" if follow else ", drawn by hand"
        self._says.setText(f"{many}{by}." if walls else "")
        self._says.setVisible(bool(walls))


def _counted(home: Home, storey: str) -> Counter[str]:
    """Count the openings in a storey's walls by kind."""
    walls = (wall for wall in home.table(Wall).values() if wall.storey == storey)
    return Counter(opening.kind for wall in walls for opening in wall.openings)


def _field(name: str, accessible: str, parent: QWidget) -> QLineEdit:
    made = QLineEdit(parent)
    made.setObjectName(name)
    made.setMaxLength(100)
    made.setAccessibleName(accessible)
    return made
