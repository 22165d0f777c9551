"""What circuits on the map are loaded with: the Guide's ring load, what is recorded, and never more than a fuse."""

import pytest

from circuitmap.design.loads import design_loads, recorded_loads
from circuitmap.home import verbs
from circuitmap.home.records import End, Load
from circuitmap.trade import DEFAULT_EDITION, Trade, load
from tests.readings.wired import Wired

EDITION = DEFAULT_EDITION


@pytest.fixture(scope="module")
def trade() -> Trade:
    return load()


def loads_a(wired: Wired, trade: Trade) -> dict[str, float]:
    found = design_loads(wired.on_way, wired.network, trade, EDITION)
    assert found is not None
    return found.loads_a


def test_a_ring_has_twenty_amperes_at_its_furthest_point_and_twelve_spread(trade: Trade) -> None:
    """On-Site Guide 7.2.2 as quoted."""
    wired = Wired()
    sockets = wired.ring(10, 10, 10, 10)
    assert loads_a(wired, trade) == pytest.approx({sockets[0]: 4, sockets[1]: 24, sockets[2]: 4})


def test_a_spur_may_be_the_furthest_for_what_is_lost_and_not_for_the_legs(trade: Trade) -> None:
    wired = Wired()
    sockets = wired.ring(10, 10, 10, 10)
    spur = wired.spur(sockets[0], 30)
    assert loads_a(wired, trade)[spur] == pytest.approx(23)
    shape = wired.on_way.shape
    assert shape is not None
    on_ring = design_loads(wired.on_way, wired.network, trade, EDITION, far_among=shape.loop)
    assert on_ring is not None
    assert on_ring.loads_a[sockets[1]] == pytest.approx(23)


def test_a_small_radial_of_sockets_has_its_whole_rating_at_the_end(trade: Trade) -> None:
    """Common practice, no source; a textbook's 30 m of 2.5 mm² at 20 A (Table 14.4) are 10.8 V of 11.5 V."""
    wired = Wired(rating_a=20)
    a, b = wired.point(), wired.point()
    wired.length(wired.way_id, a, 10)
    wired.length(a, b, 5)
    assert loads_a(wired, trade) == {b: 20}


def test_lights_take_their_lamps_and_no_more_than_their_device(trade: Trade) -> None:
    """From memory, On-Site Guide Table A1: 100 W where nothing is recorded."""
    wired = Wired("T&E 1.0/1.0", 6)
    dim = wired.point("light", loads=(Load(what="lamp", power_w=23.0),))
    plain = wired.point("light")
    wired.length(wired.way_id, dim, 5)
    wired.length(dim, plain, 5)
    assert loads_a(wired, trade) == pytest.approx({dim: 0.1, plain: 100 / 230})
    more = [wired.point("light") for _ in range(20)]
    for one in more:
        wired.length(plain, one, 2)
    assert sum(loads_a(wired, trade).values()) == pytest.approx(6)


def test_a_fixed_load_without_a_figure_takes_what_its_device_lets_through(trade: Trade) -> None:
    wired = Wired("T&E 6/2.5", 32)
    hob = wired.point("hob")
    wired.length(wired.way_id, hob, 8)
    assert loads_a(wired, trade) == {hob: 32}
    wired.do(verbs.edit(wired.home, hob, loads=(Load(what="hob", power_w=4600.0),)))
    assert loads_a(wired, trade) == pytest.approx({hob: 20})


def test_what_hangs_on_a_fuse_draws_no_more_than_it(trade: Trade) -> None:
    wired = Wired()
    sockets = wired.ring(10, 10, 10)
    fused = wired.point("fused unit", fuse_a=3.0)
    heater = wired.point("panel heater", loads=(Load(what="heater", power_w=2300.0),))
    wired.length(sockets[0], fused, 2)
    wired.length(End(at=fused, side="load"), heater, 2)
    found = recorded_loads(wired.on_way, wired.network, trade)
    assert found is not None
    assert found.loads_a == pytest.approx({heater: 3})
    wired.do(verbs.edit(wired.home, sockets[1], loads=(Load(what="kettle", power_w=2990.0),)))
    every = recorded_loads(wired.on_way, wired.network, trade)
    fixed = recorded_loads(wired.on_way, wired.network, trade, only_fixed=True)
    assert every is not None
    assert fixed is not None
    assert every.loads_a == pytest.approx({heater: 3, sockets[1]: 13})
    assert fixed.loads_a == pytest.approx({heater: 3})


def test_nothing_recorded_is_no_load(trade: Trade) -> None:
    wired = Wired(rating_a=None)  # type: ignore[arg-type]  # a rating nobody read
    hob = wired.point("hob")
    wired.length(wired.way_id, hob, 8)
    assert design_loads(wired.on_way, wired.network, trade, EDITION) is None
    assert recorded_loads(wired.on_way, wired.network, trade) is None
