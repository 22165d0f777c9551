"""One switch-off as a course of moments: what was off when, and which answers can be believed.

Tripping takes a device and all under it down from that instant; a witness lamp found out sets aside every answer since
the last good look. An answer in the same second as an event is read both ways, and only what holds either way is used.
An answer written after the power came back was keyed in from paper: it counts for the whole course of its switch-off.
Looking at points again after the power is back is a new look with everything on, not a part of the switch-off.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from circuitmap.home.records import Round, RoundEvent
from circuitmap.survey.taken import Taken

Expand = Callable[[frozenset[str]], Taken]


@dataclass(frozen=True, slots=True)
class Moment:
    """What an answer may be read against: devices off for certain, devices off at most, and whether it counts.

    ``sets_aside`` means that the answer waits to be asked again. ``everything`` means that the whole home and every
    recorded other source was off; ``baseline`` that nothing was.
    """

    sure: frozenset[str]
    may: frozenset[str]
    sets_aside: bool = False
    everything: bool = False
    baseline: bool = False


@dataclass(frozen=True, slots=True)
class Timeline:
    """The moments of one switch-off, from each instant on; the first holds from the beginning."""

    round: str
    visit: str
    off: tuple[str, ...]
    moments: tuple[tuple[str, Moment], ...]
    aside: tuple[tuple[str, str], ...] = ()

    def at(self, instant: str) -> Moment:
        """Give what an answer of an instant is read against."""
        if len(self.moments) == 1 and not self.aside:
            return self.moments[0][1]
        when = instant.rstrip("Z")
        held = self.moments[0][1]
        for since, moment in self.moments[1:]:
            if since < when:
                held = moment
            elif since == when:
                held = _both(held, moment)
        if not held.sets_aside and any(first <= when <= last for first, last in self.aside):
            return Moment(held.sure, held.may, sets_aside=True)
        return held


def timeline_of(record: Round, expand: Expand, is_everything: Callable[[frozenset[str]], bool]) -> Timeline:
    """Give the course of a switch-off from its record; ``expand`` says what some devices take with them."""
    course = _Course(record, expand, is_everything)
    for event in sorted(record.events, key=lambda each: each.at.rstrip("Z")):
        if course.ended:
            break
        course.take(event)
    return Timeline(record.id, record.visit, record.off, tuple(course.moments), tuple(course.aside))


class _Course:
    """The state of a switch-off while its events are gone through."""

    def __init__(self, record: Round, expand: Expand, is_everything: Callable[[frozenset[str]], bool]) -> None:
        self.record, self.expand, self.is_everything = record, expand, is_everything
        self.off = frozenset(record.off)
        self.tripped: frozenset[str] = frozenset()
        self.out: set[str] = set()  # lamps found out that nothing has explained; "" for a lamp that nobody named
        self.unexplained = False
        self.ended = False
        self.good: dict[str, str] = {}  # when each lamp was last seen alight
        self.aside: list[tuple[str, str]] = []
        self.moments: list[tuple[str, Moment]] = [("", self._moment())]

    def take(self, event: RoundEvent) -> None:
        """Go on by one event."""
        at, devices = event.at.rstrip("Z"), frozenset(event.devices)
        match event.what:
            case "off":
                self.off |= devices
            case "on":
                self.off -= devices
                self.tripped = self.tripped - devices if devices else frozenset()
                self._explain()
            case "trip" | "trip on closing":
                self.tripped |= devices
                self._explain()
                self.unexplained = not devices
            case "look good":
                self._see_alight(at, event.points)
            case "look out":
                self.aside.append((self._last_good(event.points), at))
                self.out |= set(event.points) or {""}
            case "power back":
                self._end(at)
                return
            case "pause" | "resume" | "others lost power":
                return
        if self.record.off and not self.off and not self.tripped:
            self._end(at)
            return
        moment = self._moment()
        if moment != self.moments[-1][1]:
            self.moments.append((at, moment))

    @property
    def doubtful(self) -> bool:
        """Whether something went off that nobody has named."""
        return self.unexplained or bool(self.out)

    def _explain(self) -> None:
        self.out.clear()
        self.unexplained = False

    def _see_alight(self, at: str, lamps: tuple[str, ...]) -> None:
        """Take a good look at some lamps; at all that are watched when none is named."""
        for lamp in lamps or ("", *self.good, *self.out):
            self.good[lamp] = at
            self.out.discard(lamp)
        if not self.out:
            self.unexplained = False

    def _last_good(self, lamps: tuple[str, ...]) -> str:
        """Give when all of some lamps were last seen alight; a good look at one says nothing of another."""
        if lamps:
            return min(self.good.get(lamp, self.good.get("", "")) for lamp in lamps)
        return self.good.get("", min(self.good.values(), default=""))

    def _end(self, at: str) -> None:
        """Close the course: what is written later is read against all that was off in it."""
        self.ended = True
        if not self.record.off and not self.tripped:
            return
        course = [moment for _, moment in self.moments]
        late = course[0]
        for moment in course[1:]:
            late = _both(late, moment)
        late = Moment(late.sure, late.may, self.doubtful, late.everything, late.baseline)
        if late != course[-1]:
            self.moments.append((at, late))

    def _moment(self) -> Moment:
        out = self.expand(self.off | self.tripped)
        nothing = not (self.off or self.tripped or self.record.sources_off)
        # What a trip took may come back by itself in nobody's sight; only what was switched off shows another source.
        all_off = not nothing and self.is_everything(self.expand(self.off).sure)
        return Moment(out.sure, out.may, self.doubtful, all_off, nothing)


def _both(one: Moment, other: Moment) -> Moment:
    return Moment(
        one.sure & other.sure,
        one.may | other.may,
        one.sets_aside or other.sets_aside,
        one.everything and other.everything,
        one.baseline and other.baseline,
    )


def order_of_visits(visits: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    """Give visit ids in the order of their days, then ids, from pairs of day and id."""
    return tuple(i for _, i in sorted(visits, key=lambda pair: (pair[0], int(pair[1][1:]))))
