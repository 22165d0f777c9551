"""Trunking on walls: where it runs, what it takes, and what of hidden cables' rules no longer binds it.

Method B figures: BS 7671 Table 4D2A, from memory. Where trunking is put is common practice, no source.
"""

import itertools

import pytest
from msgspec import structs

from circuitmap.extension import pricebook
from circuitmap.extension.book_costs import costs_of
from circuitmap.extension.by_hand import judged
from circuitmap.extension.kinds import Asking, Option
from circuitmap.extension.options import job_of, options
from circuitmap.extension.pathing import route
from circuitmap.extension.redrawn import redrawn
from circuitmap.extension.space import space_of
from circuitmap.extension.spots import Space, Spot3
from circuitmap.home.change import Change
from circuitmap.home.records import Extension, Opening, Run, Wall
from circuitmap.memo import Memo
from tests.extension.extended import TRADE, small_home, wish

BOOK = pricebook.load()
HOME = small_home()
HIDDEN = Extension(id="X1", name="Kitchen", wishes=(wish(HOME, "M1", 0, 2000), wish(HOME, "M2", 1, 1500)))
SEEN = structs.replace(HIDDEN, on_surface=True)
IN_WALLS = {"chase", "stud", "set up", "noggin", "stud crossed"}


@pytest.fixture(scope="module")
def seen() -> Asking:
    return options(HOME, SEEN, TRADE, BOOK, Memo())


@pytest.fixture(scope="module")
def hidden() -> Asking:
    return options(HOME, HIDDEN, TRADE, BOOK, Memo())


def spurs(asking: Asking) -> Option:
    return next(each for each in asking.options if each.kind == "unfused spurs")


def test_nothing_is_cut_into_a_wall_and_boxes_are_on_the_surface(seen: Asking) -> None:
    laid = [each for each in seen.options if each.routes]
    assert laid
    for option in laid:
        assert not IN_WALLS & {part.kind for each in option.routes for part in each.parts}
        assert option.taken is not None
        keys = {line.key for line in option.taken.lines}
        cut = ("chase", "patch", "filler", "capping", "waste", "way unseen", "fish")
        assert not [key for key in keys if key.startswith(cut)]
        assert {"trunking", "mini-trunking", "box surface"} <= keys
        assert option.taken.visits == 1  # nothing has to dry
        assert not option.taken.left_out


def test_metres_of_trunking_are_metres_on_walls(seen: Asking) -> None:
    """Worked by hand: from P1 at (1000, 0) a metre along its wall; from P4 a metre, round a corner, 1.5 m."""
    option = spurs(seen)
    metres = [sum(part.metres for part in each.parts if part.kind == "trunking") for each in option.routes]
    assert metres == pytest.approx([1.0, 2.5])
    assert option.taken is not None
    assert sum(line.quantity for line in option.taken.lines if line.key == "mini-trunking") == pytest.approx(3.5)


def test_it_is_cheaper_than_chasing_and_said_to_stay_in_sight(seen: Asking, hidden: Asking) -> None:
    """The practitioner's page: trunking 5 to 10 min a metre, a chase in brick 10 to 25, with set-up and patching."""
    here, there = spurs(seen), spurs(hidden)
    assert here.priced is not None
    assert there.priced is not None
    assert here.priced.net < there.priced.net
    assert any("stays in sight" in says for says in here.assumes)
    assert any("521.10.202" in says for says in here.cautions)
    assert not any("chase" in says for says in here.cautions)
    assert not any("stays in sight" in says for says in there.assumes)


def test_cables_are_judged_by_the_method_of_trunking(seen: Asking) -> None:
    """Method B: 23 A for 2.5 mm²; two cables in one trunking 0.8 of it, 18.4 A, less than a ring's 20 A (4C1)."""
    enclosed, trunked, direct = (TRADE.iz(2.5, method) for method in "ABC")
    assert trunked == 23
    assert enclosed is not None
    assert direct is not None
    assert enclosed < 23 < direct
    runs = [after for _, after in spurs(seen).change.pairs if isinstance(after, Run)]
    assert [run.method for run in runs] == ["B", "B"]
    pair = next(each for each in seen.options if each.kind == "ring opened at a point")
    assert any("18.4 A by method B" in says for says in pair.failed)


def test_zones_do_not_bind_it() -> None:
    off = [("G1", 1000.0, 0.0, 450.0), ("G1", 1000.0, 0.0, 800.0), ("G1", 2000.0, 0.0, 800.0)]
    assert judged(HOME, Memo(), TRADE, off).strays
    in_sight = judged(HOME, Memo(), TRADE, off, is_seen=True)
    assert not in_sight.strays
    assert "in trunking" in in_sight.says()


def test_drawn_by_hand_it_is_still_trunking(seen: Asking) -> None:
    option = spurs(seen)
    run, first = option.runs[0], option.routes[0]
    a, b = first.path[0][:4], first.path[-1][:4]
    path = (a, (*a[:3], 900.0), (*b[:3], 900.0), b)
    now = redrawn(HOME, option, {run: path}, TRADE, BOOK)
    metres = sum(part.metres for part in now.routes[0].parts if part.kind == "trunking")
    assert metres == pytest.approx(1.9)  # up 450 mm, a metre along, down 450 mm
    assert not IN_WALLS & {part.kind for part in now.routes[0].parts}
    assert not any("drawn by hand" in says for says in now.unsure)


def space(door: Opening | None = None) -> Space:
    home = HOME
    if door is not None:
        wall = home.take(Wall, "W2")
        home = home.apply(Change("", ((wall, structs.replace(wall, openings=(door,))),)))
    return space_of(home, Memo(), TRADE, costs_of(BOOK, "T&E 2.5/1.5", job_of(SEEN)), on_surface=True)


def test_it_goes_round_a_door_and_never_through_an_opening() -> None:
    """Worked by hand: a door of 800 mm, 2000 mm high, between two spots 1.6 m apart at 450 mm: up, over, down."""
    a, b = (Spot3("G1", x, 0.0, 450.0, 90.0, name=name) for x, name in ((1200.0, "A"), (2800.0, "B")))
    straight = route(space(), a, b)[0]
    assert straight.length_mm == pytest.approx(1600, abs=1)
    wall = HOME.take(Wall, "W2")
    along = round(abs(1600 - wall.a_mm[0])) if wall.a_mm[0] < wall.b_mm[0] else round(wall.a_mm[0] - 2400)
    there = space(Opening(kind="door", along_mm=along, width_mm=800, head_mm=2000))
    round_it = route(there, a, b)[0]
    for p, q in itertools.pairwise(round_it.path):
        face = there.faces.get(q.on)
        for hole in face.holes if face is not None and p.on == q.on else ():
            us = sorted(face.at(s.x_mm, s.y_mm)[0] for s in (p, q))  # type: ignore[union-attr]  # it has holes
            assert us[1] <= hole.from_mm or us[0] >= hole.to_mm or min(p.z_mm, q.z_mm) >= hole.head_mm
    over = 2000 + TRADE.size_mm("trunking beside opening")
    assert round_it.length_mm == pytest.approx(1600 + 2 * (over - 450), abs=1)
