"""What lies over a storey's plan: where a visit's switch-offs stand, glyphs of findings, and what one circuit feeds.

States replace the marks of their points (same ids). Findings have ids of their own: ``finding`` and the record beside
which they stand.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from circuitmap.circuits.views import CircuitView
from circuitmap.drawing.dress import PLAIN, Dress, circuit_dresses, dress_by_survey
from circuitmap.drawing.marks import Glyph, Mark, PointMm, State
from circuitmap.drawing.plan import Marks, plan_marks, stands_on
from circuitmap.drawing.routes import at_length, length
from circuitmap.drawing.standing import REFERENCE_ZOOM, Stand
from circuitmap.findings.finding import Finding
from circuitmap.home import Home
from circuitmap.home.records import Check, Device, Plate, Point, Room, Round, Run, natural_key
from circuitmap.memo import Memo
from circuitmap.plan.outlines import polygon_of
from circuitmap.survey.deduce import Deduced
from circuitmap.words import SEVERITIES, Outcome, Severity

GLYPH_PX: Final = 15.0
_STEP_MM: Final = 170.0  # between glyphs of one subject
_OUT_PX: Final = 17.0  # from the middle of a symbol: on the rim of its plate
_MOST_AT_ONE: Final = 3  # the worst ones; the list beside the plan has them all
_SHOWN: Final[dict[Outcome, State]] = {
    "off": "went off",
    "still on": "still on",
    "faint glow": "faint glow",
    "can't tell": "can't tell",
}
_NOT_CHECKED: Final = Dress("not checked")


def survey_dresses(
    home: Home,
    *,
    views: Sequence[CircuitView],
    deduced: Mapping[str, Deduced],
    memo: Memo,
    visit: str | None = None,
    round_id: str | None = None,
) -> dict[str, Dress]:
    """Give the state of every point in a switch-off, or (without one) in a visit, or in all visits together.

    What is settled shows its circuit, or between which ones it is in doubt; else the latest answer is shown. In a
    switch-off, an answer given in it comes before a doubt: it says that somebody has been there.
    """
    rounds = {r.id for r in home.table(Round).values() if visit is None or r.visit == visit}
    if round_id is not None:
        rounds = {round_id}
    latest: dict[str, Check] = {}
    for check in sorted(home.table(Check).values(), key=lambda each: (each.at, natural_key(each.id))):
        if check.round in rounds:
            latest[check.point] = check
    circuits = circuit_dresses(views, memo)
    found: dict[str, Dress] = {}
    for point in home.table(Point).values():
        if point.phase != "existing":
            continue
        known, answer = deduced.get(point.id), latest.get(point.id)
        if known is not None and known.verdict == "settled" and known.candidates[0] in circuits:
            circuit = circuits[known.candidates[0]]
            found[point.id] = Dress("settled", circuit.role, "", circuit.code)
        elif answer is not None and (round_id is not None or known is None or known.verdict != "in doubt"):
            found[point.id] = Dress(_SHOWN[answer.outcome])
        else:
            dress = dress_by_survey(known, circuits, memo)
            answered = Dress(_SHOWN[answer.outcome]) if answer is not None else _NOT_CHECKED
            found[point.id] = dress if dress.state else answered
    return found


def state_marks(
    home: Home,
    storey: str,
    *,
    views: Sequence[CircuitView],
    deduced: Mapping[str, Deduced],
    memo: Memo,
    visit: str | None = None,
    round_id: str | None = None,
) -> dict[str, Marks]:
    """Give the marks of a storey's points as the survey sees them, by point id, to lie in place of the plan's own."""
    marks = survey_marks(home, storey, views=views, deduced=deduced, memo=memo, visit=visit, round_id=round_id)
    points = home.table(Point)
    return {record: shown for record, shown in marks.items() if record in points and points[record].phase == "existing"}


def survey_marks(
    home: Home,
    storey: str,
    *,
    views: Sequence[CircuitView],
    deduced: Mapping[str, Deduced],
    memo: Memo,
    visit: str | None = None,
    round_id: str | None = None,
) -> dict[str, Marks]:
    """Give all marks of a storey, its points dressed as the survey sees them."""

    def make() -> dict[str, Dress]:
        return survey_dresses(home, views=views, deduced=deduced, memo=memo, visit=visit, round_id=round_id)

    parts = (home.table(Check), home.table(Point), home.table(Round), deduced, visit, round_id, *views)
    states = memo.get("drawing.survey", "", parts, make)
    return plan_marks(home, storey, views=views, deduced=deduced, memo=memo, states=states, kept_as="survey")


def finding_marks(
    home: Home,
    storey: str,
    findings: Iterable[Finding],
    *,
    memo: Memo,
    codes: Iterable[Severity] = ("C1", "C2", "FI", "C3"),
) -> dict[str, Marks]:
    """Give a glyph per suggested code beside the first subject that stands on a storey, worst first.

    Facts about what is where (``aside``) have none, nor has what a competent person has ruled out.
    """
    wanted = frozenset(codes)
    stands = stands_on(home, storey, memo)
    at: dict[str, list[Severity]] = {}
    for finding in findings:
        if finding.aside or finding.code not in wanted or finding.ruling == "not so":
            continue
        anchors = (_anchor(home, storey, subject, stands) for subject in finding.subjects)
        anchor = next((each for each in anchors if each), "")
        if anchor and finding.code not in at.setdefault(anchor, []):
            at[anchor].append(finding.code)
    found: dict[str, Marks] = {}
    for anchor, those in at.items():
        spot = _spot(home, storey, anchor, stands)
        worst = tuple(sorted(those, key=SEVERITIES.index)[:_MOST_AT_ONE])
        if spot is not None:
            marks = tuple(_glyph(code, spot, n) for n, code in enumerate(worst))
            found[f"finding {anchor}"] = memo.steady("drawing.finding", (storey, anchor), marks)
    return found


def circuit_only(
    marks: Mapping[str, Marks], view: CircuitView, views: Sequence[CircuitView], home: Home
) -> dict[str, Marks]:
    """Give a storey's marks with the cables of one circuit alone; what it doesn't feed keeps its bare symbol.

    Bare symbols come from ``only_dresses``, handed to ``plan_marks`` as states.
    """
    others = {other.device.id for other in views}
    mine = {run.id for run in (*view.runs, *view.drops)} | {view.device.id}
    return {
        record: shown
        for record, shown in marks.items()
        if record in mine or (record not in others and home.find(Run, record) is None)
    }


def only_dresses(view: CircuitView, home: Home) -> dict[str, Dress]:
    """Give bare dresses to all points but those that one circuit feeds."""
    fed = {member.point.id for member in view.members}
    return {point: PLAIN for point in home.table(Point) if point not in fed}


def _anchor(home: Home, storey: str, subject: str, stands: Mapping[str, Stand]) -> str:
    """Give the record on a storey beside which a finding about a subject stands: a way's board, a run's first end."""
    if subject in stands:
        return subject
    record = home.peek(subject)
    match record:
        case Device():
            return record.board if record.board in stands else ""
        case Plate():
            return subject if record.place is not None and record.place.storey == storey else ""
        case Run():
            if len(_path(record, storey)) > 1:
                return subject
            ends = (_anchor(home, storey, end.at, stands) for end in (record.a, record.b) if end.at is not None)
            return next((end for end in ends if end), "")
        case Room():
            return subject if record.storey == storey and len(record.outline_mm) >= 3 else ""
        case _:
            return ""


def _spot(home: Home, storey: str, anchor: str, stands: Mapping[str, Stand]) -> PointMm | None:
    stand = stands.get(anchor)
    if stand is not None:
        return _beside(stand)
    record = home.peek(anchor)
    match record:
        case Plate() if record.place is not None:
            return record.place.x_mm + 150.0, record.place.y_mm - 150.0
        case Run():
            path = _path(record, storey)
            return at_length(path, length(path) / 2)[0]
        case Room():
            low = max(y for _, y in record.outline_mm)
            spot = polygon_of(record.outline_mm).representative_point()
            return float(spot.x), float(spot.y) + (low - float(spot.y)) * 0.35
        case _:
            return None


def _path(run: Run, storey: str) -> list[PointMm]:
    return [(float(x), float(y)) for on, x, y, _ in run.path_mm if on == storey]


def _beside(stand: Stand) -> PointMm:
    """Give a spot on the rim of a symbol's plate, back and to the right, where no label is put first."""
    middle_x, middle_y = stand.centre_px
    fx, fy = stand.faces if stand.faces is not None else (0.0, 1.0)
    turn = math.atan2(-fy, -fx) + math.pi / 5
    reach = _OUT_PX * stand.size_px / 20
    return (
        stand.at[0] + (middle_x + reach * math.cos(turn)) / REFERENCE_ZOOM,
        stand.at[1] + (middle_y + reach * math.sin(turn)) / REFERENCE_ZOOM,
    )


def _glyph(code: Severity, spot: PointMm, n: int) -> Mark:
    return Glyph("finding", code, (spot[0] + n * _STEP_MM, spot[1]), role=code, size_px=GLYPH_PX)
