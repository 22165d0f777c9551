"""What is said beside a route."""

from circuitmap.extension.estimate_says import CAUTIONS
from circuitmap.extension.pathing import Route, route
from circuitmap.extension.route_cautions import INSULATED, LOOK, SEAL, cautions
from circuitmap.extension.space import Space, Structure, space_of
from circuitmap.home.records import Details, Room
from circuitmap.memo import Memo
from circuitmap.words import Build
from tests.extension.routed import TRADE, costs, one_room, sides, spot


def routed(build: Build, *, sideways: bool = True, loft: bool = False, timber: bool = False) -> tuple[Space, Route]:
    home = one_room(build, 2 if timber else 1)
    inside = Structure(floors={"G2": "timber"}, loft=loft, joist_spacing_mm=400, joist_depth_mm=200)
    space = space_of(home, Memo(), TRADE, costs(), inside)
    top, right, _, left = sides(home.take(Room, "M2" if timber else "M1"))
    ends = (spot(top, 1000, 450), spot(top, 3000, 450)) if sideways else (spot(left, 1500, 450), spot(right, 1500, 450))
    return space, route(space, *ends)[0]


def test_a_level_chase_says_how_deep_it_may_be() -> None:
    space, found = routed("block")
    says = cautions(space, found, TRADE, Details(built_year=2010))
    # By hand: 100 mm less two coats of 13 mm are 74 mm of masonry; a sixth of it (Approved Document A) is 12.
    assert TRADE.size_mm("plaster coat") == 13
    assert "Wall W1: no chase deeper into the masonry than 12 mm level" in says[0]
    assert "upright" not in says[0]
    assert LOOK in says
    assert any("RCD of 30 mA" in each for each in says)


def test_a_wall_of_unknown_build_is_to_be_looked_at_first() -> None:
    space, found = routed("unknown")
    assert "was not seen" in cautions(space, found, TRADE, Details())[0]


def test_joists_lofts_and_holes_have_their_own_sentences() -> None:
    space, found = routed("stud", sideways=False, timber=True)
    says = " ".join(cautions(space, found, TRADE, Details()))
    # A quarter of 200 mm (published table, LABC).
    assert "takes 50 mm at most" in says
    assert SEAL in says
    assert INSULATED not in says
    space, found = routed("stud", loft=True)
    assert INSULATED in cautions(space, found, TRADE, Details())


def test_asbestos_is_spoken_of_unless_the_home_is_newer() -> None:
    space, found = routed("stud")
    spoken = [any("asbestos" in each for each in cautions(space, found, TRADE, Details(built_year=year)))
              for year in (None, 1975, 2005)]  # fmt: skip
    assert spoken == [True, True, False]
    said = cautions(space, found, TRADE, Details(built_year=1975))
    assert set(said) & set(CAUTIONS), "a quotation says it twice when the two are worded otherwise"
