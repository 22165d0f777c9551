"""The fields of a wish: those of the one that is chosen, or of the next one that is planted."""

from typing import Final

import msgspec
from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QFormLayout, QHBoxLayout, QSizePolicy, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.extend_asking import STAGE
from circuitmap.desk.extend_state import ExtendState
from circuitmap.desk.fields import ChoiceField, CountField, TextField, TickField
from circuitmap.desk.loads import LoadsEditor
from circuitmap.desk.parts import Card, Label, add_row, button, form
from circuitmap.desk.standing_words import read_point_height
from circuitmap.desk.storey_words import show_height
from circuitmap.errors import PersonError
from circuitmap.extension.wish_place import put_wish, usual_height_mm
from circuitmap.extension.wish_words import said_what
from circuitmap.extension.wishes import read_wish, say_wish
from circuitmap.home import Change, Home
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Load, Point, Wish
from circuitmap.trade import Trade
from circuitmap.words import POINT_KINDS, PointKind

# Nobody wishes for these: they come with what is wished, or say that nothing is there.
_NOT_WISHED: Final = frozenset({"junction box", "blank plate", "not connected", "outbuilding feed"})
_MOST_GANGS: Final = 12


class WishCard(Card):
    """Kind, gangs, place, height, depth, what it is behind and what will be plugged in."""

    plant_wanted = Signal()
    drop_wanted = Signal()
    draft_changed = Signal()

    def __init__(self, adapter: Adapter, state: ExtendState, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("wish-card")
        self._adapter, self._state = adapter, state
        self.draft = Wish(act="add", kind="socket", gangs=2)
        self._height: int | None = None
        self._shown = -2
        kinds: list[tuple[str, object]] = [
            (adapter.trade.point(kind).title, kind) for kind in POINT_KINDS if kind not in _NOT_WISHED
        ]
        self.title = Label("", self, role="head")
        self.kind = ChoiceField("Kind that is required", kinds, self._save_kind, self)
        self.gangs = CountField("Gangs that are required", "1", self._save_gangs, _MOST_GANGS, self)
        with QSignalBlocker(self.gangs):
            self.gangs.setMinimum(1)
        self.works = ChoiceField("Which light or switch it goes with", [], self._save_works, self)
        self.where = TextField("Where it is required: room, wall, how far along, how high", self._save_where, self)
        self.height_field = TextField("Height of its middle over the floor", self._save_height, self)
        self.deep = TickField("Deep accessory", self._save_deep, self)
        self.behind = TextField("What it is behind", self._save_behind, self)
        self.behind.setPlaceholderText("the fridge, a kitchen unit")
        self.loads = LoadsEditor(self._save_loads, self)
        self._form: QFormLayout = form()
        for words, field in (
            ("Kind", self.kind), ("Gangs", self.gangs), ("Goes with", self.works), ("Where", self.where),
            ("Height", self.height_field), ("Behind", self.behind),
        ):  # fmt: skip
            add_row(self._form, words, field)
        self._form.addRow(self.deep)
        self._loads_head = Label("What will be plugged in", self, role="faint")
        self.plant_button = button("Place it on the plan", self, checkable=True, strong=True)
        self.plant_button.clicked.connect(self.plant_wanted)
        self.drop_button = button("Take this requirement away", self)
        self.drop_button.clicked.connect(self.drop_wanted)
        row = QHBoxLayout()
        for each in (self.plant_button, self.drop_button):
            each.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            row.addWidget(each)
        self.body.addWidget(self.title)
        self.body.addLayout(row)
        self.body.addLayout(self._form)
        self.body.addWidget(self._loads_head)
        self.body.addWidget(self.loads)
        state.changed.connect(self.refresh)
        adapter.changed.connect(self.refresh)
        adapter.stage_changed.connect(self.refresh)
        self.refresh()

    @property
    def draft_height_mm(self) -> int:
        """How high the next wish is to sit: as typed, else as its kind usually does."""
        if self._height is not None:
            return self._height
        draft = self.draft
        moved = self._adapter.home.find(Point, draft.point) if draft.act == "move" and draft.point else None
        place = moved.place if moved is not None else None
        if place is not None and place.height_mm is not None:
            return place.height_mm
        return usual_height_mm(self._adapter.trade, draft.kind or "other")

    def take_draft(self, draft: Wish) -> None:
        """Take another wish in hand for the next click."""
        self.draft, self._height = draft, None
        self._state.choose_wish(-1)
        self.refresh()
        self.draft_changed.emit()

    def settle(self) -> None:
        """Save what is being typed before the fields go on to another wish."""
        for field in (self.where, self.height_field, self.behind):
            field.settle()

    def refresh(self, *_: object) -> None:
        """Show the wish that is chosen, or the next one, as far as the stage is on show."""
        if self._adapter.stage != STAGE:
            return
        number = self._state.wish
        if number != self._shown and self._shown != -2:
            for field in (self.where, self.height_field, self.behind):
                field.drop()
        self._shown = number
        wish = self._state.wishes[number] if number >= 0 else self.draft
        home, trade = self._adapter.home, self._adapter.trade
        adds = wish.act == "add"
        kind: PointKind = wish.kind or "other"
        what = said_what(kind, wish.gangs, trade)
        does = {"add": what, "move": f"move {wish.point}", "remove": f"take out {wish.point}"}[wish.act]
        self.title.setText(f"Requirement {number + 1}: {does}" if number >= 0 else f"The next requirement: {does}")
        is_open = self._state.is_open
        self.setEnabled(is_open)
        is_switch = adds and trade.point(kind).family == "controls"
        shown: tuple[tuple[QWidget, bool], ...] = (
            (self.kind, adds), (self.gangs, adds), (self.works, is_switch),
            (self.where, number >= 0 and wish.act != "remove"),
            (self.height_field, wish.act != "remove"), (self.behind, wish.act != "remove"), (self.deep, adds),
        )  # fmt: skip
        for part, is_shown in shown:
            self._form.setRowVisible(part, is_shown)
        self.loads.setVisible(wish.act != "remove")
        self._loads_head.setVisible(wish.act != "remove")
        self.drop_button.setVisible(number >= 0)
        self.plant_button.setText("Place the next one" if number >= 0 else "Place it on the plan")
        self.kind.show_value(kind)
        self.gangs.show_value(wish.gangs)
        if is_switch:
            self.works.offer([("the lights that are required", ""), *_lights(home, trade)])
            self.works.show_value(wish.point or "")
        height = wish.place.height_mm if wish.place is not None else None
        if number < 0:
            height = self.draft_height_mm
        self.height_field.show_value(show_height(height) if height is not None else "")
        said = say_wish(home, self._adapter.memo, trade, _bare(wish)) if number >= 0 else ""
        self.where.show_value(said.partition(", ")[2])
        self.deep.show_value(wish.deep)
        self.behind.show_value(wish.behind)
        self.loads.show_value(wish.loads)

    # -- saving -------------------------------------------------------------------------------------------------

    def _save_kind(self, value: object) -> bool:
        kind: PointKind = value  # type: ignore[assignment]  # the field offers kinds only
        row = self._adapter.trade.point(kind)
        gangs = self._wish.gangs if row.is_socket_outlet or row.is_control else 1
        point = self._wish.point if row.family == "controls" else None
        return self._save(kind=kind, gangs=gangs, point=point)

    def _save_works(self, value: object) -> bool:
        return self._save(point=str(value) or None)

    def _save_gangs(self, value: object) -> bool:
        return self._save(gangs=value)

    def _save_deep(self, value: object) -> bool:
        return self._save(deep=bool(value))

    def _save_behind(self, value: object) -> bool:
        return self._save(behind=" ".join(str(value).split()))

    def _save_loads(self, value: object) -> bool:
        loads: tuple[Load, ...] = value  # type: ignore[assignment]  # the editor's own
        return self._save(loads=loads)

    def _save_height(self, value: object) -> bool:
        try:
            height = read_point_height(value)
        except PersonError as error:
            self._adapter.refuse(str(error))
            return False
        place = self._wish.place
        if self._state.wish < 0:
            self._height = height
            self.refresh()
            self.draft_changed.emit()
            return True
        if place is None or height is None:
            self._adapter.refuse("A requirement needs a height; type one, like 450 mm or 1.1 m.")
            return False
        return self._save(place=msgspec.structs.replace(place, height_mm=height))

    def _save_where(self, value: object) -> bool:
        wish, adapter = self._wish, self._adapter
        said = said_what(wish.kind or "other", wish.gangs, adapter.trade)
        what = f"move {wish.point}" if wish.act == "move" else said

        def moved(home: Home) -> Change:
            place = read_wish(home, adapter.memo, adapter.trade, f"{what}, {value}").place
            return self._put(home, msgspec.structs.replace(wish, place=place))

        return adapter.do(moved) is not None

    @property
    def _wish(self) -> Wish:
        number = self._state.wish
        return self._state.wishes[number] if number >= 0 else self.draft

    def _save(self, **fields: object) -> bool:
        wish = msgspec.structs.replace(self._wish, **fields)
        if self._state.wish < 0:
            self.draft = wish
            self.refresh()
            self.draft_changed.emit()
            return True
        return self._adapter.do(lambda home: self._put(home, wish)) is not None

    def _put(self, home: Home, wish: Wish) -> Change:
        extension = self._state.extension
        adapter = self._adapter
        return put_wish(
            home, adapter.memo, adapter.trade, extension.id if extension is not None else "", wish, self._state.wish
        )  # fmt: skip


def _lights(home: Home, trade: Trade) -> list[tuple[str, object]]:
    """Give the lights, and the switches that work some, that a wished switch may go with."""
    found: list[tuple[str, object]] = []
    for point in home.sorted(Point):
        row = trade.point(point.kind)
        if point.phase == "existing" and (row.is_light or point.controls):
            found.append((shorten(f"{point.id} {point.name or row.title}", 36), point.id))
    return found


def _bare(wish: Wish) -> Wish:
    return msgspec.structs.replace(wish, deep=False, behind="", loads=())
