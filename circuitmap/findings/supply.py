"""Rules of the supply page: bonding, earthing, other sources, notices."""

from collections.abc import Iterator

from circuitmap.findings.finding import Finding
from circuitmap.findings.protection import is_supplementary
from circuitmap.findings.rule import CP, HomeCase, Rule, found
from circuitmap.findings.say import listed
from circuitmap.home.invariants import shorten
from circuitmap.trade import Trade


def _no_page(case: HomeCase, _trade: Trade) -> Iterator[Finding]:
    if not case.supplies and case.boards:
        yield found("supply-page", "note", (), "Nothing is recorded about the supply, its earthing and the bonding.",
                    "Nothing may be added to an installation unless these are adequate (Reg 132.16, from memory).",
                    "Fill in the supply page.")  # fmt: skip


def _bonding(case: HomeCase, _trade: Trade) -> Iterator[Finding]:
    for supply in case.supplies:
        missing = [shorten(b.to, 20) for b in supply.bonds if b.state == "no" and not is_supplementary(b.to)]
        if missing:
            says = f"The incoming {listed(missing)} {'is' if len(missing) == 1 else 'are'} not bonded."
            yield found("bonding", "C2", (supply.id,), says,
                        "In a fault, metal pipes and the earth of the wiring can be at different voltages.",
                        "Main bonding of the size that the supply asks for, before anything is added.")  # fmt: skip


def _unseen(case: HomeCase, _trade: Trade) -> Iterator[Finding]:
    for supply in case.supplies:
        unseen = [shorten(bond.to, 20) for bond in supply.bonds if bond.state == "not seen"]
        if unseen:
            says = f"Bonding to {listed(unseen)} was not seen."
            yield found("bonding-unseen", "note", (supply.id,), says, "It may be there, out of sight.", "Look for it.")


def _earthing(case: HomeCase, _trade: Trade) -> Iterator[Finding]:
    for supply in case.supplies:
        if supply.earthing == "unknown":
            yield found("earthing", "note", (supply.id,), "How the supply is earthed is not recorded.",
                        "Every figure for fault protection rests on it.", "Look at the intake (TN-S, TN-C-S or TT).")  # fmt: skip


def _sources(case: HomeCase, _trade: Trade) -> Iterator[Finding]:
    for supply in case.supplies:
        bare = [s for s in supply.sources if s.notice == "no" and s.kind != "UPS"]
        if bare:
            kinds = listed(dict.fromkeys(s.kind for s in bare))
            says = f"There is another source ({kinds}) and no notice of it at the board."
            yield found("source-notice", "C3", (supply.id,), says,
                        "The next person will believe that the main switch isolates everything.",
                        "A notice of the second supply at the intake and the board.")  # fmt: skip


RULES = (
    Rule("supply-page", "supply", "No supply page", "note", "Reg 132.16: supply, earthing, bonding first.",
         "BS 7671 132.16, from memory", "18th", "home", _no_page),
    Rule("bonding", "supply", "Main bonding missing", "C2", "Pipes and earth may differ in a fault.",
         "BS 7671 411.3.1.2, from memory; " + CP, "any", "home", _bonding),
    Rule("bonding-unseen", "supply", "Bonding not seen", "note", "It may be out of sight.", CP, "any", "home", _unseen),
    Rule("earthing", "supply", "Earthing not recorded", "note", "Fault protection rests on it.", CP, "any", "home",
         _earthing),
    Rule("source-notice", "supply", "Second source without a notice", "C3", "The main switch doesn't isolate it.",
         "BS 7671 514.15.1, from memory", "18th", "home", _sources),
)  # fmt: skip
