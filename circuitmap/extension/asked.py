"""A home as the design checks ask it: its circuits as networks, what lies before each board, and its tables."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import inf
from typing import Final

from circuitmap.circuits import CircuitView
from circuitmap.design.capacity import Correction
from circuitmap.design.duties import cable_of
from circuitmap.design.earth_loop import r1_r2_ohm
from circuitmap.design.ring_currents import flow, in_use
from circuitmap.design.supply import HomeDemand, demand_of
from circuitmap.home.records import Board, Point, Run, Supply
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.plan.where import place_of
from circuitmap.readings.drawn import network_of
from circuitmap.readings.faults import recorded, with_faults
from circuitmap.readings.judged import loop_at_board
from circuitmap.readings.network import Network
from circuitmap.readings.verdict import Rules
from circuitmap.trade import Trade

_BOARDS_DEEP: Final = 5


@dataclass(frozen=True, eq=False)
class Asked:
    """A home and what its checks are made from; one way's figures are reckoned once.

    Parameters
    ----------
    views
        All circuits of the home.
    corrections
        How the surroundings of runs, by their id, lower their rating; a run's own recorded grouping where none is said.
    """

    home: Home
    views: tuple[CircuitView, ...]
    trade: Trade
    memo: Memo = field(default_factory=Memo)
    corrections: Mapping[str, Correction] = field(default_factory=dict)

    @cached_property
    def rules(self) -> Rules:
        """The tables, in the edition and with the choices of the home."""
        return Rules(self.trade, self.home.details.edition, self.home.details.choices)

    @cached_property
    def supply(self) -> Supply | None:
        """The supply page, if there is one."""
        return next(iter(self.home.sorted(Supply)), None)

    @cached_property
    def around(self) -> Mapping[str, Correction]:
        """How the surroundings of every run lower its rating."""
        recorded_ = {
            run.id: Correction(circuits=run.grouped_with + 1)
            for view in self.views
            for run in view.runs
            if run.grouped_with
        }
        return {**recorded_, **self.corrections}

    @cached_property
    def networks(self) -> dict[tuple[str, str], Network]:
        """The networks of the circuits so far, by device, cold and at work."""
        return {}

    @cached_property
    def on_walls(self) -> Mapping[str, tuple[Point, ...]]:
        """The points that stand on each wall, by its id."""
        found: dict[str, list[Point]] = {}
        for point in self.home.table(Point).values():
            if point.phase == "removed":
                continue
            place = place_of(self.home, point)
            if place is not None and place.wall is not None:
                found.setdefault(place.wall, []).append(point)
        return {wall: tuple(points) for wall, points in found.items()}

    def network(self, view: CircuitView) -> Network:
        """Give the network of a circuit at 20 °C in use, with the open cores that the map records."""
        key = view.device.id, "cold"
        if key not in self.networks:
            drawn = with_faults(network_of(view, self.trade, home=self.home), recorded(view.runs))
            self.networks[key] = in_use(drawn) if drawn.legs else drawn
        return self.networks[key]

    def demand(self) -> HomeDemand:
        """Give what the home is reckoned to draw."""
        return demand_of(self.trade, self.views, self.rules.edition, self.rules.choices)


def at_work(asked: Asked, view: CircuitView) -> Network:
    """Give a circuit's network with line and neutral as the tables have them at work: half of mV/A/m each.

    Where the tables have none for a cable, its copper is taken at 70 °C.
    """
    key = view.device.id, "at work"
    if key in asked.networks:
        return asked.networks[key]
    cold = asked.network(view)
    warm = asked.trade.constants["operating factor 70"].value
    factor = {run.id: _table_factor(asked.trade, run) or warm for run in view.runs}
    edges = tuple(
        replace(edge, ohm=edge.ohm * factor.get(edge.run, warm)) if edge.run and edge.core in ("L", "N") else edge
        for edge in cold.edges
    )
    asked.networks[key] = replace(cold, edges=edges)
    return asked.networks[key]


def board_ohm(asked: Asked, board: Board, depth: int = 0) -> float | None:
    """Give the earth loop at a board in ohms: as read, or the supply's, or with the cable from the board before it."""
    known = loop_at_board(asked.home, board, asked.supply, asked.memo)
    if known is not None:
        return known[0]
    view = feeding_way(asked, board)
    if view is None or depth > _BOARDS_DEEP:
        return None
    before = board_ohm(asked, view.board, depth + 1)
    if before is None or not asked.network(view).legs_to.get(board.id):
        return None
    path = r1_r2_ohm(asked.network(view), [board.id])[board.id]
    return None if path is None else before + path


def before_board_v(asked: Asked, board: Board, depth: int = 0) -> float | None:
    """Give what is lost on the way to a board, in volts: nothing for one of the supply, None where it can't be told."""
    if board.source == "supply":
        return 0.0
    view = feeding_way(asked, board)
    if view is None or depth > _BOARDS_DEEP:
        return None
    before = before_board_v(asked, view.board, depth + 1)
    network = at_work(asked, view)
    if before is None or not network.legs_to.get(board.id):
        return None
    found = flow(network, {board.id: boards_a(asked, view).get(board.id, 0.0)})
    return None if board.id in found.unsure_at else before + found.drop_v[board.id]


def feeding_way(asked: Asked, board: Board) -> CircuitView | None:
    """Give the way that feeds a board, None where no way is known to."""
    return next((view for view in asked.views if board.id in {fed.id for fed in view.boards_fed}), None)


def boards_a(asked: Asked, view: CircuitView) -> dict[str, float]:
    """Give what the boards a way feeds are reckoned to draw, no more than its device lets through."""
    rules = asked.rules
    found = {}
    for board in view.boards_fed:
        theirs = [each for each in asked.views if each.board.id == board.id]
        total = demand_of(asked.trade, theirs, rules.edition, rules.choices).total_a
        found[board.id] = min(total or inf, view.device.rating_a or inf)
    return {board: a for board, a in found.items() if a < inf}


def _table_factor(trade: Trade, run: Run) -> float | None:
    """Give a run's loss by the table over that by its copper at 20 °C."""
    cable = cable_of(run, trade)
    if cable is None:
        return None
    mv = trade.drop_mv_per_a_m(cable)
    ohm = trade.ohm_per_m(cable) if isinstance(cable, float) else trade.cable_ohm_per_m(cable)[0]
    return mv / 1000 / (2 * ohm) if mv is not None and ohm else None
