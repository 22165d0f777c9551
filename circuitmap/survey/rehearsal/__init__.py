"""Practising a survey on homes whose wiring is known: inventing such homes, hiding the wiring of real ones.

What really feeds a point lives here and nowhere else; nothing in a survey may look at it.
"""

from circuitmap.survey.rehearsal.invent import Invented, invent
from circuitmap.survey.rehearsal.truth import Fed, hide, truth_of

__all__ = ["Fed", "Invented", "hide", "invent", "truth_of"]
