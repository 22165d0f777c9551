"""The price book: ours is whole, a person's own is laid over it, a wrong row costs nothing but itself."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from circuitmap.errors import OurError, TradeError
from circuitmap.extension.pricebook import Book, load, own_path, with_rows
from circuitmap.extension.pricebook_rows import BLOCKS, Range
from circuitmap.places import resources
from tests.extension.priced import demo, priced, twins

OURS = resources() / "prices" / "demo.toml"


def raw() -> dict[str, Any]:
    return tomllib.loads(OURS.read_text(encoding="utf-8"))


def own(tmp_path: Path, text: str) -> Book:
    path = tmp_path / "prices.toml"
    path.write_text(text, encoding="utf-8")
    return load(own=path)


def test_every_price_is_marked_invented_and_every_time_common_practice() -> None:
    book = demo()
    for row in (*book.materials.values(), *book.fees.values(), *book.rates.values(), book.terms):
        assert row.source.startswith("invented for the demo")
    for task in (*book.tasks.values(), *book.factors.values(), *book.allowances.values()):
        assert task.source.startswith("common practice, no source")


@pytest.mark.parametrize(
    ("key", "minutes"),
    [
        # as a practitioner told them (common practice, no source)
        ("set up", (20, 30, 45)),
        ("isolate", (10, 15, 20)),
        ("box stud single", (6, 8, 12)),
        ("box stud twin", (8, 10, 15)),
        ("box brick single", (15, 20, 30)),
        ("box brick twin", (20, 28, 45)),
        ("chase brick", (10, 15, 25)),
        ("chase block", (6, 9, 15)),
        ("chase concrete", (25, 35, 60)),
        ("fish drop", (10, 15, 30)),
        ("noggin", (15, 20, 25)),
        ("clear void", (1, 2, 4)),
        ("board square edge", (8, 10, 15)),
        ("board tongued", (15, 20, 30)),
        ("trap chipboard", (25, 35, 50)),
        ("carpet", (10, 15, 25)),
        ("drill joist", (2, 3, 5)),
        ("trunking", (5, 7, 10)),
        ("fix socket", (10, 13, 20)),
        ("fix fused unit", (12, 16, 22)),
        ("fix switch", (8, 10, 15)),
        ("fix downlight", (20, 28, 40)),
        ("maintenance-free joint", (8, 12, 18)),
        ("new way", (20, 30, 45)),
        ("minor works", (30, 40, 60)),
        ("installation certificate", (50, 70, 100)),
        ("change board", (360, 480, 660)),
        ("patch plaster", (15, 20, 30)),
    ],
)
def test_task_times_are_those_told(key: str, minutes: tuple[float, float, float]) -> None:
    assert demo().tasks[key].minutes == Range(*minutes)


@pytest.mark.parametrize(
    ("key", "least", "most"),
    [
        # plausible ranges in pounds, as a practitioner told them (common practice, no source)
        ("cable T&E 2.5/1.5", 0.65, 1.40),
        ("cable T&E 1.5/1.0", 0.45, 0.90),
        ("cable T&E 6/2.5", 2.00, 2.80),
        ("cable T&E 10/4", 3.30, 4.60),
        ("socket twin", 3, 6),
        ("socket usb", 14, 28),
        ("fused unit", 5, 10),
        ("box steel twin", 1, 3),
        ("RCBO", 18, 35),
        ("joint box", 4, 8),
        ("capping", 0.60, 1.20),
        ("notify by scheme", 5, 15),
        ("notify council", 250, 450),
        ("sundries", 8, 15),
    ],
)
def test_invented_prices_lie_in_plausible_ranges(key: str, least: float, most: float) -> None:
    row = demo().materials.get(key) or demo().fees[key]
    assert least <= row.price.low <= row.price.high <= most


def test_rates_and_terms_lie_in_plausible_ranges() -> None:
    # common practice, no source: hour 45–70, mate 120–180 a day, minimum visit 80–150, day 6 to 6.5 productive hours
    book = demo()
    assert 45 <= book.rates["electrician"].hour <= 70
    assert 120 <= book.rates["mate"].hour * book.terms.day_hours <= 180
    assert 280 <= book.rates["electrician"].hour * book.terms.day_hours <= 450
    assert 80 <= book.terms.minimum_charge <= 150
    assert 6 <= book.terms.day_hours <= 6.5
    assert 5 <= book.terms.waste_percent <= 10
    assert 15 <= book.terms.handling_percent <= 25
    assert book.terms.contingency_percent == Range(5, 10, 15)


def test_recipes_take_only_what_has_a_row_and_every_task_is_taken_or_asked_for() -> None:
    book = demo()
    taken = {key for recipe in book.recipes for key in recipe.takes()}
    assert all(book.priced(key) for key in taken)
    asked = {"set up", "isolate", "isolate again", "minor works", "installation certificate", "test further point"}
    assert set(book.tasks) - taken == asked


def test_shares_leave_something_of_a_task_its_own() -> None:
    assert all(0 < sum(task.shares.values()) < 1 for task in demo().tasks.values())


def test_a_persons_row_changes_what_it_says_and_keeps_the_rest(tmp_path: Path) -> None:
    book = own(tmp_path, '[[task]]\nkey = "chase brick"\nminutes = [12, 18, 30]\n')
    task = book.tasks["chase brick"]
    assert task.minutes == Range(12, 18, 30)
    assert task.title == demo().tasks["chase brick"].title
    assert (task.source, task.repeats) == ("own", True)
    assert book.own_rows == {("task", "chase brick")}
    assert not book.problems


def test_a_person_may_add_materials_and_recipes_and_change_terms(tmp_path: Path) -> None:
    text = """
        [terms]
        currency = "EUR"
        sign = "€"
        tax = "not registered"

        [[material]]
        key = "socket brass"
        title = "Socket, brass"
        price = [13, 18, 25]

        [[recipe]]
        key = "brass sockets"
        of = "socket"
        gangs = 2
        each = { "fix socket" = 1, "socket brass" = 1 }
    """
    book = own(tmp_path, text)
    assert not book.problems
    done = priced(twins(1, "stud"), book=book)
    assert "socket brass" in {line.line.key for line in done.lines}
    assert "socket twin" not in {line.line.key for line in done.lines}
    assert (done.sign, done.tax) == ("€", 0)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('[[material]]\nkey = "clip"\nprice = [-1, 1, 2]', "is below zero; the row is left out"),
        ('[[material]]\nkey = "clip"\nprice = [0.035, 1, 2]', "0.035 has part of a penny"),
        ('[[material]]\nkey = "clip"\nprice = [3, 2, 1]', "low, likely, high"),
        ('[[material]]\nkey = "clip"\nprice = [1, 2]', "length 3"),
        ('[[material]]\nkey = "clip"\nprice = ["=1+1", 1, 2]', "expected float, and it is str"),
        ('[[material]]\nkey = "clip"\nprice = [1, 2, inf]', "endless or no number"),
        ('[[material]]\nkey = "clip"\nprice = [1, nan, 2]', "endless or no number"),
        ('[[material]]\nkey = "new thing"\ntitle = "New"', "“price” is missing"),
        ('[[material]]\nkey = "isolate"\ntitle = "x"\nprice = [1, 1, 1]', "taken by something else"),
        ('[[rate]]\nkey = "wizard"\ntitle = "x"\nhour = 1', "there is no such rate"),
        ('[[allowance]]\nkey = "new"\ntitle = "x"\nunit = "m"\nvalue = 1', "there is no such allowance"),
        ('[[task]]\nkey = "isolate"\nshares = { moon = 0.5 }', "no cause is called “moon”"),
        ('[[task]]\nkey = "isolate"\nshares = { walls = 0.7, floors = 0.7 }', "more than 1"),
        ('[[task]]\nkey = "isolate"\nblock = "materials"', "can't stand in the block"),
        ('[[task]]\ntitle = "no key"', "has no key"),
        (
            '[[task]]\nkey = "isolate"\nminutes = [1,1,1]\n[[task]]\nkey = "isolate"\nminutes = [2,2,2]',
            "is there twice",
        ),
        ('[[spell]]\nkey = "x"', "no list of rows"),
        ('[terms]\ncurrency = "JPY"', "isn't counted in hundredths"),
        ("[terms]\ntax_standard_percent = -20", "tax_standard_percent: is below zero; they are left out"),
        ("[terms]\narea_times = inf", "they are left out"),
        ("terms = 3", "they are left out"),
        ('[[recipe]]\nkey = "x"\nof = "bend"\neach = { "unheard of" = 1 }', "takes “unheard of”, which has no price"),
        ("this is no TOML", "is no price book"),
        ("\x00", "is no price book"),
    ],
)
def test_a_wrong_row_gets_a_sentence_and_the_rest_is_used(tmp_path: Path, text: str, says: str) -> None:
    good = '[[rate]]\nkey = "electrician"\nhour = 61\n'
    is_toml = not says.startswith("is no price book")
    book = own(tmp_path, text + ("\n" + good if is_toml and "rate" not in text and "terms = 3" not in text else ""))
    assert len(book.problems) == 1
    assert says in book.problems[0]
    assert book.problems[0].endswith(".")
    assert priced(twins(1, "brick"), book=book).net > 0
    if is_toml and "rate" not in text and "terms = 3" not in text:
        assert book.rates["electrician"].hour == 61


def test_no_own_file_is_no_problem(tmp_path: Path) -> None:
    assert not load(own=tmp_path / "none.toml").problems
    assert own_path().name == "prices.toml"


def test_a_huge_own_file_is_left_out(tmp_path: Path) -> None:
    assert "far too long" in own(tmp_path, "# " + "x" * 2_100_000).problems[0]


def test_our_own_file_wrong_stops_the_reading(tmp_path: Path) -> None:
    bad = tmp_path / "demo.toml"
    bad.write_text(OURS.read_text(encoding="utf-8").replace("minutes = [10, 15, 20]", "minutes = [30, 15, 20]", 1))
    with pytest.raises(TradeError, match="can't be used"):
        load(ours=bad)
    bad.write_text('[[task]]\nkey = "x"\n')
    with pytest.raises(TradeError, match="terms are missing"):
        load(ours=bad)
    with pytest.raises(TradeError, match="can't be read"):
        load(ours=tmp_path / "none.toml")


def test_what_nobody_wrote_is_our_mistake() -> None:
    with pytest.raises(OurError):
        demo().allowance("moat")
    with pytest.raises(OurError):
        demo().factor("moat")


def test_rows_may_be_laid_over_twice() -> None:
    once = with_rows(demo(), {"rate": [{"key": "mate", "hour": 25}]})
    twice = with_rows(once, {"rate": [{"key": "electrician", "hour": 58.5}]}, {"tax": "zero"})
    assert twice.own_rows == {("rate", "mate"), ("rate", "electrician")}
    assert (twice.rates["mate"].hour, twice.rates["electrician"].hour) == (25, 58.5)
    assert twice.own_terms
    assert not twice.problems


def test_blocks_are_in_the_order_of_a_quotation() -> None:
    assert BLOCKS[0] == "preliminaries"
    assert BLOCKS[-1] == "provisional sums"
    assert {task.block for task in demo().tasks.values()} <= set(BLOCKS)
    assert sum(len(rows) for rows in raw().values() if isinstance(rows, list)) == _count(demo())


def _count(book: Book) -> int:
    tables = (
        book.rates,
        book.causes,
        book.factors,
        book.allowances,
        book.tasks,
        book.materials,
        book.fees,
        book.recipes,
    )
    return sum(len(table) for table in tables)
