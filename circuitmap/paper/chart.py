"""The circuit chart: storeys with every point's way, what each way and each room has, what stops working with what.

The same home, choices and day give the same bytes.
"""

from collections.abc import Mapping, Sequence
from typing import Final

from circuitmap.drawing.palette import circuit_ink
from circuitmap.drawing.plan import storeys_in_order
from circuitmap.drawing.symbols import symbol
from circuitmap.home import Home
from circuitmap.memo import Memo
from circuitmap.paper.chart_draw import FRAMES, ground_of, state_svg, symbol_svg
from circuitmap.paper.chart_facts import Facts, WayFact, chart_facts, rcd_words
from circuitmap.paper.chart_pages import LARGE, NORMAL, Drawn, Pages, choose, legend_columns, legend_words
from circuitmap.paper.chart_words import (
    NO_CABLES,
    NO_CALL,
    NOT_PROOF,
    PROVE,
    device_words,
    feeds_words,
    left_out_words,
    main_words,
    plain_words,
    room_rows,
    rooms_words,
    shared_words,
    stops_words,
    supply_words,
    survey_words,
    unknown_words,
    use_main,
)
from circuitmap.paper.days import day_said
from circuitmap.paper.typeset import Data, typeset
from circuitmap.paper.wanted import Made, Wanted
from circuitmap.words import NAMELESS

_POINT_PER_PX: Final = 0.75
_POINT_PER_MM: Final = 72 / 25.4
_SYMBOL_PX: Final = 17.0
# What to do when something trips: turn off, unplug, try once, then call (common practice, no source).
IF_TRIPS: Final = (
    "Look which switch on the board has gone down or halfway. Turn off and unplug what was on when it happened: look "
    "for it in the list.",
    "Something is hot, smells, is wet or makes noise: leave the switch down and call.",
    "Push that switch right down, then up, once. It stays up: plug things back in one at a time, each with its own "
    "switch off.",
    "It goes down again, or you are not sure: leave it down and call.",
)
NEVER: Final = (
    "Never hold a switch up, and never try again and again.",
    "Never open the board, a socket or a switch, and never touch bare wires.",
    NOT_PROOF,
)


def made(wanted: Wanted) -> tuple[Made, ...]:
    """Give the chart of a home as a PDF: in full, or in large print and plain words for who lives there."""
    home = wanted.home.existing()
    memo = wanted.memo if home is wanted.home else Memo()
    wanted.ticket.tick(0, 0, "Gathering what is known")
    facts = chart_facts(home, wanted.trade, memo)
    grounds = [g for storey in storeys_in_order(home) if (g := ground_of(facts, memo, storey)) is not None]
    style = LARGE if wanted.large_print else NORMAL
    # Who lives there prints it on what every printer takes.
    size = wanted.size or ("A4" if wanted.large_print else "")
    pages = choose(facts, grounds, size, wanted.turned, style, wanted.ticket, alone=wanted.large_print)
    pictures = _pictures(pages)
    wanted.ticket.tick(0, 0, "Setting the pages")
    data = {**_data(wanted, facts, memo), **_plan_data(facts, pages, wanted.turned, large=wanted.large_print)}
    template = "chart-large" if wanted.large_print else "chart"
    return (Made(typeset(template, data, pictures), remarks=_remarks(facts, pages)),)


def _data(wanted: Wanted, facts: Facts, memo: Memo) -> Data:
    del memo
    home = facts.home
    details = home.details
    rows = room_rows(facts)
    return {
        "title": f"Circuit chart: {details.name}" if details.name else "Circuit chart",
        "home": details.name or NAMELESS,
        "address": details.address if details.address != details.name else "",
        "day": day_said(wanted.day),
        "survey": survey_words(facts),
        "call": details.call,
        "no_call": NO_CALL,
        "not_proof": NOT_PROOF,
        "prove": PROVE,
        "no_cables": NO_CABLES,
        "use_main": _capital(use_main(facts)),
        "mains": main_words(facts),
        "ways": [_way(facts, way) for way in facts.ways],
        "rooms": [
            {"storey": storey, "room": name, "pieces": [list(piece) for piece in pieces]}
            for storey, name, pieces in rows
        ],
        "several_storeys": len({storey for storey, _, _ in rows}) > 1,
        "supplies": supply_words(facts),
        "shared": shared_words(facts),
        "unknown": unknown_words(facts),
        "planned": _planned_words(wanted.home),
        "if_trips": IF_TRIPS,
        "never": NEVER,
    }


def _way(facts: Facts, way: WayFact) -> Data:
    return {
        **_mark(way),
        "device": device_words(way.view.device),
        "label": way.view.device.label,
        "feeds": feeds_words(facts, way),
        "rooms": rooms_words(way, facts) or "–",
        "rcd": rcd_words(facts, way),
        "stops": stops_words(facts, way),
        "plain": plain_words(facts, way),
        "sure": bool(way.seen) and not way.unsure and not way.joined and not way.view.boards_fed,
    }


def _mark(way: WayFact) -> Data:
    """Give how a way is marked: its code, its colour, whether that comes again, and the line round its code."""
    hex_colour, stripe = circuit_ink(way.number)
    frame = [number * _POINT_PER_PX for number in FRAMES[way.number % len(FRAMES)]]
    return {"code": way.code, "colour": hex_colour, "striped": bool(stripe), "frame": frame}


def _plan_data(facts: Facts, pages: Pages, turned: str, *, large: bool) -> Data:
    ways = {way.view.device.id: way for way in facts.ways}
    style = LARGE if large else NORMAL
    files = _symbol_files(pages)
    shown: list[Data] = []
    number = 0
    for page in pages.pages:
        drawn: list[Data] = []
        for each in page:
            drawn.append(
                {
                    "title": each.title,
                    "file": f"plan-{number}.svg",
                    "wide": each.wide_mm * _POINT_PER_MM,
                    "says": f"{each.title}: points with the ways that feed them.",
                    "scale": f"1:{each.scale}",
                    "bar": 1000.0 / each.scale * _POINT_PER_MM,
                    "left_out": left_out_words(facts, each.left_out),
                    "numbered": [[f"({n})", name] for n, name in each.numbered],
                }
            )
            number += 1
        used = dict.fromkeys(device for each in page for device in each.ways)
        symbols = dict.fromkeys(name for each in page for name in each.symbols)
        shown.append(
            {
                "drawn": drawn,
                "ways": [{**_mark(ways[i]), "words": legend_words(facts, i)} for i in ways if i in used],
                "symbols": [
                    {"file": files[name], "words": _capital(symbol(name).title)}
                    for name in sorted(symbols, key=lambda each: symbol(each).title)
                ],
            }
        )
    wide = _inside_mm(pages)
    return {
        "paper": pages.size.lower(),
        "flipped": pages.turned == "landscape",
        "said_turned": bool(turned) and pages.turned == "landscape",
        "across": pages.across,
        "plans": shown,
        "way_columns": legend_columns(wide, style, symbols=False),
        "symbol_columns": legend_columns(wide, style, symbols=True),
    }


def _inside_mm(pages: Pages) -> float:
    from circuitmap.paper.chart_pages import MARGIN_MM, SHEETS_MM

    wide, high = SHEETS_MM[pages.size]
    return (high if pages.turned == "landscape" else wide) - 2 * MARGIN_MM[0]


def _pictures(pages: Pages) -> Mapping[str, str]:
    drawn: Sequence[Drawn] = [each for page in pages.pages for each in page]
    return {
        **{f"plan-{n}.svg": each.svg for n, each in enumerate(drawn)},
        **{file: symbol_svg(name, _SYMBOL_PX) for name, file in _symbol_files(pages).items()},
        "seen.svg": state_svg("circuit:3", _SYMBOL_PX, seen=True),
        "said.svg": state_svg("circuit:3", _SYMBOL_PX, seen=False),
    }


def _symbol_files(pages: Pages) -> dict[str, str]:
    """Give the name of every symbol's file; short ones, since long words of the data may be broken."""
    names = sorted({name for page in pages.pages for each in page for name in each.symbols})
    return {name: f"symbol-{n}.svg" for n, name in enumerate(names)}


def _planned_words(home: Home) -> str:
    there = home.existing()
    if there is home or sum(1 for _ in there.all()) == sum(1 for _ in home.all()):
        return ""
    return "Work that is only planned, and what was taken out, is not on this chart."


def _remarks(facts: Facts, pages: Pages) -> tuple[str, ...]:
    says: list[str] = []
    if not pages.pages:
        says.append("No storey is drawn, so the chart has lists and no plan.")
    if not facts.home.details.call:
        says.append("Nobody is named who is to be called; the chart has a line to write it on.")
    return tuple(says)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
