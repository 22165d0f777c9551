"""Rules of condition: what somebody saw at a thing and nobody has put right yet."""

from collections.abc import Callable, Iterator
from typing import NamedTuple

from circuitmap.findings.finding import Finding
from circuitmap.findings.rule import CP, CircuitCase, NoteCase, Rule, found
from circuitmap.findings.say import capital, listed, say_point
from circuitmap.home.records import Board, Device, Point, Run
from circuitmap.trade import Trade
from circuitmap.words import Condition, Severity


class _Seen(NamedTuple):
    rule: str
    title: str
    code: Severity
    says: str
    why: str
    settle: str


_NOW = "Make safe and tell the person responsible now: "
_SEEN: dict[Condition, _Seen] = {
    "scorched": _Seen("scorched", "Scorched", "C2", "{where} is scorched.", "A terminal has run hot there.",
                      "Leave it off; open it on an isolated circuit, renew the accessory and the cable ends."),
    "scorched and failing": _Seen("scorched-failing", "Scorched and still in use", "C1",
                                  _NOW + "{where} is scorched and still failing.", "It can start a fire.",
                                  "Isolate, prove dead, renew."),
    "live part touchable": _Seen("live-part", "Live part can be touched", "C1",
                                 _NOW + "a live part can be touched at {where}.", "Touching it can kill.",
                                 "Isolate, prove dead, enclose."),
    "basic insulation showing": _Seen("insulation-showing", "Basic insulation outside an enclosure", "C3",
                                      "Basic insulation shows outside its box at {where}.",
                                      "It is C2 where it can be touched in use.", "Bring it into the enclosure."),
    "unsleeved cpc": _Seen("cpc-unsleeved", "Unsleeved cpc", "note", "The cpc is without its sleeve at {where}.",
                           "Workmanship.", "Sleeve it when next opened."),
    "copper inside closed box": _Seen("copper-in-box", "Copper showing inside a closed box", "note",
                                      "Copper shows inside the closed box at {where}.", "Workmanship.",
                                      "Strip and terminate anew when next opened."),
    "reversed polarity": _Seen("polarity", "Line and neutral reversed", "C2",
                               "Line and neutral are the wrong way round at {where}.",
                               "It works, but what is switched off there may still be live.",
                               "Isolate, prove dead, correct it, test polarity."),
    "no earth": _Seen("no-earth", "Earth not connected", "C2", "{where} has no earth connected.",
                      "A fault in what is plugged in or fed there makes its metal live.",
                      "Isolate, prove dead, find the cpc; continuity reading."),
    "loose accessory": _Seen("loose-accessory", "Loose accessory", "C3", "{where} is loose on its box.",
                             "Its cables are worked whenever it is used.", "Fasten it."),
    "loose terminal": _Seen("loose-terminal", "Loose terminal", "C2", "A terminal is loose at {where}.",
                            "A loose terminal arcs and runs hot.", "Isolate, prove dead, tighten, look for damage."),
    "damaged accessory": _Seen("damaged", "Damaged accessory", "C2", "{where} is damaged.",
                               "Live parts may come within reach.", "Isolate, prove dead, renew it."),
    "shallow box": _Seen("box-noted", "Box noted as shallow", "note", "The box is shallow at {where}.",
                         "A deep accessory won't fit without crushing its cables.", "A deeper box if it is changed."),
    "damp": _Seen("damp", "Damp", "FI", "{where} is damp.", "Water lowers insulation and rusts terminals.",
                  "Find where the water comes from; insulation reading."),
    "rubber insulation": _Seen("old-insulation", "Rubber insulation", "FI", "Rubber-insulated cable at {where}.",
                               "It crumbles when moved: do not extend it.", "Insulation readings; plan to rewire."),
    "lead sheathed": _Seen("old-insulation", "Lead-sheathed cable", "FI", "Lead-sheathed cable at {where}.",
                           "Its sheath may be the only earth: do not extend it.", "Continuity and insulation readings."),
    "imperial cable": _Seen("imperial", "Imperial cable", "note", "Imperial cable at {where}.",
                            "Its sizes are not today's; length from a reading needs its own figure.", "Nothing now."),
    "aluminium": _Seen("old-insulation", "Aluminium conductors", "FI", "Aluminium conductors at {where}.",
                       "They loosen at terminals made for copper: do not extend.", "A look at every termination."),
    "cloth covered": _Seen("old-insulation", "Cloth-covered cable", "FI", "Cloth-covered cable at {where}.",
                           "There is rubber under it: do not extend it.", "Insulation readings; plan to rewire."),
    "hot or buzzing": _Seen("hot", "Hot or buzzing", "C2", "{where} is hot or buzzing.",
                            "Something in it is failing; it is not to be switched.", "Isolate upstream, prove dead, look."),
    "no dual supply notice": _Seen("dual-notice", "No notice of a second supply", "C3",
                                   "A notice of the second supply is missing at {where}.",
                                   "The next person will believe the main switch.", "Fit the notice."),
    "no mixed colours notice": _Seen("colours-noted", "No notice of mixed colours", "note",
                                     "No notice of old and new colours at {where}.",
                                     "Asked for under older editions only.", "Nothing, or a notice."),
}  # fmt: skip


def _noted(rule: str) -> Callable[[NoteCase, Trade], Iterator[Finding]]:
    def find(case: NoteCase, _trade: Trade) -> Iterator[Finding]:
        for condition in case.note.seen:
            row = _SEEN[condition]
            if row.rule == rule:
                says = row.says.format(where=_where(case))
                yield found(rule, row.code, (case.subject.id,), capital(says), row.why, row.settle, "seen")

    return find


def _where(case: NoteCase) -> str:
    subject = case.subject
    if isinstance(subject, Point):
        return say_point(subject, case.room)
    if isinstance(subject, Device):
        return f"the device of way {case.code}"
    if isinstance(subject, Board):
        return f"board {subject.letter_on_map}"
    if isinstance(subject, Run):
        return f"the cable between {case.code}" if case.code else "a cable"
    return case.room.name if case.room is not None else "the home"


def _shallow(case: CircuitCase, trade: Trade) -> Iterator[Finding]:
    shallow = []
    for member in case.view.members:
        depth, box = member.point.box_depth_mm, trade.box(member.point.kind)
        if depth is not None and box is not None and depth < box.depth_mm:
            shallow.append(member)
    if shallow:
        says = f"Boxes too shallow for their accessory: {listed(say_point(m.point, m.room) for m in shallow)}."
        why = "Cables are crushed behind the accessory, the more so when one is added."
        yield found("box-shallow", "note", tuple(m.point.id for m in shallow), says, why,
                    "A deeper box where the accessory is changed.")  # fmt: skip


def _all() -> Iterator[Rule]:
    titles: dict[str, list[_Seen]] = {}
    for row in _SEEN.values():
        titles.setdefault(row.rule, []).append(row)
    for code, rows in titles.items():
        title = ", ".join(dict.fromkeys(r.title for r in rows))
        severity = "/".join(dict.fromkeys(r.code for r in rows))
        yield Rule(code, "condition", title, severity, rows[0].why, CP, "any", "note", _noted(code))
    yield Rule("box-shallow", "condition", "Box too shallow for its accessory", "note", "Cables are crushed.",
               "BS 4662 sizes, from memory; " + CP, "any", "circuit", _shallow)  # fmt: skip


RULES = tuple(_all())
