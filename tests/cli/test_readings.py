"""``circuitmap readings``: what the floors below say of a way's readings, in words and as JSON."""

import json
import math
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from circuitmap.circuits import CircuitView, views
from circuitmap.cli.main import main
from circuitmap.home import Home, verbs
from circuitmap.home.exchange import open_home, write_folder
from circuitmap.home.records import End
from circuitmap.memo import Memo
from circuitmap.places import sample_homes
from circuitmap.readings.causes import CAUSE_WORDS
from circuitmap.readings.diagnose import diagnose
from circuitmap.readings.judged import judged
from circuitmap.trade import load
from tests.cli.shell import run_alone
from tests.readings.recorded import Taken
from tests.readings.wired import Wired, reference

KEYS = [
    "way", "device", "label", "shape", "readings", "expected", "before_after", "problems", "verdicts", "diagnosis",
    "order", "hunt",
]  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The reference ring of five sockets on way A1, as a text form, nothing read yet."""
    write_folder(tmp_path / "home", reference()[0].home)
    return tmp_path / "home"


def practised(folder: Path, *faults: str, tests: str = "all", seed: str = "1") -> Path:
    """A copy of the home with practice readings on A1."""
    into = folder.parent / "practice.cmap"
    told = [word for fault in faults for word in ("--fault", fault)]
    assert (
        main(["simulate", str(folder), "--way", "A1", "--tests", tests, "--seed", seed, "--into", str(into), *told])
        == 0
    )
    return into


Json = dict[str, Any]  # whatever JSON holds: the tests look into it


def asked(capsys: pytest.CaptureFixture[str], *arguments: str) -> Json:
    capsys.readouterr()
    assert main(["readings", *arguments, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert isinstance(answer, dict)
    assert list(answer) == ["home", "ways", "supply", "caution"]
    return answer


def way_of(answer: Json) -> Json:
    ways = answer["ways"]
    assert isinstance(ways, list)
    (way,) = ways
    assert list(way) == KEYS
    assert isinstance(way, dict)
    return way


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    capsys.readouterr()
    assert main(["readings", *arguments]) == 0
    words = capsys.readouterr().out
    assert all(len(line) <= 100 for line in words.splitlines())
    return words


def the_way(path: Path) -> tuple[Home, CircuitView]:
    home = open_home(path)
    return home, views(home, load(), Memo())[0]


def test_json_of_an_open_line_has_it_open_where_it_is_infinite_and_a_cause_with_its_place(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    way = way_of(asked(capsys, str(practised(folder, "open line between P2 and P3")), "--way", "A1"))
    line, neutral = way["readings"][:2]
    assert (line["test"], line["cores"], line["value_si"], line["off_by_sd"]) == (
        "ring end to end", ["L", "L"], 1999.0, "open",
    )  # fmt: skip
    assert (line["bound"], line["word"], neutral["word"]) == (">", "open", "fits")
    assert line["expected_ohm"] == pytest.approx(0.4446)
    diagnosis = way["diagnosis"]
    (first, *_) = diagnosis["causes"]
    assert (first["kind"], first["cores"], first["runs"]) == ("open core", ["L"], ["R3"])
    assert diagnosis["is_settled"] is True


def test_json_is_what_the_floors_below_say(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = practised(folder, "P3 on a spur of 5 m", tests="step 1, step 2")
    way = way_of(asked(capsys, str(path), "--way", "A1"))
    home, view = the_way(path)
    found = diagnose(home, view, load(), Memo())
    diagnosis = way["diagnosis"]
    assert [each["says"] for each in diagnosis["causes"]] == [each.says for each in found.causes]
    assert [each["probability"] for each in diagnosis["causes"]] == pytest.approx(
        [each.probability for each in found.causes], abs=1e-6
    )
    assert [each["says"] for each in diagnosis["next"]] == [each.says for each in found.next]
    odds = sum(each["probability"] for each in diagnosis["causes"]) + diagnosis["others"]
    assert odds == pytest.approx(1, abs=1e-4)
    assert all(each["kind"] in CAUSE_WORDS for each in diagnosis["causes"])
    verdicts = judged(home, view, load(), Memo(), by_map=False)
    assert [(each["level"], each["says"]) for each in way["verdicts"]] == [
        (each.verdict.level, each.verdict.says) for each in verdicts
    ]


def test_json_has_only_numbers_that_json_knows(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = practised(folder, "cut cable between P2 and P3", "low insulation of 0.3 megohm between line and cpc at P1")
    answer = asked(capsys, str(path), "--way", "A1", "--order", "--hunt")
    for figure in numbers(answer):
        assert math.isfinite(figure)
    for home in ("older-terrace", "bungalow-tt", "rented-flat"):
        for figure in numbers(asked(capsys, str(sample_homes() / home))):
            assert math.isfinite(figure)


def numbers(held: object) -> Iterator[float]:
    if isinstance(held, float | int):
        yield held
    elif isinstance(held, dict):
        for each in held.values():
            yield from numbers(each)
    elif isinstance(held, list):
        for each in held:
            yield from numbers(each)


def test_words_are_a_table_with_its_units_and_the_likeliest_cause(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = said(capsys, str(practised(folder, "open line between P2 and P3")), "--way", "A1")
    assert "Conductor    Expected, Ω  ± sd, Ω  Read, Ω  Off by, sd  Fit" in words
    assert "r1, line            0.44" in words
    assert "L–N, cross-linked" in words
    assert "Insulation L–E 500 V  Board  >200 MΩ" in words
    assert "The ring is broken: line is open end to end." in words
    causes = words.partition("Likely causes")[2].splitlines()
    assert "P2 and P3" in causes[2]
    assert "not an inspection" in words


def test_a_healthy_ring_is_said_to_be_as_drawn(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = practised(folder)
    way = way_of(asked(capsys, str(path), "--way", "A1"))
    diagnosis = way["diagnosis"]
    assert diagnosis["causes"][0]["kind"] == "healthy"
    assert {each["word"] for each in way["readings"] if each["expected_ohm"] is not None} == {"fits"}


def test_a_way_without_readings_is_one_line_unless_it_is_named(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = said(capsys, str(folder))
    assert "A1: ring, 5 points, no readings" in words
    assert "0.4" not in words
    words = said(capsys, str(folder), "--way", "a1")
    # Source: CHECKS.md section 2b, the reference network: 0.4446 and 0.7260 Ω end to end; step 3 from 0.2757 on.
    assert "r1, line            0.44" in words
    assert "r2, cpc             0.73" in words
    assert "0.22 ± " in words
    assert "0.28 ± " in words
    way = way_of(asked(capsys, str(folder), "--way", "A1"))
    assert way["readings"] == []
    assert [each["expected_ohm"] for each in way["expected"][:3]] == pytest.approx([0.4446, 0.4446, 0.7260], abs=1e-4)


def test_what_is_open_or_cannot_be_told_is_said_once_with_its_points(capsys: pytest.CaptureFixture[str]) -> None:
    words = said(capsys, str(sample_homes() / "bungalow-tt"), "--way", "A3")
    assert "–: No run drawn from A3 leads to P3, P4, P10, P26, so what it should read" in " ".join(words.split())


def test_a_map_without_lengths_gives_null_and_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wired = Wired()
    sockets = [wired.point() for _ in range(8)]
    stops: list[str | End] = [End(at=wired.way_id, leg=1), *sockets, End(at=wired.way_id, leg=2)]
    for a, b in pairwise(stops):
        wired.length(a, b, None)
    write_folder(tmp_path / "home", wired.home)
    way = way_of(asked(capsys, str(tmp_path / "home"), "--way", "A1"))
    assert {each["expected_ohm"] for each in way["expected"]} == {None}
    assert all("no length on the map" in each["why"] for each in way["expected"])
    words = said(capsys, str(tmp_path / "home"), "--way", "A1")
    assert "–: Can't be told: R1 has no length on the map" in words
    assert "more such reasons; --json has them all" in words


def test_a_thousand_points_are_told_and_not_weighed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wired = Wired()
    wired.ring(*[1] * 1001)
    write_folder(tmp_path / "home", wired.home)
    path = practised(tmp_path / "home", "open line between P500 and P501", tests="step 1")
    words = said(capsys, str(path), "--way", "A1")
    assert "The ring is broken: line is open end to end." in words
    assert "A1 has 1000 points: which of so many places explains its readings isn't weighed" in words


def test_the_order_is_printed_when_asked_for_and_says_why_it_cannot_be(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    way = way_of(asked(capsys, str(practised(folder)), "--way", "A1", "--order"))
    order = way["order"]
    assert order["order"] == ["P1", "P2", "P3", "P4", "P5"]
    assert order["problem"] == ""
    assert order["loop_m"] == pytest.approx(60, rel=0.15)
    bare = way_of(asked(capsys, str(folder), "--way", "A1", "--order"))["order"]
    assert bare["problem"]
    assert bare["placed"] == []
    assert way_of(asked(capsys, str(folder), "--way", "A1"))["order"] is None
    assert "Order round the ring by the two sweeps" in said(capsys, str(folder), "--way", "A1", "--order")


def test_the_hunt_begins_with_what_is_plugged_in(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = practised(folder, "low insulation of 0.3 megohm between neutral and cpc at P4")
    words = said(capsys, str(path), "--way", "A1", "--hunt")
    assert "Unplug everything" in words
    assert "Caution: Isolate the circuit, lock it off and prove it dead" in words
    step = way_of(asked(capsys, str(path), "--way", "A1", "--hunt"))["hunt"]
    assert step["kind"] == "unplug"
    assert step["read"]


def test_before_and_after_the_work_stand_side_by_side(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    taken = Taken()
    taken.read("ring end to end", "0.80", "L", "L", at=taken.ring)
    taken.come("2026-02-01", "after work")
    taken.read("ring end to end", "0.40", "L", "L", at=taken.ring)
    taken.do(verbs.edit(taken.home, taken.board_id, "Name", name="Hall"))
    write_folder(tmp_path / "home", taken.home)
    words = said(capsys, str(tmp_path / "home"), "--way", "A1")
    assert re.search(r"End to end at the board +r1, line +0\.80 Ω +0\.40 Ω +Lower", words)
    way = way_of(asked(capsys, str(tmp_path / "home"), "--way", "A1"))
    assert [each["compared_as"] for each in way["before_after"]] == ["lower"]
    assert [each["value_si"] for each in way["readings"]] == [0.4]


def test_what_makes_no_sense_is_one_sentence_and_code_2(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for arguments, says in (
        (["--way", "A7"], "No way is called “A7”; there are: A1."),
        (["--hunt"], "name it by --way"),
    ):
        assert main(["readings", str(folder), *arguments]) == 2
        err = capsys.readouterr().err
        assert says in err
        assert err.count("\n") == 1
    assert main(["readings", str(folder / "none")]) == 3


def test_it_loads_no_window_and_no_units(folder: Path) -> None:
    done, loaded = run_alone("readings", str(practised(folder)))
    assert done.returncode == 0, done.stderr
    assert not {"PySide6", "pint", "PIL"} & loaded


def test_what_belongs_to_no_way_is_told_beside_the_ways(capsys: pytest.CaptureFixture[str]) -> None:
    home = str(sample_homes() / "bungalow-tt")
    supply = asked(capsys, home)["supply"]
    tests = {each["test"] for each in supply["readings"]}
    assert "earth electrode" in tests
    assert "RCD trip" in tests
    assert supply["verdicts"]
    assert asked(capsys, home, "--way", "A2")["supply"] is None
    assert main(["readings", home]) == 0
    out = capsys.readouterr().out
    assert "Supply and boards" in out
    assert "Earth electrode" in out
