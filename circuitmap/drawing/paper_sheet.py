"""The survey's sheet as pages to print: what goes off, small plans, the numbered list with boxes, what to do after.

A4 upright, black on white, an SVG for each page. What it says is the survey's; here is only where it stands.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from circuitmap.drawing.paper_parts import BODY_SIZE, BOX_PX, GAP_PX, SMALL_SIZE, after, before, head, panel_of, watch
from circuitmap.drawing.paper_pen import (
    HIGH_PX,
    INSIDE_PX,
    MARGIN_PX,
    WIDE_PX,
    Piece,
    box,
    line_px,
    measured,
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
from circuitmap.home.records import Storey
from circuitmap.memo import Memo
from circuitmap.survey.lines import Line
from circuitmap.survey.paper import PROVE, Paper
from circuitmap.words import NAMELESS

_FOOT: Final = 30.0
_NUMBER_WIDE: Final = 38.0
_WORDS_WIDE: Final = 262.0
_BOX_WIDE: Final = 56.0


@dataclass(frozen=True, slots=True)
class _Spacing:
    """How high rows, room headings and small plans are, in px."""

    row: float
    room: float
    plan: float


# A row to write on is 5 mm high or more (common practice, no source); the closer one saves a page now and then.
_SPACINGS: Final = (_Spacing(21.0, 19.0, 330.0), _Spacing(19.0, 16.0, 230.0))


def sheet_pages(home: Home, memo: Memo, paper: Paper) -> tuple[str, ...]:
    """Give the pages of a sheet, an SVG document each; set closer when that saves a page."""
    tried = [_laid_out(home, memo, paper, spacing) for spacing in _SPACINGS]
    flow, shared = min(tried, key=lambda each: len(each[0].pages))
    count = len(flow.pages)
    return tuple(_page(home, paper, pieces, shared, n, count) for n, pieces in enumerate(flow.pages, 1))


def _laid_out(home: Home, memo: Memo, paper: Paper, spacing: _Spacing) -> tuple["_Flow", dict[str, str]]:
    plans = _plans(home, memo, paper, spacing)
    flow = _Flow()
    for piece in (*head(home, paper), *before(paper), *watch(home, memo, paper), *_plan_rows(plans)):
        flow.put(piece)
    _table(flow, paper, spacing)
    for piece in after(paper):
        flow.put(piece)
    return flow, {name: drawn for plan in plans for name, drawn in plan.shared.items()}


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
    called = home.details.name or NAMELESS
    title = f"{called} · {paper.title} · page {page} of {count}"
    foot = HIGH_PX - MARGIN_PX
    where = f"page {page} of {count}"
    left = shortened(
        f"{called} · {paper.title} · sheet {paper.code}", INSIDE_PX - measured(where, SMALL_SIZE) - 20, SMALL_SIZE
    )
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
            text(PROVE, MARGIN_PX, foot - 17, SMALL_SIZE, "warn", bold=True),
            text(left, MARGIN_PX, foot - 5, SMALL_SIZE, "faint"),
            text(where, WIDE_PX - MARGIN_PX, foot - 5, SMALL_SIZE, "faint", anchor="end"),
            "</svg>\n",
        ]
    )  # fmt: skip


def _plans(home: Home, memo: Memo, paper: Paper, spacing: _Spacing) -> list[SmallPlan]:
    storeys = storeys_in_order(home)
    watched = [each.point for each in paper.witnesses]
    wide = INSIDE_PX if len(storeys) == 1 else (INSIDE_PX - 2 * GAP_PX) / 2
    size = (wide, spacing.plan)
    found = [_small(home, memo, storey, paper, watched, size) for storey in storeys]
    return [plan for plan in found if plan is not None]


def _small(
    home: Home, memo: Memo, storey: Storey, paper: Paper, watched: Sequence[str], size: tuple[float, float]
) -> SmallPlan | None:
    """Draw a storey small, or as large as a page when its numbers are too close together for that."""
    plan = small_plan(home, memo, storey, paper.lines, size, watched)
    if plan is None or not plan.left_out:
        return plan
    high = HIGH_PX - 2 * MARGIN_PX - _FOOT - 4 * GAP_PX
    return small_plan(home, memo, storey, paper.lines, (INSIDE_PX, high), watched)


def _plan_rows(plans: Sequence[SmallPlan]) -> list[Piece]:
    """Put plans beside each other while they fit."""
    rows: list[list[SmallPlan]] = []
    for plan in plans:
        used = sum(each.width_px + 2 * GAP_PX for each in rows[-1]) if rows else 0.0
        if rows and used + plan.width_px <= INSIDE_PX:
            rows[-1].append(plan)
        else:
            rows.append([plan])
    pieces: list[Piece] = []
    for row in rows:
        x, high, drawn = 0.0, max(plan.height_px for plan in row), list[str]()
        for plan in row:
            drawn += [f'<g transform="translate({number(x)} 0)">', *plan.drawn, "</g>"]
            x += plan.width_px + 2 * GAP_PX
        missing = [str(n) for plan in row for n in plan.left_out]
        if missing:
            says = f"Too close together to be numbered here: {', '.join(missing)}. The list has them."
            said = wrapped(says, INSIDE_PX, SMALL_SIZE, most=2)
            drawn += paragraph(said, 0, high + 2, SMALL_SIZE, "faint")
            high += line_px(SMALL_SIZE) * len(said) + 2
        pieces.append(Piece(high + GAP_PX, tuple(drawn)))
    return pieces


def _table(flow: _Flow, paper: Paper, spacing: _Spacing) -> None:
    """Put the numbered list on the pages, its head and the room said again on each."""
    rooms: list[tuple[str, list[Line]]] = []
    for line in paper.lines:
        if not rooms or rooms[-1][0] != line.room:
            rooms.append((line.room, []))
        rooms[-1][1].append(line)
    if not rooms:
        says = "No point is left to ask in this switch-off." if paper.left_out else "There is no point to look at yet."
        flow.put(panel_of(says, (), "room", "faint"))
        return
    head = _columns(paper)
    flow.put(head)
    for room, lines in rooms:
        name = room or "No room given"
        first = _row(paper, lines[0], spacing.row)
        if not flow.has_room(head.height_px + spacing.room + first.height_px):
            flow.turn()
            flow.put(head)
        flow.put(_heading(name, spacing.room))
        for line in lines:
            row = _row(paper, line, spacing.row)
            if not flow.has_room(row.height_px):
                flow.turn()
                flow.put(head)
                flow.put(_heading(f"{name}, continued", spacing.room))
            flow.put(row)
    if paper.left_out:
        count = "1 point is" if paper.left_out == 1 else f"{paper.left_out} points are"
        says = f"{count} not on this sheet: nothing more is to be asked of them in this switch-off."
        flow.put(Piece(line_px(SMALL_SIZE) + 6, (text(says, 0, 10, SMALL_SIZE, "faint"),)))


def _columns(paper: Paper) -> Piece:
    drawn = [text("Tick what is found", 0, 8, SMALL_SIZE, "faint")]
    for n, (_, words) in enumerate(paper.boxes):
        drawn.append(text(words, _box_middle(n), 8, SMALL_SIZE, "faint", anchor="middle"))
    drawn.append(text("note", _note_left() + 4, 8, SMALL_SIZE, "faint"))
    drawn.append(rule(0, 16, INSIDE_PX, 16, "ink"))
    return Piece(17, tuple(drawn), clings=True)


def _heading(room: str, high: float) -> Piece:
    said = shortened(room, INSIDE_PX, BODY_SIZE, bold=True)
    return Piece(high, (text(said, 0, high - 8, BODY_SIZE, bold=True),), clings=True)


def _row(paper: Paper, line: Line, least: float) -> Piece:
    words = wrapped(line.words, _WORDS_WIDE - 8, BODY_SIZE, most=3)
    high = max(least, line_px(BODY_SIZE) * len(words) + 6)
    middle = high / 2
    found = {paper.answers[point] for point in line.points if point in paper.answers}
    drawn = [
        text(str(line.number), _NUMBER_WIDE - 8, middle, BODY_SIZE, bold=True, anchor="end"),
        *paragraph(words, _NUMBER_WIDE, middle - line_px(BODY_SIZE) * len(words) / 2, BODY_SIZE),
        *(box(_box_middle(n) - BOX_PX / 2, middle, BOX_PX, ticked=outcome in found)
          for n, (outcome, _) in enumerate(paper.boxes)),
        rule(_note_left() + 4, high - 4, INSIDE_PX, high - 4, "grid"),
    ]  # fmt: skip
    return Piece(high, tuple(drawn))


def _box_middle(n: int) -> float:
    return _NUMBER_WIDE + _WORDS_WIDE + (n + 0.5) * _BOX_WIDE


def _note_left() -> float:
    return _NUMBER_WIDE + _WORDS_WIDE + 4 * _BOX_WIDE
