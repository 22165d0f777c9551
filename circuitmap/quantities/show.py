"""Quantities as sentences and labels show them: number, space, unit; never more figures than anybody can use."""


def show_length(length_mm: float) -> str:
    """Give a length as text: millimetres below a metre, metres with two decimals above.

    Examples
    --------
    >>> show_length(762), show_length(3810)
    ('762 mm', '3.81 m')
    """
    if abs(length_mm) < 999.5:
        return f"{_whole(length_mm)} mm"
    if abs(length_mm) < 999_995:
        return f"{length_mm / 1000:.2f} m"
    return f"{length_mm / 1e6:.2f} km"


def show_area(area_m2: float) -> str:
    """Give an area as text, with one decimal below 100 m²."""
    return f"{area_m2:.1f} m²" if abs(area_m2) < 99.95 else f"{_whole(area_m2)} m²"


def show_ohm(resistance_ohm: float) -> str:
    """Give a resistance as text: two decimals of an ohm as instruments show it, then kΩ and MΩ."""
    size = abs(resistance_ohm)
    if size < 9.995:
        return f"{resistance_ohm:.2f} Ω"
    if size < 999.5:
        return f"{_figures(resistance_ohm)} Ω"
    if size < 999_500:
        return f"{_figures(resistance_ohm / 1e3)} kΩ"
    return f"{_figures(resistance_ohm / 1e6)} MΩ"


def show_current(current_a: float) -> str:
    """Give a current as text: milliamperes below one ampere, else amperes."""
    if 0 < abs(current_a) < 0.9995:
        return f"{_figures(current_a * 1000)} mA"
    return f"{_figures(current_a)} A"


def show_power(power_w: float) -> str:
    """Give a power as text: watts below a kilowatt, else kilowatts."""
    if abs(power_w) < 999.5:
        return f"{_figures(power_w)} W"
    return f"{_figures(power_w / 1000)} kW"


def show_size(size_mm2: float) -> str:
    """Give a conductor's size as text, as the trade writes it: ``2.5 mm²``, ``1.0 mm²``, ``16 mm²``."""
    return f"{size_mm2:.1f} mm²" if size_mm2 < 10 and round(size_mm2, 2) == round(size_mm2, 1) else f"{size_mm2:g} mm²"


def show_percent(fraction: float) -> str:
    """Give a fraction as per cent: one decimal below ten."""
    percent = fraction * 100
    return f"{percent:.1f} %" if abs(percent) < 9.95 else f"{_whole(percent)} %"


def _whole(value: float) -> str:
    return f"{round(value):d}"


def _figures(value: float) -> str:
    # Three figures, without the exponent that "g" gives from a thousand on.
    text = f"{value:.3g}"
    return f"{value:.0f}" if "e" in text else text
