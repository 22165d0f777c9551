"""The table of outlines prints what was measured, and saves pictures of the worst."""

from pathlib import Path

import pytest

from circuitmap.errors import PersonError
from tests.bench.outline_table import main
from tests.plans.drawn_ink import Grey


class Whole:
    """Takes the whole sheet for a room on the left half of it, and gives up on the right."""

    def __init__(self, grey: Grey) -> None:
        self.high, self.wide = grey.shape

    def room_at(self, x_px: float, y_px: float) -> "Whole":
        if x_px > self.wide / 2:
            raise PersonError("There is no closed room here.")
        return self

    @property
    def corners_px(self) -> list[tuple[float, float]]:
        return [(0.0, 0.0), (self.wide, 0.0), (self.wide, self.high), (0.0, self.high)]


def test_the_table_tells_of_all_and_of_each_feature_and_saves_the_worst(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said = ["--seeds", "2", "--from", "3", "--style", "longer side px=1100", "--style", "walls=hollow"]
    assert main([*said, "--save", str(tmp_path)], Whole) == 0
    out = capsys.readouterr().out
    assert "2 drawings" in out
    assert "walls: hollow " in out
    assert "difficulty: easy" in out
    assert "difficulty: medium" in out
    assert "There is no closed room here." in out
    assert "≥ 0.95   0.0%" in out
    assert len(list(tmp_path.glob("*.png"))) == 10


def test_the_real_plan_is_done_without_where_it_is_absent(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tests.bench.outline_table.PICTURE", tmp_path / "nowhere.png")
    assert main(["--real"], Whole) == 0
    assert "not beside this repository" in capsys.readouterr().out
