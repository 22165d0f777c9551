"""Rules of readings: what a meter showed on a circuit, held against its limit, and how grave that looks.

The verdicts are ``readings``' own; here they get a suggested code and what makes things safe meanwhile. What only asks
for another look is one note a circuit. A no-trip loop test through an RCD is never a fault by itself, and a board's
insulation never says anything of a circuit.
"""

from collections.abc import Iterator

from circuitmap.findings.finding import Finding
from circuitmap.findings.readings_pick import POLARITY, pick
from circuitmap.findings.readings_say import (
    EN_RCD,
    ODD_RCD,
    PROVE,
    SLOW_RCD,
    made_of,
    over,
    places,
    quoted,
    subjects,
    why_of,
)
from circuitmap.findings.rule import CP, ReadingsCase, Rule, found
from circuitmap.findings.say import capital, listed, say_way
from circuitmap.readings.judged_case import Judged, rcds_over
from circuitmap.trade import Trade
from circuitmap.words import Severity

_CORES = ("line", "neutral", "cpc")
_READS_OPEN = frozenset(POLARITY) - {"switched in the neutral", "no pattern of one fault"}


def _ring(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    """Say which conductor is open in a ring."""
    view, broken = case.view, pick(case).broken
    if view is None or not broken:
        return
    lost = [core for core in _CORES if any(core in each.verdict.kind.split() for each in broken)]
    if not lost:
        says = f"No conductor of the ring on {say_way(view)} goes round."
        why = "Legs of two rings may be paired, a cable cut through, or it is a radial: what it may carry differs."
        settle = f"{PROVE}; find which cables belong together, then read end to end again."
        yield made_of("reading-ring-open", "FI", case, broken, says, why, settle)
        return
    rating = view.device.rating_a
    code: Severity = "C2" if "cpc" in lost or rating is None or rating >= 30 else "C3"
    says = f"The ring on {say_way(view)} is broken in its {listed(lost)}."
    if lost == ["cpc"]:
        why = "Every point still works and a plug-in tester shows nothing, but every earth hangs on one path."
        meanwhile = " Until then nothing is added to it or moved on it."
    else:
        why = "Every point may still work, but the halves of the ring now carry what both shared."
        meanwhile = " Until then put the circuit on 20 A or take load off it."
    settle = f"{PROVE}; look at the terminals on both sides of the break and read end to end again.{meanwhile}"
    yield made_of("reading-ring-open", code, case, broken, says, why, settle)


def _legs(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    view, legs = case.view, pick(case).legs
    if view is not None and legs:
        says = f"Line and neutral of the ring on {say_way(view)} don't agree end to end."
        settle = f"{PROVE}; clean and tighten, read again; then look for another size or a poor joint in one of them."
        yield made_of("reading-ring-legs", "FI", case, legs, says, "A poor contact runs hot under load.", settle)


def _no_cpc(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    view, bad = case.view, pick(case).no_cpc
    if view is not None and bad:
        says = f"{places(view, bad)} on {say_way(view)}: no continuous cpc to the board."
        why = "A fault in what is plugged in or fed there makes its metal live."
        settle = f"{PROVE}; find where the cpc ends. Until then nothing that needs an earth is used there."
        yield made_of("reading-no-cpc", "C2", case, bad, says, why, settle)


def _open(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    view, picked = case.view, pick(case)
    # Conductors in each other's terminals, or missing, read open from one to the other: said already.
    spoken = {place for each in picked.polarity if each.verdict.kind in _READS_OPEN for place in each.at}
    bad = [each for each in picked.open_points if not each.at or not set(each.at) <= spoken]
    if view is not None and bad:
        says = f"{places(view, bad)} on {say_way(view)}: a conductor reads open."
        why = "A conductor may be off its terminal there."
        settle = f"{PROVE}; look at its terminals, then read again."
        yield made_of("reading-open", "FI", case, bad, says, why, settle)


def _insulation(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    view, picked = case.view, pick(case)
    if view is None:
        return
    if picked.low:
        # Only with everything wired in known to be off is it the wiring that reads low.
        is_out = any(set(each.readings) & case.apart for each in picked.low)
        says = f"The insulation of {say_way(view)} is below the least allowed."
        why = "Current leaks where it shouldn't: a shock or a fire may come of it."
        settle = "Leave the circuit off; unplug, take off what is wired in, read again, then split it."
        yield made_of(
            "reading-insulation", "C2" if is_out else "FI", case, (*picked.low, *picked.ask), says, why, settle
        )
    elif picked.ask:
        says = f"The insulation of {say_way(view)} passes, but is very low."
        settle = "Read it again with everything off and on a dry day; then split the circuit to find where it leaks."
        yield made_of("reading-insulation", "FI", case, picked.ask, says, "Sound wiring reads hundreds.", settle)


def _polarity(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    view, picked = case.view, pick(case)
    if view is None:
        return
    spoken: set[tuple[str, ...]] = set()
    for kind, code in POLARITY.items():  # the gravest first: a point is spoken of once, with all that was found there
        at = {each.at for each in picked.polarity if each.verdict.kind == kind} - spoken
        bad = [each for each in picked.polarity if each.at in at]
        if bad:
            spoken |= at
            now = "Make safe and tell the person responsible now: " if code == "C1" else ""
            what = "lamps that no single fault explains" if kind.startswith("no pattern") else kind
            where = places(view, bad, first=not now)
            says = f"{now}{where} on {say_way(view)}: {what}."
            settle = f"Switch the way off. {PROVE}; correct it and test polarity again."
            yield made_of("reading-polarity", code, case, bad, says, "", settle)


def _zs(case: ReadingsCase, trade: Trade) -> Iterator[Finding]:
    view, picked = case.view, pick(case)
    if view is None:
        return
    if picked.high:
        through = bool(rcds_over(view, trade))
        firm = [each for each in picked.high if not through or _is_firm(each)]
        says = f"The earth fault loop of {say_way(view)} is too high at {places(view, picked.high, first=False)}."
        settle = "Look at joints, cpc and earthing; read R1+R2 and Ze and compare. Leave it off until that is done."
        yield made_of("reading-zs", "C2" if firm else "FI", case, picked.high, says, "", settle)
    elif picked.warm:
        says = f"The earth fault loop of {say_way(view)} may be too high at {places(view, picked.warm, first=False)}."
        why = "It is above what a reading at room temperature may show, or only the RCD would clear a fault."
        settle = "Calculate Ze + (R1+R2) at working temperature before calling it a fault."
        yield made_of("reading-zs", "FI", case, picked.warm, says, why, settle)


def _slow(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    slow = pick(case).slow
    if slow:
        says = f"The RCD {over(case, slow)} is too slow or doesn't trip."
        yield made_of("reading-rcd", "C2", case, slow, says, "It is there to clear a shock in time.", SLOW_RCD)


def _touchy(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    touchy = pick(case).touchy
    if touchy:
        says = f"The RCD {over(case, touchy)} trips otherwise than it should."
        yield made_of("reading-rcd-odd", "FI", case, touchy, says, "", ODD_RCD)


def _neutrals(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    names = dict(case.names)
    for each in pick(case).neutrals:
        ways = listed(names.get(place, place) for place in each.at)
        says = f"The neutrals of {ways} are joined" if len(each.at) > 1 else f"{ways} shares its neutral"
        settle = "Isolate both ways together and prove dead; part the neutrals or put both on one device."
        yield made_of("reading-neutral", "C2", case, [each], f"{says}: one circuit borrows the other's.", "", settle)


def _look(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    """Note once for a circuit whatever deserves a look and is no finding of its own."""
    if case.view is None:
        return
    rest = pick(case).rest(case)
    if rest:
        says = f"Readings of {say_way(case.view)} deserve a look: {quoted(rest)}"
        settle = "Read it again first: a bad contact comes before a fault."
        yield found("reading-look", "note", subjects(case, rest), says, why_of("", rest), settle, "tested")


def _odd(case: ReadingsCase, _trade: Trade) -> Iterator[Finding]:
    """Note once for a circuit what is odd about its readings as records, the gravest named."""
    if not case.odd:
        return
    first, more = case.odd[0], len(case.odd) - 1
    says = capital(first.words) + (f" {more} more {'thing is' if more == 1 else 'things are'} odd." if more else "")
    about = (case.view.device.id,) if case.view is not None else first.subjects or first.readings[:1]
    yield found("reading-odd", "note", about, says, "A reading in doubt proves nothing.",
                "Put the record right or read again.", "seen")  # fmt: skip


def _is_firm(each: Judged) -> bool:
    """Whether a high Zs rests on more than a loop test through an RCD: on TT, or reckoned from Ze and R1+R2."""
    return each.verdict.kind == "Zs too high for RCD" or each.verdict.why.startswith("Calculated")


_BS = "BS 7671 643, from memory; "

RULES = (
    Rule("reading-ring-open", "readings", "Ring reads open", "C2/FI/C3", "The halves carry what both shared.",
         "textbook p. 365; " + CP, "any", "readings", _ring),
    Rule("reading-ring-legs", "readings", "Line and neutral of a ring don't agree", "FI", "A poor contact runs hot.",
         "textbook p. 365", "any", "readings", _legs),
    Rule("reading-no-cpc", "readings", "No continuous cpc", "C2", "A fault makes metal live.", _BS + CP, "any",
         "readings", _no_cpc),
    Rule("reading-open", "readings", "A conductor reads open at a point", "FI", "It may be off its terminal.",
         "arithmetic; " + CP, "any", "readings", _open),
    Rule("reading-insulation", "readings", "Insulation low", "C2/FI", "Only per circuit, with equipment out.",
         "BS 7671 Table 64, from memory; " + CP, "any", "readings", _insulation),
    Rule("reading-polarity", "readings", "Polarity wrong", "C1/C2/FI", "What is switched off may stay live.",
         "BS 7671 643.6, from memory; " + CP, "any", "readings", _polarity),
    Rule("reading-zs", "readings", "Earth fault loop too high", "C2/FI", "Never by a no-trip test through an RCD alone.",
         "BS 7671 411.4.4, from memory; " + CP, "any", "readings", _zs),
    Rule("reading-rcd", "readings", "RCD too slow", "C2", "It is there to clear a shock in time.", EN_RCD, "any",
         "readings", _slow),
    Rule("reading-rcd-odd", "readings", "RCD trips otherwise than it should", "FI", "It will trip for nothing.",
         EN_RCD, "any", "readings", _touchy),
    Rule("reading-neutral", "readings", "Neutrals of two ways joined", "C2", "One way off leaves it live.", CP, "any",
         "readings", _neutrals),
    Rule("reading-look", "readings", "Readings that deserve a look", "note", "One line for a circuit.", CP, "any",
         "readings", _look),
    Rule("reading-odd", "readings", "Readings in doubt", "note", "They prove nothing until put right.", CP, "any",
         "readings", _odd),
)  # fmt: skip
