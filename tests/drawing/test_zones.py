"""Bathroom zones as soft areas with their numbers, told apart without colour."""

from circuitmap import trade
from circuitmap.drawing.marks import Area, Words
from circuitmap.drawing.zones import zone_marks
from circuitmap.home import verbs
from circuitmap.memo import Memo
from circuitmap.plan import bathroom_zones
from tests.build import Builder

TRADE = trade.load()


def test_zones_are_washes_with_numbers_the_lower_the_stronger() -> None:
    """A bath 1.7 × 0.7 m in a corner: 0 inside it, 1 over it, 2 beyond (BS 7671 701.32)."""
    b = Builder()
    ground = b.storey()
    b.room("Bathroom", ground, (0, 0, 3000, 2500), use="bathroom")
    b.do(verbs.add_fixture(b.home, "bath", b.place(ground, 850, 350), ((0, 0), (1700, 0), (1700, 700), (0, 700))))
    marks = zone_marks(bathroom_zones(b.home, Memo(), TRADE, ground))
    assert {mark.text for mark in marks if isinstance(mark, Words)} == {"0", "1", "2"}
    areas = [mark for mark in marks if isinstance(mark, Area)]
    assert [area.opacity for area in areas] == sorted(area.opacity for area in areas)
    assert len({(area.opacity, area.edge.dash if area.edge else ()) for area in areas}) == 3
    assert all(area.layer == "area" for area in areas)
    numbers = [mark.at_mm[0] + mark.offset_px[0] * 10 for mark in marks if isinstance(mark, Words)]
    assert len(set(numbers)) == 3


def test_without_water_there_is_nothing() -> None:
    assert zone_marks(()) == ()
