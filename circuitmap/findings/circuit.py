"""Rules of a circuit as a whole: device against cable, floor area, heavy loads, alarms, colours, old cable."""

from collections.abc import Iterator

from circuitmap.circuits import CircuitView
from circuitmap.design import Case, Protection, judge
from circuitmap.design.capacity import Duty
from circuitmap.findings.finding import Finding
from circuitmap.findings.rule import CP, CircuitCase, Rule, found
from circuitmap.findings.say import agrees, capital, listed, member_of, say_point, say_way
from circuitmap.findings.size import cable_of, has_no_cpc, size_mm2, thinnest_mm2
from circuitmap.home.records import Run
from circuitmap.plan import rooms_area_m2
from circuitmap.quantities.show import show_area
from circuitmap.trade import Trade
from circuitmap.wiring.shape import RING_RATINGS_A
from circuitmap.words import Severity, weakest

_RINGS = frozenset({"ring", "ring with spurs", "bridged ring", "loop on a stalk", "legs on two ways"})
# What isn't traced to its end, or lies across two ways, may share its load between two cables: the milder duty holds.
_MAYBE_RINGS = frozenset({"not known enough", "several loops", "two ways joined"})


def _overload(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view, details = case.view, case.details
    if view.shape is None or view.device.rating_a is None:
        return
    failing: list[tuple[Run, str]] = []
    at_best: list[Run] = []
    for run in view.runs:
        duty, protection, load_a = _duty(view, run, trade)
        asked = Case(cable=cable_of(run, trade), protection=protection, duty=duty, method=run.method, load_a=load_a)
        verdict = judge(trade, asked, details.edition, details.choices)
        if verdict.answer == "no":
            failing.append((run, verdict.says))
        elif verdict.best_falls_short:
            at_best.append(run)
    if failing:
        runs = [run for run, _ in failing]
        says = f"{capital(_lengths(runs, trade))} on {say_way(view)} can't carry what protects it: {failing[0][1]}"
        why = "The cable can overheat under a load at which nothing trips."
        settle = "Confirm cable, method and rating on site; then a lower device, or a larger cable."
        evidence = weakest(*(run.evidence for run in runs))
        yield found("overload", "C2", (view.device.id, *(r.id for r in runs)), says, why, settle, evidence)
    elif at_best:
        says = f"{capital(_lengths(at_best, trade))} on {say_way(view)} would be too thin by any way of laying it."
        why = "How it is laid isn't recorded, but no method in the table lets it carry what protects it."
        settle = "Confirm the cable's size and the device's rating; record how it is laid."
        evidence = weakest(*(run.evidence for run in at_best))
        yield found("overload", "FI", (view.device.id, *(r.id for r in at_best)), says, why, settle, evidence)


def _duty(view: CircuitView, run: Run, trade: Trade) -> tuple[Duty, Protection | None, float | None]:
    """Give what a run has to do, what is nearest over it, and the load when only the load limits it."""
    shape = view.shape
    assert shape is not None
    for end in (run.a, run.b):
        member = member_of(view, end.at) if end.at else None
        if member is None:
            continue
        fuse = member.after_fuse
        if fuse is None and end.side == "load" and trade.point(member.point.kind).through_fuse:
            fuse = member.point
        if fuse is not None:
            return "run", Protection(in_a=fuse.fuse_a or 13.0, kind="plug fuse"), None
    over = Protection(in_a=view.device.rating_a or 0.0, kind=view.device.kind)
    # A broken ring is judged as the ring it is meant to be: what the break does to its cable is another finding.
    if run.id in shape.loop_runs and shape.kind in (*_RINGS, "open ring"):
        return "ring", over, None
    if run.id in shape.bridges or (shape.kind in _MAYBE_RINGS and over.in_a in RING_RATINGS_A):
        return "ring", over, None
    if any(run.id in spur.runs for spur in shape.spurs) or _ends_at_one_outlet(view, run, trade):
        return "spur", over, None
    outlets = [m for m in view.members if trade.point(m.point.kind).counts_as_point]
    if shape.kind == "one point only" and len(outlets) == 1:
        row = trade.point(outlets[0].point.kind)
        if row.is_socket_outlet or row.through_fuse:
            return "spur", over, None
        if row.fixed_load_w is not None or row.dedicated_usually:
            powers = [load.power_w for load in outlets[0].point.loads if load.power_w is not None]
            watts = sum(powers) if powers else row.fixed_load_w
            return "fixed load", over, watts / 230.0 if watts else None
    return "run", over, None


def _ends_at_one_outlet(view: CircuitView, run: Run, trade: Trade) -> bool:
    """Whether nothing but one single or twin socket, or one fused unit, hangs on a run: only that can load it."""
    for end in (run.a, run.b):
        member = member_of(view, end.at) if end.at else None
        if member is None or end.side == "load":
            continue
        row = trade.point(member.point.kind)
        here = [e for r in view.runs for e in (r.a, r.b) if e.at == member.point.id and e.side != "load"]
        if len(here) == 1 and (row.through_fuse or (row.is_socket_outlet and member.point.gangs <= 2)):
            return True
    return False


def _area(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view, details = case.view, case.details
    sockets = [m for m in view.members if trade.point(m.point.kind).is_socket_outlet and m.after_fuse is None]
    counted: dict[str, int] = {}
    for member in sockets:
        if member.room is not None:
            counted[member.room.id] = counted.get(member.room.id, 0) + 1
    rooms = [room for room in view.rooms if counted.get(room.id, 0) >= 2 and room.outline_mm]
    rating = view.device.rating_a
    if len(sockets) < 3 or not rooms or rating is None or view.shape is None:
        return
    if view.shape.kind in _RINGS and rating >= 30:
        name = "ring area m2"
    elif rating >= 30 and (thinnest_mm2(view.runs, trade) or 0) >= 4:
        name = "radial 32 area m2"
    elif rating <= 20:
        name = "radial 20 area m2"
    else:
        return
    limit = trade.limit(name, details.edition, details.choices)
    area_m2 = rooms_area_m2(rooms)
    if area_m2 > limit.value:
        says = (
            f"{capital(say_way(view))} serves {show_area(area_m2)}; by custom such a circuit serves "
            f"{limit.value:g} m² at most."
        )
        why = "More floor usually means more load; it is a custom, not a rule."
        settle = "Nothing, unless the device trips under load."
        yield found("area", "note", (view.device.id,), says, why, settle, "inferred")


def _heavy(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view, details = case.view, case.details
    if view.shape is None or view.shape.kind not in _RINGS:
        return
    for member in view.members:
        row = trade.heavy(member.point.kind)
        if row is None:
            continue
        limit = trade.limit(row.over, details.edition, details.choices)
        point, code = member.point, row.code
        if limit.unit == "W":
            powers = [load.power_w for load in point.loads if load.power_w is not None]
            if not powers or max(powers) <= limit.value:
                continue
            size = f"{max(powers) / 1000:g} kW"
        else:
            litres = [load.litres for load in point.loads if load.litres is not None]
            if litres and max(litres) < limit.value:
                continue
            size = f"{max(litres):g} litres" if litres else "of unknown size"
            code = code if litres else "note"
        says = f"{capital(say_point(point, member.room))} ({size}) is on the ring of {say_way(view)}."
        why = "A heavy load that runs for hours leaves the ring little for everything else and loads one side of it."
        settle = "Give it a circuit of its own when the wiring is next altered."
        yield found("heavy-on-ring", code, (view.device.id, point.id), says, why, settle, member.evidence)


def _alarms_on_sockets(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view = case.view
    rows = {m.point.id: trade.point(m.point.kind) for m in view.members}
    alarms = [m for m in view.members if m.point.kind in ("smoke alarm", "heat alarm")]
    sockets = sum(row.is_socket_outlet for row in rows.values())
    lights = sum(row.is_light for row in rows.values())
    if not alarms or sockets < 2 or lights:
        return
    names = listed(say_point(m.point, m.room) for m in alarms)
    says = f"{capital(names)} {agrees(alarms, 'is', 'are')} fed from the socket circuit {say_way(view)}."
    why = "A failed supply there goes unnoticed; a lighting way in daily use, or a way of its own, is wanted."
    yield found("alarm-on-sockets", "C3", tuple(m.point.id for m in alarms), says, why,
                "Move it to a regularly used lighting way when next altered.", weakest(*(m.evidence for m in alarms)))  # fmt: skip


def _colours(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view, details = case.view, case.details
    wanted = trade.limit("mixed colours notice", details.edition, details.choices).value
    colours = {run.colours for run in view.runs}
    mixed = "mixed" in colours or {"old", "new"} <= colours
    if not wanted or not mixed or any("colour" in notice.casefold() for notice in view.board.notices):
        return
    says = f"Old and new colours meet on {say_way(view)}, and the board has no notice of it."
    yield found("colours", "note", (view.device.id,), says, "Black was neutral and is now a line colour.",
                "A notice at the board.")  # fmt: skip


def _no_cpc(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view = case.view
    runs = [run for run in view.runs if has_no_cpc(run, trade)]
    if not runs:
        return
    lights = [m for m in view.members if trade.point(m.point.kind).is_light or trade.point(m.point.kind).is_control]
    metal = [m for m in lights if m.point.metal]
    ends = {end.at for run in runs for end in (run.a, run.b)}
    sockets = [m for m in view.members if m.point.id in ends and trade.point(m.point.kind).is_socket_outlet]
    evidence = weakest(*(run.evidence for run in runs))
    if sockets:
        says = f"The cable at {listed(say_point(m.point, m.room) for m in sockets)} has no cpc ({view.code})."
        code: Severity = "C2"
        why = "What is plugged in there may need an earth, and has none."
    elif metal:
        names = listed(say_point(m.point, m.room) for m in metal)
        says = f"{capital(names)} {agrees(metal, 'is', 'are')} metal, on a circuit without a cpc ({view.code})."
        code = "C2"
        why = "A fault inside it makes its case live, and nothing trips."
    else:
        says = f"{capital(say_way(view))} has no cpc ({_lengths(runs, trade)}); its fittings must stay insulated."
        code, why = "C3", "It was done so until about 1966; only fittings that need no earth may be used on it."
    settle = "Fit insulated (class II) fittings, or bring a cpc; do not extend the circuit before."
    subjects = (view.device.id, *(m.point.id for m in sockets or metal))
    yield found("no-cpc", code, subjects, says, why, settle, evidence)


def _do_not_extend(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view = case.view
    old: dict[str, list[Run]] = {}
    for run in view.runs:
        cable = trade.cable(run.cable)
        # Flat cable without a cpc is the rule above; a home full of sound imperial cable is only to be known.
        if cable is not None and cable.do_not_extend and cable.kind != "flat":
            old.setdefault("imperial" if cable.kind == "imperial" else "old", []).append(run)
    for age, runs in old.items():
        titles = dict.fromkeys(cable.title for run in runs if (cable := trade.cable(run.cable)) is not None)
        says = f"{capital(say_way(view))} is wired, in part at least, in {listed(titles)}."
        if age == "imperial":
            code: Severity = "note"
            why = "Its sizes are not today's and it is over fifty years old: do not extend it without readings."
        else:
            code = "FI"
            why = "Such cable is past the end of its life or can't be joined to by usual means: do not extend it."
        settle = "Insulation readings, and a look at its ends; plan to rewire rather than to add."
        evidence = weakest(*(run.evidence for run in runs))
        yield found("do-not-extend", code, (view.device.id, *(r.id for r in runs)), says, why, settle, evidence)


def _lengths(runs: list[Run], trade: Trade) -> str:
    sizes = sorted({mm2 for run in runs if (mm2 := size_mm2(run, trade)) is not None})
    of = f" of {' and '.join(f'{mm2:g}' for mm2 in sizes)} mm²" if sizes else ""
    return f"{len(runs)} lengths{of}" if len(runs) != 1 else f"one length{of}"


RULES = (
    Rule("overload", "circuit", "Device rating against cable", "C2/FI", "In ≤ Iz; on a ring Iz ≥ 20 A.",
         "Reg 433.1.1 (from memory), Reg 433.1.204 as quoted, Table 4D5", "18th", "circuit", _overload),
    Rule("area", "circuit", "More floor than customary", "note", "A custom, not a rule.",
         "Basic Electrical Installation Work, Table 14.4; On-Site Guide 7.2, from memory", "18th", "circuit", _area),
    Rule("heavy-on-ring", "circuit", "Heavy fixed load on a ring", "C3/note", "It loads one side of the ring for hours.",
         "Apprentice notes; BS 7671 Appendix 15, from memory", "18th", "circuit", _heavy),
    Rule("alarm-on-sockets", "circuit", "Smoke alarm on a socket circuit", "C3", "A failed supply goes unnoticed.",
         "BS 5839-6, from memory", "18th", "circuit", _alarms_on_sockets),
    Rule("colours", "circuit", "Old and new colours without a notice", "note", "Only where the edition asks for it.",
         "Reg 514.14.1, from memory", "17th", "circuit", _colours),
    Rule("no-cpc", "circuit", "Circuit without a cpc", "C2/C3", "A metal fitting on it can become live.", CP, "any",
         "circuit", _no_cpc),
    Rule("do-not-extend", "circuit", "Wiring not to be extended", "FI/note", "Rubber, lead, imperial, aluminium.", CP, "any",
         "circuit", _do_not_extend),
)  # fmt: skip
