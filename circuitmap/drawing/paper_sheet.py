"""The survey's sheet as pages to print: what goes off, small plans, the numbered list with boxes, what to do after.

A4 upright, black on white, an SVG for each page. What it says is the survey's; here is only where it stands.
"""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from circuitmap.drawing.paper_pen import (
    HIGH_PX,
    INSIDE_PX,
    MARGIN_PX,
    WIDE_PX,
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
from circuitmap.drawing.paper_plan import SmallPlan, small_plan
from circuitmap.drawing.paths import number
from circuitmap.drawing.plan import storeys_in_order
from circuitmap.drawing.svg import FAMILY
from circuitmap.drawing.typed import element_text
from circuitmap.home import Home
from circuitmap.home.records import Device, Point, Storey
from circuitmap.memo import Memo
from circuitmap.plan import rooms_of_points
from circuitmap.survey.lines import Line
from circuitmap.survey.paper import HOW_TO_TYPE, LAMP, PROVE, Paper

_TITLE: Final = 19.0
_HEAD: Final = 12.0
_BODY: Final = 10.5
_SMALL: Final = 9.0
_GAP: Final = 9.0
_FOOT: Final = 30.0
_PAD: Final = 8.0
_ROW: Final = 21.0
_ROOM: Final = 19.0
_BOX: Final = 11.0
_PLAN_HIGH: Final = 330.0
_NUMBER_WIDE: Final = 38.0
_WORDS_WIDE: Final = 262.0
_BOX_WIDE: Final = 56.0
_LOOKS: Final = 14
_LOOK_AT_EACH: Final = (
    "Look at each W, or at a lamp left there, from every room and at the end. One is out: stop, write down when."
)


def sheet_pages(home: Home, memo: Memo, paper: Paper) -> tuple[str, ...]:
    """Give the pages of a sheet, an SVG document each."""
    plans = _plans(home, memo, paper)
    flow = _Flow()
    for piece in (*_head(home, paper), *_cautions(paper), *_watch(home, memo, paper)):
        flow.put(piece)
    for piece in _plan_rows(plans):
        flow.put(piece)
    _table(flow, paper)
    for piece in _after(paper):
        flow.put(piece)
    shared = {name: drawn for plan in plans for name, drawn in plan.shared.items()}
    count = len(flow.pages)
    return tuple(_page(home, paper, pieces, shared, n, count) for n, pieces in enumerate(flow.pages, 1))


def page_paths(path: Path, count: int) -> tuple[Path, ...]:
    """Give where the pages go: one by the name itself, several numbered beside it."""
    if count == 1:
        return (path,)
    return tuple(path.with_name(f"{path.stem}-{n}{path.suffix}") for n in range(1, count + 1))


class _Flow:
    """Puts pieces on pages from the top down; what doesn't fit begins the next page."""

    def __init__(self) -> None:
        self.pages: list[list[tuple[float, Piece]]] = [[]]
        self._y = MARGIN_PX
        self._held: list[Piece] = []

    def has_room(self, height_px: float) -> bool:
        """Whether a height still fits on the page."""
        return self._y + height_px <= HIGH_PX - MARGIN_PX - _FOOT

    def put(self, piece: Piece) -> None:
        """Put a piece under the last; a clinging one waits, to stand with what follows it."""
        if piece.clings:
            self._held.append(piece)
            return
        together = [*self._held, piece]
        self._held = []
        if not self.has_room(sum(each.height_px for each in together)):
            self.turn()
        for each in together:
            self.pages[-1].append((self._y, each))
            self._y += each.height_px

    def turn(self) -> None:
        """Begin a page, if the last has anything on it."""
        if self.pages[-1]:
            self.pages.append([])
            self._y = MARGIN_PX


def _page(
    home: Home, paper: Paper, pieces: Sequence[tuple[float, Piece]], shared: Mapping[str, str], page: int, count: int
) -> str:
    wide, high = number(WIDE_PX), number(HIGH_PX)
    called = home.details.name or "Home without a name"
    title = f"{called} · {paper.title} · page {page} of {count}"
    foot = HIGH_PX - MARGIN_PX
    where = f"page {page} of {count}"
    left = shortened(f"{called} · {paper.title} · sheet {paper.code}", INSIDE_PX - measured(where, _SMALL) - 20, _SMALL)
    return "\n".join(
        [
            '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="210mm" '
            f'height="297mm" viewBox="0 0 {wide} {high}" role="img" aria-labelledby="title" '
            f'font-family="{FAMILY}, sans-serif" fill="none" stroke-linecap="round" stroke-linejoin="round">',
            f'<title id="title">{element_text(title, 300)}</title>',
            "<defs>", *shared.values(), "</defs>",
            f'<rect width="{wide}" height="{high}" fill="#FFFFFF"/>',  # real paper is the paper here
            *(piece.at(y) for y, piece in pieces),
            rule(MARGIN_PX, foot - 25, WIDE_PX - MARGIN_PX, foot - 25),
            text(PROVE, MARGIN_PX, foot - 17, _SMALL, "warn", bold=True),
            text(left, MARGIN_PX, foot - 5, _SMALL, "faint"),
            text(where, WIDE_PX - MARGIN_PX, foot - 5, _SMALL, "faint", anchor="end"),
            "</svg>\n",
        ]
    )  # fmt: skip


def _head(home: Home, paper: Paper) -> list[Piece]:
    code = f"Sheet {paper.code}"
    room = INSIDE_PX - measured(code, _HEAD, bold=True) - 20
    called = shortened(home.details.name or "Home without a name", room, _TITLE, bold=True)
    what = shortened(paper.title + (f" · {paper.day}" if paper.day else ""), INSIDE_PX, _HEAD)
    lines = [
        text(called, 0, 11, _TITLE, bold=True),
        text(code, INSIDE_PX, 11, _HEAD, bold=True, anchor="end"),
        text(what, 0, 31, _HEAD),
    ]
    fields = ["Agreed by", "Off at", "Power back at", "Walked by"]
    if paper.is_look:
        fields = ["Walked by", "From", "To"]
    if not paper.day:
        fields = ["Date", *fields]
    step = INSIDE_PX / len(fields)
    for n, words in enumerate(fields):
        x = n * step
        lines.append(text(words, x, 52, _SMALL, "faint"))
        lines.append(rule(x + measured(words, _SMALL) + 3, 57, x + step - 10, 57))
    return [Piece(66, tuple(lines)), *_off(home, paper)]


def _off(home: Home, paper: Paper) -> list[Piece]:
    """Say what goes off, by the codes and the labels as found."""
    inside = INSIDE_PX - 2 * _PAD
    if paper.is_look:
        return [_panel("Nothing goes off: look with everything on", (), "room", "faint")]
    if paper.is_blank:
        drawn = (text("Goes off", _PAD, 14, _HEAD, bold=True), rule(_PAD + 70, 20, INSIDE_PX - _PAD, 20),
                 rule(_PAD, 42, INSIDE_PX - _PAD, 42))  # fmt: skip
        return [Piece(50 + _GAP, (panel(INSIDE_PX, 50, "room", "faint"), *drawn))]
    named = [_named(home, device) for device in paper.off]
    named += [f"{source} (as its maker says)" for source in paper.sources_off]
    said = wrapped("  ·  ".join(named), inside, _HEAD, bold=True)
    return [_panel("Goes off", said, "room", "ink", size=_HEAD, bold=True)]


def _named(home: Home, device_id: str) -> str:
    """Give what a device goes by, with its label as found."""
    device = home.take(Device, device_id)
    label = device.label if device.label.casefold() != device.kind.casefold() else ""
    if device.way:
        return f"{home.code(device_id)} {label}".strip()
    return f"{label or device.kind} of board {home.letter_of(device.board)}"


def _cautions(paper: Paper) -> list[Piece]:
    inside = INSIDE_PX - 2 * _PAD
    lines: list[str] = []
    for caution in (PROVE, *paper.cautions) if not paper.is_look else paper.cautions:
        first, *rest = wrapped(caution, inside - 8, _SMALL)
        lines += [f"– {first}", *(f"\u2002{line}" for line in rest)]
    return [_panel("Before and during", tuple(lines), "", "warn", size=_SMALL)]


def _watch(home: Home, memo: Memo, paper: Paper) -> list[Piece]:
    """Give the points to be watched, and a box for every look at them."""
    if paper.is_look:
        return []
    by_device: dict[str, list[str]] = {}
    for each in paper.witnesses:
        by_device.setdefault(each.device, []).append(_point_words(home, memo, each.point))
    said = [f"W: {'; '.join(points)}. Out: look at {_named(home, i)}." for i, points in by_device.items()]
    lines = [line for each in said for line in wrapped(each, INSIDE_PX, _BODY)]
    says = _LOOK_AT_EACH if said else LAMP
    rows = [*lines, *wrapped(says, INSIDE_PX, _BODY)]
    high = line_px(_BODY) * len(rows)
    drawn = [text("Watch", 0, 7, _HEAD, bold=True), *paragraph(rows, 0, 16, _BODY)]
    y = 16 + high + 9
    drawn.append(text("Still on, room by room", 0, y, _SMALL, "faint"))
    start = measured("Still on, room by room", _SMALL) + 8
    drawn += [box(start + n * (_BOX + 9), y, _BOX) for n in range(_LOOKS)]
    out = start + _LOOKS * (_BOX + 9) + 10
    drawn.append(text("went out at", out, y, _SMALL, "faint"))
    drawn.append(rule(out + measured("went out at", _SMALL) + 3, y + 5, INSIDE_PX, y + 5))
    return [Piece(y + 9 + _GAP, tuple(drawn))]


def _point_words(home: Home, memo: Memo, point_id: str) -> str:
    point, room = home.take(Point, point_id), rooms_of_points(home, memo)[point_id]
    return f"{point.name or point.kind} {point_id}, {room.name if room is not None else 'no room given'}"


def _plans(home: Home, memo: Memo, paper: Paper) -> list[SmallPlan]:
    storeys = storeys_in_order(home)
    watched = [each.point for each in paper.witnesses]
    found = [_small(home, memo, storey, paper, watched, len(storeys)) for storey in storeys]
    return [plan for plan in found if plan is not None]


def _small(
    home: Home, memo: Memo, storey: Storey, paper: Paper, watched: Sequence[str], count: int
) -> SmallPlan | None:
    """Draw a storey small, or as large as a page when its numbers are too close together for that."""
    wide = INSIDE_PX if count == 1 else (INSIDE_PX - 2 * _GAP) / 2
    plan = small_plan(home, memo, storey, paper.lines, (wide, _PLAN_HIGH), watched)
    if plan is None or not plan.left_out:
        return plan
    high = HIGH_PX - 2 * MARGIN_PX - _FOOT - 4 * _GAP
    return small_plan(home, memo, storey, paper.lines, (INSIDE_PX, high), watched)


def _plan_rows(plans: Sequence[SmallPlan]) -> list[Piece]:
    """Put plans beside each other while they fit."""
    rows: list[list[SmallPlan]] = []
    for plan in plans:
        used = sum(each.width_px + 2 * _GAP for each in rows[-1]) if rows else 0.0
        if rows and used + plan.width_px <= INSIDE_PX:
            rows[-1].append(plan)
        else:
            rows.append([plan])
    pieces: list[Piece] = []
    for row in rows:
        x, high, drawn = 0.0, max(plan.height_px for plan in row), list[str]()
        for plan in row:
            drawn += [f'<g transform="translate({number(x)} 0)">', *plan.drawn, "</g>"]
            x += plan.width_px + 2 * _GAP
        missing = [str(n) for plan in row for n in plan.left_out]
        if missing:
            says = f"Too close together to be numbered here: {', '.join(missing)}. The list has them."
            said = wrapped(says, INSIDE_PX, _SMALL, most=2)
            drawn += paragraph(said, 0, high + 2, _SMALL, "faint")
            high += line_px(_SMALL) * len(said) + 2
        pieces.append(Piece(high + _GAP, tuple(drawn)))
    return pieces


def _table(flow: _Flow, paper: Paper) -> None:
    """Put the numbered list on the pages, its head and the room said again on each."""
    rooms: list[tuple[str, list[Line]]] = []
    for line in paper.lines:
        if not rooms or rooms[-1][0] != line.room:
            rooms.append((line.room, []))
        rooms[-1][1].append(line)
    if not rooms:
        says = "No point is left to ask in this switch-off." if paper.left_out else "There is no point to look at yet."
        flow.put(_panel(says, (), "room", "faint"))
        return
    head = _columns(paper)
    flow.put(head)
    for room, lines in rooms:
        name = room or "No room given"
        first = _row(paper, lines[0])
        if not flow.has_room(head.height_px + _ROOM + first.height_px):
            flow.turn()
            flow.put(head)
        flow.put(_heading(name))
        for line in lines:
            row = _row(paper, line)
            if not flow.has_room(row.height_px):
                flow.turn()
                flow.put(head)
                flow.put(_heading(f"{name}, continued"))
            flow.put(row)
    if paper.left_out:
        count = "1 point is" if paper.left_out == 1 else f"{paper.left_out} points are"
        says = f"{count} not on this sheet: nothing more is to be asked of them in this switch-off."
        flow.put(Piece(line_px(_SMALL) + 6, (text(says, 0, 10, _SMALL, "faint"),)))


def _columns(paper: Paper) -> Piece:
    drawn = [text("Tick what is found", 0, 8, _SMALL, "faint")]
    for n, (_, words) in enumerate(paper.boxes):
        drawn.append(text(words, _box_middle(n), 8, _SMALL, "faint", anchor="middle"))
    drawn.append(text("note", _note_left() + 4, 8, _SMALL, "faint"))
    drawn.append(rule(0, 16, INSIDE_PX, 16, "ink"))
    return Piece(17, tuple(drawn), clings=True)


def _heading(room: str) -> Piece:
    said = shortened(room, INSIDE_PX, _BODY, bold=True)
    return Piece(_ROOM, (text(said, 0, _ROOM - 8, _BODY, bold=True),), clings=True)


def _row(paper: Paper, line: Line) -> Piece:
    words = wrapped(line.words, _WORDS_WIDE - 8, _BODY, most=3)
    high = max(_ROW, line_px(_BODY) * len(words) + 6)
    middle = high / 2
    found = {paper.answers[point] for point in line.points if point in paper.answers}
    drawn = [
        text(str(line.number), _NUMBER_WIDE - 8, middle, _BODY, bold=True, anchor="end"),
        *paragraph(words, _NUMBER_WIDE, middle - line_px(_BODY) * len(words) / 2, _BODY),
        *(box(_box_middle(n) - _BOX / 2, middle, _BOX, ticked=outcome in found)
          for n, (outcome, _) in enumerate(paper.boxes)),
        rule(_note_left() + 4, high - 4, INSIDE_PX, high - 4, "grid"),
    ]  # fmt: skip
    return Piece(high, tuple(drawn))


def _box_middle(n: int) -> float:
    return _NUMBER_WIDE + _WORDS_WIDE + (n + 0.5) * _BOX_WIDE


def _note_left() -> float:
    return _NUMBER_WIDE + _WORDS_WIDE + 4 * _BOX_WIDE


def _after(paper: Paper) -> list[Piece]:
    """Say what to do when the power is back, and how the answers are typed in."""
    inside = INSIDE_PX - 2 * _PAD
    pieces: list[Piece] = []
    if paper.after:
        lines: list[str] = []
        for sentence in paper.after:
            first, *rest = wrapped(sentence, inside - 20, _SMALL)
            lines += [f"– {first}", *(f"\u2002{line}" for line in rest)]
        pieces.append(_gap())
        pieces.append(_panel("When the walk is done: the power back on first", tuple(lines), "", "ink", size=_SMALL))
    says = (
        "On the desk, Survey stage, “List, quick entry, paper sheet”; after the power is back is early enough. "
        "The code says that the numbers are this sheet’s. A point’s own number will do too: P12 off."
    )
    code = f"{paper.code}: {HOW_TO_TYPE}"
    pieces.append(_gap())
    pieces.append(_panel(f"To type in, for example   {code}", wrapped(says, inside, _SMALL), "room", "faint", _SMALL))
    return pieces


def _gap() -> Piece:
    return Piece(_GAP, (), clings=True)


def _panel(head: str, lines: Sequence[str], fill: str, edge: str, size: float = _SMALL, *, bold: bool = False) -> Piece:
    """Give a panel with a heading and lines under it."""
    high = 20 + line_px(size) * len(lines) + (6 if lines else 0)
    drawn = (
        panel(INSIDE_PX, high, fill, edge),
        text(shortened(head, INSIDE_PX - 2 * _PAD, _BODY, bold=True), _PAD, 11, _BODY, bold=True),
        *paragraph(lines, _PAD, 20, size, bold=bold),
    )
    return Piece(high + _GAP, drawn)
