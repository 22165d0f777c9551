"""What the three steps of a ring test mean: each a verdict with its reason; no ring fails for its r2/r1.

``r1``, ``rn`` and ``r2`` are readings end to end with both legs off. Points are named as the caller names them. Lengths
from the map and ranked causes are not weighed here.
"""

from collections.abc import Mapping, Sequence
from math import inf
from typing import Final, Literal

from circuitmap.quantities import show_ohm
from circuitmap.readings.ring import at_board_ohm, at_middle_ohm, cpc_ratios, loop_length
from circuitmap.readings.verdict import (
    ARITHMETIC,
    COMMON,
    RESOLUTION_OHM,
    ROUNDING,
    Rules,
    Shown,
    Span,
    Verdict,
    cited,
    drifted,
    span_of,
    unknown,
    unusable,
)
from circuitmap.trade import Cable

At = Literal["terminals", "front"]
_TEXTBOOK: Final = "textbook p. 365; Wiring Matters 89 (2022)"
_NAMES: Final = {"r1": "line", "rn": "neutral", "r2": "cpc"}
Ends = Literal["r1", "rn"]


def judge_legs(rules: Rules, r1: Shown, rn: Shown, r2: Shown = None) -> Verdict:
    """Say whether line and neutral end to end are whole and agree (step 1).

    **Source:** r1 and rn within 0.05 Ω: textbook p. 365, for conductors of one size.
    """
    named = {"r1": r1, "rn": rn, "r2": r2}
    bad = unusable(named) or drifted(named)
    if bad:
        return bad
    spans = {name: span for name, shown in named.items() if (span := span_of(shown)) is not None}
    missing = [name for name in ("r1", "rn") if name not in spans]
    if missing:
        were = "was" if len(missing) == 1 else "were"
        says = f"{' and '.join(missing)} {were} not read, so the legs can't be compared."
        return unknown("incomplete", says, f"Read {' and '.join(_NAMES[name] for name in missing)} end to end too.")
    open_ones = [name for name, span in spans.items() if span.is_open]
    if open_ones:
        return _open_ends(open_ones, len(spans))
    line, neutral = spans["r1"], spans["rn"]
    if not (line.is_number and neutral.is_number):
        return unknown("only a bound", "A reading was only under a value: that can't be compared.", "Read both again.")
    if max(line.least, neutral.least) <= RESOLUTION_OHM + ROUNDING:
        says = "Line and neutral both read next to nothing end to end."
        why = "The leads touch each other, or both ends are of one short cable: see what the clips are on."
        return Verdict("no resistance", says, why, COMMON, "query")
    limit = rules.row("ring legs agree ohm")
    apart = abs(line.least - neutral.least)
    says = f"Line and neutral end to end are {show_ohm(apart)} apart"
    if apart <= limit.value + ROUNDING:
        return Verdict("legs agree", f"{says}.", f"They may differ by {show_ohm(limit.value)}.", cited(limit), "fine")
    longer = "line" if line.least > neutral.least else "neutral"
    why = f"A bad contact in the {longer} comes first: clean, tighten, read again. Else another size or length in one."
    return Verdict("legs differ", f"{says}, more than {show_ohm(limit.value)}.", why, cited(limit), "fails")


def judge_repeat(rules: Rules, name: str, first: Shown, second: Shown) -> Verdict:
    """Say whether two readings of one thing can both be right: within what contact makes different each time."""
    bad = unusable({f"the first {name}": first, f"the second {name}": second})
    if bad:
        return bad
    a, b = span_of(first), span_of(second)
    if a is None or b is None:
        return unknown("incomplete", f"{name} was read only once.", "Read it again to compare.")
    limit = rules.row("plug contact ohm")
    gap = max(a.least, b.least) - min(a.most, b.most)
    if gap <= limit.value + RESOLUTION_OHM + ROUNDING:
        return Verdict("readings agree", f"Both readings of {name} agree.", "", cited(limit), "fine")
    says = f"Two readings of {name} contradict each other: {_shown(a)} and {_shown(b)}."
    why = "A reading that wanders is a bad contact before it is a fault: null the leads, clean it, read a third time."
    return Verdict("contradiction", says, why, COMMON, "query")


def judge_ratio(rules: Rules, r1: Shown, r2: Shown, cables: Sequence[Cable], name: Ends = "r1") -> Verdict:
    """Say whether r2/r1 suits the cables that are recorded; never a failure, and nothing where a cable isn't known.

    ``name`` is rn where the neutral's reading stands in for a line that has a bad contact.

    **Source:** NICEIC and ELECSA note (2016); the band about it: common practice, no source.
    """
    bad = unusable({"r1": r1, "r2": r2})
    if bad:
        return bad
    line, cpc = span_of(r1), span_of(r2)
    if line is None or cpc is None or not (line.is_number and cpc.is_number) or line.least <= RESOLUTION_OHM:
        return unknown("no ratio", "r2/r1 needs both as numbers above zero.", "Read line and cpc end to end.")
    known = cpc_ratios(rules.trade, cables)
    if known is None:
        return unknown("cable unknown", "The ring's cable isn't known, so r2/r1 says nothing.", "Look at the cable.")
    share = rules.row("ring ratio agrees share")
    ratio = cpc.least / line.least
    # Half a digit of each reading as well: on a short ring that is much.
    half = RESOLUTION_OHM / 2
    least = (cpc.least - half) / (line.least + half)
    most = (cpc.least + half) / (line.least - half)
    says = f"r2 is {ratio:.2f} times {name}; the recorded cable gives {_band(known)}."
    if most < known[0] * (1 - share.value):
        why = "Low is usual where other earths lie beside the cpc: bonding, pipes, boxes; or the cable is another one."
        return Verdict("ratio low", says, why, cited(share), "look")
    if least > known[1] * (1 + share.value):
        sizes = {cable.live_mm2 for cable in cables}
        like = (c for c in rules.trade.cables() if c.kind == "flat" and c.live_mm2 in sizes)
        others = [cable.code for cable in like if _fits(rules, cable, ratio, share.value)]
        suits = f"It would suit {', '.join(others)}; or a" if others else "A"
        return Verdict("ratio high", says, f"{suits} contact of the cpc is poor.", cited(share), "look")
    return Verdict("ratio suits", says, "No ring fails for the second decimal of this.", cited(share), "fine")


def judge_length(
    rules: Rules, r1: Shown, cables: Sequence[Cable], copper_c: float = 20.0, name: Ends = "r1"
) -> Verdict:
    """Say how long the loop is by its line (or, by ``name``, its neutral), and whether that is long for a ring."""
    bad = unusable({"r1": r1})
    if bad:
        return bad
    line = span_of(r1)
    if line is None or not line.is_number:
        return unknown("no length", "The loop's length needs r1 as a number.", "Read line end to end.")
    found = loop_length(rules.trade, cables, line.least, copper_c)
    if found is None:
        why = "Imperial cable has up to a fifth less resistance than metric: look at the cable."
        return unknown("cable unknown", "The ring's cable isn't known, so r1 gives no length.", why)
    limit = rules.row("ring length look m")
    says = (
        f"By its {_NAMES[name]} the loop is about {found.table_m:.0f} m ({found.least_m:.0f} to {found.most_m:.0f} m)."
    )
    if found.least_m > limit.value:
        why = f"Longer than {limit.value:g} m: look at volt drop, at contacts, at the meter, and for another cable."
        return Verdict("long ring", says, why, cited(limit), "look")
    return Verdict("loop length", says, "From a live conductor, which no other earth shortens.", cited(limit), "fine")


def judge_middle(r1: Shown, r2: Shown, recorded: Shown, resolution_ohm: float = RESOLUTION_OHM) -> Verdict:
    """Say whether a recorded R1+R2 can be of this ring: between r1·r2/(r1+r2) at its board and (r1+r2)/4 half way.

    **Source:** training handout on the ring test; textbook p. 365 for the check of (r1+r2)/4.
    """
    bad = unusable({"r1": r1, "r2": r2, "R1+R2": recorded})
    if bad:
        return bad
    line, cpc, middle = span_of(r1), span_of(r2), span_of(recorded)
    if not (line and cpc and middle and line.is_number and cpc.is_number and middle.is_number):
        return unknown("incomplete", "r1, r2 and R1+R2 are needed as numbers.", "Read what is missing.")
    if line.least + cpc.least <= RESOLUTION_OHM:
        return unknown("no resistance", "r1 and r2 read next to nothing.", "See what the clips are on.")
    half = resolution_ohm / 2
    least = at_board_ohm(max(0.0, line.least - half), max(0.0, cpc.least - half)) - half
    most = at_middle_ohm(line.least + half, cpc.least + half) + half
    at_board, half_way = at_board_ohm(line.least, cpc.least), at_middle_ohm(line.least, cpc.least)
    gives = f"this ring gives {show_ohm(at_board)} at the board to {show_ohm(half_way)} half way round"
    says = f"R1+R2 is {show_ohm(middle.least)}; {gives}."
    if middle.least < least - ROUNDING:
        why = "Below even the least: other earths lay beside the cpc, or it wasn't read with these links."
        return Verdict("below the ring", says, why, _TEXTBOOK, "query")
    if middle.least > most + ROUNDING:
        why = "Above the greatest on the ring: a spur's end, or contact in the plug."
        return Verdict("above the ring", says, why, _TEXTBOOK, "look")
    return Verdict("R1+R2 suits", says, "", _TEXTBOOK, "fine")


def judge_step(
    rules: Rules,
    step: Literal[2, 3],
    r1: Shown,
    other: Shown,
    points: Mapping[str, Shown],
    board: Shown = None,
    at: At = "terminals",
) -> tuple[Verdict, ...]:
    """Say what a cross-linked sweep shows: of the whole ring first, then of single points.

    ``other`` is rn in step 2, r2 in step 3; ``at`` says whether readings hold a plug's contact.

    **Source:** training handout; textbook p. 365; not flat in step 3: Wiring Matters 89 (2022). One open conductor
    doubles readings everywhere, links on the same leg read zero at the board: arithmetic.
    """
    name = "rn" if step == 2 else "r2"
    bad = unusable({"r1": r1, name: other, "the board": board, **points})
    if bad:
        return (bad,)
    a, b = span_of(r1), span_of(other)
    if a is None or b is None or not points:
        says = f"Step {step} needs r1 and {name} end to end, and readings at the points."
        return (unknown("incomplete", says, "Read what is missing."),)
    spans = {where: span for where, shown in points.items() if (span := span_of(shown)) is not None}
    numbers = {where: span.least for where, span in spans.items() if span.is_number}
    if spans and all(span.is_open for span in spans.values()):
        why = "The whole cable is cut through, or the links aren't made, or they are on the wrong pair."
        return (Verdict("open everywhere", f"Step {step} is open at every point.", why, ARITHMETIC, "fails"),)
    if a.is_open and b.is_open:
        says = f"r1 and {name} are both open end to end, yet step {step} has readings."
        return (Verdict("contradiction", says, "Read the ends again with both legs off.", ARITHMETIC, "query"),)
    slack = 2 * RESOLUTION_OHM
    contact = rules.value("plug contact ohm") if at == "front" else 0.0
    single = tuple(_open_at(where, step) for where, span in spans.items() if span.is_open)
    if not numbers:
        return (*single, unknown("no readings", f"Step {step} has no reading that is a number.", "Read it again."))
    start = span_of(board)
    starts_at_nothing = start is not None and start.is_number and start.least <= slack + contact
    if starts_at_nothing and max(numbers.values()) > 2 * slack + contact:
        says = f"Step {step} reads next to nothing at the board and more along the ring."
        why = "Both ends were linked to their own leg: change one end over and read again."
        return (Verdict("same leg", says, why, ARITHMETIC, "query"), *single)
    if a.is_open or b.is_open:
        broken = "line" if a.is_open else _NAMES[name]
        whole_ohm = min(a.least, b.least)
        if step == 2 and max(numbers.values()) < 0.75 * whole_ohm:  # nearer to half of it than to it
            says = f"The {broken} reads open end to end, yet step 2 reads as on a whole ring."
            return (Verdict("contradiction", says, "Read the ends again, both legs off.", ARITHMETIC, "query"), *single)
        says = f"With its {broken} broken this ring reads about double in step {step}, flat or rising steadily."
        return (Verdict(f"open {broken}", says, "One path is left instead of two.", ARITHMETIC, "fails"), *single)
    if not (a.is_number and b.is_number) or a.least + b.least <= RESOLUTION_OHM:
        return (unknown("incomplete", f"r1 and {name} are needed as numbers above zero.", "Read the ends again."),)
    return (*_whole(step, a.least, b.least, numbers, slack, contact), *single)


def _whole(
    step: int, a_ohm: float, b_ohm: float, numbers: Mapping[str, float], slack: float, contact: float
) -> tuple[Verdict, ...]:
    least, most = at_board_ohm(a_ohm, b_ohm), at_middle_ohm(a_ohm, b_ohm)
    expected = f"{show_ohm(least)} to {show_ohm(most)}" if most - least > RESOLUTION_OHM else show_ohm(most)
    if (
        all(value - most > 2 * most - value for value in numbers.values())
        and min(numbers.values()) > most + slack + contact
    ):
        says = f"Step {step} reads nearly double everywhere ({expected} expected), yet the ends read whole."
        why = "That is how a broken conductor reads: repeat the ends; else the meter is unfit, or the links poor."
        return (Verdict("double", says, why, ARITHMETIC, "query"),)
    high = {where: value for where, value in numbers.items() if value > most + slack + contact + ROUNDING}
    low = {where: value for where, value in numbers.items() if value < least - slack - ROUNDING}
    found: list[Verdict] = []
    if low:
        says = f"Step {step} reads low at {_listed(low)}; {expected} expected."
        why = "The ring is bridged somewhere" + ("." if step == 2 else ", or other earths lie beside the cpc.")
        found.append(Verdict("low", says, why, ARITHMETIC, "look", tuple(low)))
    if len(high) == len(numbers) > 1:
        says = f"Step {step} reads high everywhere; {expected} expected from the ends."
        why = "The ends and the sweep don't fit each other: contacts, leads that weren't nulled, or the meter."
        found.append(Verdict("high everywhere", says, why, COMMON, "query"))
    elif high:
        says = f"Step {step} reads high at {_listed(high)}; {expected} expected on the ring."
        why = "A spur, or a poor contact there: clean and read again, then count the cables."
        found.append(Verdict("high", says, why, "apprentice notes; arithmetic", "look", tuple(high)))
    if not found:
        shape = "" if step == 2 else " They rise from the board to half way and fall again."
        says = f"All readings of step {step} suit the ring ({expected})."
        found.append(Verdict("suits", says, f"A short spur may hide among them.{shape}", _TEXTBOOK, "fine"))
    return tuple(found)


def _open_ends(names: Sequence[str], of: int) -> Verdict:
    cores = " and ".join(_NAMES[name] for name in names)
    if len(names) == of:
        why = "Legs of two different rings are paired, or the cable is cut through, or it is a radial and has no ends."
        # "line and neutral", or "line, neutral and cpc"
        said = cores.replace(" and ", ", ", len(names) - 2).capitalize()
        return Verdict("open ends", f"{said} are open end to end.", why, ARITHMETIC, "fails")
    why = "The other conductors are whole: it is off a terminal or broken at one place."
    says = f"The ring is broken: {cores} {'is' if len(names) == 1 else 'are'} open end to end."
    return Verdict(f"open {cores}", says, why, ARITHMETIC, "fails")


def _open_at(where: str, step: int) -> Verdict:
    reversed_pair = "line and earth" if step == 2 else "line and neutral"
    says = f"Step {step} is open at {where} alone."
    why = f"A conductor is off its terminal there, or {reversed_pair} are reversed at it, or the probe had no contact."
    return Verdict("open point", says, why, ARITHMETIC, "fails", (where,))


def _fits(rules: Rules, cable: Cable, ratio: float, share: float) -> bool:
    known = cpc_ratios(rules.trade, (cable,))
    return known is not None and known[0] * (1 - share) <= ratio <= known[1] * (1 + share)


def _band(known: tuple[float, float]) -> str:
    low, high = (f"{ratio:.2f}" for ratio in known)
    return low if low == high else f"{low} to {high}"


def _shown(span: Span) -> str:
    return f"over {show_ohm(span.least)}" if span.most == inf else show_ohm(span.most)


def _listed(values: Mapping[str, float]) -> str:
    return ", ".join(f"{where} ({show_ohm(value)})" for where, value in values.items())
