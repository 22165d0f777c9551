"""Drawings of homes that never were, with the corners of their rooms known: the same bytes from the same seed."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from random import Random
from typing import Final

import numpy as np
import numpy.typing as npt

from tests.plans.drawn_furniture import furnish
from tests.plans.drawn_ink import Frame, Grey, Pen
from tests.plans.drawn_labels import Text, draw_dimensions, draw_north, draw_sheet_frame, label
from tests.plans.drawn_layout import Layout, lay_out
from tests.plans.drawn_openings import place_gaps
from tests.plans.drawn_paper import weather
from tests.plans.drawn_style import Style, style_of
from tests.plans.drawn_walls import draw_gaps, draw_walls

LEAST_PX_PER_M: Final = 55.0  # a stud partition of 100 mm is 5 px here; people's pictures of plans are rarely coarser


@dataclass(frozen=True, slots=True)
class DrawnRoom:
    """A room of the drawing: its name and the corners of its floor at the faces of the walls, doors closed, in px."""

    name: str
    corners_px: npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawing and what is true of it; the middle of the first pixel is (0, 0)."""

    grey: Grey
    rooms: tuple[DrawnRoom, ...]
    px_per_m: float
    style: Style
    texts: tuple[Text, ...]


def draw_plan(seed: int, style: Mapping[str, object] | None = None) -> Drawn:
    """The drawing of a seed; ``style`` overrules features by the names ``style_of`` gives them."""
    rng = Random(f"drawn plan {seed}")
    look = style_of(rng, seed, dict(style or {}))
    inner_m, outer_m = float(str(look["inner m"])), float(str(look["outer m"]))
    if look["walls"] == "line":
        inner_m = outer_m = 0.09
    main_m = max(float(str(look["main m"])), inner_m)
    layout = lay_out(rng, outer_m, inner_m, inner_m if look["walls"] == "line" else main_m, *_shape(look))
    gaps = place_gaps(rng, layout, str(look["doors"]), bool(look["windows"]))
    frame, wide, high = _framed(rng, layout, look)
    sheet = np.full((high, wide), 255, dtype=np.uint8)
    thin = max(1, min(3, round(frame.px_per_m * rng.uniform(0.008, 0.014))))
    look["edge px"] = min(int(str(look["edge px"])), max(1, round(frame.px_per_m * 0.02)))
    pen = Pen(sheet, frame, thin, bool(look["smooth"]))
    furnish(rng, pen, layout, gaps, look)
    draw_walls(pen, layout, gaps, look)
    draw_gaps(rng, pen, gaps, look)
    texts = label(rng, pen, layout, look)
    texts += draw_dimensions(rng, pen, layout, look)
    texts += draw_north(rng, pen, layout, look)
    texts += draw_sheet_frame(pen, layout, look)
    rooms = tuple(
        DrawnRoom(f"{space.use} {i}", frame.px(list(space.floor.exterior.coords)[:-1]))
        for i, space in enumerate(layout.spaces)
    )
    grey = weather(sheet, look, np.random.default_rng(seed))
    grey.flags.writeable = False
    return Drawn(grey, rooms, frame.px_per_m, look, texts)


def _shape(look: Style) -> tuple[str, str]:
    return str(look["slant"]), str(look["kind"])


def _framed(rng: Random, layout: Layout, look: Style) -> tuple[Frame, int, int]:
    """The sheet about the home, with room for dimensions, as big as the style says."""
    x0, y0, x1, y1 = layout.outside.bounds
    margin_m = rng.uniform(1.9, 2.4) if look["dims outside"] else rng.uniform(0.5, 1.6)
    turn = math.radians(float(str(look["turn deg"])))
    corners = Frame(1.0, turn, 0.0, 0.0).px([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
    low, high = corners.min(axis=0) - margin_m, corners.max(axis=0) + margin_m
    wide_m, high_m = float(high[0] - low[0]), float(high[1] - low[1])
    px_per_m = max(int(str(look["longer side px"])) / max(wide_m, high_m), LEAST_PX_PER_M)
    frame = Frame(px_per_m, turn, -float(low[0]) * px_per_m, -float(low[1]) * px_per_m)
    return frame, math.ceil(wide_m * px_per_m), math.ceil(high_m * px_per_m)
