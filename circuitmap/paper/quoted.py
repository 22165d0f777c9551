"""The quotation among the documents of a home: what was picked for an extension, as an offer."""

from typing import Final

from circuitmap.errors import PersonError
from circuitmap.home import Home
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Extension
from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.wanted import Made, Wanted

_NOTHING: Final = "Nothing is required in this home yet, so there is nothing to quote for; say first what is required."


def made(wanted: Wanted) -> tuple[Made, ...]:
    """Give a quotation for the extension that is the subject, or for the only one that isn't done, as PDF or XLSX.

    Raises
    ------
    CantMakeError
        When nothing is wished or picked, several extensions could be meant, or what is picked isn't sound.
    StoppedError
        When it was stopped.
    """
    from circuitmap.extension.estimate_says import invented_said
    from circuitmap.extension.options import options
    from circuitmap.extension.pricebook import load, own_path
    from circuitmap.paper import offer_of, quotation_pdf, quotation_xlsx
    from circuitmap.paper.picked import left_undone, picked

    home, trade, memo = wanted.home, wanted.trade, wanted.memo
    extension = _meant(home, wanted.subject)
    book = load(own=own_path())
    asking = options(home, extension, trade, book, memo, wanted.ticket)
    try:
        chosen = picked(asking, extension)
        not_done = left_undone(asking, extension, chosen)
        offer = offer_of(home, extension, chosen, book, trade, memo, fit=asking.fit, day=wanted.day, not_done=not_done)
    except PersonError as error:
        raise CantMakeError(str(error)) from None
    make = quotation_pdf if wanted.form == "pdf" else quotation_xlsx
    remarks = (*book.problems, *offer.not_done, invented_said(offer.priced))
    return (Made(make(offer, book, trade, memo), "", tuple(each for each in remarks if each)),)


def _meant(home: Home, subject: str) -> Extension:
    if subject:
        found = home.find(Extension, subject)
        if found is None:
            raise CantMakeError(f"There is no extension {shorten(subject)} in this home.")
        return found
    still = [each for each in home.sorted(Extension) if each.done_on is None]
    if not still:
        raise CantMakeError(_NOTHING)
    if len(still) > 1:
        names = ", ".join(f"{each.id} “{shorten(each.name, 40)}”" for each in still)
        raise CantMakeError(f"Say which extension is to be quoted for; there are: {names}.")
    return still[0]
