"""The open home: one durable change at a time, undo without limit, marks, time travel, listeners."""

from pathlib import Path

import pytest

from circuitmap.errors import FileError, HomeError
from circuitmap.home import Change, Home, combine, verbs
from circuitmap.home.assets import hash_of
from circuitmap.home.document import Document
from circuitmap.home.exchange import MarkedHome, read_folder, write_folder
from circuitmap.home.records import Place, Point, Sheet
from tests.home.full import PICTURE, full_home


def grow(document: Document, times: int = 3) -> list[Home]:
    homes = [document.home]
    for _ in range(times):
        document.do(verbs.add_point(document.home, "socket"))
        homes.append(document.home)
    return homes


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "a home.cmap"


def test_every_change_is_there_after_reopening(path: Path) -> None:
    with Document.create(path, Home.blank("Ours")) as document:
        homes = grow(document)
        assert document.revision == 4
        assert document.path == path
    with Document.open(path) as again:
        assert again.home == homes[-1]
        assert again.revision == 4
        assert again.titles() == ("Add socket P1", "Add socket P2", "Add socket P3")
        assert again.verify() == []


def test_undo_and_redo_reach_back_over_a_restart_and_never_take_back_the_beginning(path: Path) -> None:
    with Document.create(path, Home.blank("Ours")) as document:
        homes = grow(document)
        document.undo()
        assert document.home == homes[2]
    with Document.open(path) as document:
        assert (document.undo_title, document.redo_title) == ("Add socket P2", "Add socket P3")
        assert document.can_redo
        assert document.undo() is not None
        assert document.undo() is not None
        assert document.home == homes[0]
        assert (document.undo_title, document.can_undo, document.undo()) == (None, False, None)
        for home in homes[1:]:
            document.redo()
            assert document.home == home
        assert (document.redo_title, document.can_redo, document.redo()) == (None, False, None)
        assert [entry.act for entry in document.history()] == ["do"] * 4 + ["undo"] * 3 + ["redo"] * 3
        assert document.verify() == []


def test_a_new_change_empties_redo_but_its_ids_are_never_given_out_again(path: Path) -> None:
    with Document.create(path, Home.blank()) as document:
        grow(document, 2)
        document.undo()
        document.do(verbs.add_point(document.home, "light"))
        assert not document.can_redo
        assert sorted(document.home.table(Point)) == ["P1", "P3"]
        document.undo()
    with Document.open(path) as document:
        assert document.home.next_id(Point) == "P4"


def test_an_empty_change_leaves_no_trace(path: Path) -> None:
    with Document.create(path, Home.blank("Ours")) as document:
        heard: list[int] = []
        document.listen(lambda _change, revision: heard.append(revision))
        details = document.home.details
        document.do(verbs.edit(document.home, "home", name="Ours"))
        document.do(Change("Nothing", ((details, details),)))
        assert (document.revision, heard) == (1, [])


def test_a_change_that_touches_a_record_twice_is_kept_as_one(path: Path) -> None:
    with Document.create(path, Home.blank("Ours")) as document:
        first = verbs.edit(document.home, "home", name="Then")
        second = verbs.edit(document.home.apply(first), "home", name="Now")
        document.do(Change("Twice", first.pairs + second.pairs))
        assert document.home.details.name == "Now"
        undone = document.undo()
        assert undone is not None
        assert undone.pairs == combine("", [Change("", first.pairs + second.pairs)]).inverse().pairs
        assert document.at(2).details.name == "Now"


def test_a_refused_change_changes_nothing(path: Path) -> None:
    with Document.create(path, Home.blank("Ours")) as document:
        home = document.home
        stale = verbs.edit(home, "home", name="Stale")
        document.do(verbs.edit(home, "home", name="Newer"))
        with pytest.raises(HomeError, match=r"Details has changed since; look at it again and repeat\."):
            document.do(stale)
        assert (document.revision, document.home.details.name) == (2, "Newer")


def test_listeners_hear_change_and_revision_until_they_stop(path: Path) -> None:
    with Document.create(path, Home.blank()) as document:
        heard: list[tuple[str, int]] = []
        stop = document.listen(lambda change, revision: heard.append((change.title, revision)))
        change = verbs.add_point(document.home, "socket")
        document.do(change)
        document.undo()
        stop()
        stop()
        document.redo()
        assert heard == [(change.title, 2), (change.title, 3)]


def test_marks_name_moments_and_the_latest_of_a_name_counts(path: Path) -> None:
    with Document.create(path, Home.blank("Ours")) as document:
        homes = grow(document, 1)
        document.mark("as left")
        document.mark("as found")
        grow(document, 1)
        document.mark("as left")
        grow(document, 1)
    with Document.open(path) as document:
        assert [(mark.name, mark.seq) for mark in document.marks()] == [("as found", 2), ("as left", 3)]
        assert document.at("as found") == homes[1]
        assert document.at(1) == homes[0]
        assert document.at(4) is document.home
        for when, sentence in (
            ("as it was", "There is no mark “as it was” in this home."),
            (0, "There is no edit 0 in this home; the last one is 4."),
            (5, "There is no edit 5 in this home; the last one is 4."),
        ):
            with pytest.raises(HomeError) as caught:
                document.at(when)  # type: ignore[arg-type]  # both kinds are meant
            assert str(caught.value) == sentence
        for name in ("", "  ", "two\nlines", "x" * 201, "half \ud800"):
            with pytest.raises(HomeError, match=r"A mark needs a name of 1 to 200 letters on one line\."):
                document.mark(name)


def test_a_picture_comes_with_the_change_that_names_it(path: Path) -> None:
    name = hash_of(PICTURE[1])
    with Document.create(path, Home.blank()) as document:
        document.do(verbs.add_storey(document.home, "Ground"))
        change = verbs.add_sheet(document.home, "G1", name, "image/png", 10, 10)
        with pytest.raises(HomeError, match=r"H1 shows a picture that isn't here; bring it in again\."):
            document.do(change)
        with pytest.raises(HomeError, match=r"A picture arrived altered; bring it in again\."):
            document.do(change, {name: ("image/png", b"other")})
        with pytest.raises(HomeError, match=r"Files of the kind text/html can't be kept in a home"):
            document.do(change, {name: ("text/html", PICTURE[1])})
        assert not document.home.table(Sheet)
        document.do(change, {name: PICTURE})
        document.undo()
        document.redo()
    with Document.open(path) as document:
        assert document.asset(name) == PICTURE[1]
        assert document.assets() == {name: PICTURE}
        with pytest.raises(FileError, match=r"has no picture 000000000000…; bring it in again\."):
            document.asset("0" * 64)


def test_a_home_that_is_not_whole_is_not_made_into_a_file(path: Path) -> None:
    with pytest.raises(HomeError, match="names P9, which is not in this home"):
        Document.create(path, Home.of([Point(id="P1", kind="switch", controls=("P9",))]))
    with pytest.raises(HomeError, match="shows a picture that isn't here"):
        Document.create(path, full_home()[0])
    assert not path.exists()


def test_pack_and_unpack_keep_home_marks_assets_and_numbers(path: Path, tmp_path: Path) -> None:
    home, assets = full_home()
    with Document.create(path, home, assets) as document:
        document.mark("as found")
        document.do(verbs.add_point(document.home, "light"))
        document.do(verbs.remove(document.home, "P11"))
        document.do(verbs.edit(document.home, "home", name="Renamed"))
        write_folder(tmp_path / "first", document.home, document.marked(), document.assets())
    form = read_folder(tmp_path / "first")
    with Document.create(tmp_path / "again.cmap", form.home, form.assets, form.marks) as packed:
        assert packed.home.next_id(Point) == "P12"
        assert packed.at("as found") == home
        assert packed.undo_title == "All since “as found”"
        write_folder(tmp_path / "second", packed.home, packed.marked(), packed.assets())
    assert tree(tmp_path / "first") == tree(tmp_path / "second")
    with Document.open(tmp_path / "again.cmap") as reopened:
        assert reopened.home.next_id(Point) == "P12"


def tree(path: Path) -> dict[str, bytes]:
    return {str(file.relative_to(path)): file.read_bytes() for file in path.rglob("*") if file.is_file()}


def test_in_memory_it_does_the_same_and_keeps_nothing() -> None:
    with Document.memory(marks=[MarkedHome("as found", "2026-01-05T09:30:00Z", Home.blank("Old"))]) as document:
        assert (document.path, document.read_only, document.read_only_why) == (None, False, "")
        homes = grow(document)
        document.undo()
        assert document.home == homes[-2]
        assert document.at("as found").details.name == "Old"


def test_a_text_form_opens_to_be_looked_at(tmp_path: Path) -> None:
    write_folder(tmp_path / "form", Home.blank("Ours"))
    with Document.open(tmp_path / "form") as document:
        why = "This is a text form, which can only be looked at; pack it into a home file to change it."
        assert document.home.details.name == "Ours"
        assert (document.read_only, document.read_only_why) == (True, why)
        with pytest.raises(FileError) as caught:
            document.do(verbs.edit(document.home, "home", name="Theirs"))
        assert str(caught.value) == f"This home: was not changed. {why}"


def test_a_whole_number_in_place_of_a_measure_is_found_again_at_its_mark(tmp_path: Path) -> None:
    home = Home.blank().apply(verbs.add_storey(Home.blank(), "Ground"))
    home = home.apply(verbs.add_point(home, "socket", Place(storey="G1", x_mm=0, y_mm=0, faces_deg=90)))
    path = tmp_path / "home.cmap"
    with Document.create(path, home) as document:
        document.mark("as found")
    with Document.open(path) as document:  # 90 is read as 90.0 now
        document.do(verbs.edit(document.home, "P1", name="Beside the door"))
        assert document.at("as found").take(Point, "P1") == home.take(Point, "P1")
        assert document.verify() == []
        document.undo()
        assert document.home.take(Point, "P1") == home.take(Point, "P1")
