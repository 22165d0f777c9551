"""Documents: what is handed over on paper, as PDF and as a spreadsheet.

Templates stand in ``resources/documents`` and get their words as data; what is said is worked out here, what it means
on the floors below. What a quotation needs is loaded when it is asked for: other documents and the desk do without it.
"""

import importlib
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from circuitmap.paper.offer import Offer, offer_of
    from circuitmap.paper.quotation import quotation_pdf
    from circuitmap.paper.workbook import quotation_xlsx

__all__ = ["Offer", "offer_of", "quotation_pdf", "quotation_xlsx"]

_WHERE: Final = {
    "Offer": "circuitmap.paper.offer",
    "offer_of": "circuitmap.paper.offer",
    "quotation_pdf": "circuitmap.paper.quotation",
    "quotation_xlsx": "circuitmap.paper.workbook",
}


def __getattr__(name: str) -> object:
    if name not in _WHERE:
        raise AttributeError(name)
    return getattr(importlib.import_module(_WHERE[name]), name)
