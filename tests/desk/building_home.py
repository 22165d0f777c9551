"""An invented house for the building's tests: two storeys out of register, a bathroom, a stair, a chimney breast."""

from circuitmap import trade
from circuitmap.home import Home, verbs
from circuitmap.plan.walls_keep import lay_walls
from tests.build import Builder

TRADE = trade.load()
SHIFT = (350, -240)  # how far the upper storey was drawn off


def box(x0: int, y0: int, x1: int, y1: int) -> tuple[tuple[int, int], ...]:
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def ground_floor() -> Builder:
    """A kitchen, a hall and a bathroom, a wall apart, without walls yet."""
    b = Builder("Building site")
    ground = b.storey("Ground", 0)
    b.room("Kitchen", ground, (0, 0, 4000, 3000), use="kitchen")
    b.room("Hall", ground, (4100, 0, 6000, 3000), use="hall")
    b.room("Bathroom", ground, (0, 3100, 3000, 5600), use="bathroom")
    return b


def walled() -> Home:
    """The ground floor with its walls laid."""
    b = ground_floor()
    b.do(lay_walls(b.home, "G1", TRADE))
    return b.home


def two_storeys() -> Home:
    """The ground floor and a bedroom over it, drawn off by ``SHIFT``; stair and breast on both."""
    b = ground_floor()
    first = b.storey("First", 1)
    dx, dy = SHIFT
    b.room("Bedroom", first, (dx, dy, 4000 + dx, 3000 + dy))
    b.room("Landing", first, (4100 + dx, dy, 6000 + dx, 3000 + dy))
    for storey, (x, y) in (("G1", (0, 0)), (first, SHIFT)):
        breast = box(1000 + x, y, 2350 + x, 350 + y)
        b.do(verbs.add_fixture(b.home, "chimney", b.place(storey, 1675 + x, y), breast))
        flight = box(4600 + x, 100 + y, 5460 + x, 2900 + y)
        b.do(verbs.add_fixture(b.home, "stair", b.place(storey, 5030 + x, 2900 + y), flight))
    return b.home
