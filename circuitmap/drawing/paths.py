"""Path data: parsed once, then written for SVG or turned into cubics for any painter that knows only those.

Commands are absolute and few: M, L, Q, A and Z as SVG 2 defines them (https://www.w3.org/TR/SVG2/paths.html).
"""

import math
import re
from collections.abc import Iterator
from functools import cache
from typing import Final, TypeAlias

from circuitmap.errors import OurError

Step: TypeAlias = tuple[str, tuple[float, ...]]
Path: TypeAlias = tuple[Step, ...]
Point: TypeAlias = tuple[float, float]

_COUNT: Final = {"M": 2, "L": 2, "Q": 4, "A": 7, "Z": 0}
_TOKEN: Final = re.compile(r"([A-Za-z])|([-+]?(?:\d+\.?\d*|\.\d+))|([\s,]+)")


@cache
def parse(text: str) -> Path:
    """Give the steps of a path text; a command may be followed by several sets of its numbers.

    Raises
    ------
    OurError
        For a command other than M, L, Q, A, Z, a wrong count of numbers, or a path that doesn't start with M.
    """
    steps: list[Step] = []
    command, numbers, at = "", list[float](), 0
    while at < len(text):
        token = _TOKEN.match(text, at)
        if token is None or (token[1] and token[1] not in _COUNT):
            raise OurError(f"Path text can't be read at {text[at : at + 12]!r}.")
        at = token.end()
        if token[1]:
            _finish(steps, command, numbers, text)
            command, numbers = token[1], []
        elif token[2]:
            numbers.append(float(token[2]))
    _finish(steps, command, numbers, text)
    if steps and steps[0][0] != "M":
        raise OurError(f"Path text must start with M: {text[:20]!r}.")
    return tuple(steps)


def _finish(steps: list[Step], command: str, numbers: list[float], text: str) -> None:
    if not command:
        if numbers:
            raise OurError(f"Path text must start with a command: {text[:20]!r}.")
        return
    count = _COUNT[command]
    if count == 0 and not numbers:
        steps.append((command, ()))
    elif count == 0 or not numbers or len(numbers) % count:
        raise OurError(f"{command} takes {count} numbers at a time, {len(numbers)} given in {text[:40]!r}.")
    else:
        steps.extend((command, tuple(numbers[n : n + count])) for n in range(0, len(numbers), count))


def number(value: float) -> str:
    """Write a number with at most two decimals, never as -0 and never with an exponent."""
    if not math.isfinite(value):
        raise OurError(f"A drawing can't hold the number {value}.")
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def path_text(path: Path) -> str:
    """Write a path as the ``d`` attribute of SVG."""
    return " ".join(command + " ".join(map(number, numbers)) for command, numbers in path)


def circle(x: float, y: float, radius: float) -> str:
    """Give the path text of a circle, as two half-circles."""
    left, right, r = x - radius, x + radius, radius
    return f"M{left} {y} A{r} {r} 0 0 1 {right} {y} A{r} {r} 0 0 1 {left} {y} Z"


def rectangle(left: float, top: float, right: float, bottom: float) -> str:
    """Give the path text of an upright rectangle."""
    return f"M{left} {top} L{right} {top} L{right} {bottom} L{left} {bottom} Z"


def moved(path: Path, dx: float, dy: float, scale: float = 1.0) -> Path:
    """Scale a path about the origin, then move it."""

    def shift(numbers: tuple[float, ...]) -> tuple[float, ...]:
        return tuple(v * scale + (dy if n % 2 else dx) for n, v in enumerate(numbers))

    return tuple(
        (c, (v[0] * scale, v[1] * scale, *v[2:5], *shift(v[5:]))) if c == "A" else (c, shift(v)) for c, v in path
    )


def as_cubics(path: Path) -> Path:
    """Give the same path in M, L, C and Z only.

    A quadratic becomes its cubic exactly; an arc is cut into pieces of at most a quarter turn, each off by less than
    0.03 % of its radius.
    **Source:** SVG 2, appendix B.2.4 "Conversion from endpoint to center parameterization".
    """
    steps: list[Step] = []
    here: Point = (0.0, 0.0)
    start = here
    for command, v in path:
        if command == "M":
            start = here = (v[0], v[1])
            steps.append((command, v))
        elif command == "Z":
            here = start
            steps.append((command, v))
        elif command == "Q":
            (x0, y0), (qx, qy, x, y) = here, v
            steps.append(
                (
                    "C",
                    (x0 + 2 / 3 * (qx - x0), y0 + 2 / 3 * (qy - y0), x + 2 / 3 * (qx - x), y + 2 / 3 * (qy - y), x, y),
                )
            )
            here = (x, y)
        elif command == "A":
            steps.extend(_arc(here, v))
            here = (v[5], v[6])
        else:
            steps.append((command, v))
            here = (v[0], v[1])
    return tuple(steps)


def _arc(here: Point, v: tuple[float, ...]) -> Iterator[Step]:
    (x0, y0), (rx, ry, slant, large, sweep, x, y) = here, v
    if (x0, y0) == (x, y):
        return
    if rx == 0 or ry == 0:
        yield "L", (x, y)
        return
    cos, sin = math.cos(math.radians(slant)), math.sin(math.radians(slant))
    mx, my = (x0 - x) / 2, (y0 - y) / 2
    px, py = cos * mx + sin * my, cos * my - sin * mx
    rx, ry = abs(rx), abs(ry)
    grow = math.sqrt((px / rx) ** 2 + (py / ry) ** 2)
    if grow > 1:  # radii too small to reach: the standard says to enlarge them
        rx, ry = rx * grow, ry * grow
    under = (rx * py) ** 2 + (ry * px) ** 2
    root = math.sqrt(max(0.0, ((rx * ry) ** 2 - under) / under)) * (1 if bool(large) != bool(sweep) else -1)
    qx, qy = root * rx * py / ry, -root * ry * px / rx
    cx, cy = cos * qx - sin * qy + (x0 + x) / 2, sin * qx + cos * qy + (y0 + y) / 2
    first = math.atan2((py - qy) / ry, (px - qx) / rx)
    turn = math.atan2((-py - qy) / ry, (-px - qx) / rx) - first
    if sweep and turn < 0:
        turn += 2 * math.pi
    elif not sweep and turn > 0:
        turn -= 2 * math.pi
    pieces = max(1, math.ceil(abs(turn) / (math.pi / 2) - 1e-9))
    step = turn / pieces
    pull = 4 / 3 * math.tan(step / 4)

    def on(a: float, b: float) -> Point:
        return cx + cos * rx * a - sin * ry * b, cy + sin * rx * a + cos * ry * b

    for n in range(pieces):
        a, b = first + n * step, first + (n + 1) * step
        near = on(math.cos(a) - pull * math.sin(a), math.sin(a) + pull * math.cos(a))
        far = on(math.cos(b) + pull * math.sin(b), math.sin(b) - pull * math.cos(b))
        end = (x, y) if n == pieces - 1 else on(math.cos(b), math.sin(b))
        yield "C", (*near, *far, *end)


def sampled(path: Path, pieces: int = 12) -> tuple[Point, ...]:
    """Give points along a path: every corner, and each curve cut into equal pieces."""
    points: list[Point] = []
    here: Point = (0.0, 0.0)
    for command, v in as_cubics(path):
        if command == "C":
            (x0, y0), (x1, y1, x2, y2, x3, y3) = here, v
            for n in range(1, pieces + 1):
                t = n / pieces
                a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
                points.append((a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3))
        elif command != "Z":
            points.append((v[0], v[1]))
        if v:
            here = (v[-2], v[-1])
    return tuple(points)
