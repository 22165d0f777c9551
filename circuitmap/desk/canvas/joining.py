"""Points, boards and runs on the plan: putting down, joining, inserting."""

from circuitmap.desk.canvas.gestures import Gesture, Outcome, Surface, Touch, placed_at
from circuitmap.drawing.marks import Glyph, Ink, Line
from circuitmap.home import Change, Home, combine, verbs
from circuitmap.home.records import Board, Device, Place, Point, Run
from circuitmap.plan import place_of
from circuitmap.words import Evidence, PointKind


class PlacePoint(Gesture):
    """Putting down a point of the kind in hand; near a wall it goes onto it."""

    def __init__(self, surface: Surface, kind: PointKind, gangs: int = 1) -> None:
        super().__init__(surface)
        self.kind, self.gangs = kind, gangs
        self.hint = f"Click where the {kind} is; Esc when done."

    def hover(self, touch: Touch) -> None:
        place = self._place(touch)
        self.preview = (Glyph("overlay", _symbol(self.kind, self.gangs, place), (place.x_mm, place.y_mm),
                              _turn(place), role="select"),)  # fmt: skip

    def move(self, touch: Touch) -> None:
        self.hover(touch)

    def press(self, touch: Touch) -> Outcome | None:
        place = self._place(touch)
        if not place.storey:
            return Outcome(refuse="There is no storey to put a point on yet; add one first.")
        kind, gangs = self.kind, self.gangs
        return Outcome(make=lambda home: verbs.add_point(home, kind, place, gangs=gangs), select_added=True)

    def _place(self, touch: Touch) -> Place:
        return placed_at(self.surface, touch, self.kind)


class PlaceBoard(Gesture):
    """Putting down a board, or placing one that is only listed so far."""

    hint = "Click where the board is."

    def hover(self, touch: Touch) -> None:
        self.preview = (Glyph("overlay", "board", touch.spot, role="select"),)

    def press(self, touch: Touch) -> Outcome | None:
        if not self.surface.storey:
            return Outcome(refuse="There is no storey to put a board on yet; add one first.")
        place = placed_at(self.surface, touch, "other")
        unplaced = [b for b in self.surface.home.sorted(Board) if b.place is None and b.source != "elsewhere"]
        if unplaced:
            board = unplaced[0].id
            return Outcome(make=lambda home: verbs.move(home, board, place), select=(board,), over=True)
        source = "run" if self.surface.home.table(Board) else "supply"
        return Outcome(
            make=lambda home: verbs.add_board(home, place=place, source="run" if source == "run" else "supply"),
            select_added=True,
            over=True,
        )


class DrawRun(Gesture):
    """A run from one thing to another by two clicks; the second is the first of the next, until Esc."""

    hint = "Click a way or a point, then the next point; go on from there, Esc when done."

    def __init__(self, surface: Surface, cable: str = "", evidence: Evidence = "seen") -> None:
        super().__init__(surface)
        self.cable, self.evidence = cable, evidence
        self._from = ""

    @property
    def begun_at(self) -> str:
        """The id of what the next run starts from, empty before the first click."""
        return self._from

    def hover(self, touch: Touch) -> None:
        start = self._spot(self._from)
        if start is None:
            self.preview = ()
            return
        self.preview = (Line("overlay", (start, touch.spot), Ink("select", 2.0, (6, 4))),)

    def press(self, touch: Touch) -> Outcome | None:
        hits = [i for i in self.surface.hits(touch, 14) if i[0] in "PB"]
        if not hits:
            return Outcome(refuse="Nothing here to join; click a point, a board or a way.")
        return self.taken(hits[0])

    def taken(self, record_id: str) -> Outcome | None:
        record = self.surface.home.peek(record_id)
        if not isinstance(record, Point | Board | Device):
            return None
        if not self._from:
            if isinstance(record, Board):
                return Outcome(refuse=f"Click a way on the strip of board {record.letter_on_map} to start from it.")
            self._from = record_id
            return Outcome(select=(record_id,))
        if record_id == self._from:
            return None
        start, self._from = self._from, "" if isinstance(record, Device | Board) else record_id
        self.preview = ()
        cable, evidence = self.cable, self.evidence
        return Outcome(
            make=lambda home: verbs.join(home, start, record_id, cable=cable, evidence=evidence), select=(record_id,)
        )

    def cancel(self) -> bool:
        had = bool(self._from)
        self._from = ""
        self.preview = ()
        return had

    def _spot(self, record_id: str) -> tuple[float, float] | None:
        record = self.surface.home.peek(record_id) if record_id else None
        if isinstance(record, Device):
            record = self.surface.home.peek(record.board)
        place = place_of(self.surface.home, record) if record is not None else None
        return (float(place.x_mm), float(place.y_mm)) if place and place.storey == self.surface.storey else None


class InsertPoint(Gesture):
    """Splitting a run by putting a point into it: one click on the run."""

    def __init__(self, surface: Surface, kind: PointKind, gangs: int = 1) -> None:
        super().__init__(surface)
        self.kind, self.gangs = kind, gangs
        self.hint = f"Click on a run to put a {kind} into it."

    def hover(self, touch: Touch) -> None:
        self.preview = (Glyph("overlay", "spur leaves", touch.spot, role="select"),) if self._run(touch) else ()

    def press(self, touch: Touch) -> Outcome | None:
        run = self._run(touch)
        if not run:
            return Outcome(refuse="There is no run here; click on one.")
        place = placed_at(self.surface, touch, self.kind)
        kind, gangs = self.kind, self.gangs

        def make(home: Home) -> Change:
            added = verbs.add_point(home, kind, place, gangs=gangs)
            point = added.added()[0]
            return combine(f"Insert a {kind} into {run}", [added, verbs.split(home.apply(added), run, point)])

        return Outcome(make=make, select_added=True)

    def _run(self, touch: Touch) -> str:
        return next((i for i in self.surface.hits(touch, 8) if isinstance(self.surface.home.peek(i), Run)), "")


def _symbol(kind: PointKind, gangs: int, place: Place) -> str:
    from circuitmap.drawing.symbols import symbol_name

    return symbol_name(kind, gangs=gangs, on_wall=place.faces_deg is not None)


def _turn(place: Place) -> float:
    # A symbol's body stands towards -y unturned, which is a wall that faces 270 degrees.
    return (place.faces_deg + 90) % 360 if place.faces_deg is not None else 0.0
