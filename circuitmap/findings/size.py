"""Sizes and capacities of the runs that findings ask about, from the cable recorded or the sizes measured."""

from collections.abc import Iterable

from circuitmap.design.duties import cable_of
from circuitmap.home.records import Run
from circuitmap.trade import Trade


def size_mm2(run: Run, trade: Trade) -> float | None:
    """Give a run's live conductor size, or None when it isn't known."""
    if run.live_mm2 is not None:
        return run.live_mm2
    cable = trade.cable(run.cable)
    return cable.live_mm2 if cable is not None else None


def has_no_cpc(run: Run, trade: Trade) -> bool:
    """Whether a run is known to have no cpc."""
    if run.cpc_mm2 is not None:
        return run.cpc_mm2 == 0
    cable = trade.cable(run.cable)
    # The sheath of lead cable may be its earth; singles are listed without the cpc that lies beside them.
    return cable is not None and cable.cpc_mm2 == 0 and cable.kind not in ("lead", "singles")


def thinnest_mm2(runs: Iterable[Run], trade: Trade) -> float | None:
    """Give the size of the thinnest of some runs, or None when none is known."""
    sizes = [size for run in runs if (size := size_mm2(run, trade)) is not None]
    return min(sizes, default=None)


def best_iz_a(runs: Iterable[Run], trade: Trade) -> float | None:
    """Give what the weakest of some runs can carry, each at its own method or else at its best one."""
    found: list[float] = []
    for run in runs:
        cable = cable_of(run, trade)
        if cable is None:
            return None
        iz = trade.iz(cable, run.method) if run.method else None
        if iz is None:
            spread = trade.iz_range(cable)
            iz = spread[1] if spread else None
        if iz is None:
            return None
        found.append(iz)
    return min(found, default=None)
