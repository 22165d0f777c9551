"""The loop view: a ring as a ring in order, spurs outside it, gaps with ticks, and names that can be read."""

import itertools

import pytest

from circuitmap.drawing.loop import loop_marks
from circuitmap.drawing.marks import Area, Glyph, Line, Mark, Words
from circuitmap.drawing.typed import width_px
from circuitmap.home import verbs
from circuitmap.home.records import Point
from tests.build import Builder
from tests.drawing.homes import (
    Box,
    broken_ring,
    circuits_of,
    lounge,
    open_ring,
    ring,
    shared_px2,
    spurred_ring,
    ticks_of,
)

WIDE, HIGH = 380.0, 520.0


def loop(b: Builder, code: str = "A1", wide: float = WIDE, high: float = HIGH) -> list[Mark]:
    view = next(view for view in circuits_of(b.home) if view.code == code)
    return loop_marks(view, b.home, wide, high)


def named_ring(count: int) -> Builder:
    b = Builder()
    device = b.device(b.board("A"), "1", label="Sockets")
    room = b.room("Living room")
    points = [b.point("socket", room=room, cables=2) for _ in range(count)]
    for n, point in enumerate(points):
        b.do(verbs.edit(b.home, point, "name", name=f"No. {n + 1}"))
    b.chain(device, *points, device, length_mm=4250)
    return b


def said(marks: list[Mark]) -> list[str]:
    return [mark.text for mark in marks if isinstance(mark, Words)]


def box(words: Words) -> Box:
    wide = width_px(words.text, words.size_px)
    left = words.at_mm[0] - {"start": 0.0, "middle": wide / 2, "end": wide}[words.anchor]
    return left, words.at_mm[1] - words.size_px / 2, left + wide, words.at_mm[1] + words.size_px / 2


def spots(marks: list[Mark]) -> dict[str, tuple[float, float]]:
    return {m.text: m.at_mm for m in marks if isinstance(m, Words)}


@pytest.mark.parametrize("count", [2, 3, 8, 25, 60])
def test_a_ring_of_any_size_is_closed_in_order_and_can_be_read(count: int) -> None:
    marks = loop(named_ring(count))
    (tint,) = (m for m in marks if isinstance(m, Area))
    assert tint.fill == "circuit:0/tint"
    assert ticks_of(marks) == []
    names = [text for text in said(marks) if text.startswith("No. ")]
    assert len(names) == count
    where = {int(text.split()[1].rstrip("·…,")): at for text, at in spots(marks).items() if text.startswith("No. ")}
    left = [n for n, (x, _) in where.items() if x < WIDE / 2]
    # Down the left from the way, and back up the right.
    assert sorted(left) == list(range(1, len(left) + 1))
    assert sorted(left, key=lambda n: where[n][1]) == sorted(left)
    right = [n for n in where if n not in left]
    assert sorted(right, key=lambda n: -where[n][1]) == sorted(right)
    assert abs(len(left) - len(right)) <= 1


@pytest.mark.parametrize("count", [8, 60])
def test_no_two_words_lie_on_each_other_and_all_stay_inside(count: int) -> None:
    words = [m for m in loop(named_ring(count)) if isinstance(m, Words)]
    assert {m.size_px for m in words} <= {11.0, 13.0}
    for one, other in itertools.combinations(words, 2):
        assert shared_px2(box(one), box(other)) < 1, (one, other)
    for each in words:
        left, _, right, _ = box(each)
        assert left >= 0
        assert right <= WIDE


def test_lengths_stand_inside_the_ring() -> None:
    lengths = [m for m in loop(named_ring(8)) if isinstance(m, Words) and m.text == "4.25 m"]
    assert len(lengths) == 9
    assert all(WIDE * 0.3 < m.at_mm[0] < WIDE * 0.7 for m in lengths)


def test_spurs_stand_outside_under_their_take_off() -> None:
    b, _, _ = spurred_ring()
    for point, name in (("P9", "Spur socket"), ("P2", "Take-off")):
        b.do(verbs.edit(b.home, point, "name", name=name))
    marks = loop(b)
    off, spur = spots(marks)["Take-off"], spots(marks)["Spur socket"]
    assert spur[1] > off[1]
    assert abs(spur[0] - WIDE / 2) > abs(off[0] - WIDE / 2)
    assert len([m for m in marks if isinstance(m, Glyph) and m.symbol == "spur leaves"]) == 2
    assert any("fused unit 13 A" in text for text in said(marks))
    thin = {m.ink.width_px for m in marks if isinstance(m, Line) and m.ink.role == "circuit:0"}
    assert len(thin) == 2


def test_an_open_ring_has_its_gap_where_no_run_is() -> None:
    marks = loop(open_ring())
    assert len(ticks_of(marks)) == 2
    assert not any(isinstance(m, Area) for m in marks)
    assert any(text.startswith("Broken ring") for text in said(marks))


def test_an_open_core_is_named_and_an_open_cpc_leaves_line_and_neutral_closed() -> None:
    cpc = loop(broken_ring("E")[0])
    assert "cpc open" in said(cpc)
    assert "Ring, seen; only line and neutral closed" in said(cpc)
    assert ticks_of(cpc) == []
    line = loop(broken_ring("L")[0])
    assert "line open" in said(line)
    assert len(ticks_of(line)) == 2


def test_a_radial_is_a_tree_with_branches_further_in() -> None:
    b = Builder()
    device = b.device(b.board("A"), "1", rating_a=20, label="Sockets")
    points = [b.point("socket", cables=n) for n in (2, 3, 2, 1, 1)]
    for n, point in enumerate(points):
        b.do(verbs.edit(b.home, point, "name", name=f"No. {n}"))
    b.chain(device, *points[:4])
    b.run(points[1], points[4])
    where = spots(loop(b))
    assert where["No. 0"][0] == where["No. 1"][0] == where["No. 2"][0] == where["No. 3"][0] < where["No. 4"][0]
    assert where["No. 0"][1] < where["No. 1"][1] < where["No. 4"][1]


def test_legs_on_two_ways_show_both_ways_at_the_top() -> None:
    b = Builder()
    board = b.board("A")
    one, other = b.device(board, "1", label="Sockets"), b.device(board, "2", label="Kitchen")
    points = [b.point("socket", cables=2) for _ in range(6)]
    b.chain(one, *points, other)
    marks = loop(b)
    where = spots(marks)
    assert where["A1"][1] == where["A2"][1]
    assert where["A1"][0] < where["A2"][0]
    assert not any(isinstance(m, Area) for m in marks)


def test_a_ring_fed_through_one_cable_hangs_on_it() -> None:
    b = Builder()
    device = b.device(b.board("A"), "1", label="Sockets")
    points = [b.point("socket", cables=3 if n == 1 else 2) for n in range(6)]
    for n, point in enumerate(points):
        b.do(verbs.edit(b.home, point, "name", name=f"No. {n}"))
    b.chain(device, *points[:2])
    b.chain(points[1], *points[2:], points[1])
    where = spots(loop(b))
    assert where["A1"][1] < where["No. 0"][1] < where["No. 1"][1] < where["No. 2"][1]
    assert "Ring fed through one cable, seen" in where


def test_whatever_loops_in_a_tree_says_where_it_goes_on_to() -> None:
    b = Builder()
    device = b.device(b.board("A"), "1", label="Sockets")
    points = [b.point("socket", cables=3) for _ in range(9)]
    b.chain(device, *points[:4], device)
    b.chain(points[1], *points[4:7], points[1])
    marks = loop(b, wide=700)
    assert len([m for m in marks if isinstance(m, Glyph) and m.state == "settled"]) == 7
    assert any(text.startswith("on to ") for text in said(marks))


def test_cables_nobody_traced_end_in_a_question_mark() -> None:
    b, device, points = lounge()
    b.chain(device, *points[:3])
    b.do(verbs.count_cables(b.home, points[2], 3))
    marks = loop(b)
    assert [m.symbol for m in marks if isinstance(m, Glyph)].count("unknown end") == 2
    assert "1 not traced" in said(marks)  # at the way
    assert "2 not traced" in said(marks)


def test_what_was_only_said_to_be_fed_is_listed_without_a_cable() -> None:
    b, device, points = lounge()
    for point in points[:3]:
        b.do(verbs.tag(b.home, point, device, "seen"))
    marks = loop(b)
    assert "Fed by it, cables not drawn:" in said(marks)
    assert not any(isinstance(m, Line) for m in marks)
    assert len([m for m in marks if isinstance(m, Glyph) and m.state == "settled"]) == 3


def test_a_name_of_ten_thousand_letters_is_cut() -> None:
    b = ring()
    b.do(verbs.edit(b.home, b.home.sorted(Point)[0].id, "name", name="x" * 10_000))
    long = next(text for text in said(loop(b)) if text.startswith("xxx"))
    assert long.endswith("…")
    assert width_px(long, 13) < WIDE / 2
