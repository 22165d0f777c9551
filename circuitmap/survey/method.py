"""By which method a survey goes on, and what the person may say about it."""

from dataclasses import dataclass, field
from typing import Final, Literal, get_args

MethodKind = Literal["fewest rounds", "gentle", "one at a time", "all off, one on"]
METHODS: Final[tuple[MethodKind, ...]] = get_args(MethodKind)
MOST_OFF: Final = 3
MOST_INTERRUPTIONS: Final = 2


@dataclass(frozen=True, slots=True)
class Method:
    """How the next switch-off is to be chosen.

    ``most_off`` devices at most are off at once, and a listed load is interrupted ``most_interruptions`` times at
    most, by the gentle method only. ``keep_on`` are devices that must stay on beside those that their own records
    say so of. With ``is_dark`` no two lighting ways go off together; with ``keeps_stairs_lit`` not all lights of
    hall, landing and stairs at any hour, where there is more than one storey. With ``tells_joined`` a switch-off is
    added where two ways may be joined, so that points fed by both are told apart.
    """

    kind: MethodKind = "fewest rounds"
    most_off: int = MOST_OFF
    most_interruptions: int = MOST_INTERRUPTIONS
    keep_on: frozenset[str] = field(default_factory=frozenset)
    is_dark: bool = False
    keeps_stairs_lit: bool = True
    tells_joined: bool = True
