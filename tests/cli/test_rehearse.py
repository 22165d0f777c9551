"""``circuitmap rehearse``: the figures that the practised surveys themselves give."""

import json
import os
import re
import select
import signal
import subprocess
import sys
import time
from pathlib import Path
from statistics import median

import pytest

from circuitmap.cli.main import main
from circuitmap.home.exchange import open_home, write_folder
from circuitmap.home.records import Point
from circuitmap.memo import Memo
from circuitmap.places import sample_homes
from circuitmap.survey.method import Method, MethodKind
from circuitmap.survey.rehearsal import hide, invent, truth_of
from circuitmap.survey.rehearsal.rehearse import rehearse
from circuitmap.trade import load
from tests.build import Builder
from tests.cli.shell import environment

TERRACE = sample_homes() / "older-terrace"


def practised(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, object]:
    assert main(["rehearse", *arguments, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert isinstance(answer, dict)
    return answer


def test_invented_homes_are_surveyed_one_for_each_seed_and_beside_one_at_a_time(
    capsys: pytest.CaptureFixture[str],
) -> None:
    answer = practised(capsys, "--homes", "3", "--seed", "5", "--error", "0.02", "--manner", "gentle", "--ways", "8")
    assert (answer["home"], answer["surveys"], answer["error"]) == (None, 3, 0.02)
    assert answer["ways"] == {"least": 8, "most": 8}
    homes = [invent(seed, ways=8) for seed in (5, 6, 7)]
    trade = load()
    manners = answer["manners"]
    assert isinstance(manners, dict)
    assert list(manners) == ["gentle", "one at a time"]
    kinds: tuple[MethodKind, ...] = ("gentle", "one at a time")
    tallies = {
        kind: [
            rehearse(made.home, trade, made.truth, Method(kind), 0.02, seed) for seed, made in enumerate(homes, start=5)
        ]
        for kind in kinds
    }
    for kind, row in tallies.items():
        said = manners[kind]
        for key, values in (
            ("rounds", [t.rounds for t in row]), ("checks", [t.checks for t in row]),
            ("minutes", [t.minutes for t in row]), ("wrong", [t.wrong for t in row]),
            ("in_doubt", [t.doubtful for t in row]),
        ):  # fmt: skip
            assert said[key] == {"median": round(median(values), 2), "worst": round(max(values), 2)}
        assert said["points"] == sum(len(made.truth) for made in homes)
        assert said["points_right"] + said["points_wrong"] + said["points_in_doubt"] == said["points"]
    ratio = median(b.rounds / a.rounds for a, b in zip(tallies["gentle"], tallies["one at a time"], strict=True))
    assert answer["times_fewer"]["rounds"] == round(ratio, 2)  # type: ignore[index]  # an object beside two methods


def test_a_home_without_errors_is_surveyed_once_and_everything_comes_out_right(
    capsys: pytest.CaptureFixture[str],
) -> None:
    answer = practised(capsys, str(TERRACE), "--manner", "fewest")
    home = open_home(TERRACE)
    truth = truth_of(home, Memo(), load())
    assert (answer["surveys"], answer["points"]) == (1, {"least": len(truth), "most": len(truth)})
    fewest = answer["manners"]["fewest rounds"]  # type: ignore[index]  # an object
    assert fewest["points_right"] == len(truth)
    tally = rehearse(hide(home), load(), truth, Method())
    assert fewest["rounds"]["worst"] == tally.rounds
    assert main(["rehearse", str(TERRACE)]) == 0
    assert "it was made once" in " ".join(capsys.readouterr().out.split())


def test_with_errors_a_home_is_surveyed_with_one_seed_after_the_other(capsys: pytest.CaptureFixture[str]) -> None:
    whole = practised(capsys, str(TERRACE), "--error", "0.02", "--homes", "4", "--manner", "single")
    parts = [
        practised(capsys, str(TERRACE), "--error", "0.02", "--homes", "1", "--manner", "single", "--seed", str(seed))
        for seed in (1, 2, 3, 4)
    ]
    checks = [part["manners"]["one at a time"]["checks"]["worst"] for part in parts]  # type: ignore[index]  # objects
    assert len(set(checks)) > 1
    assert whole["manners"]["one at a time"]["checks"] == {  # type: ignore[index]  # an object
        "median": median(checks),
        "worst": max(checks),
    }
    assert whole["times_fewer"] is None


def test_points_whose_feed_nobody_knows_are_left_out_and_counted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    build = Builder("Half known")
    board = build.board("A")
    ways = [build.device(board, str(n), "MCB", 32) for n in (1, 2)]
    ground = build.storey()
    known = [build.point("socket", (ground, 1000 * x, 0)) for x in range(4)]
    for number, point in enumerate(known):
        build.run(ways[number % 2], point)
    build.point("socket", (ground, 9000, 0))
    assert len(build.home.table(Point)) == 5
    write_folder(tmp_path / "half", build.home)
    answer = practised(capsys, str(tmp_path / "half"))
    assert (answer["left_out"], answer["points"]) == (1, {"least": 4, "most": 4})
    assert main(["rehearse", str(tmp_path / "half")]) == 0
    assert "1 point was left out" in " ".join(capsys.readouterr().out.split())


def test_a_tripped_rcd_is_told_of(capsys: pytest.CaptureFixture[str]) -> None:
    answer = practised(capsys, "--homes", "2", "--ways", "9", "--seed", "3", "--trips")
    found = [
        rehearse(made.home, load(), made.truth, Method(), 0.0, seed, trips=True).trip
        for seed, made in ((3, invent(3, ways=9)), (4, invent(4, ways=9)))
    ]
    assert answer["manners"]["fewest rounds"]["trips_found"] == sum(map(bool, found))  # type: ignore[index]  # object


def test_words_stand_in_columns_with_median_and_worst(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rehearse", "--homes", "3", "--ways", "6-9", "--error", "0.02"]) == 0
    said = capsys.readouterr().out
    assert re.search(r"^ +fewest switch-offs +one at a time$", said, re.MULTILINE)
    assert re.search(r"^switch-offs +\d+, worst \d+ +\d+, worst \d+$", said, re.MULTILINE)
    assert re.search(r"^wrong at the end +\d+ of \d+ points", said, re.MULTILINE)
    assert "tripped" not in said
    assert "2 % of answers wrong" in said


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        *(([f"--error={bad}"], f"--error is the share of wrong answers, from 0 to under 0.5 such as 0.02, not “{bad}”.")
          for bad in ("nan", "0.5", "1", "-0.1", "inf", "two")),
        *(([f"--homes={bad}"], f"--homes is a number from 1 to 100000, not “{bad}”.") for bad in ("0", "-3", "many")),
        (["--ways", "9-3"], "--ways is a number or a range from 1 to"),
        (["--ways", "0"], "--ways is a number or a range from 1 to"),
        ([str(TERRACE), "--ways", "9"], "--ways is for invented homes"),
        (["--manner", "quick"], "“quick” is no method"),
    ],
)  # fmt: skip
def test_what_is_meant_wrongly_is_one_sentence_and_2(
    arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["rehearse", *arguments]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.startswith(f"circuitmap: {says}")
    assert captured.err.count("\n") == 1


def test_a_home_of_which_nothing_is_known_cant_be_practised_on(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write_folder(tmp_path / "bare", Builder("Bare").home)
    assert main(["rehearse", str(tmp_path / "bare")]) == 2
    assert "Nobody knows yet what feeds any point" in capsys.readouterr().err
    assert main(["rehearse", str(tmp_path / "nowhere")]) == 3


@pytest.mark.skipif(not hasattr(os, "openpty"), reason="needs a terminal to show progress on")
def test_progress_stands_on_a_terminal_and_control_c_ends_it_with_130() -> None:
    ours, theirs = os.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "circuitmap.cli.main", "rehearse", "--homes", "5000"],
        stdout=subprocess.PIPE, stderr=theirs, env=environment(),
    ) as process:  # fmt: skip
        os.close(theirs)
        shown, until = b"", time.monotonic() + 30
        while b"1 of 5000" not in shown and time.monotonic() < until:
            if select.select([ours], [], [], 1)[0]:
                shown += os.read(ours, 4096)
        assert b"1 of 5000" in shown
        process.send_signal(signal.SIGINT)
        assert process.wait(20) == 130
        assert process.stdout is not None
        assert process.stdout.read() == b""
        rest = os.read(ours, 4096)
    os.close(ours)
    assert rest.endswith(b"\r\x1b[K\r\nStopped.\r\n")
