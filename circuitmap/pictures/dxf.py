"""DXF drawings: read in the forgiving way, blocks taken apart, all of it as lines, filled outlines and words."""

import gc
import math
import re
from io import BytesIO
from typing import TYPE_CHECKING, Final

from circuitmap.pictures.dxf_parts import take_apart
from circuitmap.pictures.study import RefusedError, Study, Text

if TYPE_CHECKING:
    import numpy as np
    from ezdxf.document import Drawing
    from numpy.typing import NDArray

MOST_BYTES: Final = 120_000_000
MOST_ENTITIES: Final = 200_000
LONG_PX: Final = 4_000
_MARGIN: Final = 0.02
# A plan is between a metre and a kilometre long; anything else means that the unit in the file is wrong.
_PLAN_MM: Final = (1_000.0, 1_000_000.0)
# Strays this much further out than nearly all lines do not count for the size of the sheet.
_FAR_OUT: Final = 10.0
_ENTITY: Final = re.compile(rb"^ *0\r?\n *[A-Za-z]", re.MULTILINE)


def study(data: bytes) -> Study:
    """Read a DXF drawing: lines, layers, words and, where it says its unit, its scale.

    Raises
    ------
    RefusedError
        When it is broken, empty, of the binary kind, or has more entities than a plan.
    """
    import numpy as np

    drawing = _read(data)
    found = take_apart(drawing)
    ends = np.frombuffer(found.segments, np.float64).reshape(-1, 4)
    if not len(ends):
        raise RefusedError(
            "the DXF drawing has no lines that could be shown.", "Export the floor plan's model space again."
        )
    left, bottom, right, top = _extent(ends)
    long = max(right - left, top - bottom)
    if not (math.isfinite(long) and long > 0):
        raise RefusedError("the DXF drawing has no extent.", "Export the floor plan's model space again.")
    margin = _MARGIN * long
    left, bottom, right, top = left - margin, bottom - margin, right + margin, top + margin
    scale = LONG_PX / max(right - left, top - bottom)
    width_px, height_px = max(16, round((right - left) * scale)), max(16, round((top - bottom) * scale))

    def to_sheet(spots: "NDArray[np.float64]") -> "NDArray[np.float64]":
        return np.column_stack(((spots[:, 0] - left) * scale, (top - spots[:, 1]) * scale))

    on_sheet = to_sheet(ends.reshape(-1, 2)).reshape(-1, 4)
    fills = np.frombuffer(found.fill_points, np.float64).reshape(-1, 2)
    texts = tuple(_placed(text, left, top, scale) for text in found.texts)
    mm_per_px, said = _unit(drawing, scale, long)
    return Study(
        width_px, height_px, said=(*said, *found.said), mm_per_px=mm_per_px, segments=on_sheet.tobytes(),
        layer_of=found.layer_of.tobytes(), layers=found.layers, texts=texts, fill_points=to_sheet(fills).tobytes(),
        fill_starts=found.fill_starts.tobytes(),
    )  # fmt: skip


def _read(data: bytes) -> "Drawing":
    if b"Binary DXF" in data[:22]:
        raise RefusedError("this is a DXF of the binary kind.", "Save it as text (ASCII) DXF and use that.")
    if len(data) > MOST_BYTES:
        raise RefusedError(
            f"the DXF has more than {MOST_BYTES / 1e6:.0f} MB.", "Save only the floor plan and use that."
        )
    count = sum(1 for _ in _ENTITY.finditer(data))
    if count > MOST_ENTITIES:
        says = f"the DXF has {count:,} entities; up to {MOST_ENTITIES:,} are read."
        raise RefusedError(says, "Save only the floor plan's layers and use that.")
    from ezdxf import recover
    from ezdxf.lldxf.const import DXFError

    # Reading makes millions of small objects and no rubbish: looking for rubbish takes a third of the time.
    gc.disable()
    try:
        drawing, _ = recover.read(BytesIO(data))
    except (DXFError, OSError, ValueError, LookupError, TypeError, AttributeError, RecursionError) as error:
        raise RefusedError("the DXF is broken or cut short.", "Save or export it again and try once more.") from error
    if not len(drawing.modelspace()):
        raise RefusedError("the DXF drawing is empty, or broken so that nothing of it is left.", "Export it again.")
    return drawing


def _extent(ends: "NDArray[np.float64]") -> tuple[float, float, float, float]:
    """Give left, bottom, right and top of the lines, leaving out strays that are far from nearly all the others."""
    import numpy as np

    spots = ends.reshape(-1, 2)
    low, high = spots.min(axis=0), spots.max(axis=0)
    inner_low, inner_high = np.quantile(spots, 0.005, axis=0), np.quantile(spots, 0.995, axis=0)
    span = float((inner_high - inner_low).max())
    if span > 0 and float((high - low).max()) > _FAR_OUT * span:
        inside = np.all((spots >= inner_low - span) & (spots <= inner_high + span), axis=1)
        low, high = spots[inside].min(axis=0), spots[inside].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _unit(drawing: "Drawing", scale: float, long: float) -> tuple[float | None, tuple[str, ...]]:
    from ezdxf import units
    from ezdxf.enums import InsertUnits

    unit = drawing.units
    if not unit:
        return None, ("The DXF doesn't say its unit; set the scale.",)
    mm = units.conversion_factor(InsertUnits(unit), InsertUnits.Millimeters)
    if not _PLAN_MM[0] <= long * mm <= _PLAN_MM[1]:
        says = f"By its unit ({units.unit_name(unit).lower()}) the drawing would be {long * mm / 1000:,.3g} m long"
        return None, (f"{says}, which can't be; set the scale.",)
    return mm / scale, ()


def _placed(text: Text, left: float, top: float, scale: float) -> Text:
    size = text.size * scale
    return Text((text.x - left) * scale, (top - text.y) * scale, size, text.words, -text.turn_deg, 0.0)
