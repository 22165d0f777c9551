"""Who loses what when some devices go off, and how likely.

Until a load's feed is settled by a switch-off, every switch-off may take it; a small chance makes nothing smaller.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from circuitmap.home.records import Device, Load, Point, Tag, natural_key
from circuitmap.home.snapshot import Home
from circuitmap.memo import Memo
from circuitmap.survey.deduce import Deduced, deduce
from circuitmap.survey.kinds import is_carrier, is_main, is_way
from circuitmap.survey.likely import LIKELY, SMALL, Chances, is_settled, together
from circuitmap.survey.settle import settle
from circuitmap.survey.taken import Taken, main_switches, taken
from circuitmap.trade import Trade
from circuitmap.words import IfOff, kind_said, rank

GRAVEST: Final[tuple[IfOff, ...]] = (
    "medical", "phone", "security", "lost work", "spoils", "heating", "resets", "nothing",
)  # fmt: skip
CONFIRMED: Final[frozenset[IfOff]] = frozenset({"security", "phone"})  # settled with whoever relies on them
_PHONE_WORDS: Final = ("router", "phone", "telephone", "telecare", "hub")


@dataclass(frozen=True, slots=True)
class Loss:
    """A point, and one load on it, that a switch-off takes; not ``sure`` while its feed isn't settled.

    ``chance`` is how likely it is: 1 when it is sure, None while nothing has been weighed.
    """

    point: str
    load: Load | None
    sure: bool
    chance: float | None = None

    @property
    def word(self) -> IfOff:
        """What its loss means to somebody."""
        return self.load.if_off if self.load is not None else "nothing"

    @property
    def is_small(self) -> bool:
        """Whether it is unlikely, but can't be ruled out."""
        return not self.sure and self.chance is not None and self.chance < SMALL


def impact(
    home: Home, devices: Iterable[str], memo: Memo, trade: Trade | None = None, chances: Chances | None = None
) -> tuple[Loss, ...]:
    """Give who loses what when some devices go off, the gravest and likeliest first.

    With the trade tables, kinds that matter count as loads too. With the chances that the survey has weighed, each
    loss says how likely it is; a point is settled only when the weighing agrees, and a wrong check among many right
    ones doesn't unsettle it. Points without a load are named only when it is sure, or likely, that they lose supply.
    """
    out, said = down(home, devices, memo), _said(home)
    known = settle(home, memo, trade) if chances is not None and trade is not None else deduce(home, memo)
    ways = frozenset(i for i in out.may if is_way(home.take(Device, i)))
    losses: list[Loss] = []
    for point in existing(home):
        loads, found = loads_of(point, trade), known[point.id]
        odds = chances.get(point.id) if chances is not None else None
        settled = found.verdict == "settled" and is_settled(odds, found.candidates[0])
        if _surely(found, said.get(point.id, frozenset()), out, settled=settled):
            losses += [Loss(point.id, load, True, 1.0) for load in loads] or [Loss(point.id, None, True, 1.0)]
        elif out.may and not (settled and found.candidates[0] not in out.may):
            chance = together(odds, ways) if odds is not None else None
            named = [load for load in loads if load.if_off != "nothing"]
            losses += [Loss(point.id, load, False, chance) for load in named]
            if not named and chance is not None and chance >= LIKELY:
                losses.append(Loss(point.id, None, False, chance))
    return tuple(sorted(losses, key=_gravest_first))


def down(home: Home, devices: Iterable[str], memo: Memo) -> Taken:
    """Give what is without supply at some time in a switch-off, main switches for carriers included."""
    off = tuple(devices)
    return taken(home, dict.fromkeys((*off, *mains_for_carriers(home, off))), memo)


def mains_for_carriers(home: Home, devices: Iterable[str]) -> tuple[str, ...]:
    """Give the main switches that go off before a carrier is pulled and again before it goes back."""
    found: dict[str, None] = {}
    for device_id in devices:
        device = home.take(Device, device_id)
        if is_carrier(device):
            mains = [each.id for each in home.devices_on(device.board) if is_main(each)]
            found.update(dict.fromkeys(mains or [each.id for each in main_switches(home)]))
    return tuple(found)


def existing(home: Home) -> list[Point]:
    """Give the points that are there now, in the order of their ids."""
    return [point for point in home.sorted(Point) if point.phase == "existing"]


def loads_of(point: Point, trade: Trade | None) -> tuple[Load, ...]:
    """Give what a point feeds: the loads listed there, or what its kind stands for where that matters."""
    if point.loads or trade is None:
        return point.loads
    row = trade.point(point.kind)
    if row.if_off == "" or row.if_off == "nothing":
        return ()
    return (Load(what=row.title, if_off=row.if_off),)


def is_phone(load: Load) -> bool:
    """Whether the telephone goes with a load: with the router go emergency calls and telecare."""
    words = f"{load.what} {load.name}".casefold()
    return load.if_off == "phone" or any(word in words for word in _PHONE_WORDS)


def title(point: Point, load: Load | None) -> str:
    """Give what a loss is called in a sentence."""
    what = (load.name or load.what) if load is not None else (point.name or kind_said(point.kind))
    return f"{what} ({point.id})"


def listed(names: Iterable[str]) -> str:
    """Give some names in a list."""
    named = list(names)
    return " and ".join([", ".join(named[:-1]), named[-1]]) if len(named) > 1 else "".join(named)


def titles(points: Mapping[str, Point], losses: Iterable[Loss], most: int = 0) -> str:
    """Give what some losses are called, in a list; with ``most``, that many of them."""
    names = list(dict.fromkeys(title(points[loss.point], loss.load) for loss in losses))
    return f"{', '.join(names[:most])} and others" if 0 < most < len(names) else listed(names)


def _gravest_first(loss: Loss) -> tuple[int, float, tuple[str, int]]:
    chance = loss.chance if loss.chance is not None else 0.0
    return GRAVEST.index(loss.word), -chance, natural_key(loss.point)


def _surely(found: Deduced, tagged: frozenset[str], out: Taken, *, settled: bool) -> bool:
    if settled:
        return found.candidates[0] in out.sure
    return bool(tagged & out.sure)


def _said(home: Home) -> dict[str, frozenset[str]]:
    """Give what was said directly by somebody who saw it: the devices tagged to each point."""
    gathered: dict[str, set[str]] = {}
    for tag in home.table(Tag).values():
        if rank(tag.evidence) == 2:
            gathered.setdefault(tag.target, set()).add(tag.device)
    return {target: frozenset(devices) for target, devices in gathered.items()}
