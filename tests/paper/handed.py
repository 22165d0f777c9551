"""Homes to be handed over, complete or not, with every sort of label; and how documents are asked for."""

import datetime
import string
from collections.abc import Iterator
from pathlib import Path

import msgspec

from circuitmap.home import Home, verbs
from circuitmap.home.looked import look_at
from circuitmap.home.records import Details
from circuitmap.memo import Memo
from circuitmap.paper.catalogue import make, paper_named
from circuitmap.paper.wanted import Made, Wanted
from circuitmap.trade import load
from tests.build import Builder
from tests.homes import PLANS, healthy
from tests.readings.recorded import Taken

DAY = datetime.date(2026, 1, 5)
SAMPLES = ("bungalow-tt", "older-terrace", "rented-flat")
_FOLDER = Path(__file__).parents[2] / "sample_homes"
HOSTILE = (
    '=HYPERLINK("http://invented.example","press")',
    "+1+1",
    "@SUM(A1)",
    "#panic() *bold* $x^2$",
    "<b>&amp;</b> %%u ^J \\P",
    "مطبخ المنزل",
    "🔌 kettle 👩‍🍳 🇬🇧",
    "x" * 300,
    "word " * 60,
    "‮drawkcab",
    "\N{COMBINING ACUTE ACCENT}" * 20 + "e",
)


def sample(name: str) -> Home:
    with look_at(_FOLDER / name) as looked:
        return looked.home


def odd_homes() -> Iterator[tuple[str, Home]]:
    """Homes that are hard on a document, by what is odd about them."""
    yield "nothing in it", Home.blank("")
    yield "sixty ways", sixty_ways()
    yield "hostile labels", hostile()
    yield "a board without ways", _board_only()
    yield "points without a board", _points_only()


def sixty_ways() -> Home:
    b = Builder("Sixty ways")
    ground = b.storey()
    rooms = [b.room(f"Room {n}", ground, (n * 3000, 0, n * 3000 + 2900, 3000)) for n in range(30)]
    board = b.board(modules=64)
    for n in range(60):
        way = b.device(board, str(n + 1), rating_a=(6, 16, 32)[n % 3], curve="B", label=f"Way number {n + 1}")
        room = n % len(rooms)
        point = b.point("socket", (ground, room * 3000 + 500 + n // 30 * 800, 40))
        b.run(way, point)
    return b.home


def hostile() -> Home:
    """Every label of a sort: what spreadsheets run, what templates read, other scripts, far too long."""
    b = Builder(HOSTILE[0])
    storey = b.storey(HOSTILE[5])
    board = b.board(name=HOSTILE[4])
    visit = b.visit()
    for n, label in enumerate(HOSTILE):
        room = b.room(label, storey, (n * 4000, 0, n * 4000 + 3900, 3000))
        way = b.device(board, f"w{n + 1}", label=label, rating_a=32, curve="B")
        points = [b.point("socket", (storey, n * 4000 + 500 + 900 * k, 20), name=label) for k in range(2)]
        b.chain(way, *points, cable=label)
        b.do(verbs.record_reading(b.home, visit, "Zs", "0.85; " + label[:120], device=way, at=points[0]))
        del room
    return b.home


def before_and_after() -> Taken:
    """A ring read before and after work, with bounds, reasons, an RCD and readings of no way."""
    home = Taken("before work")
    for core, typed in (("L", "0.55"), ("N", "0.56"), ("E", "0.91")):
        home.read("ring end to end", typed, core, core)
    home.read("linked", "0.28", "L", "E", at=home.sockets[0], link="cross")
    home.read("linked", "0.31", "L", "E", at=home.sockets[1], link="cross")
    home.read("insulation", ">200", "L", "E", test_v=500)
    home.read("insulation", "150", "N", "E", test_v=500)
    home.read("insulation", "not possible: dimmer", "L", "N", test_v=500)
    home.read("polarity", "correct", at=home.sockets[0])
    home.read("Zs", "1.10", at=home.sockets[0])
    home.read("Zs", "1.05", at=home.sockets[0])
    home.read("Ze", "0.35", at=home.board_id, way=None)
    home.come("2026-01-06", "after work")
    for core, typed in (("L", "0.57"), ("N", ">99.9"), ("E", "0.92")):
        home.read("ring end to end", typed, core, core)
    home.read("insulation", ">500", "L", "E", test_v=500)
    home.read("polarity", "line and neutral reversed", at=home.sockets[1])
    home.read("Zs", "0.71", at=home.sockets[0])
    return home


def named(home: Home, name: str, address: str = "") -> Home:
    details = msgspec.structs.replace(home.details, name=name, address=address)
    return Home.of([details, *(each for each in home.all() if not isinstance(each, Details))])


def healthy_homes() -> Iterator[Home]:
    for plan in PLANS:
        yield healthy(plan)


def wanted(home: Home, **choices: object) -> Wanted:
    return Wanted(home=home, trade=load(), memo=Memo(), day=DAY, **choices)  # type: ignore[arg-type]  # test shorthand


def document(name: str, home: Home, **choices: object) -> tuple[Made, ...]:
    return make(paper_named(name), wanted(home, **choices))


def _board_only() -> Home:
    b = Builder("A board")
    b.board()
    return b.home


def _points_only() -> Home:
    b = Builder("Points")
    for letter in string.ascii_lowercase[:5]:
        b.point("light", name=f"lamp {letter}")
    return b.home
