"""Builders for tests: a home put together by the same verbs that the app uses."""

import itertools

from circuitmap.home import Change, Home, verbs
from circuitmap.home.records import End, Place
from circuitmap.words import DeviceKind, Evidence, Outcome, PointKind


class Builder:
    """Grows a home one verb at a time and hands back the ids it made."""

    def __init__(self, name: str = "Test home") -> None:
        self.home = Home.blank(name)

    def do(self, change: Change) -> str:
        self.home = self.home.apply(change)
        added = change.added()
        return added[0] if added else ""

    def place(self, storey: str, x_mm: int, y_mm: int) -> Place:
        return Place(storey=storey, x_mm=x_mm, y_mm=y_mm)

    def storey(self, name: str = "Ground", level: int = 0) -> str:
        return self.do(verbs.add_storey(self.home, name, level))

    def room(
        self, name: str, storey: str | None = None, box: tuple[int, int, int, int] | None = None, use: str = ""
    ) -> str:
        """A rectangular room by its box (x0, y0, x1, y1) in mm, or a room that is only a name."""
        outline = ()
        if box is not None:
            x0, y0, x1, y1 = box
            outline = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        return self.do(verbs.add_room(self.home, name, outline, storey, use))

    def board(self, letter: str = "A", **facts: object) -> str:
        return self.do(verbs.add_board(self.home, letter, **facts))  # type: ignore[arg-type]  # test shorthand

    def device(
        self, board: str, way: str, kind: DeviceKind = "MCB", rating_a: float | None = 32, **facts: object
    ) -> str:
        return self.do(verbs.add_device(self.home, board, kind, way, rating_a, **facts))  # type: ignore[arg-type]

    def point(self, kind: PointKind = "socket", at: tuple[str, int, int] | None = None, room: str | None = None,
              cables: int | None = None, **facts: object) -> str:  # fmt: skip
        place = Place(storey=at[0], x_mm=at[1], y_mm=at[2]) if at else None
        point = self.do(verbs.add_point(self.home, kind, place, room, **facts))  # type: ignore[arg-type]
        if cables is not None:
            self.do(verbs.count_cables(self.home, point, cables))
        return point

    def run(
        self, a: str | End, b: str | End, evidence: Evidence = "seen", cable: str = "T&E 2.5/1.5", **facts: object
    ) -> str:
        return self.do(verbs.join(self.home, a, b, cable=cable, evidence=evidence, **facts))  # type: ignore[arg-type]

    def chain(self, *stops: str, **facts: object) -> list[str]:
        """Runs from each stop to the next."""
        return [self.run(a, b, **facts) for a, b in itertools.pairwise(stops)]  # type: ignore[arg-type]

    def visit(self, day: str = "2026-01-05") -> str:
        return self.do(verbs.start_visit(self.home, day))

    def round(self, visit: str, *off: str) -> str:
        return self.do(verbs.open_round(self.home, visit, off, at="2026-01-05T09:00:00Z"))

    def check(self, round_id: str, point: str, outcome: Outcome, **facts: object) -> str:
        return self.do(
            verbs.record_check(self.home, round_id, point, outcome, at="2026-01-05T09:10:00Z", **facts)  # type: ignore[arg-type]
        )
