"""``circuitmap draw`` with plans that are no PNG or JPEG: a page of a PDF rides along as a picture of it."""

import base64
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree as Tree

import pytest
from PIL import Image

from circuitmap.cli.main import main
from circuitmap.home import verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import write_folder
from circuitmap.home.records import Storey
from circuitmap.pictures import look
from tests.drawing.homes import two_storeys
from tests.pictures import pdfs

IMAGE = "{http://www.w3.org/2000/svg}image"
HREF = "{http://www.w3.org/1999/xlink}href"


@pytest.mark.parametrize("form", ["file", "folder"])
def test_the_page_that_is_meant_is_drawn_under_the_plan(tmp_path: Path, form: str) -> None:
    data = pdfs.pdf(b"0 g 0 0 1190 841 re f", b"0 g 0 0 595 841 re f", size=(842, 595))
    info = look(data, page=2)
    b, _ = two_storeys()
    storey = b.home.sorted(Storey)[0].id
    sheet = b.do(verbs.add_sheet(b.home, storey, info.sha256, info.media, info.width_px, info.height_px, info.page))
    b.do(verbs.set_scale(b.home, sheet, (4.0, 0, 0, 0, 4.0, 0, 0, 0, 1)))
    assets = {info.sha256: (info.media, data)}
    path = tmp_path / "home"
    if form == "file":
        Document.create(path, b.home, assets=assets).close()
    else:
        write_folder(path, b.home, assets=assets)
    out = tmp_path / "plan.svg"
    assert main(["draw", str(path), "-o", str(out)]) == 0
    (image,) = Tree.parse(out).iter(IMAGE)
    head, _, body = image.attrib[HREF].partition(",")
    assert head == "data:image/png;base64"
    with Image.open(BytesIO(base64.b64decode(body))) as picture:
        assert picture.size == (info.width_px, info.height_px)
        assert picture.getpixel((info.width_px // 4, 500)) == 0
        assert picture.getpixel((info.width_px * 3 // 4, 500)) == 255
