"""What cables, devices and loads ought to be for one another: capacity of a run, the ring rule, load on a fuse.

Pure arithmetic over figures of ``trade``; which run of a home asks the question is the business of ``findings``.
"""

from circuitmap.design.capacity import (
    Case,
    Correction,
    Protection,
    Verdict,
    capacity_a,
    judge,
    nearest,
    needed_a,
    protects,
    ring_ok,
    ring_shares_a,
)
from circuitmap.design.demand import Demand, add_up, current_a, judge_fuse, point_power_w

__all__ = [
    "Case",
    "Correction",
    "Demand",
    "Protection",
    "Verdict",
    "add_up",
    "capacity_a",
    "current_a",
    "judge",
    "judge_fuse",
    "nearest",
    "needed_a",
    "point_power_w",
    "protects",
    "ring_ok",
    "ring_shares_a",
]
