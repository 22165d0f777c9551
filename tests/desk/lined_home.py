"""An invented drawing as DXF: two rooms in walls of two faces, furniture, stairs, a cross; to scale at once."""

import io

import ezdxf

from circuitmap.desk.window import Window
from circuitmap.home.records import Sheet
from circuitmap.plan.sheet import to_plan
from tests.desk.driving import settle

# The drawing's origin is at its bottom left, upwards; y is turned over when it comes in.
WIDE, HIGH = 6_300, 4_200


def face(space, x0, y0, x1, y1, layer="WALLS"):
    space.add_line((x0, y0), (x1, y1), dxfattribs={"layer": layer})


def box_of(space, x0, y0, x1, y1, layer):
    for a, b in (((x0, y0), (x1, y0)), ((x1, y0), (x1, y1)), ((x1, y1), (x0, y1)), ((x0, y1), (x0, y0))):
        space.add_line(a, b, dxfattribs={"layer": layer})


def two_rooms() -> bytes:
    """Outer walls of 300 round two rooms of 2800 and 2800 by 3600, 100 between, a door of 800 in it."""
    document = ezdxf.new()
    document.units = 4
    space = document.modelspace()
    box_of(space, 0, 0, WIDE, HIGH, "WALLS")
    for x0, x1 in ((300, 3100), (3200, 6000)):
        # The inner face, open where the door is.
        inner = x1 if x0 == 300 else x0
        other = x0 if x0 == 300 else x1
        face(space, other, 300, other, 3900)
        for y in (300, 3900):
            face(space, x0, y, x1, y)
        face(space, inner, 300, inner, 1300)
        face(space, inner, 2100, inner, 3900)
    for y in (1300, 2100):
        face(space, 3100, y, 3200, y)
    box_of(space, 700, 900, 1900, 2700, "FURNITURE")
    for n in range(9):
        face(space, 3500 + 250 * n, 600, 3500 + 250 * n, 1500, "STAIRS")
    face(space, 4600, 1900, 4600, 3600, "GRID")
    face(space, 3900, 2800, 5400, 2800, "GRID")
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()


def lay_lines(window: Window, folder, data: bytes | None = None) -> Sheet:
    """Bring the drawing in; give its sheet."""
    path = folder / "plan.dxf"
    path.write_bytes(two_rooms() if data is None else data)
    assert window.draw_stage.bring(path)
    settle()
    window.fit()
    settle()
    return window.adapter.home.sorted(Sheet)[-1]


def on_plan(sheet: Sheet, x: float, y: float) -> tuple[float, float]:
    """Where a spot of the drawing lies on the plan: it has a margin of 2 % of its longer side all round."""
    assert sheet.px_to_plan_mm is not None
    margin = 0.02 * WIDE
    mm = sheet.px_to_plan_mm[0]
    return to_plan(sheet.px_to_plan_mm, (x + margin) / mm, (HIGH + margin - y) / mm)
