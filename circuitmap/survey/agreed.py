"""What was agreed holds for how long and for what: the rest of a visit on the same terms, and time limits run out.

An agreement for the rest of a visit never covers life-supporting equipment or another household: those are asked
again at each switch-off, and so is every listed load that was not named when it was agreed.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, tzinfo

from circuitmap.home.records import Consent, Point, Round, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.home.verbs import is_open
from circuitmap.survey.limits import clock_words, duration_words, instant, limit_of
from circuitmap.survey.losses import CONFIRMED, Loss, listed, title
from circuitmap.words import WhoAgreed


@dataclass(frozen=True, slots=True)
class Standing:
    """An agreement for the rest of a visit: by whom, since when, until when at most, and what it covers."""

    by: WhoAgreed
    since: str
    ends: datetime | None
    until: str
    named: frozenset[str]
    confirmed: frozenset[str]


def standing(home: Home, visit: str, now: str, zone: tzinfo | None = None) -> Standing | None:
    """Give the agreement that stands for the rest of a visit, None when there is none or its time has run out.

    The latest switch-off's agreement says whether one stands; what it covers is all that the same person agreed to,
    one switch-off after another, up to there.
    """
    given = [r.consent for r in home.sorted(Round) if r.visit == visit and r.off]
    chain: list[Consent] = []
    for consent in reversed(given):
        if consent is None or not consent.for_visit or (chain and consent.by != chain[0].by):
            break
        chain.append(consent)
    if not chain:
        return None
    latest = chain[0]
    ends = limit_of(latest, zone)
    if ends is not None and ends <= instant(now):
        return None
    return Standing(
        latest.by,
        chain[-1].at,
        ends,
        latest.until if ends is None else clock_words(ends, zone),
        frozenset(i for each in chain for i in (*each.named, *each.confirmed)),
        frozenset(i for each in chain for i in each.confirmed),
    )


def new_at_stake(home: Home, stands: Standing, losses: Iterable[Loss]) -> tuple[str, ...]:
    """Give what a standing agreement doesn't cover in another switch-off, a sentence each; nothing if it covers all."""
    points = home.table(Point)
    medical: dict[str, None] = {}
    others: dict[str, None] = {}
    fresh: dict[str, None] = {}
    for loss in losses:
        point = points[loss.point]
        if loss.word == "medical":
            medical[title(point, loss.load)] = None
        elif point.belongs_to:
            others[point.belongs_to] = None
        elif loss.word != "nothing" and loss.point not in (
            stands.confirmed if loss.word in CONFIRMED else stands.named
        ):
            fresh[title(point, loss.load)] = None
    says = []
    if medical:
        says.append(f"{listed(medical)}: life-supporting equipment is asked about each time.")
    if others:
        says.append(f"Another household loses supply ({listed(others)}): asked each time.")
    if fresh:
        says.append(f"New in this switch-off: {listed(fresh)}.")
    return tuple(says)


def agree_again(home: Home, stands: Standing, losses: Iterable[Loss], now: str) -> Consent:
    """Give the agreement to another switch-off on the terms that stand, to be recorded with it."""
    losses = tuple(losses)
    confirmed = dict.fromkeys(i.point for i in losses if i.point in stands.confirmed)
    return Consent(
        at=now, by=stands.by, confirmed=tuple(confirmed), until=stands.until, named=named_in(losses), for_visit=True
    )  # fmt: skip


def named_in(losses: Iterable[Loss]) -> tuple[str, ...]:
    """Give the points of the listed loads that are named when a switch-off is agreed to."""
    return tuple(sorted({loss.point for loss in losses if loss.word != "nothing"}, key=natural_key))


def minutes_left(record: Round, now: str, zone: tzinfo | None = None) -> float | None:
    """Give how many minutes an open switch-off has left of what was agreed, below zero when it is overdue.

    None when it is over, or no time that can be read was agreed.
    """
    ends = limit_of(record.consent, zone)
    if ends is None or not is_open(record):
        return None
    return (ends - instant(now)).total_seconds() / 60


def overdue(home: Home, record: Round, now: str, zone: tzinfo | None = None) -> tuple[str, ...]:
    """Give what to say when the time agreed for an open switch-off has run out, the gravest first; nothing before."""
    left, ends = minutes_left(record, now, zone), limit_of(record.consent, zone)
    if left is None or left > 0 or ends is None or record.consent is None:
        return ()
    ago = f"{duration_words(-left)} ago"
    points = home.table(Point)
    says = []
    for each in record.consent.arrangements:
        point = points.get(each.point)
        if point is not None:
            load = next((i for i in point.loads if i.if_off == "medical"), next(iter(point.loads), None))
            says.append(
                f"{_first(title(point, load))}: what was arranged lasted until {clock_words(ends, zone)}, {ago}. "
                "Go and look, and put the power back on now."
            )
    if not says:
        says.append(
            f"Agreed until {clock_words(ends, zone)}, {ago}: put the power back on now, then ask again for more time."
        )
    return tuple(says)


def _first(words: str) -> str:
    return words[:1].upper() + words[1:]
