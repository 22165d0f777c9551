"""Typesetting in a process of its own: the typesetter holds all of Python while it works, and can't be stopped.

A window that has a document set this way goes on meanwhile; when the work is stopped, the process is ended.
"""

import os
import subprocess
import sys
from collections.abc import Mapping
from typing import Final

import msgspec

from circuitmap.errors import OurError
from circuitmap.jobs import StoppedError, Ticket
from circuitmap.paper.apart import python_path
from circuitmap.paper.typeset import Data

_ASK_EVERY_S: Final = 0.1  # whether the work was stopped
# Where programs of the command line open a window of their own, this one doesn't.
_NO_CONSOLE: Final[int] = getattr(subprocess, "CREATE_NO_WINDOW", 0)


class ToSet(msgspec.Struct, frozen=True):
    """What is to be set: as ``typeset`` takes it."""

    template: str
    data: dict[str, object]
    pictures: dict[str, str]
    day_stamp: int = 0


class SetApart:
    """Sets documents as ``typeset`` does, beside this process, until its ticket is stopped."""

    def __init__(self, ticket: Ticket | None = None) -> None:
        self._ticket = ticket or Ticket()

    def __call__(
        self, template: str, data: Data, pictures: Mapping[str, str] | None = None, *, day_stamp: int = 0
    ) -> bytes:
        """Set a document.

        Raises
        ------
        OurError
            When it can't be set, or the process can't be started.
        StoppedError
            When the ticket was stopped; the process is ended.
        """
        asked = msgspec.msgpack.encode(ToSet(template, dict(data), dict(pictures or {}), day_stamp))
        try:
            process = subprocess.Popen(
                [sys.executable, "-P", "-W", "ignore", "-m", "circuitmap.paper.set_apart_main"],
                stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                env={**os.environ, "PYTHONPATH": python_path()}, creationflags=_NO_CONSOLE,
            )  # fmt: skip
        except OSError as error:
            raise OurError(f"The document “{template}” can't be set: no process can be started ({error}).") from error
        with process:
            made, said = self._answer(process, asked)
        if process.returncode != 0 or not made:
            raise OurError(f"The document “{template}” can't be set: {said.decode(errors='replace')[-500:]}")
        return made

    def _answer(self, process: "subprocess.Popen[bytes]", asked: bytes) -> tuple[bytes, bytes]:
        handed: bytes | None = asked
        while True:
            try:
                return process.communicate(handed, timeout=_ASK_EVERY_S)
            except subprocess.TimeoutExpired:
                handed = None  # it keeps on being handed over
            try:
                self._ticket.tick(0, 0, "Setting the document")
            except StoppedError:
                process.kill()
                raise
