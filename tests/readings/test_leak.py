"""How a circuit falls into parts when it is opened: against components of a networkx graph, and by hand."""

import random

import networkx as nx
import pytest

from circuitmap.home.records import End
from circuitmap.readings.leak import Layout, switch_of
from circuitmap.readings.leak_layout import layout_of
from circuitmap.trade import load
from tests.readings.wired import Wired, tangled


def sections(layout: Layout, *open_at: str, off: frozenset[str] = frozenset()) -> set[frozenset[str]]:
    return {part.sections for part in layout.parts(open_at, off)}


def ring() -> tuple[Wired, list[str], str]:
    wired = Wired()
    sockets = wired.ring(5, 5, 5, 5)
    return wired, sockets, wired.spur(sockets[1], 3)


def test_a_ring_with_its_legs_out_hangs_together_until_one_place_is_opened() -> None:
    wired, (a, b, c), spur = ring()
    layout = layout_of(wired.on_way, load())
    off = layout.equipment
    assert len(layout.parts((), off)) == 1
    assert sections(layout, b, off=off) == {
        frozenset({"R1", a, "R2"}), frozenset({"R3", c, "R4"}), frozenset({"R5", spur}), frozenset({b}),
    }  # fmt: skip
    reached = {part.sections: part.ends for part in layout.parts((b,), off)}
    assert reached[frozenset({"R1", a, "R2"})] == ("", b)
    assert reached[frozenset({"R5", spur})] == (b,)


def test_equipment_hangs_on_its_accessory_until_it_is_off() -> None:
    wired, (a, *_), _ = ring()
    layout = layout_of(wired.on_way, load())
    assert frozenset({a, f"{a} equipment"}) in sections(layout, a)
    assert frozenset({a}) in sections(layout, a, off=frozenset({f"{a} equipment"}))
    assert f"{a} equipment" in layout.whole()
    assert f"{a} equipment" not in layout.whole({f"{a} equipment"})


def test_a_unit_that_is_off_parts_what_hangs_on_its_load_side() -> None:
    wired, (a, *_), _ = ring()
    unit, lamp = wired.point("fused unit"), wired.point("outdoor light")
    supply = wired.length(a, End(at=unit, side="supply"), 2)
    load_side = wired.length(End(at=unit, side="load"), lamp, 6, cable="T&E 1.5/1.0")
    layout = layout_of(wired.on_way, load())
    assert layout.units == {unit}
    assert load_side in layout.whole()
    off = frozenset({switch_of(unit)})
    assert load_side not in layout.whole(off)
    beyond = next(part for part in layout.parts((), off) if load_side in part.sections)
    assert beyond.sections == {load_side, lamp, f"{lamp} equipment"}
    assert not beyond.is_readable
    opened = sections(layout, unit, off=off)
    assert frozenset({unit, f"{unit} built in"}) in opened
    assert any(supply in part and load_side not in part for part in opened)


def test_two_radials_on_one_way_are_parts_of_their_own_without_opening_anything() -> None:
    wired = Wired()
    a, b = wired.point(), wired.point()
    first, second = wired.length(wired.way_id, a, 5), wired.length(wired.way_id, b, 7)
    layout = layout_of(wired.on_way, load())
    off = layout.equipment
    assert sections(layout, off=off) == {frozenset({first, a}), frozenset({second, b})}
    assert layout.whole(off) == {first, a, second, b}


@pytest.mark.parametrize("seed", range(12))
def test_parts_are_the_components_that_networkx_finds(seed: int) -> None:
    """An independent reference: every cable end at an open place a node of its own, components by networkx."""
    pick = random.Random(seed)
    wired = tangled(seed, pick.randint(3, 14), pick.randint(0, 4))
    layout = layout_of(wired.on_way, load())
    places = [place.point for place in layout.places]
    open_at = pick.sample(places, pick.randint(0, min(3, len(places))))
    off = frozenset(pick.sample(sorted(layout.equipment), len(places) // 2))
    graph: nx.Graph[str] = nx.Graph()
    for section in layout.sections:
        if section.key not in off:
            graph.add_node(section.key)
        if section.kind == "equipment" and section.key not in off:
            graph.add_edge(section.key, section.record)
    for cable in layout.cables:
        graph.add_node(cable.key)
        graph.add_edges_from((cable.key, end) for end in (cable.a, cable.b) if end and end not in open_at)
    assert sections(layout, *open_at, off=off) == {frozenset(part) for part in nx.connected_components(graph)}
