"""Symbols: every kind has one, all differ, and those the standard knows have its geometry."""

import itertools

import pytest

from circuitmap.drawing.outlines import CODES
from circuitmap.drawing.paths import sampled
from circuitmap.drawing.symbols import NAMES, symbol, symbol_name
from circuitmap.errors import OurError
from circuitmap.words import POINT_KINDS, SEVERITIES, PointKind


@pytest.mark.parametrize("kind", POINT_KINDS)
def test_every_kind_of_point_has_a_symbol_with_the_trades_name(kind: PointKind) -> None:
    drawn = symbol(symbol_name(kind))
    assert drawn.strokes
    assert drawn.title
    assert drawn.title == drawn.title.strip()


def test_no_two_symbols_share_their_lines_or_their_title() -> None:
    drawn = [symbol(name) for name in NAMES]
    for a, b in itertools.combinations(drawn, 2):
        assert (a.strokes, a.fills) != (b.strokes, b.fills), (a.name, b.name)
        assert a.title != b.title, (a.name, b.name)


@pytest.mark.parametrize("name", NAMES)
def test_a_symbol_stays_in_its_box_and_fills_a_good_part_of_it(name: str) -> None:
    drawn = symbol(name)
    left, top, width, height = drawn.box
    points = [p for path in (drawn.strokes, drawn.fills, drawn.cuts) for p in sampled(path)]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    assert min(xs) >= left - 3
    assert max(xs) <= left + width + 3
    assert min(ys) >= top - 3
    assert max(ys) <= top + height + 3
    assert max(max(xs) - min(xs), max(ys) - min(ys)) >= 48


def test_every_wall_symbol_reaches_the_wall() -> None:
    for name in NAMES:
        drawn = symbol(name)
        if drawn.on_wall:
            assert max(y for _, y in sampled(drawn.strokes)) == pytest.approx(0, abs=4), name


def test_a_socket_outlet_is_an_open_half_circle_on_a_stem_with_a_bar_where_they_meet() -> None:
    # Source: IEC 60617 S00457 and S00459, geometry from memory: arc only, no diameter; open side away from the wall.
    steps = symbol("socket").strokes
    assert [command for command, _ in steps] == ["M", "L", "M", "L", "M", "A"]
    stem_end, bar_from, bar_to = steps[1][1], steps[2][1], steps[3][1]
    arc = sampled(steps[4:])
    assert bar_from[1] == bar_to[1] == stem_end[1]
    assert max(y for _, y in arc) == pytest.approx(stem_end[1], abs=0.1)
    assert arc[0][1] == arc[-1][1] == min(y for _, y in arc)


@pytest.mark.parametrize(
    ("name", "ticks"), [("switch", 1), ("double-pole switch", 2), ("switch, two way", 2), ("switch, intermediate", 4)]
)
def test_a_switch_has_a_tick_for_each_pole_or_way(name: str, ticks: int) -> None:
    # Source: IEC 60617 S00465, S00470, S00471, geometry from memory: a circle, lines at about
    # 60 degrees, ticks at right angles.
    lines = [line for line in _lines(symbol(name).strokes) if len(line) > 1]
    found = 0
    for line in lines:
        (x0, y0), (x1, y1) = line[-2:]
        for ax, ay, bx, by in [(p[0], p[1], q[0], q[1]) for other in lines for p, q in itertools.pairwise(other)]:
            along = (bx - ax) * (x1 - x0) + (by - ay) * (y1 - y0)
            length = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
            tick = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
            if tick < 20 < length and abs(along) < 0.06 * tick * length:
                found += 1
                break
    assert found == ticks


def test_a_two_way_switch_looks_the_same_turned_half_round() -> None:
    points = sampled(symbol("switch, two way").strokes)
    turned = {(round(-x, 1) + 0.0, round(-100 - y, 1)) for x, y in points}
    assert turned == {(round(x, 1), round(y, 1)) for x, y in points}


def test_one_half_of_the_board_is_solid() -> None:
    board = symbol("board")
    corners = [v for command, v in board.fills if command in "ML"]
    area = 0.5 * abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, corners[1:] + corners[:1], strict=True)))
    assert area == pytest.approx(96 * 60 / 2)


@pytest.mark.parametrize(
    ("facts", "name"),
    [
        ({"kind": "socket"}, "socket"),
        ({"kind": "socket", "gangs": 2}, "socket ×2"),
        ({"kind": "socket", "gangs": 2, "switched": True}, "switched socket ×2"),
        ({"kind": "fused unit", "switched": True}, "switched fused unit"),
        ({"kind": "light", "on_wall": True}, "light on wall"),
        ({"kind": "switch", "switching": "two way"}, "switch, two way"),
        ({"kind": "switch", "switching": "one way"}, "switch"),
        ({"kind": "switch", "switching": "sensor"}, "PIR switch"),
        ({"kind": "switch", "switching": "cord", "gangs": 2}, "switch, cord ×2"),
        ({"kind": "dimmer", "switching": "two way"}, "dimmer"),
        ({"kind": "socket", "gangs": 5000}, "socket ×99"),
    ],
)
def test_a_recorded_point_gets_its_variant(facts: dict[str, object], name: str) -> None:
    assert symbol_name(**facts) == name  # type: ignore[arg-type]  # the table mixes the types of the parameters
    assert symbol(name).strokes


def test_gangs_without_a_drawing_of_their_own_get_a_stroke_and_a_figure() -> None:
    four, one = symbol("socket ×4"), symbol("socket")
    assert four.strokes[: len(one.strokes)] == one.strokes
    assert len(four.strokes) > len(one.strokes) + 2
    assert four.title == "socket outlet, 4 gang"
    assert four.strokes != symbol("socket ×3").strokes


@pytest.mark.parametrize("name", ["", "lightning", "socket ×1", "socket ×0", "socket ×100", "socket ×²", " ×2"])
def test_an_unknown_symbol_is_our_mistake(name: str) -> None:
    with pytest.raises(OurError):
        symbol(name)


def test_each_suggested_code_has_its_own_shape_and_the_worst_two_are_solid() -> None:
    assert tuple(CODES) == SEVERITIES
    shapes = {code: symbol(code).backing for code in CODES}
    assert len(set(shapes.values())) == len(SEVERITIES)
    assert [code for code in CODES if symbol(code).fills] == ["C1", "C2"]
    assert all("suggested" in symbol(code).title for code in CODES if code != "note")


def _lines(path: tuple[tuple[str, tuple[float, ...]], ...]) -> list[list[tuple[float, float]]]:
    lines: list[list[tuple[float, float]]] = []
    for command, v in path:
        if command == "M":
            lines.append([(v[0], v[1])])
        elif command == "L":
            lines[-1].append((v[0], v[1]))
    return lines
