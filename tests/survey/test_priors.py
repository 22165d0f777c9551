"""What is believed before anybody looked: by hand for one board, and what each clue must do."""

from math import fsum, log2

import msgspec
import pytest

from circuitmap.home import Home, verbs
from circuitmap.home.records import Board, Device, End, Load, Point, Rcd, Run, Tag
from circuitmap.memo import Memo
from circuitmap.survey import deduce
from circuitmap.survey.context import context_of
from circuitmap.survey.priors import priors
from circuitmap.trade import load
from circuitmap.words import Evidence, PointKind
from tests.build import Builder
from tests.homes import PLANS, Plan, healthy

TRADE = load()


class Labelled(Builder):
    """Two storeys with a kitchen below and a bedroom above, and a board whose ways have labels."""

    def __init__(self, *ways: tuple[float, str]) -> None:
        super().__init__()
        self.ground, self.first = self.storey("Ground", 0), self.storey("First", 1)
        self.kitchen = self.room("Kitchen", self.ground, use="kitchen")
        self.bedroom = self.room("Bedroom 1", self.first, use="bedroom")
        self.a = self.board()
        self.ways = [self.device(self.a, str(n), rating_a=a, label=text) for n, (a, text) in enumerate(ways, start=1)]

    def row(self, point: str) -> tuple[float, ...]:
        return priors(self.home, Memo(), TRADE)[point]

    def ratio(self, point: str, one: int = 0, other: int = 1) -> float:
        row = self.row(point)
        return row[one] / row[other]


def test_by_hand_for_a_kitchen_socket_on_a_board_of_five_ways() -> None:
    """Worked by hand from the figures of ``likely.toml``: our own estimates, no source.

    ====  ======  ==========  =================  =====================  ================  =======
    way   rating  label       rating × socket    label on kind          label on place    product
    ====  ======  ==========  =================  =====================  ================  =======
    A1    6 A     Lts d/s     0.02               lights: 0.05           down: 2.5         0.0025
    A2    32 A    Kit skts    1                  sockets: 6             kitchen: 4        24
    A3    32 A    Ring 2      1                  sockets: 6             nothing: 1        6
    A4    40 A    Shwr        0.1 (to 45 A)      shower: 0.05           nothing: 1        0.005
    A5    16 A    Spare       0.3                spare: 0.03            nothing: 1        0.009
    ====  ======  ==========  =================  =====================  ================  =======

    The floor, 0.0001 of 24, is 0.0024: below every product. Their sum is 24 + 6 + 0.009 + 0.005 + 0.0025 = 30.0165.
    """
    b = Labelled((6, "Lts d/s"), (32, "Kit skts"), (32, "Ring 2"), (40, "Shwr"), (16, "Spare"))
    point = b.point("socket", room=b.kitchen)
    expected = [0.0025 / 30.0165, 24 / 30.0165, 6 / 30.0165, 0.005 / 30.0165, 0.009 / 30.0165]
    assert b.row(point) == pytest.approx(expected, rel=1e-12)
    assert b.row(point)[1] == pytest.approx(0.7996, abs=5e-5)


def test_by_hand_with_an_assumed_tag_that_disagrees() -> None:
    """The tag multiplies its way by 6: 6 × 6 = 36 against 24, so the sum is 30.0165 - 6 + 36 = 60.0165.

    The floor rises with the likeliest: 0.0001 × 36 = 0.0036 lifts A1 (0.0025), so the sum becomes 60.0176.
    """
    b = Labelled((6, "Lts d/s"), (32, "Kit skts"), (32, "Ring 2"), (40, "Shwr"), (16, "Spare"))
    point = b.point("socket", room=b.kitchen)
    b.do(verbs.tag(b.home, point, b.ways[2], "assumed"))
    expected = [0.0036 / 60.0176, 24 / 60.0176, 36 / 60.0176, 0.005 / 60.0176, 0.009 / 60.0176]
    assert b.row(point) == pytest.approx(expected, rel=1e-12)


def test_the_rows_are_in_the_order_of_the_ways_of_the_context() -> None:
    b = Labelled((32, "Skts"), (6, "Lts"))
    sockets, lights = b.point("socket"), b.point("light")
    ids = context_of(b.home, Memo()).ways.ids
    for point, way in ((sockets, b.ways[0]), (lights, b.ways[1])):
        row = b.row(point)
        assert row[ids.index(way)] == max(row)


@pytest.mark.parametrize(
    ("kind", "likely_a", "unlikely_a"),
    [
        ("light", 6, 32), ("socket", 32, 6), ("cooker connection unit", 32, 6), ("shower", 40, 16),
        ("immersion heater", 16, 6), ("smoke alarm", 6, 32), ("switch", 6, 32), ("boiler", 16, 63),
    ],
)  # fmt: skip
def test_without_labels_the_rating_tells(kind: PointKind, likely_a: float, unlikely_a: float) -> None:
    """Customary ratings of final circuits: common practice, no source."""
    b = Labelled((likely_a, ""), (unlikely_a, ""))
    assert b.ratio(b.point(kind)) > 3


@pytest.mark.parametrize(
    ("kind", "fits", "misfits"),
    [
        ("socket", "Skts", "Lts"), ("light", "Ltg", "Skts"), ("hob", "Ckr", "Skts"), ("oven", "Cooker", "Shower"),
        ("smoke alarm", "Smk alm", "Skts"), ("smoke alarm", "Lts", "Skts"), ("extractor fan", "Lts", "Shower"),
        ("fused unit", "Skts", "Lts"), ("isolator", "Shwr", "Skts"), ("immersion heater", "W/H", "Spare"),
        ("outdoor socket", "Ext", "Imm"), ("outbuilding feed", "Gar", "Skts"), ("switch", "Lights", "Skts"),
    ],
)  # fmt: skip
def test_the_label_tells_kinds_apart_on_ways_of_one_rating(kind: PointKind, fits: str, misfits: str) -> None:
    b = Labelled((16, fits), (16, misfits))
    assert b.ratio(b.point(kind)) > 3


@pytest.mark.parametrize(
    ("first", "second"),
    [("Kit", "Lounge"), ("Kit", ""), ("Down", "Up"), ("Kit skts", "Up skts"), ("Kitchen", "Down"), ("Down", "Bed")],
)
def test_the_label_tells_places_apart(first: str, second: str) -> None:
    b = Labelled((32, first), (32, second))
    below = b.point("socket", room=b.kitchen)
    assert b.ratio(below) > 1.5


def test_a_label_with_a_rooms_own_name_tells_against_the_other_rooms() -> None:
    b = Labelled((32, "Snug skts"), (32, "Skts"))
    snug = b.point("socket", room=b.room("Snug", b.ground))
    other = b.point("socket", room=b.kitchen)
    assert b.ratio(snug) == pytest.approx(4)
    assert b.ratio(other) == pytest.approx(0.15)


def test_a_label_that_names_what_is_fed_tells_even_of_a_socket() -> None:
    b = Labelled((32, "Freezer"), (32, "Skts"))
    freezer = b.point("socket", loads=(Load(what="fridge freezer"),))
    plain = b.point("socket")
    assert b.ratio(freezer) > 1 > b.ratio(plain)


def test_nothing_is_known_of_a_place_that_was_not_said() -> None:
    b = Labelled((32, "Kit skts"), (32, "Bed skts"))
    assert b.ratio(b.point("socket")) == pytest.approx(1)


def test_residual_current_protection_tells_only_on_a_board_that_is_split() -> None:
    b = Labelled((32, ""), (32, ""))
    sockets = b.point("socket")
    assert b.ratio(sockets) == pytest.approx(1)
    rcd = b.device(b.a, "R", "RCD")
    b.do(verbs.edit(b.home, b.ways[0], upstream=rcd))
    assert b.ratio(sockets) == pytest.approx(1 / 0.3)
    b.do(verbs.edit(b.home, b.ways[1], kind="RCBO", rcd=Rcd(trips_ma=30)))
    assert b.ratio(sockets) == pytest.approx(1)


def test_two_cables_at_a_way_tell_of_a_ring_and_none_of_nothing() -> None:
    b = Labelled((32, ""), (32, ""))
    socket, cooker = b.point("socket"), b.point("cooker connection unit")
    b.do(verbs.edit(b.home, b.ways[0], cables_seen=2))
    assert b.ratio(socket) > 1 > b.ratio(cooker)
    b.do(verbs.edit(b.home, b.ways[0], cables_seen=0))
    assert b.ratio(socket) < 0.1


@pytest.mark.parametrize("evidence", ["tested", "seen", "inferred", "assumed"])
def test_a_tag_or_a_run_raises_its_way_as_far_as_its_evidence_goes(evidence: Evidence) -> None:
    times = {"tested": 300, "seen": 300, "inferred": 20, "assumed": 6}[evidence]
    b = Labelled((32, ""), (32, ""))
    tagged, wired, island = b.point("socket"), b.point("socket"), b.point("socket")
    b.do(verbs.tag(b.home, tagged, b.ways[0], evidence))
    b.run(b.ways[0], wired, evidence)
    b.run(tagged, island, "seen")
    for point in (tagged, wired, island):
        assert b.ratio(point) == pytest.approx(times)


def test_a_tag_at_an_rcd_raises_all_ways_under_it() -> None:
    b = Labelled((32, ""), (32, ""), (32, ""))
    rcd = b.device(b.a, "R", "RCD")
    for way in b.ways[:2]:
        b.do(verbs.edit(b.home, way, upstream=rcd))
    point = b.point("other")
    b.do(verbs.tag(b.home, point, rcd, "seen"))
    row = b.row(point)
    assert row[0] == row[1] > 100 * row[2]


def test_a_sub_board_feeds_its_own_room_and_the_way_to_it_little_else() -> None:
    b = Labelled((32, ""), (32, ""))
    garage = b.room("Garage", b.ground, use="outbuilding")
    sub = b.board("B", source="run", room=garage)
    own = b.device(sub, "1")
    b.run(b.ways[0], End(at=sub, side="supply"))
    there, here, above = (b.point("socket", room=room) for room in (garage, b.kitchen, b.bedroom))
    ids = context_of(b.home, Memo()).ways.ids
    for point, best in ((there, own), (above, b.ways[1])):
        row = dict(zip(ids, b.row(point), strict=True))
        assert max(row, key=row.__getitem__) == best
        assert row[b.ways[1]] == pytest.approx(10 * row[b.ways[0]])
    assert b.row(there)[ids.index(own)] > b.row(here)[ids.index(own)] > b.row(above)[ids.index(own)]


def test_a_home_without_ways_gives_empty_rows_and_a_single_way_settles_nothing() -> None:
    b = Builder()
    point = b.point()
    assert priors(b.home, Memo(), TRADE) == {point: ()}
    b.device(b.board(), "1")
    assert priors(b.home, Memo(), TRADE) == {point: (1.0,)}
    assert deduce(b.home, Memo())[point].verdict == "unchecked"


def test_the_best_of_clues_settles_nothing() -> None:
    b = Labelled((32, "Kit skts"), (6, "Lts"))
    point = b.point("socket", room=b.kitchen)
    b.do(verbs.tag(b.home, point, b.ways[0], "tested"))
    b.run(b.ways[0], point, "tested")
    assert b.row(point)[0] > 0.99
    assert b.row(point)[1] >= 0.9e-4
    verdict = deduce(b.home, Memo())[point].verdict
    assert verdict == "unchecked"


def test_points_that_are_planned_or_gone_have_no_row() -> None:
    home = Home.of(
        [
            Board(id="B1", letter_on_map="A"),
            Device(id="D1", board="B1", kind="MCB"),
            Point(id="P1", kind="socket"),
            Point(id="P2", kind="socket", phase="planned"),
            Point(id="P3", kind="socket", phase="removed"),
        ]
    )
    assert priors(home, Memo(), TRADE).keys() == {"P1"}


def test_points_alike_in_all_that_tells_share_a_row_and_nothing_is_done_twice() -> None:
    b = Labelled((32, "Skts"), (6, "Lts"))
    one, other, elsewhere = (b.point("socket", room=room) for room in (b.kitchen, b.kitchen, b.bedroom))
    memo = Memo()
    found = priors(b.home, memo, TRADE)
    assert found[one] is found[other]
    assert found[elsewhere] is not found[one]
    round_id = b.round(b.visit(), b.ways[0])
    b.check(round_id, one, "off")
    assert priors(b.home, memo, TRADE) is found
    b.do(verbs.edit(b.home, b.ways[1], label="Spare"))
    assert priors(b.home, memo, TRADE) is not found


@pytest.mark.parametrize("plan", PLANS[::3], ids=[plan.name for plan in PLANS[::3]])
def test_in_any_home_every_row_sums_to_one_and_keeps_every_way_possible(plan: Plan) -> None:
    home = healthy(plan)
    found = priors(home, Memo(), TRADE)
    assert found.keys() == home.table(Point).keys()
    ways = len(context_of(home, Memo()).ways.ids)
    for row in found.values():
        assert len(row) == ways
        assert fsum(row) == pytest.approx(1, abs=1e-12)
        assert min(row) >= max(row) * 0.99e-4


def without_what_was_followed(home: Home) -> Home:
    """The home with its board, points and labels, but no cable, tag or count: what is known on arrival."""
    kept = [record for record in home.all() if not isinstance(record, Run | Tag)]
    return Home.of(msgspec.structs.replace(r, cables_seen=None) if isinstance(r, Device) else r for r in kept)


def test_on_arrival_the_likeliest_way_is_right_about_as_often_as_its_chance_says() -> None:
    """Healthy homes of 23 ages and kinds, labelled as homes are: truth from their own exact survey."""
    right, total, promised, scored = 0.0, 0, 0.0, 0.0
    for plan in PLANS:
        home = healthy(plan)
        memo = Memo()
        ids = context_of(home, memo).ways.ids
        rows = priors(without_what_was_followed(home), Memo(), TRADE)
        for point, found in deduce(home, memo).items():
            if found.verdict != "settled":
                continue
            row = rows[point]
            true = ids.index(found.candidates[0])
            alike = [n for n, chance in enumerate(row) if chance > max(row) * 0.999]  # two ways labelled "Sockets"
            right += (true in alike) / len(alike)
            promised += max(row)
            scored += log2(row[true] * len(ids))
            total += 1
    assert total > 400
    assert right / total > 0.7
    # The chance given to the likeliest is about how often it is right.
    assert promised / total == pytest.approx(right / total, abs=0.08)
    # Bits gained over knowing nothing of the ways.
    assert scored / total > 1.5
