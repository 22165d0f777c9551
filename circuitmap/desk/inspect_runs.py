"""The inspector's pages for a run of cable, and for several things at once."""

from msgspec import structs
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QWidget

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.fields import ChoiceField, TextField, TickField
from circuitmap.desk.inspect_page import Page, read_length
from circuitmap.desk.inspect_points import TWO_SIDED
from circuitmap.desk.parts import Label, button
from circuitmap.desk.theme import Look
from circuitmap.errors import HomeError, PersonError
from circuitmap.home import Home, verbs
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Board, Device, End, Point, Run, RunFault
from circuitmap.quantities.show import show_length
from circuitmap.words import CORES, EVIDENCE, RUN_ROLES, Core, Evidence

_CORE_WORDS: dict[Core, str] = {"L": "line", "N": "neutral", "E": "cpc"}
_SIDES = (("supply terminals", "supply"), ("load terminals", "load"))
_COLOURS = (("not seen", ""), ("old: red, black", "old"), ("new: brown, blue", "new"), ("mixed", "mixed"))
_LEAVE = "leave as it is"
_NOT_COUNTED = "not counted"


class RunPage(Page):
    """A run: its cable, evidence, length, where its ends go, which of its conductors are open."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(adapter, look, parent)
        cables = [("not known", ""), *((c.title, c.code) for c in adapter.trade.cables())]
        methods = [("not known", ""), *((f"{m.code}: {m.title}", m.code) for m in adapter.trade.methods)]
        known = [(word, word) for word in EVIDENCE]
        self.cable = ChoiceField("Cable", cables, self.saver("cable"), self)
        self.evidence = ChoiceField("Evidence", known, self.saver("evidence"), self)
        self.length = TextField("Length", self._save_length, self)
        self.length.setPlaceholderText("4.5 m")
        self.method = ChoiceField("How it is laid", methods, self.saver("method"), self)
        self.colours = ChoiceField("Colours", _COLOURS, self.saver("colours"), self)
        self.role = ChoiceField("What it does", [(word, word) for word in RUN_ROLES], self.saver("role"), self)
        self.end_a = TextField("Where the first end goes", self._save_end_a, self)
        self.side_a = ChoiceField("Terminals of the first end", _SIDES, self._save_side_a, self)
        self.end_b = TextField("Where the second end goes", self._save_end_b, self)
        self.side_b = ChoiceField("Terminals of the second end", _SIDES, self._save_side_b, self)
        for field in (self.end_a, self.end_b):
            field.setPlaceholderText("P12, A3 or board A")
        self.open_evidence = ChoiceField("How it is known what is open", known, self._save_open_evidence, self)
        for label, row in (
            ("Cable", self.cable), ("Evidence", self.evidence), ("Length", self.length), ("Laid", self.method),
            ("Colours", self.colours), ("Role", self.role), ("First end", self.end_a), ("at its", self.side_a),
            ("Second end", self.end_b), ("at its", self.side_b),
        ):  # fmt: skip
            self.row(label, row)
        self._add_ends()
        self.box.addWidget(Label("Open conductors (broken, or not in their terminals)", self, role="faint"))
        line = QHBoxLayout()
        self.open: dict[Core, TickField] = {}
        for core, save in (("L", self._save_open_l), ("N", self._save_open_n), ("E", self._save_open_e)):
            self.open[core] = TickField(_CORE_WORDS[core], save, self)  # type: ignore[index]  # the three cores
            self.open[core].setAccessibleName(f"Open {_CORE_WORDS[core]}")  # type: ignore[index]
            line.addWidget(self.open[core])  # type: ignore[index]
        self.box.addLayout(line)
        self.box.addWidget(self.open_evidence)
        self.end_with_remove("Remove this run")

    def _add_ends(self) -> None:
        grid = QGridLayout()
        self.loose_a = button("First end loose", self)
        self.loose_b = button("Second end loose", self)
        self.unknown_a = button("First not followed", self)
        self.unknown_b = button("Second not followed", self)
        for n, (made, slot, tip) in enumerate((
            (self.loose_a, self._on_loose_a, "The first end was seen cut or unconnected"),
            (self.unknown_a, self._on_unknown_a, "Nobody followed the first end"),
            (self.loose_b, self._on_loose_b, "The second end was seen cut or unconnected"),
            (self.unknown_b, self._on_unknown_b, "Nobody followed the second end"),
        )):  # fmt: skip
            made.setToolTip(tip)
            made.setAccessibleName(tip)
            made.clicked.connect(slot)
            grid.addWidget(made, n // 2, n % 2)
        self.box.addLayout(grid)

    def fill(self) -> None:
        """Show the run."""
        home = self.adapter.home
        run = home.take(Run, self.id)
        self.title.setText(f"Run {run.id}: {_end_words(home, run.a)} – {_end_words(home, run.b)}")
        self.cable.show_value(run.cable)
        self.evidence.show_value(run.evidence)
        self.length.show_value(show_length(run.length_mm) if run.length_mm else "")
        self.method.show_value(run.method)
        self.colours.show_value(run.colours)
        self.role.show_value(run.role)
        for text, field, end in ((self.end_a, self.side_a, run.a), (self.end_b, self.side_b, run.b)):
            text.show_value(_end_words(home, end))
            point = home.find(Point, end.at)
            row = self.adapter.trade.point(point.kind) if point is not None else None
            self.form.setRowVisible(field, row is not None and (row.through_fuse or row.kind in TWO_SIDED))
            field.show_value("load" if end.side == "load" else "supply")
        fault = _open_fault(run)
        for core, tick in self.open.items():
            tick.show_value(fault is not None and core in fault.cores)
        self.open_evidence.setVisible(fault is not None)
        self.open_evidence.show_value(fault.evidence if fault is not None else "inferred")

    def _save_end_a(self, value: object) -> bool:
        return self._follow("a", value)

    def _save_end_b(self, value: object) -> bool:
        return self._follow("b", value)

    def _follow(self, which: str, value: object) -> bool:
        try:
            there = find_thing(self.adapter.home, str(value))
        except PersonError as error:
            self.adapter.refuse(str(error))
            return False
        run = self.adapter.home.take(Run, self.id)
        held = run.a if which == "a" else run.b
        return there == held.at or self.make(lambda home: verbs.follow(home, self.id, which, there))

    def _save_side_a(self, value: object) -> bool:
        return self._save_side("a", value)

    def _save_side_b(self, value: object) -> bool:
        return self._save_side("b", value)

    def _save_side(self, which: str, value: object) -> bool:
        run = self.adapter.home.take(Run, self.id)
        end = structs.replace(run.a if which == "a" else run.b, side=value)
        return self.make(lambda home: verbs.set_end(home, self.id, which, end))

    def _save_length(self, value: object) -> bool:
        try:
            length = read_length(value)
        except PersonError as error:
            self.adapter.refuse(str(error))
            return False
        origin = "measured" if length else ""
        return self.make(lambda home: verbs.edit(home, self.id, "", length_mm=length, length_from=origin))

    def _save_open_l(self, value: object) -> bool:
        return self._save_open("L", bool(value))

    def _save_open_n(self, value: object) -> bool:
        return self._save_open("N", bool(value))

    def _save_open_e(self, value: object) -> bool:
        return self._save_open("E", bool(value))

    def _save_open(self, core: Core, wanted: bool) -> bool:
        held = _open_fault(self.adapter.home.take(Run, self.id)) or RunFault(kind="open", evidence="inferred")
        cores = tuple(each for each in CORES if (wanted if each == core else each in held.cores))
        return self._set_open(structs.replace(held, cores=cores) if cores else None)

    def _save_open_evidence(self, value: object) -> bool:
        held = _open_fault(self.adapter.home.take(Run, self.id))
        evidence: Evidence = value  # type: ignore[assignment]  # the field offers nothing else
        return held is None or self._set_open(structs.replace(held, evidence=evidence))

    def _set_open(self, fault: RunFault | None) -> bool:
        run = self.adapter.home.take(Run, self.id)
        held = _open_fault(run)
        others = tuple(each for each in run.faults if each is not held)
        new = (*others, fault) if fault is not None else others
        title = f"Open conductors of {run.id}"
        return self.make(lambda home: verbs.edit(home, self.id, title, faults=new))

    def _on_loose_a(self) -> None:
        self.make(lambda home: verbs.cut(home, self.id, "a"))

    def _on_loose_b(self) -> None:
        self.make(lambda home: verbs.cut(home, self.id, "b"))

    def _on_unknown_a(self) -> None:
        self.make(lambda home: verbs.set_end(home, self.id, "a", End(state="unknown"), f"{self.id} not followed"))

    def _on_unknown_b(self) -> None:
        self.make(lambda home: verbs.set_end(home, self.id, "b", End(state="unknown"), f"{self.id} not followed"))


class SeveralPage(Page):
    """Several things: what can be said of all of them at once."""

    def __init__(self, adapter: Adapter, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(adapter, look, parent)
        cables = [(_LEAVE, None), *((c.title, c.code) for c in adapter.trade.cables())]
        evidence = [(_LEAVE, None), *((word, word) for word in EVIDENCE)]
        counts = [(_LEAVE, None), (_NOT_COUNTED, _NOT_COUNTED), *((str(n), n) for n in range(7))]
        self.cable = ChoiceField("Cable of these runs", cables, self._save_cable, self)
        self.evidence = ChoiceField("Evidence of these runs", evidence, self._save_evidence, self)
        self.count = ChoiceField("Cables counted at each", counts, self._save_count, self)
        self.row("Cable", self.cable)
        self.row("Evidence", self.evidence)
        self.row("Cables", self.count)
        self.plate = button("Put on one plate", self)
        self.plate.clicked.connect(self._on_plate)
        self.box.addWidget(self.plate)
        self.end_with_remove("Remove them")

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
        for field in (self.cable, self.evidence, self.count):
            field.show_value(None)

    def _runs(self) -> list[str]:
        return [i for i in self.ids if i.startswith("R")]

    def _points(self) -> list[str]:
        return [i for i in self.ids if i.startswith("P")]

    def _save_cable(self, value: object) -> bool:
        return value is None or self.make(
            lambda home: verbs.edit_many(home, self._runs(), "Set the cable", cable=value)
        )

    def _save_evidence(self, value: object) -> bool:
        return value is None or self.make(
            lambda home: verbs.edit_many(home, self._runs(), "Set the evidence", evidence=value)
        )

    def _save_count(self, value: object) -> bool:
        count = value if isinstance(value, int) else None
        return value is None or self.make(
            lambda home: verbs.edit_many(home, self._points(), "Count cables", cables_seen=count)
        )

    def _on_plate(self) -> None:
        self.make(lambda home: verbs.share_plate(home, self._points()))


def find_thing(home: Home, typed: str) -> str:
    """Give the id of the point, way or board that a text names: "P12", "A3", "board A".

    Raises
    ------
    HomeError
        When nothing goes by that.
    """
    wanted = " ".join(typed.split()).casefold()
    for device in home.table(Device).values():
        if device.way and home.code(device.id).casefold() == wanted:
            return device.id
    for point in home.table(Point):
        if point.casefold() == wanted:
            return point
    for board in home.table(Board).values():
        if wanted in (board.letter_on_map.casefold(), f"board {board.letter_on_map}".casefold()):
            return board.id
    raise HomeError(
        f"“{shorten(typed, 40)}” is no point, way or board of this home; type for example P12, A3 or board A."
    )


def _open_fault(run: Run) -> RunFault | None:
    return next((fault for fault in run.faults if fault.kind == "open"), None)


def _end_words(home: Home, end: End) -> str:
    if end.at is None:
        return {"unknown": "not followed", "loose": "loose end"}.get(end.state, "nowhere")
    if home.find(Device, end.at):
        return home.code(end.at)
    return f"board {home.letter_of(end.at)}" if home.find(Board, end.at) else end.at
