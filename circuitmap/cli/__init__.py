"""The command line: one module per command, each with ``add_arguments(parser)`` and ``run(args) -> int``.

A command reads its arguments, calls the floors below, prints, and gives its exit code; nothing is worked out here.
Commands are loaded by name, so that none but ``open`` ever reaches Qt.
"""

from circuitmap.errors import PersonError

NOTHING_FOUND = 0
FOUND = 1
USAGE = 2
UNREADABLE = 3
_KEPT = "\n\t\u200c\u200d"  # line break, tab, and what joins or parts letters and emoji


class UsageError(PersonError):
    """Arguments that don't make sense together; the command ends with code 2."""


def printable(text: str) -> str:
    r"""Give a text without the control characters by which a label could take hold of the terminal.

    Examples
    --------
    >>> printable("Sockets\x1b[2J")
    'Sockets�[2J'
    """
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() or c in _KEPT else "\ufffd" for c in text)
