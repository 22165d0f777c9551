"""Homes for the chart, all invented: any number of points and ways over storeys, surveyed; and awkward ones."""

import datetime
import random
from collections.abc import Mapping
from typing import Any

from msgspec.structs import replace

from circuitmap.home import Home
from circuitmap.home.records import (
    Board,
    Check,
    Details,
    Device,
    Place,
    Point,
    Rcd,
    Record,
    Room,
    Round,
    Storey,
    Supply,
    Visit,
    Wall,
)
from circuitmap.memo import Memo
from circuitmap.paper.wanted import Wanted
from circuitmap.trade import load
from circuitmap.words import Outcome, PointKind

DAY = datetime.date(2026, 1, 5)
TRADE = load()
_WIDE, _DEEP = 4200, 3600
_AT = "2026-01-05T09:00:00Z"
_KINDS: tuple[PointKind, ...] = ("socket", "socket", "socket", "socket", "light", "light", "fused unit", "smoke alarm")


def wanted(home: Home, **how: Any) -> Wanted:  # any of a Wanted's fields
    return Wanted(home=home, trade=TRADE, memo=Memo(), day=DAY, **how)


def crowd(points: int, ways: int, storeys: int = 2, seed: int = 1) -> Home:
    """A home of so many points on so many ways, two rooms deep, every point seen going off with its way."""
    chance = random.Random(seed)
    records: list[Record] = [Details(name=f"Home of {points} points", call="T. Abara, 01234 567890")]
    records += [Storey(id=f"G{n + 1}", name=f"Storey {n}", level=n) for n in range(storeys)]
    records.append(Supply(id="E1", sources_asked=True))
    records.append(_board())
    records.append(Device(id="D1", board="B1", module=0, modules=2, kind="main switch", rating_a=100.0))
    for n in range(ways):
        records.append(
            Device(
                id=f"D{n + 2}", board="B1", way=str(n + 1), module=n + 2, kind="RCBO", rating_a=32.0, curve="B",
                rcd=Rcd(trips_ma=30.0), upstream="D1", label=f"Circuit {n + 1}",
            )
        )  # fmt: skip
    per_storey = -(-points // storeys)
    across = max(2, -(-per_storey // 24))  # some twelve points to a room
    rooms = 0
    number = 0
    for s in range(storeys):
        boxes = []
        for column in range(across):
            for row in range(2):
                rooms += 1
                x, y = column * (_WIDE + 150), row * (_DEEP + 150)
                outline = ((x, y), (x + _WIDE, y), (x + _WIDE, y + _DEEP), (x, y + _DEEP))
                name = chance.choice(("Kitchen", "Bedroom", "Living room", "Study", "Hall", "Bathroom", "Cupboard"))
                records.append(Room(id=f"M{rooms}", name=f"{name} {rooms}", storey=f"G{s + 1}", outline_mm=outline))
                boxes.append((x, y))
        for wall, y in enumerate((-75, _DEEP + 75, 2 * _DEEP + 225)):
            records.append(
                Wall(
                    id=f"W{s * 3 + wall + 1}", storey=f"G{s + 1}", a_mm=(-75, y),
                    b_mm=(across * (_WIDE + 150) - 75, y), thickness_mm=150,
                )
            )  # fmt: skip
        for n in range(per_storey):
            if number == points:
                break
            x, y = boxes[n % len(boxes)]
            number += 1
            records.append(_point(number, f"G{s + 1}", x, y, chance))
    records += _survey(points, ways)
    return Home.of(records)


def _board() -> Board:
    return Board(
        id="B1", letter_on_map="A", name="Consumer unit",
        place=Place(storey="G1", x_mm=2000, y_mm=0, height_mm=1500, faces_deg=90),
    )  # fmt: skip


def _point(number: int, storey: str, x: int, y: int, chance: random.Random) -> Point:
    kind = chance.choice(_KINDS)
    along = chance.randrange(200, _WIDE - 200)
    if kind in ("light", "smoke alarm"):
        place = Place(storey=storey, x_mm=x + along, y_mm=y + chance.randrange(900, _DEEP - 900))
    elif chance.random() < 0.5:
        place = Place(storey=storey, x_mm=x + along, y_mm=y, faces_deg=90)
    else:
        place = Place(storey=storey, x_mm=x, y_mm=y + along * _DEEP // _WIDE, faces_deg=0)
    return Point(id=f"P{number}", kind=kind, place=place)


def _survey(points: int, ways: int) -> list[Record]:
    records: list[Record] = [Visit(id="V1", day="2026-01-05"), Round(id="S1", visit="V1")]
    records += [Round(id=f"S{n + 2}", visit="V1", off=(f"D{n + 2}",)) for n in range(ways)]
    number = 0
    for n in range(points):
        way = n % ways
        seen: list[tuple[str, Outcome]] = [("S1", "still on"), (f"S{way + 2}", "off"), (f"S{way + 2}", "off")]
        seen += [(f"S{other + 2}", "still on") for other in range(ways) if other != way]
        for round_id, outcome in seen:
            number += 1
            at = "2026-01-05T08:00:00Z" if round_id == "S1" else _AT
            records.append(Check(id=f"C{number}", round=round_id, point=f"P{n + 1}", outcome=outcome, at=at))
    return records


def changed(home: Home, changes: Mapping[str, Mapping[str, object]], *more: Record) -> Home:
    """The home with fields of some records replaced by id, and more records."""
    kept = [replace(record, **dict(changes.get(record.id, {}))) for record in home.all()]
    return Home.of([*kept, *more])
