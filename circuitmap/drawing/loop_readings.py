"""What the loop view prints beside its points in the Readings stage, and how it lights up where a cause may lie."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, isfinite, pi, sin
from typing import Final

from circuitmap.drawing.marks import Area, Ink, Line, PointMm
from circuitmap.drawing.reading_chart_data import FAR_OFF_SD, Dot, ReadingChart, is_open
from circuitmap.drawing.typed import width_px
from circuitmap.readings.predict import Predicted

_HALO_PX: Final = 13.0
_RUN_PX: Final = 9.0


@dataclass(frozen=True, slots=True)
class Beside:
    """A line beside a point, in the colour of a role: the same said in fewer and fewer words, the fullest first."""

    texts: tuple[str, ...]
    role: str = "faint"

    def fitting(self, room_px: float, size_px: float) -> str:
        """Give the fullest that fits."""
        fits = (text for text in self.texts if width_px(text, size_px) <= room_px)
        return next(fits, self.texts[-1])


def readings_beside(chart: ReadingChart) -> dict[str, Beside]:
    """Give what was read and what the map predicts for each place of a sweep, off in words and not by colour alone."""
    found: dict[str, Beside] = {}
    for record in chart.axis.places:
        dots = chart.dots_at(record)
        by_map = _by_map(chart.expected.get(record))
        if dots:
            read = " → ".join(map(_figure, dots))
            off = dots[-1].off_sd is not None and dots[-1].off_sd >= FAR_OFF_SD
            found[record] = _off(read, by_map) if off else _fine(read, by_map)
        elif by_map:
            found[record] = Beside((f"map {by_map}", by_map))
    return found


def _off(read: str, by_map: str) -> Beside:
    return Beside((f"read {read}, off: map {by_map}", f"{read} off, map {by_map}", f"{read} off"), "warn")


def _fine(read: str, by_map: str) -> Beside:
    if not by_map:
        return Beside((f"read {read} Ω", f"{read} Ω"), "ink")
    short = f"{read}, map {by_map.removesuffix(' Ω')}"
    return Beside((f"read {read} · map {by_map}", f"{read} · map {by_map}", short, read), "ink")


def lit_thing(spot: PointMm) -> Area:
    """Give the halo of a thing that is lit up."""
    ring = tuple(
        (spot[0] + _HALO_PX * cos(2 * pi * n / 24), spot[1] + _HALO_PX * sin(2 * pi * n / 24)) for n in range(24)
    )
    return Area("grid", (ring,), "select/tint", Ink("select", 1.8))


def lit_run(path: Sequence[PointMm]) -> Line:
    """Give the broad stroke under a run that is lit up."""
    return Line("route", tuple(path), Ink("select/half", _RUN_PX))


def _figure(dot: Dot) -> str:
    if is_open(dot):
        return "open"
    return f"{'' if dot.bound == '=' else dot.bound}{dot.ohm:.2f}"


def _by_map(predicted: Predicted | None) -> str:
    if predicted is None or predicted.ohm is None:
        return ""
    return f"{predicted.ohm:.2f} Ω" if isfinite(predicted.ohm) else "open"
