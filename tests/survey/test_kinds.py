from circuitmap.home.records import Device
from circuitmap.survey.kinds import is_carrier, is_way
from circuitmap.trade import load
from circuitmap.words import DEVICE_KINDS


def test_which_kinds_feed_a_circuit_agrees_with_the_trade_tables() -> None:
    trade = load()
    for kind in DEVICE_KINDS:
        assert is_way(Device(id="D1", board="B1", kind=kind)) == trade.device(kind).feeds_circuit, kind


def test_which_kinds_are_pulled_agrees_with_the_trade_tables() -> None:
    trade = load()
    for kind in DEVICE_KINDS:
        pulled = trade.device(kind).how_switched == "pull carrier"
        assert is_carrier(Device(id="D1", board="B1", kind=kind)) == pulled, kind


def test_how_a_device_was_found_to_be_switched_wins_over_its_kind() -> None:
    assert not is_carrier(Device(id="D1", board="B1", kind="fuse BS 3036", how_switched="toggle"))
    assert is_carrier(Device(id="D1", board="B1", kind="MCB", how_switched="pull carrier"))
