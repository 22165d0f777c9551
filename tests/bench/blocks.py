"""Homes of any size for measuring: a block of circuits, each a ring through its own rooms, all of it fully joined."""

from itertools import pairwise

from circuitmap.home import Home
from circuitmap.home.records import Board, Details, Device, End, Place, Point, Record, Room, Run, Storey

_ROOM_MM = 4000


def block(circuits: int, points_each: int, circuits_per_storey: int = 25) -> Home:
    """A home of so many rings with so many sockets each; every fifth ring carries an unfused spur."""
    records: list[Record] = [Details(name=f"Block of {circuits} circuits")]
    storeys = (circuits + circuits_per_storey - 1) // circuits_per_storey
    records += [Storey(id=f"G{n + 1}", name=f"Storey {n}", level=n) for n in range(storeys)]
    points = runs = rooms = boards = 0
    per_room = 10
    for circuit in range(circuits):
        storey = f"G{circuit // circuits_per_storey + 1}"
        row, across = circuit % circuits_per_storey % 25, circuit % circuits_per_storey // 25
        start = across * ((points_each + per_room - 1) // per_room * (_ROOM_MM + 200) + 2000)
        if circuit % 20 == 0:
            boards += 1
            place = Place(storey=storey, x_mm=start - 1500, y_mm=row * (_ROOM_MM + 200), height_mm=1500)
            records.append(Board(id=f"B{boards}", letter_on_map=chr(64 + boards), place=place))
        device = f"D{circuit + 1}"
        records.append(
            Device(id=device, board=f"B{boards}", way=str(circuit % 20 + 1), module=circuit % 20, kind="MCB",
                   rating_a=32.0, curve="B", label="Sockets", cables_seen=2)
        )  # fmt: skip
        ring: list[str] = []
        for n in range(points_each):
            if n % per_room == 0:
                rooms += 1
                x, y = start + (n // per_room) * (_ROOM_MM + 200), row * (_ROOM_MM + 200)
                box = ((x, y), (x + _ROOM_MM, y), (x + _ROOM_MM, y + _ROOM_MM), (x, y + _ROOM_MM))
                records.append(Room(id=f"M{rooms}", name=f"Room {rooms}", storey=storey, outline_mm=box))
            points += 1
            left = start + (n // per_room) * (_ROOM_MM + 200)
            place = Place(
                storey=storey, x_mm=left + 200 + (n % per_room) * 380, y_mm=row * (_ROOM_MM + 200), faces_deg=90
            )
            spur = circuit % 5 == 0 and n == points_each - 1
            leaves = circuit % 5 == 0 and n == 0
            records.append(
                Point(
                    id=f"P{points}", kind="socket", place=place, gangs=2, cables_seen=1 if spur else 3 if leaves else 2
                )
            )
            if spur:
                runs += 1
                records.append(_run(runs, End(at=ring[0]), End(at=f"P{points}")))
            else:
                ring.append(f"P{points}")
        stops = [End(at=device, leg=1), *(End(at=p) for p in ring), End(at=device, leg=2)]
        for a, b in pairwise(stops):
            runs += 1
            records.append(_run(runs, a, b))
    return Home.of(records)


def _run(number: int, a: End, b: End) -> Run:
    return Run(id=f"R{number}", a=a, b=b, cable="T&E 2.5/1.5", method="C", evidence="seen", length_mm=4000)
