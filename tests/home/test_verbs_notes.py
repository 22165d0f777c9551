"""Verbs of notes: what was seen, words, photographs, put right."""

import pytest

from circuitmap.errors import HomeError
from circuitmap.home import verbs
from circuitmap.home.assets import hash_of
from circuitmap.home.document import Document
from circuitmap.home.records import Note
from tests.build import Builder

ONE, TWO, THREE = (hash_of(bytes([n])) for n in range(3))


def noted(**facts: object) -> Builder:
    build = Builder()
    build.storey()
    build.point(at=("G1", 0, 0))
    build.do(verbs.note(build.home, "P1", **facts))  # type: ignore[arg-type]  # test shorthand
    return build


def test_a_note_can_be_about_anything_in_the_home() -> None:
    build = noted()
    build.room("Kitchen", "G1", (0, 0, 4000, 3000))
    build.board()
    build.device("B1", "1")
    for subject in ("home", "G1", "M1", "B1", "D1"):
        build.do(verbs.note(build.home, subject, text="seen", photos=(ONE,)))
        assert [n.photos for n in verbs.notes_of(build.home, subject)] == [(ONE,)]
    with pytest.raises(HomeError, match=r"There is no P9 in this home\."):
        verbs.note(build.home, "P9", text="seen")


def test_photographs_are_added_once_each_in_their_order_and_taken_off_again() -> None:
    build = noted(text="charred at the neutral", photos=(ONE, ONE))
    assert build.home.take(Note, "N1").photos == (ONE,)
    build.do(verbs.add_photos(build.home, "N1", (TWO, ONE, THREE, TWO)))
    assert build.home.take(Note, "N1").photos == (ONE, TWO, THREE)
    assert verbs.add_photos(build.home, "N1", (TWO,)).pairs == ()
    change = verbs.remove_photos(build.home, "N1", (TWO,))
    assert change.title == "Remove a photograph"
    build.do(change)
    assert build.home.take(Note, "N1").photos == (ONE, THREE)
    assert build.home.apply(change.inverse()).take(Note, "N1").photos == (ONE, TWO, THREE)
    with pytest.raises(HomeError, match=r"That photograph is not on this note any more\."):
        verbs.remove_photos(build.home, "N1", (TWO,))


def test_a_note_that_says_nothing_else_goes_with_its_last_photograph() -> None:
    build = noted(photos=(ONE,))
    build.do(verbs.remove_photos(build.home, "N1", (ONE,)))
    assert not build.home.table(Note)
    build.do(verbs.note(build.home, "P1", seen=("damp",), photos=(ONE,)))
    build.do(verbs.remove_photos(build.home, "N2", (ONE,)))
    assert build.home.take(Note, "N2").seen == ("damp",)


def test_a_note_takes_so_many_photographs_and_no_more() -> None:
    many = tuple(hash_of(str(n).encode()) for n in range(verbs.MOST_PHOTOS + 1))
    build = noted(photos=many[:-1])
    with pytest.raises(HomeError, match=r"A note takes 40 photographs; put the others on another note\."):
        verbs.add_photos(build.home, "N1", many[-1:])
    with pytest.raises(HomeError, match="A note takes 40 photographs"):
        verbs.note(build.home, "P1", photos=many)


def test_notes_that_were_put_right_are_kept_apart_and_can_be_opened_again() -> None:
    build = noted(text="cracked plate")
    build.visit()
    build.do(verbs.clear(build.home, "N1", "V1"))
    assert verbs.notes_of(build.home, "P1") == ()
    assert [n.cleared for n in verbs.all_notes_of(build.home, "P1")] == ["V1"]
    build.do(verbs.reopen(build.home, "N1"))
    assert [n.id for n in verbs.notes_of(build.home, "P1")] == ["N1"]


def test_a_note_in_a_few_words_tells_how_many_photographs_it_has() -> None:
    build = noted(seen=("damp", "scorched"), text="under\nthe sink", photos=(ONE, TWO))
    assert verbs.note_said(build.home, build.home.take(Note, "N1")) == "damp, scorched; under the sink; 2 photographs"
    build.do(verbs.note(build.home, "P1"))
    assert verbs.note_said(build.home, build.home.take(Note, "N2")) == "a note about socket P1"


def test_a_photograph_on_two_notes_is_kept_once_in_the_file() -> None:
    data = b"any bytes"
    name, asset = hash_of(data), ("image/jpeg", data)
    build = noted()
    with Document.memory(build.home) as document:
        document.do(verbs.add_photos(document.home, "N1", (name,)), {name: asset})
        document.do(verbs.note(document.home, "G1", photos=(name,)), {name: asset})
        assert document.assets() == {name: asset}
        document.do(verbs.remove_photos(document.home, "N1", (name,)))
        document.undo()
        assert document.asset(name) == data


def test_words_and_conditions_of_a_note_can_be_changed() -> None:
    build = noted(seen=("damp",))
    build.do(verbs.write_note(build.home, "N1", "ماء خلف اللوحة 💧"))
    build.do(verbs.set_conditions(build.home, "N1", ("scorched", "damp", "scorched")))
    held = build.home.take(Note, "N1")
    assert (held.text, held.seen) == ("ماء خلف اللوحة 💧", ("scorched", "damp"))
