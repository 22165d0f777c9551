"""One finding: what the map, the readings or the notes show to be wrong, odd or worth a look."""

from msgspec import Struct

from circuitmap.words import SEVERITIES, Decision, Evidence, Severity


class Finding(Struct, frozen=True, kw_only=True):
    """A suggestion for the inspector to decide; ``aside`` marks a fact of what is where, which raises no exit code."""

    rule: str
    code: Severity
    subjects: tuple[str, ...]
    says: str
    why: str
    settle: str
    evidence: Evidence
    aside: bool = False
    ruling: Decision | None = None

    @property
    def key(self) -> str:
        """What a ruling on this finding names: the rule and its subjects."""
        return self.rule + ":" + ":".join(self.subjects)


def is_at_least(code: Severity, level: Severity) -> bool:
    """Whether a code is as grave as a level, or graver."""
    return SEVERITIES.index(code) <= SEVERITIES.index(level)
