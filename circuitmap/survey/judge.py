"""What the answers of one point say: exact deduction under one model, one way feeding one point.

Still on is proof: no way that was surely off feeds the point. Off says that its feed was among the ways off at most,
unless something local (its own switch, a lamp, a fuse, a timer) did it. So nothing settles that was not seen both on
and off in the same visit, and an answer given through another point or with the local switch off is never an "off".

Two lines joined, or a line from one way with the neutral of another, don't fit the model; where they can be seen they
come out as a contradiction that names them. A neutral borrowed behind a single-pole device can't be seen at all: no
survey shows that there is none.

Visits are judged one by one, because wiring changes between them. A point settled in an earlier visit stays so until
a later one says otherwise; an earlier visit's candidates narrow a later visit's doubt, and the sentence says so.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from circuitmap.home.records import Check
from circuitmap.survey.context import Context

Verdict = Literal[
    "settled", "in doubt", "never off", "contradiction", "unchecked", "elsewhere", "not seen on"
]  # fmt: skip
Odd = Literal["", "off in two", "on and off", "only together", "battery or source", "did not come back"]

LOCAL_CAUSES: Final = (
    "a local switch, lamp, plug fuse or timer first; then an RCD that tripped, a neutral shared through a two-pole "
    "device, a contactor"
)


@dataclass(frozen=True, slots=True)
class Deduced:
    """What is known of a point's feed from checks alone: ways still possible, and the checks that it rests on.

    ``repeat`` are the checks worth repeating when they contradict each other, ``odd`` tells how they do. ``notes``
    say what was left out of the reckoning (answers set aside, repeated, given through another point) and what an
    earlier visit adds.
    """

    point: str
    candidates: tuple[str, ...]
    verdict: Verdict
    checks: tuple[str, ...] = ()
    repeat: tuple[str, ...] = ()
    says: str = ""
    visit: str | None = None
    odd: Odd = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """One check as it may be used: ``live`` is None where it tells nothing about the feed."""

    check: Check
    live: bool | None
    sure: int
    may: int
    everything: bool
    baseline: bool
    aside: bool

    def keeps(self, candidates: int) -> int:
        """Give which of some ways can still be the feed after this answer."""
        return candidates & ~self.sure if self.live else candidates & self.may

    @property
    def sets_apart(self) -> bool:
        """Whether this is an "off" that bears on the feed: some way was off when it was given."""
        return self.live is False and bool(self.may)


def read(check: Check, context: Context) -> Answer:
    """Give what a check is worth in the course of its switch-off."""
    moment = context.timelines[check.round].at(check.at)
    sure, may = context.mask(moment)
    live: bool | None = None
    if moment.sets_aside or check.outcome == "can't tell":
        pass
    elif check.outcome == "still on":
        live = True
    elif check.via is None and check.local_switch != "off":
        live = False
    return Answer(check, live, sure, may, moment.everything, moment.baseline, moment.sets_aside)


def judge(point: str, checks: Sequence[Check], context: Context, why_not: str = "") -> Deduced:
    """Give what a point's checks say, all visits together; ``why_not`` is the reason it can't be checked, if any."""
    everything = context.list_of(context.all_mask)
    if context.declined:
        return Deduced(point, everything, "unchecked", says=context.declined)
    if not checks:
        says = f"{point} can't be checked: {why_not}." if why_not else f"{point} hasn't been checked yet."
        return Deduced(point, everything, "unchecked", says=says)
    ordered = sorted(checks, key=in_order) if len(checks) > 1 else checks
    visits: dict[str, list[Answer]] = {}
    for check in ordered:
        visits.setdefault(context.timelines[check.round].visit, []).append(read(check, context))
    if len(visits) == 1:
        ((visit, answers),) = visits.items()
        return _judge_visit(point, visit, answers, context)
    order = sorted(visits, key=lambda each: context.rank[each])
    held = _judge_visit(point, order[0], visits[order[0]], context)
    for visit in order[1:]:
        held = _carry_on(held, _judge_visit(point, visit, visits[visit], context), context)
    return held


def in_order(check: Check) -> tuple[str, int]:
    """Give the place of a check in the order of its visit."""
    return check.at.rstrip("Z"), int(check.id[1:])


def _carry_on(earlier: Deduced, later: Deduced, context: Context) -> Deduced:
    """Put a later visit's verdict on top of an earlier one's."""
    if later.verdict == "unchecked":
        return earlier if earlier.verdict != "unchecked" else later
    if earlier.verdict == "settled":
        before = f"{earlier.visit} settled it on {context.named(earlier.candidates)}"
        if later.verdict in ("in doubt", "not seen on") and set(earlier.candidates) <= set(later.candidates):
            return replace(earlier, notes=(*earlier.notes, f"{later.visit} neither confirms nor denies it"))
        if later.candidates != earlier.candidates:
            return replace(later, notes=(*later.notes, f"{before}; it has changed since, or a check is wrong"))
        return later
    if later.verdict == "in doubt" and earlier.verdict == "in doubt":
        both = tuple(i for i in later.candidates if i in earlier.candidates)
        if both and both != later.candidates:
            note = f"narrowed by {earlier.visit}, taking it that no wiring has changed since"
            says = f"{later.point} may be on {context.any_of(both)}; {note}."
            return replace(later, candidates=both, says=says, notes=(*later.notes, note))
    return later


@dataclass(frozen=True, slots=True)
class Usable:
    """The answers of one visit that tell of the feed; ``dark`` is the last one when it never came back on."""

    answers: list[Answer]
    notes: list[str]
    dark: Answer | None = None


def usable(answers: list[Answer]) -> Usable:
    """Give the answers of one visit, in order, that tell something of the feed, and what was left out and why."""
    standing, notes = _standing(answers)
    useful = [a for a in standing if a.live is not None]
    if any(a.check.outcome == "faint glow" for a in useful):
        notes.append("a faint glow was taken for off; a low-impedance voltage indicator settles it")
    last_dark = max((n for n, a in enumerate(useful) if a.live is False and a.baseline), default=-1)
    came_back = next((n for n, a in enumerate(useful) if n > last_dark and a.live), None) if last_dark >= 0 else 0
    if came_back is None:
        return Usable(useful, notes, useful[last_dark])
    if came_back:
        # It was off with everything on: whatever did that may have done the earlier "off" answers as well.
        dropped = [a for a in useful[:came_back] if a.live is False]
        notes.append(f"{_ids(dropped)} set aside: it was off with everything on until {useful[came_back].check.id}")
        useful = [a for n, a in enumerate(useful) if a.live or n > came_back]
    return Usable(useful, notes)


def _judge_visit(point: str, visit: str, answers: list[Answer], context: Context) -> Deduced:
    told = usable(answers)
    useful, notes = told.answers, told.notes
    if not useful:
        return _nothing_told(point, visit, answers, context, notes)
    if told.dark is not None:
        return _stayed_dark(point, visit, useful, told.dark, context, notes)
    bearing = [a for a in useful if a.live or a.may]
    live = [a for a in bearing if a.live]
    dark = [a for a in bearing if not a.live]
    rests = tuple(a.check.id for a in bearing) or tuple(a.check.id for a in useful)
    ends = _Ends(point, visit, rests, tuple(notes))
    beyond = [a for a in live if a.everything]
    if beyond and not dark:
        return ends.give(
            (), "elsewhere", f"{point} was still on with everything off: it is fed from elsewhere (another board, "
            "another home, a battery or a source that nobody switched off)."
        )  # fmt: skip
    left = context.all_mask
    if not left:
        return ends.give((), "in doubt", f"{point} was looked at, but no way is on the board's list yet.")
    for answer in live:
        left &= ~answer.sure
    if not left and not dark:
        return ends.give(
            (), "never off", f"{point} stayed on in every switch-off though every way was off in one; look for a "
            "battery of its own, another source, two ways joined, or a wrong answer."
        )  # fmt: skip
    for answer in dark:
        left &= answer.may
    if not left:
        return _contradiction(ends, live, dark, context)
    found = context.list_of(left)
    if not dark:
        says = f"{point} never went off so far; left are {context.any_of(found)}."
        if len(found) == 1:
            says = f"{point} is left with {context.named(found)} only; see it go off with that before taking it so."
        return ends.give(found, "in doubt", says)
    if not live:
        return ends.give(
            found, "in doubt", f"{point} went off with {context.any_of(found)}, but was never seen on in {visit}: "
            "look at it with the power on."
        )  # fmt: skip
    if len(found) == 1:
        return ends.give(found, "settled", f"{point} went off with {context.named(found)} and was on without it.")
    return ends.give(found, "in doubt", f"{point} may be on {context.any_of(found)}.")


@dataclass(frozen=True, slots=True)
class _Ends:
    """What every verdict of one visit has in common."""

    point: str
    visit: str
    checks: tuple[str, ...]
    notes: tuple[str, ...]

    def give(
        self,
        candidates: tuple[str, ...],
        verdict: Verdict,
        says: str,
        checks: tuple[str, ...] | None = None,
        repeat: tuple[str, ...] = (),
        odd: Odd = "",
    ) -> Deduced:
        rests = self.checks if checks is None else checks
        return Deduced(self.point, candidates, verdict, rests, repeat, says, self.visit, odd, self.notes)


def _standing(answers: list[Answer]) -> tuple[list[Answer], list[str]]:
    """Give the answers that stand: in the same state of a switch-off the last word on a point counts."""
    if len(answers) == 1 or len({a.check.round for a in answers}) == len(answers):
        first = [a for a in answers if not a.aside]
        return first, _left_out(answers)
    stands: dict[tuple[str, int, int, bool], Answer] = {}
    notes: list[str] = []
    for answer in answers:
        if answer.aside:
            continue
        key = (answer.check.round, answer.sure, answer.may, answer.everything)
        before = stands.get(key)
        if before is not None and before.live is not None and before.live != answer.live:
            if answer.live is None and before.live:
                continue  # Seen on is proof; not being able to tell later doesn't undo it.
            notes.append(f"{answer.check.id} stands in place of {before.check.id}, asked again in the same switch-off")
        stands.pop(key, None)
        stands[key] = answer
    return list(stands.values()), notes + _left_out(answers)


def _left_out(answers: list[Answer]) -> list[str]:
    notes: list[str] = []
    for answer in answers:
        check = answer.check
        if answer.aside:
            notes.append(f"{check.id} set aside: a witness lamp was out; ask again")
        elif check.outcome == "can't tell":
            notes.append(f"{check.id} couldn't tell" + (f": {check.why}" if check.why else ""))
        elif answer.live is None:
            how = f"looked at through {check.via}" if check.via else "its local switch was off"
            notes.append(f"{check.id} is no “off”: {how}")
    return notes


def _nothing_told(point: str, visit: str, answers: list[Answer], context: Context, notes: list[str]) -> Deduced:
    everything = context.list_of(context.all_mask)
    because = f" ({notes[-1]})" if notes else ""
    says = f"{point} was looked at, but nothing could be told yet{because}."
    checks = tuple(a.check.id for a in answers)
    return Deduced(point, everything, "unchecked", checks, (), says, visit, "", tuple(notes))


def _stayed_dark(
    point: str, visit: str, useful: list[Answer], dark: Answer, context: Context, notes: list[str]
) -> Deduced:
    left = context.all_mask
    live = [a for a in useful if a.live]
    for answer in live:
        left &= ~answer.sure
    ends = _Ends(point, visit, tuple(a.check.id for a in [*live, dark]), tuple(notes))
    found = context.list_of(left)
    if live:
        return ends.give(
            found, "in doubt", f"{point} was seen on before, but was off with everything on in {dark.check.round}: "
            f"look for {LOCAL_CAUSES}, then ask again.", repeat=(dark.check.id,), odd="did not come back"
        )  # fmt: skip
    return ends.give(
        found, "not seen on", f"{point} was not live when looked at with everything on: its switch, lamp, fuse or "
        "timer first, no supply at this hour, or not connected.", repeat=(dark.check.id,)
    )  # fmt: skip


def _contradiction(ends: _Ends, live: list[Answer], dark: list[Answer], context: Context) -> Deduced:
    clash = _smallest_clash([*live, *dark], context.all_mask)
    went_off = [a for a in clash if not a.live]
    # Removing one answer and being left with a way: that answer alone may be the wrong one.
    every = [*live, *dark]
    alone = [a for a in every if _left([b for b in every if b is not a], context.all_mask)]
    # Still on is proof; an "off" is what a lamp or a switch may have feigned, so it is repeated first.
    repeat = tuple(a.check.id for a in sorted(alone or went_off, key=lambda a: bool(a.live)))
    names = _ids(clash)
    checks = tuple(a.check.id for a in clash)
    off_sets = [context.list_of(a.may) for a in went_off]
    if any(a.everything for a in live):
        stayed = next(a for a in live if a.everything)
        says = (
            f"{ends.point} went off in {_rounds(dark)} and yet was on with everything off in {stayed.check.round}: a "
            f"battery of its own, another source that came in, or a wrong answer; repeat {', '.join(repeat)}."
        )
        return ends.give((), "contradiction", says, checks, repeat, "battery or source")
    if len(went_off) > 1 and not any(a.live for a in clash):
        says = (
            f"{ends.point} went off with {' and again with '.join(context.any_of(s) for s in off_sets)} ({names}): "
            f"look for {LOCAL_CAUSES}; repeat {', '.join(repeat)} with its switch tried both ways."
        )
        return ends.give((), "contradiction", says, checks, repeat, "off in two")
    singles = {a.may for a in clash if a.live and a.sure == a.may}
    wide = went_off[0].may if len(went_off) == 1 else 0
    if wide in singles:
        says = (
            f"{ends.point} went off with {context.any_of(off_sets[0])} and at another time stayed on with the same "
            f"off ({names}): look for {LOCAL_CAUSES}; repeat {', '.join(repeat)}."
        )
        return ends.give((), "contradiction", says, checks, repeat, "on and off")
    says = (
        f"{ends.point} went off in {_rounds(went_off)}, though no single way fits ({names}): two ways joined (it goes "
        "off only when both are off, and either way's own terminal stays live), a way that isn't on the list, or a "
        f"wrong answer ({LOCAL_CAUSES}); repeat {', '.join(repeat)}."
    )
    return ends.give((), "contradiction", says, checks, repeat, "only together")


def _left(answers: Sequence[Answer], candidates: int) -> int:
    for answer in answers:
        candidates = answer.keeps(candidates)
    return candidates


def _smallest_clash(answers: list[Answer], candidates: int) -> list[Answer]:
    """Drop every answer without which the rest still clash; what stays can't be made smaller."""
    clash = list(answers)
    for answer in answers:
        rest = [a for a in clash if a is not answer]
        if not _left(rest, candidates):
            clash = rest
    return clash


def _ids(answers: Sequence[Answer]) -> str:
    return ", ".join(a.check.id for a in answers)


def _rounds(answers: Sequence[Answer]) -> str:
    return " and ".join(dict.fromkeys(a.check.round for a in answers))
