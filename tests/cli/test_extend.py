"""``circuitmap extend``: options in words and as JSON, exit codes, one sentence for wishes that can't be read."""

import json
from pathlib import Path

import pytest

from circuitmap.cli.main import main
from circuitmap.home.change import Change
from circuitmap.home.exchange import write_folder
from circuitmap.home.records import Extension
from tests.extension.extended import small_home, wish


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    path = tmp_path / "home"
    write_folder(path, small_home())
    return path


WISH = "twin socket, Lounge, wall 2, 1.4 m, 1100 mm"


def test_options_in_words(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["extend", str(folder), "--wish", WISH]) == 0
    said = " ".join(capsys.readouterr().out.split())
    for words in ("Before anything is added", "bonding (in order)", "A new way from the board", "R1+R2",
                  "competent person", "invented for the demonstration", "Look out for"):  # fmt: skip
        assert words in said
    assert "NOT SOUND" not in said


def test_what_is_required_has_two_names_on_the_command_line(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = []
    for name in ("--require", "--wish"):
        assert main(["extend", str(folder), name, WISH]) == 0
        said.append(capsys.readouterr().out)
    assert said[0] == said[1]
    assert "1 requirement." in said[0]


def test_options_for_a_program(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["extend", str(folder), "--wish", WISH, "--wish", "twin socket, Kitchen, wall 1, 2 m, 450 mm",
                 "--json"]) == 0  # fmt: skip
    answer = json.loads(capsys.readouterr().out)
    assert len(answer["wishes"]) == 2
    assert {each["subject"] for each in answer["first"]} >= {"supply", "earthing", "bonding", "RCD cover"}
    sound = [each for each in answer["options"] if each["sound"]]
    assert sound
    assert {tuple(each["wishes"]) for each in sound} == {(1, 2)}
    for each in sound:
        assert each["price"]["total"] == each["price"]["net"] + each["price"]["tax"]
        assert len(each["expected"]) == 2
        assert len(each["routes"]) == len(each["runs"])


def test_a_wish_that_no_option_does_gives_one(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["extend", str(folder), "--wish", "thermostat, Lounge, wall 2, 1.4 m, 1200 mm"]) == 1
    assert "plan it with what it works" in " ".join(capsys.readouterr().out.split())


def test_an_extension_of_the_home_is_taken(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    home = small_home()
    kept = Extension(id="X1", name="Kitchen", wishes=(wish(home, "M1", 0, 2000),))
    path = tmp_path / "kept"
    write_folder(path, home.apply(Change("", ((None, kept),))))
    assert main(["extend", str(path), "--extension", "X1"]) == 0
    assert "1 requirement." in capsys.readouterr().out
    assert main(["extend", str(path), "--extension", "X7"]) == 2
    assert "there are: X1" in capsys.readouterr().err


def test_how_the_work_is_done_is_as_the_extension_says_unless_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = small_home()
    kept = Extension(
        id="X1", name="Kitchen", wishes=(wish(home, "M1", 0, 2000),), lived_in=False, others_make_good=True
    )
    path = tmp_path / "kept"
    write_folder(path, home.apply(Change("", ((None, kept),))))

    def priced(*words: str) -> dict[str, float]:
        assert main(["extend", str(path), *words, "--json"]) == 0
        return {o["key"]: o["minutes"] for o in json.loads(capsys.readouterr().out)["options"] if o["sound"]}

    said = priced("--extension", "X1")
    assert said == priced("--extension", "X1", "--empty", "--making-good", "others")
    furnished = priced("--extension", "X1", "--lived-in")
    filled = priced("--extension", "X1", "--making-good", "included")
    assert said
    assert all(furnished[key] > minutes for key, minutes in said.items())
    assert all(filled[key] > minutes for key, minutes in said.items() if key.startswith("ring"))
    seen = priced("--extension", "X1", "--trunking")
    assert any(seen[key] < minutes for key, minutes in said.items() if key in seen)
    assert priced("--extension", "X1", "--hidden") == said


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        ([], 2, "Say what is required"),
        (["--wish", WISH, "--extension", "X1"], 2, "Say what is required"),
        (["--wish", "twin socket, Ballroom, wall 1, 1 m, 450 mm"], 2, "Ballroom"),
        (["--wish", "twin socket, Lounge, wall 9, 1 m, 450 mm"], 2, "wall"),
        (["--wish", ""], 2, "Nothing is said"),
    ],
)
def test_bad_input_is_one_sentence(
    folder: Path, words: list[str], code: int, says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["extend", str(folder), *words]) == code
    said = capsys.readouterr().err
    assert says in said
    assert "Traceback" not in said
    assert said.count("\n") == 1


def test_it_changes_nothing(folder: Path) -> None:
    before = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
    main(["extend", str(folder), "--wish", WISH])
    assert before == {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def test_a_wish_that_is_none_is_a_wrong_argument(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["extend", str(folder), "--wish", "gazebo, Lounge"]) == 2
    assert "no kind of point" in capsys.readouterr().err
