"""Homes to draw: rings whole and broken, a kitchen full of accessories, two storeys; and what is read off the marks."""

from collections.abc import Iterable, Mapping

from circuitmap.circuits.views import CircuitView, views
from circuitmap.drawing.marks import Glyph, Line, Mark, Words
from circuitmap.drawing.plan import Marks, plan_marks
from circuitmap.drawing.standing import REFERENCE_ZOOM
from circuitmap.drawing.symbols import symbol
from circuitmap.drawing.typed import width_px
from circuitmap.home import Home, verbs
from circuitmap.home.records import End, Place, RunFault
from circuitmap.memo import Memo
from circuitmap.survey.deduce import deduce
from circuitmap.trade import load
from circuitmap.words import Core
from tests.build import Builder

ROUND_THE_LOUNGE = (
    (5000, 0), (6000, 1200), (6000, 3000), (4200, 4500), (2200, 4500), (0, 3000), (0, 1200), (1200, 0),
)  # fmt: skip

Box = tuple[float, float, float, float]


def lounge() -> tuple[Builder, str, list[str]]:
    """A lounge with eight twin sockets round its walls and one 32 A way; nothing is joined yet."""
    b = Builder("Lounge home")
    ground = b.storey("Ground floor", 0)
    b.room("Lounge", ground, (0, 0, 6000, 4500))
    board = b.board("A")
    b.do(verbs.edit(b.home, board, "place", place=Place(storey=ground, x_mm=3000, y_mm=0)))
    device = b.device(board, "1", curve="B", label="Sockets")
    b.do(verbs.count_cables(b.home, device, 2))
    return b, device, [b.point("socket", (ground, x, y), cables=2, gangs=2) for x, y in ROUND_THE_LOUNGE]


def ring() -> Builder:
    b, device, points = lounge()
    b.chain(device, *points, device)
    return b


def open_ring() -> Builder:
    b, device, points = lounge()
    b.chain(device, *points[:4])
    b.chain(points[4], *points[5:], device)
    for end in points[3:5]:
        b.do(verbs.count_cables(b.home, end, 1))
    return b


def broken_ring(*cores: Core) -> tuple[Builder, str]:
    b, device, points = lounge()
    runs = b.chain(device, *points, device)
    fault = RunFault(kind="open", cores=cores, evidence="tested")
    b.do(verbs.edit(b.home, runs[4], "fault", faults=(fault,)))
    return b, runs[4]


def spurred_ring() -> tuple[Builder, str, str]:
    """A ring with one unfused and one fused spur; gives the first run of each."""
    b, device, points = lounge()
    b.chain(device, *points, device)
    plain = b.run(points[1], b.point("socket", ("G1", 6000, 2400), cables=1))
    unit = b.point("fused unit", ("G1", 0, 2100), cables=1, fuse_a=13.0)
    heater = b.point("panel heater", ("G1", 0, 300), cables=1)
    fused = b.run(points[5], End(at=unit, side="supply"))
    b.run(End(at=unit, side="load"), heater)
    b.do(verbs.count_cables(b.home, unit, 1, load_side=True))
    for leaves in (points[1], points[5]):
        b.do(verbs.count_cables(b.home, leaves, 3))
    return b, plain, fused


def crowded_kitchen() -> Builder:
    """A small kitchen with an accessory every 300 mm on two walls and five lights, on four circuits."""
    b = Builder("Crowded kitchen")
    ground = b.storey("Ground floor", 0)
    b.room("Kitchen", ground, (0, 0, 3600, 2900))
    board = b.board("A")
    b.do(verbs.edit(b.home, board, "place", place=Place(storey=ground, x_mm=3600, y_mm=2300, faces_deg=180.0)))
    devices = [b.device(board, str(n), curve="B") for n in range(1, 5)]
    kinds = ("socket", "fused unit", "socket", "switch", "cooker control unit", "socket")
    points = [b.point(kinds[n % 6], (ground, 150 + 300 * n, 0)) for n in range(11)]  # type: ignore[arg-type]  # words
    points += [b.point(kinds[n % 6], (ground, 0, 400 + 350 * n)) for n in range(7)]  # type: ignore[arg-type]  # words
    points += [b.point("light", (ground, 600 + 600 * n, 1450)) for n in range(5)]
    for n, device in enumerate(devices):
        b.chain(device, *points[n::4])
    return b


def two_storeys() -> tuple[Builder, str]:
    """A socket downstairs and one upstairs with a run between them; gives the run."""
    b = Builder("Two storeys")
    for level, name in enumerate(("Ground floor", "First floor")):
        b.room(f"Room {level}", b.storey(name, level), (0, 0, 4000, 3000))
    board = b.board("A")
    b.do(verbs.edit(b.home, board, "place", place=Place(storey="G1", x_mm=0, y_mm=1500)))
    device = b.device(board, "1", curve="B", label="Sockets")
    low = b.point("socket", ("G1", 4000, 1000))
    b.chain(device, low)
    return b, b.run(low, b.point("socket", ("G2", 4000, 1000)))


def circuits_of(home: Home, memo: Memo | None = None) -> tuple[CircuitView, ...]:
    return views(home, load(), memo or Memo())


def planned(home: Home, storey: str = "G1", memo: Memo | None = None) -> dict[str, Marks]:
    kept = memo or Memo()
    return plan_marks(home, storey, views=circuits_of(home, kept), deduced=deduce(home, kept), memo=kept)


def all_of(marks: Mapping[str, Marks]) -> list[Mark]:
    return [mark for each in marks.values() for mark in each]


def ticks_of(marks: Iterable[Mark]) -> list[Line]:
    """The short red lines beside a gap."""
    return [m for m in marks if isinstance(m, Line) and m.ink.role == "break" and len(m.pts) == 2 and not m.ink.dash]


def words_box(words: Words) -> Box:
    """Where a label lies, in px at the reference zoom."""
    wide, high = width_px(words.text, words.size_px), words.size_px
    x = words.at_mm[0] * REFERENCE_ZOOM + words.offset_px[0]
    y = words.at_mm[1] * REFERENCE_ZOOM + words.offset_px[1]
    left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[words.anchor]
    return left, y - high / 2, left + wide, y + high / 2


def symbol_middle(glyph: Glyph) -> tuple[float, float]:
    """Where the middle of a symbol lies, in px at the reference zoom, by turning its box's middle about its spot."""
    x, y = symbol(glyph.symbol).centre
    for _ in range(round(glyph.turn_deg / 90)):
        x, y = -y, x
    size = glyph.size_px / 100
    return glyph.at_mm[0] * REFERENCE_ZOOM + x * size, glyph.at_mm[1] * REFERENCE_ZOOM + y * size


def shared_px2(one: Box, other: Box) -> float:
    across = min(one[2], other[2]) - max(one[0], other[0])
    down = min(one[3], other[3]) - max(one[1], other[1])
    return max(0.0, across) * max(0.0, down)
