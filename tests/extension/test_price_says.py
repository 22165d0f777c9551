"""An estimate in words: one price for the customer, the range for the estimator only, every caution in its place."""

import re
import subprocess
import sys

import pytest

from circuitmap.extension import estimate_says as says
from circuitmap.extension.price import price
from circuitmap.extension.pricebook import with_rows
from circuitmap.extension.takeoff import Job, Remedy, Work, takeoff
from tests.extension.priced import WALL, demo, new_circuit, priced, swap, taken, twins


def test_the_customers_rows_add_up_and_show_no_range() -> None:
    done = priced(twins(1, "unknown"))
    rows = says.block_rows(done)
    amounts = [round(float(text.replace("£", "").replace(",", "")) * 100) for _, text in rows]
    assert sum(amounts[:-1]) == amounts[-1] == done.net
    assert rows[-1][0] == "Net, without tax"
    assert not any(re.search(r"P10|P50|P90|of ten", words) for words, _ in rows)
    assert f"Provisional sums, {WALL}" in [words for words, _ in rows]


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("standard", "VAT 20 %"),
        ("reduced", "VAT 5 %, reduced rate"),
        ("zero", "VAT 0 %, zero rate"),
        ("not registered", "VAT: not registered, none is charged"),
    ],
)
def test_the_tax_row_says_its_kind(kind: str, words: str) -> None:
    book = with_rows(demo(), {}, {"tax": kind})
    assert says.tax_row(priced(twins(1, "stud"), book=book), book)[0] == words


def test_the_range_is_said_in_numbers_of_jobs() -> None:
    done = priced(twins(1, "brick"), draws=5000)
    assert re.match(r"Of ten such jobs one costs less than £\d", says.range_said(done))
    assert "on average, give or take £" in says.range_said(priced(twins(1, "brick")))


def test_how_labour_is_charged_is_said() -> None:
    assert says.charged_said(priced(swap(), Job(certificate="functional check"))) == "The minimum charge applies."
    assert "by its hours, some 2." in says.charged_said(priced(twins(1, "stud")))
    long = priced(twins(8, "brick"))
    assert long.half_days > 2
    assert f"{long.half_days / 2:g} days, rounded up" in says.charged_said(long)


def test_the_price_by_the_point_is_said() -> None:
    done = priced(twins(3, "stud"))
    said = says.per_point_said(done, taken(twins(3, "stud")))
    assert said.startswith(f"That is £{done.net / 300:.2f} for each of 3 new points")
    fit = Work(fittings=twins(1, "stud").fittings, remedies=(Remedy(what="board change", why="old"),))
    added = priced(fit)
    without = added.net - next(block.charge for block in added.blocks if block.block == "making existing fit")
    assert says.per_point_said(added, taken(fit)).startswith(f"That is £{without / 100:.2f} for one new point")
    assert says.per_point_said(priced(swap()), taken(swap())) == ""


def test_what_drives_the_spread_is_named() -> None:
    said = says.drivers_said(priced(twins(1, "unknown")))
    assert re.match(rf"{WALL}: not seen into; knowing it would take away \d+ % of the spread\.", said[0])
    assert any(sentence.startswith("How hard the walls are (") for sentence in said)


def test_assumptions_name_validity_visits_unseen_places_and_options() -> None:
    job = Job(occupied=True)
    work = Work(
        **{name: getattr(twins(1, "unknown"), name) for name in ("parts", "fittings", "lengths")},
        remedies=(Remedy(what="board change", why="a better board", optional=True),),
    )
    counted = takeoff(work, demo(), job)
    said = " ".join(says.assumptions(counted, price(counted, demo(), job, draws=0), demo(), job))
    for words in (
        "holds for 30 days",
        "lived in",
        "takes 2 visits",
        f"{WALL}: nobody has seen",
        "is set aside",
        "Not in the total, offered apart: a better board, £",
    ):
        assert words in said


def test_exclusions_follow_the_job_and_what_nobody_could_price() -> None:
    others = says.exclusions(taken(twins(1, "brick"), Job(making_good="by others")), Job(making_good="by others"))
    assert others[0] == "Filling and plastering of chases, by others"
    assert "Notification, where the place and the work ask for it" in others
    ours = says.exclusions(taken(twins(1, "brick")), Job(notify="notify by scheme"))
    assert not any("by others" in sentence or sentence.startswith("Notification") for sentence in ours)


def test_cautions_are_there_whatever_the_job() -> None:
    said = " ".join(says.CAUTIONS)
    for words in ("competent person", "local rules", "proved dead", "asbestos"):
        assert words in said
    assert "14 days" in says.CANCELLING


def test_invented_prices_are_warned_of_until_none_is_left() -> None:
    done = priced(swap(), Job(certificate="functional check"))
    assert f"{len(done.invented)} of the prices used are invented" in says.invented_said(done)
    own = with_rows(
        demo(),
        {
            "rate": [{"key": "electrician", "hour": 60}],
            "task": [{"key": key, "source": "own"} for key in demo().tasks],
            "material": [{"key": key, "source": "own"} for key in demo().materials],
            "fee": [{"key": key, "source": "own"} for key in demo().fees],
        },
    )
    assert says.invented_said(priced(swap(), book=own)) == ""


def test_the_sequence_runs_across_the_trades() -> None:
    steps = says.sequence(priced(twins(1, "brick")))
    assert [step.name.partition(":")[0] for step in steps] == [
        "Preliminaries",
        "First fix",
        "Making good and waste",
        "Second fix",
        "Test, certificate by the installer, notification",
    ]
    assert "plasterer" in next(step for step in steps if step.name.startswith("Making")).who
    assert all(0 < step.minutes.low <= step.minutes.high for step in steps)


def test_a_line_says_how_much_of_what_and_for_which_part() -> None:
    done = priced(twins(1, "brick"))
    said = [says.line_said(line) for line in done.lines]
    assert "2.7 m Cable, twin and earth 2.5 mm² — cable to twin 1" in said
    assert "2 visits Arrive, protect, set up, clear — 2 visits" in said
    assert "1 × Steel box, twin, 35 mm — new twin socket 1" in said


def test_every_line_of_a_new_circuit_can_be_said() -> None:
    assert all(" — " in says.line_said(line) for line in priced(new_circuit()).lines)


def test_pricing_loads_no_spreadsheet_and_a_book_no_arrays() -> None:
    code = (
        "import sys, circuitmap.extension.pricebook as p; p.load();"
        "assert not {'numpy', 'scipy', 'openpyxl'} & set(sys.modules), 'the book';"
        "import circuitmap.extension.estimate_says, circuitmap.extension.pricebook_sheets;"
        "assert not {'scipy', 'openpyxl', 'PIL', 'PySide6'} & set(sys.modules), 'the price'"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
