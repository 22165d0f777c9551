"""Small jobs to price, built from plain parts."""

from functools import cache

from circuitmap.extension.price import Priced, price
from circuitmap.extension.pricebook import Book, load
from circuitmap.extension.takeoff import Fitting, Job, Length, Piece, Taken, Work, takeoff

WALL = "Lounge, wall 2"
EMPTY = Job(occupied=False)


@cache
def demo() -> Book:
    return load()


def route(build: str, metres: float, where: str = WALL) -> tuple[Piece, ...]:
    """Give a stud wall's drop past one noggin, or a chase of some metres."""
    if build == "stud":
        return (
            Piece(kind="stud", build="stud", metres=metres, where=where),
            Piece(kind="drop", build="stud", where=where),
        )
    return (Piece(kind="chase", build=build, metres=metres, where=where),)


def twins(count: int, build: str, *, metres: float = 2.0, noggin: bool = False) -> Work:
    """Give so many twin sockets on one wall, each with its own way of some metres, joined at one existing socket."""
    parts = [piece for _ in range(count) for piece in route(build, metres)]
    parts += [Piece(kind="noggin", build="stud", where=WALL)] * (count if noggin else 0)
    new = [
        Fitting(what="socket", name=f"twin socket {n}", build=build, gangs=2, where=WALL) for n in range(1, count + 1)
    ]
    joined = Fitting(what="socket", name="the nearest twin", act="join", build=build, gangs=2, where=WALL)
    lengths = [Length(cable="T&E 2.5/1.5", metres=metres, name=f"cable to twin {n}") for n in range(1, count + 1)]
    return Work(parts=tuple(parts), fittings=(joined, *new), lengths=tuple(lengths))


def fused_spur() -> Work:
    return Work(
        parts=route("stud", 2),
        fittings=(
            Fitting(what="socket", name="the nearest twin", act="join", build="stud", gangs=2, where=WALL),
            Fitting(what="fused unit", build="stud", where=WALL),
        ),
        lengths=(Length(cable="T&E 2.5/1.5", metres=2),),
    )


def new_circuit() -> Work:
    return Work(
        parts=(
            Piece(kind="void", metres=9, where="under the landing"),
            *(Piece(kind="board", build="tongued", where="landing") for _ in range(2)),
            Piece(kind="joist", count=4, where="landing"),
            Piece(kind="carpet", where="landing"),
            *route("stud", 2, "Hall, at the board"),
            *route("stud", 2, "Study, wall 1"),
        ),
        fittings=(Fitting(what="socket", name="twin socket", build="stud", gangs=2, where="Study, wall 1"),),
        lengths=(Length(cable="T&E 4/1.5", metres=13, box_ends=1, board_ends=1),),
        new_ways=1,
    )


def swap() -> Work:
    return Work(
        fittings=(Fitting(what="socket", name="the cracked twin", act="replace", build="brick", gangs=2, box=False),)
    )


def priced(work: Work, job: Job = EMPTY, book: Book | None = None, draws: int = 0) -> Priced:
    book = book or demo()
    return price(takeoff(work, book, job), book, job, draws=draws)


def taken(work: Work, job: Job = EMPTY) -> Taken:
    return takeoff(work, demo(), job)


def quantity(of: Taken, key: str) -> float:
    return sum(line.quantity for line in of.lines if line.key == key)
