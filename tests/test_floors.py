"""The contracts that keep the floors apart leave out no package: a new one must be named in them."""

import tomllib
from pathlib import Path

import pytest

import circuitmap

HERE = Path(circuitmap.__file__).parent
PROJECT = HERE.parent / "pyproject.toml"


@pytest.mark.parametrize(("contract", "free"), [("qt", {"cli", "desk"}), ("pint", {"quantities"})])
def test_every_package_but_those_meant_is_held_to_the_contract(contract: str, free: set[str]) -> None:
    rows = tomllib.loads(PROJECT.read_text(encoding="utf-8"))["tool"]["importlinter"]["contracts"]
    held = next(row["source_modules"] for row in rows if row["id"] == contract)
    packages = {path.parent.name for path in HERE.glob("*/__init__.py")}
    modules = {path.stem for path in HERE.glob("[!_]*.py")}
    assert {name.removeprefix("circuitmap.") for name in held} == (packages | modules) - free
