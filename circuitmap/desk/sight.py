"""Bringing what matters into sight inside a panel that scrolls."""

from PySide6.QtWidgets import QScrollArea, QWidget


def area_of(widget: QWidget) -> QScrollArea | None:
    """Give the scroll area that a widget lies in, None when it lies in none."""
    parent = widget.parentWidget()
    while parent is not None and not isinstance(parent, QScrollArea):
        parent = parent.parentWidget()
    return parent


def show_top(page: QWidget) -> None:
    """Bring the head of a page into sight."""
    area = area_of(page)
    if area is not None:
        area.verticalScrollBar().setValue(0)


def show_whole(widget: QWidget) -> None:
    """Bring a widget into sight, as much of it as there is room for."""
    area = area_of(widget)
    if area is not None and widget.isVisible():
        area.ensureWidgetVisible(widget, 0, 12)
