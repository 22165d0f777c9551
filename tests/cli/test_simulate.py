"""``circuitmap simulate``: the practice readings of the floor below, in words, as JSON, and in a copy of the home."""

import json
from pathlib import Path

import pytest

from circuitmap.circuits import views
from circuitmap.cli.main import main
from circuitmap.home.exchange import open_home, read_folder, write_folder
from circuitmap.home.records import Reading
from circuitmap.memo import Memo
from circuitmap.places import sample_homes
from circuitmap.readings.book import readings_of
from circuitmap.readings.simulate import Practice, simulate
from circuitmap.readings.told import parse_fault
from circuitmap.trade import load
from tests.readings.wired import reference


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The reference ring of five sockets on way A1, as a text form."""
    write_folder(tmp_path / "home", reference()[0].home)
    return tmp_path / "home"


def asked(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, object]:
    assert main(["simulate", *arguments, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert isinstance(answer, dict)
    return answer


def test_json_is_what_is_simulated_with_the_keys_that_are_promised(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = "open line between P2 and P3"
    answer = asked(capsys, str(folder), "--way", "a1", "--fault", words.upper(), "--noise", "2 %", "--seed", "5")
    assert list(answer) == [
        "home", "way", "device", "faults", "seed", "noise", "contact", "as_drawn", "into", "readings",
    ]  # fmt: skip
    assert (answer["way"], answer["faults"], answer["seed"], answer["noise"]) == ("A1", [words], 5, 0.02)
    home = open_home(folder)
    (view,) = views(home, load(), Memo())
    found = simulate(view, load(), [parse_fault(words, view, load())], Practice(5, 0.02), home=home)
    readings = answer["readings"]
    assert isinstance(readings, list)
    assert [each["typed"] for each in readings] == [each.typed for each in found]
    assert list(readings[0]) == ["test", "link", "cores", "at", "test_v", "value_ohm", "typed", "by_plug", "why"]
    assert readings[0] | {"why": ""} == {
        "test": "ring end to end", "link": None, "cores": ["L", "L"], "at": "D1", "test_v": None, "value_ohm": "open",
        "typed": "OL", "by_plug": False, "why": "",
    }  # fmt: skip


def test_words_name_the_fault_the_tests_and_their_units(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["simulate", str(folder), "--way", "A1", "--fault", "missing cpc in R3", "--as-drawn"]) == 0
    said = capsys.readouterr().out
    assert "With: missing cpc in R3." in said
    assert "r2, cpc        OL" in said
    assert "L–N cross-linked, Ω" in said
    assert "MΩ" in said
    assert "nothing was measured" in said
    assert all(len(line) <= 100 for line in said.splitlines())


def test_hiding_the_fault_changes_no_reading_and_says_it_nowhere(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["simulate", str(folder), "--way", "A1", "--fault", "bridge of 6 m between P1 and P5"]
    assert main(arguments) == 0
    shown = capsys.readouterr().out
    assert main([*arguments, "--hide"]) == 0
    hidden = capsys.readouterr().out
    assert "bridge" in shown
    assert "bridge" not in hidden
    assert shown.splitlines()[2:] == hidden.splitlines()[2:]
    answer = asked(capsys, *arguments[1:], "--hide")
    assert answer["faults"] is None
    assert "bridge" not in json.dumps(answer)


def test_tests_may_be_named_by_their_steps(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    def tests(named: str) -> set[tuple[str, str | None]]:
        answer = asked(capsys, str(folder), "--way", "A1", "--tests", named)
        readings = answer["readings"]
        assert isinstance(readings, list)
        return {(each["test"], each["link"]) for each in readings}

    assert tests("step 1") == {("ring end to end", None)}
    assert tests("Step 3, one leg") == {("linked", "cross"), ("linked", "one leg")}
    everything = {("ring end to end", None), ("linked", "cross"), ("linked", "one leg"), ("insulation", None)}
    assert tests("all") == everything
    assert tests("") == everything - {("linked", "one leg")}


def test_into_writes_a_copy_with_the_readings_and_leaves_the_home_alone(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    into = tmp_path / "practice.cmap"
    answer = asked(capsys, str(folder), "--way", "A1", "--fault", "links on the same leg", "--into", str(into))
    assert answer["into"] == str(into)
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before
    home = open_home(into)
    assert home.details.name.endswith("(practice)")
    (view,) = views(home, load(), Memo())
    book = readings_of(home, view, Memo())
    readings = answer["readings"]
    assert isinstance(readings, list)
    assert [entry.reading.typed for entry in book.entries] == [each["typed"] for each in readings]
    assert not book.problems
    # A copy of the copy has them beside the first ones, and its pictures and marks still.
    again = tmp_path / "again.cmap"
    assert main(["simulate", str(into), "--way", "A1", "--into", str(again)]) == 0
    assert len(open_home(again).table(Reading)) > len(home.table(Reading))


def test_pictures_and_marks_are_in_the_copy_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source = sample_homes() / "older-terrace"
    into, out = tmp_path / "practice.cmap", tmp_path / "out"
    assert main(["simulate", str(source), "--way", "A4", "--into", str(into)]) == 0
    assert main(["unpack", str(into), "-o", str(out)]) == 0
    capsys.readouterr()
    first, copy = read_folder(source), read_folder(out)
    assert first.assets.keys() == copy.assets.keys()
    assert [mark.name for mark in first.marks] == [mark.name for mark in copy.marks]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--way", "A9"], "No way is called “A9”; there are: A1."),
        (["--way", "A1", "--fault", "mice"], "“mice” isn't understood as a fault"),
        (["--way", "A1", "--fault", "open line between P1 and P77"], "P77 isn't on A1"),
        (["--way", "A1", "--fault", "bridge of 6 kg between P1 and P2"], "kg is a weight"),
        (["--way", "A1", "--noise", "60%"], "--noise is a share of the reading such as 1% or 0.01"),
        (["--way", "A1", "--noise", "loud"], "--noise is a share of the reading"),
        (["--way", "A1", "--tests", "radial"], "A1 has no test called “radial” to simulate"),
    ],
)
def test_what_makes_no_sense_is_one_sentence_and_code_2(
    folder: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], says: str
) -> None:
    assert main(["simulate", str(folder), *arguments]) == 2
    said = capsys.readouterr()
    assert says in said.err
    assert said.err.count("\n") == 1
    assert not said.out


def test_a_file_that_is_there_is_not_written_over(folder: Path, tmp_path: Path) -> None:
    into = tmp_path / "practice.cmap"
    into.write_text("mine")
    assert main(["simulate", str(folder), "--way", "A1", "--into", str(into)]) == 2
    assert into.read_text() == "mine"


def test_a_home_that_is_not_there_is_code_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["simulate", str(tmp_path / "none"), "--way", "A1"]) == 3
    assert capsys.readouterr().err.count("\n") == 1
