"""``check``: findings in words or JSON, and the exit code that a script reads."""

import json
from pathlib import Path

import pytest

from circuitmap.cli.main import main
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import write_folder
from circuitmap.places import sample_homes
from tests.cli.shell import SLOW, run_alone
from tests.findings.ask import Wired
from tests.homes import PLANS, healthy


def stored(home: Home, path: Path) -> str:
    write_folder(path, home, [], {})
    return str(path)


@pytest.fixture
def bad(tmp_path: Path) -> str:
    return stored(planted().home, tmp_path / "bad")


def planted() -> Wired:
    """A scorched socket (C2), a loose one (C3), a supply page that nobody filled in (note)."""
    b = Wired("9 Invented Lane")
    room = b.room("Utility")
    way, points = b.way(), [b.put(room=room) for _ in range(3)]
    b.line(way, *points, way)
    b.see(points[0], "scorched")
    b.see(points[1], "loose accessory")
    return b


@pytest.mark.parametrize(("level", "code"), [(None, 1), ("C1", 0), ("C2", 1), ("FI", 1), ("C3", 1), ("note", 1)])
def test_the_exit_code_follows_the_level_asked_for(level: str | None, code: int, bad: str) -> None:
    assert main(["check", bad, *(["--at-least", level] if level else [])]) == code


def test_notes_alone_are_no_findings_by_default(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    home = stored(healthy(PLANS[17]), tmp_path / "healthy")
    assert main(["check", home]) == 0
    assert "no findings at C3 or above" in capsys.readouterr().out


def test_the_order_is_findings_by_severity_then_what_is_where_then_notes(
    bad: str, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["check", bad])
    out = capsys.readouterr().out
    lines = out.splitlines()
    assert lines[0] == "9 Invented Lane: 2 findings at C3 or above."
    heads = ["Suggested codes", "C2  potentially", "C3  improvement", "Notes"]
    places = [out.index(head) for head in heads]
    assert places == sorted(places)
    head = " ".join(lines[1:3])
    for words in ("for the inspector to decide", "computed from the map, not an inspection", "Nothing here is proof"):
        assert words in head
    assert "Why:" in out
    assert "Settle:" in out


def test_facts_stand_apart_and_never_raise_the_exit_code(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    b = Wired()
    b.supply()
    for _ in range(2):
        way = b.way(label="Sockets")
        points = b.twins(3)
        b.line(way, *points, way)
    home = stored(b.home, tmp_path / "facts")
    assert main(["check", home, "--at-least", "C3"]) == 0
    out = capsys.readouterr().out
    assert out.index("What's where (facts, never defects)") < out.index("Notes")
    assert "both labelled “Sockets”" in out


def test_the_same_home_prints_the_same_twice_from_folder_and_file(
    bad: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["check", bad])
    first = capsys.readouterr().out
    main(["check", bad])
    assert capsys.readouterr().out == first
    Document.create(tmp_path / "home.cmap", planted().home).close()
    main(["check", str(tmp_path / "home.cmap")])
    assert capsys.readouterr().out == first


def test_json_has_the_documented_fields_and_nothing_else(bad: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", bad, "--json"]) == 1
    answer = json.loads(capsys.readouterr().out)
    assert set(answer) == {"home", "level", "findings", "whats_where", "caution"}
    assert answer["home"] == "9 Invented Lane"
    assert answer["level"] == "C3"
    for finding in answer["findings"]:
        assert set(finding) == {
            "rule", "code", "subjects", "says", "why", "settle", "evidence", "aside", "ruling"
        }  # fmt: skip
    assert [f["code"] for f in answer["findings"][:2]] == ["C2", "C3"]
    assert "for the inspector to decide" in answer["caution"]


def test_a_finding_ruled_out_is_shown_as_such_and_no_longer_counts(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    b = planted()
    for rule, at in (("scorched", "P1"), ("loose-accessory", "P2")):
        b.do(verbs.rule_on(b.home, f"{rule}:{at}", "not so"))
    assert main(["check", stored(b.home, tmp_path / "ruled")]) == 0
    out = capsys.readouterr().out
    assert out.count("[ruled: not so]") == 2


def test_labels_are_plain_text_whatever_they_hold(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    b = planted()
    b.say(b.home.devices_on(b.box)[-1].id, label="\u202e<b>kitchen</b>\x1b[31m \N{FACE WITH TEARS OF JOY}" + "y" * 9000)
    b.see(b.home.devices_on(b.box)[-1].id, "damp")
    main(["check", stored(b.home, tmp_path / "odd")])
    out = capsys.readouterr().out
    assert "\x1b" not in out
    assert "\u202e" not in out
    assert len(out) < 20_000


def test_wrong_arguments_are_2_and_an_unreadable_home_is_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for arguments in (["check"], ["check", "x", "--at-least", "C9"]):
        with pytest.raises(SystemExit) as stopped:
            main(arguments)
        assert stopped.value.code == 2
    assert main(["check", str(tmp_path / "nowhere")]) == 3
    (tmp_path / "foreign.cmap").write_bytes(b"not a home at all" * 50)
    assert main(["check", str(tmp_path / "foreign.cmap")]) == 3
    err = capsys.readouterr().err
    assert "Traceback" not in err


def test_checking_a_home_loads_no_window_and_nothing_slow() -> None:
    """What keeps ``check`` quick; how long it takes depends on the machine and is measured in the benches."""
    home = next(path for path in sorted(sample_homes().iterdir()) if (path / "home.json").exists())
    done, loaded = run_alone("check", str(home))
    assert done.returncode in (0, 1)
    assert "circuitmap.findings" in loaded
    assert not loaded & {*SLOW, "circuitmap.survey.planner"}
