"""The text form: canonical, whole on the way back, and every problem said with its path."""

import json
import os
from pathlib import Path
from typing import Any

import pytest

from circuitmap.errors import FileError, TextFormError
from circuitmap.home import Home, verbs
from circuitmap.home import exchange as form
from circuitmap.home.assets import hash_of
from circuitmap.home.document import Document
from circuitmap.home.exchange import MarkedHome, open_home, read_folder, to_text, write_folder
from circuitmap.home.reading import read_text
from circuitmap.home.records import Point, Sheet, Storey
from tests.build import Builder
from tests.home.full import PICTURE, full_home

AT = "2026-01-05T09:30:00Z"


def folder(tmp_path: Path, text: str | bytes, name: str = "home") -> Path:
    path = tmp_path / name
    path.mkdir()
    (path / "home.json").write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def problems(text: str | bytes) -> list[str]:
    return read_text(text if isinstance(text, bytes) else text.encode()).problems


def test_the_canonical_form_has_one_record_a_line_defaults_left_out_and_ids_in_natural_order() -> None:
    build = Builder("7 Invented Lane")
    build.storey()
    for _ in range(10):
        build.point()
    text = to_text(build.home).decode().splitlines()
    assert text[:7] == [
        '{"circuitmap": 1,',
        ' "details": [',
        '  {"name":"7 Invented Lane"}',
        " ],",
        ' "storey": [',
        '  {"id":"G1","name":"Ground"}',
        " ],",
    ]
    assert [json.loads(line.rstrip(","))["id"] for line in text if '"P' in line] == [f"P{n}" for n in range(1, 11)]
    assert text[-2:] == [" ]", "}"]


def test_next_stands_there_only_where_a_record_that_is_gone_held_a_higher_number() -> None:
    build = Builder()
    first, second = build.point(), build.point()
    assert b"next" not in to_text(build.home)
    assert b"next" not in to_text(build.home.apply(verbs.remove(build.home, first)))
    without_last = build.home.apply(verbs.remove(build.home, second))
    assert b' "next": {"P":3}' in to_text(without_last)
    again = read_text(to_text(without_last))
    assert again.problems == []
    assert again.home.next_id(Point) == "P3"


def test_a_home_with_every_kind_and_field_comes_back_the_same(tmp_path: Path) -> None:
    home, assets = full_home()
    marks = (MarkedHome("as found", AT, Home.blank("Before")), MarkedHome("As found!", AT, home))
    write_folder(tmp_path / "a", home, marks, assets)
    again = read_folder(tmp_path / "a")
    assert again.home == home
    assert {(m.name, m.at) for m in again.marks} == {("as found", AT), ("As found!", AT)}
    assert again.assets == assets
    write_folder(tmp_path / "b", *again[:3])
    assert tree(tmp_path / "a") == tree(tmp_path / "b")
    assert sorted(path.name for path in (tmp_path / "a" / "marks").iterdir()) == ["as-found-2.json", "as-found.json"]
    assert open_home(tmp_path / "a") == home


def tree(path: Path) -> dict[str, bytes]:
    return {str(file.relative_to(path)): file.read_bytes() for file in path.rglob("*") if file.is_file()}


def test_labels_are_kept_letter_by_letter(tmp_path: Path) -> None:
    for label in ("<b>bold</b>", "x" * 10_000, "مقابس", "🔌🧑‍🔧", '\u2028 \\ " \u0000 \x1b'):
        build = Builder(label)
        again = read_text(to_text(build.home))
        assert again.problems == []
        assert again.home.details.name == label


def test_all_problems_are_listed_with_their_paths_not_the_first_only(tmp_path: Path) -> None:
    text = """{"circuitmap": 1,
     "storey": [{"id": "G1", "name": "Ground"}, {"id": "G1", "name": "Again"}, {"id": "G2"}],
     "lamps": [],
     "point": [{"id": "P1", "kind": "sockett", "gangs": "two", "colour": "red", "place": {"storey": "G1", "x_mm": 1.5}},
               {"id": "P2", "kind": "socket", "room": "M9"},
               {"id": "Q3", "kind": "socket"}, 7,
               {"id": "P4", "kind": "socket", "plate": "T1", "place": {"storey": "G1", "x_mm": 1, "y_mm": 2}}],
     "plate": {},
     "run": [{"id": "R1", "a": {"at": "P2"}, "b": {}}],
     "check": [{"id": "C1", "round": "S1", "point": "P1", "outcome": "off", "at": "now"}]}"""
    with pytest.raises(TextFormError) as caught:
        read_folder(folder(tmp_path, text))
    found = {problem.removeprefix("home.json: ") for problem in caught.value.problems}
    assert {
        "storey[1].id: G1 is already used by storey[0]",
        "storey[2].name: is missing",
        "point[0].kind: there is no word 'sockett'",
        "point[0].gangs: expected int, got str",
        "point[0].colour: a point has no such field",
        "point[0].place.x_mm: expected int, got float",
        "point[1]: names M9, which is not in this home",
        "point[2].id: expected the id of a point (P and a number)",
        "point[3]: must be a record in braces",
        "point[4]: Point P4 has both a place and a plate; take one of them away",
        "plate: must be a list of records",
        "run[0]: The second end of run R1 goes nowhere; join it, or say that nobody followed it",
        "check[0].at: expected an instant such as 2026-01-05T09:30:00Z",
    } <= found
    assert any(problem.startswith("lamps: there is no such kind of record") for problem in found)
    assert str(caught.value).startswith(f"{tmp_path / 'home'}: ")
    assert f"{len(caught.value.problems)} problems found, nothing was taken in." in str(caught.value)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "line 1, column 1: it is not JSON here (expecting value)"),
        ('{"circuitmap": 1,\n "details": [}', "line 2, column 14: it is not JSON here (expecting value)"),
        ("[]", 'it must be an object that starts with "circuitmap": 1'),
        ("{}", 'circuitmap: must be the number of the format; the first line is {"circuitmap": 1,'),
        ('{"circuitmap": true}', 'circuitmap: must be the number of the format; the first line is {"circuitmap": 1,'),
        (
            '{"circuitmap": 2, "new thing": []}',
            "circuitmap: it was written by a newer circuitmap (format 2; this one reads up to 1);"
            " update this program to read it",
        ),
        (b'{"circuitmap": 1, "details": [{"name": "\xff"}]}', "it is not UTF-8 text (byte 40)"),
        ('{"circuitmap": 1, "details": [{"name": "a", "name": "b"}]}', "details[0]: the name “name” stands twice"),
        ('{"circuitmap": 1, "circuitmap": 1}', "at the top: the name “circuitmap” stands twice"),
        ('{"circuitmap": 1, "supply": [{"id": "E1", "fuse_a": NaN}]}', "NaN is no number that can be kept"),
        ('{"circuitmap": 1, "supply": [{"id": "E1", "fuse_a": 1e999}]}', "1e999 is no number that can be kept"),
        (
            '{"circuitmap": 1, "supply": [{"id": "E1", "fuse_a": ' + "9" * 5000 + "}]}",
            "9" * 29 + "… is no number that can be kept",
        ),
        ('{"circuitmap": 1, "details": [{"name": "\\ud800"}]}', "details[0].name: holds half a character"),
        ('{"circuitmap": 1, "details": ' + "[" * 200_000, "it is nested too deeply to be a home"),
        ('{"circuitmap": 1, "details": ' + "[" * 960 + "]" * 960 + "}", None),
        (
            '{"circuitmap": 1, "point": [{"id": "P' + "9" * 5000 + '", "kind": "socket"}]}',
            "point[0].id: expected the id of a point (P and a number)",
        ),
        (
            '{"circuitmap": 1, "point": [{"id": "P1\\n", "kind": "socket"}]}',
            "point[0].id: expected the id of a point (P and a number)",
        ),
        ('{"circuitmap": 1, "next": {"P": 1}, "point": [{"id": "P1", "kind": "socket"}]}',
         "next.P: 1 is already used; the highest is P1"),
        ('{"circuitmap": 1, "next": {"p": 1}}', "next.p: must be a letter of a kind and the next number of its ids"),
        ('{"circuitmap": 1, "next": []}', 'next: must be an object such as {"P": 13}'),
        ('{"circuitmap": 1, "mark": {"name": "x", "at": "noon"}}',
         "mark.at: expected an instant such as 2026-01-05T09:30:00Z"),
        ('{"circuitmap": 1, "mark": {"name": "two\\nlines", "at": "2026-01-05T09:30:00Z"}}',
         'mark: must be an object such as {"name":"as found","at":"2026-01-05T09:30:00Z"}'),
        ('{"circuitmap": 1, "visit": [{"id": "V1", "day": "monday"}]}',
         "visit[0].day: expected a day such as 2026-01-05"),
    ],
)  # fmt: skip
def test_bad_text_gets_one_clear_sentence(text: str | bytes, sentence: str | None) -> None:
    found = problems(text)
    assert found
    if sentence is not None:
        assert sentence in found


def test_a_very_long_list_of_problems_is_cut(tmp_path: Path) -> None:
    text = json.dumps({"circuitmap": 1, "point": [{}] * 500})
    with pytest.raises(TextFormError) as caught:
        read_folder(folder(tmp_path, text))
    assert caught.value.problems[-1] == "and 800 more"  # 500 without id and without kind, 200 shown
    assert len(caught.value.problems) == 201


def home_with_sheet(asset: str) -> str:
    home = Home.of([Storey(id="G1", name="Ground"), Sheet(id="H1", storey="G1", asset=hash_of(b""))])
    return to_text(home).decode().replace(hash_of(b""), asset)


def test_an_asset_path_that_climbs_out_is_refused(tmp_path: Path) -> None:
    (tmp_path / "secret.png").write_bytes(b"secret")
    for climbing in ("../secret.png", "/etc/passwd", "..", "a/../../secret"):
        assert problems(home_with_sheet(climbing)) == [
            "sheet[0].asset: must be the SHA-256 of a file in assets (64 digits 0-9 a-f);"
            " other names and paths are not followed"
        ]


def asset_problems(path: Path) -> list[str]:
    with pytest.raises(TextFormError) as caught:
        read_folder(path)
    return list(caught.value.problems)


def test_a_missing_picture_is_named_and_all_else_is_taken_in(tmp_path: Path) -> None:
    home, assets = full_home()
    marks = [MarkedHome("as found", AT, home)]
    write_folder(tmp_path / "a", home, marks, assets)
    (lost,) = assets
    next((tmp_path / "a" / "assets").iterdir()).unlink()
    read = read_folder(tmp_path / "a")
    assert (read.home, [mark.home for mark in read.marks], read.assets) == (home, [home], {})
    assert list(read.missing) == [lost]
    assert read.missing[lost].startswith("home.json: ")
    packed = tmp_path / "home.cmap"
    with Document.create(packed, read.home, read.assets, read.marks, missing=read.missing) as document:
        assert document.home == home
        assert list(document.missing()) == [lost]
        with pytest.raises(FileError, match=r"has no picture .*; bring it in again\."):
            document.asset(lost)
        # The record that names it can be changed like any other, and the picture be brought in again.
        holder = document.missing()[lost]
        document.do(verbs.remove(document.home, holder))
        document.undo()
        document.do(verbs.edit(document.home, "home", name="Another name"), assets)
        assert document.missing() == {}
    with Document.open(packed) as document:
        assert document.asset(lost) == assets[lost][1]
    # What is known to be lost doesn't keep the text form from being written again.
    write_folder(tmp_path / "b", read.home, read.marks, read.assets, missing=read.missing)
    assert (tmp_path / "b" / "home.json").read_bytes() == (tmp_path / "a" / "home.json").read_bytes()
    assert list(read_folder(tmp_path / "b").missing) == [lost]


def test_an_altered_doubled_or_misnamed_asset_is_said(tmp_path: Path) -> None:
    name = hash_of(PICTURE[1])
    path = folder(tmp_path, home_with_sheet(name))
    assert read_folder(path).missing == {name: "home.json: sheet[0]"}
    (path / "assets").mkdir()
    (path / "assets" / f"{name}.png").write_bytes(b"other bytes")
    assert asset_problems(path) == [f"assets/{name}.png: its bytes don't fit its name; it was altered"]
    (path / "assets" / f"{name}.png").write_bytes(PICTURE[1])
    assert read_folder(path).assets == {name: PICTURE}
    (path / "assets" / f"{name}.jpg").write_bytes(PICTURE[1])
    (path / "assets" / "plan.png").write_bytes(PICTURE[1])
    assert asset_problems(path) == [
        f"assets/{name}.png: is there twice, also as {name}.jpg",
        "assets/plan.png: must be named by its SHA-256 and its kind, such as <64 digits>.png",
    ]


def test_links_pipes_and_huge_files_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    name = hash_of(PICTURE[1])
    outside = tmp_path / "outside.png"
    outside.write_bytes(PICTURE[1])
    path = folder(tmp_path, home_with_sheet(name))
    (path / "assets").mkdir()
    (path / "assets" / f"{name}.png").symlink_to(outside)
    with pytest.raises(FileError, match=r"is a link, and links are not followed; put the file itself there\."):
        read_folder(path)
    with pytest.raises(TextFormError, match="is a link, and links are not followed"):
        open_home(path)
    (path / "assets" / f"{name}.png").unlink()
    (path / "assets").rmdir()
    (path / "assets").symlink_to(tmp_path)
    with pytest.raises(
        FileError, match=r"assets: is a link, and links are not followed; put the folder itself there\."
    ):
        read_folder(path)

    linked = tmp_path / "linked"
    linked.mkdir()
    (linked / "home.json").symlink_to(path / "home.json")
    with pytest.raises(FileError, match=r"home\.json: is a link"):
        read_folder(linked)
    piped = tmp_path / "piped"
    piped.mkdir()
    os.mkfifo(piped / "home.json")
    with pytest.raises(FileError, match=r"home\.json: is not a file\."):
        read_folder(piped)
    monkeypatch.setattr(form, "LARGEST_TEXT_BYTES", 10)
    with pytest.raises(FileError, match="is too large"):
        read_folder(path)


def test_a_folder_that_is_none_or_holds_no_home_is_said(tmp_path: Path) -> None:
    with pytest.raises(FileError) as caught:
        read_folder(tmp_path / "nowhere")
    assert str(caught.value) == f"{tmp_path / 'nowhere'}: is not there; check the name."
    with pytest.raises(FileError) as caught:
        open_home(tmp_path)
    assert str(caught.value) == f"{tmp_path}: is a folder without a home.json, so it is no text form of a home."
    (tmp_path / "marks").write_text("no folder")
    (tmp_path / "home.json").write_text('{"circuitmap": 1}')
    with pytest.raises(FileError, match=r"marks: must be a folder\."):
        read_folder(tmp_path)


def test_a_mark_with_problems_is_said_with_its_file_and_two_of_a_name_are_refused(tmp_path: Path) -> None:
    path = folder(tmp_path, '{"circuitmap": 1}')
    (path / "marks").mkdir()
    (path / "marks" / "a.json").write_text('{"circuitmap": 1, "lamp": []}')
    (path / "marks" / "notes.txt").write_text("x")
    found = asset_problems(path)
    assert found[0].startswith("marks/a.json: lamp: there is no such kind of record")
    assert found[1] == "marks/notes.txt: is not a .json file; only marks go here"
    (path / "marks" / "notes.txt").unlink()
    named = to_text(Home.blank(), ("as found", AT))
    (path / "marks" / "a.json").write_bytes(named)
    (path / "marks" / "b.json").write_bytes(named)
    assert asset_problems(path) == ["marks/b.json: the mark “as found” stands in marks/a.json too"]


def test_a_mark_without_a_name_inside_goes_by_its_file(tmp_path: Path) -> None:
    path = folder(tmp_path, '{"circuitmap": 1}')
    (path / "marks").mkdir()
    (path / "marks" / "as left.json").write_text('{"circuitmap": 1}')
    assert [mark.name for mark in read_folder(path).marks] == ["as left"]


def test_an_id_that_only_a_mark_still_has_is_not_given_out_again(tmp_path: Path) -> None:
    build = Builder()
    build.point()
    write_folder(tmp_path / "a", Home.blank(), [MarkedHome("as found", AT, build.home)])
    assert read_folder(tmp_path / "a").home.next_id(Point) == "P2"


def test_nothing_that_is_there_is_overwritten(tmp_path: Path) -> None:
    home = Home.blank("New")
    path = folder(tmp_path, "mine")
    with pytest.raises(FileError) as caught:
        write_folder(path, home)
    assert str(caught.value) == f"{path}: is already there; choose another name."
    assert tree(path) == {"home.json": b"mine"}
    other = tmp_path / "other"
    other.mkdir()
    (other / "letters.txt").write_text("dear")
    for replaced in (other, other / "letters.txt"):
        with pytest.raises(FileError, match="is not a text form, so it is not replaced; choose another name"):
            write_folder(replaced, home, replace=True)
    with pytest.raises(FileError, match="has no folder to stand in; make the folder first"):
        write_folder(tmp_path / "no" / "such", home)
    assert tree(other) == {"letters.txt": b"dear"}


def test_replacing_takes_old_marks_and_assets_away_and_keeps_what_else_lies_there(tmp_path: Path) -> None:
    full, assets = full_home()
    write_folder(tmp_path / "a", full, [MarkedHome("as found", AT, full)], assets)
    (tmp_path / "a" / "README.md").write_text("its story")
    (tmp_path / "a" / "photos").mkdir()
    (tmp_path / "a" / "photos" / "x").write_text("x")
    write_folder(tmp_path / "a", Home.blank("New"), replace=True)
    assert set(tree(tmp_path / "a")) == {"home.json", "README.md", "photos/x"}
    assert read_folder(tmp_path / "a").home == Home.blank("New")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a"]


def test_a_write_that_fails_leaves_what_was_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_folder(tmp_path / "a", Home.blank("Old"))
    before = tree(tmp_path / "a")

    def full_disk(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("circuitmap.home.exchange.os.fsync", full_disk)
    with pytest.raises(FileError) as caught:
        write_folder(tmp_path / "a", Home.blank("New"), replace=True)
    assert str(caught.value) == (
        f"{tmp_path / 'a'}: can't be written: no space left on device. Nothing was changed there."
    )
    assert tree(tmp_path / "a") == before
    assert [path.name for path in tmp_path.iterdir()] == ["a"]


def test_a_missing_picture_stops_the_writing(tmp_path: Path) -> None:
    full, _ = full_home()
    with pytest.raises(FileError, match=r"was not written: the picture .* is missing"):
        write_folder(tmp_path / "a", full)
    assert list(tmp_path.iterdir()) == []


def test_data_of_an_earlier_format_is_upgraded_record_by_record(monkeypatch: pytest.MonkeyPatch) -> None:
    def renamed(data: dict[str, Any]) -> dict[str, Any]:
        return {("name" if key == "title" else key): value for key, value in data.items()}

    monkeypatch.setattr("circuitmap.home.upgrade.FORMAT", 2)
    monkeypatch.setattr("circuitmap.home.reading.FORMAT", 2)
    monkeypatch.setattr("circuitmap.home.upgrade.UPGRADES", {"details": {1: renamed}})
    old = read_text(b'{"circuitmap": 1, "details": [{"title": "Old words"}]}')
    assert old.problems == []
    assert old.home.details.name == "Old words"
    assert read_text(b'{"circuitmap": 2, "details": [{"title": "Old words"}]}').problems == [
        "details[0].title: a details has no such field"
    ]
