"""Rules of additional protection: what is without a 30 mA RCD, said once per board, by the home's edition."""

from collections.abc import Callable, Iterator

from circuitmap.circuits import CircuitView, Member
from circuitmap.findings.finding import Finding
from circuitmap.findings.rule import CP, BoardCase, Rule, found
from circuitmap.findings.say import agrees, capital, listed, say_point
from circuitmap.home.records import Device, Rcd
from circuitmap.trade import Trade
from circuitmap.words import weakest

_BATHROOMS = ("bath", "shower", "en suite", "ensuite", "wet room")


def is_covered(view: CircuitView, trade: Trade, trips_ma: float = 30.0) -> bool:
    """Whether an RCD of at most so many mA (or of a rating that nobody read) stands over a circuit."""
    return any(_trips(device, trade, trips_ma) for device in (view.device, *view.above))


def _trips(device: Device, trade: Trade, trips_ma: float) -> bool:
    if not (trade.device(device.kind).residual_current or device.rcd is not None):
        return False
    return device.rcd is None or device.rcd.trips_ma is None or device.rcd.trips_ma <= trips_ma


def _is_unsaid(case: BoardCase, view: CircuitView, trade: Trade) -> bool:
    """Whether a circuit may be under an RCD of its board: there is one, and nobody said what stands over this way."""
    return not view.above and any(
        trade.device(device.kind).residual_current and not trade.device(device.kind).feeds_circuit
        for device in case.devices
        if device.phase == "existing"
    )


def _bare(case: BoardCase, view: CircuitView, trade: Trade, wanted: Callable[[Member], bool]) -> list[Member]:
    """Give the members of a circuit that want an RCD and have none, at the point or over it."""
    if is_covered(view, trade) or _is_unsaid(case, view, trade):
        return []
    return [m for m in view.members if wanted(m) and not _own_rcd(m) and m.point.kind != "rcd socket"]


def _own_rcd(member: Member) -> bool:
    def protects(rcd: Rcd | None) -> bool:
        return rcd is not None and (rcd.trips_ma is None or rcd.trips_ma <= 30)

    return protects(member.point.rcd) or (member.after_fuse is not None and protects(member.after_fuse.rcd))


def _missing(case: BoardCase, trade: Trade) -> Iterator[Finding]:
    edition = case.details.edition
    if case.supply is not None and case.supply.earthing == "TT":
        return
    wants = {
        "sockets": (trade.rcd("sockets", edition), "socket outlets", _is_indoor_socket(trade)),
        "lighting": (trade.rcd("lighting", edition), "lights", _is_light(trade)),
        "bathroom": (trade.rcd("bathroom", edition), "a bathroom", is_in_bathroom),
    }
    parts: list[str] = []
    subjects: dict[str, None] = {}
    for need, words, wanted in wants.values():
        if need is None:
            continue
        ways = [v for v in case.circuits if _bare(case, v, trade, wanted)]
        if ways:
            parts.append(f"{words} on {listed(v.code for v in ways)}")
            subjects.update({v.device.id: None for v in ways})
    if not parts:
        return
    says = f"Board {case.board.letter_on_map} has no 30 mA RCD over {listed(parts, 6)}."
    why = "An RCD trips before a shock through a person kills. It may have complied when it was installed."
    settle = f"The inspector decides under {edition}; an RCD or RCBOs when the board is next altered."
    yield found("rcd-missing", "C3", (case.board.id, *subjects), says, why, settle, "seen")


def _outdoors(case: BoardCase, trade: Trade) -> Iterator[Finding]:
    if trade.rcd("outdoors", case.details.edition) is None or _is_tt(case):
        return
    for view in case.circuits:
        bare = _bare(case, view, trade, lambda m: bool(m.point.outdoor) or trade.point(m.point.kind).outdoor)
        bare = [m for m in bare if trade.point(m.point.kind).is_socket_outlet]
        if bare:
            names = listed(say_point(m.point, m.room) for m in bare)
            says = (
                f"{capital(names)} ({view.code}) {agrees(bare, 'feeds', 'feed')} things outdoors without a 30 mA RCD."
            )
            why = "Outdoors a person stands on the ground that the fault current seeks."
            settle = "An RCD over the circuit, or a socket or fused connection unit with its own RCD at the point."
            yield _of_bare("rcd-outdoors", view, bare, says, why, settle)


def _bathroom(case: BoardCase, trade: Trade) -> Iterator[Finding]:
    if trade.rcd("bathroom", case.details.edition) is None or _is_tt(case) or case.supply is None:
        return
    if not any(bond.state == "no" and is_supplementary(bond.to) for bond in case.supply.bonds):
        return
    for view in case.circuits:
        bare = _bare(case, view, trade, is_in_bathroom)
        if bare:
            names = listed(say_point(m.point, m.room) for m in bare)
            says = f"{capital(names)} ({view.code}) {agrees(bare, 'has', 'have')} neither a 30 mA RCD nor supplementary bonding."
            why = "Where people are wet, one of the two has to keep metal within reach at one voltage or cut it off."
            settle = "An RCD over the circuit, or the bonding; the inspector decides which."
            yield _of_bare("rcd-bathroom", view, bare, says, why, settle)


def _of_bare(rule: str, view: CircuitView, bare: list[Member], says: str, why: str, settle: str) -> Finding:
    """Make the finding about points of a circuit that nothing covers: as sure as the least sure of them is on it."""
    subjects = (view.device.id, *(m.point.id for m in bare))
    return found(rule, "C2", subjects, says, why, settle, weakest(*(m.evidence for m in bare)))


def _unsaid(case: BoardCase, trade: Trade) -> Iterator[Finding]:
    ways = [v for v in case.circuits if v.members and not is_covered(v, trade) and _is_unsaid(case, v, trade)]
    if ways:
        says = (
            f"Board {case.board.letter_on_map} has an RCD, and whether it is over {listed(v.code for v in ways)} isn't "
            "recorded."
        )
        yield found("rcd-unsaid", "note", (case.board.id, *(v.device.id for v in ways)), says,
                    "What an RCD takes down, and what it protects, rests on it.",
                    "Press its test button in a switch-off and see what goes off, or look at the bars.")  # fmt: skip


def _tt(case: BoardCase, trade: Trade) -> Iterator[Finding]:
    if not _is_tt(case):
        return
    bare = [v for v in case.circuits if not is_covered(v, trade, 500.0) and not _is_unsaid(case, v, trade)]
    if bare:
        says = f"The home has its own earth electrode (TT), and {listed(v.code for v in bare)} {agrees(bare, 'has no RCD over it', 'have no RCD over them')}."
        why = "An earth electrode passes too little current to trip a breaker or blow a fuse: a fault stays live."
        settle = "An RCD over every circuit; the electrode's resistance measured."
        yield found("rcd-tt", "C2", (case.board.id, *(v.device.id for v in bare)), says, why, settle, "seen")
    covered = [v for v in case.circuits if is_covered(v, trade, 500.0)]
    ways = [v for v in covered if not is_covered(v, trade)]
    ways = [v for v in ways if any(trade.point(m.point.kind).is_socket_outlet for m in v.members)]
    if ways and trade.rcd("sockets", case.details.edition) is not None:
        says = (
            f"Board {case.board.letter_on_map} has no 30 mA RCD over socket outlets on {listed(v.code for v in ways)}."
        )
        yield found("rcd-missing", "C3", (case.board.id, *(v.device.id for v in ways)), says,
                    "An RCD of more than 30 mA protects against fire and faults, not a person touching.",
                    "RCBOs or a 30 mA RCD when the board is next altered.")  # fmt: skip


def _type_ac(case: BoardCase, trade: Trade) -> Iterator[Finding]:
    for view in case.circuits:
        inverters = [m for m in view.members if trade.point(m.point.kind).inverter]
        plain = [d for d in (view.device, *view.above) if d.rcd is not None and d.rcd.type == "AC"]
        if inverters and plain:
            names = listed(say_point(m.point, m.room) for m in inverters)
            says = f"{capital(names)} ({view.code}) {agrees(inverters, 'is', 'are')} behind an RCD of type AC."
            why = "Direct current from its electronics can blind such an RCD."
            settle = "Ask its maker which type it wants; type A, F or B as it says."
            yield found("rcd-type", "FI", (view.device.id, *(m.point.id for m in inverters)), says, why, settle, "seen")


def _feeds_back(case: BoardCase, trade: Trade) -> Iterator[Finding]:
    for view in case.circuits:
        sources = [m for m in view.members if trade.point(m.point.kind).can_feed_back]
        rcds = [d for d in (view.device, *view.above) if _trips(d, trade, 500.0)]
        if sources and rcds:
            names = listed(say_point(m.point, m.room) for m in sources)
            says = f"{capital(names)} can feed back through the RCD of {view.code}."
            why = "Some RCDs and RCBOs are made for one direction only and can be damaged by power coming back."
            settle = "See whether the device is marked as suitable for both directions."
            yield found(
                "rcd-one-way", "FI", (view.device.id, *(m.point.id for m in sources)), says, why, settle, "seen"
            )


def _is_tt(case: BoardCase) -> bool:
    return case.supply is not None and case.supply.earthing == "TT"


def _is_indoor_socket(trade: Trade) -> Callable[[Member], bool]:
    def wanted(member: Member) -> bool:
        row = trade.point(member.point.kind)
        return row.is_socket_outlet and not row.outdoor and not member.point.outdoor

    return wanted


def _is_light(trade: Trade) -> Callable[[Member], bool]:
    def wanted(member: Member) -> bool:
        return trade.point(member.point.kind).is_light

    return wanted


def is_supplementary(to: str) -> bool:
    """Whether a bond as recorded is the supplementary one of a bathroom, not a main bond."""
    words = to.casefold()
    return "supplementary" in words or any(word in words for word in _BATHROOMS)


def is_in_bathroom(member: Member) -> bool:
    """Whether a point stands in a room with a bath or shower, by the room's use or name."""
    if member.room is None:
        return False
    words = f"{member.room.use} {member.room.name}".casefold()
    return any(word in words for word in _BATHROOMS)


_BS = "BS 7671 411.3.3, 411.3.4, from memory"

RULES = (
    Rule("rcd-missing", "protection", "Circuits without a 30 mA RCD", "C3", "One line per board; not retrospective.",
         f"{_BS}; 701.411.3.3", "17th", "board", _missing),
    Rule("rcd-outdoors", "protection", "Outdoor socket without a 30 mA RCD", "C2", "Likely to feed things outdoors.",
         _BS, "16th", "board", _outdoors),
    Rule("rcd-bathroom", "protection", "Bathroom with neither RCD nor supplementary bonding", "C2",
         "Wet people, and nothing that cuts off or evens out.", "BS 7671 701.411.3.3, 701.415.2, from memory", "17th",
         "board", _bathroom),
    Rule("rcd-unsaid", "protection", "What an RCD is over isn't recorded", "note", "Nothing is judged until it is.", CP,
         "any", "board", _unsaid),
    Rule("rcd-tt", "protection", "Earth electrode without RCDs", "C2", "A fault stays live.",
         "Table 41.5 as quoted; " + CP, "any", "board", _tt),
    Rule("rcd-type", "protection", "RCD of type AC with electronics behind it", "FI", "Direct current blinds it.",
         "Wiring Matters 91 (A2:2022)", "18th+A2", "board", _type_ac),
    Rule("rcd-one-way", "protection", "Source behind an RCD", "FI", "Some are made for one direction only.",
         "BS 7671 A3:2024, from memory", "18th+A2", "board", _feeds_back),
)  # fmt: skip
