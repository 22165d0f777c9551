"""What's where: facts of the map that an isolation must know. None of them is a defect or raises an exit code."""

from collections.abc import Iterable, Iterator

from circuitmap.circuits import CircuitView, what_it_feeds
from circuitmap.findings.finding import Finding
from circuitmap.findings.protection import is_covered
from circuitmap.findings.rule import CP, CircuitCase, HomeCase, PlateCase, RoomCase, Rule, found
from circuitmap.findings.say import agrees, capital, listed, say_point, say_way
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Room
from circuitmap.plan import touching_groups
from circuitmap.survey.labels import LabelWords, fits_room, read_label, read_room
from circuitmap.trade import Trade
from circuitmap.words import weakest

_NOTHING = "Nothing; keep it in mind when isolating."
_MOST_ASIDE = 0.2


def _strays(case: RoomCase, trade: Trade) -> Iterator[Finding]:
    for family in ("sockets", "lights"):
        fed: dict[str, list[int]] = {}
        ways: dict[str, CircuitView] = {}
        for n, point in enumerate(case.points):
            row = trade.point(point.kind)
            if row.family == family and row.counts_as_point and len(case.feeds[n]) == 1:
                view = case.feeds[n][0]
                fed.setdefault(view.device.id, []).append(n)
                ways[view.device.id] = view
        total = sum(len(each) for each in fed.values())
        if total < 4 or len(fed) < 2:
            continue
        most = max(fed, key=lambda device: (len(fed[device]), device))
        for device, those in fed.items():
            if device != most and len(those) == 1:
                point = case.points[those[0]]
                says = (
                    f"{capital(say_point(point, case.room))} is on {say_way(ways[device])}, the other {family} of the "
                    f"room on {say_way(ways[most])}."
                )
                evidence = weakest(*(m.evidence for m in ways[device].members if m.point.id == point.id))
                yield found("stray", "note", (point.id,), says, "Switching the room's usual way off leaves it on.",
                            _NOTHING, evidence, aside=True)  # fmt: skip


def _spans(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view = case.view
    rooms = [room for room in view.rooms if room.outline_mm]
    apart = touching_groups(rooms) if len(rooms) > 1 else ()
    if len(view.storeys) < 2 and len(apart) < 2:
        return
    if len(view.members) < 3:
        return
    names = listed((shorten(room.name, 24) for room in view.rooms), 6)
    over = "several storeys" if len(view.storeys) > 1 else "rooms that don't touch"
    says = f"{capital(say_way(view))} spans {over}: {names}."
    why = "Somebody isolating one storey or room may isolate the wrong thing, or not enough."
    evidence = weakest(*(m.evidence for m in view.members))
    yield found("spans", "note", (view.device.id,), says, why, _NOTHING, evidence, aside=True)


def _outdoors(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view = case.view
    outside = [m for m in view.members if m.point.outdoor or trade.point(m.point.kind).outdoor]
    inside = [m for m in view.members if m not in outside]
    if not outside or not inside or not is_covered(view, trade):
        return
    names = listed(say_point(m.point, m.room) for m in outside)
    says = f"{capital(names)} {agrees(outside, 'is', 'are')} outdoors, on {say_way(view)} with indoor points."
    why = "A fault or water outdoors takes the indoor points down too."
    evidence = weakest(*(m.evidence for m in outside))
    yield found(
        "outdoors-shared", "note", tuple(m.point.id for m in outside), says, why, _NOTHING, evidence, aside=True
    )


def _shares(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    view = case.view
    sockets = [m for m in view.members if trade.point(m.point.kind).is_socket_outlet]
    if len(sockets) < 2:
        return
    sensitive = []
    for member in view.members:
        loads = [load.name or load.what for load in member.point.loads if load.if_off != "nothing"]
        if loads:
            sensitive += [shorten(load, 24) for load in loads]
        elif trade.point(member.point.kind).is_sensitive and not trade.point(member.point.kind).is_socket_outlet:
            sensitive.append(member.point.kind)
    if sensitive:
        says = f"{capital(say_way(view))} also takes down: {listed(dict.fromkeys(sensitive), 6)}."
        evidence = weakest(*(m.evidence for m in view.members))
        yield found("takes-down", "note", (view.device.id,), says, "Ask before it is switched off.", _NOTHING, evidence,
                    aside=True)  # fmt: skip


def _shared_box(case: PlateCase, _trade: Trade) -> Iterator[Finding]:
    if len(case.feeds) < 2:
        return
    codes = listed(view.code for view in case.feeds)
    what = listed(dict.fromkeys(point.kind for point in case.points))
    where = f" in {shorten(case.room.name, 30)}" if case.room is not None else ""
    says = f"The box with the {what}{where} holds more than one circuit: {codes}."
    why = "With one of them off the others stay live in the same box."
    yield found("shared-box", "note", tuple(p.id for p in case.points), says, why,
                "Before opening it, all of them off, then prove dead.", "seen", aside=True)  # fmt: skip


def _one_rcd(case: HomeCase, trade: Trade) -> Iterator[Finding]:
    sockets = [v for v in case.circuits if sum(trade.point(m.point.kind).is_socket_outlet for m in v.members) >= 2]
    if len(sockets) < 2:
        return
    over = [next((d for d in v.above if trade.device(d.kind).residual_current), None) for v in sockets]
    first = over[0]
    if first is not None and all(device is not None and device.id == first.id for device in over):
        says = f"Every socket of the home is behind one RCD ({listed(v.code for v in sockets)})."
        yield found("one-rcd", "note", (first.id,), says, "One fault anywhere takes them all, the freezer too.",
                    _NOTHING, "seen", aside=True)  # fmt: skip


def _label_misfit(case: HomeCase, trade: Trade) -> Iterator[Finding]:
    proposed = dict(case.labels)
    rooms = {room.id: room for view in case.circuits for room in view.rooms}
    in_words: dict[tuple[str, str], LabelWords] = {}
    read: dict[str, tuple[LabelWords, set[str]]] = {}  # of many ways most have one of a few labels
    for view in case.circuits:
        label = view.device.label.strip()
        settled = [m for m in view.members if m.evidence in ("seen", "tested")]
        settled = [m for m in settled if trade.point(m.point.kind).counts_as_point]
        if not label or len(settled) < 3:
            continue
        if label not in read:
            words = read_label(label, trade)
            read[label] = words, _rooms_named(words, rooms.values(), in_words, trade)
        said, named = read[label]
        of_kind = sum(said.names_kind(trade.point(m.point.kind)) or m.point.kind in said.perhaps for m in settled)
        wrong_kind = said.says_kind and of_kind <= _MOST_ASIDE * len(settled)
        inside = sum(m.room is not None and m.room.id in named for m in settled)
        wrong_room = bool(named) and inside <= _MOST_ASIDE * len(settled)
        if wrong_kind or wrong_room:
            better = proposed.get(view.device.id) or what_it_feeds(view, trade)
            says = f"The label of {say_way(view)} doesn't fit what it feeds; better: “{better}”."
            yield found("label-misfit", "note", (view.device.id,), says, "Somebody will trust it.",
                        "Change the label.", weakest(*(m.evidence for m in settled)), aside=True)  # fmt: skip


def _rooms_named(
    said: LabelWords, rooms: Iterable[Room], in_words: dict[tuple[str, str], LabelWords], trade: Trade
) -> set[str]:
    """Give the rooms of the home that a label names; one that it names but the home hasn't tells nothing."""
    found = set()
    for room in rooms if said.rooms or said.others or said.sides else ():
        key = (room.name, room.use)
        if key not in in_words:
            in_words[key] = read_room(room, trade)
        if fits_room(said, in_words[key]):
            found.add(room.id)
    return found


def _same_label(case: HomeCase, trade: Trade) -> Iterator[Finding]:
    proposed = dict(case.labels)
    ways: dict[tuple[str, str], list[CircuitView]] = {}
    for view in case.circuits:
        label = " ".join(view.device.label.casefold().split())
        if label and not read_label(label, trade).spare:
            ways.setdefault((view.board.id, label), []).append(view)
    for same in ways.values():
        if len(same) > 1:
            names = "; ".join(f"{v.code} “{proposed.get(v.device.id, '?')}”" for v in same)
            says = f"{listed(v.code for v in same)} are {'both' if len(same) == 2 else 'all'} labelled “{shorten(same[0].device.label, 30)}”. Better: {names}."
            yield found("same-label", "note", tuple(v.device.id for v in same), says,
                        "Nobody can tell which one to switch off.", "Change the labels.", "seen", aside=True)  # fmt: skip


RULES = (
    Rule("stray", "grouping", "Point on another circuit than the rest of its room", "note",
         "Switching the room's usual way off leaves it on.", CP, "any", "room", _strays, aside=True),
    Rule("spans", "grouping", "Circuit over several storeys, or rooms that don't touch", "note",
         "How a circuit divides the house.", CP, "any", "circuit", _spans, aside=True),
    Rule("outdoors-shared", "grouping", "Outdoor points on an indoor circuit", "note", "Water outdoors takes both down.",
         CP, "any", "circuit", _outdoors, aside=True),
    Rule("takes-down", "grouping", "What must not be lost without asking", "note", "Ask before switching off.", CP,
         "any", "circuit", _shares, aside=True),
    Rule("shared-box", "grouping", "More than one circuit in a box", "note", "An isolation must include them all.", CP,
         "any", "plate", _shared_box, aside=True),
    Rule("one-rcd", "grouping", "Every socket behind one RCD", "note", "One fault takes them all.", CP, "any", "home",
         _one_rcd, aside=True),
    Rule("label-misfit", "grouping", "Label that doesn't fit", "note", "Somebody will trust it.", CP, "any", "home",
         _label_misfit, aside=True),
    Rule("same-label", "grouping", "The same label on several ways", "note", "Nobody can tell which to switch off.", CP,
         "any", "home", _same_label, aside=True),
)  # fmt: skip
