"""The published JSON Schema is that of the records, takes what we write, and refuses what is planted."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from circuitmap import places
from circuitmap.home.exchange import to_text
from circuitmap.home.schema import home_schema, schema_text
from tests.home.full import full_home

CHECKER = jsonschema.Draft202012Validator(home_schema())


def _data() -> dict[str, Any]:
    return json.loads(to_text(full_home()[0]))


def test_the_published_schema_is_current() -> None:
    published = Path(places.resources() / "home.schema.json").read_text(encoding="utf-8")
    assert published == schema_text(), "run: python -m circuitmap.home.schema > resources/home.schema.json"


def test_it_is_a_sound_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(home_schema())


def test_it_takes_what_we_write() -> None:
    assert list(CHECKER.iter_errors(_data())) == []
    assert list(CHECKER.iter_errors(json.loads(to_text(full_home()[0], ("as found", "2026-01-05T09:30:00Z"))))) == []


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("point", 0, "kind"), "sockett"),
        (("point", 0, "id"), "D1"),
        (("point", 0, "gangs"), 0),
        (("point", 0, "colour"), "red"),
        (("device", 0, "board"), "../B1"),
        (("device", 0, "rating_a"), "32"),
        (("sheet", 0, "asset"), "../../etc/passwd"),
        (("room", 0, "outline_mm"), [[0, 0, 0]]),
        (("visit", 0, "day"), "yesterday"),
        (("run", 0, "a"), None),
        (("details", 1), {"name": "another"}),
        (("lamp",), []),
        (("circuitmap",), 99),
        (("next",), {"P": 0}),
        (("mark",), {"name": "as found"}),
    ],
)
def test_it_refuses_planted_errors(path: tuple[str | int, ...], value: object) -> None:
    data = _data()
    inner: Any = data
    for step in path[:-1]:
        inner = inner[step]
    if isinstance(inner, list):
        inner.insert(int(path[-1]), value)
    else:
        inner[path[-1]] = value
    assert list(CHECKER.iter_errors(data))
