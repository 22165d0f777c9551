"""Currents and losses of a layout by exact rational elimination, with none of the program's own solving in it."""

from collections.abc import Mapping, Sequence
from fractions import Fraction

Wire = tuple[str, str, str, Fraction]  # name, from, to, ohms


def currents(wires: Sequence[Wire], loads_a: Mapping[str, Fraction], source: str) -> dict[str, Fraction]:
    """Amperes of each wire from its first end to its second, the loads drawn off at their places."""
    volts = potentials(wires, loads_a, source)
    return {name: (volts[a] - volts[b]) / ohm for name, a, b, ohm in wires}


def potentials(wires: Sequence[Wire], loads_a: Mapping[str, Fraction], source: str) -> dict[str, Fraction]:
    """Volts of each place below the source's zero, by Gauss–Jordan elimination on Kirchhoff's current law."""
    places = sorted({end for _, a, b, _ in wires for end in (a, b)} - {source})
    row = {place: number for number, place in enumerate(places)}
    table = [[Fraction(0)] * len(places) + [-loads_a.get(place, Fraction(0))] for place in places]
    for _, a, b, ohm in wires:
        for here, there in ((a, b), (b, a)):
            if here != source:
                table[row[here]][row[here]] += 1 / ohm
                if there != source:
                    table[row[here]][row[there]] -= 1 / ohm
    for column in range(len(places)):
        pivot = next(r for r in range(column, len(places)) if table[r][column])
        table[column], table[pivot] = table[pivot], table[column]
        table[column] = [value / table[column][column] for value in table[column]]
        for r in range(len(places)):
            if r != column and table[r][column]:
                times = table[r][column]
                table[r] = [x - times * y for x, y in zip(table[r], table[column], strict=True)]
    return {source: Fraction(0)} | {place: table[row[place]][-1] for place in places}
