"""What is asked for before a survey is practised, and what a look at a point can show. Light: the window loads it."""

from dataclasses import dataclass
from typing import Literal

Shows = Literal["lit", "dark", "faint"]


@dataclass(frozen=True, slots=True)
class Wanted:
    """On which home to practise, and what goes wrong there.

    ``sample`` is the folder of a sample home; without one a home with so many ``ways`` is invented. ``error`` is the
    chance that any one look shows the wrong thing.
    """

    sample: str = ""
    ways: int = 8
    error: float = 0.0
    trips: bool = False
    seed: int = 1
