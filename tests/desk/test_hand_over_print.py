"""Printing documents: onto a printer that writes a file, which independent readers then hold beside the document."""

from pathlib import Path
from typing import Final

import pypdf
import pypdfium2
import pytest
from PIL import Image, ImageChops
from PySide6.QtPrintSupport import QPrinter

from circuitmap.desk import prefs
from circuitmap.desk.handing import printing
from circuitmap.desk.window import Window
from circuitmap.home import Home
from circuitmap.home.exchange import read_folder
from circuitmap.places import sample_homes
from tests.desk.conftest import Opened
from tests.desk.driving import click, press
from tests.desk.handed import come, settled, until
from tests.paper.invented import PAGES, SLOW

Patch = pytest.MonkeyPatch
_MM_PER_POINT: Final = 25.4 / 72


@pytest.fixture
def printer(monkeypatch: Patch, tmp_path: Path) -> Path:
    """Two printers; what either prints is in the file given."""
    path = tmp_path / "printed.pdf"

    def printer_of(name: str) -> QPrinter:
        made = QPrinter(QPrinter.PrinterMode.HighResolution)
        made.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        made.setOutputFileName(str(path))
        assert name in ("Attic", "Kitchen")
        return made

    monkeypatch.setattr(printing, "printer_names", lambda: (["Attic", "Kitchen"], "Kitchen"))
    monkeypatch.setattr(printing, "printer_of", printer_of)
    return path


def ready(window: Window) -> None:
    until(lambda: window.hand_over.printing.is_known)


def pixels(path: Path, page: int, scale: float) -> Image.Image:
    document = pypdfium2.PdfDocument(path)
    try:
        return document[page].render(scale=scale).to_pil().convert("L")
    finally:
        document.close()


def test_pages_come_out_true_to_size_and_sharp(
    opened: Opened, monkeypatch: Patch, printer: Path, tmp_path: Path
) -> None:
    window = opened(read_folder(sample_homes() / "older-terrace").home)
    stage = come(window, (PAGES,), monkeypatch)
    ready(window)
    assert stage.printer.currentText() == "Kitchen"  # the usual one
    click(window, stage.print_button)
    until(lambda: settled(window))
    window.hand_over.saving.set_folder(str(tmp_path / "saved"))
    click(window, stage.save_button)
    until(lambda: settled(window))
    saved = next((tmp_path / "saved").iterdir())
    printed, document = pypdf.PdfReader(printer), pypdf.PdfReader(saved)
    assert len(printed.pages) == len(document.pages) > 1
    for one, other in zip(printed.pages, document.pages, strict=True):
        for side, wanted in zip(one.mediabox[2:], other.mediabox[2:], strict=True):
            assert float(side) * _MM_PER_POINT == pytest.approx(float(wanted) * _MM_PER_POINT, abs=0.4)
        image = next(iter(one.images)).image
        assert image is not None
        assert image.width / (float(one.mediabox[2]) / 72) >= 299  # dots an inch
    # Laid over each other they are the same picture, so nothing is shifted, turned or scaled.
    for page in range(len(document.pages)):
        one, other = pixels(printer, page, 1.0), pixels(saved, page, 1.0)
        apart = ImageChops.difference(one.resize(other.size), other)
        assert sum(apart.histogram()[96:]) / (other.width * other.height) < 0.004


def test_a_landscape_page_is_printed_landscape(opened: Opened, small: Home, monkeypatch: Patch, printer: Path) -> None:
    window = opened(small)
    stage = come(window, (PAGES,), monkeypatch)
    ready(window)
    stage.choices._save("turned", "landscape")
    stage.choices._save("size", "A3")
    until(lambda: settled(window))
    window.actions_["print-paper"].trigger()
    until(lambda: settled(window))
    wide, high = (float(side) * _MM_PER_POINT for side in pypdf.PdfReader(printer).pages[0].mediabox[2:])
    assert (wide, high) == pytest.approx((420, 297), abs=0.5)  # ISO 216


def test_another_printer_is_chosen_by_keys_and_remembered(
    opened: Opened, small: Home, monkeypatch: Patch, printer: Path
) -> None:
    from PySide6.QtCore import Qt

    window = opened(small)
    stage = come(window, (PAGES,), monkeypatch)
    ready(window)
    press(stage.printer, Qt.Key.Key_Down)
    press(stage.printer, Qt.Key.Key_Return)
    assert window.hand_over.printing.chosen == "Attic"
    assert prefs.load().printer == "Attic"
    click(window, stage.print_button)
    until(lambda: settled(window))
    pages = window.hand_over.preview.pages.count
    assert window.message == f"Sent {pages} page{'s' if pages > 1 else ''} of Room list to Attic."
    assert printer.exists()


def test_printing_tells_how_far_it_is_and_is_stopped(opened: Opened, monkeypatch: Patch, printer: Path) -> None:
    window = opened(read_folder(sample_homes() / "older-terrace").home)
    stage = come(window, (PAGES,), monkeypatch)
    ready(window)
    click(window, stage.print_button)
    until(lambda: stage.busy_says.startswith("Printing page"))
    assert not stage.print_button.isEnabled()
    assert not stage.save_button.isEnabled()
    click(window, stage.stop_button)
    until(lambda: settled(window))
    assert window.message == "Stopped printing."
    assert stage.busy_says == ""
    assert stage.print_button.isEnabled()


def test_one_that_is_still_being_made_is_stopped_too(
    opened: Opened, small: Home, monkeypatch: Patch, printer: Path
) -> None:
    window = opened(small)
    stage = come(window, (SLOW,), monkeypatch)
    ready(window)
    stage.choices.large_print.click()
    until(lambda: window.hand_over.preview.is_waiting)
    window.hand_over.showing.stop()
    assert not stage.print_button.isEnabled()  # nothing is on show that could be printed
    window.hand_over.showing.again()
    until(lambda: settled(window))
    assert stage.print_button.isEnabled()
    assert not printer.exists()


def test_without_a_printer_it_says_so(opened: Opened, small: Home, monkeypatch: Patch) -> None:
    monkeypatch.setattr(printing, "printer_names", lambda: ([], ""))
    window = opened(small)
    stage = come(window, (PAGES,), monkeypatch)
    ready(window)
    assert stage._no_printer.isVisibleTo(window)
    assert stage._no_printer.text() == printing.NO_PRINTER
    assert not stage.printer.isVisibleTo(window)
    assert not stage.print_button.isEnabled()
    stage.print_()
    assert window.message == printing.NO_PRINTER


@pytest.mark.qt_log_ignore("QPainter::begin")
def test_a_printer_that_does_not_answer_is_one_sentence(
    opened: Opened, small: Home, monkeypatch: Patch, printer: Path, tmp_path: Path
) -> None:
    def dead(_name: str) -> QPrinter:
        made = QPrinter(QPrinter.PrinterMode.HighResolution)
        made.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        made.setOutputFileName(str(tmp_path / "no folder" / "x.pdf"))
        return made

    monkeypatch.setattr(printing, "printer_of", dead)
    window = opened(small)
    stage = come(window, (PAGES,), monkeypatch)
    ready(window)
    click(window, stage.print_button)
    until(lambda: settled(window))
    assert window.message == "The printer Kitchen doesn't answer; nothing was printed."
    assert stage.print_button.isEnabled()
