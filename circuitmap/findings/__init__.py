"""Findings: the rules, each a small function from a case to findings. What a circuit is, is ``circuits``' to say.

Every code is a suggestion for the inspector to decide. Facts of what is where are marked ``aside``.
"""

from circuitmap.findings.catalogue import RULES
from circuitmap.findings.finding import Finding, is_at_least
from circuitmap.findings.rule import Rule
from circuitmap.findings.run import run

__all__ = ["RULES", "Finding", "Rule", "is_at_least", "run"]
