"""Who may write: one at a time, however often lock files come and go; and none is left beside a home."""

import multiprocessing
import os
from pathlib import Path

import pytest

from circuitmap.home import Home
from circuitmap.home.claim import ELSEWHERE, NO_LOCKS, claim
from circuitmap.home.document import Document
from circuitmap.home.exchange import open_home

_TIMES = 150


def count(path: Path, times: int) -> None:
    """Raise the number in a file, time and again, as only one at a time may."""
    done = 0
    while done < times:
        held, _ = claim(path)
        if held is None:
            continue
        # Not in one step: two at once would lose some.
        number = int(path.read_text())
        os.sched_yield()
        path.write_text(str(number + 1))
        held.release()
        done += 1


def test_two_never_hold_a_claim_at_once_while_lock_files_come_and_go(tmp_path: Path) -> None:
    path = tmp_path / "home.cmap"
    path.write_text("0")
    context = multiprocessing.get_context("spawn")
    workers = [context.Process(target=count, args=(path, _TIMES)) for _ in range(3)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert [worker.exitcode for worker in workers] == [0, 0, 0]
    assert path.read_text() == str(3 * _TIMES)
    assert list(tmp_path.iterdir()) == [path]


def test_a_claim_on_a_file_that_was_taken_away_meanwhile_is_asked_for_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who opened the lock file before it went locks a file without a name; the next one must not get a second claim."""
    import fcntl

    path, beside = tmp_path / "home.cmap", tmp_path / "home.cmap.lock"
    first, _ = claim(path)
    assert first is not None
    plain = fcntl.flock

    def late(handle: int, how: int) -> None:
        monkeypatch.undo()
        first.release()  # between opening the file and locking it
        assert not beside.exists()
        plain(handle, how)

    monkeypatch.setattr(fcntl, "flock", late)
    second, why = claim(path)
    assert second is not None, why
    assert beside.exists()
    assert claim(path) == (None, ELSEWHERE)
    second.release()
    assert not beside.exists()


def test_no_lock_file_is_left_beside_a_home(tmp_path: Path) -> None:
    path = tmp_path / "home.cmap"
    with Document.create(path, Home.blank("One")):
        assert path.with_name("home.cmap.lock").exists()
    assert [each.name for each in tmp_path.iterdir()] == ["home.cmap"]
    path.with_name("home.cmap.lock").touch()  # what a killed program left
    Document.open(path).close()
    open_home(path)
    assert [each.name for each in tmp_path.iterdir()] == ["home.cmap"]


def test_a_file_of_somebody_s_own_with_that_name_stays(tmp_path: Path) -> None:
    path, own = tmp_path / "home.cmap", tmp_path / "home.cmap.lock"
    own.write_text("a list of keys")
    held, _ = claim(path)
    assert held is not None
    held.release()
    assert own.read_text() == "a list of keys"
    own.unlink()
    own.symlink_to(path)
    assert claim(path) == (None, NO_LOCKS)
