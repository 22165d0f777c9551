"""What routes are weighed by, from a price book: a person's own minutes and prices choose their ways too."""

from collections.abc import Iterator
from typing import Final, get_args

from circuitmap.extension.costs import BY_METRE, Costs, Rate
from circuitmap.extension.money import pence
from circuitmap.extension.price import IN_THE_WAY, material_times
from circuitmap.extension.pricebook import Book
from circuitmap.extension.pricebook_rows import Fee, Range, Task
from circuitmap.extension.takeoff import Job, is_by_others
from circuitmap.words import Build

BUILDS: Final[tuple[str, ...]] = ("", *get_args(Build), "surface")
COUNTED: Final = (
    *("drop", "noggin", "stud crossed", "joist", "board", "carpet", "wall passed", "corner", "bend"),
    "behind furniture",
)
# Chases bring their set-up with them in a take-off; a route counts it as an event of its own.
SET_UP: Final = "set up"
CHASED: Final = "chase"


def costs_of(book: Book, cable: str, job: Job | None = None) -> Costs:
    """Give what every stretch of a route takes by the book: mean minutes and mean pence of materials.

    Parameters
    ----------
    book
        The price book, by whose recipes a take-off counts the same stretches.
    cable
        The code of the cable that is laid; one without a price is weighed as free.
    job
        Whether the home is furnished, and who makes good.
    """
    job = job or Job()
    by_key: dict[tuple[str, str], Rate] = {}
    for kind in (*sorted(BY_METRE), *COUNTED):
        for build in BUILDS:
            found = _rate(book, kind, build, job)
            if found is not None:
                by_key[kind, build] = found
    chase = book.recipe(CHASED, "brick")
    if chase is not None:
        by_key[SET_UP, ""] = _sum(book, chase.per_place, job)
    row = book.materials.get(f"cable {cable}")
    metre = _mean(row.price) * material_times(row, book) if row is not None else 0.0
    hour = pence(book.rates["electrician"].hour) * book.terms.area_times
    return Costs(pence_per_minute=hour / 60, cable_pence_per_m=metre * 100, rates=by_key)


def _rate(book: Book, kind: str, build: str, job: Job) -> Rate | None:
    recipe = book.recipe(kind, build)
    if recipe is None:
        return None
    if kind in BY_METRE:
        return _sum(book, recipe.metre, job)
    return _sum(book, {**recipe.per_place, **recipe.each}, job)


def _sum(book: Book, amounts: dict[str, float], job: Job) -> Rate:
    parts = [(minutes * many, money * many) for many, (minutes, money) in _parts(book, amounts, job)]
    return Rate(sum(minutes for minutes, _ in parts), sum(money for _, money in parts))


def _parts(book: Book, amounts: dict[str, float], job: Job) -> Iterator[tuple[float, tuple[float, float]]]:
    furnished = book.factor("occupied").times
    for key, many in amounts.items():
        row = book.priced(key)
        if row is None or (job.making_good == "by others" and is_by_others(key, row)):
            continue
        if isinstance(row, Task):
            is_slower = job.occupied and row.block in IN_THE_WAY
            yield many, (_mean(row.minutes.times(furnished) if is_slower else row.minutes), 0.0)
        elif isinstance(row, Fee):
            yield many, (0.0, _mean(row.price) * 100)
        else:
            yield many, (0.0, _mean(row.price) * 100 * material_times(row, book))


def _mean(of: Range) -> float:
    return (of.low + of.likely + of.high) / 3
