"""Strokes of the pen for printed pages: lines of text that surely fit, boxes to tick, lines to write on.

A page is printed wherever it was sent to, maybe without our font, so text is measured for the widest that a reader is
likely to set it in.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from circuitmap.drawing.palette import colour
from circuitmap.drawing.paths import number
from circuitmap.drawing.typed import element_text, one_line, width_px

MM: Final = 96 / 25.4  # px, an SVG pixel being 1/96 inch (CSS Values 4, section 6.2)
WIDE_PX: Final = 210 * MM  # A4 (ISO 216)
HIGH_PX: Final = 297 * MM
MARGIN_PX: Final = 11 * MM  # most printers can't print nearer to the edge than 5 to 10 mm (common practice, no source)
INSIDE_PX: Final = WIDE_PX - 2 * MARGIN_PX
# How much wider than our own font a common stand-in sets a line, regular and semibold; measured with DejaVu Sans.
_WIDEST: Final = {False: 1.21, True: 1.37}
_LINE: Final = 1.3  # of the size, from one line to the next
_LIMIT: Final = 2000

Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Piece:
    """Lines of SVG with the height they take, to be put at any height of a page; ``clings`` stays with the next."""

    height_px: float
    lines: tuple[str, ...]
    clings: bool = False

    def at(self, y_px: float) -> str:
        """Give the piece at a height of a page."""
        return f'<g transform="translate({number(MARGIN_PX)} {number(y_px)})">' + "".join(self.lines) + "</g>"


def measured(text: str, size_px: float, *, bold: bool = False) -> float:
    """Give how wide a line may be set at most."""
    return width_px(one_line(text, _LIMIT), size_px) * _WIDEST[bold]


def line_px(size_px: float) -> float:
    """Give the height of a line of a size."""
    return size_px * _LINE


def wrapped(text: str, room_px: float, size_px: float, *, bold: bool = False, most: int = 0) -> tuple[str, ...]:
    """Break a text into lines that fit; past ``most`` lines, if given, the last ends in an ellipsis."""
    lines: list[str] = []
    line = ""
    for word in _words(one_line(text, _LIMIT), room_px, size_px, bold):
        longer = f"{line} {word}" if line else word
        if line and measured(longer, size_px, bold=bold) > room_px:
            lines.append(line)
            longer = word
        line = longer
    lines.append(line)
    if most and len(lines) > most:
        last = f"{lines[most - 1]} {lines[most]}"
        lines = [*lines[: most - 1], shortened(last, room_px, size_px, bold=bold)]
    return tuple(lines)


def shortened(text: str, room_px: float, size_px: float, *, bold: bool = False) -> str:
    """Give a line cut, with an ellipsis, to what fits."""
    line = one_line(text, _LIMIT)
    while line and measured(line, size_px, bold=bold) > room_px:
        line = line.rstrip("…")[:-1].rstrip()
        line = f"{line}…" if line else ""
    return line


def text(
    words: str, x: float, middle_y: float, size_px: float, role: str = "ink", *, anchor: Anchor = "start",
    bold: bool = False,
) -> str:  # fmt: skip
    """Write one line centred on a height."""
    heavy = ' font-weight="600"' if bold else ""
    return (
        f'<text x="{number(x)}" y="{number(middle_y + size_px * 0.34)}" font-size="{number(size_px)}" '
        f'text-anchor="{anchor}" fill="{colour(role, "paper")}"{heavy}>{element_text(words, _LIMIT)}</text>'
    )


def paragraph(
    lines: Iterable[str], x: float, top_y: float, size_px: float, role: str = "ink", *, bold: bool = False
) -> tuple[str, ...]:
    """Write lines one under the other from a height on."""
    step = line_px(size_px)
    return tuple(text(line, x, top_y + step * (n + 0.5), size_px, role, bold=bold) for n, line in enumerate(lines))


def rule(x1: float, y1: float, x2: float, y2: float, role: str = "faint", width_px: float = 0.75) -> str:
    """Draw a straight line."""
    return (
        f'<path d="M{number(x1)} {number(y1)} L{number(x2)} {number(y2)}" stroke="{colour(role, "paper")}" '
        f'stroke-width="{number(width_px)}"/>'
    )


def box(x: float, middle_y: float, side_px: float, *, ticked: bool = False) -> str:
    """Draw a box to tick, its left edge at x; a ticked one says what was written down already."""
    top = middle_y - side_px / 2
    drawn = (
        f'<rect x="{number(x)}" y="{number(top)}" width="{number(side_px)}" height="{number(side_px)}" rx="1.5" '
        f'stroke="{colour("ink", "paper")}" stroke-width="1"/>'
    )
    if ticked:
        a, b = number(x + side_px * 0.2), number(x + side_px * 0.8)
        c, d = number(top + side_px * 0.2), number(top + side_px * 0.8)
        drawn += f'<path d="M{a} {c} L{b} {d} M{b} {c} L{a} {d}" stroke="{colour("ink", "paper")}" stroke-width="1.5"/>'
    return drawn


def panel(width: float, height: float, fill: str, edge: str) -> str:
    """Draw a panel with an edge, to stand under words; without a fill the paper shows."""
    inside = f' fill="{colour(fill, "paper")}"' if fill else ""
    return (
        f'<rect width="{number(width)}" height="{number(height)}" rx="3"{inside} '
        f'stroke="{colour(edge, "paper")}" stroke-width="0.75"/>'
    )


def _words(line: str, room_px: float, size_px: float, bold: bool) -> Iterable[str]:
    """Give the words of a line, those that are longer than a whole line in pieces."""
    for word in line.split():
        rest = word
        while measured(rest, size_px, bold=bold) > room_px and len(rest) > 1:
            end = len(rest) - 1
            while end > 1 and measured(rest[:end], size_px, bold=bold) > room_px:
                end -= 1
            yield rest[:end]
            rest = rest[end:]
        yield rest
