"""Rules of shape: broken rings, rings on a stalk, bridges, legs on two ways, circuits joined, cables seen loose."""

from collections.abc import Iterator

from circuitmap.findings.finding import Finding
from circuitmap.findings.rule import CP, CircuitCase, OrphanCase, Rule, found
from circuitmap.findings.say import capital, listed, say_member, say_point, say_way
from circuitmap.findings.size import best_iz_a, size_mm2
from circuitmap.trade import Trade
from circuitmap.words import CORES, Severity, weakest

_RINGS = frozenset({"ring", "ring with spurs", "bridged ring", "loop on a stalk", "several loops"})
_JOINED = (
    "With one of them off, its own outgoing terminal stays live, fed back from the other: locking it off isolates "
    "nothing. Treat both as one; both off, then prove dead."
)


def _open(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view, shape = case.view, case.view.shape
    if shape is None or shape.kind != "open ring":
        return
    rating = view.device.rating_a
    runs = [run for run in view.runs if run.id in (shape.loop_runs or shape.runs)]
    sizes = [size_mm2(run, trade) for run in runs]
    size = min((each for each in sizes if each is not None), default=None)
    heavy = rating is None or rating >= 30
    thin = size is not None and size <= 2.5
    perhaps_thin = thin or None in sizes or not sizes
    code: Severity = "C3"
    if heavy and perhaps_thin:
        code = "C2" if rating is not None and thin else "FI"
    between = ""
    if shape.gap is not None:
        ends = [say_member(view, end) for end in dict.fromkeys(shape.gap)]
        between = f" between {listed(ends)}" if len(ends) == 2 else f" at {ends[0]}"
    says = f"The ring on {say_way(view)} is broken{between}."
    if heavy and perhaps_thin:
        size_words = (
            f"{size:g} mm² cable" if thin else "cable not recorded everywhere" if size else "cable not recorded"
        )
        why = (
            f"Two lengths of cable now carry what the ring shared between its legs, behind {_amps(rating)} on "
            f"{size_words}: either may be overloaded without anything tripping."
        )
    else:
        why = "The cable can carry what its device lets through, but this is no longer the ring it is taken for."
    until = "; until then put the circuit on 20 A or take load off it" if heavy and perhaps_thin else ""
    settle = (
        f"Find the break and close it{until}. End-to-end readings of line, neutral and cpc tell which conductors are "
        "open."
    )
    subjects = (view.device.id, *(shape.gap or ()), *shape.open_runs)
    evidence = weakest(shape.evidence, shape.absence or "seen")
    yield found("ring-open", code, tuple(dict.fromkeys(subjects)), says, why, settle, evidence)


def _core_open(case: CircuitCase, _trade: Trade) -> Iterator[Finding]:
    view, shape = case.view, case.view.shape
    if shape is None or shape.kind not in _RINGS or not shape.closed or len(shape.closed) == 3:
        return
    lacking = set(CORES) - set(shape.closed)
    faults = [
        (run, fault) for run in view.runs if run.id in shape.loop_runs for fault in run.faults
        if fault.kind == "open" and lacking & set(fault.cores or CORES)
    ]  # fmt: skip
    if not faults:
        return
    names = {"L": "line", "N": "neutral", "E": "cpc"}
    whole = listed(names[core] for core in shape.closed)
    lost = listed(name for core, name in names.items() if core not in shape.closed)
    says = f"The ring on {say_way(view)} is broken in the {lost} only; {whole} go all the way round."
    why = (
        "Every point still works and a plug-in tester shows nothing, but the fault protection rests on one path."
        if "cpc" in lost
        else "Every point still works, but part of the ring carries more than its share."
    )
    settle = "End-to-end readings of all three conductors, then a look at the terminals on both sides of the break."
    evidence = weakest(shape.evidence, *(fault.evidence for _, fault in faults))
    runs = dict.fromkeys(run.id for run, _ in faults)
    yield found("ring-core-open", "C2", (view.device.id, *runs), says, why, settle, evidence)


def _stalk(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view, shape = case.view, case.view.shape
    if shape is None or shape.kind != "loop on a stalk":
        return
    rating = view.device.rating_a
    iz = best_iz_a([run for run in view.runs if run.id in shape.stalk], trade)
    says = f"The ring on {say_way(view)} is fed through a single cable before it divides (a “lollipop”)."
    code: Severity
    if iz is not None and rating is not None and iz >= rating:
        code, why = "note", f"The single cable can carry the {_amps(rating)}, so it is only not the ring it looks like."
    elif iz is None or rating is None:
        code, why = "FI", "Whether the single cable can carry all that the ring may draw is not known."
    else:
        code, why = "C2", f"All of the ring's load, up to {_amps(rating)}, passes through a cable good for {iz:g} A."
    settle = "Follow the single cable; bring a second leg to the board, or a device that suits the one cable."
    yield found("ring-stalk", code, (view.device.id, *shape.stalk), says, why, settle, shape.evidence)


def _bridged(case: CircuitCase, _trade: Trade) -> Iterator[Finding]:
    view, shape = case.view, case.view.shape
    if shape is None or shape.kind not in ("bridged ring", "several loops"):
        return
    code: Severity
    if shape.kind == "bridged ring":
        says = f"The ring on {say_way(view)} is bridged across (interconnected, a figure of eight)."
        code, why = "C3", "The usual ring readings can't prove such a ring, and a break in it goes unseen."
    else:
        says = f"{capital(say_way(view))} feeds more than one loop."
        code, why = "note", "The loops share one device; each has to be proved by readings of its own."
    settle = "End-to-end readings, then again with the bridging cable disconnected."
    yield found("ring-bridged", code, (view.device.id, *shape.bridges), says, why, settle, shape.evidence)


def _two_ways(case: CircuitCase, _trade: Trade) -> Iterator[Finding]:
    view, shape = case.view, case.view.shape
    if shape is None or shape.kind != "legs on two ways" or view.device.id != min(shape.devices):
        return
    says = f"One ring has its legs on two ways: {listed(case.codes)}."
    why = f"Everything stays on with either way off, and its cable has twice its protection over it. {_JOINED}"
    settle = "Both legs into one way of the right rating, proved by end-to-end readings."
    yield found("ring-two-ways", "C2", shape.devices, says, why, settle, shape.evidence)


def _joined(case: CircuitCase, _trade: Trade) -> Iterator[Finding]:
    view, shape = case.view, case.view.shape
    if shape is None or shape.kind != "two ways joined" or view.device.id != min(shape.devices):
        return
    where = f" at {listed(say_member(view, i) for i in shape.joins if i.startswith('P'))}" if any(
        i.startswith("P") for i in shape.joins
    ) else ""  # fmt: skip
    how_many = "Two" if len(case.codes) == 2 else str(len(case.codes))
    says = f"{how_many} ways are joined: {listed(case.codes)}{where}."
    settle = "Find the cable that joins them and take it out; then prove each circuit by itself."
    yield found("ways-joined", "C2", (*shape.devices, *shape.joins), says, _JOINED, settle, shape.evidence)


def _loose(case: CircuitCase, _trade: Trade) -> Iterator[Finding]:
    view, shape = case.view, case.view.shape
    if shape is None:
        return
    for end in shape.loose:
        at = f" near {say_member(view, end.near)}" if end.near else ""
        says = f"A cable end of {say_way(view)}{at} was seen loose: cut or unconnected."
        why = "A loose end is live until it is proved dead, and whatever it once fed or closed is open."
        settle = "Prove it dead, find where it belonged, connect it or end it in a closed enclosure."
        yield found("cable-loose", "FI", (view.device.id, end.run), says, why, settle, "seen")


def _loose_unfed(case: OrphanCase, _trade: Trade) -> Iterator[Finding]:
    rooms = {point.id: say_point(point, room) for point, room in zip(case.orphan.piece.points, case.rooms, strict=True)}
    for end in case.orphan.shape.loose:
        near = rooms.get(end.near or end.known or "")
        says = f"A cable end{f' near {near}' if near else ''} was seen loose; what feeds that cable isn't known."
        why = "A loose end is live until it is proved dead."
        settle = "Prove it dead, find where it belonged, connect it or end it in a closed enclosure."
        yield found("cable-loose-unfed", "FI", (end.run,), says, why, settle, "seen")


def _fed_by_nothing(case: OrphanCase, _trade: Trade) -> Iterator[Finding]:
    piece, shape = case.orphan.piece, case.orphan.shape
    if shape.kind != "fed by nothing" or not piece.points:
        return
    names = [say_point(point, room) for point, room in zip(piece.points, case.rooms, strict=True)]
    says = f"Every cable at {listed(names)} is accounted for, and none comes from a way."
    why = "It is disused, or fed from somewhere that nobody has found; a blank end counts as live until proved."
    settle = "Test there for a supply; follow the cables to where they come from."
    yield found("fed-by-nothing", "FI", tuple(p.id for p in piece.points), says, why, settle, shape.evidence)


def _amps(rating: float | None) -> str:
    return f"{rating:g} A" if rating is not None else "a device of unknown rating"


RULES = (
    Rule("ring-open", "shape", "Broken ring", "C2/FI/C3", "Legs of a broken ring can be overloaded.",
         "Reg 433.1.204 as quoted; " + CP, "18th", "circuit", _open),
    Rule("ring-core-open", "shape", "One conductor of a ring broken", "C2", "Points work, but one conductor is open.",
         CP, "any", "circuit", _core_open),
    Rule("ring-stalk", "shape", "Ring fed through one cable", "C2/FI/note", "One cable carries all of the ring's load.",
         CP, "any", "circuit", _stalk),
    Rule("ring-bridged", "shape", "Interconnected ring, several loops", "C3/note", "Readings can't prove such a ring.",
         "Basic Electrical Installation Work (purpose of the test: breaks, interconnections, multiple loops)", "any",
         "circuit", _bridged),
    Rule("ring-two-ways", "shape", "A ring's legs on two ways", "C2", "Neither way isolates it.", CP, "any", "circuit",
         _two_ways),
    Rule("ways-joined", "shape", "Two circuits joined", "C2", "Neither way isolates anything.", CP, "any", "circuit",
         _joined),
    Rule("cable-loose", "shape", "Cable end seen loose", "FI", "A loose end is live until proved dead.", CP, "any",
         "circuit", _loose),
    Rule("cable-loose-unfed", "shape", "Loose cable end of an unknown feed", "FI",
         "A loose end is live until proved dead.", CP, "any", "orphan", _loose_unfed),
    Rule("fed-by-nothing", "shape", "Point fed by nothing", "FI", "It is disused, or fed from somewhere unknown.",
         CP, "any", "orphan", _fed_by_nothing),
)  # fmt: skip
