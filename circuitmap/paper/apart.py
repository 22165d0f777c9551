"""What is said between the program and the process that makes its documents.

A document of a large home takes seconds of computing, and its typesetter can't be stopped from outside; a process can,
and a window beside it never waits. Every message is framed by its length; the homes that documents are made of are sent
once and called by a key afterwards.
"""

import datetime
import os
import sys
from pathlib import Path
from typing import Final

import msgspec

from circuitmap.paper.catalogue import Paper
from circuitmap.paper.wanted import LeaveOut, Size, Turned

HEAD_BYTES: Final = 4


class Wish(msgspec.Struct, frozen=True, kw_only=True):
    """How a document is wanted: ``Wanted`` without the homes, which go by their keys."""

    paper: Paper
    home: str
    day: datetime.date
    form: str
    earlier: str = ""
    earlier_name: str = ""
    later_name: str = ""
    size: Size = ""
    turned: Turned = ""
    large_print: bool = False
    subject: str = ""
    storey: str = ""
    scale: float = 0.0
    dark: bool = False
    leave_out: tuple[LeaveOut, ...] = ()


# -- what is asked --------------------------------------------------------------------------------------------------


class Keep(msgspec.Struct, frozen=True, tag="keep"):
    """A home to make documents of: packed, or as it was after an edit of its file.

    Its pictures are in the file, or sent with it.
    """

    key: str
    home: bytes = b""
    file: str = ""
    seq: int = 0
    pictures: dict[str, tuple[str, bytes]] = {}


class Forget(msgspec.Struct, frozen=True, tag="forget"):
    """A home that no document is made of any longer."""

    key: str


class Make(msgspec.Struct, frozen=True, tag="make"):
    """Make a document to be looked at; ``to`` keeps what is printed apart from what is on show."""

    number: int
    wish: Wish
    to: str = ""


class Draw(msgspec.Struct, frozen=True, tag="draw"):
    """Draw a part of a page of the document made last: pixels from the left and the top, their size, at a scale."""

    number: int
    file: int
    page: int
    px_per_pt: float
    region_px: tuple[int, int, int, int]
    in_grey: bool = False
    to: str = ""
    is_packed: bool = False


class Save(msgspec.Struct, frozen=True, tag="save"):
    """Make a document and write its files into a folder, whole or not at all; nothing that is there is replaced."""

    number: int
    wish: Wish
    folder: str
    stem: str


class Halt(msgspec.Struct, frozen=True, tag="halt"):
    """Stop what goes by a number, or don't begin with it."""

    number: int


Asked = Keep | Forget | Make | Draw | Save | Halt

# -- what is answered -----------------------------------------------------------------------------------------------


class Sheet(msgspec.Struct, frozen=True):
    """A table to be looked at: as many rows as are shown, and how many there are."""

    name: str
    rows: list[list[str]]
    count: int


class Seen(msgspec.Struct, frozen=True):
    """One file of a document as it can be looked at: pages by their size in points, or tables, or a text."""

    part: str
    size_bytes: int
    remarks: tuple[str, ...] = ()
    pages_pt: list[tuple[float, float]] = []
    sheets: list[Sheet] = []
    text: str = ""
    says: str = ""


class Made(msgspec.Struct, frozen=True, tag="made"):
    """The document is made."""

    number: int
    files: list[Seen]


class Drawn(msgspec.Struct, frozen=True, tag="drawn"):
    """A part of a page: its pixels row by row, blue, green, red and one unused each; in grey one byte each.

    ``is_packed`` pixels are to be unpacked with zlib: whole pages for a printer are large, and mostly white.
    """

    number: int
    file: int
    page: int
    px_per_pt: float
    region_px: tuple[int, int, int, int]
    pixels: bytes
    is_packed: bool = False


class Saved(msgspec.Struct, frozen=True, tag="saved"):
    """The document's files are written, or were there already just so."""

    number: int
    paths: list[str]
    remarks: list[str] = []


class Ticked(msgspec.Struct, frozen=True, tag="ticked"):
    """How far it is; ``total`` 0 means that the end isn't known."""

    number: int
    done: int
    total: int
    words: str


class Refused(msgspec.Struct, frozen=True, tag="refused"):
    """It can't be done, in one sentence; ``trace`` where the fault is ours."""

    number: int
    says: str
    trace: str = ""


class Halted(msgspec.Struct, frozen=True, tag="halted"):
    """It was stopped."""

    number: int


Answer = Made | Drawn | Saved | Ticked | Refused | Halted

_ASKED: Final[msgspec.msgpack.Decoder[Asked]] = msgspec.msgpack.Decoder(Asked)
_ANSWER: Final[msgspec.msgpack.Decoder[Answer]] = msgspec.msgpack.Decoder(Answer)


def framed(message: Asked | Answer) -> bytes:
    """Give a message with its length before it."""
    body = msgspec.msgpack.encode(message)
    return len(body).to_bytes(HEAD_BYTES, "big") + body


def asked_of(body: bytes) -> Asked:
    """Read what is asked.

    Raises
    ------
    msgspec.MsgspecError
        When it is nothing that can be asked.
    """
    return _ASKED.decode(body)


class Answers:
    """Answers out of bytes that come piece by piece."""

    def __init__(self) -> None:
        self._held = bytearray()

    def take(self, data: bytes) -> list[Answer]:
        """Give the answers that are whole now.

        Raises
        ------
        msgspec.MsgspecError
            When it is nothing that can be answered.
        """
        self._held += data
        found: list[Answer] = []
        while len(self._held) >= HEAD_BYTES:
            end = HEAD_BYTES + int.from_bytes(self._held[:HEAD_BYTES], "big")
            if len(self._held) < end:
                break
            found.append(_ANSWER.decode(memoryview(self._held)[HEAD_BYTES:end].tobytes()))
            del self._held[:end]
        return found


def command() -> tuple[str, list[str]]:
    """Give the program and its arguments that begin the process."""
    return sys.executable, ["-P", "-W", "ignore", "-m", "circuitmap.paper.apart_main"]


def python_path() -> str:
    """Give where that process finds what this one has found."""
    home = str(Path(__file__).resolve().parents[2])
    return os.pathsep.join(dict.fromkeys(filter(None, (home, *sys.path))))
