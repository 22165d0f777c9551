"""The survey record's words: what was asked, visits, switch-offs, isolations, instruments, limits, what was checked.

An outcome of a switch-off is never called dead; that word is kept for proving dead at a box, told in a table of its
own.
"""

import datetime
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Final, NamedTuple

from circuitmap.home import Home
from circuitmap.home.invariants import shorten
from circuitmap.home.records import (
    Board,
    Check,
    Consent,
    Device,
    Extension,
    Instrument,
    Isolation,
    Limitation,
    Note,
    Plate,
    Point,
    Reading,
    Room,
    Round,
    Ruling,
    Storey,
    Supply,
    Visit,
    natural_key,
)
from circuitmap.memo import Memo
from circuitmap.paper.quotation import day_said
from circuitmap.paper.supply_read import pfc_said, ze_said
from circuitmap.plan.where import rooms_of_points
from circuitmap.quantities.show import show_current, show_ohm, show_size
from circuitmap.survey.isolate import missing_steps
from circuitmap.survey.progress import counts
from circuitmap.trade import Trade
from circuitmap.words import Outcome, Purpose, ReadingTest, WhoAgreed, kind_said

NO_CERTIFICATE: Final = (
    "This is a survey record. It is no certificate and not an electrical installation condition report (EICR), and it "
    "can't stand in for one. Its codes are suggested; whether a finding is one, and which code it gets, is for the "
    "inspector to decide."
)
LIMITS: Final[tuple[str, ...]] = (
    "A switch-off shows what a point's line hangs on. It doesn't show where neutrals go: one may be shared with, or "
    "borrowed from, another circuit.",
    "That a point went off is not proof that it is safe to touch. Whoever opens a box isolates, locks off and proves "
    "dead there, every time anew.",
    "What lies in walls, floors and ceilings was not seen. Cables are as far as they were followed or tested, each as "
    "its own evidence says; never drill by this record.",
    "A plug-in tester shows neither a swapped neutral and earth nor a poor earth.",
    "It tells what was found on the days named, and nothing of what has been altered since.",
)
CAUTIONS: Final[tuple[str, ...]] = (
    "The main switch doesn't switch off solar panels, a battery, a generator, a vehicle that can feed the home, nor a "
    "neighbour's or landlord's supply.",
    "With the main switch off the meter tails and the main switch's own terminals stay live. The cut-out and the meter "
    "are the network's.",
    "Design, inspection, test and certification belong to a competent, licensed person working to the local wiring "
    "rules and the makers' instructions; some work has to be notified.",
)
PURPOSES: Final[dict[Purpose, str]] = {
    "survey": "a survey: which way feeds what, and in what state",
    "before work": "what there is before work begins",
    "after work": "what there is after the work",
    "periodic": "a look at regular intervals",
}
AGREED_BY: Final[dict[WhoAgreed, str]] = {
    "occupier": "the occupier",
    "agent": "the agent",
    "owner": "the owner",
    "other household": "another household",
}
_OUTCOMES: Final[dict[Outcome, str]] = {
    "off": "went off",
    "still on": "still on",
    "faint glow": "faint glow",
    "can't tell": "can't tell",
}
_EVENTS: Final = {
    "trip": "something tripped",
    "trip on closing": "tripped when switched on again",
    "look out": "the witness lamp was found out",
    "others lost power": "another household lost power",
}
_MOST: Final = 12


class Names(NamedTuple):
    """What things of a home are called here."""

    home: Home
    rooms: dict[str, str]

    def of(self, record_id: str) -> str:
        """Give what something is called: a way by its code, a point by its kind, name and room."""
        record = self.home.peek(record_id)
        match record:
            case Device(way=way, board=board, kind=kind):
                return self.home.code(record_id) if way else f"{kind} {record_id} of board {self.home.letter_of(board)}"
            case Board():
                return f"board {record.letter_on_map}" + (f" ({shorten(record.name, 40)})" if record.name else "")
            case Point():
                room = self.rooms.get(record_id, "")
                what = shorten(record.name, 50) or kind_said(record.kind)
                return f"{what} {record_id}" + (f", {shorten(room, 40)}" if room else "")
            case Room() | Storey():
                return shorten(record.name, 50) or record_id
            case Plate():
                inside = self.home.find(Room, record.room)
                return f"the plate {record_id}" + (f", {shorten(inside.name, 40)}" if inside is not None else "")
            case _:
                return "the home" if record_id == "home" else record_id

    def listed(self, ids: Iterable[str], most: int = _MOST) -> str:
        """Give some things in a list, the first of many."""
        names = [self.of(each) for each in ids]
        more = len(names) - most
        return ", ".join(names[:most]) + (f" and {more} more" if more > 0 else "")


def names_of(home: Home, memo: Memo) -> Names:
    """Give what things of a home are called here."""
    return Names(home, {i: room.name or room.id for i, room in rooms_of_points(home, memo).items() if room is not None})


# -- what was asked and when --------------------------------------------------------------------------------------


def asked(home: Home) -> list[str]:
    """Say what was asked: the purposes of the visits, and what is wished for."""
    purposes = dict.fromkeys(visit.purpose for visit in home.sorted(Visit))
    says = [f"{PURPOSES[purpose][:1].upper()}{PURPOSES[purpose][1:]}." for purpose in purposes]
    wished = [shorten(each.name, 80) for each in home.sorted(Extension) if each.name]
    if wished:
        says.append(f"Additions are asked for, and are not part of this record: {', '.join(wished[:6])}.")
    return says or ["What was asked is not on record: no visit is."]


def visit_rows(home: Home) -> list[list[str]]:
    """Give each visit: day, purpose, by whom, what was done."""
    rows = []
    for visit in home.sorted(Visit):
        rounds = [each for each in home.table(Round).values() if each.visit == visit.id]
        looks = sum(1 for each in rounds if not each.off)
        ids = {each.id for each in rounds}
        checks = sum(1 for each in home.table(Check).values() if each.round in ids)
        done = [
            _counted(looks, "look with everything on", "looks with everything on"),
            _counted(len(rounds) - looks, "switch-off", "switch-offs"),
            _counted(checks, "point checked", "answers at points"),
            _counted(_of(home, Isolation, visit.id), "box proved dead", "times proved dead"),
            _counted(_of(home, Reading, visit.id), "reading", "readings"),
            _counted(_of(home, Note, visit.id), "note", "notes"),
        ]
        rows.append([_day(visit.day), PURPOSES[visit.purpose], visit.by, ", ".join(each for each in done if each)])
    return rows


def _of(home: Home, kind: type[Isolation] | type[Reading] | type[Note], visit: str) -> int:
    return sum(1 for each in home.table(kind).values() if each.visit == visit)


def _counted(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}" if count else ""


def _day(text: str) -> str:
    return day_said(datetime.date.fromisoformat(text))


def time_said(at: str) -> str:
    """Give the time of day of an instant by the clock on the wall."""
    return datetime.datetime.fromisoformat(at).astimezone().strftime("%H:%M")


# -- how it was done ----------------------------------------------------------------------------------------------


def round_rows(home: Home, names: Names) -> list[list[str]]:
    """Give each switch-off: its day and number, what was off, who agreed, what came of it, what else happened."""
    rows: list[list[str]] = []
    number: Counter[str] = Counter()
    terms = ""
    answers: dict[str, dict[str, Outcome]] = {}
    for check in home.sorted(Check):
        answers.setdefault(check.round, {})[check.point] = check.outcome
    for record in home.sorted(Round):
        visit = home.take(Visit, record.visit)
        if record.off:
            number[visit.id] += 1
            off = names.listed(record.off)
            if record.sources_off:
                off += f"; {', '.join(record.sources_off)} at its own isolator"
            which = f"{_day(visit.day)}, no. {number[visit.id]}"
        else:
            off, which = "nothing: a look with everything on", _day(visit.day)
        outcomes = Counter(answers.get(record.id, {}).values())
        came = ", ".join(f"{outcomes[each]} {words}" for each, words in _OUTCOMES.items() if outcomes[each])
        told = [_EVENTS[event.what] for event in record.events if event.what in _EVENTS]
        came = "; ".join(part for part in (came, *dict.fromkeys(told)) if part) or "no point was looked at"
        agreed = "not needed"
        if record.off:
            agreed, same = consent_said(record.consent, names), terms
            terms = agreed.partition("; ")[2]
            if terms and terms == same:
                agreed = f"{agreed.partition('; ')[0]}; on the same terms"
        rows.append([which, off, agreed, came])
    return rows


def consent_said(consent: Consent | None, names: Names) -> str:
    """Say who agreed to a switch-off, when, and on what terms."""
    if consent is None:
        return "no agreement is on record"
    says = [f"{AGREED_BY[consent.by]}, {time_said(consent.at)}"]
    if consent.for_visit:
        says.append("for the rest of the visit")
    if consent.until:
        says.append(f"until {shorten(consent.until, 60)}")
    if consent.confirmed:
        more = len(consent.confirmed) - _MOST
        some = ", ".join(consent.confirmed[:_MOST]) + (f" and {more} more" if more > 0 else "")
        says.append(f"settled with them what hangs on {some}")
    says += [f"{names.of(each.point)}: {shorten(each.words, 120)}" for each in consent.arrangements]
    return "; ".join(says)


def isolation_rows(home: Home, names: Names) -> list[list[str]]:
    """Give each record of proving dead: day and time, where, what was off, whether every step is on record.

    Records of one visit that differ in nothing but the box stand in one row.
    """
    grouped: dict[tuple[str, str, str, str], list[Isolation]] = {}
    for each in home.sorted(Isolation):
        off = names.listed(each.off) or "nothing recorded"
        off += f"; {', '.join(each.sources_off)}" if each.sources_off else ""
        off += ", locked off" if each.locked else ", not recorded as locked"
        missing = missing_steps(each, home)
        result = "proved dead: indicator proved, L–N, L–E, N–E, indicator proved again" if not missing else (
            f"NOT proved: {' '.join(missing)}"
        )  # fmt: skip
        day = _day(home.take(Visit, each.visit).day)
        grouped.setdefault((day, off, each.by, result), []).append(each)
    rows = []
    for (day, off, by, result), records in grouped.items():
        times = sorted(time_said(each.at) for each in records)
        when = f"{day}, {times[0]}" + (f" to {times[-1]}" if times[-1] != times[0] else "")
        boxes = dict.fromkeys(box for each in records for box in each.box)
        rows += [[when, where, off, by, result] for where in _where(names, list(boxes))]
    return rows


def _where(names: Names, boxes: Sequence[str]) -> list[str]:
    """Give boxes by room, in parts that each fit a page well."""
    held: dict[str, list[str]] = {}
    for box in boxes:
        held.setdefault(names.rooms.get(box, "") if box.startswith("P") else names.of(box), []).append(box)
    parts = []
    for place, ids in held.items():
        if all(each.startswith("P") for each in ids):
            room = shorten(place, 40)
            parts += [f"{room}: {', '.join(ids[n : n + 40])}" if room else ", ".join(ids[n : n + 40])
                      for n in range(0, len(ids), 40)]  # fmt: skip
        else:
            parts.append(place)
    return ["; ".join(parts[n : n + 16]) for n in range(0, len(parts), 16)]


def instrument_rows(home: Home) -> list[list[str]]:
    """Give each instrument: its name and kind, what is known of it, what it was used for, on which visits.

    One that was entered anew at each visit, by the same name and kind, is one.
    """
    same: dict[tuple[str, str], list[Instrument]] = {}
    for each in home.sorted(Instrument):
        same.setdefault((" ".join(each.name.casefold().split()) or each.id, each.kind), []).append(each)
    return [_instrument_row(home, held) for held in same.values()]


def _instrument_row(home: Home, held: Sequence[Instrument]) -> list[str]:
    ids = {each.id for each in held}
    believed: list[str] = []
    for each in held:
        if each.accuracy_fraction is not None:
            believed.append(f"within {each.accuracy_fraction * 100:g} %")
        if each.resolution_ohm is not None:
            believed.append(f"steps of {show_ohm(each.resolution_ohm)}")
    mine = [reading for reading in home.sorted(Reading) if reading.instrument in ids]
    leads = [reading for reading in mine if reading.test == "lead check"]
    if leads:
        typed = shorten(leads[-1].typed, 30)
        believed.append(f"leads shorted, last reading {typed} Ω" if typed else "leads shorted before use")
    used = Counter(reading.test for reading in mine if reading.test != "lead check")
    checks = [check for check in home.table(Check).values() if check.instrument in ids]
    proofs = [record for record in home.table(Isolation).values() if record.instrument in ids]
    said = [f"{count} {test}" for test, count in used.items()]
    said += [_counted(len(checks), "check", "checks"), _counted(len(proofs), "time proving dead", "times proving dead")]
    visits = {each.visit for each in mine} | {each.visit for each in proofs}
    visits |= {made.visit for check in checks if (made := home.find(Round, check.round)) is not None}
    days = sorted({visit.day for visit in home.sorted(Visit) if visit.id in visits})
    return [
        shorten(held[0].name, 80) or held[0].kind,
        held[0].kind,
        "; ".join(dict.fromkeys(believed)) or "nothing recorded",
        ", ".join(each for each in said if each) or "nothing on record",
        "; ".join(_day(day) for day in days),
    ]


def reading_rows(home: Home, names: Names) -> list[list[str]]:
    """Give how many readings of each test there are, way by way; the values stand in the schedules."""
    by_way: dict[str, Counter[ReadingTest]] = {}
    for reading in home.sorted(Reading):
        if reading.test != "lead check":
            by_way.setdefault(reading.device or "", Counter())[reading.test] += 1
    rows = []
    for device in sorted(by_way, key=lambda each: (each == "", natural_key(each) if each else ("", 0))):
        said = ", ".join(f"{count} {test}" for test, count in by_way[device].items())
        rows.append([names.of(device) if device else "supply, boards and RCDs", said])
    return rows


# -- what was and wasn't checked ----------------------------------------------------------------------------------


def limitation_rows(home: Home, names: Names) -> list[list[str]]:
    """Give each limitation: about what, why, who agreed, on which visit."""
    return [
        [
            names.of(each.subject),
            shorten(each.reason, 600),
            shorten(each.agreed_by, 80) or "nobody named",
            _day(visit.day) if (visit := home.find(Visit, each.visit)) is not None else "",
        ]
        for each in home.sorted(Limitation)
    ]


def checked(home: Home, trade: Trade, memo: Memo) -> list[str]:
    """Say how far the survey went, in counts."""
    found = counts(home, memo, trade)
    if not found.points:
        return ["No point that can be looked at in a switch-off is on the map."]
    says = [f"{found.settled} of {found.points} points that can be looked at are settled by switching off."]
    for count, one, many in (
        (found.in_doubt, "is in doubt", "are in doubt"),
        (found.contradiction, "has answers that don't fit together", "have answers that don't fit together"),
        (found.never_off, "was never seen off", "were never seen off"),
        (found.elsewhere, "stayed on with everything off", "stayed on with everything off"),
        (found.not_seen_on, "was not seen on", "were not seen on"),
        (found.unchecked, "was not checked", "were not checked"),
    ):
        if count:
            says.append(f"{count} {one if count == 1 else many}.")
    if found.unreached:
        says.append(f"Of those not checked, {found.unreached} could not be reached.")
    opened = {box for record in home.table(Isolation).values() for box in record.box}
    boxes = sum(1 for box in opened if box.startswith("P"))
    says.append(
        f"Boxes opened after proving dead: {boxes}." if boxes else "No box is on record as proved dead and opened."
    )
    return says


def not_checked(home: Home, trade: Trade) -> list[str]:
    """Name the points that no switch-off has an answer for, and those that can't be checked, with why."""
    answered = {check.point for check in home.table(Check).values() if check.outcome != "can't tell"}
    says = []
    for point in home.sorted(Point):
        if point.uncheckable:
            says.append(f"{point.id}: {shorten(point.uncheckable, 120)}")
        elif point.id not in answered and trade.point(point.kind).checkable:
            says.append(point.id)
    return says


def supply_rows(home: Home) -> list[list[str]]:
    """Give what is recorded of the supply, as found; what nobody saw is said so."""
    rows = []
    for supply in home.sorted(Supply):
        bonds = ", ".join(
            f"{shorten(bond.to, 30)}: {bond.state}" + (f", {show_size(bond.mm2)}" if bond.mm2 else "")
            for bond in supply.bonds
        )
        sources = ", ".join(source.kind for source in supply.sources)
        asked_said = "none named when asked" if supply.sources_asked else "nobody asked yet"
        rows += [
            ["Earthing", supply.earthing if supply.earthing != "unknown" else "not seen"],
            ["Phases", str(supply.phases) if supply.phases else "not recorded"],
            ["Supply fuse", _with(supply.fuse_a, supply.fuse_from)],
            ["Main switch", show_current(supply.main_switch_a) if supply.main_switch_a else "not recorded"],
            ["Tails", show_size(supply.tails_mm2) if supply.tails_mm2 else "not recorded"],
            ["Earthing conductor", show_size(supply.earthing_mm2) if supply.earthing_mm2 else "not recorded"],
            ["Main bonding", bonds or "not recorded"],
            ["Ze", ze_said(home, supply)],
            ["Prospective fault current", pfc_said(home, supply)],
            ["Surge protection", supply.spd],
            ["Other sources", sources or asked_said],
        ]
    return rows


def _with(fuse_a: float | None, where: str) -> str:
    if fuse_a is None:
        return "not recorded"
    return show_current(fuse_a) + (f", {shorten(where, 60)}" if where else "")


def ruling_rows(home: Home, said: dict[str, str]) -> list[list[str]]:
    """Give each ruling: the finding, the decision, the code given, why, and on which visit; ``said`` by finding key."""
    rows = []
    for each in home.sorted(Ruling):
        visit = home.find(Visit, each.visit)
        rows.append(
            [
                said.get(each.finding, "a finding that is no longer told"),
                {"agree": "agreed", "not so": "not so", "changed": "code changed"}[each.decision],
                each.code or "–",
                shorten(each.why, 300),
                _day(visit.day) if visit is not None else "",
            ]
        )
    return rows


def in_words(parts: Sequence[str]) -> str:
    """Give parts of a sentence as a list in words."""
    return " and ".join([", ".join(parts[:-1]), parts[-1]]) if len(parts) > 1 else "".join(parts)


def cleared_notes(home: Home, names: Names) -> Iterator[str]:
    """Give what was put right, and on which visit."""
    for note in home.sorted(Note):
        if note.cleared is not None:
            day = _day(home.take(Visit, note.cleared).day)
            told = "; ".join(part for part in (", ".join(note.seen), shorten(" ".join(note.text.split()), 300)) if part)
            yield f"{names.of(note.subject)}: {told.rstrip('.') or 'a note'} (put right, {day})."
