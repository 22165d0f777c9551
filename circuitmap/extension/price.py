"""What a take-off costs: a range on every line, one price for the customer, and what makes it uncertain.

The range is the estimator's: without tax, half days, minimum charge and provisional sums. The price is made of means,
for means add where likeliest values and percentiles don't.
"""

import math
from collections.abc import Iterable, Sequence
from typing import Final, Literal

import numpy as np
from msgspec import Struct

from circuitmap.extension.money import pence, percent_of
from circuitmap.extension.pricebook import Book
from circuitmap.extension.pricebook_rows import BLOCKS, ONE, Block, Fee, Material, Range, Task
from circuitmap.extension.simulate import DRAWS, SEED, Drawn, simulate
from circuitmap.extension.spread import Floats, covariance, explained, hermite_parts, means, variances
from circuitmap.extension.takeoff import Job, Line, Taken
from circuitmap.jobs import Ticket

MINUTES_PER_HOUR: Final = 60.0
LEAST_DRIVER: Final = 0.02
HALF: Final = 2
# What furniture slows down: setting up has protection in it, and tests are made at the board and at free points.
IN_THE_WAY: Final[frozenset[Block]] = frozenset({"making existing fit", "first fix", "second fix", "making good"})


class PricedLine(Struct, frozen=True, kw_only=True):
    """A line with its title, its minutes if it is work, and its cost in pence: low, likely, high and mean."""

    line: Line
    title: str
    unit: str
    block: Block
    minutes: Range | None
    cost: Range
    mean: float
    sd: float
    source: str


class BlockTotal(Struct, frozen=True, kw_only=True):
    """A block of the price as it is charged, in whole pence."""

    block: Block
    charge: int
    title: str = ""


class Driver(Struct, frozen=True, kw_only=True):
    """Something that makes the price uncertain, with its share of the whole variance.

    A "place" is one that nobody saw into (what the variance would lose if all were known there), a "cause" something
    that is the same all over, a "line" what is one line's own. Places and causes overlap, so shares don't add up to 1.
    """

    kind: Literal["place", "cause", "line"]
    key: str
    title: str
    share: float
    places: tuple[str, ...] = ()


class Provisional(Struct, frozen=True, kw_only=True):
    """A sum set aside for one named unknown, in whole pence."""

    for_what: str
    charge: int


class Priced(Struct, frozen=True, kw_only=True):
    """A job with its price.

    ``blocks`` add up to ``net``; ``net`` and ``tax`` to ``total``, all in whole pence. ``mean``, ``variance`` and
    ``drawn`` are the estimator's range of the work itself, in pence and pence squared. ``optional`` lines are priced
    and in no total. ``invented`` are the prices and rates, ``customary`` the tasks, that no person has set yet.
    """

    lines: tuple[PricedLine, ...]
    optional: tuple[PricedLine, ...]
    blocks: tuple[BlockTotal, ...]
    provisional: tuple[Provisional, ...]
    net: int
    tax: int
    tax_percent: float
    total: int
    sign: str
    mean: float
    variance: float
    drawn: Drawn | None
    drivers: tuple[Driver, ...]
    minutes: Range
    minutes_mean: float
    half_days: int
    is_minimum: bool
    invented: tuple[str, ...]
    customary: tuple[str, ...]
    left_out: tuple[str, ...]

    @property
    def sd(self) -> float:
        """Give the standard deviation of the cost, in pence."""
        return math.sqrt(self.variance)


def price(
    taken: Taken,
    book: Book,
    job: Job | None = None,
    *,
    seed: int = SEED,
    draws: int = DRAWS,
    ticket: Ticket | None = None,
) -> Priced:
    """Price a take-off.

    Parameters
    ----------
    taken
        The lines.
    book
        Rates, prices, terms.
    job
        How the work is done: an occupied home takes longer.
    seed, draws
        Of the simulation; with 0 draws none is made, and the range is that of mean and variance alone.
    ticket
        Ticks as lines are drawn.
    """
    job = job or Job()
    left_out = list(taken.left_out)
    all_lines = [_priced_line(line, book, job) for line in taken.lines if book.priced(line.key)]
    left_out += [
        f"The price book has no row “{line.key}”: {line.why} is not wholly in the price."
        for line in taken.lines
        if book.priced(line.key) is None
    ]
    lines = [priced for priced in all_lines if not priced.line.optional]
    abm, loadings, causes = _arrays(lines, book)
    parts = hermite_parts(abm)
    spread = covariance(abm, loadings, parts)
    provisional = _provisional(lines, spread, book)
    blocks, half_days, is_minimum = _blocks(lines, provisional, book)
    net = sum(block.charge for block in blocks)
    tax_percent = book.terms.tax_percent()
    tax = percent_of(net, tax_percent)
    minutes = [priced.minutes for priced in lines if priced.minutes is not None]
    return Priced(
        lines=tuple(lines),
        optional=tuple(priced for priced in all_lines if priced.line.optional),
        blocks=blocks,
        provisional=provisional,
        net=net,
        tax=tax,
        tax_percent=tax_percent,
        total=net + tax,
        sign=book.terms.sign,
        mean=float(means(abm).sum()),
        variance=float(spread.sum()),
        drawn=simulate(abm, loadings, seed=seed, draws=draws, ticket=ticket) if draws and lines else None,
        drivers=_drivers(lines, explained(abm, loadings, parts), causes, spread, book),
        minutes=_sum(minutes),
        minutes_mean=sum((m.low + m.likely + m.high) / 3 for m in minutes),
        half_days=half_days,
        is_minimum=is_minimum,
        invented=_invented(all_lines, book),
        customary=book.not_own("task", [p.line.key for p in all_lines if p.line.key in book.tasks]),
        left_out=tuple(dict.fromkeys(left_out)),
    )


def _priced_line(line: Line, book: Book, job: Job) -> PricedLine:
    row = book.priced(line.key)
    assert row is not None
    minutes: Range | None = None
    if isinstance(row, Task):
        minutes = _minutes(row, line, book, job)
        hour = pence(book.rates[row.who].hour) * book.terms.area_times / MINUTES_PER_HOUR
        cost = Range(minutes.low * hour, minutes.likely * hour, minutes.high * hour)
    else:
        times = line.quantity * (material_times(row, book) if isinstance(row, Material) else 1.0)
        cost = Range(*(pence(amount) * times for amount in (row.price.low, row.price.likely, row.price.high)))
    return PricedLine(
        line=line,
        title=row.title,
        unit=row.unit,
        block=line.block if line.block and isinstance(row, Task) else _block(row, line),
        minutes=minutes,
        cost=cost,
        mean=(cost.low + cost.likely + cost.high) / 3,
        sd=float(np.sqrt(variances(np.array([[cost.low], [cost.likely], [cost.high]]))[0])),
        source=row.source,
    )


def material_times(row: Material, book: Book) -> float:
    """Give by what the net price of a material is multiplied: offcuts where it has any, and handling."""
    waste = book.terms.waste_percent if row.waste else 0.0
    return (1 + waste / 100) * (1 + book.terms.handling_percent / 100)


def _block(row: Task | Material | Fee, line: Line) -> Block:
    if line.block:
        return line.block
    return "materials" if isinstance(row, Material) else row.block


def _minutes(task: Task, line: Line, book: Book, job: Job) -> Range:
    """Give the minutes of a line: first ones in full, repeats by their factor, longer in a home that is lived in."""
    repeat = task.minutes.times(book.factor("repeat").times)
    first = line.quantity - line.repeated
    furnished = book.factor("occupied").times if job.occupied and task.block in IN_THE_WAY else ONE
    each = (
        (task.minutes.low * first + repeat.low * line.repeated),
        (task.minutes.likely * first + repeat.likely * line.repeated),
        (task.minutes.high * first + repeat.high * line.repeated),
    )
    return Range(*each).times(furnished)


def _invented(lines: Sequence[PricedLine], book: Book) -> tuple[str, ...]:
    keys = [priced.line.key for priced in lines]
    return (
        *book.not_own("rate", [book.tasks[key].who for key in keys if key in book.tasks]),
        *book.not_own("material", [key for key in keys if key in book.materials]),
        *book.not_own("fee", [key for key in keys if key in book.fees]),
    )


def _sum(ranges: Iterable[Range]) -> Range:
    listed = list(ranges)
    return Range(sum(r.low for r in listed), sum(r.likely for r in listed), sum(r.high for r in listed))


def _arrays(lines: Sequence[PricedLine], book: Book) -> tuple[Floats, Floats, tuple[str, ...]]:
    """Give costs, shape (3, n), the roots of the shares, shape (n, causes), and the causes."""
    causes = tuple(book.causes)
    abm = np.array([[p.cost.low, p.cost.likely, p.cost.high] for p in lines], dtype=np.float64).reshape(-1, 3).T
    loadings = np.zeros((len(lines), len(causes)))
    for row, priced in enumerate(lines):
        task = book.tasks.get(priced.line.key)
        for cause, share in (task.shares if task else {}).items():
            loadings[row, causes.index(cause)] = math.sqrt(share)
    return abm, loadings, causes


def _provisional(lines: Sequence[PricedLine], spread: Floats, book: Book) -> tuple[Provisional, ...]:
    """Give the sums set aside, one for each place that nobody saw into; none where all is seen.

    Their total is the contingency's percentage of the work: its least with next to nothing unseen, its likeliest with
    half of the labour unseen, its most with all of it. It is shared out by the standard deviations of the places.
    """
    places: dict[str, list[int]] = {}
    for row, priced in enumerate(lines):
        if priced.line.unseen:
            places.setdefault(priced.line.place(), []).append(row)
    labour = sum(priced.mean for priced in lines if priced.minutes is not None)
    if not places or labour <= 0:
        return ()
    unseen = sum(priced.mean for priced in lines if priced.line.unseen)
    percents = book.terms.contingency_percent
    percent = float(np.interp(unseen / labour, (0, 0.5, 1), (percents.low, percents.likely, percents.high)))
    whole = percent_of(round(sum(priced.mean for priced in lines)), percent)
    weights = {place: math.sqrt(max(0.0, float(spread[np.ix_(rows, rows)].sum()))) for place, rows in places.items()}
    every = sum(weights.values())
    given: list[Provisional] = []
    left, weight_left = whole, every
    for place, weight in weights.items():  # what is left goes by what weight is left, so that not a penny is lost
        part = round(left * weight / weight_left) if weight_left > 0 else 0
        given.append(Provisional(for_what=place, charge=part))
        left, weight_left = left - part, weight_left - weight
    return tuple(given)


def _blocks(
    lines: Sequence[PricedLine], provisional: Sequence[Provisional], book: Book
) -> tuple[tuple[BlockTotal, ...], int, bool]:
    """Give the blocks as charged, the half days in them (0 if hours are charged), and whether the minimum bit."""
    terms = book.terms
    sums: dict[Block, float] = {}
    for priced in lines:
        sums[priced.block] = sums.get(priced.block, 0.0) + priced.mean
    blocks = [BlockTotal(block=block, charge=round(sums[block])) for block in BLOCKS if block in sums]
    extra, half_days = _rounding(lines, book)
    if extra:
        blocks.append(BlockTotal(block="preliminaries", charge=extra, title=f"rounded up to {_days(half_days)}"))
    overhead = percent_of(sum(block.charge for block in blocks), terms.overhead_percent)
    if overhead:
        blocks.append(BlockTotal(block="overhead and profit", charge=overhead))
    short = pence(terms.minimum_charge) - sum(block.charge for block in blocks)
    is_minimum = bool(lines) and short > 0
    if is_minimum:
        blocks.append(BlockTotal(block="preliminaries", charge=short, title="up to the minimum charge"))
    blocks += [
        BlockTotal(block="provisional sums", charge=set_aside.charge, title=set_aside.for_what)
        for set_aside in provisional
    ]
    blocks.sort(key=_order)
    return tuple(blocks), half_days, is_minimum


def _rounding(lines: Sequence[PricedLine], book: Book) -> tuple[int, int]:
    """Give what rounding the electrician's time up to half days adds, in pence, and how many half days those are."""
    terms = book.terms
    minutes = sum(
        (p.minutes.low + p.minutes.likely + p.minutes.high) / 3
        for p in lines
        if p.minutes is not None and book.tasks[p.line.key].who == "electrician"
    )
    hours = minutes / MINUTES_PER_HOUR
    if hours <= terms.half_days_from_hours:
        return 0, 0
    half_day = terms.day_hours / HALF
    count = math.ceil(hours / half_day - 1e-9)
    hour = pence(book.rates["electrician"].hour) * terms.area_times
    return round((count * half_day - hours) * hour), count


def _days(half_days: int) -> str:
    whole, half = divmod(half_days, HALF)
    if not whole:
        return "half a day"
    return f"{whole}{'½' if half else ''} day{'' if half_days == HALF else 's'}"


def _order(block: BlockTotal) -> int:
    return BLOCKS.index(block.block)


def _drivers(
    lines: Sequence[PricedLine], apart: tuple[Floats, Floats], causes: Sequence[str], spread: Floats, book: Book
) -> tuple[Driver, ...]:
    variance = float(spread.sum())
    if not lines or variance <= 0:
        return ()
    by_cause, by_own = apart
    found: list[Driver] = []
    for place in dict.fromkeys(p.line.place() for p in lines if p.line.unseen):
        known = [row for row, p in enumerate(lines) if not (p.line.unseen and p.line.place() == place)]
        share = 1 - float(spread[np.ix_(known, known)].sum()) / variance
        found.append(Driver(kind="place", key=place, title=place, share=share, places=(place,)))
    for column, cause in enumerate(causes):
        places = tuple(dict.fromkeys(p.line.where for p in lines if p.line.where and _shares(p, cause, book)))
        share = float(by_cause[column]) / variance
        found.append(Driver(kind="cause", key=cause, title=book.causes[cause].title, share=share, places=places))
    for row, priced in enumerate(lines):
        if not priced.line.unseen:
            share = float(by_own[row]) / variance
            where = (priced.line.where,) if priced.line.where else ()
            found.append(Driver(kind="line", key=priced.line.key, title=priced.title, share=share, places=where))
    found = [driver for driver in found if driver.share >= LEAST_DRIVER]
    found.sort(key=_least_share_last)
    return tuple(found)


def _shares(priced: PricedLine, cause: str, book: Book) -> bool:
    task = book.tasks.get(priced.line.key)
    return task is not None and task.shares.get(cause, 0.0) > 0


def _least_share_last(driver: Driver) -> float:
    return -driver.share
