"""A copy to hand on from the desk: what is ticked is left out, the home is untouched, a refusal is a sentence."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.share_page import SharePage
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.home import Home, verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import open_home
from tests.desk.driving import settle
from tests.shelf import private

Opened = Callable[[Home], Window]


def page_of(window: Window) -> SharePage:
    window.actions_["share-home"].trigger()
    (page,) = window.findChildren(SharePage)
    assert page.isVisible()
    return page


def test_a_copy_is_written_without_what_is_ticked(tmp_path: Path, look: Look, qtbot: QtBot) -> None:
    source, target = tmp_path / "secret.cmap", tmp_path / "copy.cmap"
    home = private.secret_home(source)
    before = source.read_bytes()
    window = Window(Adapter(Document.open(source), trade.load()), look)
    qtbot.addWidget(window)
    window.show()
    page = page_of(window)
    assert all(tick.isChecked() for tick in page.ticks.values())
    assert "gives its address away" in page.name_says.text()
    page.called.setText("House 12")
    page.write_to(target)
    qtbot.waitUntil(lambda: "Written to" in page.says.text(), timeout=20_000)
    data = target.read_bytes()
    for texts in private.SECRETS.values():
        for text in texts:
            assert text.encode() not in data
    assert open_home(target).details.name == "House 12"
    assert window.adapter.home == home
    window.close()
    assert source.read_bytes() == before


def test_what_is_not_ticked_stays(opened: Opened, small: Home, tmp_path: Path, qtbot: QtBot) -> None:
    window = opened(small.apply(verbs.edit(small, "home", address="1 Some Street", call="Agent")))
    page = page_of(window)
    page.ticks["address"].setChecked(False)
    page.ticks["people"].setChecked(False)
    assert page.without == ("photos", "notes", "history")
    page.write_to(tmp_path / "copy.cmap")
    qtbot.waitUntil(lambda: "Written to" in page.says.text(), timeout=20_000)
    assert open_home(tmp_path / "copy.cmap").details.address == "1 Some Street"


def test_a_place_that_cannot_be_written_and_the_home_itself_are_refused(
    tmp_path: Path, look: Look, qtbot: QtBot
) -> None:
    source = tmp_path / "secret.cmap"
    private.secret_home(source)
    window = Window(Adapter(Document.open(source), trade.load()), look)
    qtbot.addWidget(window)
    window.show()
    page = page_of(window)
    page.write_to(source)
    assert "the home itself" in page.says.text()
    page.write_to(tmp_path / "nowhere" / "copy.cmap")
    qtbot.waitUntil(lambda: "has no folder" in page.says.text(), timeout=20_000)
    assert page.write.isEnabled()
    QTest.keyClick(page.called, Qt.Key.Key_Escape)
    settle()
    assert not page.isVisible()
    window.close()
