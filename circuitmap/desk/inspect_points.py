"""The inspector's pages for points: one point, and the box or plate that several share."""

from PySide6.QtWidgets import QWidget

from circuitmap.circuits import what_stops
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.fields import ChecksField, ChoiceField, CountField, TextField, TickField
from circuitmap.desk.inspect_page import Page, figure, read_current, read_depth
from circuitmap.desk.loads import LoadsEditor
from circuitmap.desk.parts import Label, button
from circuitmap.desk.standing_words import read_point_height, set_height, wall_words
from circuitmap.desk.storey_words import show_height
from circuitmap.desk.tags import TagsEditor
from circuitmap.desk.theme import Look
from circuitmap.desk.visit_words import likely_words, would_settle
from circuitmap.desk.zone_words import zone_words
from circuitmap.errors import PersonError
from circuitmap.home import Change, Home, combine, verbs
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Plate, Point, Room, natural_key
from circuitmap.plan import place_of, room_of
from circuitmap.words import CONDITIONS, POINT_KINDS

TWO_SIDED = frozenset({"double-pole switch", "isolator", "timer", "rcd socket", "cooker control unit"})
_BY = {"run": "its cable", "tag": "what was said", "round": "switching off"}
_SWITCHING = (
    ("not said", ""), ("one way", "one way"), ("two way", "two way"), ("intermediate", "intermediate"),
    ("pull cord", "cord"), ("sensor", "sensor"), ("timer", "timer"),
)  # fmt: skip
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
        titles = [(adapter.trade.point(kind).title, kind) for kind in POINT_KINDS]
        self.fed = Label("", self)
        self.box.insertWidget(3, self.fed)
        self.zone = Label("", self)
        self.box.insertWidget(4, self.zone)
        self.plate = button("", self)
        self.plate.setProperty("goes", True)
        self.plate.clicked.connect(self._on_plate)
        self.box.insertWidget(5, self.plate)
        self.name = TextField("Name", self.saver("name"), self)
        self.kind = ChoiceField("Kind", titles, self.saver("kind"), self)
        self.gangs = CountField("Gangs", "?", self._save_gangs, 12, self)
        self.gangs.setMinimum(1)
        self.room = ChoiceField("Room it is in", [], self._save_room, self)
        self.where = TextField("Where in the room", self.saver("where"), self)
        self.height_field = TextField("Height over the floor", self._save_height, self)
        self.cables = CountField("Cables counted", "not counted", self._save_cables, 12, self)
        self.load_cables = CountField("Cables on the load side", "not counted", self._save_load_cables, 12, self)
        self.fuse = TextField("Fuse", self.saver("fuse_a", read_current), self)
        self.box_depth = TextField("Box depth", self.saver("box_depth_mm", read_depth), self)
        for label, field in (
            ("Name", self.name), ("Kind", self.kind), ("Gangs", self.gangs), ("Room", self.room),
            ("Where", self.where), ("Height", self.height_field), ("Cables", self.cables),
            ("Load side", self.load_cables), ("Fuse", self.fuse),
            ("Box depth", self.box_depth),
        ):  # fmt: skip
            self.row(label, field)
        self.outdoor = TickField("Outdoors", self.saver("outdoor"), self)
        self.metal = TickField("Metal fitting", self.saver("metal"), self)
        self.form.addRow(self.outdoor, self.metal)
        self.tags = TagsEditor(adapter, self)
        self.row("Fed by", self.tags)
        self.switching = ChoiceField("How it switches", _SWITCHING, self.saver("switching"), self)
        self.row("Switching", self.switching)
        self.controls = ChecksField("Lights that it works", self._save_control, self)
        self.row("Works", self.controls)
        self.loads = LoadsEditor(self.saver("loads"), self)
        self.box.addWidget(Label("What hangs on it", self, role="faint"))
        self.box.addWidget(self.loads)
        self.box.addWidget(Label("Seen at it", self, role="faint"))
        self.seen = ChecksField("What was seen at it", self._save_seen, self)
        self.seen.offer([(condition, condition) for condition in CONDITIONS])
        self.box.addWidget(self.seen)
        self.end_with_remove("Remove this point")

    def fill(self) -> None:
        """Show the point."""
        home, trade = self.adapter.home, self.adapter.trade
        point = home.take(Point, self.id)
        room = room_of(home, self.adapter.memo, point)
        row = trade.point(point.kind)
        self.title.setText(f"{row.title} {point.id}" + (f" · {room.name}" if room else ""))
        self.fed.setText(self._fed_words(point))
        stands = f"{wall_words(self.adapter, point)} {zone_words(self.adapter, point)}".strip()
        self.zone.setText(stands)
        self.zone.setVisible(bool(stands))
        place = place_of(home, point)
        self.form.setRowVisible(self.height_field, place is not None)
        height = place.height_mm if place is not None else None
        self.height_field.show_value(show_height(height) if height is not None else "")
        self._show_plate(point)
        self.name.show_value(point.name)
        self.kind.show_value(point.kind)
        self.gangs.show_value(point.gangs)
        is_loose = point.place is None and point.plate is None
        self.form.setRowVisible(self.room, is_loose)
        if is_loose:
            rooms = [(shorten(r.name, 40) or r.id, r.id) for r in home.sorted(Room)]
            self.room.offer([("not said", ""), *rooms])
            self.room.show_value(point.room or "")
        self.where.show_value(point.where)
        self.cables.show_value(point.cables_seen)
        self.load_cables.show_value(point.cables_seen_load)
        self.fuse.show_value(figure(point.fuse_a, "A"))
        self.box_depth.show_value(figure(point.box_depth_mm, "mm"))
        self.outdoor.show_value(point.outdoor)
        self.metal.show_value(point.metal)
        self.loads.show_value(point.loads)
        two_sided = row.through_fuse or point.kind in TWO_SIDED
        self.form.setRowVisible(self.load_cables, two_sided)
        self.form.setRowVisible(self.fuse, row.through_fuse or point.fuse_a is not None)
        self.tags.show_point(
            point.id, [(f"{v.code} {shorten(v.device.label, 30)}".strip(), v.device.id) for v in self.adapter.views]
        )
        self.form.setRowVisible(self.switching, row.is_control)
        self.form.setRowVisible(self.controls, row.is_control)
        if row.is_control:
            self.switching.show_value(point.switching)
            self.controls.offer(self._lights(point, room))
            self.controls.show_value(point.controls)
        self.seen.show_value({condition for note in verbs.notes_of(home, point.id) for condition in note.seen})

    def _show_plate(self, point: Point) -> None:
        plate = point.plate
        self.plate.setVisible(plate is not None)
        if plate is not None:
            others = [p.id for p in points_on(self.adapter.home, plate) if p.id != point.id]
            self.plate.setText(f"On one plate with {', '.join(others[:6]) or 'nothing else'}")

    def _lights(self, point: Point, room: Room | None) -> list[tuple[str, str]]:
        """Give the lights that a switch may work: those it works, then those of its room, then the rest."""
        home, memo = self.adapter.home, self.adapter.memo
        found = []
        for each in home.sorted(Point):
            if each.id != point.id and (self.adapter.trade.point(each.kind).is_light or each.id in point.controls):
                there = room_of(home, memo, each)
                near = there is not None and room is not None and there.id == room.id
                where = f" · {shorten(there.name, 20)}" if there is not None else ""
                words = f"{each.id} {shorten(each.name, 30) or each.kind}{where}"
                found.append((each.id not in point.controls, not near, natural_key(each.id), words, each.id))
        return [(words, light) for _, _, _, words, light in sorted(found)]

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
        memo, trade = self.adapter.memo, self.adapter.trade
        says = (likely_words(self.adapter.home, memo, trade, point.id),
                would_settle(self.adapter.home, memo, trade, point.id))  # fmt: skip
        lines += [each for each in says if each]
        stops = what_stops(self.adapter.home, self.adapter.views, point.id)
        return "\n".join([*lines, stops])

    def _save_gangs(self, value: object) -> bool:
        return self.make(lambda home: verbs.edit(home, self.id, "", gangs=value or 1))

    def _save_room(self, value: object) -> bool:
        return self.make(lambda home: verbs.edit(home, self.id, "", room=value or None))

    def _save_height(self, value: object) -> bool:
        try:
            height = read_point_height(value)
        except PersonError as error:
            self.adapter.refuse(str(error))
            return False
        return self.make(lambda home: set_height(home, self.id, height))

    def _save_cables(self, value: object) -> bool:
        count = value if isinstance(value, int) else None
        return self.make(lambda home: verbs.count_cables(home, self.id, count))

    def _save_load_cables(self, value: object) -> bool:
        count = value if isinstance(value, int) else None
        return self.make(lambda home: verbs.count_cables(home, self.id, count, load_side=True))

    def _save_control(self, light: str, wanted: bool) -> bool:
        held = self.adapter.home.take(Point, self.id).controls
        new = (*held, light) if wanted else tuple(each for each in held if each != light)
        return self.make(lambda home: verbs.edit(home, self.id, "", controls=new))

    def _save_seen(self, condition: str, wanted: bool) -> bool:
        return self.make(lambda home: set_seen(home, self.id, condition, wanted=wanted))

    def _on_plate(self) -> None:
        plate = self.adapter.home.take(Point, self.id).plate
        if plate is not None:
            self.adapter.select(plate)


class PlatePage(Page):
    """A plate or box that several points share: how deep, what is in it, which ways must be off before it is opened."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(adapter, look, parent)
        self.ways = Label("", self)
        self.box.insertWidget(3, self.ways)
        self.gangs = CountField("Gangs of the plate", "?", self._save_gangs, 24, self)
        self.gangs.setMinimum(1)
        self.box_depth = TextField("Depth of the box", self.saver("depth_mm", read_depth), self)
        self.row("Gangs", self.gangs)
        self.row("Box depth", self.box_depth)
        self.points = button("Choose its points", self)
        self.points.setProperty("goes", True)
        self.points.clicked.connect(self._on_points)
        self.box.addWidget(self.points)
        self.box.addWidget(Label("Taken apart, its points stay where the plate is.", self, role="faint"))
        self.end_with_remove("Take the plate apart")

    def fill(self) -> None:
        """Show the plate."""
        plate = self.adapter.home.take(Plate, self.id)
        points = points_on(self.adapter.home, plate.id)
        self.title.setText(f"Plate {plate.id}")
        self.say(", ".join(f"{point.kind} {point.id}" for point in points[:8]) + ".")
        codes = list(dict.fromkeys(view.code for point in points for view in self.adapter.views_of(point.id)))
        several = f"More than one way is in this box: {' and '.join(codes)}. Isolate and prove dead on all of them."
        self.ways.setText(several if len(codes) > 1 else "")
        self.ways.setVisible(len(codes) > 1)
        self.gangs.show_value(plate.gangs)
        self.box_depth.show_value(figure(plate.depth_mm, "mm"))

    def _save_gangs(self, value: object) -> bool:
        return self.make(lambda home: verbs.edit(home, self.id, "", gangs=value or 1))

    def _on_points(self) -> None:
        self.adapter.select(*(point.id for point in points_on(self.adapter.home, self.id)))


def points_on(home: Home, plate: str) -> list[Point]:
    """Give the points that share a plate, in natural order."""
    found = (home.find(Point, user) for user in home.used_by(plate))
    return sorted((p for p in found if p is not None and p.plate == plate), key=lambda p: natural_key(p.id))


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
