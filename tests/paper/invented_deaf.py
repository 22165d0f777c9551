"""A document that never looks whether it is to stop, as in a typesetter."""

import time

from circuitmap.paper.wanted import Made, Wanted
from tests.paper.invented import pdf


def made(wanted: Wanted) -> tuple[Made, ...]:
    time.sleep(60)
    return (Made(pdf(wanted)),)
