"""A window at the stage where documents are handed over, with documents that are only in the tests."""

import time
from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QListWidget

from circuitmap.desk.handing.over import HandingOver
from circuitmap.desk.stages.hand_over import HandOverStage
from circuitmap.desk.window import Window
from circuitmap.paper import catalogue
from circuitmap.paper.catalogue import Paper
from tests.paper.invented import INVENTED

WAIT_S = 60.0


def until(true: Callable[[], object], wait_s: float = WAIT_S) -> None:
    """Let the window go on until something is true."""
    end = time.monotonic() + wait_s
    while not true():
        assert time.monotonic() < end, "it never came"
        QTest.qWait(5)


def come(window: Window, papers: tuple[Paper, ...], patch: pytest.MonkeyPatch) -> HandOverStage:
    """Go to the stage by its key, with some documents, and wait for the first to be on show."""
    patch.setattr(catalogue, "PAPERS", papers)
    QTest.keyClick(window, Qt.Key.Key_F7)
    until(lambda: settled(window))
    return window.hand_over.stage


def settled(window: Window) -> bool:
    over: HandingOver = window.hand_over
    return over.showing.is_settled and over.preview.is_drawn and not over.saving.is_busy and not over.printing.is_busy


def take(window: Window, paper: Paper, *, wait: bool = True) -> None:
    """Click a document in the list."""
    papers: QListWidget = window.hand_over.stage.list
    item = papers.item(INVENTED.index(paper))
    papers.scrollToItem(item)
    QTest.mouseClick(papers.viewport(), Qt.MouseButton.LeftButton, pos=papers.visualItemRect(item).center())
    QApplication.processEvents()
    if wait:
        until(lambda: settled(window))
