"""Rules of the survey: what the switch-offs say that doesn't fit, and what has not been looked at yet."""

from collections.abc import Iterable, Iterator

from circuitmap.findings.finding import Finding
from circuitmap.findings.rule import CP, HomeCase, Rule, SurveyCase, found
from circuitmap.findings.say import agrees, capital, listed, say_point, say_way
from circuitmap.home.invariants import shorten
from circuitmap.survey.deduce import Deduced
from circuitmap.survey.labels import read_label
from circuitmap.trade import Trade
from circuitmap.words import weakest

_LOCAL = "its own switch, lamp, fuse, timer or thermostat first"


def _unsettled(case: SurveyCase, trade: Trade) -> list[Deduced]:
    """Give what somebody could still look at; a fused unit or switch answers by what hangs on it."""
    found = []
    for deduced in case.deduced:
        if deduced.verdict not in ("unchecked", "in doubt", "not seen on"):
            continue
        point = case.points[deduced.point]
        row = trade.point(point.kind)
        if row.checkable and row.checked != "at load" and not point.uncheckable:
            found.append(deduced)
    return found


def _names(case: SurveyCase, deduced: Iterable[Deduced]) -> str:
    return capital(listed(say_point(case.points[d.point], case.rooms.get(d.point)) for d in deduced))


def _codes(case: SurveyCase) -> dict[str, str]:
    """Give what a person calls each device: its way, or what it is and what is under it."""
    codes: dict[str, str] = {}
    under: dict[str, list[str]] = {}
    for view in case.circuits:
        for device in view.above:
            under.setdefault(device.id, []).append(view.code)
            codes[device.id] = f"the {device.kind} over {listed(under[device.id], 3)}"
    return codes | {view.device.id: view.code for view in case.circuits}


def _of(case: SurveyCase, verdict: str) -> list[Deduced]:
    return [d for d in case.deduced if d.verdict == verdict]


def _elsewhere(case: SurveyCase, _trade: Trade) -> Iterator[Finding]:
    those = [d for d in _of(case, "elsewhere") if not case.points[d.point].belongs_to]
    sources = case.supply.sources if case.supply is not None else ()
    covered = [s for s in sources if s.notice == "yes" and s.kind in ("landlord", "neighbour", "UPS", "battery")]
    if not those or covered:
        return
    says = f"{_names(case, those)} stayed on with everything off."
    why = "It is fed from somewhere else: another board, a neighbour, a landlord, a battery. The main switch doesn't isolate it."
    settle = f"Rule out the local causes (a battery, {_LOCAL}); then find the other supply and put up a notice."
    yield found("on-with-all-off", "FI", tuple(d.point for d in those), says, why, settle, "tested")


def _others_supply(case: SurveyCase, _trade: Trade) -> Iterator[Finding]:
    those = [d for d in _of(case, "elsewhere") if case.points[d.point].belongs_to]
    if those:
        whose = listed(dict.fromkeys(shorten(case.points[d.point].belongs_to, 30) for d in those))
        says = f"{_names(case, those)} stayed on with everything off, as said: on the supply of the {whose}."
        yield found("others-supply", "note", tuple(d.point for d in those), says,
                    "This home's main switch doesn't isolate it.", "Ask who holds that supply before working on it.",
                    "tested")  # fmt: skip


def _feeds_others(case: SurveyCase, _trade: Trade) -> Iterator[Finding]:
    codes = _codes(case)
    for view in case.circuits:
        theirs = [m for m in view.members if m.point.belongs_to]
        if theirs:
            names = listed(say_point(m.point, m.room) for m in theirs)
            whose = listed(dict.fromkeys(shorten(m.point.belongs_to, 30) for m in theirs))
            says = f"{capital(say_way(view))} feeds what belongs to another household: {names} ({whose})."
            yield found("feeds-others", "FI", (view.device.id, *(m.point.id for m in theirs)), says, _THEIRS_WHY,
                        _THEIRS_SETTLE, weakest(*(m.evidence for m in theirs)))  # fmt: skip
    lost = [one for one in case.rounds if any(event.what == "others lost power" for event in one.events)]
    off = tuple(dict.fromkeys(device for one in lost for device in one.off))
    if lost:
        says = f"Another household lost power while {listed(codes.get(i, i) for i in off)} was off."
        yield found("feeds-others", "FI", off, says, _THEIRS_WHY, _THEIRS_SETTLE, "tested")


_THEIRS_WHY = "Switching it off needs their consent, and who pays and who may work on it are open questions."
_THEIRS_SETTLE = "Find out with them what it feeds; record it on the board."


def _off_in_two(case: SurveyCase, _trade: Trade) -> Iterator[Finding]:
    every = [d for d in case.deduced if d.odd == "off in two"]
    for ways, named in _by_ways(every).items():
        line, neutral = _both(case, ways)
        says = f"{_names(case, named)} went off with {line} and also with {neutral}."
        why = (
            f"Line on {line} and neutral on {neutral}, both of which switch the neutral, fits the answers best; with "
            f"only one of them off a conductor in the box may be live. Less likely: {_LOCAL}; an RCD that tripped; a "
            "contactor or timer."
        )
        settle = (
            f"Once more with {line} alone and with {neutral} alone, the RCD looked at before and after; then find "
            "where the neutral comes from. Both off, then prove dead."
        )
        yield found("off-in-two", "FI", (*(d.point for d in named), *ways), says, why, settle, "tested")
    those = [d for d in every if len(d.candidates) != 2]
    if not those:
        return
    says = f"{_names(case, those)} went off in two switch-offs that have no way in common."
    why = (
        f"Causes in this order: {_LOCAL}; an RCD that tripped; line and neutral on two ways that both switch the "
        "neutral; a contactor or timer."
    )
    settle = "Repeat one of the two, its own switch tried both ways, with a look at the RCD before and after."
    yield found("off-in-two", "FI", tuple(d.point for d in those), says, why, settle, "tested")


def _only_together(case: SurveyCase, _trade: Trade) -> Iterator[Finding]:
    those = [d for d in case.deduced if d.odd == "only together"]
    drawn = [v for v in case.circuits if v.shape and v.shape.kind in ("two ways joined", "legs on two ways")]
    said = {name for view in drawn for name in view.names}  # the cables have said it already
    those = [d for d in those if d.point not in said]
    why = (
        "Two lines are joined: with one way off its own outgoing terminal stays live, fed back from the other. Locking "
        "one of them off isolates nothing; both off, then prove dead."
    )
    for ways, named in _by_ways(those).items():
        one, other = _both(case, ways)
        says = f"{_names(case, named)} {agrees(named, 'goes', 'go')} off only when {one} and {other} are both off."
        settle = f"Repeat with {one} alone, {other} alone and both together; then find where they join."
        yield found("off-together", "FI", (*(d.point for d in named), *ways), says, why, settle, "tested")
    those = [d for d in those if len(d.candidates) != 2]
    if not those:
        return
    says = f"{_names(case, those)} {agrees(those, 'goes', 'go')} off only when several ways are off together."
    settle = "Repeat with each way alone and both together; then find where they join."
    yield found("off-together", "FI", tuple(d.point for d in those), says, why, settle, "tested")


def _by_ways(those: Iterable[Deduced]) -> dict[tuple[str, ...], list[Deduced]]:
    """Give what points to the same two ways, together; what names no two ways is left out."""
    found: dict[tuple[str, ...], list[Deduced]] = {}
    for deduced in those:
        if len(deduced.candidates) == 2:
            found.setdefault(deduced.candidates, []).append(deduced)
    return found


def _both(case: SurveyCase, ways: tuple[str, ...]) -> tuple[str, str]:
    codes = _codes(case)
    return codes.get(ways[0], ways[0]), codes.get(ways[1], ways[1])


def _contradiction(case: SurveyCase, _trade: Trade) -> Iterator[Finding]:
    those = [d for d in _of(case, "contradiction") if d.odd not in ("off in two", "only together")]
    if those:
        names = listed(say_point(case.points[d.point], case.rooms.get(d.point)) for d in those)
        says = f"The answers for {names} don't fit together."
        why = those[0].says
        yield found("answers-differ", "FI", tuple(d.point for d in those), says, why,
                    "Ask those points again in one more switch-off.", "tested")  # fmt: skip


def _never_off(case: SurveyCase, _trade: Trade) -> Iterator[Finding]:
    those = _of(case, "never off")
    if those:
        says = f"{_names(case, those)} {agrees(those, 'was', 'were')} never seen off, though every way was off once."
        why = f"Either an answer was wrong ({_LOCAL}, a battery in it), or it is fed from somewhere else."
        yield found("never-off", "FI", tuple(d.point for d in those), says, why,
                    "Switch everything off once more and look at it.", "tested")  # fmt: skip


def _feeds_nothing(case: SurveyCase, trade: Trade) -> Iterator[Finding]:
    open_points = _unsettled(case, trade)
    if open_points or case.declined or not case.deduced:
        return
    off = {device for r in case.rounds for device in r.off}
    for view in case.circuits:
        empty = not view.members and not view.boards_fed and view.shape is None
        if not empty or read_label(view.device.label, trade).spare:
            continue
        if not off & {view.device.id, *(d.id for d in view.above)}:
            continue
        says = f"{capital(say_way(view))} is on and nothing found goes off with it."
        why = "It may feed something outside, in the loft, buried, or what was taken away: its end may be live."
        settle = "Look for it: old shower, outside, loft, garden; test at its cable at the board (skilled person)."
        yield found("feeds-nothing", "FI", (view.device.id,), says, why, settle, "tested")


def _trips_on_closing(case: SurveyCase, _trade: Trade) -> Iterator[Finding]:
    seen: set[str] = set()
    codes = _codes(case)
    for one in case.rounds:
        for event in one.events:
            for device in event.devices if event.what == "trip on closing" else ():
                if device in seen:
                    continue
                seen.add(device)
                code = codes.get(device, device)
                says = f"Something trips when {code} goes back on."
                why = "A fault between neutral and earth shows when the supply is restored."
                settle = f"Leave {code} off; insulation readings on it with its loads unplugged."
                yield found("trips-on-closing", "C2", (device,), says, why, settle, "tested")


def _unchecked(case: SurveyCase, trade: Trade) -> Iterator[Finding]:
    those = _unsettled(case, trade)
    if case.declined:
        yield found("declined", "note", (), case.declined, "Deduction here is for single-phase homes.",
                    "Survey it by other means.", "seen")  # fmt: skip
    elif those:
        what = f"{agrees(case.deduced, 'point', 'points')} {agrees(those, 'is', 'are')}"
        says = f"{len(those)} of {len(case.deduced)} {what} not settled by switching off yet."
        yield found("not-checked", "note", tuple(d.point for d in those[:50]), says, "The survey isn't finished.",
                    "Go on with the survey.", "seen")  # fmt: skip


def _disagree(case: SurveyCase, _trade: Trade) -> Iterator[Finding]:
    ways: dict[str, list[tuple[str, tuple[str, ...]]]] = {}
    joined: set[str] = set()
    for view in case.circuits:
        if view.shape is not None and len(view.shape.devices) > 1:
            joined.update(view.names)
        for member in view.members:
            ways.setdefault(member.point.id, []).append((view.code, member.by))
    alike: dict[tuple[tuple[str, tuple[str, ...]], ...], list[str]] = {}
    for point, said in ways.items():
        if len(said) > 1 and point not in joined and point in case.points:
            alike.setdefault(tuple(said), []).append(point)
    for how_said, points in alike.items():
        words = listed(f"{' and '.join(_BY[by] for by in how)} {code}" for code, how in how_said)
        names = listed(say_point(case.points[point], case.rooms.get(point)) for point in points)
        says = f"{capital(names)}: {words}."
        why = "What is drawn, said and found by switching off must name one way, or two are joined there."
        settle = f"Switch one of them off and look at {agrees(points, 'the point', 'these points')}; then correct what was wrong."
        yield found("survey-disagrees", "FI", tuple(points), says, why, settle, "seen")


_BY = {"run": "by its cable on", "tag": "said to be on", "round": "by switching off on"}


def _untraced(case: HomeCase, _trade: Trade) -> Iterator[Finding]:
    missing = [(view, each) for view in case.circuits for each in view.missing]
    if missing:
        codes = listed(dict.fromkeys(view.code for view, _ in missing), 8)
        says = f"Not traced yet: {len(missing)} {agrees(missing, 'cable or end', 'cables or ends')} on {codes}."
        yield found("not-traced", "note", tuple(dict.fromkeys(e.at for _, e in missing))[:50], says,
                    "Shapes of these circuits are open to anything until they are.",
                    "Count cables and follow them (isolated, proved dead).", "seen")  # fmt: skip


RULES = (
    Rule("on-with-all-off", "survey", "On with everything off", "FI", "The main switch doesn't isolate it.", CP, "any",
         "survey", _elsewhere),
    Rule("others-supply", "survey", "On another household's supply", "note", "The main switch doesn't isolate it.", CP,
         "any", "survey", _others_supply),
    Rule("feeds-others", "survey", "Feeds another household", "FI", "Their consent is needed to switch it off.", CP,
         "any", "survey", _feeds_others),
    Rule("off-in-two", "survey", "Off in two switch-offs with no way in common", "FI", "An answer or the wiring is odd.",
         CP, "any", "survey", _off_in_two),
    Rule("off-together", "survey", "Off only when several ways are off", "FI", "Two lines are joined.", CP, "any",
         "survey", _only_together),
    Rule("answers-differ", "survey", "Answers that don't fit together", "FI", "One of them is wrong.", CP, "any",
         "survey", _contradiction),
    Rule("never-off", "survey", "Never seen off", "FI", "Fed from elsewhere, or a wrong answer.", CP, "any", "survey",
         _never_off),
    Rule("feeds-nothing", "survey", "A way that feeds nothing found", "FI", "Its end may be live somewhere.", CP, "any",
         "survey", _feeds_nothing),
    Rule("trips-on-closing", "survey", "Trips when a way goes back on", "C2", "A neutral–earth fault shows at reset.", CP,
         "any", "survey", _trips_on_closing),
    Rule("survey-disagrees", "survey", "Cable, tag and switch-off disagree", "FI", "They must name one way.", CP, "any",
         "survey", _disagree),
    Rule("not-checked", "survey", "Points not settled yet", "note", "The survey isn't finished.", CP, "any", "survey",
         _unchecked),
    Rule("not-traced", "survey", "Cables not traced yet", "note", "Shapes are open until they are.", CP, "any", "home",
         _untraced),
)  # fmt: skip
