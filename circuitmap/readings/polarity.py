"""Polarity: what a plug-in indicator's lamps mean and can't show, and what continuity proves.

A lamp that is out is no proof that anything is dead.
"""

from dataclasses import dataclass
from typing import Final, Literal

from circuitmap.quantities import Measured
from circuitmap.quantities.indicated import INDICATED
from circuitmap.readings.verdict import ARITHMETIC, Rules, Verdict, unknown
from circuitmap.trade import Blind, Lamps, Tester
from circuitmap.words import Core

Swap = Literal["line and neutral", "line and earth", "neutral and earth"]
Lampholder = Literal["ES", "E14 or E27 to BS EN 60238", "BC"]
_RULE: Final = "from memory: BS 7671 643.6"
_SWAPPED: Final[dict[frozenset[Core], Swap]] = {
    frozenset({"L", "N"}): "line and neutral",
    frozenset({"L", "E"}): "line and earth",
    frozenset({"N", "E"}): "neutral and earth",
}


@dataclass(frozen=True, slots=True)
class Seen:
    """What a plug-in tester can't see: what, and what settles it."""

    blind: tuple[Blind, ...]

    @property
    def says(self) -> str:
        """One sentence for people."""
        return f"It can't see: {', '.join(row.what for row in self.blind)}."


def judge_indicated(rules: Rules, shown: Measured | str, tester: Tester = "simple") -> Verdict:
    """Say what a plug-in indicator showed: a word of the record, or three lamps as ``lamps on, on, off``.

    Lamps are named in the order line to neutral, line to earth, neutral to earth; which is which stands on the tester.

    **Source:** arithmetic from the pins that each lamp bridges; what such testers can show: trade guides.
    """
    said = shown if isinstance(shown, str) else shown.indicated
    if not said:
        return unknown("no reading", "What the indicator showed wasn't written down.", "Plug it in again.")
    lit = _lamps(said)
    if lit is not None:
        return _meaning(rules, rules.trade.lamps(*lit), tester)
    row = next((row for row in rules.trade.lamp_rows.values() if row.word == said), None)
    if row is not None:
        return _meaning(rules, row, tester)
    if said in INDICATED:
        why = "It was found in another way, or by mistake: read continuity with line and cpc linked, at the front."
        says = f"A plug-in indicator can't show “{said}”."
        return Verdict("not seen so", says, why, ARITHMETIC, "query")
    says = f"“{said}” is nothing that an indicator shows."
    return unknown("not understood", says, "Write what it showed, or its three lamps: lamps on, on, off.")


def judge_polarity(shown: Measured | str) -> Verdict:
    """Say what a polarity test by continuity or by eye found.

    **Source:** from memory: BS 7671 643.6.
    """
    said = shown if isinstance(shown, str) else shown.indicated
    if said == "correct":
        return Verdict("polarity right", "Polarity is right.", "", _RULE, "fine")
    if said not in INDICATED:
        return unknown("no reading", "Polarity wasn't tested.", "Test it, or write down why not.", _RULE)
    harm = {
        "line and earth reversed": "Metal of what is plugged in may be live: switch the way off and keep it off.",
        "line and neutral reversed": "Switches and fuses are in the neutral: what is switched off stays live.",
        "neutral and earth reversed": "The earth carries the load's current; broken, it makes metal live.",
        "switched in the neutral": "What is switched off stays live.",
        "no earth": "Nothing that needs an earth may be used there.",
    }.get(said, "A conductor is broken or off its terminal.")
    return Verdict(said, f"Polarity: {said}.", harm, _RULE, "fails")


def blind_spots(rules: Rules, tester: Tester = "simple") -> Seen:
    """Give what a class of plug-in tester can't see: simple ones show no loop value, advanced ones a band by lamps.

    **Source:** HSE, electricity: socket testers; trade guides and a trade article.
    """
    return Seen(rules.trade.blind(tester))


def lamps_of(line_pin: Core | None, neutral_pin: Core | None, earth_pin: Core | None) -> tuple[bool, bool, bool]:
    """Give which lamps light for what is on the pins (None: nothing): line to neutral, line to earth, neutral to earth.

    A lamp lights where one of its pins has the line and the other the neutral or earth.

    **Source:** arithmetic; neutral and earth stand at about one voltage.
    """
    pins = ((line_pin, neutral_pin), (line_pin, earth_pin), (neutral_pin, earth_pin))
    lit = tuple(a is not None and b is not None and (a == "L") != (b == "L") for a, b in pins)
    return lit[0], lit[1], lit[2]


def shows_swap(linked: frozenset[Core], swap: Swap) -> bool:
    """Say whether a swap at one accessory shows when two linked conductors are read at its front: as an open circuit.

    Swapping the two that are linked changes nothing between them, so no single step proves polarity.

    **Source:** arithmetic.
    """
    return _SWAPPED[linked] != swap


def judge_continuity(*, has_step_2: bool, has_step_3: bool, at_front: bool) -> Verdict:
    """Say what healthy cross-linked readings at a socket prove about its polarity.

    **Source:** trainee forum: proves polarity only if measured at the socket's front; both steps: arithmetic.
    """
    source = "trainee forum; arithmetic"
    if not at_front:
        says = "Read at the terminals, the ring test proves nothing of the socket's own polarity."
        return unknown("not at the front", says, "Read at the front, or look at the terminals.", source)
    if has_step_2 and has_step_3:
        return Verdict("polarity proved", "Both linked steps at the front prove polarity.", "", source, "fine")
    if not (has_step_2 or has_step_3):
        return unknown("no reading", "No linked step was read here.", "Read steps 2 and 3 at the front.", source)
    linked: frozenset[Core] = frozenset({"L", "N"}) if has_step_2 else frozenset({"L", "E"})
    hidden = _SWAPPED[linked]
    says = f"One step alone can't tell {hidden} reversed: it reads the same."
    return unknown("half proved", says, f"Read step {3 if has_step_2 else 2} at the front too.", source)


def judge_switch(switched: Core | None) -> Verdict:
    """Say whether a single-pole switch or device stands in the line.

    **Source:** from memory: BS 7671 643.6.
    """
    if switched is None:
        return unknown("not seen", "Which conductor it switches wasn't seen.", "Test it with the way isolated.", _RULE)
    if switched == "L":
        return Verdict("switched in the line", "It switches the line.", "", _RULE, "fine")
    what = "neutral" if switched == "N" else "earth"
    why = "Switched off, what it feeds stays live."
    return Verdict(f"switched in the {what}", f"It switches the {what}, not the line.", why, _RULE, "fails")


def judge_lampholder(kind: Lampholder, centre: Core | None) -> Verdict:
    """Say whether an Edison screw lampholder has its line on the centre contact.

    **Source:** from memory: BS 7671 643.6, which leaves out E14 and E27 to BS EN 60238.
    """
    if kind != "ES":
        why = "Bayonet has no outer contact." if kind == "BC" else "Holders to BS EN 60238 are left out of the rule."
        return Verdict("any way round", "Either way round is right for this lampholder.", why, _RULE, "fine")
    if centre is None:
        return unknown("not seen", "The centre contact wasn't seen.", "Look with the way isolated.", _RULE)
    if centre == "L":
        return Verdict("line on the centre", "The line is on the centre contact.", "", _RULE, "fine")
    why = "The screw thread is live and can be touched while changing a lamp."
    return Verdict("line on the screw", "The line is not on the centre contact.", why, _RULE, "fails")


def _lamps(said: str) -> tuple[bool, bool, bool] | None:
    head, _, rest = said.partition(" ")
    lit = [word == "on" for word in rest.split(", ")]
    return (lit[0], lit[1], lit[2]) if head == "lamps" and len(lit) == 3 else None


def _meaning(rules: Rules, row: Lamps, tester: Tester) -> Verdict:
    why = row.also
    if row.level == "fine":
        why = f"{why} {blind_spots(rules, tester).says}"
    return Verdict(row.word or "no pattern of one fault", row.says, why, row.source, row.level)
