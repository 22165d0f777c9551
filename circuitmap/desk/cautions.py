"""The cautions in the app's own words, shown where they matter and all together under Help."""

from typing import Final

CAUTIONS: Final[tuple[str, ...]] = (
    "Nothing is switched off before the occupier has agreed. Ask about other sources first: solar panels, a battery, a "
    "generator, a neighbour's or landlord's supply. The main switch does not isolate them.",
    "A point that went off is not proved dead. Prove dead at the point of work with an approved voltage indicator, "
    "proved before and after on a known source, on every conductor and every circuit in the same box.",
    "Lock off and label. A lock-off protects you from somebody else's finger; it does not protect you from a neutral "
    "that another circuit borrows.",
    "With the main switch off the meter tails and the main switch's own terminals stay live. The cut-out and the meter "
    "are the network's. Taking a board's cover off is for skilled persons only.",
    "Insulation tests can damage electronics and hurt people: disconnect, or test at 250 V between the live conductors "
    "joined and earth; warn others.",
    "circuitmap computes and reminds. It does not certify. Design, inspection and certification belong to a competent, "
    "licensed person working to the local wiring rules and the maker's instructions; in some places the work itself "
    "must be notified.",
)
