"""What stands on the paper of a switch-off: a recorded one, one that is about to be made, or any.

How it is laid out is the drawing's; here is also the plain text of it, for a screen reader or a shell.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from circuitmap.home.records import Check, Device, Point, Round, Visit, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.deduce import Deduced, checks_of, deduce
from circuitmap.survey.impact import NOT_PROOF, after_power, cautions
from circuitmap.survey.kinds import is_way
from circuitmap.survey.lines import (
    LIGHTS,
    Line,
    Numbering,
    askable,
    lines_of,
    numbering_of_round,
    plain,
    points_asked,
    sheet_code,
)
from circuitmap.survey.proposal import Witness
from circuitmap.survey.taken import taken
from circuitmap.survey.walk import walk_order
from circuitmap.trade import Trade
from circuitmap.wiring.supply import above
from circuitmap.words import OtherSourceKind, Outcome

PROVE: Final = "“Went off” is not proof of isolation: prove dead at the point of work."
HOW_TO_TYPE: Final = "1–14 off except 6, 9; 6 on; 3, 4 glow; 7 ?"
LAMP: Final = "Leave a lamp in a point that stays on, under each RCD still on; look at it in every room and at the end."
MOST_WITNESSES: Final = 6
_BOXES: Final[tuple[tuple[Outcome, str], ...]] = (
    ("off", "went off"),
    ("still on", "still on"),
    ("faint glow", "glow"),
    ("can't tell", "can't tell"),
)
_RCDS: Final = frozenset({"RCD", "RCD BS 4293", "voltage ELCB"})


@dataclass(frozen=True, slots=True)
class Paper:
    """All that a sheet says.

    ``is_blank`` is a sheet for any switch-off, what goes off to be written in by hand. ``left_out`` counts the points
    that are not on it because nothing more is to be asked of them; ``answers`` are those already written down.
    """

    title: str
    lines: tuple[Line, ...]
    code: str
    day: str = ""
    off: tuple[str, ...] = ()
    sources_off: tuple[OtherSourceKind, ...] = ()
    is_blank: bool = False
    cautions: tuple[str, ...] = ()
    witnesses: tuple[Witness, ...] = ()
    after: tuple[str, ...] = ()
    left_out: int = 0
    answers: Mapping[str, Outcome] = field(default_factory=dict)

    @property
    def is_look(self) -> bool:
        """Whether nothing goes off: the look with everything on."""
        return not self.off and not self.is_blank

    @property
    def boxes(self) -> tuple[tuple[Outcome, str], ...]:
        """The boxes of a line with their words; nothing goes off in a look, it is on or not."""
        return (("off", "not on"), ("still on", "on"), *_BOXES[2:]) if self.is_look else _BOXES


def paper_of_round(home: Home, memo: Memo, trade: Trade | None, round_id: str, *, every_point: bool = False) -> Paper:
    """Give the paper of a switch-off in the home, with the numbers that its points had when it began."""
    record = home.take(Round, round_id)
    numbers = numbering_of_round(home, memo, trade, round_id, every_point=every_point)
    before = [r for r in home.table(Round).values() if r.visit == record.visit and r.off]
    number = sum(1 for r in before if natural_key(r.id) <= natural_key(round_id))
    title = f"Switch-off {number} of its visit ({round_id})" if record.off else f"Look with everything on ({round_id})"
    made = [check for check in home.table(Check).values() if check.round == round_id]
    answers = {check.point: check.outcome for check in sorted(made, key=_in_order)}
    return _paper(
        home, memo, trade, title, record.off, record.sources_off, numbers,
        day=home.take(Visit, record.visit).day, witnesses=witnesses(home, memo, record.off, record.visit),
        answers=answers,
    )  # fmt: skip


def paper_beforehand(
    home: Home,
    memo: Memo,
    trade: Trade | None,
    off: Iterable[str],
    sources_off: Iterable[OtherSourceKind] = (),
    *,
    visit: str | None = None,
    points: Iterable[str] | None = None,
    watched: Sequence[Witness] | None = None,
    every_point: bool = False,
) -> Paper:
    """Give the paper of a switch-off that is still to be made, to be printed while there is power.

    Parameters
    ----------
    visit
        The visit that it will belong to, if that has begun.
    points, watched
        What is to be asked and what to be watched, where a plan says so; what is not settled yet otherwise.
    """
    down = tuple(off)
    if points is not None:
        asked = tuple(points)
    else:
        asked = points_asked(home, memo, trade, None, visit) if down else askable(home, memo, trade)
    seen = tuple(watched) if watched is not None else witnesses(home, memo, down, visit)
    title = "Next switch-off" if down else "Look with everything on"
    lines = lines_of(home, memo, trade, None if every_point else asked)
    numbers = Numbering(lines, (), sheet_code(lines, down))
    return _paper(home, memo, trade, title, down, tuple(sources_off), numbers, witnesses=seen)


def blank_paper(home: Home, memo: Memo, trade: Trade | None) -> Paper:
    """Give a paper for any switch-off: every point, what goes off left open, the cautions that any may call for."""
    ways = tuple(device.id for device in home.sorted(Device) if is_way(device))
    lines = lines_of(home, memo, trade)
    return Paper(
        "Switch-off survey", lines, sheet_code(lines), is_blank=True,
        cautions=_said(home, memo, trade, ways), after=after_power(home, trade),
    )  # fmt: skip


def witnesses(home: Home, memo: Memo, off: Iterable[str], visit: str | None = None) -> tuple[Witness, ...]:
    """Give a point known to be on under each RCD that stays on; under the rest of what stays on, one in all.

    A point that was seen on in the visit, and one that is easily looked at, come first. What is not settled is no
    witness: nobody knows what it tells of.
    """
    down = tuple(off)
    if not down:
        return ()
    out, known = taken(home, down, memo).may, deduce(home, memo)
    best: dict[str, tuple[tuple[bool, int, int], str]] = {}
    for rank, point in enumerate(walk_order(home, None, memo)):
        way = _feeder(home, known.get(point))
        if way is None or way in out:
            continue
        over = (way, *above(home, way, memo))
        if any(device in out for device in over):
            continue
        group = next((i for i in over if home.take(Device, i).kind in _RCDS), over[-1])
        worth = (not _was_on(home, memo, point, visit), _how_easy(home.take(Point, point)), rank)
        if group not in best or worth < best[group][0]:
            best[group] = (worth, point)
    order = sorted(best, key=lambda device: (home.take(Device, device).kind not in _RCDS, natural_key(device)))
    return tuple(Witness(device, best[device][1]) for device in order[:MOST_WITNESSES])


def sheet_text(home: Home, round_id: str | None = None, memo: Memo | None = None, trade: Trade | None = None) -> str:
    """Give a sheet as plain text: what is off, the cautions, a line per point with boxes, what to do afterwards."""
    memo = memo if memo is not None else Memo()
    paper = paper_of_round(home, memo, trade, round_id) if round_id is not None else blank_paper(home, memo, trade)
    return text_of(home, paper)


def text_of(home: Home, paper: Paper) -> str:
    """Give a paper as plain text."""
    head = [f"Switch-off survey: {plain(home.details.name) or 'home'}"]
    codes = ", ".join(home.code(device) for device in paper.off)
    if paper.is_blank:
        head.append("Off: ______________________________")
    else:
        head.append(f"{paper.title}: {codes} off" if codes else paper.title)
    head.append(f"Tick what is found. {PROVE}")
    head += [f"! {caution}" for caution in paper.cautions]
    head += [f"Watch {each.point}: it tells whether {home.code(each.device)} is still on." for each in paper.witnesses]
    wide = max((len(line.words) for line in paper.lines), default=0)
    body: list[str] = []
    room: str | None = None
    for line in paper.lines:
        if line.room != room:
            room = line.room
            body += ["", room or "No room given"]
        found = {paper.answers[i] for i in line.points if i in paper.answers}
        ticks = "  ".join(f"[{'x' if outcome in found else ' '}] {words}" for outcome, words in paper.boxes)
        body.append(f"{line.number:>4}  {line.words:<{wide}}  {ticks}")
    tail = [""] if paper.is_look else ["", "Witness lamp looked at: [ ] [ ] [ ] [ ] [ ]", ""]
    tail += [f"Afterwards: {sentence}" for sentence in paper.after]
    tail.append(f"To type in: {paper.code}: {HOW_TO_TYPE}")
    return "\n".join([*head, *body, *tail]) + "\n"


def _paper(
    home: Home,
    memo: Memo,
    trade: Trade | None,
    title: str,
    off: tuple[str, ...],
    sources_off: tuple[OtherSourceKind, ...],
    numbers: Numbering,
    *,
    day: str = "",
    witnesses: tuple[Witness, ...] = (),
    answers: Mapping[str, Outcome] | None = None,
) -> Paper:
    lines = numbers.all_lines
    asked = {point for line in lines for point in line.points}
    every = {point for line in lines_of(home, memo, trade) for point in line.points}
    return Paper(
        title, lines, numbers.code, day, off, sources_off, False, _said(home, memo, trade, off), witnesses,
        after_power(home, trade) if off else (), len(every - asked), answers or {},
    )  # fmt: skip


def _said(home: Home, memo: Memo, trade: Trade | None, off: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(caution for caution in cautions(home, off, memo, trade) if caution != NOT_PROOF)


def _feeder(home: Home, known: Deduced | None) -> str | None:
    if known is None or known.verdict != "settled" or home.find(Device, known.candidates[0]) is None:
        return None
    return known.candidates[0]


def _how_easy(point: Point) -> int:
    """Give how easily it is seen that a point is on, 0 best: a lamp plugged in, a light, then what has to be asked."""
    return 0 if "socket" in point.kind else 1 if point.kind in LIGHTS else 2


def _was_on(home: Home, memo: Memo, point: str, visit: str | None) -> bool:
    here = [c for c in checks_of(home, memo, point) if home.take(Round, c.round).visit == visit]
    return any(check.outcome == "still on" for check in here)


def _in_order(check: Check) -> tuple[str, int]:
    return natural_key(check.id)
