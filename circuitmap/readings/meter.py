"""Whether a meter is fit for the tests of continuity: its voltage open, its current short."""

from circuitmap.readings.verdict import Rules, Verdict, cited, unknown


def judge_meter(rules: Rules, open_v: float | None, short_ma: float | None) -> Verdict:
    """Say whether a meter's continuity range is one for ring and radial tests: 4 to 24 V open, 200 mA at least short.

    A general-purpose meter has neither and shows contact resistances that aren't there.

    **Source:** from memory: BS EN 61557-4.
    """
    least_v, most_v = rules.row("continuity test least V"), rules.row("continuity test most V")
    least_ma = rules.row("continuity test mA")
    wanted = f"{least_v.value:g} to {most_v.value:g} V open and {least_ma.value:g} mA short"
    if open_v is None or short_ma is None:
        return unknown("meter unknown", "What the meter gives isn't known.", f"{wanted} are wanted.", cited(least_ma))
    says = f"The meter gives {open_v:g} V open and {short_ma:g} mA short"
    if least_v.value <= open_v <= most_v.value and short_ma >= least_ma.value:
        return Verdict("meter fit", f"{says}.", "", cited(least_ma), "fine")
    why = "Its ohms are doubtful at a few tenths: use an installation tester."
    return Verdict("meter unfit", f"{says}; {wanted} are wanted.", why, cited(least_ma), "query")
