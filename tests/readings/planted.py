"""Rings drawn on a map with lengths that are out, one thing planted on site that isn't drawn, and the readings there.

What the meters say comes from the network as it is on site, another house with the same names, never from the code that
weighs. Lengths on site lie evenly within ± 30 % of the map's; copper reads 0 to 7 % below the tables; a meter errs by a
fraction and shows hundredths of an ohm.
"""

import random
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from math import inf, isfinite

from circuitmap.home.records import End
from circuitmap.readings.faults import Bridge, Fault, Joint, OpenCore, Swapped, with_faults
from circuitmap.readings.links import Pair, legs_of, linked
from circuitmap.readings.network import Network
from circuitmap.readings.weigh import Asked
from circuitmap.trade import load
from circuitmap.words import CORES, Core, LinkKind, ReadingTest
from tests.readings.wired import Wired

KINDS = (
    "open core", "bad joint", "on a spur", "same leg", "bridge", "swapped", "other length",
)  # fmt: skip
TOLERANCE = 0.3
Taken = tuple[ReadingTest, LinkKind, Pair]
STEP_1: tuple[Taken, ...] = tuple(("ring end to end", "end to end", (core, core)) for core in CORES)
CROSS: Taken = ("linked", "cross", ("L", "N"))
CROSS_CPC: Taken = ("linked", "cross", ("L", "E"))
ONE_LEG: Taken = ("linked", "one leg", ("L", "E"))


@dataclass
class Planted:
    """A ring on the map, what is planted (kind and where, as a cause would name it), and the network on site."""

    wired: Wired
    kind: str
    site: Network
    legs: tuple[str, ...]
    points: tuple[str, ...]
    cores: tuple[Core, ...] = ()
    at: tuple[str, ...] = ()
    runs: tuple[str, ...] = ()
    size: float = 0.0
    same_leg: Taken | None = None
    seed: int = 0
    drawn: dict[object, float] = field(default_factory=dict)

    def true_ohm(self, taken: Taken, at: str) -> float:
        """What is between the clips, exactly."""
        _, link, cores = taken
        if taken == self.same_leg:
            link = "same leg"
        test = linked(self.site, link, cores, self.legs)
        if at == self.site.device:
            return test.network.resistance_ohm(*test.at_board)
        return test.network.resistance_ohm(test.network.terminal(at, cores[0]), test.network.terminal(at, cores[1]))

    def shown_ohm(
        self, taken: Taken, at: str, noise: float = 0.01, contact_ohm: tuple[float, float] = (0.0, 0.0)
    ) -> float:
        """What the meter shows: the same each time it is asked."""
        key = (taken, at, noise, contact_ohm)
        if key not in self.drawn:
            rng = random.Random(f"{self.seed} {key}")
            true = self.true_ohm(taken, at)
            touch = rng.uniform(*contact_ohm) if at != self.site.device else 0.0
            self.drawn[key] = round((true + touch) * (1 + rng.gauss(0, noise)), 2) if true < 1e4 else inf
        return self.drawn[key]

    def places(self, taken: Taken) -> tuple[str, ...]:
        """Where a test is read: the board, and every point when conductors are linked."""
        return (self.site.device,) if taken[1] == "end to end" else (self.site.device, *self.points)

    def readings(
        self, tests: Iterable[Taken], noise: float = 0.01, contact_ohm: tuple[float, float] = (0.0, 0.0)
    ) -> list[Asked]:
        """All readings of some tests, as they are weighed."""
        return [self.asked(taken, at, noise, contact_ohm) for taken in tests for at in self.places(taken)]

    def asked(self, taken: Taken, at: str, noise: float = 0.01, contact_ohm: tuple[float, float] = (0.0, 0.0)) -> Asked:
        """One reading as it is weighed."""
        test, link, cores = taken
        ohm = self.shown_ohm(taken, at, noise, contact_ohm)
        spread = (contact_ohm[1] - contact_ohm[0]) / 12**0.5
        finite = ohm if isfinite(ohm) else 0.0
        variance = (noise * finite) ** 2 + 0.01**2 / 12 + spread**2
        shift = sum(contact_ohm) / 2 if at != self.site.device and isfinite(ohm) else 0.0
        return Asked("Q1", test, link, cores, at, ohm - shift, 0, variance, self.legs)


@dataclass
class _Ring:
    """The same ring twice: with the map's lengths and with those on site."""

    lengths: list[float]
    spurs: dict[int, float]
    rng: random.Random

    def build(self, lengths: list[float], spurs: dict[int, float]) -> tuple[Wired, list[str], list[str]]:
        wired = Wired()
        sockets = wired.ring(*lengths)
        ends = [wired.spur(sockets[at], length_m) for at, length_m in spurs.items()]
        return wired, sockets, ends


def plant(seed: int, kind: str, *, most: int = 20) -> Planted:
    """A ring of 6 to 20 points with one thing planted, or none ("healthy")."""
    rng = random.Random(f"planted {seed} {kind}")
    count = rng.randint(6, most)
    off = 0 if count < 8 else rng.randint(0, 2)
    on_ring = count - off
    lengths = [rng.uniform(2.5, 9) for _ in range(on_ring + 1)]
    spurs = {at: rng.uniform(2.5, 7) for at in rng.sample(range(on_ring), off)}

    def truly(length_m: float) -> float:
        return length_m * rng.uniform(1 - TOLERANCE, 1 + TOLERANCE)

    ring = _Ring(lengths, spurs, rng)
    wired, sockets, _ = ring.build(lengths, spurs)
    on_site = [truly(each) for each in lengths]
    made = rng.uniform(0.93, 1.0)
    site_spurs = {at: truly(each) for at, each in spurs.items()}
    times = 1.0
    n = rng.randrange(len(lengths))
    if kind == "other length":
        times = rng.choice((rng.uniform(2.0, 3.5), rng.uniform(0.15, 0.35)))
        if times > 1:
            while lengths[n] < 4:
                n = rng.randrange(len(lengths))
        else:
            n = max(range(len(lengths)), key=lambda each: (lengths[each], each)) if rng.random() < 0.5 else n
            while lengths[n] < 6:
                lengths[n] += 3
                wired, sockets, _ = ring.build(lengths, spurs)
        on_site[n] = lengths[n] * times
    site, _, _ = ring.build(on_site, site_spurs)
    network = site.network
    view = wired.on_way
    drawn = wired.network
    legs = legs_of(view, drawn)
    order = [drawn.device, *sockets, drawn.device]
    runs = [run.id for run in view.runs]
    ends_of = {run.id: (run.a.at or "", run.b.at or "") for run in view.runs}
    planted = Planted(wired, kind, network, legs, tuple(view.names), seed=seed)
    fault: Fault | None = None
    if kind == "open core":
        run, core = rng.choice(runs), rng.choice(CORES)
        planted.runs, planted.cores, fault = (run,), (core,), OpenCore(run, (core,))
    elif kind == "bad joint":
        run, core = rng.choice(runs), rng.choice(CORES)
        planted.size = 10 ** rng.uniform(-0.7, 0.3)
        at = next(end for end in ends_of[run] if end[0] == "P")
        planted.runs, planted.cores, fault = (run,), (core,), Joint(at, run, core, planted.size)
    elif kind == "bridge":
        i, j = sorted(rng.sample(range(len(sockets)), 2))
        while j - i < 2:
            i, j = sorted(rng.sample(range(len(sockets)), 2))
        planted.size = rng.uniform(3, 12)
        planted.at = (sockets[i], sockets[j])
        fault = Bridge(
            *planted.at, {"L": 0.00741 * planted.size, "N": 0.00741 * planted.size, "E": 0.0121 * planted.size}
        )
    elif kind == "swapped":
        at = rng.choice(sockets)
        run = "" if rng.random() < 0.5 else rng.choice([each for each in runs if at in ends_of[each]])
        pair: Pair = rng.choice((("L", "N"), ("L", "E"), ("N", "E")))
        planted.at, planted.cores, planted.runs = (at,), pair, (run,) if run else ()
        fault = Swapped(at, pair, run)
    elif kind == "other length":
        planted.runs, planted.size = (runs[n],), times
    elif kind == "same leg":
        planted.same_leg = CROSS
    elif kind == "on a spur":
        planted = _spur(planted, rng, order, on_site, site_spurs, ring, sockets)
    if fault is not None:
        planted.site = with_faults(planted.site, [fault])
    edges = tuple(replace(edge, ohm=edge.ohm * made) if edge.run else edge for edge in planted.site.edges)
    planted.site = replace(planted.site, edges=edges)
    return planted


def _spur(
    planted: Planted, rng: random.Random, order: list[str], lengths: list[float], spurs: dict[int, float], ring: _Ring,
    sockets: list[str],
) -> Planted:  # fmt: skip
    """Hang a point that is drawn on the ring from a cable of its own: off a joint, or off the point before it."""
    n = rng.choice([each for each in range(len(sockets)) if each not in spurs])
    length_m = rng.uniform(2.5, 9)
    wired = Wired()
    ids = [wired.point() for _ in sockets]
    assert ids == sockets
    way = wired.way_id
    off_neighbour = n > 0 and rng.random() < 0.5
    stops: list[object] = [End(at=way, leg=1), *ids, End(at=way, leg=2)]
    here = n + 1
    if off_neighbour:
        along = [each for place, each in enumerate(stops) if place != here]
        runs = [*lengths[:n], lengths[n + 1] * rng.uniform(0.8, 1.3), *lengths[n + 2 :]]
        hang = ids[n - 1]
    else:
        joint = wired.point("junction box")
        along = [joint if place == here else each for place, each in enumerate(stops)]
        runs, hang = lengths, joint
    for a, b, length in zip(along, along[1:], runs, strict=False):
        wired.length(a, b, length)  # type: ignore[arg-type]
    wired.length(hang, ids[n], length_m)
    for at, each in spurs.items():
        name = wired.point()
        real = planted.points[len(sockets) + list(spurs).index(at)]
        wired.length(ids[at], name, each)
        planted.drawn["name", real] = 0.0
    planted.at, planted.size = (sockets[n],), length_m
    planted.site = wired.network
    planted.kind = "on a spur"
    if not off_neighbour and spurs:
        # The joint took a number of its own: the spurs' points on site are named one on from the map's.
        renamed = {f"P{int(real[1:]) + 1}": real for real in planted.points[len(sockets) :]}
        nodes = tuple(node._replace(place=renamed.get(node.place, node.place)) for node in planted.site.nodes)
        joint_id = f"P{len(sockets) + 1}"
        nodes = tuple(
            old._replace(place="J") if old.place == joint_id else new
            for old, new in zip(planted.site.nodes, nodes, strict=True)
        )
        planted.site = replace(planted.site, nodes=nodes)
    # The legs of the site are named by its own runs.
    view = wired.on_way
    site_legs = legs_of(view, planted.site)
    planted.site = _leg_names(planted.site, dict(zip(site_legs, planted.legs, strict=True)))
    return planted


def _leg_names(network: Network, names: dict[str, str]) -> Network:
    nodes = tuple(node._replace(side=names.get(node.side, node.side)) for node in network.nodes)
    leg_at = {names.get(leg, leg): device for leg, device in network.leg_at.items()}
    return replace(network, nodes=nodes, leg_at=leg_at, legs=tuple(names.get(leg, leg) for leg in network.legs))


def per_m() -> dict[Core, float]:
    """Ohms per metre of the cable that these rings are wired in."""
    live, cpc = load().cable_ohm_per_m(load().cable("T&E 2.5/1.5"))  # type: ignore[arg-type]
    assert live is not None
    assert cpc is not None
    return {"L": live, "N": live, "E": cpc}


def is_right(planted: Planted, cause: object) -> bool:
    """Whether a cause names what is planted, and where."""
    kind, cores, at, runs = (getattr(cause, name) for name in ("kind", "cores", "at", "runs"))
    if kind != planted.kind:
        return False
    if kind in {"open core", "bad joint"}:
        return bool(cores == planted.cores and runs == planted.runs)
    if kind in {"on a spur", "bridge"}:
        return bool(set(at) == set(planted.at))
    if kind == "swapped":
        return bool(set(cores) == set(planted.cores) and (runs == planted.runs if planted.runs else at == planted.at))
    if kind == "other length":
        return bool(runs == planted.runs)
    return True
