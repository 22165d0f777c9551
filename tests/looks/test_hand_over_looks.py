"""Handing over in its window, light and dark, on a small and a large screen; with ``--looks DIR`` saved as pictures."""

from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest
from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLabel, QLineEdit, QWidget

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.handing import printing
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme, colour
from circuitmap.home import Home
from circuitmap.home.document import Document
from circuitmap.home.exchange import read_folder
from circuitmap.paper import catalogue
from circuitmap.places import sample_homes
from tests.desk.driving import settle, show
from tests.desk.handed import settled, until
from tests.paper.invented import DRAWING, NEVER, PAGES, SLOW

_ASKS_FIRST: Final = ("quotation",)  # nothing is wished for in this home
SMALL, LARGE = QSize(1366, 768), QSize(1920, 1080)


@pytest.fixture
def look(qapp: QApplication, theme: Theme) -> Iterator[Look]:
    made = Look(qapp, theme)
    yield made
    made.choose("paper")


class Looked:
    """A window at the stage, and the folder that its pictures go to."""

    def __init__(self, look: Look, theme: Theme, size: QSize, folder: Path | None, home: Home | None = None) -> None:
        read = read_folder(sample_homes() / "older-terrace")
        document = Document.memory(home or read.home, assets=read.assets, marks=() if home else read.marks)
        self.window = Window(Adapter(document, trade.load()), look)
        self._theme, self._size, self._folder = theme, size, folder
        self.window.resize(size)
        show(self.window)
        QTest.keyClick(self.window, Qt.Key.Key_F7)
        self.wait()

    def wait(self) -> None:
        until(lambda: settled(self.window) and self.window.hand_over.printing.is_known)

    def take(self, name: str) -> None:
        settle()
        shot = self.window.grab()
        image = shot.toImage().convertToFormat(QImage.Format.Format_RGB32)
        assert image.size() == self._size
        assert image.pixelColor(4, self._size.height() // 2).name().upper() == colour("paper", self._theme)
        assert not cut(self.window.hand_over.stage)
        if self._folder is not None:
            self._folder.mkdir(parents=True, exist_ok=True)
            assert shot.save(str(self._folder / f"hand-over-{name}-{self._theme}-{self._size.width()}.png"))

    def close(self) -> None:
        self.window.close()
        self.window.deleteLater()
        settle()


def cut(panel: QWidget) -> list[str]:
    """What in a panel is too narrow for its words, or stands outside of it or over another."""
    found = []
    for widget in panel.findChildren(QWidget):
        if not widget.isVisibleTo(panel) or widget.visibleRegion().isEmpty():
            continue
        if isinstance(widget, QAbstractButton | QLabel) and widget.text():
            is_wrapped = isinstance(widget, QLabel) and widget.wordWrap()
            words = widget.text().replace("&", "")
            if not is_wrapped and widget.fontMetrics().horizontalAdvance(words) > widget.width():
                found.append(words)
            if is_wrapped:
                room = QRect(0, 0, widget.width(), 4000)
                needed = widget.fontMetrics().boundingRect(room, Qt.TextFlag.TextWordWrap, words)
                if needed.height() > widget.height() + 2:
                    found.append(words)
    fields = [
        each for each in panel.findChildren(QWidget)
        if isinstance(each, QAbstractButton | QComboBox | QLineEdit) and each.isVisibleTo(panel)
        and not each.visibleRegion().isEmpty() and not isinstance(each.parentWidget(), QComboBox | QLineEdit)
    ]  # fmt: skip
    for n, one in enumerate(fields):
        place = QRect(one.mapTo(panel, one.rect().topLeft()), one.size())
        for other in fields[n + 1 :]:
            beside = QRect(other.mapTo(panel, other.rect().topLeft()), other.size())
            if one.parentWidget() is other.parentWidget() and place.intersects(beside):
                found.append(f"{one.objectName()} over {other.objectName()}")
    return found


@pytest.mark.parametrize("size", [SMALL, LARGE], ids=["small", "large"])
@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_every_document_of_the_terrace(
    look: Look, theme: Theme, size: QSize, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(printing, "printer_names", lambda: (["Kitchen laser, double-sided", "Attic"], "Attic"))
    looked = Looked(look, theme, size, request.config.getoption("--looks"))
    stage = looked.window.hand_over.stage
    for row, paper in enumerate(catalogue.PAPERS):
        looked.window.adapter.select("P12")  # which the job card is about
        stage.list.setCurrentRow(row)
        looked.wait()
        looked.take(f"{row:02}-{paper.name}")
        assert (looked.window.hand_over.preview.says == "") == (paper.name not in _ASKS_FIRST), paper.name
    looked.close()


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_all_that_can_be_chosen_shown_and_said(
    look: Look, theme: Theme, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(catalogue, "PAPERS", (PAGES, DRAWING, NEVER, SLOW))
    looked = Looked(look, theme, SMALL, request.config.getoption("--looks"))
    over = looked.window.hand_over
    stage = over.stage
    stage.choices.earlier.setFocus()
    looked.take("20-choices")
    for form in ("xlsx", "csv"):
        stage.choices._save("form", form)
        looked.wait()
        looked.take(f"21-{form}")
    over.preview.table.table.setFocus()
    stage.list.setCurrentRow(1)
    looked.wait()
    for form in ("png", "dxf", "geojson"):
        stage.choices._save("form", form)
        looked.wait()
        looked.take(f"22-{form}")
    stage.list.setCurrentRow(2)
    looked.wait()
    looked.take("23-never")
    stage.list.setCurrentRow(3)
    until(lambda: over.preview.is_waiting and "of 40" in over.preview._waiting_says.text())
    looked.take("24-making")
    over.showing.stop()
    looked.take("25-stopped")
    over.saving.set_folder(str(tmp_path / ("a folder with a very long name " * 4).strip()))
    stage.save_all()
    until(lambda: stage.busy_says.startswith("4 of 4"))
    looked.take("26-saving")
    looked.wait()
    looked.take("27-saved")
    looked.close()


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_an_empty_home(look: Look, theme: Theme, request: pytest.FixtureRequest) -> None:
    looked = Looked(look, theme, SMALL, request.config.getoption("--looks"), Home.blank("An empty house"))
    stage = looked.window.hand_over.stage
    for row, paper in enumerate(catalogue.PAPERS):
        stage.list.setCurrentRow(row)
        looked.wait()
        looked.take(f"30-empty-{row:02}-{paper.name}")
    looked.close()
