"""``circuitmap outline``: trace the rooms of a plan and write them as GeoJSON, so that tracing can be scripted.

The answer is one FeatureCollection; each room is a Polygon with the properties ``room`` (its number), ``click`` (where
it was asked for, in px), ``area_m2`` or ``area_px2``, ``openings``, ``sure`` (0 … 1) and ``why``. Its own property
``units`` says whether coordinates are metres or px, ``y_axis`` that y counts down the sheet.
"""

import argparse
import json
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from circuitmap.cli import FOUND, NOTHING_FOUND, UsageError, printable
from circuitmap.cli.replacing import add_replace, refuse_ending, write_new

if TYPE_CHECKING:
    from circuitmap.pictures import PictureInfo
    from circuitmap.plan.tracing import Outlined, Sheeted

_AT = re.compile(r"\s*([-+]?\d+(?:\.\d+)?)\s*[,; ]\s*([-+]?\d+(?:\.\d+)?)\s*")
_SCALE = re.compile(r"\s*(\d+(?:\.\d+)?)\s*px\s*=\s*(.+)")
Click = tuple[float, float]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.epilog = "exit codes: 0 every room asked for was outlined, 1 one was not, 2 wrong arguments, 3 unreadable"
    parser.add_argument("picture", metavar="PICTURE", type=Path, help="the plan: a picture or a drawing")
    parser.add_argument(
        "--at",
        metavar="X,Y",
        action="append",
        default=[],
        help="a place in a room, in px from the top left; repeatable",
    )
    parser.add_argument("--all", action="store_true", help="every room (as without --at), beside those of --at")
    parser.add_argument("--scale", metavar='"100 px = 1 m"', help="write metres instead of px")
    parser.add_argument("--page", metavar="N", type=int, default=1, help="the page of a PDF (the first unless said)")
    parser.add_argument(
        "-o", "--output", metavar="ROOMS.geojson", type=Path, help="the file to write (or the terminal)"
    )
    add_replace(parser)


def run(args: argparse.Namespace) -> int:
    """Trace the rooms; give 1 when a click found none, or the sheet holds none."""
    from circuitmap.errors import PersonError
    from circuitmap.plan.tracing import TracingError

    clicks = [_click(text) for text in args.at]
    px_per_m = _px_per_m(args.scale) if args.scale is not None else None
    if args.output is not None and args.output.is_dir():
        raise UsageError(f"{args.output} is a folder; name the file to write, such as {args.output / 'rooms.geojson'}.")
    if args.output is not None:
        refuse_ending(args.output, (".geojson", ".json"), "An outline")
    rooms: list[tuple[Click | None, Outlined]] = []
    missed: list[PersonError] = []
    try:
        sheet = _analysed(args.picture, args.page)
        for click in clicks:
            try:
                rooms.append((click, sheet.room_at(*click)))
            except TracingError as error:
                missed.append(error)
        if args.all or not clicks:
            rooms += [(None, room) for room in sheet.all_rooms() if all(room != known for _, known in rooms)]
            if not rooms and not missed:
                missed.append(TracingError("No walls close round any room on this sheet."))
    except TracingError as error:
        missed.append(error)
    for what in missed:
        sys.stderr.write(f"circuitmap: {printable(str(what))}\n")
    text = json.dumps(_collection(rooms, px_per_m), indent=1) + "\n"
    if args.output is None:
        sys.stdout.write(text)
    else:
        write_new({args.output: text}, args.replace)
        print(printable(f"Outlined {len(rooms)} room{'' if len(rooms) == 1 else 's'} in {args.output}."))
    return FOUND if missed else NOTHING_FOUND


def _analysed(path: Path, page: int) -> "Sheeted":
    import numpy as np

    from circuitmap.pictures import decode_rgba, linework
    from circuitmap.plan.tracing import analyse, grey_of

    info = _looked_at(path, page)
    lines = linework(info, page).segments if info.is_vector else None
    if lines is not None and len(lines):
        return analyse(np.empty((info.height_px, info.width_px), np.uint8), lines=lines)
    width, height, pixels = decode_rgba(info)
    return analyse(grey_of(np.frombuffer(pixels, np.uint8).reshape(height, width, 4)))


def _looked_at(path: Path, page: int) -> "PictureInfo":
    from circuitmap.pictures import look

    if page < 1:
        raise UsageError(f"--page is 1 or more, not {page}.")
    return look(path, page=page)


def _click(text: str) -> Click:
    found = _AT.fullmatch(text)
    if found is None:
        raise UsageError(f"“{text}” is no place; write it as across,down in px, for example --at 420,310.")
    return float(found[1]), float(found[2])


def _px_per_m(text: str) -> float:
    from circuitmap.quantities import parse_length_mm

    found = _SCALE.fullmatch(text)
    if found is None or float(found[1]) == 0:
        raise UsageError(f'“{text}” is no scale; write it as px and a length, for example --scale "100 px = 1 m".')
    return float(found[1]) / (parse_length_mm(found[2]) / 1000)


def _collection(rooms: "list[tuple[Click | None, Outlined]]", px_per_m: float | None) -> dict[str, object]:
    return {
        "type": "FeatureCollection",
        "units": "px" if px_per_m is None else "m",
        "y_axis": "down",
        "features": [_feature(number, click, room, px_per_m) for number, (click, room) in enumerate(rooms, 1)],
    }


def _feature(number: int, click: Click | None, room: "Outlined", px_per_m: float | None) -> dict[str, object]:
    factor, digits = (1.0, 1) if px_per_m is None else (1 / px_per_m, 3)
    ring = [[round(x * factor, digits), round(y * factor, digits)] for x, y in room.corners_px]
    area = {"area_px2": round(room.area_px2)} if px_per_m is None else {"area_m2": round(room.area_px2 * factor**2, 2)}
    openings = [
        {
            "ends": [[round(x * factor, digits), round(y * factor, digits)] for x, y in (opening.a_px, opening.b_px)],
            "wall_thickness": round(opening.depth_px * factor, digits),
            "kind": opening.kind,
        }
        for opening in room.doors
    ]
    properties = {
        "room": number, "click": click, **area, "openings": openings, "sure": room.sure, "why": room.why,
    }  # fmt: skip
    return {
        "type": "Feature",
        "properties": properties,
        "geometry": {"type": "Polygon", "coordinates": [[*ring, ring[0]]]},
    }
