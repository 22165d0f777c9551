"""The part of a straightened photograph that can be drawn: this side of its horizon, and not many times enlarged."""

from collections.abc import Sequence
from typing import Final

from circuitmap.plan.sheet import Spot, Transform

# What comes out this many times smaller than the nearest part of the photograph shows nothing that could be traced.
_FARTHEST: Final = 20.0


def near_side(transform: Transform, size_px: tuple[float, float]) -> tuple[Spot, ...]:
    """Give the outline, in pixels, of the part of a picture that can be drawn; all of it but for steep photographs."""
    outline: list[Spot] = [(0.0, 0.0), (size_px[0], 0.0), size_px, (0.0, size_px[1])]
    deep = [depth_at(transform, spot) for spot in outline]
    least = max(deep) / _FARTHEST
    if min(deep) >= least:
        return tuple(outline)
    kept: list[Spot] = []
    for n, here in enumerate(outline):
        before, was, now = outline[n - 1], deep[n - 1] - least, deep[n] - least
        if (was < 0) != (now < 0):
            share = was / (was - now)
            kept.append((before[0] + share * (here[0] - before[0]), before[1] + share * (here[1] - before[1])))
        if now >= 0:
            kept.append(here)
    return tuple(kept)


def is_all_near(outline: Sequence[Spot], size_px: tuple[float, float]) -> bool:
    """Whether an outline is that of the whole picture."""
    return len(outline) == 4 and outline[0] == (0.0, 0.0) and outline[2] == size_px


def depth_at(transform: Transform, spot: Spot) -> float:
    """Give how near a pixel is, above zero on this side of the horizon."""
    g, h, i = upright(transform)[6:]
    return g * spot[0] + h * spot[1] + i


def upright(transform: Transform) -> Transform:
    """Give the same transform by numbers whose depth is above zero on this side of the horizon.

    The sign of a projective matrix means nothing, but a plan is never mirrored, which tells the two sides apart.
    """
    a, b, c, d, e, f, g, h, i = transform
    det = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
    return transform if det >= 0 else (-a, -b, -c, -d, -e, -f, -g, -h, -i)
