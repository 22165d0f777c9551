"""Who may write to a home file: one window at a time, by a lock file beside it that goes when the window closes.

Where the system has ``flock`` the lock file is taken away while its lock is still held, and whoever gets a lock looks
whether the name still leads to what was locked; a lock on a file that somebody has just taken away counts for nothing
and is asked for anew. So two never hold it at once. Over a network another machine may for a moment see a name that is
gone; the chain of the log then refuses whoever writes second (``log.append``), and nothing is lost.
"""

import contextlib
import errno
import os
import sys
from pathlib import Path
from typing import Final, Protocol

ELSEWHERE: Final = "it is open in another window"
NO_LOCKS: Final = "it can't be locked where it lies"
_TRIED: Final = 100


class Claim(Protocol):
    """A lock that is held until it is let go."""

    def release(self) -> None:
        """Let go of it."""


def claim(path: Path) -> tuple[Claim | None, str]:
    """Claim a home file for writing; without success why not, in words that go behind "can't be written: "."""
    beside = path.with_name(f"{path.name}.lock")
    if sys.platform == "win32":
        return _by_library(beside)
    try:
        for _ in range(_TRIED):
            held = _Flock.take(beside)
            if held is not None:
                return held, ""
    except BlockingIOError:
        return None, ELSEWHERE
    except OSError as error:
        return _by_library(beside) if error.errno == errno.ENOSYS else (None, NO_LOCKS)
    return None, ELSEWHERE


def _by_library(beside: Path) -> tuple[Claim | None, str]:
    """Claim where there is no ``flock``; the library takes away what can be taken away there."""
    import filelock

    lock = filelock.FileLock(beside, thread_local=False)
    try:
        lock.acquire(timeout=0)
    except filelock.Timeout:
        return None, ELSEWHERE
    except (OSError, NotImplementedError):  # the second is what the library raises where a file system has no locks
        return None, NO_LOCKS
    return lock, ""


if sys.platform != "win32":
    import fcntl

    class _Flock:
        """A lock held by ``flock`` on a file of its own."""

        def __init__(self, path: Path, handle: int) -> None:
            self._path, self._handle = path, handle

        @classmethod
        def take(cls, path: Path) -> "_Flock | None":
            """Lock a file, made if need be; None where it was taken away meanwhile.

            Raises
            ------
            BlockingIOError
                When somebody else holds it.
            OSError
                When it can't be made or locked.
            """
            handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW | os.O_CLOEXEC, 0o666)
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                is_there = _is_at(path, handle)
            except BaseException:
                os.close(handle)
                raise
            if is_there:
                return cls(path, handle)
            os.close(handle)
            return None

        def release(self) -> None:
            """Take the file away while it is still locked, then let go; a file that holds anything isn't ours."""
            if self._handle < 0:
                return
            with contextlib.suppress(OSError):
                if _is_at(self._path, self._handle) and not os.fstat(self._handle).st_size:
                    self._path.unlink()
            os.close(self._handle)
            self._handle = -1


def _is_at(path: Path, handle: int) -> bool:
    try:
        return os.path.samestat(path.lstat(), os.fstat(handle))
    except FileNotFoundError:
        return False
