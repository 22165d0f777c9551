"""The folder of homes, what feeds this, and a copy to hand on, light and dark; ``--looks DIR`` saves each screen."""

import shutil
from pathlib import Path

import pytest
from PySide6.QtGui import QFontMetrics, QImage
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk import prefs
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.feeds_page import FeedsPage
from circuitmap.desk.parts import Card, Label
from circuitmap.desk.share_page import SharePage
from circuitmap.desk.shelf_acts import shelving_of
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme, colour
from circuitmap.home import verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import read_folder
from circuitmap.places import sample_homes
from tests.desk.driving import settle, show
from tests.shelf.homes import noted, save, small, visited


def shelf_folder(folder: Path) -> Path:
    """The samples, an overdue let flat with a C1, a listed home without a plan, odd names, and a foreign file."""
    homes = folder / "homes"
    homes.mkdir()
    for sample in sample_homes().iterdir():
        if sample.is_dir():
            shutil.copytree(sample, homes / sample.name)
    built = small(
        "Flat above the baker's", address="2 Invented Street, Eddlebridge", tenure="rented", country="England"
    )
    visited(built, "2019-02-11", "periodic")
    noted(built, "P1", "live part touchable")
    save(built.home, homes / "flat-over-due.cmap")
    listed = small("شقة ٥، طريق الطاحونة 👩‍🔧")
    listed.home = listed.home.apply(verbs.remove(listed.home, "M1"))
    save(listed.home, homes / "listed.cmap")
    save(small("The very long name of a home " * 10, address="An address that goes on " * 12).home, homes / "long.cmap")
    (homes / "notes-of-a-friend.cmap").write_bytes(b"not one of ours")
    kept = prefs.load()
    kept.shelf = str(homes)
    prefs.save(kept)
    return homes


def taken(window: Window, name: str, theme: Theme, request: pytest.FixtureRequest) -> QImage:
    folder: Path | None = request.config.getoption("--looks")
    settle()
    shot = window.grab()
    image = shot.toImage().convertToFormat(QImage.Format.Format_RGB32)
    wide, high = image.width(), image.height()
    colours = {image.pixelColor(x, y).name().upper() for x in range(0, wide, 8) for y in range(0, high, 8)}
    assert len(colours) > 6
    assert colour("paper", theme) in colours
    if folder is not None:
        folder.mkdir(parents=True, exist_ok=True)
        assert shot.save(str(folder / f"shelf-{name}-{theme}.png"))
    return image


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_the_folder_of_homes(
    qtbot: QtBot, look: Look, theme: Theme, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    shelf_folder(tmp_path)
    window = Window(Adapter(Document.memory(), trade.load()), look)
    qtbot.addWidget(window)
    window.resize(1280, 800)
    show(window)
    shelving = shelving_of(window)
    shelving.start()
    page = shelving.page
    assert page is not None
    qtbot.waitUntil(page.stop_button.isHidden, timeout=120_000)
    taken(window, "homes", theme, request)
    page.list.setCurrentIndex(page.model.index(page.model.rowCount() - 1, 0))
    taken(window, "homes-below", theme, request)
    page.search.setText("lounge socket")
    taken(window, "found", theme, request)
    window.resize(900, 600)
    taken(window, "found-small", theme, request)
    page.search.setText("sauna")
    taken(window, "none", theme, request)
    shelving._is_start = False  # nothing is to be kept of this window
    window.close()


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_what_feeds_this_and_a_copy_to_hand_on(
    qtbot: QtBot, look: Look, theme: Theme, request: pytest.FixtureRequest
) -> None:
    form = read_folder(sample_homes() / "older-terrace")
    window = Window(Adapter(Document.memory(form.home, form.assets, form.marks), trade.load()), look)
    qtbot.addWidget(window)
    window.resize(1280, 800)
    show(window)
    window.actions_["what-feeds"].trigger()
    (page,) = window.findChildren(FeedsPage)
    for words in ("kitchen light", "hall light switch", "A3", "sauna"):
        page.ask(words)
        qtbot.waitUntil(lambda words=words: f"“{words}”" in page.says.text(), timeout=20_000)  # type: ignore[misc]
        taken(window, f"feeds-{words.replace(' ', '-')}", theme, request)
        for card in page.findChildren(Card):
            for label in card.findChildren(Label):
                room = label.contentsRect().width()
                longest = max(
                    (QFontMetrics(label.font()).horizontalAdvance(w) for w in label.text().split()), default=0
                )
                assert longest <= room, label.text()
    window.actions_["share-home"].trigger()
    (share,) = window.findChildren(SharePage)
    taken(window, "share", theme, request)
    for tick in share.ticks.values():
        assert QFontMetrics(tick.font()).horizontalAdvance(tick.text()) <= tick.width() - 40
    window.close()
