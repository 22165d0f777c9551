"""What is dropped on the plan: a file on a point or a board is a photograph of it, elsewhere it is a plan."""

from PySide6.QtCore import QMimeData
from PySide6.QtGui import QDragMoveEvent


def consider(event: QDragMoveEvent) -> None:
    """Take what holds files or a picture."""
    if event.mimeData().hasUrls() or event.mimeData().hasImage():
        event.acceptProposedAction()


def files_in(mime: QMimeData) -> list[str]:
    """Give the paths of the files in what was dropped."""
    return [url.toLocalFile() for url in mime.urls() if url.isLocalFile()]


def target_of(hits: list[str]) -> str:
    """Give the point or board among what lies under a drop, nothing when there is none."""
    return next((each for each in hits if each[:1] in "PB"), "")
