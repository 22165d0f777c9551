"""The process in which documents are made: asked on standard input, answering on standard output, until nobody asks."""

import os
import queue
import sys
import threading
import time
import traceback
import zlib
from collections import OrderedDict
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO, Final

import msgspec

from circuitmap.errors import PersonError
from circuitmap.home import Home
from circuitmap.home.assets import Asset
from circuitmap.home.file import HomeFile
from circuitmap.home.packed import unpacked
from circuitmap.home.sharing import left_out
from circuitmap.jobs import StoppedError, Ticket
from circuitmap.memo import Memo
from circuitmap.paper.apart import (
    HEAD_BYTES,
    Answer,
    Asked,
    Draw,
    Drawn,
    Forget,
    Halt,
    Halted,
    Keep,
    Made,
    Make,
    Refused,
    Save,
    Saved,
    Seen,
    Ticked,
    Wish,
    asked_of,
    framed,
)
from circuitmap.paper.catalogue import make
from circuitmap.paper.seen import Pages, seen
from circuitmap.paper.stored import put
from circuitmap.paper.wanted import LeaveOut, Wanted
from circuitmap.paper.wanted import Made as File
from circuitmap.places import user_data
from circuitmap.trade import Trade, load

_BETWEEN_TICKS_S: Final = 0.05
_MADE_KEPT: Final = 3
_BROKEN: Final = "Something of ours went wrong while this document was made. Your home is saved."


class Held:
    """A home with its pictures and, by what is left out of it, the home that is handed over and its derived values."""

    def __init__(self, kept: Keep) -> None:
        self._kept = kept
        self._home: Home | None = None
        self._file = Path(kept.file) if kept.file else None
        self._pictures = kept.pictures
        self._lighter: dict[frozenset[LeaveOut], tuple[Home, Memo]] = {}

    def without(self, what: frozenset[LeaveOut]) -> tuple[Home, Memo]:
        """Give the home without what is left out, and its memo."""
        if self._home is None:
            self._home = self._read()
        if what not in self._lighter:
            self._lighter[what] = (left_out(self._home, what), Memo())
        return self._lighter[what]

    def _read(self) -> Home:
        if self._file is None or self._kept.home:
            return unpacked(self._kept.home)
        with HomeFile.glance(self._file) as file:
            return file.home_then(self._kept.seq)

    def asset(self, name: str) -> Asset | None:
        """Give a picture, None where it is missing or was altered."""
        if name in self._pictures:
            return self._pictures[name]
        if self._file is None:
            return None
        try:
            with HomeFile.glance(self._file) as file:
                return file.asset(name)
        except PersonError:
            return None


class Maker:
    """Makes documents, one after the other."""

    def __init__(self, answer: "Answering") -> None:
        self._answer = answer
        self._homes: dict[str, Held] = {}
        self._made: OrderedDict[bytes, tuple[File, ...]] = OrderedDict()
        self._pages: dict[str, list[Pages | None]] = {}
        self._trade: Trade | None = None

    def do(self, asked: Asked, ticket: Ticket) -> Answer | None:
        """Do what is asked; None where nothing is to be answered."""
        match asked:
            case Keep():
                if asked.key in self._homes:
                    self._made.clear()
                self._homes[asked.key] = Held(asked)
            case Forget():
                self._homes.pop(asked.key, None)
            case Make():
                return Made(asked.number, self._show(asked.to, self._files(asked.wish, ticket), asked.wish.form))
            case Draw():
                return self._drawn(asked)
            case Save():
                files = self._files(asked.wish, ticket)
                paths = put(files, Path(asked.folder), asked.stem, asked.wish.form)
                remarks = [remark for file in files for remark in file.remarks]
                return Saved(asked.number, [str(path) for path in paths], remarks)
        return None

    def _files(self, wish: Wish, ticket: Ticket) -> tuple[File, ...]:
        """Make a document, or give it as it was made before: the same is asked for to be seen, saved and printed."""
        key = msgspec.msgpack.encode(wish)
        if key not in self._made:
            self._made[key] = make(wish.paper, self._wanted(wish, ticket))
            while len(self._made) > _MADE_KEPT:
                self._made.popitem(last=False)
        self._made.move_to_end(key)
        return self._made[key]

    def _wanted(self, wish: Wish, ticket: Ticket) -> Wanted:
        without = frozenset(wish.leave_out)
        held = self._homes[wish.home]
        home, memo = held.without(without)
        earlier = None
        if wish.earlier and "history" not in without:
            earlier, _ = self._homes[wish.earlier].without(without)
        if self._trade is None:
            self._trade = load(user_data())
        return Wanted(
            home=home, trade=self._trade, memo=memo, day=wish.day, form=wish.form, asset=held.asset, earlier=earlier,
            earlier_name=wish.earlier_name, later_name=wish.later_name, size=wish.size, turned=wish.turned,
            large_print=wish.large_print, subject=wish.subject, storey=wish.storey, scale=wish.scale, dark=wish.dark,
            leave_out=without, ticket=ticket,
        )  # fmt: skip

    def _show(self, to: str, files: tuple[File, ...], form: str) -> list[Seen]:
        for pages in self._pages.pop(to, []):
            if pages is not None:
                pages.close()
        shown = [seen(file, form) for file in files]
        self._pages[to] = [pages for _, pages in shown]
        return [file for file, _ in shown]

    def _drawn(self, asked: Draw) -> Answer:
        files = self._pages.get(asked.to, [])
        pages = files[asked.file] if asked.file < len(files) else None
        if pages is None:
            return Halted(asked.number)
        pixels = pages.draw(asked.page, asked.px_per_pt, asked.region_px, in_grey=asked.in_grey)
        if asked.is_packed:
            pixels = zlib.compress(pixels, 1)
        return Drawn(
            asked.number, asked.file, asked.page, asked.px_per_pt, asked.region_px, pixels, is_packed=asked.is_packed
        )


class Answering:
    """Writes answers; words of progress not more often than somebody can read them."""

    def __init__(self, stream: BinaryIO) -> None:
        self._stream = stream
        self._last = 0.0

    def give(self, answer: Answer) -> None:
        """Write an answer at once."""
        try:
            self._stream.write(framed(answer))
            self._stream.flush()
        except OSError:
            os._exit(0)  # nobody listens any longer

    def tick(self, number: int, done: int, total: int, words: str) -> None:
        """Write how far it is, if some time has passed since the last word."""
        now = time.monotonic()
        if now - self._last >= _BETWEEN_TICKS_S:
            self._last = now
            self.give(Ticked(number, done, total, words))


class Inbox:
    """What is asked, in its order; who is to stop is told as soon as that is read."""

    def __init__(self, stream: BinaryIO) -> None:
        self._stream = stream
        self._asked: queue.SimpleQueue[Asked] = queue.SimpleQueue()
        self._halted: set[int] = set()
        self._under_way: tuple[int, Ticket] = (-1, Ticket())
        self._lock = threading.Lock()
        threading.Thread(target=self._read, daemon=True).start()

    def next(self) -> Asked:
        """Give what is asked next."""
        return self._asked.get()

    def begin(self, number: int, ticket: Ticket) -> None:
        """Begin with a piece of work; it is stopped at its first tick if that was asked for already."""
        with self._lock:
            self._under_way = number, ticket
            if number in self._halted:
                ticket.stop()
            self._halted = {each for each in self._halted if each > number}

    def _read(self) -> None:
        while (asked := self._message()) is not None:
            if isinstance(asked, Halt):
                with self._lock:
                    self._halted.add(asked.number)
                    if self._under_way[0] == asked.number:
                        self._under_way[1].stop()
            else:
                self._asked.put(asked)
        os._exit(0)  # whoever asked is gone

    def _message(self) -> Asked | None:
        with suppress(OSError, msgspec.MsgspecError):
            head = self._stream.read(HEAD_BYTES)
            if len(head) == HEAD_BYTES:
                body = self._stream.read(int.from_bytes(head, "big"))
                return asked_of(body)
        return None


def main() -> None:
    """Do what is asked until whoever asks is gone."""
    # What a library prints must not end up among the answers.
    answering = Answering(os.fdopen(os.dup(1), "wb"))
    os.dup2(2, 1)
    inbox, maker = Inbox(sys.stdin.buffer), Maker(answering)
    while True:
        asked = inbox.next()
        number = -1 if isinstance(asked, Keep | Forget | Halt) else asked.number
        answer = _done(maker, asked, number, inbox, answering)
        if answer is not None:
            answering.give(answer)


def _done(maker: Maker, asked: Asked, number: int, inbox: Inbox, answering: Answering) -> Answer | None:
    def on_tick(done: int, total: int, words: str) -> None:
        answering.tick(number, done, total, words)

    ticket = Ticket(on_tick)
    inbox.begin(number, ticket)
    try:
        ticket.tick(0)
        return maker.do(asked, ticket)
    except StoppedError:
        return Halted(number)
    except PersonError as error:
        return Refused(number, str(error))
    except MemoryError:
        return Refused(number, "This document needs more memory than there is.")
    except Exception:  # noqa: BLE001  # whatever breaks is said in the window, and the next document is made
        return Refused(number, _BROKEN, traceback.format_exc())


if __name__ == "__main__":
    main()
