"""What every look shares: no window is left for the next one's look to go through."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication

from circuitmap.desk.theme import Look
from circuitmap.drawing.palette import Theme
from tests.desk.conftest import collected_at_rest

__all__ = ["collected_at_rest"]


@pytest.fixture
def look(qapp: QApplication, theme: Theme) -> Iterator[Look]:
    """The look of the test; afterwards the light one, once the windows that were closed are gone."""
    made = Look(qapp, theme)
    yield made
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    made.choose("paper")
