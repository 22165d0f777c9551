"""Certificate and notification of a work, by country: what is usual, to be confirmed where the work is done."""

from typing import Final, Literal

from circuitmap.extension.kinds import Papers
from circuitmap.trade import Trade
from circuitmap.words import Country

Place = Literal["special", "kitchen", "outdoors"]
_CONFIRM: Final = "Local rules decide; ask before work begins."


def papers(
    trade: Trade, country: Country, *, is_new_circuit: bool, is_new_board: bool = False, places: frozenset[Place]
) -> Papers:
    """Give the certificate that a work asks for, and whether it is notified.

    Parameters
    ----------
    trade
        Whose rows say what is notified where.
    country
        Where the home is; nothing is said of notification while that isn't known.
    is_new_circuit, is_new_board
        Whether the work brings a circuit, or replaces a board.
    places
        Which special places it is in: "special" is beside a bath or shower, and the like.

    **Source:** certificates: BS 7671 Chapter 64, from memory; notification by the rows of ``notice.toml``.
    """
    certificate: Literal["minor works", "installation certificate"] = (
        "installation certificate" if is_new_circuit or is_new_board else "minor works"
    )
    row = trade.notice_rows.get(country) or trade.notice_rows[""]
    works = {*places, *(["new circuit"] if is_new_circuit else []), *(["new board"] if is_new_board else [])}
    asks = bool(works.intersection(row.asks))
    notify: Literal["yes", "no", "not known"] = ("yes" if asks else "no") if row.asks else "not known"
    says = f"{row.says if asks else row.otherwise} {_CONFIRM}"
    return Papers(certificate=certificate, notify=notify, says=says, source=row.source)
