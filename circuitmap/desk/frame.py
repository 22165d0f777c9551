"""What the window's parts stand in, made before them and from the outside in.

Qt hands the application's style down a whole branch each time the branch gets another parent. A panel that is filled
first and placed afterwards pays for all its widgets once for every place that it passes through; one that is made where
it stays pays once.
"""

from collections.abc import Callable
from typing import Final, TypeVar

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMainWindow, QScrollArea, QSplitter, QStackedWidget, QTabWidget, QWidget

SIDE_PX: Final = 356
Page = TypeVar("Page", bound=QWidget)


class Frame:
    """Places in the window: a bar over the middle, the middle, and at the side the stages over the tabs."""

    def __init__(self, window: QMainWindow) -> None:
        self.whole = QWidget(window)
        window.setCentralWidget(self.whole)
        self.centre = QWidget(self.whole)
        self.bar = QWidget(self.centre)
        self.middle = QStackedWidget(self.centre)
        self.side = QSplitter(Qt.Orientation.Vertical, self.whole)
        self.side.setFixedWidth(SIDE_PX)
        self.stages = QStackedWidget(self.side)
        self.side.addWidget(self.stages)

    def stage(self, make: Callable[[QWidget], Page]) -> Page:
        """Make a stage's page where it stays: in a scroll area of its own among the stages."""
        area = _scrolled(self.stages)
        self.stages.addWidget(area)
        page = make(area.viewport())
        area.setWidget(page)
        return page

    def show_stage(self, page: QWidget) -> None:
        """Bring a stage's page to the front."""
        for n in range(self.stages.count()):
            area = self.stages.widget(n)
            if isinstance(area, QScrollArea) and area.widget() is page:
                self.stages.setCurrentIndex(n)

    def add_tabs(self) -> QTabWidget:
        """Make the tabs below the stages."""
        tabs = QTabWidget(self.side)
        self.side.addWidget(tabs)
        self.side.setChildrenCollapsible(False)
        return tabs


def scrolled_tab(tabs: QTabWidget, title: str, make: Callable[[QWidget], Page]) -> Page:
    """Make a page where it stays: in a scroll area of its own, the last of some tabs."""
    area = _scrolled(tabs)
    tabs.addTab(area, title)
    page = make(area.viewport())
    area.setWidget(page)
    return page


def _scrolled(parent: QWidget) -> QScrollArea:
    area = QScrollArea(parent)
    area.setWidgetResizable(True)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return area
