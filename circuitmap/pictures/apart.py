"""Reading a drawing in a process of its own, with a limit of time and of memory: a file made in bad faith ends there.

A drawing made of lines is a small program. What it may cost can't be told from its size, and the libraries that read
it can't be stopped from outside. A process can.
"""

import logging
import os
import subprocess
import sys
from pathlib import Path
from typing import Final, Literal

import msgspec

from circuitmap.errors import PictureError
from circuitmap.pictures.study import Study

Task = Literal["pdf", "pdf lines", "svg", "dxf"]
LIMIT_S: Final = 30
MEMORY_BYTES: Final = 2_500_000_000
# Where programs of the command line open a window of their own, this one doesn't.
_NO_CONSOLE: Final[int] = getattr(subprocess, "CREATE_NO_WINDOW", 0)
_LOG: Final = logging.getLogger(__name__)


class Ask(msgspec.Struct, frozen=True, tag="ask"):
    """What is to be read, and within which time."""

    task: Task
    page: int
    limit_s: int
    data: bytes


class No(msgspec.Struct, frozen=True, tag="no"):
    """Why it can't be used, and what to do about it."""

    says: str
    todo: str


class Yes(msgspec.Struct, frozen=True, tag="yes"):
    """What was read."""

    study: Study


_ANSWER: Final[msgspec.msgpack.Decoder[Yes | No]] = msgspec.msgpack.Decoder(Yes | No)


def study_apart(task: Task, data: bytes, page: int, shown: str, *, limit_s: int = LIMIT_S) -> Study:
    """Read a drawing in another process.

    Raises
    ------
    PictureError
        When it can't be used, takes longer than the limit, or more memory than it may have.
    """
    name = task.split(maxsplit=1)[0].upper()
    asked = msgspec.msgpack.encode(Ask(task, page, limit_s, data))
    home = str(Path(__file__).resolve().parents[2])
    known = {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, (home, os.environ.get("PYTHONPATH"))))}
    try:
        ended = subprocess.run(
            [sys.executable, "-W", "ignore", "-m", "circuitmap.pictures.apart_main"],
            input=asked, capture_output=True, timeout=limit_s, env=known, check=False, creationflags=_NO_CONSOLE,
        )  # fmt: skip
    except subprocess.TimeoutExpired as error:
        says = f"reading the {name} drawing took longer than {limit_s} s and was stopped."
        raise PictureError(shown, says, "Save only the floor plan, without what else is in the drawing.") from error
    except OSError as error:
        raise PictureError(shown, f"the {name} drawing can't be read on this machine just now ({error}).") from error
    try:
        answer = _ANSWER.decode(ended.stdout)
    except msgspec.MsgspecError as error:
        _LOG.info(
            "Reading a %s drawing ended with %d: %s",
            name,
            ended.returncode,
            ended.stderr[-2_000:].decode(errors="replace"),
        )
        says = f"the {name} drawing is damaged, or needs more memory than a plan may take."
        raise PictureError(shown, says, "Save or export it again, or save it as a picture.") from error
    if isinstance(answer, No):
        raise PictureError(shown, answer.says, answer.todo)
    return answer.study
