"""The book of a circuit: nothing is lost, the later reading counts, bounds stay bounds, leads are taken off."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from circuitmap.home import verbs
from circuitmap.home.records import Link, Reading
from circuitmap.readings.book import readings_of
from tests.readings.recorded import Taken, ids


def test_a_circuit_holds_what_names_its_way_and_what_was_taken_at_its_points() -> None:
    home = Taken()
    by_way = home.read("ring end to end", "0.55", "L")
    by_point = home.read("plug-in indicator", "correct", at=home.sockets[0], way=None)
    other = home.read("insulation", "150", "L", "N", way=home.radial)
    assert ids(home.book().entries) == [by_way, by_point]
    assert ids(home.book(home.radial).entries) == [other]
    assert home.book().code == "A1"


def test_the_later_of_two_readings_counts_and_both_are_kept() -> None:
    home = Taken()
    first = home.read("linked", "0.31", "L", "N", at=home.sockets[0], link="cross")
    second = home.read("linked", "0.32", "N", "L", at=home.sockets[0], link="cross")
    assert ids(home.book().entries) == [first, second]
    assert ids(home.book().latest) == [second]
    assert home.book().problems == ()


def test_a_visit_written_up_late_still_comes_before_the_later_day() -> None:
    home = Taken()
    home.come("2026-03-01")
    new = home.read("ring end to end", "0.55", "L")
    home.come("2026-02-01")
    old = home.read("ring end to end", "0.56", "L")
    assert ids(home.book().entries) == [old, new]
    assert home.book().end_to_end("L").reading.id == new  # type: ignore[union-attr]  # it was read


def test_not_possible_never_counts_over_a_reading() -> None:
    home = Taken()
    read = home.read("insulation", ">200", "L+N", "E", test_v=250)
    home.read("insulation", "not possible: boiler connected", "L+N", "E", test_v=250)
    assert ids(home.book().latest) == [read]
    only = home.read("insulation", "limitation: no access", "L", "N", test_v=250)
    assert ids(home.book().of_test("insulation")) == [read, only]


def test_bounds_stay_bounds() -> None:
    home = Taken()
    home.read("insulation", "200+", "L", "N")
    (entry,) = home.book().entries
    assert (entry.value_si, entry.reading.bound, entry.is_number, entry.says_something) == (200e6, ">", False, True)
    assert entry.shown == ">200 MΩ"


@pytest.mark.parametrize(("typed", "left_ohm", "shown"), [("0.55", 0.43, "0.43 Ω"), (">99.9", 99.78, ">99.78 Ω")])
def test_what_the_leads_add_is_taken_off_where_they_were_not_nulled(typed: str, left_ohm: float, shown: str) -> None:
    home = Taken()
    home.do(verbs.subtract_leads(home.home, home.meter, 0.12))
    home.read("ring end to end", typed, "L")
    home.do(verbs.null_leads(home.home, home.meter))
    home.read("ring end to end", "0.43", "N")
    first, second = home.book().entries
    assert first.value_si == pytest.approx(left_ohm, abs=1e-12)
    assert first.shown == f"{shown}, 0.12 Ω of leads taken off"
    assert (second.value_si, second.leads_ohm, second.shown) == (0.43, 0.0, "0.43 Ω")
    assert home.home.take(Reading, first.reading.id).typed == typed


def test_leads_are_not_taken_off_insulation_or_loop_readings() -> None:
    home = Taken()
    home.do(verbs.subtract_leads(home.home, home.meter, 0.12))
    home.read("insulation", "0", "L", "N")
    home.read("Zs", "0.85", "L", "E", at=home.sockets[3])
    assert [entry.value_si for entry in home.book().entries] == [0.0, 0.85]


def test_at_the_board_is_one_place_however_it_is_written() -> None:
    home = Taken()
    for at in (None, home.ring, home.board_id):
        home.read("insulation", "150", "L+N", "E", at=at)
    home.read("ring end to end", "0.55", "L", at=home.board_id)
    assert len({entry.place for entry in home.book().entries}) == 2
    assert {entry.at for entry in home.book().entries} == {home.ring}


def test_a_reading_whose_point_went_is_never_taken_for_one_at_the_board() -> None:
    home = Taken()
    home.read("linked", "0.31", "L", "N", at=home.board_id, link="cross")
    home.read("linked", "0.45", "L", "N", at=home.sockets[1], link="cross")
    home.do(verbs.remove(home.home, home.sockets[1]))
    board, lost = home.book().entries
    assert (board.at, board.counts) == (home.ring, True)
    assert (lost.at, lost.counts) == (None, False)
    assert "doesn't say where it was taken" in home.says("no place")


def test_readings_on_one_leg_are_told_apart_by_the_leg() -> None:
    home = Taken()
    for leg in (home.runs[0], home.runs[-1]):
        home.do(verbs.record_reading(home.home, home.today, "linked", "0.40", device=home.ring, at=home.sockets[0],
                                     cores=("L", "E"), link=Link(kind="one leg", legs=(leg,)),
                                     instrument=home.meter))  # fmt: skip
    assert len(home.book().of_test("linked", "one leg")) == 2


def test_after_is_what_the_last_visits_after_work_say() -> None:
    home = Taken("before work")
    first = home.read("ring end to end", "0.55", "L")
    kept = home.read("ring end to end", "0.56", "N")
    home.come("2026-01-06", "after work")
    second = home.read("ring end to end", "0.60", "L")
    book = home.book()
    assert (ids(book.before), ids(book.after)) == ([first, kept], [second])
    assert ids(book.latest) == [kept, second]
    assert ids(book.of_test("ring end to end", side="before")) == [first, kept]


def test_a_later_visit_of_another_kind_makes_all_that_went_before_it_before() -> None:
    home = Taken("before work")
    home.read("ring end to end", "0.55", "L")
    home.come("2026-01-06", "after work")
    home.read("ring end to end", "0.60", "L")
    home.come("2031-01-06", "periodic")
    last = home.read("ring end to end", "0.61", "L")
    book = home.book()
    assert (ids(book.before), book.after) == ([last], ())


def test_what_is_of_no_way_is_listed_apart() -> None:
    home = Taken()
    supply = home.read("Ze", "0.30", "L", "E", way=None, at=home.board_id)
    nowhere = home.point("socket")
    lost = home.read("plug-in indicator", "no earth", way=None, at=nowhere)
    home.read("ring end to end", "0.55", "L")
    rest = home.rest()
    proof = next(each.id for each in home.home.sorted(Reading) if each.test == "lead check")
    assert set(ids(rest.entries)) == {proof, supply, lost}
    (problem,) = rest.problems
    assert (
        problem.words == f"{lost} was taken at {nowhere}, which is on no way, and names none: say which way it is of."
    )


def test_a_point_on_two_ways_leaves_its_reading_between_them() -> None:
    home = Taken()
    home.do(verbs.tag(home.home, home.sockets[0], home.radial))
    reading = home.read("plug-in indicator", "correct", way=None, at=home.sockets[0])
    assert ids(home.book().entries) == ids(home.book(home.radial).entries) == [reading]
    assert "on A1 and A2: say which way it is of" in home.rest().problems[0].words


def test_the_book_is_the_same_object_until_its_own_readings_change() -> None:
    home = Taken()
    home.read("ring end to end", "0.55", "L")
    book = home.book()
    home.read("insulation", "150", "L", "N", way=home.radial)
    assert home.book() is book
    home.read("ring end to end", "0.55", "N")
    assert home.book() is not book


TESTS = ["ring end to end", "insulation", "linked", "Zs", "plug-in indicator", "RCD trip", "Ze", "lead check"]


@given(st.data())
def test_every_reading_is_in_some_book_exactly_as_recorded(data: st.DataObject) -> None:
    home = Taken()
    places = [None, home.board_id, home.ring, *home.sockets, *home.lights, home.point("socket")]
    for _ in range(data.draw(st.integers(0, 8))):
        test = data.draw(st.sampled_from(TESTS))
        typed = "correct" if test == "plug-in indicator" else data.draw(st.sampled_from(["0.5", ">200", "n/a", "12"]))
        if data.draw(st.booleans()):
            home.come(f"2026-01-{data.draw(st.integers(10, 28))}", data.draw(st.sampled_from(["survey", "after work"])))
        cores = ("L",) if test == "ring end to end" else ("L", "E")
        home.read(test, typed, *cores, at=data.draw(st.sampled_from(places)),
                  link="cross" if test == "linked" else None,
                  way=data.draw(st.sampled_from([None, home.ring, home.radial])))  # type: ignore[arg-type]  # fmt: skip
    books = [home.book(), home.book(home.radial), home.rest()]
    held = {entry.reading.id: entry.reading for book in books for entry in book.entries}
    assert held == dict(home.home.table(Reading))
    for book in books:
        places_counted = [(entry.side, entry.place) for entry in book.entries if entry.counts]
        assert len(places_counted) == len(set(places_counted))
        assert all(problem.words.endswith(".") and "\n" not in problem.words for problem in book.problems)
    assert readings_of(home.home, home.view(), home.memo) is books[0]
