"""The command run as from a shell: in an interpreter of its own, which tells what it loaded."""

import os
import subprocess
import sys

SLOW = frozenset({"PySide6", "pint", "scipy", "PIL", "networkx"})
"""What no command but ``open`` needs, and most must not load to be quick."""


def environment() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}


def child(code: str, *arguments: str) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        [sys.executable, "-c", code, *arguments], capture_output=True, text=True, check=False, env=environment()
    )


def run_alone(*arguments: str) -> tuple["subprocess.CompletedProcess[str]", set[str]]:
    """Run one command and give what came of it and the modules that were loaded at its end."""
    code = (
        "import sys\nfrom circuitmap.cli.main import main\n"
        "try:\n    sys.exit(main(sys.argv[1:]))\nfinally:\n    print('loaded:', *sorted(sys.modules), file=sys.stderr)"
    )
    done = child(code, *arguments)
    said, _, loaded = done.stderr.rpartition("loaded:")
    done.stderr = said
    return done, set(loaded.split())
