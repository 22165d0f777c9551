"""The inspector's pages for the wiring: a point, a way, a run, and several things at once."""

from msgspec import structs
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from circuitmap.circuits import what_stops
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.fields import ChoiceField, CountField, TextField, TickField
from circuitmap.desk.inspect_page import Page, figure, read_current, read_depth, read_length
from circuitmap.desk.loads import LoadsEditor
from circuitmap.desk.parts import Label, button
from circuitmap.desk.theme import Look
from circuitmap.home import Change, Home, combine, verbs
from circuitmap.home.records import Device, End, Point, Rcd, Run
from circuitmap.plan import room_of
from circuitmap.quantities.show import show_length
from circuitmap.words import CONDITIONS, DEVICE_KINDS, EVIDENCE, HOW_SWITCHED, POINT_KINDS, RUN_ROLES, Evidence

_COVER = "Cables at a way are counted with the cover off: for skilled persons, main switch off; tails stay live."
_TWO_SIDED = frozenset({"double-pole switch", "isolator", "timer", "rcd socket", "cooker control unit"})
_BY = {"run": "its cable", "tag": "what was said", "round": "switching off"}
_TRIPS = (("no RCD in it", None), ("10 mA", 10.0), ("30 mA", 30.0), ("100 mA", 100.0), ("300 mA", 300.0))
_VERDICTS = {
    "settled": "settled by switching off",
    "in doubt": "in doubt",
    "never off": "never seen off",
    "contradiction": "answers that don't fit together",
    "unchecked": "not checked",
    "elsewhere": "on with everything off",
    "not seen on": "not seen on yet",
}


class PointPage(Page):
    """A point: what it is, where, its cables, what feeds it, what hangs on it, what was seen."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(adapter, look, parent)
        self._evidence: Evidence = "seen"
        titles = [(adapter.trade.point(kind).title, kind) for kind in POINT_KINDS]
        self.fed = Label("", self)
        self.box.insertWidget(2, self.fed)
        self.name = TextField("Name", self.saver("name"), self)
        self.kind = ChoiceField("Kind", titles, self.saver("kind"), self)
        self.gangs = CountField("Gangs", "?", self._save_gangs, 12, self)
        self.where = TextField("Where in the room", self.saver("where"), self)
        self.cables = CountField("Cables counted", "not counted", self._save_cables, 12, self)
        self.load_cables = CountField("Cables on the load side", "not counted", self._save_load_cables, 12, self)
        self.fuse = TextField("Fuse", self.saver("fuse_a", read_current), self)
        self.box_depth = TextField("Box depth", self.saver("box_depth_mm", read_depth), self)
        self.row("Name", self.name)
        self.row("Kind", self.kind)
        self.row("Gangs", self.gangs)
        self.row("Where", self.where)
        self.row("Cables", self.cables)
        self.row("Load side", self.load_cables)
        self.row("Fuse", self.fuse)
        self.row("Box depth", self.box_depth)
        self.outdoor = TickField("Outdoors", self.saver("outdoor"), self)
        self.metal = TickField("Metal fitting", self.saver("metal"), self)
        self.form.addRow(self.outdoor, self.metal)
        self.tag_way = ChoiceField("This way feeds it", [], self._save_tag, self)
        self.row("Fed by", self.tag_way)
        self.tag_evidence = ChoiceField(
            "How that is known", [(word, word) for word in EVIDENCE], self._save_evidence, self
        )
        self.row("Known by", self.tag_evidence)
        self.controls = ChoiceField("Works this light", [], self._save_controls, self)
        self.row("Works", self.controls)
        self.loads = LoadsEditor(self.saver("loads"), self)
        self.box.addWidget(Label("What hangs on it", self, role="faint"))
        self.box.addWidget(self.loads)
        self.box.addWidget(Label("Seen at it", self, role="faint"))
        self.seen = QListWidget(self)
        self.seen.setAccessibleName("What was seen at it")
        self.seen.setMaximumHeight(150)
        for condition in CONDITIONS:
            item = QListWidgetItem(condition)
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Unchecked)
            self.seen.addItem(item)
        self.seen.itemChanged.connect(self._on_seen)
        self.box.addWidget(self.seen)

    def fill(self) -> None:
        """Show the point."""
        home = self.adapter.home
        point = home.take(Point, self.id)
        room = room_of(home, self.adapter.memo, point)
        row = self.adapter.trade.point(point.kind)
        self.title.setText(f"{row.title} {point.id}" + (f" · {room.name}" if room else ""))
        self.fed.setText(self._fed_words(point))
        self.name.show_value(point.name)
        self.kind.show_value(point.kind)
        self.gangs.show_value(point.gangs)
        self.where.show_value(point.where)
        self.cables.show_value(point.cables_seen)
        self.load_cables.show_value(point.cables_seen_load)
        self.fuse.show_value(figure(point.fuse_a, "A"))
        self.box_depth.show_value(figure(point.box_depth_mm, "mm"))
        self.outdoor.show_value(point.outdoor)
        self.metal.show_value(point.metal)
        self.loads.show_value(point.loads)
        two_sided = row.through_fuse or point.kind in _TWO_SIDED
        self.form.setRowVisible(self.load_cables, two_sided)
        self.form.setRowVisible(self.fuse, row.through_fuse or point.fuse_a is not None)
        tags = verbs.tags_of(home, point.id)
        ways = [("— not said —", "")] + [
            (f"{v.code} {v.device.label[:30]}".strip(), v.device.id) for v in self.adapter.views
        ]
        self.tag_way.offer(ways)
        self.tag_way.show_value(tags[0].device if tags else "")
        self.tag_evidence.show_value(tags[0].evidence if tags else self._evidence)
        self.form.setRowVisible(self.controls, row.is_control)
        if row.is_control:
            lights = [
                (f"{p.name or p.kind} {p.id}", p.id)
                for p in home.sorted(Point)
                if self.adapter.trade.point(p.kind).is_light
            ]
            self.controls.offer([("— nothing —", ""), *lights])
            self.controls.show_value(point.controls[0] if point.controls else "")
        noted = {condition for note in verbs.notes_of(home, point.id) for condition in note.seen}
        self.seen.blockSignals(True)
        for n in range(self.seen.count()):
            item = self.seen.item(n)
            state = Qt.CheckState.Checked if item.text() in noted else Qt.CheckState.Unchecked
            item.setCheckState(state)
        self.seen.blockSignals(False)

    def _fed_words(self, point: Point) -> str:
        lines = []
        for view in self.adapter.views_of(point.id):
            member = next(m for m in view.members if m.point.id == point.id)
            by = " and ".join(_BY[how] for how in member.by)
            lines.append(f"Fed by {view.code}, by {by} ({member.evidence}).")
        deduced = self.adapter.deduced.get(point.id)
        if deduced is not None and deduced.verdict not in ("settled", "unchecked"):
            lines.append(deduced.says)
        elif not lines:
            lines.append(
                f"What feeds it is {_VERDICTS['unchecked'] if deduced is None else _VERDICTS[deduced.verdict]}."
            )
        stops = what_stops(self.adapter.home, self.adapter.views, point.id)
        return "\n".join([*lines, stops])

    def _save_gangs(self, value: object) -> bool:
        return self.make(lambda home: verbs.edit(home, self.id, "", gangs=value or 1))

    def _save_cables(self, value: object) -> bool:
        count = value if isinstance(value, int) else None
        return self.make(lambda home: verbs.count_cables(home, self.id, count))

    def _save_load_cables(self, value: object) -> bool:
        count = value if isinstance(value, int) else None
        return self.make(lambda home: verbs.count_cables(home, self.id, count, load_side=True))

    def _save_tag(self, value: object) -> bool:
        device, evidence = str(value), self._evidence
        return self.make(lambda home: retag(home, self.id, device, evidence))

    def _save_evidence(self, value: object) -> bool:
        self._evidence = value  # type: ignore[assignment]  # the field offers nothing else
        tags = verbs.tags_of(self.adapter.home, self.id)
        if not tags:
            return True
        device, evidence = tags[0].device, self._evidence
        return self.make(lambda home: verbs.tag(home, self.id, device, evidence))

    def _save_controls(self, value: object) -> bool:
        return self.make(lambda home: verbs.edit(home, self.id, "", controls=(str(value),) if value else ()))

    def _on_seen(self, item: QListWidgetItem) -> None:
        wanted = item.checkState() == Qt.CheckState.Checked
        condition = item.text()
        self.make(lambda home: set_seen(home, self.id, condition, wanted=wanted))


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
        self.rcd_type = ChoiceField(
            "RCD type", [("not read", ""), ("AC", "AC"), ("A", "A"), ("F", "F"), ("B", "B")], self._save_type, self
        )
        self.cables = CountField("Cables counted at the way", "not counted", self._save_cables, 12, self)
        switched = [("as usual for its kind", None), *((word, word) for word in HOW_SWITCHED)]
        self.how = ChoiceField("How it is switched", switched, self.saver("how_switched"), self)
        self.keep = TextField("Why it must stay on", self.saver("keep_on"), self)
        for label, field in (
            ("Label", self.label), ("Way", self.way), ("Device", self.kind), ("Rating", self.rating),
            ("Type", self.curve),
            ("Under", self.upstream), ("RCD", self.trips), ("RCD type", self.rcd_type), ("Cables", self.cables),
            ("Switched by", self.how), ("Keep on", self.keep),
        ):  # fmt: skip
            self.row(label, field)
        self.box.addWidget(Label(_COVER, self, role="faint"))

    def fill(self) -> None:
        """Show the device."""
        home = self.adapter.home
        device = home.take(Device, self.id)
        self.title.setText(
            f"Way {home.code(device.id)}" if device.way else self.adapter.trade.device(device.kind).title
        )
        view = self.adapter.view_of(device.id)
        if view is not None:
            shape = view.shape.kind if view.shape else "no cable drawn"
            self.say(f"{len(view.members)} points known on it; {shape}.")
        self.label.show_value(device.label)
        self.way.show_value(device.way)
        self.kind.show_value(device.kind)
        self.rating.show_value(figure(device.rating_a, "A"))
        self.curve.show_value(device.curve)
        others = [d for d in home.devices_on(device.board) if d.id != device.id]
        over = [
            d
            for d in others
            if self.adapter.trade.device(d.kind).residual_current or d.kind in ("main switch", "isolator")
        ]
        self.upstream.offer([("nothing recorded", None), *((_device_words(home, d), d.id) for d in over)])
        self.upstream.show_value(device.upstream)
        self.trips.show_value(device.rcd.trips_ma if device.rcd else None)
        self.rcd_type.show_value(device.rcd.type if device.rcd else "")
        self.form.setRowVisible(self.rcd_type, device.rcd is not None)
        self.cables.show_value(device.cables_seen)
        self.how.show_value(device.how_switched)
        self.keep.show_value(device.keep_on)

    def _save_upstream(self, value: object) -> bool:
        return self.make(lambda home: verbs.edit(home, self.id, "", upstream=value or None))

    def _save_trips(self, value: object) -> bool:
        rcd = self.adapter.home.take(Device, self.id).rcd
        new = Rcd(trips_ma=value, type=rcd.type if rcd else "") if isinstance(value, float) else None
        return self.make(lambda home: verbs.edit(home, self.id, "", rcd=new))

    def _save_type(self, value: object) -> bool:
        rcd = self.adapter.home.take(Device, self.id).rcd or Rcd()
        new = Rcd(trips_ma=rcd.trips_ma, type=str(value), delayed=rcd.delayed)
        return self.make(lambda home: verbs.edit(home, self.id, "", rcd=new))

    def _save_cables(self, value: object) -> bool:
        count = value if isinstance(value, int) else None
        return self.make(lambda home: verbs.count_cables(home, self.id, count))


class RunPage(Page):
    """A run: its cable, evidence, length, ends."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(adapter, look, parent)
        cables = [("not known", ""), *((c.title, c.code) for c in adapter.trade.cables())]
        methods = [("not known", ""), *((f"{m.code}: {m.title}", m.code) for m in adapter.trade.methods)]
        self.cable = ChoiceField("Cable", cables, self.saver("cable"), self)
        self.evidence = ChoiceField("Evidence", [(word, word) for word in EVIDENCE], self.saver("evidence"), self)
        self.length = TextField("Length", self._save_length, self)
        self.length.setPlaceholderText("4.5 m")
        self.method = ChoiceField("How it is laid", methods, self.saver("method"), self)
        colours = [("not seen", ""), ("old: red, black", "old"), ("new: brown, blue", "new"), ("mixed", "mixed")]
        self.colours = ChoiceField("Colours", colours, self.saver("colours"), self)
        self.role = ChoiceField("What it does", [(word, word) for word in RUN_ROLES], self.saver("role"), self)
        for label, field in (
            ("Cable", self.cable), ("Evidence", self.evidence), ("Length", self.length), ("Laid", self.method),
            ("Colours", self.colours), ("Role", self.role),
        ):  # fmt: skip
            self.row(label, field)
        sides = [("supply terminals", "supply"), ("load terminals", "load")]
        self.side_a = ChoiceField("Terminals of the first end", sides, self._save_side_a, self)
        self.side_b = ChoiceField("Terminals of the second end", sides, self._save_side_b, self)
        self.row("First end", self.side_a)
        self.row("Second end", self.side_b)
        self.loose_a = button("First end seen loose", self)
        self.loose_a.clicked.connect(self._on_loose_a)
        self.loose_b = button("Second end seen loose", self)
        self.loose_b.clicked.connect(self._on_loose_b)
        self.unknown = button("Nobody followed the second end", self)
        self.unknown.clicked.connect(self._on_unknown)
        for widget in (self.loose_a, self.loose_b, self.unknown):
            self.box.addWidget(widget)

    def fill(self) -> None:
        """Show the run."""
        home = self.adapter.home
        run = home.take(Run, self.id)
        self.title.setText(f"Run {run.id}: {_end(home, run.a)} – {_end(home, run.b)}")
        self.cable.show_value(run.cable)
        self.evidence.show_value(run.evidence)
        self.length.show_value(show_length(run.length_mm) if run.length_mm else "")
        self.method.show_value(run.method)
        self.colours.show_value(run.colours)
        self.role.show_value(run.role)
        for field, end in ((self.side_a, run.a), (self.side_b, run.b)):
            point = home.find(Point, end.at)
            row = self.adapter.trade.point(point.kind) if point is not None else None
            self.form.setRowVisible(field, row is not None and (row.through_fuse or row.kind in _TWO_SIDED))
            field.show_value("load" if end.side == "load" else "supply")

    def _save_side_a(self, value: object) -> bool:
        return self._save_side("a", value)

    def _save_side_b(self, value: object) -> bool:
        return self._save_side("b", value)

    def _save_side(self, which: str, value: object) -> bool:
        run = self.adapter.home.take(Run, self.id)
        end = structs.replace(run.a if which == "a" else run.b, side=value)
        return self.make(lambda home: verbs.set_end(home, self.id, which, end))

    def _save_length(self, value: object) -> bool:
        from circuitmap.errors import PersonError

        try:
            length = read_length(value)
        except PersonError as error:
            self.adapter.refuse(str(error))
            return False
        origin = "measured" if length else ""
        return self.make(lambda home: verbs.edit(home, self.id, "", length_mm=length, length_from=origin))

    def _on_loose_a(self) -> None:
        self.make(lambda home: verbs.cut(home, self.id, "a"))

    def _on_loose_b(self) -> None:
        self.make(lambda home: verbs.cut(home, self.id, "b"))

    def _on_unknown(self) -> None:
        self.make(lambda home: verbs.set_end(home, self.id, "b", End(state="unknown"), f"{self.id} not followed"))


class SeveralPage(Page):
    """Several things: what can be said of all of them at once."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(adapter, look, parent)
        cables = [("leave as it is", None), *((c.title, c.code) for c in adapter.trade.cables())]
        evidence = [("leave as it is", None), *((word, word) for word in EVIDENCE)]
        self.cable = ChoiceField("Cable of these runs", cables, self._save_cable, self)
        self.evidence = ChoiceField("Evidence of these runs", evidence, self._save_evidence, self)
        self.count = CountField("Cables counted at each", "leave as it is", self._save_count, 12, self)
        self.row("Cable", self.cable)
        self.row("Evidence", self.evidence)
        self.row("Cables", self.count)
        self.plate = button("Put on one plate", self)
        self.plate.clicked.connect(self._on_plate)
        self.gone = button("Remove them", self)
        self.gone.clicked.connect(self._on_remove)
        self.box.addWidget(self.plate)
        self.box.addWidget(self.gone)

    def fill(self) -> None:
        """Show how many of what there are."""
        kinds: dict[str, int] = {}
        for record_id in self.ids:
            record = self.adapter.home.peek(record_id)
            if record is not None:
                kinds[record.kind_of] = kinds.get(record.kind_of, 0) + 1
        self.title.setText(", ".join(f"{n} {kind}{'s' if n > 1 else ''}" for kind, n in kinds.items()) + " selected")
        self.form.setRowVisible(self.cable, "run" in kinds)
        self.form.setRowVisible(self.evidence, "run" in kinds)
        self.form.setRowVisible(self.count, "point" in kinds)
        self.plate.setVisible(kinds.get("point", 0) > 1)
        self.count.show_value(None)
        self.cable.show_value(None)
        self.evidence.show_value(None)

    def _runs(self) -> list[str]:
        return [i for i in self.ids if i.startswith("R")]

    def _save_cable(self, value: object) -> bool:
        return value is None or self.make(
            lambda home: verbs.edit_many(home, self._runs(), "Set the cable", cable=value)
        )

    def _save_evidence(self, value: object) -> bool:
        return value is None or self.make(
            lambda home: verbs.edit_many(home, self._runs(), "Set the evidence", evidence=value)
        )

    def _save_count(self, value: object) -> bool:
        points = [i for i in self.ids if i.startswith("P")]
        return self.make(lambda home: verbs.edit_many(home, points, "Count cables", cables_seen=value))

    def _on_plate(self) -> None:
        self.make(lambda home: verbs.share_plate(home, [i for i in self.ids if i.startswith("P")]))

    def _on_remove(self) -> None:
        self.make(lambda home: verbs.remove(home, *self.ids))


def retag(home: Home, point: str, device: str, evidence: Evidence) -> Change:
    """Say that one way and no other feeds a point (or, with an empty id, that nothing is said)."""
    changes: list[Change] = []
    now = home
    for tag in verbs.tags_of(home, point):
        if tag.device != device:
            change = verbs.untag(now, point, tag.device)
            now = now.apply(change)
            changes.append(change)
    if device:
        changes.append(verbs.tag(now, point, device, evidence))
    title = changes[-1].title if changes else ""
    return combine(title, changes)


def set_seen(home: Home, subject: str, condition: str, *, wanted: bool) -> Change:
    """Note a condition at a thing, or take it out of the notes about it again."""
    if wanted:
        return verbs.note(home, subject, seen=(condition,))  # type: ignore[arg-type]  # a word of CONDITIONS
    changes: list[Change] = []
    for note in verbs.notes_of(home, subject):
        if condition in note.seen:
            left = tuple(word for word in note.seen if word != condition)
            bare = not left and not note.text and not note.photos
            changes.append(verbs.remove(home, note.id) if bare else verbs.edit(home, note.id, "", seen=left))
    return combine(f"Not {condition} after all", changes)


def _device_words(home: Home, device: Device) -> str:
    return f"{home.code(device.id)} {device.kind}" if device.way else device.kind


def _end(home: Home, end: End) -> str:
    if end.at is None:
        return {"unknown": "not followed", "loose": "loose end"}.get(end.state, "nowhere")
    return home.code(end.at) if home.find(Device, end.at) else end.at
