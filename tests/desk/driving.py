"""Driving the window as a person does: real mouse and key events, in plan millimetres where that is clearer."""

from collections.abc import Mapping

from PySide6.QtCore import QCoreApplication, QEvent, QPoint, QPointF, Qt, QThreadPool
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QScrollArea, QWidget

from circuitmap.desk.window import Window


def show(window: QWidget) -> None:
    """Show a window and wait until keys go to it."""
    window.show()
    window.activateWindow()
    assert QTest.qWaitForWindowActive(window, 5000)
    settle()


def settle() -> None:
    """Let layouts, timers at zero and pictures being decoded happen."""
    for _ in range(4):
        QThreadPool.globalInstance().waitForDone(5000)
        QApplication.processEvents()
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def px(window: Window, x_mm: float, y_mm: float) -> QPoint:
    """Where a spot of the plan lies in the viewport; it must be in sight."""
    spot = window.view.mapFromScene(QPointF(x_mm, y_mm))
    assert window.view.viewport().rect().contains(spot), f"({x_mm}, {y_mm}) is out of sight"
    return spot


def click_plan(
    window: Window, x_mm: float, y_mm: float, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
) -> None:
    """A real move, press and release on the plan."""
    viewport = window.view.viewport()
    spot = px(window, x_mm, y_mm)
    QTest.mouseMove(viewport, spot)
    QTest.mouseClick(viewport, Qt.MouseButton.LeftButton, modifiers, spot)
    QApplication.processEvents()


def drag_plan(window: Window, a_mm: tuple[float, float], b_mm: tuple[float, float]) -> None:
    """A real drag on the plan, in three moves."""
    from PySide6.QtGui import QMouseEvent

    viewport = window.view.viewport()
    a, b = px(window, *a_mm), px(window, *b_mm)
    QTest.mousePress(viewport, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, a)
    for step in (1, 2, 3):
        spot = QPointF(a + (b - a) * (step / 3))
        move = QMouseEvent(
            QEvent.Type.MouseMove, spot, QPointF(viewport.mapToGlobal(spot.toPoint())), Qt.MouseButton.NoButton,
            Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier,
        )  # fmt: skip
        QApplication.sendEvent(viewport, move)
    QTest.mouseRelease(viewport, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, b)
    QApplication.processEvents()


def press(widget: QWidget, key: Qt.Key, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    """A real key on a widget."""
    widget.setFocus()
    QTest.keyClick(widget, key, modifiers)
    QApplication.processEvents()


def click(window: Window, widget: QWidget) -> None:
    """A real click on a widget, scrolled into sight first."""
    QApplication.processEvents()
    assert widget.isVisibleTo(window), widget.objectName()
    assert widget.isEnabled(), widget.objectName()
    parent = widget.parentWidget()
    while parent is not None:
        if isinstance(parent, QScrollArea):
            parent.ensureWidgetVisible(widget)
        parent = parent.parentWidget()
    QTest.mouseClick(widget, Qt.MouseButton.LeftButton)
    QApplication.processEvents()


def answer_round(window: Window, off: tuple[str, ...], feeds: Mapping[str, str]) -> None:
    """One walk as a person does it: the look with everything on, or a switch-off by its toggles and consent card."""
    stage, cursor = window.survey_stage, window.cursor_
    if cursor.step == "start":
        click(window, stage.start_button)
        if cursor.step == "phases":
            click(window, stage.phase_choice[1])
        if cursor.step == "sources":
            click(window, stage.sources_button)
    if off:
        for device in off:
            click(window, window.board.button_of(device))
        click(window, stage.consent.who.thumbs()[0])
        click(window, stage.consent.open_button)
    else:
        click(window, stage.look_button)
    for _ in range(len(feeds) + 1):
        if not cursor.point:
            break
        live = feeds[cursor.point] not in off
        window.view.setFocus()
        QTest.keyClick(window.view, Qt.Key.Key_S if live else Qt.Key.Key_O)
        QApplication.processEvents()
    assert cursor.point == ""
    if cursor.step in ("look", "walk"):
        click(window, stage.end)
    if cursor.step == "power":
        click(window, stage.power.all_on)
    if cursor.step == "summary":
        click(window, stage.summary.go_on)


def type_into(window: Window, name: str, text: str) -> None:
    """Type a text into a field of the window and press Enter."""
    field = window.findChild(QLineEdit, name)
    assert field is not None, f"there is no field {name}"
    field.setFocus()
    field.clear()
    QTest.keyClicks(field, text)
    QTest.keyClick(field, Qt.Key.Key_Return)
    QApplication.processEvents()
