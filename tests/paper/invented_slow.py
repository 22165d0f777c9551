"""A document that takes two seconds and says how far it is."""

import time

from circuitmap.paper.wanted import Made, Wanted
from tests.paper.invented import pdf

STEPS = 40


def made(wanted: Wanted) -> tuple[Made, ...]:
    for n in range(STEPS):
        wanted.ticket.tick(n, STEPS, "Drawing the circuits")
        time.sleep(0.05)
    return (Made(pdf(wanted)),)
