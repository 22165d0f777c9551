"""The earth fault loop as designed: Ze + (R1 + R2) at working temperature, held against what the device allows."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import inf
from typing import Final

from msgspec import Struct

from circuitmap.design.capacity import Answer, Verdict
from circuitmap.design.ring_currents import in_use
from circuitmap.quantities import show_ohm
from circuitmap.readings.loop import Protection, zs_limit, zs_ohm
from circuitmap.readings.network import Network
from circuitmap.readings.ring import at_work_ohm
from circuitmap.readings.verdict import ROUNDING, Rules, cited
from circuitmap.words import Core, Earthing

_FAULT: Final[tuple[Core, Core]] = ("L", "E")
_MILLI = 1e-3
_RESISTANCE = "BS 7671 411.4.4 and its tables"


class Zs(Struct, frozen=True, kw_only=True):
    """The loop at a place, in ohms.

    ``r1_r2_ohm`` is at 20 °C, as a meter should read it; ``reading_ohm`` is Ze + (R1 + R2) as a reading at 20 °C would
    be, ``at_work_ohm`` the same with the cable at its working temperature. ``limit_ohm`` is the device's greatest at
    work, ``reading_limit_ohm`` the greatest reading at room temperature (both None where no limit is known).
    """

    at: str
    verdict: Verdict
    r1_r2_ohm: float | None = None
    reading_ohm: float | None = None
    at_work_ohm: float | None = None
    limit_ohm: float | None = None
    reading_limit_ohm: float | None = None


def r1_r2_ohm(network: Network, places: Sequence[str]) -> dict[str, float | None]:
    """Give R1 + R2 to some places, all cables at the board together as in use: infinite where there is no way back.

    For a ring that is (r1 + r2) / 4 half way round. None where a place's figure hangs on what isn't known.

    **Source:** textbook p. 365; the network is solved.

    Raises
    ------
    ReadingError
        When a place isn't on the network or no cable leaves the board.
    """
    joined = in_use(network)
    found: dict[str, float | None] = dict(_paths_ohm(joined, places))
    if not all(edge.is_known for edge in joined.edges):
        stood_in = tuple(e if e.is_known else replace(e, ohm=e.ohm * 3) for e in joined.edges)
        for place, other_ohm in _paths_ohm(replace(joined, edges=stood_in), places).items():
            ohm = found[place]
            if ohm is not None and ohm < inf and abs(other_ohm - ohm) > 1e-6 * ohm:
                found[place] = None
    return found


def longest_m(limit_ohm: float, ze_ohm: float, ohm_per_m: float) -> float:
    """Give how long a radial may be by its loop: (Zs − Ze) / ((R1 + R2 per metre) · factor), never below zero.

    **Source:** Zs = Ze + (R1 + R2), turned round.
    """
    return max(limit_ohm - ze_ohm, 0.0) / ohm_per_m if ohm_per_m > 0 else inf


def judge_loop(
    rules: Rules,
    device: Protection,
    at: str,
    ze_ohm: float | None,
    r1_r2: float | None,
    *,
    time_s: float = 0.4,
    earthing: Earthing = "unknown",
    is_90: bool = False,
    has_cpc_apart: bool = False,
) -> Zs:
    """Say whether the loop to a place lets its device disconnect in time, calculated at working temperature.

    Zs = Ze + (R1 + R2) · factor, 1.20 for 70 °C cable with its cpc inside, at most U0 · Cmin / Ia as printed. On a TT
    supply an RCD disconnects: Zs · IΔn at most 50 V.

    **Source:** BS 7671 411.4.4 and 411.5.3 with Tables 41.2 to 41.5; the factor from memory (On-Site Guide Table I3).

    Parameters
    ----------
    device
        What clears the fault, with the RCD over it if there is one.
    ze_ohm
        The loop outside the circuit in ohms: of the supply, with what lies between it and the board. On TT with the
        home's electrode.
    r1_r2
        Of the circuit to the place, at 20 °C, in ohms; infinite where there is no protective conductor.
    time_s
        The disconnection time asked for.
    is_90, has_cpc_apart
        Whether the cable may be 90 °C at work, or its protective conductor lies apart from it.
    """
    if r1_r2 == inf:
        says = f"No protective conductor leads to {at} on the map: a fault there would not be cleared."
        return Zs(at=at, verdict=Verdict(answer="no", says=says, source=_RESISTANCE), r1_r2_ohm=inf)
    if r1_r2 is None or ze_ohm is None:
        missing = "Ze isn't recorded" if r1_r2 is not None else "a length or a size on the way isn't known"
        says = f"The earth fault loop at {at} can't be told: {missing}."
        return Zs(at=at, verdict=Verdict(answer="can't judge", says=says, source=_RESISTANCE), r1_r2_ohm=r1_r2)
    reading = zs_ohm(ze_ohm, r1_r2)
    work = zs_ohm(ze_ohm, at_work_ohm(rules, r1_r2, is_90=is_90, has_cpc_apart=has_cpc_apart))
    if earthing == "TT":
        return _by_rcd(rules, device, at, (r1_r2, reading, work))
    limit = zs_limit(rules, device, time_s)
    if limit is None:
        says = f"Zs at {at} would be {show_ohm(work)}; the tables have no limit for this device, type and rating."
        verdict = Verdict(answer="can't judge", says=says, source=_RESISTANCE)
        return Zs(at=at, verdict=verdict, r1_r2_ohm=r1_r2, reading_ohm=reading, at_work_ohm=work)
    answer: Answer = "yes" if work <= limit.row.value + ROUNDING else "no"
    says = (
        f"Zs at {at} is {show_ohm(work)} at working temperature; {show_ohm(limit.row.value)} is the most. "
        f"A meter should read about {show_ohm(reading)}."
    )
    touch_v = rules.value("touch voltage V")
    if answer == "no" and device.rcd_ma is not None and work * device.rcd_ma * _MILLI <= touch_v:
        says += f" Only the {device.rcd_ma:g} mA RCD would clear a fault to earth: for the designer to judge."
        answer = "can't judge"
    verdict = Verdict(answer=answer, says=says, source=cited(limit.row))
    return Zs(
        at=at, verdict=verdict, r1_r2_ohm=r1_r2, reading_ohm=reading, at_work_ohm=work, limit_ohm=limit.row.value,
        reading_limit_ohm=limit.reading_ohm,
    )  # fmt: skip


def worst_of(loops: Mapping[str, Zs]) -> Zs | None:
    """Give the loop that decides: one that fails, then one that isn't known, else the one nearest to its limit."""
    order = {"no": 2, "can't judge": 1, "yes": 0}
    return max(
        loops.values(),
        key=lambda each: (
            order[each.verdict.answer], (each.at_work_ohm or 0.0) / (each.limit_ohm or 1.0), each.at_work_ohm or 0.0
        ),
        default=None,
    )  # fmt: skip


def _by_rcd(rules: Rules, device: Protection, at: str, ohms: tuple[float, float, float]) -> Zs:
    r1_r2, reading, work = ohms
    touch = rules.row("touch voltage V")
    if device.rcd_ma is None:
        says = (
            f"Zs at {at} would be {show_ohm(work)}; on a TT supply an RCD must clear the fault, and none is recorded."
        )
        verdict = Verdict(answer="no", says=says, source=cited(touch))
        return Zs(at=at, verdict=verdict, r1_r2_ohm=r1_r2, reading_ohm=reading, at_work_ohm=work)
    most = touch.value / (device.rcd_ma * _MILLI)
    answer: Answer = "yes" if work <= most + ROUNDING else "no"
    says = f"Zs at {at} is {show_ohm(work)}; a {device.rcd_ma:g} mA RCD allows {show_ohm(most)}."
    unstable = rules.row("unstable electrode ohm")
    if answer == "yes" and work > unstable.value:
        says += f" Above {unstable.value:g} Ω an earth electrode may not be stable."
    return Zs(
        at=at, verdict=Verdict(answer=answer, says=says, source=cited(touch)), r1_r2_ohm=r1_r2, reading_ohm=reading,
        at_work_ohm=work, limit_ohm=most,
    )  # fmt: skip


def _paths_ohm(joined: Network, places: Sequence[str]) -> dict[str, float]:
    """Give line from the board to places and protective conductor back; infinite where one of them is missing."""
    found = dict.fromkeys(places, 0.0)
    starts = {core: joined.terminal(joined.device, core) for core in _FAULT}
    ends = {core: {place: joined.at.get((place, core)) for place in places} for core in _FAULT}
    for core, nodes in ends.items():
        known = [(place, node) for place, node in nodes.items() if node is not None]
        ohms = joined.sweep([(starts[core], node) for _, node in known]).ohm.tolist() if known else []
        for (place, _), ohm in zip(known, ohms, strict=True):
            found[place] += ohm
        for place, node in nodes.items():
            if node is None:
                if core == "L":
                    joined.terminal(place, "L")  # says that it isn't on this circuit
                found[place] = inf
    return found
