"""A process killed between and inside its changes: every completed change is there afterwards.

SIGKILL shows that changes are whole or absent; it says nothing about a power cut, where the disk has its own word.
"""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

from circuitmap.home import Home
from circuitmap.home.document import Document

KILLS = 120


def test_no_completed_change_is_lost_when_the_process_is_killed_a_hundred_times(tmp_path: Path) -> None:
    path = tmp_path / "home.cmap"
    Document.create(path, Home.blank("Victim")).close()
    chance = random.Random(2026)
    journals = killed = completed = 0
    script = Path(__file__).with_name("victim.py")
    with subprocess.Popen(
        [sys.executable, str(script)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    ) as parent:  # fmt: skip
        assert parent.stdin
        assert parent.stdout
        for number in range(KILLS):
            parent.stdin.write(f"{path}\n")
            parent.stdin.flush()
            pid, printed = 0, []
            wanted = chance.randrange(4, 25)
            while pid == 0 or len(printed) < wanted:
                words = parent.stdout.readline().split()
                if words[0] == "pid":
                    pid = int(words[1])
                else:
                    printed.append((int(words[0]), bytes.fromhex(words[1])))
            time.sleep(chance.random() * 0.004)  # somewhere between or inside the next changes
            os.kill(pid, signal.SIGKILL)
            killed += 1
            while (line := parent.stdout.readline().strip()) != "gone":
                seq, chain = line.split()
                printed.append((int(seq), bytes.fromhex(chain)))
            journals += path.with_name("home.cmap-journal").exists()
            with Document.open(path) as document:
                assert not document.read_only, "the lock of a killed process must be free"
                entries = document.history()
                # more may be there than was reported: a change can be complete before the victim could say so
                assert document.revision >= printed[-1][0]
                assert all(entries[seq - 1].chain == chain for seq, chain in printed)
                if number % 20 == 0:
                    assert document.verify() == []
                completed = document.revision
        parent.stdin.close()
    assert killed == KILLS
    assert journals > 0, "no kill fell inside a change, so this showed nothing"
    assert completed > KILLS * 4
    with Document.open(path) as document:
        assert document.verify() == []
