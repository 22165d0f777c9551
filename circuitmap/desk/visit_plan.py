"""What the planner says of the visit as it stands, worked out off the window's thread.

Only the newest question counts: what was asked before the home changed is let go when its answer comes.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QObject, Signal

from circuitmap.desk import prefs
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.work import Work
from circuitmap.home import Home
from circuitmap.jobs import Ticket
from circuitmap.memo import Memo
from circuitmap.survey import planner
from circuitmap.survey.method import Method, MethodKind
from circuitmap.survey.proposal import HuntStep, Proposal, Witness
from circuitmap.trade import Trade


@dataclass(frozen=True, slots=True)
class Planner:
    """The questions that the desk puts to the survey's planner."""

    propose: Callable[[Home, Memo, Trade, Method, str | None], Proposal]
    proposed_for: Callable[[Home, Memo, Trade, tuple[str, ...], Method, str | None], Proposal]
    hunt: Callable[[Home, Memo, Trade, str, frozenset[str]], HuntStep]
    witnesses: Callable[[Home, Memo, Trade, tuple[str, ...]], tuple[Witness, ...]]


def _propose(home: Home, memo: Memo, trade: Trade, method: Method, visit: str | None) -> Proposal:
    from circuitmap.survey.planner.next_off import propose

    return propose(home, memo, trade, method, visit)


def _hunt(home: Home, memo: Memo, trade: Trade, point: str, keep_on: frozenset[str]) -> HuntStep:
    # The steps so far are switch-offs on record: told apart from the rest of what is known they would count twice.
    return planner.hunt(home, memo, trade, point, (), keep_on)


SURVEYS: Final = Planner(_propose, planner.proposed_for, _hunt, planner.witnesses)
"""The survey's own planner."""


class Latest(QObject):
    """The answer to the newest question of one kind; while it is worked out there is none."""

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._key: tuple[object, ...] = ()
        self._make: Callable[[], object] | None = None
        self._answer: object = None
        self._failed = ""
        self._going: tuple[object, ...] | None = None
        self._job: Work | None = None

    @property
    def answer(self) -> object:
        """The answer to the question last asked, None while there is none."""
        return self._answer

    @property
    def is_working(self) -> bool:
        """Whether an answer is being worked out."""
        return self._going is not None

    @property
    def failed(self) -> str:
        """Why there is no answer, as a sentence."""
        return self._failed

    def ask(self, key: tuple[object, ...], make: Callable[[], object]) -> None:
        """Ask, unless this was the question already; ``key`` is told apart by identity first, then by value."""
        if _is_same(key, self._key):
            return
        self._key, self._make, self._answer, self._failed = key, make, None, ""
        if self._going is None:
            self._start()

    def forget(self) -> None:
        """Ask nothing any more."""
        self._key, self._make, self._answer, self._failed = (), None, None, ""

    def _start(self) -> None:
        make = self._make
        if make is None:
            return
        self._going = self._key

        def work(_ticket: Ticket) -> object:
            return make()

        self._job = Work(work, self)
        self._job.done.connect(self._on_done)
        self._job.failed.connect(self._on_failed)
        self._job.start()

    def _on_done(self, answer: object) -> None:
        if self._is_newest():
            self._answer = answer
            self.changed.emit()

    def _on_failed(self, sentence: str) -> None:
        if self._is_newest():
            self._failed = sentence
            self.changed.emit()

    def _is_newest(self) -> bool:
        newest = self._going is not None and _is_same(self._going, self._key)
        if self._job is not None:
            self._job.deleteLater()
        self._going, self._job = None, None
        if not newest:
            self._start()
        return newest


class Planned(QObject):
    """The proposal for the next switch-off, by the method that the person prefers."""

    changed = Signal()

    def __init__(self, adapter: Adapter, asked: Planner, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.planner = asked
        self._adapter = adapter
        self._kind: MethodKind = prefs.load().method
        self._is_dark = False
        self._next = Latest(self)
        self._altered = Latest(self)
        self._next.changed.connect(self.changed)
        self._altered.changed.connect(self.changed)

    @property
    def method(self) -> Method:
        """By which method the next switch-off is chosen."""
        return Method(kind=self._kind, is_dark=self._is_dark)

    def set_method(self, kind: MethodKind) -> None:
        """Choose the method; it is remembered for the next home too."""
        if kind != self._kind:
            self._kind = kind
            kept = prefs.load()
            kept.method = kind
            prefs.save(kept)
            self.changed.emit()

    def set_dark(self, *, is_dark: bool) -> None:
        """Say whether it is after dusk."""
        if is_dark != self._is_dark:
            self._is_dark = is_dark
            self.changed.emit()

    def ask(self, visit: str | None) -> None:
        """Have the next switch-off worked out for the home as it is now."""
        adapter, method, asked = self._adapter, self.method, self.planner
        home, memo, trade = adapter.home, adapter.memo.fork(), adapter.trade
        self._next.ask((home, method, visit), lambda: asked.propose(home, memo, trade, method, visit))

    def ask_altered(self, off: tuple[str, ...], visit: str | None) -> None:
        """Have it worked out what a set is good for that is not the one proposed."""
        adapter, method, asked = self._adapter, self.method, self.planner
        home, memo, trade = adapter.home, adapter.memo.fork(), adapter.trade
        key = (home, off, method, visit)
        self._altered.ask(key, lambda: asked.proposed_for(home, memo, trade, off, method, visit))

    @property
    def proposal(self) -> Proposal | None:
        """What is proposed, None while it is being worked out."""
        answer = self._next.answer
        return answer if isinstance(answer, Proposal) else None

    @property
    def altered(self) -> Proposal | None:
        """What the set chosen otherwise is good for, None while that is being worked out."""
        answer = self._altered.answer
        return answer if isinstance(answer, Proposal) else None

    @property
    def is_working(self) -> bool:
        """Whether the proposal is being worked out."""
        return self._next.is_working

    @property
    def failed(self) -> str:
        """Why there is no proposal, as a sentence."""
        return self._next.failed

    def points_for(self, off: tuple[str, ...], visit: str | None) -> tuple[str, ...]:
        """Give the points that a switch-off asks for: the proposal's own for its set, else those that still matter."""
        for known in (self.proposal, self.altered):
            if known is not None and known.off and frozenset(known.off) == frozenset(off):
                return known.points
        adapter = self._adapter
        return self.planner.proposed_for(adapter.home, adapter.memo, adapter.trade, off, self.method, visit).points

    def witnesses_for(self, off: tuple[str, ...]) -> tuple[Witness, ...]:
        """Give the points to be watched while some devices are off, one for each RCD that stays on."""
        return self.planner.witnesses(self._adapter.home, self._adapter.memo, self._adapter.trade, off)

    def hunt(self, point: str) -> HuntStep:
        """Give the next step of the search for one point's way, from what is on record."""
        adapter = self._adapter
        return self.planner.hunt(adapter.home, adapter.memo, adapter.trade, point, self.method.keep_on)


def _is_same(one: tuple[object, ...], other: tuple[object, ...]) -> bool:
    """Whether two questions are one; homes are told apart by identity, for comparing them would take long."""
    if len(one) != len(other):
        return False
    return all(a is b or (not isinstance(a, Home) and a == b) for a, b in zip(one, other, strict=True))
