"""The marked plan as a drawing to go on with: SVG, DXF with a layer for each circuit, PNG at a chosen scale."""

from collections.abc import Mapping, Sequence
from typing import Final

from msgspec.structs import replace

from circuitmap.circuits import CircuitView, views
from circuitmap.drawing.dress import circuit_index
from circuitmap.drawing.dxf_pen import DxfPen
from circuitmap.drawing.marks import Glyph, Picture, layer_rank
from circuitmap.drawing.palette import Theme
from circuitmap.drawing.plan import plan_marks, storeys_in_order
from circuitmap.drawing.saved import sheet_pictures
from circuitmap.drawing.svg import bounds_of
from circuitmap.drawing.whole import CAUTION, NOTES, home_svg
from circuitmap.home import Home
from circuitmap.home.records import Point, Storey
from circuitmap.memo import Memo
from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.raster import most_times, png_of
from circuitmap.paper.typeset import shown
from circuitmap.paper.wanted import Made, Wanted
from circuitmap.survey.settle import settle
from circuitmap.words import NAMELESS

EACH: Final = "each"  # a file for each storey, in its own place
PX_PER_METRE: Final = 100.0  # at which the plan is drawn; a picture is as many times larger as is wanted
SCALES: Final = (5.0, 1000.0)
_APART_MM: Final = 2000.0
_ROW_MM: Final = 260.0
_PROMISED: Final = "What is only planned, and what was taken out, is not in the drawing."
_LAYERS: Final = {"M": "Rooms", "W": "Walls", "F": "Fixtures", "B": "Boards", "H": "Sheets"}
_ON_NONE: Final = "Points on no known circuit"
_IN_DOUBT: Final = "Points in doubt"
_RUNS_ON_NONE: Final = "Runs on no known circuit"
_TEXTS: Final = "Notes"
_NOTHING: Final = ("", None)


def made(wanted: Wanted) -> tuple[Made, ...]:
    """Give the plan as SVG, DXF or PNG; all storeys beside each other unless one is named, or a file for each.

    Raises
    ------
    CantMakeError
        When there is no such storey, no storey at all, or the scale makes a picture that nobody can hold.
    """
    home = wanted.home.existing()
    if wanted.storey == EACH:
        files = []
        for storey in _storeys(home, ""):
            (one,) = made(replace(wanted, storey=storey.id))
            files.append(one._replace(part=storey.id.lower()))
        return tuple(files)
    storeys = _storeys(home, wanted.storey)
    left_out = len(wanted.home.table(Point)) - len(home.table(Point))
    remarks = (_PROMISED,) if left_out else ()
    if wanted.form == "dxf":
        return (Made(dxf_of(wanted, home, storeys), remarks=(*remarks, "The DXF's unit is the millimetre.")),)
    if wanted.form == "png" and wanted.scale and not SCALES[0] <= wanted.scale <= SCALES[1]:
        raise CantMakeError(
            f"A picture has between {SCALES[0]:g} and {SCALES[1]:g} pixels for each metre, not {wanted.scale:g}."
        )
    memo = wanted.memo
    if wanted.form == "png":
        printed = lettered(home)
        home, memo = printed, (memo if printed is home else Memo())
    theme: Theme = "dark" if wanted.dark else "paper"
    pictures = sheet_pictures(home, lambda name: (wanted.asset(name) or _NOTHING)[1])
    wanted.ticket.tick(0, 2, "the plan")
    text = home_svg(
        home, wanted.trade, memo, theme=theme, storeys=[home.take(Storey, s.id) for s in storeys], pictures=pictures
    )
    if wanted.form == "svg":
        return (Made(text.encode(), remarks=remarks),)
    wanted.ticket.tick(1, 2, "the picture")
    times = wanted.scale / PX_PER_METRE if wanted.scale else min(1.0, most_times(text))
    if times < 1.0 and not wanted.scale:
        remarks = (
            *remarks,
            f"The picture has {times * PX_PER_METRE:.0f} pixels for each metre; more would be too many.",
        )
    return (Made(png_of(text, times), remarks=remarks),)


def lettered(home: Home) -> Home:
    """Give a home with its names as our font can print them, so that they are laid out as long as they will be."""
    changed = {}
    for record in home.all():
        names = {field: getattr(record, field, "") for field in ("name", "label")}
        said = {field: shown(text) for field, text in names.items() if text}
        if any(said[field] != names[field] for field in said):
            changed[record.id] = replace(record, **said)
    return Home.of([changed.get(record.id, record) for record in home.all()], home.counters) if changed else home


def dxf_of(wanted: Wanted, home: Home, storeys: Sequence[Storey]) -> bytes:
    """Give storeys of a home as DXF; the lowest stands where the plan has it, the others to its right."""
    pen = DxfPen()
    known = views(home, wanted.trade, wanted.memo)
    deduced = settle(home, wanted.memo, wanted.trade)
    layers = _Layers(pen, home, known)
    notes = pen.layer(_TEXTS)
    right = lowest = 0.0
    start: float | None = None
    for number, storey in enumerate(storeys):
        wanted.ticket.tick(number, len(storeys), storey.name)
        found = plan_marks(home, storey.id, views=known, deduced=deduced, memo=wanted.memo)
        shown = [mark for marks in found.values() for mark in marks if not isinstance(mark, Picture)]
        bounds = bounds_of(shown, 0.0) if shown else (0.0, 0.0, 4000.0, 3000.0)
        dx = 0.0 if start is None else right - bounds[0]
        start = bounds[0] if start is None else start
        told: set[str] = set()
        ordered = sorted(
            ((record, mark) for record, marks in found.items() for mark in marks),
            key=lambda each: layer_rank(each[1].layer),
        )
        for record, mark in ordered:
            facts = None
            if record[0] == "P" and isinstance(mark, Glyph) and record not in told:
                told.add(record)
                facts = layers.facts(record)
            pen.draw(mark, layers.of(record), (dx, 0.0), facts)
        moved = f", moved {dx:.0f} mm to the right" if dx else ""
        pen.text(f"{storey.name}{moved}", (bounds[0] + dx, bounds[1] - 600.0), notes, 15.0)
        right = bounds[2] + dx + _APART_MM
        lowest = max(lowest, bounds[3])
    says = [home.details.name or NAMELESS, "Unit: millimetres.", CAUTION, *NOTES]
    says += [f"{view.code}  {view.device.label}".strip() for view in known]
    for row, words in enumerate(says):
        pen.text(words, (start or 0.0, lowest + 1200.0 + row * _ROW_MM), notes, 13.0)
    return pen.written(home.details.name or NAMELESS)


class _Layers:
    """Says which layer a record is drawn on: its circuit's, or that of its kind."""

    def __init__(self, pen: DxfPen, home: Home, known: Sequence[CircuitView]) -> None:
        self._pen, self._home = pen, home
        numbers = circuit_index(known)
        self._names: dict[str, str] = {}
        self._feeds: dict[str, list[CircuitView]] = {}
        self._runs: dict[str, str] = {}
        for view in known:
            device = view.device.id
            name = f"Circuit {view.code} {view.device.label}".strip()
            self._names[device] = pen.layer(name, f"circuit:{numbers[device]}", view.device.label)
            for member in view.members:
                self._feeds.setdefault(member.point.id, []).append(view)
            for run in (*view.runs, *view.drops):
                self._runs.setdefault(run.id, device)

    def of(self, record: str) -> str:
        """Give the layer of a record, made when it is first wanted."""
        kind = record[0]
        if kind == "P":
            feeds = self._feeds.get(record, [])
            if len(feeds) == 1:
                return self._names[feeds[0].device.id]
            return self._pen.layer(_IN_DOUBT if feeds else _ON_NONE)
        if kind == "R":
            return self._names[self._runs[record]] if record in self._runs else self._pen.layer(_RUNS_ON_NONE, "faint")
        if kind == "D":
            return self._names.get(record) or self._pen.layer(_LAYERS["B"])
        return self._pen.layer(_LAYERS.get(kind, "Building"), "wall" if kind == "W" else "ink")

    def facts(self, record: str) -> Mapping[str, str]:
        """Give what is said of a point beside its symbol; only what there is, for a file grows by each."""
        point = self._home.take(Point, record)
        codes = ", ".join(view.code for view in self._feeds.get(record, []))
        said = {"ID": record, "KIND": point.kind, "CIRCUIT": codes, "NAME": point.name}
        return {tag: words for tag, words in said.items() if words}


def _storeys(home: Home, wanted: str) -> list[Storey]:
    storeys = storeys_in_order(home)
    if not storeys:
        raise CantMakeError("Nothing is drawn in this home yet, so there is no plan to hand over; draw a storey first.")
    if not wanted:
        return storeys
    found = [storey for storey in storeys if storey.id == wanted]
    if not found:
        there = ", ".join(f"{storey.id} “{storey.name}”" for storey in storeys)
        raise CantMakeError(f"There is no storey {wanted[:40]}; there are: {there}.")
    return found
