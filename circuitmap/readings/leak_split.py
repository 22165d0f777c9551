"""Where to open a circuit next so that the least work is to be expected: exact on small circuits, the best few on big.

The cost of a part is C(T) = min over its places v of [cost of v + Σ P(part | T) · C(part)], summed over the parts that
taking the cables out at v leaves: the alphabetic search of a path, grown to trees. A part that nothing splits costs
nothing more. Loops split by no place; the first one opened in a loop only makes a path of it.

**Source:** expected cost of a decision tree, arithmetic.
"""

from collections.abc import Collection, Mapping
from functools import lru_cache
from math import log2
from typing import Final, Literal, NamedTuple

from circuitmap.readings.leak import Layout, switch_of

By = Literal["minutes", "openings"]
EXACT_PLACES: Final = 10
BEST_FEW: Final = 4
MOST_STATES: Final = 1500


class Split(NamedTuple):
    """The place to open next, and what the search still costs to be expected, in minutes or openings."""

    place: str
    cost: float


@lru_cache(maxsize=8)
def _splitter(layout: Layout, off: frozenset[str], shut: frozenset[str], by: By, opened: frozenset[str]) -> "Splitter":
    return Splitter(layout, off, shut, by, opened)


def best_split(
    layout: Layout,
    part: frozenset[str],
    off: Collection[str],
    shut: Collection[str] = (),
    by: By = "minutes",
    open_at: Collection[str] = (),
) -> Split | None:
    """Give where to open a part next, None where nothing splits it.

    Parameters
    ----------
    part
        Sections that hang together.
    off
        Equipment that is off: it can't hold the leak.
    shut
        Places that can't be opened.
    open_at
        Places that are open already.
    """
    opened = layout.units & frozenset(open_at)  # other open places are in no part that hangs together
    return _splitter(layout, frozenset(off), frozenset(shut), by, opened).best(part)


class Splitter:
    """Searches one layout with its equipment on or off as it is."""

    def __init__(
        self, layout: Layout, off: frozenset[str], shut: frozenset[str], by: By, opened: frozenset[str]
    ) -> None:
        self._read = layout.read_minutes if by == "minutes" else 0.0
        self._cost = {p.point: p.minutes if by == "minutes" else 1.0 for p in layout.places if p.point not in shut}
        self._at = {cable.key: (cable.a, cable.b) for cable in layout.cables}
        self._weight = {section.key: section.weight for section in layout.sections if section.kind != "equipment"}
        for key in layout.equipment - off:
            section = layout.by_key[key]
            if section.record in self._weight:
                self._weight[section.record] += section.weight
            else:  # what a board feeds hangs on the cable's end there
                ends = [cable for cable, at in self._at.items() if section.record in at]
                for cable in ends[:1]:
                    self._weight[cable] += section.weight
        self._loads = {
            (cable.key, at): load for cable in layout.cables
            for at, load in ((cable.a, cable.a_load), (cable.b, cable.b_load))
        }  # fmt: skip
        self._parted = frozenset(unit for unit in layout.units if switch_of(unit) in off) - opened
        self._joints = {at for ends in self._at.values() for at in ends if at} - layout.place.keys()
        self._known: dict[frozenset[str], Split | None] = {}

    def best(self, part: frozenset[str]) -> Split | None:
        """Give where to open a part next, None where nothing splits it."""
        return self._best(frozenset(key for key in part if key in self._weight))

    def _best(self, part: frozenset[str]) -> Split | None:
        if part in self._known:
            return self._known[part]
        whole = self._sum(part)
        options: list[tuple[float, str, list[frozenset[str]]]] = []
        for place in sorted(key for key in self._places(part) if key in self._cost):
            parts = self._without(part, place)
            if len(parts) > 1:
                cost = self._cost[place] + self._read * len(parts)
                # A place in a loop parts little by itself, but the path it leaves is halved by the next.
                options.append((_bits([self._sum(one) for one in parts], whole) / cost, place, parts))
        options.sort(key=_first, reverse=True)
        if len(self._known) > MOST_STATES:
            options = options[:1]
        elif len(options) > EXACT_PLACES and not self._is_path(part):
            options = options[:BEST_FEW]
        found: Split | None = None
        for _, place, parts in options:
            cost = self._cost[place] + self._read * len(parts)
            for one in parts:
                if found is not None and cost >= found.cost:
                    break
                after = self._best(one)
                cost += self._sum(one) / whole * (after.cost if after is not None else 0.0)
            if found is None or cost < found.cost - 1e-12:
                found = Split(place, cost)
        self._known[part] = found
        return found

    def _sum(self, part: frozenset[str]) -> float:
        return sum(self._weight[key] for key in part)

    def _places(self, part: frozenset[str]) -> set[str]:
        """Give the places whose opening parts something here: accessories within, and units at its edge are none."""
        return {key for key in part if key not in self._at}

    def _is_path(self, part: frozenset[str]) -> bool:
        near: dict[str, int] = {}
        for key in part:
            for at in self._at.get(key, ()):
                if at in part:
                    near[at] = near.get(at, 0) + 1
        return all(count <= 2 for count in near.values())

    def _without(self, part: frozenset[str], place: str) -> list[frozenset[str]]:
        """Give the parts left when a place's cables are out; the accessory there stands alone."""
        around: dict[str, list[str]] = {}
        for key in part:
            for spot in self._spots(key, part, place):
                around.setdefault(spot, []).append(key)
        found: list[frozenset[str]] = [frozenset((place,))]
        left = set(part) - {place}
        while left:
            start = min(left)
            group, queue = {start}, [start]
            while queue:
                key = queue.pop()
                for spot in self._spots(key, part, place) if key in self._at else (key,):
                    more = [other for other in (spot, *around.get(spot, ())) if other in left and other not in group]
                    group.update(more)
                    queue += more
            found.append(frozenset(group))
            left -= group
        return found

    def _spots(self, key: str, part: frozenset[str], place: str) -> list[str]:
        """Give what joins a cable to others of its part: places that are closed, and the load side of a unit."""
        found = []
        for at in self._at.get(key, ()):
            if not at or at == place:
                continue
            if at in self._parted and self._loads[key, at]:
                found.append(f"{at} load")
            elif at in part or at in self._joints:
                found.append(at)
        return found


def _bits(weights: list[float], whole: float) -> float:
    return sum(-w / whole * log2(w / whole) for w in weights if w > 0) if whole > 0 else 0.0


def _first(option: tuple[float, str, list[frozenset[str]]]) -> float:
    return option[0]


def by_weight(keys: Collection[str], weights: Mapping[str, float]) -> tuple[str, ...]:
    """Give some of the keys that come to about half the suspicion, the likeliest first."""
    order = sorted(keys, key=lambda key: (-weights[key], key))
    half, taken = sum(weights[key] for key in keys) / 2, 0.0
    found: list[str] = []
    for key in order:
        if found and (taken >= half or len(found) == len(order) - 1):
            break
        found.append(key)
        taken += weights[key]
    return tuple(found)
