"""The rows of a price book: tasks with their minutes, materials and fees with their prices, recipes, causes, terms."""

from typing import Annotated, Final, Literal, get_args

from msgspec import Meta, Struct

from circuitmap.extension.money import pence

Block = Literal[
    "preliminaries",
    "making existing fit",
    "first fix",
    "second fix",
    "test and certificate",
    "making good",
    "materials",
    "overhead and profit",
    "provisional sums",
]
BLOCKS: Final[tuple[Block, ...]] = get_args(Block)
LABOUR: Final[tuple[Block, ...]] = BLOCKS[:6]
Who = Literal["electrician", "mate", "plasterer"]
WHO: Final[tuple[Who, ...]] = get_args(Who)
TaxKind = Literal["standard", "reduced", "zero", "not registered"]
TAX_KINDS: Final[tuple[TaxKind, ...]] = get_args(TaxKind)

Key = Annotated[str, Meta(min_length=1, max_length=60, pattern=r"^[\w][\w .,/&+()²-]*$(?!\n)")]
Title = Annotated[str, Meta(min_length=1, max_length=200)]
Words = Annotated[str, Meta(max_length=500)]
Amount = Annotated[float, Meta(ge=0, le=100_000)]
Share = Annotated[float, Meta(ge=0, le=1)]
Percent = Annotated[float, Meta(ge=0, le=100)]


class Range(Struct, frozen=True, array_like=True):
    """Least, likeliest and most of something, written ``[8, 10, 15]``; the likeliest is the mode and no mean."""

    low: Amount
    likely: Amount
    high: Amount

    def __post_init__(self) -> None:
        if not self.low <= self.likely <= self.high:
            raise ValueError("a range is written low, likely, high, each no less than the one before")

    def times(self, other: "Range") -> "Range":
        """Give the range of a product whose two sides go together: low by low, likely by likely, high by high."""
        return Range(self.low * other.low, self.likely * other.likely, self.high * other.high)


ONE: Final = Range(1, 1, 1)


class Told(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Where a row's figures are from."""

    source: Words
    note: Words = ""


class Task(Told, frozen=True, kw_only=True):
    """A piece of work: minutes of one person for one unit.

    ``shares`` says how much of its spread goes with each cause that is the same all over a job; what they leave of 1 is
    its own. ``repeats`` marks work that goes quicker at the second and later points on one wall, ``unseen`` work in a
    wall or a floor of which nobody knows what it is made of.
    """

    key: Key
    title: Title
    unit: Title = "each"
    minutes: Range
    who: Who = "electrician"
    block: Block
    repeats: bool = False
    unseen: bool = False
    shares: dict[str, Share] = {}

    def __post_init__(self) -> None:
        if sum(self.shares.values()) > 1 + 1e-9:
            raise ValueError("the shares of its causes add up to more than 1")
        if self.block not in LABOUR:
            raise ValueError(f"work can't stand in the block “{self.block}”")


class Material(Told, frozen=True, kw_only=True):
    """Something bought: its price for one unit, without tax. ``waste`` is whether offcuts are added."""

    key: Key
    title: Title
    unit: Title = "each"
    price: Range
    waste: bool = False

    def __post_init__(self) -> None:
        _whole_pence(self.price)


class Fee(Told, frozen=True, kw_only=True):
    """Something paid out: a charge without handling on top, in the block where it arises."""

    key: Key
    title: Title
    unit: Title = "each"
    price: Range
    block: Block

    def __post_init__(self) -> None:
        _whole_pence(self.price)


class Recipe(Told, frozen=True, kw_only=True):
    """What one part of an option takes: tasks, materials and fees by their keys, how many for each, metre, place, job.

    ``of`` is the part (a kind of route piece, "box", a point kind, a remedy), ``builds`` the walls it is for, ``gangs``
    0 for any, ``deep`` for any when left out. ``per_place`` counts once for each place, ``per_job`` once for all.
    """

    key: Key
    of: Key
    builds: tuple[Key, ...] = ("any",)
    gangs: Annotated[int, Meta(ge=0, le=20)] = 0
    deep: bool | None = None
    each: dict[str, Amount] = {}
    metre: dict[str, Amount] = {}
    per_place: dict[str, Amount] = {}
    per_job: dict[str, Amount] = {}

    def takes(self) -> frozenset[str]:
        """Give the keys of everything that it takes."""
        return frozenset(self.each) | frozenset(self.metre) | frozenset(self.per_place) | frozenset(self.per_job)


class Cause(Told, frozen=True, kw_only=True):
    """Something that is the same all over a job and nobody knows beforehand, such as how hard the walls are."""

    key: Key
    title: Title


class Allowance(Told, frozen=True, kw_only=True):
    """A figure of the take-off, such as how much cable is left at each end."""

    key: Key
    title: Title
    unit: Title
    value: Amount


class Factor(Told, frozen=True, kw_only=True):
    """What multiplies the minutes of many tasks, such as a furnished home."""

    key: Key
    title: Title
    times: Range


class Rate(Told, frozen=True, kw_only=True):
    """What an hour of a person is charged at, without tax."""

    key: Who
    title: Title
    hour: Amount

    def __post_init__(self) -> None:
        pence(self.hour)


class Terms(Told, frozen=True, kw_only=True):
    """Currency, tax, and the terms on which work is charged."""

    currency: Annotated[str, Meta(pattern=r"^[A-Z]{3}$(?!\n)")]
    sign: Annotated[str, Meta(min_length=1, max_length=4, pattern=r"^[^\s=+@-]+$(?!\n)")]
    tax_name: Title
    tax: TaxKind
    tax_standard_percent: Percent
    tax_reduced_percent: Percent
    day_hours: Annotated[float, Meta(gt=0, le=24)]
    half_days_from_hours: Annotated[float, Meta(ge=0, le=1000)]
    minimum_charge: Amount
    area_times: Annotated[float, Meta(gt=0, le=10)]
    waste_percent: Percent
    handling_percent: Percent
    overhead_percent: Percent
    contingency_percent: Range
    validity_days: Annotated[int, Meta(ge=1, le=365)]
    payment: Words = ""

    def __post_init__(self) -> None:
        pence(self.minimum_charge)
        if self.currency in WITHOUT_HUNDREDTHS:
            raise ValueError(f"{self.currency} isn't counted in hundredths, and this program counts in hundredths")
        if self.contingency_percent.high > 100:
            raise ValueError("the contingency is more than 100 %")

    def tax_percent(self) -> float:
        """Give the percentage of the tax that is charged."""
        return {"standard": self.tax_standard_percent, "reduced": self.tax_reduced_percent}.get(self.tax, 0.0)


# ISO 4217, minor unit other than 2 (from memory).
WITHOUT_HUNDREDTHS: Final = frozenset(
    {"BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND", "VUV", "XAF", "XOF"}
    | {"XPF", "BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"}
)


def _whole_pence(price: Range) -> None:
    for amount in (price.low, price.likely, price.high):
        pence(amount)
