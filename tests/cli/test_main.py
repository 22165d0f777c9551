"""The way in: quick, light, one sentence for every error, the documented exit codes."""

import json
import signal
import subprocess
import sys
import types
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

import circuitmap
from circuitmap.cli import UsageError, main, printable
from circuitmap.errors import FileError, OurError
from circuitmap.places import sample_homes
from tests.cli.shell import child, environment, run_alone

HEAVY = ("PySide6", "pint", "networkx", "shapely", "scipy", "numpy", "PIL", "msgspec", "sqlite3")


def test_help_names_every_command_and_loads_nothing_heavy() -> None:
    done, loaded = run_alone("--help")
    assert done.returncode == 0
    for command in main.COMMANDS:
        assert f"  {command.name} " in done.stdout
    assert "circuitmap.cli.main" in loaded
    assert not [name for name in HEAVY if name in loaded]


@pytest.mark.parametrize(
    ("name", "also"), [("next-switch-off", "next-round"), ("practice", "rehearse"), ("properties", "shelf")]
)
def test_a_command_answers_to_its_other_name_too(name: str, also: str, capsys: pytest.CaptureFixture[str]) -> None:
    told = []
    for typed in (name, also):
        with pytest.raises(SystemExit) as caught:
            main.main([typed, "--help"])
        assert caught.value.code == 0
        told.append(capsys.readouterr().out)
    assert told[0].startswith(f"usage: circuitmap {name} ")
    assert told[0] == told[1]
    assert len(told[0].splitlines()) > 8  # its own options, too


@pytest.mark.parametrize(
    "arguments",
    [
        ["feeds", "HOME", "kitchen", "light", "--json"],
        ["feeds", "--json", "HOME", "kitchen", "light"],
        ["feeds", "HOME", "--json", "kitchen", "light"],
        ["feeds", "HOME", "kitchen", "--json", "light"],
        ["feeds", "--json", "--", "HOME", "kitchen", "light"],
    ],
)
def test_options_stand_anywhere_among_the_words(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    home = str(sample_homes() / "rented-flat")
    assert main.main([home if word == "HOME" else word for word in arguments]) in {0, 1}
    assert json.loads(capsys.readouterr().out)["asked"] == "kitchen light"


@pytest.mark.parametrize(
    "arguments",
    [
        ["check", ""],
        ["properties", " "],
        ["new", "Ours", "-o", ""],
        ["unpack", "HOME", "-o", ""],
        ["feeds", "", "light"],
    ],
)
def test_an_empty_name_is_not_the_folder_one_is_in(
    arguments: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    home = str(sample_homes() / "rented-flat")
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as caught:
        main.main([home if word == "HOME" else word for word in arguments])
    assert caught.value.code == 2
    said = capsys.readouterr()
    assert "the name is empty" in said.err
    assert (said.out, said.err.count("\n")) == ("", 1)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("command", ["new", "pack", "unpack"])
def test_a_command_loads_no_window_and_no_units(command: str, tmp_path: Path) -> None:
    code = (
        "import sys\nfrom circuitmap.cli.main import main\n"
        "home, form = sys.argv[1] + '/a.cmap', sys.argv[1] + '/form'\n"
        "assert main(['new', 'Ours', '-o', home]) == 0\n"
        "assert main(['unpack', home, '-o', form]) == 0\n"
        "assert main(['pack', form, '-o', home, '--replace']) == 0\n"
        "print('loaded:', *sorted(sys.modules))"
    )
    done = child(code, str(tmp_path))
    assert done.returncode == 0, done.stderr
    loaded = set(done.stdout.split())
    assert f"circuitmap.cli.{command}" in loaded
    assert not {"PySide6", "pint", "scipy", "networkx"} & loaded


@pytest.mark.parametrize("command", ["next-round", "rehearse"])
def test_planning_loads_no_window_no_units_and_nothing_heavier_than_numbers(command: str) -> None:
    done, loaded = run_alone(command, str(sample_homes() / "older-terrace"))
    assert done.returncode == 0, done.stderr
    assert f"circuitmap.cli.{command.replace('-', '_')}" in loaded
    assert not {"PySide6", "pint", "scipy", "PIL"} & loaded


def test_version_and_no_command() -> None:
    done = child("import sys; from circuitmap.cli.main import main; sys.exit(main(sys.argv[1:]))", "--version")
    assert (done.returncode, done.stdout) == (0, f"circuitmap {circuitmap.__version__}\n")
    done = child("import sys; from circuitmap.cli.main import main; sys.exit(main(sys.argv[1:]))")
    assert done.returncode == 0
    assert "unpack" in done.stdout


def test_a_wrong_command_or_argument_is_2(capsys: pytest.CaptureFixture[str]) -> None:
    for arguments in (["paint"], ["pack"], ["new", "x", "--colour"]):
        with pytest.raises(SystemExit) as caught:
            main.main(arguments)
        assert caught.value.code == 2
    said = capsys.readouterr().err.splitlines()
    assert len(said) == 3  # one sentence each, not every option there is
    assert "invalid choice: 'paint'" in said[0]
    assert said[1].endswith("“circuitmap pack --help” tells more.")


@pytest.mark.parametrize(
    ("error", "code", "says"),
    [
        (UsageError("Say one of C1, C2, FI, C3."), 2, "circuitmap: Say one of C1, C2, FI, C3.\n"),
        (FileError("x.cmap", "is not there."), 3, "circuitmap: x.cmap: is not there.\n"),
        (FileError("x.cmap", "label \x1b[2J\x07"), 3, "circuitmap: x.cmap: label \ufffd[2J\ufffd\n"),
        (OurError("Install it again."), 3, "circuitmap: Install it again.\n"),
        (KeyboardInterrupt(), 130, "\nStopped.\n"),
    ],
)
def test_errors_become_a_sentence_and_a_code(
    error: BaseException, code: int, says: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def run(_args: object) -> int:
        raise error

    module = types.SimpleNamespace(add_arguments=lambda _parser: None, run=run)
    monkeypatch.setitem(sys.modules, "circuitmap.cli.rules", module)  # type: ignore[arg-type]  # stands in for a module
    assert main.main(["rules"]) == code
    captured = capsys.readouterr()
    assert (captured.out, captured.err) == ("", says)


@contextmanager
def standing_in(body: str) -> Iterator["subprocess.Popen[bytes]"]:
    """The program in an interpreter of its own, with a command that does as told."""
    code = (
        "import sys, time, types\nfrom circuitmap.cli import main\n"
        f"def run(args):\n{body}\n    return 0\n"
        "sys.modules['circuitmap.cli.rules'] = types.SimpleNamespace(add_arguments=lambda p: None, run=run)\n"
        "sys.exit(main.main(['rules']))"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment()
    ) as process:
        yield process


def test_a_reader_that_goes_away_ends_it_quietly() -> None:
    with standing_in("    for n in range(100000):\n        print('line', n)") as process:
        assert process.stdout
        assert process.stderr
        process.stdout.readline()
        process.stdout.close()
        assert process.stderr.read() == b""
    assert process.returncode == 141


def test_control_c_ends_it_with_one_word() -> None:
    with standing_in("    print('ready', flush=True)\n    time.sleep(60)") as process:
        assert process.stdout
        assert process.stderr
        process.stdout.readline()
        process.send_signal(signal.SIGINT)
        assert process.stderr.read() == b"\nStopped.\n"
    assert process.returncode == 130


def test_a_label_cant_take_hold_of_the_terminal() -> None:
    assert printable("a\x1b]0;x\x07\u202eb\tc\nd") == "a\ufffd]0;x\ufffd\ufffdb\tc\nd"
    assert printable("مقابس 🧑‍🔧 Ω") == "مقابس 🧑‍🔧 Ω"


def test_a_folder_of_homes_is_no_home_to_open(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main.main(["new", "One", "-o", str(tmp_path / "one.cmap")]) == 0
    capsys.readouterr()
    assert main.main(["open", str(tmp_path)]) == 2
    assert "is a folder and no home: name one of the homes in it" in capsys.readouterr().err
