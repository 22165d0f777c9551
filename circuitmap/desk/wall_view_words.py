"""What is said beside a wall: of each thing and cable on it, why a cable strays, what to mind before it is cut."""

import math
from typing import Final

from circuitmap.desk.canvas.walling import DRAWN, WallCable, WallThing
from circuitmap.desk.wall_view_scene import Scene
from circuitmap.desk.wall_view_state import WallState
from circuitmap.drawing.elevation import BUILD_WORDS, CAUTION, called
from circuitmap.extension.by_hand import Judged, stretches_on, worth_on_walls
from circuitmap.home.records import Board, Device, Fixture, Point, Run
from circuitmap.plan.elevation import Face, hidden_on
from circuitmap.quantities.show import show_length

HIDDEN_CABLES: Final = (
    "The shaded zones are for cables hidden less than {depth:.0f} mm deep without metal round them; such a cable asks "
    "for an RCD of {trips:.0f} mA, and in a partition with metal parts one at any depth does. Any other cable in the "
    "wall, and any pipe, can run anywhere."
)
COMPETENT: Final = "Design and certification belong to a competent person working to the local rules."
IN_SHORT: Final = (
    "Zones are for cables hidden less than {depth:.0f} mm deep; any other cable, and any pipe, can run anywhere: look, "
    "isolate and prove dead before cutting."
)
_MOST: Final = 6


def cautions(state: WallState) -> tuple[str, ...]:
    """Give what has to be said beside every wall, by the home's edition."""
    details = state.home.details
    trips = state.trade.limit("additional protection mA", details.edition, details.choices).value
    return HIDDEN_CABLES.format(depth=_depth(state), trips=trips), CAUTION, COMPETENT


def caution_in_short(state: WallState) -> str:
    """Give the caution that stands under every wall."""
    return IN_SHORT.format(depth=_depth(state))


def _depth(state: WallState) -> float:
    details = state.home.details
    return state.trade.limit("concealed depth mm", details.edition, details.choices).value


def wall_words(face: Face) -> str:
    """Give how large a wall is, and what it is built of."""
    builds = list(dict.fromkeys(BUILD_WORDS[each.build] for each in face.behind))
    thick = {round(each.thickness_mm) for each in face.behind if each.wall is not None}
    built = " and ".join(builds) if builds != ["not known"] else "what it is built of is not known"
    deep = f"{min(thick)} mm thick; " if len(thick) == 1 else ""
    return f"{show_length(face.length_mm)} long, {show_length(face.height_mm)} high; {deep}{built}."


def obstacles(state: WallState, face: Face) -> str:
    """Give what is in a wall and before it, in one sentence; "" where there is nothing."""
    said = [f"{hole.kind} {hole.from_mm:.0f} to {hole.to_mm:.0f} mm from the left" for hole in face.holes]
    for each in hidden_on(state.home, state.trade, face):
        name = state.home.take(Fixture, each.fixture).kind
        said.append(f"{name} before it {each.from_mm:.0f} to {each.to_mm:.0f} mm, up to {each.top_mm:.0f} mm")
    return f"{'; '.join(said)}.".capitalize() if said else ""


def thing_words(state: WallState, scene: Scene, thing: WallThing) -> str:
    """Give a thing on the wall with its measures, for a list."""
    record = scene.wanted.home.peek(thing.record)
    what = thing.record
    if isinstance(record, Point):
        what = called(state.trade, record)
        name = f"Requirement {thing.wish + 1}" if thing.wish >= 0 else thing.record
        marked = next((each.number for each in scene.drawn.marked if each.record == thing.record), None)
        what = f"{name}{f' (no. {marked})' if marked else ''}: {what}"
        if record.phase == "planned" and thing.wish < 0:
            what += ", would come with the option" if thing.is_fixed else ", planned"
        if thing.record in scene.wanted.gone:
            what += ", to go from here"
    elif isinstance(record, Board):
        what = f"Board {record.letter_on_map}"
    stood = thing.stood
    right = scene.face.length_mm - stood.u
    up = f"up {stood.v:.0f} mm" if stood.v is not None else "height not known"
    words = f"{what}\nleft {stood.u:.0f}, right {right:.0f}, {up}"
    out = next((each for each in scene.drawn.marked if each.record == thing.record), None)
    if out is not None:
        hole = f"box {out.hole_mm[0]} × {out.hole_mm[1]} mm" if out.hole_mm else "box by its maker"
        deep = f", {out.depth_mm} mm deep or more" if out.depth_mm else ", as deep as its maker says"
        deep = ", on the surface" if out.on_surface else deep
        words += f"\n{hole}{deep}; {BUILD_WORDS[out.build]}"
    return words


def cable_words(state: WallState, scene: Scene, cable: WallCable) -> str:
    """Give a cable on the wall, for a list."""
    run = state.home.find(Run, cable.id)
    on_wall = sum(math.dist(a, b) for _, a, b in stretches_on(scene.face, cable.path))
    here = f"{show_length(on_wall)} of it on this wall"
    verdict = scene.judged.get(cable.id)
    strays = f", {show_length(verdict.stray_mm)} strays" if verdict is not None and verdict.stray_mm else ""
    if run is None:
        name = "Cable drawn by hand, not on the map" if cable.id == DRAWN else cable.id.capitalize()
        hand = ", drawn by hand" if cable.id != DRAWN and state.is_by_hand(cable.id) else ""
        return f"{name}{hand}\n{here}{strays}"
    ends = " – ".join(_end(state, end.at) for end in (run.a, run.b))
    planned = ", planned" if run.phase == "planned" else f", {run.evidence}"
    return f"{run.id}: {ends}{planned}\n{here}{strays}"


def chosen_words(state: WallState, scene: Scene) -> list[str]:
    """Give all that is to be said of what is chosen, a line each."""
    if state.refused:
        return [state.refused]
    cable = next((each for each in scene.cables if each.id == state.chosen), None)
    if state.is_drawing:
        cable = next((each for each in scene.cables if each.id == "drawing"), None)
        if cable is None:
            return [
                "Nothing is drawn yet: click where the cable begins, or move the cross with the arrows and press Space."
            ]
    if cable is None:
        return []
    verdict = scene.judged.get(cable.id)
    if verdict is None:
        return []
    lines = [verdict.says()]
    if verdict.strays or verdict.joists:
        lines = [f"{show_length(verdict.length_mm)} of cable, {show_length(verdict.stray_mm)} of it strays:"]
    found = [f"{show_length(each.mm)} on {_where(scene, each.face)} {each.why}." for each in verdict.strays]
    found += [f"{show_length(each.mm)} in the floor {each.why}." for each in verdict.joists]
    lines += found[:_MOST]
    if len(found) > _MOST:
        lines.append(f"… and {len(found) - _MOST} stretches more.")
    lines += verdict.assumes
    if state.is_by_hand(cable.id) and cable.id != DRAWN:
        lines.append(_beside_the_option(state, cable, verdict))
        lines.append("Put on the map it is laid as drawn; the option is priced and checked as drawn.")
    return lines


def notes(scene: Scene) -> list[str]:
    """Give what else is to be said of the wall, a line each."""
    found = [note for note in scene.drawn.notes if not note.startswith("Height not known")]
    unknown = [each.id for each in scene.things if each.stood.v is None]
    if unknown:
        found.append(
            f"How high {_listed(unknown)} {'is' if len(unknown) == 1 else 'are'} isn't known; drag "
            f"{'it' if len(unknown) == 1 else 'them'} up the dotted line, or type the height."
        )
    if scene.unheighted:
        found.append(
            f"The path of {_listed(list(scene.unheighted))} was drawn on the plan only, so it isn't on any wall."
        )
    return found


def _beside_the_option(state: WallState, cable: WallCable, verdict: Judged) -> str:
    from circuitmap.extension.by_hand import path_length_mm

    was = state.as_option_has_it(cable.id)
    more = verdict.length_mm - path_length_mm(state.home, state.trade, was)
    side = "more" if more >= 0 else "less"
    if abs(more) < 1:
        return f"Drawn by hand, as long as the option's own {cable.id}{_dearer(state, cable, was)}."
    return (
        f"Drawn by hand: {show_length(abs(more))} {side} than the option's own {cable.id}{_dearer(state, cable, was)}."
    )


def _dearer(state: WallState, cable: WallCable, was: tuple[tuple[str, float, float, float], ...]) -> str:
    book, costs = state.prices(cable.id)
    faces = state.faces()
    more = worth_on_walls(costs, faces, cable.path) - worth_on_walls(costs, faces, was)
    if abs(more) < 50:
        return ", and about as dear on the walls"
    pounds = f"{book.terms.sign}{abs(more) / 100:.0f}"
    return f", about {pounds} {'dearer' if more > 0 else 'cheaper'} on the walls by the book's mean prices"


def _where(scene: Scene, face: str) -> str:
    return "this wall" if face == scene.face.id else "another wall" if face else "no wall"


def _end(state: WallState, at: str | None) -> str:
    if at is None:
        return "not followed"
    return state.home.code(at) if state.home.find(Device, at) else at


def _listed(names: list[str]) -> str:
    if len(names) > 6:
        return f"{', '.join(names[:5])} and {len(names) - 5} more"
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
