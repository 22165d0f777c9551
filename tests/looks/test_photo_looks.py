"""Notes and photographs on the desk, light and dark; with ``--looks DIR`` each screen is saved to be looked at."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QScrollArea
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.drawing.palette import Theme
from circuitmap.home import verbs
from circuitmap.home.document import Document
from circuitmap.home.exchange import read_folder
from circuitmap.home.records import Note
from circuitmap.pictures import take_photo
from circuitmap.places import sample_homes
from tests.desk.driving import settle, show
from tests.desk.photographs import photo_bytes

Save = Callable[[Window, str], None]


@pytest.fixture
def save(theme: Theme, request: pytest.FixtureRequest) -> Save:
    folder: Path | None = request.config.getoption("--looks")

    def take(window: Window, name: str) -> None:
        settle()
        picture = window.grab()
        assert not picture.isNull()
        if folder is not None:
            folder.mkdir(parents=True, exist_ok=True)
            picture.save(str(folder / f"photos-{name}-{theme}.png"))

    return take


@pytest.fixture
def window(qtbot: QtBot, look: Look) -> Window:
    form = read_folder(sample_homes() / "older-terrace")
    made = Window(Adapter(Document.memory(form.home, form.assets), trade.load()), look)
    qtbot.addWidget(made)
    made.resize(1280, 1000)
    show(made)
    made.fit()
    return made


@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_notes_with_photographs_and_one_shown_large(window: Window, save: Save, theme: Theme) -> None:
    assert theme
    adapter = window.adapter
    photos = [take_photo(photo_bytes(n, (1400, 1050) if n % 2 else (900, 1300))) for n in range(4)]
    assets = {photo.sha256: (photo.media, photo.data) for photo in photos}
    adapter.do_with(
        lambda home: verbs.note(
            home, "P3", seen=("scorched",), text="Brown at the lower left; the plug was a fan heater's. " * 2,
            photos=assets,
        ),
        assets,
    )  # fmt: skip
    adapter.do(verbs.note(adapter.home, "P3", text="x" * 300 + " مطبخ 🔌"))
    adapter.set_stage("wiring")
    adapter.show("P3")
    settle()
    card = window.inspector.notes
    note = next(note for note in adapter.home.sorted(Note) if note.photos and note.subject == "P3")
    box = card.boxes[note.id]
    assert all(thumb.is_shown for thumb in box.thumbs.thumbs)
    area = window.inspector.parentWidget()
    while area is not None and not isinstance(area, QScrollArea):
        area = area.parentWidget()
    assert isinstance(area, QScrollArea)
    window._frame.side.setSizes([120, 800])
    settle()
    area.verticalScrollBar().setValue(card.mapTo(area.widget(), QPoint(0, 0)).y() - 10)
    box.thumbs.thumbs[1].setFocus()
    for thumb in box.thumbs.thumbs:
        assert thumb.geometry().right() <= box.thumbs.width()
    save(window, "card")
    QTest.keyClick(box.thumbs.thumbs[1], Qt.Key.Key_Return)
    settle()
    assert card.large is not None
    assert card.large.picture.has_picture
    save(window, "large")
    card.large.put_away()
