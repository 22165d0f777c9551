"""A home that is open: its file, its history, and whoever listens. The only mutable thing below the desk."""

from collections.abc import Callable, Container, Sequence
from pathlib import Path

from circuitmap.errors import FileError, HomeError
from circuitmap.home.assets import Asset, Assets, assets_of, check_assets
from circuitmap.home.change import Change, combine
from circuitmap.home.exchange import MarkedHome, read_folder
from circuitmap.home.file import HomeFile
from circuitmap.home.invariants import shorten
from circuitmap.home.log import Act, Entry, Mark
from circuitmap.home.records import Record
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_common import now_text
from circuitmap.memo import Memo

Listener = Callable[[Change, int], None]
_LONGEST_NAME = 200


class Document:
    """One open home; make one with ``Document.open``, ``create`` or ``memory``."""

    def __init__(self, file: HomeFile, read_only_why: str = "") -> None:
        self._file = file
        self._home = file.loaded.home
        self._listeners: list[Listener] = []
        self._read_only_why = read_only_why or (
            f"Here this home can only be looked at: {file.read_only_why}." if file.read_only_why else ""
        )
        self.memo = Memo()

    @classmethod
    def open(cls, path: Path | str) -> "Document":
        """Open a home file; a text form is opened to be looked at only.

        Raises
        ------
        FileError
            When it can't be opened, in one sentence.
        """
        path = Path(path)
        if path.is_dir():
            form = read_folder(path)
            why = "This is a text form, which can only be looked at; pack it into a home file to change it."
            document = cls.memory(form.home, form.assets, form.marks)  # what it lacks is told by ``missing``
            document._read_only_why = why
            return document
        return cls(HomeFile.open(path))

    @classmethod
    def create(
        cls,
        path: Path | str,
        home: Home,
        assets: Assets | None = None,
        marks: Sequence[MarkedHome] = (),
        replace: bool = False,
        missing: Container[str] = (),
    ) -> "Document":
        """Make a home file and open it; ``missing`` are the pictures that are known to be lost.

        Raises
        ------
        HomeError, FileError
            When the home isn't whole, or the file can't be made; then there is none.
        """
        assets = assets or {}
        _check_whole(home, assets, marks, missing)
        return cls(HomeFile.create(Path(path), _stages(home, marks), assets, now_text(), replace))

    @classmethod
    def memory(
        cls, home: Home | None = None, assets: Assets | None = None, marks: Sequence[MarkedHome] = ()
    ) -> "Document":
        """Open a home that is kept nowhere (to try something, to look at a text form)."""
        home, assets = home or Home.blank(), assets or {}
        check_assets(assets)
        return cls(HomeFile.memory(_stages(home, marks), assets, now_text()))

    # -- what there is ------------------------------------------------------------------------------------------

    @property
    def home(self) -> Home:
        """The home as it is now."""
        return self._home

    @property
    def revision(self) -> int:
        """The number of the latest edit; every change, undo and redo raises it."""
        return self._file.loaded.last.seq

    @property
    def path(self) -> Path | None:
        """Where the home file is, None in memory."""
        return self._file.path

    @property
    def read_only(self) -> bool:
        """Whether this home can only be looked at here."""
        return bool(self._read_only_why)

    @property
    def read_only_why(self) -> str:
        """Why it can only be looked at, as a sentence; empty when it can be changed."""
        return self._read_only_why

    def asset(self, name: str) -> bytes:
        """Give the bytes of an asset by its SHA-256.

        Raises
        ------
        FileError
            When there is none, or it was altered.
        """
        return self.asset_with_media(name)[1]

    def asset_with_media(self, name: str) -> Asset:
        """Give the media type and the bytes of an asset by its SHA-256.

        Raises
        ------
        FileError
            When there is none, or it was altered.
        """
        return self._file.asset(name)

    def assets(self) -> dict[str, Asset]:
        """Give every asset that the home or one of its marks names and that is there, by SHA-256."""
        homes = [self._home, *(self.at(mark.seq) for mark in self.marks())]
        names = {name for home in homes for record in home.all() for name in assets_of(record)}
        return {name: self._file.asset(name) for name in sorted(names & self._file.loaded.hashes)}

    def missing(self, now_only: bool = False) -> dict[str, str]:
        """Give the pictures that the home or one of its marks names and that aren't there, each with who names it."""
        homes = [self._home, *(self.at(mark.seq) for mark in self.marks() if not now_only)]
        known = self._file.loaded.hashes
        return {n: record.id for home in homes for record in home.all() for n in assets_of(record) if n not in known}

    # -- changing -----------------------------------------------------------------------------------------------

    def do(self, change: Change, assets: Assets | None = None) -> None:
        """Make a change; it is on the disk when this comes back. A change that changes nothing leaves no trace.

        Parameters
        ----------
        assets
            New assets that the change names, by SHA-256.

        Raises
        ------
        HomeError, FileError
            When the change can't be made or kept; then nothing has changed.
        """
        if len(change.pairs) > 1 or any(before == after for before, after in change.pairs):
            change = combine(change.title, [change])
        if not change.pairs:
            return
        self._must_be_writable()
        check_assets(assets or {})
        known = self._file.loaded.hashes | set(assets or {})
        for before, after in change.pairs:
            if after is not None:
                # A picture that got lost must not keep the rest of its record from being changed.
                _check_pictures(after, known | set(assets_of(before)) if before is not None else known)
        self._commit(change, "do", None, assets or {})

    def undo(self) -> Change | None:
        """Take the last change back; give what that did, None when there is nothing to take back."""
        done = self._file.loaded.stacks.done
        return self._step(self._file.change_of(done[-1]).inverse(), "undo", done[-1]) if done else None

    def redo(self) -> Change | None:
        """Make the change last taken back again; give it, None when there is none."""
        undone = self._file.loaded.stacks.undone
        return self._step(self._file.change_of(undone[-1]), "redo", undone[-1]) if undone else None

    def _step(self, change: Change, act: Act, of: int) -> Change:
        self._must_be_writable()
        self._commit(change, act, of, {})
        return change

    def _commit(self, change: Change, act: Act, of: int | None, assets: Assets) -> None:
        home = self._home.apply(change)
        self._file.commit(change, act, of, assets, now_text())
        self._home = home
        self._file.loaded.home = home
        for listener in tuple(self._listeners):
            listener(change, self.revision)

    def _must_be_writable(self) -> None:
        if self._read_only_why:
            raise FileError(self.path or "This home", "was not changed.", self._read_only_why)

    # -- history ------------------------------------------------------------------------------------------------

    @property
    def can_undo(self) -> bool:
        """Whether there is a change to take back."""
        return bool(self._file.loaded.stacks.done) and not self.read_only

    @property
    def can_redo(self) -> bool:
        """Whether a change was taken back that can be made again."""
        return bool(self._file.loaded.stacks.undone) and not self.read_only

    @property
    def undo_title(self) -> str | None:
        """The title of the change that undo would take back."""
        return self._title_of(self._file.loaded.stacks.done)

    @property
    def redo_title(self) -> str | None:
        """The title of the change that redo would make again."""
        return self._title_of(self._file.loaded.stacks.undone)

    def _title_of(self, stack: Sequence[int]) -> str | None:
        return self._file.loaded.entries[stack[-1] - 1].title if stack else None

    def titles(self) -> tuple[str, ...]:
        """Give the titles of the changes that made the home what it is, earliest first; what was undone is left out."""
        loaded = self._file.loaded
        return tuple(loaded.entries[seq - 1].title for seq in loaded.stacks.done)

    def history(self) -> tuple[Entry, ...]:
        """Give every line of the log, undos and redos too, earliest first."""
        return tuple(self._file.loaded.entries)

    def mark(self, name: str) -> Mark:
        """Name the home as it is now ("as found"); marking again under a name moves the mark.

        Raises
        ------
        HomeError, FileError
            When the name can't be used, or the mark can't be kept.
        """
        name = name.strip()
        if not name or len(name) > _LONGEST_NAME or not name.isprintable():
            raise HomeError(f"A mark needs a name of 1 to {_LONGEST_NAME} letters on one line.")
        self._must_be_writable()
        return self._file.mark(name, now_text())

    def marks(self) -> tuple[Mark, ...]:
        """Give the marks in the order of the moments that they name; of each name the latest."""
        latest = {mark.name: mark for mark in self._file.loaded.marks}
        return tuple(sorted(latest.values(), key=lambda mark: mark.seq))

    def marked(self) -> tuple[MarkedHome, ...]:
        """Give every mark with its home, as the text form keeps them."""
        return tuple(MarkedHome(mark.name, mark.at, self.at(mark.seq)) for mark in self.marks())

    def at(self, when: int | str) -> Home:
        """Give the home as it was after an edit, by its number or the name of a mark.

        Raises
        ------
        HomeError, FileError
            When there is no such edit or mark, or the log is damaged.
        """
        if isinstance(when, str):
            mark = next((mark for mark in self.marks() if mark.name == when), None)
            if mark is None:
                raise HomeError(f"There is no mark “{shorten(when)}” in this home.")
            when = mark.seq
        if not 1 <= when <= self.revision:
            raise HomeError(f"There is no edit {when} in this home; the last one is {self.revision}.")
        return self._home if when == self.revision else self._file.home_at(when)

    def verify(self) -> list[str]:
        """Give everything that doesn't fit anywhere in the file; nothing when it is sound."""
        return self._file.verify()

    # -- listening and letting go -------------------------------------------------------------------------------

    def listen(self, listener: Listener) -> Callable[[], None]:
        """Call somebody with (change, revision) after every change, undo and redo; give what stops it."""
        self._listeners.append(listener)

        def unlisten() -> None:
            if listener in self._listeners:
                self._listeners.remove(listener)

        return unlisten

    def close(self) -> None:
        """Let go of the file; every completed change is already in it."""
        self._listeners.clear()
        self._file.close()

    def __enter__(self) -> "Document":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def _stages(home: Home, marks: Sequence[MarkedHome]) -> list[tuple[str, Home, Mark | None]]:
    stages: list[tuple[str, Home, Mark | None]] = []
    title = "Start"
    for marked in marks:
        stages.append((title, marked.home, Mark(marked.name, marked.at, 0)))
        title = f"All since “{shorten(marked.name)}”"
    return [*stages, (title, home, None)]


def _check_whole(home: Home, assets: Assets, marks: Sequence[MarkedHome], missing: Container[str]) -> None:
    check_assets(assets)
    for whole in (home, *(marked.home for marked in marks)):
        for record_id, sentence in whole.problems():
            raise HomeError(sentence, record_id)
        for record in whole.all():
            _check_pictures(record, {name for name in assets_of(record) if name in assets or name in missing})


def _check_pictures(record: Record, known: Container[str]) -> None:
    for name in assets_of(record):
        if name not in known:
            raise HomeError(f"{record.id} shows a picture that isn't here; bring it in again.", record.id)
