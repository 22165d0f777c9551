"""The Draw stage's part for how the storey lies: over the one below, how high, and where north and the front are."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFormLayout, QGridLayout, QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.canvas.registering import moved_marks
from circuitmap.desk.canvas.shining import storey_below
from circuitmap.desk.compass import WAYS, Compass, show_way
from circuitmap.desk.fields import ChoiceField, TextField
from circuitmap.desk.parts import Card, Label, add_row, answers, button, form
from circuitmap.desk.storey_words import read_height, read_shift, say_fit, show_height
from circuitmap.desk.theme import GAP_PX, Look
from circuitmap.errors import HomeError, PersonError
from circuitmap.home import verbs
from circuitmap.home.records import Storey
from circuitmap.plan.register import Common, Fit, fit, levels, storey_in_register
from circuitmap.quantities.show import show_length

LAY_TOOL = "lay over"


class StoreyCard(QWidget):
    """Heights, register and ways of the storey on show."""

    tool_wanted = Signal(str)
    below_wanted = Signal()
    ghosted = Signal(object)  # marks of where the storey would come to lie

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._common: tuple[Common, ...] = ()
        self.setObjectName("lie")

        self.height_field = TextField("Height of the storey, floor to ceiling", self._save_height, self)
        self.floor_field = TextField("Height of the floor over that of the ground storey", self._save_floor, self)
        self.below_button = button("Below shines through", self, checkable=True)
        self.below_button.setObjectName("below-through")
        self.below_button.setToolTip("Show the storey below in broken lines (Ctrl+Shift+B)")
        self.below_button.clicked.connect(self._on_below)
        self.lay_button = button("Lay over the one below", self, checkable=True)
        self.lay_button.setObjectName("lay-over")
        self.lay_button.setToolTip("Click spots that run through both storeys, here and then below")
        self.lay_button.clicked.connect(self._on_lay_wanted)

        self.card = Card(self)
        self._words = Label("", self.card)
        self._words.setObjectName("lay-says")
        self.shift_field = QLineEdit(self.card)
        self.shift_field.setObjectName("lay-shift")
        self.shift_field.setMaxLength(100)
        self.shift_field.setAccessibleName("Or by how much to shift the storey: right, then down")
        self.shift_field.setPlaceholderText("Or shift it: 0.35 right, 0.1 down")
        self.shift_field.textEdited.connect(self._on_shift)
        self.shift_field.returnPressed.connect(self.lay)
        self.use_button = button("Lay it so", self.card, strong=True)
        self.use_button.setObjectName("lay-it")
        self.use_button.clicked.connect(self.lay)
        self.drop_button = button("Not now", self.card)
        self.drop_button.clicked.connect(self._on_drop)
        self.card.body.addWidget(self._words)
        self.card.body.addWidget(self.shift_field)
        self.card.body.addLayout(answers(self.use_button, self.drop_button))
        self.card.hide()

        self.compass = Compass(look, self)
        self.compass.turned.connect(self._on_turned)
        self.north = ChoiceField("North on the plan", list(WAYS), self._save_north, self)
        self.front = ChoiceField("The front of the house looks", list(WAYS), self._save_front, self)

        heights = form()
        add_row(heights, "Height", self.height_field)
        add_row(heights, "Floor at", self.floor_field)
        ways = form()
        ways.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        for label, field in (("North is", self.north), ("The front looks", self.front)):
            add_row(ways, label, field)
        rose = QHBoxLayout()
        rose.setSpacing(GAP_PX)
        rose.addWidget(self.compass)
        rose.addLayout(ways, 1)
        buttons = QGridLayout()
        buttons.setSpacing(GAP_PX)
        buttons.addWidget(self.below_button, 0, 0)
        buttons.addWidget(self.lay_button, 0, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addLayout(heights)
        layout.addLayout(buttons)
        layout.addWidget(self.card)
        layout.addLayout(rose)
        adapter.changed.connect(self._on_changed)
        adapter.storey_changed.connect(self._on_storey)
        adapter.tool_changed.connect(self.show_tool)
        self._on_changed()

    # -- what the gesture and the window ask --------------------------------------------------------------------

    @property
    def says(self) -> str:
        """What is said of the common points."""
        return self._words.text()

    def can_lay(self) -> bool:
        """Whether there is a storey below to lay this one over."""
        adapter = self._adapter
        return storey_below(adapter.home, adapter.storey) is not None and not adapter.document.read_only

    def take_common(self, common: tuple[Common, ...]) -> None:
        """Take the common points clicked so far, and show where the storey would come to lie."""
        self._common = common
        if common:
            self.shift_field.clear()
        self._show_fit()

    def lay(self) -> None:
        """Lay the storey so; one undo takes all of it back."""
        adapter = self._adapter
        below = storey_below(adapter.home, adapter.storey)
        try:
            common = self._wanted()
            change, found = storey_in_register(adapter.home, adapter.storey, common)
        except PersonError as error:
            adapter.refuse(str(error))
            return
        if not change.pairs:
            adapter.say("It lies there already.")
        elif adapter.do(change) is None:
            return
        else:
            name = below.name[:40] if below is not None else "the one below"
            adapter.say(f"Laid over {name}. {say_fit(found, len(common))}")
        self.tool_wanted.emit("select")

    def show_below(self, shown: bool) -> None:
        """Show whether the storey below shines through."""
        self.below_button.setChecked(shown)

    def show_tool(self, tool: str) -> None:
        """Show whether the storey is being laid over the one below."""
        self.lay_button.setChecked(tool == LAY_TOOL)
        self.card.setVisible(tool == LAY_TOOL)
        if tool != LAY_TOOL:
            self.shift_field.clear()
            self._common = ()
            self.ghosted.emit(())
        else:
            self._show_fit()

    # -- inside -------------------------------------------------------------------------------------------------

    def _wanted(self) -> tuple[Common, ...]:
        """Give the common points that were clicked, or two that say the same as the shift that was typed."""
        typed = self.shift_field.text().strip()
        if not typed:
            return self._common
        dx, dy = read_shift(typed)
        return tuple(((x, y), (x + dx, y + dy)) for x, y in ((0.0, 0.0), (10_000.0, 10_000.0)))

    def _show_fit(self) -> None:
        adapter = self._adapter
        found: Fit | None = None
        words = "Click a spot that runs through both storeys here, then the same spot below; then another pair."
        try:
            common = self._wanted()
            if len(common) == 1:
                words = "One common spot is set. Set another one, far from it: across the house."
            elif common:
                found = fit(common, keep_size=True, turn="quarter")
                words = say_fit(found, len(common))
        except PersonError as error:
            words = str(error)
        self._words.setText(words)
        self.use_button.setEnabled(found is not None)
        self.ghosted.emit(moved_marks(adapter.home, adapter.storey, found) if found is not None else ())

    def _on_shift(self, _text: str) -> None:
        self._show_fit()

    def _on_drop(self) -> None:
        self.tool_wanted.emit("select")

    def _on_below(self) -> None:
        self.below_wanted.emit()

    def _on_lay_wanted(self) -> None:
        self.tool_wanted.emit(LAY_TOOL if self.lay_button.isChecked() else "select")

    def _on_storey(self, _storey: str) -> None:
        if self._adapter.tool == LAY_TOOL:
            self._adapter.set_tool("select")
        self._on_changed()

    def _on_changed(self, *_: object) -> None:
        adapter = self._adapter
        storey = adapter.home.find(Storey, adapter.storey) if adapter.storey else None
        self.setVisible(storey is not None)
        details = adapter.home.details
        self.compass.show_ways(details.north_deg, details.front_deg)
        for field, way in ((self.north, details.north_deg), (self.front, details.front_deg)):
            fine = [(show_way(way), way)] if way is not None and all(way != known for _, known in WAYS) else []
            field.offer([*WAYS, *fine])
            field.show_value(way)
        for widget in (self.compass, self.north, self.front, self.height_field, self.floor_field):
            widget.setEnabled(not adapter.document.read_only)
        has_below = storey is not None and storey_below(adapter.home, storey.id) is not None
        self.lay_button.setEnabled(self.can_lay())
        self.below_button.setEnabled(has_below)
        if storey is None:
            return
        level = levels(adapter.home, adapter.trade)[storey.id]
        self.height_field.show_value(show_length(storey.height_mm) if storey.height_mm is not None else "")
        self.height_field.setPlaceholderText(f"{show_length(level.height_mm)} is usual")
        self.floor_field.show_value(show_height(storey.floor_mm) if storey.floor_mm is not None else "")
        self.floor_field.setPlaceholderText(f"{show_height(level.floor_mm)}, worked out")

    def _save_height(self, value: object) -> bool:
        return self._save("height_mm", str(value), "Set height of a storey", 1000, 10_000)

    def _save_floor(self, value: object) -> bool:
        return self._save("floor_mm", str(value), "Set floor height of a storey", -60_000, 600_000)

    def _save(self, field: str, typed: str, title: str, least: int, most: int) -> bool:
        adapter, storey = self._adapter, self._adapter.storey
        try:
            wanted = read_height(typed)
            if wanted is not None and not least <= wanted <= most:
                low, high = show_height(least), show_height(most)
                raise HomeError(f"That can't be right for a storey: it is between {low} and {high}.")
        except PersonError as error:
            adapter.refuse(str(error))
            return False
        return adapter.do(lambda home: verbs.edit(home, storey, title, **{field: wanted})) is not None

    def _on_turned(self, hand: str, way: object) -> None:
        if hand == "north":
            self._save_north(way)
        else:
            self._save_front(way)

    def _save_north(self, value: object) -> bool:
        return self._save_way("north_deg", "Set where north is", value)

    def _save_front(self, value: object) -> bool:
        return self._save_way("front_deg", "Set where the front is", value)

    def _save_way(self, field: str, title: str, value: object) -> bool:
        way = value if isinstance(value, float) else None
        return self._adapter.do(lambda home: verbs.edit(home, "home", title, **{field: way})) is not None
