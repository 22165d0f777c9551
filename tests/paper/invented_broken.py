"""A document whose maker breaks."""

from circuitmap.paper.wanted import Made, Wanted


def made(wanted: Wanted) -> tuple[Made, ...]:
    raise ZeroDivisionError(wanted.form)
