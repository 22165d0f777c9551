"""Starting the app: on a home, or without one on the folder of homes."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from circuitmap.desk import main, prefs
from circuitmap.desk.shelf_acts import shelving_of
from circuitmap.desk.window import Window
from circuitmap.places import user_data
from tests.desk.conftest import look_through_again
from tests.desk.driving import settle
from tests.shelf.homes import save, small


@pytest.fixture
def seen(monkeypatch: pytest.MonkeyPatch, qtbot: QtBot) -> Iterator[list[tuple[bool, Path | None]]]:
    """What stands on screen when the app has begun; it is closed at once."""
    found: list[tuple[bool, Path | None]] = []

    def run(_app: object) -> int:
        (window,) = (w for w in QApplication.topLevelWidgets() if isinstance(w, Window) and w.isVisible())
        settle()
        found.append((shelving_of(window).is_shown, window.adapter.document.path))
        page = shelving_of(window).page
        if page is not None:
            page.stop()
        settle()
        window.close()
        window.deleteLater()
        return 0

    monkeypatch.setattr(QApplication, "exec", run)
    monkeypatch.setattr("circuitmap.desk.main.has_display", lambda: True)
    monkeypatch.setattr("sys.excepthook", lambda *_: None)
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    yield found
    look_through_again()


def test_without_a_home_the_folder_of_homes_is_shown_and_no_file_made(seen: list[tuple[bool, Path | None]]) -> None:
    assert main.open_app(None) == 0
    assert seen == [(True, None)]
    assert not (user_data() / "homes").exists()
    assert prefs.load().recent == ()


def test_with_a_home_it_is_shown_and_remembered(seen: list[tuple[bool, Path | None]], tmp_path: Path) -> None:
    path = save(small().home, tmp_path / "a.cmap")
    assert main.open_app(path) == 0
    assert seen == [(False, path)]
    assert prefs.load().recent == (str(path),)
