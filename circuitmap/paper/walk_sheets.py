"""Sheets for the walk: a plan of each storey with its points numbered, and boxes to write every reading into.

A point's number is its own, so that what was written can be typed in anywhere: 12 is P12.
"""

import calendar
from collections.abc import Iterable, Sequence
from typing import Final

from circuitmap.circuits import CircuitView, views
from circuitmap.drawing.paper_plan import HEAD_PX, SmallPlan, small_plan
from circuitmap.drawing.paths import number
from circuitmap.drawing.plan import storeys_in_order
from circuitmap.drawing.svg import FAMILY
from circuitmap.drawing.typed import element_text
from circuitmap.home import Home
from circuitmap.home.records import Board, Device, Point, Storey
from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.schedule_circuits import described
from circuitmap.paper.typeset import shown, typeset
from circuitmap.paper.wanted import Made, Wanted
from circuitmap.plan import rooms_of_points
from circuitmap.plan.where import place_of
from circuitmap.readings.sheet import Group, groups_of, residual_current_device, walk_order
from circuitmap.survey.lines import Line
from circuitmap.survey.walk import walk_order as walk_through
from circuitmap.trade import Trade
from circuitmap.wiring.shape import SHAPE_WORDS
from circuitmap.words import NAMELESS, day_said

TITLE: Final = "Sheets for the walk"
CAUTIONS: Final = (
    "Nothing is switched off before the occupier has agreed. “Went off” is not proof that it is safe to touch: "
    "isolate, lock off and prove dead at the point of work before anything is opened.",
    "Insulation: disconnect what is sensitive, or test at 250 V with line and neutral joined against earth; warn "
    "others.",
    "Live tests and work with a board's cover off are for skilled persons. With the main switch off the meter tails "
    "and the main switch's own terminals stay live.",
)
# Inside the margins of a page, in px of 96 to the inch (ISO 216).
_LONG_PX, _SHORT_PX = 920.0, 590.0
# How much larger than on a sheet of a switch-off symbols and numbers are set, tried in this order.
_LARGER: Final = (1.5, 1.0)
_SWEEPS: Final = ("cross-N", "cross-E", "one-leg", "radial", "polarity", "Zs")
_NAMES: Final = {
    "cross-N": "L–N",
    "cross-E": "L–E",
    "one-leg": "one leg L–E",
    "radial": "R1+R2",
    "polarity": "Polarity",
    "Zs": "Zs",
}
_IN_ORDER: Final = (
    "Step 1: end to end at the board",
    "Step 2: line–neutral, cross-linked",
    "Step 3: line–cpc, cross-linked",
    "Sweep line–cpc, linked on one leg",
    "R1+R2, linked at the board",
    "Insulation of the circuit",
    "Polarity at every point",
    "Earth fault loop at every point",
    "Trip times of the RCD",
    "Loop and supply at the board",
)
_BLANK_ROWS: Final = 10
_BLANK_ROWS_OF_A_WAY: Final = 4  # of one that no point is known on, in a home that is known: it stays on one page
_LONGEST: Final = 160


def made(wanted: Wanted) -> tuple[Made, ...]:
    """Give the sheets of a home, of one storey, or of one board or way.

    Raises
    ------
    CantMakeError
        When there is no such storey, board or way.
    """
    home = wanted.home.existing()
    known = _of_subject(home, views(home, wanted.trade, wanted.memo), wanted.subject)
    storeys = storeys_in_order(home)
    if wanted.storey:
        storeys = [storey for storey in storeys if storey.id == wanted.storey]
        if not storeys:
            raise CantMakeError(f"There is no storey {wanted.storey[:40]} in this home.")
    points = _points(wanted, home, known)
    plans, pictures = _plans(wanted, home, storeys, points)
    title = f"{TITLE}: {home.details.name}" if home.details.name else TITLE
    wanted.ticket.tick(len(storeys), len(storeys) + 1, "the grids")
    shown_boards = [b for b in _boards(home) if not wanted.subject or any(v.board.id == b.id for v in known)]
    data = {
        "title": TITLE,
        "says": f"{title}: a plan with numbered points and boxes for readings, to be filled in by hand.",
        "foot": f"{title}, printed {day_said(wanted.day)}",
        "left": [home.details.name or NAMELESS, home.details.address],
        "right": [f"Printed {day_said(wanted.day)}"],
        "cautions": CAUTIONS,
        "plans": plans,
        "rooms": _rooms(wanted, home, points),
        "boards": [_board(home, board, known, wanted.trade) for board in shown_boards],
        "how": _how(known),
        "blank": not known,
        "blank_rows": _BLANK_ROWS,
    }
    stamp = calendar.timegm(wanted.day.timetuple())
    return (Made(typeset("walk", data, pictures, day_stamp=stamp), remarks=_remarks(plans, known)),)


def _remarks(plans: Sequence[dict[str, object]], known: Sequence[CircuitView]) -> tuple[str, ...]:
    said = []
    if not plans:
        said.append("No storey with points is drawn yet: there is squared paper for a sketch instead.")
    if not known:
        said.append("No circuit is recorded yet: there is an empty grid for one.")
    return tuple(said)


# -- plans -------------------------------------------------------------------------------------------------------


def _plans(
    wanted: Wanted, home: Home, storeys: Sequence[Storey], points: Sequence[str]
) -> tuple[list[dict[str, object]], dict[str, str]]:
    plans: list[dict[str, object]] = []
    pictures: dict[str, str] = {}
    lines = [Line(int(point[1:]), (point,), "", "") for point in points]
    for place, storey in enumerate(storeys):
        wanted.ticket.tick(place, len(storeys) + 1, storey.name)
        drawn = _drawn(wanted, home, storey, lines)
        if drawn is None:
            continue
        plan, flipped, wide_px = drawn
        name = f"plan-{place}.svg"
        pictures[name] = _svg(plan, storey.name)
        missing = [f"P{n}" for n in plan.left_out]
        plans.append(
            {
                "title": storey.name,
                "file": name,
                "wide": wide_px * 0.75,
                "flipped": flipped,
                "says": f"Plan of {storey.name} with numbered points",
                "missing": missing,
            }
        )
    return plans, pictures


def _drawn(wanted: Wanted, home: Home, storey: Storey, lines: Sequence[Line]) -> tuple[SmallPlan, bool, float] | None:
    """Draw a storey as large as a page holds it, turned the way it fits better; numbers large if there is room."""
    best: SmallPlan | None = None
    times, flipped = 1.0, False
    for larger in _LARGER:
        wide, high = (_LONG_PX, _SHORT_PX) if flipped else (_SHORT_PX, _LONG_PX)
        plan = _small(wanted, home, storey, lines, (wide / larger, high / larger))
        if plan is not None and best is None and plan.width_px > plan.height_px - HEAD_PX:
            flipped = True
            plan = _small(wanted, home, storey, lines, (high / larger, wide / larger))
        if plan is None:
            return None
        if best is None or len(plan.left_out) < len(best.left_out):
            best, times = plan, larger
        if not plan.left_out:
            break
    assert best is not None  # there is a first size
    return best, flipped, best.width_px * times


def _small(
    wanted: Wanted, home: Home, storey: Storey, lines: Sequence[Line], size: tuple[float, float]
) -> SmallPlan | None:
    return small_plan(home, wanted.memo, storey, lines, size, letters=shown, even_empty=not wanted.subject)


def _svg(plan: SmallPlan, title: str) -> str:
    wide, high = number(plan.width_px), number(plan.height_px - HEAD_PX)  # the page has the title already
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="{wide}" '
            f'height="{high}" viewBox="0 {number(HEAD_PX)} {wide} {high}" font-family="{FAMILY}" fill="none" '
            'stroke-linecap="round" stroke-linejoin="round">',
            f"<title>{element_text(title)}</title>",
            "<defs>",
            *plan.shared.values(),
            "</defs>",
            *plan.drawn,
            "</svg>\n",
        ]
    )


# -- points ------------------------------------------------------------------------------------------------------


def _points(wanted: Wanted, home: Home, known: Sequence[CircuitView]) -> list[str]:
    """Give the points that the sheets are of, in the order in which one walks."""
    order = walk_through(home, None, wanted.memo)
    if wanted.subject:
        mine = {name for view in known for name in view.names}
        order = tuple(point for point in order if point in mine)
    if wanted.storey:
        order = tuple(point for point in order if _storey(wanted, home, point) == wanted.storey)
    return list(order)


def _storey(wanted: Wanted, home: Home, point: str) -> str | None:
    place = place_of(home, home.take(Point, point))
    room = rooms_of_points(home, wanted.memo).get(point)
    return place.storey if place is not None else room.storey if room is not None else None


def _rooms(wanted: Wanted, home: Home, points: Iterable[str]) -> list[dict[str, object]]:
    """Give the points room by room as they are walked, each with what it is."""
    rooms = rooms_of_points(home, wanted.memo)
    found: list[dict[str, object]] = []
    last: object = ()
    rows: list[list[str]] = []
    for point in points:
        room = rooms.get(point)
        key = room.id if room is not None else None
        if key != last:
            storey = home.find(Storey, room.storey) if room is not None else None
            name = room.name if room is not None else "No room given"
            rows = []
            found.append({"room": _short(f"{name}, {storey.name}" if storey is not None else name), "points": rows})
            last = key
        rows.append([point, _short(point_words(home.take(Point, point), wanted.trade))])
    return found


def point_words(point: Point, trade: Trade) -> str:
    """Give what a point is: gangs, kind, its name and where it is."""
    row = trade.point(point.kind)
    gangs = {1: "", 2: "twin "}.get(point.gangs, f"{point.gangs}-gang ") if row.is_socket_outlet else ""
    title = row.title.partition(" (")[0]
    return ", ".join(filter(None, (f"{gangs}{title}", point.name.strip(), point.where.strip())))


# -- grids -------------------------------------------------------------------------------------------------------


def _board(home: Home, board: Board, known: Sequence[CircuitView], trade: Trade) -> dict[str, object]:
    mine = [view for view in known if view.board.id == board.id]
    over = [d for view in mine if (d := residual_current_device(view)) is not None and d.id != view.device.id]
    rcds = list(dict.fromkeys(device.id for device in over))
    return {
        "title": _short(f"Board {board.letter_on_map} {board.name}".strip()),
        "supply": ["Ze, Ω", "Zs at the board, Ω", "Fault current, kA", "Voltage, V"],
        "rcds": [_rcd(home, next(view for view in mine if _is_over(view, rcd))) for rcd in rcds],
        "ways": [_way(home, view, trade) for view in mine],
    }


def _is_over(view: CircuitView, rcd: str) -> bool:
    device = residual_current_device(view)
    return device is not None and device.id == rcd


def _rcd(home: Home, view: CircuitView) -> dict[str, object]:
    device = residual_current_device(view)
    assert device is not None  # asked for one that has
    group = next(each for each in groups_of(view) if each.id == "rcd")
    name = f"{home.code(device.id)} {device.kind}" if device.way else f"{device.kind} {device.id}"
    label = device.label.strip() if device.label.strip().casefold() != device.kind.casefold() else ""
    return {"name": _short(f"{name} {label}".strip()), "boxes": [f"{line.name}, ms" for line in group.lines]}


def _way(home: Home, view: CircuitView, trade: Trade) -> dict[str, object]:
    groups = {group.id: group for group in groups_of(view)}
    sweeps = [groups[name] for name in _SWEEPS if name in groups]
    boxes = [f"{line.name}, Ω" for line in groups["ends"].lines] if "ends" in groups else []
    boxes += [f"{line.name}, MΩ" for line in groups["insulation"].lines]
    device = view.device
    own = residual_current_device(view)
    is_own = own is not None and own.id == device.id
    trips = [f"RCD {line.name}, ms" for line in groups["rcd"].lines] if is_own else []
    facts = [
        f"{device.kind} {device.curve}{device.rating_a:g}" if device.rating_a is not None else f"{device.kind}, rating?"
    ]
    facts += [SHAPE_WORDS[view.shape.kind] if view.shape is not None else "shape not known"]
    at_board = any(line.at == device.id for group in sweeps for line in group.lines)
    rows = [["board", "at the way"]] if at_board else []
    rows += [[name, _short(_where(view, name, trade))] for name in walk_order(view)]
    return {
        "title": _short(f"{view.code}  {described(view, trade)}"),
        "facts": ", ".join(facts),
        "boxes": boxes,
        "trips": trips,
        "columns": [_head(group) for group in sweeps],
        "rows": rows or [["", ""] for _ in range(_BLANK_ROWS_OF_A_WAY)],
    }


def _how(known: Iterable[CircuitView]) -> list[list[str]]:
    """Give how each test is done, each said once in the order of the tests."""
    said: dict[str, str] = {}
    for view in known:
        for group in groups_of(view):
            said.setdefault(group.title, group.how)
    order = [title for title in _IN_ORDER if title in said]
    return [[title, said[title]] for title in (*order, *(title for title in said if title not in order))]


def _head(group: Group) -> str:
    name = _NAMES[group.id]
    return f"{name}, {group.unit}" if group.unit else name


def _where(view: CircuitView, name: str, trade: Trade) -> str:
    member = next(each for each in view.members if each.point.id == name)
    room = member.room.name if member.room is not None else ""
    return ", ".join(filter(None, (point_words(member.point, trade), room)))


def _boards(home: Home) -> list[Board]:
    return sorted(home.sorted(Board), key=lambda board: board.letter_on_map)


def _of_subject(home: Home, known: Sequence[CircuitView], subject: str) -> tuple[CircuitView, ...]:
    if not subject:
        return tuple(known)
    if home.find(Board, subject) is None and home.find(Device, subject) is None:
        raise CantMakeError(f"The sheets are of a board or a way; there is no such thing as {subject[:40]} here.")
    found = tuple(view for view in known if subject in (view.board.id, view.device.id))
    if not found and home.find(Device, subject) is not None:
        raise CantMakeError(f"{subject} is no way with a circuit; name a way or a board.")
    return found


def _short(text: str, most: int = _LONGEST) -> str:
    """Give words that fit beside a box to write in."""
    said = " ".join(shown(text).split())
    return said if len(said) <= most else said[: most - 1].rstrip() + "…"
