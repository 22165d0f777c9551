"""The chart of a sweep: exact between the points, measured beside predicted, and words that can be read."""

import itertools
from math import inf, isfinite

import pytest

from circuitmap.drawing.marks import Area, Ink, Line, Mark, Words, mark_points
from circuitmap.drawing.reading_chart import Second, chart_drawing, chart_marks
from circuitmap.drawing.reading_chart_axis import axis_of
from circuitmap.drawing.reading_chart_data import ReadingChart, SweepKey, chart_of, is_open, sweeps_of
from circuitmap.drawing.reading_chart_labels import figures_of, head_of
from circuitmap.drawing.reading_chart_scale import words_box
from circuitmap.drawing.svg import svg_text
from circuitmap.home import verbs
from circuitmap.home.records import End, RunFault
from circuitmap.readings.causes import Cause, Compared
from circuitmap.trade import load
from circuitmap.words import LinkKind
from tests.drawing.homes import shared_px2
from tests.drawing.swept import Swept
from tests.readings.wired import Wired, reference

LN = SweepKey("cross", ("L", "N"))
LE = SweepKey("cross", ("L", "E"))
ONE_LEG = SweepKey("one leg", ("L", "E"))
WIDE, HIGH = 420.0, 300.0


def chart(swept: Swept, key: SweepKey = LN) -> ReadingChart:
    return chart_of(swept.home, swept.on_way, load(), swept.book(), key)


def said(marks: list[Mark]) -> list[str]:
    return [mark.text for mark in marks if isinstance(mark, Words)]


def dots(marks: list[Mark]) -> list[Area]:
    """The round marks: readings."""
    return [m for m in marks if isinstance(m, Area) and m.layer == "symbol" and len(m.rings[0]) == 20]


def middle(area: Area) -> tuple[float, float]:
    xs, ys = zip(*area.rings[0], strict=True)
    return sum(xs) / len(xs), sum(ys) / len(ys)


# -- the line ----------------------------------------------------------------------------------------------------------


def test_a_ring_goes_from_the_board_round_to_the_board_by_the_lengths_on_the_map() -> None:
    swept = Swept(3)
    axis = axis_of(swept.on_way, swept.home)
    assert [stop.record for stop in axis.line] == [swept.way_id, *swept.sockets, swept.way_id]
    assert [stop.along for stop in axis.line] == pytest.approx([0, 4, 11, 21, 34])
    assert axis.is_closed
    assert axis.is_measured


def test_a_spur_stands_off_the_line_at_its_take_off() -> None:
    swept = Swept(4)
    (spur,) = axis_of(swept.on_way, swept.home).spurs
    assert (spur.record, spur.leaves, spur.before) == (swept.spurs[0], swept.sockets[2], swept.sockets[2])
    _, spots = chart_drawing(chart(swept), WIDE, HIGH)
    at = {spot.record: spot.at for spot in spots}
    assert 5 < at[spur.record][0] - at[spur.leaves][0] < 20


def test_one_length_missing_puts_all_points_at_even_steps_and_says_so() -> None:
    swept = Swept(4, spur_m=0)
    swept.do(verbs.edit(swept.home, swept.loop_runs[2], "length", length_mm=None))
    made = chart(swept)
    assert [stop.along for stop in made.axis.line] == [0, 1, 2, 3, 4, 5]
    assert any("Evenly spaced" in note for note in made.notes)
    assert not any(text.endswith(" m") for text in said(chart_marks(made, WIDE, HIGH)))


def test_a_radial_goes_its_longest_way_and_branches_stand_beside() -> None:
    wired = Wired()
    first, second, third, branch = (wired.point() for _ in range(4))
    for a, b in ((wired.way_id, first), (first, second), (second, third), (first, branch)):
        wired.length(a, b, 5)
    axis = axis_of(wired.on_way, wired.home)
    assert [stop.record for stop in axis.line] == [wired.way_id, first, second, third]
    assert [(stop.record, stop.leaves) for stop in axis.spurs] == [(branch, first)]
    assert not axis.is_closed


def test_what_no_run_joins_stands_in_the_order_of_the_list_and_that_is_said() -> None:
    swept = Swept(0, spur_m=0)
    points = [swept.point() for _ in range(3)]
    for point in points:
        swept.do(verbs.tag(swept.home, point, swept.way_id))
    made = chart(swept, SweepKey("radial", ("L", "E")))
    assert [stop.record for stop in made.axis.line] == [swept.way_id, *points]
    assert any("order of the list" in note for note in made.notes)


# -- what is predicted -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("key", [LN, LE], ids=["line-neutral", "line-cpc"])
def test_the_line_between_the_points_is_the_published_curve(key: SweepKey) -> None:
    # The exact cross-linked curve, CHECKS section 1: [x·r1+(1−x)·r2]·[(1−x)·r1+x·r2]/(r1+r2).
    wired, _ = reference()
    book = Swept.book(_with_memo(wired))
    made = chart_of(wired.home, wired.on_way, load(), book, key)
    trade = load()
    live, cpc = trade.cable_ohm_per_m(trade.cable("T&E 2.5/1.5"))  # type: ignore[arg-type]  # the tables have it
    r1, r2 = 60 * live, 60 * (live if key is LN else cpc)  # type: ignore[operator]  # and its ohms
    assert sum(len(piece.along) for piece in made.pieces) > 6 * 8
    for piece in made.pieces:
        for along, ohm in zip(piece.along, piece.ohm, strict=True):
            x = along / 60
            assert ohm == pytest.approx((x * r1 + (1 - x) * r2) * ((1 - x) * r1 + x * r2) / (r1 + r2), rel=1e-12)


def _with_memo(wired: Wired) -> Swept:
    swept = Swept(0, spur_m=0)
    swept.home, swept.way_id = wired.home, wired.way_id
    return swept


@pytest.mark.parametrize("link", ["cross", "one leg", "same leg", "radial"])
def test_the_pieces_meet_at_what_each_point_should_read(link: LinkKind) -> None:
    made = chart(Swept(6), SweepKey(link, ("L", "E")))
    line = made.axis.line
    for n, piece in enumerate(made.pieces):
        if n > 0:
            assert piece.ohm[0] == pytest.approx(made.expected[line[n].record].ohm, rel=1e-9)
            assert piece.sd_ohm[0] == pytest.approx(made.expected[line[n].record].sd_ohm, rel=1e-6)


def test_readings_linked_on_one_leg_grow_from_the_linked_end_to_the_other() -> None:
    made = chart(Swept(6), ONE_LEG)
    ohms = [ohm for piece in made.pieces for ohm in piece.ohm]
    assert ohms[0] == pytest.approx(0.0, abs=1e-12)
    assert ohms == sorted(ohms)
    assert ohms[-1] == pytest.approx(made.expected[made.axis.line[0].record].ohm, rel=1e-9)


def test_where_a_conductor_is_open_on_the_map_no_line_is_drawn_through_it() -> None:
    swept = Swept(6, spur_m=0)
    run = swept.loop_runs[3]
    swept.do(verbs.edit(swept.home, run, "fault", faults=(RunFault(kind="open", cores=("L",), evidence="tested"),)))
    made = chart(swept, ONE_LEG)
    assert len(made.pieces) < 7
    assert any(each.is_open for each in made.expected.values())
    assert "open" in said(chart_marks(made, WIDE, HIGH))


def test_a_radial_asked_for_as_a_ring_is_a_sentence_not_a_curve() -> None:
    wired = Swept(0, spur_m=0)
    wired.length(wired.way_id, wired.point(), 5)
    made = chart(wired, LN)
    assert made.pieces == ()
    assert any("takes two" in note for note in made.notes)


def test_the_sweeps_offered_are_those_read_and_those_that_the_shape_takes() -> None:
    swept = Swept(4)
    assert sweeps_of(swept.on_way, swept.book()) == (LN, LE)
    swept.sweep("one leg", ("L", "E"))
    assert sweeps_of(swept.on_way, swept.book()) == (ONE_LEG, LN, LE)
    assert ONE_LEG.words == "Line–cpc, linked on one leg"


# -- what was read -----------------------------------------------------------------------------------------------------


def test_a_reading_far_off_has_its_figure_and_a_ring_besides_its_colour() -> None:
    swept = Swept(8)
    swept.sweep(off={swept.sockets[4]: "0.62"})
    marks = chart_marks(chart(swept), WIDE, HIGH)
    assert "0.62 Ω" in said(marks)
    assert said(marks)[1] == f"Furthest off: {swept.sockets[4]}: read 0.62 Ω, predicted 0.27 ± 0.06 Ω"
    rings = [m for m in marks if isinstance(m, Line) and m.layer == "symbol"]
    assert [ring.ink.role for ring in rings] == ["warn"]


def test_before_is_hollow_and_after_is_filled_and_both_are_named_beside_a_dot() -> None:
    swept = Swept(5)
    swept.sweep()
    swept.come("2026-01-09", "after work")
    swept.sweep()
    marks = chart_marks(chart(swept), WIDE, HIGH)
    assert {dot.fill for dot in dots(marks)} == {"paper", "ink"}
    assert {"before", "after"} <= set(said(marks))
    assert "read" not in said(marks)
    spots = [middle(dot) for dot in dots(marks)]
    assert len(set(spots)) == len(spots) == 14  # seven places, twice


def test_an_open_circuit_stands_at_the_top_edge_with_its_word() -> None:
    swept = Swept(8)
    swept.sweep(off={swept.sockets[6]: ">99.9"})
    made = chart(swept)
    assert [dot.record for dot in made.dots if is_open(dot)] == [swept.sockets[6]]
    marks = chart_marks(made, WIDE, HIGH)
    assert said(marks).count("open") == 2  # at the edge and at the reading
    assert min(middle(dot)[1] for dot in dots(marks)) < 70


@pytest.mark.parametrize(("typed", "way", "off"), [(">0.10", -1, False), (">0.50", -1, True), ("<0.10", 1, True)])
def test_a_bound_is_an_arrow_and_off_only_where_it_shuts_the_prediction_out(typed: str, way: int, off: bool) -> None:
    swept = Swept(8)
    swept.sweep(off={swept.sockets[6]: typed})
    made = chart(swept)
    (dot,) = made.dots_at(swept.sockets[6])
    assert dot.bound == typed[0]
    assert dot.off_sd is not None
    assert (dot.off_sd > 3) == off
    marks = chart_marks(made, WIDE, HIGH)
    heads = [m for m in marks if isinstance(m, Line) and len(m.pts) == 3 and m.layer == "run"]
    assert [(head.pts[1][1] - head.pts[0][1]) * way > 0 for head in heads] == [True]


def test_error_bars_are_as_long_as_the_meter_errs() -> None:
    swept = Swept(6, spur_m=0)
    swept.sweep("cross", ("L", "E"))
    made = chart(swept, LE)
    (dot,) = made.dots_at(swept.sockets[0])
    # Two standard deviations of 1 % of the reading and of a last digit of 0.01 Ω evenly spread.
    assert dot.error_ohm == pytest.approx(2 * ((0.01 * dot.ohm) ** 2 + 0.01**2 / 12) ** 0.5)
    marks = chart_marks(made, WIDE, 700)
    bars = [m for m in marks if isinstance(m, Line) and m.layer == "run" and m.ink == Ink("ink", 1.2)]
    assert len(bars) == 4 * len(made.dots)


def test_a_number_however_large_is_a_number_and_over_range_is_open() -> None:
    swept = Swept(8)
    swept.sweep(off={swept.sockets[4]: "310", swept.sockets[5]: ">19.99", swept.sockets[6]: ">2"})
    made = chart(swept)
    assert [dot.record for dot in made.dots if is_open(dot)] == [swept.sockets[5]]
    assert {"310 Ω", ">2.00 Ω"} <= set(said(chart_marks(made, WIDE, HIGH)))


def test_a_reading_far_above_all_others_does_not_flatten_the_chart() -> None:
    swept = Swept(8)
    swept.sweep(off={swept.sockets[4]: "14.2"})
    marks = chart_marks(chart(swept), WIDE, HIGH)
    assert "14.2 Ω" in said(marks)
    low, high = sorted(middle(dot)[1] for dot in dots(marks))[1], max(middle(dot)[1] for dot in dots(marks))
    assert high - low > 8
    assert not any(text.startswith("14") and text != "14.2 Ω" for text in said(marks))


def test_a_reading_where_no_run_leads_is_named_not_drawn_and_not_lost() -> None:
    swept = Swept(4)
    far = swept.point()
    swept.do(verbs.tag(swept.home, far, swept.way_id))
    swept.read(far, "0.30")
    made = chart(swept)
    assert made.dots == ()
    assert any(far in note and "Not on the line" in note for note in made.notes)


# -- a likely cause ----------------------------------------------------------------------------------------------------


def test_a_cause_has_a_second_line_and_marks_its_place() -> None:
    swept = Swept(6)
    swept.sweep()
    made = chart(swept)
    compared = tuple(
        Compared(f"Q{n}", "linked", "cross", ("N", "L"), place, 0.3, inf if n == 5 else 0.4, 0.01, 1.0)
        for n, place in enumerate(swept.sockets)
    )
    run = swept.loop_runs[3]
    cause = Cause("open core", 0.9, "line open there", runs=(run,), compared=compared)
    expected = made.expected_by(cause)
    assert set(expected) == set(swept.sockets)
    marks = chart_marks(made, WIDE, HIGH, second=Second(expected, cause.says, cause.at, cause.runs))
    dashes = [m for m in marks if isinstance(m, Line) and m.ink.role == "select" and m.ink.dash]
    assert [len(line.pts) for line in dashes] == [5]
    washes = [m for m in marks if isinstance(m, Area) and m.fill == "select/tint"]
    assert len(washes) == 1
    assert "line open there" in said(marks)
    assert made.expected_by(Cause("healthy", 0.1, "as drawn")) == {}


def test_the_figures_of_a_place_say_read_and_predicted() -> None:
    swept = Swept(6)
    assert figures_of(chart(swept), swept.sockets[0]) == f"{swept.sockets[0]}: predicted 0.20 ± 0.05 Ω"
    swept.read(swept.sockets[0], "0.31")
    assert figures_of(chart(swept), swept.sockets[0]) == f"{swept.sockets[0]}: read 0.31 Ω, predicted 0.20 ± 0.05 Ω"


def test_what_is_said_over_the_chart_counts_only_what_counts_now() -> None:
    swept = Swept(6)
    assert head_of(chart(swept)).startswith("Nothing read yet.")
    swept.sweep(off={swept.sockets[0]: "0.50"})
    assert head_of(chart(swept)).startswith(f"Furthest off: {swept.sockets[0]}: read 0.50 Ω")
    swept.come("2026-01-09", "after work")
    swept.sweep()
    assert head_of(chart(swept)) == "Now no reading lies far from what the map predicts."


def test_the_board_is_one_place_though_a_ring_comes_back_to_it() -> None:
    for key in (LN, ONE_LEG):
        _, spots = chart_drawing(chart(Swept(6), key), WIDE, HIGH)
        assert len({spot.record for spot in spots}) == len(spots) == 8
        board = 0 if key is LN else -1  # with one leg linked the board is read at the end of the other
        assert spots[board].record.startswith("D")


# -- to be read --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("wide", "high"), [(260, 240), (380, 300), (900, 360)])
@pytest.mark.parametrize("count", [0, 3, 12, 20, 40])
@pytest.mark.parametrize("sides", [0, 1, 2])
def test_no_two_words_lie_on_each_other_nor_on_a_reading_and_all_stay_inside(
    count: int, wide: int, high: int, sides: int
) -> None:
    swept = Swept(count, spur_m=6.0 if count > 2 else 0)
    if not count:
        swept.length(swept.way_id, swept.point(), 4)
    key = LN if count else SweepKey("radial", ("L", "E"))
    off = {swept.sockets[1]: "0.9", swept.sockets[2]: ">200"} if count else {}
    for side in range(sides):
        swept.come(f"2026-02-0{side + 1}", "after work" if side else "survey")
        swept.sweep(key.link, key.cores, off=off)
    made = chart(swept, key)
    second = Second(dict.fromkeys(swept.sockets[::3], 0.4), "line open between two sockets", tuple(swept.sockets[:1]))
    for extra in (None, second):
        marks = chart_marks(made, wide, high, chosen=swept.sockets[0] if count else "", second=extra)
        words = [m for m in marks if isinstance(m, Words)]
        assert {m.size_px for m in words} <= {11.0, 13.0}
        boxes = [words_box(m) for m in words]
        for (one, box), (other, that) in itertools.combinations(zip(words, boxes, strict=True), 2):
            assert shared_px2(box, that) < 1.0, (one.text, other.text)
        for mark, box in zip(words, boxes, strict=True):
            assert box[0] >= -1, mark.text
            assert box[2] <= wide + 1, mark.text
            assert 0 <= box[1] < box[3] <= high + 1, mark.text
            for dot in dots(marks):
                x, y = middle(dot)
                assert not (box[0] < x < box[2] and box[1] < y < box[3]), mark.text


def test_every_mark_is_finite_and_the_svg_pen_draws_it() -> None:
    swept = Swept(12)
    swept.sweep(off={swept.sockets[1]: ">99.9"})
    marks = chart_marks(chart(swept), WIDE, HIGH)
    for mark in marks:
        assert all(isfinite(x) and isfinite(y) for x, y in mark_points(mark))
    text = svg_text(marks, title="Readings", bounds_mm=(0, 0, WIDE, HIGH), px_per_mm=1.0)
    assert ">open<" in text
    assert text == svg_text(marks, title="Readings", bounds_mm=(0, 0, WIDE, HIGH), px_per_mm=1.0)


def test_a_thousand_points_and_nothing_at_all_are_drawn() -> None:
    wired = Swept(0, spur_m=0)
    assert said(chart_marks(chart(wired, LE), WIDE, HIGH))
    many = Swept(1000)
    for key in (LN, ONE_LEG):
        made = chart(many, key)
        assert len(made.pieces) == 1001
        marks, spots = chart_drawing(made, WIDE, HIGH)
        assert len(spots) == 1002  # all can be stepped to, though not all have their code printed
        assert len([m for m in marks if isinstance(m, Words)]) < 80


def test_beyond_what_can_be_seen_the_line_is_straight_between_points_and_the_same_at_them() -> None:
    for key in (LN, ONE_LEG):
        few, many = chart(Swept(149, spur_m=0), key), chart(Swept(151, spur_m=0), key)
        assert (len(few.pieces[0].ohm), len(many.pieces[0].ohm)) == (13, 2)
        for made in (few, many):
            for stop, piece in zip(made.axis.line[1:-1], made.pieces, strict=False):
                assert piece.ohm[-1] == pytest.approx(made.expected[stop.record].ohm)


def test_a_cable_from_the_board_that_is_no_leg_hangs_off_the_board() -> None:
    swept = Swept(4, spur_m=0)
    far = swept.leg(6)
    axis = axis_of(swept.on_way, swept.home)
    assert [(stop.record, stop.leaves) for stop in axis.spurs] == [(far, swept.way_id)]
    assert End(at=swept.way_id, leg=3).leg == 3
