"""``circuitmap extend``: every sound way of adding, moving or taking out points, with what each changes and costs.

``--json`` prints one object: ``home``, ``wishes`` (as they were read), ``first`` (what has to be in order: ``subject``,
``answer``, ``says``, ``source``, ``remedies``), ``first_sums`` (``why``, ``net``, ``least``, ``most``), ``refused``
(``wish``, ``says``), ``options`` (sound ones first, the cheaper first) and ``caution``; a ``wish`` is a requirement, by
its number. An option has ``kind``, ``key``, ``way``, ``wishes``,
``sound``, ``failed``, ``not_judged``, ``cable``, ``length_mm``, ``routes``, ``points``, ``runs``, ``changes``, ``adds``
and ``clears`` (findings), ``checks``, ``ring`` (r1, rn, r2 or null), ``expected`` (R1+R2 and Zs at each new point),
``demand_a``, ``rcd``, ``papers``, ``minutes``, ``price`` (in the smallest unit of the currency), ``cautions`` and
``assumes``. The exit code is 1 when there is a wish without a sound option.
"""

import argparse
import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from circuitmap.cli import FOUND, NOTHING_FOUND, UsageError, printable
from circuitmap.cli.ways import wrapped

if TYPE_CHECKING:
    from circuitmap.extension.kinds import Asking
    from circuitmap.home import Home
    from circuitmap.home.records import Extension


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("home", metavar="HOME", type=Path, help="a home file, or the folder of a text form")
    parser.add_argument(
        "--require", "--wish", dest="wish", metavar="WORDS", action="append", default=[],
        help="what is required, such as “twin socket, Kitchen, wall 2, 1.4 m, 1100 mm”; once for each",
    )  # fmt: skip
    parser.add_argument(
        "--extension", metavar="X1", default="", help="the requirements of an extension that is in the home"
    )
    lived = parser.add_mutually_exclusive_group()
    lived.add_argument(
        "--empty", dest="lived_in", action="store_false", default=None,
        help="nobody lives there and nothing stands in the way; as the extension says unless told",
    )  # fmt: skip
    lived.add_argument("--lived-in", action="store_true", default=None, help="people live there")
    walls = parser.add_mutually_exclusive_group()
    walls.add_argument(
        "--trunking", dest="on_surface", action="store_true", default=None,
        help="cables on walls lie in trunking, in sight; as the extension says unless told",
    )  # fmt: skip
    walls.add_argument(
        "--hidden", dest="on_surface", action="store_false", default=None, help="cables are hidden in walls and floors"
    )
    parser.add_argument(
        "--making-good", choices=("included", "others"), help="who fills chases; as the extension says unless told"
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object instead of words")


def run(args: argparse.Namespace) -> int:
    """Lay out the options; give 1 when there is a wish that no sound one does."""
    from circuitmap import trade
    from circuitmap.extension import pricebook
    from circuitmap.extension.option_says import as_builtins
    from circuitmap.extension.options import options
    from circuitmap.extension.wishes import say_wish
    from circuitmap.home.exchange import open_home
    from circuitmap.memo import Memo
    from circuitmap.places import user_data

    if bool(args.wish) == bool(args.extension):
        raise UsageError("Say what is required by --require, or name an extension of the home by --extension.")
    home, memo, tables = open_home(args.home), Memo(), trade.load(user_data())
    extension = _done_as_told(_extension(home, memo, tables, args), args)
    book = pricebook.load(own=pricebook.own_path())
    asking = options(home, extension, tables, book, memo)
    wishes = [say_wish(home, memo, tables, wish) for wish in extension.wishes]
    done = {number for option in asking.options if option.is_sound for number in option.wishes}
    code = NOTHING_FOUND if len(done) == len(wishes) else FOUND
    name = home.details.name or args.home.name
    if args.json:
        print(json.dumps({"home": name, "wishes": wishes, **as_builtins(asking, home)}, indent=1))
        return code
    print(printable("\n".join(_words(name, wishes, asking, book.problems))))
    return code


def _extension(home: "Home", memo: object, tables: object, args: argparse.Namespace) -> "Extension":
    from circuitmap.extension.wishes import WishError, read_wish
    from circuitmap.home.records import Extension

    if args.extension:
        found = home.find(Extension, args.extension)
        if found is None:
            there = ", ".join(each.id for each in home.sorted(Extension))
            says = f"there are: {there}" if there else "nothing is required in it yet"
            raise UsageError(f"There is no extension “{args.extension}” in this home; {says}.")
        return found
    try:
        wishes = tuple(read_wish(home, memo, tables, words) for words in args.wish)  # type: ignore[arg-type]
    except WishError as error:
        raise UsageError(str(error)) from None
    return Extension(id=home.next_id(Extension), name="asked for", wishes=wishes)


def _done_as_told(extension: "Extension", args: argparse.Namespace) -> "Extension":
    """Give an extension with what was said of how its work is done in place of what it says itself."""
    from msgspec import structs

    if args.lived_in is not None:
        extension = structs.replace(extension, lived_in=args.lived_in)
    if args.on_surface is not None:
        extension = structs.replace(extension, on_surface=args.on_surface)
    if args.making_good is not None:
        extension = structs.replace(extension, others_make_good=args.making_good == "others")
    return extension


def _words(name: str, wishes: list[str], asking: "Asking", problems: tuple[str, ...]) -> Iterator[str]:
    from circuitmap.extension.checks import CAUTION
    from circuitmap.extension.estimate_says import invented_said
    from circuitmap.extension.option_says import FIRST, first_said, fit_said, headline, option_said

    yield f"{name}: {len(wishes)} requirement{'' if len(wishes) == 1 else 's'}."
    for number, says in enumerate(wishes, 1):
        yield from wrapped(f"{number}. {says}", "  ", "     ")
    yield from wrapped(CAUTION)
    yield from ("", FIRST)
    for says in fit_said(asking.fit):
        yield from wrapped(says, "  - ", "    ")
    if asking.first:
        yield from ("", "What that would cost, apart from the options")
        for says in first_said(asking):
            yield from wrapped(says, "  - ", "    ")
    for _, says in asking.refused:
        yield from ("", *wrapped(says))
    for option in asking.options:
        numbers = ", ".join(str(number + 1) for number in option.wishes)
        sound = "" if option.is_sound else "NOT SOUND  "
        yield from ("", *wrapped(f"{sound}{headline(option)}  [requirements {numbers}]"))
        for says in option_said(option):
            yield from wrapped(says, "  - ", "    ")
    said = next((invented_said(each.priced) for each in asking.options if each.priced is not None), "")
    yield from ("", *wrapped(said)) if said else ()
    yield from (line for says in problems for line in wrapped(says))
    if asking.options:
        cautions = dict.fromkeys(says for option in asking.options for says in option.cautions)
        yield from ("", "Look out for")
        for says in cautions:
            yield from wrapped(says, "  - ", "    ")
