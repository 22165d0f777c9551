"""What the wheel means beside zooming: with Shift held it turns what is in hand or chosen."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QWheelEvent

_NOTCH_DEG = 15.0
_NOTCH = 120  # eighths of a degree that a wheel reports for one notch


def turn_of(event: QWheelEvent) -> float:
    """Give by how many degrees a wheel with Shift held turns things, 0 without Shift."""
    if not event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
        return 0.0
    # Some systems send the wheel sideways while Shift is held.
    return _NOTCH_DEG * (event.angleDelta().y() or event.angleDelta().x()) / _NOTCH
