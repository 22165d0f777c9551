"""What the view of a wall shows, put together without Qt: things, cables, marks, and what is said beside them."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from circuitmap.circuits import CircuitView
from circuitmap.desk.canvas.walling import DRAWN, Trial, WallCable, WallThing
from circuitmap.drawing.dress import circuit_index, dash_of
from circuitmap.drawing.elevation import Elevation, elevation, upright_marks
from circuitmap.drawing.elevation_cables import Labels, cable_marks, chosen_marks, drawn_marks, run_ink, stray_words
from circuitmap.drawing.elevation_marks import BY_HAND, ROUTE
from circuitmap.drawing.marks import Area, Ink, Line, Mark
from circuitmap.drawing.palette import circuit_ink
from circuitmap.extension.by_hand import Judged, is_flat, judged, stretches_on
from circuitmap.extension.on_wall import Wanted, with_wishes
from circuitmap.extension.trunking import METHOD as IN_TRUNKING
from circuitmap.home import Home
from circuitmap.home.cable_paths import Path
from circuitmap.home.records import Extension, Point, Run
from circuitmap.memo import Memo
from circuitmap.plan.elevation import Face, standing_on
from circuitmap.quantities.show import show_length
from circuitmap.trade import Trade

_STRIPE = 1.0


@dataclass(frozen=True)
class Asked:
    """What of a home is to be shown on which wall."""

    home: Home
    memo: Memo
    trade: Trade
    face: Face
    views: Sequence[CircuitView] = ()
    extension: str = ""
    brought: tuple[Point, ...] = ()  # points of the option shown
    routes: tuple[Path, ...] = ()  # and the paths of its cables
    by_hand: Mapping[str, Path] = field(default_factory=dict)
    chosen: str = ""
    bend: int = -1
    trial: Trial | None = None
    drawing: Path = ()
    ahead: tuple[float, float] | None = None
    px_per_mm: float = 0.2


@dataclass(frozen=True)
class Scene:
    """A wall as it is shown."""

    face: Face
    drawn: Elevation
    things: tuple[WallThing, ...]
    cables: tuple[WallCable, ...]
    judged: Mapping[str, Judged]
    wanted: Wanted
    unheighted: tuple[str, ...]  # runs whose path was drawn on the plan only


def scene_of(asked: Asked) -> Scene:
    """Put a wall together.

    Parameters
    ----------
    asked
        What is to be shown; a trial is shown as if it had been done.
    """
    face, memo, trade = asked.face, asked.memo, asked.trade
    wanted = with_wishes(asked.home, asked.extension, asked.brought)
    home = wanted.home
    things = things_on(home, memo, trade, face, wanted)
    flat = [run.id for run in home.sorted(Run) if run.path_mm and is_flat(run.path_mm)]
    cables = tuple(_cables(asked, home))
    verdicts = {
        cable.id: judged(home, memo, trade, cable.path, is_seen=_is_seen(asked, home, cable))
        for cable in cables
        if _is_judged(asked, home, cable)
    }
    marked = [each.record for each in sorted(things, key=lambda one: one.wish) if each.wish >= 0]
    marked += [each.record for each in things if each.wish < 0 and _is_planned(home, each)]
    chosen = [each.record for each in things if each.id == asked.chosen]
    labels = Labels(asked.px_per_mm)
    measured = [each.stood for each in things if each.record in (*marked, *chosen)]
    measures = [mark for stood in measured for mark in upright_marks(face, stood, asked.px_per_mm)]
    labels.avoid(face, [each.stood for each in things], measures)
    over = [*_cable_marks(asked, home, cables, verdicts, labels)]
    drawn = elevation(
        home, memo, trade, face, marked=marked, gone=wanted.gone, measured=chosen, over=over,
        px_per_mm=asked.px_per_mm, on_surface=_in_sight(asked, home),
    )  # fmt: skip
    return Scene(face, drawn, things, cables, verdicts, wanted, tuple(flat))


def things_on(home: Home, memo: Memo, trade: Trade, face: Face, wanted: Wanted) -> tuple[WallThing, ...]:
    """Give the accessories and boards on a wall, from left to right; wishes go by their number."""
    found = []
    for stood in standing_on(home, memo, trade, face.storey).get(face.id, ()):
        wish = wanted.wishes.get(stood.record, -1)
        name = f"wish {wish + 1}" if wish >= 0 else stood.record
        found.append(WallThing(name, stood.record, stood, wish, wish < 0 and stood.record in wanted.brought))
    return tuple(found)


def overlay_of(scene: Scene, chosen: str, px_per_mm: float, refused: str = "") -> Iterator[Mark]:
    """Give the frame round the chosen thing; dashed and red where it may not stand."""
    face = scene.face
    thing = next((each for each in scene.things if each.id == chosen), None)
    if thing is None:
        return
    stood = thing.stood
    away = 3.0 / px_per_mm
    ink = Ink("break", 2.2, (6.0, 3.0)) if refused else Ink("select", 2.2)
    if stood.v is None:
        yield Line("overlay", ((stood.u, 0.0), (stood.u, face.height_mm)), ink)
        return
    left, right = stood.u - stood.wide_mm / 2 - away, stood.u + stood.wide_mm / 2 + away
    low, top = stood.v - stood.high_mm / 2 - away, stood.v + stood.high_mm / 2 + away
    y0, y1 = face.height_mm - top, face.height_mm - low
    yield Area("overlay", (((left, y0), (right, y0), (right, y1), (left, y1)),), "", ink)


def _cables(asked: Asked, home: Home) -> Iterator[WallCable]:
    tried = dict([asked.trial.path]) if asked.trial is not None and asked.trial.path is not None else {}
    for run in home.sorted(Run):
        if run.phase != "removed" and len(run.path_mm) > 1 and not is_flat(run.path_mm):
            path = tried.get(run.id, run.path_mm)
            if stretches_on(asked.face, path) or run.id in tried:
                yield WallCable(run.id, path)
    for number, route in enumerate(asked.routes, 1):
        name = f"route {number}"
        path = tried.get(name) or asked.by_hand.get(name) or route
        if stretches_on(asked.face, path):
            yield WallCable(name, path)
    path = tried.get(DRAWN) or asked.by_hand.get(DRAWN) or ()
    if len(path) > 1 and stretches_on(asked.face, path):
        yield WallCable(DRAWN, path)
    if len(asked.drawing) > 1:
        yield WallCable("drawing", asked.drawing)


def _is_seen(asked: Asked, home: Home, cable: WallCable) -> bool:
    """Whether a cable lies in trunking on walls: one on the map by its method, a route as its extension says."""
    run = home.find(Run, cable.id)
    if run is not None:
        return run.method == IN_TRUNKING
    return cable.id.startswith("route ") and _in_sight(asked, home)


def _in_sight(asked: Asked, home: Home) -> bool:
    """Whether the extension that is looked at has its cables on walls in trunking."""
    extension = home.find(Extension, asked.extension) if asked.extension else None
    return extension is not None and extension.on_surface


def _is_judged(asked: Asked, home: Home, cable: WallCable) -> bool:
    run = home.find(Run, cable.id)
    return cable.id == asked.chosen or run is None or run.phase == "planned"


def _is_planned(home: Home, thing: WallThing) -> bool:
    point = home.find(Point, thing.record)
    return point is not None and point.phase == "planned"


def _cable_marks(
    asked: Asked, home: Home, cables: Sequence[WallCable], verdicts: Mapping[str, Judged], labels: Labels
) -> Iterator[Mark]:
    face, px = asked.face, asked.px_per_mm
    index = circuit_index(asked.views)
    circuits = {run.id: view for view in asked.views for run in view.runs}
    strays = [mark for verdict in verdicts.values() for mark in stray_words(verdict.strays, face, px, labels)]
    for cable in cables:
        if cable.id == "drawing":
            continue
        ink, stripe, says = ROUTE, None, cable.id
        run = home.find(Run, cable.id)
        if run is not None:
            view = circuits.get(run.id)
            number = index.get(view.device.id, 0) if view is not None else -1
            role = f"circuit:{number}" if number >= 0 else "ink"
            dash = circuit_ink(number)[1] if number >= 0 else ()
            ink = run_ink(role, dash_of(run.evidence), is_planned=run.phase == "planned")
            stripe = Ink("paper", _STRIPE, dash) if dash and run.phase != "planned" else None
            says = f"{run.id} planned" if run.phase == "planned" else f"{run.id} {view.code}" if view else run.id
        is_hand = cable.id == DRAWN or cable.id in asked.by_hand
        is_tried = asked.trial is not None and asked.trial.path is not None and asked.trial.path[0] == cable.id
        if is_hand or is_tried:
            long = f", {show_length(verdicts[cable.id].length_mm)}" if cable.id in verdicts else ""
            says = f"{cable.id} by hand{long}"
            ink = BY_HAND if run is None else ink
        if cable.id == asked.chosen:
            bend = asked.trial.bend if is_tried and asked.trial is not None else asked.bend
            yield from chosen_marks(face, cable.path, px, bend)
        yield from cable_marks(face, cable.path, ink, says, px, stripe=stripe, labels=labels)
    if asked.drawing or asked.ahead is not None:
        yield from drawn_marks(face, asked.drawing, asked.ahead, px)
    yield from strays
