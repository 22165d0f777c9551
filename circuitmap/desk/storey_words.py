"""What is typed and said of how a storey lies: heights over the ground floor, shifts, how well common points fit."""

import math

from circuitmap.errors import HomeError
from circuitmap.plan.register import Fit
from circuitmap.quantities import parse_room_length_mm
from circuitmap.quantities.show import show_length


def read_height(typed: str) -> int | None:
    """Read a typed height over the ground floor, in whole mm; below it with a minus, nothing typed is unknown."""
    text = typed.strip().replace("−", "-")
    if not text:
        return None
    if text.rstrip("m ") in ("0", "0.0", "-0", "+0"):
        return 0
    return round(_signed(text))


def read_shift(typed: str) -> tuple[float, float]:
    """Read a typed shift: two lengths, right and down the plan, or with words: ``0.35 left, 0.1 up``.

    Raises
    ------
    HomeError
        When the text is not one or two lengths with a way each.
    """
    parts = [part.strip() for part in typed.replace("−", "-").replace(";", ",").split(",")]
    if len(parts) > 2 or not all(parts):
        raise HomeError("Type the shift as two lengths, like 0.35 right, 0.1 down.")
    across = down = 0.0
    for n, part in enumerate(parts):
        number, _, word = part.rpartition(" ")
        sign = {"right": 1, "left": -1, "down": 1, "up": -1}.get(word.lower())
        if sign is None:
            number, word, sign = part, ("right", "down")[n], 1
        value = 0.0 if number.strip().rstrip("m ") in ("0", "0.0") else _signed(number.strip()) * sign
        if word.lower() in ("right", "left"):
            across += value
        else:
            down += value
    return across, down


def _signed(text: str) -> float:
    sign = -1.0 if text.startswith("-") else 1.0
    return sign * parse_room_length_mm(text.lstrip("+-").strip())


def show_height(mm: float) -> str:
    """Show a height that may lie below the ground floor."""
    if mm == 0:
        return "0 m"
    return ("−" if mm < 0 else "") + show_length(abs(mm))


def say_fit(found: Fit, count: int) -> str:
    """Say what a fit does, and how far the common points then still lie apart."""
    turn = round(found.turn_deg) % 360
    dx, dy = found.transform[2], found.transform[5]
    if turn:
        does = f"It turns by {min(turn, 360 - turn)}° {'to the right' if turn <= 180 else 'to the left'} and moves."
    elif math.hypot(dx, dy) < 0.5:
        does = "It stays where it is."
    else:
        ways = [f"{show_length(abs(dx))} {'right' if dx > 0 else 'left'}" if abs(dx) >= 0.5 else "",
                f"{show_length(abs(dy))} {'down' if dy > 0 else 'up'}" if abs(dy) >= 0.5 else ""]  # fmt: skip
        does = f"It moves {' and '.join(way for way in ways if way)}."
    left = "The common points then fall on each other."
    if found.worst >= 1:
        left = f"The {count} common points then lie up to {show_length(found.worst)} apart."
    return " ".join(part for part in (does, left, found.says) if part)
