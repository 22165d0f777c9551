"""The process in which a drawing is read: asked on standard input, answering on standard output."""

import os
import sys

import msgspec

from circuitmap.pictures.apart import MEMORY_BYTES, Ask, No, Yes
from circuitmap.pictures.study import RefusedError, Study


def main() -> None:
    """Read what is asked for, within limits that the system holds us to."""
    # What a library prints must not end up in the answer.
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    ask = msgspec.msgpack.decode(sys.stdin.buffer.read(), type=Ask)
    _limit(ask.limit_s)
    answer: Yes | No
    try:
        answer = Yes(_study(ask))
    except RefusedError as error:
        answer = No(error.says, error.todo)
    except MemoryError:
        answer = No("the drawing needs more memory than a plan may take.", "Save it as a picture and use that.")
    answers.write(msgspec.msgpack.encode(answer))
    answers.close()


def _study(ask: Ask) -> Study:
    match ask.task:
        case "pdf":
            from circuitmap.pictures import pdf

            return pdf.study(ask.data, ask.page)
        case "pdf lines":
            from circuitmap.pictures import pdf_lines

            return pdf_lines.study(ask.data, ask.page)
        case "svg":
            from circuitmap.pictures import svg

            return svg.study(ask.data)
        case "dxf":
            from circuitmap.pictures import dxf

            return dxf.study(ask.data)


def _limit(seconds: int) -> None:
    try:
        import resource
    except ImportError:  # not every system has it; the time limit outside holds there too
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


if __name__ == "__main__":
    main()
