"""A document that can't be made of any home."""

from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.wanted import Made, Wanted


def made(wanted: Wanted) -> tuple[Made, ...]:
    raise CantMakeError(f"There is no way on any board of {wanted.home.details.name}, so there is nothing to list.")
