"""``circuitmap feeds``: the answer in words and as JSON, exit code 1 where nothing is called so."""

import json

import pytest

from circuitmap.cli.main import main
from circuitmap.places import sample_homes

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
