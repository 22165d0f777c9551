"""Readings beside the points of the loop view: what was read and what the map says, legible, and lit where asked."""

import itertools

import pytest

from circuitmap.drawing.loop import loop_drawing
from circuitmap.drawing.loop_readings import Beside, readings_beside
from circuitmap.drawing.marks import Area, Line, Mark, Words
from circuitmap.drawing.reading_chart_data import ReadingChart, SweepKey, chart_of
from circuitmap.drawing.reading_chart_scale import words_box
from circuitmap.trade import load
from tests.drawing.homes import shared_px2
from tests.drawing.swept import Swept

LN = SweepKey("cross", ("L", "N"))
WIDE, HIGH = 380.0, 520.0


def chart(swept: Swept, key: SweepKey = LN) -> ReadingChart:
    return chart_of(swept.home, swept.on_way, load(), swept.book(), key)


def loop(swept: Swept, wide: float = WIDE, lit: tuple[str, ...] = ()) -> list[Mark]:
    beside = readings_beside(chart(swept))
    return loop_drawing(swept.on_way, swept.home, wide, HIGH, beside=beside, lit=lit)[0]


def said(marks: list[Mark]) -> list[str]:
    return [mark.text for mark in marks if isinstance(mark, Words)]


def test_what_was_read_stands_beside_what_the_map_says() -> None:
    swept = Swept(6, spur_m=0)
    assert "map 0.20 Ω" in said(loop(swept))
    swept.read(swept.sockets[0], "0.21")
    assert "read 0.21 · map 0.20 Ω" in said(loop(swept, 500))
    swept.come("2026-01-09", "after work")
    swept.read(swept.sockets[0], "0.20")
    assert "read 0.21 → 0.20 · map 0.20 Ω" in said(loop(swept, 500))
    assert "0.21 → 0.20" in said(loop(swept, 300))


def test_off_is_a_word_and_no_word_of_it_is_cut_off() -> None:
    swept = Swept(6, spur_m=0)
    swept.sweep(off={swept.sockets[1]: "0.62", swept.sockets[3]: ">200"})
    for wide in (300.0, 320.0, 380.0, 600.0):
        off = [text for text in said(loop(swept, wide)) if "off" in text]
        assert len(off) == 2
        assert any("0.62" in text for text in off)
        assert any("open" in text for text in off)
        assert not any("…" in text for text in off)


def test_a_place_without_reading_and_prediction_has_nothing_beside_it() -> None:
    swept = Swept(4, spur_m=0)
    swept.cable = "of no known kind"
    far = swept.spur(swept.sockets[0], 4)
    assert far not in readings_beside(chart(swept))
    swept.read(far, "0.40")
    assert readings_beside(chart(swept))[far] == Beside(("read 0.40 Ω", "0.40 Ω"), "ink")


@pytest.mark.parametrize("wide", [320.0, 380.0, 700.0])
@pytest.mark.parametrize("count", [2, 8, 20, 40])
def test_no_two_words_lie_on_each_other_and_all_stay_inside(count: int, wide: float) -> None:
    swept = Swept(count, spur_m=5.0 if count > 2 else 0, named=True)
    swept.sweep(off={swept.sockets[1]: "0.62"})
    words = [m for m in loop(swept, wide) if isinstance(m, Words)]
    assert sum("map" in m.text or "off" in m.text for m in words) >= count
    for one, other in itertools.combinations(words, 2):
        assert shared_px2(words_box(one), words_box(other)) < 1.0, (one.text, other.text)
    for mark in words:
        left, _, right, _ = words_box(mark)
        assert -1 <= left < right <= wide + 1, mark.text


def test_the_place_of_a_cause_is_lit_up_and_nothing_else_is() -> None:
    swept = Swept(6)
    assert not [m for m in loop(swept) if isinstance(m, Area) and m.fill == "select/tint"]
    marks = loop(swept, lit=(swept.sockets[3], swept.sockets[4], swept.loop_runs[4]))
    assert len([m for m in marks if isinstance(m, Area) and m.fill == "select/tint"]) == 2
    assert len([m for m in marks if isinstance(m, Line) and m.ink.role == "select/half"]) == 1


def test_a_radial_has_its_readings_beside_the_tree() -> None:
    swept = Swept(0, spur_m=0)
    first, second = swept.point(), swept.point()
    swept.length(swept.way_id, first, 10)
    swept.length(first, second, 10)
    key = SweepKey("radial", ("L", "E"))
    made = chart_of(swept.home, swept.on_way, load(), swept.book(), key)
    marks, _ = loop_drawing(swept.on_way, swept.home, WIDE, HIGH, beside=readings_beside(made))
    # 10 m and 20 m of 7.41 and 12.1 mΩ/m (IEC 60228).
    assert {"map 0.20 Ω", "map 0.39 Ω"} <= set(said(marks))
