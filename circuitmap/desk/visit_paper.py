"""Which switch-off a sheet is for, and by what numbers its answers are typed in, even long after it. No Qt."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from circuitmap.desk import visit_state as state
from circuitmap.desk.agreeing import codes
from circuitmap.desk.visit import SurveyCursor
from circuitmap.errors import PersonError
from circuitmap.home import Change
from circuitmap.home.change import combine
from circuitmap.home.invariants import shorten
from circuitmap.home.records import Round, Visit
from circuitmap.home.verbs import record_check
from circuitmap.survey.lines import Numbering, lines_of, numbering_of_round, points_asked, sheet_code
from circuitmap.survey.paper import Paper, blank_paper, paper_beforehand, paper_of_round
from circuitmap.survey.sheet import parse_answers, split_code
from circuitmap.words import Outcome, written_day_said

NEXT: Final = "next"  # what is chosen to go off, before it does
BLANK: Final = "blank"  # any switch-off
_LISTED: Final = 40


class WrongSheetError(PersonError):
    """Typed answers that begin with the code of another sheet; nothing of them was taken."""

    def __init__(self, typed: str, wanted: str) -> None:
        super().__init__(typed, wanted)
        self.typed, self.wanted = typed, wanted

    def __str__(self) -> str:
        return (
            f"{self.typed} is another sheet than {self.wanted}, its numbers may stand for other points: choose its "
            "switch-off above, or type the points’ own numbers, such as P12 off. Nothing was taken."
        )


@dataclass(frozen=True, slots=True)
class Subject:
    """What a sheet may be for: a switch-off by its id, ``NEXT`` or ``BLANK``, and how it is called in a list."""

    key: str
    words: str


def subjects(cursor: SurveyCursor) -> tuple[Subject, ...]:
    """Give what a sheet may be for now, what is most likely meant first."""
    home = cursor.home
    going = cursor.round
    if going is not None:
        return (Subject(going.id, _words(cursor, going)),)
    found = [Subject(NEXT, f"To come: {shorten(codes(home, cursor.pending), 40)} off")] if cursor.pending else []
    made = list(reversed(home.sorted(Round)))[:_LISTED]
    made.sort(key=lambda record: not record.off)
    found += [Subject(record.id, _words(cursor, record)) for record in made]
    return (*found, Subject(BLANK, "Any switch-off, to be filled in"))


def numbering(cursor: SurveyCursor, key: str) -> Numbering:
    """Give the numbered lines of a sheet."""
    home, trade, memo = cursor.home, cursor.adapter.trade, cursor.adapter.memo

    def make() -> Numbering:
        if key == BLANK:
            lines = lines_of(home, memo, trade)
            return Numbering(lines, (), sheet_code(lines))
        if key == NEXT:
            lines = lines_of(home, memo, trade, _asked_next(cursor))
            return Numbering(lines, (), sheet_code(lines, cursor.pending))
        return numbering_of_round(home, memo, trade, key, every_point=cursor.walks_all)

    planned = cursor.planned
    told = (planned.proposal, planned.altered) if planned is not None else (None, None)
    return memo.get("desk numbers", (key, cursor.pending, cursor.walks_all), (home, trade, *told), make)


def paper(cursor: SurveyCursor, key: str) -> Paper:
    """Give what the paper of a sheet says."""
    home, trade, memo = cursor.home, cursor.adapter.trade, cursor.adapter.memo
    if key == BLANK:
        return blank_paper(home, memo, trade)
    if key == NEXT:
        visit, planned = cursor.visit, cursor.planned
        return paper_beforehand(
            home, memo, trade, cursor.pending, visit=visit.id if visit is not None else None,
            points=_asked_next(cursor),
            watched=planned.witnesses_for(cursor.pending) if planned is not None else None,
        )  # fmt: skip
    return paper_of_round(home, memo, trade, key, every_point=cursor.walks_all)


def outcomes(cursor: SurveyCursor, key: str) -> Mapping[str, Outcome]:
    """Give what was found in a switch-off, the last answer of each point."""
    if cursor.home.find(Round, key) is None:
        return {}
    return {check.point: check.outcome for check in state.checks_in(cursor.home, key)}


def read_typed(cursor: SurveyCursor, key: str, text: str) -> tuple[tuple[str, Outcome], ...]:
    """Read typed answers for the points of a switch-off's sheet, in the order of its numbers.

    A code in front says which sheet was typed off: the one of this switch-off, or the one of all its points.

    Raises
    ------
    PersonError
        When any of it can't be read or the code is another sheet's; nothing is taken then.
    """
    home, trade, memo = cursor.home, cursor.adapter.trade, cursor.adapter.memo
    code, answers = split_code(text)
    numbers = numbering(cursor, key)
    if code and code != numbers.code:
        every = numbering_of_round(home, memo, trade, key, every_point=True)
        fitting = [each for each in (every, numbering(cursor, BLANK)) if each.code == code]
        if not fitting:
            raise WrongSheetError(code, numbers.code)
        numbers = fitting[0]
    lines = {line.number: line for line in numbers.all_lines}
    by_point = {point: line.number for line in lines.values() for point in line.points}
    read = parse_answers(answers, [line.number for line in numbers.lines], by_point)
    can_be = frozenset(cursor.all_points)
    return tuple((point, outcome) for n, outcome in read for point in lines[n].points if point in can_be)


def is_late(cursor: SurveyCursor, key: str) -> bool:
    """Whether answers for a switch-off would be typed in after its power came back."""
    record, going = cursor.home.find(Round, key), cursor.round
    return record is not None and bool(record.off) and (going is None or going.id != key)


def answer_late(cursor: SurveyCursor, key: str, answers: Iterable[tuple[str, Outcome]]) -> bool:
    """Record as one change what was found in a switch-off that is over; say whether anything was."""
    home, changes = cursor.home, list[Change]()
    for point, outcome in answers:
        changes.append(record_check(home, key, point, outcome))
        home = home.apply(changes[-1])
    if not changes:
        return False
    count = "1 answer" if len(changes) == 1 else f"{len(changes)} answers"
    return cursor.adapter.do(combine(f"{count} from paper for {key}", changes)) is not None


def _asked_next(cursor: SurveyCursor) -> tuple[str, ...]:
    """Give what the switch-off that is chosen will ask, as it will be opened."""
    visit = cursor.visit
    if cursor.planned is not None:
        return cursor.asks_only or cursor.planned.points_for(cursor.pending, visit.id if visit is not None else None)
    return points_asked(
        cursor.home, cursor.adapter.memo, cursor.adapter.trade, None, visit.id if visit is not None else None
    )


def _words(cursor: SurveyCursor, record: Round) -> str:
    home = cursor.home
    day = written_day_said(home.take(Visit, record.visit).day)
    if not record.off:
        return f"Look with everything on, {day} ({record.id})"
    off = shorten(codes(home, record.off), 30)
    return f"Switch-off {state.number_of(home, record)}, {day}: {off} off ({record.id})"
