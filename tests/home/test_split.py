"""Inserting a point into a run loses nothing that was recorded of it."""

from circuitmap.home import verbs
from circuitmap.home.records import Run, RunFault
from tests.build import Builder


def split(faults: tuple[RunFault, ...], length_mm: int | None) -> tuple[Run, Run]:
    b = Builder()
    way = b.device(b.board(), "1")
    far, new = b.point(), b.point()
    run = b.run(way, far, length_mm=length_mm)
    b.do(verbs.edit(b.home, run, faults=faults))
    b.do(verbs.split(b.home, run, new))
    first, second = b.home.sorted(Run)
    assert first.b.at == second.a.at == new
    return first, second


def test_a_fault_goes_with_the_half_it_lies_in() -> None:
    near = RunFault(kind="open", cores=("E",), from_a_mm=1000, evidence="tested")
    far = RunFault(kind="joint", from_a_mm=5000, evidence="seen")
    first, second = split((near, far), 6000)
    assert first.faults == (near,)
    assert second.faults == (RunFault(kind="joint", from_a_mm=2000, evidence="seen"),)


def test_a_fault_of_unknown_place_is_assumed_in_both_halves() -> None:
    first, second = split((RunFault(kind="open", cores=("L", "N"), evidence="tested"),), 6000)
    assumed = RunFault(kind="open", cores=("L", "N"), evidence="assumed")
    assert first.faults == second.faults == (assumed,)


def test_without_a_length_no_place_is_made_up() -> None:
    first, second = split((RunFault(kind="joint", from_a_mm=100, evidence="seen"),), None)
    assert first.faults == second.faults == (RunFault(kind="joint", evidence="assumed"),)
