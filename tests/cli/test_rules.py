"""``rules``: every rule listed with its reason, source and edition, in words and as JSON."""

import json

import pytest

from circuitmap.cli.main import main
from circuitmap.findings import RULES
from tests.cli.shell import SLOW, run_alone


def test_every_rule_is_listed_under_its_family(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules"]) == 0
    out = capsys.readouterr().out
    families = list(dict.fromkeys(rule.family for rule in RULES))
    places = [out.index(f"{family.capitalize()}\n") for family in families]
    assert places == sorted(places)
    for rule in RULES:
        (line,) = [line for line in out.splitlines() if line.strip().startswith(f"{rule.code} ")]
        assert rule.title in line
        assert (rule.severity in line) or rule.aside
    assert out.count("Source: ") == len(RULES)
    assert "for the inspector" in out


def test_json_lists_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)
    assert [row["code"] for row in rows] == [rule.code for rule in RULES]
    for row in rows:
        assert set(row) == {"code", "family", "title", "suggests", "whats_where", "why", "source", "edition"}
        assert all(row[name] for name in row if name != "whats_where")


def test_what_is_where_is_told_apart(capsys: pytest.CaptureFixture[str]) -> None:
    main(["rules"])
    lines = capsys.readouterr().out.splitlines()
    (line,) = [line for line in lines if line.strip().startswith("shared-box ")]
    assert "what's where" in line


def test_listing_rules_loads_no_window_and_nothing_slow() -> None:
    done, loaded = run_alone("rules")
    assert done.returncode == 0
    assert "circuitmap.findings" in loaded
    assert not loaded & SLOW


def test_no_home_is_wanted() -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["rules", "home.cmap"])
    assert stopped.value.code == 2
