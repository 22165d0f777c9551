"""The inspector's page for a way: its device as found, what is over it, its label, its cables."""

from msgspec import structs
from PySide6.QtWidgets import QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.fields import ChoiceField, CountField, TextField, TickField
from circuitmap.desk.inspect_page import Page, figure, read_current
from circuitmap.desk.parts import Label
from circuitmap.desk.theme import Look
from circuitmap.home import Home, verbs
from circuitmap.home.records import Device, Rcd
from circuitmap.wiring.shape import SHAPE_WORDS
from circuitmap.words import DEVICE_KINDS, HOW_SWITCHED

_COVER = (
    "Cables at a way are counted with the cover off: for skilled persons only, main switch off; the tails and the main "
    "switch's own terminals stay live."
)
_TRIPS = (("no RCD in it", None), ("10 mA", 10.0), ("30 mA", 30.0), ("100 mA", 100.0), ("300 mA", 300.0))
_TYPES = (("not read", ""), ("AC", "AC"), ("A", "A"), ("F", "F"), ("B", "B"))


class DevicePage(Page):
    """A way: its device as found, what is over it, its label, its cables."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(adapter, look, parent)
        kinds = [(adapter.trade.device(kind).title, kind) for kind in DEVICE_KINDS]
        self.label = TextField("Label as found", self.saver("label"), self)
        self.way = TextField("Way", self.saver("way"), self)
        self.kind = ChoiceField("Kind of device", kinds, self.saver("kind"), self)
        self.rating = TextField("Rating", self.saver("rating_a", read_current), self)
        self.curve = TextField("Type", self.saver("curve"), self)
        self.upstream = ChoiceField("Device over it", [], self._save_upstream, self)
        self.trips = ChoiceField("RCD trips at", _TRIPS, self._save_trips, self)
        self.rcd_type = ChoiceField("RCD type", _TYPES, self._save_type, self)
        self.delayed = TickField("Time-delayed (S)", self._save_delayed, self)
        self.cables = CountField("Cables counted at the way", "not counted", self._save_cables, 12, self)
        switched = [("as usual for its kind", None), *((word, word) for word in HOW_SWITCHED)]
        self.how = ChoiceField("How it is switched", switched, self.saver("how_switched"), self)
        self.keep = TextField("Why it must stay on", self.saver("keep_on"), self)
        for label, field in (
            ("Label", self.label), ("Way", self.way), ("Device", self.kind), ("Rating", self.rating),
            ("Type", self.curve), ("Under", self.upstream), ("RCD", self.trips), ("RCD type", self.rcd_type),
            ("", self.delayed), ("Cables", self.cables), ("Switched by", self.how), ("Keep on", self.keep),
        ):  # fmt: skip
            self.row(label, field)
        self.box.addWidget(Label(_COVER, self, role="faint"))
        self.end_with_remove("Remove this device")

    def fill(self) -> None:
        """Show the device."""
        home = self.adapter.home
        device = home.take(Device, self.id)
        self.title.setText(
            f"Way {home.code(device.id)}" if device.way else self.adapter.trade.device(device.kind).title
        )
        view = self.adapter.view_of(device.id)
        if view is not None:
            shape = SHAPE_WORDS[view.shape.kind] if view.shape else "no cable drawn"
            count = len(view.members)
            self.say(f"{count} point{'' if count == 1 else 's'} known on it; {shape}.")
        self.label.show_value(device.label)
        self.way.show_value(device.way)
        self.kind.show_value(device.kind)
        self.rating.show_value(figure(device.rating_a, "A"))
        self.curve.show_value(device.curve)
        over = [each for each in home.devices_on(device.board) if each.id != device.id and self._can_be_over(each)]
        self.upstream.offer([("nothing recorded", None), *((device_words(home, each), each.id) for each in over)])
        self.upstream.show_value(device.upstream)
        self.trips.show_value(device.rcd.trips_ma if device.rcd else None)
        self.rcd_type.show_value(device.rcd.type if device.rcd else "")
        self.delayed.show_value(device.rcd.delayed if device.rcd else False)
        self.form.setRowVisible(self.rcd_type, device.rcd is not None)
        self.form.setRowVisible(self.delayed, device.rcd is not None)
        self.cables.show_value(device.cables_seen)
        self.how.show_value(device.how_switched)
        self.keep.show_value(device.keep_on)

    def _can_be_over(self, device: Device) -> bool:
        return self.adapter.trade.device(device.kind).residual_current or device.kind in ("main switch", "isolator")

    def _save_upstream(self, value: object) -> bool:
        return self.make(lambda home: verbs.edit(home, self.id, "", upstream=value or None))

    def _save_trips(self, value: object) -> bool:
        held = self._rcd()
        new = structs.replace(held, trips_ma=value) if isinstance(value, float) else None
        return self.make(lambda home: verbs.edit(home, self.id, "", rcd=new))

    def _save_type(self, value: object) -> bool:
        new = structs.replace(self._rcd(), type=str(value))
        return self.make(lambda home: verbs.edit(home, self.id, "", rcd=new))

    def _save_delayed(self, value: object) -> bool:
        new = structs.replace(self._rcd(), delayed=bool(value))
        return self.make(lambda home: verbs.edit(home, self.id, "", rcd=new))

    def _rcd(self) -> Rcd:
        return self.adapter.home.take(Device, self.id).rcd or Rcd()

    def _save_cables(self, value: object) -> bool:
        count = value if isinstance(value, int) else None
        return self.make(lambda home: verbs.count_cables(home, self.id, count))


def device_words(home: Home, device: Device) -> str:
    """Give what a device goes by among those of its board."""
    return f"{home.code(device.id)} {device.kind}" if device.way else device.kind
