"""What stands before and after the numbered list of a printed sheet: what goes off and is watched, what to do then."""

from collections.abc import Sequence
from typing import Final

from circuitmap.drawing.paper_pen import (
    INSIDE_PX,
    Piece,
    box,
    line_px,
    measured,
    panel,
    paragraph,
    rule,
    shortened,
    text,
    wrapped,
)
from circuitmap.home import Home
from circuitmap.home.records import Device, Point
from circuitmap.memo import Memo
from circuitmap.plan import rooms_of_points
from circuitmap.survey.paper import HOW_TO_TYPE, LAMP, PROVE, Paper
from circuitmap.words import NAMELESS, written_day_said

TITLE_SIZE: Final = 19.0
HEAD_SIZE: Final = 12.0
BODY_SIZE: Final = 10.5
SMALL_SIZE: Final = 9.0
GAP_PX: Final = 9.0
BOX_PX: Final = 11.0
_PAD: Final = 8.0
_LOOKS: Final = 14
_LOOK_AT_EACH: Final = (
    "Look at each W, or at a lamp left there, from every room and at the end. One is out: stop, write down when."
)


def head(home: Home, paper: Paper) -> list[Piece]:
    """Give the head: whose home, which switch-off, the sheet's code, what is filled in by hand, what goes off."""
    code = f"Sheet {paper.code}"
    room = INSIDE_PX - measured(code, HEAD_SIZE, bold=True) - 20
    called = shortened(home.details.name or NAMELESS, room, TITLE_SIZE, bold=True)
    what = shortened(paper.title + (f" · {written_day_said(paper.day)}" if paper.day else ""), INSIDE_PX, HEAD_SIZE)
    lines = [
        text(called, 0, 11, TITLE_SIZE, bold=True),
        text(code, INSIDE_PX, 11, HEAD_SIZE, bold=True, anchor="end"),
        text(what, 0, 31, HEAD_SIZE),
    ]
    fields = ["Agreed by", "Off at", "Power back at", "Walked by"]
    if paper.is_look:
        fields = ["Walked by", "From", "To"]
    if not paper.day:
        fields = ["Date", *fields]
    step = INSIDE_PX / len(fields)
    for n, words in enumerate(fields):
        x = n * step
        lines.append(text(words, x, 52, SMALL_SIZE, "faint"))
        lines.append(rule(x + measured(words, SMALL_SIZE) + 3, 57, x + step - 10, 57))
    return [Piece(66, tuple(lines)), *_off(home, paper)]


def _off(home: Home, paper: Paper) -> list[Piece]:
    """Say what goes off, by the codes and the labels as found."""
    inside = INSIDE_PX - 2 * _PAD
    if paper.is_look:
        return [panel_of("Nothing goes off: look with everything on", (), "room", "faint")]
    if paper.is_blank:
        drawn = (text("Goes off", _PAD, 14, HEAD_SIZE, bold=True), rule(_PAD + 70, 20, INSIDE_PX - _PAD, 20),
                 rule(_PAD, 42, INSIDE_PX - _PAD, 42))  # fmt: skip
        return [Piece(50 + GAP_PX, (panel(INSIDE_PX, 50, "room", "faint"), *drawn))]
    named = [_named(home, device) for device in paper.off]
    named += [f"{source} (as its maker says)" for source in paper.sources_off]
    said = wrapped("  ·  ".join(named), inside, HEAD_SIZE, bold=True)
    return [panel_of("Goes off", said, "room", "ink", size=HEAD_SIZE, bold=True)]


def _named(home: Home, device_id: str) -> str:
    """Give what a device goes by, with its label as found."""
    device = home.take(Device, device_id)
    label = device.label if device.label.casefold() != device.kind.casefold() else ""
    if device.way:
        return f"{home.code(device_id)} {label}".strip()
    return f"{label or device.kind} of board {home.letter_of(device.board)}"


def before(paper: Paper) -> list[Piece]:
    """Give the cautions."""
    inside = INSIDE_PX - 2 * _PAD
    lines: list[str] = []
    for caution in (PROVE, *paper.cautions) if not paper.is_look else paper.cautions:
        first, *rest = wrapped(caution, inside - 8, SMALL_SIZE)
        lines += [f"– {first}", *(f"\u2002{line}" for line in rest)]
    return [panel_of("Before and during", tuple(lines), "", "warn", size=SMALL_SIZE)]


def watch(home: Home, memo: Memo, paper: Paper) -> list[Piece]:
    """Give the points to be watched, and a box for every look at them."""
    if paper.is_look:
        return []
    by_device: dict[str, list[str]] = {}
    for each in paper.witnesses:
        by_device.setdefault(each.device, []).append(_point_words(home, memo, each.point))
    said = [f"W: {'; '.join(points)}. Out: look at {_named(home, i)}." for i, points in by_device.items()]
    lines = [line for each in said for line in wrapped(each, INSIDE_PX, BODY_SIZE)]
    says = _LOOK_AT_EACH if said else LAMP
    rows = [*lines, *wrapped(says, INSIDE_PX, BODY_SIZE)]
    high = line_px(BODY_SIZE) * len(rows)
    drawn = [text("Watch", 0, 7, HEAD_SIZE, bold=True), *paragraph(rows, 0, 16, BODY_SIZE)]
    y = 16 + high + 9
    drawn.append(text("Still on, room by room", 0, y, SMALL_SIZE, "faint"))
    start = measured("Still on, room by room", SMALL_SIZE) + 8
    drawn += [box(start + n * (BOX_PX + 9), y, BOX_PX) for n in range(_LOOKS)]
    out = start + _LOOKS * (BOX_PX + 9) + 10
    drawn.append(text("went out at", out, y, SMALL_SIZE, "faint"))
    drawn.append(rule(out + measured("went out at", SMALL_SIZE) + 3, y + 5, INSIDE_PX, y + 5))
    return [Piece(y + 9 + GAP_PX, tuple(drawn))]


def _point_words(home: Home, memo: Memo, point_id: str) -> str:
    point, room = home.take(Point, point_id), rooms_of_points(home, memo)[point_id]
    return f"{point.name or point.kind} {point_id}, {room.name if room is not None else 'no room given'}"


def after(paper: Paper) -> list[Piece]:
    """Say what to do when the power is back, and how the answers are typed in."""
    inside = INSIDE_PX - 2 * _PAD
    pieces: list[Piece] = []
    if paper.after:
        lines: list[str] = []
        for sentence in paper.after:
            first, *rest = wrapped(sentence, inside - 20, SMALL_SIZE)
            lines += [f"– {first}", *(f"\u2002{line}" for line in rest)]
        pieces.append(_gap())
        pieces.append(
            panel_of("When the walk is done: the power back on first", tuple(lines), "", "ink", size=SMALL_SIZE)
        )
    own = f"{paper.lines[0].points[0]} off" if paper.lines else "P12 off"
    says = (
        "On the desk, Survey stage, under “Answers on paper” when the power is back. The code says that the numbers "
        f"are this sheet’s. A point’s own number will do too: {own}."
    )
    code = f"{paper.code}: {HOW_TO_TYPE}"
    pieces.append(_gap())
    pieces.append(
        panel_of(f"To type in, for example   {code}", wrapped(says, inside, SMALL_SIZE), "room", "faint", SMALL_SIZE)
    )
    return pieces


def _gap() -> Piece:
    return Piece(GAP_PX, (), clings=True)


def panel_of(
    head: str, lines: Sequence[str], fill: str, edge: str, size: float = SMALL_SIZE, *, bold: bool = False
) -> Piece:
    """Give a panel with a heading and lines under it."""
    high = 20 + line_px(size) * len(lines) + (6 if lines else 0)
    drawn = (
        panel(INSIDE_PX, high, fill, edge),
        text(shortened(head, INSIDE_PX - 2 * _PAD, BODY_SIZE, bold=True), _PAD, 11, BODY_SIZE, bold=True),
        *paragraph(lines, _PAD, 20, size, bold=bold),
    )
    return Piece(high + GAP_PX, drawn)
