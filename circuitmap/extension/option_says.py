"""An option in words: what it is, how it runs, what it changes, what should be read, what it costs and why it fails."""

from collections.abc import Iterator

import msgspec

from circuitmap.extension.checks import CAUTION
from circuitmap.extension.kinds import KIND_SAYS, Asking, Expect, Fit, Option
from circuitmap.extension.money import show_money, tax_said, with_tax
from circuitmap.home.change import Change
from circuitmap.home.records import Device, Point, Record, Run
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs_common import describe
from circuitmap.quantities.show import show_length

FIRST = "Before anything is added"
_MARKS = {"yes": "in order", "no": "NOT in order", "can't judge": "not known"}


def fit_said(fit: tuple[Fit, ...]) -> tuple[str, ...]:
    """Give what has to be in order first, a line each; something is always said."""
    return tuple(f"{each.subject} ({_MARKS[each.answer]}): {each.says}" for each in fit)


def first_said(asking: Asking) -> tuple[str, ...]:
    """Give what it would cost to put the existing installation in order, a line for each reason, with its range."""
    return tuple(
        f"{why.rstrip('.')}: {_taxed(net, asking)} {tax_said(asking.tax_percent)} "
        f"({_taxed(low, asking)} to {_taxed(high, asking)})"
        for (why, net), (low, high) in zip(asking.first, asking.first_ranges, strict=True)
    )


def _taxed(net: int, asking: Asking) -> str:
    return show_money(with_tax(net, asking.tax_percent), asking.sign)


def headline(option: Option) -> str:
    """Give an option in one line: what, on which way, how much cable, how long it takes, what it costs."""
    way = f", {option.way}" if option.way else ""
    if option.priced is None:
        return f"{option.title}{way}"
    hours = option.minutes / 60
    cable = f", {show_length(option.length_mm)} of {option.cable}" if option.length_mm else ""
    price = f"{show_money(option.priced.total, option.priced.sign)} {tax_said(option.priced.tax_percent)}"
    return f"{option.title}{way}{cable}, {hours:.1f} h, {price}"


def option_said(option: Option) -> tuple[str, ...]:
    """Give all that is known of an option, a line each; why it fails comes first."""
    return tuple(_lines(option))


def _lines(option: Option) -> Iterator[str]:
    for reason in option.failed:
        yield f"Not sound: {reason}"
    yield KIND_SAYS[option.kind]
    if option.priced is None:
        return
    for n, route in enumerate(option.routes, 1):
        where = ", ".join(dict.fromkeys(part.where for part in route.parts if part.where))
        yield f"Cable {n}: {show_length(route.length_mm)}" + (f" by {where}" if where else "")
    yield from _readings(option)
    for check in option.checks:
        if check.verdict.answer == "yes":
            yield f"{check.title}: {check.verdict.says}"
    if option.demand is not None:
        before, after = option.demand.before.total_a, option.demand.after.total_a
        yield f"Demand of the home: {before:.0f} A before, {after:.0f} A after."
    if option.rcd:
        yield option.rcd
    if option.papers is not None:
        yield f"Certificate: {option.papers.certificate}, by the installer. {option.papers.says}"
    for finding in option.added:
        yield f"Adds {finding.code}: {finding.says}"
    for finding in option.cleared:
        yield f"Clears {finding.code}: {finding.says}"
    for doubt in option.unsure:
        yield f"Not judged: {doubt}"
    if option.taken is not None:
        yield from option.taken.left_out
    yield from (f"Assumed: {says}" for says in option.assumes)


def _readings(option: Option) -> Iterator[str]:
    if option.ring is not None:
        ohms = ((name, value) for name, value in zip(("r1", "rn", "r2"), _three(option), strict=True))
        yield "End to end, to be read afterwards: " + ", ".join(f"{name} {ohm_said(value)}" for name, value in ohms)
    for each in option.expected:
        yield f"{each.point}: {expect_said(each)}"


def _three(option: Option) -> tuple[float | None, ...]:
    ring = option.ring
    return () if ring is None else (ring.r1_ohm, ring.rn_ohm, ring.r2_ohm)


def ohm_said(value: float | None) -> str:
    """Give a resistance in words; None can't be told."""
    return "can't be told" if value is None else f"{value:.2f} Ω"


def expect_said(each: Expect) -> str:
    """Give what should be read at a new point, in words."""
    said = [f"R1+R2 {ohm_said(each.r1_r2_ohm)}"]
    if each.zs_ohm is not None:
        most = f" (at most {each.zs_most_ohm:.2f} Ω)" if each.zs_most_ohm is not None else ""
        said.append(f"Zs {ohm_said(each.zs_ohm)}{most}")
    return ", ".join(said) + (f". {each.why}" if each.why else "")


def changed_said(home: Home, change: Change) -> tuple[str, ...]:
    """Give what a change would do to the map, a line each: what is new, what is altered, what goes."""
    said = []
    for before, after in change.pairs:
        if before is None and after is not None:
            said.append(f"New: {_described(after)}")
        elif before is not None and (after is None or getattr(after, "phase", "") == "removed"):
            said.append(f"Goes: {_described(before)}")
        elif after is not None:
            said.append(f"Altered: {_described(after)}")
    return tuple(said)


def _described(record: Record) -> str:
    if isinstance(record, Run):
        length = f", {show_length(record.length_mm)}" if record.length_mm else ""
        return f"{record.id} from {record.a.at} to {record.b.at} in {record.cable or 'cable'}{length}"
    if isinstance(record, Point | Device):
        return f"{record.id}, {describe(record)}"
    return describe(record)


def as_builtins(asking: Asking, home: Home) -> dict[str, object]:
    """Give all of it for a program: numbers as numbers, money in the smallest unit."""
    return {
        "first": msgspec.to_builtins(asking.fit),
        "first_sums": [
            {"why": why, "net": net, "least": low, "most": high}
            for (why, net), (low, high) in zip(asking.first, asking.first_ranges, strict=True)
        ],
        "refused": [{"wish": number + 1, "says": says} for number, says in asking.refused],
        "options": [_option(option, home) for option in asking.options],
        "caution": CAUTION,
    }


def _option(option: Option, home: Home) -> dict[str, object]:
    priced, demand = option.priced, option.demand
    return {
        "kind": option.kind,
        "key": option.key,
        "title": option.title,
        "way": option.way,
        "wishes": [number + 1 for number in option.wishes],
        "sound": option.is_sound,
        "failed": option.failed,
        "not_judged": option.unsure,
        "cable": option.cable,
        "length_mm": option.length_mm,
        "routes": [
            {"path": [list(spot) for spot in route.path], "length_mm": route.length_mm,
             "parts": msgspec.to_builtins(route.parts)}
            for route in option.routes
        ],
        "points": option.points,
        "runs": option.runs,
        "changes": changed_said(home, option.change),
        "adds": msgspec.to_builtins(option.added),
        "clears": msgspec.to_builtins(option.cleared),
        "checks": msgspec.to_builtins(option.checks),
        "ring": msgspec.to_builtins(option.ring),
        "expected": msgspec.to_builtins(option.expected),
        "demand_a": None if demand is None else {"before": demand.before.total_a, "after": demand.after.total_a},
        "rcd": option.rcd,
        "papers": msgspec.to_builtins(option.papers),
        "minutes": option.minutes,
        "price": None if priced is None else {
            "net": priced.net, "tax": priced.tax, "total": priced.total, "sign": priced.sign,
            "mean": priced.mean, "sd": priced.sd, "left_out": priced.left_out, "invented": len(priced.invented),
        },
        "cautions": option.cautions,
        "assumes": option.assumes,
    }  # fmt: skip
