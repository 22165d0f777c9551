"""Survey records, job cards and what changed, page by page; with ``--looks DIR`` saved as pictures, colour and grey."""

from collections.abc import Iterator
from pathlib import Path

import pypdfium2 as pdfium
import pytest

from circuitmap.home import Home
from circuitmap.home.looked import look_at
from circuitmap.home.records import Board, Plate, Point
from circuitmap.paper import changes, job_card, record
from circuitmap.paper.wanted import Made
from circuitmap.places import sample_homes
from tests.paper.handed import HOSTILE, SAMPLES, hostile, sixty_ways, wanted

_SCALE = 1.6


def documents(name: str) -> Iterator[tuple[str, Made]]:
    with look_at(sample_homes() / name) as looked:
        home = looked.home
        yield "record", record.made(wanted(home, asset=looked.asset))[0]
        boxes = [home.sorted(Board)[0].id, home.sorted(Point)[0].id, *(plate.id for plate in home.sorted(Plate)[:1])]
        for box in boxes:
            yield f"job-card {box}", job_card.made(wanted(home, subject=box))[0]
        if len(looked.moments) > 1:
            (first, found), (last, left) = ((m.name, m.home()) for m in looked.moments[:2])
            yield "changes", changes.made(wanted(left, earlier=found, earlier_name=first, later_name=last))[0]


def odd() -> Iterator[tuple[str, Made]]:
    for what, home in (("hostile", hostile()), ("sixty", sixty_ways()), ("blank", Home.blank())):
        yield f"record {what}", record.made(wanted(home))[0]
        yield f"changes {what}", changes.made(wanted(home, earlier=Home.blank()))[0]
    yield "job-card hostile", job_card.made(wanted(hostile(), subject=f"P{2 * HOSTILE.index('x' * 300) + 1}"))[0]
    yield "job-card sixty", job_card.made(wanted(sixty_ways(), subject="B1"))[0]


@pytest.mark.parametrize("name", [*SAMPLES, "odd"])
def test_pages(request: pytest.FixtureRequest, name: str) -> None:
    folder: Path | None = request.config.getoption("--looks")
    for what, made in odd() if name == "odd" else documents(name):
        document = pdfium.PdfDocument(made.data)
        try:
            for number, page in enumerate(document, 1):
                picture = page.render(scale=_SCALE).to_pil()
                grey = picture.convert("L")
                # Nothing in the margins: no line and no letter is cut off by a printer (10 mm; common practice).
                edge = round(28 * _SCALE)
                wide, high = grey.size
                for strip in ((0, 0, edge, high), (wide - edge, 0, wide, high), (0, 0, wide, edge)):
                    assert grey.crop(strip).getextrema() == (255, 255), (what, number)
                if folder is not None:
                    folder.mkdir(parents=True, exist_ok=True)
                    stem = f"{what} {name} {number}".replace(" ", "-")
                    picture.save(folder / f"{stem}.png")
                    grey.save(folder / f"{stem}-grey.png")
        finally:
            document.close()
