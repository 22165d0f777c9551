"""Certificate and notification of a work, by country: what is usual, to be confirmed where the work is done."""

from typing import Final, Literal

from circuitmap.extension.kinds import Papers
from circuitmap.words import Country

Place = Literal["special", "kitchen", "outdoors"]
_CONFIRM: Final = "Local rules decide; ask before work begins."
_ENGLAND: Final = "Building Regulations 2010, regulation 12(6A), for England, from memory"
_WALES: Final = "Building Regulations 2010 for Wales, Part P, schedule 4, from memory"


def papers(country: Country, *, is_new_circuit: bool, is_new_board: bool = False, places: frozenset[Place]) -> Papers:
    """Give the certificate that a work asks for, and whether it is notified.

    Parameters
    ----------
    country
        Where the home is; nothing is said of notification while that isn't known.
    is_new_circuit, is_new_board
        Whether the work brings a circuit, or replaces a board.
    places
        Which special places it is in: "special" is beside a bath or shower, and the like.

    **Source:** certificates: BS 7671 Chapter 64, from memory; notification by country as said in ``source``.
    """
    certificate: Literal["minor works", "installation certificate"] = (
        "installation certificate" if is_new_circuit or is_new_board else "minor works"
    )
    asks = is_new_circuit or is_new_board or "special" in places
    notify: Literal["yes", "no", "not known"] = "yes" if asks else "no"
    if country == "England":
        says, source = _said(notify, "in England"), _ENGLAND
    elif country == "Wales":
        notify = "yes" if asks or places else "no"
        says, source = _said(notify, "in Wales, where kitchens and outdoors count"), _WALES
    elif country == "Scotland":
        notify, source = "not known", "Building (Scotland) Regulations 2004, from memory"
        says = f"Scotland has building standards and warrants in place of notification. {_CONFIRM}"
    elif country == "Northern Ireland":
        notify, source = "no", "common practice, no source"
        says = f"Northern Ireland has no Part P; the landlord or the insurer may ask for papers. {_CONFIRM}"
    else:
        notify, source = "not known", "common practice, no source"
        says = f"Whether the work is notified depends on the country, which isn't recorded. {_CONFIRM}"
    return Papers(certificate=certificate, notify=notify, says=says, source=source)


def _said(notify: str, where: str) -> str:
    if notify == "yes":
        return f"Such work is notified {where}, by a registered installer or beforehand to the council. {_CONFIRM}"
    return f"Such work is usually not notified {where}. {_CONFIRM}"
