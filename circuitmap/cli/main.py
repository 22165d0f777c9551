"""The way in: finds the command by its name, loads its module alone, and turns errors into sentences and codes."""

import argparse
import importlib
import os
import sys
from collections.abc import Iterable, Sequence
from io import TextIOWrapper
from pathlib import Path
from typing import Any, Final, NamedTuple, NoReturn, Protocol

import circuitmap
from circuitmap.cli import NOTHING_FOUND, UNREADABLE, USAGE, UsageError, printable
from circuitmap.errors import OurError, PersonError

STOPPED: Final = 130  # 128 + SIGINT, as shells have it
PIPE_CLOSED: Final = 141  # 128 + SIGPIPE


class Command(NamedTuple):
    """One line of the table of commands; ``module`` is only loaded when the command is called.

    ``also`` are other names that it answers to.
    """

    name: str
    module: str
    does: str
    also: tuple[str, ...] = ()


COMMANDS: Final = (
    Command("open", "circuitmap.cli.open", "open a home in the window"),
    Command("check", "circuitmap.cli.check", "print the findings of a home"),
    Command("rules", "circuitmap.cli.rules", "list the rules with their sources"),
    Command("draw", "circuitmap.cli.draw", "draw a plan as SVG"),
    Command("outline", "circuitmap.cli.outline", "outline the rooms of a plan, as GeoJSON"),
    Command("next-switch-off", "circuitmap.cli.next_round", "propose the next switch-off", ("next-round",)),
    Command("walk", "circuitmap.cli.walk", "write the paper sheet of a switch-off"),
    Command("practice", "circuitmap.cli.rehearse", "practise surveys where the wiring is known", ("rehearse",)),
    Command(
        "readings", "circuitmap.cli.readings", "hold readings beside the map: expected, off by how much, likely causes"
    ),
    Command("simulate", "circuitmap.cli.simulate", "print what a meter would read with something wrong, for practice"),
    Command("quote", "circuitmap.cli.quote", "write a quotation for what is required, as PDF or as a spreadsheet"),
    Command("extend", "circuitmap.cli.extend", "lay out every sound way of adding points, with its price"),
    Command("hand-over", "circuitmap.cli.hand_over", "write the documents to leave: chart, labels, schedules, records"),
    Command("feeds", "circuitmap.cli.feeds", "say what feeds a point, how sure that is, and what else goes off"),
    Command(
        "properties",
        "circuitmap.cli.shelf",
        "list the properties in a folder: last visit, open findings, what is due",
        ("shelf",),
    ),
    Command("share", "circuitmap.cli.share", "make a copy to hand on, without what is private"),
    Command("new", "circuitmap.cli.new", "make a home file"),
    Command("pack", "circuitmap.cli.pack", "make a home file from a text form"),
    Command("unpack", "circuitmap.cli.unpack", "write a home file out as a text form"),
)
_CODES: Final = (
    "exit codes: 0 no findings, 1 findings at or above the level asked for, 2 wrong arguments,"
    " 3 something can't be read or written"
)


class _Module(Protocol):
    def add_arguments(self, parser: argparse.ArgumentParser) -> None: ...

    def run(self, args: argparse.Namespace) -> int: ...


class _Parser(argparse.ArgumentParser):
    """Says what is wrong with an argument in one sentence, and where to read on, instead of every option there is."""

    def error(self, message: str) -> NoReturn:
        self.exit(USAGE, f"{self.prog}: {printable(message)}; “{self.prog} --help” tells more.\n")


class _CommandParser(_Parser):
    """The arguments of one command, its options and its words in any order.

    ``argparse`` by itself takes a list of words only where they stand together, right behind the word before them.
    """

    _within = False

    def __init__(self, *args: Any, **how: Any) -> None:
        super().__init__(*args, **how)
        self.register("type", Path, _path)

    def parse_known_args(self, args: Iterable[str] | None = None, namespace: Any = None) -> Any:
        words = list(sys.argv[1:] if args is None else args)
        if self._within or "--" in words:  # behind -- every word counts as it stands
            return super().parse_known_args(words, namespace)
        self._within = True  # the way over both passes comes back here for each of them
        try:
            return self.parse_known_intermixed_args(words, namespace)
        finally:
            self._within = False


def _path(text: str) -> Path:
    if not text.strip():  # an empty variable of the shell, where pathlib would take the folder one is in
        raise argparse.ArgumentTypeError("a file or folder is named here, and the name is empty")
    return Path(text)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and give its exit code."""
    arguments = list(sys.argv[1:] if argv is None else argv)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal that lacks a letter gets a stand-in, not a traceback
    try:
        code = _run(arguments)
        sys.stdout.flush()
    except UsageError as error:
        return _say(error, USAGE)
    except (PersonError, OurError) as error:
        return _say(error, UNREADABLE)
    except KeyboardInterrupt:
        sys.stderr.write("\nStopped.\n")
        return STOPPED
    except BrokenPipeError:
        # Python flushes stdout once more on its way out; let that go nowhere.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return PIPE_CLOSED
    return code


def _run(arguments: list[str]) -> int:
    parser = _Parser(
        prog="circuitmap",
        description="Find out how a home is really wired: plan, board, switch-off survey, circuits and findings.",
        epilog=_CODES,
    )
    parser.add_argument("-V", "--version", action="version", version=f"circuitmap {circuitmap.__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", title="commands", parser_class=_CommandParser)
    called = next((word for word in arguments if not word.startswith("-")), None)
    module: _Module | None = None
    for command in COMMANDS:
        its_parser = commands.add_parser(
            command.name, aliases=command.also, help=command.does, description=_sentence(command.does)
        )
        if called in (command.name, *command.also):
            module = importlib.import_module(command.module)
            module.add_arguments(its_parser)
    args = parser.parse_args(arguments)
    if module is None:
        parser.print_help()
        return NOTHING_FOUND if not arguments else USAGE
    return module.run(args)


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


def _say(error: Exception, code: int) -> int:
    sys.stderr.write(f"circuitmap: {printable(str(error))}\n")
    return code


if __name__ == "__main__":
    sys.exit(main())
