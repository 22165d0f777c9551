"""Documents: what is handed over on paper, as PDF and as a spreadsheet.

Templates stand in ``resources/documents`` and get their words as data; what is said is worked out here, what it means
on the floors below. What the package hands on is loaded when it is asked for, so that a chart needs no price.
"""

import importlib
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from circuitmap.paper.offer import Offer, offer_of
    from circuitmap.paper.quotation import quotation_pdf
    from circuitmap.paper.workbook import quotation_xlsx

__all__ = ["Offer", "offer_of", "quotation_pdf", "quotation_xlsx"]

_FROM: Final = {"Offer": "offer", "offer_of": "offer", "quotation_pdf": "quotation", "quotation_xlsx": "workbook"}


def __getattr__(name: str) -> object:
    if name not in _FROM:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"{__name__}.{_FROM[name]}"), name)
