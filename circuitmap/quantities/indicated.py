"""What an indicator or a polarity test showed, in words: a closed list, however it was typed.

What each of them means, and what such a tester cannot see, is not said here.
"""

import re
from typing import Final

from circuitmap.errors import QuantityError

INDICATED: Final = (
    "correct",
    "line and neutral reversed",
    "line and earth reversed",
    "neutral and earth reversed",
    "no earth",
    "no neutral",
    "no line",
    "switched in the neutral",
)
"""What a polarity test or a plug-in indicator can be said to have shown; three lamps may be given instead."""
EXAMPLE: Final = "correct"

_TOKEN: Final = re.compile(r"[^\W_]+|[●○✓✔]")
_SAME: Final = {
    **dict.fromkeys(("l", "live", "phase", "hot"), "line"),
    **dict.fromkeys(("n",), "neutral"),
    **dict.fromkeys(("e", "cpc", "ground", "pe"), "earth"),
    **dict.fromkeys(("reverse", "swapped", "swap", "rev", "crossed", "transposed"), "reversed"),
    **dict.fromkeys(("missing", "lost", "without"), "no"),
    **dict.fromkeys(("ok", "okay", "good", "healthy", "right", "pass", "passed", "✓", "✔", "fine"), "correct"),
    **dict.fromkeys(("lit", "1", "●"), "on"),
    **dict.fromkeys(("unlit", "out", "0", "○"), "off"),
}
_SILENT: Final = frozenset({"and", "polarity", "is", "all", "the", "lamps", "lamp", "in", "with", "to", "open", "a"})
_MEANS: Final = {frozenset(_TOKEN.findall(words)) - _SILENT: words for words in INDICATED}
_SHORT: Final = {
    frozenset({"reversed"}): "line and neutral reversed",
    frozenset({"no", "supply"}): "no line",
    frozenset({"switched", "neutral"}): "switched in the neutral",
    frozenset({"switch", "neutral"}): "switched in the neutral",
}


def read_indicated(text: str, named: str) -> str:
    """Read what was shown: one of ``INDICATED``, or three lamps as ``lamps on, on, off``.

    The lamps are those between line and neutral, line and earth, neutral and earth, in this order.

    Raises
    ------
    QuantityError
        When it is neither; a bare "wrong" is not, since what is wrong must be said.
    """
    tokens = [_SAME.get(token, token) for token in _TOKEN.findall(text.casefold())]
    lamps = [token for token in tokens if token in ("on", "off")]
    rest = [token for token in tokens if token not in ("on", "off") and token not in _SILENT]
    if len(lamps) == 3 and not rest:
        return f"lamps {', '.join(lamps)}"
    if tokens and not lamps:
        if "open" in tokens and "no" not in rest:
            rest.append("no")  # an open earth is a missing one
        said = frozenset(rest)
        found = _MEANS.get(said) or _SHORT.get(said)
        if found:
            return found
    why = "nothing was typed" if not text else "say what it showed"
    raise QuantityError(text, named, f"{why}, like correct, no earth, or the lamps L-N, L-E, N-E as on on off")
