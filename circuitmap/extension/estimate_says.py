"""An estimate in words: what the price is made of, what it rests on, what is left out, what makes it uncertain.

Two readers: the estimator sees the range; the customer gets one price with its assumptions and provisional sums. An
estimate is a range and a quotation a fixed offer, and the words keep them apart.
"""

from typing import Final

from msgspec import Struct

from circuitmap.extension.money import show_money
from circuitmap.extension.price import Driver, Priced, PricedLine
from circuitmap.extension.pricebook import Book
from circuitmap.extension.pricebook_rows import Block, Range
from circuitmap.extension.takeoff import Job, Taken, unseen_places
from circuitmap.quantities.show import show_percent

# Common practice, no source: the usual order of a quotation.
TITLES: Final[dict[Block, str]] = {
    "preliminaries": "Preliminaries: travel, parking, setting up, protection, isolation",
    "making existing fit": "Making the existing installation fit to extend",
    "first fix": "First fix",
    "second fix": "Second fix",
    "test and certificate": "Test, certificate by the installer, notification",
    "making good": "Making good and waste",
    "materials": "Materials",
    "overhead and profit": "Overhead and profit",
    "provisional sums": "Provisional sums",
}
CAUTIONS: Final = (
    "Design, certification and notification belong to a competent person and to local rules; nothing here is a "
    "certificate.",
    "Nobody opens an accessory or the board before it is isolated and proved dead.",
    "Textured coatings, boards and linings put up before 2000 may hold asbestos: have them tested before anything is "
    "cut.",
    "Chases and holes weaken walls and joists: their limits are checked on site before cutting.",
)
EXCLUDED: Final = (
    "Decorating, and making good of anything that isn't named",
    "Defects that only show once an accessory or a floor is opened: they are told before any work on them",
    "Appliances, and moving them unless a line names it",
    "Removal of asbestos or other harmful materials",
)
CANCELLING: Final = (
    "A consumer who agrees away from business premises may usually cancel within 14 days; the notice of that right "
    "goes with the quotation. Local law decides."
)


class Step(Struct, frozen=True, kw_only=True):
    """A step of the work in its order: by whom, how long, which lines."""

    name: str
    who: str
    minutes: Range
    says: str


def block_rows(priced: Priced) -> tuple[tuple[str, str], ...]:
    """Give the price as rows of words and money: blocks, net, tax, total; what is charged, without any range."""
    rows = [(_block_title(block.block, block.title), show_money(block.charge, priced.sign)) for block in priced.blocks]
    rows.append(("Net, without tax", show_money(priced.net, priced.sign)))
    return tuple(rows)


def tax_row(priced: Priced, book: Book) -> tuple[str, str]:
    """Give the tax as a row of words and money."""
    terms = book.terms
    if terms.tax == "not registered":
        return (f"{terms.tax_name}: not registered, none is charged", show_money(0, priced.sign))
    kind = {"standard": "", "reduced": ", reduced rate", "zero": ", zero rate"}[terms.tax]
    return (f"{terms.tax_name} {priced.tax_percent:g} %{kind}", show_money(priced.tax, priced.sign))


def amounts_said(book: Book) -> str:
    """Say by which rule amounts of a quotation are given, in one sentence."""
    name = book.terms.tax_name
    if book.terms.tax == "not registered":
        return f"No {name} is charged on any amount here."
    return f"Amounts here are without {name}; the total is with it."


def tax_said(book: Book) -> str:
    """Say in two or three words whether a total is with its tax."""
    return f"no {book.terms.tax_name} charged" if book.terms.tax == "not registered" else f"with {book.terms.tax_name}"


def total_name(book: Book) -> str:
    """Give what the total is called: with its tax, where one is charged."""
    return "Total" if book.terms.tax == "not registered" else f"Total, with {book.terms.tax_name}"


def range_said(priced: Priced) -> str:
    """Give the estimator's range of the work in one sentence; never for the customer."""
    if priced.drawn is None:
        return f"The work costs {_money(priced.mean, priced)} on average, give or take {_money(priced.sd, priced)}."
    low, middle, high = (_money(amount, priced) for amount in (priced.drawn.p10, priced.drawn.p50, priced.drawn.p90))
    return (
        f"Of ten such jobs one costs less than {low}, five less than {middle}, nine less than {high} "
        f"(without tax, minimum charge, half days and provisional sums)."
    )


def charged_said(priced: Priced) -> str:
    """Give how labour is charged, in one sentence."""
    if priced.is_minimum:
        return "The minimum charge applies."
    if priced.half_days:
        days = f"{priced.half_days / 2:g} day{'' if priced.half_days == 2 else 's'}"
        return f"Labour is charged as {days}, rounded up to half days."
    return f"Labour is charged by its hours, some {priced.minutes_mean / 60:.1f} h."


def per_point_said(priced: Priced, taken: Taken) -> str:
    """Give the price by the point, to hold beside what one usually asks; nothing where no point is new."""
    if not taken.points:
        return ""
    apart: tuple[Block, ...] = ("making existing fit", "provisional sums")
    adding = sum(block.charge for block in priced.blocks if block.block not in apart)
    each = show_money(round(adding / taken.points), priced.sign)
    count = "one new point" if taken.points == 1 else f"each of {taken.points} new points"
    return f"That is {each} for {count}, without tax, making fit and provisional sums."


def drivers_said(priced: Priced, most: int = 5) -> tuple[str, ...]:
    """Give what makes the price uncertain, the greatest first, a sentence each."""
    return tuple(_driver_said(driver) for driver in priced.drivers[:most])


def assumptions(taken: Taken, priced: Priced, book: Book, job: Job) -> tuple[str, ...]:
    """Give what the price rests on, for the customer: a sentence each."""
    said = [f"The price holds for {book.terms.validity_days} days."]
    if book.terms.payment:
        said.append(book.terms.payment)
    said.append(
        "The home is lived in and furnished; rooms are cleared as far as the work needs."
        if job.occupied
        else "The home is empty and clear."
    )
    if taken.visits > 1:
        said.append(f"The work takes {taken.visits} visits, with drying between them.")
    for place in unseen_places(taken.lines):
        said.append(f"{place}: nobody has seen into the wall or the floor there.")
    for set_aside in priced.provisional:
        amount = show_money(set_aside.charge, priced.sign)
        said.append(f"{set_aside.for_what}: {amount} without tax is set aside; what isn't needed is not charged.")
    for why, whole in optional_sums(priced):
        said.append(f"Not in the total, offered apart: {why}, {show_money(whole, priced.sign)} without tax.")
    return tuple(said)


def optional_sums(priced: Priced) -> tuple[tuple[str, int], ...]:
    """Give what is offered apart from the total: each reason with its whole pence, without tax."""
    sums: dict[str, float] = {}
    for line in priced.optional:
        sums[line.line.why] = sums.get(line.line.why, 0.0) + line.mean
    return tuple((why, round(amount)) for why, amount in sums.items())


def optional_ranges(priced: Priced) -> tuple[tuple[int, int], ...]:
    """Give the least and the most of each sum of ``optional_sums``, in whole pence; for the estimator alone."""
    sums: dict[str, tuple[float, float]] = {}
    for line in priced.optional:
        low, high = sums.get(line.line.why, (0.0, 0.0))
        sums[line.line.why] = low + line.cost.low, high + line.cost.high
    return tuple((round(low), round(high)) for low, high in sums.values())


def exclusions(taken: Taken, job: Job) -> tuple[str, ...]:
    """Give what isn't in the price: what is never in it, what this job leaves to others, what nobody could price."""
    said = list(EXCLUDED)
    if job.making_good == "by others":
        said.insert(0, "Filling and plastering of chases, by others")
    if not job.notify:
        said.append("Notification, where the place and the work ask for it")
    return (*said, *taken.left_out)


def invented_said(priced: Priced) -> str:
    """Give a warning as long as figures of the demonstration are in the price; nothing once all are one's own."""
    said = []
    if priced.invented:
        count = len(priced.invented)
        said.append(f"{count} of the prices used {'is' if count == 1 else 'are'} invented for the demonstration.")
    if priced.customary:
        count = len(priced.customary)
        said.append(f"The minutes of {count} task{'' if count == 1 else 's'} are common practice and not your own.")
    if said:
        said.append("Put your own into your price book before you send anything.")
    return " ".join(said)


def sequence(priced: Priced) -> tuple[Step, ...]:
    """Give the order of the work across the trades: make fit, first fix, make good, second fix, test."""
    order: tuple[tuple[Block, str], ...] = (
        ("preliminaries", "Isolate and prove dead before anything is opened; protect floors and furniture."),
        ("making existing fit", "Earthing, bonding and cover by residual current devices before the addition."),
        ("first fix", "Boxes, chases, floors and cables; photographs before anything is closed."),
        ("making good", "Chases are filled and dry before plates go on."),
        ("second fix", "Accessories are connected."),
        ("test and certificate", "Dead tests, then live tests; certificate by the installer."),
    )
    steps = []
    for block, says in order:
        lines = [line for line in priced.lines if line.block == block and line.minutes is not None]
        if lines:
            steps.append(Step(name=TITLES[block], who=_who(block), minutes=_added(lines), says=says))
    return tuple(steps)


def line_said(line: PricedLine) -> str:
    """Give a line of the take-off in words: how much of what, and which part of the option it comes from.

    Examples: "2.70 m Cable, twin and earth 2.5 mm² — cable to the new twin".
    """
    amount = f"{line.line.quantity:.2f}".rstrip("0").rstrip(".")
    plural = "s" if line.unit not in ("m", "each") and line.line.quantity != 1 else ""
    unit = f" {line.unit}{plural}" if line.unit != "each" else " ×"
    return f"{amount}{unit} {line.title} — {line.line.why}"


def _block_title(block: Block, title: str) -> str:
    return f"{TITLES[block].partition(':')[0]}, {title}" if title else TITLES[block]


def _driver_said(driver: Driver) -> str:
    share = show_percent(driver.share)
    if driver.kind == "place":
        return f"{driver.title}: not seen into; knowing it would take away {share} of the spread."
    where = f" ({', '.join(driver.places[:3])})" if driver.places else ""
    head = driver.title[:1].upper() + driver.title[1:]
    return f"{head}{where}: {share} of the spread."


def _who(block: Block) -> str:
    return "electrician or plasterer" if block == "making good" else "electrician"


def _added(lines: list[PricedLine]) -> Range:
    ranges = [line.minutes for line in lines if line.minutes is not None]
    return Range(sum(r.low for r in ranges), sum(r.likely for r in ranges), sum(r.high for r in ranges))


def _money(amount_pence: float, priced: Priced) -> str:
    return show_money(round(amount_pence), priced.sign)
