"""The outlines of every symbol, as path text: drawn by us, after the geometry of IEC 60617 where it has a symbol.

The box is 100 units wide. A *wall* symbol stands on the wall at (0, 0) and reaches up to y = -100; a *centred* one
lies round (0, 0). Which part of the standard gave the geometry is written beside each family; the geometry is from
memory, and every drawing carries a legend. Kinds for which the standard has nothing got plain drawings of our own.
"""

from typing import Final, Literal, NamedTuple

from circuitmap.drawing.letters import letters_text as _t
from circuitmap.drawing.paths import circle as _c
from circuitmap.drawing.paths import rectangle as _r

Stand = Literal["wall", "centred"]


class Outline(NamedTuple):
    """One row: what the trade calls it, how it stands, and its lines, solid parts, knocked-out lines and backing."""

    title: str
    stand: Stand
    strokes: str
    fills: str = ""
    cuts: str = ""
    backing: str = ""


def _wall(title: str, strokes: str, fills: str = "") -> Outline:
    return Outline(title, "wall", strokes, fills)


def _mid(title: str, strokes: str, fills: str = "") -> Outline:
    return Outline(title, "centred", strokes, fills)


# Socket outlet S00457: open half-circle on a stem; S00459: bar where the stem meets it (protective contact).
_ARC = "M-40 -72 A40 40 0 0 0 40 -72 "
_SOCKET = "M0 0 L0 -32 M-28 -32 L28 -32 " + _ARC
_TWIN = "M0 0 L0 -46 M-28 -22 L28 -22 M-40 -62 A40 40 0 0 0 40 -62 M-40 -86 A40 40 0 0 0 40 -86 "
_SWITCHED = "M0 -32 L24 -80 L38 -73 "
_ROOF = "M-46 -72 L0 -98 L46 -72 "
_SLOT = _r(-15, -86, 15, -68)
# Switch S00465: circle with a line at about 60 degrees, one tick per pole at its far end.
_BLADE = "M6 -24.4 L35 -74.6 "
_SWITCH = _c(0, -14, 12) + _BLADE + "M35 -74.6 L50 -66 "
_SECOND_TICK = "M28 -62.5 L43 -54 "
# Square plates and fixed equipment: a stem to the wall and a box.
_PLATE = "M0 0 L0 -18 " + _r(-34, -86, 34, -18)
_FUSE = _r(-22, -61, 22, -43) + "M-34 -52 L34 -52 "
_BOX = _r(-42, -42, 42, 42)
_LAMP = _c(0, 0, 40) + "M-28.3 -28.3 L28.3 28.3 M-28.3 28.3 L28.3 -28.3 "
_RING = _c(0, 0, 42)

ACCESSORIES: Final[dict[str, Outline]] = {
    "socket": _wall("socket outlet", _SOCKET),
    "socket ×2": _wall("twin socket outlet", _TWIN),
    "switched socket": _wall("switched socket outlet", _SOCKET + _SWITCHED),
    "switched socket ×2": _wall("switched twin socket outlet", _TWIN + "M0 -46 L22 -88 L36 -80 "),
    "usb socket": _wall("socket outlet with USB", _SOCKET + _SLOT, _r(-9, -80, 9, -75)),
    # The ellipse round the stem is the summation transformer of a residual current device.
    "rcd socket": _wall("socket outlet with RCD", "M-22 -16 A22 9 0 0 1 22 -16 A22 9 0 0 1 -22 -16 Z " + _SOCKET),
    "outdoor socket": _wall("outdoor socket outlet", _SOCKET + _ROOF),
    # Outlet with isolating transformer: the two windings as interlocking circles.
    "shaver unit": _wall("shaver supply unit", "M0 0 L0 -32 " + _ARC + _c(-8, -62, 13) + _c(8, -62, 13)),
    "appliance outlet": _wall(
        "appliance outlet (flex outlet)", _PLATE + _c(0, -52, 9) + "M0 -61 Q0 -80 16 -80 L46 -80 "
    ),
    # Not in the standard; common practice: a square with a fuse.
    "fused unit": _wall("fused connection unit", _PLATE + _FUSE),
    "switched fused unit": _wall("switched fused connection unit", _PLATE + _FUSE + "M-14 -30 L10 -78 L22 -72 "),
    "cooker connection unit": _wall(
        "cooker connection unit", _PLATE + _c(-19, -60, 6.5) + _c(0, -60, 6.5) + _c(19, -60, 6.5) + "M-22 -36 L22 -36 "
    ),
    "cooker control unit": _wall(
        "cooker control unit",
        "M0 0 L0 -18 " + _r(-48, -86, 48, -18) + "M4 -86 L4 -18 M14 -62 A12 12 0 0 0 38 -62 M26 -50 L26 -30 "
        "M-34 -30 L-18 -72 L-8 -68 M-22 -61 L-12 -57 ",
    ),
    "blank plate": _wall("blank plate", _PLATE, _c(-21, -52, 4.5) + _c(21, -52, 4.5)),
    "not connected": _wall(
        "accessory not connected", "M0 0 L0 -8 M-13 -15 L13 -27 M0 -34 L0 -42 " + _r(-28, -98, 28, -42)
    ),
    "switch": _wall("switch", _SWITCH),
    "double-pole switch": _wall("double-pole switch", _SWITCH + _SECOND_TICK),
    # Two-way S00470: two lines in opposite directions; intermediate S00471: four.
    "switch, two way": _wall("two-way switch", _c(0, -50, 12) + "M6 -60.4 L28 -98 L42 -90 M-6 -39.6 L-28 -2 L-42 -10 "),
    "switch, intermediate": _wall(
        "intermediate switch",
        _c(0, -50, 12)
        + "M6 -60.4 L28 -98 L42 -90 M-6 -39.6 L-28 -2 L-42 -10 M-6 -60.4 L-28 -98 L-42 -90 M6 -39.6 L28 -2 L42 -10 ",
    ),
    "switch, cord": _mid(
        "cord-operated switch", _c(-12, -4, 12) + "M-6 -14.4 L14 -49 L29 -40.4 M-12 8 L-12 46 M-20 34 L-12 46 L-4 34 "
    ),
    "switch, timer": _wall("time-delay switch", _SWITCH + _c(-24, -62, 18) + "M-24 -73 L-24 -62 L-15 -57 "),
    # Dimmer: the oblique arrow of adjustment across the switch line.
    "dimmer": _wall("dimmer switch", _SWITCH + "M52 -32 L-16 -70 M-9 -58 L-16 -70 L-2 -70.5 "),
    "grid switch": _wall(
        "grid switch",
        "M0 0 L0 -18 " + _r(-46, -82, 46, -18) + "M-15.3 -82 L-15.3 -18 M15.3 -82 L15.3 -18 "
        "M-36 -32 L-26 -66 M-5 -32 L5 -66 M26 -32 L36 -66 ",
    ),
    "PIR switch": _wall(
        "PIR switch", _c(0, -14, 12) + "M-8 -24 L-40 -64 M8 -24 L40 -64 M-24 -64 Q0 -84 24 -64 M-36 -78 Q0 -108 36 -78 "
    ),
    # Disconnector: fixed contact as a bar, the blade beside it.
    "isolator": _wall("isolator", "M0 0 L0 -24 L-30 -66 M-14 -70 L14 -70 M0 -70 L0 -98 "),
}

LIGHTING: Final[dict[str, Outline]] = {
    # Lamp S00965: circle with a cross; lighting point S00481: the cross alone, on a wall with a stub.
    "light": _mid("light", _LAMP),
    "light on wall": _wall(
        "wall light",
        "M0 0 L0 -22 M-30 0 L30 0 " + _c(0, -58, 36) + "M-25.5 -83.5 L25.5 -32.5 M25.5 -83.5 L-25.5 -32.5 ",
    ),
    "ceiling rose": _mid("ceiling rose (lighting point)", "M-34 -34 L34 34 M-34 34 L34 -34 "),
    "downlight": _mid("downlight", _c(0, 0, 40), "M0 -24 L22 18 L-22 18 Z "),
    "outdoor light": _wall(
        "outdoor light",
        "M0 0 L0 -12 M-26 0 L26 0 "
        + _c(0, -42, 30)
        + "M-21.2 -63.2 L21.2 -20.8 M21.2 -63.2 L-21.2 -20.8 M-46 -70 L0 -97 L46 -70 ",
    ),
    "emergency light": _mid(
        "emergency light", _BOX + _c(0, 0, 28) + "M-19.8 -19.8 L19.8 19.8 M-19.8 19.8 L19.8 -19.8 "
    ),
}

EQUIPMENT: Final[dict[str, Outline]] = {
    "hob": _mid("hob", _BOX + _c(-18, -18, 12) + _c(18, -18, 12) + _c(-18, 18, 12) + _c(18, 18, 12)),
    "oven": _mid(
        "oven", _BOX + "M-42 -20 L42 -20 " + _r(-26, -6, 26, 28), _c(-24, -31, 4.5) + _c(0, -31, 4.5) + _c(24, -31, 4.5)
    ),
    "cooker hood": _mid("cooker hood", "M-46 36 L-20 -4 L20 -4 L46 36 Z M-14 -4 L-14 -44 L14 -44 L14 -4 "),
    "shower": _mid(
        "electric shower",
        "M-38 46 L-38 -22 Q-38 -44 -14 -44 Q10 -44 10 -22 M-14 -18 Q-14 -22 -8 -22 L28 -22 Q34 -22 34 -18 Z "
        "M-8 -4 L-12 10 M10 -4 L10 10 M28 -4 L32 10 M-14 22 L-18 36 M10 22 L10 36 M34 22 L38 36 ",
    ),
    "immersion heater": _mid(
        "immersion heater",
        "M-32 46 L-32 -30 Q-32 -46 0 -46 Q32 -46 32 -30 L32 46 Z M-10 -46 L-10 18 Q-10 28 0 28 Q10 28 10 18 L10 -46 ",
    ),
    # Heater: a box crossed by bars.
    "panel heater": _mid("panel heater", _r(-48, -24, 48, 24) + "M-24 -24 L-24 24 M0 -24 L0 24 M24 -24 L24 24 "),
    "storage heater": _mid(
        "storage heater",
        _r(-48, -36, 48, 36) + "M-48 -8 L48 -8 M-24 -36 L-24 -8 M0 -36 L0 -8 M24 -36 L24 -8 ",
        _r(-36, 4, 36, 24),
    ),
    "underfloor heating": _mid(
        "underfloor heating",
        "M-46 40 L-46 -32 Q-46 -44 -34 -44 Q-22 -44 -22 -32 L-22 28 Q-22 40 -11 40 Q0 40 0 28 L0 -32 Q0 -44 11 -44 "
        "Q22 -44 22 -32 L22 28 Q22 40 34 40 Q46 40 46 28 L46 -44 ",
    ),
    "towel rail": _mid(
        "towel rail", "M-30 -46 L-30 46 M30 -46 L30 46 M-30 -34 L30 -34 M-30 -12 L30 -12 M-30 12 L30 12 M-30 34 L30 34 "
    ),
    "heat pump": _mid(
        "heat pump",
        _BOX
        + _c(-10, 0, 24)
        + "M-10 -24 L-10 24 M-34 0 L14 0 M24 -42 L24 42 M24 -20 L42 -20 M24 0 L42 0 M24 20 L42 20 ",
    ),
    "boiler": _mid(
        "boiler",
        _BOX + "M0 -32 Q4 -16 16 -4 Q26 8 18 22 Q12 32 0 32 Q-12 32 -18 22 Q-24 10 -12 -2 Q-9 6 -4 6 Q-6 -14 0 -32 Z ",
    ),
    "heating control": _mid(
        "heating control (thermostat)",
        _BOX + "M-8 -26 Q-8 -34 0 -34 Q8 -34 8 -26 L8 6 A15 15 0 1 1 -8 6 Z ",
        _c(0, 19, 7) + _r(-2.5, -12, 2.5, 19),
    ),
    "timer": _mid("time switch", _RING + "M0 -28 L0 0 L20 12 "),
    "extractor fan": _mid(
        "extractor fan",
        _RING + "M0 0 Q-14 -30 0 -34 Q14 -30 0 0 Q-33 3 -29.4 17 Q-19 27 0 0 Q19 27 29.4 17 Q33 3 0 0 Z ",
    ),
    "fixed appliance": _mid("fixed appliance", _BOX + "M-42 -22 L42 -22 M10 -32 L32 -32 " + _c(0, 10, 22)),
    "stairlift": _mid(
        "stairlift", "M-48 46 L-48 24 L-16 24 L-16 2 L16 2 L16 -20 L48 -20 L48 -2 M-36 -4 L8 -36 M-8 -38 L8 -36 L4 -21 "
    ),
    # Pump: circle with a triangle pointing the way of flow.
    "sump pump": _mid(
        "sump pump",
        _c(0, -12, 30) + "M-24 8 L0 -40 L24 8 M-46 38 Q-34 26 -23 38 Q-12 50 0 38 Q12 26 23 38 Q34 50 46 38 ",
    ),
    "hot tub": _mid(
        "hot tub",
        "M-46 -4 L46 -4 L36 42 L-36 42 Z M-22 -18 Q-32 -28 -22 -36 Q-14 -42 -22 -48 M0 -18 Q-10 -28 0 -36 Q8 -42 0 -48 "
        "M22 -18 Q12 -28 22 -36 Q30 -42 22 -48 ",
    ),
    "gate": _mid(
        "powered gate",
        "M-44 -40 L-44 44 M44 -40 L44 44 M-44 -26 L44 -26 M-44 30 L44 30 M-22 -26 L-22 30 M0 -26 L0 30 M22 -26 L22 30 ",
    ),
    "EV charging point": _mid("EV charging point", _BOX + _t("EV", 0, 0, 38)),
    # Converter: a box halved by a diagonal, direct current on one side, alternating on the other.
    "PV inverter": _mid(
        "PV inverter", _BOX + "M-42 42 L42 -42 M-32 -30 L-8 -30 M-32 -20 L-8 -20 M4 24 Q12 10 19 22 Q26 34 34 20 "
    ),
    # Battery of cells: long thin and short thick plates.
    "battery": _mid(
        "battery storage",
        "M-46 0 L-26 0 M-26 -34 L-26 34 M-10 0 L10 0 M10 -34 L10 34 M26 0 L46 0 ",
        _r(-14, -18, -6, 18) + _r(22, -18, 30, 18),
    ),
    "other": _mid("other point", "M0 -44 L44 0 L0 44 L-44 0 Z "),
}

DETECTION: Final[dict[str, Outline]] = {
    "smoke alarm": _mid("smoke alarm", _RING + _t("S", 0, 0, 42)),
    "heat alarm": _mid("heat alarm", _RING + _t("H", 0, 0, 40)),
    "CO alarm": _mid("carbon monoxide alarm", "M-24 -42 L24 -42 L48 0 L24 42 L-24 42 L-48 0 Z " + _t("CO", 0, 0, 34)),
    "alarm panel": _mid(
        "intruder alarm panel",
        _BOX + _r(-28, -30, 28, -12),
        "".join(_c(x, y, 5) for y in (6, 26) for x in (-20, 0, 20)),
    ),
    # Bell: half-circle closed by its diameter, two leads.
    "door bell": _wall("door bell", "M-12 0 L-12 -34 M12 0 L12 -34 M-42 -34 A42 42 0 0 1 42 -34 Z "),
    "aerial amplifier": _mid(
        "aerial amplifier",
        "M-34 46 L-34 -6 L34 20 Z M-34 20 L-48 20 M34 20 L48 20 M0 7 L0 -46 M-24 -46 L0 -22 L24 -46 ",
    ),
    "data cabinet": _mid(
        "data cabinet",
        _r(-34, -46, 34, 46) + "M-34 -23 L34 -23 M-34 0 L34 0 M-34 23 L34 23 ",
        _c(20, -34.5, 5) + _c(20, -11.5, 5) + _c(20, 11.5, 5) + _c(20, 34.5, 5),
    ),
}

SUPPLY: Final[dict[str, Outline]] = {
    # Main control: a rectangle halved by a diagonal, one half solid; distribution board: half filled.
    "board": _mid("consumer unit (board)", _r(-48, -30, 48, 30), "M-48 30 L48 -30 L48 30 Z "),
    "sub-board": _mid("distribution board fed from another", _r(-48, -30, 48, 30), _r(-48, -30, 48, 0)),
    "intake": _mid("supply intake", _r(-34, -44, 34, 44) + _c(0, -14, 18) + "M0 -14 L11 -24 M-18 24 L18 24 "),
    "outbuilding feed": _wall(
        "feed to an outbuilding",
        "M0 0 L0 -18 M-38 -60 L-38 -18 L38 -18 L38 -60 M-48 -54 L0 -96 L48 -54 M0 -28 L0 -64 M-11 -52 L0 -65 L11 -52 ",
    ),
    "junction box": _mid("junction box", _c(0, 0, 24) + "M-24 0 L-46 0 M24 0 L46 0 M0 24 L0 46 "),
    "fuse": _mid("fuse", _r(-34, -14, 34, 14) + "M-48 0 L48 0 "),
    "spur leaves": _mid("spur leaves here", "M-30 0 L30 0 M0 0 L0 40 "),
    "break": _mid("break in the run", "M-20 -26 L-4 26 M4 -26 L20 26 "),
    "loose end": _mid("cable end not connected", "M0 40 L0 0 M0 0 L-22 -30 M0 0 L0 -38 M0 0 L22 -30 "),
    "unknown end": _mid("cable not traced further", "M0 46 L0 24 " + _t("?", 0, -14, 52)),
    # Source: IEC 60617 S00481 ff. show wiring that goes on upwards or downwards as an arrow; geometry from memory.
    "goes up": _mid("goes on to the storey above", "M0 46 L0 -40 M-24 -8 L0 -42 L24 -8 "),
    "goes down": _mid("goes on to the storey below", "M-14 -46 L14 -46 M0 -46 L0 40 M-24 8 L0 42 L24 8 "),
}

# What isn't there yet, or not for long: drawings of our own. A pennant is planted where something is wished; what it
# stands for is written beside it, and no accessory has a mast.
PROMISES: Final[dict[str, Outline]] = {
    "wish": _wall("required here", "M-20 0 L20 0 M0 0 L0 -98 L46 -76 L0 -54 "),
    "wish on ceiling": _mid("required at the ceiling", "M0 0 L0 -50 L46 -28 L0 -8 " + _c(0, 0, 5) + _c(0, 0, 18)),
    "wish to move": _wall("to be moved here", "M-20 0 L20 0 M0 0 L0 -98 L46 -76 L0 -54 M-46 -30 L-14 -30 M-26 -42 "
                          "L-13 -30 L-26 -18 "),
    "to go": _mid("to go", _c(0, 0, 46) + "M-32 -32 L32 32 M-32 32 L32 -32 "),
    "to go from wall": _wall("to go, on a wall", _c(0, -50, 46) + "M-32 -82 L32 -18 M-32 -18 L32 -82 "),
}  # fmt: skip


_OCTAGON = "M-19 -46 L19 -46 L46 -19 L46 19 L19 46 L-19 46 L-46 19 L-46 -19 Z "
_PAGE = "M-34 -46 L14 -46 L34 -26 L34 46 L-34 46 Z "


def _code(title: str, border: str, mark: str, solid: bool) -> Outline:
    if solid:
        return Outline(title, "centred", border, border, mark, border)
    return Outline(title, "centred", border + mark, "", "", border)


# One shape for each suggested classification code: no two share an outline, and the two worst are solid.
CODES: Final[dict[str, Outline]] = {
    "C1": _code("suggested C1: danger present", _OCTAGON, _t("1", 0, 0, 50), True),
    "C2": _code("suggested C2: potentially dangerous", "M0 -50 L50 0 L0 50 L-50 0 Z ", _t("2", 0, 0, 42), True),
    "FI": _code("suggested FI: further investigation", _c(0, 0, 45), _t("FI", 2, 0, 40), False),
    "C3": _code("suggested C3: improvement recommended", _r(-42, -42, 42, 42), _t("3", 0, 0, 48), False),
    "note": _code("note", _PAGE, "M14 -46 L14 -26 L34 -26 M-18 -8 L18 -8 M-18 10 L18 10 M-18 28 L6 28 ", False),
}  # fmt: skip
