"""What the survey must know of device kinds, small enough to need no table at hand.

The trade tables say the same with their sources; a test holds the two together.
"""

from typing import Final

from circuitmap.home.records import Device

FEEDING: Final[frozenset[str]] = frozenset(
    {"MCB", "RCBO", "AFDD", "fuse BS 3036", "fuse BS 1361", "fuse BS 88-3", "MCB BS 3871"}
)
_CARRIERS: Final[frozenset[str]] = frozenset({"fuse BS 3036", "fuse BS 1361", "fuse BS 88-3"})
_MAY_NOT_CLOSE: Final[frozenset[str]] = frozenset({"main switch", "isolator", "RCD", "RCD BS 4293", "voltage ELCB"})


def is_existing(device: Device) -> bool:
    """Whether a device is in the board now."""
    return device.phase == "existing"


def is_way(device: Device) -> bool:
    """Whether a device feeds a circuit, so that a point can be its."""
    return device.kind in FEEDING and is_existing(device)


def is_main(device: Device) -> bool:
    """Whether a device is a main switch."""
    return device.kind == "main switch" and is_existing(device)


def is_carrier(device: Device) -> bool:
    """Whether a device is switched by pulling a carrier, which takes the main switch off before and on after."""
    if device.how_switched is not None:
        return device.how_switched == "pull carrier"
    return device.kind in _CARRIERS


def may_not_close(device: Device) -> bool:
    """Whether a device may refuse to go back on: worn main switches, and an RCD that sees a standing fault."""
    return device.kind in _MAY_NOT_CLOSE or device.rcd is not None
