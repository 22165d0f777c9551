"""Garbage is collected while nobody does anything."""

import gc
import weakref
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QObject
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.idle import IdleCollector
from circuitmap.home import verbs
from tests.desk.conftest import look_through_again


class Ring:
    """Holds itself, so that only a collection lets it go."""

    def __init__(self) -> None:
        self.itself = self


@pytest.fixture(autouse=True)
def _as_before() -> Iterator[None]:
    before = gc.get_threshold()
    yield
    gc.set_threshold(*before)
    look_through_again()
    gc.enable()


def test_what_holds_itself_is_let_go_once_nothing_has_changed_for_a_while(
    qapp: QApplication, adapter: Adapter, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("circuitmap.desk.idle._REST_MS", 30)
    keeper = QObject()
    IdleCollector(adapter, keeper)
    assert gc.get_threshold()[2] == 100
    gone = weakref.ref(Ring())
    adapter.do(verbs.edit(adapter.home, adapter.home.details.id, name="Another name"))
    gc.disable()
    QTest.qWait(80)
    assert gone() is not None, "not while work in another thread holds collecting back"
    gc.enable()
    QTest.qWait(120)
    assert gone() is None
