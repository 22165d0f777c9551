"""All rules in one tuple, family by family. Nothing registers itself by being imported."""

from typing import Final

from circuitmap.findings import (
    circuit,
    condition,
    grouping,
    protection,
    readings,
    readings_supply,
    shape,
    spurs,
    supply,
    survey,
    zones,
)
from circuitmap.findings.rule import SCOPES, Rule, Scope

RULES: Final[tuple[Rule, ...]] = (
    *shape.RULES,
    *spurs.RULES,
    *circuit.RULES,
    *protection.RULES,
    *condition.RULES,
    *zones.RULES,
    *survey.RULES,
    *readings.RULES,
    *readings_supply.RULES,
    *supply.RULES,
    *grouping.RULES,
)
BY_SCOPE: Final[dict[Scope, tuple[Rule, ...]]] = {
    scope: tuple(rule for rule in RULES if rule.scope == scope) for scope in SCOPES
}
