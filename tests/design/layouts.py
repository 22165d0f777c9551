"""Layouts of cables without a map: rings, radials and random ones."""

import random
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from circuitmap.design.ring_currents import SOURCE, Stretch
from tests.design.by_fractions import Wire


def in_line(
    lengths_m: Sequence[float], stops: Sequence[str], ohm_per_m: float = 0.009, name: str = "c"
) -> list[Stretch]:
    """Cables from each stop to the next, ``ohm_per_m`` in each live core."""
    return [
        Stretch(name=f"{name}{n}", a=a, b=b, line_ohm=m * ohm_per_m, neutral_ohm=m * ohm_per_m)
        for n, ((a, b), m) in enumerate(zip(pairwise(stops), lengths_m, strict=True), 1)
    ]


def ring(lengths_m: Sequence[float], ohm_per_m: float = 0.009) -> list[Stretch]:
    """A ring with one leg more than points p1, p2, …"""
    return in_line(lengths_m, [SOURCE, *(f"p{n}" for n in range(1, len(lengths_m))), SOURCE], ohm_per_m)


def tangle(seed: int, points: int, across: int) -> list[Stretch]:
    """A tree from the board with so many cables more across it; line and neutral unlike one another."""
    pick = random.Random(seed)
    names = [SOURCE, *(f"p{n}" for n in range(1, points + 1))]
    pairs = [(names[pick.randrange(n)], names[n]) for n in range(1, len(names))]
    pairs += [tuple(pick.sample(names, 2)) for _ in range(across)]  # type: ignore[misc]  # two of them
    return [
        Stretch(
            name=f"c{n}", a=a, b=b, line_ohm=pick.randrange(1, 500) / 1000, neutral_ohm=pick.randrange(1, 500) / 1000
        )
        for n, (a, b) in enumerate(pairs)
    ]


def wires(stretches: Sequence[Stretch], core: str = "L") -> list[Wire]:
    """One core of a layout in exact fractions of the very floats."""
    return [(s.name, s.a, s.b, Fraction(s.line_ohm if core == "L" else s.neutral_ohm)) for s in stretches]
