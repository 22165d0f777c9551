"""Documents: what is handed over on paper, as PDF and as a spreadsheet.

Templates stand in ``resources/documents`` and get their words as data; what is said is worked out here, what it means
on the floors below.
"""

from circuitmap.paper.offer import Offer, offer_of
from circuitmap.paper.quotation import quotation_pdf
from circuitmap.paper.workbook import quotation_xlsx

__all__ = ["Offer", "offer_of", "quotation_pdf", "quotation_xlsx"]
