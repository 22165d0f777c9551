"""The isolation job card of one box: what to switch off, where and how to prove dead, who loses supply, boxes to tick.

The whole board off is the default, as everywhere. A survey's "went off" is never a step of it: what is known by
switch-offs only helps to forget no way; the card is worth nothing until it is filled in at the box.
"""

import datetime
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from circuitmap.circuits import views
from circuitmap.circuits.which import JOINED
from circuitmap.drawing.boardstrip import rating_words
from circuitmap.drawing.plan import stands_on
from circuitmap.errors import HomeError
from circuitmap.home import Home
from circuitmap.home.invariants import shorten
from circuitmap.home.records import (
    Board,
    Device,
    Isolation,
    Plate,
    Point,
    Reading,
    Room,
    Run,
    Storey,
    Supply,
    Visit,
    natural_key,
)
from circuitmap.home.verbs import notes_of
from circuitmap.memo import Memo
from circuitmap.paper.catalogue import CantMakeError
from circuitmap.paper.figures import Figure
from circuitmap.paper.quotation import day_said
from circuitmap.paper.record_words import Names, names_of, time_said
from circuitmap.paper.spotted import Spot, spotted_plans
from circuitmap.paper.typeset import Data, shown, typeset
from circuitmap.paper.wanted import Made, Wanted
from circuitmap.plan.where import place_of, room_of
from circuitmap.survey.after import after_power
from circuitmap.survey.impact import blocks
from circuitmap.survey.isolate import IsolationPlan, missing_steps, plan_isolation
from circuitmap.survey.kinds import is_carrier, is_main
from circuitmap.survey.losses import Loss, impact, title
from circuitmap.survey.settle import settle
from circuitmap.survey.taken import other_sources
from circuitmap.trade import Trade
from circuitmap.words import NAMELESS, IfOff

NO_BOX: Final = "Say which box is to be opened (--of P12): a point, a plate, a way or a board."
SKILLED: Final = (
    "This card reminds; it is no permit and proves nothing. Fill it in at the box, and anew "
    "each time: what was proved an hour ago says nothing of now."
)
PROVING: Final[tuple[str, ...]] = (
    "An approved two-pole voltage indicator, with short probe tips, proved on a known live source or a proving unit.",
    "At this very box, with its cover off and nothing touched yet, at the terminals and at every conductor.",
    "Line to neutral, line to earth, neutral to earth; then between all circuits in the box, and switched lines.",
    "The indicator proved again on the same source. If it fails, everything is live.",
)
NOT_BY: Final = (
    "Not by a plug-in tester, a contactless stick, a multimeter alone or a lamp that went out; and not by the survey."
)
TAILS: Final = (
    "With the main switch off the meter tails and the main switch's own supply terminals stay live. The cut-out and "
    "the meter are the network's and are not opened."
)
_LOSS_WORDS: Final[dict[IfOff, str]] = {
    "medical": "MEDICAL: not off without another supply that was proved",
    "phone": "the telephone, and emergency calls, go with it",
    "security": "alarm",
    "lost work": "work is lost",
    "spoils": "food spoils",
    "heating": "heating",
    "resets": "has to be set again",
    "nothing": "",
}
_BY: Final = {"run": "its cable", "tag": "what somebody said", "round": "switch-offs"}
_POINT_PER_PX: Final = 0.75
_MOST_LOSSES: Final = 24
_MOST_WAYS: Final = 80
_EXTRACT_PX: Final = (300.0, 170.0)


def made(wanted: Wanted) -> tuple[Made, ...]:
    """Give the isolation job card of the box that was named.

    Raises
    ------
    CantMakeError
        When no box was named, or what was named is no box, or isn't there.
    """
    home = wanted.home.existing()
    memo = wanted.memo if home is wanted.home else Memo()
    box = wanted.subject.strip()
    if not box:
        raise CantMakeError(NO_BOX)
    if home.peek(box) is None:
        is_planned = wanted.home.peek(box) is not None
        why = "is only planned, or was taken out" if is_planned else "is not in this home"
        raise CantMakeError(f"{shorten(box, 20)} {why}, so there is no box to open.")
    try:
        plan = plan_isolation(home, (box,), memo, trade=wanted.trade)
        alone = plan_isolation(home, (box,), memo, one_way=True, trade=wanted.trade)
    except HomeError as error:
        raise CantMakeError(str(error)) from None
    card = _Card(home, memo, wanted.trade, box, plan)
    wanted.ticket.tick(0, 0, "Setting the card")
    figures = card.extract()
    pictures = {f"here-{n}.svg": figure.svg for n, figure in enumerate(figures)}
    data = {**card.data(alone), **_head(wanted, card), "figures": [_figure(n, each) for n, each in enumerate(figures)]}
    return (Made(typeset("job-card", data, pictures)),)


def _head(wanted: Wanted, card: "_Card") -> Data:
    details = wanted.home.details
    title_said = f"Isolation job card: {card.called}"
    return {
        "title": title_said,
        "foot": shorten(shown(title_said), 60),
        "home": details.name or NAMELESS,
        "address": details.address if details.address != details.name else "",
        "call": f"Call: {details.call}" if details.call else "",
        "day": day_said(wanted.day),
        "skilled": SKILLED,
        "proving": PROVING,
        "not_by": NOT_BY,
        "tails": TAILS,
    }


def _figure(number: int, figure: Figure) -> Data:
    return {
        "file": f"here-{number}.svg",
        "title": figure.title,
        "wide": figure.wide_px * _POINT_PER_PX,
        "says": f"Plan of {figure.title} with the box picked out.",
    }


class _Card:
    """Gathers one card and is thrown away."""

    def __init__(self, home: Home, memo: Memo, trade: Trade, box: str, plan: IsolationPlan) -> None:
        self._home, self._memo, self._trade, self._box, self._plan = home, memo, trade, box, plan
        self._names: Names = names_of(home, memo)
        self._views = {view.device.id: view for view in views(home, trade, memo)}
        # A switch's own cable feeds nothing and is in the box all the same, so the circuits are asked as well.
        near = {i for i, view in self._views.items() if set(view.names) & set(plan.points)}
        self._ways = tuple(sorted({*plan.ways, *near}, key=natural_key))
        self._is_board = isinstance(home.peek(box), Board | Device)

    @property
    def called(self) -> str:
        """What the box is called in the title."""
        record = self._home.get(self._box)
        if isinstance(record, Device):
            return f"{self._names.of(self._box)} in {self._names.of(record.board)}"
        if isinstance(record, Plate):
            room = room_of(self._home, self._memo, record)
            return f"plate {record.id}" + (f", {shorten(room.name, 40)}" if room is not None else "")
        return self._names.of(self._box)

    def data(self, alone: IsolationPlan) -> Data:
        """Give what the template says of the box."""
        plan = self._plan
        off = tuple(plan.off)
        losses = impact(self._home, off, self._memo, self._trade)
        held = [each for each in blocks(self._home, off, None, self._memo, self._trade) if "agreed to this" not in each]
        return {
            "where": self._where(),
            "points": [self._point(point) for point in plan.points],
            "hazards": self._hazards(),
            "is_board": self._is_board,
            "off": [self._off(device) for device in off] or ["No main switch is on record: find it before anything."],
            "sources": [self._source(n) for n in range(len(other_sources(self._home)))],
            "sources_asked": self._asked(),
            "ways": [self._way(way) for way in self._ways[:_MOST_WAYS]],
            "more_ways": max(0, len(self._ways) - _MOST_WAYS),
            "joined": list(self._joined()),
            "several": self._several(),
            "unsettled": self._unsettled(),
            "alone": self._alone(alone),
            "neutrals": list(self._neutrals()),
            "rows": self._proof_rows(),
            "held": held,
            "tell": list(self._tell(losses)),
            "losses": [self._loss(loss) for loss in self._mattering(losses)],
            "more_losses": self._more(losses),
            "after": list(after_power(self._home, self._trade)),
            "earlier": list(self._earlier()),
        }

    # -- the box ------------------------------------------------------------------------------------------------

    def _where(self) -> list[str]:
        record = self._home.get(self._box)
        says = []
        place = place_of(self._home, self._home.get(record.board) if isinstance(record, Device) else record)
        storey = self._home.find(Storey, place.storey) if place is not None else None
        room = self._room()
        said = ", ".join(
            part
            for part in (
                shorten(room.name, 60) if room is not None else "",
                shorten(storey.name, 40) if storey is not None else "",
                shorten(record.where, 120) if isinstance(record, Point) else "",
                f"{place.height_mm} mm above the floor" if place is not None and place.height_mm is not None else "",
            )
            if part
        )
        says.append(f"Where: {said}." if said else "Where it is, is not on record.")
        cables = self._cables()
        if cables:
            says.append(cables)
        return says

    def _room(self) -> Room | None:
        record = self._home.get(self._box)
        if isinstance(record, Device):
            record = self._home.take(Board, record.board)
        return room_of(self._home, self._memo, record) if isinstance(record, Point | Board | Plate) else None

    def _cables(self) -> str:
        """How many cables come into the box, as counted and as drawn."""
        if self._is_board:
            return ""
        counted = [self._home.take(Point, i).cables_seen for i in self._plan.points]
        inside = set(self._plan.points)
        drawn = sum(1 for run in self._home.table(Run).values() if {run.a.at, run.b.at} & inside)
        said = f"Cables on the map here: {drawn}"
        known = [each for each in counted if each is not None]
        return f"{said}; counted when it was open: {sum(known)}." if known else f"{said}; nobody has counted them."

    def _point(self, point_id: str) -> list[str]:
        point = self._home.take(Point, point_id)
        on = [view for view in self._views.values() if point_id in view.names]
        said = ", ".join(view.code for view in on) or "not known"
        by = dict.fromkeys(_BY[how] for view in on for m in view.members if m.point.id == point_id for how in m.by)
        known = settle(self._home, self._memo, self._trade).get(point_id)
        if known is not None and known.verdict not in ("settled", "unchecked"):
            by[f"in doubt: {known.verdict}"] = None
        return [self._names.of(point.id), said, " and ".join(by) or "nothing"]

    def _hazards(self) -> list[str]:
        says = []
        for subject in dict.fromkeys((self._box, *self._plan.points, *self._ways[:20])):
            for note in notes_of(self._home, subject):
                told = "; ".join(
                    part for part in (", ".join(note.seen), shorten(" ".join(note.text.split()), 300)) if part
                )
                if told:
                    says.append(f"{self._names.of(subject)}: {told}")
        return says

    def extract(self) -> list[Figure]:
        """Give the part of the plan that the box is on."""
        record = self._home.get(self._box)
        place_id = record.board if isinstance(record, Device) else self._box
        place = place_of(self._home, self._home.get(place_id))
        storey = self._home.find(Storey, place.storey) if place is not None else None
        if storey is None:
            return []
        stands = stands_on(self._home, storey.id, self._memo)
        ids = self._plan.points if isinstance(record, Point | Plate) else (place_id,)
        spots = [Spot(stands[each], "here", each if each.startswith("P") else self._names.of(each)[:24])
                 for each in ids if each in stands]  # fmt: skip
        if not spots:
            return []
        return spotted_plans(
            self._home, self._memo, storey, spots, title=shorten(storey.name, 40) or storey.id,
            wide_px=_EXTRACT_PX[0], high_px=_EXTRACT_PX[1],
        )[:1]  # fmt: skip

    # -- switching off ------------------------------------------------------------------------------------------

    def _device_said(self, device: Device) -> str:
        label = f" “{shorten(device.label, 40)}”" if device.label else ""
        rating = rating_words(device)
        kind = f"{device.kind} {rating}".strip()
        board = self._home.take(Board, device.board)
        room = room_of(self._home, self._memo, board)
        at = f"board {board.letter_on_map}" + (f", {shorten(room.name, 30)}" if room is not None and room.name else "")
        code = f"{self._home.code(device.id)} " if device.way else ""
        return f"{code}{kind}{label} ({at})"

    def _off(self, device_id: str) -> str:
        device = self._home.take(Device, device_id)
        said = self._device_said(device)
        if device.how_switched in ("leave alone", "can't be reached"):
            how = "is to be left alone" if device.how_switched == "leave alone" else "can't be reached"
            return f"{said}: {how}. Switch off above it, or don't open the box."
        if is_carrier(device):
            said += ": its carrier is pulled, with the main switch off, and kept with you"
        if device.keep_on:
            said += f". Must stay on: {shorten(device.keep_on, 80)}. Settle that first"
        return said

    def _source(self, number: int) -> str:
        source = other_sources(self._home)[number]
        where = f", {shorten(source.where, 60)}" if source.where else ""
        isolator = (
            f"its isolator: {shorten(source.isolator, 80)}" if source.isolator else "its isolator is not on record"
        )
        more = " Its d.c. side stays live by day." if source.kind == "PV" else ""
        if source.kind == "battery" and source.backup_output is not False:
            more = " It may keep, or make, circuits live by itself when the main switch goes off."
        return f"{source.kind}{where}; {isolator}.{more}"

    def _asked(self) -> str:
        asked = self._home.sorted(Supply)
        if asked and all(each.sources_asked for each in asked):
            return "" if other_sources(self._home) else "Asked for, and none is on record: solar, battery, generator …"
        return (
            "Nobody asked yet whether there is another supply: solar panels, a battery, a generator, a vehicle, a "
            "landlord's or neighbour's supply. Ask first."
        )

    def _way(self, way: str) -> list[str]:
        device = self._home.take(Device, way)
        view = self._views.get(way)
        over = [each for each in view.above if not is_main(each)] if view is not None else []
        above = ", ".join(self._names.of(each.id) for each in over) or "–"
        other = [i for i in view.names if i not in self._plan.points] if view is not None else []
        count = f"{len(other)} more point{'' if len(other) == 1 else 's'}" if other else "nothing else on the map"
        return [self._device_said(device), above, count]

    def _joined(self) -> Iterator[str]:
        """Name ways that feed each other: with one off, its own outgoing terminal stays live."""
        seen: set[frozenset[str]] = set()
        for way in self._ways:
            view = self._views.get(way)
            if view is None or view.shape is None or view.shape.kind not in JOINED:
                continue
            group = frozenset(view.shape.devices)
            if len(group) > 1 and group not in seen:
                seen.add(group)
                codes = [self._home.code(each) for each in sorted(group, key=natural_key)]
                yield (
                    f"{' and '.join(codes)} are joined: with one off, its own outgoing terminal and its cables stay "
                    "live from the other. Treat them as one: all off, locked, then prove."
                )

    def _several(self) -> str:
        if len(self._ways) < 2 or self._is_board:
            return ""
        codes = [self._home.code(way) for way in self._ways]
        return f"More than one circuit is in this box ({', '.join(codes[:12])}): with one off the others stay live."

    def _unsettled(self) -> str:
        if not self._plan.unsettled:
            return ""
        named = self._names.listed(self._plan.unsettled, 8)
        return f"What feeds {named} is not settled: nothing less than the main switch will do."

    def _alone(self, alone: IsolationPlan) -> str:
        if alone.whole_board or not alone.ways or set(alone.ways) != set(self._ways):
            return "One way alone is not enough for this box."
        codes = " and ".join(self._home.code(way) for way in alone.ways)
        return (
            f"The exception, for the skilled person to decide: {codes} alone. A neutral stays connected where a "
            "device switches the line only, and everything else on the board stays live."
        )

    def _neutrals(self) -> Iterator[str]:
        codes = [self._home.code(way) for way in self._ways[:12]]
        of = f" of {', '.join(codes)}" if codes else ""
        yield (
            f"No switch-off proves a neutral{of}. One in this box may belong to another way, be live with its own way "
            "off, and trip an RCD when it touches earth."
        )
        single = [
            self._home.code(way)
            for way in self._ways
            if not self._home.take(Device, way).neutral_switched and self._home.take(Device, way).poles in (None, 1)
        ]
        if single:
            some = ", ".join(single[:12]) + (" and others" if len(single) > 12 else "")
            yield f"Not known to switch its neutral: {some}."
        for reading in self._home.sorted(Reading):
            near = {reading.device, reading.at} & {*self._ways, *self._plan.points}
            if reading.test == "neutral to neutral" and near and reading.value_si is not None:
                yield f"Neutral to neutral was read there: {shorten(reading.typed, 30)} Ω ({self._day(reading.visit)})."

    def _proof_rows(self) -> list[str]:
        """Give the lines of the table to be filled in: one for each way known in the box, and the rest."""
        ways = [self._home.code(way) for way in self._ways[:_MOST_WAYS]] if not self._is_board else []
        if self._is_board:
            return ["outgoing side of the main switch", "busbar and every device", "neutral bar", "any other conductor"]
        rows = [*ways] or ["the circuit in it, whichever it is"]
        if len(ways) > 1:
            rows.append(f"between {' and '.join(ways[:4])}")
        return [*rows, "switched lines, strappers", "any other conductor"]

    # -- who loses supply ---------------------------------------------------------------------------------------

    def _mattering(self, losses: Sequence[Loss]) -> list[Loss]:
        return [loss for loss in losses if loss.word != "nothing"][:_MOST_LOSSES]

    def _more(self, losses: Sequence[Loss]) -> str:
        rest = len({loss.point for loss in losses} - {loss.point for loss in self._mattering(losses)})
        if not rest:
            return ""
        one = rest == 1
        return f"{rest} more point{' loses' if one else 's lose'}, or may lose, supply; the circuit chart names them."

    def _loss(self, loss: Loss) -> list[str]:
        point = self._home.take(Point, loss.point)
        room = self._names.rooms.get(loss.point, "")
        sure = "loses supply" if loss.sure else "may lose supply"
        return [shorten(title(point, loss.load), 80), shorten(room, 40), sure, _LOSS_WORDS[loss.word]]

    def _tell(self, losses: Iterable[Loss]) -> Iterator[str]:
        yield "The occupier: agreed before anything goes off."
        # The whole board goes off, so that it doesn't matter whether it is known what feeds them.
        points = self._home.sorted(Point)
        households = dict.fromkeys(shorten(each.belongs_to, 80) for each in points if each.belongs_to)
        for household in households:
            yield f"{household}: another household loses supply; agreed with them too."
        if any(loss.word == "medical" for loss in losses):
            yield "Whoever relies on medical equipment: another supply proved, and until when."
        if any(loss.word in ("phone", "security") for loss in losses):
            yield "Whoever answers the alarm or telecare; the telephone goes with the router."
        yield "Everybody in the house: what is locked off stays locked off until you say so."

    # -- earlier ------------------------------------------------------------------------------------------------

    def _day(self, visit: str) -> str:
        return day_said(datetime.date.fromisoformat(self._home.take(Visit, visit).day))

    def _earlier(self) -> Iterator[str]:
        here = {self._box, *self._plan.points}
        for record in self._home.sorted(Isolation):
            if set(record.box) & here:
                missing = missing_steps(record, self._home)
                said = "proved dead then" if not missing else "not every step was recorded"
                by = f" by {shorten(record.by, 60)}" if record.by else ""
                yield f"{self._day(record.visit)}, {time_said(record.at)}{by}: {said}. It says nothing of now."
