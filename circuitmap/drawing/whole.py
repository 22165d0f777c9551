"""A whole home on one sheet: its storeys side by side, the boards, the legend and the caution, as one SVG."""

from collections.abc import Callable, Mapping, Sequence
from typing import Final

import msgspec

from circuitmap.circuits.views import CircuitView, views
from circuitmap.drawing.blocks import Block, Text
from circuitmap.drawing.boardstrip import board_block
from circuitmap.drawing.dress import circuit_dresses
from circuitmap.drawing.legend import CircuitWords, legend_of
from circuitmap.drawing.marks import Area, Glyph, Line, Mark, Picture, PointMm, Words
from circuitmap.drawing.overlay import circuit_only, finding_marks, only_dresses
from circuitmap.drawing.palette import Theme, circuit_ink
from circuitmap.drawing.placing import has_corners
from circuitmap.drawing.plan import plan_marks, stands_on, storeys_in_order
from circuitmap.drawing.promise_marks import going_marks
from circuitmap.drawing.rose import ROOM_PX, is_known, rose_marks
from circuitmap.drawing.standing import REFERENCE_ZOOM
from circuitmap.drawing.svg import BoundsMm, bounds_of, svg_text
from circuitmap.findings import run
from circuitmap.home import Home
from circuitmap.home.phases import going
from circuitmap.home.records import Board, Sheet, Storey
from circuitmap.memo import Memo
from circuitmap.plan import to_plan
from circuitmap.survey.settle import settle
from circuitmap.trade import Trade
from circuitmap.words import NAMELESS

CAUTION: Final = "Drawn from a survey: not proof that anything is dead. Prove dead at the point of work."
NOTES: Final = (
    "Runs show what joins what, not where a cable lies in the building.",
    "Codes are suggestions, for the inspector to decide.",
)
_CAUTION_BLOCK: Final = Block(620.0, 18.0, texts=(Text(CAUTION, 0, 9, 15.0, "warn", bold=True),))
_APART_MM: Final = 1200.0
_AROUND_MM: Final = 700.0
_EMPTY_MM: Final = (0.0, 0.0, 4000.0, 3000.0)
_LEAST_PX: Final = 900.0


def home_svg(
    home: Home,
    trade: Trade,
    memo: Memo,
    *,
    theme: Theme = "paper",
    storeys: Sequence[Storey] | None = None,
    only: CircuitView | None = None,
    legend: bool = True,
    pictures: Mapping[str, bytes] | None = None,
) -> str:
    """Draw storeys of a home side by side as one SVG, with its boards, a legend and the caution.

    Parameters
    ----------
    storeys
        Which, in the order from left to right; all of them, lowest first, by default.
    only
        The one circuit whose cables and colours are shown; None shows all, and the findings.
    pictures
        The bytes of the plan pictures that are to be shown, by asset.
    """
    known, deduced = views(home, trade, memo), settle(home, memo, trade)
    findings = run(home, trade, memo) if only is None else ()
    storeys = storeys_in_order(home) if storeys is None else storeys
    kept_as = "" if only is None else "one circuit"
    drawn: list[Mark] = []
    left = lowest = 0.0
    states = only_dresses(only, home) if only is not None else None
    for storey in storeys:
        found = plan_marks(home, storey.id, views=known, deduced=deduced, memo=memo, states=states, kept_as=kept_as)
        if only is not None:
            found = circuit_only(found, only, known, home)
        marks = [mark for record in found.values() for mark in record if pictures or not isinstance(mark, Picture)]
        if only is None:
            glyphs = finding_marks(home, storey.id, findings, memo=memo)
            marks += [mark for each in glyphs.values() for mark in each]
            marks += going_marks(going(home), stands_on(home, storey.id, memo), found)
        bounds = bounds_of(marks, 0.0) if marks else _EMPTY_MM
        if marks and pictures:
            bounds = _with_sheets(bounds, home, storey)
        dx, dy = left - bounds[0], -bounds[1]
        name = Words("label", storey.name, (left, -_AROUND_MM * 0.55), "ink", 15.0, "start", bold=True)
        drawn += [name, *(moved(mark, dx, dy) for mark in marks)]
        if not marks:
            nothing = Words("label", "Nothing is drawn on this storey yet.", (left, 600.0), "faint", 13.0)
            drawn.append(nothing)
        left += bounds[2] - bounds[0] + _APART_MM
        lowest = max(lowest, bounds[3] - bounds[1])
    bounds = bounds_of(drawn, _AROUND_MM) if drawn else _EMPTY_MM
    bounds = (bounds[0], bounds[1], max(bounds[2], left - _APART_MM + _AROUND_MM), max(bounds[3], lowest + _AROUND_MM))
    if drawn and is_known(home.details):
        # In a strip of its own at the right, so that it lies over nothing.
        px = 1 / REFERENCE_ZOOM
        drawn += rose_marks(home.details, (bounds[2] + ROOM_PX * px, bounds[1] + ROOM_PX * px), px)
        bounds = bounds[0], bounds[1], bounds[2] + 2 * ROOM_PX * px, bounds[3]
    shown = (only,) if only is not None else known
    circuits = circuit_dresses(known, memo)
    room = max((bounds[2] - bounds[0]) * REFERENCE_ZOOM, _LEAST_PX)
    wanted = {view.board.id for view in shown} if only is not None else set(home.table(Board))
    boards = [board_block(home, b.id, circuits, room) for b in home.sorted(Board) if b.id in wanted]
    words = [_legend_words(view, circuits[view.device.id].number) for view in shown]
    called = home.details.name or NAMELESS
    title = f"{called} · {only.code} {only.device.label}".strip() if only is not None else called
    return svg_text(
        drawn,
        title=title,
        theme=theme,
        bounds_mm=bounds,
        px_per_mm=REFERENCE_ZOOM,
        description=f"Plan of {', '.join(storey.name for storey in storeys) or 'a home without storeys'}. {CAUTION}",
        legend=legend_of(drawn, words) if legend else (),
        notes=NOTES,
        pictures=pictures,
        blocks=[_CAUTION_BLOCK, *boards],
    )


def _with_sheets(bounds: BoundsMm, home: Home, storey: Storey) -> BoundsMm:
    """Give the area of a storey with the pictures under it, so that nothing else is laid over their paper."""
    left, top, right, bottom = bounds
    for sheet in home.table(Sheet).values():
        if sheet.storey != storey.id or sheet.px_to_plan_mm is None or not sheet.width_px or not sheet.height_px:
            continue
        if not has_corners(sheet.px_to_plan_mm, sheet.width_px, sheet.height_px):
            continue  # left out of the drawing
        for x, y in ((0, 0), (sheet.width_px, 0), (0, sheet.height_px), (sheet.width_px, sheet.height_px)):
            x_mm, y_mm = to_plan(sheet.px_to_plan_mm, x, y)
            left, top, right, bottom = min(left, x_mm), min(top, y_mm), max(right, x_mm), max(bottom, y_mm)
    return left, top, right, bottom


def moved(mark: Mark, dx: float, dy: float) -> Mark:
    """Give a mark moved on the plan, in mm."""

    def shift(point: PointMm) -> PointMm:
        return point[0] + dx, point[1] + dy

    replace: Callable[..., Mark] = msgspec.structs.replace
    match mark:
        case Area():
            return replace(mark, rings=tuple(tuple(map(shift, ring)) for ring in mark.rings))
        case Line():
            return replace(mark, pts=tuple(map(shift, mark.pts)))
        case Glyph() | Words():
            return replace(mark, at_mm=shift(mark.at_mm))
        case Picture():
            a, b, c, d, e, f, g, h, i = mark.px_to_plan_mm
            # Moving after the projection adds so much of its last row to the first two.
            rows = (a + dx * g, b + dx * h, c + dx * i, d + dy * g, e + dy * h, f + dy * i, g, h, i)
            return replace(mark, px_to_plan_mm=rows)


def _legend_words(view: CircuitView, number: int) -> CircuitWords:
    return CircuitWords(view.code, view.device.label, f"circuit:{number}", circuit_ink(number)[1])
