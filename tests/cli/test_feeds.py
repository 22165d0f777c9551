"""``circuitmap feeds``: the answer in words and as JSON, exit code 1 where nothing is called so."""

import json
from pathlib import Path

import pytest

from circuitmap.cli.main import main
from circuitmap.home import verbs
from circuitmap.home.exchange import open_home, read_folder, write_folder
from circuitmap.memo import Memo
from circuitmap.places import sample_homes
from circuitmap.plan.where import rooms_of_points

HOME = str(sample_homes() / "older-terrace")


def test_the_answer_names_the_way_and_what_else_goes_off(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["feeds", HOME, "kitchen", "light"]) == 0
    said = capsys.readouterr().out
    assert "stops working when A3 is off" in said
    assert "not proof that it is safe to touch" in said
    assert "Also off" in said
    assert max(map(len, said.splitlines())) <= 100


def test_json_holds_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["feeds", HOME, "router", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    (point,) = answer["points"]
    assert (point["id"], point["way"], point["rcds"][0]["trips_ma"]) == ("P5", "A5", 30)
    assert point["also_off"][0]["with"] == "A5"
    assert "P10" in [each["id"] for each in point["also_off"][0]["points"]]
    assert "not proof" in answer["caution"]


def test_what_nothing_is_called_gives_code_1_and_a_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["feeds", HOME, "swimming pool"]) == 1
    assert "Use the main switch" in capsys.readouterr().out


def test_long_names_stand_whole_and_lines_are_wrapped(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    home = open_home(sample_homes() / "older-terrace")
    name = "Socket behind the dresser that belonged to the last tenant"
    label = "Sockets downstairs and the garden store, but not the utility"
    room = "Kitchen with the long table by the garden windows"
    home = home.apply(verbs.edit(home, "P19", name=name))
    home = home.apply(verbs.edit(home, "D6", label=label))
    inside = rooms_of_points(home, Memo())["P19"]
    assert inside is not None
    home = home.apply(verbs.edit(home, inside.id, name=room))
    write_folder(tmp_path / "home", home, assets=read_folder(sample_homes() / "older-terrace").assets)
    assert main(["feeds", str(tmp_path / "home"), "P19"]) == 0
    said = capsys.readouterr().out
    words = " ".join(said.split())
    for each in (name, label, room):
        assert each in words
    assert "…" not in said
    assert max(map(len, said.splitlines())) <= 100
