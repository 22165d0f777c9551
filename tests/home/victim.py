"""The process that the crash test kills: for each line on stdin it forks one that edits a home file without end.

A fork is a process of its own, killed by itself; starting Python anew a hundred times would only cost time.
"""

import os
import sys
from pathlib import Path

from circuitmap.home import verbs
from circuitmap.home.document import Document


def edit_without_end(path: Path) -> None:
    document = Document.open(path)
    while True:
        home = document.home
        if document.revision % 7 == 0:
            document.undo()
        elif document.revision % 5 == 0:
            document.do(verbs.remove(home, next(iter(home.table(type(home.get("P1")))))) if home.peek("P1") else
                        verbs.add_point(home, "socket"))  # fmt: skip
        else:
            document.do(verbs.add_point(home, "light", name="n" * (document.revision % 3000)))
        last = document.history()[-1]
        os.write(1, f"{last.seq} {last.chain.hex()}\n".encode())


for line in sys.stdin:
    child = os.fork()
    if child == 0:
        edit_without_end(Path(line.strip()))
    os.write(1, f"pid {child}\n".encode())
    os.waitpid(child, 0)
    os.write(1, b"gone\n")
