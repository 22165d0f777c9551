"""Weighing the explanations of every point's feed by Bayes' rule, in plain arrays, without a home in sight.

For a point p with prior u over the ways, E (fed from elsewhere) and N (not fed, or locally off), and answers o:

    P(way d | o)      is proportional to  u_d · L_d(o) · (1 - R_d)
    P(a and b joined) is proportional to  (u_a + u_b) · L_ab(o) · r_ab
    P(E | o), P(N | o) likewise

where L is the product over the answers of the chance of what was seen if that explanation held; a point on joined
ways is off only when both are off. Joining is a fact of the home, not of a point: all points of both ways are fed by
both. So its odds r_ab come from all *other* points together (leaving p out, lest its answers count twice), from
how rare joined ways are, and from ways on which nothing else was found. R_d is the chance that d is joined to any.

An answer is wrong by a slip: seems off though on (``off_slip``), seems on though off (``on_slip``). What is wrong at
every look (a dead lamp, a battery of its own) is no slip: such a point behaves like N or like E, which carry it.

Source: Bayes' rule; the rates are rows of ``resources/trade/survey.toml``.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from circuitmap.survey.evidence import Told

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

JOINED_HOMES: Final = 0.05  # our own estimate: homes in which two ways are joined somewhere
EMPTY_WAY: Final = 0.1  # our own estimate: ways on which a survey finds nothing
POINT_JOINED: Final = 2e-4  # our own estimate: one point fed by two lines though its circuits are apart
EITHER: Final = 2e-3  # our own estimate: line from one way, switched neutral from another
ELSEWHERE: Final = 0.01  # our own estimate
NOT_FED: Final = 0.01  # our own estimate
LIKE_PLATE: Final = 0.7  # our own estimate: points on one plate that share their way
LIKE_ROOM: Final = 0.5  # our own estimate: points of one family in one room that do
PAIRED_WAYS: Final = 40  # up to so many ways every pair is weighed; beyond, only ways on which nothing was found
_WORST: Final = -60.0  # a log chance that no answer may push one explanation below at a stroke
_MISFIT: Final = -3.0
_LEANING: Final = 7.0  # what was believed beforehand may make a pair 1000 times likelier, all points together, no more
_NOTHING: Final = 1e-30


class Belief:
    """Chances of every explanation for each of some points; ``tell`` replaces what is known of one of them.

    Parameters
    ----------
    prior
        Chance of each way before looking, one row a point, rows summing to 1: shape (points, ways).
    stuck_off, stuck_on
        Chance that a point seems off, or on, at every look whatever feeds it: shape (points,).
    rooms, plates
        A number for each point; points with the same one, from 0 up, are neighbours: shape (points,).
    """

    def __init__(
        self,
        prior: Floats,
        stuck_off: Floats,
        stuck_on: Floats,
        rooms: NDArray[np.intp] | None = None,
        plates: NDArray[np.intp] | None = None,
    ) -> None:
        self.points, self.ways = prior.shape
        self.prior = np.log(np.maximum(prior, 1e-12))
        self.not_fed = np.log(NOT_FED + stuck_off)
        self.elsewhere = np.log(ELSEWHERE + stuck_on)
        self.share = np.log(np.maximum(1 - np.exp(self.not_fed) - np.exp(self.elsewhere), 0.5))
        self.flocks = [(group, like) for group, like in ((rooms, LIKE_ROOM), (plates, LIKE_PLATE)) if group is not None]
        self.looked = np.zeros(self.points, dtype=bool)
        self.told: list[Told | None] = [None] * self.points
        self.single = np.zeros((self.points, self.ways))
        self.as_off = np.zeros(self.points)
        self.as_on = np.zeros(self.points)
        self._vectors: dict[int, Floats] = {}
        self._pair_vectors: dict[tuple[int, int], Floats] = {}
        self._set_pairs(np.arange(self.ways) if self.ways <= PAIRED_WAYS else np.arange(0))

    # -- telling ------------------------------------------------------------------------------------------------

    def tell(self, point: int, told: Told) -> None:
        """Take what is now known of a point in place of what was known before."""
        if self.told[point] is told:
            return
        self.told[point] = told
        self.looked[point] = bool(told.seen)
        row, off, on = np.zeros(self.ways), 0.0, 0.0
        for seen in told.seen:
            down = self._down(seen.sure, seen.may)
            row += _log(down, seen.live, seen.off_slip, seen.on_slip)
            off += np.log(seen.on_slip if seen.live else 1 - seen.on_slip)
            on += np.log(1 - seen.off_slip if seen.live else seen.off_slip)
        self.single[point], self.as_off[point], self.as_on[point] = row, off, on
        self._tell_pairs(point, told)
        self._stale = True

    def forget_vectors(self) -> None:
        """Let go of the vectors kept per set of ways, when there are very many."""
        if len(self._vectors) > 5000:
            self._vectors.clear()
            self._pair_vectors.clear()

    def _down(self, sure: int, may: int) -> Floats:
        """Give for each way whether it was off: 1, or ½ where that is not certain."""
        if sure == may:
            return self._bits(sure)
        return (self._bits(sure) + self._bits(may)) / 2

    def _bits(self, mask: int) -> Floats:
        known = self._vectors.get(mask)
        if known is None:
            raw = np.frombuffer(mask.to_bytes((self.ways + 7) // 8 or 1, "little"), dtype=np.uint8)
            known = self._vectors[mask] = np.unpackbits(raw, bitorder="little")[: self.ways].astype(np.float64)
        return known

    # -- pairs --------------------------------------------------------------------------------------------------

    def _set_pairs(self, suspects: NDArray[np.intp]) -> None:
        self.suspects = suspects
        a, b = np.triu_indices(len(suspects), 1)
        self.first, self.second = suspects[a], suspects[b]
        self.pairs = len(self.first)
        self.both = np.zeros((self.points, self.pairs))
        self.lifts = np.zeros((self.points, self.pairs))
        self.leans = np.zeros((self.points, self.pairs))
        self.leaning = np.zeros(self.pairs)
        self.odds = np.full(self.pairs, np.log(JOINED_HOMES / max(self.ways * (self.ways - 1) / 2, 1)))
        self._pair_vectors.clear()
        self._stale = True
        for point, told in enumerate(self.told):
            if told is not None:
                self._tell_pairs(point, told)

    def _tell_pairs(self, point: int, told: Told) -> None:
        if not self.pairs:
            return
        row = np.zeros(self.pairs)
        for seen in told.seen:
            row += _log(self._pair_down(seen.sure, seen.may), seen.live, seen.off_slip, seen.on_slip)
        self.both[point] = row
        lift = self._lift(point)
        # Answers that a way alone explains as well speak for a pair only by what was believed beforehand. That errs
        # alike at many points (a label misread), so it is held apart and limited.
        alone = max(self.single[point].max(), self.as_on[point], self.as_off[point])
        lean = np.maximum(lift - np.maximum(row - alone, 0.0), 0.0)
        self.odds += lift - lean - self.lifts[point]
        self.leaning += lean - self.leans[point]
        self.lifts[point], self.leans[point] = lift - lean, lean

    def _pair_down(self, sure: int, may: int) -> Floats:
        known = self._pair_vectors.get((sure, may))
        if known is None:
            down = self._down(sure, may)
            known = self._pair_vectors[sure, may] = down[self.first] * down[self.second]
        return known

    def _lift(self, point: int) -> Floats:
        """Give how much likelier each pair's being joined makes what was seen at a point, as a logarithm."""
        weights = self.prior[point] + self.share[point] + self.single[point]
        rest = np.array(
            [self.elsewhere[point] + self.as_on[point], self.not_fed[point] + self.as_off[point]]
        )  # fmt: skip
        top = max(weights.max(), rest.max(), self.both[point].max() + self.prior[point].max())
        plain, others = np.exp(weights - top), np.exp(rest - top).sum()
        prior = np.exp(self.prior[point] + self.share[point])
        whole = plain.sum() + others
        joined = (prior[self.first] + prior[self.second]) * np.exp(self.both[point] - top)
        with_pair = np.maximum(whole - plain[self.first] - plain[self.second], others) + joined
        return np.asarray(np.maximum(np.log(with_pair + 1e-300) - np.log(whole + 1e-300), _WORST))

    # -- weighing -----------------------------------------------------------------------------------------------

    def weigh(self) -> None:
        """Bring every chance up to date."""
        if not self._stale:
            return
        self.plain = self._plain()
        empty = self._empty(self.plain)
        if self.ways > PAIRED_WAYS:
            suspects = np.flatnonzero(empty > 0.05)
            suspects = suspects if 2 <= len(suspects) <= PAIRED_WAYS else np.arange(0)
            if not np.array_equal(suspects, self.suspects):
                self._set_pairs(suspects)
        self._join(empty)
        self._stale = False

    def _plain(self) -> Floats:
        """Give the chances without any pair: one row a point, ways then elsewhere then not fed."""
        logs = np.empty((self.points, self.ways + 2))
        np.add(self.prior, self.single, out=logs[:, : self.ways])
        logs[:, : self.ways] += self.share[:, None]
        logs[:, self.ways] = self.elsewhere + self.as_on
        logs[:, self.ways + 1] = self.not_fed + self.as_off
        return _normal(logs)

    def _empty(self, plain: Floats) -> Floats:
        """Give for each way the chance that none of the points looked at is on it."""
        if not self.looked.any():
            return np.zeros(self.ways)
        return np.asarray(np.exp(np.log1p(-np.minimum(plain[self.looked, : self.ways], 1 - 1e-12)).sum(axis=0)))

    def _leant(self) -> Floats:
        """Give the log prior with what was seen at the neighbours mixed in; a point's own answers never come back."""
        prior = np.exp(self.prior)
        looked = self.looked
        for group, like in self.flocks:
            inside = (group >= 0) & looked
            if not inside.any():
                continue
            count = np.zeros(int(group.max()) + 1)
            total = np.zeros((len(count), self.ways))
            np.add.at(count, group[inside], 1.0)
            np.add.at(total, group[inside], self.plain[inside, : self.ways])
            mine = group >= 0
            own = np.where(looked, 1.0, 0.0)[mine]
            others = count[group[mine]] - own
            near = total[group[mine]] - own[:, None] * self.plain[mine, : self.ways]
            near /= np.maximum(near.sum(axis=1, keepdims=True), 1e-12)
            weight = (like * others / (others + 1))[:, None]
            prior[mine] = (1 - weight) * prior[mine] + weight * near
        return np.asarray(np.log(np.maximum(prior, 1e-12)))

    def _join(self, empty: Floats) -> None:
        bonus = (empty[self.first] + empty[self.second]) * -np.log(EMPTY_WAY)
        odds = self.odds + np.minimum(self.leaning, _LEANING) + bonus
        self.kept = np.flatnonzero(odds > odds.max() - 14)[:200] if self.pairs and odds.max() > -14 else np.arange(0)
        if len(self.kept) > 60:
            self.kept = self.kept[np.argsort(-odds[self.kept], kind="stable")[:60]]
        kept = self.kept
        prior = self._leant()
        first, second = self.first[kept], self.second[kept]
        share = self.share[:, None]
        firm = (self.odds + bonus)[kept] - self.lifts[:, kept]
        without = firm + np.minimum(self.leaning[kept] - self.leans[:, kept], _LEANING)  # from all other points
        own = np.exp(np.clip(without, -60.0, 50.0))
        ends = np.zeros((len(kept), self.ways))
        ends[np.arange(len(kept)), first] = ends[np.arange(len(kept)), second] = 1.0
        touching = own @ ends
        crowd = touching[:, first] + touching[:, second] - own
        joined = own / (1 + crowd)
        chance_of_way = joined @ ends
        logs = np.empty((self.points, self.ways + 2 + len(kept)))
        logs[:, : self.ways] = prior + share + self.single + np.log(np.maximum(1 - chance_of_way, 1e-9))
        logs[:, self.ways] = self.elsewhere + self.as_on
        logs[:, self.ways + 1] = self.not_fed + self.as_off
        if len(kept):
            both = np.logaddexp(prior[:, first], prior[:, second]) + share
            floor = POINT_JOINED / max(self.pairs, 1)
            logs[:, self.ways + 2 :] = both + self.both[:, kept] + np.log(np.maximum(joined, floor))
        self.chances = _normal(logs)
        self.joined = np.exp(np.minimum(odds[kept], 50.0))
        self.joined = self.joined / (1 + self.joined)
        self.pair_of = [(int(a), int(b)) for a, b in zip(first, second, strict=True)]

    def by_answers_alone(self) -> Floats:
        """Give the chances as ``chances`` has them, but with every way as likely as the next beforehand."""
        logs = np.empty((self.points, self.ways + 2 + len(self.kept)))
        logs[:, : self.ways] = self.single + self.share[:, None] - np.log(max(self.ways, 1))
        logs[:, self.ways] = self.elsewhere + self.as_on
        logs[:, self.ways + 1] = self.not_fed + self.as_off
        if len(self.kept):
            pair = self.share[:, None] + np.log(2 / self.ways) + np.log(np.maximum(self.joined, 1e-9))
            logs[:, self.ways + 2 :] = self.both[:, self.kept] + pair
        return _normal(logs)

    def either(self, point: int) -> list[tuple[int, int, float]]:
        """Give (line way, neutral way, log weight) where a neutral cut with another way explains what was seen.

        Only asked for points that no single way fits; the log weight compares with ``prior + share + single``.
        """
        told = self.told[point]
        if told is None or not told.seen:
            return []
        fits = self.single[point].max()
        if fits > _MISFIT or not any(seen.neutral for seen in told.seen):
            return []
        cut = [self._bits(seen.neutral) for seen in told.seen]
        found: list[tuple[int, int, float]] = []
        possible = np.flatnonzero(np.sum(cut, axis=0) > 0)
        for way in possible:
            row = np.zeros(self.ways)
            for seen, neutral in zip(told.seen, cut, strict=True):
                down = np.maximum(self._down(seen.sure, seen.may), neutral[way])
                row += _log(down, seen.live, seen.off_slip, seen.on_slip)
            row[way] = -np.inf
            best = int(np.argmax(row))
            weight = row[best] + self.prior[point, best] + self.share[point] + np.log(EITHER / len(possible))
            if row[best] > fits + 2:
                found.append((best, int(way), float(weight)))
        return sorted(found, key=lambda each: -each[2])[:5]

    def log_total(self, point: int) -> float:
        """Give the log of the sum of weights behind ``chances`` of a point, to set others beside them."""
        way = int(np.argmax(self.plain[point]))
        logs = np.append(
            self.prior[point] + self.share[point] + self.single[point],
            [self.elsewhere[point] + self.as_on[point], self.not_fed[point] + self.as_off[point]],
        )
        return float(logs[way] - np.log(self.plain[point, way]))


def _log(down: Floats, live: bool, off_slip: float, on_slip: float) -> Floats:
    chance = down * on_slip + (1 - down) * (1 - off_slip) if live else down * (1 - on_slip) + (1 - down) * off_slip
    return np.asarray(np.log(chance))


def _normal(logs: Floats) -> Floats:
    logs -= logs.max(axis=1, keepdims=True)
    np.exp(logs, out=logs)
    logs /= logs.sum(axis=1, keepdims=True)
    logs[logs < _NOTHING] = 0.0  # numbers near the smallest there are make every product slow
    return logs


def uniform(points: int, ways: int) -> Floats:
    """Give a prior that prefers no way."""
    return np.full((points, max(ways, 1)), 1.0 / max(ways, 1))


def total_chance(belief: Belief, point: int, ways: Sequence[int]) -> float:
    """Give the chance that a point is on one of some ways alone."""
    return float(belief.chances[point, list(ways)].sum())
