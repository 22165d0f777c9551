"""Days in words, the same in every document."""

from circuitmap.words import day_said

__all__ = ["day_said"]
