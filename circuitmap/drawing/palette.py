"""Roles, and the colours that the two themes give them.

A role is a word (``ink``, ``faint``, ``C2``), ``circuit:N`` for the N-th circuit, ``ROLE/tint`` and ``ROLE/half`` for
a pale and a stronger wash of another role, ``ROLE/text`` for the same hue moved towards ink until words can be read in
it, or ``on:ROLE`` for whichever of paper and ink reads better on that fill.
"""

import re
from functools import cache
from typing import Final, Literal, get_args

from circuitmap.errors import OurError

Theme = Literal["paper", "dark"]
THEMES: Final[tuple[Theme, ...]] = get_args(Theme)

# role: (on paper, on dark)
_ROLES: Final[dict[str, tuple[str, str]]] = {
    "paper": ("#FBFAF7", "#14191F"),
    "ink": ("#1F2933", "#E6E1D6"),
    "faint": ("#5B6670", "#9AA3AB"),
    "grid": ("#E4E1DA", "#232A32"),
    "room": ("#F3F1EB", "#1B2129"),
    "wall": ("#55606B", "#8D969E"),
    "fixture": ("#8A9299", "#6C757D"),
    "route": ("#7A838B", "#7F8891"),
    "accent": ("#0B5E8A", "#7CC0E8"),
    "select": ("#6A3FA0", "#C3A6F2"),
    "zone": ("#2F6F62", "#7FC4B4"),
    "on": ("#1F2933", "#E6E1D6"),
    "off": ("#1F2933", "#E6E1D6"),
    "settled": ("#1F2933", "#E6E1D6"),
    "warn": ("#B3141E", "#FF8A80"),
    "break": ("#B3141E", "#FF8A80"),
    "C1": ("#B3141E", "#FF8A80"),
    "C2": ("#9A4A00", "#F2A65A"),
    "FI": ("#1F5FA8", "#8AB8F0"),
    "C3": ("#5A5F00", "#C9CC66"),
    "note": ("#5B6670", "#9AA3AB"),
}
ROLES: Final[tuple[str, ...]] = tuple(_ROLES)
# Roles in which words are printed; the rest are lines and fills.
TEXT_ROLES: Final[tuple[str, ...]] = (
    "ink", "faint", "accent", "select", "zone", "on", "off", "settled", "warn", "C1", "C2", "FI", "C3", "note",
)  # fmt: skip
# Decoration that carries no meaning of its own and may be paler than 3:1.
QUIET_ROLES: Final[frozenset[str]] = frozenset({"paper", "grid", "room"})

# name, as published, on paper, on dark. Where the published colour stands out less than 3:1 from the paper, its
# lightness alone was moved until it does; blue was darkened on paper to keep away from the darkened sky blue.
# Left out: of Okabe and Ito's eight, black (our ink: it would read as "went off") and yellow (so dark on paper that it
# becomes the olive below); of Tol's muted, sand and cyan (darkened, they are the orange and the sky blue again) and
# pale grey (which Tol keeps for missing data).
# Source: M. Okabe and K. Ito, "Color Universal Design" (2008); P. Tol, "Colour Schemes", technical note
# SRON/EPS/TN/09-002. The published values are from memory.
_CIRCUITS: Final[tuple[tuple[str, str, str, str], ...]] = (
    ("orange", "#E69F00", "#BD8300", "#E69F00"),
    ("sky blue", "#56B4E9", "#1D96DB", "#56B4E9"),
    ("bluish green", "#009E73", "#009E73", "#009E73"),
    ("blue", "#0072B2", "#005C90", "#0072B2"),
    ("vermilion", "#D55E00", "#D55E00", "#D55E00"),
    ("reddish purple", "#CC79A7", "#C972A2", "#CC79A7"),
    ("indigo", "#332288", "#332288", "#6751D3"),
    ("olive", "#999933", "#939331", "#999933"),
    ("wine", "#882255", "#882255", "#B92E74"),
    ("green", "#117733", "#117733", "#117733"),
    ("rose", "#CC6677", "#CC6677", "#CC6677"),
    ("teal", "#44AA99", "#3F9D8E", "#44AA99"),
    ("purple", "#AA4499", "#AA4499", "#AA4499"),
)
SOLID_CIRCUITS: Final = len(_CIRCUITS)
_STRIPES: Final[tuple[tuple[float, ...], ...]] = ((), (7.0, 5.0), (2.0, 4.0), (9.0, 3.0, 2.0, 3.0))
CIRCUIT_INKS: Final = SOLID_CIRCUITS * len(_STRIPES)

_TEXT_CONTRAST: Final = 4.6  # WCAG 2.2, success criterion 1.4.3, asks 4.5
_WASHES: Final = {"tint": 0.16, "half": 0.42}
_HEX: Final = re.compile(r"#[0-9A-F]{6}")


@cache
def colour(role: str, theme: Theme = "paper") -> str:
    """Give the colour of a role, as ``#RRGGBB``.

    Raises
    ------
    OurError
        For a role that no theme knows.
    """
    if role in _ROLES:
        return _ROLES[role][THEMES.index(theme)]
    base, _, wash = role.rpartition("/")
    if base and wash in _WASHES:
        return mixed(colour("paper", theme), colour(base, theme), _WASHES[wash])
    if base and wash == "text":
        return _readable(colour(base, theme), theme)
    if role.startswith("on:"):
        fill = colour(role.removeprefix("on:"), theme)
        return max((colour(side, theme) for side in ("paper", "ink")), key=lambda side: contrast(side, fill))
    if role.startswith("circuit:") and role.removeprefix("circuit:").isdecimal():
        return circuit_ink(int(role.removeprefix("circuit:")), theme)[0]
    raise OurError(f"No theme has a colour for {role!r}.")


def circuit_ink(n: int, theme: Theme = "paper") -> tuple[str, tuple[float, ...]]:
    """Give the colour of the n-th circuit (from 0) and the dash of its stripe, empty for the first thirteen.

    After thirteen circuits the colours come again with a paper-coloured stripe along the middle of the run, dashed
    three different ways: a run's own dash says how well it is known, so the circuit can't use it. After fifty-two
    everything comes again; the code is printed beside every point anyway.
    """
    if n < 0:
        raise OurError(f"Circuits are numbered from 0, not {n}.")
    row = _CIRCUITS[n % SOLID_CIRCUITS]
    return row[2 + THEMES.index(theme)], _STRIPES[n // SOLID_CIRCUITS % len(_STRIPES)]


def circuit_name(n: int) -> str:
    """Give the plain name of the n-th circuit's colour, with "striped" where the colours come again."""
    name = _CIRCUITS[n % SOLID_CIRCUITS][0]
    return name if n // SOLID_CIRCUITS % len(_STRIPES) == 0 else f"{name}, striped"


def luminance(hex_colour: str) -> float:
    """Give the relative luminance of a colour, 0 (black) to 1 (white).

    L = 0.2126 R + 0.7152 G + 0.0722 B, where each channel c of 0…1 is first made linear:
    c/12.92 up to 0.04045, else ((c + 0.055)/1.055)^2.4.
    **Source:** W3C, WCAG 2.2, definition of relative luminance.
    """
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in _channels(hex_colour)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Give the contrast ratio of two colours, 1 (alike) to 21 (black on white).

    (L1 + 0.05)/(L2 + 0.05), where L1 is the relative luminance of the lighter and L2 that of the darker.
    **Source:** W3C, WCAG 2.2, definition of contrast ratio.
    """
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def mixed(under: str, over: str, share: float) -> str:
    """Give the colour of ``over`` laid upon ``under`` with an opacity of ``share``."""
    both = zip(_channels(under), _channels(over), strict=True)
    return "#" + "".join(f"{round(255 * (a + (b - a) * share)):02X}" for a, b in both)


def _readable(hex_colour: str, theme: Theme) -> str:
    grounds = (colour("paper", theme), colour("room", theme))
    steps = (mixed(hex_colour, colour("ink", theme), n / 20) for n in range(21))
    return next(shade for shade in steps if min(contrast(shade, ground) for ground in grounds) >= _TEXT_CONTRAST)


def _channels(hex_colour: str) -> tuple[float, float, float]:
    if not _HEX.fullmatch(hex_colour):
        raise OurError(f"{hex_colour!r} is not a colour of the form #RRGGBB.")
    return int(hex_colour[1:3], 16) / 255, int(hex_colour[3:5], 16) / 255, int(hex_colour[5:7], 16) / 255
