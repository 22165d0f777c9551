"""Rules of a circuit as a whole: device against cable, floor area, heavy loads, alarms, colours, old cable."""

from collections.abc import Iterator

from circuitmap.design.duties import RINGS, judged_runs
from circuitmap.findings.finding import Finding
from circuitmap.findings.rule import CP, CircuitCase, Rule, found
from circuitmap.findings.say import agrees, capital, listed, say_point, say_way
from circuitmap.findings.size import has_no_cpc, size_mm2, thinnest_mm2
from circuitmap.home.records import Run
from circuitmap.plan import rooms_area_m2
from circuitmap.quantities.show import show_area
from circuitmap.trade import Trade
from circuitmap.words import Severity, weakest


def _overload(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view, details = case.view, case.details
    failing: list[tuple[Run, str]] = []
    at_best: list[Run] = []
    for run, _, verdict in judged_runs(view, trade, details.edition, details.choices):
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
    if view.shape.kind in RINGS and rating >= 30:
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
    if view.shape is None or view.shape.kind not in RINGS:
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
