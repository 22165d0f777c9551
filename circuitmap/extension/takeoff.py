"""What an option takes: cables, boxes, accessories, chases, floors, tests, counted from its parts line by line.

Nothing here knows routes or homes: parts come as plain records, and the recipes of the price book say what each takes.
Every line keeps which part of the option it comes from.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Annotated, Final, Literal, Protocol

from msgspec import Meta, Struct
from msgspec.structs import replace

from circuitmap.errors import PersonError
from circuitmap.extension.pricebook import Book
from circuitmap.extension.pricebook_rows import Block, Fee, Material, Task

Certificate = Literal["none", "functional check", "minor works", "installation certificate"]
MakingGood = Literal["included", "by others"]
Notify = Literal["", "notify by scheme", "notify council"]
FIT: Final[Block] = "making existing fit"
INTO_WALLS: Final[frozenset[Block]] = frozenset({"first fix", "making good"})
MOVED: Final = "behind furniture"
WHOLE_JOB: Final = "the whole job"
CERTIFICATES: Final = frozenset({"minor works", "installation certificate"})


class PartOfRoute(Protocol):
    """A stretch or an event of a route: a chase, a drop, a board lifted, a wall passed.

    ``kind`` and ``build`` are words of the recipes; ``metres`` its length, ``count`` how many, ``where`` the wall or
    room it is at, in words.
    """

    @property
    def kind(self) -> str: ...  # noqa: D102 - said in the class

    @property
    def build(self) -> str: ...  # noqa: D102

    @property
    def metres(self) -> float: ...  # noqa: D102

    @property
    def count(self) -> int: ...  # noqa: D102

    @property
    def where(self) -> str: ...  # noqa: D102


class Piece(Struct, frozen=True, kw_only=True):
    """A part of a route written down by hand, or carried over from anything that has these fields."""

    kind: str
    build: str = "any"
    metres: float = 0.0
    count: int = 1
    where: str = ""


class Fitting(Struct, frozen=True, kw_only=True):
    """A point to add, take out, replace, or join new cables at.

    ``what`` is a point word; ``build`` the wall it is in ("surface" for a box on the surface); ``where`` names that
    wall, the same words for all points on it; ``name`` the point in words. ``box`` is left out for what needs none.
    """

    what: str
    name: str = ""
    act: Literal["add", "remove", "replace", "join"] = "add"
    build: str = "unknown"
    gangs: Annotated[int, Meta(ge=1, le=20)] = 1
    deep: bool = False
    where: str = ""
    box: bool = True
    behind: str = ""


class Length(Struct, frozen=True, kw_only=True):
    """A cable of the option: its code, the length of its way in metres, its ends at boxes and at the board.

    ``drops`` are those drops and rises that nobody measured and that are not in ``metres``.
    """

    cable: str
    metres: float
    name: str = ""
    box_ends: int = 2
    board_ends: int = 0
    drops: int = 0


class Remedy(Struct, frozen=True, kw_only=True):
    """Something that makes the existing installation fit to extend; ``optional`` ones stay out of the total.

    ``fit`` is the point word of an accessory that is renewed with its ``gangs``, ``cable`` the code of a cable.
    ``metres`` is None where nobody measured: the allowance “<what> length” then stands in, and is told.
    """

    what: str
    why: str
    count: int = 1
    optional: bool = False
    fit: str = ""
    gangs: Annotated[int, Meta(ge=1, le=20)] = 1
    cable: str = ""
    metres: float | None = None


class Work(Struct, frozen=True, kw_only=True):
    """All parts of an option."""

    parts: tuple[PartOfRoute, ...] = ()
    fittings: tuple[Fitting, ...] = ()
    lengths: tuple[Length, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    new_ways: int = 0
    new_way: Literal["new way", "new way without RCD"] = "new way"
    joints: int = 0


class Job(Struct, frozen=True, kw_only=True):
    """How the work is done: in which home, hidden or in trunking on walls, by whom is made good, the paperwork."""

    occupied: bool = True
    on_surface: bool = False
    making_good: MakingGood = "included"
    certificate: Certificate = "minor works"
    circuits_certified: int = 1
    notify: Notify = ""
    visits: int | None = None
    carpets: tuple[str, ...] = ()


class Line(Struct, frozen=True, kw_only=True):
    """One line: so many of a task, a material or a fee; ``why`` says which part of the option it comes from.

    ``repeated`` is how much of the quantity goes quicker, as the second and later points on one wall; ``unseen`` marks
    work in a wall or a floor that nobody saw into, ``behind`` what stands before it. ``block`` is set where it differs
    from the row's own.
    """

    key: str
    quantity: float
    why: str
    where: str = ""
    repeated: float = 0.0
    unseen: bool = False
    behind: str = ""
    block: Block | None = None
    optional: bool = False

    def place(self) -> str:
        """Give where the work is, in words: the wall or room, with what stands before it, or else the reason."""
        if not self.where:
            return self.why
        return f"{self.where}, behind {self.behind}" if self.behind and self.behind != self.where else self.where


class Taken(Struct, frozen=True, kw_only=True):
    """The lines of a take-off, and a sentence for each part that no recipe or price could be found for."""

    lines: tuple[Line, ...]
    left_out: tuple[str, ...] = ()
    points: int = 0
    visits: int = 1


def takeoff(work: Work, book: Book, job: Job | None = None) -> Taken:
    """Count what an option takes.

    Parameters
    ----------
    work
        The parts of the option.
    book
        The price book, for its recipes and allowances.
    job
        How the work is done; left out, an ordinary small job.

    Raises
    ------
    PersonError
        When a length or a count is below zero.
    """
    job = job or Job()
    _refuse_wrong(work)
    counting = _Counting(work, book, job)
    counting.fit()
    counting.routes()
    counting.cables()
    counting.points()
    counting.ways()
    counting.paperwork()
    counting.beginnings()
    return Taken(
        lines=tuple(_merged(counting.lines)),
        left_out=tuple(dict.fromkeys(counting.left_out)),
        points=counting.new_points,
        visits=counting.visits,
    )


class _Counting:
    def __init__(self, work: Work, book: Book, job: Job) -> None:
        self.work, self.book, self.job = work, book, job
        self.lines: list[Line] = []
        self.left_out: list[str] = []
        self.done: set[tuple[str, str]] = set()  # what is counted once for a place or for the job
        self.on_wall = Counter(fitting.where for fitting in work.fittings if fitting.act == "add" and fitting.where)
        self.behind = {fitting.where: fitting.behind for fitting in work.fittings if fitting.behind and fitting.where}
        self.moved = {part.where for part in work.parts if part.kind == MOVED}  # the route has counted these
        self.new_points = sum(fitting.act == "add" for fitting in work.fittings)
        wet = any(part.kind == "chase" for part in work.parts)
        self.visits = job.visits or (2 if wet and job.making_good == "included" else 1)

    def fit(self) -> None:
        for remedy in self.work.remedies:
            metres, why = self._measured(remedy)
            is_optional = remedy.optional
            self._cook(
                remedy.what,
                "any",
                metres=metres,
                count=remedy.count,
                why=why,
                block=FIT,
                optional=is_optional,
            )
            if remedy.fit:
                self._cook(remedy.fit, "any", gangs=remedy.gangs, why=why, block=FIT, optional=is_optional)
            if remedy.cable:
                self._take(f"cable {remedy.cable}", metres, why, block=FIT, optional=is_optional)
        if any(not remedy.optional for remedy in self.work.remedies):
            self._cook("making fit certificate", "any", why="making the existing installation fit")

    def _measured(self, remedy: Remedy) -> tuple[float, str]:
        """Give the length that a remedy needs, and its reason with how that is known; none where it needs none."""
        recipe = self.book.recipe(remedy.what, "any")
        if recipe is None or not recipe.metre:
            return 0.0, remedy.why
        if remedy.metres is not None:
            return remedy.metres, f"{remedy.why} ({remedy.metres:.1f} m by the map)"
        metres = self.book.allowance(f"{remedy.what} length")
        return metres, f"{remedy.why} (assumed {metres:g} m)"

    def routes(self) -> None:
        for part in self.work.parts:
            self._cook(
                part.kind, part.build, metres=part.metres, count=part.count, why=_route_said(part), where=part.where
            )
        for room in dict.fromkeys(self.job.carpets):
            self._cook("carpet", "any", why=f"floor opened in {room}", where=room)

    def cables(self) -> None:
        at_box, at_board = self.book.allowance("cable at a box"), self.book.allowance("cable at a board")
        slack, drop = 1 + self.book.allowance("path slack percent") / 100, self.book.allowance("drop")
        for length in self.work.lengths:
            along = (length.metres + length.drops * drop) * slack
            metres = along + length.box_ends * at_box + length.board_ends * at_board
            why = length.name or f"cable {length.cable}"
            self._take(f"cable {length.cable}", metres, why)
            self._cook("cable end", "any", count=length.box_ends + length.board_ends, why=why)

    def points(self) -> None:
        for fitting in self.work.fittings:
            why = _fitting_said(fitting)
            if fitting.act == "remove":
                self._cook("removed point", fitting.build, why=why, where=fitting.where)
                continue
            if fitting.act == "join":
                self._cook("existing point", fitting.build, why=why, where=fitting.where)
                continue
            if fitting.act == "replace":
                self._cook("replaced point", "any", why=why, where=fitting.where)
            elif fitting.box:
                self._box(fitting, why)
            self._cook(fitting.what, fitting.build, gangs=fitting.gangs, why=why, where=fitting.where)
            if fitting.behind and fitting.where not in self.moved and self._first(MOVED, fitting.behind):
                self._cook(MOVED, "any", why=_behind_said(why, fitting.behind), where=fitting.where)

    def _box(self, fitting: Fitting, why: str) -> None:
        """Count a box; one of more than two gangs is a twin's work and a larger box."""
        gangs = min(fitting.gangs, 2)
        self._cook("box", fitting.build, gangs=gangs, deep=fitting.deep, why=why, where=fitting.where)
        if fitting.gangs > 2:
            self._take("box further gang", fitting.gangs - 2, why, where=fitting.where)

    def ways(self) -> None:
        if self.work.new_ways:
            self._cook(self.work.new_way, "any", count=self.work.new_ways, why="new way at the board")
        if self.work.joints:
            self._cook("junction box", "any", count=self.work.joints, why="joints that stay out of reach")

    def paperwork(self) -> None:
        job = self.job
        if job.certificate != "none" and (self.work.fittings or self.work.new_ways or self.work.lengths):
            if job.certificate != "functional check":
                count = job.circuits_certified if job.certificate == "installation certificate" else 1
                self._take(job.certificate, count, WHOLE_JOB)
            elif not any(fitting.act == "replace" for fitting in self.work.fittings):
                self._take(job.certificate, 1, WHOLE_JOB)
            further = self.new_points - 1
            if further > 0 and job.certificate in CERTIFICATES:
                self._take("test further point", further, f"{further + 1} new points")
        if job.notify:
            self._take(job.notify, 1, WHOLE_JOB)

    def beginnings(self) -> None:
        if not self.lines:
            return
        why = WHOLE_JOB if self.visits == 1 else f"{self.visits} visits"
        self._take("set up", self.visits, why)
        self._take("isolate", 1, WHOLE_JOB)
        if self.visits > 1:
            self._take("isolate again", self.visits - 1, why)
        if self.new_points:
            self._take("sundries", self.new_points, f"{self.new_points} new point{'' if self.new_points == 1 else 's'}")
        for fee in ("travel", "parking"):
            if fee in self.book.fees and self.book.fees[fee].price.high > 0:
                self._take(fee, self.visits, why)

    def _cook(
        self,
        of: str,
        build: str,
        *,
        metres: float = 0.0,
        count: int = 1,
        gangs: int = 0,
        deep: bool = False,
        why: str,
        where: str = "",
        block: Block | None = None,
        optional: bool = False,
    ) -> None:
        recipe = self.book.recipe(of, build, gangs, deep)
        if recipe is None:
            kind = of if build in ("any", "") else f"{of} in {build}"
            self.left_out.append(f"The price book has no recipe for {kind}; not in the price: {why}.")
            return
        unseen = build == "unknown"
        said = {"why": why, "where": where}
        amounts = [
            *((key, each * count) for key, each in recipe.each.items()),
            *((key, each * metres) for key, each in recipe.metre.items()),
            *((key, each) for key, each in recipe.per_place.items() if self._first(key, where)),
        ]
        for key, quantity in amounts:
            self._take(key, quantity, **said, unseen=unseen, block=block, optional=optional)
        for key, each in recipe.per_job.items():
            if self._first(key, WHOLE_JOB):
                self._take(key, each, WHOLE_JOB, block=block, optional=optional)

    def _first(self, key: str, where: str) -> bool:
        fresh = (key, where) not in self.done
        self.done.add((key, where))
        return fresh

    def _take(
        self,
        key: str,
        quantity: float,
        why: str,
        *,
        where: str = "",
        unseen: bool = False,
        block: Block | None = None,
        optional: bool = False,
    ) -> None:
        row = self.book.priced(key)
        if row is None:
            self.left_out.append(f"The price book has no row “{key}”: {why} is not wholly in the price.")
            return
        if quantity <= 0 or (is_by_others(key, row) and self.job.making_good == "by others"):
            return
        points = self.on_wall.get(where, 0)
        repeated = quantity * (points - 1) / points if isinstance(row, Task) and row.repeats and points > 1 else 0.0
        self.lines.append(
            Line(
                key=key,
                quantity=quantity,
                why=why,
                where=where,
                behind=self.behind.get(where, ""),
                repeated=repeated,
                unseen=isinstance(row, Task) and (row.unseen or (unseen and row.block in INTO_WALLS)),
                block=block,
                optional=optional,
            )
        )


def is_by_others(key: str, row: Task | Material | Fee) -> bool:
    """Tell whether somebody else does or buys this where making good is by others; rubble is always ours."""
    return (isinstance(row, Task) and row.block == "making good" and key != "waste") or key == "filler"


def _merged(lines: Sequence[Line]) -> Iterator[Line]:
    """Put lines of the same thing, reason and place together, in the order in which they first came."""
    sums: dict[tuple[object, ...], tuple[Line, float, float]] = {}
    for line in lines:
        key = (line.key, line.why, line.where, line.unseen, line.block, line.optional)
        first, quantity, repeated = sums.get(key, (line, 0.0, 0.0))
        sums[key] = (first, quantity + line.quantity, repeated + line.repeated)
    for first, quantity, repeated in sums.values():
        yield replace(first, quantity=quantity, repeated=repeated)


def _refuse_wrong(work: Work) -> None:
    for part in work.parts:
        if not (0 <= part.metres < 10_000) or not (0 <= part.count < 10_000):
            raise PersonError(
                f"{_route_said(part)}: a length or a count below zero or beyond all homes can't be counted."
            )
    for remedy in work.remedies:
        if remedy.metres is not None and not (0 <= remedy.metres < 10_000):
            raise PersonError(f"{remedy.why}: {remedy.metres:g} m can't be counted.")
    for length in work.lengths:
        if not (0 <= length.metres < 10_000) or min(length.box_ends, length.board_ends, length.drops) < 0:
            raise PersonError(f"A cable {length.cable} of {length.metres:g} m can't be counted.")


def _route_said(part: PartOfRoute) -> str:
    at = f", {part.where}" if part.where else ""
    return f"cable route: {part.kind}{at}"


def _fitting_said(fitting: Fitting) -> str:
    named = fitting.name or fitting.what
    at = f", {fitting.where}" if fitting.where and not fitting.name else ""
    act = {"add": "new", "remove": "taken out:", "replace": "replaced:", "join": "joined at"}[fitting.act]
    return f"{act} {named}{at}"


def _behind_said(why: str, behind: str) -> str:
    return why if f"behind {behind}" in why else f"{why}, behind {behind}"


def unseen_places(lines: Iterable[Line]) -> tuple[str, ...]:
    """Give the places at which work goes into walls or floors that nobody saw into, in order, each once."""
    return tuple(dict.fromkeys(line.place() for line in lines if line.unseen))
