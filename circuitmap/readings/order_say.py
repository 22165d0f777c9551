"""What the order from two sweeps says to a person: a sentence for all that can't be told or has to be looked at."""

from collections.abc import Sequence
from typing import Literal

from circuitmap.readings.order_fit import Ring
from circuitmap.readings.sweeps import Sweeps, Swept


def say_near_neighbours(a: str, b: str, sure: float, sd_m: float | None) -> str:
    """Say that the meter can't tell which of two neighbours comes first."""
    near = "as near to each other as the meter can tell" if sd_m is None else f"within {max(1.0, 2 * sd_m):.0f} m"
    return (
        f"{a} and {b} lie {near}: that {a} comes first is {_odds(sure)}. Read both again with the other leg linked, or "
        "look which cable leads on."
    )


def say_doubtful(points: Sequence[tuple[str, float, float | None]]) -> list[str]:
    """Say which points (with the odds of a spur and its length) may stand on the ring or at the end of a short spur."""
    found = []
    for at, p_spur, spur_m in points:
        if p_spur > 0.5:
            long = "" if spur_m is None else f" of about {spur_m:.1f} m"
            odds = f"spur: {_odds(p_spur)}"
            found.append(
                f"Whether {at} sits on the ring or on a spur{long} can't be told ({odds}): count the cables at {at}."
            )
    rest = [(at, p_spur) for at, p_spur, _ in points if p_spur <= 0.5]
    if rest:
        names, most = _listed([at for at, _ in rest]), max(p_spur for _, p_spur in rest)
        many = len(rest) > 1
        found.append(
            f"{names} {'sit' if many else 'sits'} on the ring more likely than not, but a short spur can't be ruled "
            f"out ({'up to ' if many else ''}{_odds(most)}): count the cables at {names}."
        )
    return found


def say_contacts(contact_ohm: float) -> str:
    """Say that all readings stand above the ring as contacts would make them."""
    return (
        f"All points read about {contact_ohm:.2f} Ω more than this ring should, as plugs in sockets' fronts or poor "
        "links do: taken for that; readings at the terminals would tell spurs better."
    )


def say_least_spur(least_share: float, loop_m: float | None) -> str:
    """Say from what length on a spur shows at all."""
    if loop_m is None:
        long = f"{100 * least_share:.1f} % of the loop"
    else:
        long = f"about {max(0.1, least_share * loop_m):.1f} m"
    return f"A spur shorter than {long} reads like the ring: where that matters, count the cables at the point."


def say_spur(
    points: Sequence[tuple[str, float | None]],
    take_off: Sequence[tuple[str, float]],
    between: tuple[str, str],
    tells: float,
) -> str:
    """Say what hangs on a spur, where it leaves the ring, and what of it no reading tells."""
    names = [at for at, _ in points]
    lengths = [f"{length_m:.1f} m" for _, length_m in points if length_m is not None]
    at, odds = take_off[0]
    where = f"at {at}" if at else f"between {between[0]} and {between[1]}, at a joint that isn't on the map"
    one = len(points) == 1
    says = f"{_listed(names)} {'sits' if one else 'sit'} on a spur{'' if one else ' or spurs'} taken off {where}"
    says += f", about {_listed(lengths)} along it" if lengths else ""
    if odds < tells:
        others = [f"{other or 'a joint between'} ({_odds(share)})" for other, share in take_off[1:]]
        says += f"; where it leaves can't be told for sure ({_odds(odds)})"
        says += f", it may be {' or '.join(others)}" if others else ""
        says += f": count the cables at {at or between[0]}"
    says += "."
    if not at:
        says += (
            f" A second way round between {between[0]} and {between[1]} would read the same: look before it is drawn."
        )
    elif not one:
        says += (
            " Whether one cable goes on from point to point or each has its own can't be told from readings: count "
            f"the cables at {_listed([each for each in (at, *names[:-1]) if each])}."
        )
    return says


def is_low(point: Swept, ring: Ring) -> bool:
    """Whether a point reads less cross-linked than any place of the ring, its board included."""
    return point.across_ohm < ring.a_ohm * ring.b_ohm / (ring.a_ohm + ring.b_ohm)


def say_odd(point: Swept, ring: Ring) -> str:
    """Say why a point's readings fit no place on this ring."""
    level_ohm = ring.a_ohm * ring.b_ohm / (ring.a_ohm + ring.b_ohm)
    if is_low(point, ring):
        return (
            f"{point.at} reads {point.across_ohm:.2f} Ω cross-linked, less than any point of this ring can "
            f"({level_ohm:.2f} Ω): a link at the wrong leg or a cable across would do that; set aside."
        )
    if point.near_ohm > ring.near_ohm:
        return (
            f"{point.at} reads {point.near_ohm:.2f} Ω with one leg linked, more than the whole ring "
            f"({ring.near_ohm:.2f} Ω) and no spur that the cross-linked reading shows: read it again; set aside."
        )
    return (
        f"{point.at} reads {point.near_ohm:.2f} Ω with one leg linked and {point.across_ohm:.2f} Ω cross-linked, which "
        f"no place on this ring gives: read it again at its terminals; set aside."
    )


def say_no_ring(sweeps: Sweeps, why: Literal["low", "odd", "spurs"]) -> str:
    """Say that the two sweeps don't fit one whole ring."""
    if why == "low":
        return (
            f"Several points of {sweeps.code} read less cross-linked than any point of such a ring can: a link at the "
            "wrong leg or a cable across the ring would do that; no order is drawn."
        )
    if why == "odd":
        return (
            f"The two sweeps of {sweeps.code} don't fit one ring with the ends that were read: look at the links at "
            "the board (each takes one end of either leg) before anything is drawn from them."
        )
    return (
        f"Nearly every point of {sweeps.code} reads higher cross-linked than its ring should: an open conductor, a bad "
        "link or wrong ends would do that sooner than so many spurs; no order is drawn."
    )


def say_no_whole(sweeps: Sweeps, ends_ohm: float | None = None) -> str:
    """Say that what the whole ring reads isn't known, or is known twice and differently."""
    if ends_ohm is not None:
        return (
            f"At the far leg {sweeps.code} reads {sweeps.far_ohm or 0:.2f} Ω with one leg linked, and {ends_ohm:.2f} Ω "
            "by its ends: one of them is wrong, so no order is drawn; read them again."
        )
    return (
        f"What all of {sweeps.code} reads with one leg linked isn't known: read r2 end to end, or at the far leg's "
        "terminals with one leg linked."
    )


def _odds(share: float) -> str:
    return f"{100 * min(max(share, 0.01), 0.99):.0f} %"


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
