"""``circuitmap check``: print a home's findings; the exit code tells a script whether any is grave enough.

``--json`` prints one object: ``home``, ``level``, ``findings`` and ``whats_where`` (lists of ``rule``, ``code``,
``subjects``, ``says``, ``why``, ``settle``, ``evidence``, ``aside``, ``ruling``), and ``caution``.
"""

import argparse
import json
import textwrap
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from circuitmap.cli import NOTHING_FOUND, printable
from circuitmap.words import SEVERITIES, Severity

if TYPE_CHECKING:
    from circuitmap.findings import Finding

FOUND = 1
_CAUTION = (
    "Suggested codes, for the inspector to decide: computed from the map, not an inspection. Nothing here is proof "
    "that anything is dead or safe to touch."
)
_TITLES = {
    "C1": "C1  danger present",
    "C2": "C2  potentially dangerous",
    "FI": "FI  to be investigated without delay",
    "C3": "C3  improvement recommended",
    "note": "Notes",
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("home", metavar="HOME", type=Path, help="a home file or a text-form folder")
    parser.add_argument("--json", action="store_true", help="print one JSON object instead of words")
    parser.add_argument(
        "--at-least", metavar="CODE", choices=SEVERITIES, default="C3",
        help="the code that counts for the exit code: " + ", ".join(SEVERITIES) + " (C3 unless said)",
    )  # fmt: skip


def run(args: argparse.Namespace) -> int:
    """Check the home; give 1 when there is a finding at or above the level."""
    from circuitmap import trade
    from circuitmap.findings import is_at_least
    from circuitmap.findings import run as find
    from circuitmap.home.exchange import open_home
    from circuitmap.memo import Memo
    from circuitmap.places import user_data

    home = open_home(args.home)
    all_found = find(home, trade.load(user_data()), Memo())
    findings = [f for f in all_found if not f.aside]
    asides = [f for f in all_found if f.aside]
    grave = [f for f in findings if is_at_least(f.code, args.at_least) and f.ruling != "not so"]
    name = home.details.name or args.home.name
    if args.json:
        import msgspec

        answer = {
            "home": name,
            "level": args.at_least,
            "findings": msgspec.to_builtins(findings),
            "whats_where": msgspec.to_builtins(asides),
            "caution": _CAUTION,
        }
        print(json.dumps(answer, indent=1))
        return FOUND if grave else NOTHING_FOUND

    lines = [f"{name}: {_count(len(grave), 'finding')} at {args.at_least} or above.", *_wrap(_CAUTION)]
    for code in SEVERITIES[:-1]:
        lines += _of(code, findings)
    if asides:
        lines += ["", "What's where (facts, never defects)"]
        for finding in asides:
            lines += _wrap(finding.says, "  - ", "    ")
    lines += _of("note", findings)
    print(printable("\n".join(lines)))
    return FOUND if grave else NOTHING_FOUND


def _of(code: Severity, findings: "Iterable[Finding]") -> Iterable[str]:
    those = [f for f in findings if f.code == code]
    if those:
        yield from ("", _TITLES[code])
    for finding in those:
        ruled = f" [ruled: {finding.ruling}]" if finding.ruling else ""
        yield from _wrap(f"{finding.says}{ruled}", "  - ", "    ")
        if code != "note":
            yield from _wrap(f"Why: {finding.why}", "    ", "    ")
            yield from _wrap(f"Settle: {finding.settle}", "    ", "    ")
            yield f"    Rule {finding.rule}, {finding.evidence}."


def _count(number: int, what: str) -> str:
    return f"{number or 'no'} {what}{'' if number == 1 else 's'}"


def _wrap(text: str, first: str = "", rest: str = "") -> Iterable[str]:
    return textwrap.wrap(text, 100, initial_indent=first, subsequent_indent=rest)
