"""``circuitmap outline``: rooms as GeoJSON, sentences for clicks that find none.

Areas worked by hand: the living room of the test flat is 6 m × 4 m at 100 px a metre.
"""

import json
from pathlib import Path

import cv2
import pytest
import shapely
from shapely.geometry import shape

from circuitmap.cli.main import main
from tests.cli.shell import run_alone
from tests.plan.tracing.sheets import flat, furnished


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    path = tmp_path / "plan.png"
    cv2.imwrite(str(path), furnished(flat()))
    return path


def test_every_room_is_written_in_px_unless_said(picture: Path, tmp_path: Path) -> None:
    out = tmp_path / "rooms.geojson"
    assert main(["outline", str(picture), "-o", str(out)]) == 0
    answer = json.loads(out.read_text(encoding="utf-8"))
    assert (answer["type"], answer["units"], answer["y_axis"]) == ("FeatureCollection", "px", "down")
    areas = sorted(feature["properties"]["area_px2"] for feature in answer["features"])
    assert areas == pytest.approx([600 * 120, 380 * 540, 600 * 400], rel=0.01)
    for feature in answer["features"]:
        assert shape(feature["geometry"]).is_valid
        assert feature["geometry"]["coordinates"][0][0] == feature["geometry"]["coordinates"][0][-1]


def test_a_click_and_a_scale_give_one_room_in_metres(picture: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["outline", str(picture), "--at", "200,200", "--scale", "100 px = 1 m"]) == 0
    answer = json.loads(capsys.readouterr().out)
    (feature,) = answer["features"]
    assert answer["units"] == "m"
    assert feature["properties"]["click"] == [200.0, 200.0]
    assert feature["properties"]["area_m2"] == pytest.approx(24.0, abs=0.15)
    assert shape(feature["geometry"]).intersection(shapely.box(1, 1, 7, 5)).area == pytest.approx(24.0, abs=0.15)
    (door,) = [opening for opening in feature["properties"]["openings"] if opening["kind"] == "opening"]
    assert door["wall_thickness"] == pytest.approx(0.2, abs=0.03)


def test_a_click_that_finds_nothing_is_one_sentence_and_code_1(
    picture: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["outline", str(picture), "--at", "200,200", "--at", "5,5", "--at", "9999,5"]) == 1
    said = capsys.readouterr()
    assert len(json.loads(said.out)["features"]) == 1
    assert len(said.err.strip().splitlines()) == 2
    assert "it is outside" in said.err
    assert "is not on the picture" in said.err


def test_a_blank_sheet_gives_no_room_and_code_1(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "blank.png"
    blank = furnished(flat())
    blank[:] = 255
    cv2.imwrite(str(path), blank)
    assert main(["outline", str(path)]) == 1
    said = capsys.readouterr()
    assert json.loads(said.out)["features"] == []
    assert "Nothing is drawn" in said.err


@pytest.mark.parametrize(
    ("extra", "says"),
    [
        (["--at", "here"], "“here” is no place"),
        (["--scale", "1:50"], "“1:50” is no scale"),
        (["--scale", "0 px = 1 m"], "is no scale"),
        (["--page", "0"], "--page is 1 or more"),
    ],
)
def test_what_is_meant_wrongly_is_code_2(
    picture: Path, capsys: pytest.CaptureFixture[str], extra: list[str], says: str
) -> None:
    assert main(["outline", str(picture), *extra]) == 2
    assert says in capsys.readouterr().err


def test_a_folder_is_never_written_over(picture: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["outline", str(picture), "-o", str(tmp_path)]) == 2
    assert "is a folder" in capsys.readouterr().err


def test_a_picture_that_is_none_is_code_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "plan.png"
    path.write_bytes(b"no picture at all")
    assert main(["outline", str(path)]) == 3
    assert str(path) in capsys.readouterr().err


def test_line_work_of_an_svg_is_traced(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rects = "".join(
        f'<rect x="{x}" y="{y}" width="{w}" height="{h}" fill="none" stroke="black"/>'
        for x, y, w, h in [(60, 60, 1080, 620), (100, 100, 600, 400), (100, 520, 600, 120), (720, 100, 380, 540)]
    )
    path = tmp_path / "plan.svg"
    path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" width="1200" height="760">{rects}</svg>', "utf-8")
    assert main(["outline", str(path)]) == 0
    areas = sorted(f["properties"]["area_px2"] for f in json.loads(capsys.readouterr().out)["features"])
    by_hand = [600 * 120, 380 * 540, 600 * 400]
    assert [area / areas[-1] for area in areas] == pytest.approx([area / by_hand[-1] for area in by_hand], rel=0.03)


def test_help_loads_neither_the_image_library_nor_numpy() -> None:
    done, loaded = run_alone("outline", "--help")
    assert done.returncode == 0
    assert not {"cv2", "numpy", "PIL", "PySide6"} & loaded
