"""An option in words for the desk: what its card says, and all the rest of it under headings."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from circuitmap.home.invariants import shorten
from circuitmap.quantities import show_length

if TYPE_CHECKING:
    from circuitmap.extension.kinds import Asking, Expect, Option
    from circuitmap.extension.price import Priced
    from circuitmap.extension.pricebook import Book

NONE_YET: Final = "Nothing is required yet: place a requirement on the plan, or type one."
_ANSWERS: Final = {"no": "Not in order", "can't judge": "Not known", "yes": "In order"}
_MARKS: Final = {"no": "✕", "can't judge": "?", "yes": "✓"}
_NOTIFY: Final = {"yes": "notified", "no": "not notified", "not known": "notified or not: not known"}
_CERTIFICATES: Final = {"minor works": "Minor works", "installation certificate": "Full certificate"}
_MOST_LINES: Final = 80


@dataclass(frozen=True, slots=True)
class CardWords:
    """What a card says, from its head down."""

    title: str
    price: str
    lines: tuple[str, ...]
    failed: str
    sentence: str


@dataclass(frozen=True, slots=True)
class FitGroup:
    """What has to be in order first, by its answer: the mark, the answer in words, and the subjects."""

    mark: str
    answer: str
    subjects: str


def card_words(option: "Option") -> CardWords:
    """Give what a card says of an option; one that fails says why, and its price as far as it has one."""
    from circuitmap.extension.money import show_money, tax_said

    title = f"{option.title} · {option.way}" if option.way else option.title
    price = show_money(option.priced.total, option.priced.sign) if option.priced is not None else ""
    lines: list[str] = []
    if option.priced is not None:
        lines.append(tax_said(option.priced.tax_percent))
        lines.append(time_words(option.minutes))
        lines.append(f"{show_length(option.length_mm)} of cable" if option.length_mm else "no new cable")
        if option.by_hand:
            lines.append(f"{_many(len(option.by_hand), 'cable', none='')} drawn by hand")
        lines += checks_words(option)
        lines.append(findings_words(option))
        if option.papers is not None:
            lines.append(f"{_CERTIFICATES[option.papers.certificate]}, {_NOTIFY[option.papers.notify]}")
        lines.append(_many(len(option.unsure), "doubt", none="no doubts"))
    failed = option.failed[0] if option.failed else ""
    head = f"{title}. " + (f"Not sound: {failed} " if failed else "") + (f"{price}. " if price else "")
    return CardWords(title, price, tuple(lines), failed, head + ". ".join(lines))


def time_words(minutes: float) -> str:
    """Give a time of work as hours and minutes, to five minutes."""
    whole = round(minutes / 5) * 5
    hours, rest = divmod(whole, 60)
    return f"{hours} h {rest:02d} min" if hours else f"{rest} min"


def checks_words(option: "Option") -> tuple[str, str, str]:
    """Count the checks, a line each: how many pass, fail, and can't be judged."""
    answers = [check.verdict.answer for check in option.checks]
    passed, failed, unknown = (answers.count(answer) for answer in ("yes", "no", "can't judge"))
    was = " (as before)" if failed and option.is_sound else ""
    passes, fails = "passes" if passed == 1 else "pass", "fails" if failed == 1 else "fail"
    return (
        f"✓ {_many(passed, 'check', none='no check')} {passes}",
        f"✕ {failed} {fails}{was}" if failed else "✕ none fails",
        f"? {unknown} can't be judged" if unknown else "✓ all could be judged",
    )


def findings_words(option: "Option") -> str:
    """Count the findings that it adds and clears."""
    if not option.added and not option.cleared:
        return "no finding added or cleared"
    return f"{_many(len(option.added), 'finding', none='no finding')} added, {len(option.cleared) or 'none'} cleared"


def fit_groups(asking: "Asking") -> tuple[FitGroup, ...]:
    """Give what has to be in order first, gathered by the answer, the worst first; something is always said."""
    groups = []
    for answer in ("no", "can't judge", "yes"):
        subjects = [each.subject for each in asking.fit if each.answer == answer]
        if subjects:
            counted = (f"{s} ({subjects.count(s)})" if subjects.count(s) > 1 else s for s in dict.fromkeys(subjects))
            groups.append(FitGroup(_MARKS[answer], _ANSWERS[answer], ", ".join(counted)))
    return tuple(groups)


def fit_price(asking: "Asking") -> str:
    """Give what it would cost to put it in order, apart from every option."""
    from circuitmap.extension.money import show_money, tax_said, with_tax

    if not asking.first:
        return "Nothing of it is priced."
    total = show_money(with_tax(sum(net for _, net in asking.first), asking.tax_percent), asking.sign)
    return f"Putting that in order: {total} {tax_said(asking.tax_percent)}, in no option's price."


def fit_lines(asking: "Asking") -> tuple[str, ...]:
    """Give all of it: every subject with its sentence, and every sum with its reason, a line each."""
    from circuitmap.extension.option_says import first_said

    lines = (
        f"{_MARKS[each.answer]} {each.subject[:1].upper()}{each.subject[1:]} — {_ANSWERS[each.answer].lower()}. "
        f"{each.says}"
        for each in asking.fit
    )
    return (*lines, *(f"· {line}" for line in first_said(asking)))


def sections(option: "Option", book: "Book") -> tuple[tuple[str, str], ...]:
    """Give all that is known of an option, a heading and its lines each; empty ones are left out."""
    found = (
        ("Why it is no sound way", option.failed),
        ("What it is", _kind(option)),
        ("Not judged", option.unsure),
        ("Route", _routes(option)),
        ("To be read afterwards", reading_lines(_ring(option), option.expected)),
        ("Design checks", _checks(option)),
        ("Findings", _findings(option)),
        ("Certificate and notification", _papers(option)),
        ("Materials and work", _lines(option)),
        ("Left out of the price", _left_out(option)),
        ("Assumed", option.assumes),
        ("Look out for", option.cautions),
    )
    return tuple((head, "\n".join(f"· {line}" for line in lines)) for head, lines in found if lines)


def range_text(priced: "Priced") -> str:
    """Give the estimator's range, what drives it, and how labour is charged; never for the customer."""
    from circuitmap.extension.estimate_says import charged_said, drivers_said, range_said
    from circuitmap.extension.money import show_money

    lines = []
    if priced.drawn is not None:
        low, middle, high = (
            show_money(round(amount), priced.sign) for amount in (priced.drawn.p10, priced.drawn.p50, priced.drawn.p90)
        )
        lines.append(f"low {low} · likely {middle} · high {high}")
    lines.append(range_said(priced))
    lines += [f"· {line}" for line in drivers_said(priced)]
    lines.append(charged_said(priced))
    return "\n".join(lines)


def notes_text(asking: "Asking", book: "Book") -> str:
    """Give what is said of all prices: wrong rows of the price book, and that prices are invented."""
    from circuitmap.extension.estimate_says import invented_said

    invented = next((invented_said(each.priced) for each in asking.options if each.priced is not None), "")
    return "\n".join(line for line in (*book.problems, invented) if line)


def caution_text() -> str:
    """Give the cautions that go with every option and price."""
    from circuitmap.extension.checks import CAUTION
    from circuitmap.extension.estimate_says import CAUTIONS

    return "\n".join((CAUTION, *CAUTIONS[1:]))


def reading_lines(rings: "Iterable[tuple[str, tuple[float | None, ...]]]", expected: "Iterable[Expect]") -> list[str]:
    """Give the readings to expect: a ring end to end (by the code of its way), then each new point."""
    from circuitmap.extension.option_says import expect_said, ohm_said

    lines = [
        f"{code} end to end: "
        + ", ".join(f"{name} {ohm_said(ohm)}" for name, ohm in zip(("r1", "rn", "r2"), ohms, strict=True))
        for code, ohms in rings
    ]
    return lines + [f"{each.point}: {expect_said(each)}" for each in expected]


# -- inside ---------------------------------------------------------------------------------------------------------


def _ring(option: "Option") -> tuple[tuple[str, tuple[float | None, ...]], ...]:
    ring = option.ring
    return ((option.way or "The ring", (ring.r1_ohm, ring.rn_ohm, ring.r2_ohm)),) if ring is not None else ()


def _kind(option: "Option") -> tuple[str, ...]:
    from circuitmap.extension.kinds import KIND_SAYS

    return (KIND_SAYS[option.kind],)


def _routes(option: "Option") -> Iterator[str]:
    for n, route in enumerate(option.routes, 1):
        where = ", ".join(dict.fromkeys(part.where for part in route.parts if part.where))
        by_hand = ", drawn by hand" if n <= len(option.runs) and option.runs[n - 1] in option.by_hand else ""
        yield (
            f"Cable {n}: {show_length(route.length_mm)} of {option.cable}" + (f" by {where}" if where else "") + by_hand
        )


def _checks(option: "Option") -> Iterator[str]:
    for check in option.checks:
        figures = ", ".join(f"{name} {value:.3g} {unit}".strip() for name, value, unit in check.figures)
        yield (
            f"{_MARKS[check.verdict.answer]} {check.title}: {check.verdict.says}"
            + (f" ({figures})" if figures else "")
            + f" [{check.verdict.source}]"
        )
    if option.demand is not None:
        before, after = option.demand.before.total_a, option.demand.after.total_a
        yield f"Demand of the home: {before:.0f} A before, {after:.0f} A after."
    if option.rcd:
        yield option.rcd


def _findings(option: "Option") -> Iterator[str]:
    for finding in option.added:
        yield f"Adds {finding.code}: {finding.says}"
    for finding in option.cleared:
        yield f"Clears {finding.code}: {finding.says}"


def _papers(option: "Option") -> Iterator[str]:
    if option.papers is not None:
        yield f"{option.papers.certificate[:1].upper()}{option.papers.certificate[1:]}, by the installer."
        yield f"{option.papers.says} [{option.papers.source}]"


def _lines(option: "Option") -> Iterator[str]:
    from circuitmap.extension.estimate_says import line_said

    lines = option.priced.lines if option.priced is not None else ()
    for line in lines[:_MOST_LINES]:
        yield line_said(line)
    if len(lines) > _MOST_LINES:
        yield f"and {len(lines) - _MOST_LINES} lines more; the spreadsheet has all of them."


def _left_out(option: "Option") -> tuple[str, ...]:
    taken = option.taken.left_out if option.taken is not None else ()
    return tuple(dict.fromkeys((*taken, *(option.priced.left_out if option.priced is not None else ()))))


def _many(count: int, word: str, *, none: str) -> str:
    return none if not count else f"{count} {word}" + ("" if count == 1 else "s")


def named(words: str) -> str:
    """Give a typed name short enough for a button or a tab."""
    return shorten(words, 40)
