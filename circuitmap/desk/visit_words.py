"""What feeds a point, in words: how likely each explanation is, and which look would settle it. No Qt."""

from typing import Final

from circuitmap.desk.agreeing import together_on_line
from circuitmap.home import Home
from circuitmap.home.records import Point
from circuitmap.memo import Memo
from circuitmap.survey.context import context_of
from circuitmap.survey.deduce import Deduced
from circuitmap.survey.planner import settling
from circuitmap.survey.settle import chances_in_words, settle
from circuitmap.survey.weigh import Weighed, scales_of, weighed_of
from circuitmap.trade import Trade

_DONE: Final = frozenset({"settled", "elsewhere"})


def likely_words(home: Home, memo: Memo, trade: Trade, point: str) -> str:
    """Give how likely each explanation of a point's feed is: "Likely A3 96 %, A4 3 %."; empty when it is settled."""
    found = _found(home, memo, trade, point)
    if found is None or found[0].verdict in _DONE:
        return ""
    return f"Likely {together_on_line(chances_in_words(found[1], context_of(home, memo)))}."


def would_settle(home: Home, memo: Memo, trade: Trade, point: str) -> str:
    """Give the look that would settle a point, in a sentence; empty when it is settled or nobody looks at it itself."""
    record = home.find(Point, point)
    if record is None or record.uncheckable or not trade.point(record.kind).checkable:
        return ""
    if not context_of(home, memo).ways.ids or record.phase != "existing":
        return ""
    return settling(home, memo, trade, point)


def _found(home: Home, memo: Memo, trade: Trade, point: str) -> tuple[Deduced, Weighed] | None:
    if not context_of(home, memo).ways.ids:
        return None
    known = settle(home, memo, trade).get(point)
    scales = scales_of(home, memo, trade)
    if known is None or point not in scales.index:
        return None
    weighed = weighed_of(scales, point)
    return (known, weighed) if weighed.explanations else None
