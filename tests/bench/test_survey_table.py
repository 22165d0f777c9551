"""The table of the survey's figures still comes out, on a handful of homes."""

import pytest

from circuitmap.survey.method import Method
from circuitmap.survey.rehearsal import invent
from circuitmap.trade import load
from tests.bench.survey_table import (
    FAULTS,
    Fault,
    bound,
    lines_by_ways,
    lines_of_errors,
    lines_of_fault,
    run,
    surveys_by_ways,
    surveys_with_errors,
    surveys_with_fault,
    times,
    with_look,
)


@pytest.mark.parametrize(
    ("ways", "wanted"), [(2, 2), (3, 2), (4, 3), (7, 3), (8, 4), (15, 4), (16, 5), (31, 5), (40, 6)]
)
def test_the_bound_is_that_of_counting(ways: int, wanted: int) -> None:
    """ceil(log2(n + 1)), the column of CHECKS 15 (counting, from memory)."""
    assert bound(ways) == wanted


def test_every_size_has_its_row_and_the_sizes_compared_come_to_the_homes_asked_for() -> None:
    asked = surveys_by_ways(200)
    assert {survey.ways for survey in asked} == set(range(2, 41))
    assert sum(12 <= survey.ways <= 40 for survey in asked) >= 200
    assert len({survey.seed for survey in asked}) == len(asked)


def test_rows_and_sums_are_printed() -> None:
    found = [run(survey) for survey in surveys_by_ways(1, (3, 12))]
    lines = list(lines_by_ways(found))
    assert [line.split()[0] for line in lines[2:4]] == ["3", "12"]
    assert any("fewer rounds" in line and "held" in line for line in lines)
    assert with_look(found[0].tallies[1]) <= bound(3) + 1


@pytest.mark.parametrize("fault", FAULTS)
def test_each_fault_is_told_of(fault: Fault) -> None:
    lines = list(lines_of_fault(fault, [run(survey) for survey in surveys_with_fault(fault, 1)]))
    assert len(lines) >= 2
    assert all(line.lstrip().startswith(fault) for line in lines)


def test_errors_are_told_of() -> None:
    lines = list(lines_of_errors([run(survey) for survey in surveys_with_errors(1)]))
    assert sum("settled wrongly" in line for line in lines) >= 2


def test_times_are_taken_along_a_survey() -> None:
    planned, updated, anew = times(invent(1, ways=5, points=12), load(), Method(), most_rounds=2)
    assert len(planned) == len(anew) == 3
    assert len(updated) >= 15
