"""The survey states drawn round a symbol, told by shape *and* tone: one list of parts for both pens.

A state is a plate behind the symbol, so that both can be read at 20 px: dotted, plain or filled; with a bar, dot, wave,
question mark or outward arrow that stays upright however the symbol is turned.
"""

import math
from functools import lru_cache
from typing import Final

from msgspec import Struct

from circuitmap.drawing.letters import letters
from circuitmap.drawing.marks import Glyph, State
from circuitmap.drawing.paths import Path, circle, moved, parse
from circuitmap.drawing.symbols import STROKE_UNITS, Symbol, symbol

PLATE_UNITS: Final = 80.0  # radius, for a symbol of 100
_LOW: Final = 13.0  # the plate hangs a little low, leaving room for the state's own mark under the symbol
_FILLED: Final = 70.0
_REACH: Final[dict[str, float]] = {"": 76.0, "fed from elsewhere": 152.0}  # an arrow or bar juts out of its plate

STATE_TITLES: Final[dict[State, str]] = {
    "not checked": "not yet checked",
    "went off": "went off (not proof that it is safe to touch)",
    "still on": "still on",
    "faint glow": "faint glow",
    "can't tell": "can't tell",
    "settled": "settled: filled with its circuit's colour",
    "in doubt": "in doubt between two circuits",
    "fed from elsewhere": "fed from elsewhere",
}


class Part(Struct, frozen=True):
    """One path to paint: moved by (dx, dy) units and turned, with roles for fill and stroke (empty: none)."""

    path: Path
    dx: float = 0.0
    dy: float = 0.0
    turn_deg: float = 0.0
    fill: str = ""
    stroke: str = ""
    width: float = STROKE_UNITS
    dash: tuple[float, ...] = ()
    outline_of: str = ""  # "NAME strokes", "NAME fills" …: which shared outline of a symbol this is, if one


def glyph_parts(glyph: Glyph) -> tuple[Part, ...]:
    """Give what to paint for a glyph, bottom first, in units of a hundredth of its size about its place."""
    return _parts(glyph.symbol, glyph.state, glyph.turn_deg, glyph.role, glyph.also)


def reach_units(glyph: Glyph) -> float:
    """Give how far from its place a glyph can reach, in units of a hundredth of its size."""
    drawn = symbol(glyph.symbol)
    return math.hypot(*drawn.centre) + _REACH.get(glyph.state, 126.0)


@lru_cache(maxsize=4096)
def _parts(name: str, state: State, turn_deg: float, role: str, also: str) -> tuple[Part, ...]:
    drawn = symbol(name)
    x, y = _turned(drawn.centre, turn_deg)
    under, inside, over = _plate(state, x, y, role, also)
    return under + _symbol_parts(drawn, turn_deg, inside, lone=not state) + over


def _symbol_parts(drawn: Symbol, turn_deg: float, role: str, *, lone: bool) -> tuple[Part, ...]:
    parts: list[Part] = []
    if lone:  # without a plate, a narrow margin of paper keeps the runs off its lines
        shared = "" if drawn.backing else f"{drawn.name} strokes"
        under = drawn.backing or drawn.strokes
        parts.append(
            Part(under, turn_deg=turn_deg, fill="paper", stroke="paper", width=STROKE_UNITS * 2.4, outline_of=shared)
        )
    for word, path in (("fills", drawn.fills), ("strokes", drawn.strokes), ("cuts", drawn.cuts)):
        if path:
            parts.append(
                Part(
                    path,
                    turn_deg=turn_deg,
                    fill=role if word == "fills" else "",
                    stroke={"fills": "", "strokes": role, "cuts": f"on:{role}"}[word],
                    outline_of=f"{drawn.name} {word}",
                )
            )
    return tuple(parts)


def _plate(state: State, x: float, y: float, role: str, also: str) -> tuple[tuple[Part, ...], str, tuple[Part, ...]]:
    """Give what lies under the symbol, the symbol's own role, and what lies over it."""
    low = y + _LOW
    foot = low + 55
    ring = parse(circle(0, 0, PLATE_UNITS))
    dot = parse(circle(0, 0, 14))

    def plain(dash: tuple[float, ...] = (), width: float = STROKE_UNITS) -> Part:
        return Part(ring, x, low, fill="paper", stroke="ink", width=width, dash=dash)

    match state:
        case "not checked":
            # 24 dots round the plate: the circumference of 2π × 80 cut into 24.
            return (Part(ring, x, low, fill="paper"), plain((0.5, PLATE_UNITS * math.tau / 24 - 0.5), 9.0)), "ink", ()
        case "went off":
            bar = parse("M-96 0 L96 0")
            return (
                (Part(ring, x, low, fill="off"),),
                "paper",
                (Part(bar, x, low + 48, stroke="paper", width=25.0), Part(bar, x, low + 48, stroke="off", width=12.0)),
            )
        case "still on":
            return (plain(),), "ink", (Part(dot, x, foot, fill="on"),)
        case "faint glow":
            wave = parse("M-38 4 Q-19 -22 0 0 Q19 22 38 -4")
            return (plain(),), "ink", (Part(wave, x, foot - 2, stroke="ink", width=8.0),)
        case "can't tell":
            return (plain(),), "ink", (Part(letters("?", 0, 0, 34), x, foot - 1, stroke="ink", width=8.0),)
        case "settled":
            disc = parse(circle(0, 0, _FILLED))
            return (Part(disc, x, y, fill=role, stroke="paper", width=6.0),), f"on:{role}", ()
        case "in doubt":
            left = parse(f"M-8 {-_FILLED} A{_FILLED} {_FILLED} 0 0 0 -8 {_FILLED} Z")
            right = parse(f"M8 {-_FILLED} A{_FILLED} {_FILLED} 0 0 1 8 {_FILLED} Z")
            other = also or "faint"
            backing = Part(parse(circle(0, 0, _FILLED + 8)), x, y, fill="paper")
            halves = (
                Part(left, x, y, fill=f"{role}/half", stroke=role, width=10.0),
                Part(right, x, y, fill=f"{other}/half", stroke=other, width=10.0),
            )
            return (backing, *halves), "ink", ()
        case "fed from elsewhere":
            arrow = moved(parse("M0 0 L50 -50 M50 -24 L50 -50 L24 -50"), 52, -52)
            return (
                (Part(parse(circle(0, 0, 72)), x, y, fill="paper", stroke="ink"),),
                "ink",
                (Part(arrow, x, y, stroke="paper", width=24.0), Part(arrow, x, y, stroke="ink", width=10.0)),
            )
        case _:
            return (), role, ()


def _turned(point: tuple[float, float], turn_deg: float) -> tuple[float, float]:
    cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    return cos * point[0] - sin * point[1], sin * point[0] + cos * point[1]
