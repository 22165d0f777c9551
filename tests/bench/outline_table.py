"""How well rooms are outlined: invented drawings with known rooms, and a real plan with rooms marked by hand.

Run it with ``python -m tests.bench.outline_table [--seeds 200] [--from 0] [--real] [--save DIR] [--style name=value]``.
A click into every room, held against the room that was drawn. Corners: the share of true corners that have a found
corner within 2 % of the room's shorter side (the strict reading of "room width"), and of its longer side beside it.
"""

import argparse
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from pathlib import Path
from statistics import mean, median
from typing import Final

import cv2
import numpy as np

from tests.plans.drawn import draw_plan
from tests.plans.drawn_ink import Grey
from tests.plans.drawn_style import Style
from tests.plans.measure import Analyse, RoomRow, SheetRow, click, measure
from tests.plans.real_plan import ABSENT, PICTURE, marked_rooms

WANTED_MEAN: Final = 0.97
WANTED_GOOD: Final = 0.95
WORST: Final = 10


def _size(row: SheetRow) -> str:
    longer = int(str(row.style["longer side px"]))
    return "up to 1500 px" if longer <= 1500 else "up to 3000 px" if longer <= 3000 else "over 3000 px"


def _walls(row: SheetRow) -> str:
    outer, inner = str(row.style["walls"]), str(row.style["inner walls"])
    return outer if outer == inner else f"{outer} outside, {inner} inside"


GROUPS: Final[dict[str, Callable[[SheetRow], str]]] = {
    "difficulty": lambda row: str(row.style["difficulty"]),
    "walls": _walls,
    "slant": lambda row: str(row.style["slant"]),
    "doors": lambda row: str(row.style["doors"]),
    "size": _size,
    "turned": lambda row: "turned" if row.style["turn deg"] else "straight",
    "light": lambda row: "uneven light" if row.style["light"] else "even light",
    "JPEG": lambda row: "none" if row.style["jpeg"] is None else "below 60" if _jpeg(row) < 60 else "60 and above",
    "click": lambda row: "anywhere" if row.seed % 4 == 0 else "in the middle",
}


def _jpeg(row: SheetRow) -> int:
    return int(str(row.style["jpeg"]))


def _figures(rooms: Sequence[RoomRow]) -> str:
    corners = sum(room.corners for room in rooms)
    found = sum(len(room.found) for room in rooms if room.found is not None)
    good = sum(room.iou >= WANTED_GOOD for room in rooms) / len(rooms)
    short, long = (sum(n) / corners for n in ([r.near_short for r in rooms], [r.near_long for r in rooms]))
    return (
        f"{len(rooms):5} rooms  IoU {mean(r.iou for r in rooms):.4f}  ≥ 0.95 {good:6.1%}  "
        f"corners {short:6.1%} ({long:6.1%} of the longer side)  found per true {found / corners:.2f}"
    )


def _print(text: str = "") -> None:
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def report(rows: Sequence[SheetRow]) -> None:
    """Print the table: all, by feature, times, and the worst rooms."""
    rooms = [room for row in rows for room in row.rooms]
    _print(f"{len(rows)} drawings; wanted: mean IoU ≥ 0.97, ≥ 0.95 for 95 % of rooms, corners 90 %")
    _print(f"{'all':38}{_figures(rooms)}")
    for title, group in GROUPS.items():
        parts: defaultdict[str, list[RoomRow]] = defaultdict(list)
        for row in rows:
            parts[group(row)] += row.rooms
        _print()
        for name in sorted(parts):
            _print(f"{title + ': ' + name:38}{_figures(parts[name])}")
    per_mp = [row.analysis_s / row.megapixels for row in rows]
    clicks = [room.click_s * 1000 for room in rooms]
    near_12 = [row for row in rows if 9 <= row.megapixels <= 15]
    _print()
    _print(f"analysis, s per megapixel: median {median(per_mp):.3f}, most {max(per_mp):.3f}")
    _print(
        f"analysis, s: median {median(row.analysis_s for row in rows):.2f}, most {max(r.analysis_s for r in rows):.2f}"
    )
    if near_12:
        _print(f"analysis at 9 to 15 megapixels, s: most {max(row.analysis_s for row in near_12):.2f} (wanted ≤ 1.5)")
    _print(f"a click, ms: median {median(clicks):.1f}, most {max(clicks):.1f} (wanted ≤ 150)")
    _print()
    for room in worst(rows):
        _print(f"seed {room.seed:4} {room.name:14} IoU {room.iou:.3f} {room.said}")


def worst(rows: Sequence[SheetRow]) -> list[RoomRow]:
    """The rooms found worst, the worst first."""
    return sorted((room for row in rows for room in row.rooms), key=lambda room: room.iou)[:WORST]


def real(analyse: Analyse, save: Path | None) -> None:
    """Click into the rooms of the real plan that are marked by hand."""
    if not PICTURE.exists():
        _print(ABSENT)
        return
    grey = read_real()
    began = time.perf_counter()
    sheet = analyse(grey)
    took_s = time.perf_counter() - began
    rows = [click(sheet, -1, room.name, room.click_px, room.corners_px) for room in marked_rooms()]
    _print(f"real plan, {grey.size / 1e6:.0f} megapixels: analysis {took_s:.2f} s")
    for row in rows:
        corners = f"{row.near_short}/{row.corners}"
        _print(f"{row.name:28} IoU {row.iou:.3f}  corners {corners:6} {row.click_s * 1000:6.1f} ms  {row.said}")
    _print(f"IoU ≥ 0.90: {sum(row.iou >= 0.9 for row in rows)} of {len(rows)} (wanted: eight of ten)")
    if save is not None:
        for row in rows:
            _overlay(grey, row, save / f"real {row.name}.png")


def read_real() -> Grey:
    """The real plan as the tracing is handed it: what is drawn dark on light."""
    from circuitmap.plan.tracing import grey_of

    pixels = cv2.imread(str(PICTURE), cv2.IMREAD_UNCHANGED)
    assert pixels is not None
    return grey_of(np.asarray(cv2.cvtColor(pixels, cv2.COLOR_BGRA2RGBA), dtype=np.uint8))


def _overlay(grey: Grey, row: RoomRow, path: Path) -> None:
    """The neighbourhood of a room with the truth in blue, what was found in red, and the click."""
    outlines = [row.truth] if row.found is None else [row.truth, row.found]
    both = np.vstack(outlines)
    margin = 0.25 * max(np.ptp(row.truth[:, 0]), np.ptp(row.truth[:, 1])) + 20
    x0, y0 = np.maximum(both.min(axis=0) - margin, 0).astype(int)
    x1, y1 = (both.max(axis=0) + margin).astype(int)
    part = cv2.cvtColor(np.ascontiguousarray(grey[y0:y1, x0:x1]), cv2.COLOR_GRAY2BGR)
    scale = min(1400 / max(part.shape[:2]), 4.0)
    part = cv2.resize(part, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA if scale < 1 else cv2.INTER_LINEAR)
    for corners, colour, wide in ((row.truth, (230, 90, 0), 4), (row.found, (0, 0, 230), 2)):
        if corners is not None:
            ring = np.round((corners + 0.5 - [x0, y0]) * scale).astype(np.int32)
            cv2.polylines(part, [ring], True, colour, wide, cv2.LINE_AA)
    x, y = ((np.asarray(row.click_px) + 0.5 - [x0, y0]) * scale).astype(int)
    cv2.circle(part, (int(x), int(y)), 8, (0, 160, 0), -1, cv2.LINE_AA)
    path.parent.mkdir(parents=True, exist_ok=True)
    is_ok, packed = cv2.imencode(".png", part)
    assert is_ok
    path.write_bytes(packed.tobytes())


def _style(pairs: Sequence[str]) -> Style:
    style: Style = {}
    for pair in pairs:
        name, _, value = pair.partition("=")
        try:
            style[name] = int(value) if value.lstrip("-").isdecimal() else float(value)
        except ValueError:
            style[name] = {"yes": True, "no": False, "none": None}.get(value, value)
    return style


def main(arguments: Sequence[str] | None = None, analyse: Analyse | None = None) -> int:
    """Read the command line, measure, print."""
    parser = argparse.ArgumentParser(description="How well rooms are outlined.")
    parser.add_argument("--seeds", type=int, default=200, help="how many drawings")
    parser.add_argument("--from", type=int, default=0, dest="first", help="the first seed")
    parser.add_argument("--style", action="append", default=[], help="force a feature of every drawing: name=value")
    parser.add_argument("--real", action="store_true", help="the real plan instead of drawings")
    parser.add_argument("--save", type=Path, help="a folder for pictures of the worst rooms")
    told = parser.parse_args(arguments)
    if analyse is None:
        from circuitmap.plan import tracing

        analyse = tracing.analyse
    if told.real:
        real(analyse, told.save)
        return 0
    style = _style(told.style)
    rows = []
    for row in measure(analyse, range(told.first, told.first + told.seeds), style):
        rows.append(row)
        if sys.stderr.isatty():
            sys.stderr.write(f"\r{len(rows)} of {told.seeds}")
    report(rows)
    if told.save is not None:
        for n, room in enumerate(worst(rows)):
            _overlay(draw_plan(room.seed, style).grey, room, told.save / f"{n:02} seed {room.seed} {room.name}.png")
    return 0


if __name__ == "__main__":
    sys.exit(main())
