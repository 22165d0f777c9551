"""The plan: what is drawn for what is recorded, labels that can be read, and marks that stay while nothing changed."""

import itertools
import math
import random

import msgspec
import pytest

from circuitmap.drawing.dress import dash_of
from circuitmap.drawing.legend import ASSUMED, INFERRED, PLANNED, SEEN, legend_of
from circuitmap.drawing.marks import Area, Glyph, Ink, Line, Mark, Picture, Words
from circuitmap.drawing.plan import circuit_index
from circuitmap.drawing.standing import REFERENCE_ZOOM
from circuitmap.home import Change, verbs
from circuitmap.home.records import End, Opening, Place, Point, Storey
from circuitmap.memo import Memo
from circuitmap.words import EVIDENCE, Evidence
from tests.build import Builder
from tests.drawing.homes import (
    all_of,
    broken_ring,
    circuits_of,
    crowded_kitchen,
    lounge,
    open_ring,
    planned,
    ring,
    shared_px2,
    spurred_ring,
    symbol_middle,
    ticks_of,
    two_storeys,
    words_box,
)


def tints(marks: list[Mark]) -> list[Area]:
    return [mark for mark in marks if isinstance(mark, Area) and mark.fill.endswith("/tint")]


def glyphs(marks: list[Mark], name: str) -> list[Glyph]:
    return [mark for mark in marks if isinstance(mark, Glyph) and mark.symbol == name]


def test_a_closed_ring_tints_its_inside_and_has_no_break() -> None:
    marks = planned(ring().home)
    (tint,) = tints(all_of(marks))
    assert tint in marks["D1"]
    xs, ys = zip(*tint.rings[0], strict=True)
    # It follows the walls of the 6.0 m × 4.5 m lounge, within the lanes drawn along them.
    assert (max(xs) - min(xs), max(ys) - min(ys)) == pytest.approx((6000, 4500), abs=50)
    assert ticks_of(all_of(marks)) == []


def test_an_open_ring_has_a_gap_with_two_ticks_and_no_tint() -> None:
    marks = all_of(planned(open_ring().home))
    assert tints(marks) == []
    first, second = ticks_of(marks)
    middles = [tuple(sum(axis) / 2 for axis in zip(*tick.pts, strict=True)) for tick in (first, second)]
    assert 100 < math.dist(*middles) < 500
    for x, y in middles:  # between the two points with a cable end each
        assert 2200 < x < 4200
        assert 4000 < y <= 4500


def test_an_open_line_cuts_its_run_in_two_with_a_tick_at_either_side() -> None:
    b, run = broken_ring("L")
    marks = planned(b.home)
    pieces = [m for m in marks[run] if isinstance(m, Line) and m.ink.role == "circuit:0"]
    assert len(pieces) == 2
    assert math.dist(pieces[0].pts[-1], pieces[1].pts[0]) > 100
    assert len(ticks_of(marks[run])) == 2
    assert ticks_of(all_of(marks)) == ticks_of(marks[run])
    assert any(isinstance(m, Words) and m.text == "line open" for m in marks[run])


def test_an_open_cpc_leaves_the_ring_whole_in_line_and_neutral() -> None:
    b, run = broken_ring("E")
    marks = planned(b.home)
    assert len([m for m in marks[run] if isinstance(m, Line)]) == 1
    assert [m.symbol for m in marks[run] if isinstance(m, Glyph)] == ["break"]
    assert [m.text for m in marks[run] if isinstance(m, Words)] == ["cpc open"]
    assert len(tints(all_of(marks))) == 1


def test_spurs_are_thinner_leave_with_a_t_and_a_fused_one_has_a_fuse() -> None:
    b, plain, fused = spurred_ring()
    marks = planned(b.home)
    (spur,), (leg,) = ([m for m in marks[r] if isinstance(m, Line)] for r in (plain, "R1"))
    assert spur.ink.width_px < leg.ink.width_px
    assert [m.symbol for m in marks[plain] if isinstance(m, Glyph)] == ["spur leaves"]
    assert [m.symbol for m in marks[fused] if isinstance(m, Glyph)] == ["spur leaves", "fuse"]
    (tee,) = glyphs(list(marks[plain]), "spur leaves")
    assert math.dist(tee.at_mm, (6000, 1200)) < math.dist(tee.at_mm, (6000, 2400))


@pytest.mark.parametrize(
    ("evidence", "dash"), [("seen", SEEN), ("tested", INFERRED), ("inferred", INFERRED), ("assumed", ASSUMED)]
)
def test_a_run_is_dashed_by_how_well_it_is_known(evidence: Evidence, dash: tuple[float, ...]) -> None:
    b, device, points = lounge()
    run = b.run(device, points[0], evidence=evidence)
    (line,) = (m for m in planned(b.home)[run] if isinstance(m, Line))
    assert line.ink.dash == dash


def test_the_code_stands_beside_every_settled_point_in_its_circuits_colour() -> None:
    b = crowded_kitchen()
    marks = planned(b.home)
    fed = {member.point.id: view.code for view in circuits_of(b.home) for member in view.members}
    index = circuit_index(circuits_of(b.home))
    roles = {view.code: f"circuit:{index[view.device.id]}" for view in circuits_of(b.home)}
    assert len(fed) == 23
    for point, code in fed.items():
        glyph, words = marks[point]
        assert isinstance(glyph, Glyph)
        assert isinstance(words, Words)
        assert (glyph.state, glyph.role) == ("settled", roles[code])
        assert (words.text, words.role) == (code, f"{roles[code]}/text")
        left, top, right, bottom = words_box(words)
        x, y = symbol_middle(glyph)
        assert math.hypot((left + right) / 2 - x, (top + bottom) / 2 - y) < 50


def test_labels_and_symbols_of_a_crowded_kitchen_do_not_pile_up() -> None:
    marks = all_of(planned(crowded_kitchen().home))
    labels = [m for m in marks if isinstance(m, Words) and m.layer == "label" and m.from_zoom <= REFERENCE_ZOOM]
    assert len(labels) >= 24
    for one, other in itertools.combinations(labels, 2):
        assert shared_px2(words_box(one), words_box(other)) < 1, (one, other)
    middles = [symbol_middle(m) for m in marks if isinstance(m, Glyph) and m.state]
    for label in labels:
        for x, y in middles:
            assert shared_px2(words_box(label), (x - 12, y - 12, x + 12, y + 12)) < 6, label


def test_a_rooms_name_waits_for_a_nearer_zoom_where_points_leave_no_room_for_it() -> None:
    b = Builder()
    storey = b.storey()
    wide = b.room("Larder under the stairs", storey, (0, 0, 1600, 1600))
    for x, y in itertools.product((300, 800, 1300), repeat=2):
        b.point("light", (storey, x, y))
    empty = b.room("Larder under the stairs", storey, (3000, 0, 4600, 1600))
    marks = planned(b.home)
    crowded, free = (
        [m for m in marks[room] if isinstance(m, Words) and m.text == "Larder under the stairs"]
        for room in (wide, empty)
    )
    assert crowded[0].from_zoom > REFERENCE_ZOOM >= free[0].from_zoom


def test_a_room_says_its_name_and_area() -> None:
    marks = planned(ring().home)
    assert [m.text for m in marks["M1"] if isinstance(m, Words)] == ["Lounge", "27.0 m²"]


@pytest.mark.parametrize(("x", "y", "turn"), [(3000, 4500, 0), (0, 2000, 90), (3000, 0, 180), (6000, 2000, 270)])
def test_a_wall_symbol_stands_on_its_wall_with_its_body_in_the_room(x: int, y: int, turn: float) -> None:
    b, _, _ = lounge()
    point = b.point("switch", ("G1", x, y))
    (glyph,) = (m for m in planned(b.home)[point] if isinstance(m, Glyph))
    assert glyph.turn_deg == turn
    middle_x, middle_y = symbol_middle(glyph)
    assert 0 < middle_x < 600
    assert 0 < middle_y < 450


def test_the_way_a_thing_faces_wins_over_the_nearest_wall() -> None:
    b, _, _ = lounge()
    point = b.do(verbs.add_point(b.home, "switch", Place(storey="G1", x_mm=0, y_mm=2000, faces_deg=180.0)))
    (glyph,) = (m for m in planned(b.home)[point] if isinstance(m, Glyph))
    assert glyph.turn_deg == 270


def test_points_of_one_plate_stand_side_by_side_along_the_wall() -> None:
    b, _, _ = lounge()
    some = [b.point("switch", ("G1", 3000, 4500)), b.point("switch", ("G1", 3300, 4500))]
    b.do(verbs.share_plate(b.home, some))
    marks = planned(b.home)
    (one,), (other,) = ([m for m in marks[p] if isinstance(m, Glyph)] for p in some)
    assert one.at_mm[1] == other.at_mm[1] == 4500
    assert abs(other.at_mm[0] - one.at_mm[0]) * REFERENCE_ZOOM >= one.size_px
    assert (one.at_mm[0] + other.at_mm[0]) / 2 == 3000


def test_a_run_to_another_storey_ends_in_an_arrow_with_the_code_on_both() -> None:
    b, run = two_storeys()
    for storey, arrow in (("G1", "goes up"), ("G2", "goes down")):
        marks = planned(b.home, storey)[run]
        assert [m.symbol for m in marks if isinstance(m, Glyph)] == [arrow]
        assert [m.text for m in marks if isinstance(m, Words)] == ["A1"]


def test_loose_and_unfollowed_ends_have_marks_of_their_own() -> None:
    b, device, points = lounge()
    b.run(device, points[0])
    loose, unknown = b.run(points[0], End(state="loose")), b.run(points[0], End(state="unknown"))
    marks = planned(b.home)
    assert [m.symbol for m in marks[loose] if isinstance(m, Glyph)] == ["loose end"]
    assert [m.symbol for m in marks[unknown] if isinstance(m, Glyph)] == ["unknown end"]


def test_a_drawn_path_is_kept_and_a_run_to_something_not_placed_says_so() -> None:
    b, device, points = lounge()
    run = b.run(device, points[0])
    path = (("G1", 3000, 0, 300), ("G1", 4000, 2000, 300), ("G1", 5000, 0, 300))
    b.do(verbs.edit(b.home, run, "path", path_mm=path))
    listed = b.run(points[0], b.point("socket", room="M1"))
    marks = planned(b.home)
    (line,) = (m for m in marks[run] if isinstance(m, Line))
    assert line.pts == ((3000, 0), (4000, 2000), (5000, 0))
    assert any(isinstance(m, Words) and "not placed" in m.text for m in marks[listed])


def test_runs_of_one_circuit_that_share_a_wall_lie_in_lanes_of_their_own() -> None:
    b, device, points = lounge()
    spots = [(x, 4500) for x in (800, 1800, 2800, 3800)]
    row = [b.point("socket", ("G1", x, y)) for x, y in spots]
    there = b.chain(*row)
    back = b.run(row[0], row[3])
    marks = planned(b.home)
    lanes = {
        run: max(m.pts, key=lambda p: -p[1])[1] for run in (*there, back) for m in marks[run] if isinstance(m, Line)
    }
    assert lanes[back] != lanes[there[0]] == lanes[there[1]]
    assert all(0 < 4500 - lane < 500 for lane in lanes.values())
    assert points
    assert device


def test_what_was_taken_out_is_not_drawn_and_what_is_planned_is_told_apart() -> None:
    b, _, points = lounge()
    b.do(verbs.edit(b.home, points[0], "out", phase="removed"))
    b.do(verbs.edit(b.home, points[1], "planned", phase="planned"))
    marks = planned(b.home)
    assert points[0] not in marks
    (glyph,) = (m for m in marks[points[1]] if isinstance(m, Glyph))
    assert glyph.role == "accent"
    assert [m.text for m in marks[points[1]] if isinstance(m, Words)] == ["planned"]


@pytest.mark.parametrize("evidence", EVIDENCE)
def test_a_planned_run_looks_like_no_run_that_is_there(evidence: Evidence) -> None:
    b, _, points = lounge()
    run = b.run(points[0], points[1])
    b.do(verbs.edit(b.home, run, "planned", phase="planned", evidence=evidence))
    marks = planned(b.home)
    (line,) = (m for m in marks[run] if isinstance(m, Line))
    assert line.ink == Ink("accent", line.ink.width_px, PLANNED)
    assert PLANNED not in {dash_of(each) for each in EVIDENCE}
    rows = [entry.words for group in legend_of(all_of(marks)) for entry in group.entries]
    assert "Run planned, not there yet" in rows


def test_a_wall_has_gaps_for_its_openings_and_a_sheet_lies_faded_under_outlines_that_let_it_show() -> None:
    b, _, _ = lounge()
    wall = b.do(verbs.add_wall(b.home, "G1", (0, 4600), (6000, 4600), 100))
    b.do(verbs.edit(b.home, wall, "door", openings=(Opening(kind="door", along_mm=2000, width_mm=800),)))
    solid = [m for m in planned(b.home)[wall] if isinstance(m, Area)]
    assert sorted((min(x for x, _ in m.rings[0]), max(x for x, _ in m.rings[0])) for m in solid) == [
        (0, 2000),
        (2800, 6000),
    ]
    assert any(isinstance(m, Area) for m in planned(b.home)["M1"])
    sheet = b.do(verbs.add_sheet(b.home, "G1", "0" * 64, "image/png", 100, 100))
    assert sheet not in planned(b.home)
    b.do(verbs.set_scale(b.home, sheet, (60.0, 0.0, 0.0, 0.0, 60.0, 0.0, 0.0, 0.0, 1.0)))
    marks = planned(b.home)
    (picture,) = marks[sheet]
    assert isinstance(picture, Picture)
    assert picture.fade > 0.4
    assert not any(isinstance(m, Area) for m in marks["M1"])


def test_nothing_is_made_again_while_nothing_changed_and_one_move_touches_its_neighbourhood_only() -> None:
    b, device, points = lounge()
    b.chain(device, *points, device)
    far = b.storey("First floor", 1)
    b.room("Bedroom", "G1", (7000, 0, 9000, 3000))
    other = b.point("socket", ("G1", 7000, 1000))
    b.point("socket", (far, 0, 0))
    memo = Memo()
    before = planned(b.home, memo=memo)
    assert planned(b.home, memo=memo) is before
    b.do(verbs.move(b.home, points[0], Place(storey="G1", x_mm=4600, y_mm=0)))
    after = planned(b.home, memo=memo)
    assert {i for i in after if after[i] is not before.get(i)} == {points[0], "R1", "R2", device}
    assert after[other] is before[other]


@pytest.mark.parametrize("seed", range(6))
def test_after_any_edits_the_remembered_plan_is_the_plan_made_afresh(seed: int) -> None:
    chance = random.Random(seed)
    b, device, points = lounge()
    b.storey("First floor", 1)
    b.room("Bedroom", "G1", (6100, 0, 9000, 3000))
    memo = Memo()
    history = [b.home]
    for _ in range(25):
        act = chance.choice(["move", "move", "join", "plate", "room", "away", "back", "remove", "add", "tag"])
        living = [p for p in points if b.home.find(Point, p)]
        if act == "back":
            b.home = chance.choice(history)
        elif act == "room":
            b.do(
                verbs.reshape_room(
                    b.home, "M1", ((0, 0), (6000 + 10 * chance.randrange(9), 0), (6000, 4500), (0, 4500))
                )
            )
        elif act == "add":
            points.append(b.point("light", ("G1", chance.randrange(6000), chance.randrange(4500))))
        elif len(living) > 2:
            one, other = chance.sample(living, 2)
            if act in ("move", "away"):
                place = Place(
                    storey="G2" if act == "away" else "G1", x_mm=chance.randrange(9000), y_mm=chance.randrange(4500)
                )
                b.do(verbs.move(b.home, one, place))
            elif act == "join":
                b.run(chance.choice([device, other]), one, evidence="inferred")
            elif act == "plate" and not any(b.home.take(Point, p).plate for p in (one, other)):
                b.do(verbs.share_plate(b.home, [one, other]))
            elif act == "tag":
                b.do(verbs.tag(b.home, one, device, "seen"))
            elif act == "remove":
                b.do(verbs.remove(b.home, one))
        history.append(b.home)
        for storey in b.home.table(Storey):
            assert planned(b.home, storey, memo) == planned(b.home, storey)


def test_a_point_on_two_ways_shows_both_codes_and_two_halves() -> None:
    b, device, points = lounge()
    second = b.device("B1", "2", curve="B", label="Kitchen")
    for each in (device, second):
        b.do(verbs.tag(b.home, points[0], each, "seen"))
    glyph, words = planned(b.home)[points[0]]
    assert isinstance(glyph, Glyph)
    assert isinstance(words, Words)
    assert (glyph.state, glyph.role, glyph.also) == ("in doubt", "circuit:0", "circuit:1")
    assert words.text == "A1/A2"


def test_a_circuits_colour_follows_the_order_of_the_ways() -> None:
    b = crowded_kitchen()
    assert circuit_index(circuits_of(b.home)) == {"D1": 0, "D2": 1, "D3": 2, "D4": 3}
    point = b.home.sorted(Point)[0]
    renamed = msgspec.structs.replace(point, name="By the door")
    b.home = b.home.apply(Change("Name", ((point, renamed),)))
    assert circuit_index(circuits_of(b.home))["D4"] == 3
