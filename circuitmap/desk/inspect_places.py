"""The inspector's pages for places and the supply: a room, a board, the supply page of the home."""

from PySide6.QtWidgets import QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.fields import ChoiceField, Save, TextField, TickField
from circuitmap.desk.inspect_home import HomeDetails
from circuitmap.desk.inspect_page import Page, figure, read_current
from circuitmap.desk.parts import Label
from circuitmap.desk.theme import Look
from circuitmap.errors import PersonError
from circuitmap.home import verbs
from circuitmap.home.records import Board, Bond, Details, Room, Supply
from circuitmap.plan import area_m2, rooms_of_points
from circuitmap.plan.reshape import reshape_rooms
from circuitmap.plan.sides import resize
from circuitmap.plan.sketch import show_size
from circuitmap.quantities import parse_room_size_mm
from circuitmap.quantities.show import show_area

_USES = (
    "", "kitchen", "utility", "living room", "bedroom", "bathroom", "hall", "landing", "loft", "garage", "outbuilding",
    "outdoors", "office", "cupboard",
)  # fmt: skip
_SERVICES = ("gas", "water", "oil")
_SHAPING = (
    "On the plan: drag the room, a side or a corner; W steps round them, arrows move them, a typed size sets a side."
)
_CUT_OUT = (
    "The cut-out and the meter are the network's: not to be opened. The rating on its carrier isn't the link inside."
)


class RoomPage(Page):
    """A room: its name, use and area."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(adapter, look, parent)
        self.name = TextField("Name of the room", self.saver("name"), self)
        self.use = ChoiceField("Use of the room", [(use or "not said", use) for use in _USES], self.saver("use"), self)
        self.measures = TextField("Size of the room, across and down", self._save_size, self)
        self.measures.setPlaceholderText("3.6 × 4.2")
        self.row("Name", self.name)
        self.row("Use", self.use)
        self.row("Size", self.measures)
        self.shaping = Label(_SHAPING, self, role="faint")
        self.box.addWidget(self.shaping)
        self.end_with_remove("Remove this room")

    def fill(self) -> None:
        """Show the room."""
        room = self.adapter.home.take(Room, self.id)
        self.title.setText(f"Room {room.name}")
        inside = sum(
            r is not None and r.id == room.id for r in rooms_of_points(self.adapter.home, self.adapter.memo).values()
        )
        area = show_area(area_m2(room.outline_mm)) if room.outline_mm else "not drawn"
        self.say(f"{area}, {inside} point{'' if inside == 1 else 's'}.")
        self.name.show_value(room.name)
        self.use.show_value(room.use)
        self.measures.show_value(show_size(room.outline_mm) if room.outline_mm else "")
        self.form.setRowVisible(self.measures, len(room.outline_mm) == 4)
        self.shaping.setVisible(bool(room.outline_mm) and self.adapter.stage == "draw")

    def _save_size(self, value: object) -> bool:
        home = self.adapter.home
        room = home.take(Room, self.id)
        rooms = [each for each in home.table(Room).values() if each.storey == room.storey]
        try:
            width, depth = parse_room_size_mm(str(value))
            outlines = resize(rooms, room.id, round(width), round(depth))
        except PersonError as error:
            self.adapter.refuse(str(error))
            return False
        return bool(outlines) and self.make(lambda home: reshape_rooms(home, outlines, self.adapter.trade))


class BoardPage(Page):
    """A board: its letter, name, what feeds it."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(adapter, look, parent)
        sources = [
            ("the supply", "supply"),
            ("another board", "run"),
            ("elsewhere", "elsewhere"),
            ("not known", "unknown"),
        ]
        self.letter = TextField("Letter on the map", self._save_letter, self)
        self.name = TextField("Name of the board", self.saver("name"), self)
        self.source = ChoiceField("Fed by", sources, self.saver("source"), self)
        self.row("Letter", self.letter)
        self.row("Name", self.name)
        self.row("Fed by", self.source)
        self.end_with_remove("Remove this board and its ways")

    def fill(self) -> None:
        """Show the board."""
        board = self.adapter.home.take(Board, self.id)
        self.title.setText(f"Board {board.letter_on_map}")
        count = len(self.adapter.home.devices_on(board.id))
        self.say(f"{count} device{'' if count == 1 else 's'}; add a way with + on the strip below.")
        self.letter.show_value(board.letter_on_map)
        self.name.show_value(board.name)
        self.source.show_value(board.source)

    def _save_letter(self, value: object) -> bool:
        letter = str(value).strip().upper()
        if len(letter) != 1 or not "A" <= letter <= "Z":
            self.adapter.refuse("A board goes by one letter, A to Z.")
            return False
        return self.make(lambda home: verbs.edit(home, self.id, "", letter_on_map=letter))


class SupplyPage(Page):
    """The home and its supply: name, earthing, cut-out, bonding, edition. Shown while nothing is selected."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(adapter, look, parent)
        earthing = [("not known", "unknown"), ("TN-C-S", "TN-C-S"), ("TN-S", "TN-S"), ("TT: own electrode", "TT")]
        editions = [(row.title, row.code) for row in adapter.trade.edition_rows.values()]
        self.name = TextField("Name of the home", self._save_name, self)
        self.edition = ChoiceField("Edition of the rules", editions, self._save_edition, self)
        self.earthing = ChoiceField("Earthing", earthing, self._saver("earthing"), self)
        self.fuse = TextField("Supply fuse as labelled", self._save_fuse, self)
        self.row("Home", self.name)
        self.row("Edition", self.edition)
        self.row("Earthing", self.earthing)
        self.row("Supply fuse", self.fuse)
        self.bonds: dict[str, ChoiceField] = {}
        states = [("not recorded", None), ("bonded", "yes"), ("not bonded", "no"), ("not seen", "not seen")]
        for service in _SERVICES:
            field = ChoiceField(f"Bonding to {service}", states, self._bond_saver(service), self)
            self.bonds[service] = field
            self.row(f"{service.capitalize()} bond", field)
        self.asked = TickField("Asked about other sources", self._saver("sources_asked"), self)
        self.form.addRow(self.asked)
        self.box.addWidget(Label(_CUT_OUT, self, role="faint"))
        self.details = HomeDetails(adapter, self)
        self.box.addWidget(self.details)

    def fill(self) -> None:
        """Show the home."""
        self.details.fill()
        home = self.adapter.home
        self.title.setText("The home and its supply")
        details: Details = home.details
        supply = verbs.supply_of(home) or Supply(id="E1")
        self.say("")
        self.name.show_value(details.name)
        self.edition.show_value(details.edition)
        self.earthing.show_value(supply.earthing)
        self.fuse.show_value(figure(supply.fuse_a, "A"))
        known = {service: bond.state for bond in supply.bonds for service in _SERVICES if _is_to(bond, service)}
        for service, field in self.bonds.items():
            field.show_value(known.get(service))
        self.asked.show_value(supply.sources_asked)

    def _saver(self, field: str) -> Save:
        def save(value: object) -> bool:
            return self.make(lambda home: verbs.set_supply(home, **{field: value}))

        return save

    def _bond_saver(self, service: str) -> Save:
        def save(value: object) -> bool:
            supply = verbs.supply_of(self.adapter.home)
            others = tuple(b for b in (supply.bonds if supply else ()) if not _is_to(b, service))
            new = (Bond(to=service, state=value),) if value is not None else ()  # type: ignore[arg-type]  # offered words
            return self.make(lambda home: verbs.set_supply(home, bonds=(*others, *new)))

        return save

    def _save_name(self, value: object) -> bool:
        return self.make(lambda home: verbs.edit(home, "home", "Name the home", name=str(value)))

    def _save_edition(self, value: object) -> bool:
        return self.make(lambda home: verbs.edit(home, "home", "Choose the edition", edition=value))

    def _save_fuse(self, value: object) -> bool:
        try:
            rating = read_current(value)
        except PersonError as error:
            self.adapter.refuse(str(error))
            return False
        return self.make(lambda home: verbs.set_supply(home, fuse_a=rating))


def _is_to(bond: Bond, service: str) -> bool:
    """Whether a bond is to a service, however it was written ("oil", "oil line")."""
    return service in bond.to.casefold()
