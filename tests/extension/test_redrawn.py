"""Options with cables drawn by hand: what changes is worked by hand, what doesn't stays as the search counted it."""

import itertools
import math

import pytest

from circuitmap.extension import pricebook
from circuitmap.extension.kinds import Option
from circuitmap.extension.options import options
from circuitmap.extension.pathing import RoutePart
from circuitmap.extension.redrawn import redrawn
from circuitmap.home.cable_paths import Path
from circuitmap.home.records import Extension, Run
from circuitmap.memo import Memo
from tests.extension.extended import TRADE, small_home, wish

BOOK = pricebook.load()
HOME = small_home()
EXTENSION = Extension(id="X1", name="Kitchen", wishes=(wish(HOME, "M1", 0, 2000), wish(HOME, "M2", 1, 1500)))


@pytest.fixture(scope="module")
def laid() -> tuple[Option, ...]:
    return tuple(each for each in options(HOME, EXTENSION, TRADE, BOOK, Memo()).options if each.routes)


def as_it_is(option: Option) -> dict[str, Path]:
    return {run: tuple(spot[:4] for spot in route.path) for run, route in zip(option.runs, option.routes, strict=True)}


def again(option: Option, paths: dict[str, Path]) -> Option:
    return redrawn(HOME, option, paths, TRADE, BOOK)


def upright_then_level(path: Path) -> int | None:
    """Where a path goes straight along a wall at one height, below the ceiling: its first spot."""
    for n, (a, b) in enumerate(itertools.pairwise(path)):
        if a[3] == b[3] < 2400 and a[0] == b[0] and math.dist(a[1:3], b[1:3]) > 600:
            return n
    return None


def by_kind(parts: tuple[RoutePart, ...], kind: str) -> float:
    return sum(part.metres + part.count for part in parts if part.kind == kind)


def test_a_path_drawn_where_it_was_changes_nothing(laid: tuple[Option, ...]) -> None:
    for option in laid:
        now = again(option, as_it_is(option))
        assert now.by_hand == option.runs
        assert now.work.parts == option.work.parts
        assert now.priced is not None
        assert option.priced is not None
        assert now.priced.total == option.priced.total
        assert now.length_mm == pytest.approx(option.length_mm)
        assert now.expected == option.expected
        assert (now.failed, now.unsure) == (option.failed, option.unsure)


def test_nothing_drawn_gives_the_same_option(laid: tuple[Option, ...]) -> None:
    assert again(laid[0], {}) is laid[0]
    assert again(laid[0], {"R999": ()}) is laid[0]


def detour(option: Option, high_mm: float) -> tuple[str, Path, float]:
    """Let a rise into a level stretch on a wall, 200 mm wide and so high; give the run and the length added."""
    for run, path in as_it_is(option).items():
        n = upright_then_level(path)
        if n is None:
            continue
        a, b = path[n], path[n + 1]
        long = math.dist(a[1:3], b[1:3])

        def at(mm: float, z: float, a: tuple[str, float, float, float] = a, b: tuple[str, float, float, float] = b,
               long: float = long) -> tuple[str, float, float, float]:  # fmt: skip
            return a[0], a[1] + (b[1] - a[1]) * mm / long, a[2] + (b[2] - a[2]) * mm / long, z

        top = a[3] + high_mm
        rise = (at(200, a[3]), at(200, top), at(400, top), at(400, a[3]))
        return run, (*path[: n + 1], *rise, *path[n + 1 :]), 2 * high_mm
    pytest.skip("no route runs level on a wall")


def raised(laid: tuple[Option, ...], high_mm: float) -> tuple[Option, Option, str, float]:
    option = next(
        each for each in laid if any(upright_then_level(path) is not None for path in as_it_is(each).values())
    )
    run, path, added = detour(option, high_mm)
    return option, again(option, {run: path}), run, added


def test_a_rise_adds_its_metres_minutes_bends_and_pence(laid: tuple[Option, ...]) -> None:
    """Worked by hand: up 500 mm and down again is a metre of cable and of wall more, with four bends."""
    option, now, run, added = raised(laid, 500)
    assert added == 1000
    assert now.by_hand == (run,)
    assert now.length_mm - option.length_mm == pytest.approx(1000, abs=0.2)
    walls = [by_kind(each.work.parts, "chase") + by_kind(each.work.parts, "stud") for each in (option, now)]
    assert walls[1] - walls[0] == pytest.approx(1.0, abs=0.002)
    assert by_kind(now.work.parts, "bend") - by_kind(option.work.parts, "bend") == 4
    assert now.priced is not None
    assert option.priced is not None
    assert now.priced.net > option.priced.net
    assert now.minutes > option.minutes
    lengths = {line.line.why: line.line.quantity for line in now.priced.lines if line.line.key.startswith("cable ")}
    before = {line.line.why: line.line.quantity for line in option.priced.lines if line.line.key.startswith("cable ")}
    slack = 1 + BOOK.allowance("path slack percent") / 100
    assert sum(lengths.values()) - sum(before.values()) == pytest.approx(slack, abs=0.001)


def test_readings_follow_the_drawn_length_and_what_strays_is_said(laid: tuple[Option, ...]) -> None:
    option, now, run, _ = raised(laid, 500)
    assert any(says.startswith("Cable") and "drawn by hand" in says and "strays" in says for says in now.unsure)
    assert not any("drawn by hand" in says for says in option.unsure)
    drawn = next(after for _, after in now.change.pairs if isinstance(after, Run) and after.id == run)
    was = next(after for _, after in option.change.pairs if isinstance(after, Run) and after.id == run)
    assert drawn.length_mm is not None
    assert was.length_mm is not None
    assert drawn.length_mm - was.length_mm == pytest.approx(1000, abs=2)
    more = [
        (a.r1_r2_ohm or 0) - (b.r1_r2_ohm or 0) for a, b in zip(now.expected, option.expected, strict=True)
    ]  # fmt: skip
    assert max(more) > 0.001


def test_a_cable_drawn_far_too_long_is_no_sound_way_any_more(laid: tuple[Option, ...]) -> None:
    """Volt drop and fault loop are asked again: hundreds of metres of 2.5 mm² lose more than 5 % (CHECKS 4D5 rows)."""
    option = next(each for each in laid if each.is_sound and each.kind.startswith("radial"))
    run, path = next(iter(as_it_is(option).items()))
    a, b = path[0], path[1]
    there_and_back = tuple(spot for _ in range(400) for spot in (a, b))
    now = again(option, {run: (*there_and_back, *path[1:])})
    assert not now.is_sound
    assert any("olt drop" in says or "fault loop" in says for says in now.failed)
