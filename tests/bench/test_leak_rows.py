"""Hunts for planted leaks keep to the bound of halving, and what they name is what leaks."""

from statistics import mean

import pytest

from circuitmap.trade import load
from tests.bench.leak_rows import FORMS, Form, Planted, bound, circuit, hunts, leak_rows


@pytest.mark.parametrize(("sections", "most"), [(1, 1), (2, 2), (4, 3), (5, 4), (16, 5), (17, 6), (40, 7)])
def test_the_bound_is_that_of_halving_and_one_more(sections: int, most: int) -> None:
    assert bound(sections) == most


@pytest.mark.parametrize("form", FORMS)
def test_invented_circuits_have_4_to_40_sections_of_wiring(form: Form) -> None:
    sizes = [len(circuit(seed, form, load()).wiring) for seed in range(25)]
    assert min(sizes) >= 3
    assert max(sizes) <= 41
    assert max(sizes) - min(sizes) > 15


@pytest.mark.parametrize("planted", ["evenly", "by suspicion"])
def test_mean_openings_keep_to_the_bound_and_nothing_sound_is_named(planted: Planted) -> None:
    found = list(hunts(12, planted, first=1000))
    assert mean(each.openings for each in found) <= mean(bound(each.wiring) for each in found)
    for each in found:
        assert each.openings <= bound(each.wiring) + 1
        assert not each.wrong
    assert mean(each.found for each in found) >= 0.97


def test_two_leaks_are_mostly_both_found_and_nothing_else() -> None:
    found = list(hunts(6, "evenly", leaks=2, first=2000))
    assert not any(each.wrong for each in found)
    assert mean(each.found for each in found) >= 0.7


def test_the_table_has_a_row_for_every_form_and_way_of_planting() -> None:
    lines = leak_rows(1)
    assert len(lines) == 1 + 2 * (2 + len(FORMS)) + 2
    assert all(any(form in line for line in lines) for form in FORMS)
