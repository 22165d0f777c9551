"""Options for wishes by chance: whatever is wished, each option is a change that holds; the best run is the best."""

import random

import pytest
from msgspec import structs

from circuitmap.circuits import views
from circuitmap.extension import pricebook
from circuitmap.extension.accept import accept, done
from circuitmap.extension.book_costs import costs_of
from circuitmap.extension.options import options
from circuitmap.extension.pathing import route
from circuitmap.extension.space import Spot3, space_of, spot_of
from circuitmap.home import Change, Home
from circuitmap.home.records import Board, Extension, Load, Place, Point, Run, Wish
from circuitmap.memo import Memo
from circuitmap.plan.elevation import size_on_wall
from circuitmap.words import PointKind
from tests.extension.extended import DEEP, TRADE, small_home, wish

BOOK = pricebook.load()
KINDS: tuple[PointKind, ...] = (
    "socket", "socket", "usb socket", "fused unit", "appliance outlet", "extractor fan", "towel rail", "shower",
    "cooker connection unit", "smoke alarm", "EV charging point", "switch",
)  # fmt: skip


def by_chance(home: Home, pick: random.Random) -> Wish:
    act = pick.choice(("add", "add", "add", "add", "move", "remove"))
    room, side = pick.choice(("M1", "M2")), pick.randrange(4)
    made = wish(home, room, side, pick.randrange(100, DEEP - 100), pick.choice((450, 1100)), pick.choice(KINDS),
                pick.choice((1, 2)))  # fmt: skip
    if act == "remove":
        return Wish(act="remove", point=f"P{pick.randrange(1, 11)}")
    if act == "move":
        return structs.replace(made, act="move", kind=None, point=f"P{pick.randrange(1, 9)}")
    loads = (Load(what="load", power_w=pick.choice((300.0, 3000.0, 9000.0))),) if pick.random() < 0.5 else ()
    if made.kind == "smoke alarm":
        return structs.replace(made, place=Place(storey="G1", x_mm=900, y_mm=900, height_mm=2400))
    return structs.replace(made, loads=loads, deep=pick.random() < 0.3)


@pytest.mark.parametrize("seed", range(16))
def test_every_option_holds_whatever_is_wished(seed: int) -> None:
    """Each wish has an option or a sentence; sound options can be accepted and done, and every new point is fed."""
    pick = random.Random(seed)
    home = small_home(rcd=seed % 2 == 0, modules=pick.choice((None, 5, 10)), country=pick.choice(("Wales", "")))
    kept = Extension(id="X1", name="By chance", wishes=tuple(by_chance(home, pick) for _ in range(pick.randint(1, 4))))
    home = home.apply(Change("", ((None, kept),)))
    asking = options(home, kept, TRADE, BOOK)
    answered = {n for n, _ in asking.refused} | {n for option in asking.options for n in option.wishes}
    assert answered == set(range(len(kept.wishes)))
    assert len({option.key for option in asking.options}) == len(asking.options)
    for option in asking.options:
        assert option.failed or option.priced is not None
        if not option.is_sound:
            continue
        finished = home.apply(accept(home, "X1", [option], home))
        finished = finished.apply(done(finished, "X1", "2026-03-01"))
        assert not finished.problems()
        fed = {name for view in views(finished, TRADE, Memo()) for name in view.names}
        assert set(option.points) <= fed
        laid = [run for run in finished.sorted(Run) if run.id in option.runs]
        assert [run.length_mm for run in laid] == [max(round(r.length_mm), 1) for r in option.routes]


def test_the_ring_is_opened_at_its_best_run() -> None:
    """Against every run by brute force, each of its two legs searched by itself."""
    home = small_home()
    asked = wish(home, "M2", 1, 600)
    found = options(home, Extension(id="X1", name="One", wishes=(asked,)), TRADE, BOOK)
    (option,) = [each for each in found.options if each.kind == "ring opened"]
    (gone,) = [b.id for b, a in option.change.pairs if isinstance(b, Run) and a is not None and b.phase != "removed"]
    space = space_of(home, Memo(), TRADE, costs_of(BOOK, "T&E 2.5/1.5"))
    place = asked.place
    assert place is not None
    wide, high = size_on_wall(TRADE, Point(id="P99", kind="socket", gangs=2))
    new = Spot3("G1", place.x_mm, place.y_mm, 450.0, place.faces_deg, wide, high)
    costs = {}
    for n in range(1, 8):
        run = home.take(Run, f"R{n}")
        ends = [home.take(Board, "B1") if end.at == "D2" else home.take(Point, end.at or "") for end in (run.a, run.b)]
        legs = [route(space, spot_of(home, TRADE, end), new, alternatives=1)[0] for end in ends]
        costs[run.id] = sum(leg.cost for leg in legs)
    assert costs[gone] == pytest.approx(min(costs.values()), rel=0.001)
    assert sum(each.cost for each in option.routes) == pytest.approx(costs[gone], rel=0.001)
