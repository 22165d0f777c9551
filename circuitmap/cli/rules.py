"""``circuitmap rules``: list every rule with its reason, source and edition."""

import argparse
import json
import textwrap

from circuitmap.cli import NOTHING_FOUND, printable


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("--json", action="store_true", help="print a JSON list instead of words")


def run(args: argparse.Namespace) -> int:
    """Print the rules, family by family."""
    from circuitmap.findings import RULES

    if args.json:
        rows = [
            {
                "code": rule.code,
                "family": rule.family,
                "title": rule.title,
                "suggests": rule.severity,
                "whats_where": rule.aside,
                "why": rule.why,
                "source": rule.source,
                "edition": rule.edition,
            }
            for rule in RULES
        ]
        print(json.dumps(rows, indent=1, ensure_ascii=True))
        return NOTHING_FOUND
    lines: list[str] = []
    family = ""
    for rule in RULES:
        if rule.family != family:
            family = rule.family
            lines += ["", family.capitalize()]
        suggests = "what's where" if rule.aside else rule.severity
        lines.append(f"  {rule.code:<20} {suggests:<12} {rule.title}")
        lines += textwrap.wrap(rule.why, 96, initial_indent="    ", subsequent_indent="    ")
        lines.append(f"    Source: {rule.source}; edition: {rule.edition}")
    lines += ["", "Codes are suggestions, for the inspector to decide."]
    print(printable("\n".join(lines).strip()))
    return NOTHING_FOUND
