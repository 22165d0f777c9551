"""How far long work is: one line on a terminal, taken away again at the end."""

import sys
from typing import Final, Self

from circuitmap.jobs import Ticket

_GONE: Final = "\r\x1b[K"


class Progress:
    """One line on a terminal's standard error while work lasts; nothing where that is no terminal.

    Use it with ``with``, and hand its ``ticket`` to the work.
    """

    def __init__(self) -> None:
        self._last = ""
        self.ticket = Ticket(self._show if sys.stderr.isatty() else None)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_error: object) -> None:
        if self._last:
            sys.stderr.write(_GONE)
            sys.stderr.flush()

    def _show(self, done: int, total: int, words: str) -> None:
        line = f"{done} of {total} {words}" if total else words
        if line != self._last:
            self._last = line
            sys.stderr.write(f"\r{line}\x1b[K")
            sys.stderr.flush()
