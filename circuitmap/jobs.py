"""Progress and cancelling for long work, without a thread or a window in sight."""

from collections.abc import Callable
from threading import Event

from circuitmap.errors import CircuitmapError


class StoppedError(CircuitmapError):
    """The person stopped the work; what was done so far is thrown away."""

    def __str__(self) -> str:
        return "Stopped."


class Ticket:
    """What long work is handed: it ticks, and is told to stop by an exception at its next tick.

    Parameters
    ----------
    on_tick
        Called with (done, total, words) at each tick; total 0 means that the end is not known.
    """

    def __init__(self, on_tick: Callable[[int, int, str], None] | None = None) -> None:
        self._on_tick = on_tick
        self._stop = Event()

    def stop(self) -> None:
        """Ask the work to stop; safe from any thread."""
        self._stop.set()

    def tick(self, done: int, total: int = 0, words: str = "") -> None:
        """Report progress.

        Raises
        ------
        StoppedError
            When the work was asked to stop.
        """
        if self._stop.is_set():
            raise StoppedError
        if self._on_tick is not None:
            self._on_tick(done, total, words)
