"""Photographs on their way into a home, and their pixels on their way to the screen: both off the window's thread."""

from collections import OrderedDict
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Final, NamedTuple

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMimeData, QObject, Signal
from PySide6.QtGui import QImage, QPixmap

from circuitmap.desk.adapter import Adapter
from circuitmap.desk.work import Work
from circuitmap.errors import PersonError, PictureError
from circuitmap.jobs import Ticket
from circuitmap.pictures import Photo, Pixels, shrunk, take_photo

Source = Path | bytes | QImage
Key = tuple[str, int]
"""The SHA-256 of a photograph and how long its longer side is to be."""

PATTERNS: Final = "*.jpg *.jpeg *.png *.webp *.tif *.tiff *.heic *.heif"
_RAW: Final = ("image/jpeg", "image/png", "image/webp", "image/tiff", "image/heic")
_AT_ONCE: Final = 6
_KEPT: Final = 120


class Brought(NamedTuple):
    """Photographs that can be kept, and a sentence for each that can't."""

    photos: tuple[Photo, ...]
    refused: tuple[str, ...]


def has_photos(mime: QMimeData) -> bool:
    """Whether what was pasted or dropped may hold photographs."""
    return bool(_local(mime)) or mime.hasImage() or any(mime.hasFormat(form) for form in _RAW)


def sources_of(mime: QMimeData) -> list[Source]:
    """Give the photographs in what was pasted or dropped: files as they are, else the picture itself."""
    files = _local(mime)
    if files:
        return list(files)
    for form in _RAW:
        if mime.hasFormat(form):
            return [bytes(mime.data(form).data())]
    image = mime.imageData()
    return [image] if isinstance(image, QImage) and not image.isNull() else []


def _local(mime: QMimeData) -> list[Path]:
    return [Path(url.toLocalFile()) for url in mime.urls() if url.isLocalFile()] if mime.hasUrls() else []


def bring(sources: Sequence[Source], ticket: Ticket) -> Brought:
    """Read photographs; those that can't be used are told of and hold the others up no longer."""
    photos, refused = [], []
    for number, source in enumerate(sources):
        ticket.tick(number, len(sources))
        try:
            photos.append(take_photo(_bytes_of(source) if isinstance(source, QImage) else source))
        except PictureError as error:
            refused.append(str(error))
    return Brought(tuple(photos), tuple(refused))


def _bytes_of(image: QImage) -> bytes:
    held = QByteArray()
    buffer = QBuffer(held)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(buffer, "PNG", 90)  # type: ignore[call-overload]  # the stubs want the format as bytes
    return bytes(held.data())


class PhotoPixels(QObject):
    """The pixels of kept photographs: pixmaps at the sizes asked for, decoded off the window's thread."""

    ready = Signal(str)  # the SHA-256 of a photograph that can be shown now, or is known to be missing

    def __init__(self, adapter: Adapter, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._adapter = adapter
        self._made: OrderedDict[Key, QPixmap] = OrderedDict()
        self._missing: dict[str, str] = {}
        self._wanted: dict[Key, None] = {}
        self._job: Work | None = None
        adapter.changed.connect(self._on_changed)

    def get(self, photo: str, longest_px: int) -> QPixmap | None:
        """Give a photograph's pixels if they are there; else have them made and tell with ``ready``."""
        key = (photo, longest_px)
        found = self._made.get(key)
        if found is not None:
            self._made.move_to_end(key)
        elif photo not in self._missing:
            self._wanted[key] = None
            self._next()
        return found

    def why_missing(self, photo: str) -> str:
        """Give why a photograph can't be shown, as a sentence; empty while nothing speaks against it."""
        return self._missing.get(photo, "")

    @property
    def is_waiting(self) -> bool:
        """Whether any are being decoded."""
        return self._job is not None

    def _next(self) -> None:
        if self._job is not None or not self._wanted:
            return
        keys = list(self._wanted)[:_AT_ONCE]
        found: list[tuple[Key, bytes]] = []
        for key in keys:
            del self._wanted[key]
            try:
                found.append((key, self._adapter.document.asset(key[0])))
            except PersonError:
                self._miss(key[0], "This photograph is missing from the home; bring it in again.")
        if not found:
            self._next()
            return
        self._job = Work(partial(_decoded, found), self)
        self._job.done.connect(self._on_decoded)
        self._job.failed.connect(self._on_failed)
        self._job.start()

    def _on_decoded(self, made: list[tuple[Key, Pixels | str]]) -> None:
        self._job = None
        for key, pixels in made:
            if isinstance(pixels, str):
                self._miss(key[0], pixels)
                continue
            image = QImage(
                pixels.rgb, pixels.width_px, pixels.height_px, 3 * pixels.width_px, QImage.Format.Format_RGB888
            )
            self._made[key] = QPixmap.fromImage(image)
            while len(self._made) > _KEPT:
                self._made.popitem(last=False)
            self.ready.emit(key[0])
        self._next()

    def _on_failed(self, _sentence: str) -> None:
        self._job = None
        self._next()

    def _miss(self, photo: str, why: str) -> None:
        self._missing[photo] = why
        self.ready.emit(photo)

    def _on_changed(self, change: object) -> None:
        # A photograph that was missing may have been brought in; another home holds others.
        self._missing.clear()
        if change is None:
            self._made.clear()
            self._wanted.clear()


def _decoded(found: list[tuple[Key, bytes]], ticket: Ticket) -> list[tuple[Key, Pixels | str]]:
    made: list[tuple[Key, Pixels | str]] = []
    for number, (key, data) in enumerate(found):
        ticket.tick(number, len(found))
        try:
            made.append((key, shrunk(data, key[1])))
        except PictureError as error:
            made.append((key, f"This photograph can't be shown: {error.says}"))
    return made


class Bringing(QObject):
    """Brings photographs in one batch after the other; ``brought`` hands them on with what they are about."""

    brought = Signal(object, str, str)  # Brought, the id of what they are about, the id of a note or nothing
    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._queue: list[tuple[list[Source], str, str]] = []
        self._job: Work | None = None

    @property
    def waiting(self) -> int:
        """How many photographs are still being brought in."""
        return sum(len(sources) for sources, _, _ in self._queue)

    def begin(self, sources: list[Source], subject: str, note: str = "") -> None:
        """Bring some photographs in; what they belong to is settled now, wherever the person goes meanwhile."""
        if sources:
            self._queue.append((sources, subject, note))
            self._next()

    def stop(self) -> None:
        """Let go of what has not been read yet."""
        if self._job is not None:
            self._job.done.disconnect(self._on_done)  # it may be done at this very moment
            self._job.stop()
        self._job = None
        self._queue.clear()
        self.changed.emit()

    def _next(self) -> None:
        if self._job is None and self._queue:
            work: Callable[[Ticket], object] = partial(bring, self._queue[0][0])
            self._job = Work(work, self)
            self._job.done.connect(self._on_done)
            self._job.failed.connect(self._on_failed)
            self._job.start()
        self.changed.emit()

    def _on_done(self, brought: Brought) -> None:
        self._job = None
        if not self._queue:
            return
        _, subject, note = self._queue.pop(0)
        self._next()
        self.brought.emit(brought, subject, note)

    def _on_failed(self, sentence: str) -> None:
        self._on_done(Brought((), (sentence,)))
