"""The sections of a drawn circuit that could leak, how suspicious each is, and what it takes to open its places."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from math import prod
from typing import Final

from circuitmap.circuits import CircuitView, Member
from circuitmap.home.records import End, Point, Run
from circuitmap.readings.insulation import Pair
from circuitmap.readings.leak import Cable, ComesOff, Layout, Place, Section
from circuitmap.trade import Trade
from circuitmap.wiring.graph import TWO_SIDED
from circuitmap.words import Condition

LIVE_DROPS: Final = frozenset({"switch drop", "strappers"})
OUT_THERE: Final = frozenset({"outbuilding", "garage"})
DAMAGED: Final[frozenset[Condition]] = frozenset({
    "scorched", "scorched and failing", "live part touchable", "basic insulation showing", "loose accessory",
    "loose terminal", "damaged accessory", "shallow box", "hot or buzzing", "copper inside closed box",
})  # fmt: skip
OLD: Final[frozenset[Condition]] = frozenset({"rubber insulation", "lead sheathed", "cloth covered"})
LONG_MM: Final = 15_000
FACT_WORDS: Final = {"low insulation noted": "low insulation noted there", "long cable": "long"}


def layout_of(view: CircuitView, trade: Trade, pair: Pair = "L+N-E") -> Layout:
    """Give the sections of a circuit that could leak and the places where it can be opened.

    Parameters
    ----------
    pair
        The conductors between which it reads low: electronics pull down line to neutral, damp what goes to earth.
    """
    return _Made(view, trade, pair).layout()


@dataclass
class _Made:
    """Gathers what the layout of one circuit is made of."""

    view: CircuitView
    trade: Trade
    pair: Pair

    def __post_init__(self) -> None:
        self.to_earth = self.pair != "L-N"
        self.members = {member.point.id: member for member in self.view.members}
        self.points = {i: member.point for i, member in self.members.items()}
        drops = [run for run in self.view.drops if run.role in LIVE_DROPS]
        self.runs = [run for run in (*self.view.runs, *drops) if self._is_here(run)]
        self.seen: dict[str, set[Condition]] = {}
        for note in self.view.notes:
            self.seen.setdefault(note.subject, set()).update(note.seen)
        ring = self.view.shape is not None and "ring" in self.view.shape.kind
        spurs = self.view.shape.spurs if self.view.shape is not None and ring else ()
        self.on_spur = {i for spur in spurs for i in (*spur.unfused_points, *spur.unfused_runs)}

    def layout(self) -> Layout:
        cables = [self._cable(run) for run in self.runs]
        reached, adrift = self._reached(cables)
        cables = [cable for cable in cables if cable.key in reached]
        loaded = {at for cable in cables for at, load in _ends(cable) if load}
        units = frozenset(at for at in loaded if at in self.points and self._parts_at_its_switch(self.points[at]))
        drawn = [point for i, point in self.points.items() if i in reached]
        loose = [point for i, point in self.points.items() if i not in reached]
        boards = [board for board in self.view.boards_fed if board.id in reached]
        sections = [self._run_section(run) for run in self.runs if run.id in reached]
        sections += [self._accessory(point) for point in drawn]
        if not cables:
            sections.append(Section("undrawn", "undrawn", self.view.device.id, "the wiring", 1.0 + 2 * len(loose)))
        sections += [one for point in drawn for one in self._built_in(point)]
        sections += [one for point in drawn if point.id not in loaded for one in self._equipment(point)]
        lost = [one for point in loose for one in (*self._built_in(point), *self._equipment(point))]
        sections += [replace(one, is_adrift=True) for one in lost]
        for board in boards:
            title = f"what hangs on board {board.letter_on_map}"
            minutes = self.trade.access("switch off").minutes
            weight = 2 * self.trade.suspicion("equipment").at(to_earth=self.to_earth)
            sections.append(Section(f"{board.id} fed", "equipment", board.id, title, weight, (), "switch off", minutes))
        places = [self._place(point) for point in drawn]
        return Layout(
            device=self.view.device.id,
            code=self.view.code,
            pair=self.pair,
            sections=tuple(sections),
            places=tuple(places),
            cables=tuple(cables),
            units=units,
            notes=tuple(self._notes(len(loose), len(adrift), bool(cables))),
            read_minutes=self.trade.access("read a part").minutes,
            take_off_minutes=self.trade.access("take off at an open place").minutes,
            rejoin_minutes=self.trade.access("rejoin").minutes,
        )

    def _is_here(self, run: Run) -> bool:
        ends = {end.at for end in (run.a, run.b)}
        return bool(ends & (self.points.keys() | {self.view.device.id}))

    def _parts_at_its_switch(self, point: Point) -> bool:
        return point.kind in TWO_SIDED or point.fuse_a is not None

    def _cable(self, run: Run) -> Cable:
        a, b = (self._at(end) for end in (run.a, run.b))
        at_board = self.view.device.id in (run.a.at, run.b.at)
        return Cable(run.id, a, b, at_board, run.a.side == "load" and bool(a), run.b.side == "load" and bool(b))

    def _at(self, end: End) -> str:
        if end.at is None or end.state != "joined" or end.at == self.view.device.id:
            return ""
        if end.at[0] == "D":
            return next((board.id for board in self.view.boards_fed), "") if end.side == "supply" else ""
        return end.at

    def _reached(self, cables: list[Cable]) -> tuple[set[str], list[str]]:
        """Give what the drawn cables join to the board, and the cables that they don't."""
        found = {cable.key for cable in cables if cable.at_board}
        spots = {at for cable in cables if cable.at_board for at, _ in _ends(cable)}
        rest = [cable for cable in cables if not cable.at_board]
        grew = True
        while grew:
            near = [cable for cable in rest if spots & {at for at, _ in _ends(cable)}]
            rest = [cable for cable in rest if cable not in near]
            spots |= {at for cable in near for at, _ in _ends(cable)}
            found |= {cable.key for cable in near}
            grew = bool(near)
        return found | spots, [cable.key for cable in rest]

    def _run_section(self, run: Run) -> Section:
        ends = [end.at for end in (run.a, run.b)]
        names = [self._name(end) for end in (run.a, run.b)]
        facts = list(self._facts(run.id, run.id))
        if any(i in self.points and self._is_outdoors(self.points[i]) for i in ends if i):
            facts.append("outdoors")
        if any(i in self.members and _is_out_there(self.members[i]) for i in ends if i):
            facts.append("outbuilding")
        for fault in run.faults:
            facts.append("low insulation noted" if fault.kind == "low insulation" else "other fault noted")
        cable = self.trade.cable(run.cable)
        if cable is not None and cable.kind in ("rubber", "lead"):
            facts.append("old insulation")
        if run.length_mm is not None and run.length_mm > LONG_MM:
            facts.append("long cable")
        weight, why = self._weighed(self.trade.suspicion("cable").at(to_earth=self.to_earth), facts)
        return Section(run.id, "cable", run.id, f"{run.id} between {names[0]} and {names[1]}", weight, why)

    def _accessory(self, point: Point) -> Section:
        base = self.trade.suspicion("accessory").at(to_earth=self.to_earth)
        rows = self.trade.suspicions("accessory", point.kind)
        base *= prod(row.at(to_earth=self.to_earth) for row in rows)
        weight, why = self._weighed(base, self._of_point(point))
        why = (*(row.name for row in rows), *why)
        return Section(point.id, "accessory", point.id, f"{self._title(point)} or its terminals", weight, why)

    def _built_in(self, point: Point) -> Iterator[Section]:
        for row in self.trade.suspicions("built in", point.kind):
            weight, why = self._weighed(row.at(to_earth=self.to_earth), self._of_point(point))
            what = "the neon" if "neon" in row.name else "the electronics"
            title = f"{what} of {self._title(point)}"
            key = f"{point.id} built in"
            why = (row.name, *why)
            yield Section(key, "equipment", point.id, title, weight, why, "wired in", is_built_in=True)

    def _equipment(self, point: Point) -> Iterator[Section]:
        rows = self.trade.suspicions("equipment", point.kind)
        row = rows[0] if rows else self.trade.suspicion("equipment")
        if row.comes_off == "none":
            return
        comes_off: ComesOff = row.comes_off or "wired in"
        weight, why = self._weighed(row.at(to_earth=self.to_earth), self._of_point(point))
        minutes = self.trade.access(comes_off).minutes if comes_off != "wired in" else 0.0
        what = "what is plugged in at" if comes_off == "unplug" else "what is connected at"
        title = f"{what} {self._title(point)}"
        key = f"{point.id} equipment"
        yield Section(key, "equipment", point.id, title, weight, (row.name, *why), comes_off, minutes)

    def _place(self, point: Point) -> Place:
        row = self.trade.access("open out of reach") if point.uncheckable else self.trade.opening(point.kind)
        return Place(point.id, self._title(point), row.minutes, point.uncheckable)

    def _of_point(self, point: Point) -> list[str]:
        facts = list(self._facts(point.id, point.id, point.plate))
        if self._is_outdoors(point):
            facts.append("outdoors")
        if _is_out_there(self.members[point.id]):
            facts.append("outbuilding")
        return facts

    def _facts(self, i: str, *subjects: str | None) -> Iterator[str]:
        seen: set[Condition] = set().union(*(self.seen.get(subject or "", set()) for subject in subjects))
        if "damp" in seen:
            yield "damp seen"
        if seen & DAMAGED:
            yield "damage seen"
        if seen & OLD:
            yield "old insulation"
        if i in self.on_spur:
            yield "unfused spur"

    def _weighed(self, base: float, facts: Collection[str]) -> tuple[float, tuple[str, ...]]:
        named = tuple(dict.fromkeys(facts))
        for name in named:
            base *= self.trade.suspicion(name).at(to_earth=self.to_earth)
        return base, tuple(FACT_WORDS.get(name, name) for name in named)

    def _is_outdoors(self, point: Point) -> bool:
        return point.outdoor if point.outdoor is not None else self.trade.point(point.kind).outdoor

    def _title(self, point: Point) -> str:
        return f"{self.trade.point(point.kind).title} {point.id}"

    def _name(self, end: End) -> str:
        if end.at is None or end.state != "joined":
            return "an end nobody followed" if end.state == "unknown" else "a loose end"
        if end.at == self.view.device.id or end.at[0] == "D":
            return "the board"
        board = next((board for board in self.view.boards_fed if board.id == end.at), None)
        return f"board {board.letter_on_map}" if board is not None else end.at

    def _notes(self, loose: int, adrift: int, is_drawn: bool) -> Iterator[str]:
        if not is_drawn:
            yield "No run of this circuit is drawn, so it can't be split on the map: draw its runs to go on."
        if is_drawn and loose:
            what = "1 point hangs" if loose == 1 else f"{loose} points hang"
            yield f"{what} on this way without a run: any part may hold them too."
        if adrift:
            what = "1 run isn't" if adrift == 1 else f"{adrift} runs aren't"
            yield f"{what} joined to the board on the map: any part may hold them too."


def _ends(cable: Cable) -> list[tuple[str, bool]]:
    return [(at, load) for at, load in ((cable.a, cable.a_load), (cable.b, cable.b_load)) if at]


def _is_out_there(member: Member) -> bool:
    return member.room is not None and member.room.use in OUT_THERE
