"""The real plan with rooms marked by hand: ``multi-flat.png`` of the open data set MLSTRUCT-FP (MIT licence).

The picture is not part of this repository; it is looked for beside it, in ``../shared/reference/plans``, and whoever
uses it goes without where it is absent.
"""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
import numpy.typing as npt

ROOMS: Final = Path(__file__).with_name("multi_flat_rooms.json")
PICTURE: Final = Path(__file__).resolve().parents[3] / "shared" / "reference" / "plans" / "multi-flat.png"
ABSENT: Final = "the real plan ../shared/reference/plans/multi-flat.png is not beside this repository"
PX_PER_M: Final = 188.445  # **Source:** the data set's README


@dataclass(frozen=True, slots=True)
class MarkedRoom:
    """A room marked by hand: what and of what kind it is, where to click, and its corners, in px."""

    name: str
    kind: str
    click_px: tuple[float, float]
    corners_px: npt.NDArray[np.float64]


def marked_rooms() -> tuple[MarkedRoom, ...]:
    """The rooms of the file."""
    rooms = json.loads(ROOMS.read_text(encoding="utf-8"))["rooms"]
    return tuple(
        MarkedRoom(r["name"], r["kind"], (r["click_px"][0], r["click_px"][1]), np.asarray(r["corners_px"], dtype=float))
        for r in rooms
    )
