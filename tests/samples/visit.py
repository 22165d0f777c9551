"""How the sample homes were surveyed: looks and switch-offs whose answers are what the wiring gives, boxes opened.

The truth is taken from the runs alone; the deduction has to find it again from the answers.
"""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta

from circuitmap import trade
from circuitmap.circuits import views
from circuitmap.home import Home, verbs
from circuitmap.home.records import Arrangement, Consent, Device, Point, ProvingTest, Round
from circuitmap.memo import Memo
from circuitmap.survey.deduce import deduce
from circuitmap.survey.walk import walk_order
from circuitmap.wiring import under
from circuitmap.words import LocalSwitch, OtherSourceKind, WhoAgreed
from tests.samples.hand import Hand

_PAIRS = ("L-N", "L-E", "N-E")
_BESIDE = {"socket", "usb socket", "rcd socket", "outdoor socket", "appliance outlet"}


def fed_by(home: Home) -> dict[str, str]:
    """Give the way that feeds each point, by the runs drawn."""
    truth: dict[str, str] = {}
    for view in views(home, trade.load(), Memo()):
        for member in view.members:
            if "run" in member.by:
                assert member.point.id not in truth, f"{member.point.id} is on two ways"
                truth[member.point.id] = view.device.id
    return truth


def is_checkable(point: Point) -> bool:
    """Whether a switch-off can tell anything of a point by looking at it."""
    return trade.load().point(point.kind).checkable and not point.uncheckable


class Visit:
    """One visit: a clock that goes on with every step, the testers, who agreed."""

    def __init__(self, hand: Hand, day: str, start: str, by: str, agreed: WhoAgreed = "occupier") -> None:
        self.hand = hand
        self.agreed = agreed
        self.now = datetime.fromisoformat(f"{day}T{start}:00").replace(tzinfo=UTC)
        self.by = by
        self.id = hand.do(verbs.start_visit(hand.home, day, "survey", by))
        self.testers: dict[str, str] = {}
        self.arranged: tuple[Arrangement, ...] = ()
        self.until = ""

    def tester(self, kind: str, name: str) -> str:
        """Bring a tester, or the one already brought."""
        if name not in self.testers:
            self.testers[name] = self.hand.do(verbs.add_instrument(self.hand.home, kind, name))  # type: ignore[arg-type]
        return self.testers[name]

    def tick(self, seconds: int) -> str:
        """Let some time pass and give the instant."""
        self.now += timedelta(seconds=seconds)
        return self.now.strftime("%Y-%m-%dT%H:%M:%SZ")

    # -- switch-offs --------------------------------------------------------------------------------------------

    def look(
        self,
        *off: str,
        sources: tuple[OtherSourceKind, ...] = (),
        lamp: Iterable[str] = (),
        points: Sequence[str] | None = None,
    ) -> str:
        """Go round once with some ways off; points settled already are left alone, but for the first two looks.

        ``lamp`` are points with a lamp left on as witnesses: looked at when starting and before the power goes back.
        ``points`` are the only ones to be looked at.
        """
        hand = self.hand
        agreed: Consent | None = None
        if off:
            agreed = Consent(
                at=self.tick(240),
                by=self.agreed,
                confirmed=self._asked_about(),
                arrangements=self.arranged,
                until=self.until,
            )
        at = self.tick(60)
        record = hand.do(verbs.open_round(hand.home, self.id, off, sources, agreed, at))
        witnesses = tuple(lamp)
        if witnesses:
            hand.do(verbs.record_event(hand.home, record, "look good", points=witnesses, at=self.tick(30)))
        out = under(hand.home, off)
        truth = fed_by(hand.home)
        number = len(hand.home.table(Round))
        for point_id in self._to_check(number) if points is None else walk_order(hand.home, points):
            goes = truth[point_id] in out
            point = hand.home.take(Point, point_id)
            hand.do(
                verbs.record_check(
                    hand.home,
                    record,
                    point_id,
                    "off" if goes else "still on",
                    self.tick(_seconds(point)),
                    instrument=self.tester("socket indicator", "plug-in indicator") if point.kind in _BESIDE else None,
                    local_switch=self._local(point),
                )
            )
        if witnesses:
            hand.do(verbs.record_event(hand.home, record, "look good", points=witnesses, at=self.tick(20)))
        if off:
            hand.do(verbs.record_event(hand.home, record, "power back", at=self.tick(90)))
        self.tick(120)
        return record

    def _to_check(self, number: int) -> Sequence[str]:
        home = self.hand.home
        points = [point.id for point in home.sorted(Point) if is_checkable(point)]
        if number > 2:
            known = deduce(home, Memo())
            points = [i for i in points if known[i].verdict != "settled"]
        return walk_order(home, points)

    def _asked_about(self) -> tuple[str, ...]:
        """The points whose loss was gone through one by one."""
        book = trade.load()
        found = []
        for point in self.hand.home.sorted(Point):
            words = {load.if_off for load in point.loads} or {book.point(point.kind).if_off}
            if words - {"", "nothing"}:
                found.append(point.id)
        return tuple(found)

    def _local(self, point: Point) -> LocalSwitch:
        workers = [p for p in self.hand.home.sorted(Point) if point.id in p.controls]
        if workers:
            return "both ways tried" if len(workers) > 1 else "on"
        return "on" if point.kind in _BESIDE else "no switch"

    # -- opening up ---------------------------------------------------------------------------------------------

    def open_up(self, off: tuple[str, ...], sources: tuple[OtherSourceKind, ...] = (), minutes: int = 4) -> int:
        """Prove dead at every box whose cables were counted, one after the other; give how many there were."""
        hand = self.hand
        indicator = self.tester("voltage indicator", "two-pole voltage indicator with proving unit")
        boxes: dict[str, list[str]] = {}
        for point_id in walk_order(hand.home):
            point = hand.home.take(Point, point_id)
            if point.cables_seen is not None or point.cables_seen_load is not None:
                boxes.setdefault(point.plate or point_id, []).append(point_id)
        board = {device.board for device in hand.home.sorted(Device) if device.cables_seen is not None}
        for box in (*((i,) for i in sorted(board)), *map(tuple, boxes.values())):
            self.prove_dead(box, off, sources, indicator, minutes)
        return len(boxes)

    def prove_dead(self, box: tuple[str, ...], off: tuple[str, ...], sources: tuple[OtherSourceKind, ...],
                   indicator: str, minutes: int) -> str:  # fmt: skip
        tests = tuple(ProvingTest(pair=pair, dead=True, volts=0.0) for pair in _PAIRS)  # type: ignore[arg-type]
        return self.hand.do(
            verbs.record_isolation(
                self.hand.home,
                self.id,
                box,
                off,
                tests,
                locked=True,
                proved_before=True,
                proved_after=True,
                sources_off=sources,
                instrument=indicator,
                by=self.by,
                at=self.tick(60 * minutes),
            )
        )

    def limit(self, subject: str, reason: str, agreed_by: str) -> str:
        return self.hand.do(verbs.add_limitation(self.hand.home, subject, reason, agreed_by, self.id))


def _seconds(point: Point) -> int:
    return 12 if point.kind in ("ceiling rose", "light", "downlight") else 22
