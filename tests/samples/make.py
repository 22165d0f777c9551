"""Write the sample homes: ``python -m tests.samples.make`` writes all three over the ones that are there."""

import sys
from collections.abc import Sequence
from pathlib import Path

from tests.samples import make_bungalow, make_flat, make_terrace
from tests.samples.made import Maker

MAKERS: dict[str, Maker] = {
    "older-terrace": make_terrace.make,
    "rented-flat": make_flat.make,
    "bungalow-tt": make_bungalow.make,
}
FOLDER = Path(__file__).resolve().parents[2] / "sample_homes"


def main(names: Sequence[str]) -> None:
    """Make the named homes, or all."""
    for name in names or MAKERS:
        MAKERS[name]().write(FOLDER / name)


if __name__ == "__main__":
    main(sys.argv[1:])
