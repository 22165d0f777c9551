"""The readings of a way as JSON: stable keys, null for what can't be told, "open" for what is infinite."""

from math import isfinite
from typing import TYPE_CHECKING

from circuitmap.cli.readings_way import WayRead, figure

if TYPE_CHECKING:
    from circuitmap.readings.causes import Cause, Diagnosis
    from circuitmap.readings.judged import Judged
    from circuitmap.readings.leak_state import Step
    from circuitmap.readings.order import RingOrder
    from circuitmap.readings.residuals import Awaited, Residual


def way_as_json(way: WayRead) -> dict[str, object]:
    """Give one way; the keys are those that ``circuitmap readings`` promises."""
    view = way.view
    return {
        "way": view.code,
        "device": view.device.id,
        "label": view.device.label,
        "shape": view.shape.kind if view.shape is not None else None,
        "readings": [_reading(each) for each in way.residuals],
        "expected": [_awaited(each) for each in way.awaited],
        "before_after": [
            {"compared_as": pair.paired_as, "says": pair.words}
            for pair in way.book.pairs
            if pair.before is not None and pair.after is not None
        ],
        "problems": [
            {"kind": each.kind, "says": each.words, "readings": list(each.readings)} for each in way.book.problems
        ],
        "verdicts": [verdict_as_json(each) for each in way.judged],
        "diagnosis": _diagnosis(way.diagnosis),
        "order": _order(way.order) if way.order is not None else None,
        "hunt": _step(way.step) if way.step is not None else None,
    }


def _reading(each: "Residual") -> dict[str, object]:
    entry, expected = each.entry, each.expected
    reading = entry.reading
    return {
        "id": reading.id,
        "test": entry.test,
        "link": entry.link,
        "cores": list(reading.cores),
        "at": each.at,
        "by_plug": reading.by_plug,
        "side": entry.side,
        "day": entry.visit.day,
        "value_si": figure(entry.value_si),
        "bound": reading.bound,
        "shown": entry.shown,
        "expected_ohm": figure(expected.ohm) if expected is not None else None,
        "sd_ohm": figure(expected.sd_ohm) if expected is not None and expected.ohm is not None else None,
        "off_by_sd": _sds(each.off_by_sd),
        "word": each.fit.word if each.fit is not None else "",
        "level": each.fit.level if each.fit is not None else "can't tell",
        "why": each.fit.says if each.fit is not None else "",
    }


def _sds(off: float | None) -> float | str | None:
    """Give how far a reading is off: "open" where one side is an open circuit and the other isn't."""
    if off is None:
        return None
    return round(off, 2) if isfinite(off) else "open"


def _awaited(each: "Awaited") -> dict[str, object]:
    line = each.line
    return {
        "test": line.test,
        "link": line.link,
        "cores": list(line.cores),
        "at": line.at,
        "expected_ohm": figure(each.expected.ohm),
        "sd_ohm": figure(each.expected.sd_ohm) if each.expected.ohm is not None else None,
        "why": each.expected.why,
    }


def verdict_as_json(each: "Judged") -> dict[str, object]:
    """Give a verdict as plain values."""
    verdict = each.verdict
    return {
        "kind": verdict.kind,
        "level": verdict.level,
        "says": verdict.says,
        "why": verdict.why,
        "source": verdict.source,
        "readings": list(each.readings),
        "at": list(each.at),
        "since": each.since,
    }


def _diagnosis(found: "Diagnosis") -> dict[str, object]:
    return {
        "is_settled": found.is_settled,
        "causes": [_cause(each) for each in found.causes],
        "others": round(found.others, 6),
        "next": [
            {
                "test": each.test,
                "link": each.link,
                "cores": list(each.cores),
                "at": each.at,
                "bits": round(each.bits, 4),
                "says": each.says,
                "why": each.why,
            }
            for each in found.next
        ],
        "notes": list(found.notes),
    }


def _cause(each: "Cause") -> dict[str, object]:
    return {
        "kind": each.kind,
        "probability": round(each.probability, 6),
        "says": each.says,
        "why": each.why,
        "cores": list(each.cores),
        "at": list(each.at),
        "runs": list(each.runs),
        "size": figure(each.size),
        "unit": each.unit,
        "low": figure(each.low),
        "high": figure(each.high),
        "compared": [
            {
                "reading": c.reading,
                "at": c.at,
                "measured_ohm": figure(c.measured_ohm),
                "expected_ohm": figure(c.expected_ohm),
                "sd_ohm": figure(c.sd_ohm),
                "off_by_sd": _sds(c.off_by),
            }
            for c in each.compared
        ],
    }


def _order(order: "RingOrder") -> dict[str, object]:
    return {
        "leg": order.leg,
        "loop_m": figure(order.loop_m),
        "order": list(order.order),
        "placed": [
            {
                "at": each.at,
                "standing": each.standing,
                "spur_probability": round(each.p_spur, 4),
                "share": round(each.share, 4),
                "from_leg_m": figure(each.from_leg_m),
                "from_leg_sd_m": figure(each.from_leg_sd_m),
                "spur_m": figure(each.spur_m),
                "spur_sd_m": figure(each.spur_sd_m),
            }
            for each in order.placed
        ],
        "aside": [{"at": each.at, "says": each.says} for each in order.aside],
        "notes": list(order.notes),
        "problem": order.problem,
    }


def _step(step: "Step") -> dict[str, object]:
    return {
        "kind": step.kind,
        "says": step.says,
        "why": step.why,
        "read": [each.title for each in step.asked],
        "at": step.at,
        "minutes": round(step.minutes, 1),
        "minutes_left": round(step.left, 1),
        "test_v": step.test_v,
        "cautions": [{"says": says, "source": source} for says, source in step.cautions],
    }
