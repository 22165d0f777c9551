"""Values in an SVG: lengths, transforms, styles; and which of them reach outside the file."""

import math
import re
from collections.abc import Mapping
from typing import Final

from circuitmap.pictures.flatten import IDENTITY, Matrix, times

PX_PER_INCH: Final = 96.0
OWN_FONT: Final = "'Source Sans Pro'"
# Source: CSS Values and Units, absolute lengths: 1in = 2.54cm = 96px, 1pt = 1/72 in, 1pc = 12pt.
_PX_PER: Final[Mapping[str, float]] = {
    "": 1.0, "px": 1.0, "in": PX_PER_INCH, "cm": PX_PER_INCH / 2.54, "mm": PX_PER_INCH / 25.4,
    "q": PX_PER_INCH / 101.6, "pt": PX_PER_INCH / 72, "pc": PX_PER_INCH / 6,
}  # fmt: skip
_NUMBER: Final = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,3})?")
_LENGTH: Final = re.compile(r"\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,3})?)\s*([a-zA-Z%]*)\s*$")
_CALL: Final = re.compile(r"(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^)]*)\)")
_ADDRESS: Final = re.compile(r"url\(\s*['\"]?\s*(?!['\"\s]*#)", re.IGNORECASE)
_RULE: Final = re.compile(r"([^{}]*)\{([^{}]*)\}")
_PLAIN: Final = re.compile(r"\*|[A-Za-z]+|[A-Za-z]*\.[\w-]+|#[\w-]+")


def numbers(text: str) -> list[float]:
    """Give all numbers in a text, such as the points of a polygon."""
    return [value for found in _NUMBER.findall(text) if math.isfinite(value := float(found))]


def length(text: str | None, whole: float = 0.0, otherwise: float = 0.0) -> float:
    """Give a length in px; a percentage is of ``whole``, what can't be read is ``otherwise``."""
    found = _LENGTH.match(text) if text else None
    if found is None:
        return otherwise
    value, unit = float(found[1]), found[2].lower()
    if unit == "%":
        value *= whole / 100
    elif unit in ("em", "ex"):
        value *= 16.0 if unit == "em" else 8.0
    elif unit in _PX_PER:
        value *= _PX_PER[unit]
    else:
        return otherwise
    return value if math.isfinite(value) else otherwise


def is_absolute(text: str | None) -> bool:
    """Whether a length is given in a unit of paper, such as mm."""
    found = _LENGTH.match(text) if text else None
    return found is not None and found[2].lower() in _PX_PER and found[2].lower() not in ("", "px")


def transform(text: str | None) -> Matrix:
    """Give the matrix of a transform list; what can't be read counts for nothing."""
    whole = IDENTITY
    for name, inside in _CALL.findall(text or ""):
        v = numbers(inside)
        match name, len(v):
            case "matrix", 6:
                step = (v[0], v[1], v[2], v[3], v[4], v[5])
            case "translate", 1 | 2:
                step = (1.0, 0.0, 0.0, 1.0, v[0], v[1] if len(v) > 1 else 0.0)
            case "scale", 1 | 2:
                step = (v[0], 0.0, 0.0, v[-1], 0.0, 0.0)
            case "rotate", 1 | 3:
                turn = math.radians(v[0])
                cos, sin = math.cos(turn), math.sin(turn)
                x, y = (v[1], v[2]) if len(v) == 3 else (0.0, 0.0)
                step = (cos, sin, -sin, cos, x - cos * x + sin * y, y - sin * x - cos * y)
            case "skewX", 1:
                step = (1.0, 0.0, math.tan(math.radians(v[0])), 1.0, 0.0, 0.0)
            case "skewY", 1:
                step = (1.0, math.tan(math.radians(v[0])), 0.0, 1.0, 0.0, 0.0)
            case _:
                continue
        whole = times(whole, step)
    return whole


def local(name: object) -> str:
    """Give a tag or attribute without its namespace (comments have no name)."""
    return name.rpartition("}")[2] if isinstance(name, str) else ""


def fit(box: list[float], wide: float, high: float, how: str | None) -> Matrix:
    """Give the matrix that fits a view box into a width and height: whole and centred, or stretched."""
    across, down = wide / box[2], high / box[3]
    if (how or "").strip().startswith("none"):
        return across, 0.0, 0.0, down, -box[0] * across, -box[1] * down
    s = max(across, down) if "slice" in (how or "") else min(across, down)
    return s, 0.0, 0.0, s, (wide - s * box[2]) / 2 - box[0] * s, (high - s * box[3]) / 2 - box[1] * s


def with_own_font(families: str) -> str:
    """Give a list of font families with the program's own in place of a plain one that the machine may not have."""
    names = [name.strip() for name in families.split(",") if name.strip()]
    if names and names[-1].lower() in ("serif", "monospace", "cursive", "fantasy"):
        return families
    kept = [name for name in names if name.lower() not in ("sans-serif", "sans", "system-ui")]
    return ", ".join([*kept, OWN_FONT])


def reaches_outside(value: str) -> bool:
    """Whether a value names anything but a part of the same file (or hides it behind an escape)."""
    return "\\" in value or "@import" in value.lower() or _ADDRESS.search(value) is not None


def declarations(style: str) -> dict[str, str]:
    """Give the declarations of a style, without those that reach outside the file (paint becomes none)."""
    found = {}
    for part in style.split(";"):
        name, colon, value = part.partition(":")
        name = name.strip().lower()
        if colon and not reaches_outside(part):
            found[name] = value.replace("!important", "").strip()
        elif name in ("fill", "stroke"):
            found[name] = "none"
    return found


Rules = dict[str, dict[str, str]]
"""Declarations by selector: a tag, ``.class``, ``tag.class`` or ``#id``."""


def rules_of(sheet: str) -> tuple[Rules, bool]:
    """Give what a style sheet says by plain selectors, and whether it says more than that."""
    rules: Rules = {}
    has_more = False
    for selectors, body in _RULE.findall(re.sub(r"/\*.*?\*/", "", sheet, flags=re.DOTALL)):
        said = declarations(body)
        for selector in selectors.split(","):
            plain = selector.strip()
            if _PLAIN.fullmatch(plain):
                rules.setdefault(plain, {}).update(said)
            else:
                has_more = True
    return rules, has_more


def ruled(rules: Rules, tag: str, classes: str, name: str) -> dict[str, str]:
    """Give what rules say of an element; what is said of it alone wins over what is said of many."""
    found = dict(rules.get("*", {}))
    found |= rules.get(tag, {})
    for one in classes.split():
        found |= rules.get(f".{one}", {})
        found |= rules.get(f"{tag}.{one}", {})
    if name:
        found |= rules.get(f"#{name}", {})
    return found
