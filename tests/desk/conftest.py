"""A window on a small home for whoever drives it."""

import gc
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from functools import partial

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from circuitmap import trade
from circuitmap.desk import doors_seen, tracing_work
from circuitmap.desk.adapter import Adapter
from circuitmap.desk.theme import Look
from circuitmap.desk.window import Window
from circuitmap.home import Home, verbs
from circuitmap.home.assets import hash_of
from circuitmap.home.document import Document
from circuitmap.home.records import Load, Rcd
from circuitmap.jobs import Ticket
from tests.build import Builder
from tests.desk.driving import settle, show
from tests.desk.survey_home import clock

Opened = Callable[[Home], Window]


@pytest.fixture(autouse=True)
def _clock_on_the_wall(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let it be the morning of the invented visits, so that none was left open for days."""
    monkeypatch.setattr("circuitmap.desk.visit_time.now", lambda: datetime(2026, 1, 5, 9, 30, tzinfo=UTC))


@pytest.fixture(autouse=True)
def _said_until_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a sentence stay on show, however slow the machine is."""
    monkeypatch.setattr("circuitmap.desk.message._SHOWN_MS", 300_000)


@pytest.fixture(autouse=True)
def collected_at_rest() -> Iterator[None]:
    """Let windows that a test has left behind go between tests.

    Were they collected while Qt takes another object's connections apart, both would wait for one lock for good. And as
    long as one is there, the look of the next test's window is given to all its widgets as well, which takes longer
    than most tests.

    What is loaded for good is not looked through again: a collection would take longer than most tests too.
    """
    yield
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect()
    left = {type(widget).__name__ for widget in QApplication.topLevelWidgets()}
    assert not left, f"the test has left behind: {', '.join(sorted(left))}"
    if len(sys.modules) > _aside["modules"]:
        gc.freeze()
        _aside["modules"] = len(sys.modules)


_aside = {"modules": 0}  # how many were loaded when last something was set aside


def look_through_again() -> None:
    """Take back what was set aside from collections, for instance a window by the app as it began.

    Otherwise it would stay for good. What is loaded is set aside again after the test.
    """
    gc.unfreeze()
    _aside["modules"] = 0


@pytest.fixture(autouse=True)
def read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a plan that was read for one test not be read again for the next: reading takes longer than most tests."""
    monkeypatch.setattr(tracing_work, "_analysed", partial(_read, tracing_work._analysed))
    monkeypatch.setattr(doors_seen, "_look", partial(_looked, doors_seen._look))


_READ: dict[tuple[str, int, int], tracing_work.Analysis] = {}
_DOORS: dict[tuple[str, int], object] = {}  # by what was looked at, and how wide it is taken to be


def _read(
    analysed: Callable[..., tracing_work.Analysis], data: bytes, page: int, width_px: int, ticket: Ticket
) -> tracing_work.Analysis:
    key = hash_of(data), page, width_px
    if key not in _READ:
        _READ[key] = analysed(data, page, width_px, ticket)
    return _READ[key]


def _looked(
    look: Callable[..., tuple[str, str, object]],
    sheet_id: str,
    key: str,
    data: bytes,
    page: int,
    width_px: int,
    ticket: Ticket,
) -> object:
    if (key, width_px) not in _DOORS:
        _DOORS[key, width_px] = look(sheet_id, key, data, page, width_px, ticket)[2]
    return sheet_id, key, _DOORS[key, width_px]


@pytest.fixture
def opened(qtbot: QtBot) -> Iterator[Opened]:
    """Opens a home in memory in a window of 1280 × 800."""
    windows: list[Window] = []

    def open_home(home: Home) -> Window:
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        window = Window(Adapter(Document.memory(home), trade.load()), Look(app, "paper"))
        qtbot.addWidget(window)
        window.resize(1280, 800)
        show(window)
        window.fit()
        settle()
        windows.append(window)
        return window

    yield open_home
    for window in windows:
        window.close()


def small_home() -> Home:
    """Two rooms, a board with a main switch, an RCD over two ways, a fuse, a ring of four sockets, a light."""
    b = Builder("Small house")
    ground = b.storey()
    b.room("Kitchen", ground, (0, 0, 4000, 4000), use="kitchen")
    b.room("Hall", ground, (4200, 0, 7000, 4000), use="hall")
    board = b.board("A", modules=10)
    b.do(verbs.move(b.home, board, b.place(ground, 6900, 400)))
    main = b.device(board, "", "main switch", 100)
    rcd = b.device(board, "", "RCD", 63, upstream=main, rcd=Rcd(trips_ma=30.0, type="A"))
    ring = b.device(board, "1", "MCB", 32, curve="B", label="Sockets", upstream=rcd, cables_seen=2)
    b.device(board, "2", "MCB", 16, curve="B", label="Boiler & tank", upstream=rcd, cables_seen=0)
    lights = b.device(board, "3", "fuse BS 3036", 5, label="Lights", upstream=main, cables_seen=1)
    sockets = [
        b.point("socket", (ground, x, y), cables=2, gangs=2)
        for x, y in ((500, 0), (2500, 0), (4000, 2000), (5000, 4000))
    ]
    b.do(verbs.edit(b.home, sockets[0], loads=(Load(what="freezer", if_off="spoils"),)))
    b.chain(ring, *sockets, ring)
    light = b.point("light", (ground, 2000, 2000), cables=1)
    b.run(lights, light, cable="T&E 1.0/1.0")
    switch = b.point("switch", (ground, 4200, 3000), cables=1)
    b.do(verbs.edit(b.home, switch, controls=(light,)))
    return b.home


@pytest.fixture
def small() -> Home:
    return small_home()


@pytest.fixture
def look(qapp: QApplication) -> Look:
    """The light look, on the test's application."""
    return Look(qapp, "paper")


@pytest.fixture
def adapter(small: Home) -> Iterator[Adapter]:
    """The small home, open in memory, without a window."""
    made = Adapter(Document.memory(small), trade.load())
    yield made
    made.close()


@pytest.fixture
def moving_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every record of a switch-off gets its own instant, without waiting for one."""
    ticks = clock()
    monkeypatch.setattr("circuitmap.home.verbs_survey.now_text", lambda: next(ticks))
