"""A planner of few words for the desk to be driven with: ways in pairs, in their order; a search by halving."""

from circuitmap.desk.visit_plan import Planner
from circuitmap.desk.visit_state import everything, walkable
from circuitmap.home import Home
from circuitmap.home.records import Check, Device, Round
from circuitmap.memo import Memo
from circuitmap.survey import paper
from circuitmap.survey.deduce import deduce
from circuitmap.survey.kinds import is_way
from circuitmap.survey.method import Method
from circuitmap.survey.proposal import HuntStep, Proposal, Witness
from circuitmap.trade import Trade


class Pairs:
    """Proposes the next ways that were not off yet, as many as the method allows; remembers what it was asked."""

    def __init__(self) -> None:
        self.asked: list[Method] = []
        self.planner = Planner(self.propose, self.proposed_for, self.hunt, self.witnesses)

    def propose(self, home: Home, memo: Memo, trade: Trade, method: Method, visit: str | None) -> Proposal:
        self.asked.append(method)
        been = {device for record in home.table(Round).values() for device in record.off}
        ways = [d.id for d in home.sorted(Device) if is_way(d) and d.id not in been and not d.keep_on]
        if not ways:
            return Proposal("done", says="Nothing is left to ask.")
        off = tuple(ways[: 1 if method.kind == "one at a time" else 2])
        points = self._asked(home, memo, trade)
        codes = " and ".join(home.code(device) for device in off)
        return Proposal(
            "group", off, (), points, self.witnesses(home, memo, trade, off), settles=2.0, rounds_left=len(ways),
            minutes=6.0, minutes_left=19.6, operations=2 * len(off),
            says=f"Switch {codes} off and walk: {len(points)} points in 2 rooms.",
            why=("The freezer is interrupted once.", "No two lighting ways together on the stairs."),
        )  # fmt: skip

    def proposed_for(
        self, home: Home, memo: Memo, trade: Trade, off: tuple[str, ...], method: Method, visit: str | None
    ) -> Proposal:
        points = self._asked(home, memo, trade)
        codes = " and ".join(home.code(device) for device in off)
        return Proposal("group", off, points=points, says=f"Switch {codes} off and walk: {len(points)} points.")

    def _asked(self, home: Home, memo: Memo, trade: Trade) -> tuple[str, ...]:
        known = deduce(home, memo)
        return tuple(point for point in walkable(home, trade, memo) if known[point].verdict != "settled")

    def witnesses(self, home: Home, memo: Memo, trade: Trade, off: tuple[str, ...]) -> tuple[Witness, ...]:
        return () if set(everything(home)) <= set(off) else paper.witnesses(home, memo, off)

    def hunt(self, home: Home, memo: Memo, trade: Trade, point: str, keep_on: frozenset[str]) -> HuntStep:
        left = [d.id for d in home.sorted(Device) if is_way(d) and not d.keep_on]
        for check in home.table(Check).values():
            off = home.take(Round, check.round).off
            if check.point == point and off and check.outcome != "can't tell":
                left = [device for device in left if (device in off) is (check.outcome == "off")]
        chances = tuple((device, 1 / len(left)) for device in left)
        if len(left) < 2:
            way = home.code(left[0]) if left else "none of them"
            return HuntStep(point, (), (), 0, chances, f"{point} is on {way}.")
        half = tuple(left[: (len(left) + 1) // 2])
        codes = ", ".join(home.code(device) for device in half)
        steps = (len(left) - 1).bit_length()
        return HuntStep(point, half, (), steps, chances, f"Switch {codes} off.")
