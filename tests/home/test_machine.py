"""Whatever is done in whatever order: undo, reopening, time travel and the text form give back what was there."""

import shutil
import tempfile
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from circuitmap.home import Change, Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import read_folder, to_text, write_folder
from circuitmap.home.records import Board, Device, Place, Point, Storey

ANY = st.integers(0, 10**6)


class HomeMachine(RuleBasedStateMachine):
    """A person at work; beside the document stands a plain list of the homes that there have been."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.path = self.folder / "home.cmap"
        self.document = Document.create(self.path, Home.blank("Any"))
        self.past = {1: self.document.home}
        self.undos: list[Home] = []
        self.redos: list[Home] = []
        self.marked: dict[str, Home] = {}
        self.highest: dict[str, int] = {}

    def do(self, change: Change) -> None:
        before = self.document.home
        self.document.do(change)
        assert self.document.home.apply(change.inverse()) == before  # change∘inverse = identity
        if change.pairs:
            self.undos.append(before)
            self.redos.clear()
        self.note()

    def note(self) -> None:
        self.past[self.document.revision] = self.document.home
        for letter, number in self.document.home.counters.items():
            assert number >= self.highest.get(letter, 0), "an id may be given out twice"
            self.highest[letter] = number

    def any_id(self, pick: int, *kinds: type) -> str | None:
        ids = [record.id for record in self.document.home.all() if isinstance(record, kinds)]
        return ids[pick % len(ids)] if ids else None

    @rule(pick=ANY, placed=st.booleans())
    def add_point(self, pick: int, placed: bool) -> None:
        storey = self.any_id(pick, Storey)
        place = Place(storey=storey, x_mm=pick, y_mm=-pick) if placed and storey else None
        self.do(verbs.add_point(self.document.home, "socket", place))

    @rule(level=st.integers(-1, 3))
    def add_storey(self, level: int) -> None:
        self.do(verbs.add_storey(self.document.home, "Storey", level))

    @rule()
    def add_way(self) -> None:
        home = self.document.home
        board = next(iter(home.table(Board)), None)
        self.do(
            verbs.add_device(home, board, "MCB", verbs.next_way(home, board), 32.0) if board else verbs.add_board(home)
        )

    @rule(pick=ANY, other=ANY)
    def join(self, pick: int, other: int) -> None:
        a, b = self.any_id(pick, Point, Device), self.any_id(other, Point, Device)
        if a and b and a != b:
            self.do(verbs.join(self.document.home, a, b))

    @rule(pick=ANY, name=st.text(st.characters(exclude_categories=["Cs"]), max_size=20))
    def rename(self, pick: int, name: str) -> None:
        point = self.any_id(pick, Point)
        if point:
            self.do(verbs.edit(self.document.home, point, name=name))

    @rule(pick=ANY)
    def remove_with_all_that_hangs_on_it(self, pick: int) -> None:
        ids = [record.id for record in self.document.home.all() if record.letter]
        if ids:
            self.do(verbs.remove(self.document.home, ids[pick % len(ids)]))
            assert self.document.home.problems() == []

    @precondition(lambda self: self.undos)
    @rule()
    def undo(self) -> None:
        self.redos.append(self.document.home)
        self.document.undo()
        assert self.document.home == self.undos.pop()
        self.note()

    @precondition(lambda self: self.redos)
    @rule()
    def redo(self) -> None:
        self.undos.append(self.document.home)
        self.document.redo()
        assert self.document.home == self.redos.pop()
        self.note()

    @rule()
    def reopen(self) -> None:
        before, counters = self.document.home, dict(self.document.home.counters)
        self.document.close()
        self.document = Document.open(self.path)
        assert self.document.home == before
        assert {k: v for k, v in self.document.home.counters.items() if v} == {k: v for k, v in counters.items() if v}
        assert self.document.verify() == []

    @rule(name=st.sampled_from(["as found", "as left"]))
    def mark(self, name: str) -> None:
        self.document.mark(name)
        self.marked[name] = self.document.home

    @rule(pick=ANY)
    def travel(self, pick: int) -> None:
        seq = pick % self.document.revision + 1
        assert self.document.at(seq) == self.past[seq]

    @rule()
    def write_and_read_the_text_form(self) -> None:
        target = self.folder / "form"
        write_folder(target, self.document.home, self.document.marked(), replace=True)
        form = read_folder(target)
        assert form.home == self.document.home
        assert {mark.name: mark.home for mark in form.marks} == self.marked
        assert to_text(form.home) == to_text(self.document.home)

    @invariant()
    def undo_and_redo_are_offered_as_far_as_they_reach(self) -> None:
        assert self.document.can_undo == bool(self.undos)
        assert self.document.can_redo == bool(self.redos)

    def teardown(self) -> None:
        self.document.close()
        shutil.rmtree(self.folder)


HomeMachine.TestCase.settings = settings(
    max_examples=200, stateful_step_count=30, deadline=None, suppress_health_check=list(HealthCheck)
)
TestHomeMachine = HomeMachine.TestCase
