"""Walls with routes and measures for marking out, light and dark; with ``--looks DIR`` saved as pictures."""

import io
from pathlib import Path

import pytest
import typst
from font_source_sans_pro import font_directory
from PIL import Image

from circuitmap.drawing.elevation import elevation, elevation_svg, faces_to_draw
from circuitmap.drawing.palette import Theme, colour
from circuitmap.extension.stray import strays
from circuitmap.memo import Memo
from tests.drawing.test_elevation import SLANTING
from tests.drawing.walls_seen import MARKED, kitchen, paths
from tests.extension.routed import TRADE

PAGE = b'#set page(width: auto, height: auto, margin: 0pt)\n#image("wall.svg")'


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_walls(theme: Theme, request: pytest.FixtureRequest) -> None:
    home = kitchen()
    routes = paths(home)
    stray = strays(home, Memo(), TRADE, SLANTING)
    for number, face in enumerate(faces_to_draw(home, Memo(), TRADE, MARKED, routes)):
        made = elevation(home, Memo(), TRADE, face, marked=MARKED, paths=routes, strays=stray)
        svg = elevation_svg(made, theme=theme).encode()
        png = typst.compile(
            {"main.typ": PAGE, "wall.svg": svg}, format="png", ppi=120, font_paths=[font_directory]
        )  # fmt: skip
        assert isinstance(png, bytes)
        image = Image.open(io.BytesIO(png)).convert("RGB")
        assert image.getpixel((2, 2)) == tuple(bytes.fromhex(colour("paper", theme)[1:]))
        shown = {rgb for _, rgb in image.getcolors(1 << 20) or ()}
        assert tuple(bytes.fromhex(colour("accent", theme)[1:])) in shown
        folder: Path | None = request.config.getoption("--looks")
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            image.save(folder / f"elevation-{number}-{theme}.png")
