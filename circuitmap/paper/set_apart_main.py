"""The process that sets one document: what is to be set comes in, the PDF goes out."""

import sys

import msgspec

from circuitmap.paper.set_apart import ToSet
from circuitmap.paper.typeset import typeset


def main() -> int:
    """Set what is asked for on standard input; give the exit code."""
    asked = msgspec.msgpack.decode(sys.stdin.buffer.read(), type=ToSet)
    sys.stdout.buffer.write(typeset(asked.template, asked.data, asked.pictures, day_stamp=asked.day_stamp))
    sys.stdout.buffer.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
