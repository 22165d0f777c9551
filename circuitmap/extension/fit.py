"""Fit to extend: what has to be in order before anything is added, asked first and never passed over in silence.

An addition asks that the existing supply, earthing and bonding are adequate (BS 7671 132.16, from memory).
"""

from collections.abc import Iterator

from circuitmap.design.capacity import Answer
from circuitmap.extension.asked import Asked
from circuitmap.extension.checks import check_supply
from circuitmap.extension.kinds import Fit
from circuitmap.extension.remedies import repair_of
from circuitmap.extension.services import entry_m
from circuitmap.extension.takeoff import Remedy
from circuitmap.findings import Finding
from circuitmap.findings.protection import is_covered, is_supplementary
from circuitmap.home.records import Bond, Supply

_RULE = "BS 7671 132.16, from memory"


def fit_to_extend(asked: Asked, findings: tuple[Finding, ...] = ()) -> tuple[Fit, ...]:
    """Ask of a home whether supply, earthing, bonding and cover by RCDs allow an addition.

    What was not seen is "can't judge", with what would be needed if it turned out to be missing as an optional remedy.

    **Source:** BS 7671 132.16, from memory; sizes from ``limits.toml``.

    Parameters
    ----------
    findings
        Those of the home, for dangers that are made good before anything else.
    """
    supply = asked.supply
    return (
        *_page(supply),
        *_demand(asked),
        *_earthing(asked, supply),
        *_bonding(asked, supply),
        *_rcds(asked),
        *_sources(supply),
        *_dangers(asked, findings),
    )


def is_refused(fit: tuple[Fit, ...]) -> bool:
    """Whether something has to be put right, or found out, before anything is added."""
    return any(each.answer != "yes" for each in fit)


def remedies_of(fit: tuple[Fit, ...]) -> tuple[Remedy, ...]:
    """Give what makes the existing installation fit: needed where it is known to be short, else optional."""
    return tuple(remedy for each in fit for remedy in each.remedies)


def _page(supply: Supply | None) -> Iterator[Fit]:
    if supply is None:
        says = "Nothing is recorded of the supply, its earthing and the bonding: look there before anything is added."
        yield Fit(subject="supply", answer="can't judge", says=says, source=_RULE)


def _demand(asked: Asked) -> Iterator[Fit]:
    verdict = check_supply(asked).verdict
    yield Fit(subject="supply", answer=verdict.answer, says=verdict.says, source=verdict.source)


def _earthing(asked: Asked, supply: Supply | None) -> Iterator[Fit]:
    if supply is None:
        return
    if supply.earthing == "unknown":
        says = "How the supply is earthed is not recorded: look at the intake (TN-S, TN-C-S or TT)."
        yield Fit(subject="earthing", answer="can't judge", says=says, source=_RULE)
    if supply.earthing == "TT":
        says = "The supply has its own electrode: its resistance and the size of its conductor are to be looked at."
        yield Fit(subject="earthing", answer="can't judge", says=says, source=_RULE)
        return
    row = asked.rules.row("main earthing mm2")
    have = supply.earthing_mm2
    if have is None:
        says = f"The size of the main earthing conductor was not seen; {row.value:g} mm² is usual with tails of 25 mm²."
        remedy = Remedy(what="main earthing", why="main earthing conductor, if it is too thin", optional=True)
        yield Fit(subject="earthing", answer="can't judge", says=says, source=row.source, remedies=(remedy,))
    elif have < row.value:
        says = f"The main earthing conductor is {have:g} mm²; {row.value:g} mm² is asked for unless it is calculated."
        remedy = Remedy(what="main earthing", why=f"main earthing conductor of {have:g} mm² is too thin")
        yield Fit(subject="earthing", answer="no", says=says, source=row.source, remedies=(remedy,))
    else:
        says = f"The main earthing conductor is {have:g} mm²."
        yield Fit(subject="earthing", answer="yes", says=says, source=row.source)


def _bonding(asked: Asked, supply: Supply | None) -> Iterator[Fit]:
    if supply is None:
        return
    bonds = [bond for bond in supply.bonds if not is_supplementary(bond.to)]
    if not bonds:
        says = "Whether incoming gas, water and oil pipes are bonded is not recorded: look for each."
        remedy = Remedy(what="main bonding", why="bonding of a service, if it is missing", optional=True)
        yield Fit(subject="bonding", answer="can't judge", says=says, source=_RULE, remedies=(remedy,))
    row = asked.rules.row("main bonding PME mm2" if supply.earthing == "TN-C-S" else "main bonding mm2")
    for bond in bonds:
        answer, says = _bond(bond, row.value)
        why = f"bonding of {bond.to}" if answer == "no" else f"bonding of {bond.to}, if it is missing"
        remedy = Remedy(what="main bonding", why=why, optional=answer != "no", metres=entry_m(asked.home, bond.to))
        needed = () if answer == "yes" else (remedy,)
        if needed and remedy.metres is None:
            says += f" Until the map shows where the {bond.to} comes in (as “{bond.to}”),"
            says += " the conductor's length is assumed."
        yield Fit(subject="bonding", answer=answer, says=says, source=row.source, remedies=needed)


def _bond(bond: Bond, least_mm2: float) -> tuple[Answer, str]:
    if bond.state == "no":
        return "no", f"The incoming {bond.to} is not bonded."
    if bond.state == "not seen":
        return "can't judge", f"Bonding of the incoming {bond.to} was not seen: look for it."
    if bond.mm2 is None:
        return "can't judge", f"The incoming {bond.to} is bonded; the size was not seen."
    if bond.mm2 < least_mm2:
        return "no", f"The incoming {bond.to} is bonded in {bond.mm2:g} mm²; {least_mm2:g} mm² is asked for."
    return "yes", f"The incoming {bond.to} is bonded in {bond.mm2:g} mm²."


def _rcds(asked: Asked) -> Iterator[Fit]:
    """Say which ways have no RCD for additional protection: what is added to them has to have one."""
    row = asked.trade.rcd("sockets", asked.rules.edition)
    if row is None:
        return
    trips_ma, source = row.trips_ma, row.source
    bare = [view.code for view in asked.views if not is_covered(view, asked.trade, trips_ma)]
    if not asked.views:
        yield Fit(subject="RCD cover", answer="can't judge", says="No way is on the map.", source=source)
    elif not bare:
        yield Fit(subject="RCD cover", answer="yes", says="An RCD stands over every way.", source=source)
    else:
        says = f"No RCD of {trips_ma:g} mA is known over {', '.join(bare)}; what is added there has to have one."
        yield Fit(subject="RCD cover", answer="can't judge", says=says, source=source)


def _sources(supply: Supply | None) -> Iterator[Fit]:
    if supply is not None and not supply.sources_asked and not supply.sources:
        says = "Nobody asked about other sources (panels, a battery, a generator): ask before anything is isolated."
        yield Fit(subject="other sources", answer="can't judge", says=says, source="common practice, no source")


def _dangers(asked: Asked, findings: tuple[Finding, ...]) -> Iterator[Fit]:
    for finding in findings:
        if finding.aside or finding.ruling == "not so" or finding.code not in ("C1", "C2"):
            continue
        if finding.rule == "bonding":
            continue
        says = f"{finding.says} {finding.settle}"
        remedies = (repair_of(asked, finding),)
        yield Fit(subject="defects", answer="no", says=says, source=f"rule {finding.rule}", remedies=remedies)
