"""Quantities at the edges: reading what people type, showing what the program knows.

Inside, numbers are plain floats with the unit in their name; nothing here is needed for arithmetic. The unit library
lives in ``convert`` only, and is loaded at the first conversion. No records and no trade facts live here.
"""

from circuitmap.quantities.convert import warm_up
from circuitmap.quantities.electrical import parse_current_a, parse_power_w, parse_resistance_ohm
from circuitmap.quantities.lengths import parse_length_mm, parse_room_length_mm, parse_room_size_mm
from circuitmap.quantities.measured import Measured, parse_measured, show_measured
from circuitmap.quantities.show import (
    show_area,
    show_current,
    show_length,
    show_ohm,
    show_percent,
    show_power,
    show_size,
)

__all__ = [
    "Measured",
    "parse_current_a",
    "parse_length_mm",
    "parse_measured",
    "parse_power_w",
    "parse_resistance_ohm",
    "parse_room_length_mm",
    "parse_room_size_mm",
    "show_area",
    "show_current",
    "show_length",
    "show_measured",
    "show_ohm",
    "show_percent",
    "show_power",
    "show_size",
    "warm_up",
]
