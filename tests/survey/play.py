"""Plays a survey to its end by the planner's proposals, answering from a known wiring: no clock, no walk, no trips."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Final

from circuitmap.home import verbs
from circuitmap.home.change import Change
from circuitmap.home.records import Check
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey import Deduced
from circuitmap.survey.method import Method
from circuitmap.survey.planner import propose
from circuitmap.survey.planner.outlook import Outlook, outlook
from circuitmap.survey.proposal import Proposal
from circuitmap.survey.rehearsal.truth import Fed
from circuitmap.survey.rehearsal.walker import is_on
from circuitmap.survey.settle import settle
from circuitmap.survey.taken import taken
from circuitmap.trade import Trade, load

TRADE: Final[Trade] = load()
MOST_ROUNDS: Final = 60

Lie = Callable[[int, str], bool]  # whether the answer in a round (0: the look beforehand) at a point is wrong


def honest(_round: int, _point: str) -> bool:
    return False


@dataclass
class Play:
    """A survey under way; ``before`` holds what was known when each proposal was made."""

    home: Home
    truth: Mapping[str, Fed]
    method: Method = field(default_factory=Method)
    slip: float | None = 0.0
    lie: Lie = honest
    memo: Memo = field(default_factory=Memo)
    visit: str = ""
    proposals: list[Proposal] = field(default_factory=list)
    before: list[Mapping[str, Deduced]] = field(default_factory=list)
    answers: int = 0

    def __post_init__(self) -> None:
        if not self.visit:
            change = verbs.start_visit(self.home, "2026-03-02")
            self.home, self.visit = self.home.apply(change), change.added()[0]

    @property
    def known(self) -> Mapping[str, Deduced]:
        return settle(self.home, self.memo, TRADE, self.slip)

    @property
    def look(self) -> Outlook:
        return outlook(self.home, self.memo, TRADE, self.method, self.visit, self.slip)

    @property
    def switch_offs(self) -> list[Proposal]:
        """The rounds that count: all but the look and those that only tell joined ways apart."""
        return [p for p in self.proposals if p.kind not in ("look", "apart")]

    def next(self) -> Proposal:
        return propose(self.home, self.memo, TRADE, self.method, self.visit, self.slip)

    def go(self, most_rounds: int = MOST_ROUNDS) -> "Play":
        """Follow the proposals until there are no more."""
        while len(self.proposals) < most_rounds:
            proposal = self.next()
            if proposal.kind in ("done", "declined"):
                break
            self.before.append(self.known)
            self.proposals.append(proposal)
            self.follow(proposal)
        return self

    def follow(self, proposal: Proposal) -> None:
        """Do one switch-off as proposed, and record an answer for every point asked for."""
        minute = len(self.proposals)
        opened = verbs.open_round(self.home, self.visit, proposal.off, proposal.sources_off, None, instant(minute, 0))
        self.home = self.home.apply(opened)
        record = opened.added()[0]
        out = taken(self.home, proposal.off, self.memo).sure
        first = int(self.home.next_id(Check)[1:])
        checks: list[tuple[None, Check]] = []
        for n, point in enumerate(proposal.points):
            on = is_on(self.truth[point], out) is not self.lie(len(self.proposals) - 1, point)
            checks.append((None, Check(id=f"C{first + n}", round=record, point=point,
                                       outcome="still on" if on else "off", at=instant(minute, 30))))  # fmt: skip
        self.answers += len(checks)
        self.home = self.home.apply(Change("Answers", tuple(checks)))

    def is_right(self) -> bool:
        """Whether every point on one way is settled on it."""
        known = self.known
        return all(
            known[point].verdict == "settled" and known[point].candidates == fed.devices
            for point, fed in self.truth.items()
            if fed.how == "one way"
        )

    def wrong(self) -> list[str]:
        """The points that are settled on what doesn't feed them."""
        known = self.known
        return [
            point
            for point, fed in self.truth.items()
            if known[point].verdict == "settled"
            and not (fed.how == "one way" and known[point].candidates == fed.devices)
        ]


def instant(minute: int, second: int) -> str:
    return f"2026-03-02T{9 + minute // 60:02}:{minute % 60:02}:{second:02}Z"


def on_ways(points: list[str], ways: list[str], truth: tuple[int, ...]) -> dict[str, Fed]:
    """Points each on the way of its number."""
    return {point: Fed((ways[n],), "one way") for point, n in zip(points, truth, strict=True)}
