"""Documents as files: whole or not at all, and nothing that is there is lost."""

import errno
import os
from pathlib import Path

import pytest

from circuitmap.errors import FileError
from circuitmap.paper import stored
from circuitmap.paper.stored import put, stem_of
from circuitmap.paper.wanted import Made


def test_a_full_disk_leaves_nothing_half_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real, count = stored.write_whole, [0]

    def write(path: Path, content: bytes, what: str) -> None:
        count[0] += 1
        if count[0] == 2:
            real_open = os.fdopen

            def full(handle: int, mode: str) -> object:
                real_open(handle, mode).close()
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

            monkeypatch.setattr(os, "fdopen", full)
        real(path, content, what)

    monkeypatch.setattr(stored, "write_whole", write)
    files = (Made(b"one", "ground"), Made(b"two", "first"))
    (tmp_path / "kept.svg").write_text("kept")
    with pytest.raises(FileError, match="No space left on device"):
        put(files, tmp_path, "plan", "svg")
    assert [path.name for path in tmp_path.iterdir()] == ["kept.svg"]


def test_what_is_there_is_never_replaced(tmp_path: Path) -> None:
    first = put((Made(b"one"),), tmp_path, "plan", "svg")
    assert put((Made(b"two"),), tmp_path, "plan", "svg") == (tmp_path / "plan 2.svg",)
    assert put((Made(b"one"),), tmp_path, "plan", "svg") == first
    assert put((Made(b"two"),), tmp_path, "plan", "svg") == (tmp_path / "plan 2.svg",)
    (tmp_path / "plan 3.svg").mkdir()
    assert put((Made(b"three"),), tmp_path, "plan", "svg") == (tmp_path / "plan 4.svg",)
    assert (tmp_path / "plan.svg").read_bytes() == b"one"


def test_a_long_name_is_cut_between_letters() -> None:
    stem = stem_of("🏠" * 200, "chart")
    assert stem == "🏠" * len(stem)
    assert len(stem.encode()) <= 180  # with a part, a number and an ending below 255 bytes, what most file systems take
