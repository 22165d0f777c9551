"""Tracing: from a picture or the line work of a plan to the outlines of its rooms.

``analyse`` looks at a whole sheet once; each click is then a look-up. Everything is in the pixels of the sheet; nothing
here knows scales, records or windows, and nothing is written anywhere. Whoever imports this package loads the image
library, so it is imported where a plan is traced and nowhere else.
"""

from circuitmap.plan.tracing.found import Opening, OpeningKind, Outlined, TracingError
from circuitmap.plan.tracing.prepare import grey_of
from circuitmap.plan.tracing.sheet import Sheeted, analyse

__all__ = ["Opening", "OpeningKind", "Outlined", "Sheeted", "TracingError", "analyse", "grey_of"]
