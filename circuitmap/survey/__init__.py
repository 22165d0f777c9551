"""The switch-off survey: what the checks say, who loses what, the walk, the sheet, isolating a box, how far it is.

``deduce`` is exact and knows one model, one way feeding one point; what doesn't fit is named, never bent. ``weigh``
allows for wrong answers and other models, ``settle`` says when a point counts as settled; ``planner`` proposes what to
switch off next, ``rehearsal`` practises on homes whose wiring is known. Those are had from their own modules, which
load numpy. Nothing here tells that anything is dead or safe to touch. Cables and shapes are ``wiring``'s, putting runs,
tags and switch-offs together is done in ``circuits``.
"""

from circuitmap.survey.deduce import Deduced, Verdict, can_deduce, checks_of, deduce, deduce_without
from circuitmap.survey.impact import Loss, after_power, blocks, cautions, impact
from circuitmap.survey.isolate import STEPS, IsolationPlan, Step, missing_steps, plan_isolation
from circuitmap.survey.lines import Line, Numbering, lines_of, numbering_of_round, points_asked, sheet_code
from circuitmap.survey.paper import Paper, blank_paper, paper_beforehand, paper_of_round, sheet_text, witnesses
from circuitmap.survey.progress import Counts, Learnt, counts, counts_of_round, counts_of_visit, learnt, next_step
from circuitmap.survey.sheet import AnswersError, parse_answers, split_code
from circuitmap.survey.walk import walk_order

__all__ = [
    "STEPS", "AnswersError", "Counts", "Deduced", "IsolationPlan", "Learnt", "Line", "Loss", "Numbering", "Paper",
    "Step", "Verdict", "after_power", "blank_paper", "blocks", "can_deduce", "cautions", "checks_of", "counts",
    "counts_of_round", "counts_of_visit", "deduce", "deduce_without", "impact", "learnt", "lines_of",
    "missing_steps", "next_step", "numbering_of_round", "paper_beforehand", "paper_of_round", "parse_answers",
    "plan_isolation", "points_asked", "sheet_code", "sheet_text", "split_code", "walk_order", "witnesses",
]  # fmt: skip
